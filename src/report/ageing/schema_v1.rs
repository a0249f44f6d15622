//! The serialised forms of markers and comparisons, version 1: what other programs may rely on.
//!
//! These types are apart from the library's own so that those may change. `schema/v1/ageing.json`
//! and `schema/v1/compare.json` are made from them; tests keep both current.

use serde::Serialize;

use super::AgeingEntry;
use crate::ageing::{
    Comparison, Content as FoundContent, DoseSlope, FoundConfounder, MarkerComparison,
    MarkerResult, SameMaterial,
};
use crate::report::codes;
use crate::report::identification::Stamp;
use crate::spectrum::Warning as FoundWarning;

/// The value of `schema` in each object of `bandlore ageing`.
pub(super) const AGEING_SCHEMA: &str = "bandlore/ageing/v1";
/// The value of `schema` in the object of `bandlore compare`.
pub(super) const COMPARISON_SCHEMA: &str = "bandlore/comparison/v1";
/// What the interval of a single reading holds.
const READING_INTERVAL: &str = "95 %, noise only";
/// What the interval of a change holds.
const CHANGE_INTERVAL: &str = "95 %, of the spots and never narrower than their noise; the test also carries what the contact fit leaves open";

/// One spectrum.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Entry<'a> {
    /// Always `bandlore/ageing/v1`.
    schema: &'static str,
    /// Name and version of the tool.
    tool: &'a str,
    /// The table whose markers were read.
    table: Table<'a>,
    /// The path as given.
    file: &'a str,
    /// The spectrum's place in the file, from 1.
    block: usize,
    /// Id of the material whose markers were read, or null.
    material: Option<&'a str>,
    /// `identified`, `given` or `unknown`; null where the file could not be read.
    material_from: Option<&'static str>,
    /// Every marker of the material.
    markers: Vec<Marker<'a>>,
    /// One standard deviation of the noise in absorbance.
    noise: Option<f64>,
    /// What the markers do over the doses this spectrum takes part in.
    series: Vec<Slope<'a>>,
    /// The result in plain words.
    sentence: &'a str,
    /// Every doubt met on the way.
    warnings: Vec<Warning<'a>>,
    /// Null, or why the file could not be read.
    error: Option<&'a str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Table<'a> {
    /// The table's version.
    version: &'a str,
    /// SHA-256 of its files.
    sha256: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Marker<'a> {
    /// Stable id.
    id: &'a str,
    /// What it follows.
    shows: &'a str,
    /// The index; null below detection and where refused.
    value: Option<f64>,
    /// Lower end of the interval.
    low: Option<f64>,
    /// Upper end of the interval; the detection limit where below it.
    high: Option<f64>,
    /// What the interval holds.
    interval: &'static str,
    /// `measured`, `below-detection` or `refused`.
    state: &'static str,
    /// The index below which no number is given (3 s).
    detection_limit: Option<f64>,
    /// The index above which the number may be relied on (10 s).
    quantification_limit: Option<f64>,
    /// Whether the value lies above the quantification limit.
    quantifiable: bool,
    /// Why it is refused.
    refusal: Option<&'a str>,
    /// What was found that disturbs it.
    confounders: Vec<Confounder<'a>>,
    /// Limits, baseline and reference band in cm⁻¹.
    definition: &'a str,
    /// Whether the limits are published or ours.
    limits_from: &'a str,
    /// Where the marker comes from.
    source: &'a str,
    /// Class of the source.
    source_class: &'a str,
    /// `verified`, `memory`, `computed` or `common-practice`.
    status: &'a str,
    /// Whether it is a marker named beforehand for testing.
    primary: bool,
    /// The content it stands for, where a calibration was given.
    content: Option<Content<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Confounder<'a> {
    /// Its id in the table.
    id: &'a str,
    /// What it does to the marker.
    does: &'a str,
    /// Whether the marker is refused because of it.
    refuses: bool,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Content<'a> {
    /// The predicted content.
    value: f64,
    /// Lower end of the 95 % prediction interval.
    low: f64,
    /// Upper end of the 95 % prediction interval.
    high: f64,
    /// Name and unit, as the standards give them.
    quantity: &'a str,
    /// Why it must not be used, where the index lies outside the standards.
    doubt: Option<&'a str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Slope<'a> {
    /// The marker's id.
    marker: &'a str,
    /// Unit of the dose: `lux h`, `W h/m²`, `h` or `d`.
    unit: &'static str,
    /// Band of wavelengths, or temperature and humidity.
    conditions: &'a str,
    /// The lamp, the sun, the oven.
    source: &'a str,
    /// The filter or glass in between.
    filter: &'a str,
    /// Number of spectra.
    n: usize,
    /// Lowest measured dose.
    lowest_dose: f64,
    /// Highest measured dose.
    highest_dose: f64,
    /// Change of the index per unit of dose, inside the measured doses; null where not fitted.
    slope: Option<f64>,
    /// Lower end of its 95 % interval.
    low: Option<f64>,
    /// Upper end of its 95 % interval.
    high: Option<f64>,
    /// Why there is no slope, or what it does not say.
    note: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Warning<'a> {
    /// A stable id in kebab case.
    id: &'a str,
    /// One line of text.
    text: &'a str,
}

/// One comparison.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Compared<'a> {
    /// Always `bandlore/comparison/v1`.
    schema: &'static str,
    /// Name and version of the tool.
    tool: &'a str,
    /// The table whose markers were compared.
    table: Table<'a>,
    /// Material id, or null.
    material: Option<&'a str>,
    /// Whether the faces are the same material.
    same_material: Same<'a>,
    /// Number of spots a face.
    faces: Vec<Face>,
    /// Every marker compared, those named beforehand first.
    markers: Vec<Change<'a>>,
    /// Contact of each spot; empty where it could not be fitted.
    contact: Vec<Contact<'a>>,
    /// Difference spectra after scale and contact, one a pair of faces.
    differences: Vec<Difference<'a>>,
    /// Routes whose published pattern is met.
    routes: Vec<Route<'a>>,
    /// What colour readings add, in words.
    colour: Option<&'a str>,
    /// The result in plain words.
    sentence: &'a str,
    /// Every doubt met on the way.
    warnings: Vec<Warning<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Same<'a> {
    /// `same`, `different` or `cannot-tell`.
    verdict: &'static str,
    /// What differs, or why it cannot be told.
    why: Option<&'a str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Face {
    /// `exposed`, `reverse`, `covered`, `earlier` or `later`.
    face: &'static str,
    /// Number of spots.
    n: usize,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Change<'a> {
    /// Stable id of the marker.
    id: &'a str,
    /// What it follows.
    shows: &'a str,
    /// The face under question.
    face: &'static str,
    /// The face it is held against.
    against: &'static str,
    /// Whether it is a marker named beforehand.
    primary: bool,
    /// `changed`, `no-change-shown`, `too-blind`, `exploratory`, `not-tested` or `refused`.
    call: &'static str,
    /// `ratio` (1: no change) or `difference` (0: no change).
    scale: &'static str,
    /// The change, corrected for contact where that could be fitted.
    change: Option<f64>,
    /// Lower end of its interval.
    low: Option<f64>,
    /// Upper end of its interval.
    high: Option<f64>,
    /// What the interval holds.
    interval: &'static str,
    /// Two-sided p value of Welch's test.
    p: Option<f64>,
    /// The same, corrected among the markers named beforehand (Holm).
    p_corrected: Option<f64>,
    /// Smallest change these spots could have shown four times in five, on the same scale.
    smallest_detectable: Option<f64>,
    /// Mean index of the face under question.
    face_mean: Option<f64>,
    /// Mean index of the other face.
    against_mean: Option<f64>,
    /// Index of each spot as read; null where refused.
    face_values: &'a [Option<f64>],
    /// Index of each spot of the other face.
    against_values: &'a [Option<f64>],
    /// How many times deeper the deeper of its two bands reaches.
    depth_ratio: Option<f64>,
    /// The change that the fitted contact alone makes.
    contact_change: Option<f64>,
    /// Whether every spot of both faces reads below the detection limit of fresh references.
    below_detection: bool,
    /// What disturbs it on either face.
    confounders: Vec<Confounder<'a>>,
    /// The reason where refused or not tested.
    why: Option<&'a str>,
    /// Limits, baseline and reference band in cm⁻¹.
    definition: &'a str,
    /// Where the marker comes from.
    source: &'a str,
    /// `verified`, `memory`, `computed` or `common-practice`.
    status: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Contact<'a> {
    /// The face.
    face: &'static str,
    /// The spot, from 1.
    spot: usize,
    /// The common factor.
    scale: f64,
    /// Extra air gap in micrometres.
    gap_um: f64,
    /// One standard error of the gap in micrometres.
    gap_error_um: f64,
    /// The bands it was fitted on, in cm⁻¹.
    bands_cm1: &'a [f64],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Difference<'a> {
    /// The face under question.
    face: &'static str,
    /// The face it is held against.
    against: &'static str,
    /// Wavenumbers in cm⁻¹, ascending.
    wavenumbers_cm1: &'a [f64],
    /// Difference in absorbance.
    differences: &'a [f64],
    /// One standard error of each difference; empty below two spots a side.
    standard_errors: &'a [f64],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Route<'a> {
    /// Stable id.
    id: &'a str,
    /// "suggests …", in words.
    sentence: &'a str,
    /// The marker states that met the pattern.
    pattern: &'a [String],
    /// The light, heat or moisture under which the source saw it.
    conditions: &'a str,
    /// Where the pattern comes from.
    source: &'a str,
    /// `verified`, `memory`, `computed` or `common-practice`.
    status: &'a str,
}

fn table(stamp: &Stamp) -> Table<'_> {
    Table { version: &stamp.table_version, sha256: &stamp.table_sha256 }
}

fn warnings(found: &[FoundWarning]) -> Vec<Warning<'_>> {
    found.iter().map(|w| Warning { id: &w.id, text: &w.text }).collect()
}

fn confounders(found: &[FoundConfounder]) -> Vec<Confounder<'_>> {
    found.iter().map(|c| Confounder { id: &c.id, does: &c.does, refuses: c.refuses }).collect()
}

/// The word for a verdict on the faces' make-up, and its reason.
pub(super) fn same_words(same: &SameMaterial) -> (&'static str, Option<&str>) {
    match same {
        SameMaterial::Same => ("same", None),
        SameMaterial::Different { why } => ("different", Some(why)),
        SameMaterial::CannotTell { why } => ("cannot-tell", Some(why)),
    }
}

impl<'a> Entry<'a> {
    /// Puts one entry into the serialised form.
    pub(super) fn new(entry: &'a AgeingEntry, stamp: &'a Stamp) -> Self {
        let result = entry.result.as_ref();
        Self {
            schema: AGEING_SCHEMA,
            tool: &stamp.tool,
            table: table(stamp),
            file: &entry.file,
            block: entry.block,
            material: result.and_then(|r| r.material.as_deref()),
            material_from: result.map(|r| codes::material_from(r.material_from)),
            markers: result.map_or_else(Vec::new, |r| r.markers.iter().map(marker).collect()),
            noise: result.and_then(|r| r.noise),
            series: entry.series.iter().map(slope).collect(),
            sentence: result.map_or("", |r| &r.sentence),
            warnings: warnings(result.map_or(&[], |r| &r.warnings)),
            error: entry.error.as_deref(),
        }
    }
}

fn marker(m: &MarkerResult) -> Marker<'_> {
    Marker {
        id: &m.id,
        shows: &m.shows,
        value: m.value,
        low: m.low,
        high: m.high,
        interval: READING_INTERVAL,
        state: codes::marker_state(m.state),
        detection_limit: m.detection_limit,
        quantification_limit: m.quantification_limit,
        quantifiable: m.quantifiable,
        refusal: m.refusal.as_deref(),
        confounders: confounders(&m.confounders),
        definition: &m.definition,
        limits_from: &m.limits_from,
        source: &m.source,
        source_class: &m.source_class,
        status: &m.status,
        primary: m.primary,
        content: m.content.as_ref().map(content),
    }
}

fn content(c: &FoundContent) -> Content<'_> {
    Content {
        value: c.value,
        low: c.low,
        high: c.high,
        quantity: &c.quantity,
        doubt: c.doubt.as_deref(),
    }
}

fn slope(s: &DoseSlope) -> Slope<'_> {
    Slope {
        marker: &s.marker,
        unit: s.unit.symbol(),
        conditions: &s.conditions,
        source: &s.source,
        filter: &s.filter,
        n: s.n,
        lowest_dose: s.lowest_dose,
        highest_dose: s.highest_dose,
        slope: s.slope,
        low: s.low,
        high: s.high,
        note: &s.note,
    }
}

impl<'a> Compared<'a> {
    /// Puts a comparison into the serialised form.
    pub(super) fn new(comparison: &'a Comparison, stamp: &'a Stamp) -> Self {
        let (verdict, why) = same_words(&comparison.same_material);
        Self {
            schema: COMPARISON_SCHEMA,
            tool: &stamp.tool,
            table: table(stamp),
            material: comparison.material.as_deref(),
            same_material: Same { verdict, why },
            faces: comparison.faces.iter().map(|f| Face { face: f.face.word(), n: f.n }).collect(),
            markers: comparison.markers.iter().map(change).collect(),
            contact: comparison
                .contact
                .iter()
                .map(|c| Contact {
                    face: c.face.word(),
                    spot: c.spot,
                    scale: c.scale,
                    gap_um: c.gap_um,
                    gap_error_um: c.gap_error_um,
                    bands_cm1: &c.bands_cm1,
                })
                .collect(),
            differences: comparison
                .differences
                .iter()
                .map(|d| Difference {
                    face: d.face.word(),
                    against: d.against.word(),
                    wavenumbers_cm1: &d.wavenumbers_cm1,
                    differences: &d.differences,
                    standard_errors: &d.standard_errors,
                })
                .collect(),
            routes: comparison
                .routes
                .iter()
                .map(|r| Route {
                    id: &r.id,
                    sentence: &r.sentence,
                    pattern: &r.pattern,
                    conditions: &r.conditions,
                    source: &r.source,
                    status: &r.status,
                })
                .collect(),
            colour: comparison.colour.as_deref(),
            sentence: &comparison.sentence,
            warnings: warnings(&comparison.warnings),
        }
    }
}

fn change(m: &MarkerComparison) -> Change<'_> {
    Change {
        id: &m.id,
        shows: &m.shows,
        face: m.face.word(),
        against: m.against.word(),
        primary: m.primary,
        call: codes::change_call(m.call),
        scale: codes::change_scale(m.scale),
        change: m.change,
        low: m.low,
        high: m.high,
        interval: CHANGE_INTERVAL,
        p: m.p,
        p_corrected: m.p_corrected,
        smallest_detectable: m.smallest_detectable,
        face_mean: m.face_mean,
        against_mean: m.against_mean,
        face_values: &m.face_values,
        against_values: &m.against_values,
        depth_ratio: m.depth_ratio,
        contact_change: m.contact_change,
        below_detection: m.below_detection,
        confounders: confounders(&m.confounders),
        why: m.why.as_deref(),
        definition: &m.definition,
        source: &m.source,
        status: &m.status,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::schema::assert_committed;

    #[test]
    fn committed_schema_of_markers_is_current() {
        assert_committed::<Vec<Entry<'static>>>("ageing.json", "Ageing markers, version 1");
    }

    #[test]
    fn committed_schema_of_comparisons_is_current() {
        assert_committed::<Vec<Compared<'static>>>(
            "compare.json",
            "Comparisons of faces, version 1",
        );
    }
}
