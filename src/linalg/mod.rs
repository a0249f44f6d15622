//! Least squares and banded solving: the only home of ndarray-linalg.

mod banded;
mod least_squares;
mod one_at_a_time;
mod settled;

pub use banded::Pentadiagonal;
pub use least_squares::{Error, Fit, fit, fit_rows, pseudo_inverse};
pub use one_at_a_time::one_at_a_time;
pub use settled::settled;
