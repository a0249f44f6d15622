//! Which column is the abscissa and which are ordinates, and where the numbers begin.

use super::header::{self, Header};
use super::layout::{CELLS_LOOKED_AT, Layout, Sampled};
use super::lines::{Cells, Lines};
use super::number::{leading, whole};
use super::pairs::{self, Pair};
use super::runs::{counts_rows, runs_one_way, share};
use super::{Column, Fault};

/// A column with numbers in this share of the rows is a column of numbers.
const NUMBERS_SHARE: f64 = 0.5;

/// A table of columns.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// The abscissa's column, from 0.
    pub abscissa: usize,
    /// The ordinates' columns, ascending.
    pub ordinates: Vec<usize>,
    /// Each ordinate with an abscissa of its own; empty where all share one.
    pub pairs: Vec<Pair>,
    /// Where the first row of numbers starts: byte and line.
    pub first_row: (usize, usize),
    /// What stands before it.
    pub header: Header,
}

/// Finds the columns of `text`.
///
/// # Errors
///
/// No row of numbers, or only one column of them.
pub(super) fn find(
    text: &str,
    sample: &[Sampled<'_>],
    layout: &Layout,
) -> Result<Columns, (Option<usize>, Fault)> {
    let rows = Looked::at(sample, layout);
    let count = rows.usual_width();
    let column = |c: usize| rows.column(c);
    let numeric: Vec<usize> = (0..count.min(CELLS_LOOKED_AT))
        .filter(|&c| share(column(c).len(), rows.widths.len()) >= NUMBERS_SHARE)
        .collect();
    let runs: Vec<usize> = numeric.iter().copied().filter(|&c| runs_one_way(column(c))).collect();
    let counts = |c: usize| counts_rows(column(c)) && runs.iter().any(|&other| other != c);
    let first = runs.iter().copied().find(|&c| !counts(c)).or(numeric.first().copied());
    let Some(mut abscissa) = first.filter(|_| numeric.len() >= 2) else {
        return Err(no_ordinate(sample));
    };
    let Some(first_row) = first_row(text, layout, abscissa, &numeric) else {
        return Err(no_ordinate(sample));
    };
    let header = header::read(text, first_row.0, layout, count);
    let by_values = abscissa;
    if let Some(called) = runs.iter().copied().find(|&c| header.calls_abscissa(c)) {
        abscissa = called;
    }
    let pairs = match numeric.first() {
        Some(&first) => pairs::find(first, count, CELLS_LOOKED_AT, column, &header),
        None => Vec::new(),
    };
    if !pairs.is_empty() {
        let ordinates = pairs.iter().map(|pair| pair.ordinate).collect();
        return Ok(Columns { abscissa: pairs[0].abscissa, ordinates, pairs, first_row, header });
    }
    let candidates: Vec<usize> = if count > CELLS_LOOKED_AT {
        // A table wider than the look: its further columns are like the ones seen.
        numeric.iter().copied().chain(CELLS_LOOKED_AT..count).collect()
    } else {
        numeric
    };
    let beside = |abscissa: usize, by_headings: bool| -> Vec<usize> {
        let axis = column(abscissa);
        let is_ordinate = |c: usize| {
            c != abscissa
                && !(c < abscissa && counts(c))
                && !(by_headings && header.calls_abscissa(c))
                && (c >= CELLS_LOOKED_AT || column(c) != axis)
        };
        candidates.iter().copied().filter(|&c| is_ordinate(c)).collect()
    };
    let mut ordinates = beside(abscissa, true);
    if ordinates.is_empty() {
        // Headings that leave no ordinate are no headings, but a note that happens to be as wide.
        abscissa = by_values;
        ordinates = beside(abscissa, false);
    }
    if ordinates.is_empty() {
        return Err(no_ordinate(sample));
    }
    Ok(Columns { abscissa, ordinates, pairs, first_row, header })
}

fn no_ordinate(sample: &[Sampled<'_>]) -> (Option<usize>, Fault) {
    let (line, text) = sample
        .iter()
        .find(|(_, l)| l.contains(|c: char| c.is_ascii_digit()))
        .copied()
        .unwrap_or((None, ""));
    (line, Fault::OneColumn { found: text.to_owned() })
}

/// The numbers of the lines looked at that hold two or more.
#[derive(Debug, Default)]
struct Looked {
    /// The numbers of each of the first columns, downwards.
    columns: Vec<Vec<f64>>,
    /// The number of cells of each line.
    widths: Vec<usize>,
}

impl Looked {
    fn at(sample: &[Sampled<'_>], layout: &Layout) -> Self {
        let mut looked = Self {
            columns: vec![Vec::new(); CELLS_LOOKED_AT],
            widths: Vec::with_capacity(sample.len()),
        };
        let mut row: Vec<Option<f64>> = Vec::with_capacity(CELLS_LOOKED_AT);
        for (_, line) in sample {
            row.clear();
            let mut further = 0;
            if plain_row(line, layout, &mut row).is_none() {
                let mut cells = Cells::new(line, layout.separator);
                let first = cells.by_ref().take(CELLS_LOOKED_AT);
                row.clear();
                row.extend(first.map(|cell| whole(cell, layout.notation)));
                // Only the width of the rest counts.
                further = cells.count();
            }
            if row.iter().flatten().count() < 2 {
                continue;
            }
            for (column, number) in looked.columns.iter_mut().zip(&row) {
                if column.is_empty() {
                    column.reserve(sample.len());
                }
                column.extend(number);
            }
            looked.widths.push(row.len() + further);
        }
        looked
    }

    /// Returns the most common number of cells; of two equally common ones the larger.
    fn usual_width(&self) -> usize {
        let mut widths = self.widths.clone();
        widths.sort_unstable();
        widths
            .chunk_by(|a, b| a == b)
            .max_by_key(|chunk| chunk.len())
            .and_then(|chunk| chunk.first().copied())
            .unwrap_or(0)
    }

    /// Returns the numbers of one column, downwards; none for columns past the look.
    fn column(&self, column: usize) -> &[f64] {
        self.columns.get(column).map_or(&[], Vec::as_slice)
    }
}

/// Reads a short line that holds nothing but numbers, with one separator between two; `None` for every other
/// line. Nearly every line is such a one.
fn plain_row(line: &str, layout: &Layout, row: &mut Vec<Option<f64>>) -> Option<()> {
    /// Longer lines are cut into cells first.
    const LONGEST: usize = 64;
    let decimal = layout.notation.decimal;
    if line.len() > LONGEST || layout.separator.byte() == Some(decimal) {
        return None;
    }
    // Zeros behind the last number open the fast path for it too.
    let mut padded = [0; LONGEST + 16];
    padded.get_mut(..line.len())?.copy_from_slice(line.as_bytes());
    let mut at = 0;
    loop {
        let (number, length) = leading(padded.get(at..)?, decimal)?;
        row.push(Some(number));
        at += length;
        if at == line.len() {
            return Some(());
        }
        let parts = match layout.separator.byte() {
            Some(separator) => padded.get(at) == Some(&separator),
            None => matches!(padded.get(at), Some(b' ' | b'\t')),
        };
        at += usize::from(parts);
        if !parts {
            return None;
        }
    }
}

/// Returns where the first row with an abscissa and an ordinate starts.
fn first_row(
    text: &str,
    layout: &Layout,
    abscissa: usize,
    numeric: &[usize],
) -> Option<(usize, usize)> {
    Lines::new(text).find_map(|line| {
        let (mut has_abscissa, mut others) = (false, 0);
        for (c, cell) in Cells::new(line.text, layout.separator).take(CELLS_LOOKED_AT).enumerate() {
            if !numeric.contains(&c) || whole(cell, layout.notation).is_none() {
                continue;
            }
            if c == abscissa {
                has_abscissa = true;
            } else {
                others += 1;
            }
        }
        (has_abscissa && others > 0).then_some((line.start, line.number))
    })
}

impl Columns {
    /// Returns the abscissa's column of an ordinate's.
    pub(super) fn abscissa_of(&self, ordinate: usize) -> usize {
        let found = self.pairs.binary_search_by_key(&ordinate, |pair| pair.ordinate);
        found.ok().and_then(|at| self.pairs.get(at)).map_or(self.abscissa, |pair| pair.abscissa)
    }

    /// Returns names for the spectra in `ordinates`: the headings over them, or those over their
    /// abscissas.
    pub(super) fn names(&self) -> Option<Vec<String>> {
        let over_ordinates = self.header.names(&self.ordinates);
        if self.pairs.is_empty() || over_ordinates.is_some() {
            return over_ordinates;
        }
        let abscissas: Vec<usize> = self.pairs.iter().map(|pair| pair.abscissa).collect();
        let named = self.header.names(&abscissas);
        Some(named.unwrap_or_else(|| {
            (1..=self.pairs.len()).map(|number| format!("pair {number}")).collect()
        }))
    }

    /// Returns the place in `ordinates` of the column the user asked for.
    ///
    /// # Errors
    ///
    /// There is none; the columns there are come with the fault.
    pub(super) fn pick(&self, wanted: &Column) -> Result<usize, Fault> {
        let found = match wanted {
            Column::Number(number) => self.ordinates.iter().position(|&c| c + 1 == *number),
            Column::Name(name) => self.ordinates.iter().position(|&c| {
                let name = name.trim().to_lowercase();
                self.header.cells(c).any(|cell| cell.to_lowercase() == name)
            }),
        };
        found.ok_or_else(|| {
            let wanted = match wanted {
                Column::Number(number) => number.to_string(),
                Column::Name(name) => format!("\"{}\"", crate::quote::quoted(name)),
            };
            Fault::NoSuchColumn { wanted, present: self.listed(&self.ordinates) }
        })
    }

    /// Lists columns by number and heading, at most eight of them.
    pub(super) fn listed(&self, columns: &[usize]) -> String {
        const MOST_LISTED: usize = 8;
        let mut text = columns
            .iter()
            .take(MOST_LISTED)
            .map(|&c| match self.header.cells(c).next() {
                Some(name) => format!("{} ({})", c + 1, crate::quote::quoted(name)),
                None => (c + 1).to_string(),
            })
            .collect::<Vec<_>>()
            .join(", ");
        if columns.len() > MOST_LISTED {
            text.push_str(&format!(" and {} more", columns.len() - MOST_LISTED));
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::super::lines::Separator;
    use super::super::number::Notation;
    use super::*;

    #[test]
    fn reads_plain_lines_as_it_reads_their_cells() {
        let lines = [
            "4000.5,0.1",
            "4000,5;0,1",
            "-1e-3;2",
            "1 2 3",
            "1\t2",
            "1,2,",
            ",1",
            "7",
            "",
            "1.5 x",
            "1  2",
            "0.12345678901234567890123456789,1",
        ];
        for separator in Separator::ALL {
            for decimal in [b'.', b','] {
                let notation = Notation { decimal, thousands: None };
                let layout = Layout { separator, notation, warning: None };
                for line in lines {
                    let mut row = Vec::new();
                    if plain_row(line, &layout, &mut row).is_none() {
                        continue;
                    }
                    let cells: Vec<Option<f64>> =
                        Cells::new(line, separator).map(|cell| whole(cell, notation)).collect();
                    assert_eq!(row, cells, "{line} by {separator:?}");
                }
            }
        }
        let notation = Notation { decimal: b'.', thousands: None };
        let layout = Layout { separator: Separator::Comma, notation, warning: None };
        let mut row = Vec::new();
        assert_eq!(plain_row("4000.5,0.1", &layout, &mut row), Some(()));
        assert_eq!(row, [Some(4000.5), Some(0.1)]);
        assert_eq!(plain_row("1,2,", &layout, &mut Vec::new()), None);
    }
}
