//! Rows of numbers, fast: one pass over the bytes, no allocation a line.

use std::ops::Range;

use super::Fault;
use super::finish::MOST_POINTS;
use super::header::{is_comment, split_note, uncomment};
use super::layout::Layout;
use super::lines::{Cells, Separator, line_length};
use super::number::{leading, plain, whole};

/// Rows without an abscissa beyond this share are an error.
const MOST_STRAY_SHARE: f64 = 0.05;

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
    /// Rows between the first and the last row of numbers that hold no abscissa.
    pub stray: usize,
    /// The first of them: line and text.
    pub first_stray: Option<(usize, String)>,
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
/// More points than a spectrum may hold, or too many rows without an abscissa.
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
            if !line.trim().is_empty() {
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
    for (_, place) in pending.kept {
        rows.record(text.get(place).unwrap_or_default(), layout.separator);
    }
    rows.check_strays()?;
    Ok(rows)
}

/// Lines without an abscissa since the last row of numbers.
#[derive(Debug, Default)]
struct Pending {
    count: usize,
    /// The first of them: line and place. A footer keeps no more records than these.
    kept: Vec<(usize, Range<usize>)>,
}

impl Pending {
    fn add(&mut self, line: usize, place: Range<usize>) {
        self.count += 1;
        if self.kept.len() < MOST_RECORDS {
            self.kept.push((line, place));
        }
    }
}

impl Rows {
    /// Counts lines as strays, now that a row of numbers follows them.
    fn take_strays(&mut self, pending: &mut Pending, text: &str) {
        self.stray += std::mem::take(&mut pending.count);
        if let Some((line, place)) = pending.kept.drain(..).next() {
            self.first_stray
                .get_or_insert_with(|| (line, text.get(place).unwrap_or_default().to_owned()));
        }
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

    fn check_strays(&self) -> Result<(), (Option<usize>, Fault)> {
        let total = self.abscissas.len() + self.stray;
        #[allow(clippy::cast_precision_loss, reason = "counts are below 2^53")]
        let share = self.stray as f64 / total.max(1) as f64;
        match &self.first_stray {
            Some((line, text)) if share > MOST_STRAY_SHARE => Err((
                Some(*line),
                Fault::AbscissasMissing { count: self.stray, total, first: text.clone() },
            )),
            _ => Ok(()),
        }
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
/// end, or `None` for the slow road.
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

/// Returns the length of a cell that is not read; quotes take the slow road.
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
        if value.is_nan() && first_missing.is_none() {
            *first_missing = Some(cell.chars().take(200).collect());
        }
    }
    Some(abscissa)
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
        assert_eq!(found.stray, 0);
        let records: Vec<&str> = found.records.iter().map(|(_, value)| value.as_str()).collect();
        assert_eq!(records, ["paused", "end of data"]);
    }

    #[test]
    fn reads_the_same_numbers_on_every_road() {
        // The slow twin: cells cut at the comma, numbers by the standard library.
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
        let (line, fault) = read(text, (0, 1), &layout, wanted).expect_err("too many");
        assert_eq!(line, Some(2));
        assert_eq!(fault, Fault::AbscissasMissing { count: 2, total: 5, first: "x 2".to_owned() });
    }
}
