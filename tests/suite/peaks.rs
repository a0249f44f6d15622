//! Peak picking against scipy's figures, closed forms and properties.
//!
//! The golden files in `tests/golden` come from numpy 2.4.6 and scipy 1.17.1.

use std::path::Path;

use approx::assert_abs_diff_eq;
use bandlore::{
    Spectrum,
    peaks::{Peak, PeakKind, PickSettings, keep_distant, local_maxima, pick, prominences, widths},
    prepare::{Ends, Recipe, SavitzkyGolay},
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

    fn indices(&self, name: &str) -> Vec<usize> {
        self.column(name).iter().map(|v| *v as usize).collect()
    }
}

/// What a golden file asks of its peaks.
#[derive(Default)]
struct Asked {
    prominence: f64,
    height: f64,
    distance: usize,
    width: f64,
    reach: Option<usize>,
}

fn compare(values: &[f64], name: &str, asked: &Asked) {
    let golden = Table::golden(name);
    let mut maxima = local_maxima(values);
    maxima.retain(|i| values[*i] >= asked.height);
    if asked.distance > 0 {
        maxima = keep_distant(values, &maxima, asked.distance);
    }
    let ground = prominences(values, &maxima, asked.reach).expect("inside");
    let (maxima, ground): (Vec<_>, Vec<_>) =
        maxima.into_iter().zip(ground).filter(|(_, g)| g.prominence >= asked.prominence).unzip();
    let crossings = widths(values, &maxima, &ground, 0.5);
    let kept: Vec<usize> =
        (0..maxima.len()).filter(|i| crossings[*i].points() >= asked.width).collect();
    let found: Vec<usize> = kept.iter().map(|i| maxima[*i]).collect();
    assert_eq!(found, golden.indices("index"), "{name}");
    let (left, right) = (golden.indices("left_base"), golden.indices("right_base"));
    let columns = [
        ("prominence", kept.iter().map(|i| ground[*i].prominence).collect::<Vec<_>>()),
        ("width_samples", kept.iter().map(|i| crossings[*i].points()).collect()),
        ("width_height", kept.iter().map(|i| crossings[*i].height).collect()),
        ("left_ip", kept.iter().map(|i| crossings[*i].left).collect()),
        ("right_ip", kept.iter().map(|i| crossings[*i].right).collect()),
    ];
    for (place, i) in kept.iter().enumerate() {
        assert_eq!((ground[*i].left_base, ground[*i].right_base), (left[place], right[place]));
    }
    for (column, found) in columns {
        for (a, b) in found.iter().zip(golden.column(column)) {
            assert!((a - b).abs() <= 1e-9, "{name} {column}: {a} instead of {b}");
        }
    }
}

#[test]
fn raw_peaks_agree_with_scipy() {
    let values = Table::golden("spectrum.csv").column("y");
    let asked = |prominence: f64| Asked { prominence, ..Asked::default() };
    compare(&values, "peaks_all.csv", &asked(0.0));
    compare(&values, "peaks_raw_prom0.03.csv", &asked(0.03));
    compare(&values, "peaks_raw_prom0.012.csv", &asked(0.012));
    compare(&values, "peaks_raw_prom0.012_dist15.csv", &Asked { distance: 15, ..asked(0.012) });
    compare(&values, "peaks_raw_prom0.012_width4.csv", &Asked { width: 4.0, ..asked(0.012) });
    compare(&values, "peaks_raw_prom0.012_wlen61.csv", &Asked { reach: Some(61), ..asked(0.012) });
    compare(&values, "peaks_raw_prom0.03_wlen101.csv", &Asked { reach: Some(101), ..asked(0.03) });
    compare(&values, "peaks_raw_height0.5.csv", &Asked { height: 0.5, ..asked(0.0) });
}

#[test]
fn smoothed_peaks_agree_with_scipy() {
    let values = Table::golden("spectrum.csv").column("y");
    let filter = SavitzkyGolay::new(9, 2, 0).expect("a filter");
    let smoothed = filter.filter(&values, 2.0, Ends::Fit).expect("long enough");
    compare(&smoothed, "peaks_sg9_prom0.02.csv", &Asked { prominence: 0.02, ..Asked::default() });
}

#[test]
fn flat_tops_agree_with_scipy() {
    let values = Table::golden("peaks_plateau_input.csv").column("y");
    let golden = Table::golden("peaks_plateau.csv");
    let maxima = local_maxima(&values);
    assert_eq!(maxima, golden.indices("index"));
    let ground = prominences(&values, &maxima, None).expect("inside");
    for (i, prominence) in golden.column("prominence").iter().enumerate() {
        assert_abs_diff_eq!(ground[i].prominence, *prominence, epsilon = 1e-9);
        assert_eq!(ground[i].left_base, golden.indices("left_base")[i]);
        assert_eq!(ground[i].right_base, golden.indices("right_base")[i]);
    }
}

fn lorentz(x: f64, centre: f64, height: f64, fwhm: f64) -> f64 {
    height / (1.0 + (2.0 * (x - centre) / fwhm).powi(2))
}

fn picked(axis: &[f64], values: Vec<f64>) -> Vec<Peak> {
    let spectrum = Spectrum::new(SpectrumParts::new(axis.to_vec(), values)).expect("valid");
    let prepared = Recipe::default().apply(&spectrum).expect("prepared");
    pick(
        prepared.spectrum(),
        prepared.second_derivative(),
        prepared.noise_sd(),
        &PickSettings::default(),
    )
}

fn axis() -> Vec<f64> {
    (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect()
}

fn nearest(peaks: &[Peak], centre: f64) -> &Peak {
    peaks
        .iter()
        .min_by(|a, b| (a.position_cm1 - centre).abs().total_cmp(&(b.position_cm1 - centre).abs()))
        .expect("some peak")
}

#[test]
fn positions_between_points_come_out_within_a_tenth_of_the_spacing() {
    // A band's own centre is the outside figure; the points lie 2 cm⁻¹ apart.
    let centres = [805.3, 1104.9, 1428.7, 1723.1, 2919.6];
    let axis = axis();
    let values =
        axis.iter().map(|x| centres.iter().map(|c| lorentz(*x, *c, 0.3, 22.0)).sum()).collect();
    let peaks = picked(&axis, values);
    for centre in centres {
        let peak = nearest(&peaks, centre);
        assert!((peak.position_cm1 - centre).abs() < 0.2, "{peak:?}");
        assert!((peak.fwhm_cm1 - 22.0).abs() < 2.5 && (peak.height - 0.3).abs() < 0.02, "{peak:?}");
    }
    assert_eq!(peaks.iter().filter(|peak| peak.kind == PeakKind::Maximum).count(), centres.len());
}

#[test]
fn a_shoulder_without_a_top_of_its_own_is_found() {
    // Two Lorentz bands 16 cm⁻¹ apart, the second a third as high: their sum has one maximum.
    let axis = axis();
    let values: Vec<f64> = axis
        .iter()
        .map(|x| lorentz(*x, 1720.0, 0.6, 20.0) + lorentz(*x, 1740.0, 0.15, 14.0))
        .collect();
    assert_eq!(local_maxima(&values).len(), 1);
    let peaks = picked(&axis, values);
    let shoulder = peaks.iter().find(|peak| peak.kind == PeakKind::Shoulder).expect("a shoulder");
    assert!((shoulder.position_cm1 - 1740.0).abs() < 4.0, "{shoulder:?}");
}

#[test]
fn noise_alone_gives_hardly_any_peak() {
    // The limit of detection lets a few through per thousand points, the limit for ratios none.
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let axis = axis();
    let (mut at_three, mut at_six) = (0, 0);
    for _ in 0..20 {
        let values = axis
            .iter()
            .map(|x| {
                let normal = (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0;
                lorentz(*x, 1730.0, 0.5, 20.0) + 0.001 * normal
            })
            .collect();
        let peaks = picked(&axis, values);
        at_three += peaks.len() - 1;
        at_six += peaks.iter().filter(|peak| peak.signal_to_noise >= 6.0).count() - 1;
    }
    assert!(at_three <= 20 * 8 && at_six <= 4, "{at_three} and {at_six} in 20 spectra of noise");
}

#[test]
fn scale_and_offset_move_no_peak() {
    let table = Table::golden("spectrum.csv");
    let (axis, values) = (table.column("wavenumber"), table.column("y"));
    let plain = picked(&axis, values.clone());
    let moved = picked(&axis, values.iter().map(|y| 0.25 * y - 0.1).collect());
    assert_eq!(plain.len(), moved.len());
    assert!(plain.len() >= 13, "{}", plain.len());
    for (a, b) in plain.iter().zip(&moved) {
        assert_abs_diff_eq!(a.position_cm1, b.position_cm1, epsilon = 1e-5);
        assert_abs_diff_eq!(0.25 * a.prominence, b.prominence, epsilon = 1e-7);
        assert_abs_diff_eq!(
            a.signal_to_noise,
            b.signal_to_noise,
            epsilon = 1e-4 * a.signal_to_noise
        );
    }
}

#[test]
fn every_band_of_the_golden_spectrum_is_picked() {
    // Centres from the list the spectrum was made of; overlapping and very broad ones within 12 cm⁻¹.
    let table = Table::golden("spectrum.csv");
    let peaks = picked(&table.column("wavenumber"), table.column("y"));
    for centre in [
        698.0, 752.5, 842.0, 1028.0, 1093.0, 1241.5, 1452.0, 1493.0, 1724.0, 2849.0, 2924.0, 3026.0,
    ] {
        let peak = nearest(&peaks, centre);
        assert!((peak.position_cm1 - centre).abs() < 3.0, "{centre}: {peak:?}");
    }
}

#[test]
fn picking_takes_any_slices() {
    let spectrum = Spectrum::new(SpectrumParts::new(axis(), vec![0.2; 1700])).expect("valid");
    assert!(pick(&spectrum, &[], &[], &PickSettings::default()).is_empty());
    assert!(pick(&spectrum, &[1.0; 3], &[0.1; 2], &PickSettings::default()).is_empty());
}
