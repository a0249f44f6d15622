//! Least squares and banded solving: the only home of ndarray-linalg and of nalgebra.

#[cfg(not(any(
    feature = "pure-rust",
    feature = "openblas-system",
    feature = "openblas-static",
    feature = "intel-mkl-static",
    feature = "netlib-static"
)))]
compile_error!(
    "bandlore needs one back end for its least squares, and none was asked for: add \
     `--features pure-rust`, which needs nothing else, or one of openblas-system, openblas-static, \
     intel-mkl-static and netlib-static (README.md, \"Other systems\")"
);

// What solves least squares. Each back end has the same three functions.
#[cfg(all(feature = "ndarray-linalg", not(feature = "pure-rust")))]
#[path = "lapack.rs"]
mod back_end;
#[cfg(feature = "pure-rust")]
#[path = "pure_rust.rs"]
mod back_end;
#[cfg(all(test, feature = "ndarray-linalg", not(feature = "pure-rust")))]
mod back_ends_agree;
mod banded;
mod least_squares;
mod one_at_a_time;
mod refined;
mod settled;

pub use banded::Pentadiagonal;
pub use least_squares::{Error, Fit, fit, fit_rows, pseudo_inverse};
pub use one_at_a_time::one_at_a_time;
pub use settled::settled;

/// How many back ends were asked for.
const BACK_ENDS: u8 = cfg!(feature = "pure-rust") as u8
    + cfg!(feature = "openblas-system") as u8
    + cfg!(feature = "openblas-static") as u8
    + cfg!(feature = "intel-mkl-static") as u8
    + cfg!(feature = "netlib-static") as u8;

const _: () = assert!(
    BACK_ENDS <= 1,
    "bandlore takes one back end for its least squares, and several were asked for: give \
     `--no-default-features --features cli,plot,docx,xlsx,pure-rust`, or one of openblas-system, \
     openblas-static, intel-mkl-static and netlib-static in place of pure-rust"
);
