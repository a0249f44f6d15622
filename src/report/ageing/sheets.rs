//! Markers and changes as tables for a spreadsheet.

use super::AgeingEntry;
use super::schema_v1::same_words;
use crate::ageing::{Comparison, Content, FoundConfounder, MarkerComparison, MarkerResult};
use crate::report::codes;
use crate::report::sheet::{Column, Sheet, Value};

/// A spectrum with one of its markers, or with none where it could not be read.
type Reading<'a> = (&'a AgeingEntry, Option<&'a MarkerResult>);

/// Returns one row a marker and spectrum.
#[must_use]
pub fn ageing_sheet(entries: &[AgeingEntry]) -> Sheet {
    let columns: [Column<Reading<'_>>; 19] = [
        ("file", |(entry, _)| entry.file.as_str().into()),
        ("block", |(entry, _)| entry.block.into()),
        ("material", |(entry, _)| {
            entry.result.as_ref().and_then(|result| result.material.as_deref()).into()
        }),
        ("marker", |row| read(row, |m| m.id.clone())),
        ("state", |row| read(row, |m| codes::marker_state(m.state))),
        ("value", |row| read(row, |m| m.value)),
        ("low", |row| read(row, |m| m.low)),
        ("high", |row| read(row, |m| m.high)),
        ("detection_limit", |row| read(row, |m| m.detection_limit)),
        ("quantification_limit", |row| read(row, |m| m.quantification_limit)),
        ("confounders", |row| read(row, |m| ids(&m.confounders))),
        ("refusal", |row| read(row, |m| m.refusal.clone())),
        ("content", |row| content(row, |c| c.value)),
        ("content_low", |row| content(row, |c| c.low)),
        ("content_high", |row| content(row, |c| c.high)),
        ("definition", |row| read(row, |m| m.definition.clone())),
        ("source", |row| read(row, |m| m.source.clone())),
        ("status", |row| read(row, |m| m.status.clone())),
        ("error", |(entry, marker)| match marker {
            Some(_) => Value::Blank,
            None => entry.error.as_deref().into(),
        }),
    ];
    let rows = entries.iter().flat_map(|entry| {
        let markers = entry.result.iter().flat_map(|result| &result.markers).map(Some);
        markers.chain(entry.result.is_none().then_some(None)).map(move |marker| (entry, marker))
    });
    Sheet::new("Markers", &columns, rows)
}

/// A value of the marker; blank where none was read.
fn read<T: Into<Value>>(row: &Reading<'_>, value: impl FnOnce(&MarkerResult) -> T) -> Value {
    row.1.map(value).into()
}

fn content(row: &Reading<'_>, value: impl FnOnce(&Content) -> f64) -> Value {
    row.1.and_then(|marker| marker.content.as_ref()).map(value).into()
}

fn ids(confounders: &[FoundConfounder]) -> String {
    let ids: Vec<&str> = confounders.iter().map(|c| c.id.as_str()).collect();
    ids.join(" ")
}

/// A comparison with one of its changes, or with none where nothing was compared.
type Change<'a> = (&'a Comparison, Option<&'a MarkerComparison>);

/// Returns one row a marker and pair of faces.
#[must_use]
pub fn comparison_sheet(comparison: &Comparison) -> Sheet {
    let columns: [Column<Change<'_>>; 22] = [
        ("material", |(all, _)| all.material.as_deref().into()),
        ("same_material", |(all, _)| same_words(&all.same_material).0.into()),
        ("marker", |row| change(row, |m| m.id.clone())),
        ("face", |row| change(row, |m| m.face.word())),
        ("against", |row| change(row, |m| m.against.word())),
        ("role", |row| change(row, |m| if m.primary { "primary" } else { "exploratory" })),
        ("call", |row| change(row, |m| codes::change_call(m.call))),
        ("scale", |row| change(row, |m| codes::change_scale(m.scale))),
        ("change", |row| change(row, |m| m.change)),
        ("low", |row| change(row, |m| m.low)),
        ("high", |row| change(row, |m| m.high)),
        ("p", |row| change(row, |m| m.p)),
        ("p_corrected", |row| change(row, |m| m.p_corrected)),
        ("smallest_detectable", |row| change(row, |m| m.smallest_detectable)),
        ("contact_change", |row| change(row, |m| m.contact_change)),
        ("depth_ratio", |row| change(row, |m| m.depth_ratio)),
        ("confounders", |row| change(row, |m| ids(&m.confounders))),
        // Where nothing was compared the reason is the answer.
        ("why", |(all, marker)| match marker {
            Some(marker) => marker.why.as_deref().into(),
            None => same_words(&all.same_material).1.unwrap_or(&all.sentence).into(),
        }),
        ("definition", |row| change(row, |m| m.definition.clone())),
        ("source", |row| change(row, |m| m.source.clone())),
        ("status", |row| change(row, |m| m.status.clone())),
        // They are of the faces, and so of every row: one filtered out of the others keeps them.
        ("doubts", |(all, _)| {
            let doubts: Vec<&str> = all.warnings.iter().map(|w| w.text.as_str()).collect();
            doubts.join("; ").into()
        }),
    ];
    let markers = comparison.markers.iter().map(Some);
    let rows = markers.chain(comparison.markers.is_empty().then_some(None));
    Sheet::new("Comparison", &columns, rows.map(|marker| (comparison, marker)))
}

/// A value of the change; blank where none was looked for.
fn change<T: Into<Value>>(row: &Change<'_>, value: impl FnOnce(&MarkerComparison) -> T) -> Value {
    row.1.map(value).into()
}
