//! What rules of the table say beside a chosen answer: bands that another substance hides, further
//! components, remarks.

use super::components::still_shows;
use super::input::JudgeInput;
use super::outcome::{BandEvidence, BandState};
use super::rule_log::RuleLog;
use crate::matching::Fit;
use crate::tables::{Effect, MaterialRole, Rule, Verdict};

/// Returns the fits of what rules find beside a material, plasticisers left out: they are an axis of their
/// own. What the material's own bands explain is no sign of another, whatever the rule's windows hold.
pub(super) fn beside<'c>(
    material: &str,
    explains: &[f64],
    input: &'c JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> impl Iterator<Item = &'c Fit> {
    let targets: Vec<String> = affirmed(material, Effect::Component, input, rule_log)
        .flat_map(|rule| rule.targets.iter().cloned())
        .collect();
    input.fits.iter().filter(move |fit| {
        let is_target = input.material(fit).is_some_and(|material| {
            !material.has_role(MaterialRole::Plasticiser) && targets.contains(&material.id)
        });
        is_target && still_shows(fit, explains, input)
    })
}

/// Takes bands out of a material's evidence that a rule says another substance hides.
///
/// C–Cl stretches that were told from it by their own shape stay.
pub(super) fn drop_bands(
    material: &str,
    evidence: &mut [BandEvidence],
    carbon_chlorine_seen: bool,
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) {
    let (low, high) = input.tables.stretches().carbon_chlorine.all.cm1;
    for rule in affirmed(material, Effect::DropBand, input, rule_log) {
        for band in evidence.iter_mut().filter(|b| rule.targets.contains(&b.band)) {
            if carbon_chlorine_seen && (low..=high).contains(&band.expected_cm1) {
                continue;
            }
            band.state = BandState::Untestable;
            (band.found_cm1, band.share) = (None, None);
            band.note.clone_from(&rule.meaning);
        }
    }
}

/// Returns what rules have said beside an answer.
pub(super) fn remarks(
    ids: &[String],
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for id in ids {
        for rule in affirmed(id, Effect::Warn, input, rule_log) {
            if !said.contains(&rule.meaning) {
                said.push(rule.meaning.clone());
            }
        }
    }
    said
}

fn affirmed<'t>(
    id: &str,
    effect: Effect,
    input: &JudgeInput<'t>,
    rule_log: &mut RuleLog,
) -> impl Iterator<Item = &'t Rule> {
    rule_log
        .of_subject(id, effect, input)
        .into_iter()
        .filter(|(_, verdict)| *verdict == Verdict::Yes)
        .map(|(rule, _)| rule)
}
