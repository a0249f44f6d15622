//! The difference of two wavenumber scales by cross-correlation with a fast Fourier transform.
//!
//! An interferometer's scale error is proportional, so on a logarithmic axis it is one shift for all
//! bands.

use rustfft::FftPlanner;
use rustfft::num_complex::Complex;

use crate::spectrum::interpolate;

/// The stretch compared, in cm⁻¹: rich in bands on every polymer, measured by every instrument.
const COMPARED_CM1: (f64, f64) = (700.0, 1800.0);

/// Step of the logarithmic axis: 50 ppm, 0.05 cm⁻¹ at 1000; the top is then found between steps.
const LOG_STEP: f64 = 5.0e-5;

/// Share of the axis over which either end fades in: a band cut by the end lies at the same place in
/// both spectra, and would pull the difference to zero.
const FADED_SHARE: f64 = 0.1;

/// Shifts looked for: 3000 ppm either way; more is a wrong match, not a scale error.
const MOST_SHIFT_STEPS: usize = 60;

/// Returns the scale difference in ppm (measured against reference), or `None` where the two share
/// no clear top of correlation.
///
/// Both are values over ascending wavenumbers in cm⁻¹, best first derivatives.
#[must_use]
pub fn scale_difference_ppm(
    measured: (&[f64], &[f64]),
    reference: (&[f64], &[f64]),
) -> Option<f64> {
    let a = on_log_axis(measured)?;
    let b = on_log_axis(reference)?;
    let length = (2 * a.len()).next_power_of_two();
    let mut planner = FftPlanner::<f64>::new();
    let forward = planner.plan_fft_forward(length);
    let inverse = planner.plan_fft_inverse(length);
    let spread = |values: &[f64]| {
        let mut padded: Vec<Complex<f64>> = values.iter().map(|v| Complex::new(*v, 0.0)).collect();
        padded.resize(length, Complex::default());
        forward.process(&mut padded);
        padded
    };
    let (a, b) = (spread(&a), spread(&b));
    let mut product: Vec<Complex<f64>> = a.iter().zip(&b).map(|(a, b)| a * b.conj()).collect();
    inverse.process(&mut product);
    let most = MOST_SHIFT_STEPS as isize;
    let at = |shift: isize| product[shift.rem_euclid(length as isize) as usize].re;
    let best = (-most..=most).max_by(|x, y| at(*x).total_cmp(&at(*y)))?;
    if best.abs() == most || at(best) <= 0.0 {
        return None;
    }
    let (before, top, after) = (at(best - 1), at(best), at(best + 1));
    let bend = before - 2.0 * top + after;
    let between = if bend < 0.0 { 0.5 * (before - after) / bend } else { 0.0 };
    Some(((best as f64 + between) * LOG_STEP).exp_m1() * 1.0e6)
}

fn on_log_axis((axis, values): (&[f64], &[f64])) -> Option<Vec<f64>> {
    let (low, high) = (COMPARED_CM1.0.ln(), COMPARED_CM1.1.ln());
    let count = ((high - low) / LOG_STEP) as usize;
    let mut even = Vec::with_capacity(count);
    for i in 0..count {
        even.push(interpolate(axis, values, (low + LOG_STEP * i as f64).exp())?);
    }
    let mean = even.iter().sum::<f64>() / even.len() as f64;
    let faded = FADED_SHARE * even.len() as f64;
    let last = even.len().saturating_sub(1);
    for (i, value) in even.iter_mut().enumerate() {
        let inside = (i.min(last - i) as f64 / faded).min(1.0);
        *value = (*value - mean) * (0.5 - 0.5 * (std::f64::consts::PI * inside).cos());
    }
    even.iter().any(|value| *value != 0.0).then_some(even)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five bands' derivative on a 2 cm⁻¹ axis, each position multiplied by `scale`.
    fn derivative(scale: f64) -> (Vec<f64>, Vec<f64>) {
        let axis: Vec<f64> = (0..800).map(|i| 500.0 + 2.0 * f64::from(i)).collect();
        let centres = [760.0, 962.0, 1254.0, 1427.0, 1730.0];
        let values = axis
            .iter()
            .map(|wavenumber| {
                centres
                    .iter()
                    .map(|centre| {
                        let u = (wavenumber - centre * scale) / 9.0;
                        -2.0 * u / (9.0 * (1.0 + u * u).powi(2))
                    })
                    .sum()
            })
            .collect();
        (axis, values)
    }

    #[test]
    fn finds_a_proportional_shift_and_its_sign() {
        let (axis, reference) = derivative(1.0);
        // Of those that are no multiple of the step the top stands between two.
        for ppm in [-800.0, -175.0, -150.0, 0.0, 125.0, 300.0, 1000.0] {
            let (_, moved) = derivative(1.0 + ppm * 1e-6);
            let found = scale_difference_ppm((&axis, &moved), (&axis, &reference)).expect("a top");
            assert!((found - ppm).abs() < 10.0, "{ppm}: {found}");
        }
    }

    #[test]
    fn finds_nothing_in_flat_lines_or_short_ranges() {
        let (axis, reference) = derivative(1.0);
        let flat = vec![0.0; axis.len()];
        assert_eq!(scale_difference_ppm((&axis, &flat), (&axis, &reference)), None);
        let short = (&axis[200..400], &reference[200..400]);
        assert_eq!(scale_difference_ppm(short, (&axis, &reference)), None);
    }

    #[test]
    fn a_shift_beyond_any_scale_error_is_a_wrong_match() {
        let (axis, reference) = derivative(1.0);
        for ppm in [-4000.0, 4000.0] {
            let (_, moved) = derivative(1.0 + ppm * 1e-6);
            assert_eq!(scale_difference_ppm((&axis, &moved), (&axis, &reference)), None, "{ppm}");
        }
    }

    #[test]
    fn bands_that_the_ends_cut_off_do_not_pull_the_difference_to_nought() {
        // Two strong bands that stand where they did, at the ends of what is compared, beside five that moved.
        let with_ends = |scale: f64| {
            let (axis, mut values) = derivative(scale);
            for (x, value) in axis.iter().zip(&mut values) {
                for end in [702.0, 1798.0] {
                    let u = (x - end) / 9.0;
                    *value += 5.0 * (-2.0 * u / (9.0 * (1.0 + u * u).powi(2)));
                }
            }
            (axis, values)
        };
        let ((axis, reference), (_, moved)) = (with_ends(1.0), with_ends(1.0 + 500.0e-6));
        let found = scale_difference_ppm((&axis, &moved), (&axis, &reference)).expect("a top");
        assert!((found - 500.0).abs() < 100.0, "{found}");
    }
}
