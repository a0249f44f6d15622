//! The noise along the axis, told apart from bands.

use crate::spectrum::{Spectrum, interpolate, quantile, rounding_sd};

/// Points to a window: enough for a median within a fifth, few enough to follow a rise at the end.
const WINDOW_POINTS: usize = 32;

/// Points a straight line is taken out of, to compare slow noise with fast.
const SHORT_POINTS: usize = 16;

/// Standard deviation of white noise after four differences: the root of 1 + 16 + 36 + 16 + 1.
const FOURTH_DIFFERENCE_GAIN: f64 = 8.366_600_265_340_756;

/// The quantile of sizes that noise is read from: low, so that bands in up to half a window do not count.
const SIZE_QUANTILE: f64 = 0.25;

/// That quantile of the absolute value of a normal deviate, inverted; it lies 3 in 100,000 below the exact one
/// (`statistics::SD_PER_QUARTILE`). With that one figures of 455 of 783 measured spectra move in their fifth digit, and no
/// finding does.
const QUANTILE_TO_SD: f64 = 3.138_242;

/// The share of windows taken to be free of bands when slow noise is compared with fast.
const QUIET_SHARE: f64 = 0.2;

/// Slow noise is at most so many times the fast: past it, it is bands that were compared.
const MOST_SLOW: f64 = 6.0;

/// Absorbances are printed to six or seven places at best; below this there is no knowing.
const LEAST_NOISE: f64 = 1.0e-7;

/// One standard deviation of the noise along the axis.
///
/// Fast noise comes from fourth differences, of which a low quantile is taken window by window, so
/// that bands weigh little; noise that is slower than a point (zero filling, apodisation) is brought in by
/// the ratio of the two in the windows that look free of bands.
#[derive(Clone, Debug, PartialEq)]
pub struct NoiseProfile {
    centres_cm1: Vec<f64>,
    sds: Vec<f64>,
    slow_over_fast: f64,
}

impl NoiseProfile {
    /// Measures the noise of a spectrum. Padded points are left out.
    #[must_use]
    pub fn of(spectrum: &Spectrum) -> Self {
        let mut centres_cm1 = Vec::new();
        let mut sds = Vec::new();
        let mut ratios = Vec::new();
        let mut scratch = Vec::with_capacity(WINDOW_POINTS);
        let stretches = spectrum.segments().iter().map(|at| &spectrum.absorbances()[at.clone()]);
        let rounding = rounding_sd(stretches);
        for segment in spectrum.segments() {
            let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
            let values = &spectrum.absorbances()[segment.clone()];
            for range in windows(values.len()) {
                let window = &values[range.clone()];
                let fast = fast_noise(window, &mut scratch).max(rounding);
                if fast > LEAST_NOISE {
                    ratios.extend(
                        window.chunks_exact(SHORT_POINTS).map(|short| slow_noise(short) / fast),
                    );
                }
                centres_cm1.push((axis[range.start] + axis[range.end - 1]) / 2.0);
                sds.push(fast);
            }
        }
        without_lone_rises(&mut sds);
        steadied(&mut sds);
        let slow = quantile(&mut ratios, QUIET_SHARE).unwrap_or(1.0).clamp(1.0, MOST_SLOW);
        for sd in &mut sds {
            *sd = (*sd * slow).max(LEAST_NOISE);
        }
        Self { centres_cm1, sds, slow_over_fast: slow }
    }

    /// Returns one standard deviation of the noise at a wavenumber in cm⁻¹.
    ///
    /// Between window centres it is interpolated; past them the nearest counts. Without any window
    /// the noise is unknown and infinite.
    #[must_use]
    pub fn at(&self, wavenumber_cm1: f64) -> f64 {
        let (Some(first), Some(last)) = (self.centres_cm1.first(), self.centres_cm1.last()) else {
            return f64::INFINITY;
        };
        interpolate(&self.centres_cm1, &self.sds, wavenumber_cm1.clamp(*first, *last))
            .unwrap_or(f64::INFINITY)
    }

    /// Returns how many times slow noise is as high as fast; 1 for white noise.
    #[must_use]
    pub fn slow_over_fast(&self) -> f64 {
        self.slow_over_fast
    }

    /// Returns the noise at each point of a spectrum.
    #[must_use]
    pub fn at_points(&self, spectrum: &Spectrum) -> Vec<f64> {
        let axis = spectrum.wavenumbers_cm1();
        let (Some(first), Some(last)) = (self.sds.first(), self.sds.last()) else {
            return vec![f64::INFINITY; axis.len()];
        };
        let mut noise = Vec::with_capacity(axis.len());
        // Both axes ascend, so each stretch between two centres is walked on from the one before.
        let first_centre = self.centres_cm1[0];
        noise.extend(axis.iter().take_while(|x| **x < first_centre).map(|_| *first));
        for (centres, sds) in self.centres_cm1.windows(2).zip(self.sds.windows(2)) {
            let rest = &axis[noise.len()..];
            let count = rest.iter().take_while(|x| **x < centres[1]).count();
            noise.extend(rest[..count].iter().map(|x| {
                let share = (x - centres[0]) / (centres[1] - centres[0]);
                sds[0] + share * (sds[1] - sds[0])
            }));
        }
        noise.resize(axis.len(), *last);
        noise
    }

    /// Returns the lower quartile of the noise along the axis: one figure for a whole spectrum.
    #[must_use]
    pub fn typical(&self) -> f64 {
        quantile(&mut self.sds.clone(), 0.25).unwrap_or(f64::INFINITY)
    }
}

/// Lowers each window to the higher of its neighbours: a rise in one window alone is a band.
///
/// A rise that goes on to the end, as noise does at a detector's limit, stays.
fn without_lone_rises(sds: &mut [f64]) {
    let raw = sds.to_vec();
    for (sd, three) in sds.iter_mut().skip(1).zip(raw.windows(3)) {
        *sd = sd.min(three[0].max(three[2]));
    }
}

/// Averages each window with its neighbours as logarithms, which keeps a rise towards an end as it is.
///
/// One window holds too few points for a steady figure: alone it reads the noise to about 40 %. The end
/// windows take the value that the straight line through the last four has there.
fn steadied(sds: &mut [f64]) {
    let raw: Vec<f64> = sds.iter().map(|sd| sd.max(LEAST_NOISE).ln()).collect();
    let [first, .., last] = sds else { return };
    // Least squares over four evenly spaced points, read at the first.
    let end = |a: f64, b: f64, c: f64, d: f64| (0.7 * a + 0.4 * b + 0.1 * c - 0.2 * d).exp();
    if let ([a, b, c, d, ..], [.., w, x, y, z]) = (&raw[..], &raw[..]) {
        (*first, *last) = (end(*a, *b, *c, *d), end(*z, *y, *x, *w));
    }
    for (sd, three) in sds.iter_mut().skip(1).zip(raw.windows(3)) {
        *sd = (three[0].mul_add(0.25, 0.5 * three[1]) + 0.25 * three[2]).exp();
    }
}

/// Splits points into windows, the last one taking what is left over.
fn windows(count: usize) -> impl Iterator<Item = std::ops::Range<usize>> {
    let whole = (count / WINDOW_POINTS).max(1);
    (0..whole).filter_map(move |k| {
        let start = k * WINDOW_POINTS;
        let end = if k + 1 == whole { count } else { start + WINDOW_POINTS };
        (end >= start + 5).then_some(start..end)
    })
}

fn fast_noise(values: &[f64], scratch: &mut Vec<f64>) -> f64 {
    scratch.clear();
    scratch.extend(
        values.windows(5).map(|v| (v[0] - 4.0 * v[1] + 6.0 * v[2] - 4.0 * v[3] + v[4]).abs()),
    );
    let place = (scratch.len().saturating_sub(1) as f64 * SIZE_QUANTILE).round() as usize;
    by_rank(scratch, place).unwrap_or(0.0) * QUANTILE_TO_SD / FOURTH_DIFFERENCE_GAIN
}

/// Ranks below this are told by carrying the lowest values along; those of a window are.
const MOST_CARRIED: usize = 16;

/// Returns the value that so many others are below. What is no number counts as above all; a rank among such
/// is infinite.
///
/// The lowest values are carried along in order, and each further one passes through them: minima and maxima
/// alone, so that noise gives nothing to guess, which made selections expensive.
fn by_rank(values: &[f64], rank: usize) -> Option<f64> {
    if rank >= values.len() {
        return None;
    }
    let mut lowest = [f64::INFINITY; MOST_CARRIED];
    let Some(carried) = lowest.get_mut(..=rank) else {
        let mut sorted = values.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        return sorted.get(rank).copied();
    };
    for &value in values {
        let mut passing = value;
        for place in &mut *carried {
            let (low, high) = if passing < *place { (passing, *place) } else { (*place, passing) };
            *place = low;
            passing = high;
        }
    }
    carried.last().copied()
}

/// Standard deviation about a straight line, with two points spent on the line.
fn slow_noise(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let middle = (n - 1.0) / 2.0;
    let mean = values.iter().sum::<f64>() / n;
    let (mut along, mut spread) = (0.0, 0.0);
    for (i, value) in values.iter().enumerate() {
        let u = i as f64 - middle;
        along += u * (value - mean);
        spread += u * u;
    }
    let slope = along / spread;
    let squares: f64 = values
        .iter()
        .enumerate()
        .map(|(i, value)| (value - mean - slope * (i as f64 - middle)).powi(2))
        .sum();
    (squares / (n - 2.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    use super::*;
    use crate::spectrum::SpectrumParts;

    const SEED: u64 = 28;

    fn spectrum(axis: Vec<f64>) -> Spectrum {
        let mut random = ChaCha8Rng::seed_from_u64(SEED);
        // Noise that rises along the axis, so that neighbouring windows differ.
        let values = axis.iter().map(|x| 1.0e-6 * x * (random.random::<f64>() - 0.5)).collect();
        Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum")
    }

    #[test]
    fn the_rank_told_by_carrying_is_the_one_told_by_sorting() {
        let mut random = ChaCha8Rng::seed_from_u64(SEED);
        for round in 0..400 {
            let count = random.random_range(0..2 * WINDOW_POINTS);
            // Few steps make ties, down to all values alike.
            let steps = [1.0, 2.0, 7.0, 1.0e9][round % 4];
            let value = |_| (random.random::<f64>() * steps).floor() / steps;
            let mut values: Vec<f64> = (0..count).map(value).collect();
            if round % 5 == 0 {
                values.extend([f64::INFINITY; 2]);
            }
            let mut sorted = values.clone();
            sorted.sort_by(f64::total_cmp);
            for rank in 0..=values.len() {
                let expected = sorted.get(rank).copied();
                assert_eq!(by_rank(&values, rank), expected, "rank {rank} of {values:?}");
            }
        }
    }

    #[test]
    fn rounding_is_noise_where_the_digits_run_out_first() {
        // A step of 0.001 over √12 (Bennett 1948, Bell Syst. Tech. J. 27:446: evenly spread rounding errors; from memory).
        let rounding = 0.001 / 12.0_f64.sqrt();
        let axis: Vec<f64> = (0..1600).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let band = |x: f64| 0.4 / (1.0 + ((x - 1700.0) / 20.0).powi(2));
        let written = |places: f64, noise: f64| {
            let mut random = ChaCha8Rng::seed_from_u64(SEED);
            let mut value = |x: &f64| {
                let value = band(*x) + noise * (random.random::<f64>() - 0.5);
                (value * places).round() / places
            };
            let values = axis.iter().map(&mut value).collect();
            NoiseProfile::of(&Spectrum::new(SpectrumParts::new(axis.clone(), values)).expect("one"))
        };
        // Level stretches far from the band are one value over and over.
        let few = written(1.0e3, 1.0e-6);
        for at in [700.0, 1690.0, 2500.0, 3700.0] {
            let times = few.at(at) / rounding;
            assert!((0.9..4.0).contains(&times), "{at}: {times} times the rounding");
        }
        // With digits to spare nothing is added: the noise itself is read, 1e-4 over √12.
        let many = written(1.0e9, 1.0e-4);
        let times = many.at(3000.0) / (1.0e-4 / 12.0_f64.sqrt());
        assert!((0.6..1.6).contains(&times), "{times} times the noise");
    }

    #[test]
    fn the_noise_of_all_points_is_that_of_each() {
        let step = |from: f64, count: u32| (0..count).map(move |i| from + 2.0 * f64::from(i));
        // Two stretches with a gap between them, in which points of another spectrum may stand.
        let measured = spectrum(step(700.0, 500).chain(step(2400.0, 333)).collect());
        let whole = NoiseProfile::of(&measured);
        assert!(whole.centres_cm1.len() > 20 && whole.sds.windows(2).all(|w| w[0] != w[1]));
        let few = |count: usize| NoiseProfile {
            centres_cm1: whole.centres_cm1[..count].to_vec(),
            sds: whole.sds[..count].to_vec(),
            slow_over_fast: 1.0,
        };
        let finer = spectrum((0..20_000).map(|i| 400.0 + 0.17 * f64::from(i)).collect());
        let inside = spectrum(step(1000.3, 40).collect());
        let between_centres = spectrum((0..9).map(|i| 800.0 + f64::from(i)).collect());
        let below = spectrum(step(400.0, 20).collect());
        let above = spectrum(step(3200.0, 20).collect());
        let at_centres = spectrum(whole.centres_cm1.clone());
        for profile in [&whole, &few(2), &few(1), &few(0)] {
            for other in [&measured, &finer, &inside, &between_centres, &below, &above, &at_centres]
            {
                let one_by_one: Vec<f64> =
                    other.wavenumbers_cm1().iter().map(|x| profile.at(*x)).collect();
                assert_eq!(profile.at_points(other), one_by_one, "{:?}", other.range_cm1());
            }
        }
    }
}
