//! Each safeguard that `docs/ageing.md` promises of a comparison, in a case that goes wrong without it.

use crate::synthetic_faces::{FaceTruth, Material, Random, SpotTruth, compared, face, nothing};
use bandlore::{
    Spectrum, Tables,
    ageing::{
        MarkerState, MaterialFrom, Specimen,
        comparison::{ChangeCall, Comparison, MarkerComparison},
        measure_ageing,
    },
    optics::Element,
    spectrum::SpectrumParts,
};
use rayon::prelude::*;

fn marker<'a>(comparison: &'a Comparison, id: &str) -> &'a MarkerComparison {
    comparison.markers.iter().find(|m| m.id == id).expect("in the table")
}

/// Value and 95 % interval of the carbonyl.
fn carbonyl(spectrum: &Spectrum) -> (f64, f64, f64) {
    let specimen = Specimen::new(spectrum, &[], Element::DIAMOND_45, &nothing);
    let result =
        measure_ageing(&specimen, Some(("PVC", MaterialFrom::Given)), Tables::built_in(), None);
    let found = result.markers.iter().find(|m| m.id == "PVC_CO").expect("in the table");
    assert_eq!(found.state, MarkerState::Measured, "{:?}", found.refusal);
    (found.value.expect("value"), found.low.expect("low"), found.high.expect("high"))
}

fn silent(material: &Material, seed: u64) -> Spectrum {
    let truth = SpotTruth { carbonyl: 1.0, hydroxyl: 1.0, scale: 1.0, gap_um: 0.0, noise: 0.0 };
    material.spot(&truth, &mut Random::new(seed))
}

fn with_added(spectrum: &Spectrum, added: impl Fn(usize) -> f64) -> Spectrum {
    let values = spectrum.absorbances().iter().enumerate().map(|(i, a)| a + added(i)).collect();
    Spectrum::new(SpectrumParts::new(spectrum.wavenumbers_cm1().to_vec(), values)).expect("valid")
}

/// Depth of the lactone of an acrylic with its 95 % interval, read from the curvature of many fine points.
fn lactone(spectrum: &Spectrum) -> (f64, f64, f64) {
    let specimen = Specimen::new(spectrum, &[], Element::DIAMOND_45, &nothing);
    let result =
        measure_ageing(&specimen, Some(("PMMA", MaterialFrom::Given)), Tables::built_in(), None);
    let found = result.markers.iter().find(|m| m.id == "PMMA_LACT").expect("in the table");
    assert_eq!(found.state, MarkerState::Measured, "{:?}", found.refusal);
    (found.value.expect("value"), found.low.expect("low"), found.high.expect("high"))
}

#[test]
fn intervals_cover_the_truth_where_the_noise_of_neighbours_is_linked() {
    // Five points of white noise averaged on a grid of 0.5 cm⁻¹, as zero filling leaves them. A 95 %
    // interval must still cover 95 % (definition); one that takes the 41 points of a curvature for
    // independent covers about 69 % (numpy 2: weights of a quartic over ±10 cm⁻¹, triangular links).
    const LINKED: usize = 5;
    let axis: Vec<f64> = (0..4800).map(|i| 1300.0 + 0.5 * f64::from(i)).collect();
    let bands =
        [(1786.0, 14.0, 0.10), (1723.0, 22.0, 0.6), (1436.0, 14.0, 0.5), (1480.0, 16.0, 0.1)];
    let values: Vec<f64> = axis
        .iter()
        .map(|v| {
            let bell = |b: &(f64, f64, f64)| {
                b.2 * (-4.0 * std::f64::consts::LN_2 * ((v - b.0) / b.1).powi(2)).exp()
            };
            0.02 + bands.iter().map(bell).sum::<f64>()
        })
        .collect();
    let clean = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
    let truth = lactone(&clean).0;
    let trials = 2000_u64;
    let covered = (0..trials)
        .into_par_iter()
        .filter(|seed| {
            let mut random = Random::new(440_000 + seed);
            let count = clean.absorbances().len() + LINKED;
            let white: Vec<f64> = (0..count).map(|_| 1e-3 * random.normal()).collect();
            let linked = |i: usize| white[i..i + LINKED].iter().sum::<f64>() / LINKED as f64;
            let (_, low, high) = lactone(&with_added(&clean, linked));
            low <= truth && truth <= high
        })
        .count() as f64
        / trials as f64;
    println!("intervals under linked noise cover {:.1} %", 100.0 * covered);
    assert!((0.93..=0.97).contains(&covered), "{covered}");
}

#[test]
fn an_interval_of_spots_that_agree_by_chance_is_no_narrower_than_their_noise() {
    // Three spots a face share the very noise of their marker and differ by a hundredth of it; elsewhere each has its own.
    let material = Material::new(4.0);
    let clean = silent(&material, 1);
    let made = |seed: u64| -> Vec<Spectrum> {
        let mut shared = Random::new(seed);
        let noise: Vec<f64> = clean.absorbances().iter().map(|_| 4e-4 * shared.normal()).collect();
        (0..3)
            .map(|spot| {
                let mut own = Random::new(1000 * seed + spot);
                let at = clean.wavenumbers_cm1().iter().zip(&noise);
                let small: Vec<f64> = at
                    .map(|(x, n)| {
                        let shared = *x < 1840.0;
                        if shared { n + 4e-6 * own.normal() } else { 4e-4 * own.normal() }
                    })
                    .collect();
                with_added(&clean, |i| small[i])
            })
            .collect()
    };
    let (exposed, covered) = (made(71), made(72));
    let square = |spot: &Spectrum| {
        let (value, low, high) = carbonyl(spot);
        ((high / value).ln().min((value / low).ln()) / 1.97).powi(2)
    };
    let all = exposed.iter().chain(&covered);
    let error = (all.map(square).sum::<f64>() / 6.0).sqrt();
    let comparison = compared("PVC", &exposed, &covered);
    let found = marker(&comparison, "PVC_CO");
    let half = (found.high.expect("high") / found.low.expect("low")).ln() / 2.0;
    // Two means of three readings each.
    let least = 1.9 * error * (2.0_f64 / 3.0).sqrt();
    assert!(half >= least, "{half} below {least}");
    assert_ne!(found.call, ChangeCall::Changed);
}

#[test]
fn the_smallest_detectable_change_allows_for_both_tests_of_the_material() {
    // PVC has two markers named beforehand. With many spots the quantiles are those of the normal
    // distribution: 2.241 for 5 % shared by two two-sided tests (1.960 for one), 0.842 for 80 %.
    let material = Material::new(4.0);
    let mut random = Random::new(12);
    let mut make = |level: f64| {
        let truth = FaceTruth { level, spread: 0.3, gap_um: 0.05, noise: 5e-5, n: 60 };
        face(&material, &truth, &mut random)
    };
    let (exposed, covered) = (make(1.12), make(1.0));
    let comparison = compared("PVC", &exposed, &covered);
    let found = marker(&comparison, "PVC_CO");
    let (low, high) = (found.low.expect("low").ln(), found.high.expect("high").ln());
    let error = (high - low) / 2.0 / 1.98;
    let least = found.smallest_detectable.expect("stated").ln();
    println!("smallest detectable change: {:.3} standard errors", least / error);
    assert!(least / error > 2.241 + 0.842 - 0.1, "{}", least / error);
    assert!(least / error < 3.4, "{}", least / error);
}

#[test]
fn a_change_that_the_fitted_gap_explains_is_refused_with_that_reason() {
    let material = Material::new(4.0);
    let mut random = Random::new(5);
    let mut make = |gap_um: f64| {
        let truth = FaceTruth { level: 1.0, spread: 0.03, gap_um, noise: 5e-5, n: 5 };
        face(&material, &truth, &mut random)
    };
    let (exposed, covered) = (make(0.5), make(0.05));
    let comparison = compared("PVC", &exposed, &covered);
    let found = marker(&comparison, "PVC_CO");
    assert_eq!(found.call, ChangeCall::Refused, "{found:?}");
    let why = found.why.as_deref().unwrap_or_default();
    assert!(why.contains("the fitted gap explains the change"), "{why}");
}
