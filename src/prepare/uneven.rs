//! Local polynomials on an axis whose spacing changes from point to point.

use super::Error;
use super::savgol::check;

/// Smooths or differentiates values by a least-squares polynomial through each window of points.
///
/// On an even axis this is the Savitzky–Golay filter with its ends fitted; here each window uses
/// the wavenumbers as measured. Polynomials orthogonal on the window are built by Forsythe's
/// three-term recurrence (Forsythe 1957, J. SIAM 5, 74), which needs no matrix.
pub(super) fn filter(
    wavenumbers_cm1: &[f64],
    values: &[f64],
    (window, order, derivative): (usize, usize, usize),
    filtered: &mut [f64],
) -> Result<(), Error> {
    check(window, order)?;
    let n = values.len();
    if n < window || wavenumbers_cm1.len() != n || filtered.len() != n {
        return Err(Error::TooShort { points: n, needed: window });
    }
    let half = window / 2;
    let mut scratch = Scratch::new(window, derivative);
    for (i, target) in filtered.iter_mut().enumerate() {
        let start = i.saturating_sub(half).min(n - window);
        let range = start..start + window;
        *target = scratch.read(&wavenumbers_cm1[range.clone()], &values[range], i - start, order);
    }
    Ok(())
}

/// Two polynomials of the recurrence on the window's points, and their derivatives at one point.
struct Scratch {
    derivative: usize,
    positions: Vec<f64>,
    before: Vec<f64>,
    now: Vec<f64>,
    before_at: Vec<f64>,
    now_at: Vec<f64>,
}

impl Scratch {
    fn new(window: usize, derivative: usize) -> Self {
        Self {
            derivative,
            positions: vec![0.0; window],
            before: vec![0.0; window],
            now: vec![0.0; window],
            before_at: vec![0.0; derivative + 1],
            now_at: vec![0.0; derivative + 1],
        }
    }

    /// Returns the derivative, at point `at` of the window, of the polynomial fitted to it.
    fn read(&mut self, axis: &[f64], values: &[f64], at: usize, order: usize) -> f64 {
        let (first, last) = (axis[0], axis[axis.len() - 1]);
        let (middle, scale) = ((first + last) / 2.0, (last - first) / 2.0);
        for (position, wavenumber) in self.positions.iter_mut().zip(axis) {
            *position = (wavenumber - middle) / scale;
        }
        let point = self.positions[at];
        self.before.fill(0.0);
        self.now.fill(1.0);
        self.before_at.fill(0.0);
        self.now_at.fill(0.0);
        self.now_at[0] = 1.0;
        let mut norm_before = 1.0;
        let mut sum = 0.0;
        for step in 0..=order {
            let (mut norm, mut along, mut moment) = (0.0, 0.0, 0.0);
            for ((p, x), value) in self.now.iter().zip(&self.positions).zip(values) {
                norm += p * p;
                along += p * value;
                moment += x * p * p;
            }
            sum += along / norm * self.now_at[self.derivative];
            if step == order {
                break;
            }
            let shift = moment / norm;
            let back = if step == 0 { 0.0 } else { norm / norm_before };
            for ((p, q), x) in self.now.iter_mut().zip(&mut self.before).zip(&self.positions) {
                let next = (x - shift) * *p - back * *q;
                (*q, *p) = (*p, next);
            }
            // The same recurrence differentiated: each derivative also takes the one below it.
            for d in (0..=self.derivative).rev() {
                let below = if d == 0 { 0.0 } else { d as f64 * self.now_at[d - 1] };
                let next = (point - shift) * self.now_at[d] + below - back * self.before_at[d];
                self.before_at[d] = std::mem::replace(&mut self.now_at[d], next);
            }
            norm_before = norm;
        }
        sum / scale.powi(self.derivative as i32)
    }
}

#[cfg(test)]
mod tests {
    use ndarray::{Array1, Array2};

    use super::*;
    use crate::linalg;

    /// The reference implementation: a dense fit of powers to each window.
    fn by_powers(axis: &[f64], values: &[f64], settings: (usize, usize, usize)) -> Vec<f64> {
        let (window, order, derivative) = settings;
        let n = axis.len();
        (0..n)
            .map(|i| {
                let start = i.saturating_sub(window / 2).min(n - window);
                let design = Array2::from_shape_fn((window, order + 1), |(j, power)| {
                    (axis[start + j] - axis[i]).powi(power as i32)
                });
                let observed = Array1::from(values[start..start + window].to_vec());
                let fit = linalg::fit(design.view(), observed.view()).expect("full rank");
                let factorial: f64 = (1..=derivative).map(|f| f as f64).product();
                factorial * fit.coefficients[derivative]
            })
            .collect()
    }

    #[test]
    fn agrees_with_a_dense_fit_per_window() {
        let axis: Vec<f64> = (0..60).rev().map(|i| 1.0e4 / (2.5 + 0.02 * f64::from(i))).collect();
        let values: Vec<f64> = axis.iter().map(|x| (x / 40.0).sin() + x / 900.0).collect();
        for settings in [(7, 2, 0), (9, 3, 0), (9, 3, 1), (11, 4, 2)] {
            let mut found = vec![0.0; 60];
            filter(&axis, &values, settings, &mut found).expect("long enough");
            for (a, b) in found.iter().zip(by_powers(&axis, &values, settings)) {
                assert!((a - b).abs() < 1e-9, "{a} {b} with {settings:?}");
            }
        }
    }

    #[test]
    fn refuses_fewer_points_than_a_window() {
        let mut filtered = [0.0; 4];
        let found = filter(&[1.0, 2.0, 3.0, 4.0], &[0.0; 4], (5, 2, 0), &mut filtered);
        assert_eq!(found, Err(Error::TooShort { points: 4, needed: 5 }));
    }
}
