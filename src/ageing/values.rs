//! What the ageing stage hands on: markers of one spectrum, and the comparison of two faces.

use serde::{Deserialize, Serialize};

use crate::spectrum::Warning;

/// Id of the warning that the covered face is the more oxidised one.
pub const FACES_EXCHANGED: &str = "faces-exchanged";

/// Id of the warning that bands which ageing leaves alone differ by more than contact.
pub(super) const CONTACT_MISFIT: &str = "contact-misfit";

/// Said where no spot by itself shows a marker, and its change is shown all the same.
pub(super) const CHANGED_BELOW: &str = "each spot by itself stays below a detection limit that holds the spread between makers; faces of one sheet share that spread, so that their difference shows where one reading does not";

/// What can be said of one marker on one spectrum.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum MarkerState {
    /// A value above the detection limit.
    Measured,
    /// Nothing above the detection limit; no number is given.
    BelowDetection,
    /// Not to be read on this spectrum; the reason is given.
    Refused,
}

/// Something in the spectrum that makes a marker doubtful or meaningless.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct FoundConfounder {
    /// Its id in the table.
    pub id: String,
    /// What it does to the marker.
    pub does: String,
    /// Whether the marker is refused because of it.
    pub refuses: bool,
}

/// A content or degree of substitution read off a calibration.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Content {
    /// The predicted content, in the unit of the standards.
    pub value: f64,
    /// Lower end of the 95 % prediction interval.
    pub low: f64,
    /// Upper end of the 95 % prediction interval.
    pub high: f64,
    /// Name and unit of the content, as the standards give it.
    pub quantity: String,
    /// Why it must not be used, where the index lies outside the standards.
    pub doubt: Option<String>,
}

/// One marker of one spectrum.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct MarkerResult {
    /// Stable id in the table.
    pub id: String,
    /// What it shows.
    pub shows: String,
    /// The index; `None` below detection or where refused.
    pub value: Option<f64>,
    /// The index as read, below detection too: for slopes, which a cut at the limit would bias.
    pub as_read: Option<f64>,
    /// Lower end of the 95 % interval from noise alone.
    pub low: Option<f64>,
    /// Upper end of the 95 % interval from noise alone; the detection limit where below it.
    pub high: Option<f64>,
    /// Measured, below detection or refused.
    pub state: MarkerState,
    /// The index below which nothing is reported: blank plus three standard deviations.
    pub detection_limit: Option<f64>,
    /// The index above which the number may be relied on: blank plus ten standard deviations.
    pub quantification_limit: Option<f64>,
    /// Whether the value lies above the quantification limit.
    pub quantifiable: bool,
    /// Why it is refused.
    pub refusal: Option<String>,
    /// What was found that disturbs it, and what that does.
    pub confounders: Vec<FoundConfounder>,
    /// How it is computed: limits, baseline points and reference band in cm⁻¹.
    pub definition: String,
    /// Where the marker comes from.
    pub source: String,
    /// Class of the source.
    pub source_class: String,
    /// Whether the row was read in a published text or recalled from memory.
    pub status: String,
    /// Whether the limits are published or ours.
    pub limits_from: String,
    /// Whether it is one of the markers named beforehand for testing.
    pub primary: bool,
    /// The content it stands for, where a calibration was given.
    pub content: Option<Content>,
}

/// Where the material of an ageing reading is known from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum MaterialFrom {
    /// The identification named it.
    Identified,
    /// The user named it.
    Given,
    /// Nobody named it; no marker is read.
    Unknown,
}

/// The markers of one spectrum.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct AgeingResult {
    /// The file as the user gave it.
    pub file: String,
    /// The spectrum's place in the file, from 1.
    pub block: usize,
    /// Material id whose markers were read.
    pub material: Option<String>,
    /// Where the material is known from.
    pub material_from: MaterialFrom,
    /// Every marker of that material, in table order.
    pub markers: Vec<MarkerResult>,
    /// One standard deviation of the noise in absorbance, where it could be had.
    pub noise: Option<f64>,
    /// Where the noise was read, in words.
    pub noise_from: String,
    /// The result in plain words.
    pub sentence: String,
    /// Doubts that concern the reading as a whole.
    pub warnings: Vec<Warning>,
}

/// Which face, or which examination, a spectrum belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ComparedFace {
    /// The face towards the light.
    Exposed,
    /// The far face of a transparent part: it saw light too, through the sheet.
    Reverse,
    /// Under a bracket, clamp, label or overlap: the only less-aged reference.
    Covered,
    /// An earlier examination of the same spot.
    Earlier,
    /// A later examination of the same spot.
    Later,
}

impl ComparedFace {
    /// Returns the word used in sentences.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Exposed => "exposed",
            Self::Reverse => "reverse",
            Self::Covered => "covered",
            Self::Earlier => "earlier",
            Self::Later => "later",
        }
    }
}

/// How many spectra a face brings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct FaceCount {
    /// The face.
    pub face: ComparedFace,
    /// Number of spots.
    pub n: usize,
}

/// Whether the faces are the same material, so that ageing may be compared at all.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "verdict", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum SameMaterial {
    /// Nothing tells them apart.
    Same,
    /// They differ in composition; ageing is not compared.
    Different {
        /// What differs.
        why: String,
    },
    /// It could not be tested.
    CannotTell {
        /// Why.
        why: String,
    },
}

/// What is said of the change of one marker.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ChangeCall {
    /// A primary marker, different after correction for the number of tests.
    Changed,
    /// A primary marker, tested, no change shown.
    NoChangeShown,
    /// A primary marker, tested, but these spots could not have shown a change that matters: neither
    /// changed nor unchanged.
    TooBlind,
    /// Not named beforehand: figures only, never called changed.
    Exploratory,
    /// Too few spots on a side to test.
    NotTested,
    /// Not to be compared; the reason is given.
    Refused,
}

/// How a change is expressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ChangeScale {
    /// Aged over reference: 1 means no change.
    Ratio,
    /// Aged minus reference, in units of the index: for markers that may be zero when fresh.
    Difference,
}

/// The change of one marker between two faces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct MarkerComparison {
    /// Stable id in the table.
    pub id: String,
    /// What it shows.
    pub shows: String,
    /// The face under question.
    pub face: ComparedFace,
    /// The face it is compared with.
    pub against: ComparedFace,
    /// Whether it is a marker named beforehand.
    pub primary: bool,
    /// Mean index of the face under question (geometric where the scale is a ratio).
    pub face_mean: Option<f64>,
    /// Mean index of the other face.
    pub against_mean: Option<f64>,
    /// The index of each spot of the face under question, as read; `None` where refused.
    pub face_values: Vec<Option<f64>>,
    /// The index of each spot of the other face.
    pub against_values: Vec<Option<f64>>,
    /// Whether the change is a ratio or a difference.
    pub scale: ChangeScale,
    /// The change, corrected for contact where a contact fit was possible.
    pub change: Option<f64>,
    /// Lower end of its 95 % interval.
    pub low: Option<f64>,
    /// Upper end of its 95 % interval.
    pub high: Option<f64>,
    /// Two-sided p value of Welch's test.
    pub p: Option<f64>,
    /// The p value corrected among the primary markers (Holm); `None` for exploratory ones.
    pub p_corrected: Option<f64>,
    /// What is said.
    pub call: ChangeCall,
    /// Smallest change these spots could have shown four times in five, on the same scale.
    pub smallest_detectable: Option<f64>,
    /// How many times deeper the deeper of its two bands reaches.
    pub depth_ratio: Option<f64>,
    /// The change that the fitted contact alone makes, on the same scale.
    pub contact_change: Option<f64>,
    /// Whether every spot of both faces reads below the detection limit of fresh references.
    pub below_detection: bool,
    /// What disturbs it on either face.
    pub confounders: Vec<FoundConfounder>,
    /// The reason where refused or not tested.
    pub why: Option<String>,
    /// How it is computed.
    pub definition: String,
    /// Where the marker comes from.
    pub source: String,
    /// Whether the row was read in a published text or recalled from memory.
    pub status: String,
}

#[cfg(test)]
impl MarkerComparison {
    /// For tests: an exposed against a covered face, with nothing measured.
    pub(crate) fn unmeasured(id: &str, call: ChangeCall) -> Self {
        Self {
            id: id.to_owned(),
            shows: String::new(),
            face: ComparedFace::Exposed,
            against: ComparedFace::Covered,
            primary: false,
            face_mean: None,
            against_mean: None,
            face_values: Vec::new(),
            against_values: Vec::new(),
            scale: ChangeScale::Difference,
            change: None,
            low: None,
            high: None,
            p: None,
            p_corrected: None,
            call,
            smallest_detectable: None,
            depth_ratio: None,
            contact_change: None,
            below_detection: false,
            confounders: Vec::new(),
            why: None,
            definition: String::new(),
            source: String::new(),
            status: String::new(),
        }
    }
}

/// Contact of one spot against the mean of the reference face.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ContactFit {
    /// The face.
    pub face: ComparedFace,
    /// The spot, from 1, in the order given.
    pub spot: usize,
    /// The common factor: 1 means as strong as the reference.
    pub scale: f64,
    /// Extra air gap in micrometres; negative where the spot touches better than the reference.
    pub gap_um: f64,
    /// One standard error of the gap in micrometres.
    pub gap_error_um: f64,
    /// The unchanged bands it was fitted on, in cm⁻¹.
    pub bands_cm1: Vec<f64>,
}

/// Mean of one face minus mean of the other, after scale and contact.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct DifferenceSpectrum {
    /// The face under question.
    pub face: ComparedFace,
    /// The face it is compared with.
    pub against: ComparedFace,
    /// Wavenumbers in cm⁻¹, ascending, on the coarser of the measured grids.
    pub wavenumbers_cm1: Vec<f64>,
    /// Difference in absorbance.
    pub differences: Vec<f64>,
    /// One standard error of each difference; empty below two spots a side.
    pub standard_errors: Vec<f64>,
}

/// A route of ageing whose published pattern is met.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct RouteSuggestion {
    /// Stable id in the table.
    pub id: String,
    /// "suggests …", in words.
    pub sentence: String,
    /// The marker states that met the pattern.
    pub pattern: Vec<String>,
    /// The light, heat or moisture under which the source saw it.
    pub conditions: String,
    /// Where the pattern comes from.
    pub source: String,
    /// Whether the row was read in a published text or recalled from memory.
    pub status: String,
}

/// A colour reading that may stand beside the infrared.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct FaceColour {
    /// The face.
    pub face: ComparedFace,
    /// L*, a*, b* where they were read.
    pub lab: Option<[f64; 3]>,
    /// Yellowness index where it was read.
    pub yellowness_index: Option<f64>,
    /// The instrument with its geometry, illuminant and observer.
    pub instrument: String,
    /// What lay behind the part.
    pub backing: String,
}

impl FaceColour {
    /// Creates a reading of a face without figures: the instrument, and what lay behind the part.
    #[must_use]
    pub fn new(
        face: ComparedFace,
        instrument: impl Into<String>,
        backing: impl Into<String>,
    ) -> Self {
        let (instrument, backing) = (instrument.into(), backing.into());
        Self { face, lab: None, yellowness_index: None, instrument, backing }
    }

    /// Sets L*, a* and b*.
    #[must_use]
    pub fn with_lab(self, lab: impl Into<Option<[f64; 3]>>) -> Self {
        Self { lab: lab.into(), ..self }
    }
}

/// The comparison of two or more faces of one part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Comparison {
    /// Material id.
    pub material: Option<String>,
    /// Whether the faces are the same material.
    pub same_material: SameMaterial,
    /// Number of spots a face.
    pub faces: Vec<FaceCount>,
    /// Every marker compared, primary ones first.
    pub markers: Vec<MarkerComparison>,
    /// Contact of each spot.
    pub contact: Vec<ContactFit>,
    /// Difference spectra, one a pair of faces.
    pub differences: Vec<DifferenceSpectrum>,
    /// Routes whose published pattern is met.
    pub routes: Vec<RouteSuggestion>,
    /// What colour readings add, in words.
    pub colour: Option<String>,
    /// The result in plain words.
    pub sentence: String,
    /// Doubts.
    pub warnings: Vec<Warning>,
}
