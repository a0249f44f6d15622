//! CSV: one row a spectrum, for a spreadsheet.

use std::io::{self, Write};

use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions};
use crate::judge::BandState;
use crate::report::codes;
use crate::report::text_tools::{inert_cell, list_words};
use crate::report::words;

/// The columns, in order.
const COLUMNS: [&str; 25] = [
    "file",
    "block",
    "title",
    "outcome",
    "material",
    "candidates",
    "components",
    "sentence",
    "chlorine_bands",
    "chlorine_by_identity",
    "chlorine_why",
    "plasticiser",
    "bands_met",
    "bands_missing",
    "bands_untestable",
    "settled_by",
    "ordinate",
    "mode",
    "low_cm1",
    "high_cm1",
    "warnings",
    "error",
    "tool_and_table",
    "sha256",
    "references",
];

/// Writes one row a spectrum. No cell can be run as a formula.
#[derive(Clone, Debug)]
pub struct CsvWriter;

impl CsvWriter {
    /// Creates the writer; no option changes it.
    #[must_use]
    pub fn new(_options: &WriteOptions) -> Self {
        Self
    }
}

impl IdentificationWriter for CsvWriter {
    fn begin(&mut self, _stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        row(&COLUMNS.map(str::to_owned), out)
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        row(&cells(stamp, entry), out)
    }

    fn end(&mut self, _stamp: &Stamp, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}

/// Writes the rows of [`CsvWriter`] as a workbook; it is written whole at the end.
#[cfg(feature = "xlsx")]
#[derive(Clone, Debug)]
pub struct XlsxWriter {
    rows: CsvWriter,
    csv: Vec<u8>,
}

#[cfg(feature = "xlsx")]
impl XlsxWriter {
    /// Creates the writer; no option changes it.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        Self { rows: CsvWriter::new(options), csv: Vec::new() }
    }
}

#[cfg(feature = "xlsx")]
impl IdentificationWriter for XlsxWriter {
    fn begin(&mut self, stamp: &Stamp, _out: &mut dyn Write) -> io::Result<()> {
        self.rows.begin(stamp, &mut self.csv)
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        _out: &mut dyn Write,
    ) -> io::Result<()> {
        self.rows.entry(stamp, entry, &mut self.csv)
    }

    fn end(&mut self, _stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        let csv = String::from_utf8_lossy(&self.csv);
        out.write_all(&crate::report::spreadsheet::spreadsheet_of_csv("Spectra", &csv)?)
    }
}

/// Writes one quoted row.
fn row(cells: &[String], out: &mut dyn Write) -> io::Result<()> {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    writer.write_record(cells).map_err(io::Error::other)?;
    let bytes = writer.into_inner().map_err(|error| io::Error::other(error.to_string()))?;
    out.write_all(&bytes)
}

/// The bands of the first material shown that are in a state, as whole wavenumbers.
fn bands(entry: &IdentificationEntry, state: BandState) -> String {
    let shown = entry.evidence(0);
    let bands = shown.first().map_or(&[][..], |(_, bands)| bands);
    let positions: Vec<String> = bands
        .iter()
        .filter(|band| band.state == state)
        .map(|band| format!("{:.0}", band.expected_cm1))
        .collect();
    positions.join(" ")
}

fn cells(stamp: &Stamp, entry: &IdentificationEntry) -> [String; 25] {
    let text = |text: &str| inert_cell(text);
    let found = entry.identification.as_ref();
    let of = |value: Option<&str>| text(value.unwrap_or_default());
    let components: Vec<String> = found
        .map(|f| {
            f.components
                .iter()
                .map(|c| format!("{} ({})", c.id, words::relation(c.relation)))
                .collect()
        })
        .unwrap_or_default();
    let warnings: Vec<&str> = entry.warnings.iter().map(|w| w.text.as_str()).collect();
    [
        text(&entry.file),
        entry.block.to_string(),
        of(entry.title.as_deref()),
        found.map(|f| words::outcome(f.outcome).to_owned()).unwrap_or_default(),
        of(found.and_then(|f| f.material.as_deref())),
        text(&found.map(|f| list_words(&f.candidates, "or")).unwrap_or_default()),
        text(&components.join("; ")),
        of(found.map(|f| f.sentence.as_str())),
        // A column for people: its words have blanks.
        of(found.map(|f| codes::chlorine_bands(f.chlorine.bands))).replace('-', " "),
        of(found.map(|f| codes::chlorine_by_identity(f.chlorine.by_identity))),
        of(found.map(|f| f.chlorine.why.as_str())),
        text(
            &found
                .and_then(|f| f.plasticiser.as_ref())
                .map(|p| words::plasticiser(p, |id| stamp.name(id).to_owned()))
                .unwrap_or_default(),
        ),
        bands(entry, BandState::Met),
        bands(entry, BandState::Missing),
        bands(entry, BandState::Untestable),
        of(found.and_then(|f| f.unsettled.as_ref()).map(|u| u.settled_by.as_str())),
        entry.ordinate.map(|(o, _)| words::ordinate(o).to_owned()).unwrap_or_default(),
        entry.mode.map(|(m, _)| words::mode(m).to_owned()).unwrap_or_default(),
        entry.range_cm1.map(|(low, _)| format!("{low:.1}")).unwrap_or_default(),
        entry.range_cm1.map(|(_, high)| format!("{high:.1}")).unwrap_or_default(),
        text(&warnings.join("; ")),
        of(entry.error.as_deref()),
        text(&format!("{}; table {}", stamp.tool, stamp.table_version)),
        text(&entry.sha256),
        of(entry.second_opinion.as_ref().map(|opinion| opinion.words.as_str())),
    ]
}
