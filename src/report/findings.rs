//! Findings on fitness as a table, the same wherever a spectrum's checks are shown.

use super::document::{Cell, Kind, Table};
use super::words;
use crate::fitness::{Finding, Severity};

/// Composes the table of some findings, a row each.
pub(super) fn table<'a>(caption: &str, findings: impl Iterator<Item = &'a Finding>) -> Table {
    Table::of(
        caption,
        findings,
        &[
            ("Check", Kind::Words, 16, &|f| Cell {
                text: words::finding_name(f),
                caution: f.severity != Severity::Note,
                ..Cell::default()
            }),
            ("Figure", Kind::Number, 18, &|f| figure(f).into()),
            ("Level", Kind::Words, 8, &|f| words::severity(f.severity).into()),
            ("What it means", Kind::Words, 31, &|f| f.consequence.as_str().into()),
            ("Remedy", Kind::Words, 27, &|f| f.remedy.as_str().into()),
        ],
    )
}

/// Whether a finding is one on the C–Cl region.
pub(super) fn is_chlorine(finding: &Finding) -> bool {
    finding.id.starts_with("c-cl-")
}

/// A finding's figure with its unit and the limit it is compared with; empty without a figure.
fn figure(finding: &Finding) -> String {
    let Some(value) = finding.value else { return String::new() };
    let number = words::number;
    if let (true, Some(limit)) = (is_chlorine(finding), finding.limit) {
        return format!("{value:.0} cm⁻¹, {limit:.0} needed");
    }
    let unit = match finding.unit.as_str() {
        "" => String::new(),
        unit @ ("%" | "°") => unit.to_owned(),
        unit => format!(" {unit}"),
    };
    let mut text = format!("{}{unit}", number(value));
    if let Some(limit) = finding.limit {
        text.push_str(&format!(", limit {}", number(limit)));
    }
    text
}
