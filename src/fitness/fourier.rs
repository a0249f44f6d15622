//! The Fourier transform of a spectrum: amplitude over optical path difference.

use std::cell::RefCell;

use rustfft::num_complex::Complex;
use rustfft::{FftDirection, FftPlanner};

thread_local! {
    /// Plans kept for each length met, since making one costs more than using it, and their scratch space.
    static PLANNER: RefCell<(FftPlanner<f64>, Vec<Complex<f64>>)> =
        RefCell::new((FftPlanner::new(), Vec::new()));
}

/// Scratch space of more values than this is not kept: long spectra are few.
const MOST_KEPT: usize = 1 << 15;

/// Turns made one from another before one is made anew.
const SET_RIGHT: usize = 128;

/// Transforms in place, without scaling.
pub(super) fn forward(buffer: &mut [Complex<f64>]) {
    transform(buffer, FftDirection::Forward);
}

/// Transforms back in place, without scaling.
pub(super) fn inverse(buffer: &mut [Complex<f64>]) {
    transform(buffer, FftDirection::Inverse);
}

fn transform(buffer: &mut [Complex<f64>], direction: FftDirection) {
    PLANNER.with_borrow_mut(|(planner, scratch)| {
        let plan = planner.plan_fft(buffer.len(), direction);
        let needed = plan.get_inplace_scratch_len();
        if needed > MOST_KEPT {
            plan.process(buffer);
            return;
        }
        if scratch.len() < needed {
            scratch.resize(needed, Complex::new(0.0, 0.0));
        }
        plan.process_with_scratch(buffer, scratch.get_mut(..needed).unwrap_or_default());
    });
}

/// Returns the magnitude of the discrete Fourier transform of real values, from zero to half the
/// sampling rate, padded with zeros to `length` points.
///
/// No scaling is applied. With values `spacing` cm⁻¹ apart, entry k stands for an optical path
/// difference of k / (`length` · `spacing`) cm. A `length` below the number of values is read as that
/// number; without values there are none.
#[must_use]
pub fn fourier_magnitudes(values: &[f64], length: usize) -> Vec<f64> {
    lowest_magnitudes(values, length, usize::MAX)
}

/// As [`fourier_magnitudes`], but the first `most` alone.
pub(super) fn lowest_magnitudes(values: &[f64], length: usize, most: usize) -> Vec<f64> {
    if values.is_empty() {
        return Vec::new();
    }
    let length = length.max(values.len());
    if length % 2 == 1 {
        let mut buffer: Vec<Complex<f64>> = values.iter().map(|v| Complex::new(*v, 0.0)).collect();
        buffer.resize(length, Complex::new(0.0, 0.0));
        forward(&mut buffer);
        return buffer.iter().take((length / 2 + 1).min(most)).map(|c| magnitude(*c)).collect();
    }
    // Real values: the even points as real and the odd ones as imaginary parts need a transform of half the
    // length, from which the two are parted by their symmetry.
    let half = length / 2;
    let mut buffer: Vec<Complex<f64>> = values
        .chunks(2)
        .map(|pair| Complex::new(pair[0], pair.get(1).copied().unwrap_or(0.0)))
        .collect();
    buffer.resize(half, Complex::new(0.0, 0.0));
    forward(&mut buffer);
    let turn = -std::f64::consts::PI / half as f64;
    let step = Complex::from_polar(1.0, turn);
    let mut turned = Complex::new(1.0, 0.0);
    (0..(half + 1).min(most))
        .map(|k| {
            // Each turn is the last one turned on, set right before rounding adds up.
            turned = if k % SET_RIGHT == 0 {
                Complex::from_polar(1.0, turn * k as f64)
            } else {
                turned * step
            };
            let wrapped = |i: usize| buffer[if i == half { 0 } else { i }];
            let (here, mirrored) = (wrapped(k), wrapped(half - k).conj());
            let even = (here + mirrored) * 0.5;
            let odd = (here - mirrored) * Complex::new(0.0, -0.5);
            magnitude(even + odd * turned)
        })
        .collect()
}

/// Quicker than `norm`, whose care with sizes beyond 10^±150 no spectrum needs.
fn magnitude(value: Complex<f64>) -> f64 {
    value.norm_sqr().sqrt()
}

/// Returns the Hann window of a length, which is zero at both ends.
pub(super) fn hann(count: usize) -> impl Iterator<Item = f64> {
    let last = count.saturating_sub(1).max(1) as f64;
    (0..count).map(move |i| 0.5 - 0.5 * (2.0 * std::f64::consts::PI * i as f64 / last).cos())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sum of the definition, term by term.
    fn plain(values: &[f64], length: usize) -> Vec<f64> {
        let term = |k: usize, n: usize| {
            let turn = -2.0 * std::f64::consts::PI * (k * n % length) as f64 / length as f64;
            Complex::from_polar(1.0, turn)
        };
        (0..=length / 2)
            .map(|k| values.iter().enumerate().map(|(n, v)| term(k, n) * v).sum::<Complex<f64>>())
            .map(magnitude)
            .collect()
    }

    #[test]
    fn magnitudes_are_those_of_the_definition_for_even_and_odd_lengths() {
        for (count, length) in
            [(1, 1), (1, 2), (7, 7), (7, 16), (300, 301), (600, 1024), (601, 602)]
        {
            let values: Vec<f64> =
                (0..count).map(|n| ((n * n) as f64 * 0.37).sin() + 0.1 * n as f64 % 1.3).collect();
            let found = fourier_magnitudes(&values, length);
            assert_eq!(lowest_magnitudes(&values, length, 3), found[..found.len().min(3)]);
            let expected = plain(&values, length);
            assert_eq!(found.len(), expected.len(), "{count} to {length}");
            for (k, (a, b)) in found.iter().zip(&expected).enumerate() {
                assert!((a - b).abs() < 1.0e-9 * count as f64, "{count} to {length}, {k}: {a} {b}");
            }
        }
    }
}
