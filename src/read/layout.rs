//! How a text table is written: what parts its cells, and which mark is the decimal one.

use super::Fault;
use super::lines::{Cells, Line, Lines, Separator, trimmed};
use super::number::Notation;
use crate::spectrum::Warning;

/// Lines looked at from the start.
const LINES_LOOKED_AT: usize = 150;

/// Lines looked at from the middle and from three quarters on, where header lines are behind, and near the
/// end, where an axis has lost its thousands.
const LINES_LOOKED_AT_LATER: usize = 40;

/// How far before the end of a long text that last look begins, in bytes.
const END_BYTES: usize = 2_000;

/// Cells looked at in one line.
pub(super) const CELLS_LOOKED_AT: usize = 64;

/// The grade of a line whose every cell is a number.
const ALL_NUMBERS: u8 = 4;

/// The grade of a line with at least as many numbers as other cells.
const MOSTLY_NUMBERS: u8 = 2;

/// How the cells of a table are written.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub separator: Separator,
    pub notation: Notation,
    pub warning: Option<Warning>,
}

/// How one number-like cell uses its marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Marks {
    None,
    /// One kind of mark; whether it could part thousands.
    Point(bool),
    Comma(bool),
    PointThenComma,
    CommaThenPoint,
}

/// A line from the sample with its number where that is known.
pub(super) type Sampled<'a> = (Option<usize>, &'a str);

/// Returns lines with text from the start, the middle, the last quarter and the end.
pub(super) fn sample(text: &str) -> Vec<Sampled<'_>> {
    let with_text = |line: &Line<'_>| !trimmed(line.text).is_empty();
    let mut lines = Lines::new(text);
    let mut sampled = Vec::with_capacity(LINES_LOOKED_AT + 3 * LINES_LOOKED_AT_LATER);
    let first = lines.by_ref().filter(with_text).take(LINES_LOOKED_AT);
    sampled.extend(first.map(|line| (Some(line.number), line.text)));
    let (read_to, _) = lines.position();
    let near_end = text.len() - (text.len() / 8).min(END_BYTES);
    for place in [text.len() / 2, text.len() / 4 * 3, near_end] {
        if place <= read_to {
            continue;
        }
        let Some(start) = line_start_after(text, place) else { continue };
        let lines = Lines::from(text, start, 0).filter(with_text);
        sampled.extend(lines.take(LINES_LOOKED_AT_LATER).map(|line| (None, line.text)));
    }
    sampled
}

fn line_start_after(text: &str, place: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let end = bytes.get(place..)?.iter().position(|&b| b == b'\n' || b == b'\r')?;
    let start = place + end;
    let ending = if bytes.get(start..start + 2) == Some(b"\r\n") { 2 } else { 1 };
    Some(start + ending)
}

/// Finds separator and decimal mark.
///
/// # Errors
///
/// No line holds two numbers, or commas can be read two ways; the line's number comes with it.
pub(super) fn find(sample: &[Sampled<'_>]) -> Result<Layout, (Option<usize>, Fault)> {
    let held: Vec<u8> = sample.iter().map(|(_, line)| separators_in(line)).collect();
    let mut best = (0, Separator::Tab, Tally::default());
    for (place, separator) in Separator::ALL.into_iter().enumerate() {
        let mut tally = Tally::default();
        // One cell cannot hold two numbers; most lines hold one kind of separator alone.
        let sum = sample
            .iter()
            .zip(&held)
            .filter(|(_, held)| **held & (1 << place) != 0)
            .map(|((_, line), _)| usize::from(grade(line, separator, &mut tally)))
            .sum();
        if sum > best.0 {
            best = (sum, separator, tally);
        }
        if sum == usize::from(ALL_NUMBERS) * sample.len() {
            break;
        }
    }
    let (sum, separator, tally) = best;
    if sum == 0 {
        return Err(no_table(sample));
    }
    if separator == Separator::Comma
        && let Some(&(number, line)) = decimal_commas_between_commas(sample)
    {
        let found = line.to_owned();
        return Err((number, Fault::CommaTwoWays { found, other: "between columns" }));
    }
    let (notation, warning) = notation(sample, separator, &tally)?;
    Ok(Layout { separator, notation, warning })
}

/// Returns which separators a line holds: a bit for each, by its place among all.
fn separators_in(line: &str) -> u8 {
    const KINDS: [u8; 256] = {
        let mut kinds = [0; 256];
        kinds[b'\t' as usize] = 0b1001;
        kinds[b';' as usize] = 0b0010;
        kinds[b',' as usize] = 0b0100;
        kinds[b' ' as usize] = 0b1000;
        kinds
    };
    line.bytes().fold(0, |held, byte| held | KINDS[usize::from(byte)])
}

/// A line whose every cell is a number counts full, one with two numbers among text half. The marks of lines
/// that hold mostly numbers are added to the tally.
fn grade(line: &str, separator: Separator, tally: &mut Tally) -> u8 {
    let mut of_line = Tally::default();
    let (mut numbers, mut filled) = (0, 0);
    if let Some(all) = plain_numbers(line, separator, &mut of_line) {
        (numbers, filled) = (all, all);
    } else {
        of_line = Tally::default();
        for cell in Cells::new(line, separator).take(CELLS_LOOKED_AT) {
            filled += usize::from(!cell.is_empty());
            if let Some(marks) = marks(cell) {
                numbers += 1;
                of_line.count(marks);
            }
        }
    }
    let grade = match numbers {
        0 | 1 => 0,
        _ if numbers == filled => ALL_NUMBERS,
        _ if 2 * numbers >= filled => MOSTLY_NUMBERS,
        _ => 1,
    };
    if grade >= MOSTLY_NUMBERS {
        tally.add(&of_line);
    }
    grade
}

/// Counts the numbers of a line that holds nothing but plain ones, with one separator between two; `None` for
/// every other line. Nearly every line is such a one, and needs no look for blanks and quotes.
fn plain_numbers(line: &str, separator: Separator, tally: &mut Tally) -> Option<usize> {
    let mut numbers = 0;
    let parts = |byte: &u8| match separator.byte() {
        Some(separator) => *byte == separator,
        None => matches!(byte, b' ' | b'\t'),
    };
    for cell in line.as_bytes().split(parts).take(CELLS_LOOKED_AT) {
        tally.count(plain_marks(cell)?);
        numbers += 1;
    }
    Some(numbers)
}

fn no_table(sample: &[Sampled<'_>]) -> (Option<usize>, Fault) {
    let alone = sample.iter().filter(|(_, line)| marks(line.trim()).is_some()).count();
    let one_number = |line: &str| {
        Separator::ALL.iter().any(|&separator| {
            Cells::new(line, separator).next().is_some_and(|cell| marks(cell).is_some())
        })
    };
    if (2 * alone > sample.len() || sample.iter().filter(|(_, l)| one_number(l)).count() > 7)
        && let Some(&(number, line)) = sample.iter().find(|(_, line)| one_number(line))
    {
        return (number, Fault::OneColumn { found: line.to_owned() });
    }
    let first = sample.first().map_or("", |(_, line)| line);
    (None, Fault::NoColumns { first: first.to_owned() })
}

/// Returns how a cell that looks like a number uses its marks; `None` if it is no number.
fn marks(cell: &str) -> Option<Marks> {
    plain_marks(cell.as_bytes()).or_else(|| any_marks(cell))
}

/// The fast path for what nearly every cell is: digits with at most one sign and one mark.
fn plain_marks(cell: &[u8]) -> Option<Marks> {
    let cell = match cell {
        [b'-' | b'+', rest @ ..] => rest,
        _ => cell,
    };
    let digits = |bytes: &[u8]| bytes.iter().take_while(|b| b.is_ascii_digit()).count();
    let whole = digits(cell);
    let Some((mark, fraction)) = cell[whole..].split_first() else {
        return (whole > 0).then_some(Marks::None);
    };
    if digits(fraction) < fraction.len() || whole + fraction.len() == 0 {
        return None;
    }
    let grouped = (1..=3).contains(&whole) && cell[0] != b'0' && fraction.len() == 3;
    match mark {
        b'.' => Some(Marks::Point(grouped)),
        b',' => Some(Marks::Comma(grouped)),
        _ => None,
    }
}

/// The path for every cell.
fn any_marks(cell: &str) -> Option<Marks> {
    let cell = cell.trim().trim_start_matches(['+', '-', '\u{2212}', '\u{2013}']);
    if !cell.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return None;
    }
    let (mantissa, exponent) = match cell.find(['e', 'E']) {
        Some(at) => (&cell[..at], &cell[at + 1..]),
        None => (cell, "0"),
    };
    let exponent = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(exponent) || !mantissa.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    let (mut points, mut commas, mut last) = (0, 0, b' ');
    for byte in mantissa.bytes() {
        match byte {
            b'0'..=b'9' => {}
            b'.' => (points, last) = (points + 1, byte),
            b',' => (commas, last) = (commas + 1, byte),
            _ => return None,
        }
    }
    let grouped = |mark: char| {
        let mut groups = mantissa.split(mark);
        let first = groups.next().unwrap_or_default();
        (1..=3).contains(&first.len()) && !first.starts_with('0') && groups.all(|g| g.len() == 3)
    };
    match (points, commas) {
        (0, 0) => Some(Marks::None),
        (1, 0) => Some(Marks::Point(grouped('.'))),
        (0, 1) => Some(Marks::Comma(grouped(','))),
        (_, 0) => grouped('.').then_some(Marks::Point(true)),
        (0, _) => grouped(',').then_some(Marks::Comma(true)),
        (1, _) if last == b'.' => Some(Marks::CommaThenPoint),
        (_, 1) if last == b',' => Some(Marks::PointThenComma),
        _ => None,
    }
}

/// How often the cells of a table use their marks in which way.
#[derive(Debug, Default, PartialEq, Eq)]
struct Tally {
    points: usize,
    commas: usize,
    sure_points: usize,
    sure_commas: usize,
    comma_groups: usize,
    point_groups: usize,
}

impl Tally {
    fn count(&mut self, marks: Marks) {
        match marks {
            Marks::None => {}
            Marks::Point(grouped) => {
                self.points += 1;
                self.sure_points += usize::from(!grouped);
            }
            Marks::Comma(grouped) => {
                self.commas += 1;
                self.sure_commas += usize::from(!grouped);
            }
            Marks::CommaThenPoint => {
                self.comma_groups += 1;
                self.sure_points += 1;
            }
            Marks::PointThenComma => {
                self.point_groups += 1;
                self.sure_commas += 1;
            }
        }
    }

    fn add(&mut self, other: &Self) {
        self.points += other.points;
        self.commas += other.commas;
        self.sure_points += other.sure_points;
        self.sure_commas += other.sure_commas;
        self.comma_groups += other.comma_groups;
        self.point_groups += other.point_groups;
    }
}

/// Decides which mark is the decimal one, from the lines that hold numbers.
fn notation(
    sample: &[Sampled<'_>],
    separator: Separator,
    tally: &Tally,
) -> Result<(Notation, Option<Warning>), (Option<usize>, Fault)> {
    let &Tally { points, commas, sure_points, sure_commas, comma_groups, point_groups } = tally;
    let point = |thousands| Notation { decimal: b'.', thousands };
    let comma = |thousands| Notation { decimal: b',', thousands };
    let warn = |mark: &str, decimal: &str| {
        let text = format!("{mark} read as marks between thousands, {decimal} as decimal marks");
        Some(Warning::new("thousands-marks", text))
    };
    if sure_points > 0 && sure_commas > 0 {
        let holds_numbers = |line| grade(line, separator, &mut Tally::default()) >= MOSTLY_NUMBERS;
        let &(number, line) = sample
            .iter()
            .find(|(_, line)| line.contains(',') && holds_numbers(line))
            .unwrap_or(&(None, ""));
        let found = line.to_owned();
        return Err((number, Fault::CommaTwoWays { found, other: "thousands" }));
    }
    if commas == 0 && comma_groups == 0 && point_groups == 0 {
        return Ok((point(None), None));
    }
    if comma_groups > 0 || (sure_points > 0 && commas > 0) {
        return Ok((point(Some(b',')), warn("commas", "points")));
    }
    if point_groups > 0 || (sure_commas > 0 && points > 0) {
        return Ok((comma(Some(b'.')), warn("points", "commas")));
    }
    Ok((comma(None), None))
}

/// Finds the mark of a table whose commas stand both between columns and within numbers: whole
/// numbers only, and in the place of the ordinate's units hardly anything but 0.
fn decimal_commas_between_commas<'s, 't>(sample: &'s [Sampled<'t>]) -> Option<&'s Sampled<'t>> {
    /// So many lines must agree.
    const LEAST_LINES: usize = 8;
    let mut first = None;
    let mut lines = 0;
    for sampled in sample {
        let cells: Vec<&str> =
            Cells::new(sampled.1, Separator::Comma).take(CELLS_LOOKED_AT).collect();
        let whole_numbers = cells.iter().all(|cell| marks(cell) == Some(Marks::None));
        if !whole_numbers {
            if cells.iter().filter(|cell| marks(cell).is_some()).count() >= 2 {
                return None;
            }
            continue;
        }
        if !matches!(cells.len(), 3 | 4) {
            return None;
        }
        let units = cells[cells.len() - 2].trim_start_matches(['-', '+']);
        if !matches!(units, "0" | "1" | "2") || cells[cells.len() - 1].len() < 2 {
            return None;
        }
        lines += 1;
        first = first.or(Some(sampled));
    }
    first.filter(|_| lines >= LEAST_LINES)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layout(text: &str) -> (Separator, u8, Option<u8>) {
        let found = find(&sample(text)).expect("a table");
        (found.separator, found.notation.decimal, found.notation.thousands)
    }

    fn fault(text: &str) -> (Option<usize>, String) {
        let (line, fault) = find(&sample(text)).expect_err("a fault");
        (line, fault.to_string())
    }

    #[test]
    fn tells_separators_and_decimal_marks_apart() {
        assert_eq!(layout("4000.5,0.1\n3998.5,0.2\n"), (Separator::Comma, b'.', None));
        assert_eq!(layout("4000, 98\n3998, 97\n"), (Separator::Comma, b'.', None));
        assert_eq!(layout("4000,5;0,1\n3998,5;0,2\n"), (Separator::Semicolon, b',', None));
        assert_eq!(layout("4000,5\t0,1\n3998,5\t0,2\n"), (Separator::Tab, b',', None));
        assert_eq!(layout("4000,5 0,1\n3998,5  0,2\n"), (Separator::Blanks, b',', None));
        assert_eq!(layout("  4000.5   1.0E-01\n"), (Separator::Blanks, b'.', None));
        assert_eq!(layout("\"4000,5\",\"0,1\"\n"), (Separator::Comma, b',', None));
    }

    #[test]
    fn counts_plain_lines_as_it_counts_their_cells() {
        let lines =
            ["4000.5,0.1", "4000,1", "-1.5;+0,25", "1 2 3", "1\t2", "1,2,", ",1", "1", "", "a,1"];
        for separator in Separator::ALL {
            for line in lines {
                let mut tally = Tally::default();
                let Some(count) = plain_numbers(line, separator, &mut tally) else { continue };
                let mut by_cells = Tally::default();
                let cells = Cells::new(line, separator).map(|cell| any_marks(cell).expect(line));
                let all = cells.map(|marks| by_cells.count(marks)).count();
                assert_eq!((count, tally), (all, by_cells), "{line} by {separator:?}");
            }
        }
        let count = |line, separator| plain_numbers(line, separator, &mut Tally::default());
        assert_eq!(count("4000.5,0.1", Separator::Comma), Some(2));
        assert_eq!(count("1 2 3", Separator::Blanks), Some(3));
        assert_eq!(count("1,2,", Separator::Comma), None);
    }

    #[test]
    fn takes_marks_between_thousands_where_they_are_plain() {
        assert_eq!(layout("1,735.5 0.41\n998.1 0.4\n"), (Separator::Blanks, b'.', Some(b',')));
        assert_eq!(layout("1,735 0.41\n998 0.4\n"), (Separator::Blanks, b'.', Some(b',')));
        assert_eq!(layout("1.735,5;0,41\n998,1;0,4\n"), (Separator::Semicolon, b',', Some(b'.')));
    }

    #[test]
    fn refuses_commas_that_stand_for_two_things() {
        let mut text = String::from("cm-1,A\n");
        for i in 0..10 {
            text.push_str(&format!("{},5,0,1{i}\n", 4000 - i));
        }
        assert_eq!(
            fault(&text),
            (
                Some(2),
                "\"4000,5,0,10\": comma read two ways, decimal or between columns; \
                 save with a semicolon between columns"
                    .into()
            )
        );
        assert_eq!(
            fault("4000.5 0,11\n3998.5 0,12\n").1,
            "\"4000.5 0,11\": comma read two ways, decimal or thousands; \
             save with a semicolon between columns"
        );
    }

    #[test]
    fn says_what_is_missing_where_there_is_no_table() {
        assert_eq!(
            fault("a letter\nto somebody\n").1,
            "no line holds two numbers (first line: \"a letter\"); \
             readable: two-column text, JCAMP-DX"
        );
        let (line, text) = fault("title\n1\n2\n3\n4\n");
        assert_eq!(line, Some(2));
        assert!(text.starts_with("\"1\": one number a line"), "{text}");
    }

    #[test]
    fn looks_behind_a_long_header() {
        let mut text = String::new();
        for i in 0..400 {
            text.push_str(&format!("note {i}: made up\n"));
        }
        for i in 0..2000 {
            text.push_str(&format!("{};0,1\n", 4000 - i));
        }
        assert_eq!(layout(&text), (Separator::Semicolon, b',', None));
    }
}
