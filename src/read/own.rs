//! What `bandlore read --format csv` writes: a line a point, one spectrum below the other.

use super::finish::finish;
use super::found::{Found, MOST_POINTS};
use super::lines::{Cells, Line, Lines, Separator};
use super::number::{Notation, whole};
use super::rows::Unread;
use super::source::Source;
use super::{Error, Fault, ReadOptions};
use crate::spectrum::{MeasurementMode, Ordinate, Spectrum, Warning};

/// Lines before the heading that may be comments.
const MOST_COMMENTS: usize = 10;

/// The heading of the ordinate where heights were corrected for depth.
const CORRECTED: &str = "absorbance_corrected_for_depth";

/// How the file is written: as it was, or as a spreadsheet saved it again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Heading {
    separator: Separator,
    notation: Notation,
    with_file: bool,
    corrected: bool,
    /// Where the line behind it starts: byte and number.
    next: (usize, usize),
}

/// Finds the heading that no other program writes.
pub(super) fn find(text: &str) -> Option<Heading> {
    if !text.starts_with(['#', 'b', 'f', '"']) {
        return None;
    }
    let mut lines = Lines::new(text);
    let heading = lines.by_ref().take(MOST_COMMENTS).find(|line| !line.text.starts_with('#'))?;
    let separator = [Separator::Comma, Separator::Semicolon, Separator::Tab]
        .into_iter()
        .find(|s| s.byte().is_some_and(|byte| heading.text.contains(char::from(byte))))?;
    let mut cells: Vec<&str> = Cells::new(heading.text, separator).take(6).collect();
    let with_file = cells.first() == Some(&"file");
    if with_file {
        cells.remove(0);
    }
    let corrected = match cells.as_slice() {
        ["block", "wavenumber_cm1", "absorbance", "flag"] => false,
        ["block", "wavenumber_cm1", CORRECTED, "flag"] => true,
        _ => return None,
    };
    // A spreadsheet that parts cells otherwise has a decimal comma.
    let first = lines.clone().next().map_or("", |line| line.text);
    let comma = separator != Separator::Comma && first.contains(',');
    let notation = Notation { decimal: if comma { b',' } else { b'.' }, thousands: None };
    Some(Heading { separator, notation, with_file, corrected, next: lines.position() })
}

/// Reads the spectra, one at a time.
pub(super) fn read(
    text: String,
    heading: Heading,
    source: Source,
    options: ReadOptions,
) -> impl Iterator<Item = Result<Spectrum, Error>> + Send {
    Points { next: heading.next, text, heading, source, options, block: 0, over: false }
}

struct Points {
    text: String,
    heading: Heading,
    source: Source,
    options: ReadOptions,
    /// Where the next line starts: byte and number.
    next: (usize, usize),
    /// Spectra met so far.
    block: usize,
    over: bool,
}

/// One line's cells.
struct Point<'a> {
    /// File and block: what parts one spectrum from the next.
    whose: (&'a str, &'a str),
    wavenumber_cm1: f64,
    absorbance: f64,
}

impl Points {
    fn point<'a>(&self, line: &Line<'a>) -> Option<Point<'a>> {
        let mut cells = Cells::new(line.text, self.heading.separator);
        let file = if self.heading.with_file { cells.next()? } else { "" };
        let whose = (file, cells.next()?);
        let mut number = || whole(cells.next()?, self.heading.notation);
        let (wavenumber_cm1, absorbance) = (number()?, number()?);
        // A filler was written as zero, which it never measured.
        let measured = cells.next()? != "padded";
        let absorbance = if measured { absorbance } else { f64::NAN };
        Some(Point { whose, wavenumber_cm1, absorbance })
    }

    /// Reads the lines of the next spectrum, as far as the first of the one behind it.
    fn found(&mut self) -> Option<(Found, Unread)> {
        let mut found = Found { gaps_are_stated: true, one_scale: true, ..Found::default() };
        let mut unread = Unread::default();
        let mut whose = None;
        let (mut next, mut expected_line) = (self.next, 0);
        for line in Lines::from(&self.text, self.next.0, self.next.1) {
            if let Some(point) = self.point(&line) {
                if *whose.get_or_insert(point.whose) != point.whose
                    || found.abscissas.len() > MOST_POINTS
                {
                    break;
                }
                if line.number != expected_line {
                    found.lines.push((found.abscissas.len(), line.number));
                }
                expected_line = line.number + 1;
                found.abscissas.push(point.wavenumber_cm1);
                found.ordinates.push(point.absorbance);
            } else if !line.text.trim().is_empty() {
                unread.add(line.number, line.text);
            }
            let end = line.start + line.text.len();
            let (_, ending) = super::lines::line_length(self.text.get(end..)?.as_bytes());
            next = (end + ending, line.number + 1);
        }
        let (file, block) = whose?;
        let mut provenance = self.source.provenance(self.block + 1);
        let name = if file.is_empty() { String::new() } else { format!("{file}, ") };
        provenance.title = Some(format!("{name}spectrum {block}"));
        found.provenance = provenance;
        self.next = next;
        Some((found, unread))
    }

    fn finish(&self, mut found: Found, unread: &Unread) -> Result<Spectrum, Error> {
        let file = found.provenance.file.clone();
        unread.check(found.abscissas.len()).map_err(|(line, fault)| Error::Content {
            file,
            line,
            fault,
        })?;
        found.ordinate = Some(Ordinate::Absorbance);
        found.warnings.extend(self.source.warnings.iter().cloned());
        found.warnings.extend(unread.warning());
        if self.heading.corrected {
            found.mode = Some(MeasurementMode::Transmission);
            found.warnings.push(Warning::new(
                "corrected-for-depth",
                "heights were corrected for depth by `read --as-transmission`; read as transmission",
            ));
        }
        finish(found, &self.options)
    }
}

impl Iterator for Points {
    type Item = Result<Spectrum, Error>;

    fn next(&mut self) -> Option<Self::Item> {
        while !self.over {
            let Some((found, unread)) = self.found() else {
                self.over = true;
                let fault = match self.options.block {
                    Some(wanted) if wanted > self.block || wanted == 0 => {
                        Fault::NoSuchBlock { wanted, present: self.block }
                    }
                    _ if self.block == 0 => Fault::Empty,
                    _ => return None,
                };
                return Some(Err(Error::whole(&self.source.file, fault)));
            };
            self.block += 1;
            if self.options.block.is_none_or(|wanted| wanted == self.block) {
                return Some(self.finish(found, &unread));
            }
        }
        None
    }
}
