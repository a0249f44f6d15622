//! Rows from a folder of CSV sheets.

use super::rows::{MOST_ROWS, Row, Section};
use crate::object::error::{Fault, FaultKind, quoted};

/// Reads CSV sheets, each given with its section, file name and text.
pub(super) fn rows(sheets: &[(Section, String, String)]) -> Result<Vec<Row>, Vec<Fault>> {
    let mut rows = Vec::new();
    let mut faults = Vec::new();
    for (section, file, text) in sheets {
        if section.single() {
            rows.extend(single(*section, file, text, &mut faults));
        } else {
            many(*section, file, text, &mut rows, &mut faults);
        }
    }
    if faults.is_empty() { Ok(rows) } else { Err(faults) }
}

/// A sheet of one thing: a field and its value on each line.
fn single(section: Section, file: &str, text: &str, faults: &mut Vec<Fault>) -> Option<Row> {
    let mut row = Row::new(section, file, 1);
    for (line, record) in records(file, text, faults)? {
        let mut cells = record.iter();
        let field = cells.next().map_or("", String::as_str).trim().to_owned();
        let value: Vec<&str> =
            cells.map(|cell| cell.trim()).filter(|cell| !cell.is_empty()).collect();
        if field.is_empty() || (line == 1 && field.eq_ignore_ascii_case("field")) {
            continue;
        }
        if row.cells.len() >= MOST_ROWS {
            let kind = FaultKind::TooMany { section: section.name(), limit: MOST_ROWS };
            faults.push(row.fault(line, kind));
            break;
        }
        row.insert(&field, &value.join(", "), line, faults);
    }
    Some(row)
}

/// A sheet of many things: headings, then a row each.
fn many(section: Section, file: &str, text: &str, rows: &mut Vec<Row>, faults: &mut Vec<Fault>) {
    let Some(records) = records(file, text, faults) else { return };
    let mut records = records.into_iter();
    let Some((_, headings)) = records.next() else { return };
    let mut count = 0;
    for (line, record) in records {
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        count += 1;
        let mut row = Row::new(section, file, line);
        if count > MOST_ROWS {
            let kind = FaultKind::TooMany { section: section.name(), limit: MOST_ROWS };
            faults.push(row.fault(line, kind));
            return;
        }
        for (i, cell) in record.iter().enumerate() {
            let heading = headings.get(i).map_or("", String::as_str).trim();
            if heading.is_empty() {
                if !cell.trim().is_empty() {
                    let kind = FaultKind::Value {
                        field: format!("column {}", i + 1),
                        found: quoted(cell),
                        expected: "nothing, as the column has no heading".to_owned(),
                    };
                    faults.push(row.fault(line, kind));
                }
            } else if !cell.trim().is_empty() {
                row.insert(heading, cell, line, faults);
            }
        }
        rows.push(row);
    }
}

type Record = (usize, Vec<String>);

/// Splits a sheet into records with their lines; the separator is the one its first line has most of.
fn records(file: &str, text: &str, faults: &mut Vec<Fault>) -> Option<Vec<Record>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = text.lines().next().unwrap_or("");
    let separator = [',', ';', '\t']
        .into_iter()
        .max_by_key(|&c| (first.matches(c).count(), c == ','))
        .unwrap_or(',');
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(u8::try_from(separator).unwrap_or(b','))
        .from_reader(text.as_bytes());
    let mut records = Vec::new();
    for record in reader.records() {
        match record {
            Ok(record) => {
                let line = record.position().map_or(0, csv::Position::line);
                let line = usize::try_from(line).unwrap_or(usize::MAX);
                records.push((line, record.iter().map(str::to_owned).collect()));
            }
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                let line = usize::try_from(line).unwrap_or(usize::MAX);
                let kind = FaultKind::Syntax(format!("not CSV: {error}"));
                faults.push(Fault { file: file.to_owned(), line, kind });
                return None;
            }
        }
    }
    Some(records)
}
