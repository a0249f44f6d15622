//! Tables with one spectrum a row: wavenumbers in the header, labels beside the values.

use super::finish::{finish, signs_of};
use super::found::{AbscissaUnit, Found, MOST_POINTS};
use super::header::{self, Header};
use super::layout::{Layout, Sampled};
use super::lines::{Cells, Line, Lines};
use super::number::{Notation, whole};
use super::options::same;
use super::ordinate::{Inferred, infer_together};
use super::runs::{counts_rows, runs_one_way};
use super::source::Source;
use super::two_column::WEIGHED_TOGETHER;
use super::words::{self, AbscissaWord};
use super::{Column, Error, Fault, ReadOptions, Spectra};
use crate::spectrum::{Spectrum, Warning};

/// So many numbers that run one way in a line are an axis, not a row of values.
pub(super) const LEAST_AXIS: usize = 17;

/// Headings kept of the columns beside the values.
const MOST_LABELS: usize = 256;

/// The axis stands within so many lines with text.
const AXIS_WITHIN: usize = 50;

/// Wavenumbers, micrometres and nanometres of the infrared all lie above this.
const LEAST_ABSCISSA: f64 = 0.5;

/// The first column of a table of columns reaches above this, in cm⁻¹; row numbers seldom do.
const LEAST_HIGHEST_CM1: f64 = 400.0;

/// The axis line of a table with one spectrum a row.
#[derive(Clone, Debug)]
pub(super) struct Axis {
    /// The line's number.
    line: usize,
    /// The abscissas.
    values: Vec<f64>,
    /// The cell of the first abscissa; the others follow.
    first_cell: usize,
    /// The cells before and after them that may hold labels: place and heading.
    labels: Vec<(usize, String)>,
    /// The unit, where a heading names it.
    unit: Option<AbscissaUnit>,
}

/// Finds the axis line, if the table has one.
pub(super) fn find(sample: &[Sampled<'_>], layout: &Layout) -> Option<Axis> {
    for (at, &(number, line)) in sample.iter().take(AXIS_WITHIN).enumerate() {
        let Some(axis) = number.and_then(|number| axis_line(number, line, layout)) else {
            continue;
        };
        let below: Vec<&str> = sample.iter().skip(at + 1).map(|&(_, line)| line).collect();
        if below.is_empty() || is_table_of_columns(&axis, &below, layout) {
            return None;
        }
        return Some(axis);
    }
    None
}

fn axis_line(number: usize, line: &str, layout: &Layout) -> Option<Axis> {
    // A number and what parts it from the next take two bytes at least.
    if line.len() < 2 * LEAST_AXIS - 1 {
        return None;
    }
    let mut values = Vec::new();
    let mut first_cell = 0;
    let mut labels = Vec::new();
    let mut after = false;
    for (place, cell) in Cells::new(line, layout.separator).enumerate() {
        match abscissa(cell, layout.notation) {
            Some(value) if !after => {
                if values.is_empty() {
                    first_cell = place;
                }
                if value < LEAST_ABSCISSA || values.len() > MOST_POINTS {
                    return None;
                }
                // A first look spares long lines of values the rest.
                if let [first, second, ..] = values.as_slice()
                    && (second > first) != (values.last().is_some_and(|last| value > *last))
                {
                    return None;
                }
                values.push(value);
            }
            Some(_) => return None,
            None => {
                after = !values.is_empty();
                if labels.len() < MOST_LABELS {
                    labels.push((place, cell.chars().take(200).collect::<String>()));
                }
            }
        }
    }
    let strictly = values.windows(2).all(|pair| pair[0] != pair[1]);
    if values.len() < LEAST_AXIS || !strictly {
        return None;
    }
    let unit = labels.iter().find_map(|(_, heading)| match words::abscissa(heading) {
        Some(AbscissaWord::Unit(unit)) => Some(unit),
        _ => None,
    });
    Some(Axis { line: number, values, first_cell, labels, unit })
}

/// Reads a heading as an abscissa: a number, alone or as `X1234.5` or `1234.5 cm-1`.
pub(super) fn abscissa(cell: &str, notation: Notation) -> Option<f64> {
    whole(cell, notation).or_else(|| {
        let cell = cell.strip_prefix(['X', 'x']).unwrap_or(cell);
        let cell = cell.trim_end_matches("cm-1").trim_end_matches("cm⁻¹");
        whole(cell, notation)
    })
}

/// Returns whether what looks like an axis are numeric names over columns: then the first column
/// runs one way over wavenumbers.
fn is_table_of_columns(axis: &Axis, below: &[&str], layout: &Layout) -> bool {
    let first: Vec<f64> = below
        .iter()
        .filter_map(|line| whole(Cells::new(line, layout.separator).next()?, layout.notation))
        .collect();
    let corner = axis.first_cell > 0;
    let enough = first.len() >= crate::spectrum::LEAST_POINTS;
    let high = first.iter().copied().fold(0.0, f64::max);
    let axis_high = axis.values.iter().copied().fold(0.0, f64::max);
    enough
        && runs_one_way(&first)
        && !counts_rows(&first)
        && high > LEAST_HIGHEST_CM1
        && (axis.unit.is_some() && corner || axis_high < LEAST_HIGHEST_CM1)
}

/// Reads the rows below the axis, one at a time.
pub(super) fn read(
    text: String,
    axis: Axis,
    layout: Layout,
    source: Source,
    options: ReadOptions,
) -> Spectra {
    let file = source.file.clone();
    let start = Lines::new(&text).find(|line| line.number == axis.line + 1).map(|line| line.start);
    let axis_start =
        Lines::new(&text).find(|line| line.number == axis.line).map_or(0, |line| line.start);
    let header = header::read(&text, axis_start, &layout, usize::MAX);
    let mut table = Table {
        next: (start.unwrap_or(text.len()), axis.line + 1),
        text,
        axis,
        layout,
        header,
        source,
        options,
        block: 0,
        agreed: None,
    };
    match table.settle() {
        Ok(()) => Spectra::lazy(table),
        Err(fault) => Spectra::one(Err(Error::whole(&file, fault))),
    }
}

struct Table {
    text: String,
    axis: Axis,
    layout: Layout,
    header: Header,
    source: Source,
    options: ReadOptions,
    /// Where the next line starts: byte and number.
    next: (usize, usize),
    /// Spectra met so far.
    block: usize,
    agreed: Option<Inferred>,
}

/// One row's values and label.
struct Row {
    values: Vec<f64>,
    label: Option<String>,
    first_missing: Option<String>,
}

impl Table {
    /// Weighs the first rows together, and checks that what the user asked for is there.
    fn settle(&mut self) -> Result<(), Fault> {
        let rows =
            || Lines::from(&self.text, self.next.0, self.next.1).filter_map(|line| self.row(&line));
        if let Some(Column::Number(_)) = self.options.column {
            let wanted = "by number".to_owned();
            let present = "none, one spectrum a row; pass --block or a label".to_owned();
            return Err(Fault::NoSuchColumn { wanted, present });
        }
        if let Some(Column::Name(name)) = &self.options.column
            && !rows().any(|row| row.label.as_ref().is_some_and(|label| same(label, name)))
        {
            let labels: Vec<String> = rows().take(8).filter_map(|row| row.label).collect();
            let wanted = format!("\"{}\"", crate::quote::quoted(name));
            return Err(Fault::NoSuchColumn { wanted, present: labels.join(", ") });
        }
        if let Some(wanted) = self.options.block {
            let present = rows().take(wanted).count();
            if wanted == 0 || present < wanted {
                return Err(Fault::NoSuchBlock { wanted, present });
            }
        }
        let signs: Vec<_> = rows()
            .take(WEIGHED_TOGETHER)
            .filter_map(|row| signs_of(&self.axis.values, &row.values, self.axis.unit))
            .collect();
        if signs.is_empty() {
            return Err(Fault::TooFewRows { rows: 0, least: 1 });
        }
        self.agreed = infer_together(&signs);
        Ok(())
    }

    /// Reads a line as a spectrum; notes, blank lines and footers are none.
    fn row(&self, line: &Line<'_>) -> Option<Row> {
        let axis = &self.axis;
        let cells = Cells::new(line.text, self.layout.separator);
        let mut values = Vec::with_capacity(axis.values.len());
        let mut first_missing = None;
        let mut label: Option<(bool, &str)> = None;
        let mut numbers = 0;
        for (place, cell) in cells.enumerate() {
            let index = place.checked_sub(axis.first_cell);
            if index.is_some_and(|index| index < axis.values.len()) {
                let value = whole(cell, self.layout.notation);
                numbers += usize::from(value.is_some());
                if value.is_none() && !cell.is_empty() && first_missing.is_none() {
                    first_missing = Some(cell.chars().take(200).collect());
                }
                values.push(value.unwrap_or(f64::NAN));
            } else if !cell.is_empty() {
                let named = axis.labels.iter().any(|(at, heading)| *at == place && names(heading));
                // The column headed as a label wins; else the first text.
                let text = whole(cell, self.layout.notation).is_none();
                let better = match label {
                    None => named || text,
                    Some((before, _)) => named && !before,
                };
                if better {
                    label = Some((named, cell));
                }
            }
        }
        if numbers < 2 || values.is_empty() {
            return None;
        }
        values.resize(axis.values.len(), f64::NAN);
        let label = label.map(|(_, label)| label.chars().take(200).collect());
        Some(Row { values, label, first_missing })
    }

    /// Says that a line without numbers was meant as a spectrum: it is long enough, and mostly digits.
    fn unread(&self, line: &str) -> Option<Fault> {
        let total = self.axis.values.len();
        let digits = line.bytes().filter(u8::is_ascii_digit).count();
        (line.len() >= 2 * total && 2 * digits > line.len()).then(|| Fault::NotNumbers {
            missing: total,
            total,
            first: line.chars().take(200).collect(),
        })
    }

    fn spectrum(&self, row: Row, line: usize) -> Result<Spectrum, Error> {
        let (start, end) = measured(&row.values);
        let mut provenance = self.source.provenance(self.block);
        provenance.title = Some(row.label.unwrap_or_else(|| format!("row {}", self.block)));
        provenance.stated_resolution = self.header.resolution.clone();
        provenance.records = self.header.records.clone();
        let mut warnings = self.source.warnings.clone();
        warnings.extend(blank_at_ends(row.values.len() - (end - start)));
        let ordinate = self
            .header
            .ordinate_unless_stated(0, &self.options, &mut warnings)
            .map_err(|(line, fault)| Error::at(&self.source.file, line, fault))?;
        let found = Found {
            abscissas: self.axis.values.get(start..end).unwrap_or_default().to_vec(),
            ordinates: row.values.get(start..end).unwrap_or_default().to_vec(),
            abscissa_unit: self.axis.unit.or(self.header.abscissa(0).ok().flatten()),
            ordinate: ordinate.or_else(|| self.axis_ordinate()),
            mode: self.header.mode,
            provenance,
            warnings,
            lines: Vec::new(),
            first_missing: row.first_missing,
            gaps_are_stated: false,
            one_scale: false,
            agreed: self.agreed,
        };
        finish(found, &self.options).map_err(|error| match error {
            Error::Content { file, line: None, fault } => {
                Error::Content { file, line: Some(line), fault }
            }
            other => other,
        })
    }

    /// The ordinate that a heading beside the axis names.
    fn axis_ordinate(&self) -> Option<crate::spectrum::Ordinate> {
        self.axis.labels.iter().find_map(|(_, heading)| words::ordinate_in_text(heading))
    }
}

impl Iterator for Table {
    type Item = Result<Spectrum, Error>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            let mut lines = Lines::from(&self.text, self.next.0, self.next.1);
            let line = lines.next()?;
            let after = lines.position();
            let row = self.row(&line);
            let number = line.number;
            self.next = after;
            let Some(row) = row else {
                if let Some(fault) = self.unread(line.text) {
                    return Some(Err(Error::at(&self.source.file, number, fault)));
                }
                continue;
            };
            self.block += 1;
            if self.options.ask_for(self.block, row.label.as_deref()) {
                return Some(self.spectrum(row, number));
            }
        }
    }
}

/// Says that cells at the ends of a row hold nothing, where some do.
pub(super) fn blank_at_ends(count: usize) -> Option<Warning> {
    let text = format!("{count} blank cells at the ends of the row; read as not measured");
    (count > 0).then(|| Warning::new("cells-blank-at-ends", text))
}

/// Returns the range from the first to the last number.
pub(super) fn measured(values: &[f64]) -> (usize, usize) {
    let start = values.iter().position(|v| v.is_finite()).unwrap_or(0);
    let end = values.iter().rposition(|v| v.is_finite()).map_or(0, |last| last + 1);
    (start, end.max(start))
}

/// Returns whether a heading says that its column names the spectra.
pub(super) fn names(heading: &str) -> bool {
    const WORDS: [&str; 9] =
        ["label", "name", "sample", "spectrum", "title", "id", "probe", "file", "specimen"];
    let heading = heading.to_lowercase();
    heading.split(|c: char| !c.is_alphanumeric()).any(|word| WORDS.contains(&word))
}
