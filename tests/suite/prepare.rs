//! Smoothing, baselines, and what is prepared, against outside figures, reference implementations and properties.
//!
//! The golden files in `tests/golden` come from numpy 2.4.6, scipy 1.17.1 and pybaselines 1.2.1.

use std::path::Path;

use approx::assert_abs_diff_eq;
use bandlore::{
    Spectrum,
    prepare::{
        Polynomial, SavitzkyGolay, Stop, asymmetric_baseline, hull_baseline, hull_corners, prepare,
        smooth,
    },
    spectrum::{PointFlag, SpectrumParts},
};
use nalgebra::{DMatrix, DVector};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Seed of every random test in this file.
const SEED: u64 = 1_964;

struct Table {
    names: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn golden(name: &str) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
        let text = std::fs::read_to_string(&path).expect("a golden file");
        let mut lines = text.lines();
        let split = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<_>>();
        let names = split(lines.next().expect("a header"));
        Self { names, rows: lines.map(split).collect() }
    }

    fn place(&self, name: &str) -> usize {
        self.names.iter().position(|n| n == name).expect("a column of that name")
    }

    fn column(&self, name: &str) -> Vec<f64> {
        let place = self.place(name);
        self.rows.iter().map(|row| row[place].parse().expect("a number")).collect()
    }
}

fn assert_close(found: &[f64], expected: &[f64], epsilon: f64, what: &str) {
    assert_eq!(found.len(), expected.len(), "{what}");
    for (i, (a, b)) in found.iter().zip(expected).enumerate() {
        assert!((a - b).abs() <= epsilon, "{what}: {a} instead of {b} at {i}");
    }
}

#[test]
fn coefficients_agree_with_scipy() {
    let table = Table::golden("savgol_coeffs.csv");
    let (window, order, derivative) =
        (table.column("window"), table.column("order"), table.column("deriv"));
    let (offset, coefficient) = (table.column("offset"), table.column("coeff"));
    let mut compared = 0;
    for i in 0..table.rows.len() {
        let filter =
            SavitzkyGolay::new(window[i] as usize, order[i] as usize, derivative[i] as usize)
                .expect("a filter");
        let place = (offset[i] + (window[i] - 1.0) / 2.0) as usize;
        assert_abs_diff_eq!(filter.coefficients()[place], coefficient[i], epsilon = 1e-10);
        compared += 1;
    }
    assert!(compared > 1_000, "{compared}");
}

#[test]
fn filtering_with_fitted_ends_agrees_with_scipy() {
    let values = Table::golden("savgol_input.csv").column("y");
    let table = Table::golden("savgol.csv");
    let (window, order, derivative) =
        (table.column("window"), table.column("order"), table.column("deriv"));
    let (index, value) = (table.column("i"), table.column("value"));
    let mut done: Vec<((usize, usize, usize), Vec<f64>)> = Vec::new();
    for i in 0..table.rows.len() {
        let key = (window[i] as usize, order[i] as usize, derivative[i] as usize);
        if done.last().is_none_or(|(last, _)| *last != key) {
            let filter = SavitzkyGolay::new(key.0, key.1, key.2).expect("a filter");
            done.push((key, filter.filter(&values, 2.0).expect("long enough")));
        }
        let found = done.last().expect("just filled").1[index[i] as usize];
        assert!((found - value[i]).abs() <= 1e-10, "{key:?}: {found} instead of {}", value[i]);
    }
    assert_eq!(done.len(), 11 * 3 * 3, "settings compared");
}

#[test]
fn filtering_a_whole_spectrum_agrees_with_scipy() {
    let values = Table::golden("spectrum.csv").column("y");
    let table = Table::golden("savgol_full_spectrum.csv");
    for (name, window, order, derivative) in
        [("w9o2d0", 9, 2, 0), ("w11o3d1", 11, 3, 1), ("w13o3d2", 13, 3, 2), ("w25o4d2", 25, 4, 2)]
    {
        let filter = SavitzkyGolay::new(window, order, derivative).expect("a filter");
        let found = filter.filter(&values, 2.0).expect("long enough");
        assert_close(&found, &table.column(name), 1e-10, name);
    }
}

/// Savitzky & Golay 1964 as corrected by Steinier, Termonia & Deltour 1972: numerators and divisor.
/// The smoothing rows are read from a public copy of the table; the others are exact least squares
/// of the same class. A widespread copy of the 25-point row has 343 where 342 belongs.
#[test]
fn coefficients_agree_with_the_corrected_table() {
    let rows: [(usize, usize, usize, &[f64], f64); 13] = [
        (5, 2, 0, &[-3., 12., 17., 12., -3.], 35.),
        (7, 3, 0, &[-2., 3., 6., 7., 6., 3., -2.], 21.),
        (9, 2, 0, &[-21., 14., 39., 54., 59., 54., 39., 14., -21.], 231.),
        (11, 3, 0, &[-36., 9., 44., 69., 84., 89., 84., 69., 44., 9., -36.], 429.),
        (13, 2, 0, &[-11., 0., 9., 16., 21., 24., 25., 24., 21., 16., 9., 0., -11.], 143.),
        (
            25,
            2,
            0,
            &[
                -253., -138., -33., 62., 147., 222., 287., 342., 387., 422., 447., 462., 467.,
                462., 447., 422., 387., 342., 287., 222., 147., 62., -33., -138., -253.,
            ],
            5175.,
        ),
        (9, 2, 1, &[-4., -3., -2., -1., 0., 1., 2., 3., 4.], 60.),
        (5, 4, 1, &[1., -8., 0., 8., -1.], 12.),
        (7, 4, 1, &[22., -67., -58., 0., 58., 67., -22.], 252.),
        (9, 4, 1, &[86., -142., -193., -126., 0., 126., 193., 142., -86.], 1188.),
        (11, 2, 2, &[15., 6., -1., -6., -9., -10., -9., -6., -1., 6., 15.], 429. / 1.),
        (9, 4, 0, &[15., -55., 30., 135., 179., 135., 30., -55., 15.], 429.),
        (7, 4, 2, &[-13., 67., -19., -70., -19., 67., -13.], 132.),
    ];
    for (window, order, derivative, numerators, divisor) in rows {
        let filter = SavitzkyGolay::new(window, order, derivative).expect("a filter");
        let expected: Vec<f64> = numerators.iter().map(|n| n / divisor).collect();
        assert_close(filter.coefficients(), &expected, 1e-12, &format!("{window} {order}"));
    }
}

#[test]
fn the_misprinted_25_point_row_does_not_sum_to_its_divisor() {
    // The sum of a smoothing row is its divisor; with 343 for 342 it is off by one on either side.
    let filter = SavitzkyGolay::new(25, 2, 0).expect("a filter");
    let numerators: Vec<f64> = filter.coefficients().iter().map(|c| c * 5175.0).collect();
    assert_abs_diff_eq!(numerators[7], 342.0, epsilon = 1e-9);
    assert_abs_diff_eq!(numerators.iter().sum::<f64>(), 5175.0, epsilon = 1e-9);
}

#[test]
fn baselines_agree_with_pybaselines() {
    let spectrum = Table::golden("spectrum.csv");
    let (axis, values) = (spectrum.column("wavenumber"), spectrum.column("y"));
    let expected = Table::golden("baselines.csv");
    for (name, lambda, asymmetry) in
        [("asls_lam1e5_p0.01", 1.0e5, 0.01), ("asls_lam1e6_p0.001", 1.0e6, 0.001)]
    {
        let found = asymmetric_baseline(&values, &[], lambda, asymmetry, Stop::default());
        assert_close(&found, &expected.column(name), 1e-7, name);
    }
    let eleven = Stop { most_iterations: 10, tolerance: 0.0 };
    let found = asymmetric_baseline(&values, &[], 1.0e5, 0.01, eleven);
    assert_close(&found, &expected.column("asls_lam1e5_p0.01_fixed11"), 1e-7, "fixed");
    let found = hull_baseline(&axis, &values);
    assert_close(&found, &expected.column("rubberband"), 1e-7, "hull");
    let corners: Vec<f64> = hull_corners(&axis, &values).iter().map(|i| *i as f64).collect();
    assert_eq!(corners, Table::golden("rubberband_vertices.csv").column("index"));
}

/// The reference implementation of the asymmetric baseline: the same steps with a dense matrix.
fn dense_asymmetric(values: &[f64], lambda: f64, asymmetry: f64, renewals: usize) -> Vec<f64> {
    let n = values.len();
    let differences = DMatrix::from_fn(n - 2, n, |row, column| match column.wrapping_sub(row) {
        0 | 2 => 1.0,
        1 => -2.0,
        _ => 0.0,
    });
    let penalty = differences.transpose() * &differences * lambda;
    let mut weights = vec![1.0; n];
    let mut curve = DVector::zeros(n);
    for _ in 0..=renewals {
        let mut matrix = penalty.clone();
        for i in 0..n {
            matrix[(i, i)] += weights[i];
        }
        let right = DVector::from_fn(n, |i, _| values[i] * weights[i]);
        curve = matrix.lu().solve(&right).expect("positive definite");
        for i in 0..n {
            weights[i] = if values[i] > curve[i] { asymmetry } else { 1.0 - asymmetry };
        }
    }
    curve.iter().copied().collect()
}

#[test]
fn the_banded_baseline_agrees_with_its_reference_implementation() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    for n in [30, 77, 150] {
        let values: Vec<f64> =
            (0..n).map(|i| (i as f64 / 9.0).sin() + random.random_range(0.0..0.3)).collect();
        let stop = Stop { most_iterations: 4, tolerance: 0.0 };
        let found = asymmetric_baseline(&values, &[], 2.0e3, 0.02, stop);
        assert_close(&found, &dense_asymmetric(&values, 2.0e3, 0.02, 4), 1e-8, "reference");
    }
}

fn golden_spectrum() -> Spectrum {
    let table = Table::golden("spectrum.csv");
    Spectrum::new(SpectrumParts::new(table.column("wavenumber"), table.column("y"))).expect("valid")
}

#[test]
fn preparing_finds_the_true_baseline_within_two_hundredths() {
    let table = Table::golden("spectrum.csv");
    let truth = table.column("baseline_true");
    let prepared = prepare(&golden_spectrum()).expect("prepared");
    let worst =
        prepared.baseline().iter().zip(&truth).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(worst < 0.02, "{worst}");
}

fn spectrum_of(axis: Vec<f64>, values: Vec<f64>) -> Spectrum {
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}

#[test]
fn preparing_follows_scale_and_ignores_an_offset() {
    let spectrum = golden_spectrum();
    let plain = prepare(&spectrum).expect("prepared");
    let scaled = spectrum.absorbances().iter().map(|a| 3.0 * a + 0.7).collect();
    let moved =
        prepare(&spectrum_of(spectrum.wavenumbers_cm1().to_vec(), scaled)).expect("prepared");
    let pairs = [
        (plain.spectrum().absorbances(), moved.spectrum().absorbances()),
        (plain.first_derivative(), moved.first_derivative()),
        (plain.second_derivative(), moved.second_derivative()),
        (plain.noise_sd(), moved.noise_sd()),
    ];
    for (before, after) in pairs {
        let tripled: Vec<f64> = before.iter().map(|v| 3.0 * v).collect();
        assert_close(after, &tripled, 1e-8, "scale");
    }
}

#[test]
fn preparing_does_not_depend_on_the_direction() {
    // Turned about the middle of what is left out, a spectrum must come out turned; odd derivatives change
    // their sign.
    let spectrum = golden_spectrum();
    let plain = prepare(&spectrum).expect("prepared");
    let axis = spectrum.wavenumbers_cm1().iter().rev().map(|x| 2.0 * 2340.0 - x).collect();
    let turned = spectrum.absorbances().iter().rev().copied().collect();
    let turned = prepare(&spectrum_of(axis, turned)).expect("prepared");
    let back =
        |values: &[f64], sign: f64| values.iter().rev().map(|v| sign * v).collect::<Vec<_>>();
    assert_close(
        &back(turned.spectrum().absorbances(), 1.0),
        plain.spectrum().absorbances(),
        2e-3,
        "absorbance",
    );
    assert_close(&back(turned.first_derivative(), -1.0), plain.first_derivative(), 1e-9, "first");
    assert_close(&back(turned.second_derivative(), 1.0), plain.second_derivative(), 1e-9, "second");
}

#[test]
fn an_uneven_axis_gives_the_derivatives_of_the_same_curve() {
    // Even in wavelength: a quadratic is met exactly by a cubic whatever the spacing.
    let mut axis: Vec<f64> = (0..400).map(|i| 1.0e4 / (2.5 + 0.03 * f64::from(i))).collect();
    axis.reverse();
    let values = axis.iter().map(|x| 1.0e-6 * x * x - 2.0e-3 * x).collect();
    let prepared = prepare(&spectrum_of(axis.clone(), values)).expect("prepared");
    for (i, x) in axis.iter().enumerate() {
        assert_abs_diff_eq!(prepared.first_derivative()[i], 2.0e-6 * x - 2.0e-3, epsilon = 1e-9);
        assert_abs_diff_eq!(prepared.second_derivative()[i], 2.0e-6, epsilon = 1e-9);
    }
}

#[test]
fn segments_do_not_touch_each_other() {
    // A step of one unit across a gap must not be smeared into either side.
    let mut axis: Vec<f64> = (0..100).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
    axis.extend((0..100).map(|i| 1000.0 + 2.0 * f64::from(i)));
    let values = (0..200).map(|i| if i < 100 { 0.0 } else { 1.0 }).collect();
    let spectrum = spectrum_of(axis, values);
    assert_eq!(spectrum.segments().len(), 2);
    let smoothed = smooth(&spectrum, Polynomial { width_cm1: 20.0, order: 2 }).expect("smooth");
    for (i, value) in smoothed.iter().enumerate() {
        assert_abs_diff_eq!(*value, if i < 100 { 0.0 } else { 1.0 }, epsilon = 1e-12);
    }
}

#[test]
fn the_noise_of_the_golden_spectrum_is_the_noise_put_in() {
    // 0.004 was added; half the points must lie within a quarter of it, in spite of fourteen bands.
    let prepared = prepare(&golden_spectrum()).expect("prepared");
    let mut noise = prepared.noise_sd().to_vec();
    noise.sort_by(f64::total_cmp);
    assert!((0.003..0.005).contains(&noise[noise.len() / 2]), "{}", noise[noise.len() / 2]);
    assert!(noise[noise.len() / 20] > 0.002 && noise[noise.len() * 19 / 20] < 0.008);
}

#[test]
fn the_noise_follows_a_detector_that_tires_towards_its_end() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
    let truth = |x: f64| 5.0e-4 * (1.0 + 40.0 * (-(x - 400.0) / 60.0).exp());
    let values = axis
        .iter()
        .map(|x| {
            let normal = (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0;
            0.4 / (1.0 + ((x - 1730.0) / 9.0).powi(2)) + normal * truth(*x)
        })
        .collect();
    let prepared = prepare(&spectrum_of(axis, values)).expect("prepared");
    for x in [432.0, 520.0, 700.0, 1500.0, 3000.0] {
        let share = prepared.noise_sd_at(x) / truth(x);
        assert!((0.5..2.0).contains(&share), "{share} at {x}");
    }
}

#[test]
fn masks_are_kept_out_of_the_baseline_and_recorded() {
    let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
    let values =
        axis.iter().map(|x| if (2340.0..2360.0).contains(x) { -0.5 } else { 0.1 }).collect();
    let prepared = prepare(&spectrum_of(axis, values)).expect("prepared");
    let i = prepared.spectrum().window(2350.0, 2350.0).start;
    assert_eq!(prepared.spectrum().flags()[i], PointFlag::Masked);
    assert_abs_diff_eq!(prepared.baseline()[i], 0.1, epsilon = 1e-3);
    let names: Vec<&str> =
        prepared.spectrum().history().iter().map(|step| step.name.as_str()).collect();
    assert_eq!(names, ["mask", "smooth", "subtract baseline"]);
}

#[test]
fn no_odd_spectrum_breaks_the_preparation() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    for round in 0..200 {
        let count = random.random_range(8..60);
        let mut x = random.random_range(1.0..3000.0);
        let axis: Vec<f64> = (0..count)
            .map(|_| {
                x += random.random_range(0.001..90.0);
                x
            })
            .collect();
        let size = 10f64.powi(random.random_range(-12..12));
        let values = (0..count).map(|_| size * random.random_range(-1.0..1.0)).collect();
        let mut parts = SpectrumParts::new(axis, values);
        if round % 3 == 0 {
            parts.flags = (0..count)
                .map(|i| if i % 5 == 0 { PointFlag::Padded } else { PointFlag::Measured })
                .collect();
        }
        let spectrum = Spectrum::new(parts).expect("valid");
        let prepared = prepare(&spectrum).expect("prepared");
        assert!(prepared.second_derivative().iter().all(|v| v.is_finite()), "round {round}");
    }
}

#[test]
fn a_stretch_that_is_nearly_all_masked_still_has_a_baseline() {
    // Behind a gap, all but the last few points lie where carbon dioxide is left out: one block counts.
    for (first, last) in (2290..2330).flat_map(|first| (2370..2420).map(move |last| (first, last)))
    {
        let low: Vec<f64> = (2000..2200).map(f64::from).collect();
        let axis: Vec<f64> = low.into_iter().chain((first..=last).map(f64::from)).collect();
        let absorbances: Vec<f64> =
            axis.iter().map(|x| 0.1 + 0.02 * (x / 40.0).sin() + 1.0e-5 * x).collect();
        let highest = absorbances.iter().copied().fold(0.0, f64::max);
        let spectrum = Spectrum::new(SpectrumParts::new(axis, absorbances)).expect("valid");
        assert_eq!(spectrum.segments().len(), 2);
        let prepared = prepare(&spectrum).expect("prepared");
        assert!(
            prepared.baseline().iter().all(|b| (-highest..=2.0 * highest).contains(b)),
            "{first} to {last}"
        );
    }
}
