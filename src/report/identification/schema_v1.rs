//! The serialised form of an identification, version 1: what other programs may rely on.
//!
//! These types are apart from the library's own so that those may change. `schema/v1/identify.json`
//! is made from them; a test keeps it current.

use super::{IdentificationEntry, Stamp};
use crate::judge::{self, BandEvidence, Plasticiser};
use crate::matching::{NamedResemblance, ReferenceOpinion};
use crate::report::codes;
use crate::report::forms::forms;
use crate::report::rounding::{finite, rounded};
use crate::report::shared_forms::{Finding, Table, Warning};
use crate::spectrum;

/// The value of `schema` in each object.
const SCHEMA: &str = "bandlore/identify/v1";

forms! {
    /// One spectrum.
    pub(super) struct Entry<'a>(stamp: &'a Stamp, entry: &'a IdentificationEntry, top: usize) {
        /// Always `bandlore/identify/v1`.
        schema: &'static str = SCHEMA,
        /// Name and version of the tool.
        tool: &'a str = &stamp.tool,
        /// The table that judged.
        table: Table<'a> = Table::new(stamp),
        /// The path as given.
        file: &'a str = &entry.file,
        /// The spectrum's place in the file, from 1.
        block: usize = entry.block,
        /// Its title in the file.
        title: Option<&'a str> = entry.title.as_deref(),
        /// SHA-256 of the file, or null where it could not be read.
        sha256: Option<&'a str> = (!entry.sha256.is_empty()).then_some(entry.sha256.as_str()),
        /// The kind of answer: `identified`, `narrowed`, `mixed`, `classed`, `not-in-table` or
        /// `not-enough-signal`; null where the file could not be read.
        outcome: Option<&'static str> = entry.identification.as_ref().map(|f| codes::outcome(f.outcome)),
        /// The answer in plain words.
        sentence: Option<&'a str> = entry.identification.as_ref().map(|f| f.sentence.as_str()),
        /// The material's id where the outcome is `identified`.
        material: Option<&'a str> = entry.identification.as_ref().and_then(|f| f.material.as_deref()),
        /// Two to four ids where the outcome is `narrowed`.
        candidates: &'a [String] = entry.identification.as_ref().map_or(&[], |f| f.candidates.as_slice()),
        /// The class where the outcome is `classed`.
        class: Option<Class<'a>> =
            entry.identification.as_ref().and_then(|f| f.class.as_ref()).map(Class::new),
        /// What the whole curve resembles among the measured shapes of the table.
        shape: Option<Shape<'a>> =
            entry.identification.as_ref().and_then(|f| f.shape.as_ref()).map(Shape::new),
        /// What was found, main component first.
        components: Vec<Component<'a>> =
            entry.identification.iter().flat_map(|f| &f.components).map(Component::new).collect(),
        /// The best candidates, best first.
        ranking: Vec<Ranked<'a>> =
            entry.identification.iter().flat_map(|f| &f.ranking).take(top).map(Ranked::new).collect(),
        /// The chlorine finding; null where the file could not be read.
        chlorine: Option<ChlorineFinding<'a>> =
            entry.identification.as_ref().map(|f| ChlorineFinding::new(&f.chlorine)),
        /// The plasticiser finding, for PVC alone.
        plasticiser: Option<PlasticiserFinding<'a>> =
            entry.identification.as_ref().and_then(|f| f.plasticiser.as_ref()).map(PlasticiserFinding::new),
        /// What could not be tested, and what would settle it.
        unsettled: Option<Unsettled<'a>> =
            entry.identification.as_ref().and_then(|f| f.unsettled.as_ref()).map(Unsettled::new),
        /// The bands behind the answer.
        evidence: Vec<Evidence<'a>> =
            entry.evidence(0).into_iter().map(|(id, bands)| Evidence::new(id, bands)).collect(),
        /// Strong peaks that nothing accounts for.
        unexplained: Vec<Unexplained> =
            entry.identification.iter().flat_map(|f| &f.unexplained).map(Unexplained::new).collect(),
        /// Each rule asked, with its values.
        rules: Vec<Rule<'a>> = entry.identification.iter().flat_map(|f| &f.rules).map(Rule::new).collect(),
        /// What the file's ordinate was.
        ordinate: Option<&'static str> = entry.ordinate.map(|(o, _)| codes::ordinate(o)),
        /// How it was measured: `atr`, `transmission` or `reflection`.
        mode: Option<&'static str> = entry.mode.map(|(m, _)| codes::mode(m)),
        /// Lowest and highest measured wavenumber in cm⁻¹.
        range: Option<[f64; 2]> = entry.range_cm1.map(|(low, high)| [rounded(low, 2), rounded(high, 2)]),
        /// What the checks of the spectrum found.
        findings: Vec<Finding<'a>> = entry.findings.iter().map(|f| Finding::new(f, 4)).collect(),
        /// What the user's own references say, beside the band finding; null without `--references`.
        second_opinion: Option<SecondOpinion<'a>> = entry.second_opinion.as_ref().map(SecondOpinion::new),
        /// Every step applied, in order.
        steps: Vec<Step<'a>> = entry.steps.iter().map(Step::new).collect(),
        /// Every doubt met on the way.
        warnings: Vec<Warning<'a>> = entry.warnings.iter().map(Warning::new).collect(),
        /// Null, or why the file could not be read or judged.
        error: Option<&'a str> = entry.error.as_deref(),
    }

    pub(crate) struct Class<'a>(found: &'a judge::ClassAnswer) {
        /// Id of the class in the table.
        id: &'a str = &found.id,
        /// Its name in words.
        name: &'a str = &found.name,
        /// Ids of the materials that it may be.
        members: &'a [String] = &found.members,
    }

    struct Shape<'a>(found: &'a judge::ShapeEvidence) {
        /// The measured shape that the spectrum resembles best.
        shape: &'a str = &found.shape,
        /// Ids of the materials that it stands for.
        materials: &'a [String] = &found.materials,
        /// Correlation of the first derivatives, at most 1; an order of likeness, not a probability.
        similarity: f64 = rounded(found.similarity, 4),
        /// The shapes whose sum accounts for the spectrum, heaviest first; empty where no sum does.
        sum: Vec<ShapeShare<'a>> = found.sum.iter().map(ShapeShare::new).collect(),
    }

    struct ShapeShare<'a>(found: &'a judge::ShapeShare) {
        /// A shape of the sum.
        shape: &'a str = &found.shape,
        /// Ids of the materials that it stands for.
        materials: &'a [String] = &found.materials,
        /// Its share of the length of the spectrum's first derivative.
        weight: f64 = rounded(found.weight, 4),
    }

    struct Component<'a>(found: &'a judge::Component) {
        /// Material id.
        id: &'a str = &found.id,
        /// polymer, additive, mineral, residue, …
        role: &'a str = &found.role,
        /// `main`, `blend`, `coating-over`, `deposit-on`, `within` or `not-told-apart`.
        relation: &'static str = codes::relation(found.relation),
    }

    struct Ranked<'a>(found: &'a judge::Ranked) {
        /// Material id.
        material: &'a str = &found.material,
        /// Only its order means anything; it is not a probability.
        score: f64 = rounded(found.score, 4),
    }

    struct ChlorineFinding<'a>(found: &'a judge::Chlorine) {
        /// From C–Cl bands alone: `present`, `not-detected` or `cannot-tell`.
        bands: &'static str = codes::chlorine_bands(found.bands),
        /// From the materials named: `yes`, `no` or `open`.
        by_identity: &'static str = codes::chlorine_by_identity(found.by_identity),
        /// The reasons.
        why: &'a str = &found.why,
    }

    struct PlasticiserFinding<'a>(found: &'a Plasticiser) {
        /// `none-seen`, `class`, `unresolved-ester`, `unresolved-carbonyl`, `several` or `not-testable`.
        finding: &'static str =
            match found {
            Plasticiser::NoneSeen => "none-seen",
            Plasticiser::Class { .. } => "class",
            Plasticiser::UnresolvedEster => "unresolved-ester",
            Plasticiser::UnresolvedCarbonyl => "unresolved-carbonyl",
            Plasticiser::Several { .. } => "several",
            Plasticiser::NotTestable { .. } => "not-testable",
        },
        /// Table ids of the classes found.
        classes: Vec<&'a str> =
            found.classes().collect(),
        /// Why it could not be tested.
        why: Option<&'a str> =
            match found {
            Plasticiser::NotTestable { why } => Some(why),
            _ => None,
        },
    }

    struct Unsettled<'a>(found: &'a judge::Unsettled) {
        /// The feature that could not be tested.
        feature: &'a str = &found.feature,
        /// The measurement that would settle it.
        settled_by: &'a str = &found.settled_by,
    }

    struct Evidence<'a>(material: &'a str, bands: &'a [BandEvidence]) {
        /// Material id.
        material: &'a str = material,
        /// Its expected bands.
        bands: Vec<Band<'a>> = bands.iter().map(Band::new).collect(),
    }

    struct Band<'a>(found: &'a BandEvidence) {
        /// The band's id in the table.
        band: &'a str = &found.band,
        /// The table's position in cm⁻¹.
        expected_cm1: f64 = rounded(found.expected_cm1, 2),
        /// The vibration it belongs to.
        assignment: &'a str = &found.assignment,
        /// Whether the material is not named where this band was measured and is not there.
        required: bool = found.required,
        /// `met`, `missing` or `untestable`.
        state: &'static str = codes::band_state(found.state),
        /// Where the peak stands in cm⁻¹.
        found_cm1: Option<f64> = found.found_cm1.and_then(|v| finite(v, 2)),
        /// Its height as a share of the strongest band.
        share: Option<f64> = found.share.and_then(|v| finite(v, 4)),
        /// Depth of penetration in micrometres, in ATR.
        depth_um: Option<f64> = found.depth_um.and_then(|v| finite(v, 2)),
        /// Why it is not testable or missing.
        note: &'a str = &found.note,
        /// Whether the table's row was read in a published text, or recalled from memory.
        status: &'a str = &found.status,
    }

    struct Unexplained(found: &(f64, f64)) {
        /// Position in cm⁻¹.
        position_cm1: f64 = rounded(found.0, 2),
        /// Height as a share of the strongest band.
        share: f64 = rounded(found.1, 4),
    }

    struct Rule<'a>(found: &'a judge::RuleAnswer) {
        /// The rule's id in the table.
        rule: &'a str = &found.rule,
        /// The question in words.
        question: &'a str = &found.question,
        /// `yes`, `no` or `not-testable`.
        verdict: &'static str = codes::verdict(found.verdict),
        /// Each value read.
        values: Vec<Value<'a>> = found.values.iter().map(Value::new).collect(),
        /// Why it could not be tested, or what it means.
        note: &'a str = &found.note,
    }

    struct Value<'a>(found: &'a (String, f64)) {
        /// What was read.
        name: &'a str = &found.0,
        /// The number; null where it is not finite.
        value: Option<f64> = finite(found.1, 4),
    }

    struct Step<'a>(found: &'a spectrum::Step) {
        /// What was done.
        step: &'a str = &found.name,
        /// With which settings.
        settings: Vec<Setting<'a>> = found.settings.iter().map(Setting::new).collect(),
    }

    struct Setting<'a>(found: &'a (String, String)) {
        /// The setting.
        name: &'a str = &found.0,
        /// Its value as text.
        value: &'a str = &found.1,
    }

    struct SecondOpinion<'a>(found: &'a ReferenceOpinion) {
        /// The opinion in words.
        words: &'a str = &found.words,
        /// Materials of the references that resemble the spectrum as well as the best does; empty where
        /// none is close.
        materials: &'a [String] = &found.materials,
        /// Whether the band finding names one of them; null where that cannot be told.
        agrees: Option<bool> = found.agrees,
        /// Scale difference against the best reference in ppm, by cross-correlation.
        scale_ppm: Option<f64> = found.scale_ppm.and_then(|ppm| finite(ppm, 1)),
        /// The references that resemble the spectrum best, best first.
        resembling: Vec<Resembling<'a>> = found.resembling.iter().map(Resembling::new).collect(),
    }

    struct Resembling<'a>(found: &'a NamedResemblance) {
        /// The reference's file in its folder.
        file: &'a str = &found.file,
        /// Its material.
        material: &'a str = &found.material,
        /// Who made it; empty where that is not known.
        maker: &'a str = &found.maker,
        /// Grade or trade name; empty where that is not known.
        grade: &'a str = &found.grade,
        /// Batch or delivery; empty where that is not known.
        batch: &'a str = &found.batch,
        /// Who vouches for it; empty where nobody does.
        vouched_by: &'a str = &found.vouched_by,
        /// Whether maker, grade and batch are known and somebody vouches for it.
        vouched: bool = found.vouched,
        /// Cosine between first derivatives over what both measured: an ordering, not a probability.
        similarity: f64 = rounded(found.similarity, 4),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::schema::assert_committed;

    #[test]
    fn committed_schema_is_current() {
        assert_committed::<Vec<Entry<'static>>>("identify.json", "Identifications, version 1");
    }

    #[test]
    fn numbers_that_json_cannot_hold_are_left_out() {
        assert_eq!(finite(f64::NAN, 2), None);
        assert_eq!(rounded(-0.001, 2).to_bits(), 0.0f64.to_bits());
    }
}
