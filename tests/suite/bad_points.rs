//! Single bad points: put into samples and measured spectra they are found, bridged and said, and change no
//! answer; in measured spectra as they are none is found but where the detector is at its ceiling.
//!
//! No published list of dropped readings was found: a zero, a negative value and a spike are what exports
//! of damaged interferograms and logged detectors show (common practice, no source).

use std::path::{Path, PathBuf};

use bandlore::{
    Examiner, Identification, ReadOptions, Spectrum, Tables,
    fitness::bad_points,
    read_path,
    spectrum::{Origin, SpectrumParts},
};
use rayon::prelude::*;

/// Steps of positions at which points are put in, as shares of the length: nothing special about them.
const PLACES: [f64; 5] = [0.07, 0.23, 0.41, 0.66, 0.87];

/// The only set whose files hold such points: transmission through a thick film, at the detector's ceiling.
const AT_THE_CEILING: &str = "silicone-cure";

fn spectrum_of(path: &Path) -> Option<Spectrum> {
    read_path(path, &ReadOptions::default()).next()?.ok()
}

/// The same spectrum with one bad value at each place, alone or in a pair.
fn damaged(spectrum: &Spectrum, value: f64, row: usize) -> (Spectrum, Vec<usize>) {
    let mut values = spectrum.absorbances().to_vec();
    let mut at = Vec::new();
    for place in PLACES {
        let first = (place * values.len() as f64) as usize;
        for i in first..(first + row).min(values.len()) {
            values[i] = value;
            at.push(i);
        }
    }
    let mut parts = SpectrumParts::new(spectrum.wavenumbers_cm1().to_vec(), values);
    parts.flags = spectrum.flags().to_vec();
    parts.mode = (spectrum.mode(), Origin::User);
    parts.ordinate = (spectrum.ordinate(), Origin::User);
    (Spectrum::new(parts).expect("a spectrum"), at)
}

type Answer = (String, Option<String>, Vec<String>, Option<String>, String);

/// What a user reads first. What lies within or on the main component is left out: a trace of titania that
/// is only just named in one weathered piece goes by any change of its noise.
fn said(found: &Identification) -> Answer {
    let main = found.components.first().map(|c| c.id.clone());
    let chlorine = format!("{:?} {:?}", found.chlorine.bands, found.chlorine.by_identity);
    let outcome = format!("{:?}", found.outcome);
    (outcome, found.material.clone(), found.candidates.clone(), main, chlorine)
}

/// Puts bad points into each spectrum; returns how many were put in and found, and the answers that changed
/// where all were found.
fn judged(paths: &[PathBuf]) -> (usize, usize, Vec<String>) {
    let examiner = Examiner::new(Tables::built_in());
    let one = |path: &PathBuf| {
        let Some(clean) = spectrum_of(path) else { return (0, 0, Vec::new()) };
        let (plain, _) = damaged(&clean, f64::NAN, 0);
        let before = said(&examiner.examine(plain).expect("examined").identification);
        let highest = clean.absorbances().iter().copied().fold(f64::MIN, f64::max);
        let (mut put, mut found, mut changed) = (0, 0, Vec::new());
        for (value, row) in [(0.0, 1), (-0.5 * highest, 1), (2.0 * highest, 1), (1.5 * highest, 2)]
        {
            let (bad, at) = damaged(&clean, value, row);
            let seen: Vec<usize> = bad_points(&bad).iter().map(|point| point.index).collect();
            // A zero where the spectrum rests at zero is no bad point.
            let stands_out =
                |i: &&usize| (clean.absorbances()[**i] - value).abs() > 0.01 * highest.abs();
            put += at.iter().filter(stands_out).count();
            found += at.iter().filter(stands_out).filter(|i| seen.contains(i)).count();
            if at.iter().filter(stands_out).any(|i| !seen.contains(i)) {
                continue;
            }
            let examined = examiner.examine(bad).expect("examined");
            if !seen.is_empty() {
                let warned = examined.spectrum.warnings().iter().any(|w| w.id == "bad-points");
                assert!(warned, "{}: not said", path.display());
            }
            let after = said(&examined.identification);
            if after != before {
                changed.push(format!(
                    "{} with {value} x{row}: {before:?} -> {after:?}",
                    path.display()
                ));
            }
        }
        (put, found, changed)
    };
    paths.par_iter().map(one).reduce(
        || (0, 0, Vec::new()),
        |mut a, b| {
            a.2.extend(b.2);
            (a.0 + b.0, a.1 + b.1, a.2)
        },
    )
}

#[test]
fn bad_points_in_samples_are_found_and_change_no_answer() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder.join("spectra"))
        .expect("the samples")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 10, "{paths:?}");
    let (put, found, changed) = judged(&paths);
    println!("samples: {found} of {put} bad points found");
    assert!(found as f64 >= 0.9 * put as f64, "{found} of {put}");
    assert!(changed.is_empty(), "{changed:#?}");
}

fn measured() -> Option<Vec<PathBuf>> {
    let shared = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared"));
    if !shared.is_dir() {
        println!("skipped 1: {} is not there", shared.display());
        return None;
    }
    let folder = shared.join("measured-spectra");
    let mut labels = csv::Reader::from_path(folder.join("labels.csv")).expect("labels");
    let path = |row: csv::StringRecord| folder.join("spectra").join(&row[0]).join(&row[1]);
    Some(labels.records().map(|row| path(row.expect("a row of labels"))).collect())
}

#[test]
fn no_real_band_is_taken_for_a_bad_point() {
    let Some(paths) = measured() else { return };
    let bad: Vec<String> = paths
        .par_iter()
        .filter_map(|path| {
            let found = bad_points(&spectrum_of(path)?);
            (!found.is_empty()).then(|| format!("{}: {found:?}", path.display()))
        })
        .collect();
    println!("{} of {} measured spectra hold bad points: {bad:#?}", bad.len(), paths.len());
    assert!(bad.iter().all(|line| line.contains(AT_THE_CEILING)), "{bad:#?}");
}

#[test]
fn bad_points_in_measured_spectra_change_no_answer() {
    let Some(paths) = measured() else { return };
    let some: Vec<PathBuf> = paths.into_iter().step_by(6).collect();
    let (put, found, changed) = judged(&some);
    println!("{} measured spectra: {found} of {put} bad points found", some.len());
    assert!(found as f64 >= 0.9 * put as f64, "{found} of {put}");
    // A ratio that lies on a limit may fall to its other side: at most one in 200.
    assert!(200 * changed.len() <= put, "{changed:#?}");
}
