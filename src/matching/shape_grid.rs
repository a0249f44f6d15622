//! A curve on the grid of measured shapes, and its first derivative where shapes are compared.

use crate::prepare::Prepared;
use crate::spectrum::zones::{FEW_BANDS_CM1, Zone};
use crate::spectrum::{PointFlag, Spectrum, interpolate, window};
use crate::tables::{SHAPE_POINTS, shape_wavenumber_cm1};

/// Where shapes are compared, in cm⁻¹: below, elements and detectors end; above, only free O–H.
const COMPARED_CM1: [Zone; 2] = [(650.0, FEW_BANDS_CM1.0), (FEW_BANDS_CM1.1, 3600.0)];

/// Weights of the smoothing before the derivative is taken: a triangle over five points, 20 cm⁻¹ wide at
/// its foot, about the width of the bands themselves.
const TRIANGLE: [f64; 5] = [1.0, 2.0, 3.0, 2.0, 1.0];

/// Half the step of the grid in cm⁻¹: the points nearer to this grid point than to any other are averaged.
const HALF_STEP_CM1: f64 = 2.0;

/// Returns the absorbances above the baseline on the grid of shapes; `NaN` where nothing was measured.
///
/// Points outside what was measured, masked points and saturated ones count as not measured.
#[must_use]
pub fn on_shape_grid(spectrum: &Spectrum, prepared: &Prepared) -> Vec<f64> {
    let axis = prepared.spectrum().wavenumbers_cm1();
    let values = prepared.spectrum().absorbances();
    let flags = prepared.spectrum().flags();
    let same = flags.len() == spectrum.len();
    let is_whole = |at: usize| {
        flags.get(at) == Some(&PointFlag::Measured)
            && (!same || spectrum.flags().get(at) == Some(&PointFlag::Measured))
    };
    let reach = spectrum.spacing_cm1().max(2.0 * HALF_STEP_CM1) / 2.0;
    let mut from = 0;
    (0..SHAPE_POINTS)
        .map(|point| {
            let wavenumber = shape_wavenumber_cm1(point);
            let (low, high) = (wavenumber - HALF_STEP_CM1, wavenumber + HALF_STEP_CM1);
            while axis.get(from).is_some_and(|x| *x < low) {
                from += 1;
            }
            let mut until = from;
            let mut sum = 0.0;
            while axis.get(until).is_some_and(|x| *x < high) {
                if !is_whole(until) {
                    return f64::NAN;
                }
                sum += values[until];
                until += 1;
            }
            if until > from {
                return sum / (until - from) as f64;
            }
            // A coarse grid has no point here: it is measured where both neighbours are.
            let near = window(axis, wavenumber - 2.0 * reach, wavenumber + 2.0 * reach);
            if near.len() < 2 || !near.clone().all(is_whole) {
                return f64::NAN;
            }
            interpolate(axis, values, wavenumber).unwrap_or(f64::NAN)
        })
        .collect()
}

/// The first derivative of a curve at the points where shapes are compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Slope {
    /// A value for each compared point; zero where it is not known.
    pub(super) values: Vec<f64>,
    /// One where the value is known, else zero: a factor, so that sums over what two know need no branch.
    pub(super) known: Vec<f64>,
    /// Number of known values.
    pub(super) count: usize,
}

impl Slope {
    /// Takes the derivative of a curve on the grid of shapes.
    #[must_use]
    pub fn of(curve: &[f64]) -> Self {
        let weight: f64 = TRIANGLE.iter().sum();
        let half = TRIANGLE.len() / 2;
        let smooth: Vec<f64> = (0..curve.len())
            .map(|at| {
                let window = at.checked_sub(half).and_then(|from| curve.get(from..at + half + 1));
                window.map_or(f64::NAN, |window| {
                    window.iter().zip(TRIANGLE).map(|(v, w)| v * w).sum::<f64>() / weight
                })
            })
            .collect();
        let mut slope = Self { values: Vec::new(), known: Vec::new(), count: 0 };
        for at in compared() {
            let ends = (at.checked_sub(1).and_then(|i| smooth.get(i)), smooth.get(at + 1));
            let value = match ends {
                (Some(before), Some(after)) => after - before,
                _ => f64::NAN,
            };
            let known = value.is_finite();
            slope.values.push(if known { value } else { 0.0 });
            slope.known.push(f64::from(u8::from(known)));
            slope.count += usize::from(known);
        }
        slope
    }

    /// Returns whether every compared point is known.
    pub(super) fn is_whole(&self) -> bool {
        self.count == self.known.len()
    }
}

/// Returns the grid points at which shapes are compared.
fn compared() -> impl Iterator<Item = usize> {
    let at_or_above =
        |cm1: f64| (0..SHAPE_POINTS).find(|point| shape_wavenumber_cm1(*point) >= cm1);
    COMPARED_CM1.into_iter().flat_map(move |(low, high)| {
        at_or_above(low).unwrap_or(SHAPE_POINTS)..at_or_above(high).unwrap_or(SHAPE_POINTS)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prepare::prepare;
    use crate::spectrum::SpectrumParts;

    /// Two bands, with points so far apart in cm⁻¹.
    fn made(step_cm1: f64) -> Spectrum {
        let count = (3200.0 / step_cm1) as u32;
        let axis: Vec<f64> = (0..count).map(|i| 602.0 + step_cm1 * f64::from(i)).collect();
        let band = |x: f64, at: f64| 0.4 / (1.0 + ((x - at) / 20.0).powi(2));
        let values = axis.iter().map(|x| 0.01 + band(*x, 1000.0) + band(*x, 1700.0)).collect();
        Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum")
    }

    fn on_grid(spectrum: &Spectrum) -> Vec<f64> {
        on_shape_grid(spectrum, &prepare(spectrum).expect("prepared"))
    }

    fn at(curve: &[f64], cm1: f64) -> f64 {
        let point = (0..SHAPE_POINTS).find(|point| shape_wavenumber_cm1(*point) == cm1);
        curve[point.expect("on the grid")]
    }

    #[test]
    fn a_coarse_spectrum_is_known_between_its_points_and_a_fine_one_by_their_mean() {
        let (fine, coarse) = (on_grid(&made(1.0)), on_grid(&made(8.0)));
        for curve in [&fine, &coarse] {
            let known = |cm1: f64| at(curve, cm1).is_finite();
            let unknown: Vec<f64> =
                (175..450).map(|i| 4.0 * f64::from(i)).filter(|cm1| !known(*cm1)).collect();
            assert!(unknown.is_empty(), "{unknown:?}");
            assert!(!known(596.0) && !known(3900.0));
        }
        for cm1 in [900.0, 1000.0, 1004.0, 1700.0] {
            assert!((at(&fine, cm1) - at(&coarse, cm1)).abs() < 0.03, "{cm1}");
        }
    }

    #[test]
    fn what_a_mask_hides_is_not_known_and_nothing_else() {
        for step_cm1 in [1.0, 8.0] {
            let curve = on_grid(&made(step_cm1).with_mask(1195.0, 1205.0, "test"));
            assert!(at(&curve, 1200.0).is_nan(), "{step_cm1}");
            assert!(at(&curve, 1176.0).is_finite() && at(&curve, 1224.0).is_finite(), "{step_cm1}");
        }
    }
}
