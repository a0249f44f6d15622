//! The pseudo-inverse to the last digit of a double, whoever made the first guess.
//!
//! Two libraries, and one library on two processors, add in different orders and differ in the last digits. A
//! filter's coefficients decide between points of equal height, so that such a digit can move an answer. Worked
//! out in twice the digits and rounded once, they are the same everywhere.

use ndarray::{Array2, ArrayView2};

/// A guess further off than this is not improved: the columns can hardly be told apart.
const WORST_GUESS: f64 = 0.1;

/// Steps of Newton's method, each of which doubles the number of right digits: from a tenth to all 32.
const STEPS: usize = 6;

/// From here one step more is right to all digits that are carried: it squares this, and 10^-34 is below 2^-106.
const NEAR_ENOUGH: f64 = 1.0e-17;

/// Binary digits kept below a row's largest value, of the 106 that are carried.
const DIGITS: i32 = 80;

/// A number as the unevaluated sum of two doubles (Dekker 1971, Numer. Math. 18, 224).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Long {
    high: f64,
    low: f64,
}

impl Long {
    /// The exact sum of two doubles (Knuth, The Art of Computer Programming 2, 4.2.2, theorem B).
    fn sum(a: f64, b: f64) -> Self {
        let high = a + b;
        let of_b = high - a;
        Self { high, low: (a - (high - of_b)) + (b - of_b) }
    }

    /// The exact product of two doubles, each split into halves of 26 digits.
    fn product(a: f64, b: f64) -> Self {
        const SPLIT: f64 = 134_217_729.0;
        let halves = |value: f64| {
            let scaled = SPLIT * value;
            let upper = scaled - (scaled - value);
            (upper, value - upper)
        };
        let high = a * b;
        let ((a1, a2), (b1, b2)) = (halves(a), halves(b));
        Self { high, low: ((a1 * b1 - high) + a1 * b2 + a2 * b1) + a2 * b2 }
    }

    fn plus(self, other: Self) -> Self {
        let sum = Self::sum(self.high, other.high);
        Self::sum(sum.high, sum.low + (self.low + other.low))
    }

    fn times(self, other: Self) -> Self {
        let product = Self::product(self.high, other.high);
        let rest = self.high * other.low + self.low * other.high;
        Self::sum(product.high, product.low + rest)
    }
}

impl From<f64> for Long {
    fn from(high: f64) -> Self {
        Self { high, low: 0.0 }
    }
}

/// Returns A⁺ = (AᵀA)⁻¹Aᵀ, rounded once, from a guess of R⁻¹ of its triangle; `None` where the guess is too
/// far off to be improved.
pub(super) fn pseudo_inverse(
    design: ArrayView2<'_, f64>,
    inverse_of_triangle: &Array2<f64>,
) -> Option<Array2<f64>> {
    let (rows, columns) = design.dim();
    // Row after row in plain lists: the products of small matrices are most of the work of a comparison.
    let by_column: Vec<Vec<f64>> = design.columns().into_iter().map(|c| c.to_vec()).collect();
    let guess: Vec<Vec<f64>> = inverse_of_triangle.rows().into_iter().map(|r| r.to_vec()).collect();
    let of_square = |make: &dyn Fn(usize, usize) -> Long| -> Vec<Long> {
        (0..columns * columns).map(|at| make(at / columns, at % columns)).collect()
    };
    let exact = |left: &[f64], right: &[f64]| {
        left.iter().zip(right).fold(Long::default(), |sum, (a, b)| sum.plus(Long::product(*a, *b)))
    };
    let product = |left: &[Long], right: &[Long]| {
        of_square(&|i, j| {
            let row = left[i * columns..(i + 1) * columns].iter();
            let column = right[j..].iter().step_by(columns);
            row.zip(column).fold(Long::default(), |sum, (a, b)| sum.plus(a.times(*b)))
        })
    };
    let square = of_square(&|i, j| exact(&by_column[i], &by_column[j]));
    let mut inverse = of_square(&|i, j| exact(&guess[i], &guess[j]));
    for step in 0..STEPS {
        let reached = product(&square, &inverse);
        let missing = of_square(&|i, j| {
            let Long { high, low } = reached[i * columns + j];
            Long::from(f64::from(u8::from(i == j))).plus(Long { high: -high, low: -low })
        });
        let furthest = missing.iter().map(|value| value.high.abs()).fold(0.0, f64::max);
        // What is no number is not near either.
        let is_near = |value: &Long| value.high.abs() * columns as f64 <= WORST_GUESS;
        if step == 0 && !missing.iter().all(is_near) {
            return None;
        }
        let change = product(&inverse, &missing);
        for (value, change) in inverse.iter_mut().zip(change) {
            *value = value.plus(change);
        }
        // The step just made has squared it.
        if furthest <= NEAR_ENOUGH {
            break;
        }
    }
    let mut found = Array2::from_shape_fn((columns, rows), |(i, row)| {
        let of_row = inverse[i * columns..(i + 1) * columns].iter().zip(&by_column);
        of_row.fold(Long::default(), |sum, (a, column)| sum.plus(a.times(column[row].into()))).high
    });
    // Small values beside large ones, and what symmetry makes zero, hold the noise beyond all digits.
    for mut row in found.rows_mut() {
        let largest = row.iter().map(|value| value.abs()).fold(0.0, f64::max);
        if largest.is_normal() {
            #[allow(clippy::cast_possible_truncation, reason = "a double's exponent")]
            let unit = 2f64.powi((largest.log2().floor() as i32 - DIGITS).max(-1022));
            row.iter_mut().for_each(|value| *value = (*value / unit).round() * unit + 0.0);
        }
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use nalgebra::DMatrix;

    use super::*;

    /// Powers of places from -1 to 1, as a smoothing filter fits them.
    fn powers(points: usize, order: usize) -> Array2<f64> {
        let half = (points / 2) as f64;
        Array2::from_shape_fn((points, order + 1), |(row, power)| {
            ((row as f64 - half) / half).powi(i32::try_from(power).unwrap_or(0))
        })
    }

    /// The inverse of the triangle by the general library, each value off by up to `relative`.
    fn guess(design: &Array2<f64>, relative: f64) -> Array2<f64> {
        let (rows, columns) = design.dim();
        let matrix = DMatrix::from_fn(rows, columns, |i, j| design[(i, j)]);
        let inverse = matrix.qr().r().try_inverse().expect("full rank");
        Array2::from_shape_fn((columns, columns), |(i, j)| {
            inverse[(i, j)] * (1.0 + relative * ((3 * i + 5 * j) as f64).sin())
        })
    }

    #[test]
    fn every_guess_leads_to_the_same_bits() {
        for (points, order) in [(5, 2), (7, 3), (9, 4), (25, 3), (101, 6), (501, 8)] {
            let design = powers(points, order);
            let of = |relative: f64| {
                pseudo_inverse(design.view(), &guess(&design, relative)).expect("near enough")
            };
            let exact = of(0.0);
            for relative in [1e-15, -3e-12, 1e-9] {
                let found = of(relative);
                let differ = exact.iter().zip(&found).filter(|(a, b)| a.to_bits() != b.to_bits());
                assert_eq!(differ.count(), 0, "{points} points, order {order}, {relative}");
            }
        }
    }

    #[test]
    fn whole_numbers_give_the_nearest_double_of_the_fraction() {
        // Savitzky & Golay 1964, table I as corrected by Steinier et al. 1972: quadratic, 5 and 7 points.
        for (table, norm) in [
            (vec![-3.0, 12.0, 17.0, 12.0, -3.0], 35.0),
            (vec![-2.0, 3.0, 6.0, 7.0, 6.0, 3.0, -2.0], 21.0),
        ] {
            let half = (table.len() / 2) as i32;
            let design = Array2::from_shape_fn((table.len(), 3), |(row, power)| {
                f64::from((row as i32 - half).pow(power as u32))
            });
            let found = pseudo_inverse(design.view(), &guess(&design, 1e-12)).expect("near enough");
            for (coefficient, numerator) in found.row(0).iter().zip(&table) {
                assert_eq!(*coefficient, numerator / norm);
            }
        }
    }

    #[test]
    fn a_guess_that_is_far_off_is_not_taken() {
        let design = powers(7, 2);
        assert_eq!(pseudo_inverse(design.view(), &guess(&design, 0.5)), None);
        assert_eq!(pseudo_inverse(design.view(), &Array2::from_elem((3, 3), f64::NAN)), None);
    }
}
