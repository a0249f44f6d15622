//! Tops of strong bands that are flat or cut off.

use super::signal::Signal;
use super::{Finding, Severity};
use crate::spectrum::zones::{CARBON_DIOXIDE_CM1, is_in};
use crate::spectrum::{MeasurementMode, Ordinate, PointFlag, Spectrum, bounds, quantile};

/// Flat tops are looked for from this absorbance on: stray light of 10 % sets a ceiling of 1.
const CEILING_FROM: f64 = 1.0;

/// Two depths below a top, as shares of the strongest band, at which half its width is taken.
const NEAR_TOP: f64 = 0.02;
const DOWN_THE_SIDE: f64 = 0.3;

/// Half the width near the top against half the width down the side, on the side where it is larger: a
/// Lorentz band has 0.22, a Gaussian 0.24, one brought to A = 4 under 3 % of stray light 0.48.
const FLAT_TOP: f64 = 0.40;

/// Tops within this share of the strongest band below the highest one lie at its ceiling, and those
/// below it are looked at for their shape.
const CEILING_SHARE: f64 = 0.02;
const STRONG_SHARE: f64 = 0.1;

/// Two tops are parted by a dip of this share of the strongest band.
const DIP_SHARE: f64 = 0.06;

/// So many tops at one height are a ceiling: bands that strong differ in height.
const CEILING_TOPS: usize = 3;

/// Past this absorbance one part in thirty of the light is left and detectors are no longer linear.
const LINEAR_TO: f64 = 1.5;

/// From this share of a ceiling on, stray light has taken a tenth or more from a height: at a ceiling of
/// 1.5, 3 % of it make 1.14 of 1.37 (A = −log₁₀((10^−A' + s) / (1 + s))).
const BENT_FROM_SHARE: f64 = 0.75;

/// Returns the absorbance from which on heights are lower bounds, where tops are flat or cut off.
pub(super) fn ceiling(spectrum: &Spectrum, signal: &Signal) -> Option<f64> {
    let cut = cut_tops(spectrum, signal).into_iter().map(|(top, _)| top).reduce(f64::min);
    let is_flat = || flattened(spectrum, signal).is_some_and(|f| f.id == "flattened");
    if cut.is_some() || !is_flat() {
        return cut;
    }
    let top = highest(spectrum);
    Some(signal.offset + BENT_FROM_SHARE * (top - signal.offset))
}

fn highest(spectrum: &Spectrum) -> f64 {
    let points = spectrum.wavenumbers_cm1().iter().zip(spectrum.absorbances());
    points
        .zip(spectrum.flags())
        .filter(|((x, _), flag)| **flag == PointFlag::Measured && !is_in(CARBON_DIOXIDE_CM1, **x))
        .map(|((_, a), _)| *a)
        .fold(0.0, f64::max)
}

/// Tops that spread into a plateau, or stand at one height: stray light or a detector at its limit.
pub(super) fn flattened(spectrum: &Spectrum, signal: &Signal) -> Option<Finding> {
    if spectrum.ordinate() == Ordinate::RelativeAbsorbance {
        return None;
    }
    let values = spectrum.absorbances();
    // Most spectra reach no such height anywhere.
    if bounds(values).1 < CEILING_FROM {
        return None;
    }
    let axis = spectrum.wavenumbers_cm1();
    let counts = |i: usize| {
        spectrum.flags()[i] == PointFlag::Measured && !is_in(CARBON_DIOXIDE_CM1, axis[i])
    };
    let top = (0..values.len()).filter(|i| counts(*i)).map(|i| values[i]).fold(0.0, f64::max);
    if top < CEILING_FROM {
        return None;
    }
    let unit = signal.strongest.min(top - signal.offset).max(f64::MIN_POSITIVE);
    let (mut flattest, mut tops, mut dip) = (0.0_f64, 0_usize, f64::NEG_INFINITY);
    for segment in spectrum.segments() {
        for i in segment.clone().skip(1) {
            if !counts(i) || i + 1 >= segment.end {
                continue;
            }
            let is_top = values[i] >= values[i - 1] && values[i] > values[i + 1];
            if is_top && values[i] > top - STRONG_SHARE * unit {
                flattest = flattest.max(flatness(axis, values, segment, i, unit));
            }
            if values[i] > top - CEILING_SHARE * unit {
                if dip < top - DIP_SHARE * unit {
                    tops += 1;
                }
                dip = values[i];
            }
            dip = dip.min(values[i]);
        }
    }
    let remedy = "use a thinner film, less pressure, or ATR";
    let finding = Finding::note("flattened", "");
    if flattest > FLAT_TOP {
        return Some(finding.figure(flattest, FLAT_TOP, "").raised(
            Severity::Limits,
            "strong bands are flat at the top: heights, ratios and order are unsafe",
            remedy,
        ));
    }
    if tops >= CEILING_TOPS {
        return Some(finding.figure(tops as f64, CEILING_TOPS as f64, "tops").raised(
            Severity::Limits,
            format!("strong bands all end at A = {top:.2}: heights, ratios and order are unsafe"),
            remedy,
        ));
    }
    (spectrum.mode() == MeasurementMode::Transmission && signal.strongest > LINEAR_TO).then(|| {
        Finding::note("strong-absorbance", "").figure(signal.strongest, LINEAR_TO, "").raised(
            Severity::Limits,
            "the strongest bands are past the linear range: their heights are unsafe",
            "use a thinner film",
        )
    })
}

/// Half the width near a top over half the width down its side; the larger of the two sides.
fn flatness(
    axis: &[f64],
    values: &[f64],
    segment: &std::ops::Range<usize>,
    top: usize,
    unit: f64,
) -> f64 {
    let half = |down: f64, upwards: bool| {
        let level = values[top] - down * unit;
        let mut inner = top;
        loop {
            let outer = if upwards { inner + 1 } else { inner.checked_sub(1)? };
            if !segment.contains(&outer) {
                return None;
            }
            if values[outer] < level {
                let share = (values[inner] - level) / (values[inner] - values[outer]);
                let at = axis[inner] + share * (axis[outer] - axis[inner]);
                return Some((at - axis[top]).abs());
            }
            inner = outer;
        }
    };
    [false, true]
        .into_iter()
        .filter_map(|upwards| Some(half(NEAR_TOP, upwards)? / half(DOWN_THE_SIDE, upwards)?))
        .fold(0.0, f64::max)
}

/// So many equal values in a row at the top of a band may be a cut: a narrow band has no more.
const CUT_POINTS: usize = 3;

/// So many are a cut even where the fall beside them is small.
const SURE_CUT_POINTS: usize = 5;

/// Three equal values on a whole band lie within one step of rounding of its top; the second points
/// beside them are then at most eight steps lower. A cut band falls off further.
const CUT_FALL_STEPS: f64 = 9.0;

/// It also falls off by this share of the strongest band within two points.
const CUT_FALL_SHARE: f64 = 0.02;

/// The same for the first point beside a longer run: whole coarse bands fall one step at a time.
const CUT_EDGE_STEPS: f64 = 3.0;
const CUT_EDGE_SHARE: f64 = 0.004;

/// A cut is looked for above this share of the strongest band.
const CUT_ABOVE: f64 = 0.3;

/// Runs of equal values high up a band, with a steep fall on both sides: their height, and how many points.
fn cut_tops(spectrum: &Spectrum, signal: &Signal) -> Vec<(f64, usize)> {
    let mut found = Vec::new();
    let values = spectrum.absorbances();
    // Measured values hardly ever repeat so often, which is seen without a way out many points at a time.
    let level = |three: &[f64]| (three[0] == three[1]) & (three[1] == three[2]);
    if !values.windows(CUT_POINTS).fold(false, |any, three| any | level(three)) {
        return found;
    }
    let least = signal.offset + CUT_ABOVE * signal.strongest;
    let mut step = None;
    for segment in spectrum.segments() {
        let mut start = segment.start;
        for i in segment.start + 1..=segment.end {
            if i < segment.end && values[i] == values[start] {
                continue;
            }
            let run = start..i;
            start = i;
            let inside = run.start >= segment.start + 2 && run.end + 1 < segment.end;
            if run.len() < CUT_POINTS || !inside || values[run.start] <= least {
                continue;
            }
            let flags = &spectrum.flags()[run.clone()];
            if flags.iter().any(|flag| *flag != PointFlag::Measured) {
                continue;
            }
            let step = *step.get_or_insert_with(|| smallest_step(values));
            let top = values[run.start];
            let falls = |near: usize, far: usize| {
                let (edge, fall) = (top - values[near], top - values[far]);
                let steep = fall > (CUT_FALL_STEPS * step).max(CUT_FALL_SHARE * signal.strongest);
                let sudden = edge > (CUT_EDGE_STEPS * step).max(CUT_EDGE_SHARE * signal.strongest);
                edge > 0.0 && (steep || (sudden && run.len() >= SURE_CUT_POINTS))
            };
            if falls(run.start - 1, run.start - 2) && falls(run.end, run.end + 1) {
                found.push((top, run.len()));
            }
        }
    }
    found
}

/// Tops that were cut off.
pub(super) fn clipped(spectrum: &Spectrum, signal: &Signal) -> Option<Finding> {
    let cuts = cut_tops(spectrum, signal);
    let longest = cuts.iter().map(|(_, points)| *points).max().unwrap_or(0);
    (longest > 0).then(|| {
        Finding::note("clipped", "").figure(longest as f64, CUT_POINTS as f64, "points").raised(
            Severity::Limits,
            "the tops of strong bands are cut off: order, heights and ratios are unsafe",
            "export again without a limit on the ordinate, or measure a thinner film",
        )
    })
}

/// The step that most changes between neighbours are made of: the lower tenth of those that are not zero.
fn smallest_step(values: &[f64]) -> f64 {
    let mut steps: Vec<f64> = values
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).abs())
        .filter(|step| *step > 0.0)
        .collect();
    quantile(&mut steps, 0.1).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fitness::examine;
    use crate::spectrum::SpectrumParts;

    #[test]
    fn a_narrow_band_cut_over_three_points_is_cut_and_a_whole_one_that_rounding_levels_is_not() {
        let is_clipped = |limit: f64, step: f64| {
            let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
            let band = |x: f64, at: f64, half: f64| 0.8 / (1.0 + ((x - at) / half).powi(2));
            let height = |x: f64| band(x, 1700.0, 6.0) + 0.5 * band(x, 1200.0, 20.0);
            let round = |v: f64| (v / step).round() * step;
            let values = axis.iter().map(|x| round(height(*x).min(limit))).collect();
            let fitness = examine(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"));
            fitness.finding("clipped").is_some()
        };
        // Three points of 0.8, 0.72 and 0.72 are higher than 0.7.
        assert!(is_clipped(0.7, 1.0e-6));
        assert!(!is_clipped(0.9, 1.0e-6));
        assert!(!is_clipped(0.9, 0.1));
    }
}
