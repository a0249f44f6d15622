//! Peak picking against scipy's figures, closed forms and properties.
//!
//! `tests/golden/peaks.csv` comes from numpy 2.4.6 and scipy 1.17.1.

use std::path::Path;

use approx::assert_abs_diff_eq;
use bandlore::{
    Spectrum,
    peaks::{Peak, Peaks, pick},
    prepare::prepare,
    spectrum::SpectrumParts,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Seed of every random test in this file.
const SEED: u64 = 20_240_917;

struct Table {
    names: Vec<String>,
    rows: Vec<Vec<f64>>,
}

impl Table {
    fn golden(name: &str) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
        let text = std::fs::read_to_string(&path).expect("a golden file");
        let mut lines = text.lines();
        let names = lines.next().expect("a header").split(',').map(str::to_owned).collect();
        let numbers = |line: &str| line.split(',').map(|c| c.parse().expect("a number")).collect();
        Self { names, rows: lines.map(numbers).collect() }
    }

    fn column(&self, name: &str) -> Vec<f64> {
        let place = self.names.iter().position(|n| n == name).expect("a column of that name");
        self.rows.iter().map(|row| row[place]).collect()
    }
}

fn lorentz(x: f64, centre: f64, height: f64, fwhm: f64) -> f64 {
    height / (1.0 + (2.0 * (x - centre) / fwhm).powi(2))
}

fn picked(axis: &[f64], values: Vec<f64>) -> Peaks {
    let spectrum = Spectrum::new(SpectrumParts::new(axis.to_vec(), values)).expect("valid");
    let prepared = prepare(&spectrum).expect("prepared");
    pick(&spectrum, &prepared)
}

fn golden() -> Peaks {
    let table = Table::golden("spectrum.csv");
    picked(&table.column("wavenumber"), table.column("y"))
}

fn axis() -> Vec<f64> {
    (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect()
}

fn nearest(peaks: &Peaks, centre: f64) -> &Peak {
    let away = |peak: &Peak| (peak.position_cm1 - centre).abs();
    peaks.list.iter().min_by(|a, b| away(a).total_cmp(&away(b))).expect("some peak")
}

#[test]
fn peaks_are_the_minima_that_scipy_finds_clear_of_the_noise() {
    let table = Table::golden("peaks.csv");
    let (positions, curvatures) = (table.column("position"), table.column("curvature"));
    // Thirteen minima stand ten times higher than all others, which are noise.
    let highest = curvatures.iter().copied().fold(0.0, f64::max);
    let clear = |curvature: &f64| *curvature > 0.1 * highest;
    let clear = positions.iter().zip(&curvatures).filter(|(_, curvature)| clear(curvature));
    let expected: Vec<f64> = clear.map(|(position, _)| *position).collect();
    let found: Vec<f64> = golden().list.iter().map(|peak| peak.position_cm1).collect();
    assert_eq!((found.len(), expected.len()), (13, 13), "{found:?}");
    for (a, b) in found.iter().zip(&expected) {
        assert_abs_diff_eq!(a, b, epsilon = 1e-4);
    }
}

#[test]
fn positions_between_points_come_out_within_a_tenth_of_the_spacing() {
    // A band's own centre is the outside figure; the points lie 2 cm⁻¹ apart.
    let centres = [805.3, 1104.9, 1428.7, 1723.1, 2919.6];
    let axis = axis();
    let values =
        axis.iter().map(|x| centres.iter().map(|c| lorentz(*x, *c, 0.3, 22.0)).sum()).collect();
    let peaks = picked(&axis, values);
    assert_eq!(peaks.list.len(), centres.len());
    assert!((peaks.strongest - 0.3).abs() < 0.02, "{}", peaks.strongest);
    for centre in centres {
        let peak = nearest(&peaks, centre);
        assert!((peak.position_cm1 - centre).abs() < 0.2, "{peak:?}");
        assert!((peak.share - 1.0).abs() < 0.07 && !peak.at_least, "{peak:?}");
    }
}

#[test]
fn a_shoulder_without_a_top_of_its_own_is_found() {
    // Two Lorentz bands 20 cm⁻¹ apart, the second a quarter as high: their sum has one maximum.
    let axis = axis();
    let values: Vec<f64> = axis
        .iter()
        .map(|x| lorentz(*x, 1720.0, 0.6, 20.0) + lorentz(*x, 1740.0, 0.15, 14.0))
        .collect();
    let tops = values.windows(3).filter(|three| three[0] < three[1] && three[1] >= three[2]);
    assert_eq!(tops.count(), 1);
    let peaks = picked(&axis, values);
    assert_eq!(peaks.list.len(), 2, "{:?}", peaks.list);
    assert!((peaks.list[1].position_cm1 - 1740.0).abs() < 4.0, "{:?}", peaks.list);
}

#[test]
fn noise_alone_gives_no_peak() {
    // Five standard deviations of the second derivative, 34,000 points: chance gives none.
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let axis = axis();
    for _ in 0..20 {
        let values = axis
            .iter()
            .map(|x| {
                let normal = (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0;
                lorentz(*x, 1730.0, 0.5, 20.0) + 0.001 * normal
            })
            .collect();
        let peaks = picked(&axis, values);
        assert_eq!(peaks.list.len(), 1, "{:?}", peaks.list);
    }
}

#[test]
fn scale_and_offset_move_no_peak() {
    let table = Table::golden("spectrum.csv");
    let (axis, values) = (table.column("wavenumber"), table.column("y"));
    let moved = picked(&axis, values.iter().map(|y| 0.25 * y - 0.1).collect());
    let plain = golden();
    assert_eq!(plain.list.len(), moved.list.len());
    assert_abs_diff_eq!(0.25 * plain.strongest, moved.strongest, epsilon = 1e-6);
    for (a, b) in plain.list.iter().zip(&moved.list) {
        assert_abs_diff_eq!(a.position_cm1, b.position_cm1, epsilon = 1e-5);
        assert_abs_diff_eq!(a.share, b.share, epsilon = 1e-5);
        assert_abs_diff_eq!(a.weight, b.weight, epsilon = 1e-5);
    }
}

#[test]
fn every_band_of_the_golden_spectrum_is_picked() {
    // Centres from the list the spectrum was made of.
    let peaks = golden();
    for centre in [
        698.0, 752.5, 842.0, 1028.0, 1093.0, 1241.5, 1452.0, 1493.0, 1724.0, 2849.0, 2924.0, 3026.0,
    ] {
        let peak = nearest(&peaks, centre);
        assert!((peak.position_cm1 - centre).abs() < 1.5, "{centre}: {peak:?}");
    }
}

#[test]
fn few_digits_cost_no_band() {
    // Bands down to a twelfth of the strongest on a background that slopes by a step in some 14 points, written to four
    // decimal places: between the bands one value stands over and over, and tells nothing of the noise.
    let bands = [
        (720.0, 0.015),
        (841.0, 0.02),
        (973.0, 0.03),
        (1167.0, 0.02),
        (1376.0, 0.12),
        (1459.0, 0.08),
        (2838.0, 0.09),
        (2917.0, 0.18),
    ];
    let axis: Vec<f64> = (0..3400).map(|i| 600.0 + f64::from(i)).collect();
    let exact = |x: f64| {
        bands.map(|(at, height)| lorentz(x, at, height, 12.0)).iter().sum::<f64>() + 7.0e-6 * x
    };
    let rounded = |places: i32| {
        let step = 10.0_f64.powi(-places);
        picked(&axis, axis.iter().map(|x| (exact(*x) / step).round() * step).collect())
    };
    let few = rounded(4);
    for (at, height) in bands {
        let peak = nearest(&few, at);
        assert!((peak.position_cm1 - at).abs() < 1.5, "{at}: {:?}", few.list);
        assert!((peak.share - height / 0.18).abs() < 0.02, "{at}: {peak:?}");
    }
    // Nothing else: a step of the ordinate is no band.
    assert_eq!(few.list.len(), bands.len(), "{:?}", few.list);
    // With a step of two thirds of the weakest band's height bands of eight steps and more are still sure.
    let coarse = rounded(2);
    for at in [1376.0, 1459.0, 2838.0, 2917.0] {
        assert!((nearest(&coarse, at).position_cm1 - at).abs() < 4.0, "{at}: {:?}", coarse.list);
    }
}

#[test]
fn masked_points_and_a_flat_line_have_no_peak() {
    let axis = axis();
    let flat = picked(&axis, vec![0.2; axis.len()]);
    assert!(flat.list.is_empty() && flat.strongest == 0.0);
    let band = axis.iter().map(|x| lorentz(*x, 1000.0, 0.3, 20.0) + lorentz(*x, 1730.0, 0.3, 20.0));
    let spectrum = Spectrum::new(SpectrumParts::new(axis.clone(), band.collect())).expect("valid");
    let masked = spectrum.with_mask(980.0, 1020.0, "for the test");
    let prepared = prepare(&masked).expect("prepared");
    let peaks = pick(&masked, &prepared);
    assert_eq!(peaks.list.len(), 1, "{:?}", peaks.list);
    assert!((peaks.list[0].position_cm1 - 1730.0).abs() < 0.5);
}
