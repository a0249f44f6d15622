//! Saturated, flattened, clipped, coarse and normalised ordinates.

use super::signal::Signal;
use super::{Finding, Severity};
use crate::spectrum::{MeasurementMode, Ordinate, PointFlag, Spectrum};

/// A top this wide at 95 % of its height, against its width at half height, is flat: a Lorentz band
/// has 0.23, a Gaussian 0.27.
const FLAT_TOP: f64 = 0.42;

/// Flat tops are looked for from this absorbance on: stray light of 10 % sets a ceiling of 1.
const CEILING_FROM: f64 = 1.0;

/// Past this absorbance one part in thirty of the light is left and detectors are no longer linear.
const LINEAR_TO: f64 = 1.5;

/// So many equal values in a row at the top of a band are a cut.
const CUT_POINTS: usize = 5;

/// A cut band falls off by so many smallest steps at once; a coarse but whole one by one.
const CUT_EDGE: f64 = 3.0;

/// It also falls off by this share of the strongest band at least.
const CUT_EDGE_SHARE: f64 = 0.004;

/// Coarse means that so large a share of neighbours are equal.
const EQUAL_SHARE: f64 = 0.25;

/// A step of the ordinate above this share of the strongest band hides weak bands.
const COARSE_STEP: f64 = 0.005;

pub(super) fn findings(spectrum: &Spectrum, signal: &Signal) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(saturated(spectrum));
    found.extend(flattened(spectrum, signal));
    let step = smallest_step(spectrum);
    found.extend(clipped(spectrum, signal, step));
    found.extend(coarse(spectrum, signal));
    found.extend(normalised(spectrum));
    found
}

fn saturated(spectrum: &Spectrum) -> Option<Finding> {
    let count = spectrum.flags().iter().filter(|f| **f == PointFlag::Saturated).count();
    (count > 0).then(|| {
        let share = 100.0 * count as f64 / spectrum.len() as f64;
        Finding::note("saturated", "").figure(share, 0.0, "%").raised(
            Severity::Limits,
            "some points let no light through: heights and ratios there are unsafe",
            "use a thinner film, less pressure, or ATR",
        )
    })
}

/// Tops that spread into a plateau: stray light or a detector at its limit.
fn flattened(spectrum: &Spectrum, signal: &Signal) -> Option<Finding> {
    if spectrum.ordinate() == Ordinate::RelativeAbsorbance || signal.strongest < CEILING_FROM {
        return None;
    }
    let i = spectrum.window(signal.strongest_cm1, signal.strongest_cm1).start;
    let ratio = width_at(spectrum, signal, i, 0.95) / width_at(spectrum, signal, i, 0.5);
    if ratio > FLAT_TOP {
        return Some(Finding::note("flattened", "").figure(ratio, FLAT_TOP, "").raised(
            Severity::Limits,
            "the strongest band is flat at the top: heights, ratios and order are unsafe",
            "use a thinner film, less pressure, or ATR",
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

/// Width in cm⁻¹ of the stretch around a point that stays above a share of the strongest band.
fn width_at(spectrum: &Spectrum, signal: &Signal, i: usize, share: f64) -> f64 {
    let values = spectrum.absorbances();
    let axis = spectrum.wavenumbers_cm1();
    let Some(&top) = values.get(i) else { return 0.0 };
    let level = top - (1.0 - share) * signal.strongest;
    let below = |j: &usize| values[*j] < level;
    let low =
        (0..=i).rev().find(below).map_or(axis[0], |j| crossing(axis, values, j, j + 1, level));
    let high = (i..values.len())
        .find(below)
        .map_or(axis[axis.len() - 1], |j| crossing(axis, values, j, j.saturating_sub(1), level));
    high - low
}

fn crossing(axis: &[f64], values: &[f64], below: usize, above: usize, level: f64) -> f64 {
    let share = (level - values[below]) / (values[above] - values[below]);
    axis[below] + share * (axis[above] - axis[below])
}

/// The step that most changes between neighbours are made of: the lower tenth of those that are not zero.
fn smallest_step(spectrum: &Spectrum) -> f64 {
    let mut steps: Vec<f64> = spectrum
        .absorbances()
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).abs())
        .filter(|step| *step > 0.0)
        .collect();
    super::noise::quantile(&mut steps, 0.1).unwrap_or(0.0)
}

/// A run of equal values high up a band, with a steep fall on both sides.
fn clipped(spectrum: &Spectrum, signal: &Signal, step: f64) -> Option<Finding> {
    let values = spectrum.absorbances();
    let mut longest = 0;
    for segment in spectrum.segments() {
        let mut start = segment.start;
        for i in segment.start + 1..=segment.end {
            if i < segment.end && values[i] == values[start] {
                continue;
            }
            let length = i - start;
            let inside = start > segment.start && i < segment.end;
            let flags = &spectrum.flags()[start..i];
            if length >= CUT_POINTS && inside && flags.iter().all(|f| *f == PointFlag::Measured) {
                let top = values[start];
                let (before, after) = (top - values[start - 1], top - values[i]);
                let high = top - signal.offset > 0.3 * signal.strongest;
                let edge = (CUT_EDGE * step).max(CUT_EDGE_SHARE * signal.strongest);
                if high && before > edge && after > edge {
                    longest = longest.max(length);
                }
            }
            start = i;
        }
    }
    (longest > 0).then(|| {
        Finding::note("clipped", "").figure(longest as f64, CUT_POINTS as f64, "points").raised(
            Severity::Limits,
            "the tops of strong bands are cut off: order, heights and ratios are unsafe",
            "export again without a limit on the ordinate, or measure a thinner film",
        )
    })
}

fn coarse(spectrum: &Spectrum, signal: &Signal) -> Option<Finding> {
    let (mut equal, mut pairs) = (0_usize, 0_usize);
    let mut steps = Vec::new();
    for segment in spectrum.segments() {
        for pair in spectrum.absorbances()[segment.clone()].windows(2) {
            pairs += 1;
            let step = (pair[1] - pair[0]).abs();
            if step == 0.0 { equal += 1 } else { steps.push(step) }
        }
    }
    let step = super::noise::quantile(&mut steps, 0.25)?;
    let share = equal as f64 / pairs.max(1) as f64;
    let size = step / signal.strongest.max(f64::MIN_POSITIVE);
    (share > EQUAL_SHARE && size > COARSE_STEP).then(|| {
        Finding::note("coarse-ordinate", "")
            .figure(size, COARSE_STEP, "of the strongest band")
            .raised(
                Severity::Limits,
                "the ordinate was written with too few digits: weak bands are steps",
                "export again with more digits",
            )
    })
}

fn normalised(spectrum: &Spectrum) -> Option<Finding> {
    let bounds = spectrum
        .absorbances()
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(*v), b.max(*v)));
    let one = (bounds.1 - 1.0).abs() < 1.0e-9 || (bounds.1 - 100.0).abs() < 1.0e-7;
    let scaled =
        spectrum.ordinate() == Ordinate::RelativeAbsorbance || (one && bounds.0.abs() < 1.0e-9);
    scaled.then(|| {
        Finding::note("normalised", "heights were scaled: strength of contact cannot be told")
            .figure(bounds.1, f64::NAN, "")
    })
}
