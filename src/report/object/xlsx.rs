//! A workbook: parts, chlorine, neighbours, markers, spots, sheets, what is open, care, limits, files.

use std::io::{self, Write};

use super::compose::{chlorine_in_short, material_in_short};
use super::{ObjectReport, ObjectWriter};
use crate::fitness::Severity;
use crate::object::findings::{
    CareAdvice, FaceFindings, MarkerChange, NeighbourRisk, ObjectFindings, PartFindings,
    SpotFindings, UnsettledPart,
};
use crate::report::codes;
use crate::report::sheet::{Column, Sheet};
use crate::report::workbook::workbook;
use crate::tables::NeighbourRelation;

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
            pairs("Files", ["File", "SHA-256"], findings.method.files.iter().map(|(f, s)| (f, s))),
        ];
        out.write_all(&workbook(&sheets)?)
    }
}

/// A sheet of two columns of words.
fn pairs<'a, A: AsRef<str> + ?Sized + 'a, B: AsRef<str> + ?Sized + 'a>(
    name: &'static str,
    [first, second]: [&'static str; 2],
    rows: impl Iterator<Item = (&'a A, &'a B)>,
) -> Sheet {
    let columns: [Column<(&str, &str)>; 2] =
        [(first, |row| row.0.into()), (second, |row| row.1.into())];
    Sheet::new(name, &columns, rows.map(|(first, second)| (first.as_ref(), second.as_ref())))
}

fn about(report: &ObjectReport<'_>) -> Sheet {
    let object = &report.findings.manifest.object;
    let stamp = report.stamp;
    let facts = [
        ("Object", object.title.as_str()),
        ("Inventory number", &object.id),
        ("Note", &object.note),
        ("Examined", &object.examined),
        ("Examined by", &object.examiner),
        ("Report printed", report.date),
        ("Program", &stamp.tool),
        ("Table", &stamp.table_version),
        ("SHA-256 of the table", &stamp.table_sha256),
    ];
    let summary = report.findings.summary.iter();
    let summary = summary.map(|line| (line.topic.heading(), line.text.as_str()));
    pairs("Object", ["What", "Entry"], facts.into_iter().chain(summary))
}

fn parts(findings: &ObjectFindings) -> Sheet {
    let columns: [Column<&PartFindings>; 14] = [
        ("Part", |part| part.id.as_str().into()),
        ("Name", |part| part.record.name.as_str().into()),
        ("Group", |part| match &part.claim {
            Some(_) => "candidate sheet".into(),
            None => part.record.group.as_str().into(),
        }),
        ("Answer", |part| part.outcome.as_str().into()),
        ("Made of", |part| material_in_short(part).into()),
        ("Chlorine", |part| chlorine_in_short(part).into()),
        ("Why", |part| part.chlorine.words.as_str().into()),
        ("Change", |part| part.ageing.state.as_str().into()),
        ("Change in words", |part| part.ageing.sentence.as_str().into()),
        ("Spots measured", |part| part.agreement.measured.into()),
        ("Spots judged", |part| part.agreement.judged.into()),
        ("Spots agreeing", |part| part.agreement.agreeing.into()),
        ("What the spots say", |part| part.agreement.words.as_str().into()),
        ("In words", |part| part.sentence.as_str().into()),
    ];
    Sheet::new("Parts", &columns, &findings.parts)
}

fn markers(findings: &ObjectFindings) -> Sheet {
    let columns: [Column<(&PartFindings, &MarkerChange)>; 15] = [
        ("Part", |(part, _)| part.id.as_str().into()),
        ("Marker", |(_, marker)| marker.marker.as_str().into()),
        ("Shows", |(_, marker)| marker.shows.as_str().into()),
        ("Face", |(_, marker)| marker.face.to_string().into()),
        ("Against", |(_, marker)| marker.against.to_string().into()),
        ("Tested", |(_, marker)| marker.primary.into()),
        ("Scale", |(_, marker)| codes::change_scale(marker.scale).into()),
        ("Value", |(_, marker)| marker.value.into()),
        ("Value against", |(_, marker)| marker.against_value.into()),
        ("Change", |(_, marker)| marker.change.map(|(change, ..)| change).into()),
        ("Low", |(_, marker)| marker.change.map(|(_, low, _)| low).into()),
        ("High", |(_, marker)| marker.change.map(|(.., high)| high).into()),
        ("p", |(_, marker)| marker.p_value.into()),
        ("Changed", |(_, marker)| marker.changed.into()),
        ("Remark", |(_, marker)| marker.remark.as_str().into()),
    ];
    let of = |part| -> &PartFindings { part };
    let rows = findings.parts.iter().map(of);
    Sheet::new(
        "Markers",
        &columns,
        rows.flat_map(|part| part.ageing.markers.iter().map(move |marker| (part, marker))),
    )
}

fn spots(findings: &ObjectFindings) -> Sheet {
    let columns: [Column<(&PartFindings, &FaceFindings, &SpotFindings)>; 9] = [
        ("Part", |(part, ..)| part.id.as_str().into()),
        ("Face", |(_, face, _)| face.face.to_string().into()),
        ("Spot", |(.., spot)| spot.record.spot.as_str().into()),
        ("File", |(.., spot)| spot.record.file.as_str().into()),
        ("Spectrum", |(.., spot)| spot.record.block.unwrap_or(1).into()),
        ("Lowest cm⁻¹", |(.., spot)| spot.range_cm1.0.into()),
        ("Highest cm⁻¹", |(.., spot)| spot.range_cm1.1.into()),
        ("Answer", |(.., spot)| spot.identification.sentence.as_str().into()),
        ("What limits it", |(.., spot)| {
            let doubts = spot.fitness.iter().filter(|found| found.severity != Severity::Note);
            let doubts: Vec<&str> = doubts.map(|found| found.consequence.as_str()).collect();
            doubts.join("; ").into()
        }),
    ];
    let faces = findings.parts.iter().flat_map(|p| p.faces.iter().map(move |face| (p, face)));
    let spots = faces.flat_map(|(p, face)| face.spots.iter().map(move |spot| (p, face, spot)));
    Sheet::new("Spots", &columns, spots)
}

/// A part and what stands near it: part, neighbour, how near, and the rule that speaks of the pair.
type Pair<'a> = (&'a str, &'a str, NeighbourRelation, Option<&'a NeighbourRisk>);

fn neighbours(findings: &ObjectFindings) -> Sheet {
    let columns: [Column<Pair<'_>>; 8] = [
        ("Part", |pair| pair.0.into()),
        ("Neighbour", |pair| pair.1.into()),
        ("Made of", |pair| pair.3.map(|risk| risk.neighbour_material.as_str()).into()),
        ("How near", |pair| pair.2.to_string().into()),
        ("What may happen", |pair| {
            pair.3.map_or("recorded; no rule speaks of this pair", |risk| &risk.words).into()
        }),
        ("What to do first", |pair| pair.3.map(|risk| risk.advice.as_str()).into()),
        ("Source", |pair| pair.3.map(|risk| risk.source.as_str()).into()),
        ("Status", |pair| pair.3.map(|risk| risk.status.as_str()).into()),
    ];
    let judged = findings.neighbours.iter();
    let judged = judged.map(|r| (r.part.as_str(), r.neighbour.as_str(), r.nearness, Some(r)));
    let recorded = findings.recorded_neighbours.iter().flat_map(|pair| {
        pair.parts.iter().map(|part| (part.as_str(), pair.neighbour.as_str(), pair.nearness, None))
    });
    Sheet::new("Neighbours", &columns, judged.chain(recorded))
}

fn candidates(findings: &ObjectFindings) -> Sheet {
    let columns: [Column<(&str, &str, &str)>; 3] = [
        ("Sheet", |row| row.0.into()),
        ("Fact", |row| row.1.into()),
        ("Entry", |row| row.2.into()),
    ];
    let rows = findings.candidates.iter().flat_map(|found| {
        let id = found.record.id.as_str();
        let claim = [(id, "finding", found.claim.words.as_str()), (id, "why", &found.claim.why)];
        let facts = found.side_by_side.iter().filter(|(fact, _)| fact != "finding");
        claim.into_iter().chain(facts.map(move |(fact, text)| (id, fact.as_str(), text.as_str())))
    });
    Sheet::new("Candidate sheets", &columns, rows)
}

fn open(findings: &ObjectFindings) -> Sheet {
    let columns: [Column<(&UnsettledPart, usize, &str)>; 4] = [
        ("Part", |row| row.0.id.as_str().into()),
        ("What is open", |row| row.0.open.as_str().into()),
        ("Order", |row| row.1.into()),
        ("What would settle it", |row| row.2.into()),
    ];
    let rows = findings.unsettled.iter().flat_map(|part| {
        (1..).zip(&part.remedies).map(move |(order, remedy)| (part, order, remedy.as_str()))
    });
    Sheet::new("Open", &columns, rows)
}

fn care(findings: &ObjectFindings) -> Sheet {
    let columns: [Column<&CareAdvice>; 7] = [
        ("Material", |note| note.material.as_str().into()),
        ("Parts", |note| note.parts.join(", ").into()),
        ("Topic", |note| note.topic.as_str().into()),
        ("Advice", |note| note.advice.as_str().into()),
        ("Holds instead, by an acid indicator", |note| note.conflicts_with.join(" ").into()),
        ("Source", |note| note.source.as_str().into()),
        ("Status", |note| note.status.as_str().into()),
    ];
    Sheet::new("Care", &columns, &findings.care)
}

fn limits(findings: &ObjectFindings) -> Sheet {
    let limits = findings.limits.iter().map(|limit| ("limit", limit.as_str()));
    let doubts = findings.warnings.iter().map(|w| ("doubt met on the way", w.text.as_str()));
    pairs("Limits and doubts", ["Kind", "In words"], limits.chain(doubts))
}
