//! Tops between points, and shoulders that have no top of their own.

use super::find::inner_points;

/// Returns the position and the height of the parabola through a point and its two neighbours.
///
/// The points need not be evenly spaced. Where the three do not bend downwards, or at either end, the
/// point itself is returned; `None` past the end.
#[must_use]
pub fn top_between_points(axis: &[f64], values: &[f64], index: usize) -> Option<(f64, f64)> {
    let (x, y) = (*axis.get(index)?, *values.get(index)?);
    let Some(before) = index.checked_sub(1) else { return Some((x, y)) };
    let (Some(&x_after), Some(&y_after)) = (axis.get(index + 1), values.get(index + 1)) else {
        return Some((x, y));
    };
    let (a, b) = (axis[before] - x, x_after - x);
    let (p, q) = (values[before] - y, y_after - y);
    // y = c u + d u² through (a, p), (0, 0) and (b, q).
    let d = (p / a - q / b) / (a - b);
    let c = p / a - d * a;
    if d >= 0.0 || !d.is_finite() {
        return Some((x, y));
    }
    let offset = (-c / (2.0 * d)).clamp(a, b);
    Some((x + offset, y + c * offset + d * offset * offset))
}

/// A hidden band, read from the second derivative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hidden {
    /// Index of the minimum of the second derivative.
    pub index: usize,
    /// Height of a Gaussian band with this curvature and width.
    pub height: f64,
    /// Its full width at half height, in units of the axis.
    pub width: f64,
}

/// Returns each minimum of the second derivative as the Gaussian band that would give it.
///
/// A Gaussian of standard deviation σ and height H has curvature −H/σ² at its top and turns at ±σ, so
/// the distance z between the crossings of zero gives H = −A″ z²/4 and a width of 1.1774 z. A
/// Lorentzian would be 1.5 times as high: the estimate is the lower one.
#[must_use]
pub fn hidden_bands(axis: &[f64], second_derivative: &[f64]) -> Vec<Hidden> {
    let n = axis.len().min(second_derivative.len());
    let (axis, curve) = (&axis[..n], &second_derivative[..n]);
    let mut bands = Vec::with_capacity(n / 8);
    let dips =
        |_, before: f64, here: f64, behind: f64| (here < 0.0) & (here <= before) & (here < behind);
    for i in inner_points(curve, dips) {
        let depth = -curve[i];
        let left = (1..=i).rev().find(|j| curve[*j - 1] >= 0.0 || curve[*j - 1] < curve[*j]);
        let right = (i..n - 1).find(|j| curve[*j + 1] >= 0.0 || curve[*j + 1] < curve[*j]);
        let (Some(left), Some(right)) = (left, right) else { continue };
        // A side that turns down again before zero belongs to a neighbour: its turn is the edge, and
        // only the depth below that turn is this band's own.
        let side = |near: usize, beyond: usize| {
            if curve[beyond] >= 0.0 {
                let share = curve[near] / (curve[near] - curve[beyond]);
                (axis[near] + share * (axis[beyond] - axis[near]), 0.0)
            } else {
                (axis[near], -curve[near])
            }
        };
        let (low, low_rest) = side(left, left - 1);
        let (high, high_rest) = side(right, right + 1);
        let own = depth - low_rest.max(high_rest);
        let between = high - low;
        bands.push(Hidden {
            index: i,
            height: own * between * between / 4.0,
            width: 1.1774 * between,
        });
    }
    bands
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_top_of_a_parabola_on_an_uneven_axis() {
        let axis = [0.0, 1.5, 2.0, 4.0];
        let values: Vec<f64> = axis.iter().map(|x: &f64| 5.0 - (x - 1.8).powi(2)).collect();
        let (position, height) = top_between_points(&axis, &values, 2).expect("inside");
        assert!((position - 1.8).abs() < 1e-12 && (height - 5.0).abs() < 1e-12);
        assert_eq!(top_between_points(&axis, &values, 0), Some((0.0, values[0])));
        assert_eq!(top_between_points(&axis, &values, 4), None);
    }

    #[test]
    fn reads_a_gaussian_back_from_its_curvature() {
        // Closed form: A'' = H (u² − 1)/σ² exp(−u²/2), u = (x − x0)/σ; FWHM = 2.3548 σ.
        let axis: Vec<f64> = (0..200).map(f64::from).collect();
        let (height, sigma) = (0.7, 6.0);
        let curve: Vec<f64> = axis
            .iter()
            .map(|x| {
                let u = (x - 100.0) / sigma;
                height * (u * u - 1.0) / (sigma * sigma) * (-u * u / 2.0).exp()
            })
            .collect();
        let found = hidden_bands(&axis, &curve);
        let band = found.iter().find(|band| band.index == 100).expect("found");
        assert!((band.height - height).abs() < 0.01 && (band.width - 2.3548 * sigma).abs() < 0.1);
    }
}
