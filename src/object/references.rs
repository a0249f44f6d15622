//! A reference that the examiner vouches for, as a second opinion on a claim.

use super::record::CandidateRecord;
use crate::spectrum::Spectrum;

/// Where the glycol part of terephthalate copolyesters absorbs, in cm⁻¹: the ester bands that PET
/// and PETG share are left out, as they would make any two of them look alike.
const TELLING_WINDOWS_CM1: &[(f64, f64)] =
    &[(885.0, 990.0), (1325.0, 1395.0), (1430.0, 1485.0), (2830.0, 2990.0)];

/// Correlation of first derivatives in each telling window from which a spot agrees with the
/// reference: own rule; on the demo's PETG it is above 0.99, PET against it falls below 0.9 in one.
const AGREES_FROM: f64 = 0.95;

/// Half width of the straight line whose slope is the derivative, in cm⁻¹: two points each side at
/// 2 cm⁻¹ spacing, so that noise is calmed and no band of the windows is flattened.
const SLOPE_HALF_WIDTH_CM1: f64 = 5.0;

/// Points that a window must share before a correlation means anything.
const LEAST_POINTS: usize = 12;

/// What the reference says of a candidate sheet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ReferenceOpinion {
    /// Material id of the reference.
    pub material: String,
    /// Whether every spot agrees with it.
    pub agrees: bool,
    /// The opinion in words.
    pub words: String,
}

/// Holds the spots of a candidate against its reference.
pub(super) fn opinion(
    candidate: &CandidateRecord,
    reference: &Spectrum,
    spots: &[&Spectrum],
) -> Option<ReferenceOpinion> {
    let material = candidate.reference_material.clone();
    if material.is_empty() {
        return None;
    }
    let vouched = candidate.reference_vouched_by.trim();
    if vouched.is_empty() {
        let words = format!(
            "the reference {} is not vouched for by anybody and settles nothing",
            candidate.reference
        );
        return Some(ReferenceOpinion { material, agrees: false, words });
    }
    let lowest = spots
        .iter()
        .map(|spot| lowest_correlation(reference, spot))
        .reduce(|a, b| Some(a?.min(b?)))
        .flatten();
    let (agrees, words) = match lowest {
        None => (
            false,
            format!("the reference {} does not cover the bands that tell", candidate.reference),
        ),
        Some(r) if r >= AGREES_FROM => (
            true,
            format!(
                "the {material} reference vouched for by {vouched} agrees in the bands that tell \
                 (lowest correlation of first derivatives {r:.3}, limit {AGREES_FROM})"
            ),
        ),
        Some(r) => (
            false,
            format!(
                "the {material} reference vouched for by {vouched} differs in the bands that tell \
                 (lowest correlation of first derivatives {r:.3}, limit {AGREES_FROM})"
            ),
        ),
    };
    Some(ReferenceOpinion { material, agrees, words })
}

/// The lowest correlation over the telling windows; `None` where one is not covered by both.
fn lowest_correlation(reference: &Spectrum, spot: &Spectrum) -> Option<f64> {
    let mut lowest = f64::INFINITY;
    for &(low, high) in TELLING_WINDOWS_CM1 {
        let margin = SLOPE_HALF_WIDTH_CM1;
        if !reference.covers(low - margin, high + margin)
            || !spot.covers(low - margin, high + margin)
        {
            return None;
        }
        let range = spot.window(low, high);
        let mut pairs = Vec::with_capacity(range.len());
        for &v in spot.wavenumbers_cm1().get(range)? {
            pairs.push((slope(reference, v)?, slope(spot, v)?));
        }
        lowest = lowest.min(correlation(&pairs)?);
    }
    lowest.is_finite().then_some(lowest)
}

/// The slope of a straight line through the points around a wavenumber.
fn slope(spectrum: &Spectrum, wavenumber_cm1: f64) -> Option<f64> {
    let range = spectrum
        .window(wavenumber_cm1 - SLOPE_HALF_WIDTH_CM1, wavenumber_cm1 + SLOPE_HALF_WIDTH_CM1);
    let v = spectrum.wavenumbers_cm1().get(range.clone())?;
    let a = spectrum.absorbances().get(range)?;
    if v.len() < 3 {
        return None;
    }
    let count = v.len() as f64;
    let (mean_v, mean_a) = (v.iter().sum::<f64>() / count, a.iter().sum::<f64>() / count);
    let (mut top, mut bottom) = (0.0, 0.0);
    for (v, a) in v.iter().zip(a) {
        top += (v - mean_v) * (a - mean_a);
        bottom += (v - mean_v) * (v - mean_v);
    }
    (bottom > 0.0).then_some(top / bottom)
}

fn correlation(pairs: &[(f64, f64)]) -> Option<f64> {
    if pairs.len() < LEAST_POINTS {
        return None;
    }
    let count = pairs.len() as f64;
    let mean_x = pairs.iter().map(|p| p.0).sum::<f64>() / count;
    let mean_y = pairs.iter().map(|p| p.1).sum::<f64>() / count;
    let (mut xy, mut xx, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in pairs {
        xy += (x - mean_x) * (y - mean_y);
        xx += (x - mean_x) * (x - mean_x);
        yy += (y - mean_y) * (y - mean_y);
    }
    (xx > 0.0 && yy > 0.0).then_some(xy / (xx * yy).sqrt())
}
