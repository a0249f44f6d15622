//! The internal reflection element, and why it gives no answer.

use serde::{Deserialize, Serialize};

/// Why no reflectance or depth can be given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// There is no total reflection: light enters the sample.
    #[error(
        "no total reflection: at {angle_deg}° a crystal of index {crystal_index} reflects totally \
         only below a sample index of {critical_index:.4}, and the sample has {sample_index}; use \
         a crystal of higher index or a flatter angle"
    )]
    PastCritical {
        /// Refractive index of the crystal.
        crystal_index: f64,
        /// Angle of incidence from the normal, in degrees.
        angle_deg: f64,
        /// Refractive index of the sample.
        sample_index: f64,
        /// The sample index at which total reflection ends.
        critical_index: f64,
    },
    /// An index, an angle, a wavenumber or a gap that nothing can have.
    #[error("{name} is {found}; {expected}")]
    Setting {
        /// The setting's name.
        name: &'static str,
        /// Its value.
        found: f64,
        /// What it must be.
        expected: &'static str,
    },
}

/// An internal reflection element used with one bounce.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Element {
    /// Refractive index of the crystal.
    pub crystal_index: f64,
    /// Angle of incidence from the normal, in degrees.
    pub angle_deg: f64,
}

impl Element {
    /// Diamond (index 2.4) at 45°, the usual single-bounce element (common practice, no source).
    pub const DIAMOND_45: Self = Self { crystal_index: 2.4, angle_deg: 45.0 };

    pub(super) fn check(self) -> Result<Self, Error> {
        at_least_one("crystal_index", self.crystal_index)?;
        if !(self.angle_deg > 0.0 && self.angle_deg < 90.0) {
            return Err(Error::Setting {
                name: "angle_deg",
                found: self.angle_deg,
                expected: "it must lie between 0° (along the normal) and 90° (along the face)",
            });
        }
        Ok(self)
    }
}

/// Refuses a refractive index below that of vacuum, and what is no number.
pub(super) fn at_least_one(name: &'static str, index: f64) -> Result<(), Error> {
    if index >= 1.0 && index.is_finite() {
        return Ok(());
    }
    Err(Error::Setting { name, found: index, expected: "a refractive index is at least 1" })
}
