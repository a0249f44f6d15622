//! Peaks picked from a prepared spectrum.
//!
//! **In:** a prepared spectrum with its second derivative and noise, and [`PickSettings`].
//!
//! **Out:** every [`Peak`], ascending in cm⁻¹, with height, prominence, width and signal to noise.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::peaks::{PickSettings, pick};
//! use bandlore::prepare::Recipe;
//!
//! let prepared = Recipe::default().apply(&spectrum)?;
//! let settings = PickSettings::default();
//! let peaks =
//!     pick(prepared.spectrum(), prepared.second_derivative(), prepared.noise_sd(), &settings);
//! assert!(peaks.windows(2).all(|pair| pair[0].position_cm1 < pair[1].position_cm1));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod find;
mod peak;
mod pick;
mod prominence;
mod shape;
mod width;

pub use find::{keep_distant, local_maxima};
pub use peak::{Peak, PeakKind};
pub use pick::{PickSettings, pick};
pub use prominence::Prominence;
pub use prominence::prominences;
pub(crate) use shape::{hidden_bands, top_between_points};
pub use width::Width;
pub use width::widths;

/// Why peaks could not be measured.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// An index lies past the values.
    #[error("index {index} is past the {length} values")]
    Index {
        /// The index.
        index: usize,
        /// Number of values.
        length: usize,
    },
    /// A reach of fewer than two points has no ground in it.
    #[error("a reach of {0} points is below 2")]
    Reach(usize),
}
