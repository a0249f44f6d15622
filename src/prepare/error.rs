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
    /// The filter coefficients could not be computed.
    #[error("the filter coefficients could not be computed")]
    Coefficients(#[from] linalg::Error),
    /// A step produced values that are no spectrum.
    #[error("the prepared values are not a spectrum")]
    Spectrum(#[from] spectrum::Error),
}
