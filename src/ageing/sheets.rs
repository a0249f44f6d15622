//! The small CSV files a user writes for this stage: standards, doses and colours.

/// Why a sheet cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum SheetError {
    /// The bytes are not text, or cannot be cut into cells.
    #[error("{file}:{line}: {what}; save the sheet as CSV in UTF-8")]
    NotCsv {
        /// The file.
        file: String,
        /// The line.
        line: u64,
        /// What was met.
        what: String,
    },
    /// A column is missing.
    #[error("{file}:1: no column \"{column}\" (found: {found}); name the columns as in --help")]
    MissingColumn {
        /// The file.
        file: String,
        /// The column.
        column: String,
        /// The columns found.
        found: String,
    },
    /// A cell cannot be read.
    #[error("{file}:{line} ({column}): found \"{found}\", expected {expected}")]
    Cell {
        /// The file.
        file: String,
        /// The line.
        line: u64,
        /// The column.
        column: String,
        /// The text found, cut at 40 characters.
        found: String,
        /// What would have been right.
        expected: &'static str,
    },
    /// Nothing below the heading.
    #[error("{file}: no rows under the heading")]
    Empty {
        /// The file.
        file: String,
    },
}

/// More rows than this are no hand-made sheet.
const MOST_ROWS: usize = 100_000;
/// Text quoted in a message is cut here.
const QUOTE_CHARACTERS: usize = 40;

/// A sheet cut into cells under lower-case headings.
#[derive(Clone, Debug)]
pub struct Sheet {
    file: String,
    columns: Vec<String>,
    rows: Vec<(u64, Vec<String>)>,
    decimal_comma: bool,
}

/// One row with its place.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    sheet: &'a Sheet,
    line: u64,
    cells: &'a [String],
}

impl Sheet {
    /// Cuts bytes into cells: comma, semicolon or tab, whichever the heading holds most of.
    ///
    /// # Errors
    ///
    /// Bytes that are not UTF-8, and a sheet without rows.
    pub fn cut(file: &str, bytes: &[u8]) -> Result<Self, SheetError> {
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let not_csv =
            |line: u64, what: String| SheetError::NotCsv { file: file.to_owned(), line, what };
        let text = std::str::from_utf8(bytes).map_err(|error| {
            let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
            let line = before.iter().filter(|b| **b == b'\n').count() as u64 + 1;
            not_csv(line, "not UTF-8 text".to_owned())
        })?;
        let heading = text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
        let separator = [b';', b'\t', b',']
            .into_iter()
            .max_by_key(|s| heading.bytes().filter(|b| b == s).count())
            .unwrap_or(b',');
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        let mut sheet = Self {
            file: file.to_owned(),
            columns: Vec::new(),
            rows: Vec::new(),
            decimal_comma: separator != b',',
        };
        for record in reader.records() {
            let record = record.map_err(|error| {
                let line = error.position().map_or(0, csv::Position::line);
                not_csv(line, "cannot be cut into cells".to_owned())
            })?;
            let line = record.position().map_or(0, csv::Position::line);
            let cells: Vec<String> = record.iter().map(|c| c.trim().to_owned()).collect();
            if cells.iter().all(String::is_empty)
                || cells.first().is_some_and(|c| c.starts_with('#'))
            {
                continue;
            }
            if sheet.columns.is_empty() {
                sheet.columns = cells.iter().map(|c| c.to_lowercase()).collect();
            } else if sheet.rows.len() >= MOST_ROWS {
                return Err(not_csv(line, format!("more than {MOST_ROWS} rows")));
            } else {
                sheet.rows.push((line, cells));
            }
        }
        if sheet.rows.is_empty() {
            return Err(SheetError::Empty { file: file.to_owned() });
        }
        Ok(sheet)
    }

    /// Returns whether there is a column of this name.
    #[must_use]
    pub fn has(&self, column: &str) -> bool {
        self.columns.iter().any(|c| c == column)
    }

    /// Refuses a sheet without a column.
    ///
    /// # Errors
    ///
    /// The missing column, with the columns found.
    pub fn require(&self, column: &str) -> Result<(), SheetError> {
        if self.has(column) {
            return Ok(());
        }
        Err(SheetError::MissingColumn {
            file: self.file.clone(),
            column: column.to_owned(),
            found: quote(&self.columns.join(", ")),
        })
    }

    /// Returns the rows.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|(line, cells)| Row { sheet: self, line: *line, cells })
    }
}

impl<'a> Row<'a> {
    /// Returns a cell's text; empty where the column or the cell is missing.
    #[must_use]
    pub fn text(&self, column: &str) -> &'a str {
        let index = self.sheet.columns.iter().position(|c| c == column);
        index.and_then(|i| self.cells.get(i)).map_or("", String::as_str)
    }

    /// Returns a number, or `None` where the cell is empty.
    ///
    /// # Errors
    ///
    /// A cell that is not a finite number.
    pub fn number(&self, column: &str) -> Result<Option<f64>, SheetError> {
        let text = self.text(column);
        if text.is_empty() {
            return Ok(None);
        }
        let plain = if self.sheet.decimal_comma { text.replace(',', ".") } else { text.to_owned() };
        match plain.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(Some(value)),
            _ if text.contains(',') => Err(self.fault(
                column,
                "a number with a decimal point; decimal commas are read where semicolons or tabs part the cells",
            )),
            _ => Err(self.fault(column, "a number")),
        }
    }

    /// Returns a number that must be there.
    ///
    /// # Errors
    ///
    /// An empty cell or one that is not a finite number.
    pub fn required_number(&self, column: &str) -> Result<f64, SheetError> {
        self.number(column)?.ok_or_else(|| self.fault(column, "a number"))
    }

    /// Returns text that must be there.
    ///
    /// # Errors
    ///
    /// An empty cell.
    pub fn required_text(&self, column: &str) -> Result<&'a str, SheetError> {
        match self.text(column) {
            "" => Err(self.fault(column, "text")),
            text => Ok(text),
        }
    }

    /// Returns the error of a cell that holds something else than expected.
    #[must_use]
    pub fn fault(&self, column: &str, expected: &'static str) -> SheetError {
        SheetError::Cell {
            file: self.sheet.file.clone(),
            line: self.line,
            column: column.to_owned(),
            found: quote(self.text(column)),
            expected,
        }
    }
}

fn quote(text: &str) -> String {
    text.chars().take(QUOTE_CHARACTERS).flat_map(char::escape_default).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_semicolons_with_decimal_commas() {
        let sheet = Sheet::cut("a.csv", "\u{feff}File;Dose\nx.csv;1,5\n\n# note\n".as_bytes())
            .expect("readable");
        let row = sheet.rows().next().expect("a row");
        assert_eq!(row.required_number("dose"), Ok(1.5));
        assert_eq!(row.text("file"), "x.csv");
        assert_eq!(row.text("nothing"), "");
    }

    #[test]
    fn names_file_line_and_column_of_a_bad_cell() {
        let sheet = Sheet::cut("a.csv", b"file,dose\nx.csv,lots\n").expect("readable");
        let error = sheet.rows().next().expect("a row").required_number("dose");
        assert_eq!(
            error.expect_err("bad").to_string(),
            "a.csv:2 (dose): found \"lots\", expected a number"
        );
        let quoted = Sheet::cut("a.csv", b"file,dose\nx.csv,\"1,5\"\n").expect("readable");
        let error = quoted.rows().next().expect("a row").required_number("dose").expect_err("bad");
        assert!(error.to_string().contains("decimal commas are read where semicolons"), "{error}");
    }

    #[test]
    fn refuses_bytes_a_missing_column_and_an_empty_sheet() {
        assert!(matches!(Sheet::cut("a", b"x\n\xff"), Err(SheetError::NotCsv { line: 2, .. })));
        assert!(matches!(Sheet::cut("a", b"file,dose\n"), Err(SheetError::Empty { .. })));
        let sheet = Sheet::cut("a", b"file\nx\n").expect("readable");
        assert!(matches!(sheet.require("dose"), Err(SheetError::MissingColumn { .. })));
    }
}
