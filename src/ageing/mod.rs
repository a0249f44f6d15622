//! What has changed, by which route, and how sure one may be.

mod values;

pub use values::{
    AgeingResult, ChangeCall, ChangeScale, ColourReading, Comparison, ContactFit, Content,
    DifferenceSpectrum, Face, FaceCount, FoundConfounder, MarkerChange, MarkerResult, MarkerState,
    MaterialFrom, RouteSuggestion, SameMaterial,
};
