//! Each finding of the fitness checks fires where it must, and stays away where it must not.
//!
//! The spectra are made here, so that nothing but the defect named can be the cause.

use std::collections::BTreeSet;

use crate::disturbances::LINES;
use bandlore::{
    ReadOptions, Spectrum,
    fitness::{Finding, ScaleFault, Severity, check_film, examine, examine_fully},
    read_bytes,
    spectrum::{MeasurementMode, Ordinate, Origin, PointFlag, SpectrumParts},
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

const SEED: u64 = 2_027;

/// Position, height and full width of the bands of the spectrum without defects.
const BANDS: [(f64, f64, f64); 9] = [
    (520.0, 0.08, 14.0),
    (700.0, 0.30, 12.0),
    (870.0, 0.12, 16.0),
    (1030.0, 0.22, 18.0),
    (1180.0, 0.16, 20.0),
    (1455.0, 0.25, 14.0),
    (1730.0, 0.40, 18.0),
    (2860.0, 0.10, 20.0),
    (2930.0, 0.18, 24.0),
];

fn axis(low: f64, step: f64) -> Vec<f64> {
    (0..).map(|i| low + step * f64::from(i)).take_while(|x| *x <= 4000.0).collect()
}

fn normal(random: &mut ChaCha8Rng) -> f64 {
    (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0
}

/// The bands on a level baseline, with the little noise of a good measurement.
fn values(axis: &[f64]) -> Vec<f64> {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    axis.iter()
        .map(|x| {
            let bands: f64 =
                BANDS.iter().map(|(c, h, w)| h / (1.0 + (2.0 * (x - c) / w).powi(2))).sum();
            0.01 + bands + 2.0e-4 * normal(&mut random)
        })
        .collect()
}

fn spectrum(axis: Vec<f64>, values: Vec<f64>) -> Spectrum {
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}

fn plain() -> Spectrum {
    let axis = axis(400.0, 1.929);
    let values = values(&axis);
    spectrum(axis, values)
}

/// The plain spectrum with each absorbance changed, given its wavenumber.
fn changed(change: impl FnMut((&f64, &f64)) -> f64) -> Spectrum {
    let plain = plain();
    let values = plain.wavenumbers_cm1().iter().zip(plain.absorbances()).map(change).collect();
    spectrum(plain.wavenumbers_cm1().to_vec(), values)
}

fn parts() -> SpectrumParts {
    let plain = plain();
    SpectrumParts::new(plain.wavenumbers_cm1().to_vec(), plain.absorbances().to_vec())
}

fn built(parts: SpectrumParts) -> Spectrum {
    Spectrum::new(parts).expect("valid")
}

/// The plain spectrum from a wavenumber on.
fn from(low: f64) -> Spectrum {
    let axis = axis(low, 1.929);
    let values = values(&axis);
    spectrum(axis, values)
}

/// A weighted mean over sinc², which an instrument of this resolution gives.
fn at_resolution(resolution_cm1: f64) -> Spectrum {
    let plain = plain();
    let (axis, values) = (plain.wavenumbers_cm1(), plain.absorbances());
    let smoothed = axis
        .iter()
        .map(|x| {
            let (mut sum, mut weight) = (0.0, 0.0);
            for (at, value) in axis.iter().zip(values) {
                let u = std::f64::consts::PI * (at - x) / resolution_cm1;
                let w = if u == 0.0 { 1.0 } else { (u.sin() / u).powi(2) };
                sum += w * value;
                weight += w;
            }
            sum / weight
        })
        .collect();
    spectrum(axis.to_vec(), smoothed)
}

/// Bands turned by a quarter: the closed form of a Lorentz band's Hilbert transform.
fn turned() -> Spectrum {
    let axis = axis(400.0, 1.929);
    let values = axis
        .iter()
        .map(|x| {
            BANDS
                .iter()
                .map(|(c, h, w)| {
                    let u = 2.0 * (x - c) / w;
                    h * u / (1.0 + u * u)
                })
                .sum::<f64>()
        })
        .collect();
    spectrum(axis, values)
}

fn spoilt(id: &str) -> Spectrum {
    let mut random = ChaCha8Rng::seed_from_u64(SEED + 1);
    match id {
        "signal-to-noise" => changed(|(_, a)| a + 0.05 * normal(&mut random)),
        "poor-contact" => changed(|(_, a)| 0.01 * a + 1.0e-4 * normal(&mut random)),
        "noisy-range" => {
            changed(|(x, a)| a + if *x < 560.0 { 0.3 * normal(&mut random) } else { 0.0 })
        }
        "offset" => changed(|(_, a)| a + 1.5),
        "slope" => changed(|(x, a)| a + 1.5 * (x - 400.0) / 3600.0),
        "inverted" => changed(|(_, a)| 0.3 - a),
        "reflection-shape" => turned(),
        "saturated" => {
            let mut parts = parts();
            parts.flags = vec![PointFlag::Measured; parts.absorbances.len()];
            parts.flags[700..704].fill(PointFlag::Saturated);
            built(parts)
        }
        "flattened" => changed(|(_, a)| -((10f64.powf(-10.0 * a) + 0.03) / 1.03).log10()),
        "strong-absorbance" => {
            let mut parts = parts();
            parts.absorbances.iter_mut().for_each(|a| *a *= 5.0);
            parts.mode = (MeasurementMode::Transmission, Origin::User);
            built(parts)
        }
        "clipped" => changed(|(_, a)| a.min(0.28)),
        "coarse-ordinate" => changed(|(_, a)| (a / 0.02).round() * 0.02),
        "normalised" => {
            let mut parts = parts();
            parts.ordinate = (Ordinate::RelativeAbsorbance, Origin::User);
            built(parts)
        }
        "range" => from(900.0),
        "spacing" => {
            let axis = axis(400.0, 8.0);
            let values = values(&axis);
            spectrum(axis, values)
        }
        "padding" => {
            let mut parts = parts();
            parts.flags = vec![PointFlag::Measured; parts.absorbances.len()];
            parts.flags[..40].fill(PointFlag::Padded);
            built(parts)
        }
        "smoothed" => at_resolution(8.0),
        "resolution" => at_resolution(16.0),
        "water-vapour" => changed(|(x, a)| {
            let lines = LINES.iter().map(|l| l.1 / (1.0 + ((x - l.0) / 2.5).powi(2)));
            a - 0.02 * lines.sum::<f64>()
        }),
        "carbon-dioxide" => changed(|(x, a)| a + 0.1 / (1.0 + ((x - 2349.0) / 12.0).powi(2))),
        "fringes" => changed(|(x, a)| a + 0.02 * (std::f64::consts::TAU * x / 90.0).cos()),
        "c-cl-613" | "c-cl-635" | "c-cl-690" => from(705.0),
        other => panic!("no spectrum for {other}"),
    }
}

/// What a spectrum must carry to count as found: a raised severity, or the note itself.
const RAISED: [&str; 21] = [
    "c-cl-613",
    "c-cl-635",
    "c-cl-690",
    "carbon-dioxide",
    "clipped",
    "coarse-ordinate",
    "flattened",
    "fringes",
    "inverted",
    "noisy-range",
    "offset",
    "poor-contact",
    "range",
    "reflection-shape",
    "resolution",
    "saturated",
    "signal-to-noise",
    "slope",
    "spacing",
    "strong-absorbance",
    "water-vapour",
];

/// Worth knowing, but no fault: they never rise above a note.
const NOTES: [&str; 3] = ["normalised", "padding", "smoothed"];

/// Always there, as figures.
const FIGURES: [&str; 2] = ["band-shape", "strongest-band"];

fn raised(finding: Option<&Finding>) -> bool {
    finding.is_some_and(|finding| finding.severity > Severity::Note)
}

#[test]
fn each_finding_fires_on_its_defect_and_not_without_it() {
    let clean = examine_fully(&plain());
    for finding in clean.findings() {
        assert_eq!(finding.severity, Severity::Note, "{finding:?}");
    }
    for id in RAISED {
        assert!(!raised(clean.finding(id)), "{id} fires on a clean spectrum");
        let found = examine_fully(&spoilt(id));
        assert!(raised(found.finding(id)), "{id} does not fire: {:?}", found.findings());
    }
    for id in NOTES {
        assert!(clean.finding(id).is_none(), "{id} fires on a clean spectrum");
        assert!(examine_fully(&spoilt(id)).finding(id).is_some(), "{id} does not fire");
    }
    let (height, at) = clean.strongest();
    assert!((height - 0.4).abs() < 0.01 && (at - 1730.0).abs() < 2.0);
    assert!(clean.finding("band-shape").is_some());
    assert!(examine(&spoilt("inverted")).finding("band-shape").is_none());
}

#[test]
fn each_finding_says_what_it_means_and_what_to_do() {
    let known: BTreeSet<&str> = RAISED.into_iter().chain(NOTES).chain(FIGURES).collect();
    for id in RAISED.into_iter().chain(NOTES) {
        for finding in examine_fully(&spoilt(id)).findings() {
            assert!(known.contains(finding.id.as_str()), "{} has no test here", finding.id);
            assert!(!finding.consequence.is_empty(), "{finding:?}");
            if finding.severity > Severity::Note {
                assert!(!finding.remedy.is_empty(), "{finding:?}");
                let figures = finding.value.is_some() && finding.limit.is_some();
                assert!(figures || finding.id.starts_with("c-cl-"), "{finding:?}");
            }
        }
    }
}

#[test]
fn a_stated_resolution_counts_where_the_data_show_no_end() {
    let with = |stated: &str, spectrum: &Spectrum| {
        let mut parts = SpectrumParts::new(
            spectrum.wavenumbers_cm1().to_vec(),
            spectrum.absorbances().to_vec(),
        );
        parts.provenance.stated_resolution = Some(stated.to_owned());
        let fitness = examine_fully(&built(parts));
        fitness.finding("resolution").cloned().expect("told")
    };
    assert_eq!(with("4", &plain()).value, Some(4.0));
    let sixteen = with("16.0 cm-1", &plain());
    assert_eq!((sixteen.value, sixteen.severity), (Some(16.0), Severity::Limits));
    let contradicted = with("4", &at_resolution(16.0));
    assert_eq!(contradicted.severity, Severity::Limits);
    assert!(contradicted.value.is_some_and(|value| (14.0..19.0).contains(&value)));
}

/// Polystyrene's bands at their published places (European Pharmacopoeia 2.2.24), moved.
fn film(factor: f64, offset: f64) -> Spectrum {
    let axis = axis(600.0, 1.0);
    let bands = [
        (1028.3, 0.20, 10.0),
        (1154.5, 0.10, 10.0),
        (1583.0, 0.12, 7.0),
        (1601.2, 0.30, 9.0),
        (1942.9, 0.10, 16.0),
        (2849.5, 0.25, 18.0),
        (3060.0, 0.25, 16.0),
    ];
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let values = axis
        .iter()
        .map(|x| {
            let at = (x - offset) / factor;
            let bands: f64 =
                bands.iter().map(|(c, h, w)| h / (1.0 + (2.0 * (at - c) / w).powi(2))).sum();
            0.02 + bands + 1.0e-4 * normal(&mut random)
        })
        .collect();
    let mut parts = SpectrumParts::new(axis, values);
    parts.mode = (MeasurementMode::Transmission, Origin::User);
    built(parts)
}

#[test]
fn strong_bands_are_left_out_of_a_film_measured_in_atr() {
    let film = film(1.0, 0.0);
    let mut parts =
        SpectrumParts::new(film.wavenumbers_cm1().to_vec(), film.absorbances().to_vec());
    // One band far stronger than the others: 1601.2 alone is still above three tenths of it.
    parts.absorbances.iter_mut().zip(film.wavenumbers_cm1()).for_each(|(a, x)| {
        *a += 0.75 / (1.0 + ((x - 698.0) / 5.0).powi(2));
    });
    parts.mode = (MeasurementMode::Transmission, Origin::User);
    let strong = built(parts.clone());
    assert_eq!(check_film(&strong, |_| 1.0e-4).expect("a film").bands.len(), 7);
    parts.mode = (MeasurementMode::Atr, Origin::User);
    let bands = check_film(&built(parts), |_| 1.0e-4).expect("a film").bands;
    assert!(bands.iter().all(|band| band.nominal != 1601.2), "{bands:?}");
    assert_eq!(bands.len(), 6);
}

#[test]
fn the_film_findings_fire_on_their_fault_alone() {
    let fired = |factor: f64, offset: f64| -> Vec<String> {
        let spectrum = film(factor, offset);
        let fitness = examine(&spectrum);
        let check = check_film(&spectrum, |at| fitness.noise_sd_at(at)).expect("a film");
        assert_eq!(check.bands.len(), 7, "{check:?}");
        check.findings().into_iter().filter(|f| raised(Some(f))).map(|f| f.id).collect()
    };
    assert!(fired(1.0, 0.0).is_empty(), "{:?}", fired(1.0, 0.0));
    assert_eq!(fired(1.001, 0.0), ["scale-error", "film-bands"]);
    assert_eq!(fired(1.0, 3.0), ["scale-shift", "film-bands"]);
}

#[test]
fn scale_errors_and_offsets_are_told_apart_at_every_level() {
    // Injected: 100 to 1000 ppm, and 0.5 to 4 cm⁻¹; recovered within 0.1 cm⁻¹ from end to end.
    let check = |factor: f64, offset: f64| {
        let spectrum = film(factor, offset);
        let fitness = examine(&spectrum);
        check_film(&spectrum, |at| fitness.noise_sd_at(at)).expect("a film")
    };
    assert_eq!(check(1.0, 0.0).fault, ScaleFault::None);
    for ppm in [-1000.0, -500.0, -300.0, -100.0, 100.0, 300.0, 500.0, 1000.0] {
        let found = check(1.0 + ppm * 1.0e-6, 0.0);
        assert_eq!(found.fault, ScaleFault::Scale, "{ppm} ppm: {found:?}");
        assert!((found.error_ppm() - ppm).abs() * 3.0e-3 < 0.1, "{ppm} ppm: {found:?}");
        assert!((found.k * (1.0 + ppm * 1.0e-6) - 1.0).abs() * 3000.0 < 0.1);
        assert!(found.k_interval.0 <= found.k && found.k <= found.k_interval.1);
    }
    for offset in [-4.0, -2.0, -1.0, -0.5, 0.5, 1.0, 2.0, 4.0] {
        let found = check(1.0, offset);
        assert_eq!(found.fault, ScaleFault::Shift, "{offset} cm⁻¹: {found:?}");
        assert!((found.offset_cm1() - offset).abs() < 0.1, "{offset} cm⁻¹: {found:?}");
        assert_eq!(found.k, 1.0);
    }
    let both = check(1.001, -4.0);
    assert_eq!(both.fault, ScaleFault::Both, "{both:?}");
}

#[test]
fn a_file_that_contradicts_its_own_ordinate_is_not_judged() {
    // Absorbances of an invented film under a heading of percent transmittance.
    let mut text = String::from("cm-1,%T\n");
    let axis = axis(650.0, 4.0);
    for (x, y) in axis.iter().zip(values(&axis)) {
        text.push_str(&format!("{x},{y}\n"));
    }
    let read = |options: ReadOptions| {
        let mut all = read_bytes(text.as_bytes(), "lie.csv", &options);
        all.next().expect("one spectrum").expect("readable")
    };
    let taken = examine(&read(ReadOptions::default()));
    assert_eq!(taken.unfit().map(|finding| finding.id.as_str()), Some("ordinate-doubtful"));
    let said = ReadOptions::default().with_ordinate(Ordinate::Absorbance);
    assert!(examine(&read(said)).unfit().is_none());
}
