//! Defects put into clean spectra must be found, and clean spectra left alone.
//!
//! The levels are those of `docs/defect-levels.md`. Clean spectra are ATR spectra computed from measured
//! optical constants and measured spectra with published labels, both from `../shared`, and
//! synthetic ones that are always there.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use crate::disturbances::LINES;
use approx::assert_abs_diff_eq;
use bandlore::{
    Spectrum,
    fitness::{
        Finding, Fitness, Fringes, ScaleFault, Severity, check_film, examine, examine_fully,
        fourier_magnitudes, remove_fringes, subtract_vapour,
    },
    read_path,
    spectrum::{MeasurementMode, Origin, SpectrumParts},
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Seed of every random test in this file.
const SEED: u64 = 1_921;

/// Found in at least 95 of 100, flagged in at most 2 of 100 clean ones.
const FOUND: f64 = 0.95;
const FLAGGED: f64 = 0.02;

fn shared(name: &str) -> Option<PathBuf> {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared")).join(name);
    path.exists().then_some(path)
}

fn lorentz(x: f64, centre: f64, height: f64, fwhm: f64) -> f64 {
    height / (1.0 + (2.0 * (x - centre) / fwhm).powi(2))
}

fn normal(random: &mut ChaCha8Rng) -> f64 {
    (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0
}

/// Spectra of random bands on a level baseline, with a little noise.
fn synthetic(random: &mut ChaCha8Rng) -> Spectrum {
    let bands: Vec<(f64, f64, f64)> = (0..14)
        .map(|i| {
            let centre = if i < 11 {
                random.random_range(450.0..1790.0)
            } else {
                random.random_range(2830.0..3080.0)
            };
            (centre, random.random_range(0.02..0.4), random.random_range(9.0..28.0))
        })
        .collect();
    let axis: Vec<f64> = (0..1866).map(|i| 400.0 + 1.929 * f64::from(i)).collect();
    let values = axis
        .iter()
        .map(|x| {
            bands.iter().map(|(c, h, w)| lorentz(*x, *c, *h, *w)).sum::<f64>()
                + 0.01
                + 2.0e-4 * normal(random)
        })
        .collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}

/// Whether to ask of the spectra that no limit was chosen on: other sets, mixtures, and what is in no table
/// (`BANDLORE_FITNESS=others cargo test --test suite fitness`).
fn others() -> bool {
    std::env::var("BANDLORE_FITNESS").is_ok_and(|value| value == "others")
}

/// Measured development spectra of plastics on an even grid of 4 cm⁻¹ instruments.
fn measured() -> Vec<(String, Spectrum)> {
    let Some(folder) = shared("measured-spectra") else { return Vec::new() };
    let labels = std::fs::read_to_string(folder.join("labels.csv")).expect("labels");
    let mut found = Vec::new();
    for line in labels.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [dataset, file] = [cells[0], cells[1]];
        // Sets measured in ATR over a whole range, whose labels are not in doubt.
        let taken = ["common-items-675", "sea-exposed", "cellulose-acetate-ds", "reference-c"];
        let limits_from = taken.contains(&dataset) && line.contains(",in-table,");
        // Known to be turned, hardly touched or full of fringes as they are.
        let spoilt = ["student-items", "silicone-cure", "reflection-micro"].contains(&dataset);
        if limits_from == others() || spoilt {
            continue;
        }
        let path = folder.join("spectra").join(dataset).join(file);
        if let Some(Ok(spectrum)) = read_path(&path, &Default::default()).next() {
            found.push((file.to_owned(), spectrum));
        }
    }
    found
}

/// A spectrum without defects and what the full examination says of it.
struct Clean {
    name: String,
    spectrum: Spectrum,
    fitness: Fitness,
}

/// Every third measured one, and thirty synthetic ones; examined once for all tests.
fn clean() -> &'static [Clean] {
    static CLEAN: OnceLock<Vec<Clean>> = OnceLock::new();
    CLEAN.get_or_init(|| {
        let mut random = ChaCha8Rng::seed_from_u64(SEED);
        let mut all: Vec<(String, Spectrum)> = measured().into_iter().step_by(3).collect();
        if all.is_empty() {
            println!("skipped 1: ../shared/measured-spectra is not here; synthetic spectra alone");
        }
        all.extend((0..30).map(|i| (format!("synthetic {i}"), synthetic(&mut random))));
        all.into_iter()
            .map(|(name, spectrum)| Clean { fitness: examine_fully(&spectrum), name, spectrum })
            .collect()
    })
}

fn strongest(spectrum: &Spectrum) -> f64 {
    examine(spectrum).strongest().0
}

/// The same spectrum with other absorbances.
fn with(spectrum: &Spectrum, values: Vec<f64>) -> Spectrum {
    spectrum
        .clone()
        .with_absorbances(values, bandlore::spectrum::Step::new("defect"))
        .expect("finite")
}

/// Puts a defect into every clean spectrum and counts what is found.
fn found_in(
    id: &str,
    defect: impl Fn(&Spectrum, &mut ChaCha8Rng) -> Spectrum,
    counts: impl Fn(&Finding) -> bool,
) {
    // The full examination is needed only where it alone looks for the defect.
    let look = if ["resolution", "fringes"].contains(&id) { examine_fully } else { examine };
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let (mut found, mut missed, mut flagged) = (0, Vec::new(), Vec::new());
    let clean = clean();
    for Clean { name, spectrum, fitness } in clean {
        if fitness.finding(id).is_some_and(&counts) {
            flagged.push(name.clone());
            continue;
        }
        let spoilt = look(&defect(spectrum, &mut random));
        if spoilt.finding(id).is_some_and(&counts) {
            found += 1;
        } else {
            missed.push(name.clone());
        }
    }
    let tried = found + missed.len();
    println!(
        "{id}: found {found} of {tried} ({:.1} %), flagged {} of {} clean ({:.1} %)",
        100.0 * found as f64 / tried as f64,
        flagged.len(),
        clean.len(),
        100.0 * flagged.len() as f64 / clean.len() as f64
    );
    assert!(found as f64 >= FOUND * tried as f64, "{id} missed in {missed:?}");
    assert!(flagged.len() as f64 <= FLAGGED * clean.len() as f64, "{id} flagged in {flagged:?}");
}

fn not_a_note(finding: &Finding) -> bool {
    finding.severity != Severity::Note
}

#[test]
fn finds_noise_that_drowns_every_band() {
    found_in(
        "signal-to-noise",
        |spectrum, random| {
            let sd = strongest(spectrum) / 8.0;
            let values = spectrum.absorbances().iter().map(|a| a + sd * normal(random)).collect();
            with(spectrum, values)
        },
        not_a_note,
    );
}

#[test]
fn finds_a_spectrum_upside_down() {
    found_in(
        "inverted",
        |spectrum, _| with(spectrum, spectrum.absorbances().iter().map(|a| 0.3 - a).collect()),
        not_a_note,
    );
}

#[test]
fn finds_poor_contact() {
    found_in(
        "poor-contact",
        |spectrum, random| {
            // The wave decays in an air gap at 1/(2π ν √(n₁² sin²θ − 1)); both ways through 0.3 µm.
            let through = |x: f64| {
                let depth_um = 1.0e4 / (2.0 * std::f64::consts::PI * x * 1.371);
                (-2.0 * 0.3 / depth_um).exp()
            };
            let weaker: Vec<f64> = spectrum
                .wavenumbers_cm1()
                .iter()
                .zip(spectrum.absorbances())
                .map(|(x, a)| a * through(*x))
                .collect();
            let top = strongest(&with(spectrum, weaker.clone()));
            let noise = 1.0e-4;
            let values = weaker.iter().map(|a| a * 0.008 / top + noise * normal(random)).collect();
            with(spectrum, values)
        },
        not_a_note,
    );
}

fn vapour_at(x: f64, strengths: &[f64]) -> f64 {
    LINES.iter().zip(strengths).map(|(line, s)| lorentz(x, line.0, *s, 5.0)).sum()
}

/// Bands of the sample cover single lines among the carbonyls: a comb above 3600 cm⁻¹ as well tells.
#[test]
fn finds_water_vapour_where_bands_cover_lines_of_it() {
    const TRIED: usize = 200;
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let found = (0..TRIED)
        .filter(|_| {
            let spectrum = synthetic(&mut random);
            let spoilt = with_vapour(&spectrum, &mut random);
            examine(&spoilt).finding("water-vapour").is_some_and(not_a_note)
        })
        .count();
    println!("water vapour: found in {found} of {TRIED}");
    assert!(found as f64 >= FOUND * TRIED as f64, "{found}");
}

#[test]
fn finds_water_vapour() {
    found_in("water-vapour", with_vapour, not_a_note);
}

fn with_vapour(spectrum: &Spectrum, random: &mut ChaCha8Rng) -> Spectrum {
    let top = 0.08 * strongest(spectrum);
    let strengths: Vec<f64> =
        LINES.iter().map(|line| top * line.1 * random.random_range(0.75..1.25)).collect();
    let values = spectrum
        .wavenumbers_cm1()
        .iter()
        .zip(spectrum.absorbances())
        .map(|(x, a)| a + vapour_at(*x, &strengths))
        .collect();
    with(spectrum, values)
}

#[test]
fn finds_fringes() {
    found_in(
        "fringes",
        |spectrum, random| {
            let thickness_um = random.random_range(12.0..60.0);
            let phase = random.random_range(0.0..std::f64::consts::TAU);
            let size = 0.05 * strongest(spectrum);
            with_fringes(spectrum, thickness_um, size, phase)
        },
        not_a_note,
    );
}

fn with_fringes(spectrum: &Spectrum, thickness_um: f64, size: f64, phase: f64) -> Spectrum {
    let turn = std::f64::consts::TAU * 2.0 * 1.5 * thickness_um * 1.0e-4;
    let values = spectrum
        .wavenumbers_cm1()
        .iter()
        .zip(spectrum.absorbances())
        .map(|(x, a)| a + size * (turn * x + phase).cos())
        .collect();
    with(spectrum, values)
}

#[test]
fn fringes_give_the_thickness_within_two_per_cent_and_can_be_taken_out() {
    // d = 1 / (2 n Δν), the textbook relation of a film with parallel faces.
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    for thickness_um in [12.0, 17.0, 23.5, 40.0, 60.0, 100.0, 160.0] {
        let plain = synthetic(&mut random);
        let spoilt = with_fringes(&plain, thickness_um, 0.01, 1.0);
        let fringes = Fringes::strongest(&spoilt).expect("measured");
        let found = fringes.thickness_um(1.5);
        assert!((found / thickness_um - 1.0).abs() < 0.02, "{found} for {thickness_um}");
        let restored = remove_fringes(&spoilt, fringes).expect("measured");
        let worst = restored
            .absorbances()
            .iter()
            .zip(plain.absorbances())
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f64::max);
        assert!(worst < 0.003, "{worst} left of 0.01 at {thickness_um}");
        assert_eq!(restored.history().last().map(|s| s.name.as_str()), Some("remove fringes"));
    }
}

#[test]
fn finds_flattened_bands() {
    found_in(
        "flattened",
        |spectrum, _| {
            let factor = 4.0 / strongest(spectrum);
            let stray = 0.03;
            let ground = spectrum.absorbances().iter().copied().fold(f64::INFINITY, f64::min);
            let values = spectrum
                .absorbances()
                .iter()
                .map(|a| {
                    let light = 10f64.powf(-factor * (a - ground));
                    -((light + stray) / (1.0 + stray)).log10()
                })
                .collect();
            with(spectrum, values)
        },
        not_a_note,
    );
}

#[test]
fn finds_clipped_bands() {
    found_in(
        "clipped",
        |spectrum, _| {
            let fitness = examine(spectrum);
            let (height, at) = fitness.strongest();
            let top = spectrum.absorbance_at(at).expect("inside") - 0.3 * height;
            with(spectrum, spectrum.absorbances().iter().map(|a| a.min(top)).collect())
        },
        not_a_note,
    );
}

#[test]
fn finds_bands_turned_by_reflection() {
    found_in(
        "reflection-shape",
        |spectrum, _| with(spectrum, turned(spectrum.absorbances())),
        not_a_note,
    );
}

/// The Hilbert transform by its definition: a sum over odd distances (slow, and all its own).
fn turned(values: &[f64]) -> Vec<f64> {
    let n = values.len();
    let mean = values.iter().sum::<f64>() / n as f64;
    (0..n)
        .map(|i| {
            (0..n)
                .filter(|j| i.abs_diff(*j) % 2 == 1)
                .map(|j| (values[j] - mean) / (i as f64 - j as f64))
                .sum::<f64>()
                * 2.0
                / std::f64::consts::PI
        })
        .collect()
}

/// What an instrument of lower resolution with triangular apodisation measures: each point is a mean
/// weighted by sinc² (the transform of a triangle).
fn at_resolution(spectrum: &Spectrum, resolution_cm1: f64) -> Spectrum {
    let axis = spectrum.wavenumbers_cm1();
    let values = spectrum.absorbances();
    // On an even axis the weight depends on the distance in points alone.
    let spacing = (axis[axis.len() - 1] - axis[0]) / (axis.len() - 1) as f64;
    let weights: Vec<f64> = (0..axis.len())
        .map(|k| {
            let u = std::f64::consts::PI * spacing * k as f64 / resolution_cm1;
            if k == 0 { 1.0 } else { (u.sin() / u).powi(2) }
        })
        .collect();
    let smoothed = (0..axis.len())
        .map(|i| {
            let (mut sum, mut weight) = (0.0, 0.0);
            for (j, value) in values.iter().enumerate() {
                let w = weights[i.abs_diff(j)];
                sum += w * value;
                weight += w;
            }
            sum / weight
        })
        .collect();
    with(spectrum, smoothed)
}

#[test]
fn finds_sixteen_wavenumber_resolution() {
    found_in("resolution", |spectrum, _| at_resolution(spectrum, 16.0), not_a_note);
}

#[test]
fn measures_eight_wavenumber_resolution() {
    // Between 6 and 11 in 95 of 100 of all spectra, measured ones too.
    let (mut found, mut missed) = (0, Vec::new());
    for Clean { name, spectrum, .. } in clean() {
        let fitness = examine_fully(&at_resolution(spectrum, 8.0));
        let value = fitness.finding("resolution").and_then(|finding| finding.value);
        if value.is_some_and(|value| (6.0..=11.0).contains(&value)) {
            found += 1;
        } else {
            missed.push(format!("{name}: {value:?}"));
        }
    }
    println!("8 cm⁻¹ read as 6 to 11: {found} of {}", found + missed.len());
    assert!(found as f64 >= FOUND * (found + missed.len()) as f64, "{missed:?}");
}

#[test]
fn clean_spectra_are_hardly_ever_called_unfit() {
    let all = measured();
    if all.is_empty() {
        println!("skipped 1: ../shared/measured-spectra is not here");
        return;
    }
    let unfit: Vec<String> = all
        .iter()
        .filter_map(|(name, spectrum)| {
            examine(spectrum).unfit().map(|finding| format!("{name}: {}", finding.id))
        })
        .collect();
    println!("{} of {} clean measured spectra called unfit", unfit.len(), all.len());
    assert!(unfit.len() as f64 <= FLAGGED * all.len() as f64, "{unfit:?}");
}

#[test]
fn spectra_without_contact_or_with_a_bad_background_are_unfit() {
    // An open student project (MIT): two spectra of noise, five with the bands of an eraser upside down.
    let Some(folder) = shared("measured-spectra/spectra/student-items") else {
        println!("skipped 1: ../shared/measured-spectra is not here");
        return;
    };
    for (file, id) in [
        ("UltimakerPLA.csv", "poor-contact"),
        ("raise3dpla.csv", "poor-contact"),
        ("GIgi_nylon8.csv", "inverted"),
        ("Hin_Nylon.csv", "inverted"),
        ("Lucas_board_2.csv", "inverted"),
        ("PLAA.csv", "inverted"),
        ("paper_ermil.csv", "inverted"),
    ] {
        let spectrum = read_path(&folder.join(file), &Default::default())
            .next()
            .expect("one spectrum")
            .expect("readable");
        let fitness = examine(&spectrum);
        assert_eq!(fitness.unfit().map(|finding| finding.id.as_str()), Some(id), "{file}");
    }
}

#[test]
fn a_noisy_end_is_not_usable_and_the_rest_is() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let plain = synthetic(&mut random);
    let values = plain
        .wavenumbers_cm1()
        .iter()
        .zip(plain.absorbances())
        .map(|(x, a)| a + if *x < 560.0 { 0.3 * normal(&mut random) } else { 0.0 })
        .collect();
    let fitness = examine(&with(&plain, values));
    assert!(!fitness.usable(430.0, 520.0));
    assert!(fitness.usable(700.0, 3900.0));
    assert!(fitness.finding("noisy-range").is_some());
    assert!(fitness.noise_sd_at(450.0) > 20.0 * fitness.noise_sd_at(2000.0));
}

#[test]
fn the_chlorine_region_is_judged_band_by_band() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let whole = synthetic(&mut random);
    let cut = |from: f64| {
        let start = whole.window(from, 4000.0).start;
        let axis = whole.wavenumbers_cm1()[start..].to_vec();
        Spectrum::new(SpectrumParts::new(axis, whole.absorbances()[start..].to_vec()))
            .expect("valid")
    };
    let state = |from: f64, id: &str| examine(&cut(from)).finding(id).map(|f| f.severity);
    assert_eq!(state(400.0, "c-cl-613"), Some(Severity::Note));
    assert_eq!(state(576.0, "c-cl-613"), Some(Severity::Note));
    assert_eq!(state(590.0, "c-cl-613"), Some(Severity::Limits));
    let one_sided = examine(&cut(590.0));
    let words = &one_sided.finding("c-cl-613").expect("judged").consequence;
    assert!(words.contains("one side"), "{words}");
    let words = examine(&cut(650.0)).finding("c-cl-613").expect("judged").consequence.clone();
    assert!(words.starts_with("not testable"), "{words}");
    assert_eq!(state(650.0, "c-cl-690"), Some(Severity::Note));
}

#[test]
fn measured_vapour_is_subtracted_with_its_factor() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let sample = synthetic(&mut random);
    let strengths: Vec<f64> = LINES.iter().map(|_| random.random_range(0.005..0.02)).collect();
    let air: Vec<f64> =
        sample.wavenumbers_cm1().iter().map(|x| vapour_at(*x, &strengths)).collect();
    let wet = sample.absorbances().iter().zip(&air).map(|(a, v)| a - 0.6 * v).collect();
    let vapour = with(&sample, air);
    let done = subtract_vapour(&with(&sample, wet), &vapour).expect("lines");
    assert_abs_diff_eq!(done.subtraction.factor, -0.6, epsilon = 0.08);
    assert!(done.subtraction.factor_error < 0.1 && done.subtraction.residual <= 1.0);
}

#[test]
fn the_fourier_transform_agrees_with_scipy() {
    // scipy 1.17.1, scipy.fft.rfft of cos(0.7 i) + 0.25 sin(2.1 i) for i = 0..12, padded to 16.
    let values: Vec<f64> =
        (0..12).map(|i| (0.7 * f64::from(i)).cos() + 0.25 * (2.1 * f64::from(i)).sin()).collect();
    let expected = [
        1.9219974885176283,
        3.1102465564724158,
        5.968181283277603,
        0.6185733614460319,
        1.0831930221723831,
        2.088283366905515,
        0.646410098550788,
        0.49678352775572726,
        0.5947741328964372,
    ];
    let found = fourier_magnitudes(&values, 16);
    assert_eq!(found.len(), expected.len());
    for (a, b) in found.iter().zip(expected) {
        assert_abs_diff_eq!(*a, b, epsilon = 1e-10);
    }
}

/// A polystyrene film in transmission, from measured optical constants where they are here.
fn film(factor: f64, offset: f64) -> Option<Spectrum> {
    let path = shared("measured-spectra/spectra/film-and-paper/polystyrene.csv")?;
    let measured = read_path(&path, &Default::default()).next()?.ok()?;
    moved(&measured, factor, offset)
}

/// The measured constants of polystyrene (refractiveindex.info, CC0) as a film: k times wavenumber.
fn film_of_constants(factor: f64, offset: f64) -> Option<Spectrum> {
    let text = std::fs::read_to_string(shared("optical-constants/PS_M_nk_atr.csv")?).ok()?;
    let rows: Vec<[f64; 3]> = text
        .lines()
        .filter_map(|line| {
            let cells: Vec<f64> = line.split(',').filter_map(|c| c.parse().ok()).collect();
            Some([*cells.first()?, *cells.get(1)?, *cells.get(2)?])
        })
        .collect();
    let axis = rows.iter().map(|row| row[0]).collect();
    let values = rows.iter().map(|row| 4.0e-3 * row[0] * row[2]).collect();
    let mut parts = SpectrumParts::new(axis, values);
    parts.mode = (MeasurementMode::Transmission, Origin::User);
    moved(&Spectrum::new(parts).ok()?, factor, offset)
}

fn moved(spectrum: &Spectrum, factor: f64, offset: f64) -> Option<Spectrum> {
    let axis = spectrum.wavenumbers_cm1().iter().map(|x| x * factor + offset).collect();
    let mut parts = SpectrumParts::new(axis, spectrum.absorbances().to_vec());
    parts.mode = (spectrum.mode(), spectrum.mode_origin());
    Spectrum::new(parts).ok()
}

#[test]
fn scale_errors_and_offsets_of_a_film_are_told_apart_and_recovered() {
    for (name, film) in [
        ("measured", &film as &dyn Fn(f64, f64) -> Option<Spectrum>),
        ("constants", &film_of_constants),
    ] {
        let Some(plain) = film(1.0, 0.0) else {
            println!("skipped 1: ../shared is not here ({name})");
            continue;
        };
        let check = |spectrum: &Spectrum| {
            let fitness = examine(spectrum);
            check_film(spectrum, |at| fitness.noise_sd_at(at)).expect("a film")
        };
        let own = check(&plain);
        println!("{name}: {own:?}");
        assert!(own.bands.len() >= 5, "{name}: {:?}", own.bands);
        for ppm in [-1000.0, -300.0, 100.0, 500.0, 1000.0] {
            let found = check(&film(1.0 + ppm * 1.0e-6, 0.0).expect("moved"));
            for ((at, deviation), (_, before)) in found.deviations.iter().zip(&own.deviations) {
                let recovered = deviation - before;
                assert_abs_diff_eq!(recovered, at * ppm * 1.0e-6, epsilon = 0.1);
            }
            let change = found.shift.value - own.shift.value;
            assert!(change.abs() < 0.1, "{name}: a scale error of {ppm} read as offset {change}");
            assert!(found.bands.len() >= 5);
        }
        for offset in [-4.0, -0.5, 0.5, 1.0, 2.0, 4.0] {
            let found = check(&film(1.0, offset).expect("moved"));
            assert_abs_diff_eq!(found.shift.value - own.shift.value, offset, epsilon = 0.1);
            let change = (found.scale_ppm.value - own.scale_ppm.value) * 3.0e-3;
            assert!(change.abs() < 0.1, "{name}: an offset of {offset} read as scale, {change}");
        }
        let far = check(&film(1.0, own.shift.value.signum() * 4.0).expect("moved"));
        assert!(matches!(far.fault, ScaleFault::Shift | ScaleFault::Both), "{:?}", far.fault);
        // Clear of the film's own deviations, the two faults are also told apart by name.
        for ppm in [-1000.0, 1000.0] {
            let found = check(&film(1.0 + ppm * 1.0e-6, 0.0).expect("moved"));
            let named = matches!(found.fault, ScaleFault::Scale | ScaleFault::Both);
            assert!(named || name == "measured", "{name}, {ppm} ppm: {:?}", found.fault);
        }
    }
}

#[test]
fn what_is_no_film_is_refused() {
    let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
    let values = axis.iter().map(|x| lorentz(*x, 1730.0, 0.4, 20.0)).collect();
    let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
    let error = check_film(&spectrum, |_| 1.0e-4).expect_err("no film");
    assert!(error.to_string().contains("polystyrene"), "{error}");
}

#[test]
fn nothing_that_can_be_read_breaks_the_checks() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    for _ in 0..300 {
        let count = random.random_range(8..400);
        let mut x = random.random_range(1.0..4000.0);
        let axis: Vec<f64> = (0..count)
            .map(|_| {
                x += random.random_range(0.001..30.0);
                x
            })
            .collect();
        let size = 10f64.powi(random.random_range(-20..20));
        let values = (0..count)
            .map(|i| if i % 7 == 0 { 0.0 } else { size * random.random_range(-1.0..1.0) })
            .collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let fitness = examine_fully(&spectrum);
        assert!(!fitness.findings().is_empty());
    }
}
