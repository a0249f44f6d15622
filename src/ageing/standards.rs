//! The sheet of standards that a calibration is made from.

use crate::tables::{Asked, Faults, read_by_hand};

/// One row: a sample of known content with an index, or with the spectrum to read it from.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct StandardRow {
    /// Name of the sample; repeats carry the same name.
    pub sample: String,
    /// Its known content.
    pub content: f64,
    /// The index, where the sheet gives it.
    pub index: Option<f64>,
    /// The spectrum's file, where the index is to be read.
    pub file: Option<String>,
}

/// All standards of one marker.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct StandardsSheet {
    /// The marker's id.
    pub marker: String,
    /// Name and unit of the content.
    pub quantity: String,
    /// The standards.
    pub rows: Vec<StandardRow>,
}

/// Reads standards: columns `marker`, `sample`, `content`, and `index` or `file`; `quantity` names
/// the content.
///
/// # Errors
///
/// Missing columns, rows with neither index nor file, and a second marker in one sheet.
pub fn read_standards(file: &str, bytes: &[u8]) -> Result<StandardsSheet, Faults> {
    const ASKED: Asked = Asked {
        columns: &["marker", "sample", "content"],
        optional: &["index", "file", "quantity"],
        loose: true,
    };
    let mut marker = String::new();
    let mut quantity = "content".to_owned();
    let rows = read_by_hand(bytes, file, ASKED, |row| {
        let here = row.required("marker");
        if marker.is_empty() {
            marker = here;
            quantity = row.optional("quantity").unwrap_or_else(|| quantity.clone());
        } else if !here.is_empty() && marker != here {
            row.refuse("marker", "the same marker in every row");
        }
        let (index, file) = (row.optional_number("index"), row.optional("file"));
        if index.is_none() && file.is_none() {
            row.refuse("index", "an index, or a spectrum under file");
        }
        StandardRow { sample: row.required("sample"), content: row.number("content"), index, file }
    })?;
    Ok(StandardsSheet { marker, quantity, rows })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_indices_and_files_and_refuses_a_row_with_neither() {
        let text = b"marker,sample,content,quantity,index,file\nCA_ACETYL,a,2.1,DS,0.009,\nCA_ACETYL,b,2.4,DS,,b.csv\n";
        let sheet = read_standards("s.csv", text).expect("readable");
        assert_eq!((sheet.marker.as_str(), sheet.quantity.as_str()), ("CA_ACETYL", "DS"));
        assert_eq!(sheet.rows[0].index, Some(0.009));
        assert_eq!(sheet.rows[1].file.as_deref(), Some("b.csv"));
        assert!(read_standards("s", b"marker,sample,content,index\nM,a,1,\n").is_err());
        assert!(read_standards("s", b"marker,sample,content,index\nM,a,1,2\nN,b,1,2\n").is_err());
        assert!(read_standards("s", b"marker,sample,content\nM,a,1\n").is_err());
    }
}
