//! Picks the minima of the second derivative, each with its height.

use std::borrow::Cow;

use super::peak::{COUNTED_CM1, Peak, Peaks, STRETCHES_ABOVE_CM1};
use super::plateau::{Raw, join_plateaus};
use crate::prepare::{Polynomial, Prepared, differentiate};
use crate::spectrum::zones::{CARBON_DIOXIDE_CM1, SCATTER_CM1, TWO_PHONONS_CM1};
use crate::spectrum::{PointFlag, Spectrum, window};
use crate::statistics::SD_PER_QUARTILE;

/// Fewer quiet points than this say nothing; the whole spectrum is used instead.
const LEAST_QUIET_POINTS: usize = 40;

/// Windows for the second derivative in cm⁻¹, tried in turn until the strongest peak stands out.
/// The first is the preparation's own.
const WIDER_WINDOWS_CM1: [f64; 2] = [30.0, 45.0];

/// The strongest peak must stand this many times above the scatter, else a wider window is tried.
const CLEAR_SIGNAL_TO_NOISE: f64 = 60.0;

/// A peak must stand this many times above the local scatter of the second derivative.
const LEAST_CURVATURE_TO_NOISE: f64 = 5.0;

/// A peak must stand this many times above the local noise of the absorbance.
const LEAST_HEIGHT_TO_NOISE: f64 = 4.0;

/// Peaks below this share of the strongest curvature are left alone.
const LEAST_CURVATURE_SHARE: f64 = 0.01;

/// Peaks below this share of the strongest height are left alone.
const LEAST_HEIGHT_SHARE: f64 = 0.004;

/// Where no stretch is quiet: the window of the derivative in cm⁻¹, …
const ASSUMED_WINDOW_CM1: f64 = 18.0;

/// … and how much more than white noise an interpolated grid lets through (own estimate).
const CORRELATED_NOISE: f64 = 5.0;

/// Points farther apart than this leave too few of them in a window of the width of a band.
const COARSE_SPACING_CM1: f64 = 5.0;

/// Order of the local polynomial.
const ORDER: usize = 3;

/// How much less peaks above [`STRETCHES_ABOVE_CM1`] count.
const STRETCH_WEIGHT: f64 = 0.4;

/// The median of absolute values becomes a standard deviation of Gaussian noise by this factor.
const SD_PER_MEDIAN: f64 = 1.4826;

/// Picks the peaks of a spectrum.
///
/// `prepared` belongs to `measured`. Peaks are looked for between 400 and 3750 cm⁻¹, on measured points alone, outside
/// the zones that the diamond and carbon dioxide take. Where the strongest hardly stands above the scatter of the
/// second derivative, wider windows are tried.
#[must_use]
pub fn pick(measured: &Spectrum, prepared: &Prepared) -> Peaks {
    let axis = prepared.spectrum().wavenumbers_cm1();
    let usable = usable(axis, prepared.spectrum().flags());
    let same_grid = prepared.spectrum().len() == measured.len();
    let spacing = measured.spacing_cm1();
    let noise = &*noise_for(prepared, spacing);
    let mut curvature: Vec<f64> = prepared.second_derivative().iter().map(|d| -d).collect();
    if same_grid && spacing > COARSE_SPACING_CM1 {
        // Five points of a cubic would span two bands: a parabola through three is all there is.
        let polynomial = Polynomial { width_cm1: 2.0 * spacing, order: 2 };
        if let Ok(narrow) = differentiate(measured, polynomial, 2) {
            curvature = narrow.iter().map(|d| -d).collect();
        }
    }
    let mut scatter = scatter_of(axis, &curvature, noise, spacing);
    let mut clearness = clearest(&curvature, &scatter, &usable);
    if same_grid && spacing <= COARSE_SPACING_CM1 {
        for width_cm1 in WIDER_WINDOWS_CM1 {
            if clearness >= CLEAR_SIGNAL_TO_NOISE {
                break;
            }
            let polynomial = Polynomial { width_cm1, order: ORDER };
            let Ok(wider) = differentiate(measured, polynomial, 2) else { break };
            curvature = wider.iter().map(|d| -d).collect();
            scatter = scatter_of(axis, &curvature, noise, spacing);
            clearness = clearest(&curvature, &scatter, &usable);
        }
    }
    let list = candidates(prepared, &curvature, &scatter, noise, &usable);
    let (list, strongest) = weigh(list);
    Peaks::new(list, strongest, clearness)
}

/// One standard deviation of the noise at each point. On a coarse grid bands change from point to
/// point as noise does: there the quietest tenth stands for all.
fn noise_for(prepared: &Prepared, spacing: f64) -> Cow<'_, [f64]> {
    let noise = prepared.noise_sd();
    if spacing <= COARSE_SPACING_CM1 {
        return Cow::Borrowed(noise);
    }
    let quiet = quantile(noise.to_vec(), 0.1);
    Cow::Owned(vec![quiet; noise.len()])
}

/// Returns at which points peaks are looked for.
fn usable(axis: &[f64], flags: &[PointFlag]) -> Vec<bool> {
    let counts = |flag: &PointFlag| matches!(flag, PointFlag::Measured | PointFlag::Saturated);
    let mut usable: Vec<bool> = flags.iter().map(counts).collect();
    let counted = window(axis, COUNTED_CM1.0, COUNTED_CM1.1);
    usable[..counted.start].fill(false);
    usable[counted.end..].fill(false);
    for (low, high) in [TWO_PHONONS_CM1, CARBON_DIOXIDE_CM1] {
        usable[window(axis, low, high)].fill(false);
    }
    usable
}

/// One standard deviation of the second derivative at each point: read where plastics do not absorb,
/// and scaled by how much noisier the absorbance is elsewhere.
fn scatter_of(axis: &[f64], curvature: &[f64], noise: &[f64], spacing: f64) -> Vec<f64> {
    let mut quiet = SCATTER_CM1.map(|(low, high)| window(axis, low, high));
    let mut rank = (0.5, SD_PER_MEDIAN);
    if quiet.iter().map(ExactSizeIterator::len).sum::<usize>() < LEAST_QUIET_POINTS {
        quiet = [0..axis.len(), 0..0];
        // Bands fill the upper half.
        rank = (0.25, SD_PER_QUARTILE);
    }
    let of = |values: &[f64], part: f64| -> f64 {
        let mut there = Vec::with_capacity(quiet.iter().map(ExactSizeIterator::len).sum());
        for stretch in quiet.clone() {
            let end = stretch.end.min(values.len());
            there.extend(values[stretch.start.min(end)..end].iter().map(|v| v.abs()));
        }
        quantile(there, part)
    };
    let quiet_noise = of(noise, 0.5);
    let mut base = rank.1 * of(curvature, rank.0);
    if rank.0 < 0.5 {
        // Bands may fill even the lower quarter: no more than the noise, filtered, can account for.
        let points = (ASSUMED_WINDOW_CM1 / spacing).max(5.0);
        let white = quiet_noise * (720.0 / points.powi(5)).sqrt() / spacing.powi(2);
        base = base.min(CORRELATED_NOISE * white);
    }
    noise
        .iter()
        .map(|n| {
            let louder = if quiet_noise > 0.0 { (n / quiet_noise).max(1.0) } else { 1.0 };
            (base * louder).max(f64::MIN_POSITIVE)
        })
        .collect()
}

/// The value below which a part of all lies, its rank cut off: `spectrum::quantile` rounds it, and with that the scores
/// of nine of 783 measured spectra move, and no answer is any better for it.
fn quantile(mut values: Vec<f64>, part: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let at = ((values.len() - 1) as f64 * part) as usize;
    *values.select_nth_unstable_by(at, f64::total_cmp).1
}

fn clearest(curvature: &[f64], scatter: &[f64], usable: &[bool]) -> f64 {
    /// Points compared side by side, so that none waits for the one before it.
    const LANES: usize = 4;
    let ratio = |curvature: f64, scatter: f64, usable: bool| {
        let ratio = curvature / scatter;
        if usable && ratio > 0.0 { ratio } else { 0.0 }
    };
    let mut highest = [0.0; LANES];
    let points = curvature.chunks(LANES).zip(scatter.chunks(LANES)).zip(usable.chunks(LANES));
    for ((curvature, scatter), usable) in points {
        for (((highest, c), s), u) in highest.iter_mut().zip(curvature).zip(scatter).zip(usable) {
            let here = ratio(*c, *s, *u);
            *highest = if here > *highest { here } else { *highest };
        }
    }
    highest.into_iter().fold(0.0, f64::max)
}

fn candidates(
    prepared: &Prepared,
    curvature: &[f64],
    scatter: &[f64],
    noise: &[f64],
    usable: &[bool],
) -> Vec<Raw> {
    let axis = prepared.spectrum().wavenumbers_cm1();
    let heights = prepared.spectrum().absorbances();
    let spacing = prepared.spectrum().spacing_cm1();
    let mut found: Vec<Raw> = Vec::new();
    let points = [axis.len(), heights.len(), noise.len(), curvature.len(), scatter.len()];
    let points = points.into_iter().min().unwrap_or(0).min(usable.len());
    for i in 1..points.saturating_sub(1) {
        // First what most points fail alike: noise has a maximum at every third point.
        let here = curvature[i];
        if here < LEAST_CURVATURE_TO_NOISE * scatter[i] || !usable[i] {
            continue;
        }
        let (before, after) = (curvature[i - 1], curvature[i + 1]);
        if !(here > before && here >= after) {
            continue;
        }
        // The maximum of the absorbance may stand a point or two beside the curvature's.
        let reach = (4.0 / spacing).ceil() as usize + 1;
        let height = heights[i.saturating_sub(reach)..(i + reach + 1).min(points)]
            .iter()
            .copied()
            .fold(0.0, f64::max);
        if height < LEAST_HEIGHT_TO_NOISE * noise[i] {
            continue;
        }
        let bend = before - 2.0 * here + after;
        let offset = if bend == 0.0 { 0.0 } else { 0.5 * (before - after) / bend };
        found.push(Raw {
            index: i,
            position_cm1: axis[i] + offset.clamp(-0.5, 0.5) * spacing,
            height,
            curvature: here,
            at_least: false,
            half_width_cm1: 0.0,
        });
    }
    let mut found = join_plateaus(found, prepared);
    let most_curved = found.iter().map(|f| f.curvature).fold(0.0, f64::max);
    let highest = found.iter().map(|f| f.height).fold(0.0, f64::max);
    found.retain(|f| {
        f.curvature >= LEAST_CURVATURE_SHARE * most_curved
            && f.height >= LEAST_HEIGHT_SHARE * highest
    });
    found
}

/// Turns heights and curvatures into shares and weights. Height alone would let broad bands rule,
/// curvature alone narrow ones: their geometric mean is what the eye takes for strength.
fn weigh(raw: Vec<Raw>) -> (Vec<Peak>, f64) {
    let highest = raw.iter().map(|f| f.height).fold(0.0, f64::max);
    let most_curved = raw.iter().map(|f| f.curvature).fold(0.0, f64::max);
    if highest <= 0.0 || most_curved <= 0.0 {
        return (Vec::new(), 0.0);
    }
    let strength = |f: &Raw| ((f.height / highest) * (f.curvature / most_curved)).sqrt();
    let strongest = raw.iter().map(strength).fold(0.0, f64::max);
    let list = raw
        .iter()
        .map(|f| {
            let weight = (strength(f) / strongest).powf(0.75);
            let less = if f.position_cm1 > STRETCHES_ABOVE_CM1 { STRETCH_WEIGHT } else { 1.0 };
            Peak {
                position_cm1: f.position_cm1,
                share: f.height / highest,
                weight: weight * less,
                at_least: f.at_least,
                half_width_cm1: f.half_width_cm1,
                is_vapour: false,
            }
        })
        .collect();
    (list, highest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::zones::is_in;

    #[test]
    fn peaks_are_looked_for_where_it_was_measured_and_counts() {
        let axis: Vec<f64> = (0..1900).map(|i| 350.0 + 2.0 * f64::from(i)).collect();
        let mut flags = vec![PointFlag::Measured; axis.len()];
        flags[300..310].fill(PointFlag::Masked);
        flags[400..410].fill(PointFlag::Padded);
        flags[500..510].fill(PointFlag::Saturated);
        for ((usable, x), flag) in usable(&axis, &flags).into_iter().zip(&axis).zip(&flags) {
            let counts = is_in(COUNTED_CM1, *x)
                && !is_in(TWO_PHONONS_CM1, *x)
                && !is_in(CARBON_DIOXIDE_CM1, *x)
                && !matches!(flag, PointFlag::Masked | PointFlag::Padded);
            assert_eq!(usable, counts, "{x} {flag:?}");
        }
    }

    #[test]
    fn the_clearest_is_found_wherever_it_stands() {
        for count in 1..20 {
            for at in 0..count {
                let mut curvature = vec![1.0; count];
                curvature[at] = 6.0;
                let mut usable = vec![true; count];
                assert_eq!(clearest(&curvature, &vec![2.0; count], &usable), 3.0);
                usable[at] = false;
                let others = if count > 1 { 0.5 } else { 0.0 };
                assert_eq!(clearest(&curvature, &vec![2.0; count], &usable), others);
            }
        }
    }
}
