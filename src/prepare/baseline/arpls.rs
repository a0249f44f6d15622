//! Asymmetrically reweighted penalised least squares: the noise below the curve sets the weights.

use super::asls::{Stop, settled, start_weights};
use crate::linalg::Pentadiagonal;

/// Past this exponent the logistic weight is zero to the last bit.
const MOST_EXPONENT: f64 = 700.0;

/// Returns the asymmetrically reweighted baseline of evenly spaced values.
///
/// After Baek, Park, Ahn & Choo 2015, Analyst 140, 250: a point's weight is a logistic function of
/// its height above the curve, scaled by the mean and the standard deviation of the residuals below
/// the curve. Points whose entry in `counted` is 0 have no say; an empty slice counts all.
#[must_use]
pub fn reweighted_baseline(values: &[f64], counted: &[f64], lambda: f64, stop: Stop) -> Vec<f64> {
    let mut solver = Pentadiagonal::new();
    let mut weights = start_weights(values.len(), counted);
    let mut next = weights.clone();
    let mut curve = values.to_vec();
    for iteration in 0..=stop.most_iterations {
        solver.smooth(values, &weights, lambda, &mut curve);
        let Some((mean, sd)) = below(values, &curve, counted) else { break };
        for (i, target) in next.iter_mut().enumerate() {
            let exponent = 2.0 * (values[i] - curve[i] - (2.0 * sd - mean)) / sd;
            let weight = 1.0 / (1.0 + exponent.min(MOST_EXPONENT).exp());
            *target = weight * counted.get(i).copied().unwrap_or(1.0);
        }
        if iteration == stop.most_iterations || settled(&weights, &next, stop.tolerance) {
            break;
        }
        std::mem::swap(&mut weights, &mut next);
    }
    curve
}

/// Mean and standard deviation of the residuals below the curve, or `None` without a spread.
fn below(values: &[f64], curve: &[f64], counted: &[f64]) -> Option<(f64, f64)> {
    let residuals = || {
        values
            .iter()
            .zip(curve)
            .enumerate()
            .filter(|(i, _)| counted.get(*i).is_none_or(|&c| c > 0.0))
            .map(|(_, (value, z))| value - z)
            .filter(|residual| *residual < 0.0)
    };
    let count = residuals().count();
    if count < 2 {
        return None;
    }
    let mean = residuals().sum::<f64>() / count as f64;
    let variance = residuals().map(|r| (r - mean) * (r - mean)).sum::<f64>() / (count - 1) as f64;
    (variance > 0.0).then(|| (mean, variance.sqrt()))
}
