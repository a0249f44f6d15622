//! From the library's own values to the serialised ones.

use super::schema_v1::{
    Band, ChlorineFinding, Class, Component, Entry, Evidence, PlasticiserFinding, Ranked,
    Resembling, Rule, SCHEMA, SecondOpinion, Setting, Shape, ShapeShare, Step, Table, Unexplained,
    Unsettled, Value, Warning,
};
use super::{IdentificationEntry, Stamp};
use crate::judge::{self, BandEvidence, Chlorine, Plasticiser};
use crate::matching::ReferenceOpinion;
use crate::report::codes;
use crate::report::finding_json::Finding;
use crate::report::rounding::{finite, rounded};
use crate::spectrum;

impl<'a> Entry<'a> {
    /// Builds the serialised form; `top` limits the ranking.
    pub(super) fn new(stamp: &'a Stamp, entry: &'a IdentificationEntry, top: usize) -> Self {
        let found = entry.identification.as_ref();
        Self {
            schema: SCHEMA,
            tool: &stamp.tool,
            table: Table { version: &stamp.table_version, sha256: &stamp.table_sha256 },
            file: &entry.file,
            block: entry.block,
            title: entry.title.as_deref(),
            sha256: (!entry.sha256.is_empty()).then_some(entry.sha256.as_str()),
            outcome: found.map(|f| codes::outcome(f.outcome)),
            sentence: found.map(|f| f.sentence.as_str()),
            material: found.and_then(|f| f.material.as_deref()),
            candidates: found.map_or(&[], |f| f.candidates.as_slice()),
            class: found.and_then(|f| f.class.as_ref()).map(|class| Class {
                id: &class.id,
                name: &class.name,
                members: &class.members,
            }),
            shape: found.and_then(|f| f.shape.as_ref()).map(shape),
            components: found
                .map(|f| f.components.iter().map(component).collect())
                .unwrap_or_default(),
            ranking: found
                .map(|f| f.ranking.iter().take(top).map(ranked).collect())
                .unwrap_or_default(),
            chlorine: found.map(|f| chlorine(&f.chlorine)),
            plasticiser: found.and_then(|f| f.plasticiser.as_ref()).map(plasticiser),
            unsettled: found
                .and_then(|f| f.unsettled.as_ref())
                .map(|u| Unsettled { feature: &u.feature, settled_by: &u.settled_by }),
            evidence: entry
                .evidence(0)
                .into_iter()
                .map(|(material, bands)| Evidence {
                    material,
                    bands: bands.iter().map(band).collect(),
                })
                .collect(),
            unexplained: found
                .map(|f| f.unexplained.iter().map(unexplained).collect())
                .unwrap_or_default(),
            rules: found.map(|f| f.rules.iter().map(rule).collect()).unwrap_or_default(),
            ordinate: entry.ordinate.map(|(o, _)| codes::ordinate(o)),
            mode: entry.mode.map(|(m, _)| codes::mode(m)),
            range: entry.range_cm1.map(|(low, high)| [rounded(low, 2), rounded(high, 2)]),
            findings: entry.findings.iter().map(|f| Finding::new(f, 4)).collect(),
            second_opinion: entry.second_opinion.as_ref().map(second_opinion),
            steps: entry.steps.iter().map(step).collect(),
            warnings: entry.warnings.iter().map(|w| Warning { id: &w.id, text: &w.text }).collect(),
            error: entry.error.as_deref(),
        }
    }
}

fn shape(shape: &judge::ShapeEvidence) -> Shape<'_> {
    Shape {
        shape: &shape.shape,
        materials: &shape.materials,
        similarity: rounded(shape.similarity, 4),
        sum: shape
            .sum
            .iter()
            .map(|s| ShapeShare {
                shape: &s.shape,
                materials: &s.materials,
                weight: rounded(s.weight, 4),
            })
            .collect(),
    }
}

fn component(component: &judge::Component) -> Component<'_> {
    Component {
        id: &component.id,
        role: &component.role,
        relation: codes::relation(component.relation),
    }
}

fn ranked(ranked: &judge::Ranked) -> Ranked<'_> {
    Ranked { material: &ranked.material, score: rounded(ranked.score, 4) }
}

fn chlorine(chlorine: &Chlorine) -> ChlorineFinding<'_> {
    ChlorineFinding {
        bands: codes::chlorine_bands(chlorine.bands),
        by_identity: codes::chlorine_by_identity(chlorine.by_identity),
        why: &chlorine.why,
    }
}

fn plasticiser(found: &Plasticiser) -> PlasticiserFinding<'_> {
    let (finding, classes, why) = match found {
        Plasticiser::NoneSeen => ("none-seen", Vec::new(), None),
        Plasticiser::Class { id } => ("class", vec![id.as_str()], None),
        Plasticiser::UnresolvedEster => ("unresolved-ester", Vec::new(), None),
        Plasticiser::Several { ids } => ("several", ids.iter().map(String::as_str).collect(), None),
        Plasticiser::NotTestable { why } => ("not-testable", Vec::new(), Some(why.as_str())),
    };
    PlasticiserFinding { finding, classes, why }
}

fn band(band: &BandEvidence) -> Band<'_> {
    Band {
        band: &band.band,
        expected_cm1: rounded(band.expected_cm1, 2),
        assignment: &band.assignment,
        state: codes::band_state(band.state),
        found_cm1: band.found_cm1.and_then(|v| finite(v, 2)),
        share: band.share.and_then(|v| finite(v, 4)),
        depth_um: band.depth_um.and_then(|v| finite(v, 2)),
        note: &band.note,
        status: &band.status,
    }
}

fn unexplained(&(position_cm1, share): &(f64, f64)) -> Unexplained {
    Unexplained { position_cm1: rounded(position_cm1, 2), share: rounded(share, 4) }
}

fn rule(rule: &judge::RuleAnswer) -> Rule<'_> {
    Rule {
        rule: &rule.rule,
        question: &rule.question,
        verdict: codes::verdict(rule.verdict),
        values: rule
            .values
            .iter()
            .map(|(name, value)| Value { name, value: finite(*value, 4) })
            .collect(),
        note: &rule.note,
    }
}

fn second_opinion(opinion: &ReferenceOpinion) -> SecondOpinion<'_> {
    SecondOpinion {
        words: &opinion.words,
        materials: &opinion.materials,
        agrees: opinion.agrees,
        scale_ppm: opinion.scale_ppm.and_then(|ppm| finite(ppm, 1)),
        resembling: opinion
            .resembling
            .iter()
            .map(|r| Resembling {
                file: &r.file,
                material: &r.material,
                maker: &r.maker,
                grade: &r.grade,
                batch: &r.batch,
                vouched_by: &r.vouched_by,
                vouched: r.vouched,
                similarity: rounded(r.similarity, 4),
            })
            .collect(),
    }
}

fn step(step: &spectrum::Step) -> Step<'_> {
    Step {
        step: &step.name,
        settings: step.settings.iter().map(|(name, value)| Setting { name, value }).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_json_cannot_hold_are_left_out() {
        assert_eq!(finite(f64::NAN, 2), None);
        assert_eq!(rounded(-0.001, 2).to_bits(), 0.0f64.to_bits());
    }
}
