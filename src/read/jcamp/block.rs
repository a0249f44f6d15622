//! One block: its header, whether it can be read, and its data table.

use super::asdf::Place;
use super::blocks::Block;
use super::error::{Error, Located};
use super::header::Header;
use super::labels::{label_at, line_after, next_label, plain};
use super::words;
use super::xydata::{self, Form, Table};
use crate::read::found::{AbscissaUnit, MOST_POINTS};

/// Share of the stated range by which pairs may lie outside it: FIRSTX and LASTX are rounded.
const RANGE_SLACK: f64 = 0.01;

/// The head of the data table of a block.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct TableHead {
    /// Its label as written.
    pub(super) written: String,
    /// Its label as compared.
    key: String,
    /// The words after it: its form.
    words: String,
    /// Where its data lines begin.
    data: Place,
    /// The line of its label.
    pub(super) line: usize,
}

/// The labels of a block up to its data table.
#[derive(Debug)]
pub(super) struct Head {
    pub(super) header: Header,
    pub(super) table: Option<TableHead>,
}

/// Reads the labels of a block up to its first data table.
pub(super) fn head(text: &str, block: &Block) -> Result<Head, Located> {
    let mut head = Head { header: Header::default(), table: None };
    take_labels(text, block, block.start, &mut head)?;
    Ok(head)
}

/// Reads labels from `place` on, up to the first data table where none was met before.
fn take_labels(
    text: &str,
    block: &Block,
    mut place: Place,
    head: &mut Head,
) -> Result<(), Located> {
    while place.offset < block.end {
        let Some(label) = label_at(text, place) else { break };
        let after = line_after(text, place);
        let key = label.key();
        if matches!(
            key.as_str(),
            "XYDATA" | "XYPOINTS" | "PEAKTABLE" | "PEAKASSIGNMENTS" | "DATATABLE" | "NTUPLES"
        ) {
            let words = plain(&text[label.value.offset..after.offset]);
            head.header.records.push((label.written.to_owned(), words.clone()));
            if head.table.is_none() {
                let written = label.written.to_owned();
                head.table = Some(TableHead { written, key, words, data: after, line: label.line });
                return Ok(());
            }
            place = next_label(text, after);
            continue;
        }
        let next = next_label(text, after);
        let value = &text[label.value.offset..next.offset.min(block.end)];
        head.header.take(label.written, &key, value, label.line)?;
        place = next;
    }
    Ok(())
}

impl Head {
    /// Returns why the block is not read as an infrared spectrum, or nothing where it is.
    pub(super) fn refusal(&self, start: Place) -> Option<Located> {
        let header = &self.header;
        let unit = header.x_units.as_deref().map(words::abscissa_unit);
        let Some(table) = &self.table else {
            return Some(Located::new(start.line, Error::NoData));
        };
        let fail = |error| Some(Located::new(table.line, error));
        match &header.data_type {
            Some(data_type) if !words::is_infrared(data_type) => {
                return fail(Error::Technique { data_type: data_type.clone() });
            }
            // Without a data type the abscissa must speak for itself, and nanometres do not.
            None if !matches!(
                unit,
                Some(Some(AbscissaUnit::Wavenumber | AbscissaUnit::Micrometres))
            ) =>
            {
                return fail(Error::NoTechnique);
            }
            _ => {}
        }
        if let (Some(None), Some(found)) = (unit, &header.x_units) {
            return fail(Error::AbscissaUnit { found: found.clone() });
        }
        match table.key.as_str() {
            "NTUPLES" | "DATATABLE" => fail(Error::Ntuples),
            "PEAKTABLE" | "PEAKASSIGNMENTS" => {
                fail(Error::PeakTable { label: table.written.clone() })
            }
            _ => None,
        }
    }

    /// Reads the data table and the labels after it.
    ///
    /// `strict` holds the abscissas of pairs to the range in the header.
    pub(super) fn table(
        &mut self,
        text: &str,
        block: &Block,
        strict: bool,
    ) -> Result<Table, Located> {
        let Some(head) = self.table.clone() else {
            return Err(Located::new(block.start.line, Error::NoData));
        };
        if matches!(head.key.as_str(), "NTUPLES" | "DATATABLE") {
            return Err(Located::new(head.line, Error::Ntuples));
        }
        let Some(form) = xydata::form(&head.words) else {
            let label = head.written;
            return Err(Located::new(head.line, Error::Form { label, form: head.words }));
        };
        let range = if strict && form == Form::Pairs { self.range() } else { None };
        let bytes = &text.as_bytes()[..block.end];
        let claimed = self.header.claimed_points();
        let (table, after) = xydata::read(bytes, form, head.data, claimed, MOST_POINTS, range)?;
        let empty = match &table {
            Table::Packed(packed) => packed.ordinates.is_empty(),
            Table::Pairs { ordinates, .. } => ordinates.is_empty(),
        };
        if empty {
            return Err(Located::new(head.line, Error::NoPoints { label: head.written }));
        }
        take_labels(text, block, after, self)?;
        Ok(table)
    }

    /// Returns the range that the header states for the abscissas, before the factor.
    fn range(&self) -> Option<(f64, f64)> {
        let header = &self.header;
        let factor = header.x_factor.map_or(1.0, |stated| stated.value);
        let (first, last) = (header.first_x?.value / factor, header.last_x?.value / factor);
        let slack = RANGE_SLACK * (first - last).abs();
        Some((first.min(last) - slack, first.max(last) + slack))
    }
}
