//! The sheet of standards that a calibration is made from.

use super::sheets::{Sheet, SheetError};

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
pub fn read_standards(file: &str, bytes: &[u8]) -> Result<StandardsSheet, SheetError> {
    let sheet = Sheet::cut(file, bytes)?;
    for column in ["marker", "sample", "content"] {
        sheet.require(column)?;
    }
    if !sheet.has("index") {
        sheet.require("file")?;
    }
    let mut found =
        StandardsSheet { marker: String::new(), quantity: "content".to_owned(), rows: Vec::new() };
    for row in sheet.rows() {
        let marker = row.required_text("marker")?;
        if found.marker.is_empty() {
            marker.clone_into(&mut found.marker);
            if !row.text("quantity").is_empty() {
                row.text("quantity").clone_into(&mut found.quantity);
            }
        } else if found.marker != marker {
            return Err(row.fault("marker", "the same marker in every row"));
        }
        let index = row.number("index")?;
        let path = Some(row.text("file")).filter(|t| !t.is_empty()).map(str::to_owned);
        if index.is_none() && path.is_none() {
            return Err(row.fault("index", "an index, or a spectrum under file"));
        }
        found.rows.push(StandardRow {
            sample: row.required_text("sample")?.to_owned(),
            content: row.required_number("content")?,
            index,
            file: path,
        });
    }
    Ok(found)
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
