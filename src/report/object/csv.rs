//! CSV: one row a part or candidate sheet, for a spreadsheet.

use std::io::{self, Write};

use super::{ObjectReport, ObjectWriter};
use crate::object::{AgeingState, PartFindings};
use crate::report::codes;
use crate::report::text_tools::inert_cell;
use crate::report::words;

/// The columns, in order.
const COLUMNS: [&str; 18] = [
    "id",
    "name",
    "group",
    "outcome",
    "material",
    "candidates",
    "components",
    "plasticiser",
    "chlorine_list",
    "chlorine",
    "ageing",
    "ageing_words",
    "claimed",
    "claim",
    "spots_measured",
    "spots_agreeing",
    "sentence",
    "tool_and_table",
];

/// Writes one row a part. No cell can be run as a formula.
#[derive(Clone, Copy, Debug, Default)]
pub struct ObjectCsvWriter;

impl ObjectWriter for ObjectCsvWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        let mut writer = ::csv::Writer::from_writer(out);
        writer.write_record(COLUMNS).map_err(io::Error::other)?;
        for part in &report.findings.parts {
            writer.write_record(row(report, part)).map_err(io::Error::other)?;
        }
        writer.flush()
    }
}

fn row(report: &ObjectReport<'_>, part: &PartFindings) -> [String; 18] {
    let components: Vec<&str> = part.components.iter().map(|c| c.id.as_str()).collect();
    let plasticiser = part
        .plasticiser
        .as_ref()
        .map(|p| words::plasticiser(p, |id| report.stamp.name(id).to_owned()));
    let state: AgeingState = part.ageing.state;
    let claim = part.claim.as_ref();
    let stamp = report.stamp;
    [
        part.id.clone(),
        part.record.name.clone(),
        part.record.group.clone(),
        part.outcome.as_str().to_owned(),
        part.material.clone().unwrap_or_default(),
        part.candidates.join(" "),
        components.join(" "),
        plasticiser.unwrap_or_default(),
        codes::chlorine_list(part.chlorine.list).to_owned(),
        part.chlorine.words.clone(),
        state.as_str().to_owned(),
        part.ageing.sentence.clone(),
        claim.map(|c| c.claimed.clone()).unwrap_or_default(),
        claim.map(|c| c.words.clone()).unwrap_or_default(),
        part.agreement.measured.to_string(),
        part.agreement.agreeing.to_string(),
        part.sentence.clone(),
        format!("{}; table {}", stamp.tool, stamp.table_version),
    ]
    .map(|cell| inert_cell(&cell))
}
