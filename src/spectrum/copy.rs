//! Whether two spectra are one measurement, however it was written.
//!
//! Two measurements of one thing share their bands, and of their noise only that of a common background. So noise decides:
//! where bands hardly stand, what is left of two spectra is compared on one grid, whatever their scale, ordinate, digits
//! and step. Against one background of far fewer scans than theirs two measurements are as like as copies.

use super::zones::QUIET_CM1;
use super::{PointFlag, Spectrum};

/// Noise correlated so far is the noise of one measurement; ours. Of the 36,859 pairs of open measured spectra of one
/// data set none that is no copy goes past 0.91. A copy with a fifth of its own noise added stays above it.
const ONE_MEASUREMENT: f64 = 0.96;

/// Fewer second differences than this tell nothing.
const LEAST_COMPARED: usize = 60;

/// What lies so many standard deviations out is no noise, and would decide by itself.
const MOST_DEVIATIONS: f64 = 4.0;

/// Neighbours among second differences of white noise are correlated by −2/3, of noise on a grid twice as fine as the
/// resolution by 0.25, and of bands by nearly 1 (closed forms). Past this no noise is left to compare; ours.
const LEAST_ROUGH: f64 = 0.6;

/// Digits of computed values, not of measured ones.
const LEAST_NOISE: f64 = 1.0e-7;

/// The median size of a normal deviate, inverted.
const MEDIAN_TO_SD: f64 = 1.482_602;

impl Spectrum {
    /// Returns whether both are one measurement, by the file's digest or by their values.
    pub(crate) fn is_copy_of(&self, other: &Self) -> bool {
        let (from, of) = (self.provenance(), other.provenance());
        let one_file =
            !from.sha256.is_empty() && from.sha256 == of.sha256 && from.block == of.block;
        one_file
            || (self.absorbances() == other.absorbances()
                && self.wavenumbers_cm1() == other.wavenumbers_cm1())
    }

    /// Returns whether both are one measurement, however it was written: copies, or equal in nearly all their noise.
    ///
    /// Where the noise cannot be compared (smoothed, too few points or digits), nothing but copies is found.
    pub(crate) fn is_measurement_of(&self, other: &Self) -> bool {
        self.is_copy_of(other)
            || shared_noise(self, other).is_some_and(|shared| shared > ONE_MEASUREMENT)
    }

    /// Returns what else two spectra may be that are taken for one measurement; empty where they are copies.
    pub(crate) fn or_else_than(&self, other: &Self) -> &'static str {
        if self.is_copy_of(other) {
            return "";
        }
        "; if each was measured, they share nearly all the noise of one background: take one of more scans"
    }
}

/// The correlation of the noise of two spectra, where both have noise that can be compared.
fn shared_noise(one: &Spectrum, other: &Spectrum) -> Option<f64> {
    // Values between points are lost on the coarser grid, never invented there.
    let (coarse, fine) =
        if one.spacing_cm1() >= other.spacing_cm1() { (one, other) } else { (other, one) };
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    let (mut our_steps, mut their_steps) = (Vec::new(), Vec::new());
    for (low, high) in QUIET_CM1 {
        let within = coarse.window(low, high);
        let axis = coarse.wavenumbers_cm1().get(within.clone())?;
        let (Some(first), Some(last)) = (axis.first(), axis.last()) else { continue };
        let is_sound = |spectrum: &Spectrum| {
            spectrum.covers(*first, *last)
                && !spectrum.flags()[spectrum.window(*first, *last)].contains(&PointFlag::Saturated)
        };
        if !is_sound(coarse) || !is_sound(fine) {
            continue;
        }
        let values = coarse.absorbances().get(within)?;
        let between: Vec<f64> = axis.iter().filter_map(|at| fine.absorbance_at(*at)).collect();
        if between.len() != values.len() {
            continue;
        }
        let (a, b) = (second_differences(values), second_differences(&between));
        our_steps.extend(a.windows(2).map(|pair| (pair[0], pair[1])));
        their_steps.extend(b.windows(2).map(|pair| (pair[0], pair[1])));
        ours.extend(a);
        theirs.extend(b);
    }
    if ours.len() < LEAST_COMPARED {
        return None;
    }
    let (our_most, their_most) = (most(&ours)?, most(&theirs)?);
    let is_noise = |steps: &[(f64, f64)], most: f64| {
        correlation(&within(steps, most, most)).is_some_and(|rough| rough < LEAST_ROUGH)
    };
    if !is_noise(&our_steps, our_most) || !is_noise(&their_steps, their_most) {
        return None;
    }
    let pairs: Vec<(f64, f64)> = ours.into_iter().zip(theirs).collect();
    correlation(&within(&pairs, our_most, their_most))
}

fn second_differences(values: &[f64]) -> Vec<f64> {
    values.windows(3).map(|v| v[0] - 2.0 * v[1] + v[2]).collect()
}

/// The largest size that counts as noise; nothing where most values are one, as where digits ran out.
fn most(values: &[f64]) -> Option<f64> {
    let mut sizes: Vec<f64> = values.iter().map(|value| value.abs()).collect();
    let sd = super::quantile(&mut sizes, 0.5)? * MEDIAN_TO_SD;
    (sd > LEAST_NOISE).then_some(MOST_DEVIATIONS * sd)
}

fn within(pairs: &[(f64, f64)], a: f64, b: f64) -> Vec<(f64, f64)> {
    pairs.iter().map(|(x, y)| (x.clamp(-a, a), y.clamp(-b, b))).collect()
}

fn correlation(pairs: &[(f64, f64)]) -> Option<f64> {
    let n = pairs.len() as f64;
    let mean_x = pairs.iter().map(|(x, _)| x).sum::<f64>() / n;
    let mean_y = pairs.iter().map(|(_, y)| y).sum::<f64>() / n;
    let mut sums = (0.0, 0.0, 0.0);
    for (x, y) in pairs {
        let (x, y) = (x - mean_x, y - mean_y);
        sums = (sums.0 + x * y, sums.1 + x * x, sums.2 + y * y);
    }
    let found = sums.0 / (sums.1 * sums.2).sqrt();
    found.is_finite().then_some(found)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    use super::*;
    use crate::ReadOptions;
    use crate::spectrum::SpectrumParts;

    fn of(axis: &[f64], values: Vec<f64>) -> Spectrum {
        Spectrum::new(SpectrumParts::new(axis.to_vec(), values)).expect("a spectrum")
    }

    fn axis(step: f64) -> Vec<f64> {
        (0..).map(|i| 600.0 + step * f64::from(i)).take_while(|x| *x < 4000.0).collect()
    }

    /// Two bands on a slope, with white noise of so much.
    fn measured(seed: u64, noise: f64) -> Spectrum {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let band = |x: f64, at: f64, wide: f64| 0.5 / (1.0 + ((x - at) / wide).powi(2));
        let mut value = |x: &f64| {
            // Twelve even deviates make a normal one.
            let deviate: f64 = (0..12).map(|_| random.random::<f64>()).sum::<f64>() - 6.0;
            band(*x, 1430.0, 12.0) + band(*x, 2920.0, 20.0) + 1.0e-5 * x + noise * deviate
        };
        let axis = axis(2.0);
        let values = axis.iter().map(&mut value).collect();
        of(&axis, values)
    }

    fn written(one: &Spectrum, how: impl Fn(f64) -> f64) -> Spectrum {
        let values = one.absorbances().iter().map(|value| how(*value)).collect();
        of(one.wavenumbers_cm1(), values)
    }

    #[test]
    fn one_measurement_is_known_again_however_it_is_written() {
        let one = measured(1, 1.0e-4);
        let on = |step: f64| {
            let axis = axis(step);
            let axis: Vec<f64> = axis.into_iter().filter(|x| *x <= 3998.0).collect();
            let values = axis.iter().map(|x| one.absorbance_at(*x).expect("inside")).collect();
            of(&axis, values)
        };
        assert_eq!(one.or_else_than(&one.clone()), "");
        let (noisy, clean) = (measured(9, 1.0e-5), measured(9, 0.0));
        let little = noisy.absorbances().iter().zip(clean.absorbances()).map(|(a, b)| a - b);
        let noisier = one.absorbances().iter().zip(little).map(|(a, b)| a + b).collect();
        for (how, copy) in [
            ("scaled", written(&one, |v| 1.01 * v)),
            ("raised", written(&one, |v| v + 0.02)),
            ("four decimals", written(&one, |v| (v * 2.0e4).round() / 2.0e4)),
            (
                "per cent",
                written(&one, |v| -((100.0 * 10f64.powf(-v) * 1e3).round() / 1e5).log10()),
            ),
            ("coarser", on(4.0)),
            ("finer", on(1.0)),
            ("noisier", of(one.wavenumbers_cm1(), noisier)),
        ] {
            assert!(
                copy.is_measurement_of(&one) && one.is_measurement_of(&copy),
                "{how}: {:?}",
                shared_noise(&one, &copy)
            );
            assert!(one.or_else_than(&copy).contains("noise of one background"), "{how}");
        }
    }

    #[test]
    fn one_spectrum_of_one_file_is_a_copy_however_it_was_read() {
        let read_as = |block: usize, sha256: &str, values: Vec<f64>| {
            let mut parts = SpectrumParts::new(axis(2.0), values);
            parts.provenance.block = block;
            parts.provenance.sha256 = sha256.to_owned();
            Spectrum::new(parts).expect("a spectrum")
        };
        let percent = measured(1, 1.0e-4).absorbances().to_vec();
        let absorbance: Vec<f64> = percent.iter().map(|v| 2.0 - (100.0 * v).log10()).collect();
        let one = read_as(1, "ab", percent);
        assert!(read_as(1, "ab", absorbance.clone()).is_copy_of(&one));
        for (block, sha256) in [(2, "ab"), (1, "cd"), (1, "")] {
            assert!(!read_as(block, sha256, absorbance.clone()).is_copy_of(&one));
        }
    }

    #[test]
    fn measurements_of_one_thing_are_no_copies_and_without_noise_nothing_is_said() {
        for seed in 2..40 {
            assert!(!measured(seed, 1.0e-4).is_measurement_of(&measured(1, 1.0e-4)), "{seed}");
        }
        // The same bands without noise, and the same with the noise smoothed away, are equal in all but their scale.
        let clean = measured(1, 0.0);
        assert_eq!(shared_noise(&clean, &written(&clean, |v| 1.01 * v)), None);
        let one = measured(1, 1.0e-4);
        let smoothed = one.absorbances().windows(15).map(|w| w.iter().sum::<f64>() / 15.0);
        let smooth = of(&one.wavenumbers_cm1()[7..one.len() - 7], smoothed.collect());
        assert!(!smooth.is_measurement_of(&measured(2, 1.0e-4)));
    }

    #[test]
    fn no_two_measured_spectra_of_a_laboratory_are_copies_but_by_their_bytes() {
        let folder =
            Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/measured-spectra/spectra"));
        let Ok(sets) = std::fs::read_dir(folder) else {
            println!("skipped: no measured spectra beside the project");
            return;
        };
        let (mut pairs, mut highest) = (0, 0.0f64);
        for set in sets {
            let files = std::fs::read_dir(set.expect("a set").path()).expect("a folder");
            let read = |file: std::io::Result<std::fs::DirEntry>| {
                crate::read_path(&file.ok()?.path(), &ReadOptions::default()).next()?.ok()
            };
            let spectra: Vec<Spectrum> = files.filter_map(read).collect();
            for (i, one) in spectra.iter().enumerate() {
                for other in &spectra[i + 1..] {
                    pairs += 1;
                    let (a, b) = (one.provenance(), other.provenance());
                    if a.sha256 == b.sha256 {
                        continue;
                    }
                    highest = highest.max(shared_noise(one, other).unwrap_or(0.0));
                    assert!(!one.is_measurement_of(other), "{} and {}", a.file, b.file);
                }
            }
        }
        println!("of {pairs} pairs the noise is shared by {highest:.3} at most");
        assert!(pairs > 20_000, "{pairs}");
    }
}
