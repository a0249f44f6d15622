//! Faces of one part over each other, and their difference below.

use super::canvas::{Anchor, Canvas, Error, Ink, draw};
use super::frame::Frame;
use super::key::{INKS, Key};
use super::view::limits;
use crate::ageing::DifferenceSpectrum;
use crate::report::figure::Figure;

/// Width and height in pixels.
const SIZE: (f64, f64) = (760.0, 480.0);

/// Standard errors to either side of the difference: about 95 %.
const ERRORS: f64 = 2.0;

/// One curve.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct FaceCurve<'a> {
    /// What it is: "exposed, mean of 3 spots".
    pub label: &'a str,
    /// Ascending wavenumbers in cm⁻¹.
    pub wavenumbers_cm1: &'a [f64],
    /// Absorbance at each.
    pub absorbances: &'a [f64],
}

impl<'a> FaceCurve<'a> {
    /// Creates a curve: ascending wavenumbers in cm⁻¹, and the absorbance at each.
    #[must_use]
    pub fn new(label: &'a str, wavenumbers_cm1: &'a [f64], absorbances: &'a [f64]) -> Self {
        Self { label, wavenumbers_cm1, absorbances }
    }
}

/// What a figure of faces shows.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct FacesFigure<'a> {
    /// Name that keeps parts of several figures on one page apart; letters, digits, hyphens.
    pub id: &'a str,
    /// The heading.
    pub title: &'a str,
    /// One to three curves, told apart by dash and by colour.
    pub curves: &'a [FaceCurve<'a>],
    /// The difference of two faces, where they were compared.
    pub difference: Option<&'a DifferenceSpectrum>,
    /// Highest and lowest wavenumber shown in cm⁻¹.
    pub range_cm1: (f64, f64),
}

impl<'a> FacesFigure<'a> {
    /// Creates a figure of faces between two wavenumbers in cm⁻¹, the highest first.
    #[must_use]
    pub fn new(
        id: &'a str,
        title: &'a str,
        curves: &'a [FaceCurve<'a>],
        range_cm1: (f64, f64),
    ) -> Self {
        Self { id, title, curves, difference: None, range_cm1 }
    }

    /// Sets the difference drawn below.
    #[must_use]
    pub fn with_difference(self, difference: impl Into<Option<&'a DifferenceSpectrum>>) -> Self {
        Self { difference: difference.into(), ..self }
    }
}

/// Draws faces over each other and, where there is one, their difference with its uncertainty.
///
/// # Errors
///
/// No curve with two points in range, and failures of the plotting library.
pub fn draw_faces(figure: &FacesFigure<'_>) -> Result<Figure, Error> {
    let (high, low) = figure.range_cm1;
    let inside = |wavenumber: f64| (low..=high).contains(&wavenumber);
    let curves: Vec<(&str, Vec<(f64, f64)>)> = figure
        .curves
        .iter()
        .take(3)
        .map(|curve| {
            let points =
                curve.wavenumbers_cm1.iter().copied().zip(curve.absorbances.iter().copied());
            (curve.label, points.filter(|(w, a)| inside(*w) && a.is_finite()).collect())
        })
        .filter(|(_, points): &(&str, Vec<(f64, f64)>)| points.len() > 1)
        .collect();
    if curves.is_empty() {
        return Err(Error::Empty("no curve has two points in the range".to_owned()));
    }
    let difference = figure.difference.filter(|d| !d.differences.is_empty());
    let split = if difference.is_some() { 282.0 } else { 416.0 };
    let sides = (56.0, SIZE.0 - 20.0);
    let heights = curves.iter().flat_map(|(_, points)| points.iter().map(|point| point.1));
    let values = limits(heights, false).unwrap_or((0.0, 1.0));
    let upper = Frame::new(sides, (58.0, split), (high, low), values);
    draw(figure.id, SIZE, figure.title, &describe(figure), |canvas| {
        Key::new(curves.iter().map(|(label, _)| *label), SIZE.0).draw(canvas)?;
        upper.draw(canvas, "Absorbance", difference.is_none())?;
        // The first curve is drawn last, so that it lies on top.
        let inked: Vec<_> = curves.iter().zip(INKS).collect();
        for ((_, points), ink) in inked.into_iter().rev() {
            let width = if ink == Ink::Third { 2.0 } else { 1.4 };
            upper.curve(canvas, points, ink, width)?;
        }
        match difference {
            Some(difference) => below(canvas, difference, sides, split, (high, low)),
            None => Ok(()),
        }
    })
}

/// The difference with its band of uncertainty.
fn below(
    canvas: &Canvas<'_, '_>,
    difference: &DifferenceSpectrum,
    sides: (f64, f64),
    split: f64,
    range: (f64, f64),
) -> Result<(), Error> {
    let inside = |w: f64| (range.1..=range.0).contains(&w);
    let errors = difference.standard_errors.iter().copied().chain(std::iter::repeat(0.0));
    let points: Vec<(f64, f64, f64)> = difference
        .wavenumbers_cm1
        .iter()
        .zip(&difference.differences)
        .zip(errors)
        .map(|((&w, &d), e)| (w, d, ERRORS * e))
        .filter(|(w, d, e)| inside(*w) && d.is_finite() && e.is_finite())
        .collect();
    let spread = points.iter().flat_map(|(_, d, e)| [d - e, d + e]).chain([0.0]);
    let values = limits(spread, false).unwrap_or((0.0, 1.0));
    let frame = Frame::new(sides, (split + 22.0, SIZE.1 - 64.0), range, values);
    let shown = difference.standard_errors.len() == difference.differences.len();
    if shown {
        let ends: Vec<_> = points.iter().map(|&(w, d, e)| (w, d - e, d + e)).collect();
        canvas.polygon(&frame.between(&ends), Ink::Tint)?;
    }
    frame.draw(canvas, "Difference", true)?;
    let zero = frame.at(range.0, 0.0).1;
    canvas.line(&[(sides.0, zero), (sides.1, zero)], Ink::Faint, 0.9)?;
    let curve: Vec<(f64, f64)> = points.iter().map(|&(w, d, _)| (w, d)).collect();
    frame.curve(canvas, &curve, Ink::First, 1.2)?;
    let band = if shown { "; shaded: twice its standard error" } else { "" };
    let words = format!("{} minus {}{band}", difference.face.word(), difference.against.word());
    canvas.text(&words, (sides.0 + 2.0, split + 12.0), 10.5, Ink::Faint, Anchor::Start)
}

fn describe(figure: &FacesFigure<'_>) -> String {
    let labels: Vec<String> = figure.curves.iter().map(|c| c.label.to_owned()).collect();
    let mut text = format!(
        "Absorbance against wavenumber, falling from {:.0} to {:.0} cm⁻¹, of: {}.",
        figure.range_cm1.0,
        figure.range_cm1.1,
        labels.join("; ")
    );
    if let Some(d) = figure.difference {
        text.push_str(&format!(
            " Below, the difference {} minus {} after scale and contact.",
            d.face.word(),
            d.against.word()
        ));
    }
    text
}
