//! Workbooks for a spreadsheet: one sheet a table, a head row that stays, numbers as numbers.
//!
//! A CSV opened in a spreadsheet loses "cm⁻¹" to a wrong encoding and takes decimal points for dates or
//! text where a comma is the custom. Here every cell has its type.

use std::io;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, XlsxError};

use super::sheet::{Sheet, Value};
use super::text_tools::visible;

/// Rows that a sheet of the format holds, its head among them (ECMA-376, part 1: 1 048 576).
const MOST_ROWS: usize = 1_048_576;

/// Characters that a cell holds (32 767, as spreadsheets state it; memory).
const MOST_CHARACTERS: usize = 32_767;

/// Width of a column in characters: from this to that, by what stands in it.
const WIDTH: (usize, usize) = (8, 48);

/// Rows looked at for the width of a column.
const ROWS_FOR_WIDTH: usize = 200;

impl Sheet {
    /// Returns the table as a workbook of one sheet, figures as figures. The same table gives the same bytes.
    ///
    /// # Errors
    ///
    /// A table with more rows than a sheet holds.
    pub fn xlsx(&self) -> io::Result<Vec<u8>> {
        workbook(std::slice::from_ref(self))
    }
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
    sheet.set_name(table.name)?;
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_landscape();
    for (column, heading) in (0_u16..).zip(&table.headings) {
        sheet.write_string_with_format(0, column, *heading, &head)?;
        let widest = table
            .rows
            .iter()
            .take(ROWS_FOR_WIDTH)
            .filter_map(|row| row.get(usize::from(column)))
            .map(|cell| number(cell).map_or_else(|| cell.words().to_owned(), |n| n.to_string()))
            .map(|text| text.chars().count())
            .chain([heading.chars().count()])
            .max()
            .unwrap_or(0);
        sheet.set_column_width(column, (widest + 2).clamp(WIDTH.0, WIDTH.1) as f64)?;
    }
    for (row, cells) in (1_u32..).zip(&table.rows) {
        for (column, cell) in (0_u16..).zip(cells) {
            if let Some(number) = number(cell) {
                sheet.write_number_with_format(row, column, number, &body)?;
            } else if !cell.words().is_empty() {
                sheet.write_string_with_format(row, column, fitting(cell.words()), &body)?;
            }
        }
    }
    if let (Some(last), false) = (table.headings.len().checked_sub(1), table.rows.is_empty()) {
        let rows = u32::try_from(table.rows.len()).unwrap_or(u32::MAX);
        sheet.autofilter(0, 0, rows, u16::try_from(last).unwrap_or(u16::MAX))?;
    }
    Ok(())
}

/// Words as a cell can hold them; where they are too long, the last sign says that more follow.
fn fitting(words: &str) -> String {
    let words = visible(words);
    if words.chars().count() <= MOST_CHARACTERS {
        return words;
    }
    words.chars().take(MOST_CHARACTERS - 1).chain(['…']).collect()
}

/// The figure of a cell with the decimals that are written, so that a workbook and a CSV hold the same.
fn number(cell: &Value) -> Option<f64> {
    cell.digits()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_too_long_for_a_cell_says_that_more_follows() {
        let whole = "a".repeat(MOST_CHARACTERS);
        assert_eq!(fitting(&whole), whole);
        let cut = fitting(&format!("{whole}b"));
        assert_eq!((cut.chars().count(), cut.chars().last()), (MOST_CHARACTERS, Some('…')));
    }
}
