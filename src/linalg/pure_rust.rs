//! The back end without any library of the system, by nalgebra.

use nalgebra::{DMatrix, SVD};
use ndarray::Array2;

/// Sweeps after which singular values are given up; a handful settle a dozen columns.
const MOST_SWEEPS: usize = 10_000;

/// Returns the thin Q and the triangle R of a finite matrix with at least as many rows as columns.
pub(super) fn qr(matrix: Array2<f64>) -> Option<(Array2<f64>, Array2<f64>)> {
    let found = taken(&matrix).qr();
    Some((given(&found.q()), given(&found.r())))
}

/// Returns the triangle R alone, without the work and the memory of a Q.
pub(super) fn triangle(matrix: Array2<f64>) -> Option<Array2<f64>> {
    Some(given(&taken(&matrix).qr().unpack_r()))
}

/// Returns the inverse of an upper triangle and its singular values, in any order; the inverse is of no use
/// where one of them is next to zero.
pub(super) fn inverse(triangle: &Array2<f64>) -> Option<(Array2<f64>, Vec<f64>)> {
    let triangle = taken(triangle);
    let columns = triangle.ncols();
    let singular = SVD::try_new(triangle.clone(), false, false, f64::EPSILON, MOST_SWEEPS)?;
    // A zero on the diagonal has no inverse, and leaves a singular value of zero.
    let inverse = triangle
        .solve_upper_triangular(&DMatrix::identity(columns, columns))
        .unwrap_or_else(|| DMatrix::zeros(columns, columns));
    Some((given(&inverse), singular.singular_values.iter().copied().collect()))
}

fn taken(matrix: &Array2<f64>) -> DMatrix<f64> {
    DMatrix::from_fn(matrix.nrows(), matrix.ncols(), |row, column| matrix[(row, column)])
}

fn given(matrix: &DMatrix<f64>) -> Array2<f64> {
    Array2::from_shape_fn(matrix.shape(), |(row, column)| matrix[(row, column)])
}
