//! From the findings to the blocks of the report: plain words, tables, method, limits, sources.

mod candidates;
pub(super) mod first;
pub(super) mod method;
mod parts;
mod pieces;

use super::{FigurePlace, LeaveOut, Length, ObjectReport};
use crate::judge::BandState;
use crate::object::{
    CareAdvice, ChlorineList, ChlorineSaid, NeighbourRisk, ObjectFindings, PartFindings, Topic,
    recorded,
};
use crate::report::document::{Block, CARE_IS_WEIGHED, Cell, Document, Kind, Table, Tone, sourced};
use crate::report::text_tools::list_words;
use pieces::{anchor, figures, mark, numbered, part_cell};
pub(super) use pieces::{change_in_short, chlorine_in_short, material_in_short, spots};

/// The topics in plain words; the others stand on the first page.
const TOPICS: [Topic; 3] = [Topic::Chlorine, Topic::Ageing, Topic::Replacement];

/// What writes a section that a report may leave out.
type Section = fn(&mut Document, &ObjectReport<'_>);

/// Builds the document.
pub(super) fn compose(report: &ObjectReport<'_>) -> Document {
    let findings = report.findings;
    let mut page = Document {
        kind: "Condition report: plastics by infrared spectroscopy",
        short_kind: "condition report",
        title: title(findings),
        about: about(report),
        notice: findings.manifest.object.note.clone(),
        foot: foot(report),
        ids: findings.parts.iter().map(|part| part.id.clone()).collect(),
        ..Document::default()
    };
    page.strip(found_cm1(findings));
    let wanted = |section: LeaveOut| !report.without.contains(&section);
    first::all(&mut page, report);
    let sections: [(LeaveOut, Section); 9] = [
        (LeaveOut::PlainWords, plain_words),
        (LeaveOut::Chlorine, chlorine),
        (LeaveOut::Neighbours, neighbours),
        (LeaveOut::Parts, parts::all),
        (LeaveOut::Sheets, candidates::all),
        (LeaveOut::Open, unsettled),
        (LeaveOut::Care, care),
        (LeaveOut::Next, next_examination),
        (LeaveOut::Method, method::all),
    ];
    for (_, section) in sections.into_iter().filter(|(name, _)| wanted(*name)) {
        section(&mut page, report);
    }
    method::limits(&mut page, findings, report.length);
    if report.length == Length::Full && wanted(LeaveOut::Annexes) {
        parts::untested_markers(&mut page, findings);
        method::annexes(&mut page, report);
    }
    unlinked(&mut page);
    page
}

/// Tool, table and date, and what this copy leaves out.
fn foot(report: &ObjectReport<'_>) -> String {
    let stamp = report.stamp;
    let mut foot = format!("{}; table {}; {}", stamp.tool, stamp.table(), recorded(report.date));
    if !report.without.is_empty() {
        let left: Vec<&str> = report.without.iter().map(LeaveOut::as_str).collect();
        foot.push_str(&format!("; left out of this copy: {}", left.join(", ")));
    }
    foot
}

/// Takes away the links to sections that a short report does not hold.
fn unlinked(page: &mut Document) {
    let anchors: std::collections::BTreeSet<String> =
        page.headings().map(|(.., anchor)| anchor.to_owned()).collect();
    for block in &mut page.blocks {
        if let Block::See(places) = block {
            places.retain(|(_, anchor)| anchors.contains(anchor));
        }
        let Block::Table(table) = block else { continue };
        for cell in table.rows.iter_mut().flatten() {
            if cell.link.as_ref().is_some_and(|link| !anchors.contains(link)) {
                cell.link = None;
            }
        }
    }
}

fn title(findings: &ObjectFindings) -> String {
    let title = findings.manifest.object.title.trim();
    if title.is_empty() { "Object without a title".to_owned() } else { title.to_owned() }
}

fn about(report: &ObjectReport<'_>) -> Vec<(String, String)> {
    let object = &report.findings.manifest.object;
    [
        ("Inventory number", object.id.as_str()),
        ("Made", &object.date_made),
        ("Maker", &object.maker),
        ("Owner or custodian", &object.owner),
        ("Place", &object.place),
        ("Size", &object.dimensions),
        ("What it is", &object.description),
        ("What it has been through", &object.history),
        ("Permission", &object.permission),
        ("Examined", &object.examined),
        ("Examined by", &object.examiner),
        ("Earlier report", &object.previous_report),
        ("Report printed", report.date),
    ]
    .into_iter()
    // Who and when must be there, written or not; the rest only where it was written.
    .filter(|(heading, text)| {
        report.length == Length::Full
            || ["Inventory number", "Examined", "Examined by"].contains(heading)
            || !text.trim().is_empty()
    })
    .map(|(heading, text)| (heading.to_owned(), recorded(text).to_owned()))
    .collect()
}

fn found_cm1(findings: &ObjectFindings) -> impl Iterator<Item = f64> {
    findings
        .parts
        .iter()
        .flat_map(|part| &part.faces)
        .flat_map(|face| &face.spots)
        .filter_map(|spot| spot.identification.ranking.first())
        .flat_map(|ranked| &ranked.evidence)
        .filter(|band| band.state == BandState::Met)
        .filter_map(|band| band.found_cm1)
}

fn plain_words(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "In plain words", "plain-words");
    if findings.summary.is_empty() {
        page.text("No statement can be made from what was measured.", Tone::Lead);
    }
    for topic in TOPICS {
        let lines = first::of_topic(findings, topic);
        if lines.is_empty() {
            continue;
        }
        page.heading(3, topic.heading(), &format!("topic-{}", topic as u8));
        match lines.as_slice() {
            [one] => page.text(one.clone(), Tone::Lead),
            _ => page.list(lines, false),
        }
    }
}

fn chlorine(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "Chlorine", "chlorine");
    page.text(
        "Containing chlorine is a property of the material. It does not say that a part gives off \
         acid or has harmed a neighbour; that needs an acid indicator or another test.",
        Tone::Note,
    );
    figures(page, report, &FigurePlace::Chlorine);
    let parts: Vec<&PartFindings> =
        findings.parts.iter().filter(|part| part.claim.is_none()).collect();
    for (anchor, heading, meaning, wanted) in [
        (
            "chlorine-0",
            "Contains chlorine",
            "By bands: seen in the spectrum. By name: the material contains it, and its own bands could \
             not be tested or were not shown.",
            &[ChlorineSaid::ByBands, ChlorineSaid::ByFluorescence, ChlorineSaid::ByName][..],
        ),
        (
            "chlorine-1",
            "Not excluded",
            "Treat these parts as chlorinated until they have been tested.",
            &[ChlorineSaid::NotExcluded, ChlorineSaid::NotTested],
        ),
        (
            "chlorine-2",
            "None detected at this surface",
            "This speaks of the surface at the measured spots.",
            &[ChlorineSaid::NoneDetected],
        ),
    ] {
        page.heading(3, heading, anchor);
        let listed: Vec<&PartFindings> =
            parts.iter().copied().filter(|part| wanted.contains(&part.chlorine.said())).collect();
        if listed.is_empty() {
            page.text("No part stands on this list.", Tone::Plain);
            continue;
        }
        page.text(meaning, Tone::Plain);
        page.table(listed_parts(heading, &listed));
    }
    let sheets: Vec<&PartFindings> =
        findings.parts.iter().filter(|part| part.claim.is_some()).collect();
    if sheets.is_empty() {
        return;
    }
    if sheets.iter().all(|sheet| sheet.chlorine.said() == ChlorineSaid::NoneDetected) {
        let ids: Vec<&str> = sheets.iter().map(|sheet| sheet.id.as_str()).collect();
        page.text(
            format!("Sheets offered: none detected at the surface of {}.", ids.join(", ")),
            Tone::Plain,
        );
    } else {
        page.heading(3, "Sheets offered", "chlorine-sheets");
        page.text(
            "No parts of the object: what is said here holds if a sheet is used.",
            Tone::Plain,
        );
        page.table(listed_parts("Chlorine of the sheets offered", &sheets));
    }
}

/// The parts of a list; those with the same reason share a row.
fn listed_parts(caption: &str, parts: &[&PartFindings]) -> Table {
    let mut rows: Vec<(Vec<String>, ChlorineList, &str, &str)> = Vec::new();
    for part in parts {
        let (how, why) = (chlorine_in_short(part), part.chlorine.words.as_str());
        match rows.iter_mut().find(|row| (row.2, row.3) == (how, why)) {
            Some(row) => row.0.push(part.id.clone()),
            None => rows.push((vec![part.id.clone()], part.chlorine.list, how, why)),
        }
    }
    let named = |ids: &[String], list: ChlorineList| {
        let link = (ids.len() == 1).then(|| anchor(&ids[0]));
        Cell { text: ids.join(", "), mark: Some(mark(list)), link, ..Cell::default() }
    };
    Table::of(
        caption,
        rows,
        &[
            ("Parts", Kind::Words, 26, &|row| named(&row.0, row.1)),
            ("How", Kind::Words, 14, &|row| row.2.into()),
            ("Why", Kind::Words, 60, &|row| row.3.into()),
        ],
    )
}

fn neighbours(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "Neighbours", "neighbours");
    if findings.neighbours.is_empty() {
        let text = if findings.manifest.neighbours.is_empty() {
            "No neighbour was recorded, so none could be judged."
        } else {
            "No rule speaks of the neighbours recorded."
        };
        page.text(text, Tone::Plain);
        as_recorded(page, findings);
        return;
    }
    page.text(
        "Each row is a pair for which a rule gives reason to look; none says that harm was done.",
        Tone::Note,
    );
    page.table(Table::of(
        "Parts and neighbours that a rule speaks of",
        merged(&findings.neighbours),
        &[
            ("Part", Kind::Words, 9, &|(parts, ..)| match parts.as_slice() {
                [one] => part_cell(one),
                several => several.join(", ").into(),
            }),
            ("Neighbour", Kind::Words, 19, &|(.., risk)| {
                let material = &risk.neighbour_material;
                format!("{} ({material}), {}", risk.neighbour, risk.nearness).into()
            }),
            ("What may happen", Kind::Words, 30, &|(_, words, _)| words.as_str().into()),
            ("What to do first", Kind::Words, 24, &|(.., risk)| risk.advice.as_str().into()),
            ("Source", Kind::Words, 18, &|(.., risk)| sourced(&risk.source, &risk.status).into()),
        ],
    ));
    as_recorded(page, findings);
}

/// Pairs that no rule speaks of: what was written of them, and nothing more.
fn as_recorded(page: &mut Document, findings: &ObjectFindings) {
    let pairs = findings.recorded_neighbours.iter().map(|pair| {
        let seen = pair.seen.trim();
        let seen = if seen.is_empty() { String::new() } else { format!(" ({seen})") };
        format!("{}{seen}, {}: {}", pair.neighbour, pair.nearness, list_words(&pair.parts, "and"))
    });
    let pairs: Vec<String> = pairs.collect();
    if !pairs.is_empty() {
        page.text("Recorded beside one another; no rule speaks of these pairs:", Tone::Plain);
        page.list(pairs, false);
    }
}

/// Pairs that differ in nothing but the part stand in one row: parts, words, first of them.
fn merged(risks: &[NeighbourRisk]) -> Vec<(Vec<String>, String, &NeighbourRisk)> {
    let mut rows: Vec<(Vec<String>, String, &NeighbourRisk)> = Vec::new();
    for risk in risks {
        // The words may begin with the part they speak of: "V02 (vane 2): …".
        let words = match risk.words.strip_prefix(risk.part.as_str()) {
            Some(rest) => rest.split_once("): ").map_or(risk.words.as_str(), |(_, words)| words),
            None => risk.words.as_str(),
        };
        let same = rows.iter_mut().find(|(_, known, first)| {
            known == words
                && first.neighbour == risk.neighbour
                && first.nearness == risk.nearness
                && first.rule == risk.rule
                && first.advice == risk.advice
        });
        match same {
            Some((parts, ..)) => parts.push(risk.part.clone()),
            None => rows.push((vec![risk.part.clone()], words.to_owned(), risk)),
        }
    }
    rows
}

fn unsettled(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "What is left open", "open");
    if findings.unsettled.is_empty() {
        page.text("Every part measured has an answer.", Tone::Plain);
        return;
    }
    page.text("Remedies stand in the order to try them.", Tone::Note);
    page.table(Table::of(
        "Parts left open, with what would settle them",
        &findings.unsettled,
        &[
            ("Part", Kind::Words, 10, &|part| part_cell(&part.id)),
            ("What is open", Kind::Words, 36, &|part| part.open.as_str().into()),
            ("What would settle it", Kind::Words, 54, &|part| numbered(&part.remedies).into()),
        ],
    ));
}

fn care(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "Care", "care");
    page.text(CARE_IS_WEIGHED, Tone::Caution);
    if findings.care.is_empty() {
        page.text("The table holds no note for the materials found.", Tone::Plain);
        return;
    }
    let full = report.length == Length::Full;
    // Which parts a material was found in stands on the first page.
    let columns: &[(&str, Kind, u32)] = if full {
        &[
            ("Material", Kind::Words, 13),
            ("Parts", Kind::Words, 14),
            ("Topic", Kind::Words, 12),
            ("Advice", Kind::Words, 39),
            ("Source", Kind::Words, 22),
        ]
    } else {
        &[("Material", Kind::Words, 10), ("Topic", Kind::Words, 12), ("Advice", Kind::Words, 78)]
    };
    let mut table = Table::new("Care notes for the materials found", columns);
    // General notes are for the shelf, not for the object: the full report has them.
    let shown = findings.care.iter().filter(|note| full || !note.material.is_empty());
    let mut told: Vec<(&str, &str)> = Vec::new();
    for note in shown {
        if told.contains(&(note.material.as_str(), note.advice.as_str())) {
            continue;
        }
        let (advice, others) = without_contradiction(note, findings);
        told.extend(others.iter().map(|other| (note.material.as_str(), *other)));
        let mut row: Vec<Cell> =
            vec![if note.material.is_empty() { "any" } else { note.material.as_str() }.into()];
        if full {
            row.push(if note.parts.is_empty() {
                "all".into()
            } else {
                note.parts.join(", ").into()
            });
        }
        row.push(note.topic.as_str().into());
        row.push(advice.into());
        if full {
            let mut sources = vec![sourced(&note.source, &note.status)];
            sources.extend(
                findings
                    .care
                    .iter()
                    .filter(|n| n.material == note.material && others.contains(&n.advice.as_str()))
                    .map(|n| sourced(&n.source, &n.status)),
            );
            sources.dedup();
            row.push(sources.join("; ").into());
        }
        table.rows.push(row);
    }
    page.table(table);
}

/// A note as one row, with the notes that it takes in: two that hold under different conditions are
/// never printed as if both held.
fn without_contradiction<'a>(
    note: &'a CareAdvice,
    findings: &ObjectFindings,
) -> (String, Vec<&'a str>) {
    let others: Vec<&str> = note.conflicts_with.iter().map(String::as_str).collect();
    if others.is_empty() {
        return (note.advice.clone(), others);
    }
    let readings: Vec<String> = findings
        .parts
        .iter()
        .filter(|part| note.parts.contains(&part.id))
        .filter(|part| !part.record.acid_indicator.trim().is_empty())
        .map(|part| format!("{}: {}", part.id, part.record.acid_indicator.trim()))
        .collect();
    let recorded = if readings.is_empty() {
        "no reading is recorded, so read one first".to_owned()
    } else {
        format!("recorded: {}", readings.join("; "))
    };
    let choices: Vec<String> = std::iter::once(note.advice.as_str())
        .chain(others.iter().copied())
        .map(str::to_owned)
        .collect();
    let text =
        format!("One or the other, by an acid indicator ({recorded}). {}", numbered(&choices));
    (text, others)
}

fn next_examination(page: &mut Document, report: &ObjectReport<'_>) {
    let next = &report.findings.manifest.next_examination;
    page.heading(2, "Next examination", "next");
    page.text("Set by the conservator; the program computes none of this.", Tone::Note);
    let pairs = [
        ("When", &next.date),
        ("Who", &next.who),
        ("Which spots", &next.spots),
        ("With which settings", &next.settings),
        ("What would bring it forward", &next.brought_forward_by),
    ];
    let told = |text: &str| report.length == Length::Full || !text.trim().is_empty();
    let pairs = pairs.into_iter().filter(|(_, text)| told(text));
    page.pairs(pairs.map(|(heading, text)| (heading, recorded(text))));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn anchors_of_different_ids_differ() {
        let anchors: std::collections::BTreeSet<String> =
            ["V01", "V 01", "V-01", "V_01", "v01", "Ü"].iter().map(|id| anchor(id)).collect();
        assert_eq!(anchors.len(), 6);
        assert!(anchors.iter().all(|a| a.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')));
    }
}
