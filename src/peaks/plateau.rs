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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::peaks::pick;
    use crate::prepare::prepare;
    use crate::spectrum::{Spectrum, SpectrumParts};

    /// The ceiling of the invented detector, in absorbance.
    const CEILING: f64 = 1.5;

    /// Lorentz bands (position, height, width at half height in cm⁻¹), cut off at the ceiling.
    fn cut(bands: &[(f64, f64, f64)]) -> (Spectrum, Prepared) {
        let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let absorbance = |at: &f64| {
            let band = |(centre, height, width): &(f64, f64, f64)| {
                height / (1.0 + (2.0 * (at - centre) / width).powi(2))
            };
            bands.iter().map(band).sum::<f64>().min(CEILING)
        };
        let values = axis.iter().map(absorbance).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let spectrum = spectrum.with_ceiling(CEILING);
        let prepared = prepare(&spectrum).expect("prepared");
        (spectrum, prepared)
    }

    /// Peaks between 1600 and 1900 cm⁻¹.
    fn there(bands: &[(f64, f64, f64)]) -> Vec<crate::peaks::Peak> {
        let (spectrum, prepared) = cut(bands);
        let near = |at: f64| (1600.0..1900.0).contains(&at);
        pick(&spectrum, &prepared).list.iter().filter(|p| near(p.position_cm1)).copied().collect()
    }

    fn raw(prepared: &Prepared, position_cm1: f64, curvature: f64) -> Raw {
        let axis = prepared.spectrum().wavenumbers_cm1();
        let index = axis.partition_point(|at| *at < position_cm1);
        let height = prepared.spectrum().absorbances()[index];
        Raw { index, position_cm1, height, curvature, at_least: false, half_width_cm1: 0.0 }
    }

    #[test]
    fn a_top_cut_off_at_the_ceiling_is_one_peak_in_its_middle() {
        // 4.5 high and 60 wide stands above 1.5 for 42 cm⁻¹ on each side of its centre.
        let found = there(&[(1740.0, 4.5, 60.0), (1100.0, 0.8, 20.0)]);
        let [top] = found.as_slice() else { panic!("one peak, not {found:?}") };
        assert!(top.at_least);
        assert!((top.position_cm1 - 1740.0).abs() < 2.0, "{top:?}");
        assert!((30.0..55.0).contains(&top.half_width_cm1), "{top:?}");
    }

    #[test]
    fn a_dip_between_two_cut_tops_keeps_them_apart() {
        let found = there(&[(1690.0, 3.0, 24.0), (1800.0, 3.0, 24.0), (1100.0, 0.8, 20.0)]);
        let places: Vec<f64> = found.iter().map(|p| p.position_cm1).collect();
        assert_eq!(places.len(), 2, "{found:?}");
        assert!((places[0] - 1690.0).abs() < 2.0 && (places[1] - 1800.0).abs() < 2.0, "{places:?}");
        assert!(found.iter().all(|p| p.at_least));
    }

    #[test]
    fn corners_become_the_middle_and_bend_no_more_than_the_sharpest_whole_band() {
        let (_, prepared) = cut(&[(1740.0, 4.5, 60.0), (1100.0, 0.8, 20.0)]);
        let found = vec![
            raw(&prepared, 1100.0, 0.010),
            raw(&prepared, 1702.0, 0.050),
            raw(&prepared, 1780.0, 0.070),
        ];
        let joined = join_plateaus(found, &prepared);
        let [whole, top] = joined.as_slice() else { panic!("two, not {joined:?}") };
        assert!(!whole.at_least && top.at_least);
        assert_eq!(
            (whole.position_cm1, whole.half_width_cm1, whole.curvature),
            (1100.0, 0.0, 0.010)
        );
        assert_eq!((top.position_cm1, top.half_width_cm1, top.curvature), (1741.0, 39.0, 0.010));
    }

    #[test]
    fn nothing_is_joined_where_nothing_is_cut_off() {
        let (_, prepared) = cut(&[(1740.0, 1.2, 60.0), (1100.0, 0.8, 20.0)]);
        let found = vec![raw(&prepared, 1730.0, 0.050), raw(&prepared, 1750.0, 0.070)];
        let joined = join_plateaus(found, &prepared);
        let kept: Vec<(f64, f64)> = joined.iter().map(|f| (f.position_cm1, f.curvature)).collect();
        assert_eq!(kept, [(1730.0, 0.050), (1750.0, 0.070)]);
        assert!(joined.iter().all(|f| !f.at_least));
    }
}
