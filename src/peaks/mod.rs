//! Peaks picked from a prepared spectrum.

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
