//! Least squares and banded solving: the only home of ndarray-linalg.

mod banded;
mod least_squares;

pub use banded::Pentadiagonal;
pub use least_squares::{Error, fit, pseudo_inverse};
