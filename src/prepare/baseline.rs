//! The baseline: what a spectrum rests on, segment by segment.

use super::asls::{Stop, asymmetric_baseline};
use super::hull::hull_baseline;
use crate::spectrum::{PointFlag, Spectrum, median_spacing};

/// Waves of this length pass into the baseline at half height: three times the width of a
/// hydrogen-bonded O–H band, so that this band stays (own choice).
pub(super) const HALF_LENGTH_CM1: f64 = 1200.0;

/// Weight of a point above the baseline: of 0.001 and 0.01 at six half lengths, the pair that came
/// nearest to the known baseline of a synthetic spectrum (0.001 to 0.1 is common practice).
pub(super) const ASYMMETRY: f64 = 0.01;

/// Blocks of points are averaged before the stiff curve is solved, so many to a half length: a curve
/// that hardly bends within a block loses nothing, and the solve shrinks with the block.
const BLOCKS_PER_HALF_LENGTH: f64 = 100.0;

/// Returns the asymmetric least-squares baseline at each point; padded points get zero.
///
/// Each measured segment is treated on its own; masked points have no say. Where too few points count for a
/// stiff curve, it is the lower hull.
pub(super) fn under(spectrum: &Spectrum) -> Vec<f64> {
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
        let stiff = if settles(&counted) {
            on_blocks(spacing.unwrap_or(1.0), values, &counted)
        } else {
            None
        };
        let under = stiff.unwrap_or_else(|| hull_baseline(axis, values));
        curve[segment.clone()].copy_from_slice(&under);
    }
    curve
}

/// Whether a stiff curve is settled by the points that count: by fewer than three it is not; the hull always is.
fn settles(counted: &[f64]) -> bool {
    counted.iter().filter(|c| **c > 0.0).count() >= 3
}

/// Averages blocks of points, solves for their baseline, and interpolates it back to the points; `None` where
/// too few blocks hold points that count.
fn on_blocks(spacing: f64, values: &[f64], counted: &[f64]) -> Option<Vec<f64>> {
    let solve = |values: &[f64], counted: &[f64], spacing: f64| {
        asymmetric_baseline(values, counted, stiffness(spacing), ASYMMETRY, Stop::default())
    };
    let n = values.len();
    let size = (HALF_LENGTH_CM1 / (BLOCKS_PER_HALF_LENGTH * spacing)).floor().max(1.0) as usize;
    if size == 1 || n < 4 * size {
        return Some(solve(values, counted, spacing));
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
    let curve = solve(&means, &shares, spacing * size as f64);
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

/// Returns the λ at which a wave of the half length passes into the curve at half its height.
///
/// The smoother passes 1/(1 + λ (2π h/L)⁴) of a wave of length L at spacing h.
fn stiffness(spacing_cm1: f64) -> f64 {
    (HALF_LENGTH_CM1 / (2.0 * std::f64::consts::PI * spacing_cm1)).powi(4)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    #[test]
    fn a_baseline_on_blocks_stays_within_the_noise_of_the_full_one() {
        // Solved on blocks of points; the full solve is its judge. The spectrum's noise is 0.004.
        let golden = include_str!("../../tests/golden/spectrum.csv");
        let (axis, values): (Vec<f64>, Vec<f64>) = golden
            .lines()
            .skip(1)
            .map(|line| {
                let mut cells = line.split(',').map(|cell| cell.parse::<f64>().expect("a number"));
                (cells.next().expect("a wavenumber"), cells.next().expect("an absorbance"))
            })
            .unzip();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let values = spectrum.absorbances();
        let full = asymmetric_baseline(values, &[], stiffness(2.0), ASYMMETRY, Stop::default());
        for (blocks, full) in under(&spectrum).iter().zip(full) {
            assert!((blocks - full).abs() < 0.004, "{blocks} {full}");
        }
    }
}
