//! Change between faces on seeded synthetic truth; gaps through exact optics are in `gaps.rs`.
//!
//! The truth is ours (invented bands); the requirements on coverage, error rate and power are the
//! definitions of a 95 % interval and a 5 % test, so that nothing here checks the code by itself.

use crate::synthetic_faces::{
    FaceTruth, Material, Random, SpotTruth, compared, compared_as, face, nothing,
};
use bandlore::{
    Spectrum, Tables,
    ageing::{
        MarkerState, MaterialFrom, Specimen,
        comparison::{
            COPIED_SPOTS, ChangeCall, Comparison, MarkerComparison, RESOLUTION_DIFFERS,
            SameMaterial,
        },
        measure_ageing,
    },
    optics::Element,
    spectrum::SpectrumParts,
};
use rayon::prelude::*;

/// As many as an interval of 93 to 97 % needs to be told from 95 %.
/// Trials of a coverage: one standard deviation of 95 % is then 0.7 %, a third of what the bounds leave.
const TRIALS: u64 = 1000;
const NOISE: f64 = 5e-5;

fn marker<'a>(comparison: &'a Comparison, id: &str) -> &'a MarkerComparison {
    comparison.markers.iter().find(|m| m.id == id).expect("in the table")
}

fn value(spectrum: &Spectrum, id: &str) -> (f64, f64, f64) {
    let specimen = Specimen::new(spectrum, &[], Element::DIAMOND_45, &nothing);
    let result =
        measure_ageing(&specimen, Some(("PVC", MaterialFrom::Given)), Tables::built_in(), None);
    let found = result.markers.iter().find(|m| m.id == id).expect("in the table");
    assert_eq!(found.state, MarkerState::Measured, "{:?}", found.refusal);
    (found.value.expect("value"), found.low.expect("low"), found.high.expect("high"))
}

fn spot(carbonyl: f64, noise: f64) -> SpotTruth {
    SpotTruth { carbonyl, hydroxyl: 1.0, scale: 1.0, gap_um: 0.0, noise }
}

#[test]
fn reads_within_one_percent_of_the_fine_truth_without_noise() {
    // Truth: the same overlapping bands every 0.1 cm⁻¹; the reading: every 2 and 4 cm⁻¹, with drift.
    let truth = value(&Material::new(0.1).spot(&spot(1.0, 0.0), &mut Random::new(1)), "PVC_CO").0;
    for step in [2.0, 4.0] {
        let material = Material::new(step);
        for seed in 0..20 {
            let found = value(&material.spot(&spot(1.0, 0.0), &mut Random::new(seed)), "PVC_CO").0;
            assert!((found / truth - 1.0).abs() < 0.01, "{found} against {truth} at {step} cm⁻¹");
        }
    }
}

#[test]
fn noise_intervals_cover_the_truth_in_95_of_100() {
    let material = Material::new(4.0);
    let truth = value(&material.spot(&spot(1.0, 0.0), &mut Random::new(0)), "PVC_CO").0;
    let covered = (0..TRIALS)
        .into_par_iter()
        .filter(|seed| {
            let spectrum = material.spot(&spot(1.0, 4e-4), &mut Random::new(7_000 + seed));
            let (_, low, high) = value(&spectrum, "PVC_CO");
            low <= truth && truth <= high
        })
        .count() as f64
        / TRIALS as f64;
    println!("noise intervals cover {:.1} %", 100.0 * covered);
    assert!((0.93..=0.97).contains(&covered), "{covered}");
}

/// A face of 5 spots with 5 to 15 % spread against a covered one, gaps of 0.05 to 0.5 µm.
fn trial(material: &Material, seed: u64, change_in_spreads: f64) -> (Comparison, f64) {
    let mut random = Random::new(seed);
    let spread = random.uniform(0.05, 0.15);
    let ratio = (change_in_spreads * spread).exp();
    let mut make = |level: f64, gap_um: f64| {
        face(material, &FaceTruth { level, spread, gap_um, noise: NOISE, n: 5 }, &mut random)
    };
    let gap = 0.05 + 0.45 * (seed % 10) as f64 / 9.0;
    let exposed = make(ratio, gap);
    let covered = make(1.0, 0.05);
    (compared("PVC", &exposed, &covered), ratio)
}

#[test]
fn change_intervals_cover_and_nothing_is_called_changed_without_a_change() {
    let material = Material::new(4.0);
    let counts: Vec<(bool, bool, usize)> = (0..TRIALS)
        .into_par_iter()
        .map(|seed| {
            let (comparison, ratio) = trial(&material, seed, 0.0);
            let found = marker(&comparison, "PVC_CO");
            let (low, high) = (found.low.expect("low"), found.high.expect("high"));
            let primary = comparison.markers.iter().filter(|m| m.primary);
            let changed = primary.filter(|m| m.call == ChangeCall::Changed).count();
            (low <= ratio && ratio <= high, changed > 0, changed)
        })
        .collect();
    let covered = counts.iter().filter(|c| c.0).count() as f64 / TRIALS as f64;
    let families = counts.iter().filter(|c| c.1).count() as f64 / TRIALS as f64;
    println!(
        "change intervals cover {:.1} %; a false change in {:.1} % of comparisons",
        100.0 * covered,
        100.0 * families
    );
    assert!((0.93..=0.97).contains(&covered), "{covered}");
    assert!(families <= 0.05, "{families}");
}

#[test]
fn finds_a_change_of_three_spreads_with_five_spots() {
    let material = Material::new(4.0);
    let trials = 400;
    let found = (0..trials)
        .into_par_iter()
        .filter(|seed| {
            let (comparison, _) = trial(&material, 90_000 + seed, 3.0);
            marker(&comparison, "PVC_CO").call == ChangeCall::Changed
        })
        .count() as f64
        / trials as f64;
    println!("a change of three spreads is found in {:.1} %", 100.0 * found);
    assert!(found >= 0.8, "{found}");
}

#[test]
fn two_spots_are_shown_and_not_tested_and_the_smallest_change_is_stated() {
    let material = Material::new(4.0);
    let mut random = Random::new(3);
    let mut make = |level: f64, n: usize| {
        face(
            &material,
            &FaceTruth { level, spread: 0.1, gap_um: 0.05, noise: NOISE, n },
            &mut random,
        )
    };
    let (exposed, covered, two) = (make(1.6, 5), make(1.0, 5), make(1.0, 2));
    let few = compared("PVC", &exposed, &two);
    let found = marker(&few, "PVC_CO");
    assert_eq!((found.call, found.p), (ChangeCall::NotTested, None));
    let enough = compared("PVC", &exposed, &covered);
    let least = marker(&enough, "PVC_CO").smallest_detectable.expect("stated");
    assert!(least > 1.0 && least < 2.0, "{least}");
    assert!(enough.sentence.contains("not the effect of light"));
    assert!(marker(&enough, "PVC_CCL_LOSS").call != ChangeCall::Changed);
}

#[test]
fn spots_that_scatter_too_widely_to_show_a_doubling_are_too_blind_to_say() {
    let material = Material::new(4.0);
    let mut random = Random::new(11);
    let mut made = |spread: f64, n: usize| {
        let mut make = || {
            let truth = FaceTruth { level: 1.0, spread, gap_um: 0.05, noise: NOISE, n };
            face(&material, &truth, &mut random)
        };
        let (exposed, covered) = (make(), make());
        compared("PVC", &exposed, &covered)
    };
    let blind = made(0.6, 3);
    let found = marker(&blind, "PVC_CO");
    let least = found.smallest_detectable.expect("stated");
    assert!(least > 2.0, "{least}");
    assert_eq!(found.call, ChangeCall::TooBlind);
    let power = format!("no change below {least:.1} times could be shown");
    assert!(found.why.as_deref().is_some_and(|w| w.contains(&power)), "{:?}", found.why);
    assert!(
        blind.sentence.contains(&format!("too blind to say: PVC_CO ({power}")),
        "{}",
        blind.sentence
    );
    assert!(!blind.sentence.contains("no change shown in PVC_CO"), "{}", blind.sentence);
    // The same with sharper eyes: no change, and how small a one was looked for. A false change is
    // allowed once in twenty.
    let mut steady = 0;
    for _ in 0..6 {
        let sharp = made(0.05, 5);
        let found = marker(&sharp, "PVC_CO");
        let least = found.smallest_detectable.expect("stated");
        if found.call == ChangeCall::NoChangeShown {
            steady += 1;
            let power = format!("PVC_CO (no change below {least:.1} times could be shown)");
            assert!(sharp.sentence.contains(&power), "{}", sharp.sentence);
        }
    }
    assert!(steady >= 4, "{steady} of 6");
}

/// The spectrum as a coarser instrument gives it: each band convolved with a Gaussian of this full width.
fn blurred(spectrum: &Spectrum, width_cm1: f64) -> Spectrum {
    let axis = spectrum.wavenumbers_cm1();
    let weight = |d: f64| (-4.0 * 2f64.ln() * (d / width_cm1).powi(2)).exp();
    let at = |place: &f64| {
        let near = axis.iter().zip(spectrum.absorbances());
        let near = near.filter(|(w, _)| (*w - place).abs() < 2.0 * width_cm1);
        let (sum, weights) = near.fold((0.0, 0.0), |(sum, weights), (w, v)| {
            (sum + weight(w - place) * v, weights + weight(w - place))
        });
        sum / weights
    };
    Spectrum::new(SpectrumParts::new(axis.to_vec(), axis.iter().map(at).collect())).expect("valid")
}

#[test]
fn faces_measured_at_different_resolutions_are_not_compared() {
    // The truth of both faces is the same; a resolution of 16 cm⁻¹ lowers narrow bands more than broad ones.
    let material = Material::new(2.0);
    let spots = |first: u64, width_cm1: Option<f64>| -> Vec<Spectrum> {
        let spot = |seed| material.spot(&spot(1.0, NOISE), &mut Random::new(seed));
        let made = (first..first + 5).map(spot);
        made.map(|fine| width_cm1.map_or(fine.clone(), |width| blurred(&fine, width))).collect()
    };
    let covered = spots(20, None);
    let fine = compared("PVC", &spots(30, None), &covered);
    let differs = |c: &Comparison| c.warnings.iter().any(|w| w.id == RESOLUTION_DIFFERS);
    assert!(!differs(&fine) && fine.same_material == SameMaterial::Same, "{}", fine.sentence);
    // Either face may be the coarser; where both are, they are compared.
    let coarse = spots(30, Some(16.0));
    for comparison in [compared("PVC", &coarse, &covered), compared("PVC", &covered, &coarse)] {
        assert!(differs(&comparison), "{:?}", comparison.warnings);
        assert!(comparison.markers.iter().all(|m| m.change.is_none() && m.p.is_none()));
        assert!(
            comparison.sentence.contains("face are broader than those of"),
            "{}",
            comparison.sentence
        );
    }
    assert!(!differs(&compared("PVC", &coarse, &spots(40, Some(16.0)))));
    // Noise of either face, a third of a per cent of the strongest band, is no broader band.
    for (ours, theirs) in [(1.0, 1.0), (1.0, 0.1), (0.1, 1.0)] {
        let noisy = |first: u64, share: f64| -> Vec<Spectrum> {
            let spot = |seed| material.spot(&spot(1.0, 3.0e-3 * share), &mut Random::new(seed));
            (first..first + 3).map(spot).collect()
        };
        for first in [50, 60, 70, 80] {
            let found = compared("PVC", &noisy(first, ours), &noisy(first + 5, theirs));
            assert!(!differs(&found), "{ours} {theirs}: {:?}", found.warnings);
        }
    }
}

#[test]
fn resolutions_that_the_files_state_are_asked_first_and_names_before_them() {
    let material = Material::new(2.0);
    let spots = |first: u64, stated: &str| -> Vec<Spectrum> {
        let stating = |seed: u64| {
            let made = material.spot(&spot(1.0, NOISE), &mut Random::new(seed));
            let (axis, values) = (made.wavenumbers_cm1().to_vec(), made.absorbances().to_vec());
            let mut parts = SpectrumParts::new(axis, values);
            parts.provenance.stated_resolution = Some(stated.to_owned());
            Spectrum::new(parts).expect("valid")
        };
        (first..first + 3).map(stating).collect()
    };
    let coarse = compared("PVC", &spots(90, "16 cm-1"), &spots(95, "4"));
    assert!(coarse.sentence.contains("state 4 to 16 cm⁻¹"), "{}", coarse.sentence);
    let alike = compared("PVC", &spots(90, "4 cm-1"), &spots(95, "4"));
    assert_eq!(alike.same_material, SameMaterial::Same, "{}", alike.sentence);
    // Another material is another material at any resolution.
    let found = compared_as(("PVC", &spots(90, "16")), ("PMMA", &spots(95, "4")));
    assert!(matches!(found.same_material, SameMaterial::Different { .. }), "{}", found.sentence);
}

#[test]
fn copies_of_one_spectrum_are_no_replicates() {
    let material = Material::new(4.0);
    let one = material.spot(&spot(1.0, NOISE), &mut Random::new(4));
    let other = material.spot(&spot(1.5, NOISE), &mut Random::new(5));
    let comparison = compared("PVC", &vec![other; 5], &vec![one.clone(); 5]);
    assert!(comparison.markers.is_empty(), "{:?}", comparison.markers);
    assert!(comparison.warnings.iter().any(|w| w.id == COPIED_SPOTS), "{comparison:?}");
    assert!(comparison.sentence.starts_with("Not compared: "), "{}", comparison.sentence);
    // One copy among sound spots is no spot either, and none may lie on both faces.
    let spots = |n: u64| -> Vec<Spectrum> {
        (6..6 + n).map(|seed| material.spot(&spot(1.0, NOISE), &mut Random::new(seed))).collect()
    };
    let mut sound = spots(6);
    let covered = sound.split_off(3);
    assert!(!compared("PVC", &sound, &covered).markers.is_empty());
    let twice: Vec<Spectrum> = sound.iter().chain(&covered[..1]).cloned().collect();
    assert!(compared("PVC", &twice, &covered).markers.is_empty());
    let copied: Vec<Spectrum> = sound.iter().chain(&sound[..1]).cloned().collect();
    assert!(compared("PVC", &copied, &covered).markers.is_empty());
}

/// Spectra with a further band, or with another axis.
fn changed(first: u64, axis: impl Fn(f64) -> f64, more: impl Fn(f64) -> f64) -> Vec<Spectrum> {
    let material = Material::new(2.0);
    let one = |seed: u64| {
        let made = material.spot(&spot(1.0, NOISE), &mut Random::new(seed));
        let at = made.wavenumbers_cm1();
        let values = at.iter().zip(made.absorbances()).map(|(x, y)| y + more(*x)).collect();
        Spectrum::new(SpectrumParts::new(at.iter().map(|x| axis(*x)).collect(), values))
            .expect("valid")
    };
    (first..first + 5).map(one).collect()
}

#[test]
fn polyenes_at_the_foot_of_the_carbonyl_are_no_loss_of_it() {
    // Conjugated C=C near 1620 alone: what it adds at 1660 lifts the line under the carbonyl.
    let polyene = |x: f64| 0.02 * (-((x - 1620.0) / 30.0_f64).powi(2)).exp();
    let plain = |_: f64| 0.0;
    let covered = changed(300, |x| x, plain);
    let found = compared("PVC", &changed(310, |x| x, polyene), &covered);
    let carbonyl = marker(&found, "PVC_CO");
    assert!(marker(&found, "PVC_POLYENE").low.is_some_and(|low| low > 0.0));
    assert_eq!((carbonyl.call, carbonyl.p), (ChangeCall::Refused, None), "{carbonyl:?}");
    assert!(carbonyl.why.as_ref().is_some_and(|why| why.contains("PVC_POLYENE")), "{carbonyl:?}");
    assert!(!found.sentence.contains("exchanged"), "{}", found.sentence);
    // Nor are they its growth where they fell: on the covered face alone, as light bleaches them.
    let bleached = compared("PVC", &changed(300, |x| x, plain), &changed(310, |x| x, polyene));
    assert_eq!(marker(&bleached, "PVC_CO").call, ChangeCall::Refused, "{}", bleached.sentence);
    // Without them the carbonyl is compared.
    let without = compared("PVC", &changed(310, |x| x, plain), &covered);
    assert_ne!(marker(&without, "PVC_CO").call, ChangeCall::Refused, "{}", without.sentence);
}

#[test]
fn faces_on_scales_that_differ_are_not_compared_and_not_called_broader() {
    let plain = |_: f64| 0.0;
    let covered = changed(320, |x| x, plain);
    let of = |by: f64| compared("PVC", &changed(330, |x| x + by, plain), &covered).sentence;
    assert!(of(2.0).contains("stand 2.0 cm⁻¹ higher"), "{}", of(2.0));
    assert!(of(-3.0).contains("cm⁻¹ lower than those of the covered face"), "{}", of(-3.0));
    assert!(!of(-3.0).contains("broader"), "{}", of(-3.0));
    assert!(!of(0.3).contains("wavenumber scale"), "{}", of(0.3));
}
