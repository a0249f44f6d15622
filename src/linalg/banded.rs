//! A symmetric positive definite matrix with two diagonals on either side, solved in O(n).

/// Solves (W + λ D₂ᵀD₂) z = W y for a diagonal W, keeping its scratch space between calls.
///
/// D₂ takes second differences, so the matrix has five diagonals. Rows are eliminated from both ends
/// without pivoting, which is stable because the matrix is positive definite as soon as two weights are
/// above zero; the two rows left in the middle are solved together. It is least exact where all weight
/// stands at one end, and needs lambda and values whose squares a double holds.
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
        let row = |i: usize, (diagonal, beside): (f64, f64)| Row {
            diagonal: weights[i] + lambda * diagonal,
            beside: lambda * beside,
            value: weights[i] * values[i],
        };
        let mut keep = |i: usize, row: Eliminated| {
            (reciprocal[i], first[i], second[i], smooth[i]) =
                (row.reciprocal, row.first, row.second, row.value);
        };
        // Seen from the end, the matrix is built as it is from the start. Two rows stay in the middle.
        let (above, below) = ((n - 2) / 2, n - 2 - (n - 2) / 2);
        let (mut down, mut up) = (Elimination::new(lambda), Elimination::new(lambda));
        for i in 0..above {
            keep(i, down.step(row(i, penalty_row(i, n))));
            keep(n - 1 - i, up.step(row(n - 1 - i, penalty_row(i, n))));
        }
        if below > above {
            keep(n - 1 - above, up.step(row(n - 1 - above, penalty_row(above, n))));
        }
        let (upper, lower) = (above, above + 1);
        let mut top = row(upper, penalty_row(upper, n));
        let mut bottom = row(lower, penalty_row(below, n));
        down.take_from(&mut top, &mut bottom);
        up.take_from(&mut bottom, &mut top);
        // Both rows hold the entry between the two, less what one of the sides takes from it.
        let between = top.beside + bottom.beside - lambda * penalty_row(upper, n).1;
        let determinant = top.diagonal * bottom.diagonal - between * between;
        smooth[upper] = (top.value * bottom.diagonal - between * bottom.value) / determinant;
        smooth[lower] = (bottom.value * top.diagonal - between * top.value) / determinant;
        let (mut x1, mut x2) = (smooth[upper], smooth[lower]);
        let (mut y1, mut y2) = (smooth[lower], smooth[upper]);
        for k in 0..below {
            if let Some(i) = upper.checked_sub(k + 1) {
                let x = (smooth[i] * reciprocal[i] - second[i] * x2) - first[i] * x1;
                smooth[i] = x;
                (x2, x1) = (x1, x);
            }
            let i = lower + 1 + k;
            let y = (smooth[i] * reciprocal[i] - second[i] * y2) - first[i] * y1;
            smooth[i] = y;
            (y2, y1) = (y1, y);
        }
    }
}

/// A row of the matrix: its diagonal entry, the one beside it, and the right-hand side.
#[derive(Clone, Copy, Debug)]
struct Row {
    diagonal: f64,
    beside: f64,
    value: f64,
}

/// A row once all before it are eliminated: 1/D, its two entries of L, and the right-hand side.
#[derive(Clone, Copy, Debug, Default)]
struct Eliminated {
    reciprocal: f64,
    first: f64,
    second: f64,
    value: f64,
}

/// Gaussian elimination from one end, with what the next two rows need of those before.
#[derive(Clone, Copy, Debug)]
struct Elimination {
    lambda: f64,
    /// The row before: `across` is its first entry of L times D.
    last: Eliminated,
    across: f64,
    /// Second entry of L, and right-hand side, of the row before that one.
    second: f64,
    value: f64,
}

impl Elimination {
    fn new(lambda: f64) -> Self {
        let last = Eliminated::default();
        Self { lambda, last, across: 0.0, second: 0.0, value: 0.0 }
    }

    /// Takes from a row, and from the one behind it, what the rows before take from them.
    fn take_from(&self, here: &mut Row, behind: &mut Row) {
        here.diagonal -=
            self.lambda * self.second + self.across * self.across * self.last.reciprocal;
        here.beside -= self.last.second * self.across;
        here.value -= self.second * self.value + self.last.first * self.last.value;
        behind.diagonal -= self.lambda * self.last.second;
        behind.value -= self.last.second * self.last.value;
    }

    /// Eliminates the next row. It waits for the division of the one before, so that nothing but a product
    /// and a difference stands between the two.
    fn step(&mut self, row: Row) -> Eliminated {
        let Eliminated { reciprocal, first, second, value } = self.last;
        let diagonal =
            (row.diagonal - self.lambda * self.second) - self.across * self.across * reciprocal;
        let one_over = 1.0 / diagonal;
        let across = row.beside - second * self.across;
        let next = Eliminated {
            reciprocal: one_over,
            first: across * one_over,
            second: self.lambda * one_over,
            value: (row.value - self.second * self.value) - first * value,
        };
        (self.second, self.value) = (second, value);
        (self.across, self.last) = (across, next);
        next
    }
}

/// Returns the diagonal entry of D₂ᵀD₂ in row `i` and the one to its right; the next is always 1.
fn penalty_row(i: usize, n: usize) -> (f64, f64) {
    if i >= 2 && i + 2 < n {
        return (6.0, -4.0);
    }
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
    use nalgebra::{DMatrix, DVector};

    use super::*;

    /// The reference implementation: the same system written out and solved dense.
    fn dense(values: &[f64], weights: &[f64], lambda: f64) -> Vec<f64> {
        let n = values.len();
        let differences =
            DMatrix::from_fn(n - 2, n, |row, column| match column.wrapping_sub(row) {
                0 | 2 => 1.0,
                1 => -2.0,
                _ => 0.0,
            });
        let weight = DMatrix::from_diagonal(&DVector::from_column_slice(weights));
        let matrix = differences.transpose() * &differences * lambda + &weight;
        let right = weight * DVector::from_column_slice(values);
        matrix.lu().solve(&right).expect("positive definite").iter().copied().collect()
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
    fn bears_weights_of_nought_wherever_they_stand() {
        for n in [6, 9, 24] {
            let values: Vec<f64> = (0..n).map(|i| (i as f64 * 0.7).sin()).collect();
            for weighted in [0..3, n / 2 - 1..n / 2 + 2, n - 3..n] {
                let weights: Vec<f64> =
                    (0..n).map(|i| if weighted.contains(&i) { 1.0 } else { 0.0 }).collect();
                let mut found = vec![0.0; n];
                Pentadiagonal::new().smooth(&values, &weights, 1.0e3, &mut found);
                for (a, b) in found.iter().zip(dense(&values, &weights, 1.0e3)) {
                    assert_abs_diff_eq!(*a, b, epsilon = 1e-6);
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
