//! What has changed, by which route, and how sure one may be.

mod calibration;
mod change;
mod colour;
mod compare;
mod contact;
mod copies;
mod difference;
mod disturbance;
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
mod statistics;
mod substitution;
mod values;
mod water;

pub use calibration::{Calibration, CalibrationError, LEAST_STANDARDS, Standard};
pub(crate) use change::power_in_words;
pub use colour::read_colours;
pub use compare::{COPIED_SPOTS, CompareInput, Spot, compare};
pub use contact::{Contact, fit_contact};
pub(crate) use disturbance::ON_ONE_FACE;
pub use make_up::MakeUp;
pub use markers::measure_ageing;
pub use noise::Noise;
pub use reading::{Specimen, read_measure};
pub use regression::Curve;
pub use series::{Dose, DoseSlope, DoseUnit, dose_slopes, read_doses};
pub use session::{Session, sessions_agree};
pub use sheets::SheetError;
pub use standards::{StandardRow, StandardsSheet, read_standards};
pub use statistics::{
    CONFIDENCE, POWER, Welch, holm, mean_and_variance, outlier, t_quantile, welch,
};
pub use substitution::{
    degree_of_substitution_from_acetic_acid, degree_of_substitution_from_acetyl,
    degree_of_substitution_from_nitrogen,
};
pub use values::{
    AgeingResult, ChangeCall, ChangeScale, ComparedFace, Comparison, ContactFit, Content,
    DifferenceSpectrum, FaceColour, FaceCount, FoundConfounder, MarkerComparison, MarkerResult,
    MarkerState, MaterialFrom, RouteSuggestion, SameMaterial,
};
