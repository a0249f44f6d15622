//! How much poly(vinyl chloride) the stretch near 613 cm⁻¹ leaves room for, beside what the named materials
//! show there themselves.
//!
//! A shoulder without a maximum is no zero height, and no material owns the stretch: what stands there is
//! compared with what the measured shapes of the named materials have at the same place.

use super::case::Case;
use crate::tables::{SHAPE_POINTS, Shape, shape_wavenumber_cm1};

/// The C–Cl stretch and what lies on either side of it, in cm⁻¹. The level between the sides is what other
/// broad bands add: titania, water, cellulose.
const BELOW_CM1: (f64, f64) = (572.0, 580.0);
const STRETCH_CM1: (f64, f64) = (608.0, 618.0);
const ABOVE_CM1: (f64, f64) = (655.0, 664.0);

/// So far spectra of one material stray from its measured shapes there, as a share of the strongest band. Of 241
/// spectra without chlorine, named outright, 13 lie more above them (own reading).
const SPREAD: f64 = 0.02;

/// A curve that sags there stands between the flanks of stronger bands, whose height goes with contact and
/// resolution: no material is taken to sag by more than this of itself.
const MOST_SAG: f64 = 0.03;

/// How far poly(vinyl chloride) itself rises there, as a share of its strongest band: nine in ten of 27 rigid ones,
/// most filled with chalk, rise more (own reading of the resin-code spectra of Villegas-Camacho et al. 2024; 0.24
/// to 0.57). Unfilled it is twice as much, so that less of it would show.
const LEAST_PVC: f64 = 0.27;

/// What stands near 613 cm⁻¹, each as a share of the strongest band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Room {
    /// In the spectrum.
    rise: f64,
    /// At most in the named materials by themselves.
    own: f64,
}

impl Room {
    /// Reads the spectrum and the shapes; nothing where the stretch was not measured, or no shape of a named
    /// material reaches down to it.
    pub(super) fn of(case: &Case<'_>, named: &[String]) -> Option<Self> {
        let strongest = case.observed.strongest();
        let rise = case.near_613.filter(|_| strongest > 0.0)? / strongest;
        let rises = |id: &str| -> Vec<f64> {
            let of = |shape: &&Shape| shape.materials.iter().any(|material| material == id);
            let shapes = case.tables.shapes().iter().filter(of);
            shapes.filter_map(|shape| rise_near_613(&shape.absorbances)).collect()
        };
        let own = named.iter().flat_map(|id| rises(id)).reduce(f64::max)?;
        Some(Self { rise, own: own.max(-MOST_SAG) + SPREAD })
    }

    /// Returns whether more stands there than the named materials show.
    pub(super) fn is_exceeded(&self) -> bool {
        self.rise > self.own
    }

    /// Returns the share of poly(vinyl chloride) that would have to be added to this very spectrum before more
    /// stands there than the named materials show; at most 1.
    pub(super) fn hidden_share(&self) -> f64 {
        // Both are scaled to their strongest bands: of a blend's parts the one loses what the other gains.
        let gained = LEAST_PVC - self.rise;
        if gained <= 0.0 { 1.0 } else { ((self.own - self.rise) / gained).clamp(0.0, 1.0) }
    }
}

/// Returns how far a curve on the grid of shapes stands near 613 cm⁻¹ above the line between its two sides.
pub(super) fn rise_near_613(curve: &[f64]) -> Option<f64> {
    let mean = |(low, high): (f64, f64)| {
        let points = (0..SHAPE_POINTS.min(curve.len()))
            .map(|point| (shape_wavenumber_cm1(point), curve[point]))
            .filter(|(wavenumber, _)| (low..=high).contains(wavenumber));
        let (sum, at, n) = points.fold((0.0, 0.0, 0.0), |(sum, at, n), (wavenumber, value)| {
            (sum + value, at + wavenumber, n + 1.0)
        });
        // Where a point was not measured the sum is not a number.
        (n > 0.0 && f64::is_finite(sum)).then(|| (at / n, sum / n))
    };
    let ((from, low), (at, top), (until, high)) =
        (mean(BELOW_CM1)?, mean(STRETCH_CM1)?, mean(ABOVE_CM1)?);
    Some(top - low - (high - low) * (at - from) / (until - from))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(height: impl Fn(f64) -> f64) -> Vec<f64> {
        (0..SHAPE_POINTS).map(|point| height(shape_wavenumber_cm1(point))).collect()
    }

    #[test]
    fn a_sloping_level_is_no_rise_and_a_band_is_read_above_it() {
        let level = rise_near_613(&curve(|v| 0.4 - 2.0e-4 * v)).expect("measured");
        assert!(level.abs() < 1.0e-12, "{level}");
        let band = |v: f64| 0.3 * (-((v - 613.0) / 15.0).powi(2)).exp();
        let rise = rise_near_613(&curve(|v| 0.4 - 2.0e-4 * v + band(v))).expect("measured");
        // Means over 608, 612 and 616 against those of the sides, by hand.
        let by_hand = [608.0, 612.0, 616.0].map(band).iter().sum::<f64>() / 3.0
            - band(576.0) * (1.0 - (612.0 - 576.0) / (660.0 - 576.0));
        assert!((rise - by_hand).abs() < 2.0e-3, "{rise} {by_hand}");
    }

    #[test]
    fn a_stretch_with_a_gap_is_not_read() {
        assert_eq!(rise_near_613(&curve(|v| if v == 612.0 { f64::NAN } else { 0.1 })), None);
        assert_eq!(rise_near_613(&curve(|v| if v < 574.0 { f64::NAN } else { 0.1 })), None);
    }

    #[test]
    fn the_hidden_share_is_what_must_be_added_to_pass_the_materials_own() {
        let room = Room { rise: -0.05, own: 0.02 };
        let share = room.hidden_share();
        let blended = (1.0 - share) * room.rise + share * LEAST_PVC;
        assert!(!room.is_exceeded() && (blended - room.own).abs() < 1.0e-12, "{share}");
        assert!(Room { rise: 0.03, ..room }.is_exceeded());
        assert_eq!(Room { rise: 0.4, own: 0.5 }.hidden_share(), 1.0);
    }
}
