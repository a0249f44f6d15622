//! The lines before a table's numbers: headings, units and notes.

use super::finish::overridden;
use super::found::AbscissaUnit;
use super::layout::Layout;
use super::lines::{Cells, Lines, Separator};
use super::number::whole;
use super::words::{self, AbscissaWord, OrdinateWord};
use super::{Fault, ReadOptions};
use crate::spectrum::{MeasurementMode, Ordinate, Warning};

/// Header lines kept; longer headers are cut, their words still count up to here.
const MOST_LINES: usize = 500;

/// Characters kept of one header line.
const LONGEST_LINE: usize = 500;

/// The last rows before the numbers that may be headings: names and units.
const HEADING_ROWS: usize = 2;

/// Marks that open a comment line.
const COMMENT_MARKS: [&str; 7] = ["#", "//", ";", "!", "%", "$$", "'"];

/// What stands before the numbers.
#[derive(Clone, Debug, Default)]
pub(super) struct Header {
    /// Rows with as many cells as the numbers below: line and cells; at most the last two.
    headings: Vec<(usize, Vec<String>)>,
    /// All lines as name and value, in file order.
    pub records: Vec<(String, String)>,
    /// The sample's name, where a note gives it.
    pub title: Option<String>,
    /// The nominal resolution as the notes state it.
    pub resolution: Option<String>,
    /// The mode, where the notes agree on one.
    pub mode: Option<MeasurementMode>,
    /// The ordinate, where the notes agree on one.
    noted_ordinate: Option<Ordinate>,
    /// A note's ordinate that cannot become absorbance.
    noted_refusal: Option<HeadingFault>,
    /// The abscissa's unit, where a note names it.
    noted_abscissa: Option<AbscissaUnit>,
}

/// A fault in a heading with its line.
pub(super) type HeadingFault = (usize, Fault);

/// Reads the lines of `text` before byte `end` as the header of a table `columns` wide.
pub(super) fn read(text: &str, end: usize, layout: &Layout, columns: usize) -> Header {
    let mut header = Header::default();
    let mut modes = Agreement::default();
    let mut ordinates = Agreement::default();
    let mut free_title = None;
    let head = text.get(..end).unwrap_or_default();
    for line in Lines::new(head).filter(|line| !line.text.trim().is_empty()).take(MOST_LINES) {
        let shown: String = line.text.trim().chars().take(LONGEST_LINE).collect();
        let plain = uncomment(&shown);
        // The raw line first: what looks like a comment mark may be the separator.
        let heading = heading_cells(line.text, layout, columns)
            .or_else(|| heading_cells(uncomment(line.text), layout, columns))
            .filter(|cells| !is_setting(cells));
        let (name, value) = split_note(plain, layout.separator);
        if let Some(mode) = words::mode_in_text(plain) {
            modes.add(mode);
        }
        if heading.is_none() {
            note(&mut header, &mut ordinates, (line.number, plain), &name, &value);
            if name.is_empty() && free_title.is_none() {
                free_title = Some(value.clone());
            }
        } else if let Some(key) = Key::of(&name) {
            key.keep(&mut header, &value);
        }
        header.records.push((name, value));
        if let Some(cells) = heading {
            // A line that only looks like headings because a title holds the separator is a title.
            if header.headings.len() == HEADING_ROWS {
                header.headings.remove(0);
            }
            header.headings.push((line.number, cells));
        }
    }
    header.mode = modes.one();
    header.noted_ordinate = ordinates.one();
    header.title = header.title.take().or(free_title);
    header
}

impl Header {
    /// Returns the unit of the abscissa in `column`, `None` where the file is silent.
    pub(super) fn abscissa(&self, column: usize) -> Result<Option<AbscissaUnit>, HeadingFault> {
        for (line, cells) in self.headings.iter().rev() {
            let Some(cell) = cells.get(column) else { continue };
            match words::abscissa(cell) {
                Some(AbscissaWord::Unit(unit)) => return Ok(Some(unit)),
                Some(AbscissaWord::Refused(reason)) => {
                    return Err((*line, Fault::AbscissaUnit { found: cell.clone(), reason }));
                }
                Some(AbscissaWord::Unnamed) | None => {}
            }
        }
        Ok(self.noted_abscissa)
    }

    /// Returns the ordinate of `column`, `None` where the file is silent.
    pub(super) fn ordinate(&self, column: usize) -> Result<Option<Ordinate>, HeadingFault> {
        match (self.ordinate_over(column)?.or(self.noted_ordinate), &self.noted_refusal) {
            (None, Some(refusal)) => Err(refusal.clone()),
            (found, _) => Ok(found),
        }
    }

    /// As [`Header::ordinate`]; one that is refused gives way to what the user states, which is remarked.
    pub(super) fn ordinate_unless_stated(
        &self,
        column: usize,
        options: &ReadOptions,
        warnings: &mut Vec<Warning>,
    ) -> Result<Option<Ordinate>, HeadingFault> {
        match (self.ordinate(column), options.ordinate) {
            (Err((line, fault)), Some(said)) => {
                warnings.push(overridden(said, &format!("line {line} says {fault}")));
                Ok(None)
            }
            (found, _) => found,
        }
    }

    /// Returns the ordinate that the headings over `column` name.
    pub(super) fn ordinate_over(&self, column: usize) -> Result<Option<Ordinate>, HeadingFault> {
        for (line, cells) in self.headings.iter().rev() {
            let Some(cell) = cells.get(column) else { continue };
            match words::ordinate(cell) {
                Some(OrdinateWord::Known(ordinate)) => return Ok(Some(ordinate)),
                Some(OrdinateWord::Refused(reason)) => {
                    return Err((*line, Fault::OrdinateUnit { found: cell.clone(), reason }));
                }
                None => {}
            }
        }
        Ok(None)
    }

    /// Returns whether a heading calls `column` an abscissa, and not an ordinate of some unit over it.
    pub(super) fn calls_abscissa(&self, column: usize) -> bool {
        self.cells(column)
            .any(|cell| words::abscissa(cell).is_some() && words::ordinate(cell).is_none())
    }

    /// Returns whether the heading next above `column` names an ordinate, and no spread or baseline of one.
    pub(super) fn calls_ordinate(&self, column: usize) -> bool {
        self.cells(column).next().is_some_and(words::is_plain_ordinate)
    }

    /// Returns the headings of `column`, the lowest first.
    pub(super) fn cells(&self, column: usize) -> impl Iterator<Item = &str> {
        self.headings
            .iter()
            .rev()
            .filter_map(move |(_, cells)| cells.get(column).map(String::as_str))
            .filter(|cell| !cell.is_empty())
    }

    /// Returns names for `columns` that tell spectra apart: all there, all different, none of them
    /// a mere ordinate's word.
    pub(super) fn names(&self, columns: &[usize]) -> Option<Vec<String>> {
        self.headings.iter().rev().find_map(|(_, cells)| {
            let names: Vec<String> = columns
                .iter()
                .map(|&column| cells.get(column).cloned().unwrap_or_default())
                .collect();
            let mut sorted: Vec<&String> = names.iter().collect();
            sorted.sort();
            sorted.dedup();
            let told_apart = sorted.len() == names.len();
            let usable = names.iter().all(|name| {
                !name.is_empty()
                    && !words::is_bare_ordinate(name)
                    && words::abscissa(name).is_none()
            });
            (told_apart && usable).then_some(names)
        })
    }
}

/// Returns the cells of a line that is as wide as the table and holds a word.
fn heading_cells(line: &str, layout: &Layout, columns: usize) -> Option<Vec<String>> {
    if Cells::new(line, layout.separator).take(columns.saturating_add(1)).count() != columns {
        return None;
    }
    let cells: Vec<String> = Cells::new(line, layout.separator)
        .map(|cell| cell.chars().take(LONGEST_LINE).collect())
        .collect();
    let words = cells
        .iter()
        .filter(|cell| !cell.is_empty() && whole(cell, layout.notation).is_none())
        .count();
    (words > 0).then_some(cells)
}

/// Returns whether the cells are the name and the value of a setting, and head no columns: a spectrum's
/// table is as wide as a list of settings.
fn is_setting(cells: &[String]) -> bool {
    let Some((name, values)) = cells.split_first() else { return false };
    let is_quantity = |cell: &String| {
        cell.starts_with(|c: char| c.is_ascii_digit())
            && !cell.starts_with("1/")
            && words::abscissa(cell).is_some()
    };
    // "Start, 4000 cm-1"; but "cm-1, 4 cm-1, 8 cm-1" names spectra by their resolution.
    if values.iter().any(is_quantity) && words::abscissa(name).is_none() {
        return true;
    }
    let [value] = values else { return false };
    match Key::of(name) {
        Some(Key::Resolution) => true,
        Some(Key::Abscissa) => words::abscissa(value).is_some(),
        Some(Key::Ordinate) => words::ordinate(value).is_some(),
        Some(Key::Title) | None => false,
    }
}

fn note(
    header: &mut Header,
    ordinates: &mut Agreement<Ordinate>,
    (number, line): (usize, &str),
    name: &str,
    value: &str,
) {
    if let Some(key) = Key::of(name) {
        match key {
            Key::Ordinate => match words::ordinate(value) {
                Some(OrdinateWord::Known(found)) => ordinates.add(found),
                Some(OrdinateWord::Refused(reason)) => {
                    let fault = Fault::OrdinateUnit { found: value.to_owned(), reason };
                    header.noted_refusal = Some((number, fault));
                }
                None => {}
            },
            Key::Abscissa => {
                if let Some(AbscissaWord::Unit(unit)) = words::abscissa(value) {
                    header.noted_abscissa = Some(unit);
                }
            }
            Key::Title | Key::Resolution => key.keep(header, value),
        }
        return;
    }
    if let Some(found) = words::ordinate_in_text(line) {
        ordinates.add(found);
    }
}

/// The notes that mean something to the reader.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Key {
    Title,
    Resolution,
    Ordinate,
    Abscissa,
}

impl Key {
    fn of(name: &str) -> Option<Self> {
        const TITLES: [&str; 10] = [
            "title",
            "sample",
            "sample name",
            "sample id",
            "name",
            "probe",
            "probenname",
            "échantillon",
            "muestra",
            "campione",
        ];
        let name = name.to_lowercase();
        let starts = |words: &[&str]| words.iter().any(|word| name.starts_with(word));
        if TITLES.contains(&name.as_str()) {
            Some(Self::Title)
        } else if starts(&["resolution", "auflösung", "résolution", "resolución", "risoluzione"])
        {
            Some(Self::Resolution)
        } else if starts(&[
            "y unit", "y-unit", "yunit", "y axis", "y-axis", "yaxis", "y label", "ordinate", "y",
        ]) && (name.len() == 1 || !starts(&["year"]))
        {
            Some(Self::Ordinate)
        } else if starts(&[
            "x unit", "x-unit", "xunit", "x axis", "x-axis", "xaxis", "x label", "abscissa",
        ]) || name == "x"
        {
            Some(Self::Abscissa)
        } else {
            None
        }
    }

    fn keep(self, header: &mut Header, value: &str) {
        if value.is_empty() {
            return;
        }
        match self {
            Self::Title if header.title.is_none() => header.title = Some(value.to_owned()),
            Self::Resolution if header.resolution.is_none() => {
                // "4 cm-1" and "4.0" alike: the number is what is stated.
                let number: String = value
                    .chars()
                    .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
                    .collect();
                if !number.is_empty() {
                    header.resolution = Some(number.replace(',', "."));
                }
            }
            _ => {}
        }
    }
}

/// What several lines say, as long as they agree.
#[derive(Clone, Copy, Debug)]
struct Agreement<T> {
    said: Option<T>,
    torn: bool,
}

impl<T> Default for Agreement<T> {
    fn default() -> Self {
        Self { said: None, torn: false }
    }
}

impl<T: PartialEq + Copy> Agreement<T> {
    fn add(&mut self, said: T) {
        self.torn |= self.said.is_some_and(|before| before != said);
        self.said = Some(said);
    }

    fn one(self) -> Option<T> {
        self.said.filter(|_| !self.torn)
    }
}

/// Returns a line without its comment mark.
pub(super) fn uncomment(line: &str) -> &str {
    let mut line = line.trim();
    while let Some(rest) = COMMENT_MARKS
        .iter()
        .find_map(|mark| line.strip_prefix(mark))
        .filter(|_| !line.starts_with("%T"))
    {
        line = rest.trim_start();
    }
    line
}

/// Returns whether a line is a comment.
pub(super) fn is_comment(line: &str) -> bool {
    let line = line.trim_start();
    COMMENT_MARKS.iter().any(|mark| line.starts_with(mark))
}

/// Splits a note into name and value; a line without either mark is all value.
pub(super) fn split_note(line: &str, separator: Separator) -> (String, String) {
    let mark = line.find([':', '=']).or_else(|| match separator.byte() {
        Some(byte) => line.find(char::from(byte)),
        None => line.find('\t'),
    });
    match mark {
        Some(at) => {
            let (name, value) = line.split_at(at);
            let value = value.trim_start_matches([':', '=', ',', ';', '\t', ' ']);
            (name.trim().trim_matches('"').to_owned(), value.trim().trim_matches('"').to_owned())
        }
        None => (String::new(), line.trim().to_owned()),
    }
}
