//! Baselines: what a spectrum rests on, segment by segment.

mod arpls;
mod asls;
mod hull;

use serde::{Deserialize, Serialize};

pub use arpls::reweighted_baseline;
pub use asls::{Stop, asymmetric_baseline};
pub use hull::{hull_baseline, hull_corners};

use super::Error;
use crate::linalg::Pentadiagonal;
use crate::spectrum::{PointFlag, Spectrum, median_spacing};

/// Blocks of points are averaged before the stiff curve is solved, so many to a half length: a curve
/// that hardly bends within a block loses nothing, and the solve shrinks with the block.
const BLOCKS_PER_HALF_LENGTH: f64 = 100.0;

/// How the baseline is found.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "method", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Baseline {
    /// [`asymmetric_baseline`], with the stiffness given as a length.
    AsymmetricLeastSquares {
        /// Waves of this length in cm⁻¹ pass into the curve at half their height.
        half_length_cm1: f64,
        /// Weight of a point above the curve, between 0 and 0.5.
        asymmetry: f64,
    },
    /// [`reweighted_baseline`], with the stiffness given as a length.
    ReweightedLeastSquares {
        /// Waves of this length in cm⁻¹ pass into the curve at half their height.
        half_length_cm1: f64,
    },
    /// [`hull_baseline`].
    ConvexHull,
}

impl Baseline {
    /// Returns the baseline at each point; padded points get zero.
    ///
    /// Each measured segment is treated on its own. Masked points have no say in the
    /// least-squares curves.
    ///
    /// # Errors
    ///
    /// A half length that is not positive or an asymmetry outside 0–0.5 is refused.
    pub fn under(&self, spectrum: &Spectrum) -> Result<Vec<f64>, Error> {
        self.check()?;
        let mut curve = vec![0.0; spectrum.len()];
        for segment in spectrum.segments() {
            let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
            let values = &spectrum.absorbances()[segment.clone()];
            let counted: Vec<f64> = spectrum.flags()[segment.clone()]
                .iter()
                .map(|flag| if *flag == PointFlag::Masked { 0.0 } else { 1.0 })
                .collect();
            // A spectrum without gaps knows its spacing already.
            let whole = axis.len() == spectrum.len();
            let spacing = if whole { Some(spectrum.spacing_cm1()) } else { median_spacing(axis) };
            let under = self.of_segment(axis, spacing.unwrap_or(1.0), values, &counted);
            curve[segment.clone()].copy_from_slice(&under);
        }
        Ok(curve)
    }

    fn check(&self) -> Result<(), Error> {
        let (length, asymmetry) = match *self {
            Self::AsymmetricLeastSquares { half_length_cm1, asymmetry } => {
                (half_length_cm1, asymmetry)
            }
            Self::ReweightedLeastSquares { half_length_cm1 } => (half_length_cm1, 0.1),
            Self::ConvexHull => (1.0, 0.1),
        };
        if !(length > 0.0 && length.is_finite()) {
            return Err(Error::Setting {
                setting: "half_length_cm1",
                found: length,
                expected: "it must be a positive number of cm⁻¹",
            });
        }
        if !(asymmetry > 0.0 && asymmetry < 0.5) {
            return Err(Error::Setting {
                setting: "asymmetry",
                found: asymmetry,
                expected: "it must lie between 0 and 0.5",
            });
        }
        Ok(())
    }

    fn of_segment(&self, axis: &[f64], spacing: f64, values: &[f64], counted: &[f64]) -> Vec<f64> {
        if !settles(counted) {
            return hull_baseline(axis, values);
        }
        match *self {
            Self::AsymmetricLeastSquares { half_length_cm1, asymmetry } => {
                on_blocks(spacing, values, counted, half_length_cm1, |values, counted, lambda| {
                    asymmetric_baseline(values, counted, lambda, asymmetry, Stop::default())
                })
                .unwrap_or_else(|| hull_baseline(axis, values))
            }
            Self::ReweightedLeastSquares { half_length_cm1 } => {
                on_blocks(spacing, values, counted, half_length_cm1, |values, counted, lambda| {
                    reweighted_baseline(values, counted, lambda, Stop::default())
                })
                .unwrap_or_else(|| hull_baseline(axis, values))
            }
            Self::ConvexHull => hull_baseline(axis, values),
        }
    }
}

/// Whether a stiff curve is settled by the points that count: by fewer than three it is not; the hull always is.
fn settles(counted: &[f64]) -> bool {
    counted.iter().filter(|c| **c > 0.0).count() >= 3
}

/// Averages blocks of points, solves for their baseline, and interpolates it back to the points; `None` where
/// too few blocks hold points that count.
fn on_blocks(
    spacing: f64,
    values: &[f64],
    counted: &[f64],
    half_length_cm1: f64,
    solve: impl Fn(&[f64], &[f64], f64) -> Vec<f64>,
) -> Option<Vec<f64>> {
    let n = values.len();
    let size = (half_length_cm1 / (BLOCKS_PER_HALF_LENGTH * spacing)).floor().max(1.0) as usize;
    if size == 1 || n < 4 * size {
        return Some(solve(values, counted, stiffness(half_length_cm1, spacing)));
    }
    let blocks = n.div_ceil(size);
    let (mut means, mut shares, mut centres) =
        (Vec::with_capacity(blocks), Vec::with_capacity(blocks), Vec::with_capacity(blocks));
    for (i, block) in values.chunks(size).enumerate() {
        let weights = &counted[i * size..i * size + block.len()];
        let total: f64 = weights.iter().sum();
        let sum: f64 = block.iter().zip(weights).map(|(v, w)| v * w).sum();
        means.push(if total > 0.0 { sum / total } else { 0.0 });
        shares.push(total / size as f64);
        centres.push((i * size) as f64 + (block.len() - 1) as f64 / 2.0);
    }
    if !settles(&shares) {
        return None;
    }
    let curve = solve(&means, &shares, stiffness(half_length_cm1, spacing * size as f64));
    let last = curve.len() - 2;
    let mut points = Vec::with_capacity(n);
    for (k, (ends, heights)) in centres.windows(2).zip(curve.windows(2)).enumerate() {
        // The first and last half block carry on along the curve's last slope.
        let end = if k < last { (ends[1].floor() as usize + 1).min(n) } else { n };
        points.extend((points.len()..end).map(|i| {
            let share = (i as f64 - ends[0]) / (ends[1] - ends[0]);
            heights[0] + share * (heights[1] - heights[0])
        }));
    }
    Some(points)
}

/// Returns the λ at which a wave of the given length passes into the curve at half its height.
///
/// The smoother passes 1/(1 + λ (2π h/L)⁴) of a wave of length L at spacing h.
fn stiffness(half_length_cm1: f64, spacing_cm1: f64) -> f64 {
    (half_length_cm1 / (2.0 * std::f64::consts::PI * spacing_cm1)).powi(4)
}

/// Returns the stiff curve through evenly spaced values: the Whittaker smoother with second differences.
///
/// It minimises Σ w (y − z)² + `lambda` Σ (Δ²z)². Slices of other length than `values` are read as
/// weights of 1 where they end.
#[must_use]
pub fn whittaker(values: &[f64], weights: &[f64], lambda: f64) -> Vec<f64> {
    let weights: Vec<f64> =
        (0..values.len()).map(|i| weights.get(i).copied().unwrap_or(1.0)).collect();
    let mut curve = values.to_vec();
    Pentadiagonal::new().smooth(values, &weights, lambda, &mut curve);
    curve
}
