//! The closed set of questions that a rule may ask of a spectrum.

use serde::{Deserialize, Serialize};

/// A range of wavenumbers, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Window {
    /// Lower end in cm⁻¹.
    pub low_cm1: f64,
    /// Upper end in cm⁻¹.
    pub high_cm1: f64,
}

impl Window {
    /// Creates a window. The loader refuses one whose ends are reversed.
    #[must_use]
    pub const fn new(low_cm1: f64, high_cm1: f64) -> Self {
        Self { low_cm1, high_cm1 }
    }

    /// Returns whether a wavenumber lies inside.
    #[must_use]
    pub fn contains(&self, wavenumber_cm1: f64) -> bool {
        (self.low_cm1..=self.high_cm1).contains(&wavenumber_cm1)
    }
}

/// How a band is read: the highest point of a window above a straight line between two anchors.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Where the maximum is looked for.
    pub window: Window,
    /// Where the straight baseline stands on the spectrum.
    pub baseline: Window,
}

/// One question with a yes, a no, or "not testable on this spectrum".
///
/// There are no free-text expressions: a rule is a list of these, all of which must be answered yes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "test", rename_all = "kebab-case")]
pub enum Predicate {
    /// A maximum stands in the window, above noise and above a share of the strongest band.
    Present {
        /// The band.
        band: Reading,
        /// Least height as a share of the strongest band of the spectrum (0 for noise alone).
        least_share: f64,
    },
    /// No maximum stands in the window above noise and a share of the strongest band.
    Absent {
        /// The band.
        band: Reading,
        /// Height, as a share of the strongest band, up to which it still counts as absent.
        most_share: f64,
    },
    /// The ratio of two heights lies between the limits.
    Ratio {
        /// The band above the line.
        numerator: Reading,
        /// The band below the line.
        denominator: Reading,
        /// Lower limit, if any.
        least: Option<f64>,
        /// Upper limit, if any.
        most: Option<f64>,
    },
    /// The full width at half height lies between the limits.
    Width {
        /// The band.
        band: Reading,
        /// Lower limit in cm⁻¹, if any.
        least_cm1: Option<f64>,
        /// Upper limit in cm⁻¹, if any.
        most_cm1: Option<f64>,
    },
    /// The first band is higher than the second.
    Order {
        /// The band that must be higher.
        stronger: Reading,
        /// The band that must be lower.
        weaker: Reading,
    },
    /// The window was measured without gap, padding, mask or saturation.
    Measured {
        /// The window.
        window: Window,
    },
}

/// The answer to a [`Predicate`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The spectrum says yes.
    Yes,
    /// The spectrum says no.
    No,
    /// The spectrum cannot say: range, mask, noise, saturation or resolution.
    NotTestable,
}
