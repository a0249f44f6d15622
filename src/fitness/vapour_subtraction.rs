//! Measured water vapour, scaled and subtracted.

use serde::{Deserialize, Serialize};

use super::vapour_lines::{WEIGHED_OVER_CM1, fine_at, weights};
use crate::linalg;
use crate::spectrum::zones::VAPOUR_LINES_CM1;
use crate::spectrum::{PointFlag, Spectrum, Step, interpolate};

/// Fewer points than this in the line regions settle no factor.
const LEAST_POINTS: usize = 20;

/// Rounds of weighing what is left: the weights no longer move after five or six.
const ROUNDS: usize = 8;

/// What is left weighs by its size, but no place weighs more than this many times the typical one.
const LEAST_LEFT_SHARE: f64 = 0.05;

/// A spectrum with measured vapour taken out, and how much was taken.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct VapourSubtracted {
    /// The spectrum after subtraction, with the step in its history.
    pub spectrum: Spectrum,
    /// The figures of the subtraction.
    pub subtraction: VapourSubtraction,
}

/// How much measured vapour was taken out of a spectrum, and what is left.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct VapourSubtraction {
    /// The vapour spectrum was subtracted so many times; negative where the background held more.
    pub factor: f64,
    /// Standard error of the factor.
    pub factor_error: f64,
    /// Fine structure left in the line regions, as a share of what was there before, each place weighed
    /// as in the fit.
    pub residual: f64,
}

/// Subtracts a measured vapour spectrum, scaled by least squares over the line regions.
///
/// Both are compared by their fine structure: each point less the mean of the points 5 cm⁻¹ away. A band
/// of the sample leaves more of that than a line, so each place weighs by what the fit leaves there,
/// in rounds. The vapour spectrum is interpolated to the sample's points.
///
/// # Errors
///
/// The two must share at least twenty points of the line regions, and the vapour must have structure
/// there.
pub fn subtract_vapour(
    spectrum: &Spectrum,
    vapour: &Spectrum,
) -> Result<VapourSubtracted, linalg::Error> {
    let axis = spectrum.wavenumbers_cm1();
    let regions: Vec<Region> =
        VAPOUR_LINES_CM1.iter().map(|region| Region::of(spectrum, vapour, *region)).collect();
    let rows: usize = regions.iter().map(|region| region.axis.len()).sum();
    if rows < LEAST_POINTS {
        return Err(linalg::Error::TooFew { rows, columns: 1 });
    }
    let (factor, factor_error, residual) = scaled(&regions)?;
    let air = |x: f64| interpolate(vapour.wavenumbers_cm1(), vapour.absorbances(), x);
    let values = axis
        .iter()
        .zip(spectrum.absorbances())
        .map(|(x, a)| a - factor * air(*x).unwrap_or(0.0))
        .collect();
    let step = Step::new("subtract vapour")
        .with("factor", format!("{factor:.5}"))
        .with("residual", format!("{residual:.3}"));
    let spectrum =
        spectrum.clone().with_absorbances(values, step).map_err(|_| linalg::Error::NotFinite)?;
    Ok(VapourSubtracted {
        spectrum,
        subtraction: VapourSubtraction { factor, factor_error, residual },
    })
}

/// The fine structure of both spectra in one region.
struct Region {
    axis: Vec<f64>,
    ours: Vec<f64>,
    theirs: Vec<f64>,
}

impl Region {
    fn of(spectrum: &Spectrum, vapour: &Spectrum, (low, high): (f64, f64)) -> Self {
        let mut region = Self { axis: Vec::new(), ours: Vec::new(), theirs: Vec::new() };
        let axis = spectrum.wavenumbers_cm1();
        for i in spectrum.window(low, high) {
            if spectrum.flags()[i] != PointFlag::Measured {
                continue;
            }
            let ours = fine_at(axis, spectrum.absorbances(), axis[i]);
            let theirs = fine_at(vapour.wavenumbers_cm1(), vapour.absorbances(), axis[i]);
            if let (Some(ours), Some(theirs)) = (ours, theirs) {
                region.axis.push(axis[i]);
                region.ours.push(ours);
                region.theirs.push(theirs);
            }
        }
        region
    }

    fn left(&self, factor: f64) -> Vec<f64> {
        self.ours.iter().zip(&self.theirs).map(|(a, b)| a - factor * b).collect()
    }
}

/// Returns the factor, its standard error, and the share of fine structure that is left.
fn scaled(regions: &[Region]) -> Result<(f64, f64, f64), linalg::Error> {
    let mut factor = 0.0;
    let mut weighed: Vec<Vec<f64>> = Vec::new();
    for _ in 0..ROUNDS {
        let left: Vec<Vec<f64>> = regions.iter().map(|region| region.left(factor)).collect();
        let typical = root_mean_square(left.iter().flatten());
        let least = LEAST_LEFT_SHARE * typical;
        weighed =
            regions.iter().zip(&left).map(|(r, left)| weights(&r.axis, left, least)).collect();
        let (mut along, mut length) = (0.0, 0.0);
        for (region, weights) in regions.iter().zip(&weighed) {
            for ((a, b), w) in region.ours.iter().zip(&region.theirs).zip(weights) {
                along += w * a * b;
                length += w * b * b;
            }
        }
        if length.is_nan() || length <= 0.0 {
            return Err(linalg::Error::RankDeficient { rank: 0, columns: 1 });
        }
        factor = along / length;
        if !factor.is_finite() {
            return Err(linalg::Error::NotFinite);
        }
    }
    // Neighbouring points deviate together, so the error is taken from whole stretches.
    let (mut squares, mut length, mut before, mut after) = (0.0, 0.0, 0.0, 0.0);
    for (region, weights) in regions.iter().zip(&weighed) {
        let left = region.left(factor);
        let (mut stretch, mut from) = (0.0, f64::NEG_INFINITY);
        for (i, x) in region.axis.iter().enumerate() {
            let w = weights[i];
            if x - from > 2.0 * WEIGHED_OVER_CM1 {
                squares += stretch * stretch;
                (stretch, from) = (0.0, *x);
            }
            stretch += w * region.theirs[i] * left[i];
            length += w * region.theirs[i] * region.theirs[i];
            before += w * region.ours[i] * region.ours[i];
            after += w * left[i] * left[i];
        }
        squares += stretch * stretch;
    }
    let residual = if before > 0.0 { (after / before).sqrt() } else { 0.0 };
    Ok((factor, squares.sqrt() / length, residual))
}

fn root_mean_square<'a>(values: impl Iterator<Item = &'a f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for value in values {
        sum += value * value;
        count += 1.0;
    }
    if count > 0.0 { (sum / count).sqrt() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    /// A few strong lines of both regions in cm⁻¹, recalled (memory).
    const LINES_CM1: [f64; 10] =
        [1540.3, 1558.5, 1653.3, 1684.8, 1734.6, 1772.7, 3649.0, 3711.0, 3735.0, 3854.0];

    /// Returns a vapour spectrum of the recalled lines on an axis, for trying out the checks.
    fn recalled_lines(axis: &[f64]) -> Spectrum {
        let lines = LINES_CM1.iter();
        let values = axis
            .iter()
            .map(|x| lines.clone().map(|line| 0.01 / (1.0 + ((x - line) / 2.0).powi(2))).sum())
            .collect();
        Spectrum::new(SpectrumParts::new(axis.to_vec(), values)).expect("valid")
    }

    fn axis() -> Vec<f64> {
        (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect()
    }

    #[test]
    fn takes_out_the_vapour_that_was_put_in() {
        let axis = axis();
        let vapour = recalled_lines(&axis);
        let values = axis
            .iter()
            .zip(vapour.absorbances())
            .map(|(x, v)| 0.4 / (1.0 + ((x - 1725.0) / 14.0).powi(2)) + 1.7 * v)
            .collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let found = subtract_vapour(&spectrum, &vapour).expect("lines");
        assert!((found.subtraction.factor - 1.7).abs() < 0.15, "{:?}", found.subtraction);
        assert!(found.subtraction.residual < 0.8);
        assert_eq!(found.spectrum.history().len(), 1);
        // What is left is the band, lines of 0.017 taken off it.
        for (x, left) in vapour.wavenumbers_cm1().iter().zip(found.spectrum.absorbances()) {
            let band = 0.4 / (1.0 + ((x - 1725.0) / 14.0).powi(2));
            assert!((left - band).abs() < 0.002, "{x}: {left} {band}");
        }
    }

    #[test]
    fn refuses_vapour_without_lines() {
        let axis = axis();
        let flat = Spectrum::new(SpectrumParts::new(axis.clone(), vec![0.1; 1800])).expect("valid");
        assert!(subtract_vapour(&recalled_lines(&axis), &flat).is_err());
    }
}
