//! A workbook: parts, chlorine, neighbours, markers, spots, sheets, what is open, care, limits, files.

use std::io::{self, Write};

use super::{ObjectReport, ObjectWriter};
use crate::fitness::Severity;
use crate::object::{ObjectFindings, PartFindings};
use crate::report::codes;
use crate::report::spreadsheet::{Sheet, Value, workbook};

/// Writes the report as a workbook, one sheet a table; no length and no choice shortens it.
#[derive(Clone, Copy, Debug, Default)]
pub struct ObjectXlsxWriter;

impl ObjectWriter for ObjectXlsxWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        let findings = report.findings;
        let sheets = [
            about(report),
            parts(findings),
            markers(findings),
            spots(findings),
            neighbours(findings),
            candidates(findings),
            open(findings),
            care(findings),
            limits(findings),
            files(findings),
        ];
        out.write_all(&workbook(&sheets)?)
    }
}

fn about(report: &ObjectReport<'_>) -> Sheet {
    let object = &report.findings.manifest.object;
    let stamp = report.stamp;
    let mut sheet = Sheet::new("Object", &["What", "Entry"]);
    for (heading, text) in [
        ("Object", object.title.as_str()),
        ("Inventory number", &object.id),
        ("Note", &object.note),
        ("Examined", &object.examined),
        ("Examined by", &object.examiner),
        ("Report printed", report.date),
        ("Program", &stamp.tool),
        ("Table", &stamp.table_version),
        ("SHA-256 of the table", &stamp.table_sha256),
    ] {
        sheet.row(vec![heading.into(), text.into()]);
    }
    for line in &report.findings.summary {
        sheet.row(vec![line.topic.heading().into(), line.text.as_str().into()]);
    }
    sheet
}

fn parts(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new(
        "Parts",
        &[
            "Part",
            "Name",
            "Group",
            "Answer",
            "Made of",
            "Chlorine",
            "Why",
            "Change",
            "Change in words",
            "Spots measured",
            "Spots judged",
            "Spots agreeing",
            "In words",
        ],
    );
    for part in &findings.parts {
        let record = &part.record;
        sheet.row(vec![
            part.id.as_str().into(),
            record.name.as_str().into(),
            if part.claim.is_some() { "candidate sheet" } else { record.group.as_str() }.into(),
            part.outcome.as_str().into(),
            super::compose::material_in_short(part).into(),
            super::compose::chlorine_in_short(part).into(),
            part.chlorine.words.as_str().into(),
            part.ageing.state.as_str().into(),
            part.ageing.sentence.as_str().into(),
            part.agreement.measured.into(),
            part.agreement.judged.into(),
            part.agreement.agreeing.into(),
            part.sentence.as_str().into(),
        ]);
    }
    sheet
}

fn markers(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new(
        "Markers",
        &[
            "Part",
            "Marker",
            "Shows",
            "Face",
            "Against",
            "Tested",
            "Scale",
            "Value",
            "Value against",
            "Change",
            "Low",
            "High",
            "p",
            "Changed",
            "Remark",
        ],
    );
    for (part, marker) in
        findings.parts.iter().flat_map(|part| part.ageing.markers.iter().map(move |m| (part, m)))
    {
        let of = |pick: fn((f64, f64, f64)) -> f64| Value::from(marker.change.map(pick));
        sheet.row(vec![
            part.id.as_str().into(),
            marker.marker.as_str().into(),
            marker.shows.as_str().into(),
            marker.face.to_string().into(),
            marker.against.to_string().into(),
            if marker.primary { "yes" } else { "no" }.into(),
            codes::change_scale(marker.scale).into(),
            marker.value.into(),
            marker.against_value.into(),
            of(|(change, ..)| change),
            of(|(_, low, _)| low),
            of(|(.., high)| high),
            marker.p_value.into(),
            if marker.changed { "yes" } else { "no" }.into(),
            marker.remark.as_str().into(),
        ]);
    }
    sheet
}

fn spots(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new(
        "Spots",
        &[
            "Part",
            "Face",
            "Spot",
            "File",
            "Spectrum",
            "Lowest cm⁻¹",
            "Highest cm⁻¹",
            "Answer",
            "What limits it",
        ],
    );
    let of_part = |part: &PartFindings, sheet: &mut Sheet| {
        for (face, spot) in part.faces.iter().flat_map(|f| f.spots.iter().map(move |s| (f, s))) {
            let found = &spot.identification;
            let doubts: Vec<&str> = spot
                .fitness
                .iter()
                .filter(|finding| finding.severity != Severity::Note)
                .map(|finding| finding.consequence.as_str())
                .collect();
            sheet.row(vec![
                part.id.as_str().into(),
                face.face.to_string().into(),
                spot.record.spot.as_str().into(),
                spot.record.file.as_str().into(),
                spot.record.block.unwrap_or(1).into(),
                spot.range_cm1.0.into(),
                spot.range_cm1.1.into(),
                found.sentence.as_str().into(),
                doubts.join("; ").into(),
            ]);
        }
    };
    for part in &findings.parts {
        of_part(part, &mut sheet);
    }
    sheet
}

fn neighbours(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new(
        "Neighbours",
        &[
            "Part",
            "Neighbour",
            "Made of",
            "How near",
            "What may happen",
            "What to do first",
            "Source",
            "Status",
        ],
    );
    for risk in &findings.neighbours {
        sheet.row(vec![
            risk.part.as_str().into(),
            risk.neighbour.as_str().into(),
            risk.neighbour_material.as_str().into(),
            risk.nearness.to_string().into(),
            risk.words.as_str().into(),
            risk.advice.as_str().into(),
            risk.source.as_str().into(),
            risk.status.as_str().into(),
        ]);
    }
    for pair in &findings.recorded_neighbours {
        for part in &pair.parts {
            sheet.row(vec![
                part.as_str().into(),
                pair.neighbour.as_str().into(),
                "".into(),
                pair.nearness.to_string().into(),
                "recorded; no rule speaks of this pair".into(),
            ]);
        }
    }
    sheet
}

fn candidates(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new("Candidate sheets", &["Sheet", "Fact", "Entry"]);
    for found in &findings.candidates {
        let id = found.record.id.as_str();
        for (fact, text) in [("finding", &found.claim.words), ("why", &found.claim.why)] {
            sheet.row(vec![id.into(), fact.into(), text.as_str().into()]);
        }
        for (fact, text) in found.side_by_side.iter().filter(|(fact, _)| fact != "finding") {
            sheet.row(vec![id.into(), fact.as_str().into(), text.as_str().into()]);
        }
    }
    sheet
}

fn open(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new("Open", &["Part", "What is open", "Order", "What would settle it"]);
    for part in &findings.unsettled {
        for (i, remedy) in part.remedies.iter().enumerate() {
            sheet.row(vec![
                part.id.as_str().into(),
                part.open.as_str().into(),
                (i + 1).into(),
                remedy.as_str().into(),
            ]);
        }
    }
    sheet
}

fn care(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new(
        "Care",
        &[
            "Material",
            "Parts",
            "Topic",
            "Advice",
            "Holds instead, by an acid indicator",
            "Source",
            "Status",
        ],
    );
    for note in &findings.care {
        sheet.row(vec![
            note.material.as_str().into(),
            note.parts.join(", ").into(),
            note.topic.as_str().into(),
            note.advice.as_str().into(),
            note.conflicts_with.join(" ").into(),
            note.source.as_str().into(),
            note.status.as_str().into(),
        ]);
    }
    sheet
}

fn limits(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new("Limits and doubts", &["Kind", "In words"]);
    for limit in &findings.limits {
        sheet.row(vec!["limit".into(), limit.as_str().into()]);
    }
    for warning in &findings.warnings {
        sheet.row(vec!["doubt met on the way".into(), warning.text.as_str().into()]);
    }
    sheet
}

fn files(findings: &ObjectFindings) -> Sheet {
    let mut sheet = Sheet::new("Files", &["File", "SHA-256"]);
    for (file, sha256) in &findings.method.files {
        sheet.row(vec![file.as_str().into(), sha256.as_str().into()]);
    }
    sheet
}
