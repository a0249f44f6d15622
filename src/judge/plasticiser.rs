//! What softens a poly(vinyl chloride): a second axis beside the material.

use super::asked::Asked;
use super::case::Case;
use super::outcome::Plasticiser;
use crate::tables::{Effect, Verdict};

/// Where an ester's carbonyl stands, in cm⁻¹, and what must be measured to look for it.
const ESTER_CM1: (f64, f64) = (1712.0, 1748.0);
const ESTER_MEASURED_CM1: (f64, f64) = (1690.0, 1770.0);

/// An ester carbonyl counts from this share of the strongest band on: lubricants and impact
/// modifiers of rigid sheet stay below it in the open spectra seen.
const LEAST_ESTER_SHARE: f64 = 0.06;

/// Returns the plasticiser finding, and the classes found.
pub(super) fn plasticiser(
    material: &str,
    additives: &[String],
    case: &Case<'_>,
    asked: &mut Asked,
) -> Plasticiser {
    let family = |id: &str| case.tables.material(id).is_some_and(|m| m.family == "plasticiser");
    let mut ids: Vec<String> = additives.iter().filter(|id| family(id)).cloned().collect();
    for (rule, verdict) in asked.of_subject(material, Effect::Component, case) {
        if verdict == Verdict::Yes {
            ids.extend(rule.targets.iter().filter(|id| family(id)).cloned());
        }
    }
    ids.sort();
    ids.dedup();
    if !case.observed.measured().covers(ESTER_MEASURED_CM1.0, ESTER_MEASURED_CM1.1) {
        return Plasticiser::NotTestable {
            why: "the ester carbonyl near 1720 to 1740 cm⁻¹ was not measured".to_owned(),
        };
    }
    let ester = case
        .observed
        .features()
        .within(ESTER_CM1.0, ESTER_CM1.1)
        .any(|(_, feature)| feature.share >= LEAST_ESTER_SHARE);
    match ids.as_slice() {
        [] if ester => Plasticiser::UnresolvedEster,
        [] => Plasticiser::NoneSeen,
        [id] => Plasticiser::Class { id: id.clone() },
        _ => Plasticiser::Several { ids },
    }
}
