//! The wavenumber scale on a polystyrene film: faults put into measured ones are told apart by name and
//! recovered, and what ATR does to the film's bands is computed.
//!
//! Films: a measured spectrum from an open set and one from measured optical constants (refractiveindex.info,
//! CC0), both in `../shared`. Published places: European Pharmacopoeia 5.0, chapter 2.2.24.

use std::path::Path;

use crate::fresnel;
use bandlore::{
    ReadOptions, Spectrum,
    fitness::{FilmCheck, FilmPlaces, ScaleFault, check_film, check_film_against, examine},
    read_path,
    spectrum::{MeasurementMode, Origin, SpectrumParts},
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Recovered within this, in cm⁻¹.
const RECOVERED_CM1: f64 = 0.1;

fn measured() -> Option<Spectrum> {
    let path = Path::new(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../shared/measured-spectra/spectra/film-and-paper/polystyrene.csv"
    ));
    if !path.exists() {
        println!("skipped 1: {} is not here", path.display());
        return None;
    }
    read_path(path, &ReadOptions::default()).next().expect("one").ok()
}

fn spectrum(axis: Vec<f64>, values: Vec<f64>, mode: MeasurementMode) -> Spectrum {
    let mut parts = SpectrumParts::new(axis, values);
    parts.mode = (mode, Origin::User);
    Spectrum::new(parts).expect("a spectrum")
}

fn of_constants() -> Option<Spectrum> {
    let rows = fresnel::constants("PS_M_nk_atr.csv", 1.0)?;
    let (axis, values) = rows.iter().map(|(v, _, k)| (*v, 4.0e-3 * v * k)).unzip();
    Some(spectrum(axis, values, MeasurementMode::Transmission))
}

/// Another day: the axis moved, and noise of its own.
fn another_day(film: &Spectrum, ppm: f64, offset_cm1: f64, seed: u64) -> Spectrum {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let strongest = film.absorbances().iter().copied().fold(0.0, f64::max);
    let axis = film.wavenumbers_cm1().iter().map(|x| x * (1.0 + ppm * 1.0e-6) + offset_cm1);
    let values = film.absorbances().iter().map(|a| {
        let normal = (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0;
        a + 1.0e-4 * strongest * normal
    });
    spectrum(axis.collect(), values.collect(), film.mode())
}

fn against(now: &Spectrum, before: &Spectrum) -> FilmCheck {
    let (a, b) = (examine(now), examine(before));
    check_film_against(now, |at| a.noise_sd_at(at), before, |at| b.noise_sd_at(at)).expect("a film")
}

#[test]
fn faults_are_told_apart_by_name_and_recovered_against_the_film_measured_before() {
    for (name, film) in [("measured", measured()), ("constants", of_constants())] {
        let Some(film) = film else { continue };
        let mut cases: Vec<(f64, f64, ScaleFault)> = vec![(0.0, 0.0, ScaleFault::None)];
        for ppm in [100.0, 200.0, 300.0, 500.0, 1000.0] {
            cases.extend([(ppm, 0.0, ScaleFault::Scale), (-ppm, 0.0, ScaleFault::Scale)]);
        }
        for offset in [0.5, 1.0, 2.0, 4.0] {
            cases.extend([(0.0, offset, ScaleFault::Shift), (0.0, -offset, ScaleFault::Shift)]);
        }
        cases.extend([(500.0, 1.0, ScaleFault::Both), (1000.0, -4.0, ScaleFault::Both)]);
        for (number, (ppm, offset, fault)) in cases.into_iter().enumerate() {
            let found = against(&another_day(&film, ppm, offset, number as u64 + 1), &film);
            println!(
                "{name} {ppm} ppm {offset} cm⁻¹: {:?}, {:.1} ppm, {:.3} cm⁻¹, {} bands",
                found.fault,
                found.error_ppm(),
                found.offset_cm1(),
                found.bands.len()
            );
            assert_eq!(found.places, FilmPlaces::Before);
            assert!(found.bands.len() >= 5, "{found:?}");
            assert_eq!(found.fault, fault, "{name} {ppm} {offset}: {found:?}");
            for at in [600.0, 1700.0, 3000.0] {
                let expected = at * ppm * 1.0e-6 + offset;
                let recovered = at * found.error_ppm() * 1.0e-6 + found.offset_cm1();
                assert!((recovered - expected).abs() <= RECOVERED_CM1, "{name} {at}: {found:?}");
            }
        }
    }
}

#[test]
fn a_band_that_contradicts_all_others_is_set_aside_and_larger_faults_get_their_name() {
    let Some(film) = measured() else { return };
    let check = |film: &Spectrum| {
        let fitness = examine(film);
        check_film(film, |at| fitness.noise_sd_at(at)).expect("a film")
    };
    let own = check(&film);
    println!("{own:?}");
    assert!(own.set_aside.is_some_and(|band| (band.nominal - 2849.5).abs() < 0.1), "{own:?}");
    assert!(own.bands.len() >= 5 && own.places == FilmPlaces::Published);
    // This film's axis is off by 1.4 to 1.9 cm⁻¹ all along, more than ATR moves such bands by.
    assert_eq!(own.fault, ScaleFault::Shift);
    // Below that the published places, ±1.0 cm⁻¹ each, name nothing: the film measured before does.
    for (ppm, offset, fault) in [
        (0.0, 4.0, ScaleFault::Shift),
        (0.0, -4.0, ScaleFault::Shift),
        (0.0, -0.5, ScaleFault::Shift),
    ] {
        let found = check(&another_day(&film, ppm, offset, 7));
        assert_eq!(found.fault, fault, "{ppm} {offset}: {found:?}");
    }
}

#[test]
fn atr_lowers_the_films_weak_bands_by_less_than_is_said() {
    let Some(rows) = fresnel::constants("PS_M_nk_atr.csv", 1.0) else {
        println!("skipped 1: ../shared/optical-constants is not here");
        return;
    };
    let axis: Vec<f64> = rows.iter().map(|row| row.0).collect();
    let through = rows.iter().map(|(v, _, k)| 4.0e-3 * v * k).collect();
    let atr = rows.iter().map(|(v, n, k)| fresnel::absorbance_behind_gap(*v, *n, *k, 0.0));
    let atr = spectrum(axis.clone(), atr.collect(), MeasurementMode::Atr);
    let through = spectrum(axis, through, MeasurementMode::Transmission);
    let found = against(&atr, &through);
    assert!(found.bands.len() >= 5);
    for band in &found.bands {
        let shift = band.centroid - band.nominal;
        println!("{:.1}: {shift:.2}", band.nominal);
        assert!((-0.6..=0.1).contains(&shift), "{band:?}");
    }
}

#[test]
fn a_film_that_is_none_is_refused_on_either_day() {
    let Some(film) = of_constants() else { return };
    let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
    let flat = spectrum(axis, vec![0.1; 1700], MeasurementMode::Transmission);
    assert!(check_film_against(&film, |_| 1.0e-4, &flat, |_| 1.0e-4).is_err());
    assert!(check_film_against(&flat, |_| 1.0e-4, &film, |_| 1.0e-4).is_err());
}
