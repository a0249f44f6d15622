//! Two faces of one sheet, or two sheets, compared marker by marker.
//!
//! **In:** the spots of two faces ([`CompareInput`]), each with what was found in it; replicates make a test possible.
//!
//! **Out:** a [`Comparison`]: for each marker the change with its interval, and a [`ChangeCall`] that says whether one is shown.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::ageing::comparison::{ChangeCall, ComparedFace};
//! use bandlore::{Examiner, Tables};
//!
//! let examiner = Examiner::new(Tables::built_in());
//! let one = examiner.examine(spectrum)?;
//! // One spot a face tells nothing of the spread between spots, so that no change is ever shown by it.
//! let spots = [(ComparedFace::Exposed, &one), (ComparedFace::Covered, &one)];
//! let comparison = examiner.compare(&spots, None, &[], None);
//! assert!(comparison.markers.iter().all(|marker| marker.call != ChangeCall::Changed));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub use super::colour::read_colours;
pub use super::compare::{COPIED_SPOTS, CompareInput, compare};
pub use super::composition::Composition;
pub use super::resolution::RESOLUTION_DIFFERS;
pub use super::session::Session;
pub use super::spot::Spot;
pub use super::values::{
    ChangeCall, ChangeScale, ComparedFace, Comparison, ContactFit, DifferenceSpectrum,
    FACES_EXCHANGED, FaceColour, FaceCount, MarkerComparison, RouteSuggestion, SameMaterial,
};
