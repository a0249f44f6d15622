//! A symmetric positive definite matrix with two diagonals on either side, solved in O(n).

/// Solves (W + λ D₂ᵀD₂) z = W y for a diagonal W, keeping its scratch space between calls.
///
/// D₂ takes second differences, so the matrix has five diagonals. It is factorised as L D Lᵀ without
/// pivoting, which is stable because the matrix is positive definite as soon as two weights are
/// above zero.
#[derive(Clone, Debug, Default)]
pub struct Pentadiagonal {
    reciprocal: Vec<f64>,
    first: Vec<f64>,
    second: Vec<f64>,
}

impl Pentadiagonal {
    /// Creates a solver without scratch space; the first call allocates it.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Writes the smooth curve through `values` under `weights` and stiffness `lambda` to `smooth`.
    ///
    /// Below three points there are no second differences, and the values are copied. The three
    /// slices must be equally long; what is past the shortest is left alone.
    pub fn smooth(&mut self, values: &[f64], weights: &[f64], lambda: f64, smooth: &mut [f64]) {
        let n = values.len().min(weights.len()).min(smooth.len());
        if n < 3 {
            smooth[..n].copy_from_slice(&values[..n]);
            return;
        }
        for scratch in [&mut self.reciprocal, &mut self.first, &mut self.second] {
            scratch.resize(n, 0.0);
        }
        let (values, weights, smooth) = (&values[..n], &weights[..n], &mut smooth[..n]);
        let (reciprocal, first, second) =
            (&mut self.reciprocal[..n], &mut self.first[..n], &mut self.second[..n]);
        // L has first[i] below the diagonal and second[i] below that; 1/D is kept, not D.
        let (mut d1, mut d2) = (0.0, 0.0);
        let (mut g1, mut h1, mut h2) = (0.0, 0.0, 0.0);
        let (mut z1, mut z2) = (0.0, 0.0);
        for i in 0..n {
            let (diagonal, beside) = penalty_row(i, n);
            let d = weights[i] + lambda * diagonal - g1 * g1 * d1 - h2 * h2 * d2;
            let r = 1.0 / d;
            let z = weights[i] * values[i] - g1 * z1 - h2 * z2;
            let g = if i + 1 < n { (lambda * beside - h1 * g1 * d1) * r } else { 0.0 };
            let h = if i + 2 < n { lambda * r } else { 0.0 };
            reciprocal[i] = r;
            first[i] = g;
            second[i] = h;
            smooth[i] = z;
            (d2, d1) = (d1, d);
            (h2, h1, g1) = (h1, h, g);
            (z2, z1) = (z1, z);
        }
        let (mut x1, mut x2) = (0.0, 0.0);
        for i in (0..n).rev() {
            let x = smooth[i] * reciprocal[i] - first[i] * x1 - second[i] * x2;
            smooth[i] = x;
            (x2, x1) = (x1, x);
        }
    }
}

/// Returns the diagonal entry of D₂ᵀD₂ in row `i` and the one to its right; the next is always 1.
fn penalty_row(i: usize, n: usize) -> (f64, f64) {
    // Row i takes part in the second differences that start at i-2, i-1 and i, where they exist.
    let last = n - 3;
    let holds = |start: Option<usize>| start.is_some_and(|s| s <= last);
    let starts_here = holds(Some(i));
    let middle = holds(i.checked_sub(1));
    let ends_here = holds(i.checked_sub(2));
    let diagonal = f64::from(u8::from(starts_here))
        + 4.0 * f64::from(u8::from(middle))
        + f64::from(u8::from(ends_here));
    // Neighbours i and i+1 share the differences that start at i (1·-2) and at i-1 (-2·1).
    let beside = -2.0 * f64::from(u8::from(starts_here)) - 2.0 * f64::from(u8::from(middle));
    (diagonal, beside)
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;
    use ndarray::{Array1, Array2};
    use ndarray_linalg::Solve;

    use super::*;

    /// The slow twin: the same system written out and solved dense.
    fn dense(values: &[f64], weights: &[f64], lambda: f64) -> Vec<f64> {
        let n = values.len();
        let mut differences = Array2::<f64>::zeros((n - 2, n));
        for i in 0..n - 2 {
            differences[[i, i]] = 1.0;
            differences[[i, i + 1]] = -2.0;
            differences[[i, i + 2]] = 1.0;
        }
        let mut matrix = differences.t().dot(&differences) * lambda;
        for i in 0..n {
            matrix[[i, i]] += weights[i];
        }
        let right: Array1<f64> = values.iter().zip(weights).map(|(v, w)| v * w).collect();
        matrix.solve(&right).expect("positive definite").to_vec()
    }

    #[test]
    fn agrees_with_the_dense_solve() {
        for n in [3, 4, 5, 6, 17, 80] {
            let values: Vec<f64> =
                (0..n).map(|i| (i as f64 * 0.7).sin() + 0.1 * i as f64).collect();
            let weights: Vec<f64> = (0..n).map(|i| if i % 3 == 0 { 0.01 } else { 1.0 }).collect();
            for lambda in [0.5, 30.0, 1.0e4] {
                let mut found = vec![0.0; n];
                Pentadiagonal::new().smooth(&values, &weights, lambda, &mut found);
                for (a, b) in found.iter().zip(dense(&values, &weights, lambda)) {
                    assert_abs_diff_eq!(*a, b, epsilon = 1e-9);
                }
            }
        }
    }

    #[test]
    fn copies_what_has_no_second_difference() {
        let mut found = [0.0; 2];
        Pentadiagonal::new().smooth(&[1.0, 5.0], &[1.0, 1.0], 100.0, &mut found);
        assert_eq!(found, [1.0, 5.0]);
    }
}
