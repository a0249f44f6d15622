//! CSV and a workbook: one row a finding, and with a film one a band and one a figure of the scale.

use std::borrow::Cow;
use std::io::{self, Write};

use super::film::{self as film_words, TOLERANCE_CM1};
use super::{CheckEntry, CheckWriter};
use crate::fitness::{FilmCheck, FilmInterval};
use crate::report::sheet::{Column, Decimals, Sheet, Value, cells, csv_of};
use crate::report::words;

/// The columns, in order.
fn columns<'a>() -> [Column<Row<'a>>; 11] {
    [
        ("file", |row| row.file.into()),
        ("block", |row| row.block.into()),
        ("id", |row| row.id.as_ref().into()),
        ("value", |row| figure(row.value)),
        ("low", |row| figure(row.low)),
        ("high", |row| figure(row.high)),
        ("limit", |row| figure(row.limit)),
        ("unit", |row| row.unit.into()),
        ("severity", |row| row.severity.into()),
        ("consequence", |row| row.consequence.as_ref().into()),
        ("remedy", |row| row.remedy.into()),
    ]
}

fn figure(value: Option<f64>) -> Value {
    Value::number(value, Decimals::UpTo(8))
}

#[derive(Default)]
struct Row<'a> {
    file: &'a str,
    block: usize,
    id: Cow<'a, str>,
    value: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    limit: Option<f64>,
    unit: &'a str,
    severity: &'a str,
    consequence: Cow<'a, str>,
    remedy: &'a str,
}

/// The rows of a spectrum: what failed, findings, the film, warnings.
fn rows(entry: &CheckEntry) -> Vec<Row<'_>> {
    let mut rows = Vec::new();
    let error = entry.error.iter();
    rows.extend(error.map(|error| said("error", "error", error)));
    rows.extend(entry.findings.iter().map(|found| Row {
        value: found.value,
        limit: found.limit,
        unit: &found.unit,
        remedy: &found.remedy,
        ..said(&found.id, words::severity(found.severity), &found.consequence)
    }));
    if let Some(check) = &entry.film {
        film(check, &mut rows);
    }
    let warnings = entry.warnings.iter();
    rows.extend(warnings.map(|warning| said(&warning.id, "warning", &warning.text)));
    for row in &mut rows {
        (row.file, row.block) = (&entry.file, entry.block);
    }
    rows
}

/// A row without figures.
fn said<'a>(id: &'a str, severity: &'a str, consequence: &'a str) -> Row<'a> {
    Row { id: id.into(), severity, consequence: consequence.into(), ..Row::default() }
}

fn film<'a>(film: &FilmCheck, rows: &mut Vec<Row<'a>>) {
    let against = film_words::places_head(film);
    rows.extend(film.bands.iter().map(|band| {
        Row {
            id: format!("film-band-{:.1}", band.nominal).into(),
            value: Some(band.centroid - band.nominal),
            limit: Some(TOLERANCE_CM1),
            unit: "cm⁻¹",
            severity: "figure",
            consequence: format!(
                "measured minus {against}; centroid {:.2}, minimum {:.2}",
                band.centroid, band.minimum
            )
            .into(),
            ..Row::default()
        }
    }));
    let between = |id: &'a str, found: FilmInterval, unit: &'a str| Row {
        id: id.into(),
        value: Some(found.value),
        low: Some(found.low),
        high: Some(found.high),
        unit,
        severity: "figure",
        consequence: format!("measured minus {against}, 95 % interval").into(),
        ..Row::default()
    };
    rows.push(between("film-scale", film.scale_ppm, "ppm"));
    rows.push(between("film-shift", film.shift, "cm⁻¹"));
    rows.extend(film.deviations.iter().map(|(at, deviation)| Row {
        id: format!("film-deviation-{at:.0}").into(),
        value: Some(*deviation),
        unit: "cm⁻¹",
        severity: "figure",
        consequence: "measured minus true".into(),
        ..Row::default()
    }));
    rows.push(Row {
        id: "film-k".into(),
        value: Some(film.k),
        severity: "figure",
        consequence: super::film_verdict(film).into(),
        ..Row::default()
    });
}

/// The rows of a spectrum as cells.
fn cells_of(entry: &CheckEntry) -> Vec<Vec<Value>> {
    rows(entry).iter().map(|row| cells(&columns(), row)).collect()
}

/// Writes rows. No cell can be run as a formula.
#[derive(Clone, Debug, Default)]
pub struct CheckCsvWriter;

impl CheckWriter for CheckCsvWriter {
    fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(Sheet::new("", &columns(), []).csv()?.as_bytes())
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(csv_of(&cells_of(entry))?.as_bytes())
    }
}

/// Writes the rows of [`CheckCsvWriter`] as a workbook; it is written whole at the end.
#[cfg(feature = "xlsx")]
#[derive(Clone, Debug, Default)]
pub struct CheckXlsxWriter {
    sheet: Sheet,
}

#[cfg(feature = "xlsx")]
impl CheckWriter for CheckXlsxWriter {
    fn begin(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        self.sheet = Sheet::new("Checks", &columns(), []);
        Ok(())
    }

    fn entry(&mut self, entry: &CheckEntry, _out: &mut dyn Write) -> io::Result<()> {
        self.sheet.rows.extend(cells_of(entry));
        Ok(())
    }

    fn end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(&self.sheet.xlsx()?)
    }
}
