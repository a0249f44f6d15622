//! Small dense least squares, solved by singular values on ndarray-linalg.

use ndarray::{Array1, Array2, ArrayView1, ArrayView2};
use ndarray_linalg::LeastSquaresSvd;

use super::one_at_a_time;

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
    /// Standard error of each coefficient, from the residuals; infinite without spare observations.
    pub standard_errors: Vec<f64>,
    /// Standard deviation of the residuals with the spare observations as divisor.
    pub residual_sd: f64,
    /// Observations less unknowns.
    pub degrees_of_freedom: usize,
}

/// Returns the Moore–Penrose inverse of a design of full column rank.
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
    let solution = one_at_a_time(|| design.to_owned().least_squares(&Array2::<f64>::eye(rows)))
        .map_err(|_| Error::NotFinite)?;
    let rank = usize::try_from(solution.rank).unwrap_or(0);
    if rank < columns {
        return Err(Error::RankDeficient { rank, columns });
    }
    Ok(solution.solution)
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
    if observed.iter().any(|v| !v.is_finite()) {
        return Err(Error::NotFinite);
    }
    let inverse = pseudo_inverse(design)?;
    let (coefficients, residuals): (Array1<f64>, Array1<f64>) = one_at_a_time(|| {
        let coefficients = inverse.dot(&observed);
        let residuals = &observed - &design.dot(&coefficients);
        (coefficients, residuals)
    });
    let degrees_of_freedom = rows - columns;
    let residual_sd = if degrees_of_freedom == 0 {
        f64::INFINITY
    } else {
        (residuals.dot(&residuals) / degrees_of_freedom as f64).sqrt()
    };
    // (AᵀA)⁻¹ = A⁺ A⁺ᵀ, so each coefficient's variance is the squared length of its row of A⁺.
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
        // residual sum of squares 0.032 over two spare observations, slope error sqrt(0.016/5).
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
}
