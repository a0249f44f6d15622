//! What softens a poly(vinyl chloride): a second axis beside the material.

use super::input::JudgeInput;
use super::outcome::Plasticiser;
use super::rule_log::RuleLog;
use crate::matching::{half_height_width_cm1, local_height};
use crate::tables::{Effect, MaterialRole, Reading, Verdict, Window};

/// An ester carbonyl counts from this share of the strongest band on: lubricants and impact
/// modifiers of rigid sheet stay below it in the open spectra seen.
const LEAST_ESTER_SHARE: f64 = 0.06;

/// A partner counts from this share of the carbonyl's height on: C–O is as strong as C=O or stronger.
const LEAST_PARTNER: f64 = 0.3;

/// An ester's carbonyl is narrower than this at half height, in cm⁻¹. Plasticised sheets and coated
/// cloths of an open set show 27 to 39; acids, ketones and lactones of oxidation together are wider.
const MOST_ESTER_WIDTH_CM1: f64 = 45.0;

/// Returns the plasticiser finding, and the classes found.
pub(super) fn plasticiser(
    material: &str,
    additives: &[String],
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Plasticiser {
    let softens = |id: &str| input.tables.has_role(id, MaterialRole::Plasticiser);
    let mut ids: Vec<String> = additives.iter().filter(|id| softens(id)).cloned().collect();
    for (rule, verdict) in rule_log.of_subject(material, Effect::Component, input) {
        if verdict == Verdict::Yes {
            ids.extend(rule.targets.iter().filter(|id| softens(id)).cloned());
        }
    }
    ids.sort();
    ids.dedup();
    let of_esters = &input.tables.stretches().ester;
    let (low, high) = of_esters.measured.cm1;
    if !input.observed.measured().covers(low, high) {
        return Plasticiser::NotTestable {
            why: format!("{} was not measured", of_esters.carbonyl.shows),
        };
    }
    let ester = is_ester(input);
    match ids.as_slice() {
        [] if ester => Plasticiser::UnresolvedEster,
        [] => Plasticiser::NoneSeen,
        [id] => Plasticiser::Class { id: id.clone() },
        _ => Plasticiser::Several { ids },
    }
}

/// Returns whether a carbonyl is there that belongs to an ester: narrow, or with its C–O partner. The
/// broad carbonyl of oxidation has neither.
fn is_ester(input: &JudgeInput<'_>) -> bool {
    let peaks = input.observed.peaks();
    let of_esters = &input.tables.stretches().ester;
    let (low, high) = of_esters.carbonyl.cm1;
    let height = peaks.within(low, high).map(|(_, peak)| peak.share).fold(0.0, f64::max);
    if height < LEAST_ESTER_SHARE {
        return false;
    }
    let partner = of_esters.partners.iter().any(|partner| {
        let (low, high) = partner.cm1;
        peaks.within(low, high).any(|(_, f)| f.share >= LEAST_PARTNER * height)
    });
    let (foot, other_foot) = of_esters.baseline.cm1;
    let reading =
        Reading { window: Window::new(low, high), baseline: Window::new(foot, other_foot) };
    let narrow = local_height(&reading, &input.observed)
        .ok()
        .and_then(|found| half_height_width_cm1(&reading, found, &input.observed))
        .is_none_or(|width| width <= MOST_ESTER_WIDTH_CM1);
    narrow || partner
}
