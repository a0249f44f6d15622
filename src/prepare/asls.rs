//! Asymmetric penalised least squares: a stiff curve that points above it pull on only weakly.

use crate::linalg::Pentadiagonal;

/// When to stop reweighting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// The most times the weights are renewed.
    pub most_iterations: usize,
    /// Relative change of the weights, as lengths of vectors, below which they are kept.
    pub tolerance: f64,
}

impl Default for Stop {
    /// Fifty renewals and a change of a thousandth: common practice, no source.
    fn default() -> Self {
        Self { most_iterations: 50, tolerance: 1.0e-3 }
    }
}

/// Returns the asymmetric least-squares baseline of evenly spaced values.
///
/// After Eilers 2003, Anal. Chem. 75, 3631: the curve minimises Σ w (y − z)² + `lambda` Σ (Δ²z)²,
/// where w is `asymmetry` for points above the curve and 1 − `asymmetry` for those below. Points
/// whose entry in `counted` is 0 have no say; an empty slice counts all. O(n) per renewal.
#[must_use]
pub fn asymmetric_baseline(
    values: &[f64],
    counted: &[f64],
    lambda: f64,
    asymmetry: f64,
    stop: Stop,
) -> Vec<f64> {
    let mut solver = Pentadiagonal::new();
    let mut weights = start_weights(values.len(), counted);
    let mut next = weights.clone();
    let mut curve = values.to_vec();
    for iteration in 0..=stop.most_iterations {
        solver.smooth(values, &weights, lambda, &mut curve);
        for (i, target) in next.iter_mut().enumerate() {
            let weight = if values[i] > curve[i] { asymmetry } else { 1.0 - asymmetry };
            *target = weight * counted.get(i).copied().unwrap_or(1.0);
        }
        if iteration == stop.most_iterations || settled(&weights, &next, stop.tolerance) {
            break;
        }
        std::mem::swap(&mut weights, &mut next);
    }
    curve
}

/// Weight 1 for each point that counts.
fn start_weights(n: usize, counted: &[f64]) -> Vec<f64> {
    (0..n).map(|i| counted.get(i).copied().unwrap_or(1.0)).collect()
}

/// Whether the weights moved by less than the tolerance, relative to their length.
fn settled(before: &[f64], after: &[f64], tolerance: f64) -> bool {
    let (mut change, mut length) = (0.0, 0.0);
    for (a, b) in before.iter().zip(after) {
        change += (b - a) * (b - a);
        length += a * a;
    }
    change.sqrt() < tolerance * length.sqrt().max(f64::MIN_POSITIVE)
}
