//! The sheet that says what each spectrum is from which shapes are made.

use crate::tables::{
    Asked, Faults, MeasuredBy, ShapeOrigin, SourceClass, Sourcing, Status, read_by_hand,
};

const ASKED: Asked = Asked {
    columns: &["file", "materials", "laboratory"],
    optional: &["mode", "made_from", "column", "licence", "source"],
    loose: false,
};

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
/// Missing or unknown columns, cells that may not be empty, and unknown words.
pub fn read_shape_labels(bytes: &[u8], name: &str) -> Result<Vec<ShapeLabel>, Faults> {
    let stated = |text: Option<String>| text.unwrap_or_else(|| "not stated".to_owned());
    read_by_hand(bytes, name, ASKED, |row| ShapeLabel {
        file: row.required("file"),
        materials: row.required_list("materials"),
        laboratory: row.required("laboratory"),
        mode: row.optional_word("mode").unwrap_or(MeasuredBy::Atr),
        made_from: row.optional_word("made_from").unwrap_or(ShapeOrigin::Spectra),
        column: row.optional("column"),
        licence: stated(row.optional("licence")),
        sourcing: Sourcing {
            source: stated(row.optional("source")),
            class: SourceClass::MeasuredData,
            status: Status::Computed,
        },
    })
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
        let told: Vec<String> = faults.all().iter().map(ToString::to_string).collect();
        assert_eq!(told.len(), 3, "{told:?}");
        assert!(told[0].starts_with("labels.csv:1: unknown column \"colour\""), "{told:?}");
        assert!(told[1].starts_with("labels.csv:2 (a.csv): column mode: unknown word"), "{told:?}");
        assert_eq!(told[2], "labels.csv:3: column file: empty");
    }
}
