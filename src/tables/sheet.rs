//! One CSV file of the table, as a text editor or a spreadsheet writes it.

use std::cell::Cell;

use super::fault::{Fault, quote};
use super::rules::Window;
use super::sourcing::Sourcing;
use super::words::Word;

/// The mid-infrared that the table speaks of, in cm⁻¹: what a diamond element and the usual
/// detectors reach.
pub(super) const TABLE_RANGE_CM1: Window = Window::new(400.0, 4000.0);

/// A file cut into cells, its columns in the order that the program asks for.
pub(super) struct Sheet {
    file: &'static str,
    columns: &'static [&'static str],
    /// The trimmed cells of all rows, one behind the other: one list for a thousand rows is read far
    /// faster than a list for each.
    text: String,
    /// Where each cell ends in `text`; every row has as many as there are columns.
    ends: Vec<usize>,
    /// Line number of each row.
    lines: Vec<u64>,
    /// Whether numbers may carry a decimal comma: where the separator is not itself a comma.
    decimal_comma: bool,
}

impl Sheet {
    /// Cuts a file into cells. Missing, unknown and repeated columns are faults.
    pub(super) fn cut(
        file: &'static str,
        columns: &'static [&'static str],
        bytes: &[u8],
        faults: &mut Vec<Fault>,
    ) -> Self {
        let mut sheet = Self {
            file,
            columns,
            text: String::new(),
            ends: Vec::new(),
            lines: Vec::new(),
            decimal_comma: false,
        };
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => {
                let at = error.valid_up_to();
                let byte = bytes.get(at).copied().unwrap_or_default();
                sheet.fault(
                    faults,
                    None,
                    "",
                    format!("not UTF-8 (byte 0x{byte:02X} at offset {at}); save as CSV in UTF-8"),
                );
                return sheet;
            }
        };
        let separator = separator(text);
        sheet.decimal_comma = separator != b',';
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        sheet.text.reserve(text.len());
        let mut width = 0;
        let mut order = Vec::new();
        let mut record = csv::StringRecord::new();
        loop {
            match reader.read_record(&mut record) {
                Ok(true) => {}
                Ok(false) => break,
                Err(error) => {
                    let line = error.position().map(csv::Position::line);
                    sheet.fault(faults, line, "", format!("cannot be cut into cells ({error})"));
                    return sheet;
                }
            }
            let line = record.position().map_or(0, csv::Position::line);
            let filled = filled_cells(&record);
            if filled == 0 {
                continue;
            }
            if width == 0 {
                width = filled;
                order = sheet.order_columns(&record, line, faults);
                continue;
            }
            if filled > width {
                sheet.fault(
                    faults,
                    Some(line),
                    record.get(0).unwrap_or_default(),
                    format!(
                        "{filled} cells under {width} columns; quote text that holds a separator"
                    ),
                );
                continue;
            }
            sheet.push(line, &record, &order);
        }
        if width == 0 {
            sheet.fault(faults, None, "", "empty; the first line must name the columns".into());
        }
        sheet
    }

    /// Adds a row, its cells in the order of `columns`.
    fn push(&mut self, line: u64, record: &csv::StringRecord, order: &[Option<usize>]) {
        self.lines.push(line);
        for place in order {
            let cell = place.and_then(|place| record.get(place)).unwrap_or_default();
            self.text.push_str(cell.trim());
            self.ends.push(self.text.len());
        }
    }

    /// Finds each wanted column in the header line.
    fn order_columns(
        &self,
        header: &csv::StringRecord,
        line: u64,
        faults: &mut Vec<Fault>,
    ) -> Vec<Option<usize>> {
        let names: Vec<&str> = header.iter().map(str::trim).collect();
        for (index, name) in names.iter().enumerate() {
            if name.is_empty() {
                continue;
            }
            if !self.columns.contains(name) {
                let what =
                    format!("unknown column {}; known: {}", quote(name), self.columns.join(", "));
                self.fault(faults, Some(line), "", what);
            } else if names.iter().take(index).any(|earlier| earlier == name) {
                self.fault(faults, Some(line), "", format!("column {} stands twice", quote(name)));
            }
        }
        self.columns
            .iter()
            .map(|wanted| {
                let found = names.iter().position(|name| name == wanted);
                if found.is_none() {
                    self.fault(
                        faults,
                        Some(line),
                        "",
                        format!("column {} is missing", quote(wanted)),
                    );
                }
                found
            })
            .collect()
    }

    /// Reads every row with a function that may add faults; rows that yield nothing are left out.
    pub(super) fn read<T>(
        &self,
        faults: &mut Vec<Fault>,
        mut read: impl FnMut(&mut Row<'_>) -> Option<T>,
    ) -> Vec<Located<T>> {
        let mut values = Vec::with_capacity(self.lines.len());
        for (row, &line) in self.lines.iter().enumerate() {
            let mut row = Row { sheet: self, line, row, next: Cell::new(0), faults };
            if let Some(value) = read(&mut row) {
                values.push(Located { line, value });
            }
        }
        values
    }

    /// Returns a cell of a row by the place of its column in `columns`.
    fn cell(&self, row: usize, column: usize) -> &str {
        let at = row * self.columns.len() + column;
        let start = at.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied());
        match (start, self.ends.get(at)) {
            (Some(start), Some(&end)) => self.text.get(start..end).unwrap_or_default(),
            _ => "",
        }
    }

    /// Returns the rows in one spelling, sorted: the same for any separator, decimal mark or order.
    pub(super) fn canonical(&self) -> Vec<String> {
        let numeric: Vec<bool> = self.columns.iter().map(|column| is_numeric(column)).collect();
        let mut lines = Vec::with_capacity(self.lines.len());
        for row in 0..self.lines.len() {
            let mut line = String::new();
            for (index, numeric) in numeric.iter().enumerate() {
                let cell = self.cell(row, index);
                // A number in its shortest spelling need not be read to be written so.
                let number = if *numeric && !is_shortest(cell) {
                    parse_number(cell, self.decimal_comma)
                } else {
                    None
                };
                match number {
                    Some(number) => line.push_str(&number.to_string()),
                    None => line.push_str(cell),
                }
                // A separator that no cell can hold: it is not printable.
                line.push('\u{1f}');
            }
            lines.push(line);
        }
        lines.sort_unstable();
        lines
    }

    fn fault(&self, faults: &mut Vec<Fault>, line: Option<u64>, id: &str, what: String) {
        faults.push(Fault {
            file: self.file.to_owned(),
            line,
            id: id.to_owned(),
            column: String::new(),
            what,
        });
    }
}

/// A value with the line it was read from.
pub(super) struct Located<T> {
    pub(super) line: u64,
    pub(super) value: T,
}

/// One row under reading. Each getter adds its own fault.
pub(super) struct Row<'a> {
    sheet: &'a Sheet,
    line: u64,
    /// Its place among the rows of the sheet.
    row: usize,
    /// The column that is probably asked for next: rows are read in the order of their columns.
    next: Cell<usize>,
    faults: &'a mut Vec<Fault>,
}

impl<'a> Row<'a> {
    fn cell(&self, column: &str) -> &'a str {
        let columns = self.sheet.columns;
        let expected = self.next.get();
        let found = if columns.get(expected).is_some_and(|name| *name == column) {
            Some(expected)
        } else {
            columns.iter().position(|name| *name == column)
        };
        let Some(index) = found else { return "" };
        self.next.set(index + 1);
        self.sheet.cell(self.row, index)
    }

    /// Adds a fault to a column of this row.
    pub(super) fn fault(&mut self, column: &str, what: String) {
        self.faults.push(Fault {
            file: self.sheet.file.to_owned(),
            line: Some(self.line),
            id: self.sheet.cell(self.row, 0).to_owned(),
            column: column.to_owned(),
            what,
        });
    }

    /// Returns a cell, which may be empty.
    pub(super) fn text(&self, column: &str) -> String {
        self.cell(column).to_owned()
    }

    /// Returns whether a cell is empty.
    pub(super) fn is_empty(&self, column: &str) -> bool {
        self.cell(column).is_empty()
    }

    /// Returns a cell, or nothing where it is empty.
    pub(super) fn optional(&self, column: &str) -> Option<String> {
        Some(self.text(column)).filter(|text| !text.is_empty())
    }

    /// Returns a cell that may not be empty.
    pub(super) fn required(&mut self, column: &str) -> Option<String> {
        self.filled(column).map(str::to_owned)
    }

    fn filled(&mut self, column: &str) -> Option<&'a str> {
        let text = self.cell(column);
        if text.is_empty() {
            self.fault(column, "empty".into());
            return None;
        }
        Some(text)
    }

    /// Returns the blank-separated entries of a cell.
    pub(super) fn list(&self, column: &str) -> Vec<String> {
        self.cell(column).split_whitespace().map(str::to_owned).collect()
    }

    /// Returns the entries of a cell that are parted by semicolons and may hold blanks.
    pub(super) fn phrases(&self, column: &str) -> Vec<String> {
        let phrases = self.cell(column).split(';').map(str::trim);
        phrases.filter(|phrase| !phrase.is_empty()).map(str::to_owned).collect()
    }

    /// Returns the blank-separated entries of a cell that may not be empty.
    pub(super) fn required_list(&mut self, column: &str) -> Option<Vec<String>> {
        self.filled(column)?;
        Some(self.list(column))
    }

    /// Returns a number.
    pub(super) fn number(&mut self, column: &str) -> Option<f64> {
        let text = self.filled(column)?;
        let number = parse_number(text, self.sheet.decimal_comma);
        if number.is_none() {
            self.fault(column, format!("{} is not a number", quote(text)));
        }
        number
    }

    /// Returns a number, or nothing where the cell is empty. The outer option is a fault.
    #[allow(clippy::option_option)]
    pub(super) fn optional_number(&mut self, column: &str) -> Option<Option<f64>> {
        if self.is_empty(column) {
            return Some(None);
        }
        self.number(column).map(Some)
    }

    /// Returns a whole number.
    pub(super) fn count(&mut self, column: &str) -> Option<usize> {
        let text = self.filled(column)?;
        let count = text.parse().ok();
        if count.is_none() {
            self.fault(column, format!("{} is not a whole number", quote(text)));
        }
        count
    }

    /// Returns a whole number, 0 where the cell is empty.
    pub(super) fn count_or_zero(&mut self, column: &str) -> Option<usize> {
        if self.is_empty(column) { Some(0) } else { self.count(column) }
    }

    /// Returns a wavenumber within the range of the table.
    pub(super) fn wavenumber(&mut self, column: &str) -> Option<f64> {
        let number = self.number(column)?;
        if TABLE_RANGE_CM1.contains(number) {
            return Some(number);
        }
        self.fault(
            column,
            format!(
                "{number} lies outside {} to {} cm⁻¹",
                TABLE_RANGE_CM1.low_cm1, TABLE_RANGE_CM1.high_cm1
            ),
        );
        None
    }

    /// Returns a window whose ends stand in two columns.
    pub(super) fn window(&mut self, low: &str, high: &str) -> Option<Window> {
        let (bottom, top) = (self.wavenumber(low), self.wavenumber(high));
        let (bottom, top) = (bottom?, top?);
        if bottom < top {
            return Some(Window::new(bottom, top));
        }
        self.fault(low, format!("{bottom} is not below {high} {top}"));
        None
    }

    /// Returns one of a fixed list of words.
    pub(super) fn word<T: Word>(&mut self, column: &str) -> Option<T> {
        let text = self.filled(column)?;
        self.parse_word(column, text)
    }

    /// Returns blank-separated words of a fixed list; at least one.
    pub(super) fn words<T: Word>(&mut self, column: &str) -> Option<Vec<T>> {
        let list = self.required_list(column)?;
        list.iter().map(|text| self.parse_word(column, text)).collect()
    }

    fn parse_word<T: Word>(&mut self, column: &str, text: &str) -> Option<T> {
        let word = T::from_word(text);
        if word.is_none() {
            self.fault(
                column,
                format!("unknown word {}; known: {}", quote(text), T::WORDS.join(", ")),
            );
        }
        word
    }

    /// Returns a yes or a no.
    pub(super) fn yes_or_no(&mut self, column: &str) -> Option<bool> {
        match self.filled(column)? {
            "yes" => Some(true),
            "no" => Some(false),
            other => {
                let what = format!("unknown word {}; known: yes, no", quote(other));
                self.fault(column, what);
                None
            }
        }
    }

    /// Returns the source, its class and the status.
    pub(super) fn sourcing(&mut self) -> Option<Sourcing> {
        let source = self.required("source");
        let class = self.word("source_class");
        let status = self.word("status");
        Some(Sourcing { source: source?, class: class?, status: status? })
    }
}

/// Returns how many cells there are up to the last one that is not empty.
fn filled_cells(record: &csv::StringRecord) -> usize {
    let last = (0..record.len()).rev().find(|at| !record[*at].trim().is_empty());
    last.map_or(0, |index| index + 1)
}

/// Returns whether a number is spelt as the program itself would spell it: digits without a leading
/// zero, and a point only before a digit that is not a last zero. So few digits come back unchanged.
fn is_shortest(text: &str) -> bool {
    /// Decimal digits that a double always keeps.
    const KEPT_DIGITS: usize = 15;
    let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let (whole, fraction) = text.split_once('.').unwrap_or((text, "1"));
    text.len() <= KEPT_DIGITS
        && digits(whole)
        && digits(fraction)
        && (whole == "0" || !(whole.is_empty() || whole.starts_with('0')))
        && !(fraction.is_empty() || fraction.ends_with('0'))
}

/// Returns whether a column holds numbers that may be spelt in more than one way.
fn is_numeric(column: &str) -> bool {
    column.ends_with("_cm1")
        || matches!(
            column,
            "height_median"
                | "height_low"
                | "height_high"
                | "blank_value"
                | "blank_sd"
                | "least"
                | "most"
                | "radius_multiple"
        )
}

/// Reads a finite number; with a decimal comma where the separator leaves the comma free.
fn parse_number(text: &str, decimal_comma: bool) -> Option<f64> {
    let number: f64 = if decimal_comma && !text.contains('.') {
        text.replacen(',', ".", 1).parse().ok()?
    } else {
        text.parse().ok()?
    };
    number.is_finite().then_some(number)
}

/// Finds the separator: the commonest of comma, semicolon and tab in the header line.
pub(super) fn separator(text: &str) -> u8 {
    let header = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |separator: char| header.matches(separator).count();
    let mut best = (b',', count(','));
    for (byte, character) in [(b';', ';'), (b'\t', '\t')] {
        if count(character) > best.1 {
            best = (byte, count(character));
        }
    }
    best.0
}
