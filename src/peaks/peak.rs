//! The value of a picked peak.

use serde::{Deserialize, Serialize};

/// Whether a peak is a maximum of its own or a shoulder on another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum PeakKind {
    /// A local maximum of the absorbance.
    Maximum,
    /// A minimum of the second derivative without a maximum of its own.
    Shoulder,
}

/// One picked peak.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Peak {
    /// Position of the maximum, between points, in cm⁻¹.
    pub position_cm1: f64,
    /// Absorbance above the subtracted baseline.
    pub height: f64,
    /// Absorbance above the higher of the two saddles that part it from higher ground.
    pub prominence: f64,
    /// Full width at half prominence in cm⁻¹.
    pub fwhm_cm1: f64,
    /// Prominence over the local noise (one standard deviation).
    pub signal_to_noise: f64,
    /// Maximum or shoulder.
    pub kind: PeakKind,
}
