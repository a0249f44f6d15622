//! Water vapour and carbon dioxide left over from the air in the beam.

use super::carbon_dioxide::carbon_dioxide_height;
use super::signal::Signal;
use super::vapour_lines::{BEND, Comb, Fine, lines_among_carbonyls};
use super::{Finding, NoiseProfile, Severity};
use crate::spectrum::Spectrum;
use crate::spectrum::zones::{CARBON_DIOXIDE_CM1, VAPOUR_LINES_CM1};

/// Room in cm⁻¹ that shifted combs need on either side.
const MARGIN_CM1: f64 = 20.0;

/// Lines at or above this share of the strongest band are as high as fine structure of a carbonyl.
const MOST_SHARE: f64 = 0.03;

/// Carbon dioxide above this share of the strongest band also shows at 667 cm⁻¹, beside C–Cl.
const MOST_CO2_SHARE: f64 = 0.1;

/// Returns what is said of vapour and of carbon dioxide, and the lines of vapour where they are there.
pub(super) fn findings(
    spectrum: &Spectrum,
    spacing_cm1: f64,
    signal: &Signal,
    noise: &NoiseProfile,
) -> (Vec<Finding>, Vec<Comb>) {
    let (vapour, lines) = vapour(spectrum, spacing_cm1, signal, noise).unzip();
    let found = vapour.into_iter().chain(carbon_dioxide(spectrum, signal)).collect();
    (found, lines.unwrap_or_default())
}

/// Looks for the comb of vapour lines where it was measured: over the carbonyls, and above 3600 cm⁻¹,
/// where polymers have no narrow bands. A comb above 3600 alone is no vapour: the hydroxyls of talc and
/// kaolin stand among its lines there. Where bands of the sample cover single lines among the carbonyls,
/// a comb in both stretches is one.
fn vapour(
    spectrum: &Spectrum,
    spacing_cm1: f64,
    signal: &Signal,
    noise: &NoiseProfile,
) -> Option<(Finding, Vec<Comb>)> {
    let (axis, values) = (spectrum.wavenumbers_cm1(), spectrum.absorbances());
    let mut best: Option<Comb> = None;
    let mut among_carbonyls = false;
    let mut combs: Vec<Comb> = Vec::new();
    for (region, (low, high)) in VAPOUR_LINES_CM1.into_iter().enumerate() {
        if !spectrum.covers(low - MARGIN_CM1, high + MARGIN_CM1) {
            continue;
        }
        let noise_sd = noise.at(f64::midpoint(low, high));
        let comb = Fine::of(axis, values, (low, high), spacing_cm1)
            .and_then(|fine| fine.comb(region, noise_sd));
        let Some(comb) = comb else { continue };
        combs.extend(Some(comb).filter(|comb| comb.stands_out));
        if region == BEND {
            among_carbonyls =
                lines_among_carbonyls(axis, values, &|v| comb.height * comb.pattern.at(v));
        }
        let better = |before: Comb| {
            (comb.stands_out, comb.height.abs()) > (before.stands_out, before.height.abs())
        };
        if best.is_none_or(better) {
            best = Some(comb);
        }
    }
    let comb = best?;
    let share = comb.height.abs() / signal.strongest;
    let found = comb.stands_out && (among_carbonyls || combs.len() == VAPOUR_LINES_CM1.len());
    let figure = if found { share } else { 0.0 };
    let finding = Finding::note(
        "water-vapour",
        if found {
            "lines of water vapour are there, too weak to matter"
        } else {
            "no lines of water vapour stand out"
        },
    )
    .figure(figure, MOST_SHARE, "of the strongest band");
    let finding = if found && share >= MOST_SHARE {
        let sign = if comb.height < 0.0 { " (downwards: the background held more)" } else { "" };
        finding.raised(
            Severity::Limits,
            format!(
                "lines of water vapour{sign} lie over 1400–1900 and 3600–3900 cm⁻¹: carbonyl and amide \
                 fine structure is unsafe (positions: HITRAN2020)"
            ),
            "purge, measure a new background, or subtract a measured vapour spectrum with --vapour FILE",
        )
    } else {
        finding
    };
    Some((finding, if found { combs } else { Vec::new() }))
}

fn carbon_dioxide(spectrum: &Spectrum, signal: &Signal) -> Option<Finding> {
    let height = carbon_dioxide_height(spectrum)?;
    let (low, high) = CARBON_DIOXIDE_CM1;
    let share = height.abs() / signal.strongest;
    let finding = Finding::note("carbon-dioxide", format!("{low}–{high} cm⁻¹ is left out")).figure(
        share,
        MOST_CO2_SHARE,
        "of the strongest band",
    );
    Some(if share > MOST_CO2_SHARE {
        finding.raised(
            Severity::Limits,
            "carbon dioxide is strong: a spike at 667 cm⁻¹, beside C–Cl, is not the sample's",
            "purge, or measure background and sample at the same interval",
        )
    } else {
        finding
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fitness::examine;
    use crate::fitness::water_lines::WATER_LINES;
    use crate::spectrum::SpectrumParts;

    #[test]
    fn lines_of_vapour_limit_what_is_said_only_where_they_are_high_enough_to_matter() {
        let with = |height: f64| {
            let axis: Vec<f64> = (0..3500).map(|i| 500.0 + f64::from(i)).collect();
            let line = |x: f64, at: f64, half: f64| (1.0 + ((x - at) / half).powi(2)).recip();
            let lines = |x: f64| WATER_LINES.iter().map(|l| l.1 * line(x, l.0, 2.5)).sum::<f64>();
            let values =
                axis.iter().map(|x| 0.5 * line(*x, 1200.0, 10.0) + height * lines(*x)).collect();
            let fitness = examine(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"));
            let found = fitness.finding("water-vapour").expect("looked for");
            (found.severity, found.value.expect("a height"), found.consequence.clone())
        };
        let (severity, share, said) = with(0.002);
        assert_eq!(severity, Severity::Note);
        assert!(share > 0.0 && share < MOST_SHARE, "{share}");
        assert_eq!(said, "lines of water vapour are there, too weak to matter");
        let (severity, share, _) = with(0.05);
        assert_eq!(severity, Severity::Limits);
        assert!(share > MOST_SHARE, "{share}");
        assert_eq!(with(0.0).1, 0.0);
    }
}
