//! From the findings to the blocks of the report: plain words, tables, method, limits, sources.

mod candidates;
mod method;
mod parts;

use super::document::{Block, Cell, Document, Kind, Table, Tone};
use super::{FigurePlace, ObjectReport};
use crate::judge::BandState;
use crate::object::{ChlorineList, ListedPart, NeighbourRisk, ObjectFindings, Topic, recorded};

/// Two found bands nearer than this are one line of the strip at the head, in cm⁻¹.
const STRIP_STEP_CM1: f64 = 2.0;

/// The topics of the first page, in order.
const TOPICS: [Topic; 5] =
    [Topic::Chlorine, Topic::Ageing, Topic::Replacement, Topic::Action, Topic::Limits];

/// Builds the document.
pub(super) fn compose(report: &ObjectReport<'_>) -> Document {
    let findings = report.findings;
    let mut page = Document {
        kind: "Condition report: plastics by infrared spectroscopy",
        title: title(findings),
        about: about(report),
        notice: findings.manifest.object.note.clone(),
        found_cm1: found_cm1(findings),
        blocks: Vec::new(),
        foot: format!(
            "{}; table {}; {}",
            report.stamp.tool,
            report.stamp.table_version,
            recorded(report.date)
        ),
    };
    plain_words(&mut page, findings);
    chlorine(&mut page, report);
    neighbours(&mut page, findings);
    parts::all(&mut page, report);
    candidates::all(&mut page, report);
    unsettled(&mut page, findings);
    care(&mut page, findings);
    next_examination(&mut page, findings);
    method::all(&mut page, report);
    signatures(&mut page, report);
    page
}

/// The anchor of a part's section.
pub(super) fn anchor(id: &str) -> String {
    let mut out = String::from("part-");
    for character in id.chars() {
        if character.is_ascii_alphanumeric() {
            out.push(character);
        } else {
            // Every other character keeps its number, so that two ids never share an anchor.
            out.push_str(&format!("-{:x}-", u32::from(character)));
        }
    }
    out
}

/// A cell that names a part and leads to its section.
pub(super) fn part_cell(id: &str) -> Cell {
    Cell { text: id.to_owned(), mark: None, link: Some(anchor(id)) }
}

/// Adds the figures of a place.
pub(super) fn figures(page: &mut Document, report: &ObjectReport<'_>, place: &FigurePlace) {
    for (i, figure) in report.figures.iter().enumerate() {
        if figure.place == *place {
            page.blocks.push(Block::Figure(i));
        }
    }
}

/// The list a part stands on, in words.
pub(super) fn list_words(list: ChlorineList) -> &'static str {
    match list {
        ChlorineList::Shown => "shown",
        ChlorineList::ImpliedOrNotExcluded => "implied or not excluded",
        ChlorineList::NoneDetected => "none detected at this surface",
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
    .map(|(heading, text)| (heading.to_owned(), recorded(text).to_owned()))
    .collect()
}

fn found_cm1(findings: &ObjectFindings) -> Vec<f64> {
    let mut found: Vec<f64> = findings
        .parts
        .iter()
        .flat_map(|part| &part.faces)
        .flat_map(|face| &face.spots)
        .filter_map(|spot| spot.identification.ranking.first())
        .flat_map(|ranked| &ranked.evidence)
        .filter(|band| band.state == BandState::Met)
        .filter_map(|band| band.found_cm1)
        .filter(|position| position.is_finite())
        .collect();
    found.sort_by(f64::total_cmp);
    found.dedup_by(|next, kept| *next - *kept < STRIP_STEP_CM1);
    found
}

fn plain_words(page: &mut Document, findings: &ObjectFindings) {
    page.heading(2, "In plain words", "plain-words");
    if findings.summary.is_empty() {
        page.text("No statement can be made from what was measured.", Tone::Lead);
    }
    for topic in TOPICS {
        let lines: Vec<String> = findings
            .summary
            .iter()
            .filter(|line| line.topic == topic)
            .map(|line| line.text.clone())
            .collect();
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
    let lists = &findings.chlorine;
    for (list, parts, heading, meaning) in [
        (ChlorineList::Shown, &lists.shown, "Chlorine shown", ""),
        (
            ChlorineList::ImpliedOrNotExcluded,
            &lists.implied_or_not_excluded,
            "Chlorine implied or not excluded",
            "Treat these parts as chlorinated until they have been tested.",
        ),
        (
            ChlorineList::NoneDetected,
            &lists.none_detected,
            "None detected at this surface",
            "This speaks of the surface at the measured spots.",
        ),
    ] {
        page.heading(3, heading, &format!("chlorine-{}", list as u8));
        if parts.is_empty() {
            page.text("No part stands on this list.", Tone::Plain);
            continue;
        }
        page.text(meaning, Tone::Plain);
        page.table(listed(heading, list, parts));
    }
}

fn listed(caption: &str, list: ChlorineList, parts: &[ListedPart]) -> Table {
    let mut table = Table::new(caption, &[("Part", Kind::Words, 14), ("Why", Kind::Words, 86)]);
    for part in parts {
        let name = Cell { mark: Some(list), ..part_cell(&part.id) };
        table.rows.push(vec![name, part.why.as_str().into()]);
    }
    table
}

fn neighbours(page: &mut Document, findings: &ObjectFindings) {
    page.heading(2, "Neighbours", "neighbours");
    if findings.neighbours.is_empty() {
        let text = if findings.manifest.neighbours.is_empty() {
            "No neighbour was recorded, so none could be judged."
        } else {
            "No rule speaks of the neighbours recorded."
        };
        page.text(text, Tone::Plain);
        return;
    }
    page.text(
        "Each row is a pair for which a rule gives reason to look; none says that harm was done.",
        Tone::Note,
    );
    let mut table = Table::new(
        "Parts and neighbours that a rule speaks of",
        &[
            ("Part", Kind::Words, 9),
            ("Neighbour", Kind::Words, 19),
            ("What may happen", Kind::Words, 30),
            ("What to do first", Kind::Words, 24),
            ("Source", Kind::Words, 18),
        ],
    );
    for (parts, words, risk) in merged(&findings.neighbours) {
        table.rows.push(vec![
            if parts.len() == 1 { part_cell(&risk.part) } else { parts.join(", ").into() },
            format!("{} ({}), {}", risk.neighbour, risk.neighbour_material, risk.nearness).into(),
            words.into(),
            risk.advice.as_str().into(),
            sourced(&risk.source, &risk.status).into(),
        ]);
    }
    page.table(table);
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

/// A source with its status, where that limits it.
pub(super) fn sourced(source: &str, status: &str) -> String {
    match status {
        "" | "verified" => source.to_owned(),
        other => format!("{source} [{other}]"),
    }
}

fn unsettled(page: &mut Document, findings: &ObjectFindings) {
    page.heading(2, "What is left open", "open");
    if findings.unsettled.is_empty() {
        page.text("Every part measured has an answer.", Tone::Plain);
        return;
    }
    page.text("Remedies stand in the order to try them.", Tone::Note);
    let mut table = Table::new(
        "Parts left open, with what would settle them",
        &[
            ("Part", Kind::Words, 10),
            ("What is open", Kind::Words, 36),
            ("What would settle it", Kind::Words, 54),
        ],
    );
    for part in &findings.unsettled {
        table.rows.push(vec![
            part_cell(&part.id),
            part.open.as_str().into(),
            numbered(&part.remedies).into(),
        ]);
    }
    page.table(table);
}

/// "(1) …; (2) …", or the item alone.
pub(super) fn numbered(items: &[String]) -> String {
    match items {
        [one] => one.clone(),
        _ => {
            let items: Vec<String> =
                items.iter().enumerate().map(|(i, t)| format!("({}) {t}", i + 1)).collect();
            items.join("; ")
        }
    }
}

fn care(page: &mut Document, findings: &ObjectFindings) {
    page.heading(2, "Care", "care");
    page.text(
        "Notes to weigh, not orders: the conservator in charge, local rules, safety data sheets \
         and licensed practice come first.",
        Tone::Caution,
    );
    if findings.care.is_empty() {
        page.text("The table holds no note for the materials found.", Tone::Plain);
        return;
    }
    let mut table = Table::new(
        "Care notes for the materials found",
        &[
            ("Material", Kind::Words, 13),
            ("Parts", Kind::Words, 12),
            ("Topic", Kind::Words, 13),
            ("Advice", Kind::Words, 40),
            ("Source", Kind::Words, 22),
        ],
    );
    for note in &findings.care {
        let mut advice = note.advice.clone();
        for other in &note.conflicts_with {
            advice.push_str(&format!(" Against this stands: {other}"));
        }
        table.rows.push(vec![
            if note.material.is_empty() { "any" } else { note.material.as_str() }.into(),
            if note.parts.is_empty() { "all".to_owned() } else { note.parts.join(", ") }.into(),
            note.topic.as_str().into(),
            advice.into(),
            sourced(&note.source, &note.status).into(),
        ]);
    }
    page.table(table);
}

fn next_examination(page: &mut Document, findings: &ObjectFindings) {
    let next = &findings.manifest.next_examination;
    page.heading(2, "Next examination", "next");
    page.text("Set by the conservator; the program computes none of this.", Tone::Note);
    let pairs = [
        ("When", &next.date),
        ("Who", &next.who),
        ("Which spots", &next.spots),
        ("With which settings", &next.settings),
        ("What would bring it forward", &next.brought_forward_by),
    ];
    page.pairs(pairs.into_iter().map(|(h, t)| (h.to_owned(), recorded(t).to_owned())).collect());
}

fn signatures(page: &mut Document, report: &ObjectReport<'_>) {
    page.heading(2, "Output of the program, and conclusion of the examiner", "signatures");
    let tool = vec![
        ("Written by".to_owned(), report.stamp.tool.clone()),
        ("Judged by table".to_owned(), report.stamp.table_version.clone()),
        ("SHA-256 of the table".to_owned(), report.stamp.table_sha256.clone()),
        (
            "What it is".to_owned(),
            "An order of materials by the bands found at the measured spots. It concludes nothing \
             about the object."
                .to_owned(),
        ),
    ];
    let examiner =
        ["Conclusion", "Agrees with the program, or differs in", "Name", "Date", "Signature"];
    let examiner = examiner.into_iter().map(|h| (h.to_owned(), String::new())).collect();
    page.blocks.push(Block::Signatures { tool, examiner });
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
