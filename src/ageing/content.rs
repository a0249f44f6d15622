//! From a marker to a content: a calibration on standards of one's own, and what it may say.
//!
//! **In:** standards of known content with the marker's value in each ([`Standard`]), or a sheet of them ([`read_standards`]).
//!
//! **Out:** a [`Calibration`], which turns a value into a [`Content`] with its interval, or says why it is no calibration.
//!
//! ```
//! use bandlore::ageing::content::{Calibration, CalibrationError, degree_of_substitution_from_acetic_acid};
//!
//! assert_eq!(Calibration::fit("DOP, % by mass", &[]), Err(CalibrationError::TooFew { found: 0 }));
//! let degree = degree_of_substitution_from_acetic_acid(55.0).ok_or("no such cellulose acetate")?;
//! assert!(2.0 < degree && degree < 3.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub use super::calibration::{Calibration, CalibrationError, Standard};
pub use super::regression::Curve;
pub use super::standards::{StandardRow, StandardsSheet, read_standards};
pub use super::substitution::{
    degree_of_substitution_from_acetic_acid, degree_of_substitution_from_acetyl,
    degree_of_substitution_from_nitrogen,
};
pub use super::values::Content;
