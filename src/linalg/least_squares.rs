//! Dense least squares of few unknowns: reduced by QR, their rank told by singular values.

use ndarray::{Array1, Array2, ArrayView1, ArrayView2};

use super::{back_end, one_at_a_time, refined};

/// Rows taken at a time: a fit of any number of points holds no more than these beside its triangle.
const ROWS_AT_A_TIME: usize = 2048;

/// Why a fit has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// Fewer observations than unknowns, or lists of different length.
    #[error("{rows} observations cannot settle {columns} unknowns")]
    TooFew {
        /// Number of observations.
        rows: usize,
        /// Number of unknowns.
        columns: usize,
    },
    /// Two unknowns have the same effect on every observation.
    #[error("only {rank} of {columns} unknowns can be told apart")]
    RankDeficient {
        /// Number of unknowns that can be told apart.
        rank: usize,
        /// Number of unknowns.
        columns: usize,
    },
    /// A value is not finite, or the solver gave up.
    #[error("the fit has no finite answer")]
    NotFinite,
}

/// A linear fit with the spread of its coefficients.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// One coefficient per column of the design.
    pub coefficients: Vec<f64>,
    /// Standard error of each coefficient, from the residuals; infinite without degrees of freedom.
    pub standard_errors: Vec<f64>,
    /// Standard deviation of the residuals with the degrees of freedom as divisor.
    pub residual_sd: f64,
    /// Observations less unknowns.
    pub degrees_of_freedom: usize,
}

/// Returns the Moore–Penrose inverse of a design of full column rank.
///
/// Takes memory and time in proportion to the rows: A⁺ = R⁻¹Qᵀ of the thin QR, or from the triangle alone
/// to the last digit where its columns can be told apart well.
///
/// # Errors
///
/// A design with fewer rows than columns, of lower rank, or with values that are not finite is
/// refused.
pub fn pseudo_inverse(design: ArrayView2<'_, f64>) -> Result<Array2<f64>, Error> {
    let (rows, columns) = design.dim();
    if rows < columns || columns == 0 {
        return Err(Error::TooFew { rows, columns });
    }
    if design.iter().any(|v| !v.is_finite()) {
        return Err(Error::NotFinite);
    }
    let (q, r) = one_at_a_time(|| back_end::qr(design.to_owned())).ok_or(Error::NotFinite)?;
    let inverse = inverse_of_triangle(&r, rows)?;
    let refined = refined::pseudo_inverse(design, &inverse);
    Ok(refined.unwrap_or_else(|| one_at_a_time(|| inverse.dot(&q.t()))))
}

/// Inverts a small triangle, if its singular values say that it can be.
fn inverse_of_triangle(triangle: &Array2<f64>, rows: usize) -> Result<Array2<f64>, Error> {
    let columns = triangle.ncols();
    let (inverse, singular_values) =
        one_at_a_time(|| back_end::inverse(triangle)).ok_or(Error::NotFinite)?;
    // The reduction rounds once a row, so that what is left of a lost rank grows with the rows
    // (the usual limit: epsilon times rows times the largest singular value).
    let largest = singular_values.iter().copied().fold(0.0, f64::max);
    let least = f64::EPSILON * rows.max(columns) as f64 * largest;
    let rank = singular_values.iter().filter(|value| **value > least).count();
    if rank < columns {
        return Err(Error::RankDeficient { rank, columns });
    }
    Ok(inverse)
}

/// Fits `observed` by a linear combination of the columns of `design`.
///
/// # Errors
///
/// As [`pseudo_inverse`]; `observed` must have one finite value per row.
pub fn fit(design: ArrayView2<'_, f64>, observed: ArrayView1<'_, f64>) -> Result<Fit, Error> {
    let (rows, columns) = design.dim();
    if observed.len() != rows {
        return Err(Error::TooFew { rows: observed.len(), columns });
    }
    fit_rows(rows, columns, |row, terms| {
        terms.iter_mut().zip(design.row(row)).for_each(|(term, value)| *term = *value);
        observed[row]
    })
}

/// Fits observations by a linear combination of terms, row by row, in memory that does not grow
/// with the rows.
///
/// `fill` is given a row's number and room for its terms, and returns what was observed there. Each
/// lot of rows is folded into the triangle of those before it by QR, with the observations as last
/// column: the triangle then holds R, Qᵀb and, in its corner, the length of what is left over.
///
/// # Errors
///
/// As [`pseudo_inverse`]; every term and every observation must be finite.
pub fn fit_rows(
    rows: usize,
    columns: usize,
    mut fill: impl FnMut(usize, &mut [f64]) -> f64,
) -> Result<Fit, Error> {
    if rows < columns || columns == 0 {
        return Err(Error::TooFew { rows, columns });
    }
    let wide = columns + 1;
    let mut triangle = Array2::<f64>::zeros((wide, wide));
    let mut row = 0;
    while row < rows {
        let lot = ROWS_AT_A_TIME.min(rows - row);
        let mut stacked = Vec::with_capacity((wide + lot) * wide);
        stacked.extend(triangle.iter());
        for row in row..row + lot {
            let start = stacked.len();
            stacked.resize(start + wide, 0.0);
            let (observed, terms) = stacked[start..].split_last_mut().ok_or(Error::NotFinite)?;
            *observed = fill(row, terms);
        }
        if stacked.iter().any(|v| !v.is_finite()) {
            return Err(Error::NotFinite);
        }
        let stacked =
            Array2::from_shape_vec((wide + lot, wide), stacked).map_err(|_| Error::NotFinite)?;
        triangle = one_at_a_time(|| back_end::triangle(stacked)).ok_or(Error::NotFinite)?;
        row += lot;
    }
    let top = Array2::from_shape_fn((columns, columns), |at| triangle[at]);
    let inverse = inverse_of_triangle(&top, rows)?;
    let along = Array1::from_shape_fn(columns, |row| triangle[(row, columns)]);
    let coefficients = one_at_a_time(|| inverse.dot(&along));
    let degrees_of_freedom = rows - columns;
    let residual_sd = if degrees_of_freedom == 0 {
        f64::INFINITY
    } else {
        triangle[(columns, columns)].abs() / (degrees_of_freedom as f64).sqrt()
    };
    // (AᵀA)⁻¹ = R⁻¹R⁻ᵀ, so each coefficient's variance is the squared length of its row of R⁻¹.
    let standard_errors =
        inverse.rows().into_iter().map(|row| residual_sd * row.dot(&row).sqrt()).collect();
    Ok(Fit {
        coefficients: coefficients.to_vec(),
        standard_errors,
        residual_sd,
        degrees_of_freedom,
    })
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;
    use ndarray::array;

    use super::*;

    #[test]
    fn fits_a_straight_line_with_its_errors() {
        // Hand sum for y = 1.9, 3.1, 3.9, 5.1 over x = 1..4: slope 5.2/5, intercept 3.5 - 1.04·2.5,
        // residual sum of squares 0.032 over two degrees of freedom, slope error sqrt(0.016/5).
        let design = array![[1.0, 1.0], [1.0, 2.0], [1.0, 3.0], [1.0, 4.0]];
        let fit = fit(design.view(), array![1.9, 3.1, 3.9, 5.1].view()).expect("solvable");
        assert_abs_diff_eq!(fit.coefficients[1], 1.04, epsilon = 1e-12);
        assert_abs_diff_eq!(fit.coefficients[0], 0.9, epsilon = 1e-12);
        assert_abs_diff_eq!(fit.residual_sd, 0.016f64.sqrt(), epsilon = 1e-12);
        assert_abs_diff_eq!(fit.standard_errors[1], (0.016f64 / 5.0).sqrt(), epsilon = 1e-12);
        assert_eq!(fit.degrees_of_freedom, 2);
    }

    #[test]
    fn refuses_columns_that_cannot_be_told_apart() {
        let design = array![[1.0, 2.0], [1.0, 2.0], [1.0, 2.0]];
        let found = fit(design.view(), array![1.0, 2.0, 3.0].view());
        assert_eq!(found, Err(Error::RankDeficient { rank: 1, columns: 2 }));
    }

    #[test]
    fn refuses_too_few_observations_and_values_that_are_not_numbers() {
        let design = array![[1.0, 2.0]];
        assert!(matches!(pseudo_inverse(design.view()), Err(Error::TooFew { .. })));
        let design = array![[1.0], [f64::NAN]];
        assert_eq!(pseudo_inverse(design.view()), Err(Error::NotFinite));
    }

    #[test]
    fn many_rows_get_the_answer_of_few_and_no_square_of_them_is_made() {
        // Each row of a hand sum a hundred thousand times over: the same line, the residual sum of
        // squares 0.032 as often. A matrix of rows by rows would take 1.3 TB.
        let (x, y) = ([1.0, 2.0, 3.0, 4.0], [1.9, 3.1, 3.9, 5.1]);
        let rows = 400_000;
        let fit = fit_rows(rows, 2, |row, terms| {
            terms[0] = 1.0;
            terms[1] = x[row % 4];
            y[row % 4]
        })
        .expect("solvable");
        assert_abs_diff_eq!(fit.coefficients[0], 0.9, epsilon = 1e-10);
        assert_abs_diff_eq!(fit.coefficients[1], 1.04, epsilon = 1e-10);
        let degrees_of_freedom = (rows - 2) as f64;
        assert_abs_diff_eq!(fit.residual_sd, (3200.0 / degrees_of_freedom).sqrt(), epsilon = 1e-12);
        // The slope's error: residual over the root of the summed squares about the mean, 1.25 a row.
        let error = (3200.0 / degrees_of_freedom / (1.25 * rows as f64)).sqrt();
        assert_abs_diff_eq!(fit.standard_errors[1], error, epsilon = 1e-14);
        let design = Array2::from_shape_fn((rows, 2), |(row, column)| [1.0, x[row % 4]][column]);
        let inverse = pseudo_inverse(design.view()).expect("full rank");
        assert_eq!(inverse.dim(), (2, rows));
        assert_abs_diff_eq!(inverse.row(1).sum(), 0.0, epsilon = 1e-12);
    }

    #[test]
    fn a_fit_agrees_with_the_slow_pseudo_inverse() {
        let design = Array2::from_shape_fn((5000, 4), |(row, power)| {
            (row as f64 / 2500.0 - 1.0).powi(i32::try_from(power).unwrap_or(0))
        });
        let observed = Array1::from_shape_fn(5000, |row| ((row * 37) as f64 * 0.7).sin());
        let slow = pseudo_inverse(design.view()).expect("full rank").dot(&observed);
        let fit = fit(design.view(), observed.view()).expect("solvable");
        let left = &observed - &design.dot(&slow);
        let sd = (left.dot(&left) / 4996.0).sqrt();
        assert_abs_diff_eq!(fit.residual_sd, sd, epsilon = 1e-12);
        for (fast, slow) in fit.coefficients.iter().zip(&slow) {
            assert_abs_diff_eq!(fast, slow, epsilon = 1e-12);
        }
    }
}
