//! CSV: one row a part or candidate sheet, for a spreadsheet.

use std::io::{self, Write};

use super::{ObjectReport, ObjectWriter};
use crate::object::PartFindings;
use crate::report::codes;
use crate::report::sheet::{Column, Sheet};
use crate::report::words;

/// Writes one row a part. No cell can be run as a formula.
#[derive(Clone, Copy, Debug, Default)]
pub struct ObjectCsvWriter;

impl ObjectWriter for ObjectCsvWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        let rows = report.findings.parts.iter().map(|part| (report, part));
        out.write_all(Sheet::new("Parts", &columns(), rows).csv()?.as_bytes())
    }
}

fn columns<'a>() -> [Column<(&'a ObjectReport<'a>, &'a PartFindings)>; 19] {
    [
        ("id", |(_, part)| part.id.as_str().into()),
        ("name", |(_, part)| part.record.name.as_str().into()),
        ("group", |(_, part)| part.record.group.as_str().into()),
        ("outcome", |(_, part)| part.outcome.as_str().into()),
        ("material", |(_, part)| part.material.as_deref().into()),
        ("candidates", |(_, part)| part.candidates.join(" ").into()),
        ("components", |(_, part)| {
            let ids: Vec<&str> = part.components.iter().map(|c| c.id.as_str()).collect();
            ids.join(" ").into()
        }),
        ("plasticiser", |(report, part)| {
            let name = |id: &str| report.stamp.name(id).to_owned();
            part.plasticiser.as_ref().map(|p| words::plasticiser(p, name)).into()
        }),
        ("chlorine_list", |(_, part)| codes::chlorine_list(part.chlorine.list).into()),
        ("chlorine", |(_, part)| part.chlorine.words.as_str().into()),
        ("ageing", |(_, part)| part.ageing.state.as_str().into()),
        ("ageing_words", |(_, part)| part.ageing.sentence.as_str().into()),
        ("claimed", |(_, part)| part.claim.as_ref().map(|c| c.claimed.as_str()).into()),
        ("claim", |(_, part)| part.claim.as_ref().map(|c| c.words.as_str()).into()),
        ("spots_measured", |(_, part)| part.agreement.measured.into()),
        ("spots_agreeing", |(_, part)| part.agreement.agreeing.into()),
        ("spots_words", |(_, part)| part.agreement.words.as_str().into()),
        ("sentence", |(_, part)| part.sentence.as_str().into()),
        ("tool_and_table", |(report, _)| {
            format!("{}; table {}", report.stamp.tool, report.stamp.table()).into()
        }),
    ]
}
