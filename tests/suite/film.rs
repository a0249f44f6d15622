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

/// Places, heights and widths of an invented film's bands; the places are the published ones.
const INVENTED: [(f64, f64, f64); 7] = [
    (1028.3, 0.20, 10.0),
    (1154.5, 0.10, 10.0),
    (1583.0, 0.12, 7.0),
    (1601.2, 0.30, 9.0),
    (1942.9, 0.10, 16.0),
    (2849.5, 0.25, 18.0),
    (3060.0, 0.25, 16.0),
];

/// An invented film of Gaussian bands, points 1 cm⁻¹ apart.
fn invented() -> Spectrum {
    let axis: Vec<f64> = (0..2601).map(|i| 700.0 + f64::from(i)).collect();
    let band = |x: f64, (at, height, width): (f64, f64, f64)| {
        height * (-4.0 * std::f64::consts::LN_2 * ((x - at) / width).powi(2)).exp()
    };
    let values = axis.iter().map(|x| INVENTED.iter().map(|b| band(*x, *b)).sum()).collect();
    spectrum(axis, values, MeasurementMode::Transmission)
}

fn in_transmission(film: &Spectrum, value: impl Fn(usize, f64) -> f64) -> Spectrum {
    let values = film.absorbances().iter().enumerate().map(|(i, a)| value(i, *a)).collect();
    spectrum(film.wavenumbers_cm1().to_vec(), values, MeasurementMode::Transmission)
}

/// What moves a film's axis is named, recovered, and known as well as seven bands that repeat to 0.02 cm⁻¹ know it.
#[test]
fn an_invented_film_against_itself_gives_what_moved_its_axis() {
    let film = invented();
    let before = another_day(&film, 0.0, 0.0, 1);
    for (ppm, offset_cm1, fault) in [
        (0.0, 0.0, ScaleFault::None),
        (60.0, 0.0, ScaleFault::Scale),
        (-60.0, 0.0, ScaleFault::Scale),
        (0.0, 0.1, ScaleFault::Shift),
        (0.0, -1.2, ScaleFault::Shift),
        (150.0, -0.25, ScaleFault::Both),
    ] {
        let check = against(&another_day(&film, ppm, offset_cm1, 2), &before);
        assert_eq!((check.places, check.bands.len()), (FilmPlaces::Before, 7));
        assert_eq!(check.fault, fault, "{ppm} {offset_cm1}: {check:?}");
        let truth = |at: f64| ppm * 1.0e-6 * at + offset_cm1;
        for band in &check.bands {
            let moved = band.centroid - band.nominal;
            assert!((moved - truth(band.nominal)).abs() < 0.02, "{ppm} {offset_cm1}: {band:?}");
        }
        for (at, deviation) in &check.deviations {
            assert!((deviation - truth(*at)).abs() < 0.02, "{ppm} {offset_cm1}: {check:?}");
        }
        if fault == ScaleFault::Shift {
            assert!((check.offset_cm1() - offset_cm1).abs() < 0.01, "{check:?}");
            // Two-sided 95 % of Student's t with six degrees of freedom: 2.4469 (printed tables).
            let reach = 2.4469 * 0.02 / 7.0_f64.sqrt();
            let found = (check.offset.high - check.offset.low) / 2.0;
            assert!((found / reach - 1.0).abs() < 0.05, "{found} for {reach}");
        }
    }
}

/// Where noise moves the bands by more than that, the intervals are as wide as repeats scatter, and hold the truth.
#[test]
fn the_interval_of_a_films_offset_is_as_wide_as_noisy_repeats_scatter() {
    let film = invented();
    let before = another_day(&film, 0.0, 0.0, 1);
    let noise_sd = 4.0e-3;
    let found: Vec<FilmCheck> = (0..40)
        .map(|seed| {
            let mut random = ChaCha8Rng::seed_from_u64(700 + seed);
            let mut normal = || (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0;
            let noise: Vec<f64> = film.absorbances().iter().map(|_| noise_sd * normal()).collect();
            let now = in_transmission(&film, |i, a| a + noise[i]);
            check_film_against(&now, |_| noise_sd, &before, |_| 3.0e-5).expect("a film")
        })
        .collect();
    let held = found.iter().filter(|c| c.offset.low <= 0.0 && 0.0 <= c.offset.high).count();
    let count = found.len() as f64;
    let mean = found.iter().map(|c| c.offset.value).sum::<f64>() / count;
    let scatter =
        (found.iter().map(|c| (c.offset.value - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
    let width = found.iter().map(|c| c.offset.high - c.offset.low).sum::<f64>() / count;
    let expected = 2.0 * 2.4469 * scatter;
    assert!(held >= 36, "{held} of 40");
    assert!((0.75..1.6).contains(&(width / expected)), "{width} for {expected}");
}

#[test]
fn a_film_written_to_three_digits_gives_the_bands_of_one_written_in_full() {
    let film = invented();
    // Two neighbours about 2849.5 cm⁻¹ are then the very same height, as others on slopes are.
    let written = in_transmission(&film, |_, a| (a * 1.0e3).round() / 1.0e3);
    let check = check_film(&written, |_| 1.0e-3).expect("a film");
    assert_eq!((check.bands.len(), check.set_aside), (7, None), "{check:?}");
    for band in &check.bands {
        assert!((band.centroid - band.nominal).abs() < 0.15, "{band:?}");
    }
}

/// Neither a baseline that leans nor one that lies high moves a band.
#[test]
fn a_film_on_slanted_ground_gives_the_bands_of_one_on_level_ground() {
    let film = invented();
    let places = |ground: &dyn Fn(f64) -> f64| {
        let axis = film.wavenumbers_cm1();
        let on = in_transmission(&film, |i, a| a + ground(axis[i]));
        let check = check_film(&on, |_| 1.0e-4).expect("a film");
        assert_eq!((check.bands.len(), check.set_aside), (7, None), "{check:?}");
        check.bands
    };
    let level = places(&|_| 0.0);
    let (up, down) = (|x: f64| 4.0e-4 * (x - 700.0), |x: f64| 4.0e-4 * (3300.0 - x));
    for ground in [&|_| 0.4, &up, &down] as [&dyn Fn(f64) -> f64; 3] {
        for (found, expected) in places(ground).iter().zip(&level) {
            assert!((found.centroid - expected.centroid).abs() < 0.2, "{found:?} {expected:?}");
            assert!((found.minimum - expected.minimum).abs() < 0.2, "{found:?} {expected:?}");
        }
    }
}

/// Beside a band its own flanks look like noise, so that it is held against the quietest place about it.
#[test]
fn a_films_band_is_held_against_the_quietest_place_about_it() {
    let film = invented();
    let bands = |quiet: &dyn Fn(f64) -> bool| {
        let noise = |x: f64| if (x - 2849.5).abs() > 100.0 || quiet(x) { 1.0e-4 } else { 1.0 };
        check_film(&film, noise).expect("a film").bands.len()
    };
    assert_eq!(bands(&|_| false), 6);
    for step in -9..=9 {
        let middle = 2849.5 + 10.0 * f64::from(step);
        assert_eq!(bands(&|x| (x - middle).abs() <= 23.0), 7, "quiet about {middle}");
    }
}

/// A band fewer than five settle no scale, on either day, and what is missing is said in numbers.
#[test]
fn five_bands_of_a_film_are_enough_and_four_are_not() {
    let film = invented();
    let cut = |low_cm1: f64| {
        let from = film.wavenumbers_cm1().partition_point(|x| *x < low_cm1);
        let axis = film.wavenumbers_cm1()[from..].to_vec();
        spectrum(axis, film.absorbances()[from..].to_vec(), MeasurementMode::Transmission)
    };
    let quiet = |_: f64| 1.0e-4;
    assert_eq!(check_film(&cut(1300.0), quiet).expect("five").bands.len(), 5);
    let why = check_film(&cut(1575.0), quiet).expect_err("four").to_string();
    assert!(why.starts_with("only 4 of 7 polystyrene bands were found, at least 5"), "{why}");
    for (now, before) in [(&film, &cut(1575.0)), (&cut(1575.0), &film)] {
        assert!(check_film_against(now, quiet, before, quiet).is_err());
    }
    assert!(check_film_against(&film, quiet, &cut(1300.0), quiet).is_ok());
}
