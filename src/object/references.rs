//! A reference that the examiner vouches for, as a second opinion on a claim.
//!
//! It is heard in the windows that the table states for the look-alikes that are left, and nowhere else:
//! windows of other look-alikes leave out the very bands that tell these.

use super::plain;
use super::record::CandidateRecord;
use crate::spectrum::Spectrum;
use crate::tables::{Group, Tables, Window};

/// Correlation of first derivatives in each telling window from which a spot agrees with the
/// reference: own rule; on the demo's PETG it is above 0.99, PET against it falls below 0.9 in one.
const AGREES_FROM: f64 = 0.95;

/// The heights of the windows may stand to each other as in the reference within this factor: own rule.
/// A gap of 0.2 µm more under diamond at 45° moves 1000 against 2900 cm⁻¹ by about two (Harrick 1967).
const LARGEST_SPREAD: f64 = 2.0;

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

/// How alike a spot and the reference are in the telling windows.
#[derive(Clone, Copy, Debug)]
struct Likeness {
    /// The lowest correlation of first derivatives.
    correlation: f64,
    /// The largest factor between the heights of two windows, each beside the reference's.
    spread: f64,
}

impl Likeness {
    fn worse(self, other: Self) -> Self {
        Self {
            correlation: self.correlation.min(other.correlation),
            spread: self.spread.max(other.spread),
        }
    }
}

/// Returns the look-alike group in whose windows these materials are told apart: the smallest that
/// holds them all, and of one alone the group it belongs to.
pub(super) fn group_of<'t>(ids: &[&str], tables: &'t Tables) -> Option<&'t Group> {
    match ids {
        [one] => tables.material(one)?.group.as_deref().and_then(|id| tables.group(id)),
        many => tables.group_of(many),
    }
}

/// Holds the judged spots of a candidate against its reference, in the windows that tell `ids`: the
/// claim and everything that is not excluded beside it.
pub(super) fn opinion(
    candidate: &CandidateRecord,
    reference: &Spectrum,
    spots: &[&Spectrum],
    ids: &[&str],
    tables: &Tables,
) -> Option<ReferenceOpinion> {
    let material = candidate.reference_material.clone();
    if material.is_empty() {
        return None;
    }
    let against =
        |words: String| Some(ReferenceOpinion { material: material.clone(), agrees: false, words });
    let vouched = candidate.reference_vouched_by.trim();
    if vouched.is_empty() {
        return against(format!(
            "the reference {} is not vouched for by anybody and settles nothing",
            candidate.reference
        ));
    }
    if let Some(own) = spots.iter().find(|spot| reference.is_measurement_of(spot)) {
        return against(format!(
            "the reference {} is the sheet's own spectrum, which agrees with itself and settles nothing{}",
            candidate.reference,
            reference.or_else_than(own)
        ));
    }
    let group = group_of(ids, tables);
    let windows: Vec<Window> = group
        .map(|group| tables.windows_of(&group.id).map(|row| row.window).collect())
        .unwrap_or_default();
    if windows.is_empty() {
        let ids: Vec<String> = ids.iter().map(|id| (*id).to_owned()).collect();
        return against(format!(
            "cannot be settled by this reference: the table states no windows for {}",
            plain::list(&ids)
        ));
    }
    let found = spots
        .iter()
        .map(|spot| likeness(reference, spot, &windows))
        .reduce(|a, b| Some(a?.worse(b?)))
        .flatten();
    let Some(Likeness { correlation, spread }) = found else {
        return against(format!(
            "the reference {} or a spot does not cover the bands that tell",
            candidate.reference
        ));
    };
    let agrees = correlation >= AGREES_FROM && spread <= LARGEST_SPREAD;
    let words = format!(
        "the {material} reference vouched for by {vouched} {} in the bands that tell (lowest correlation \
         of first derivatives {correlation:.3}, limit {AGREES_FROM}; heights of the windows within a \
         factor of {spread:.1}, limit {LARGEST_SPREAD})",
        if agrees { "agrees" } else { "differs" }
    );
    Some(ReferenceOpinion { material, agrees, words })
}

/// The likeness over all windows; `None` where one is not covered by both.
fn likeness(reference: &Spectrum, spot: &Spectrum, windows: &[Window]) -> Option<Likeness> {
    let mut lowest = f64::INFINITY;
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for window in windows {
        let (low, high) = (window.low_cm1, window.high_cm1);
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
        let (correlation, height) = correlation(&pairs)?;
        lowest = lowest.min(correlation);
        (least, most) = (least.min(height), most.max(height));
    }
    // Curves that run against each other have no heights to hold together; the correlation says so.
    let spread = if least > 0.0 { most / least } else { f64::INFINITY };
    lowest.is_finite().then_some(Likeness { correlation: lowest, spread })
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

/// The correlation of pairs (reference, spot), and the factor from the first to the second by least
/// squares.
fn correlation(pairs: &[(f64, f64)]) -> Option<(f64, f64)> {
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
    (xx > 0.0 && yy > 0.0).then_some((xy / (xx * yy).sqrt(), xy / xx))
}
