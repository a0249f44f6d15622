//! What this method cannot tell.

use super::result::{ObjectFindings, PartOutcome};

/// Plain limits for the first page.
pub(super) const PLAIN: &[&str] = &[
    "Infrared sees the outer one to three micrometres at the spots measured, not the whole part.",
    "It sees shares of a percent and more: traces, stabilisers and what a sheet may give off later \
     are for other tests.",
    "It does not say what caused tarnish or yellowing, nor how long a part will last.",
];

/// Limits for the section of that name.
pub(super) fn all(findings: &ObjectFindings) -> Vec<String> {
    let mut limits: Vec<String> = PLAIN.iter().map(|text| (*text).to_owned()).collect();
    limits.push(
        "Depth reached with a diamond crystal at 45° on a plastic of index 1.5: about 0.6 µm at \
         3400 cm⁻¹, 1.2 µm at 1725 cm⁻¹ and 3.3 µm at 613 cm⁻¹; a coat or a deposit of that \
         thickness hides what lies under it."
            .to_owned(),
    );
    limits.push(
        "\"Contains chlorine\" says what the plastic is made of. Whether acid is given off is for \
         an acid indicator."
            .to_owned(),
    );
    limits.push(
        "Markers compare faces by the spots measured; no published figure turns one of them into a \
         grade, and none is given."
            .to_owned(),
    );
    limits.push(
        "The markers of light-aged PVC, polycarbonate and PMMA are proven on synthetic spectra \
         only: no open measured series was found."
            .to_owned(),
    );
    limits.push("No conformity with any standard for condition reports is claimed.".to_owned());
    limits.push(
        "Care notes defer to the conservator in charge, local rules, safety data sheets and \
         licensed practice."
            .to_owned(),
    );
    let single: Vec<&str> = findings
        .parts
        .iter()
        .filter(|part| part.agreement.measured == 1 && part.outcome != PartOutcome::NotMeasured)
        .map(|part| part.id.as_str())
        .collect();
    if !single.is_empty() {
        limits.push(format!(
            "One spot only, so that no agreement can be stated: {}.",
            single.join(", ")
        ));
    }
    limits
}
