//! What has changed, by which route, and how sure one may be.

mod values;

pub use values::{
    AgeingResult, ChangeCall, ChangeScale, ComparedFace, Comparison, ContactFit, Content,
    DifferenceSpectrum, FaceColour, FaceCount, FoundConfounder, MarkerComparison, MarkerResult,
    MarkerState, MaterialFrom, RouteSuggestion, SameMaterial,
};
