//! From a marker to a content: a calibration on standards of one's own, and what it may say.

pub use super::calibration::{Calibration, CalibrationError, Standard};
pub use super::regression::Curve;
pub use super::standards::{StandardRow, StandardsSheet, read_standards};
pub use super::substitution::{
    degree_of_substitution_from_acetic_acid, degree_of_substitution_from_acetyl,
    degree_of_substitution_from_nitrogen,
};
pub use super::values::Content;
