//! Two faces of one sheet, or two sheets, compared marker by marker.

pub use super::colour::read_colours;
pub use super::compare::{COPIED_SPOTS, CompareInput, Spot, compare};
pub use super::make_up::MakeUp;
pub use super::session::Session;
pub use super::values::{
    ChangeCall, ChangeScale, ComparedFace, Comparison, ContactFit, DifferenceSpectrum, FaceColour,
    FaceCount, MarkerComparison, RouteSuggestion, SameMaterial,
};
