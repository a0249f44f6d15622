//! Interference fringes are taken out before a spectrum is judged: said wherever it was done, never done to
//! spectra without them, and never at the price of a false chlorine finding.
//!
//! Measured spectra: the open sets in `../shared/measured-spectra` with their publishers' labels.

use std::path::Path;

use bandlore::{
    Examiner, ReadOptions, Spectrum, Tables,
    ageing::MarkerState,
    fitness::{Fringes, Severity, examine},
    judge::ChlorineBands,
    read_path,
    spectrum::{SpectrumParts, Step},
};
use rayon::prelude::*;

/// Most clean spectra that may be touched.
const TOUCHED: f64 = 0.02;

struct Sample {
    name: String,
    chlorine: String,
    spectrum: Spectrum,
}

/// Particles measured in reflection on a mirror, where light does run to and fro.
const MIRRORS: &str = "reflection-micro";

/// Every spectrum of a material in the table, but for those on mirrors.
fn samples() -> Vec<Sample> {
    labelled(|set, class| class == "in-table" && set != MIRRORS)
}

/// Reads the spectra that are wanted by their set and class.
fn labelled(wanted: impl Fn(&str, &str) -> bool) -> Vec<Sample> {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/measured-spectra"));
    let Ok(mut labels) = csv::Reader::from_path(folder.join("labels.csv")) else {
        println!("skipped 1: {} is not there", folder.display());
        return Vec::new();
    };
    let rows = labels.records().map(|row| row.expect("a row"));
    rows.filter(|row| wanted(&row[0], &row[4]))
        .map(|row| {
            let name = format!("{}/{}", &row[0], &row[1]);
            let read =
                read_path(&folder.join("spectra").join(&name), &ReadOptions::default()).next();
            let spectrum = read.expect("one spectrum").expect("readable");
            Sample { name, chlorine: row[5].to_owned(), spectrum }
        })
        .collect()
}

fn with_fringes(spectrum: &Spectrum, share: f64, thickness_um: f64) -> Spectrum {
    let values = spectrum.absorbances();
    let lowest = values.iter().copied().fold(f64::INFINITY, f64::min);
    let strongest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max) - lowest;
    let turn = std::f64::consts::TAU * 2.0 * 1.5 * thickness_um * 1.0e-4;
    let fringed = spectrum
        .wavenumbers_cm1()
        .iter()
        .zip(values)
        .map(|(x, a)| a + share * strongest * (turn * x + 0.7).cos());
    spectrum.clone().with_absorbances(fringed.collect(), Step::new("defect")).expect("finite")
}

/// A cosine of known period over bands without wings, in steps that differ: found wherever its period lies between those tried,
/// and to the digit.
#[test]
fn the_period_of_fringes_is_found_wherever_it_lies() {
    for spacing in [0.96, 1.93, 4.0] {
        let count = (3600.0 / spacing) as usize;
        let axis: Vec<f64> = (0..count).map(|i| 400.0 + spacing * i as f64).collect();
        let bands =
            [(2950.0, 0.3, 20.0), (1730.0, 0.6, 10.0), (1240.0, 0.8, 14.0), (750.0, 0.4, 9.0)];
        let clear: Vec<f64> = axis
            .iter()
            .map(|x| {
                0.02 + bands
                    .iter()
                    .map(|(at, h, w)| h * (-((x - at) / w).powi(2)).exp())
                    .sum::<f64>()
            })
            .collect();
        let clear = Spectrum::new(SpectrumParts::new(axis, clear)).expect("a spectrum");
        for step in 0..40 {
            // From nine fringes between the ends of the stretches without bands to four points a fringe.
            let thickness_um = 8.0 * (70.0_f64 / 8.0).powf(f64::from(step) / 39.0);
            let period = 1.0e4 / (2.0 * 1.5 * thickness_um);
            if period < 5.0 * spacing {
                continue;
            }
            let spectrum = with_fringes(&clear, 0.04, thickness_um);
            let found = Fringes::strongest(&spectrum).expect("long enough");
            let off = (found.period_cm1 / period - 1.0).abs();
            assert!(off < 5.0e-4, "{period} in steps of {spacing}: {found:?}");
            let quick = examine(&spectrum).fringes_in(&spectrum);
            assert_eq!(quick, Some(found), "{period} in steps of {spacing}");
        }
    }
}

#[test]
fn spectra_without_fringes_are_not_touched() {
    let samples = samples();
    let examiner = Examiner::new(Tables::built_in());
    let touched: Vec<&str> = samples
        .par_iter()
        .filter(|sample| {
            let found = examiner.examine(sample.spectrum.clone()).expect("examined");
            found.fitness.ripple() > 0.0
        })
        .map(|sample| sample.name.as_str())
        .collect();
    println!("{} of {} touched: {touched:?}", touched.len(), samples.len());
    assert!(touched.len() as f64 <= TOUCHED * samples.len() as f64, "{touched:?}");
}

/// The figures that docs/check.md gives are those of today.
#[test]
fn the_guide_says_how_many_spectra_are_touched() {
    let all = labelled(|set, class| class == "in-table" || set == MIRRORS);
    if all.is_empty() {
        return;
    }
    let examiner = Examiner::new(Tables::built_in());
    let touched = |on_mirrors: bool| -> (usize, usize) {
        let asked: Vec<&Sample> =
            all.iter().filter(|s| s.name.starts_with(MIRRORS) == on_mirrors).collect();
        let is_touched = |sample: &&&Sample| {
            let found = examiner.examine(sample.spectrum.clone()).expect("examined");
            found.fitness.ripple() > 0.0
        };
        (asked.par_iter().filter(is_touched).count(), asked.len())
    };
    let ((clean, of), (mirrored, particles)) = (touched(false), touched(true));
    let guide =
        include_str!("../../docs/check.md").split_whitespace().collect::<Vec<_>>().join(" ");
    let clean = if clean == 0 { "none".to_owned() } else { clean.to_string() };
    let said = format!(
        "Of {of} measured spectra of materials in the table, all in ATR or transmission, it touches {clean}; \
         of {particles} particles on a mirror, {mirrored}."
    );
    assert!(guide.contains(&said), "docs/check.md should say: {said}");
}

#[test]
fn chlorine_is_neither_invented_nor_denied_where_fringes_were_taken_out() {
    let samples = samples();
    let examiner = Examiner::new(Tables::built_in());
    // About 613 cm⁻¹ a film of 12 µm has fringes as wide as C–Cl bands apart; 25 and 60 µm are finer.
    let cases: Vec<(&Sample, f64, f64)> = samples
        .iter()
        .enumerate()
        // All that bear chlorine, and one in four of the others.
        .filter(|(number, sample)| sample.chlorine == "yes" || number.is_multiple_of(4))
        .flat_map(|(_, sample)| {
            [(0.03, 25.0), (0.05, 60.0), (0.15, 12.0)].map(|(a, d)| (sample, a, d))
        })
        .collect();
    let answers: Vec<(String, &str, ChlorineBands, bool)> = cases
        .par_iter()
        .map(|(sample, share, thickness_um)| {
            let spoilt = with_fringes(&sample.spectrum, *share, *thickness_um);
            let found = examiner.examine(spoilt).expect("examined");
            let removed = found.fitness.ripple() > 0.0;
            let name = format!("{} {share} {thickness_um}", sample.name);
            (name, sample.chlorine.as_str(), found.identification.chlorine.bands, removed)
        })
        .collect();
    let count = |chlorine: &str, bands: ChlorineBands| {
        answers.iter().filter(|a| a.1 == chlorine && a.2 == bands && a.3).count()
    };
    for chlorine in ["yes", "no"] {
        let [shown, not, open] =
            [ChlorineBands::Present, ChlorineBands::NotDetected, ChlorineBands::CannotTell]
                .map(|bands| count(chlorine, bands));
        println!("chlorine {chlorine}: shown {shown}, not detected {not}, cannot tell {open}");
    }
    let false_ones: Vec<&String> = answers
        .iter()
        .filter(|(_, chlorine, bands, _)| {
            matches!(
                (*chlorine, *bands),
                ("yes", ChlorineBands::NotDetected) | ("no", ChlorineBands::Present)
            )
        })
        .map(|(name, ..)| name)
        .collect();
    assert!(false_ones.is_empty(), "{false_ones:#?}");
    let removed = answers.iter().filter(|answer| answer.3).count();
    println!("taken out of {removed} of {}", answers.len());
    assert!(removed as f64 >= 0.95 * answers.len() as f64);
}

fn soft_band_spectrum(fringe: f64) -> Spectrum {
    let bands = [
        (613.0, 0.2, 22.0),
        (690.0, 0.1, 26.0),
        (964.0, 0.1, 25.0),
        (1255.0, 0.2, 30.0),
        (1330.0, 0.1, 14.0),
        (1427.0, 0.2, 14.0),
        (2912.0, 0.1, 30.0),
    ];
    let axis: Vec<f64> = (0..1866).map(|i| 400.0 + 1.929 * f64::from(i)).collect();
    let values = axis.iter().map(|x| {
        let bands = bands.iter().map(|(c, h, w)| h / (1.0 + (2.0 * (x - c) / w).powi(2)));
        // A film of 20 µm at index 1.5: 1/(2 n d) = 166.7 cm⁻¹.
        bands.sum::<f64>() + fringe * (std::f64::consts::TAU * x / 166.67).cos()
    });
    let values = values.collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum")
}

#[test]
fn the_removal_is_said_in_the_warnings_the_steps_and_the_findings_and_can_be_switched_off() {
    let examiner = Examiner::new(Tables::built_in());
    let found = examiner.examine(soft_band_spectrum(0.01)).expect("examined");
    let entry = found.clone().into_entry();
    let warning = entry.warnings.iter().find(|w| w.id == "fringes-removed").expect("said");
    assert!(warning.text.contains("20.0 µm") && warning.text.contains("0.0100"), "{warning:?}");
    let step = entry.steps.iter().find(|s| s.name == "remove fringes").expect("a step");
    let setting = |name: &str| -> f64 {
        let (_, value) = step.settings.iter().find(|(n, _)| n == name).expect("a setting");
        value.parse().expect("a number")
    };
    assert!((setting("thickness_um") / 20.0 - 1.0).abs() < 0.02);
    assert!((setting("amplitude") / 0.01 - 1.0).abs() < 0.02);
    let finding = found.fitness.finding("fringes").expect("a finding");
    assert_eq!(finding.severity, Severity::Limits);
    assert!(finding.consequence.contains("taken out before the judgement"), "{finding:?}");
    assert!(finding.remedy.contains("--keep-fringes"), "{finding:?}");
    assert!(found.fitness.ripple() > 0.0);
    // Ageing is not read where as much of the fringes may be left as ageing changes.
    let read = examiner.ageing(&found, Some("PVC"), None);
    assert!(!read.markers.is_empty());
    for marker in &read.markers {
        assert_eq!(marker.state, MarkerState::Refused, "{marker:?}");
    }
    assert!(format!("{:?}", read.markers).contains("fringes were taken out"));

    let kept = Examiner::new(Tables::built_in()).keeping_fringes();
    let found = kept.examine(soft_band_spectrum(0.01)).expect("examined");
    assert!(found.fitness.ripple() == 0.0 && found.spectrum.warnings().is_empty());
    let plain = examiner.examine(soft_band_spectrum(0.0)).expect("examined");
    assert!(plain.fitness.ripple() == 0.0 && plain.into_entry().warnings.is_empty());
}
