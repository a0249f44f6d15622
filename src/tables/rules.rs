//! The closed set of questions that a rule may ask of a spectrum.

use std::fmt;

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

    /// Returns whether a wavenumber lies outside; not so where it or the window could not be read (`NaN`).
    pub(super) fn is_beside(&self, wavenumber_cm1: f64) -> bool {
        wavenumber_cm1 < self.low_cm1 || self.high_cm1 < wavenumber_cm1
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

impl fmt::Display for Window {
    /// Writes both ends: "603–620 cm⁻¹".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}\u{2013}{} cm\u{207b}\u{b9}", self.low_cm1, self.high_cm1)
    }
}

impl fmt::Display for Reading {
    /// Writes the window with its baseline.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} over a baseline {}", self.window, self.baseline)
    }
}

impl fmt::Display for Predicate {
    /// Writes the question as a statement that is either met or not.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Present { band, least_share } if *least_share > 0.0 => {
                write!(
                    f,
                    "a peak in {band}, at least {} of the strongest band",
                    share(*least_share)
                )
            }
            Self::Present { band, .. } => write!(f, "a peak in {band}, above the noise"),
            Self::Absent { band, most_share } if *most_share > 0.0 => {
                write!(f, "no peak in {band} above {} of the strongest band", share(*most_share))
            }
            Self::Absent { band, .. } => write!(f, "no peak in {band} above the noise"),
            Self::Ratio { numerator, denominator, least, most } => {
                write!(f, "height in {numerator}, divided by height in {denominator}, ")?;
                limits(f, *least, *most, "")
            }
            Self::Width { band, least_cm1, most_cm1 } => {
                write!(f, "full width at half height of the peak in {band} ")?;
                limits(f, *least_cm1, *most_cm1, " cm\u{207b}\u{b9}")
            }
            Self::Order { stronger, weaker } => write!(f, "{stronger} is higher than {weaker}"),
            Self::Measured { window } => write!(f, "{window} was measured"),
        }
    }
}

/// Writes a share of the strongest band in percent, without the noise of binary fractions.
fn share(share: f64) -> String {
    format!("{} %", (share * 1e4).round() / 1e2)
}

fn limits(
    f: &mut fmt::Formatter<'_>,
    least: Option<f64>,
    most: Option<f64>,
    unit: &str,
) -> fmt::Result {
    match (least, most) {
        (Some(least), Some(most)) => write!(f, "from {least} to {most}{unit}"),
        (Some(least), None) => write!(f, "at least {least}{unit}"),
        (None, Some(most)) => write!(f, "at most {most}{unit}"),
        (None, None) => f.write_str("of any size"),
    }
}
