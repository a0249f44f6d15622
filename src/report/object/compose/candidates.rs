//! Candidate sheets: side by side, then one by one. Facts, no purchase advice.

use super::super::{Length, ObjectReport};
use super::parts;
use super::pieces::{numbered, part_cell};
use crate::object::{Bending, CandidateFindings, Original, UvVisible, recorded};
use crate::report::document::{Cell, Document, Kind, Table, Tone, sourced};
use crate::report::words;

/// The facts that a short report holds side by side: what the claim is judged by, and what the curve asks.
const IN_SHORT: &[&str] =
    &["claim", "finding", "chlorine", "plasticiser", "held strain", "UV-visible transmittance"];

pub(super) fn all(page: &mut Document, report: &ObjectReport<'_>) {
    let candidates = &report.findings.candidates;
    if candidates.is_empty() {
        return;
    }
    page.heading(2, "Candidate sheets", "candidates");
    page.text(
        "Facts about the sheets as measured and as recorded. This is no advice to buy, and each \
         batch is tested before use.",
        Tone::Note,
    );
    page.table(overview(candidates));
    side_by_side(page, candidates, report.length);
    if report.length == Length::Short {
        return;
    }
    for candidate in candidates {
        match report.findings.parts.iter().find(|part| part.id == candidate.record.id) {
            Some(part) => parts::section(page, report, part),
            None => page.heading(3, &candidate.record.id, &super::anchor(&candidate.record.id)),
        }
        one(page, candidate);
    }
}

fn overview(candidates: &[CandidateFindings]) -> Table {
    Table::of(
        "Candidate sheets against what the seller claims",
        candidates,
        &[
            ("Sheet", Kind::Words, 10, &|sheet| part_cell(&sheet.record.id)),
            ("Claimed", Kind::Words, 12, &|sheet| sheet.claim.claimed.as_str().into()),
            ("Finding", Kind::Words, 30, &|sheet| sheet.claim.words.as_str().into()),
            ("Why", Kind::Words, 48, &|sheet| sheet.claim.why.as_str().into()),
        ],
    )
}

/// One table with a column a sheet, the original first, where there are few enough to stand side by
/// side.
fn side_by_side(page: &mut Document, candidates: &[CandidateFindings], length: Length) {
    /// Sheets that fit beside each other and beside the original on a page.
    const MOST: usize = 3;
    for group in candidates.chunks(MOST) {
        let mut headings: Vec<&str> = Vec::new();
        for (heading, _) in group.iter().flat_map(|candidate| &candidate.side_by_side) {
            if !headings.contains(&heading.as_str()) {
                headings.push(heading);
            }
        }
        // Sheets may replace different parts: each original has a column, those alike share one.
        let mut originals: Vec<&Original> = Vec::new();
        for original in group.iter().filter_map(|candidate| candidate.original.as_ref()) {
            if !originals.contains(&original) {
                originals.push(original);
            }
        }
        let headed: Vec<String> =
            originals.iter().map(|o| format!("Original: {}", o.parts.join(", "))).collect();
        let share = 82 / (group.len() + originals.len()).max(1) as u32;
        let mut columns = vec![("Fact", Kind::Words, 18)];
        columns.extend(headed.iter().map(|heading| (heading.as_str(), Kind::Words, share)));
        columns.extend(group.iter().map(|c| (c.record.id.as_str(), Kind::Words, share)));
        let ids: Vec<String> = group.iter().map(|c| c.record.id.clone()).collect();
        let ids = crate::report::text_tools::list_words(&ids, "and");
        let beside = if originals.is_empty() { "" } else { " beside what they would replace" };
        let mut table = Table::new(&format!("Side by side: {ids}{beside}"), &columns);
        for heading in headings {
            let mut row: Vec<Cell> = vec![heading.into()];
            row.extend(originals.iter().map(|original| {
                let found = original.facts.iter().find(|(h, _)| h == heading);
                found.map_or("–", |(_, text)| text.as_str()).into()
            }));
            row.extend(group.iter().map(|candidate| {
                let found = candidate.side_by_side.iter().find(|(h, _)| h == heading);
                recorded(found.map_or("", |(_, text)| text.as_str())).into()
            }));
            if length == Length::Full || IN_SHORT.contains(&heading) {
                table.rows.push(row);
            }
        }
        page.table(table);
    }
}

fn one(page: &mut Document, candidate: &CandidateFindings) {
    let record = &candidate.record;
    let millimetres =
        |value: Option<f64>| value.map_or_else(String::new, |v| format!("{} mm", words::number(v)));
    let thickness = match (record.thickness_mm, record.thickness_tolerance_mm) {
        (Some(_), Some(tolerance)) => {
            format!("{} ± {}", millimetres(record.thickness_mm), words::number(tolerance))
        }
        _ => millimetres(record.thickness_mm),
    };
    let pairs = [
        ("Maker", record.maker.as_str()),
        ("Grade", &record.grade),
        ("Batch", &record.batch),
        ("Process", &record.process),
        ("Thickness", &thickness),
        ("UV-protected side", &record.uv_side),
        ("Masking film", &record.masking_film),
        ("Data sheet of", &record.data_sheet_date),
        ("Oddy test", &record.oddy_test),
        ("Photographic activity test", &record.photographic_activity_test),
        ("Off-cut kept at", &record.off_cut),
        ("Fixing", &record.fixing),
        ("Adhesive and cleaner", &record.adhesive_and_cleaner),
        ("Reversibility", &record.reversibility),
        ("Other result", &record.other_result),
    ];
    page.pairs(pairs.into_iter().map(|(heading, text)| (heading, recorded(text))));
    if !candidate.claim.settled_by.is_empty() {
        let settled = numbered(&candidate.claim.settled_by);
        page.text(format!("What would settle the claim: {settled}."), Tone::Plain);
    }
    if let Some(light) = &candidate.uv_visible {
        page.text(light_words(light), Tone::Plain);
    }
    bending(page, &record.id, &candidate.bending);
    if !candidate.test_first.is_empty() {
        let tests = numbered(&candidate.test_first);
        page.text(format!("To test first, on each batch: {tests}."), Tone::Plain);
    }
    if !candidate.alternatives.is_empty() {
        page.text(format!("Alternatives: {}.", candidate.alternatives.join("; ")), Tone::Plain);
    }
}

fn light_words(light: &UvVisible) -> String {
    let percent = |value: Option<f64>| {
        value.map_or_else(|| "not covered".to_owned(), |v| format!("{:.1} %", 100.0 * v))
    };
    format!(
        "Transmittance ({}): mean 315–400 nm {}, mean 400–780 nm {}, at 380 nm {}, at 400 nm {}.",
        light.file,
        percent(light.mean_315_400),
        percent(light.mean_400_780),
        percent(light.at_380),
        percent(light.at_400)
    )
}

fn bending(page: &mut Document, id: &str, bending: &Bending) {
    match bending {
        Bending::Refused { why } => {
            page.text(format!("Held on the object's curve: not answered, {why}."), Tone::Plain);
        }
        Bending::Strain {
            radius_mm,
            thickness_mm,
            strain,
            strain_thickest,
            multiple,
            published,
            words: said,
        } => {
            page.text(said.clone(), Tone::Plain);
            let caption = format!("{id} held on the object's smallest curve");
            let percent = |v: f64| format!("{} %", words::number(100.0 * v));
            let figures = [
                ("Radius to the concave face", format!("{} mm", words::number(*radius_mm))),
                ("Thickness", format!("{} mm", words::number(*thickness_mm))),
                ("Surface strain t/(2R + t)", percent(*strain)),
                ("Surface strain at the thickest", percent(*strain_thickest)),
                ("Radius over thickness", words::number(*multiple)),
            ]
            .map(|(figure, value)| (figure, value, "this report".to_owned()));
            let limits = published.iter().map(|limit| {
                let source = sourced(&limit.source, &limit.status);
                (limit.words.as_str(), words::number(limit.multiple), source)
            });
            page.table(Table::of(
                &caption,
                figures.into_iter().chain(limits),
                &[
                    ("Figure", Kind::Words, 40, &|row| row.0.into()),
                    ("Value", Kind::Number, 18, &|row| row.1.as_str().into()),
                    ("Source", Kind::Words, 42, &|row| row.2.as_str().into()),
                ],
            ));
        }
    }
}
