//! Axes: wavenumber falling to the right, finer below 2000 cm⁻¹, and a plain upward axis.

use plotters::coord::CoordTranslate;
use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::types::RangedCoordf64;

use super::canvas::{Anchor, Canvas, Error, Ink};

/// Above this wavenumber bands are few, so the scale is closer; common practice, no source.
const SCALE_CHANGE_CM1: f64 = 2000.0;

/// The share of the width that the closer scale takes when both are shown.
const CLOSER_SHARE: f64 = 0.36;

/// Size of axis numbers in pixels.
const NUMBER_SIZE: f64 = 11.0;

/// Size of axis titles in pixels.
const TITLE_SIZE: f64 = 12.0;

/// A plot area with its two axes. Positions are in pixels.
pub(super) struct Frame {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
    high_cm1: f64,
    low_cm1: f64,
    split: Option<f64>,
    closer: Cartesian2d<RangedCoordf64, RangedCoordf64>,
    wider: Cartesian2d<RangedCoordf64, RangedCoordf64>,
    values: (f64, f64),
}

fn fine(value: f64) -> i32 {
    (value * 10.0).round() as i32
}

impl Frame {
    /// Creates a frame for wavenumbers from `high_cm1` down to `low_cm1` and values from
    /// `values.0` up to `values.1`.
    pub(super) fn new(
        (left, right): (f64, f64),
        (top, bottom): (f64, f64),
        (high_cm1, low_cm1): (f64, f64),
        values: (f64, f64),
    ) -> Self {
        let both = high_cm1 > SCALE_CHANGE_CM1 + 200.0 && low_cm1 < SCALE_CHANGE_CM1 - 200.0;
        let middle = if both { left + (right - left) * CLOSER_SHARE } else { left };
        let change = if both { SCALE_CHANGE_CM1 } else { high_cm1 };
        let height = fine(bottom)..fine(top);
        let part = |from: f64, to: f64, x: (f64, f64)| {
            Cartesian2d::new(from..to, values.0..values.1, (fine(x.0)..fine(x.1), height.clone()))
        };
        Self {
            left,
            right,
            top,
            bottom,
            high_cm1,
            low_cm1,
            split: both.then_some(middle),
            closer: part(high_cm1, change.min(high_cm1 - 1.0), (left, middle)),
            wider: part(change, low_cm1, (middle, right)),
            values,
        }
    }

    /// Returns the outline of what lies between two values at each wavenumber.
    pub(super) fn between(&self, ends: &[(f64, f64, f64)]) -> Vec<(f64, f64)> {
        let lower = ends.iter().map(|&(wavenumber, low, _)| self.at(wavenumber, low));
        let upper = ends.iter().rev().map(|&(wavenumber, _, high)| self.at(wavenumber, high));
        lower.chain(upper).collect()
    }

    /// Returns the place of a point; values outside the frame are held at its edge.
    pub(super) fn at(&self, wavenumber_cm1: f64, value: f64) -> (f64, f64) {
        let wavenumber = wavenumber_cm1.clamp(self.low_cm1, self.high_cm1);
        let value = value.clamp(self.values.0, self.values.1);
        let closer = self.split.is_some() && wavenumber > SCALE_CHANGE_CM1;
        let coordinates = if closer { &self.closer } else { &self.wider };
        let (x, y) = coordinates.translate(&(wavenumber, value));
        (f64::from(x) / 10.0, f64::from(y) / 10.0)
    }

    /// Returns whether a wavenumber lies inside.
    pub(super) fn holds(&self, wavenumber_cm1: f64) -> bool {
        (self.low_cm1..=self.high_cm1).contains(&wavenumber_cm1)
    }

    /// Draws grid, numbers and titles. `grid` is drawn first, so that curves lie over it.
    pub(super) fn draw(
        &self,
        canvas: &Canvas<'_, '_>,
        value_title: &str,
        numbers_below: bool,
    ) -> Result<(), Error> {
        let ticks = ticks(self.values.0, self.values.1, ((self.bottom - self.top) / 42.0) as usize);
        for (value, label) in ticks {
            let (_, y) = self.at(self.high_cm1, value);
            canvas.line(&[(self.left, y), (self.right, y)], Ink::Grid, 0.6)?;
            canvas.line(&[(self.left - 4.0, y), (self.left, y)], Ink::Text, 0.8)?;
            canvas.text(&label, (self.left - 7.0, y), NUMBER_SIZE, Ink::Text, Anchor::End)?;
        }
        self.draw_without_values(canvas, value_title, numbers_below)
    }

    /// As [`Frame::draw`], with no numbers on the upward axis: curves that are shifted have none.
    pub(super) fn draw_without_values(
        &self,
        canvas: &Canvas<'_, '_>,
        value_title: &str,
        numbers_below: bool,
    ) -> Result<(), Error> {
        for wavenumber in self.wavenumber_ticks() {
            let (x, _) = self.at(wavenumber, self.values.0);
            canvas.line(&[(x, self.top), (x, self.bottom)], Ink::Grid, 0.6)?;
        }
        let middle = (self.top + self.bottom) / 2.0;
        canvas.upright(value_title, (13.0, middle), TITLE_SIZE, Ink::Text, Anchor::Middle)?;
        canvas.line(
            &[(self.left, self.top), (self.left, self.bottom), (self.right, self.bottom)],
            Ink::Text,
            0.9,
        )?;
        if numbers_below { self.numbers(canvas, self.bottom) } else { Ok(()) }
    }

    /// Draws wavenumbers and their title under a line at `y`.
    pub(super) fn numbers(&self, canvas: &Canvas<'_, '_>, y: f64) -> Result<(), Error> {
        for wavenumber in self.wavenumber_ticks() {
            let (x, _) = self.at(wavenumber, self.values.0);
            canvas.line(&[(x, y), (x, y + 4.0)], Ink::Text, 0.8)?;
            let number = format!("{wavenumber:.0}");
            canvas.text(&number, (x, y + 13.0), NUMBER_SIZE, Ink::Text, Anchor::Middle)?;
        }
        let at = ((self.left + self.right) / 2.0, y + 31.0);
        canvas.text("Wavenumber / cm⁻¹", at, TITLE_SIZE, Ink::Text, Anchor::Middle)?;
        if let Some(x) = self.split {
            // Two short strokes across the axis say that the scale changes here.
            for shift in [-1.6, 1.6] {
                let foot = (x + shift - 2.0, y + 4.0);
                canvas.line(&[foot, (x + shift + 2.0, y - 4.0)], Ink::Text, 0.9)?;
            }
        }
        Ok(())
    }

    fn wavenumber_ticks(&self) -> Vec<f64> {
        let mut ticks = Vec::new();
        let wide = self.split.is_none() && self.high_cm1 - self.low_cm1 > 2000.0;
        let (above, below) = if wide { (500.0, 500.0) } else { (500.0, 200.0) };
        let small = self.high_cm1 - self.low_cm1 < 700.0;
        let mut wavenumber = (self.low_cm1 / 50.0).ceil() * 50.0;
        while wavenumber <= self.high_cm1 {
            let step = match (wavenumber > SCALE_CHANGE_CM1, small) {
                (true, false) => above,
                (false, false) => below,
                (_, true) => 50.0,
            };
            if (wavenumber / step).fract() == 0.0 {
                ticks.push(wavenumber);
            }
            wavenumber += 50.0;
        }
        ticks
    }

    /// Draws a curve, thinned to what can be seen, broken where `points` breaks.
    pub(super) fn curve(
        &self,
        canvas: &Canvas<'_, '_>,
        points: &[(f64, f64)],
        ink: Ink,
        width: f64,
    ) -> Result<(), Error> {
        let placed: Vec<(f64, f64)> = points
            .iter()
            .filter(|(wavenumber, _)| self.holds(*wavenumber))
            .map(|&(wavenumber, value)| self.at(wavenumber, value))
            .collect();
        canvas.line(&thin(&placed), ink, width)
    }
}

/// Keeps the first, lowest, highest and last of the points that share a fifth of a pixel's width.
fn thin(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let column = |x: f64| (x * 2.5).floor() as i64;
    let mut kept: Vec<(f64, f64)> = Vec::new();
    let mut start = 0;
    while start < points.len() {
        let here = column(points[start].0);
        let end = points[start..]
            .iter()
            .position(|p| column(p.0) != here)
            .map_or(points.len(), |n| start + n);
        let run = &points[start..end];
        let by_height = |a: &usize, b: &usize| run[*a].1.total_cmp(&run[*b].1);
        let lowest = (0..run.len()).max_by(by_height).unwrap_or(0);
        let highest = (0..run.len()).min_by(by_height).unwrap_or(0);
        let mut indices = [0, lowest, highest, run.len() - 1];
        indices.sort_unstable();
        for (n, &i) in indices.iter().enumerate() {
            if n == 0 || indices[n - 1] != i {
                kept.push(run[i]);
            }
        }
        start = end;
    }
    kept
}

/// Round values between two limits, with their labels.
pub(super) fn ticks(low: f64, high: f64, most: usize) -> Vec<(f64, String)> {
    let span = high - low;
    if !span.is_finite() || span <= 0.0 {
        return Vec::new();
    }
    let rough = span / most.clamp(2, 20) as f64;
    let magnitude = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * magnitude)
        .find(|step| *step >= rough)
        .unwrap_or(rough);
    let decimals = (-step.log10().floor()).max(0.0) as usize;
    let first = (low / step).ceil() as i64;
    let last = (high / step).floor() as i64;
    (first..=last.min(first + 40))
        .map(|n| {
            let value = n as f64 * step;
            let label = if n == 0 { "0".to_owned() } else { format!("{value:.decimals$}") };
            (value, label.replace('-', "−"))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame() -> Frame {
        Frame::new((50.0, 650.0), (10.0, 210.0), (4000.0, 400.0), (0.0, 1.0))
    }

    #[test]
    fn wavenumber_falls_to_the_right() {
        let frame = frame();
        let places: Vec<f64> =
            [4000.0, 3000.0, 2000.0, 1000.0, 400.0].iter().map(|&w| frame.at(w, 0.0).0).collect();
        assert!(places.windows(2).all(|w| w[0] < w[1]), "{places:?}");
        assert_eq!((places[0], places[4]), (50.0, 650.0));
        assert_eq!(frame.at(4000.0, 1.0).1, 10.0);
    }

    #[test]
    fn ticks_are_round_and_inside() {
        let labels: Vec<String> = ticks(-0.03, 0.71, 5).into_iter().map(|(_, l)| l).collect();
        assert_eq!(labels, ["0.0", "0.2", "0.4", "0.6"].map(|l| if l == "0.0" { "0" } else { l }));
        assert!(ticks(1.0, 1.0, 5).is_empty());
        assert!(ticks(0.0, f64::NAN, 5).is_empty());
    }

    #[test]
    fn thinning_keeps_peaks() {
        let mut points: Vec<(f64, f64)> = (0..1000).map(|i| (f64::from(i) / 100.0, 5.0)).collect();
        points[503].1 = 1.0;
        let kept = thin(&points);
        assert!(kept.len() < 120);
        assert!(kept.contains(&(5.03, 1.0)));
        assert_eq!((kept.first(), kept.last()), (points.first(), points.last()));
    }
}
