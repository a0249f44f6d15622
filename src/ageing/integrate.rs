//! Areas and heights above a straight line, as weights on the measured points.
//!
//! Every reading is a weighted sum of absorbances. The weights give the value, and with the noise
//! they give its spread without any approximation.

use super::noise::Noise;
use crate::fitness::FRINGES_REMOVED;
use crate::spectrum::{Spectrum, window};
use crate::tables::Window;

/// Fewer measured points than this inside the limits are no area.
const LEAST_POINTS_IN_AREA: usize = 3;
/// Half width in cm⁻¹ of the local fit behind a second derivative: about the half width of the
/// narrowest band it is asked of; ours.
const CURVATURE_REACH_CM1: f64 = 10.0;
/// Points the local quartic fit needs, so that it is not an interpolation.
const LEAST_POINTS_IN_CURVATURE: usize = 7;

/// A weighted sum of neighbouring absorbances.
#[derive(Clone, Debug, PartialEq)]
pub struct Weights {
    start: usize,
    weights: Vec<f64>,
}

impl Weights {
    fn zeros(start: usize, end: usize) -> Self {
        Self { start, weights: vec![0.0; (end + 1).saturating_sub(start)] }
    }

    fn add(&mut self, point: &Point, weight: f64) {
        for (index, share) in point.shares {
            if let Some(slot) =
                index.checked_sub(self.start).and_then(|offset| self.weights.get_mut(offset))
            {
                *slot += weight * share;
            }
        }
    }

    /// Returns the weighted sum.
    #[must_use]
    pub fn value(&self, absorbances: &[f64]) -> f64 {
        absorbances.iter().skip(self.start).zip(&self.weights).map(|(a, w)| a * w).sum()
    }

    /// Returns the covariance of two sums under the noise; with itself, the variance.
    #[must_use]
    pub fn covariance(&self, other: &Self, noise: &Noise) -> f64 {
        let (mine, its) = (self.start as isize, other.start as isize);
        let mut sum = 0.0;
        for (lag, &correlation) in noise.autocorrelation().iter().enumerate() {
            let lag = lag as isize;
            let shifts: &[isize] = if lag == 0 { &[0] } else { &[-lag, lag] };
            for shift in shifts {
                for (i, weight) in self.weights.iter().enumerate() {
                    let index = mine + i as isize + shift - its;
                    if let Some(w) = usize::try_from(index).ok().and_then(|k| other.weights.get(k))
                    {
                        sum += correlation * weight * w;
                    }
                }
            }
        }
        sum * noise.standard_deviation().powi(2)
    }

    /// Returns the variance under the noise; a truncated autocorrelation cannot make it negative.
    #[must_use]
    pub fn variance(&self, noise: &Noise) -> f64 {
        self.covariance(self, noise).max(0.0)
    }
}

/// A place on the axis as shares of the two measured points beside it.
#[derive(Clone, Copy, Debug)]
struct Point {
    wavenumber_cm1: f64,
    shares: [(usize, f64); 2],
}

impl Point {
    fn at_index(axis: &[f64], index: usize) -> Option<Self> {
        let wavenumber_cm1 = *axis.get(index)?;
        Some(Self { wavenumber_cm1, shares: [(index, 1.0), (index, 0.0)] })
    }

    /// Interpolates; up to half a step past either end of the axis the end point stands in.
    fn at(axis: &[f64], wavenumber_cm1: f64) -> Option<Self> {
        let last = axis.len().checked_sub(1)?;
        let after = axis.partition_point(|&v| v < wavenumber_cm1);
        if after > last {
            return Self::at_index(axis, last).map(|p| Self { wavenumber_cm1, ..p });
        }
        let Some(before) = after.checked_sub(1) else {
            return Self::at_index(axis, 0).map(|p| Self { wavenumber_cm1, ..p });
        };
        let share = (wavenumber_cm1 - axis[before]) / (axis[after] - axis[before]);
        Some(Self { wavenumber_cm1, shares: [(before, 1.0 - share), (after, share)] })
    }
}

/// Returns why a stretch of a spectrum cannot be read, or `None` where it can.
#[must_use]
pub fn why_unreadable(spectrum: &Spectrum, low_cm1: f64, high_cm1: f64) -> Option<String> {
    if !spectrum.covers(low_cm1, high_cm1) {
        let (first, last) = spectrum.range_cm1();
        return Some(if low_cm1 < first || high_cm1 > last {
            format!(
                "needs {low_cm1:.0}–{high_cm1:.0} cm⁻¹, but the spectrum spans {first:.0}–{last:.0} cm⁻¹"
            )
        } else {
            format!("part of {low_cm1:.0}–{high_cm1:.0} cm⁻¹ is masked or was not measured")
        });
    }
    if spectrum.saturated(low_cm1, high_cm1) {
        return Some(format!("saturated between {low_cm1:.0} and {high_cm1:.0} cm⁻¹"));
    }
    // What is left of them changes from one spectrum to the next by as much as ageing does.
    if spectrum.history().iter().any(|step| step.name == FRINGES_REMOVED) {
        return Some("interference fringes were taken out, and what is left of them is as large as what ageing does to this band".to_owned());
    }
    None
}

/// The straight line through the spectrum at two places, evaluated at a third.
fn subtract_line(sum: &mut Weights, line: (&Point, &Point), wavenumber_cm1: f64, weight: f64) {
    let (low, high) = (line.0.wavenumber_cm1, line.1.wavenumber_cm1);
    let share = if high > low { (wavenumber_cm1 - low) / (high - low) } else { 0.5 };
    sum.add(line.0, -weight * (1.0 - share));
    sum.add(line.1, -weight * share);
}

fn line_of(axis: &[f64], limits: Window, baseline: Window) -> Option<(Point, Point, Weights)> {
    let low = Point::at(axis, baseline.low_cm1)?;
    let high = Point::at(axis, baseline.high_cm1)?;
    let first = Point::at(axis, limits.low_cm1.min(baseline.low_cm1))?.shares[0].0;
    let last = Point::at(axis, limits.high_cm1.max(baseline.high_cm1))?.shares[1].0;
    Some((low, high, Weights::zeros(first, last)))
}

/// Returns the weights of the exact trapezoid area between the limits, above the line.
///
/// Limits between two points are reached by linear interpolation.
#[must_use]
pub fn area(axis: &[f64], limits: Window, baseline: Window) -> Option<Weights> {
    let (low, high, mut sum) = line_of(axis, limits, baseline)?;
    let inside = window(axis, limits.low_cm1, limits.high_cm1);
    if inside.len() < LEAST_POINTS_IN_AREA {
        return None;
    }
    trapezoids(axis, limits, &mut sum)?;
    let width = limits.high_cm1 - limits.low_cm1;
    let middle = f64::midpoint(limits.low_cm1, limits.high_cm1);
    // The trapezoid of a straight line is exact: its width times its value in the middle.
    subtract_line(&mut sum, (&low, &high), middle, width);
    Some(sum)
}

fn trapezoids(axis: &[f64], limits: Window, sum: &mut Weights) -> Option<()> {
    let mut before = Point::at(axis, limits.low_cm1)?;
    let inside = window(axis, limits.low_cm1, limits.high_cm1);
    let ends = Point::at(axis, limits.high_cm1)?;
    let points = inside.filter_map(|index| Point::at_index(axis, index)).chain([ends]);
    for point in points {
        let width = point.wavenumber_cm1 - before.wavenumber_cm1;
        if width > 0.0 {
            sum.add(&before, width / 2.0);
            sum.add(&point, width / 2.0);
        }
        before = point;
    }
    Some(())
}

/// Returns the weights of the mean height between the limits, above the line.
///
/// Unlike a maximum it is not drawn upwards by noise. Equal limits read one place.
#[must_use]
pub fn mean_height(axis: &[f64], limits: Window, baseline: Window) -> Option<Weights> {
    let (low, high, mut sum) = line_of(axis, limits, baseline)?;
    let width = limits.high_cm1 - limits.low_cm1;
    let middle = f64::midpoint(limits.low_cm1, limits.high_cm1);
    if width > 0.0 {
        trapezoids(axis, limits, &mut sum)?;
        for weight in &mut sum.weights {
            *weight /= width;
        }
    } else {
        sum.add(&Point::at(axis, middle)?, 1.0);
    }
    subtract_line(&mut sum, (&low, &high), middle, 1.0);
    Some(sum)
}

/// Returns the weights of the height at the maximum between the limits.
///
/// The top is that of the parabola through the highest measured point and its two neighbours, so
/// that a maximum between two points is not cut off; at the limits the highest point itself.
#[must_use]
pub fn greatest_height(
    axis: &[f64],
    absorbances: &[f64],
    limits: Window,
    baseline: Window,
) -> Option<Weights> {
    let (low, high, empty) = line_of(axis, limits, baseline)?;
    let at_point = |index: usize| -> Option<Weights> {
        let mut sum = empty.clone();
        let point = Point::at_index(axis, index)?;
        sum.add(&point, 1.0);
        subtract_line(&mut sum, (&low, &high), point.wavenumber_cm1, 1.0);
        Some(sum)
    };
    let (index, highest) = window(axis, limits.low_cm1, limits.high_cm1)
        .filter_map(|index| Some((index, at_point(index)?)))
        .max_by(|a, b| a.1.value(absorbances).total_cmp(&b.1.value(absorbances)))?;
    let parabola = || -> Option<Weights> {
        let before = index.checked_sub(1)?;
        let (x0, x1, x2) = (*axis.get(before)?, *axis.get(index)?, *axis.get(index + 1)?);
        let height = |i: usize| at_point(i).map(|sum| sum.value(absorbances));
        let (y0, y1, y2) = (height(before)?, height(index)?, height(index + 1)?);
        let (d0, d2) = ((y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1));
        let bend = (d2 - d0) / (x2 - x0);
        if bend >= 0.0 || y0 > y1 || y2 > y1 {
            return None;
        }
        let top = f64::midpoint(x0, x1) - d0 / (2.0 * bend);
        if !(x0..=x2).contains(&top) {
            return None;
        }
        let mut sum = empty.clone();
        for (i, xi, others) in
            [(before, x0, (x1, x2)), (index, x1, (x0, x2)), (index + 1, x2, (x0, x1))]
        {
            let share = (top - others.0) * (top - others.1) / ((xi - others.0) * (xi - others.1));
            sum.add(&Point::at_index(axis, i)?, share);
        }
        subtract_line(&mut sum, (&low, &high), top, 1.0);
        Some(sum)
    };
    // A neighbour outside the stretch the weights span would be lost: then the point stands.
    let spans = index > empty.start && index + 1 < empty.start + empty.weights.len();
    Some(if spans { parabola().unwrap_or(highest) } else { highest })
}

/// Returns the weights of minus the second derivative in the middle of the limits, per cm⁻².
///
/// A quartic is fitted to the points within 10 cm⁻¹. `None` where the points are too few: the band
/// cannot be resolved on that grid.
#[must_use]
pub fn curvature(axis: &[f64], limits: Window) -> Option<Weights> {
    let middle = f64::midpoint(limits.low_cm1, limits.high_cm1);
    let reach = window(axis, middle - CURVATURE_REACH_CM1, middle + CURVATURE_REACH_CM1);
    if reach.len() < LEAST_POINTS_IN_CURVATURE {
        return None;
    }
    let design = ndarray::Array2::from_shape_fn((reach.len(), 5), |(row, power)| {
        let x = (axis[reach.start + row] - middle) / CURVATURE_REACH_CM1;
        x.powi(i32::try_from(power).unwrap_or(0))
    });
    let inverse = crate::linalg::pseudo_inverse(design.view()).ok()?;
    let row = inverse.row(2);
    // The last digits depend on the processor, and the limits of detection must not.
    let scale = row.iter().fold(0.0_f64, |most, w| most.max(w.abs()));
    let unit = -2.0 / CURVATURE_REACH_CM1.powi(2);
    let weights = row.iter().map(|w| unit * crate::linalg::settled(*w, scale)).collect();
    Some(Weights { start: reach.start, weights })
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    fn axis() -> Vec<f64> {
        (0..101).map(|i| 1600.0 + 2.0 * f64::from(i)).collect()
    }

    #[test]
    fn integrates_a_triangle_exactly_between_points() {
        let axis = axis();
        // A triangle of height 1 and half width 20 on a sloping line: its area is 20.
        let values: Vec<f64> =
            axis.iter().map(|v| (1.0 - (v - 1700.0).abs() / 20.0).max(0.0) + 0.001 * v).collect();
        let limits = Window::new(1651.0, 1749.0);
        let sum = area(&axis, limits, Window::new(1641.0, 1761.0)).expect("covered");
        assert_abs_diff_eq!(sum.value(&values), 20.0, epsilon = 1e-9);
    }

    #[test]
    fn takes_the_mean_height_of_a_parabola() {
        let axis = axis();
        let values: Vec<f64> = axis.iter().map(|v| 1.0 - ((v - 1700.0) / 100.0).powi(2)).collect();
        let at = mean_height(&axis, Window::new(1700.0, 1700.0), Window::new(1600.0, 1800.0))
            .expect("covered");
        assert_abs_diff_eq!(at.value(&values), 1.0, epsilon = 1e-12);
        let shifted: Vec<f64> = axis.iter().map(|v| 1.0 - ((v - 1700.7) / 100.0).powi(2)).collect();
        let top = greatest_height(
            &axis,
            &shifted,
            Window::new(1690.0, 1710.0),
            Window::new(1600.7, 1800.7 - 1.0),
        )
        .expect("covered");
        // The line runs from 0 at one anchor to a little above 0 at the other.
        assert_abs_diff_eq!(top.value(&shifted), 0.99, epsilon = 2e-3);
    }

    #[test]
    fn reads_the_curvature_of_a_parabola_and_refuses_a_coarse_grid() {
        let axis = axis();
        let values: Vec<f64> = axis.iter().map(|v| -0.01 * (v - 1690.0).powi(2)).collect();
        let limits = Window::new(1695.0, 1705.0);
        let sum = curvature(&axis, limits).expect("fine grid");
        assert_abs_diff_eq!(sum.value(&values), 0.02, epsilon = 1e-9);
        let coarse: Vec<f64> = (0..30).map(|i| 1600.0 + 8.0 * f64::from(i)).collect();
        assert_eq!(curvature(&coarse, limits), None);
    }

    #[test]
    fn carries_noise_into_a_mean_of_two_points() {
        let noise = Noise::known(0.01, vec![1.0], 70.0, "stated");
        let sum = Weights { start: 3, weights: vec![0.5, 0.5] };
        assert_abs_diff_eq!(sum.variance(&noise), 0.5e-4, epsilon = 1e-18);
        let linked = Noise::known(0.01, vec![1.0, 1.0], 70.0, "stated");
        assert_abs_diff_eq!(sum.variance(&linked), 1.0e-4, epsilon = 1e-18);
    }
}
