//! What has changed, by which route, and how sure one may be.

mod calibration;
mod change;
mod colour;
mod compare;
pub mod comparison;
mod contact;
pub mod content;
mod copies;
mod difference;
mod disturbance;
pub mod doses;
mod integrate;
mod make_up;
mod markers;
mod noise;
mod pair_contact;
mod reading;
mod regression;
mod route;
mod sentence;
mod series;
mod session;
mod sheets;
mod standards;
pub mod statistics;
mod substitution;
mod values;
mod water;

pub(crate) use calibration::Calibration;
pub(crate) use change::power_in_words;
pub(crate) use compare::{CompareInput, Spot, compare};
pub(crate) use disturbance::ON_ONE_FACE;
pub(crate) use make_up::MakeUp;
pub use markers::measure_ageing;
pub use reading::{Specimen, read_measure};
pub(crate) use series::DoseSlope;
pub(crate) use session::Session;
pub use sheets::SheetError;
pub use values::FoundConfounder;
pub use values::{AgeingResult, MarkerResult, MarkerState, MaterialFrom};
pub(crate) use values::{
    ChangeCall, ChangeScale, ComparedFace, Comparison, Content, FaceColour, MarkerComparison,
    SameMaterial,
};
// Drawn, and nowhere else asked for.
#[cfg(feature = "plot")]
pub(crate) use values::DifferenceSpectrum;
