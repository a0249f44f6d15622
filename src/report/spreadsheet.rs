//! Workbooks for a spreadsheet: one sheet a table, a head row that stays, numbers as numbers.
//!
//! A CSV opened in a spreadsheet loses "cm⁻¹" to a wrong encoding and takes decimal points for dates or
//! text where a comma is the custom. Here every cell has its type.

use std::io;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, XlsxError};

use super::text_tools::visible;

/// Rows that a sheet of the format holds, its head among them (ECMA-376, part 1: 1 048 576).
const MOST_ROWS: usize = 1_048_576;

/// Characters that a cell holds (32 767, as spreadsheets state it; memory).
const MOST_CHARACTERS: usize = 32_767;

/// Width of a column in characters: from this to that, by what stands in it.
const WIDTH: (usize, usize) = (8, 48);

/// Rows looked at for the width of a column.
const ROWS_FOR_WIDTH: usize = 200;

/// Headings of the tables whose cells are figures; what stands under them as text stays text.
const FIGURES: &[&str] = &[
    "angle_deg",
    "block",
    "change",
    "contact_change",
    "content",
    "content_high",
    "content_low",
    "critical_angle_deg",
    "critical_index",
    "crystal_index",
    "depth_ratio",
    "depth_um",
    "detection_limit",
    "high",
    "high_cm1",
    "limit",
    "low",
    "low_cm1",
    "p",
    "p_corrected",
    "quantification_limit",
    "sample_index",
    "smallest_detectable",
    "spots_agreeing",
    "spots_measured",
    "value",
    "wavenumber_cm1",
];

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value {
    /// A figure.
    Number(f64),
    /// Words; never run as a formula.
    Text(String),
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<usize> for Value {
    fn from(count: usize) -> Self {
        Self::Number(count as f64)
    }
}

impl From<Option<f64>> for Value {
    fn from(number: Option<f64>) -> Self {
        number.map_or_else(|| Self::Text(String::new()), Self::Number)
    }
}

/// A table with the name of its sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Sheet {
    name: String,
    headings: Vec<String>,
    rows: Vec<Vec<Value>>,
}

impl Sheet {
    pub(crate) fn new(name: &str, headings: &[&str]) -> Self {
        let headings = headings.iter().map(|heading| (*heading).to_owned()).collect();
        Self { name: name.to_owned(), headings, rows: Vec::new() }
    }

    pub(crate) fn row(&mut self, row: Vec<Value>) {
        self.rows.push(row);
    }
}

/// Returns a table that was written as CSV as a workbook of one sheet.
///
/// The columns of figures are known by their headings. The same table gives the same bytes.
///
/// # Errors
///
/// A table with more rows than a sheet holds, or one that is no CSV.
pub fn spreadsheet_of_csv(name: &str, csv: &str) -> io::Result<Vec<u8>> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(csv.as_bytes());
    let headings = reader.headers().map_err(io::Error::other)?.clone();
    let headings: Vec<&str> = headings.iter().collect();
    let mut sheet = Sheet::new(name, &headings);
    for record in reader.records() {
        let record = record.map_err(io::Error::other)?;
        let cells = record.iter().zip(&headings).map(|(cell, heading)| {
            match cell.parse::<f64>() {
                Ok(number) if number.is_finite() && FIGURES.contains(heading) => {
                    Value::Number(number)
                }
                // The apostrophe before a formula is for CSV; here text is text.
                _ => Value::Text(cell.strip_prefix('\'').unwrap_or(cell).to_owned()),
            }
        });
        sheet.row(cells.collect());
    }
    workbook(&[sheet])
}

/// Returns sheets as a workbook.
pub(crate) fn workbook(sheets: &[Sheet]) -> io::Result<Vec<u8>> {
    let mut book = Workbook::new();
    // No time stamp: the same tables give the same bytes.
    let day = ExcelDateTime::from_ymd(2000, 1, 1).map_err(io::Error::other)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&day));
    for sheet in sheets {
        if sheet.rows.len() >= MOST_ROWS {
            return Err(io::Error::other(format!(
                "{} rows are more than a sheet holds ({MOST_ROWS}); write CSV",
                sheet.rows.len()
            )));
        }
        add(&mut book, sheet).map_err(io::Error::other)?;
    }
    book.save_to_buffer().map_err(io::Error::other)
}

fn add(book: &mut Workbook, table: &Sheet) -> Result<(), XlsxError> {
    let head = Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top);
    let body = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    let sheet = book.add_worksheet();
    sheet.set_name(&table.name)?;
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_landscape();
    for (column, heading) in (0_u16..).zip(&table.headings) {
        sheet.write_string_with_format(0, column, heading, &head)?;
        let widest = table
            .rows
            .iter()
            .take(ROWS_FOR_WIDTH)
            .filter_map(|row| row.get(usize::from(column)))
            .map(|cell| match cell {
                Value::Text(text) => text.chars().count(),
                Value::Number(number) => number.to_string().len(),
            })
            .chain([heading.chars().count()])
            .max()
            .unwrap_or(0);
        sheet.set_column_width(column, (widest + 2).clamp(WIDTH.0, WIDTH.1) as f64)?;
    }
    for (row, cells) in (1_u32..).zip(&table.rows) {
        for (column, cell) in (0_u16..).zip(cells) {
            match cell {
                Value::Number(number) if number.is_finite() => {
                    sheet.write_number_with_format(row, column, *number, &body)?;
                }
                Value::Number(_) => {}
                Value::Text(text) if text.is_empty() => {}
                Value::Text(text) => {
                    let text: String = visible(text).chars().take(MOST_CHARACTERS).collect();
                    sheet.write_string_with_format(row, column, text, &body)?;
                }
            }
        }
    }
    if let (Some(last), false) = (table.headings.len().checked_sub(1), table.rows.is_empty()) {
        let rows = u32::try_from(table.rows.len()).unwrap_or(u32::MAX);
        sheet.autofilter(0, 0, rows, u16::try_from(last).unwrap_or(u16::MAX))?;
    }
    Ok(())
}
