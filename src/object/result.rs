//! What is said of the whole object: the values that every report is written from.

use serde::{Deserialize, Serialize};

use super::record::{CandidateRecord, ColourReading, Face, Manifest, PartRecord, SpectrumRecord};
use crate::ageing::{ChangeScale, Comparison, ON_ONE_FACE};
use crate::fitness::Finding;
use crate::judge::{
    Chlorine, ChlorineBands, ChlorineByIdentity, ClassAnswer, Component, Identification, Outcome,
    Plasticiser,
};
use crate::spectrum::{Spectrum, Warning};
use crate::tables::NeighbourRelation;

/// One spectrum as the earlier stages left it; the object stage combines these.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct SpectrumResult {
    /// Index into [`Manifest::spectra`].
    pub record: usize,
    /// SHA-256 of the file, as hexadecimal digits.
    pub sha256: String,
    /// What was measured.
    pub spectrum: Spectrum,
    /// Whether it is fit to be judged.
    pub fitness: Vec<Finding>,
    /// What it is.
    pub identification: Identification,
}

impl SpectrumResult {
    /// Creates the result of a spectrum of the manifest, by the index of its row; the SHA-256 is the spectrum's.
    #[must_use]
    pub fn new(
        record: usize,
        spectrum: Spectrum,
        fitness: Vec<Finding>,
        identification: Identification,
    ) -> Self {
        let sha256 = spectrum.provenance().sha256.clone();
        Self { record, sha256, spectrum, fitness, identification }
    }
}

/// Everything that is said of one object.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ObjectFindings {
    /// What the conservator wrote, unchanged.
    pub manifest: Manifest,
    /// The answer in plain words, for a reader who is no chemist.
    pub summary: Vec<SummaryLine>,
    /// The parts, then the candidate sheets, in the manifest's order.
    pub parts: Vec<PartFindings>,
    /// The three chlorine lists.
    pub chlorine: ChlorineLists,
    /// Pairs of part and neighbour that a rule speaks of, most urgent first.
    pub neighbours: Vec<NeighbourRisk>,
    /// Neighbours with the parts beside them that no rule speaks of.
    pub recorded_neighbours: Vec<RecordedNeighbour>,
    /// The candidate sheets.
    pub candidates: Vec<CandidateFindings>,
    /// Parts left open, with remedies in the order to try them.
    pub unsettled: Vec<UnsettledPart>,
    /// Care notes for the materials found.
    pub care: Vec<CareAdvice>,
    /// How it was done.
    pub method: Method,
    /// What this method cannot tell.
    pub limits: Vec<String>,
    /// What the statements rest on.
    pub sources: Vec<SourceEntry>,
    /// Doubts met on the way.
    pub warnings: Vec<Warning>,
}

/// One plain sentence under one of the questions that a report answers.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct SummaryLine {
    /// Which question it answers.
    pub topic: Topic,
    /// One or two plain sentences.
    pub text: String,
}

/// The questions that the first page answers, in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Topic {
    /// Which parts carry chlorine, and what stands beside them.
    Chlorine,
    /// Where records, or the sheets offered, and what was found differ, and which records could not be compared.
    Records,
    /// Which parts have aged, on which face, against what.
    Ageing,
    /// Whether a part can be remade in a candidate sheet.
    Replacement,
    /// What must be kept apart, watched or tested first.
    Action,
    /// What this method cannot tell.
    Limits,
}

impl Topic {
    /// Returns the heading that the report prints.
    #[must_use]
    pub fn heading(&self) -> &'static str {
        match self {
            Self::Chlorine => "Which parts contain chlorine, and what stands beside them",
            Self::Records => "What records and offers say against what was found",
            Self::Ageing => "Which parts have changed, on which face, against what",
            Self::Replacement => "Whether a part can be remade in a candidate sheet",
            Self::Action => "What to keep apart, to watch, or to test first",
            Self::Limits => "What this method cannot tell",
        }
    }
}

/// The kinds of answer for a part or a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum PartOutcome {
    /// Every spot that could be judged is the same one material.
    Identified,
    /// The spots agree on a set of look-alikes.
    Narrowed,
    /// The spots agree on several components, or one face carries another component.
    Mixed,
    /// The spots agree on a class of materials; which one is open.
    Classed,
    /// The spots agree that no material of the table fits.
    NotInTable,
    /// No spot could be judged, or none of the files could be used.
    NotEnoughSignal,
    /// The spots do not agree: no material is named for the part.
    SpotsDisagree,
    /// No spectrum was taken.
    NotMeasured,
}

impl PartOutcome {
    /// Returns the answer for one spectrum as an answer for a part.
    #[must_use]
    pub fn from_spot(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Identified => Self::Identified,
            Outcome::Narrowed => Self::Narrowed,
            Outcome::Mixed => Self::Mixed,
            Outcome::Classed => Self::Classed,
            Outcome::NotInTable => Self::NotInTable,
            Outcome::NotEnoughSignal => Self::NotEnoughSignal,
        }
    }

    /// Returns the word used in JSON and tables.
    #[must_use]
    pub fn as_str(&self) -> &'static str {
        match self {
            Self::Identified => "identified",
            Self::Narrowed => "narrowed",
            Self::Mixed => "mixed",
            Self::Classed => "classed",
            Self::NotInTable => "not-in-table",
            Self::NotEnoughSignal => "not-enough-signal",
            Self::SpotsDisagree => "spots-disagree",
            Self::NotMeasured => "not-measured",
        }
    }
}

/// How far the replicates of a face or a part agree.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Agreement {
    /// Spots measured.
    pub measured: usize,
    /// Spots that could be judged.
    pub judged: usize,
    /// Spots that say all that the answer given says, or, where it leaves several open, one of them; where spots
    /// contradict each other, those that agree with most.
    pub agreeing: usize,
    /// The spots that say otherwise, each named with what it says.
    pub outliers: Vec<String>,
    /// "3 of 3 spots agree", "PC at 6 of 6 spots; PDMS over it at 3 of 6 (exposed)", "4 of 5 spots say …".
    pub words: String,
}

/// What is said of one spot.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[non_exhaustive]
pub struct SpotFindings {
    /// Where and how it was measured.
    pub record: SpectrumRecord,
    /// SHA-256 of the file.
    pub sha256: String,
    /// Lowest and highest wavenumber measured, in cm⁻¹.
    pub range_cm1: (f64, f64),
    /// Whether the spectrum is fit.
    pub fitness: Vec<Finding>,
    /// What the spectrum is.
    pub identification: Identification,
    /// Index into the input spectra, for figures.
    pub index: usize,
    /// Whether an earlier spot of the part is the same measurement, so that this one confirms nothing.
    pub is_copy: bool,
}

/// What is said of one face.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[non_exhaustive]
pub struct FaceFindings {
    /// Which face.
    pub face: Face,
    /// The word the conservator used, such as "bore".
    pub words: String,
    /// The kind of answer.
    pub outcome: PartOutcome,
    /// One material, where every judged spot agrees on it.
    pub material: Option<String>,
    /// Look-alikes, where narrowed.
    pub candidates: Vec<String>,
    /// The class, where no member of it is named.
    pub class: Option<ClassAnswer>,
    /// Components of the first agreeing spot.
    pub components: Vec<Component>,
    /// Plasticiser, where every judged spot says the same.
    pub plasticiser: Option<Plasticiser>,
    /// How far the spots agree.
    pub agreement: Agreement,
    /// The spots.
    pub spots: Vec<SpotFindings>,
}

/// What is said of one part.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[non_exhaustive]
pub struct PartFindings {
    /// The part's id.
    pub id: String,
    /// What the conservator wrote of it.
    pub record: PartRecord,
    /// The kind of answer.
    pub outcome: PartOutcome,
    /// One material, where every judged spot of every face agrees on it.
    pub material: Option<String>,
    /// Look-alikes, where narrowed.
    pub candidates: Vec<String>,
    /// The class, where no member of it is named.
    pub class: Option<ClassAnswer>,
    /// Components, where mixed; also additives found in an identified material.
    pub components: Vec<Component>,
    /// Plasticiser, for PVC.
    pub plasticiser: Option<Plasticiser>,
    /// The answer in one or two plain sentences.
    pub sentence: String,
    /// How far all spots agree.
    pub agreement: Agreement,
    /// The faces, in the order exposed, reverse, covered, edge, unknown.
    pub faces: Vec<FaceFindings>,
    /// The chlorine finding of the part.
    pub chlorine: PartChlorine,
    /// Whether its faces differ in age.
    pub ageing: PartAgeing,
    /// What else must be said, such as a plasticiser that may have migrated.
    pub notes: Vec<String>,
    /// Colour readings of the part.
    pub colours: Vec<ColourReading>,
    /// For a candidate sheet, the finding against the claim; `None` for a part of the object.
    pub claim: Option<Claim>,
}

impl PartFindings {
    /// Returns the id with the name where one was written: "V01 (vane 1)".
    #[must_use]
    pub fn title(&self) -> String {
        if self.record.name.is_empty() {
            self.id.clone()
        } else {
            format!("{} ({})", self.id, self.record.name)
        }
    }

    /// Returns every material that the part may be or carry: the one named, the look-alikes, or the
    /// components.
    #[must_use]
    pub fn possible_materials(&self) -> Vec<String> {
        let mut ids: Vec<String> = self.material.iter().chain(&self.candidates).cloned().collect();
        ids.extend(self.components.iter().map(|c| c.id.clone()));
        ids.sort();
        ids.dedup();
        ids
    }
}

/// Which of the three lists a part stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ChlorineList {
    /// Shown by C–Cl bands, or by X-ray fluorescence.
    Shown,
    /// Implied by the material, or not excluded: treat as chlorinated until tested.
    ImpliedOrNotExcluded,
    /// Looked for, and none detected at this surface.
    NoneDetected,
}

/// The chlorine finding of a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct PartChlorine {
    /// Which list it stands on.
    pub list: ChlorineList,
    /// The strongest finding of any spot from C–Cl bands alone, and of the materials named.
    pub finding: Chlorine,
    /// How many spots say so.
    pub spots_showing: usize,
    /// How many spots could be judged.
    pub spots_judged: usize,
    /// "contains chlorine: …" in one or two sentences.
    pub words: String,
}

/// How a part stands to chlorine, in the words of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum ChlorineSaid {
    /// Contains it, shown by C–Cl bands.
    ByBands,
    /// Contains it, by the examiner's entry on X-ray fluorescence.
    ByFluorescence,
    /// Contains it, by the name of the material; its own bands could not be tested.
    ByName,
    /// Not excluded: what was measured leaves room for it.
    NotExcluded,
    /// Not implied by the material, but its bands cannot tell.
    NotTested,
    /// Looked for, and none detected at this surface.
    NoneDetected,
}

impl ChlorineSaid {
    /// Returns whether the part is said to contain chlorine.
    #[must_use]
    pub fn contains(self) -> bool {
        matches!(self, Self::ByBands | Self::ByFluorescence | Self::ByName)
    }

    /// Returns two words for a column headed "Chlorine".
    #[must_use]
    pub fn in_short(self) -> &'static str {
        match self {
            Self::ByBands => "by bands",
            Self::ByFluorescence => "by fluorescence",
            Self::ByName => "by name",
            Self::NotExcluded => "not excluded",
            Self::NotTested => "cannot tell",
            Self::NoneDetected => "none found",
        }
    }
}

impl PartChlorine {
    /// Returns how the part stands to chlorine, finer than its list.
    #[must_use]
    pub fn said(&self) -> ChlorineSaid {
        match (self.list, self.finding.bands, self.finding.by_identity) {
            (ChlorineList::Shown, ChlorineBands::Present, _) => ChlorineSaid::ByBands,
            (ChlorineList::Shown, ..) => ChlorineSaid::ByFluorescence,
            (ChlorineList::NoneDetected, ..) => ChlorineSaid::NoneDetected,
            (_, _, ChlorineByIdentity::Yes) => ChlorineSaid::ByName,
            (_, ChlorineBands::CannotTell, ChlorineByIdentity::No) => ChlorineSaid::NotTested,
            (ChlorineList::ImpliedOrNotExcluded, ..) => ChlorineSaid::NotExcluded,
        }
    }
}

/// The three lists, each of part ids with the reason; candidate sheets stand on none of them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ChlorineLists {
    /// Chlorine shown.
    pub shown: Vec<ListedPart>,
    /// Chlorine implied or not excluded.
    pub implied_or_not_excluded: Vec<ListedPart>,
    /// None detected at this surface.
    pub none_detected: Vec<ListedPart>,
}

/// One entry of a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ListedPart {
    /// The part's id.
    pub id: String,
    /// Why it stands there.
    pub why: String,
}

/// What can be said of ageing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum AgeingState {
    /// At least one primary marker differs between the faces beyond their spread.
    Changed,
    /// The faces were compared, and no primary marker differs.
    NoChangeDetected,
    /// The faces were compared, but a change that matters could not have been shown.
    TooBlind,
    /// The faces were compared without a test: too few spots on a side.
    NotTested,
    /// The faces were not compared, with the reason.
    NotCompared,
}

impl AgeingState {
    /// Returns the word used in JSON and tables.
    #[must_use]
    pub fn as_str(&self) -> &'static str {
        match self {
            Self::Changed => "changed",
            Self::NoChangeDetected => "no-change-detected",
            Self::TooBlind => "too-blind",
            Self::NotTested => "not-tested",
            Self::NotCompared => "not-compared",
        }
    }
}

/// One marker on two faces.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct MarkerChange {
    /// Marker id.
    pub marker: String,
    /// What it shows.
    pub shows: String,
    /// Named beforehand, and tested.
    pub primary: bool,
    /// The face judged.
    pub face: Face,
    /// The face it is compared with.
    pub against: Face,
    /// Mean on the face judged, `None` below detection or refused.
    pub value: Option<f64>,
    /// Mean on the other face.
    pub against_value: Option<f64>,
    /// The change with the ends of its 95 % interval, where there is one.
    pub change: Option<(f64, f64, f64)>,
    /// Whether the change is a ratio or a difference.
    pub scale: ChangeScale,
    /// Corrected probability of the test, where there was one.
    pub p_value: Option<f64>,
    /// Whether it is called changed.
    pub changed: bool,
    /// Whether it could not be compared.
    pub refused: bool,
    /// What is called of it, and what disturbs it: "refused: chalk in the window".
    pub remark: String,
    /// Faces, change and remark in words, without ids.
    pub words: String,
}

/// Whether the faces of a part differ in age.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct PartAgeing {
    /// The kind of answer.
    pub state: AgeingState,
    /// What was compared with what: "exposed against covered".
    pub compared: String,
    /// The answer in one or two plain sentences.
    pub sentence: String,
    /// Nothing was compared though two faces were there to compare: they differ, or comparing them failed.
    pub faces_refused: bool,
    /// Each marker on each pair of faces.
    pub markers: Vec<MarkerChange>,
    /// What the reader must know beside it: "both faces saw light".
    pub notes: Vec<String>,
    /// A route that the pattern suggests, if any.
    pub route: Option<String>,
    /// The whole comparison, for figures and the table of markers.
    pub comparison: Option<Comparison>,
}

impl PartAgeing {
    /// Returns the markers named beforehand that both faces show and that could not be compared.
    pub(crate) fn refused(&self) -> impl Iterator<Item = &MarkerChange> {
        let measured = |m: &&MarkerChange| m.value.is_some() && m.against_value.is_some();
        self.markers.iter().filter(|m| m.primary && m.refused).filter(measured)
    }

    /// Returns what one face was found to carry that is no age, one clause each.
    pub(super) fn carried(&self) -> impl Iterator<Item = &str> {
        let warnings = self.comparison.iter().flat_map(|c| &c.warnings);
        warnings
            .filter(|w| w.id.ends_with(ON_ONE_FACE))
            .map(|w| w.text.split_once(": ").map_or(w.text.as_str(), |(what, _)| what))
    }
}

/// A neighbour as it was recorded, with the parts beside it that no rule speaks of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct RecordedNeighbour {
    /// The neighbour's name; of a part its id and name.
    pub neighbour: String,
    /// How near it stands.
    pub nearness: NeighbourRelation,
    /// Ids of the parts beside it.
    pub parts: Vec<String>,
    /// What was seen on it, as written.
    pub seen: String,
}

/// A neighbour that a rule speaks of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct NeighbourRisk {
    /// The part that may do harm.
    pub part: String,
    /// The neighbour's name.
    pub neighbour: String,
    /// What the neighbour is made of.
    pub neighbour_material: String,
    /// How near it stands.
    pub nearness: NeighbourRelation,
    /// Id of the rule in the table.
    pub rule: String,
    /// What the rule says, in plain words.
    pub words: String,
    /// What to do first.
    pub advice: String,
    /// Source of the rule.
    pub source: String,
    /// Whether the source was read, or recalled from memory.
    pub status: String,
}

/// The finding against a claim.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ClaimOutcome {
    /// Both faces and a freshly cut edge are what was claimed.
    AsClaimed,
    /// The faces measured are what was claimed; not every face was measured.
    ThisFaceAgrees,
    /// Consistent with the claim, but look-alikes are not excluded.
    ConsistentNotExcluded,
    /// A different material.
    NotAsClaimed,
    /// Cannot tell.
    CannotTell,
}

impl ClaimOutcome {
    /// Returns the words of the report, without the look-alikes.
    #[must_use]
    pub fn as_str(&self) -> &'static str {
        match self {
            Self::AsClaimed => "as claimed",
            Self::ThisFaceAgrees => "this face agrees",
            Self::ConsistentNotExcluded => "consistent with claim",
            Self::NotAsClaimed => "not as claimed",
            Self::CannotTell => "cannot tell",
        }
    }
}

/// The finding against a claim, with its reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Claim {
    /// Material id claimed, or the seller's words where they are more than a name of the table.
    pub claimed: String,
    /// The kind of answer.
    pub outcome: ClaimOutcome,
    /// Look-alikes that are not excluded.
    pub not_excluded: Vec<String>,
    /// "consistent with claim, PET not excluded".
    pub words: String,
    /// Why.
    pub why: String,
    /// What would settle it, in the order to try.
    pub settled_by: Vec<String>,
}

/// Everything said of a candidate sheet beside its spectra, which stand in
/// [`ObjectFindings::parts`] under the same id.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[non_exhaustive]
pub struct CandidateFindings {
    /// What the conservator wrote.
    pub record: CandidateRecord,
    /// The claim.
    pub claim: Claim,
    /// The UV-visible figures, where a file was given.
    pub uv_visible: Option<UvVisible>,
    /// The strain in the sheet when held on the object's curve.
    pub bending: Bending,
    /// Facts held side by side: heading and text.
    pub side_by_side: Vec<(String, String)>,
    /// What it would replace, where the manifest says so.
    pub original: Option<Original>,
    /// What to test first, per batch.
    pub test_first: Vec<String>,
    /// Forming and segmenting as alternatives.
    pub alternatives: Vec<String>,
}

/// The parts that a candidate sheet would replace, under the headings of the candidate's facts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Original {
    /// Ids of the parts.
    pub parts: Vec<String>,
    /// Facts: heading and text; a heading that only a sheet has is left out.
    pub facts: Vec<(String, String)>,
}

/// Figures of a UV-visible transmittance file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct UvVisible {
    /// The file.
    pub file: String,
    /// Mean transmittance from 315 to 400 nm, between 0 and 1; `None` where not covered.
    pub mean_315_400: Option<f64>,
    /// Mean transmittance from 400 to 780 nm.
    pub mean_400_780: Option<f64>,
    /// Transmittance at 380 nm.
    pub at_380: Option<f64>,
    /// Transmittance at 400 nm.
    pub at_400: Option<f64>,
}

/// What can be said of holding a flat sheet on a curve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "bending", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Bending {
    /// The strain of a single curvature.
    Strain {
        /// Radius in mm to the concave face.
        radius_mm: f64,
        /// Nominal thickness in mm.
        thickness_mm: f64,
        /// Strain of the outer surface, nominal thickness (0.001 is 0.1 %).
        strain: f64,
        /// Strain at the thickest the tolerance allows.
        strain_thickest: f64,
        /// Radius over thickness.
        multiple: f64,
        /// Published minimum-radius multiples: each with its words and source.
        published: Vec<RadiusMultiple>,
        /// What that says in plain words.
        words: String,
    },
    /// Not answered, with the reason.
    Refused {
        /// Why.
        why: String,
    },
}

/// A published minimum radius as a multiple of thickness.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct RadiusMultiple {
    /// Smallest radius over thickness.
    pub multiple: f64,
    /// Which grade, whose figure.
    pub words: String,
    /// Source.
    pub source: String,
    /// Source class or status.
    pub status: String,
}

/// A part left open.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct UnsettledPart {
    /// The part's id.
    pub id: String,
    /// What is open.
    pub open: String,
    /// Remedies in the order to try them.
    pub remedies: Vec<String>,
}

/// One care note.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct CareAdvice {
    /// Material id.
    pub material: String,
    /// Parts it concerns.
    pub parts: Vec<String>,
    /// What it is about: gives off, danger to neighbours, storage, replacement.
    pub topic: String,
    /// The advice.
    pub advice: String,
    /// Other advice that contradicts it, printed beside it.
    pub conflicts_with: Vec<String>,
    /// Source, or "unverified secondary".
    pub source: String,
    /// Whether the source was read, or recalled from memory.
    pub status: String,
}

/// How it was done.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Method {
    /// Settings: heading and text.
    pub settings: Vec<(String, String)>,
    /// Every file read, with its SHA-256.
    pub files: Vec<(String, String)>,
    /// The scale check on the day's polystyrene film, or that there was none.
    pub scale_check: String,
}

/// One source.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct SourceEntry {
    /// What it backs.
    pub backs: String,
    /// The source; "unverified secondary" where its class does not carry a statement.
    pub source: String,
    /// Whether it was read, or recalled from memory.
    pub status: String,
}
