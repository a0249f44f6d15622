//! `references.csv`: what each reference spectrum of a folder was measured on.

use std::collections::HashSet;

use super::ReferenceLabel;
use crate::tables::{Asked, Faults, read_by_hand};

/// The sheet's name in the folder.
pub const REFERENCE_SHEET: &str = "references.csv";

const ASKED: Asked = Asked {
    columns: &["file", "material"],
    optional: &["maker", "grade", "batch", "vouched_by"],
    loose: false,
};

/// Reads the sheet's rows.
///
/// # Errors
///
/// Missing or unknown columns, rows without file or material, paths that leave the folder, and
/// files named twice.
pub fn read_reference_sheet(bytes: &[u8], name: &str) -> Result<Vec<ReferenceLabel>, Faults> {
    let mut seen = HashSet::new();
    read_by_hand(bytes, name, ASKED, |row| {
        let file = row.required("file");
        if !stays_inside(&file) {
            row.fault("file", "leaves the folder; give a name inside it".to_owned());
        } else if !file.is_empty() && !seen.insert(file.clone()) {
            row.fault("file", "is named twice".to_owned());
        }
        ReferenceLabel {
            file,
            material: row.required("material"),
            maker: row.text("maker"),
            grade: row.text("grade"),
            batch: row.text("batch"),
            vouched_by: row.text("vouched_by"),
        }
    })
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
            error.to_string(),
            "references.csv:3 (../x.csv): column file: leaves the folder; give a name inside it\n\
             references.csv:4 (a.csv): column file: is named twice\n\
             references.csv:5: column file: empty"
        );
    }
}
