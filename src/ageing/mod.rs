//! What has changed, by which route, and how sure one may be.
//!
//! **In:** a [`Specimen`], which is a spectrum with the element that it was measured on, and the table's markers of its material.
//!
//! **Out:** an [`AgeingResult`]: each marker with its interval and detection limit, or why it was refused. [`Examiner::ageing`](crate::Examiner::ageing)
//! makes the specimen from what was examined.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::{Examiner, Tables};
//!
//! let examiner = Examiner::new(Tables::built_in());
//! let read = examiner.ageing(&examiner.examine(spectrum)?, None, None);
//! for marker in &read.markers {
//!     println!("{} {:?} {:?} to {:?}", marker.id, marker.state, marker.low, marker.high);
//! }
//! assert!(!read.sentence.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod baseline_ends;
mod calibration;
mod change;
mod colour;
mod compare;
pub mod comparison;
mod composition;
mod contact;
pub mod content;
mod copies;
mod difference;
mod disturbance;
pub mod doses;
mod integrate;
mod markers;
mod noise;
mod pair_contact;
mod reading;
mod regression;
mod resolution;
mod route;
mod sentence;
mod series;
mod session;
mod spot;
mod standards;
pub mod statistics;
mod substitution;
mod values;
mod water;

pub(crate) use calibration::Calibration;
pub(crate) use colour::SEEN_COLOUR_DIFFERENCE;
pub(crate) use compare::{CompareInput, compare};
pub(crate) use composition::Composition;
pub(crate) use disturbance::ON_ONE_FACE;
pub use markers::measure_ageing;
pub use reading::{Specimen, read_measure};
pub(crate) use sentence::power_in_words;
pub(crate) use series::{DoseSlope, SLOPE_LIMITS};
pub(crate) use session::Session;
pub(crate) use spot::Spot;
pub(crate) use values::FACES_EXCHANGED;
pub use values::FoundConfounder;
pub use values::{AgeingResult, MarkerResult, MarkerState, MaterialFrom};
pub(crate) use values::{
    ChangeCall, ChangeScale, ComparedFace, Comparison, Content, FaceColour, MarkerComparison,
    SameMaterial,
};
// Drawn, and nowhere else asked for.
#[cfg(feature = "plot")]
pub(crate) use values::DifferenceSpectrum;
