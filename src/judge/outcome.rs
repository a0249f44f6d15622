//! What can be said of one spectrum, and why.

use serde::{Deserialize, Serialize};

use crate::tables::Verdict;

/// The kinds of answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Outcome {
    /// One material.
    Identified,
    /// Two to four members of one look-alike group.
    Narrowed,
    /// Two or three components, each with its own bands.
    Mixed,
    /// A class of materials; which one, this spectrum or this table cannot tell.
    Classed,
    /// Bands are there, but no material of the table accounts for them.
    NotInTable,
    /// Too little signal, a spectrum unfit to be judged, or one whose bands that would decide are cut off or were not
    /// measured.
    NotEnoughSignal,
}

/// How a component stands to the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Relation {
    /// The base material of what was measured.
    Main,
    /// Mixed with the main component.
    Blend,
    /// A coating over it.
    CoatingOver,
    /// A deposit on it.
    DepositOn,
    /// An additive, filler or plasticiser within it.
    Within,
    /// The spectrum does not tell.
    NotToldApart,
}

/// What happened to one expected band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum BandState {
    /// Found.
    Met,
    /// Measured, and not there.
    Missing,
    /// Not measured, masked, saturated or under the noise.
    Untestable,
}

/// One expected band with what was found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct BandEvidence {
    /// The band's id in the table.
    pub band: String,
    /// The table's position in cm⁻¹.
    pub expected_cm1: f64,
    /// Its assignment.
    pub assignment: String,
    /// Whether the material is not named where this band was measured and is not there.
    #[serde(default)]
    pub required: bool,
    /// Met, missing or not testable.
    pub state: BandState,
    /// Where the peak stands in cm⁻¹, if met.
    pub found_cm1: Option<f64>,
    /// Its height as a share of the strongest band, if met.
    pub share: Option<f64>,
    /// Why it is not testable or missing, or how it fits.
    pub note: String,
    /// Depth in micrometres at which the evanescent wave has fallen to 1/e, in ATR.
    pub depth_um: Option<f64>,
    /// Whether the table's row was read in a published text, or recalled from memory.
    pub status: String,
}

/// One component of what was measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Component {
    /// Material id.
    pub id: String,
    /// polymer, additive, mineral, residue, …
    pub role: String,
    /// How it stands to the main component.
    pub relation: Relation,
    /// The bands it alone accounts for.
    pub evidence: Vec<BandEvidence>,
}

impl Component {
    /// Returns the bands without which it is not named, and which this spectrum cannot show: not measured,
    /// saturated, under the noise or under a band of something else.
    pub fn required_untested(&self) -> impl Iterator<Item = &BandEvidence> {
        let untested = |band: &&BandEvidence| band.required && band.state == BandState::Untestable;
        self.evidence.iter().filter(untested)
    }
}

/// One line of the ranking. The score orders; it is not a probability.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Ranked {
    /// Material id.
    pub material: String,
    /// Between 0 and 1; only its order means anything.
    pub score: f64,
    /// Expected bands and what was found.
    pub evidence: Vec<BandEvidence>,
}

/// One rule's answer with the numbers behind it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct RuleAnswer {
    /// The rule's id in the table.
    pub rule: String,
    /// The question in words.
    pub question: String,
    /// The answer.
    pub verdict: Verdict,
    /// Each value read, with its name.
    pub values: Vec<(String, f64)>,
    /// Why it could not be tested, or what it means.
    pub note: String,
}

/// What the C–Cl bands alone say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ChlorineBands {
    /// Shown by C–Cl bands.
    Present,
    /// Looked for under stated conditions and not found.
    NotDetected,
    /// Not testable on this spectrum.
    CannotTell,
}

/// What the named materials imply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ChlorineByIdentity {
    /// A named material carries chlorine.
    Yes,
    /// No named material carries chlorine.
    No,
    /// The named or narrowed materials leave it open.
    Open,
}

/// A band of this share of the strongest that nothing named accounts for is no trifle.
pub(super) const STRONG: f64 = 0.5;

impl Identification {
    /// Returns where the strongest band stands, in cm⁻¹, that the one material or class named does not account for, where
    /// it has half the height of the strongest of all: something more is there.
    #[must_use]
    pub fn strong_unexplained(&self) -> Option<f64> {
        let strong = self.unexplained.iter().filter(|(_, share)| *share >= STRONG);
        let strongest = strong.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(position, _)| *position);
        strongest.filter(|_| matches!(self.outcome, Outcome::Identified | Outcome::Classed))
    }

    /// Returns whether C–Cl bands are there that none of the materials named has: something is not named.
    #[must_use]
    pub fn has_unnamed_chlorine(&self) -> bool {
        // Of several names left open, one may have them.
        self.outcome == Outcome::Identified
            && self.chlorine.bands == ChlorineBands::Present
            && self.chlorine.by_identity != ChlorineByIdentity::Yes
    }
}

/// The chlorine finding.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Chlorine {
    /// From C–Cl bands alone.
    pub bands: ChlorineBands,
    /// From the materials named.
    pub by_identity: ChlorineByIdentity,
    /// The reasons, in one or two sentences.
    pub why: String,
}

/// A class of materials that the spectrum shows, where it does not show which.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ClassAnswer {
    /// Id of the class in the table.
    pub id: String,
    /// Its name in words, such as "aromatic polyester".
    pub name: String,
    /// Ids of the materials that it may be.
    pub members: Vec<String>,
}

/// What the whole curve says: how it resembles the measured shapes of the table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ShapeEvidence {
    /// Id of the shape that resembles the spectrum best.
    pub shape: String,
    /// Ids of the materials that it stands for.
    pub materials: Vec<String>,
    /// Correlation of the first derivatives, at most 1: an order of likeness, not a probability.
    pub similarity: f64,
    /// The shapes whose sum accounts for the spectrum, heaviest first; empty where no sum does.
    pub sum: Vec<ShapeShare>,
}

/// One shape of a sum.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct ShapeShare {
    /// Id of the shape.
    pub shape: String,
    /// Ids of the materials that it stands for.
    pub materials: Vec<String>,
    /// Its share of the length of the spectrum's derivative.
    pub weight: f64,
}

/// What settles an undecided answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Unsettled {
    /// The feature that could not be tested.
    pub feature: String,
    /// The measurement that would settle it.
    pub settled_by: String,
}

/// The plasticiser finding of a PVC: a second axis beside the material.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "finding", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Plasticiser {
    /// None seen at this surface.
    NoneSeen,
    /// One class, by its table id.
    Class {
        /// Table id of the class.
        id: String,
    },
    /// An ester whose class is not resolved.
    UnresolvedEster,
    /// A carbonyl without the C–O of an ester: an ester's, or that of oxidation.
    UnresolvedCarbonyl,
    /// Several classes.
    Several {
        /// Table ids of the classes.
        ids: Vec<String>,
    },
    /// The spectrum cannot say.
    NotTestable {
        /// Why.
        why: String,
    },
}

impl Plasticiser {
    /// Returns the table ids of the classes found.
    pub(crate) fn classes(&self) -> impl Iterator<Item = &str> {
        let ids = match self {
            Self::Class { id } => std::slice::from_ref(id),
            Self::Several { ids } => ids.as_slice(),
            _ => &[],
        };
        ids.iter().map(String::as_str)
    }
}

/// What is said of one spectrum: of the surface at this spot, not of the part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Identification {
    /// The kind of answer.
    pub outcome: Outcome,
    /// The material's id where the outcome is identified.
    pub material: Option<String>,
    /// Two to four ids where the outcome is narrowed.
    pub candidates: Vec<String>,
    /// The class where the outcome is classed.
    pub class: Option<ClassAnswer>,
    /// What the whole curve resembles; `None` where too little was measured to be compared.
    pub shape: Option<ShapeEvidence>,
    /// What was found, main component first. Also lists additives of an identified material.
    pub components: Vec<Component>,
    /// The best candidates, best first.
    pub ranking: Vec<Ranked>,
    /// The chlorine finding.
    pub chlorine: Chlorine,
    /// The plasticiser finding, for PVC alone.
    pub plasticiser: Option<Plasticiser>,
    /// The answer in one or two plain sentences, in the table of phrases' words.
    pub sentence: String,
    /// What could not be tested and what would settle it.
    pub unsettled: Option<Unsettled>,
    /// Strong peaks that nothing accounts for: position in cm⁻¹ and share of the strongest.
    pub unexplained: Vec<(f64, f64)>,
    /// What rules of the table have said beside the answer; they change nothing in it.
    pub remarks: Vec<String>,
    /// Each rule asked, with its values.
    pub rules: Vec<RuleAnswer>,
}
