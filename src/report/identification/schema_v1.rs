//! The serialised form of an identification, version 1: what other programs may rely on.
//!
//! These types are apart from the library's own so that those may change. `schema/v1/identify.json`
//! is made from them; a test keeps it current.

use serde::Serialize;

use crate::report::finding_json::Finding;

/// The value of `schema` in each object.
pub(super) const SCHEMA: &str = "bandlore/identify/v1";

/// One spectrum.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Entry<'a> {
    /// Always `bandlore/identify/v1`.
    pub(super) schema: &'static str,
    /// Name and version of the tool.
    pub(super) tool: &'a str,
    /// The table that judged.
    pub(super) table: Table<'a>,
    /// The path as given.
    pub(super) file: &'a str,
    /// The spectrum's place in the file, from 1.
    pub(super) block: usize,
    /// Its title in the file.
    pub(super) title: Option<&'a str>,
    /// SHA-256 of the file, or null where it could not be read.
    pub(super) sha256: Option<&'a str>,
    /// The kind of answer: `identified`, `narrowed`, `mixed`, `classed`, `not-in-table` or
    /// `not-enough-signal`; null where the file could not be read.
    pub(super) outcome: Option<&'static str>,
    /// The answer in plain words.
    pub(super) sentence: Option<&'a str>,
    /// The material's id where the outcome is `identified`.
    pub(super) material: Option<&'a str>,
    /// Two to four ids where the outcome is `narrowed`.
    pub(super) candidates: &'a [String],
    /// The class where the outcome is `classed`.
    pub(super) class: Option<Class<'a>>,
    /// What the whole curve resembles among the measured shapes of the table.
    pub(super) shape: Option<Shape<'a>>,
    /// What was found, main component first.
    pub(super) components: Vec<Component<'a>>,
    /// The best candidates, best first.
    pub(super) ranking: Vec<Ranked<'a>>,
    /// The chlorine finding; null where the file could not be read.
    pub(super) chlorine: Option<ChlorineFinding<'a>>,
    /// The plasticiser finding, for PVC alone.
    pub(super) plasticiser: Option<PlasticiserFinding<'a>>,
    /// What could not be tested, and what would settle it.
    pub(super) unsettled: Option<Unsettled<'a>>,
    /// The bands behind the answer.
    pub(super) evidence: Vec<Evidence<'a>>,
    /// Strong peaks that nothing accounts for.
    pub(super) unexplained: Vec<Unexplained>,
    /// Each rule asked, with its values.
    pub(super) rules: Vec<Rule<'a>>,
    /// What the file's ordinate was.
    pub(super) ordinate: Option<&'static str>,
    /// How it was measured: `atr`, `transmission` or `reflection`.
    pub(super) mode: Option<&'static str>,
    /// Lowest and highest measured wavenumber in cm⁻¹.
    pub(super) range: Option<[f64; 2]>,
    /// What the checks of the spectrum found.
    pub(super) findings: Vec<Finding<'a>>,
    /// What the user's own references say, beside the band finding; null without `--references`.
    pub(super) second_opinion: Option<SecondOpinion<'a>>,
    /// Every step applied, in order.
    pub(super) steps: Vec<Step<'a>>,
    /// Every doubt met on the way.
    pub(super) warnings: Vec<Warning<'a>>,
    /// Null, or why the file could not be read or judged.
    pub(super) error: Option<&'a str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Table<'a> {
    /// The table's version.
    pub(super) version: &'a str,
    /// SHA-256 of its files.
    pub(super) sha256: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct Class<'a> {
    /// Id of the class in the table.
    pub(crate) id: &'a str,
    /// Its name in words.
    pub(crate) name: &'a str,
    /// Ids of the materials that it may be.
    pub(crate) members: &'a [String],
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Shape<'a> {
    /// The measured shape that the spectrum resembles best.
    pub(super) shape: &'a str,
    /// Ids of the materials that it stands for.
    pub(super) materials: &'a [String],
    /// Correlation of the first derivatives, at most 1; an order of likeness, not a probability.
    pub(super) similarity: f64,
    /// The shapes whose sum accounts for the spectrum, heaviest first; empty where no sum does.
    pub(super) sum: Vec<ShapeShare<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct ShapeShare<'a> {
    /// A shape of the sum.
    pub(super) shape: &'a str,
    /// Ids of the materials that it stands for.
    pub(super) materials: &'a [String],
    /// Its share of the length of the spectrum's first derivative.
    pub(super) weight: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Component<'a> {
    /// Material id.
    pub(super) id: &'a str,
    /// polymer, additive, mineral, residue, …
    pub(super) role: &'a str,
    /// `main`, `blend`, `coating-over`, `deposit-on`, `within` or `not-told-apart`.
    pub(super) relation: &'static str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Ranked<'a> {
    /// Material id.
    pub(super) material: &'a str,
    /// Only its order means anything; it is not a probability.
    pub(super) score: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct ChlorineFinding<'a> {
    /// From C–Cl bands alone: `present`, `not-detected` or `cannot-tell`.
    pub(super) bands: &'static str,
    /// From the materials named: `yes`, `no` or `open`.
    pub(super) by_identity: &'static str,
    /// The reasons.
    pub(super) why: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct PlasticiserFinding<'a> {
    /// `none-seen`, `class`, `unresolved-ester`, `several` or `not-testable`.
    pub(super) finding: &'static str,
    /// Table ids of the classes found.
    pub(super) classes: Vec<&'a str>,
    /// Why it could not be tested.
    pub(super) why: Option<&'a str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Unsettled<'a> {
    /// The feature that could not be tested.
    pub(super) feature: &'a str,
    /// The measurement that would settle it.
    pub(super) settled_by: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Evidence<'a> {
    /// Material id.
    pub(super) material: &'a str,
    /// Its expected bands.
    pub(super) bands: Vec<Band<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Band<'a> {
    /// The band's id in the table.
    pub(super) band: &'a str,
    /// The table's position in cm⁻¹.
    pub(super) expected_cm1: f64,
    /// The vibration it belongs to.
    pub(super) assignment: &'a str,
    /// `met`, `missing` or `untestable`.
    pub(super) state: &'static str,
    /// Where the peak stands in cm⁻¹.
    pub(super) found_cm1: Option<f64>,
    /// Its height as a share of the strongest band.
    pub(super) share: Option<f64>,
    /// Depth of penetration in micrometres, in ATR.
    pub(super) depth_um: Option<f64>,
    /// Why it is untestable or missing.
    pub(super) note: &'a str,
    /// Whether the table's row was read in a published text, or recalled from memory.
    pub(super) status: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Unexplained {
    /// Position in cm⁻¹.
    pub(super) position_cm1: f64,
    /// Height as a share of the strongest band.
    pub(super) share: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Rule<'a> {
    /// The rule's id in the table.
    pub(super) rule: &'a str,
    /// The question in words.
    pub(super) question: &'a str,
    /// `yes`, `no` or `not-testable`.
    pub(super) verdict: &'static str,
    /// Each value read.
    pub(super) values: Vec<Value<'a>>,
    /// Why it could not be tested, or what it means.
    pub(super) note: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Value<'a> {
    /// What was read.
    pub(super) name: &'a str,
    /// The number; null where it is not finite.
    pub(super) value: Option<f64>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Step<'a> {
    /// What was done.
    pub(super) step: &'a str,
    /// With which settings.
    pub(super) settings: Vec<Setting<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Setting<'a> {
    /// The setting.
    pub(super) name: &'a str,
    /// Its value as text.
    pub(super) value: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Warning<'a> {
    /// A stable id.
    pub(super) id: &'a str,
    /// What was met, and what was done about it.
    pub(super) text: &'a str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct SecondOpinion<'a> {
    /// The opinion in words.
    pub(super) words: &'a str,
    /// Materials of the references that resemble the spectrum as well as the best does; empty where
    /// none is close.
    pub(super) materials: &'a [String],
    /// Whether the band finding names one of them; null where that cannot be told.
    pub(super) agrees: Option<bool>,
    /// Scale difference against the best reference in ppm, by cross-correlation.
    pub(super) scale_ppm: Option<f64>,
    /// The references that resemble the spectrum best, best first.
    pub(super) resembling: Vec<Resembling<'a>>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct Resembling<'a> {
    /// The reference's file in its folder.
    pub(super) file: &'a str,
    /// Its material.
    pub(super) material: &'a str,
    /// Who made it; empty where that is not known.
    pub(super) maker: &'a str,
    /// Grade or trade name; empty where that is not known.
    pub(super) grade: &'a str,
    /// Batch or delivery; empty where that is not known.
    pub(super) batch: &'a str,
    /// Who vouches for it; empty where nobody does.
    pub(super) vouched_by: &'a str,
    /// Whether maker, grade and batch are known and somebody vouches for it.
    pub(super) vouched: bool,
    /// Cosine between first derivatives over what both measured: an ordering, not a probability.
    pub(super) similarity: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::schema::assert_committed;

    #[test]
    fn committed_schema_is_current() {
        assert_committed::<Vec<Entry<'static>>>("identify.json", "Identifications, version 1");
    }
}
