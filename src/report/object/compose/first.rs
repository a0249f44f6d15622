//! The first page: what every part is made of, what to do first, what stays open, and room to sign.

use super::super::ObjectReport;
use super::pieces::{
    change_in_short, chlorine_in_short, mark, material_in_short, part_cell, spots,
};
use crate::object::{ObjectFindings, PartFindings, PartOutcome, Topic};
use crate::report::document::{Block, Cell, Document, Kind, Table, Tone};
use crate::report::text_tools::list_words;

/// Writes the page; a long table of parts runs on.
pub(super) fn all(page: &mut Document, report: &ObjectReport<'_>) {
    let findings = report.findings;
    page.heading(2, "What was found", "found");
    page.table(table(report));
    lists(page, 3, findings);
    let examiner =
        ["Conclusion", "Agrees with the program, or differs in", "Name", "Date", "Signature"];
    let examiner = examiner.into_iter().map(|h| (h.to_owned(), String::new())).collect();
    page.blocks.push(Block::Signatures { tool: Vec::new(), examiner });
    let more = [
        ("chlorine part by part", "chlorine"),
        ("what is left open, with every way to settle it", "open"),
        ("care", "care"),
        ("every limit and doubt", "limits"),
    ];
    let more = more.into_iter().map(|(words, to)| (words.to_owned(), to.to_owned())).collect();
    page.blocks.push(Block::See(more));
    page.text(
        "Spots: how many stand behind the answer, of how many were measured. Every answer speaks \
         of the surface at these spots, not of the whole part. The program orders materials by the \
         bands found there; it concludes nothing about the object.",
        Tone::Note,
    );
}

/// What to know and to do first, what stays open, and the limits; a list that holds nothing is left out.
pub(in crate::report::object) fn lists(page: &mut Document, level: u8, findings: &ObjectFindings) {
    for (heading, anchor, lines) in [
        (Topic::Records.heading(), "records", of_topic(findings, Topic::Records)),
        (Topic::Action.heading(), "first", of_topic(findings, Topic::Action)),
        ("What stays open, and what would settle it", "left-open", open(findings)),
        (Topic::Limits.heading(), "limits-in-short", limits(findings)),
    ] {
        if !lines.is_empty() {
            page.heading(level, heading, anchor);
            page.list(lines, false);
        }
    }
}

/// The lines of a topic.
pub(super) fn of_topic(findings: &ObjectFindings, topic: Topic) -> Vec<String> {
    let lines = findings.summary.iter().filter(|line| line.topic == topic);
    lines.map(|line| line.text.clone()).collect()
}

/// The limits in three lines, and how many more there are.
fn limits(findings: &ObjectFindings) -> Vec<String> {
    let mut lines = of_topic(findings, Topic::Limits);
    let more = findings.limits.iter().filter(|limit| !lines.contains(limit)).count();
    let doubts = findings.warnings.len();
    let doubts = match doubts {
        0 => String::new(),
        1 => ", and one doubt met on the way".to_owned(),
        many => format!(", and {many} doubts met on the way"),
    };
    if more > 0 || !doubts.is_empty() {
        lines.push(format!("{more} more limits{doubts}: see the annex of the report."));
    }
    lines
}

/// What stays open: parts, question, first remedy; parts with the same share a line.
fn open(findings: &ObjectFindings) -> Vec<String> {
    let mut lines: Vec<(Vec<String>, &str, Option<&String>)> = Vec::new();
    for part in &findings.unsettled {
        let first = part.remedies.first();
        match lines.iter_mut().find(|(_, open, way)| *open == part.open && *way == first) {
            Some((ids, ..)) => ids.push(part.id.clone()),
            None => lines.push((vec![part.id.clone()], &part.open, first)),
        }
    }
    lines
        .into_iter()
        .map(|(ids, open, first)| {
            let ids = list_words(&ids, "and");
            match first {
                Some(first) => format!("{ids}: {open}. To settle it: {first}."),
                None => format!("{ids}: {open}."),
            }
        })
        .collect()
}

/// The parts, and the sheets below them, one row each.
fn table(report: &ObjectReport<'_>) -> Table {
    Table::of(
        "All parts at a glance",
        report.findings.parts.iter().filter(|part| part.claim.is_none()),
        &[
            ("Part", Kind::Words, 9, &|part| part_cell(&part.id)),
            ("Name", Kind::Words, 25, &|part| part.record.name.as_str().into()),
            ("Made of", Kind::Words, 22, &|part| material_in_short(part).into()),
            ("Chlorine", Kind::Words, 16, &|part| chlorine(part)),
            ("Change", Kind::Words, 16, &|part| change_in_short(part).into()),
            ("Spots", Kind::Number, 12, &|part| spots(part).into()),
        ],
    )
}

fn chlorine(part: &PartFindings) -> Cell {
    let text = chlorine_in_short(part).to_owned();
    let measured = part.outcome != PartOutcome::NotMeasured;
    let mark = measured.then(|| mark(part.chlorine.list));
    Cell { text, mark, link: None, ..Cell::default() }
}
