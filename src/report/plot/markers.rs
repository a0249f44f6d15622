//! Markers with their intervals, one row a marker.

use super::canvas::{Anchor, Canvas, Error, Ink, draw};
use super::frame::ticks;
use super::labels::shorten;
use crate::report::figure::Figure;

/// Width in pixels.
const WIDTH: f64 = 760.0;

/// Height of a row in pixels.
const ROW: f64 = 26.0;

/// Where the axis starts; labels stand to its left.
const LEFT: f64 = 250.0;

/// One marker.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct IntervalRow {
    /// What it is.
    pub label: String,
    /// The value, `None` below detection or where refused.
    pub value: Option<f64>,
    /// The interval's lower end.
    pub low: Option<f64>,
    /// The interval's upper end.
    pub high: Option<f64>,
    /// Whether it is called changed: a filled sign instead of an open one.
    pub filled: bool,
    /// What stands to the right: "changed", "refused: chalk".
    pub note: String,
}

impl IntervalRow {
    /// Creates an open row without a value; fill in its fields.
    #[must_use]
    pub fn new(label: impl Into<String>, note: impl Into<String>) -> Self {
        let (label, note) = (label.into(), note.into());
        Self { label, value: None, low: None, high: None, filled: false, note }
    }
}

/// What a figure of intervals shows.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct IntervalsFigure<'a> {
    /// Name that keeps parts of several figures on one page apart; letters, digits, hyphens.
    pub id: &'a str,
    /// The heading.
    pub title: &'a str,
    /// The axis: "Exposed over covered (1 = no change)".
    pub axis: &'a str,
    /// The value at which a line stands for "no change".
    pub reference: Option<f64>,
    /// The rows, from the top.
    pub rows: &'a [IntervalRow],
}

impl<'a> IntervalsFigure<'a> {
    /// Creates a figure without a line for "no change".
    #[must_use]
    pub fn new(id: &'a str, title: &'a str, axis: &'a str, rows: &'a [IntervalRow]) -> Self {
        Self { id, title, axis, reference: None, rows }
    }

    /// Sets the value at which a line stands for "no change".
    #[must_use]
    pub fn with_reference(self, reference: impl Into<Option<f64>>) -> Self {
        Self { reference: reference.into(), ..self }
    }
}

/// Draws intervals around values, one row each.
///
/// # Errors
///
/// No rows, and failures of the plotting library.
pub fn draw_intervals(figure: &IntervalsFigure<'_>) -> Result<Figure, Error> {
    if figure.rows.is_empty() {
        return Err(Error::Empty("there are no markers".to_owned()));
    }
    let ends = figure
        .rows
        .iter()
        .flat_map(|row| [row.low, row.value, row.high])
        .chain([figure.reference])
        .flatten()
        .filter(|v| v.is_finite());
    let (low, high) = ends.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    let (low, high) = if low > high { (0.0, 1.0) } else { (low, high) };
    let margin = ((high - low) * 0.08).max(high.abs() * 0.02).max(1e-6);
    let (low, high) = (low - margin, high + margin);
    let top = 44.0;
    let bottom = top + ROW * figure.rows.len() as f64 + 6.0;
    let right = WIDTH - 170.0;
    let place = |value: f64| LEFT + (value - low) / (high - low) * (right - LEFT);
    let size = (WIDTH, bottom + 48.0);
    draw(figure.id, size, figure.title, &describe(figure), |canvas| {
        for (value, label) in ticks(low, high, 6) {
            let x = place(value);
            canvas.line(&[(x, top), (x, bottom)], Ink::Grid, 0.6)?;
            canvas.line(&[(x, bottom), (x, bottom + 4.0)], Ink::Text, 0.8)?;
            canvas.text(&label, (x, bottom + 13.0), 11.0, Ink::Text, Anchor::Middle)?;
        }
        canvas.line(&[(LEFT, bottom), (right, bottom)], Ink::Text, 0.9)?;
        let middle = (LEFT + right) / 2.0;
        canvas.text(figure.axis, (middle, bottom + 33.0), 12.0, Ink::Text, Anchor::Middle)?;
        if let Some(reference) = figure.reference {
            let x = place(reference);
            canvas.line(&[(x, top), (x, bottom)], Ink::Faint, 1.2)?;
        }
        for (i, row) in figure.rows.iter().enumerate() {
            let y = top + ROW * (i as f64 + 0.6);
            draw_row(canvas, row, y, right, &place)?;
        }
        Ok(())
    })
}

fn draw_row(
    canvas: &Canvas<'_, '_>,
    row: &IntervalRow,
    y: f64,
    right: f64,
    place: &impl Fn(f64) -> f64,
) -> Result<(), Error> {
    canvas.text(&shorten(&row.label, 41), (LEFT - 12.0, y), 11.0, Ink::Text, Anchor::End)?;
    let note = if row.filled { Ink::Text } else { Ink::Faint };
    canvas.text(&shorten(&row.note, 26), (right + 12.0, y), 10.5, note, Anchor::Start)?;
    if let (Some(low), Some(high)) = (row.low, row.high) {
        let (from, to) = (place(low), place(high));
        canvas.line(&[(from, y), (to, y)], Ink::First, 1.6)?;
        for x in [from, to] {
            canvas.line(&[(x, y - 4.0), (x, y + 4.0)], Ink::First, 1.2)?;
        }
    }
    match row.value {
        Some(value) if row.filled => canvas.disc((place(value), y), 4.2, Ink::First),
        Some(value) => canvas.ring((place(value), y), 4.2, Ink::First),
        None => Ok(()),
    }
}

fn describe(figure: &IntervalsFigure<'_>) -> String {
    let number = |v: f64| crate::report::words::number(v);
    let rows: Vec<String> = figure
        .rows
        .iter()
        .map(|row| match (row.value, row.low, row.high) {
            (Some(value), Some(low), Some(high)) => format!(
                "{}: {} (from {} to {}), {}",
                row.label,
                number(value),
                number(low),
                number(high),
                row.note
            ),
            (Some(value), ..) => format!("{}: {}, {}", row.label, number(value), row.note),
            (None, ..) => format!("{}: no value, {}", row.label, row.note),
        })
        .collect();
    format!("{}. {}.", figure.axis, rows.join("; "))
}
