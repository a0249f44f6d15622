//! How it was done, what it cannot tell, and what the statements rest on.

use std::collections::BTreeMap;

use super::super::{Length, ObjectReport};

use crate::fitness::Severity;
use crate::object::{NOT_RECORDED, ObjectFindings, SpectrumRecord, Topic};
use crate::report::document::{Document, Kind, Table, Tone, sourced};
use crate::report::words::finding_name;

pub(super) fn all(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "Method", "method");
    page.text(
        "Infrared spectra were prepared, their bands picked and compared with an open table of \
         published and measured positions. This report claims conformity with no standard.",
        Tone::Plain,
    );
    page.text(
        format!(
            "{}; table {}. {} files were read; the SHA-256 of each stands in the JSON form of this report.{}",
            report.stamp.tool,
            report.stamp.table(),
            findings.method.files.len(),
            if report.length == Length::Short {
                " Settings, conditions of each spot and what every statement rests on stand in the full \
                 report (--length full) and in JSON."
            } else {
                ""
            }
        ),
        Tone::Plain,
    );
    scale(page, findings);
    fitness(page, findings);
}

/// Settings, measurements and sources, for who would measure again.
pub(super) fn annexes(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "Annex: settings and measurements", "settings");
    let mut pairs = vec![
        ("Program".to_owned(), report.stamp.tool.clone()),
        ("Table".to_owned(), report.stamp.table_version.clone()),
        ("SHA-256 of the table".to_owned(), report.stamp.table_sha256.clone()),
    ];
    pairs.extend(findings.method.settings.clone());
    page.pairs(pairs);
    measurements(page, findings);
    sources(page, findings);
}

fn scale(page: &mut Document, findings: &ObjectFindings) {
    page.heading(3, "Wavenumber scale", "scale");
    let scale = findings.method.scale_check.trim();
    let none = "No polystyrene film was recorded for the day, so the scale was not checked.";
    page.text(if scale.is_empty() { none } else { scale }, Tone::Plain);
}

/// What most spectra share is said once; where one differs stands in the table.
fn measurements(page: &mut Document, findings: &ObjectFindings) {
    let spectra = &findings.manifest.spectra;
    let Some(first) = spectra.first() else { return };
    page.heading(3, "Measurements", "measurements");
    let usual: Vec<(&str, String)> = first
        .entries()
        .iter()
        .enumerate()
        .map(|(i, (heading, _))| (*heading, commonest(spectra, i)))
        .collect();
    let (blank, known): (Vec<_>, Vec<_>) = usual.iter().partition(|(_, text)| text == NOT_RECORDED);
    if !known.is_empty() {
        page.text("Unless the table below says otherwise:", Tone::Plain);
        page.pairs(known.iter().map(|(heading, text)| (*heading, text)));
    }
    if !blank.is_empty() {
        let list: Vec<String> = blank.iter().map(|(heading, _)| (*heading).to_owned()).collect();
        let list = crate::report::text_tools::list_words(&list, "and");
        page.text(format!("Not recorded, unless the table says otherwise: {list}."), Tone::Note);
    }
    let mut rows: Vec<([String; 2], Vec<String>, String)> = Vec::new();
    for record in spectra {
        let key = [record.part.clone(), face(record)];
        let differs = differences(record, &usual);
        let spot = match record.block {
            Some(block) => format!("{} (spectrum {block})", record.spot.trim()),
            None => record.spot.trim().to_owned(),
        };
        match rows.iter_mut().find(|(k, _, d)| *k == key && *d == differs) {
            Some((_, spots, _)) => spots.push(spot),
            None => rows.push((key, vec![spot], differs)),
        }
    }
    page.table(Table::of(
        "Spots measured, and where their conditions differ",
        rows,
        &[
            ("Part", Kind::Words, 10, &|row| row.0[0].as_str().into()),
            ("Face", Kind::Words, 18, &|row| row.0[1].as_str().into()),
            ("Spots", Kind::Words, 22, &|row| row.1.join(", ").into()),
            ("Where it differs", Kind::Words, 50, &|row| match row.2.as_str() {
                "" => "as above".into(),
                differs => differs.into(),
            }),
        ],
    ));
}

/// The text that most spectra have under the heading at `i`; of equally common ones the first.
fn commonest(spectra: &[SpectrumRecord], i: usize) -> String {
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for record in spectra {
        let text = record.entries()[i].1;
        match counts.iter_mut().find(|(known, _)| *known == text) {
            Some((_, count)) => *count += 1,
            None => counts.push((text, 1)),
        }
    }
    let most = counts.iter().map(|(_, count)| *count).max().unwrap_or(0);
    counts.iter().find(|(_, count)| *count == most).map_or("", |(text, _)| text).to_owned()
}

fn face(record: &SpectrumRecord) -> String {
    let words = record.face_words.trim();
    if words.is_empty() { record.face.to_string() } else { words.to_owned() }
}

/// Where a spectrum differs from the usual conditions.
fn differences(record: &SpectrumRecord, usual: &[(&str, String)]) -> String {
    let parts: Vec<String> = record
        .entries()
        .iter()
        .zip(usual)
        .filter(|((_, text), (_, usual))| text != usual)
        .map(|((heading, text), _)| format!("{heading}: {text}"))
        .collect();
    parts.join("; ")
}

/// Findings that limit what may be said, each with the spectra that it concerns.
fn fitness(page: &mut Document, findings: &ObjectFindings) {
    let mut found: BTreeMap<(String, String, String), Vec<String>> = BTreeMap::new();
    for spot in findings.parts.iter().flat_map(|part| &part.faces).flat_map(|face| &face.spots) {
        for finding in spot.fitness.iter().filter(|f| f.severity != Severity::Note) {
            let key = (finding_name(finding), finding.consequence.clone(), finding.remedy.clone());
            let files = found.entry(key).or_default();
            if !files.contains(&spot.record.file) {
                files.push(spot.record.file.clone());
            }
        }
    }
    if found.is_empty() {
        return;
    }
    page.heading(3, "Fitness of the spectra", "fitness");
    page.table(Table::of(
        "Checks that limit what may be said",
        found,
        &[
            ("Check", Kind::Words, 16, &|row| row.0.0.as_str().into()),
            ("Consequence", Kind::Words, 27, &|row| row.0.1.as_str().into()),
            ("Remedy", Kind::Words, 27, &|row| row.0.2.as_str().into()),
            ("Spectra", Kind::Code, 30, &|row| shortened(&row.1).into()),
        ],
    ));
}

/// The first files, and how many more.
fn shortened(files: &[String]) -> String {
    /// Files that a cell names before it only counts.
    const NAMED: usize = 4;
    let named = files.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
    match files.len().saturating_sub(NAMED) {
        0 => named,
        more => format!("{named} and {more} more"),
    }
}

/// Everything that limits the answers; no length and no choice leaves it out.
pub(super) fn limits(page: &mut Document, findings: &ObjectFindings, length: Length) {
    page.heading(2, "Annex: limits and doubts", "limits");
    page.text(
        "An infrared spectrum speaks of the first micrometres of the surface at one spot.",
        Tone::Plain,
    );
    // Those of the first page are not said twice where room is short.
    let first = |limit: &&String| {
        findings.summary.iter().any(|line| line.topic == Topic::Limits && line.text == **limit)
    };
    let shown = findings.limits.iter().filter(|limit| length == Length::Full || !first(limit));
    page.list(shown.cloned().collect(), false);
    doubts(page, 3, findings);
}

/// Every doubt, where there is one.
pub(in crate::report::object) fn doubts(page: &mut Document, level: u8, findings: &ObjectFindings) {
    if !findings.warnings.is_empty() {
        page.heading(level, "Doubts met on the way", "warnings");
        page.list(findings.warnings.iter().map(|w| w.text.clone()).collect(), false);
    }
}

fn sources(page: &mut Document, findings: &ObjectFindings) {
    page.heading(2, "Annex: sources", "sources");
    if findings.sources.is_empty() {
        page.text("No statement of this report rests on a source.", Tone::Plain);
        return;
    }
    page.text(
        "“memory” means that the source was recalled and not read again; “unverified secondary” \
         that it does not carry a statement by itself.",
        Tone::Note,
    );
    page.table(Table::of(
        "What the statements rest on",
        &findings.sources,
        &[
            ("Statement", Kind::Words, 40, &|of| of.backs.as_str().into()),
            ("Source", Kind::Words, 60, &|of| sourced(&of.source, &of.status).into()),
        ],
    ));
}
