//! Measured shapes: whole curves of materials, averaged over spectra of one look.
//!
//! `shapes.csv` holds the curves, one column a shape; `shape-sources.csv` says of each what it stands
//! for and where it comes from.

use std::cmp::Ordering;

use serde::{Deserialize, Serialize};

use super::fault::Fault;
use super::sheet::{Located, Record, Row, parse_cell};
use super::sourcing::Sourcing;
use super::words::{MeasuredBy, ShapeOrigin};
use crate::quote::in_marks;

/// First grid point of a shape in cm⁻¹.
const GRID_START_CM1: f64 = 400.0;

/// Last grid point of a shape in cm⁻¹.
const GRID_END_CM1: f64 = 4000.0;

/// Step of the grid in cm⁻¹: the usual resolution of such measurements.
const GRID_STEP_CM1: f64 = 4.0;

/// Number of grid points of a shape.
pub const SHAPE_POINTS: usize = ((GRID_END_CM1 - GRID_START_CM1) / GRID_STEP_CM1) as usize + 1;

/// Heading of the column of wavenumbers in `shapes.csv`.
const WAVENUMBER_COLUMN: &str = "wavenumber_cm1";

/// Digits behind the point in `shapes.csv`: a ten-thousandth of the strongest band is under any noise.
const DECIMALS: usize = 4;

/// Units of the last digit in one.
const SCALE: f64 = 10_000.0;

/// Returns the wavenumber of a grid point in cm⁻¹.
#[must_use]
pub fn shape_wavenumber_cm1(point: usize) -> f64 {
    GRID_START_CM1 + GRID_STEP_CM1 * point as f64
}

/// The curve of one material, or of several that look alike.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Shape {
    /// Id.
    pub id: String,
    /// Ids of the materials it stands for.
    pub materials: Vec<String>,
    /// How many spectra it averages.
    pub spectra: usize,
    /// The data sets or laboratories that they come from.
    pub laboratories: Vec<String>,
    /// How it was measured.
    pub mode: MeasuredBy,
    /// What it was made from.
    pub made_from: ShapeOrigin,
    /// Licence of the data.
    pub licence: String,
    /// Where it comes from.
    pub sourcing: Sourcing,
    /// Absorbance above the baseline at each point of the grid from 400 to 4000 cm⁻¹ in steps of 4, the
    /// strongest 1; `NaN` where it was not measured.
    pub absorbances: Vec<f64>,
}

impl Shape {
    /// Returns the lowest and highest wavenumber with a value, in cm⁻¹; zeros where there is none.
    #[must_use]
    pub fn range_cm1(&self) -> (f64, f64) {
        let measured = |value: &f64| value.is_finite();
        let low = self.absorbances.iter().position(measured);
        let high = self.absorbances.iter().rposition(measured);
        match (low, high) {
            (Some(low), Some(high)) => (shape_wavenumber_cm1(low), shape_wavenumber_cm1(high)),
            _ => (0.0, 0.0),
        }
    }
}

impl Record for Shape {
    const FILE: &'static str = "shape-sources.csv";

    const HEADER: &'static str = "shape,materials,spectra,laboratories,low_cm1,high_cm1,mode,made_from,licence,source,\
         source_class,status";

    /// Reads a row of `shape-sources.csv`; the curve is not there yet.
    fn from_row(row: &mut Row<'_>) -> Self {
        // The range is there for a reader: the curve says it itself.
        row.window("low_cm1", "high_cm1");
        Self {
            id: row.required("shape"),
            materials: row.required_list("materials"),
            spectra: row.count("spectra"),
            laboratories: row.required_list("laboratories"),
            mode: row.word("mode"),
            made_from: row.word("made_from"),
            licence: row.required("licence"),
            sourcing: row.sourcing(),
            absorbances: Vec::new(),
        }
    }

    /// As the table has them.
    fn order(_: &Located<Self>, _: &Located<Self>) -> Ordering {
        Ordering::Equal
    }
}

/// The curves of `shapes.csv` by the headings of their columns.
#[derive(Debug, Default)]
pub(super) struct Curves {
    ids: Vec<String>,
    /// A list for each id, as long as the grid; `NaN` where a cell is blank.
    values: Vec<Vec<f64>>,
}

impl Curves {
    /// Reads `shapes.csv`. Every point of the grid stands in it once, in ascending order.
    pub(super) fn read(file: &str, bytes: &[u8], faults: &mut Vec<Fault>) -> Self {
        let mut fault = |line: Option<u64>, column: &str, what: String| {
            faults.push(Fault::new(file, line, ("", column), what));
        };
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let Ok(text) = std::str::from_utf8(bytes) else {
            fault(None, "", "not UTF-8; save as CSV in UTF-8".to_owned());
            return Self::default();
        };
        let separator = super::records::separator(text);
        let decimal_comma = separator != b',';
        let mut lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
        let cells = |line: &'_ str| -> Vec<String> {
            line.split(char::from(separator))
                .map(|x| x.trim().trim_matches('"').to_owned())
                .collect()
        };
        let Some((_, heading)) = lines.next() else {
            fault(None, "", format!("empty; the first line must begin with {WAVENUMBER_COLUMN}"));
            return Self::default();
        };
        let headings = cells(heading);
        if headings.first().map(String::as_str) != Some(WAVENUMBER_COLUMN) {
            let what = format!("the first column must be {WAVENUMBER_COLUMN}");
            fault(Some(1), "", what);
            return Self::default();
        }
        let ids: Vec<String> = headings.into_iter().skip(1).collect();
        for (at, id) in ids.iter().enumerate() {
            if id.is_empty() || ids.iter().take(at).any(|other| other == id) {
                fault(Some(1), id, "a column without a name, or with one that stands twice".into());
                return Self::default();
            }
        }
        let mut values = vec![Vec::with_capacity(SHAPE_POINTS); ids.len()];
        let mut points = 0;
        for (at, line) in lines {
            let number = Some(at as u64 + 1);
            let mut row = line.as_bytes().split(|byte| *byte == separator).map(<[u8]>::trim_ascii);
            let wavenumber = row.next().and_then(|cell| parse_cell(cell, decimal_comma));
            let expected = shape_wavenumber_cm1(points);
            if points >= SHAPE_POINTS || wavenumber.is_none_or(|w| (w - expected).abs() > 1.0e-6) {
                let what = format!(
                    "found {}, expected {expected}: the grid runs from {GRID_START_CM1} to \
                     {GRID_END_CM1} cm⁻¹ in steps of {GRID_STEP_CM1}",
                    in_marks(line.split(char::from(separator)).next().unwrap_or_default())
                );
                fault(number, WAVENUMBER_COLUMN, what);
                return Self::default();
            }
            for (id, column) in ids.iter().zip(&mut values) {
                let cell = row.next().unwrap_or_default();
                let value =
                    if cell.is_empty() { Some(f64::NAN) } else { parse_cell(cell, decimal_comma) };
                let Some(value) = value else {
                    let cell = String::from_utf8_lossy(cell);
                    fault(number, id, format!("{} is not a number", in_marks(&cell)));
                    return Self::default();
                };
                column.push(value);
            }
            points += 1;
        }
        if points != SHAPE_POINTS {
            fault(
                None,
                "",
                format!("{points} rows, expected {SHAPE_POINTS}; the file may be cut short"),
            );
            return Self::default();
        }
        Self { ids, values }
    }

    /// Hands each shape its curve; one without the other is a fault.
    pub(super) fn hand_out(
        mut self,
        shapes: &mut [Located<Shape>],
        curves_file: &str,
        faults: &mut Vec<Fault>,
    ) {
        let mut known = vec![false; self.ids.len()];
        for row in shapes {
            if let Some(at) = self.ids.iter().position(|id| *id == row.id) {
                row.value.absorbances = std::mem::take(&mut self.values[at]);
                known[at] = true;
            } else {
                faults.push(row.fault("shape", format!("has no column in {curves_file}")));
            }
        }
        for (id, _) in self.ids.iter().zip(&known).filter(|(_, known)| !**known) {
            faults.push(Fault::new(
                curves_file,
                Some(1),
                (id, ""),
                format!("has no row in {}", Shape::FILE),
            ));
        }
    }

    /// Returns one line a shape in one spelling: the same for any separator, decimal mark or order.
    pub(super) fn canonical(&self) -> Vec<String> {
        let line = |(id, values): (&String, &Vec<f64>)| {
            let mut line = id.clone();
            line.reserve(6 * values.len());
            for value in values {
                line.push('\u{1f}');
                if value.is_finite() {
                    push_whole(&mut line, (value * SCALE).round() as i64);
                }
            }
            line
        };
        let mut lines: Vec<String> = self.ids.iter().zip(&self.values).map(line).collect();
        lines.sort_unstable();
        lines
    }
}

/// Writes shapes as the two files of a table folder: `shapes.csv` and `shape-sources.csv`.
#[must_use]
pub fn shapes_as_csv(shapes: &[Shape]) -> (String, String) {
    let mut curves = String::from(WAVENUMBER_COLUMN);
    for shape in shapes {
        curves.push(',');
        curves.push_str(&shape.id);
    }
    curves.push('\n');
    for point in 0..SHAPE_POINTS {
        curves.push_str(&shape_wavenumber_cm1(point).to_string());
        for shape in shapes {
            curves.push(',');
            if let Some(value) = shape.absorbances.get(point).filter(|value| value.is_finite()) {
                let text = format!("{value:.DECIMALS$}");
                let text = text.trim_end_matches('0').trim_end_matches('.');
                curves.push_str(if text == "-0" { "0" } else { text });
            }
        }
        curves.push('\n');
    }
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory cannot fail.
    let _ = writer.write_record(Shape::HEADER.split(','));
    for shape in shapes {
        let (low, high) = shape.range_cm1();
        let _ = writer.write_record([
            &shape.id,
            &shape.materials.join(" "),
            &shape.spectra.to_string(),
            &shape.laboratories.join(" "),
            &low.to_string(),
            &high.to_string(),
            &shape.mode.to_string(),
            &shape.made_from.to_string(),
            &shape.licence,
            &shape.sourcing.source,
            &shape.sourcing.class.to_string(),
            &shape.sourcing.status.to_string(),
        ]);
    }
    let sources = String::from_utf8_lossy(&writer.into_inner().unwrap_or_default()).into_owned();
    (curves, sources)
}

/// Appends a whole number: the table's 30,000 make the general way of writing numbers felt at every start.
fn push_whole(line: &mut String, value: i64) {
    let mut digits = [0_u8; 20];
    let mut left = value.unsigned_abs();
    let mut from = digits.len();
    loop {
        from -= 1;
        digits[from] = b'0' + (left % 10) as u8;
        left /= 10;
        if left == 0 {
            break;
        }
    }
    if value < 0 {
        line.push('-');
    }
    line.extend(digits[from..].iter().map(|digit| char::from(*digit)));
}
