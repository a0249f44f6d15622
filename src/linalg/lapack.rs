//! The back end on LAPACK, by ndarray-linalg.

use ndarray::Array2;
use ndarray_linalg::{LeastSquaresSvd, QRInto};

/// Returns the thin Q and the triangle R of a finite matrix with at least as many rows as columns.
pub(super) fn qr(matrix: Array2<f64>) -> Option<(Array2<f64>, Array2<f64>)> {
    matrix.qr_into().ok()
}

/// Returns the triangle R alone.
pub(super) fn triangle(matrix: Array2<f64>) -> Option<Array2<f64>> {
    qr(matrix).map(|(_, r)| r)
}

/// Returns the inverse of an upper triangle and its singular values, in any order; the inverse is of no use
/// where one of them is next to zero.
pub(super) fn inverse(triangle: &Array2<f64>) -> Option<(Array2<f64>, Vec<f64>)> {
    let solved = triangle.least_squares(&Array2::<f64>::eye(triangle.ncols())).ok()?;
    Some((solved.solution, solved.singular_values.to_vec()))
}
