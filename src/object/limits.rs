//! What this method cannot tell.

use super::record::Manifest;
use super::result::{ObjectFindings, PartOutcome};
use crate::optics::{Element, penetration_depth_um};

/// Plain limits for the first page.
pub(super) const PLAIN: &[&str] = &[
    "Infrared sees the outer one to three micrometres at the spots measured, not the whole part.",
    "It sees shares of a percent and more: traces, stabilisers and what a sheet may give off later \
     are for other tests.",
    "It does not say what caused tarnish or yellowing, nor how long a part will last.",
];

/// Index of a plastic in the mid infrared, for the depth: 1.45 to 1.65 in the measured constants.
const SAMPLE_INDEX: f64 = 1.5;

/// How deep each element of the manifest looks; diamond at 45° where nothing is written down.
fn depths(manifest: &Manifest) -> Vec<String> {
    let mut elements: Vec<Element> = Vec::new();
    for row in &manifest.spectra {
        if let Ok(element) = Element::recorded(&row.crystal, &row.angle, Element::DIAMOND_45)
            && !elements.contains(&element)
        {
            elements.push(element);
        }
    }
    let words = |element: &Element| {
        let at = |wavenumber_cm1: f64| {
            let Element { crystal_index, angle_deg } = *element;
            penetration_depth_um(crystal_index, angle_deg, SAMPLE_INDEX, wavenumber_cm1).ok()
        };
        let (high, middle, low) = (at(3400.0)?, at(1725.0)?, at(613.0)?);
        let crystal = if *element == Element::DIAMOND_45 {
            "a diamond crystal".to_owned()
        } else {
            format!("a crystal of index {}", element.crystal_index)
        };
        Some(format!(
            "Depth reached with {crystal} at {}° on a plastic of index {SAMPLE_INDEX}: about \
             {high:.1} µm at 3400 cm⁻¹, {middle:.1} µm at 1725 cm⁻¹ and {low:.1} µm at 613 cm⁻¹; a \
             coat or a deposit of that thickness hides what lies under it.",
            element.angle_deg
        ))
    };
    elements.iter().filter_map(words).collect()
}

/// Limits for the section of that name.
pub(super) fn all(findings: &ObjectFindings) -> Vec<String> {
    let mut limits: Vec<String> = PLAIN.iter().map(|text| (*text).to_owned()).collect();
    limits.extend(depths(&findings.manifest));
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
