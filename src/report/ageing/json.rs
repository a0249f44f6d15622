//! Markers and changes as JSON.

use serde::Serialize;

use super::AgeingEntry;
use crate::ageing::{
    AgeingResult, Comparison, DoseSlope, FoundConfounder, MarkerResult, MarkerState, MaterialFrom,
};
use crate::report::Stamp;
use crate::spectrum::Warning;

/// Version of the layout; raised when a key changes its meaning.
const SCHEMA: &str = "bandlore/ageing/v1";
/// As above, for comparisons.
const COMPARISON_SCHEMA: &str = "bandlore/comparison/v1";

#[derive(Serialize)]
struct Table<'a> {
    version: &'a str,
    sha256: &'a str,
}

#[derive(Serialize)]
struct Entry<'a> {
    schema: &'static str,
    tool: String,
    table: Table<'a>,
    file: &'a str,
    block: usize,
    material: Option<&'a str>,
    material_from: Option<MaterialFrom>,
    markers: Vec<Marker<'a>>,
    noise: Option<f64>,
    series: &'a [DoseSlope],
    sentence: &'a str,
    warnings: &'a [Warning],
    error: Option<&'a str>,
}

#[derive(Serialize)]
struct Marker<'a> {
    id: &'a str,
    shows: &'a str,
    value: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    interval: &'static str,
    state: MarkerState,
    detection_limit: Option<f64>,
    quantification_limit: Option<f64>,
    quantifiable: bool,
    refusal: Option<&'a str>,
    confounders: &'a [FoundConfounder],
    definition: &'a str,
    limits_from: &'a str,
    source: &'a str,
    source_class: &'a str,
    status: &'a str,
    primary: bool,
    content: Option<&'a crate::ageing::Content>,
}

#[derive(Serialize)]
struct Compared<'a> {
    schema: &'static str,
    tool: String,
    table: Table<'a>,
    #[serde(flatten)]
    comparison: &'a Comparison,
}

fn marker(m: &MarkerResult) -> Marker<'_> {
    Marker {
        id: &m.id,
        shows: &m.shows,
        value: m.value,
        low: m.low,
        high: m.high,
        interval: "95 %, noise only",
        state: m.state,
        detection_limit: m.detection_limit,
        quantification_limit: m.quantification_limit,
        quantifiable: m.quantifiable,
        refusal: m.refusal.as_deref(),
        confounders: &m.confounders,
        definition: &m.definition,
        limits_from: &m.limits_from,
        source: &m.source,
        source_class: &m.source_class,
        status: &m.status,
        primary: m.primary,
        content: m.content.as_ref(),
    }
}

/// Writes one JSON array, an object a spectrum.
///
/// # Errors
///
/// Only values that JSON cannot hold, which finite markers are not.
pub fn ageing_json(entries: &[AgeingEntry], stamp: &Stamp) -> serde_json::Result<String> {
    let list: Vec<Entry<'_>> = entries
        .iter()
        .map(|entry| {
            let result: Option<&AgeingResult> = entry.result.as_ref();
            Entry {
                schema: SCHEMA,
                tool: stamp.tool.clone(),
                table: Table { version: &stamp.table_version, sha256: &stamp.table_sha256 },
                file: &entry.file,
                block: entry.block,
                material: result.and_then(|r| r.material.as_deref()),
                material_from: result.map(|r| r.material_from),
                markers: result.map_or_else(Vec::new, |r| r.markers.iter().map(marker).collect()),
                noise: result.and_then(|r| r.noise),
                series: &entry.series,
                sentence: result.map_or("", |r| &r.sentence),
                warnings: result.map_or(&[], |r| &r.warnings),
                error: entry.error.as_deref(),
            }
        })
        .collect();
    serde_json::to_string_pretty(&list).map(|text| text + "\n")
}

/// Writes a JSON array with the one comparison.
///
/// # Errors
///
/// As [`ageing_json`].
pub fn comparison_json(comparison: &Comparison, stamp: &Stamp) -> serde_json::Result<String> {
    let list = [Compared {
        schema: COMPARISON_SCHEMA,
        tool: stamp.tool.clone(),
        table: Table { version: &stamp.table_version, sha256: &stamp.table_sha256 },
        comparison,
    }];
    serde_json::to_string_pretty(&list).map(|text| text + "\n")
}
