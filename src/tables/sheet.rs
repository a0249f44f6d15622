//! A CSV file of the table, or one that a user writes for a run, as a text editor or a spreadsheet writes it.

use std::cell::Cell;
use std::cmp::Ordering;
use std::collections::HashMap;

use super::fault::Fault;
use super::records::Records;
use super::rules::Window;
use super::sourcing::Sourcing;
use super::words::Word;
use crate::quote::in_marks;

/// The mid-infrared that the table speaks of, in cm⁻¹: what a diamond element and the usual
/// detectors reach.
pub(super) const TABLE_RANGE_CM1: Window = Window::new(400.0, 4000.0);

/// What a row of one of the sheets says.
pub(super) trait Record: Sized {
    /// The sheet.
    const FILE: &'static str;

    /// Its first line: the columns that the program asks of it, in any order. The first here holds the id.
    const HEADER: &'static str;

    /// Whether several rows may have the same id.
    const SHARES_ID: bool = false;

    /// Reads a row, to which faults may be added.
    fn from_row(row: &mut Row<'_>) -> Self;

    /// In which order rows are kept: by id, where nothing else is said.
    fn order(a: &Located<Self>, b: &Located<Self>) -> Ordering {
        a.id.cmp(&b.id)
    }
}

/// Reads every row of a sheet; rows to which a fault is added are left out.
pub(super) fn read<T: Record>(bytes: &[u8], faults: &mut Vec<Fault>) -> Vec<Located<T>> {
    // At most a row a line: a list that grows is copied to new memory each time.
    let lines = bytes.iter().filter(|byte| **byte == b'\n').count();
    let mut rows = Vec::with_capacity(lines);
    Sheet::of::<T>(bytes).each_row(faults, |row| {
        let faults_before = row.faults.len();
        let value = T::from_row(row);
        if row.faults.len() == faults_before {
            let id = row.cell_at(0).to_owned();
            rows.push(Located { file: T::FILE, line: row.line, id, value });
        }
    });
    rows
}

/// Returns the rows in one spelling, sorted: the same for any separator, decimal mark or order.
pub(super) fn canonical<T: Record>(bytes: &[u8]) -> Vec<String> {
    let numeric: Vec<bool> = T::HEADER.split(',').map(is_numeric).collect();
    let mut lines = Vec::new();
    Sheet::of::<T>(bytes).each_row(&mut Vec::new(), |row| {
        let mut line = String::new();
        for (index, numeric) in numeric.iter().enumerate() {
            let cell = row.cell_at(index);
            // A number in its shortest spelling need not be read to be written so.
            let number = if *numeric && !is_shortest(cell) {
                parse_number(cell, row.decimal_comma)
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
    });
    lines.sort_unstable();
    lines
}

/// Adds a fault for every id that stands twice.
pub(super) fn repeated_ids<T: Record>(rows: &[Located<T>], faults: &mut Vec<Fault>) {
    let mut seen: HashMap<&str, u64> = HashMap::new();
    for row in rows.iter().filter(|_| !T::SHARES_ID) {
        if let Some(first) = seen.get(row.id.as_str()) {
            faults.push(row.fault("id", format!("stands already in line {first}")));
        } else {
            seen.insert(&row.id, row.line);
        }
    }
}

/// Takes the values of rows, in the order in which they are kept.
pub(super) fn values<T: Record>(mut rows: Vec<Located<T>>) -> Vec<T> {
    rows.sort_by(T::order);
    rows.into_iter().map(|row| row.value).collect()
}

/// A file and the columns that the program asks of it.
pub(super) struct Sheet<'b> {
    pub(super) file: &'b str,
    /// The first of them holds the id.
    pub(super) columns: Vec<&'static str>,
    /// How many of the columns, from the first, may not be missing.
    pub(super) required: usize,
    /// Whether its writer may add columns, lines that begin with #, and capitals to headings.
    pub(super) loose: bool,
    pub(super) bytes: &'b [u8],
}

impl<'b> Sheet<'b> {
    fn of<T: Record>(bytes: &'b [u8]) -> Self {
        let columns: Vec<&str> = T::HEADER.split(',').collect();
        Self { file: T::FILE, required: columns.len(), columns, loose: false, bytes }
    }

    /// Cuts the file into cells, a row at a time. Missing, unknown and repeated columns are faults, and where one is
    /// missing no row is read: each would only say so again.
    pub(super) fn each_row(&self, faults: &mut Vec<Fault>, mut visit: impl FnMut(&mut Row<'_>)) {
        let text = match std::str::from_utf8(self.bytes) {
            Ok(text) => text,
            Err(error) => {
                let at = error.valid_up_to();
                let byte = self.bytes.get(at).copied().unwrap_or_default();
                let before = self.bytes.get(..at).unwrap_or_default();
                self.fault(
                    faults,
                    Some(1 + before.iter().filter(|byte| **byte == b'\n').count() as u64),
                    "",
                    format!("not UTF-8 (byte 0x{byte:02X} at offset {at}); save as CSV in UTF-8"),
                );
                return;
            }
        };
        let mut records = Records::of(text, self.file);
        let mut width = 0;
        let mut order = Vec::new();
        let mut record = csv::StringRecord::new();
        loop {
            let line = match records.next(&mut record) {
                Ok(Some(line)) => line,
                Ok(None) => break,
                Err(fault) => {
                    faults.push(fault);
                    return;
                }
            };
            let filled = filled_cells(&record);
            if filled == 0
                || (self.loose && record.get(0).is_some_and(|c| c.trim().starts_with('#')))
            {
                continue;
            }
            if width == 0 {
                width = filled;
                order = self.order_columns(&record, line, faults);
                if order.iter().take(self.required).any(Option::is_none) {
                    return;
                }
                continue;
            }
            if filled > width {
                self.fault(
                    faults,
                    Some(line),
                    record.get(0).unwrap_or_default(),
                    format!(
                        "{filled} cells under {width} columns; quote text that holds a separator"
                    ),
                );
                continue;
            }
            visit(&mut Row {
                file: self.file,
                columns: &self.columns,
                order: &order,
                record: &record,
                // Where the separator is not itself a comma.
                decimal_comma: records.separator != b',',
                line,
                next: Cell::new(0),
                faults,
            });
        }
        if width == 0 {
            self.fault(faults, None, "", "empty; the first line must name the columns".into());
        }
    }

    /// Finds each wanted column in the header line.
    fn order_columns(
        &self,
        header: &csv::StringRecord,
        line: u64,
        faults: &mut Vec<Fault>,
    ) -> Vec<Option<usize>> {
        let trimmed = header.iter().map(str::trim);
        let names: Vec<String> =
            trimmed.map(|n| if self.loose { n.to_lowercase() } else { n.to_owned() }).collect();
        for (index, name) in names.iter().enumerate() {
            if name.is_empty() {
                continue;
            }
            if !self.columns.contains(&name.as_str()) {
                if !self.loose {
                    let known = self.columns.join(", ");
                    let what = format!("unknown column {}; known: {known}", in_marks(name));
                    self.fault(faults, Some(line), "", what);
                }
            } else if names.iter().take(index).any(|earlier| earlier == name) {
                self.fault(
                    faults,
                    Some(line),
                    "",
                    format!("column {} stands twice", in_marks(name)),
                );
            }
        }
        self.columns
            .iter()
            .enumerate()
            .map(|(index, wanted)| {
                let found = names.iter().position(|name| name == wanted);
                if found.is_none() && index < self.required {
                    let mut what = format!("column {} is missing", in_marks(wanted));
                    if self.loose {
                        let found = names.join(", ");
                        what += &format!("; found: {found}; name the columns as in --help");
                    }
                    self.fault(faults, Some(line), "", what);
                }
                found
            })
            .collect()
    }

    pub(super) fn fault(&self, faults: &mut Vec<Fault>, line: Option<u64>, id: &str, what: String) {
        faults.push(Fault::new(self.file, line, (id, ""), what));
    }
}

/// A value with the row it was read from.
pub(super) struct Located<T> {
    file: &'static str,
    pub(super) line: u64,
    pub(super) id: String,
    pub(super) value: T,
}

impl<T> Located<T> {
    /// Returns a fault of one of its columns; of none where the whole row is meant.
    pub(super) fn fault(&self, column: &str, what: String) -> Fault {
        Fault::new(self.file, Some(self.line), (&self.id, column), what)
    }
}

/// One row under reading. Each getter adds its own fault and returns something then, which is not used: `NaN` for a
/// number, with which no comparison is true, so that no second fault follows from the first.
pub(crate) struct Row<'a> {
    file: &'a str,
    columns: &'a [&'static str],
    /// The place of each of `columns` in the record.
    order: &'a [Option<usize>],
    record: &'a csv::StringRecord,
    /// Whether numbers may carry a decimal comma.
    decimal_comma: bool,
    pub(super) line: u64,
    /// The column that is probably asked for next: rows are read in the order of their columns.
    next: Cell<usize>,
    faults: &'a mut Vec<Fault>,
}

impl<'a> Row<'a> {
    fn cell(&self, column: &str) -> &'a str {
        let expected = self.next.get();
        let found = if self.columns.get(expected).is_some_and(|name| *name == column) {
            Some(expected)
        } else {
            self.columns.iter().position(|name| *name == column)
        };
        let Some(index) = found else { return "" };
        self.next.set(index + 1);
        self.cell_at(index)
    }

    /// Returns a cell by the place of its column in `columns`.
    fn cell_at(&self, index: usize) -> &'a str {
        let place = self.order.get(index).copied().flatten();
        trimmed(place.and_then(|place| self.record.get(place)).unwrap_or_default())
    }

    /// Adds a fault to a column of this row.
    pub(crate) fn fault(&mut self, column: &str, what: String) {
        let id = self.cell_at(0);
        self.faults.push(Fault::new(self.file, Some(self.line), (id, column), what));
    }

    /// Adds the fault of a cell that holds something else than expected.
    pub(crate) fn refuse(&mut self, column: &str, expected: &str) {
        let found = in_marks(self.cell(column));
        self.fault(column, format!("found {found}, expected {expected}"));
    }

    /// Returns a cell, which may be empty.
    pub(crate) fn text(&self, column: &str) -> String {
        self.cell(column).to_owned()
    }

    /// Returns whether a cell is empty.
    pub(crate) fn is_empty(&self, column: &str) -> bool {
        self.cell(column).is_empty()
    }

    /// Returns a cell, or nothing where it is empty.
    pub(crate) fn optional(&self, column: &str) -> Option<String> {
        Some(self.text(column)).filter(|text| !text.is_empty())
    }

    /// Returns a cell that may not be empty.
    pub(crate) fn required(&mut self, column: &str) -> String {
        self.filled(column).unwrap_or_default().to_owned()
    }

    fn filled(&mut self, column: &str) -> Option<&'a str> {
        let text = self.cell(column);
        if text.is_empty() {
            self.fault(column, "empty".into());
            return None;
        }
        Some(text)
    }

    /// Returns whether columns that belong together are filled; only some of them is a fault.
    pub(crate) fn all_or_none(&mut self, columns: &[&str], otherwise: &str) -> bool {
        let filled = columns.iter().filter(|name| !self.is_empty(name)).count();
        if filled > 0 && filled < columns.len() {
            self.fault(columns[0], otherwise.to_owned());
        }
        filled == columns.len()
    }

    /// Returns the blank-separated entries of a cell.
    pub(crate) fn list(&self, column: &str) -> Vec<String> {
        self.cell(column).split_whitespace().map(str::to_owned).collect()
    }

    /// Returns the entries of a cell that are parted by semicolons and may hold blanks.
    pub(crate) fn phrases(&self, column: &str) -> Vec<String> {
        let phrases = self.cell(column).split(';').map(str::trim);
        phrases.filter(|phrase| !phrase.is_empty()).map(str::to_owned).collect()
    }

    /// Returns the blank-separated entries of a cell that may not be empty.
    pub(crate) fn required_list(&mut self, column: &str) -> Vec<String> {
        self.filled(column);
        self.list(column)
    }

    /// Returns a number.
    pub(crate) fn number(&mut self, column: &str) -> f64 {
        let Some(text) = self.filled(column) else { return f64::NAN };
        parse_number(text, self.decimal_comma).unwrap_or_else(|| {
            let advice = if text.contains(',') && !self.decimal_comma {
                "; decimal commas are read where semicolons or tabs part the cells"
            } else {
                ""
            };
            self.fault(column, format!("{} is not a number{advice}", in_marks(text)));
            f64::NAN
        })
    }

    /// Returns a number, or nothing where the cell is empty.
    pub(crate) fn optional_number(&mut self, column: &str) -> Option<f64> {
        (!self.is_empty(column)).then(|| self.number(column))
    }

    /// Returns a whole number.
    pub(crate) fn count(&mut self, column: &str) -> usize {
        let Some(text) = self.filled(column) else { return 0 };
        text.parse().unwrap_or_else(|_| {
            self.fault(column, format!("{} is not a whole number", in_marks(text)));
            0
        })
    }

    /// Returns a share above zero and below a limit.
    pub(crate) fn share(&mut self, column: &str, below: f64) -> f64 {
        let number = self.number(column);
        if number <= 0.0 || number >= below {
            self.fault(column, format!("{number} is no share between 0 and {below}"));
            return f64::NAN;
        }
        number
    }

    /// Returns a wavenumber within the range of the table.
    pub(crate) fn wavenumber(&mut self, column: &str) -> f64 {
        let number = self.number(column);
        if TABLE_RANGE_CM1.is_beside(number) {
            let Window { low_cm1, high_cm1 } = TABLE_RANGE_CM1;
            self.fault(column, format!("{number} lies outside {low_cm1} to {high_cm1} cm⁻¹"));
            return f64::NAN;
        }
        number
    }

    /// Returns a window whose ends stand in two columns.
    pub(crate) fn window(&mut self, low: &str, high: &str) -> Window {
        let (bottom, top) = (self.wavenumber(low), self.wavenumber(high));
        if bottom < top {
            return Window::new(bottom, top);
        }
        if bottom >= top {
            self.fault(low, format!("{bottom} is not below {high} {top}"));
        }
        Window::new(f64::NAN, f64::NAN)
    }

    /// Returns one of a fixed list of words.
    pub(crate) fn word<T: Word>(&mut self, column: &str) -> T {
        self.known_word(column).unwrap_or(T::ALL[0])
    }

    /// Returns one of a fixed list of words, or nothing after a fault: for a word that says what other columns hold.
    pub(crate) fn known_word<T: Word>(&mut self, column: &str) -> Option<T> {
        let text = self.filled(column)?;
        self.parse_word(column, text)
    }

    /// Returns one of a fixed list of words, or nothing where the cell is empty.
    pub(crate) fn optional_word<T: Word>(&mut self, column: &str) -> Option<T> {
        if self.is_empty(column) { None } else { self.known_word(column) }
    }

    /// Returns blank-separated words of a fixed list; at least one.
    pub(crate) fn words<T: Word>(&mut self, column: &str) -> Vec<T> {
        self.filled(column);
        self.words_or_none(column)
    }

    /// Returns blank-separated words of a fixed list, which may be none.
    pub(crate) fn words_or_none<T: Word>(&mut self, column: &str) -> Vec<T> {
        let words = self.cell(column).split_whitespace();
        words.filter_map(|text| self.parse_word(column, text)).collect()
    }

    fn parse_word<T: Word>(&mut self, column: &str, text: &str) -> Option<T> {
        let word = T::from_word(text);
        if word.is_none() {
            self.fault(
                column,
                format!("unknown word {}; known: {}", in_marks(text), T::WORDS.join(", ")),
            );
        }
        word
    }

    /// Returns a yes or a no.
    pub(crate) fn yes_or_no(&mut self, column: &str) -> bool {
        match self.filled(column) {
            Some("yes") => true,
            Some("no") | None => false,
            Some(other) => {
                let what = format!("unknown word {}; known: yes, no", in_marks(other));
                self.fault(column, what);
                false
            }
        }
    }

    /// Returns the source, its class and the status.
    pub(crate) fn sourcing(&mut self) -> Sourcing {
        Sourcing {
            source: self.required("source"),
            class: self.word("source_class"),
            status: self.word("status"),
        }
    }
}

/// Returns a cell without the blanks around it; nearly none has any.
fn trimmed(cell: &str) -> &str {
    match cell.as_bytes() {
        [] => cell,
        [first, .., last] if first.is_ascii_graphic() && last.is_ascii_graphic() => cell,
        _ => cell.trim(),
    }
}

/// Returns how many cells there are up to the last one that is not empty.
fn filled_cells(record: &csv::StringRecord) -> usize {
    let last = (0..record.len()).rev().find(|at| !trimmed(&record[*at]).is_empty());
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
                | "height"
                | "least_rise"
                | "spread"
                | "radius_multiple"
        )
}

/// Reads a finite number; with a decimal comma where the separator leaves the comma free.
fn parse_number(text: &str, decimal_comma: bool) -> Option<f64> {
    if let Some(number) = plain_decimal(text.as_bytes()) {
        return Some(number);
    }
    let number: f64 = if decimal_comma && !text.contains('.') {
        text.replacen(',', ".", 1).parse().ok()?
    } else {
        text.parse().ok()?
    };
    number.is_finite().then_some(number)
}

/// As [`parse_number`], of a cell that was cut out as bytes.
pub(super) fn parse_cell(cell: &[u8], decimal_comma: bool) -> Option<f64> {
    plain_decimal(cell)
        .or_else(|| parse_number(std::str::from_utf8(cell).ok()?.trim(), decimal_comma))
}

/// Reads a decimal of few digits, or nothing where it is spelt otherwise.
///
/// Digits below 2^53 over a power of ten below 10^23 are both exact, so that their one division rounds as
/// IEEE 754 asks of reading the whole (Clinger 1990, How to Read Floating Point Numbers Accurately). The
/// table's 30,000 numbers make the general way felt at every start.
fn plain_decimal(text: &[u8]) -> Option<f64> {
    const POWERS: [f64; 10] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];
    /// Digits that stay below 2^53.
    const MOST_DIGITS: usize = 15;
    let (negative, text) = match text {
        [b'-', rest @ ..] => (true, rest),
        _ => (false, text),
    };
    if text.is_empty() || text.len() > MOST_DIGITS {
        return None;
    }
    let (mut digits, mut decimals) = (0_u64, None);
    for byte in text {
        match byte {
            b'0'..=b'9' => {
                digits = 10 * digits + u64::from(byte - b'0');
                decimals = decimals.map(|count| count + 1);
            }
            b'.' if decimals.is_none() => decimals = Some(0),
            _ => return None,
        }
    }
    if text == b"." {
        return None;
    }
    let number = digits as f64 / POWERS.get(decimals.unwrap_or(0))?;
    Some(if negative { -number } else { number })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_number_is_read_as_the_standard_library_reads_it() {
        let spelt = [
            "0", "-0", "1", "-0.0056", "0.1139", "4000", "613.5", "0.000", ".5", "5.", "007",
            "-.25",
        ];
        let counted = (0..20_000).map(|n| format!("{}", f64::from(n) / 10_000.0));
        for text in spelt.map(str::to_owned).into_iter().chain(counted) {
            let expected: f64 = text.parse().expect("a number");
            let found = parse_number(&text, false).expect("a number");
            assert_eq!(found.to_bits(), expected.to_bits(), "{text}");
        }
    }

    #[test]
    fn what_is_no_short_number_is_left_to_the_standard_library() {
        assert_eq!(parse_number("1e3", false), Some(1000.0));
        assert_eq!(parse_number("0,25", true), Some(0.25));
        assert_eq!(parse_cell("\u{a0}0,25".as_bytes(), true), Some(0.25));
        for text in ["", "-", ".", "-.", "1.2.3", "1-2", "inf", "NaN", "0,25", "12a"] {
            assert_eq!(parse_number(text, false), None, "{text}");
        }
    }
}
