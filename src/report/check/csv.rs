//! CSV: one row a finding, and with a film one a band and one a figure of the scale.

use std::io::{self, Write};

use super::film::{self as film_words, TOLERANCE_CM1};
use super::{CheckEntry, CheckWriter};
use crate::fitness::FilmInterval;
use crate::report::text_tools::inert_cell;
use crate::report::words;

/// The columns, in order.
const COLUMNS: [&str; 11] = [
    "file",
    "block",
    "id",
    "value",
    "low",
    "high",
    "limit",
    "unit",
    "severity",
    "consequence",
    "remedy",
];

/// Writes rows. No cell can be run as a formula.
#[derive(Clone, Debug, Default)]
pub struct CheckCsvWriter;

impl CheckWriter for CheckCsvWriter {
    fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        row(&COLUMNS.map(str::to_owned), out)
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        if let Some(error) = &entry.error {
            Row { id: "error", consequence: error, severity: "error", ..Row::default() }
                .write(entry, out)?;
        }
        for f in &entry.findings {
            Row {
                id: &f.id,
                value: f.value,
                limit: f.limit,
                unit: &f.unit,
                severity: words::severity(f.severity),
                consequence: &f.consequence,
                remedy: &f.remedy,
                ..Row::default()
            }
            .write(entry, out)?;
        }
        film(entry, out)?;
        for warning in &entry.warnings {
            Row {
                id: &warning.id,
                severity: "warning",
                consequence: &warning.text,
                ..Row::default()
            }
            .write(entry, out)?;
        }
        Ok(())
    }

    fn end(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}

/// Writes the rows of [`CheckCsvWriter`] as a workbook; it is written whole at the end.
#[cfg(feature = "xlsx")]
#[derive(Clone, Debug, Default)]
pub struct CheckXlsxWriter {
    csv: Vec<u8>,
}

#[cfg(feature = "xlsx")]
impl CheckWriter for CheckXlsxWriter {
    fn begin(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        CheckCsvWriter.begin(&mut self.csv)
    }

    fn entry(&mut self, entry: &CheckEntry, _out: &mut dyn Write) -> io::Result<()> {
        CheckCsvWriter.entry(entry, &mut self.csv)
    }

    fn end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        let csv = String::from_utf8_lossy(&self.csv);
        out.write_all(&crate::report::spreadsheet::spreadsheet_of_csv("Checks", &csv)?)
    }
}

fn film(entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
    let Some(film) = &entry.film else { return Ok(()) };
    for band in &film.bands {
        Row {
            id: &format!("film-band-{:.1}", band.nominal),
            value: Some(band.centroid - band.nominal),
            limit: Some(TOLERANCE_CM1),
            unit: "cm⁻¹",
            severity: "figure",
            consequence: &format!(
                "measured minus {}; centroid {:.2}, minimum {:.2}",
                film_words::places_head(film),
                band.centroid,
                band.minimum
            ),
            ..Row::default()
        }
        .write(entry, out)?;
    }
    let meaning = format!("measured minus {}, 95 % interval", film_words::places_head(film));
    let mut between = |id: &str, found: FilmInterval, unit: &str| {
        Row {
            id,
            value: Some(found.value),
            low: Some(found.low),
            high: Some(found.high),
            unit,
            severity: "figure",
            consequence: &meaning,
            ..Row::default()
        }
        .write(entry, out)
    };
    between("film-scale", film.scale_ppm, "ppm")?;
    between("film-shift", film.shift, "cm⁻¹")?;
    for (at, deviation) in &film.deviations {
        Row {
            id: &format!("film-deviation-{at:.0}"),
            value: Some(*deviation),
            unit: "cm⁻¹",
            severity: "figure",
            consequence: "measured minus true",
            ..Row::default()
        }
        .write(entry, out)?;
    }
    let k = Some(film.k);
    let consequence = &super::film_verdict(film);
    Row { id: "film-k", value: k, severity: "figure", consequence, ..Row::default() }
        .write(entry, out)
}

#[derive(Default)]
struct Row<'a> {
    id: &'a str,
    value: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    limit: Option<f64>,
    unit: &'a str,
    severity: &'a str,
    consequence: &'a str,
    remedy: &'a str,
}

impl Row<'_> {
    fn write(&self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        // Plain digits with an ASCII sign: a spreadsheet must read them as numbers.
        let number = |value: Option<f64>| {
            value
                .filter(|v| v.is_finite())
                .map(|v| format!("{v:.8}"))
                .map_or_else(String::new, |text| {
                    text.trim_end_matches('0').trim_end_matches('.').to_owned()
                })
        };
        let cells = [
            inert_cell(&entry.file),
            entry.block.to_string(),
            inert_cell(self.id),
            number(self.value),
            number(self.low),
            number(self.high),
            number(self.limit),
            inert_cell(self.unit),
            self.severity.to_owned(),
            inert_cell(self.consequence),
            inert_cell(self.remedy),
        ];
        row(&cells, out)
    }
}

/// Writes one quoted row.
fn row(cells: &[String], out: &mut dyn Write) -> io::Result<()> {
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    writer.write_record(cells).map_err(io::Error::other)?;
    let bytes = writer.into_inner().map_err(|error| io::Error::other(error.to_string()))?;
    out.write_all(&bytes)
}
