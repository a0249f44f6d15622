//! The sheet that says what each spectrum is from which shapes are made.

use crate::tables::{MeasuredBy, ShapeOrigin, SourceClass, Sourcing, Status};

/// Columns of the sheet; the first three are required.
const COLUMNS: [&str; 8] =
    ["file", "materials", "laboratory", "mode", "made_from", "column", "licence", "source"];

/// How many of [`COLUMNS`] are required.
const REQUIRED: usize = 3;

/// Faults listed at once.
const MOST_FAULTS: usize = 20;

/// One row of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct ShapeLabel {
    /// The file, beside the sheet or by a path from there.
    pub file: String,
    /// Ids of the materials that it may be, blank-separated in the sheet.
    pub materials: Vec<String>,
    /// Who measured it: a data set or a laboratory.
    pub laboratory: String,
    /// How it was measured; ATR where the cell is empty.
    pub mode: MeasuredBy,
    /// Measured, or computed from optical constants.
    pub made_from: ShapeOrigin,
    /// The column of absorbances in the file, where it must be named.
    pub column: Option<String>,
    /// Licence of the data.
    pub licence: String,
    /// Where the data come from.
    pub sourcing: Sourcing,
}

/// Reads the sheet's rows.
///
/// # Errors
///
/// A line for each fault, up to 20, with the sheet's name and the line.
pub fn read_shape_labels(bytes: &[u8], name: &str) -> Result<Vec<ShapeLabel>, Vec<String>> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let first_line = bytes.split(|b| *b == b'\n').next().unwrap_or_default();
    let separator = if first_line.contains(&b';') { b';' } else { b',' };
    let mut reader =
        csv::ReaderBuilder::new().delimiter(separator).flexible(true).from_reader(bytes);
    let header = match reader.headers() {
        Ok(header) => header.clone(),
        Err(error) => return Err(vec![format!("{name}:1: not a CSV sheet: {error}")]),
    };
    let place = COLUMNS.map(|column| header.iter().position(|heading| heading.trim() == column));
    let mut faults: Vec<String> = COLUMNS
        .iter()
        .zip(&place)
        .take(REQUIRED)
        .filter(|(_, place)| place.is_none())
        .map(|(column, _)| format!("{name}:1: column \"{column}\" is missing"))
        .collect();
    for heading in header.iter().map(str::trim).filter(|heading| !COLUMNS.contains(heading)) {
        let known = COLUMNS.join(", ");
        faults.push(format!("{name}:1: unknown column \"{heading:.40}\"; known: {known}"));
    }
    let mut labels = Vec::new();
    for (at, record) in reader.records().enumerate() {
        if faults.len() >= MOST_FAULTS {
            break;
        }
        let line = at + 2;
        let Ok(record) = record else {
            faults.push(format!("{name}:{line}: not text in UTF-8; save the sheet as UTF-8"));
            continue;
        };
        let cell = |column: usize| {
            let found = place.get(column).copied().flatten().and_then(|i| record.get(i));
            found.unwrap_or_default().trim()
        };
        if (0..COLUMNS.len()).all(|column| cell(column).is_empty()) {
            continue;
        }
        let materials: Vec<String> = cell(1).split_whitespace().map(str::to_owned).collect();
        if cell(0).is_empty() || materials.is_empty() || cell(2).is_empty() {
            faults.push(format!("{name}:{line}: file, materials and laboratory must all be given"));
            continue;
        }
        let Some(mode) = word_or(cell(3), MeasuredBy::Atr, MeasuredBy::ALL, MeasuredBy::as_str)
        else {
            faults.push(format!(
                "{name}:{line}: mode \"{:.40}\"; known: any, atr, transmission",
                cell(3)
            ));
            continue;
        };
        let Some(made_from) =
            word_or(cell(4), ShapeOrigin::Spectra, ShapeOrigin::ALL, ShapeOrigin::as_str)
        else {
            faults.push(format!(
                "{name}:{line}: made_from \"{:.40}\"; known: spectra, optical-constants",
                cell(4)
            ));
            continue;
        };
        let stated = |text: &str| if text.is_empty() { "not stated" } else { text }.to_owned();
        labels.push(ShapeLabel {
            file: cell(0).to_owned(),
            materials,
            laboratory: cell(2).to_owned(),
            mode,
            made_from,
            column: Some(cell(5).to_owned()).filter(|column| !column.is_empty()),
            licence: stated(cell(6)),
            sourcing: Sourcing {
                source: stated(cell(7)),
                class: SourceClass::MeasuredData,
                status: Status::Computed,
            },
        });
    }
    if faults.is_empty() { Ok(labels) } else { Err(faults) }
}

fn word_or<T: Copy>(cell: &str, empty: T, all: &[T], word: fn(T) -> &'static str) -> Option<T> {
    if cell.is_empty() {
        return Some(empty);
    }
    all.iter().copied().find(|value| word(*value) == cell)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_rows_with_what_they_leave_out() {
        let text = "file;laboratory;materials;licence\na.csv;north;PS PS-HI;CC0\n;;;\n";
        let labels = read_shape_labels(text.as_bytes(), "labels.csv").expect("rows");
        assert_eq!(labels.len(), 1);
        assert_eq!(labels[0].materials, ["PS", "PS-HI"]);
        assert_eq!(labels[0].mode, MeasuredBy::Atr);
        assert_eq!(labels[0].made_from, ShapeOrigin::Spectra);
        assert_eq!(labels[0].licence, "CC0");
        assert_eq!(labels[0].sourcing.source, "not stated");
    }

    #[test]
    fn lists_every_fault_with_its_line() {
        let text = "file,materials,laboratory,mode,colour\na.csv,PS,north,seen,\n,PS,north,,\n";
        let faults = read_shape_labels(text.as_bytes(), "labels.csv").expect_err("faults");
        assert_eq!(faults.len(), 3, "{faults:?}");
        assert!(faults[0].starts_with("labels.csv:1: unknown column \"colour\""), "{faults:?}");
        assert!(faults[1].starts_with("labels.csv:2: mode \"seen\""), "{faults:?}");
        assert!(faults[2].starts_with("labels.csv:3: file, materials"), "{faults:?}");
        let missing = read_shape_labels(b"file,materials\n", "l.csv").expect_err("faults");
        assert_eq!(missing, ["l.csv:1: column \"laboratory\" is missing"]);
    }
}
