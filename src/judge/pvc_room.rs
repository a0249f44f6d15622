//! How much poly(vinyl chloride) the C–Cl stretches leave room for, beside what the named materials
//! show there themselves.
//!
//! A shoulder without a maximum is no zero height, and no material owns a stretch: what stands there is
//! compared with what the measured shapes of the named materials have at the same place.

use super::case::Case;
use crate::spectrum::MeasurementMode;
use crate::tables::{Band, BandWidth, SHAPE_POINTS, Shape, Tables, shape_wavenumber_cm1};

/// A place where the C–Cl stretches of poly(vinyl chloride) rise above what lies on either side of them, in cm⁻¹.
/// The level between the sides is what other broad bands add: titania, water, cellulose.
#[derive(Debug)]
struct Place {
    below_cm1: (f64, f64),
    at_cm1: (f64, f64),
    above_cm1: (f64, f64),
    /// How far poly(vinyl chloride) itself rises there, as a share of its strongest band: nine in ten of 31 rigid
    /// ones, most filled with chalk, rise more (own reading of the resin-code spectra of Villegas-Camacho et al.
    /// 2024). Unfilled it is twice as much, so that less of it would show.
    least_pvc: f64,
    /// So far spectra of one material may stray from its measured shapes here, as a share of the strongest band.
    /// With all three, 193 of 223 spectra without chlorine that are named outright are cleared (own reading); with
    /// less fewer than the 85 % that are asked for soon are.
    spread: f64,
}

/// Where it is told: near 613 cm⁻¹ with far sides, which shows most, and with near ones, which the flanks of strong
/// bands above bend less; and, for what absorbs there itself, as acetates do, near 690.
const PLACES: [Place; 3] = [
    Place {
        below_cm1: (572.0, 580.0),
        at_cm1: (608.0, 618.0),
        above_cm1: (655.0, 664.0),
        least_pvc: 0.27,
        spread: 0.02,
    },
    Place {
        below_cm1: (580.0, 588.0),
        at_cm1: (608.0, 618.0),
        above_cm1: (638.0, 648.0),
        least_pvc: 0.21,
        spread: 0.012,
    },
    Place {
        below_cm1: (656.0, 668.0),
        at_cm1: (680.0, 690.0),
        above_cm1: (728.0, 744.0),
        least_pvc: 0.09,
        spread: 0.018,
    },
];

/// The places near 613 cm⁻¹; only where neither can be read, the others are.
const NEAR_613: usize = 2;

/// How far a band reaches beyond its window, by its width as the table has it: a full width at half height, at
/// which a Lorentzian has fallen to a fifth (common practice, no source).
const fn reach_cm1(width: BandWidth) -> f64 {
    match width {
        BandWidth::Sharp => 8.0,
        BandWidth::Medium => 15.0,
        BandWidth::Broad => 40.0,
    }
}

impl Place {
    /// Returns how far a curve on the grid of shapes rises here above the line between its two sides.
    fn rise(&self, curve: &[f64]) -> Option<f64> {
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
            (mean(self.below_cm1)?, mean(self.at_cm1)?, mean(self.above_cm1)?);
        Some(top - low - (high - low) * (at - from) / (until - from))
    }

    /// Returns the most that a material by itself rises here: as its measured shapes do, and where none reaches
    /// down to here not at all, unless the table has a band of it nearby.
    fn own(&self, tables: &Tables, transmission: bool, id: &str) -> Option<f64> {
        let of = |shape: &&Shape| shape.materials.iter().any(|material| material == id);
        let rises = tables.shapes().iter().filter(of);
        let most = rises.filter_map(|shape| self.rise(&shape.absorbances)).reduce(f64::max);
        let disturbs = |band: &Band| {
            let window = if transmission { &band.transmission } else { &band.atr };
            let reach = reach_cm1(band.width);
            // A band wider than all three raises the sides as well, and never hides a rise.
            let is_wider =
                window.low_cm1 <= self.below_cm1.0 && window.high_cm1 >= self.above_cm1.1;
            let reaches = |(low, high): &(f64, f64)| {
                window.high_cm1 + reach >= *low && window.low_cm1 - reach <= *high
            };
            !is_wider && [self.below_cm1, self.at_cm1, self.above_cm1].iter().any(reaches)
        };
        most.or_else(|| (!tables.bands_of(id).iter().any(disturbs)).then_some(0.0))
    }
}

/// How far a curve rises at each place, as absorbance; nothing where not measured.
pub(super) type Rises = [Option<f64>; PLACES.len()];

/// Reads a curve on the grid of shapes at every place.
pub(super) fn rises(curve: &[f64]) -> Rises {
    PLACES.each_ref().map(|place| place.rise(curve))
}

/// What stands at a place, each as a share of the strongest band.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Standing {
    /// In the spectrum.
    rise: f64,
    /// At most in the named materials by themselves.
    own: f64,
    /// In poly(vinyl chloride).
    least_pvc: f64,
}

impl Standing {
    /// Returns the share of poly(vinyl chloride) that would have to be added to this very spectrum before more
    /// stands here than the named materials show; at most 1.
    fn hidden_share(&self) -> f64 {
        // Both are scaled to their strongest bands: of a blend's parts the one loses what the other gains.
        let gained = self.least_pvc - self.rise;
        if gained <= 0.0 { 1.0 } else { ((self.own - self.rise) / gained).clamp(0.0, 1.0) }
    }
}

/// What the places leave room for.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Room(Vec<Standing>);

impl Room {
    /// Compares the spectrum with what is named, at every place near 613 cm⁻¹ where that can be done, or else near
    /// 690; nothing where none was measured, or something named has a band nearby of which no shape tells the height.
    /// Of look-alikes of which only one is there, those without a shape are taken to stand like those with one.
    pub(super) fn of(case: &Case<'_>, named: &[String], narrowed: bool) -> Option<Self> {
        let strongest = case.observed.strongest();
        let transmission = case.observed.mode() == MeasurementMode::Transmission;
        if strongest <= 0.0 {
            return None;
        }
        let standing = |(place, rise): (&Place, Option<f64>)| {
            let own: Vec<Option<f64>> =
                named.iter().map(|id| place.own(case.tables, transmission, id)).collect();
            if !narrowed && own.contains(&None) {
                return None;
            }
            let own = own.into_iter().flatten().reduce(f64::max)?;
            Some(Standing {
                rise: rise? / strongest,
                own: own + place.spread,
                least_pvc: place.least_pvc,
            })
        };
        let mut places = PLACES.iter().zip(case.rises);
        let near_613: Vec<Standing> = places.by_ref().take(NEAR_613).filter_map(standing).collect();
        if !near_613.is_empty() {
            return Some(Self(near_613));
        }
        let others: Vec<Standing> = places.filter_map(standing).collect();
        (!others.is_empty()).then_some(Self(others))
    }

    /// Returns whether more stands at one of the places than the named materials show.
    pub(super) fn is_exceeded(&self) -> bool {
        self.0.iter().any(|standing| standing.rise > standing.own)
    }

    /// Returns the share of poly(vinyl chloride) from which on more would stand at one of the places.
    pub(super) fn hidden_share(&self) -> f64 {
        self.0.iter().map(Standing::hidden_share).fold(1.0, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(height: impl Fn(f64) -> f64) -> Vec<f64> {
        (0..SHAPE_POINTS).map(|point| height(shape_wavenumber_cm1(point))).collect()
    }

    #[test]
    fn a_sloping_level_is_no_rise_and_a_band_is_read_above_it() {
        let level = PLACES[0].rise(&curve(|v| 0.4 - 2.0e-4 * v)).expect("measured");
        assert!(level.abs() < 1.0e-12, "{level}");
        let band = |v: f64| 0.3 * (-((v - 613.0) / 15.0).powi(2)).exp();
        let rise = PLACES[0].rise(&curve(|v| 0.4 - 2.0e-4 * v + band(v))).expect("measured");
        // Means over 608, 612 and 616 against those of the sides, by hand.
        let by_hand = [608.0, 612.0, 616.0].map(band).iter().sum::<f64>() / 3.0
            - band(576.0) * (1.0 - (612.0 - 576.0) / (660.0 - 576.0));
        assert!((rise - by_hand).abs() < 2.0e-3, "{rise} {by_hand}");
    }

    #[test]
    fn a_stretch_with_a_gap_is_not_read() {
        assert_eq!(PLACES[0].rise(&curve(|v| if v == 612.0 { f64::NAN } else { 0.1 })), None);
        assert_eq!(PLACES[0].rise(&curve(|v| if v < 574.0 { f64::NAN } else { 0.1 })), None);
    }

    #[test]
    fn what_a_material_has_there_is_read_off_its_shape_or_known_to_be_nothing() {
        let own = |place: usize, id: &str| PLACES[place].own(Tables::built_in(), false, id);
        // Its shape sags between the flanks of the amide V band at 687 cm⁻¹.
        assert!(own(0, "PA6").expect("a shape") < -0.1);
        // No shape reaches down to it: its acetate band at 602 lies there, and nothing near 690.
        assert_eq!([own(0, "CA"), own(1, "CA"), own(2, "CA")], [None, None, Some(0.0)]);
        // Talc at 669 lifts the upper side.
        assert_eq!(own(0, "talc"), None);
        // Titania, from 500 to 800, lifts the sides as much as what is between.
        assert_eq!([own(0, "titania"), own(1, "titania")], [Some(0.0), Some(0.0)]);
    }

    #[test]
    fn the_hidden_share_is_what_must_be_added_to_pass_the_materials_own() {
        let standing = Standing { rise: -0.05, own: 0.02, least_pvc: 0.27 };
        let share = standing.hidden_share();
        let blended = (1.0 - share) * standing.rise + share * standing.least_pvc;
        assert!((blended - standing.own).abs() < 1.0e-12, "{share}");
        let less = Standing { rise: 0.01, ..standing };
        assert_eq!(Room(vec![standing, less]).hidden_share(), less.hidden_share());
        assert!(!Room(vec![standing, less]).is_exceeded());
        assert!(Room(vec![standing, Standing { rise: 0.03, ..standing }]).is_exceeded());
        assert_eq!(Standing { rise: 0.4, own: 0.5, least_pvc: 0.27 }.hidden_share(), 1.0);
    }
}
