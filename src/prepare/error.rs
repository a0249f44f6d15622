//! Why a spectrum could not be prepared.

use crate::linalg;
use crate::spectrum;

/// Why a spectrum could not be prepared.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A smoothing window must be odd, hold more points than the order, and stay below the limit.
    #[error(
        "a smoothing window of {window} points cannot carry order {order}; it must be odd, above the order and at most {most}"
    )]
    Window {
        /// The window asked for, in points.
        window: usize,
        /// The order asked for.
        order: usize,
        /// The largest window allowed.
        most: usize,
    },
    /// The order is past what a window of doubles can carry.
    #[error("polynomial order {order} is above {most}")]
    Order {
        /// The order asked for.
        order: usize,
        /// The largest order allowed.
        most: usize,
    },
    /// Fewer points than the window needs.
    #[error("{points} points in a row are fewer than the {needed} that this step needs")]
    TooShort {
        /// Points found.
        points: usize,
        /// Points needed.
        needed: usize,
    },
    /// A setting is out of its range.
    #[error("{setting} is {found}; {expected}")]
    Setting {
        /// The setting's name.
        setting: &'static str,
        /// Its value.
        found: f64,
        /// What it must be.
        expected: &'static str,
    },
    /// A new grid would be finer than the measured one.
    #[error("a spacing of {asked} cm⁻¹ is finer than the measured {measured} cm⁻¹")]
    Finer {
        /// The spacing asked for, in cm⁻¹.
        asked: f64,
        /// The measured spacing in cm⁻¹.
        measured: f64,
    },
    /// There is nothing to scale by.
    #[error("the spectrum has no positive absorbance in {low}–{high} cm⁻¹ to scale by")]
    NothingToScaleBy {
        /// Lower end of the window in cm⁻¹.
        low: f64,
        /// Upper end of the window in cm⁻¹.
        high: f64,
    },
    /// The filter coefficients could not be computed.
    #[error("the filter coefficients could not be computed")]
    Coefficients(#[from] linalg::Error),
    /// A step produced values that are no spectrum.
    #[error("the prepared values are not a spectrum")]
    Spectrum(#[from] spectrum::Error),
}
