//! Several spectra in one figure: over one another, stacked, or as means with their spread.

use super::canvas::{Anchor, Canvas, Error, Ink, draw, text_width};
use super::frame::Frame;
use super::key::{INKS, Key};
use super::view::{View, limits};
use crate::report::figure::Figure;
use crate::spectrum::{Ordinate, Spectrum};

/// Width and height in pixels where nobody asks for another.
const SIZE: (f64, f64) = (760.0, 480.0);

/// Stacked curves that a page keeps apart.
const MOST_STACKED: usize = 24;

/// One curve, or several spots of one face that are drawn as their mean.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct LabelledSpectra<'a> {
    /// What it is: "V02-exposed".
    pub label: &'a str,
    /// The spectra: one is drawn as it is, of several the mean with lowest and highest behind it.
    pub spectra: Vec<&'a Spectrum>,
}

impl<'a> LabelledSpectra<'a> {
    /// Creates a curve of one spectrum, or of several that are drawn as their mean.
    #[must_use]
    pub fn new(label: &'a str, spectra: Vec<&'a Spectrum>) -> Self {
        Self { label, spectra }
    }
}

/// How the curves stand to each other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum Arrangement {
    /// On one scale, over one another.
    #[default]
    Overlaid,
    /// Each above the one before, with its label beside it.
    Stacked,
}

/// What a figure of several spectra shows.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct CurvesFigure<'a> {
    /// Name that keeps parts of several figures on one page apart; letters, digits, hyphens.
    pub id: &'a str,
    /// The heading.
    pub title: &'a str,
    /// The curves, the first on top.
    pub curves: &'a [LabelledSpectra<'a>],
    /// How they stand to each other.
    pub arrangement: Arrangement,
    /// Range, unit and size.
    pub view: View,
}

impl<'a> CurvesFigure<'a> {
    /// Creates a figure of curves over one another, whole and in absorbance.
    #[must_use]
    pub fn new(id: &'a str, title: &'a str, curves: &'a [LabelledSpectra<'a>]) -> Self {
        Self { id, title, curves, arrangement: Arrangement::Overlaid, view: View::default() }
    }

    /// Sets how the curves stand to each other.
    #[must_use]
    pub fn with_arrangement(self, arrangement: Arrangement) -> Self {
        Self { arrangement, ..self }
    }

    /// Sets range, unit and size.
    #[must_use]
    pub fn with_view(self, view: View) -> Self {
        Self { view, ..self }
    }
}

/// One curve as it is drawn.
struct Drawn<'a> {
    label: String,
    source: &'a str,
    runs: Vec<Vec<(f64, f64)>>,
    /// Lowest and highest of the spots, where there are several.
    spread: Vec<(f64, f64, f64)>,
}

/// Draws several spectra in one figure.
///
/// # Errors
///
/// No curve with two points in range, more curves than can be told apart, and failures of the plotting
/// library.
pub fn draw_curves(figure: &CurvesFigure<'_>) -> Result<Figure, Error> {
    let view = &figure.view;
    let stacked = figure.arrangement == Arrangement::Stacked;
    let most = if stacked { MOST_STACKED } else { INKS.len() };
    if figure.curves.len() > most {
        let way = if stacked { "draw them in two figures" } else { "stack them, or draw means" };
        return Err(Error::Crowded(format!(
            "{} curves, and {most} can be told apart; {way}",
            figure.curves.len()
        )));
    }
    let spectra = || figure.curves.iter().flat_map(|curve| curve.spectra.iter().copied());
    let range = view.range(spectra());
    let mut curves: Vec<Drawn<'_>> =
        figure.curves.iter().map(|curve| drawn(curve, view, range)).collect();
    curves.retain(|curve| !curve.runs.is_empty());
    let heights = |curve: &Drawn<'_>| {
        let curve_values = curve.runs.iter().flatten().map(|point| point.1);
        let spread = curve.spread.iter().flat_map(|(_, low, high)| [*low, *high]);
        curve_values.chain(spread).collect::<Vec<f64>>()
    };
    if stacked {
        stack(&mut curves, &heights);
    }
    let values = limits(curves.iter().flat_map(heights), !view.percent_transmittance)
        .ok_or_else(|| Error::Empty("no curve has two points in the range".to_owned()))?;
    let size = view.size(SIZE);
    // Stacked curves have their labels beside them.
    let key = (!stacked).then(|| Key::new(curves.iter().map(|c| c.label.as_str()), size.0));
    let top = key.as_ref().map_or(40.0, Key::bottom);
    let frame = Frame::new((56.0, size.0 - 20.0), (top, size.1 - 50.0), range, values);
    let relative = spectra().all(|spectrum| spectrum.ordinate() == Ordinate::RelativeAbsorbance);
    let axis = view.ordinate_title(relative);
    draw(figure.id, size, figure.title, &describe(figure, &curves, range), |canvas| {
        if stacked {
            let axis = format!("{axis}, each to its own height");
            frame.draw_without_values(canvas, &axis, true)?;
        } else {
            frame.draw(canvas, axis, true)?;
        }
        for (curve, ink) in curves.iter().zip(INKS.into_iter().cycle()) {
            if curve.spread.len() > 1 {
                canvas.veil(&frame.between(&curve.spread), ink)?;
            }
        }
        // The first curve is drawn last, so that it lies on top.
        let inked: Vec<_> = curves.iter().zip(INKS.into_iter().cycle()).collect();
        for (curve, ink) in inked.into_iter().rev() {
            let width = if ink == Ink::Third && !stacked { 2.0 } else { 1.4 };
            for run in &curve.runs {
                frame.curve(canvas, run, if stacked { Ink::First } else { ink }, width)?;
            }
            if stacked {
                beside(canvas, &frame, curve)?;
            }
        }
        key.iter().try_for_each(|key| key.draw(canvas))
    })
}

/// A curve's points: of one spectrum its own, of several their mean on the first one's grid.
fn drawn<'a>(curve: &LabelledSpectra<'a>, view: &View, range: (f64, f64)) -> Drawn<'a> {
    let mut label = curve.label.to_owned();
    let source = curve.label;
    let Some((first, others)) = curve.spectra.split_first() else {
        return Drawn { label, source, runs: Vec::new(), spread: Vec::new() };
    };
    let mut runs = view.runs(first, range);
    let mut spread = Vec::new();
    if !others.is_empty() {
        label.push_str(&format!(", mean of {} spots", curve.spectra.len()));
        for run in &mut runs {
            run.retain_mut(|(wavenumber, value)| {
                let all: Option<Vec<f64>> = others
                    .iter()
                    .map(|spectrum| spectrum.absorbance_at(*wavenumber).map(|a| view.value(a)))
                    .chain([Some(*value)])
                    .collect();
                let Some(all) = all else { return false };
                let low = all.iter().copied().fold(f64::MAX, f64::min);
                let high = all.iter().copied().fold(f64::MIN, f64::max);
                spread.push((*wavenumber, low, high));
                *value = all.iter().sum::<f64>() / all.len() as f64;
                true
            });
        }
        runs.retain(|run| run.len() > 1);
    }
    Drawn { label, source, runs, spread }
}

/// Scales each curve to its own height in view and moves it above the one before it, the first on top.
fn stack<'a>(curves: &mut [Drawn<'a>], heights: &impl Fn(&Drawn<'a>) -> Vec<f64>) {
    let count = curves.len();
    for (place, curve) in curves.iter_mut().enumerate() {
        let Some((low, high)) = limits(heights(curve).into_iter(), false) else { continue };
        let lift = (count - 1 - place) as f64;
        let moved = |value: f64| lift + (value - low) / (high - low);
        for point in curve.runs.iter_mut().flatten() {
            point.1 = moved(point.1);
        }
        for (_, low, high) in &mut curve.spread {
            (*low, *high) = (moved(*low), moved(*high));
        }
    }
}

/// The label of a stacked curve, over its own left end: over another's it would be that one's.
fn beside(canvas: &Canvas<'_, '_>, frame: &Frame, curve: &Drawn<'_>) -> Result<(), Error> {
    let points =
        || curve.runs.iter().flatten().map(|&(wavenumber, value)| frame.at(wavenumber, value));
    let Some(start) = points().map(|(x, _)| x).reduce(f64::min) else { return Ok(()) };
    let wide = text_width(&curve.label, 10.5);
    let left = (start + 8.0).min(frame.right - wide).max(frame.left + 8.0);
    // Clear of the curve under the words.
    let under = points().filter(|(x, _)| (left - 2.0..=left + wide + 2.0).contains(x));
    let Some(highest) = under.map(|(_, y)| y).reduce(f64::min) else { return Ok(()) };
    canvas.text(&curve.label, (left, highest - 8.0), 10.5, Ink::Text, Anchor::Start)
}

fn describe(figure: &CurvesFigure<'_>, curves: &[Drawn<'_>], range: (f64, f64)) -> String {
    let labels: Vec<&str> = curves.iter().map(|curve| curve.label.as_str()).collect();
    let what = figure.view.ordinate_title(false);
    let mut text = format!(
        "{what} against wavenumber, falling from {:.0} to {:.0} cm⁻¹, of: {}.",
        range.0,
        range.1,
        labels.join("; ")
    );
    if figure.arrangement == Arrangement::Stacked {
        text.push_str(" Each curve is scaled to its own height and stands above the one below it.");
    }
    if curves.iter().any(|curve| !curve.spread.is_empty()) {
        text.push_str(" Shaded: from the lowest to the highest of the spots.");
    }
    let lost = figure.curves.iter().filter(|c| curves.iter().all(|d| d.source != c.label));
    let lost: Vec<&str> = lost.map(|curve| curve.label).collect();
    if !lost.is_empty() {
        text.push_str(&format!(" Nothing in this range: {}.", lost.join("; ")));
    }
    text
}
