//! Rows from a folder of CSV sheets.

use super::rows::{MOST_ROWS, Row, Section, unlike};
use crate::quote::in_marks;
use crate::tables::{Fault, Records};

/// Reads CSV sheets, each given with its section, file name and text.
pub(super) fn rows(sheets: &[(Section, String, String)]) -> Result<Vec<Row>, Vec<Fault>> {
    let mut rows = Vec::new();
    let mut faults = Vec::new();
    for (section, file, text) in sheets {
        let read = if section.single() { single } else { many };
        if let Err(fault) = read(*section, file, text, &mut rows, &mut faults) {
            faults.push(fault);
        }
    }
    if faults.is_empty() { Ok(rows) } else { Err(faults) }
}

/// A sheet of one thing: a field and its value on each line.
fn single(
    section: Section,
    file: &str,
    text: &str,
    rows: &mut Vec<Row>,
    faults: &mut Vec<Fault>,
) -> Result<(), Fault> {
    let mut row = Row::new(section, file, 1);
    let mut records = Records::of(text, file);
    let mut record = csv::StringRecord::new();
    while let Some(line) = records.next(&mut record)? {
        let line = as_usize(line);
        let mut cells = record.iter().map(str::trim);
        let field = cells.next().unwrap_or_default();
        if field.is_empty() || (line == 1 && field.eq_ignore_ascii_case("field")) {
            continue;
        }
        if row.cells.len() >= MOST_ROWS {
            return Err(row.fault(line, section.too_many()));
        }
        let value: Vec<&str> = cells.filter(|cell| !cell.is_empty()).collect();
        row.insert(field, &value.join(", "), line, faults);
    }
    rows.push(row);
    Ok(())
}

/// A sheet of many things: headings, then a row each.
fn many(
    section: Section,
    file: &str,
    text: &str,
    rows: &mut Vec<Row>,
    faults: &mut Vec<Fault>,
) -> Result<(), Fault> {
    let mut records = Records::of(text, file);
    let (mut headings, mut record) = (csv::StringRecord::new(), csv::StringRecord::new());
    records.next(&mut headings)?;
    let mut count = 0;
    while let Some(line) = records.next(&mut record)? {
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        count += 1;
        let mut row = Row::new(section, file, as_usize(line));
        if count > MOST_ROWS {
            return Err(row.fault(row.line, section.too_many()));
        }
        for (i, cell) in record.iter().enumerate().filter(|(_, cell)| !cell.trim().is_empty()) {
            let heading = headings.get(i).unwrap_or_default().trim();
            if heading.is_empty() {
                let (column, found) = (format!("column {}", i + 1), in_marks(cell));
                let what = unlike(&column, &found, "nothing, as the column has no heading");
                faults.push(row.fault(row.line, what));
            } else {
                row.insert(heading, cell, row.line, faults);
            }
        }
        rows.push(row);
    }
    Ok(())
}

/// A line as records of a manifest keep it.
fn as_usize(line: u64) -> usize {
    usize::try_from(line).unwrap_or(usize::MAX)
}
