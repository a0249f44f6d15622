//! CSV and a workbook: one row a spectrum, for a spreadsheet.

use std::io::{self, Write};

use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions, answer};
use crate::judge::{BandState, Component, Identification, Relation};
use crate::report::sheet::{Column, Decimals, Sheet, Value, cells, csv_of};
use crate::report::text_tools::list_words;
use crate::report::{codes, words};
use crate::tables::in_permission;

/// A row: whose table judged, and what was found.
pub(super) type Row<'a> = (&'a Stamp, &'a IdentificationEntry);

/// The columns, in order.
pub(super) fn columns<'a>() -> [Column<Row<'a>>; 28] {
    [
        ("file", |(_, entry)| entry.file.as_str().into()),
        ("block", |(_, entry)| entry.block.into()),
        ("title", |(_, entry)| entry.title.as_deref().into()),
        ("outcome", |row| of(row, |found| words::outcome(found.outcome))),
        ("material", |row| of(row, |found| found.material.clone())),
        ("candidates", |row| of(row, |found| list_words(&found.candidates, "or"))),
        ("components", |row| {
            of(row, |found| {
                let named = found.components.iter();
                let named: Vec<String> = named
                    .map(|c| {
                        let main = c.relation == Relation::Main && found.material.is_none();
                        let open = main && found.candidates.contains(&c.id);
                        let id =
                            if open { list_words(&found.candidates, "or") } else { c.id.clone() };
                        format!("{id} ({})", words::relation(c.relation))
                    })
                    .collect();
                named.join("; ")
            })
        }),
        ("sentence", |row| of(row, |found| found.sentence.clone())),
        // A column for people: its words have blanks.
        ("chlorine_bands", |row| {
            of(row, |found| codes::chlorine_bands(found.chlorine.bands).replace('-', " "))
        }),
        ("chlorine_by_identity", |row| {
            of(row, |found| codes::chlorine_by_identity(found.chlorine.by_identity))
        }),
        ("chlorine_why", |row| of(row, |found| found.chlorine.why.clone())),
        ("plasticiser", |row| {
            let name = |id: &str| row.0.name(id).to_owned();
            of(row, |found| found.plasticiser.as_ref().map(|p| words::plasticiser(p, name)))
        }),
        ("bands_met", |row| bands(row.1, BandState::Met).into()),
        ("bands_missing", |row| bands(row.1, BandState::Missing).into()),
        ("bands_untestable", |row| bands(row.1, BandState::Untestable).into()),
        ("settled_by", |row| {
            of(row, |found| found.unsettled.as_ref().map(|open| in_permission(&open.settled_by)))
        }),
        ("ordinate", |(_, entry)| entry.ordinate.map(|(o, _)| words::ordinate(o)).into()),
        ("mode", |(_, entry)| entry.mode.map(|(m, _)| words::mode(m)).into()),
        ("low_cm1", |(_, entry)| place_cm1(entry.range_cm1.map(|(low, _)| low))),
        ("high_cm1", |(_, entry)| place_cm1(entry.range_cm1.map(|(_, high)| high))),
        ("unexplained_cm1", |row| {
            of(row, |found| {
                let places = found.unexplained.iter().map(|(place, _)| format!("{place:.0}"));
                places.collect::<Vec<_>>().join(" ")
            })
        }),
        ("required_untested_cm1", |row| {
            of(row, |found| {
                let main = found.components.first().into_iter();
                let bands = main.flat_map(Component::required_untested);
                let places = bands.map(|band| format!("{:.0}", band.expected_cm1));
                places.collect::<Vec<_>>().join(" ")
            })
        }),
        ("cautions", |(_, entry)| {
            let cautions: Vec<String> = answer::cautions(entry).map(words::finding_words).collect();
            cautions.join("; ").into()
        }),
        ("warnings", |(_, entry)| {
            let warnings: Vec<&str> = entry.warnings.iter().map(|w| w.text.as_str()).collect();
            warnings.join("; ").into()
        }),
        ("error", |(_, entry)| entry.error.as_deref().into()),
        ("tool_and_table", |(stamp, _)| format!("{}; table {}", stamp.tool, stamp.table()).into()),
        ("sha256", |(_, entry)| entry.sha256.as_str().into()),
        ("references", |(_, entry)| {
            entry.second_opinion.as_ref().map(|opinion| opinion.words.as_str()).into()
        }),
    ]
}

/// A value of what was found; blank where nothing could be judged.
fn of<T: Into<Value>>(row: &Row<'_>, value: impl FnOnce(&Identification) -> T) -> Value {
    row.1.identification.as_ref().map(value).into()
}

fn place_cm1(place: Option<f64>) -> Value {
    Value::number(place, Decimals::Fixed(1))
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
        out.write_all(Sheet::new("", &columns(), []).csv()?.as_bytes())
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        out.write_all(csv_of([&cells(&columns(), &(stamp, entry))])?.as_bytes())
    }
}

/// Writes the rows of [`CsvWriter`] as a workbook; it is written whole at the end.
#[cfg(feature = "xlsx")]
#[derive(Clone, Debug)]
pub struct XlsxWriter {
    sheet: Sheet,
}

#[cfg(feature = "xlsx")]
impl XlsxWriter {
    /// Creates the writer; no option changes it.
    #[must_use]
    pub fn new(_options: &WriteOptions) -> Self {
        Self { sheet: Sheet::new("Spectra", &columns(), []) }
    }
}

#[cfg(feature = "xlsx")]
impl IdentificationWriter for XlsxWriter {
    fn begin(&mut self, _stamp: &Stamp, _out: &mut dyn Write) -> io::Result<()> {
        self.sheet.rows.clear();
        Ok(())
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        _out: &mut dyn Write,
    ) -> io::Result<()> {
        self.sheet.rows.push(cells(&columns(), &(stamp, entry)));
        Ok(())
    }

    fn end(&mut self, _stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(&self.sheet.xlsx()?)
    }
}
