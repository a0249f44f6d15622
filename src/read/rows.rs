//! Rows of numbers, fast: one pass over the bytes, no allocation a line.

use std::ops::Range;

use super::Fault;
use super::found::MOST_POINTS;
use super::header::{is_comment, split_note, uncomment};
use super::layout::{CELLS_LOOKED_AT, Layout};
use super::lines::{Cells, Line, Lines, Separator, line_length};
use super::number::{leading, plain, whole};
use crate::quote::quoted;
use crate::spectrum::Warning;

/// Rows that cannot be read beyond this share are an error.
const MOST_UNREAD_SHARE: f64 = 0.05;

/// A number before or behind the rows begins one of them if it lies past their axis by no more than this
/// share of its range.
const MOST_PAST_SHARE: f64 = 0.25;

/// Once so many of the wanted cells hold no number for each byte of the text, most of them do not:
/// a cell with a number takes two bytes at least. Reading on would only fill memory.
const MOST_MISSING_PER_BYTE: f64 = 0.5;

/// Header, comment and footer lines kept as records.
const MOST_RECORDS: usize = 1000;

/// Columns as they were read.
#[derive(Debug, Default)]
pub(super) struct Rows {
    pub abscissas: Vec<f64>,
    /// One list per wanted column; NaN where a cell holds no number.
    pub ordinates: Vec<Vec<f64>>,
    /// One list of abscissas per ordinate where each has its own; else empty.
    pub own_abscissas: Vec<Vec<f64>>,
    /// (index of a row, its line), where lines do not run on with the rows.
    pub lines: Vec<(usize, usize)>,
    /// The text of the first ordinate cell that holds no number, per column.
    pub first_missing: Vec<Option<String>>,
    /// Lines between the first and the last row of numbers that are none, and lines before and behind
    /// them that look like rows.
    pub unread: Unread,
    /// Wanted cells that hold no number.
    missing: usize,
    /// Comment and footer lines.
    pub records: Vec<(String, String)>,
}

/// Which columns to read, ascending.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted<'a> {
    pub abscissa: usize,
    pub ordinates: &'a [usize],
}

/// Reads all rows from `start` on.
///
/// # Errors
///
/// More points than a spectrum may hold, or hardly any ordinates. Rows that cannot be read are counted:
/// see [`Unread::check`].
pub(super) fn read(
    text: &str,
    start: (usize, usize),
    layout: &Layout,
    wanted: Wanted<'_>,
) -> Result<Rows, (Option<usize>, Fault)> {
    let bytes = text.as_bytes();
    let (mut at, mut number) = start;
    let mut rows = Rows::with_room(bytes.get(at..).unwrap_or_default(), wanted.ordinates.len());
    let mut expected_line = 0;
    let mut row = vec![f64::NAN; wanted.ordinates.len()];
    // Stray lines count only once a row of numbers follows: behind the last one they are a footer.
    let mut pending = Pending::default();
    let pairs = wanted.abscissa == 0 && wanted.ordinates == [1];
    while at < bytes.len() {
        if pairs && pending.count == 0 && number == expected_line {
            let count;
            (at, count) = rows.plain_pairs(bytes, at, layout);
            number += count;
            expected_line = number;
            if at >= bytes.len() {
                break;
            }
        }
        let quick = quick_row(bytes, at, layout, wanted, &mut row);
        let (abscissa, length) = match quick {
            Some((abscissa, end)) => (Some(abscissa), end - at),
            None => {
                let (length, _) = line_length(&bytes[at..]);
                let line = text.get(at..at + length).unwrap_or_default();
                let abscissa = slow_row(line, layout, wanted, &mut row, &mut rows);
                if abscissa.is_some() {
                    rows.missing += row.iter().filter(|value| value.is_nan()).count();
                    rows.check_missing(text.len(), number)?;
                }
                (abscissa, length)
            }
        };
        if let Some(abscissa) = abscissa {
            if pending.count > 0 {
                rows.take_strays(&mut pending, text);
            }
            if rows.abscissas.len() >= MOST_POINTS {
                return Err((None, Fault::TooManyPoints { limit: MOST_POINTS }));
            }
            if number != expected_line {
                rows.lines.push((rows.abscissas.len(), number));
            }
            expected_line = number + 1;
            rows.abscissas.push(abscissa);
            for (list, &value) in rows.ordinates.iter_mut().zip(&row) {
                list.push(value);
            }
        } else {
            let line = text.get(at..at + length).unwrap_or_default();
            if !line.trim().is_empty() && !is_blank_here(line, layout, wanted) {
                if is_comment(line) {
                    rows.record(line, layout.separator);
                } else {
                    pending.add(number, at..at + length);
                }
            }
        }
        at += length;
        let ending = match (bytes.get(at), bytes.get(at + 1)) {
            (Some(b'\r'), Some(b'\n')) => 2,
            _ => 1,
        };
        at += ending;
        number += 1;
    }
    rows.take_footer(pending, text, layout, wanted);
    Ok(rows)
}

/// Lines that were meant as rows and cannot be read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Unread {
    pub count: usize,
    /// The first and the last of them: line and text.
    pub ends: Option<[(usize, String); 2]>,
}

impl Unread {
    pub(super) fn add(&mut self, line: usize, text: &str) {
        self.count += 1;
        let one = || (line, text.chars().take(200).collect::<String>());
        let [first, last] = self.ends.get_or_insert_with(|| [one(), one()]);
        if line < first.0 {
            *first = one();
        } else if line > last.0 {
            *last = one();
        }
    }

    /// Refuses a table of which too much cannot be read, beside `read` rows that can.
    pub(super) fn check(&self, read: usize) -> Result<(), (Option<usize>, Fault)> {
        let (count, total) = (self.count, read + self.count);
        #[allow(clippy::cast_precision_loss, reason = "counts are below 2^53")]
        let share = count as f64 / total.max(1) as f64;
        match &self.ends {
            Some([(line, first), (last_line, last)]) if share > MOST_UNREAD_SHARE => {
                let (first, last, last_line) = (first.clone(), last.clone(), *last_line);
                let fault = Fault::RowsUnread { count, total, first, last_line, last };
                Err((Some(*line), fault))
            }
            _ => Ok(()),
        }
    }

    /// Says how many there are and where.
    pub(super) fn warning(&self) -> Option<Warning> {
        let [(line, text), (last_line, last)] = self.ends.as_ref()?;
        let text = quoted(text);
        let said = match self.count {
            1 => format!("line {line} cannot be read as a row and was passed over: \"{text}\""),
            count => format!(
                "{count} rows cannot be read and were passed over: first line {line} \"{text}\", last \
                 line {last_line} \"{}\"",
                quoted(last)
            ),
        };
        Some(Warning::new("rows-passed-over", said))
    }
}

/// Returns whether all wanted cells of a line are there and empty: a row of the columns beside them.
fn is_blank_here(line: &str, layout: &Layout, wanted: Wanted<'_>) -> bool {
    let is_blank = |column: usize| {
        Cells::new(line, layout.separator).nth(column).is_some_and(|cell| cell.trim().is_empty())
    };
    is_blank(wanted.abscissa) && wanted.ordinates.iter().all(|&column| is_blank(column))
}

/// Returns whether a line that cannot be read as a row was meant as one: it holds nothing but numbers,
/// though written otherwise than the table, or one of its cells is the number that belongs there and the
/// other begins like one.
fn was_meant_as_row(line: &str, layout: &Layout, wanted: Wanted<'_>, axis: (f64, f64)) -> bool {
    const MARKS: &[char] = &['+', '-', '.', ',', '\u{2212}', '\'', 'e', 'E'];
    let parts = |c: char| matches!(c, ' ' | '\t' | ';');
    let numbers_alone = line.chars().all(|c| c.is_ascii_digit() || parts(c) || MARKS.contains(&c));
    let begins = |cell: &str| {
        let cell = cell.trim_start_matches(['+', '-', '\u{2212}', '"']);
        cell.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',')
    };
    if numbers_alone {
        let in_cells = line.split(parts).filter(|cell| begins(cell)).count();
        // "27.11.2026" is one number to nobody, and "3000.5,0.12" in a table of semicolons is two.
        let by_comma = line.split(',').filter(|cell| begins(cell)).count();
        return in_cells >= 2 || (by_comma == 2 && line.contains('.'));
    }
    let cells: Vec<&str> = Cells::new(line, layout.separator).take(CELLS_LOOKED_AT).collect();
    let Some(first) = cells.get(wanted.abscissa).filter(|cell| begins(cell)) else { return false };
    let ordinates = || wanted.ordinates.iter().filter_map(|&column| cells.get(column));
    let is_number = |cell: &str| whole(cell, layout.notation).is_some();
    match whole(first, layout.notation) {
        Some(abscissa) => ordinates().count() > 0 && abscissa >= axis.0 && abscissa <= axis.1,
        // A date or a time begins like a number.
        None => {
            !first.contains([':', '/'])
                && !first.get(1..).is_some_and(|rest| rest.contains('-'))
                && ordinates().any(|cell| is_number(cell))
        }
    }
}

/// Lines without an abscissa since the last row of numbers.
#[derive(Debug, Default)]
struct Pending {
    count: usize,
    /// The first of them: line and place. A footer keeps no more records than these.
    kept: Vec<(usize, Range<usize>)>,
    /// The last of them.
    last: Option<(usize, Range<usize>)>,
}

impl Pending {
    fn add(&mut self, line: usize, place: Range<usize>) {
        self.count += 1;
        if self.kept.len() < MOST_RECORDS {
            self.kept.push((line, place.clone()));
        }
        self.last = Some((line, place));
    }
}

impl Rows {
    /// Counts lines as strays, now that a row of numbers follows them.
    fn take_strays(&mut self, pending: &mut Pending, text: &str) {
        let count = std::mem::take(&mut pending.count);
        let first = pending.kept.drain(..).next();
        for (line, place) in first.into_iter().chain(pending.last.take().filter(|_| count > 1)) {
            self.unread.add(line, text.get(place).unwrap_or_default());
        }
        self.unread.count += count.saturating_sub(2);
    }

    /// Takes the lines behind the last row: rows that cannot be read, or a footer.
    fn take_footer(&mut self, pending: Pending, text: &str, layout: &Layout, wanted: Wanted<'_>) {
        if pending.count == 0 {
            return;
        }
        let axis = self.axis_and_beyond();
        let (mut looked_at, mut meant) = (0, 0);
        let last = pending.last.filter(|_| pending.count > pending.kept.len());
        for (line, place) in pending.kept.into_iter().chain(last) {
            let line_text = text.get(place).unwrap_or_default();
            looked_at += 1;
            if was_meant_as_row(line_text, layout, wanted, axis) {
                meant += 1;
                self.unread.add(line, line_text);
            } else {
                self.record(line_text, layout.separator);
            }
        }
        // Of more lines than are kept those between are like the ones that were looked at.
        if 2 * meant > looked_at {
            self.unread.count += pending.count - looked_at;
        }
    }

    /// Counts the lines right above the first row that look like rows.
    pub(super) fn count_unread_before(&mut self, head: &str, layout: &Layout, wanted: Wanted<'_>) {
        let axis = self.axis_and_beyond();
        let lines: Vec<Line<'_>> =
            Lines::new(head).filter(|line| !line.text.trim().is_empty()).collect();
        let is_row = |text: &str| !is_comment(text) && was_meant_as_row(text, layout, wanted, axis);
        for line in lines.iter().rev().take_while(|line| is_row(line.text)) {
            self.unread.add(line.number, line.text);
        }
    }

    /// The range of the abscissas, wide enough for those of rows that are lost at its ends.
    fn axis_and_beyond(&self) -> (f64, f64) {
        let (Some(&first), Some(&last)) = (self.abscissas.first(), self.abscissas.last()) else {
            return (0.0, 0.0);
        };
        let (low, high) = (first.min(last), first.max(last));
        let past = MOST_PAST_SHARE * (high - low);
        (low - past, high + past)
    }

    /// Makes room for about as many rows as the first line's length lets expect.
    fn with_room(bytes: &[u8], columns: usize) -> Self {
        let (length, ending) = line_length(bytes);
        // The first line may be far shorter than the others: a cell takes two bytes at least.
        let room = (bytes.len() / (length + ending).max(2 * (columns + 1)) + 1).min(MOST_POINTS);
        Self {
            abscissas: Vec::with_capacity(room),
            ordinates: (0..columns).map(|_| Vec::with_capacity(room)).collect(),
            first_missing: vec![None; columns],
            ..Self::default()
        }
    }

    /// Takes rows of two plain numbers with one separator between them, which nearly every file holds alone, up
    /// to the first that is different; returns where that one starts and how many were taken.
    fn plain_pairs(&mut self, bytes: &[u8], start: usize, layout: &Layout) -> (usize, usize) {
        let [ordinates] = &mut self.ordinates[..] else { return (start, 0) };
        let abscissas = &mut self.abscissas;
        let before = abscissas.len();
        let mut at = start;
        while abscissas.len() < MOST_POINTS {
            let Some((pair, length)) = plain_pair(bytes.get(at..).unwrap_or_default(), layout)
            else {
                break;
            };
            abscissas.push(pair.0);
            ordinates.push(pair.1);
            at += length;
        }
        (at, abscissas.len() - before)
    }

    fn record(&mut self, line: &str, separator: Separator) {
        if self.records.len() < MOST_RECORDS {
            let line: String = uncomment(line).chars().take(500).collect();
            self.records.push(split_note(&line, separator));
        }
    }

    /// Refuses a table most of whose wanted cells are empty, before memory is full of them.
    #[allow(clippy::cast_precision_loss, reason = "counts are below 2^53")]
    fn check_missing(&self, bytes: usize, line: usize) -> Result<(), (Option<usize>, Fault)> {
        if self.missing as f64 <= MOST_MISSING_PER_BYTE * bytes as f64 {
            return Ok(());
        }
        let total = (self.abscissas.len() + 1) * self.ordinates.len();
        let first = self.first_missing.iter().flatten().next().cloned().unwrap_or_default();
        Err((Some(line), Fault::NotNumbers { missing: self.missing, total, first }))
    }
}

/// Reads a line of two plain numbers with one separator between them; returns them and the length of the line
/// with its end, or `None` for every other line.
#[inline]
fn plain_pair(bytes: &[u8], layout: &Layout) -> Option<((f64, f64), usize)> {
    let decimal = layout.notation.decimal;
    let (abscissa, parts_at) = plain(bytes, decimal)?;
    let parts = *bytes.get(parts_at)?;
    let is_separator = match layout.separator.byte() {
        Some(separator) => parts == separator,
        None => parts == b' ' || parts == b'\t',
    };
    if !is_separator {
        return None;
    }
    let (ordinate, length) = plain(bytes.get(parts_at + 1..)?, decimal)?;
    let end = parts_at + 1 + length;
    let ending = match (bytes.get(end), bytes.get(end + 1)) {
        (Some(b'\n'), _) => 1,
        (Some(b'\r'), Some(b'\n')) => 2,
        (Some(b'\r'), _) => 1,
        _ => return None,
    };
    Some(((abscissa, ordinate), end + ending))
}

/// Reads a row in which every wanted cell is a plain number; returns the abscissa and the line's
/// end, or `None` for the slow path.
fn quick_row(
    bytes: &[u8],
    start: usize,
    layout: &Layout,
    wanted: Wanted<'_>,
    row: &mut [f64],
) -> Option<(f64, usize)> {
    let separator = layout.separator.byte();
    let decimal = layout.notation.decimal;
    let mut at = start;
    let mut column = 0;
    let mut filled = 0;
    let mut abscissa = None;
    let blank = |byte: u8| byte == b' ' || (byte == b'\t' && separator != Some(b'\t'));
    while filled < row.len() || abscissa.is_none() {
        while bytes.get(at).copied().is_some_and(blank) {
            at += 1;
        }
        let is_abscissa = column == wanted.abscissa;
        let is_ordinate = wanted.ordinates.get(filled) == Some(&column);
        if is_abscissa || is_ordinate {
            let (value, length) = leading(bytes.get(at..)?, decimal)?;
            at += length;
            if is_abscissa {
                abscissa = Some(value);
            } else {
                *row.get_mut(filled)? = value;
                filled += 1;
            }
        } else {
            at += skip_cell(bytes.get(at..)?, separator)?;
        }
        if filled == row.len() && abscissa.is_some() {
            break;
        }
        at += pass_separator(bytes.get(at..)?, separator)?;
        column += 1;
    }
    // The last number must end its cell.
    match bytes.get(at) {
        None => {}
        Some(&byte) if byte == b'\n' || byte == b'\r' => return Some((abscissa?, at)),
        Some(&byte) if blank(byte) || Some(byte) == separator => {}
        Some(_) => return None,
    }
    let rest = bytes.get(at..)?;
    let (length, _) = line_length(rest);
    let others = &rest[..length];
    let clean = match separator {
        Some(separator) => {
            let end = others.iter().position(|&b| b == separator).unwrap_or(length);
            others[..end].iter().all(|&b| blank(b))
        }
        None => true,
    };
    clean.then_some((abscissa?, at + length))
}

/// Returns the length of a cell that is not read; quotes take the slow path.
fn skip_cell(bytes: &[u8], separator: Option<u8>) -> Option<usize> {
    let length = bytes.iter().position(|&b| match separator {
        Some(separator) => b == separator || b == b'\n' || b == b'\r' || b == b'"',
        None => matches!(b, b' ' | b'\t' | b'\n' | b'\r' | b'"'),
    })?;
    (bytes.get(length) != Some(&b'"')).then_some(length)
}

/// Returns the length of what parts this cell from the next, or `None` where the line ends or the
/// cell goes on.
fn pass_separator(bytes: &[u8], separator: Option<u8>) -> Option<usize> {
    match separator {
        Some(separator) => {
            let blanks = bytes.iter().take_while(|&&b| b == b' ').count();
            (bytes.get(blanks) == Some(&separator)).then_some(blanks + 1)
        }
        None => {
            let blanks = bytes.iter().take_while(|&&b| b == b' ' || b == b'\t').count();
            (blanks > 0 && !matches!(bytes.get(blanks), None | Some(b'\n' | b'\r')))
                .then_some(blanks)
        }
    }
}

/// Reads any row; returns its abscissa, if it has one.
fn slow_row(
    line: &str,
    layout: &Layout,
    wanted: Wanted<'_>,
    row: &mut [f64],
    rows: &mut Rows,
) -> Option<f64> {
    let cells = || Cells::new(line, layout.separator);
    let abscissa = whole(cells().nth(wanted.abscissa)?, layout.notation)?;
    let mut cells = cells().enumerate();
    let places = wanted.ordinates.iter().zip(row).zip(&mut rows.first_missing);
    for ((&column, value), first_missing) in places {
        let cell = cells.find(|&(c, _)| c == column).map_or("", |(_, cell)| cell);
        *value = whole(cell, layout.notation).unwrap_or(f64::NAN);
        if value.is_nan() && is_parted_otherwise(cell) {
            return None;
        }
        if value.is_nan() && first_missing.is_none() {
            *first_missing = Some(cell.chars().take(200).collect());
        }
    }
    Some(abscissa)
}

/// Returns whether a cell holds numbers with another separator between them: the line is then no row of this
/// table, though the first of its cells may read as an abscissa.
fn is_parted_otherwise(cell: &str) -> bool {
    cell.contains([';', '\t'])
        && cell
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, ';' | '\t' | ' ' | '.' | ',' | '-' | '+'))
}

#[cfg(test)]
mod tests {
    use rand::{RngExt, SeedableRng};

    use super::*;
    use crate::read::layout;

    fn rows(text: &str, abscissa: usize, ordinates: &[usize]) -> Rows {
        let layout = layout::find(&layout::sample(text)).expect("a table");
        read(text, (0, 1), &layout, Wanted { abscissa, ordinates }).expect("rows")
    }

    #[test]
    fn reads_plain_rows_whatever_ends_the_lines() {
        for ending in ["\n", "\r\n", "\r"] {
            let text = ["4000,0.1", "3998,0.2", "3996,-3e-1"].join(ending);
            let found = rows(&text, 0, &[1]);
            assert_eq!(found.abscissas, [4000.0, 3998.0, 3996.0]);
            assert_eq!(found.ordinates[0], [0.1, 0.2, -0.3]);
            assert_eq!(found.lines, [(0, 1)]);
        }
    }

    #[test]
    fn picks_columns_in_any_place() {
        let text = "x;0,1;4000;5;y\nx;0,2;3998;6;y\nx;0,3;3996;7;y\n";
        let found = rows(text, 2, &[1, 3]);
        assert_eq!(found.abscissas, [4000.0, 3998.0, 3996.0]);
        assert_eq!(found.ordinates, [vec![0.1, 0.2, 0.3], vec![5.0, 6.0, 7.0]]);
        let found = rows("\"4000\" , \"1\"\n3998 , 2 \n 3996,3,\n", 0, &[1]);
        assert_eq!(found.ordinates, [vec![1.0, 2.0, 3.0]]);
    }

    #[test]
    fn keeps_the_line_of_a_row_behind_notes_and_blanks() {
        let found = rows("4000 1\n\n# paused\n3998 n.d.\n3996 3\nend of data\n", 0, &[1]);
        assert_eq!(found.lines, [(0, 1), (1, 4)]);
        assert!(found.ordinates[0][1].is_nan());
        assert_eq!(found.first_missing, [Some("n.d.".to_owned())]);
        assert_eq!(found.unread, Unread::default());
        let records: Vec<&str> = found.records.iter().map(|(_, value)| value.as_str()).collect();
        assert_eq!(records, ["paused", "end of data"]);
    }

    #[test]
    fn reads_the_same_numbers_on_every_path() {
        // The reference implementation: cells cut at the comma, numbers by the standard library.
        const SEED: u64 = 20_261_126;
        let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(SEED);
        for _ in 0..200 {
            let mut text = String::new();
            let mut expected: (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
            for i in 0..random.random_range(20..60) {
                let mut cell = |whole: i32| {
                    let digits: u32 = random.random_range(0..1_000_000);
                    match random.random_range(0..30) {
                        0 => format!("{whole}"),
                        1 => format!("{whole}.{digits:06}e-1"),
                        2 => format!(" {whole}.{digits:06} "),
                        3 => format!("{whole}.{digits:06}1234567890"),
                        4 => format!("-{whole}.{digits:06}"),
                        _ => format!("{whole}.{digits:06}"),
                    }
                };
                let (abscissa, ordinate) = (cell(4000 - i), cell(i % 2));
                let value = |cell: &str| cell.trim().parse::<f64>().expect("a number");
                expected.0.push(value(&abscissa));
                expected.1.push(value(&ordinate));
                let ending = ["\n", "\r\n", "\r"][random.random_range(0..3)];
                text.push_str(&format!("{abscissa},{ordinate}{ending}"));
            }
            let found = rows(&text, 0, &[1]);
            assert_eq!(found.abscissas, expected.0, "{text}");
            assert_eq!(found.ordinates, [expected.1], "{text}");
            assert_eq!(found.lines, [(0, 1)]);
        }
    }

    #[test]
    fn refuses_many_rows_without_an_abscissa() {
        let text = "4000 1\nx 2\n3998 3\ny 4\n3996 5\n";
        let layout = layout::find(&layout::sample(text)).expect("a table");
        let wanted = Wanted { abscissa: 0, ordinates: &[1] };
        let rows = read(text, (0, 1), &layout, wanted).expect("rows");
        let (line, fault) = rows.unread.check(rows.abscissas.len()).expect_err("too many");
        assert_eq!(line, Some(2));
        let (first, last) = ("x 2".to_owned(), "y 4".to_owned());
        assert_eq!(fault, Fault::RowsUnread { count: 2, total: 5, first, last_line: 4, last });
    }
}
