//! What softens a poly(vinyl chloride): a second axis beside the material.

use super::choose::PLASTICISER_FAMILY;
use super::input::JudgeInput;
use super::outcome::Plasticiser;
use super::rule_log::RuleLog;
use crate::matching::{half_height_width_cm1, local_height};
use crate::tables::{Effect, Reading, Verdict, Window};

/// Where an ester's carbonyl stands, in cm⁻¹, and what must be measured to look for it.
const ESTER_CM1: (f64, f64) = (1712.0, 1748.0);
/// Where the baseline under all carbonyls stands.
const CARBONYL_BASELINE_CM1: (f64, f64) = (1650.0, 1800.0);
const ESTER_MEASURED_CM1: (f64, f64) = (1690.0, 1770.0);

/// An ester carbonyl counts from this share of the strongest band on: lubricants and impact
/// modifiers of rigid sheet stay below it in the open spectra seen.
const LEAST_ESTER_SHARE: f64 = 0.06;

/// The C–O stretches that go with an ester's carbonyl and stand clear of vinyl chloride's own bands:
/// aliphatic and acrylic esters, aromatic ones; in cm⁻¹ (Socrates 2001, from memory).
const PARTNERS_CM1: [(f64, f64); 2] = [(1110.0, 1186.0), (1262.0, 1300.0)];

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
    let family =
        |id: &str| input.tables.material(id).is_some_and(|m| m.family == PLASTICISER_FAMILY);
    let mut ids: Vec<String> = additives.iter().filter(|id| family(id)).cloned().collect();
    for (rule, verdict) in rule_log.of_subject(material, Effect::Component, input) {
        if verdict == Verdict::Yes {
            ids.extend(rule.targets.iter().filter(|id| family(id)).cloned());
        }
    }
    ids.sort();
    ids.dedup();
    if !input.observed.measured().covers(ESTER_MEASURED_CM1.0, ESTER_MEASURED_CM1.1) {
        return Plasticiser::NotTestable {
            why: "the ester carbonyl near 1720 to 1740 cm⁻¹ was not measured".to_owned(),
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
    let height =
        peaks.within(ESTER_CM1.0, ESTER_CM1.1).map(|(_, peak)| peak.share).fold(0.0, f64::max);
    if height < LEAST_ESTER_SHARE {
        return false;
    }
    let partner = PARTNERS_CM1.iter().any(|(low, high)| {
        peaks.within(*low, *high).any(|(_, f)| f.share >= LEAST_PARTNER * height)
    });
    let reading = Reading {
        window: Window::new(ESTER_CM1.0, ESTER_CM1.1),
        baseline: Window::new(CARBONYL_BASELINE_CM1.0, CARBONYL_BASELINE_CM1.1),
    };
    let narrow = local_height(&reading, &input.observed)
        .ok()
        .and_then(|found| half_height_width_cm1(&reading, found, &input.observed))
        .is_none_or(|width| width <= MOST_ESTER_WIDTH_CM1);
    narrow || partner
}
