//! `references.csv`: what each reference spectrum of a folder was measured on.

use super::ReferenceLabel;

/// The sheet's name in the folder.
pub const REFERENCE_SHEET: &str = "references.csv";

/// Its columns; the first two are required.
const COLUMNS: [&str; 6] = ["file", "material", "maker", "grade", "batch", "vouched_by"];

/// Faults listed at once.
const MOST_FAULTS: usize = 20;

/// Why a sheet was refused: one line a fault.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.join("\n"))]
#[non_exhaustive]
pub struct ReferenceSheetError(
    /// Each with file, line, what was found and what to do.
    pub Vec<String>,
);

/// Reads the sheet's rows.
///
/// Columns may stand in any order; a byte order mark and semicolons are taken as a spreadsheet
/// writes them.
///
/// # Errors
///
/// Missing or unknown columns, rows without file or material, paths that leave the folder, and
/// files named twice; every fault is listed, up to 20.
pub fn read_reference_sheet(
    bytes: &[u8],
    name: &str,
) -> Result<Vec<ReferenceLabel>, ReferenceSheetError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let first_line = bytes.split(|b| *b == b'\n').next().unwrap_or_default();
    let separator = if first_line.contains(&b';') { b';' } else { b',' };
    let mut reader =
        csv::ReaderBuilder::new().delimiter(separator).flexible(true).from_reader(bytes);
    let fault = |line: u64, text: String| format!("{name}:{line}: {text}");
    let one = |text: String| ReferenceSheetError(vec![text]);
    let header = reader.headers().map_err(|e| one(fault(1, format!("not a CSV sheet: {e}"))))?;
    let mut place = [None; COLUMNS.len()];
    for (i, heading) in header.iter().enumerate() {
        match COLUMNS.iter().position(|column| *column == heading.trim()) {
            Some(column) => place[column] = Some(i),
            None => {
                return Err(one(fault(
                    1,
                    format!("unknown column \"{}\"; known: {}", heading.trim(), COLUMNS.join(", ")),
                )));
            }
        }
    }
    for (column, found) in COLUMNS.iter().zip(&place).take(2) {
        if found.is_none() {
            return Err(one(fault(1, format!("column \"{column}\" is missing"))));
        }
    }
    let mut labels: Vec<ReferenceLabel> = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    let mut faults = Vec::new();
    for record in reader.records() {
        if faults.len() == MOST_FAULTS {
            break;
        }
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                faults.push(fault(line, "not text in UTF-8; save the sheet as UTF-8".to_owned()));
                continue;
            }
        };
        let line = record.position().map_or(0, csv::Position::line);
        let cell = |column: usize| {
            let text = place[column].and_then(|i| record.get(i)).unwrap_or_default();
            text.trim().to_owned()
        };
        let label = ReferenceLabel {
            file: cell(0),
            material: cell(1),
            maker: cell(2),
            grade: cell(3),
            batch: cell(4),
            vouched_by: cell(5),
        };
        if label.file.is_empty() && label.material.is_empty() {
            continue;
        }
        if label.file.is_empty() || label.material.is_empty() {
            faults.push(fault(line, "file and material must both be given".to_owned()));
        } else if !stays_inside(&label.file) {
            faults.push(fault(
                line,
                format!("\"{:.40}\" leaves the folder; give a name inside it", label.file),
            ));
        } else if !seen.insert(label.file.clone()) {
            faults.push(fault(line, format!("\"{:.40}\" is named twice", label.file)));
        } else {
            labels.push(label);
        }
    }
    if faults.is_empty() { Ok(labels) } else { Err(ReferenceSheetError(faults)) }
}

/// Returns whether a path names something inside its folder, on any system.
fn stays_inside(file: &str) -> bool {
    use std::path::{Component, Path};
    !file.contains('\\')
        && !file.contains(':')
        && Path::new(file).components().all(|part| matches!(part, Component::Normal(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_a_sheet_as_a_spreadsheet_writes_it() {
        let text = "\u{feff}material;file;batch\r\nPETG;n1.csv;7\r\n;;\r\nPVC;old/v1.dx;\r\n";
        let labels = read_reference_sheet(text.as_bytes(), "references.csv").expect("rows");
        assert_eq!(labels.len(), 2);
        assert_eq!(labels[0].batch, "7");
        assert_eq!(labels[1].file, "old/v1.dx");
    }

    #[test]
    fn lists_every_fault_with_its_line() {
        let text = "file,material\na.csv,PVC\n../x.csv,PVC\na.csv,PC\n,PC\n";
        let error = read_reference_sheet(text.as_bytes(), "references.csv").expect_err("faults");
        assert_eq!(
            error.0,
            [
                "references.csv:3: \"../x.csv\" leaves the folder; give a name inside it",
                "references.csv:4: \"a.csv\" is named twice",
                "references.csv:5: file and material must both be given",
            ]
        );
    }

    #[test]
    fn refuses_unknown_and_missing_columns() {
        let unknown = read_reference_sheet(b"file,material,colour\n", "r.csv").expect_err("column");
        assert!(unknown.to_string().starts_with("r.csv:1: unknown column \"colour\""), "{unknown}");
        let missing = read_reference_sheet(b"file,maker\n", "r.csv").expect_err("column");
        assert_eq!(missing.to_string(), "r.csv:1: column \"material\" is missing");
    }
}
