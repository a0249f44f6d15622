//! A top cut off at the detector's ceiling is one peak, not the corners of its plateau.

use crate::prepare::Prepared;
use crate::spectrum::PointFlag;

/// A peak before shares are known.
#[derive(Clone, Copy, Debug)]
pub(super) struct Raw {
    pub(super) index: usize,
    pub(super) position_cm1: f64,
    pub(super) height: f64,
    pub(super) curvature: f64,
    pub(super) at_least: bool,
    pub(super) half_width_cm1: f64,
}

/// Two tops within a saturated run are one plateau unless a dip of this share of the lower parts them.
const PLATEAU_DIP: f64 = 0.03;

/// The corner of a cut top bends as far away from it as the derivative's window reaches, in cm⁻¹.
const CORNER_CM1: f64 = 8.0;

/// Brings the peaks of each saturated run together: the corners of a plateau are no bands, its
/// middle is one, and a dip within it parts two.
pub(super) fn join_plateaus(found: Vec<Raw>, prepared: &Prepared) -> Vec<Raw> {
    let spectrum = prepared.spectrum();
    let (flags, heights) = (spectrum.flags(), spectrum.absorbances());
    if !flags.contains(&PointFlag::Saturated) {
        return found;
    }
    let reach = (CORNER_CM1 / spectrum.spacing_cm1()).ceil() as usize;
    let at_ceiling = |i: usize| {
        let near = i.saturating_sub(reach)..(i + reach + 1).min(flags.len());
        flags.get(near).is_some_and(|near| near.contains(&PointFlag::Saturated))
    };
    let mut joined: Vec<Raw> = Vec::with_capacity(found.len());
    for mut raw in found {
        if !at_ceiling(raw.index) {
            joined.push(raw);
            continue;
        }
        raw.at_least = true;
        if let Some(last) = joined.last_mut().filter(|last| last.at_least) {
            let lowest = |range: std::ops::RangeInclusive<usize>| {
                heights.get(range).unwrap_or_default().iter().copied().fold(f64::INFINITY, f64::min)
            };
            let at = |i: usize| heights.get(i).copied().unwrap_or(0.0);
            let floor = (1.0 - PLATEAU_DIP) * at(last.index).min(at(raw.index));
            if lowest(last.index..=raw.index) >= floor
                && (last.index..=raw.index)
                    .all(|i| flags.get(i) == Some(&PointFlag::Saturated) || at_ceiling(i))
            {
                let low = last.position_cm1 - last.half_width_cm1;
                last.position_cm1 = f64::midpoint(low, raw.position_cm1);
                last.half_width_cm1 = (raw.position_cm1 - low) / 2.0;
                last.height = last.height.max(raw.height);
                last.curvature = last.curvature.max(raw.curvature);
                last.index = raw.index;
                continue;
            }
        }
        joined.push(raw);
    }
    // A corner bends more sharply than any band; no more than the sharpest whole one counts.
    let sharpest = joined.iter().filter(|f| !f.at_least).map(|f| f.curvature).fold(0.0, f64::max);
    if sharpest > 0.0 {
        for raw in joined.iter_mut().filter(|f| f.at_least) {
            raw.curvature = raw.curvature.min(sharpest);
        }
    }
    joined
}
