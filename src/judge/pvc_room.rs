//! How much poly(vinyl chloride) the C–Cl stretches leave room for, beside what the named materials
//! show there themselves.
//!
//! A shoulder without a maximum is no zero height, and no material owns a stretch: what stands there is
//! compared with what the measured shapes of the named materials have at the same place.

use super::input::JudgeInput;
use crate::spectrum::MeasurementMode;
use crate::tables::{Place, PlaceAsked};

/// What stands at a place, each as a share of the strongest band.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Standing {
    /// In the spectrum.
    rise: f64,
    /// At least and at most in the named materials by themselves.
    own: (f64, f64),
    /// In poly(vinyl chloride).
    least_pvc: f64,
}

impl Standing {
    /// Returns the share of poly(vinyl chloride) from which on it is not hidden here; at most 1.
    ///
    /// Of two shares the greater: what would have to be added to this very spectrum before more stands here than the
    /// named materials show, and what may be in it already, should they show as little as any of their kind.
    fn hidden_share(&self) -> f64 {
        let (least, most) = self.own;
        self.share_between(self.rise, most).max(self.share_between(least.min(self.rise), self.rise))
    }

    /// Returns the share of poly(vinyl chloride) that lifts what stands here from one level to another. Both are
    /// scaled to their strongest bands: of a blend's parts the one loses what the other gains.
    fn share_between(&self, from: f64, to: f64) -> f64 {
        let gained = self.least_pvc - from;
        if gained <= 0.0 { 1.0 } else { ((to - from) / gained).clamp(0.0, 1.0) }
    }
}

/// What the places leave room for.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Room(Vec<Standing>);

impl Room {
    /// Compares the spectrum with what is named, at every place that is asked first where that can be done, or else at
    /// the others; nothing where none was measured, or something named has a band nearby of which no shape tells the height.
    /// Of look-alikes of which only one is there, those without a shape are taken to stand like those with one.
    pub(super) fn of(input: &JudgeInput<'_>, named: &[String], narrowed: bool) -> Option<Self> {
        let strongest = input.observed.strongest();
        let transmission = input.observed.mode() == MeasurementMode::Transmission;
        if strongest <= 0.0 {
            return None;
        }
        let standing = |(place, rise): (&Place, &Option<f64>)| {
            let own: Vec<Option<(f64, f64)>> =
                named.iter().map(|id| place.own(input.tables, transmission, id)).collect();
            if !narrowed && own.contains(&None) {
                return None;
            }
            let (least, most) =
                own.into_iter().flatten().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
            Some(Standing {
                rise: (*rise)? / strongest,
                own: (least, most),
                least_pvc: place.least_rise,
            })
        };
        [PlaceAsked::First, PlaceAsked::Otherwise].into_iter().find_map(|asked| {
            let places = input.tables.places().iter().zip(&input.rises);
            let places = places.filter(|(place, _)| place.asked == asked);
            let found: Vec<Standing> = places.filter_map(standing).collect();
            (!found.is_empty()).then_some(Self(found))
        })
    }

    /// Returns whether more stands at one of the places than the named materials show.
    pub(super) fn is_exceeded(&self) -> bool {
        self.0.iter().any(|standing| standing.rise > standing.own.1)
    }

    /// Returns the share of poly(vinyl chloride) from which on more would stand at one of the places.
    pub(super) fn hidden_share(&self) -> f64 {
        self.0.iter().map(Standing::hidden_share).fold(1.0, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hidden_share_is_what_must_be_added_to_pass_the_materials_own() {
        let standing = Standing { rise: -0.05, own: (-0.04, 0.02), least_pvc: 0.27 };
        let share = standing.hidden_share();
        let blended = (1.0 - share) * standing.rise + share * standing.least_pvc;
        assert!((blended - standing.own.1).abs() < 1.0e-12, "{share}");
        assert!(!Room(vec![standing]).is_exceeded());
        assert!(Room(vec![standing, Standing { rise: 0.03, ..standing }]).is_exceeded());
        let blind = Standing { rise: 0.4, own: (0.0, 0.5), least_pvc: 0.27 };
        assert_eq!(blind.hidden_share(), 1.0);
        assert_eq!(Room(vec![blind, standing]).hidden_share(), share);
    }

    #[test]
    fn what_may_be_there_already_is_hidden_too() {
        // A sixth of poly(vinyl chloride) in a material at the lowest of its kind: little need be added to show.
        let (least, sixth) = (-0.04, 1.0 / 6.0);
        let rise = (1.0 - sixth) * least + sixth * 0.27;
        let standing = Standing { rise, own: (least, 0.02), least_pvc: 0.27 };
        assert!((standing.hidden_share() - sixth).abs() < 1.0e-12, "{}", standing.hidden_share());
        assert!(standing.share_between(rise, 0.02) < 0.04);
    }
}
