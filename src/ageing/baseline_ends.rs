//! Markers whose baseline stands on something that changed: what lifts its end makes the band above it look smaller, and
//! what falls there makes it look grown.

use super::disturbance::{Found, Kind};
use super::values::{ChangeCall, ChangeScale, FoundConfounder, MarkerComparison};
use crate::tables::{Direction, Marker, MarkerRole, MeasureKind, Tables, Window};

/// So near an end of a band a baseline's point is still lifted by it, in cm⁻¹: half a width of a narrow band.
const TOUCHES_CM1: f64 = 2.0;

/// A fall counts from this share of the other's change on. The foot of a carbonyl takes some fifth of it (estimated); ours.
const LEAST_FALL: f64 = 0.5;

/// Refuses each marker named beforehand at the end of whose baseline another changed, or the carbonyl of fatty ester stands
/// on one face.
pub(super) fn refuse_lifted(changes: &mut [MarkerComparison], found: &[Found], tables: &Tables) {
    let of = |id: &str| tables.markers().iter().find(|marker| marker.id == id);
    let moved: Vec<Moved> =
        changes.iter().filter_map(|change| Moved::of(change, of(&change.id)?)).collect();
    let ester = found.iter().any(|found| found.kind == Kind::Grease);
    let carbonyls = || tables.stretches().on_faces.grease_carbonyl.iter().map(|of| of.cm1);
    for change in changes.iter_mut().filter(|change| change.call != ChangeCall::Refused) {
        let Some(marker) = of(&change.id).filter(|m| m.role == MarkerRole::Primary) else {
            continue;
        };
        let lifts = |band: Window| stands_at_an_end(band, marker);
        let moves = |other: &&Moved| lifts(other.band) && other.accounts_for(change);
        let why = if let Some(Moved { id, .. }) = moved.iter().find(moves) {
            let shows = of(id).map_or("", |other| other.shows.as_str());
            format!("{shows} ({id}) changed where the baseline of this marker stands")
        } else if ester && carbonyls().any(|(low, high)| lifts(Window::new(low, high))) {
            "the baseline of this marker stands on the carbonyl of the fatty ester".to_owned()
        } else {
            continue;
        };
        change.call = ChangeCall::Refused;
        change.p = None;
        change.why = Some(why.clone());
        let id = "baseline-lifted".to_owned();
        change.confounders.push(FoundConfounder { id, does: why, refuses: true });
    }
}

/// Whether a band stands at an end of a marker's straight baseline, and not in its own window: there it is what is read.
fn stands_at_an_end(band: Window, marker: &Marker) -> bool {
    let (own, ends) = (marker.measure.limits, marker.measure.baseline);
    let apart = band.high_cm1 < own.low_cm1 || band.low_cm1 > own.high_cm1;
    let wider = band.low_cm1 - TOUCHES_CM1..=band.high_cm1 + TOUCHES_CM1;
    let on_a_line = marker.measure.kind != MeasureKind::SecondDerivative;
    on_a_line && apart && (wider.contains(&ends.low_cm1) || wider.contains(&ends.high_cm1))
}

/// A marker that rises with age and changed, its whole interval clear of no change.
struct Moved {
    id: String,
    band: Window,
    rose: bool,
    /// By how much, where that is a difference.
    by: Option<f64>,
}

impl Moved {
    fn of(change: &MarkerComparison, marker: &Marker) -> Option<Self> {
        let none = match change.scale {
            ChangeScale::Ratio => 1.0,
            ChangeScale::Difference => 0.0,
        };
        let (low, high) = (change.low?, change.high?);
        let clear = marker.direction == Direction::Up && (low > none || high < none);
        let (id, band) = (change.id.clone(), marker.measure.limits);
        clear.then(|| Self { id, band, rose: low > none, by: difference(change) })
    }

    /// Whether it may be what made another change: a band that grew has a foot at the end of this one's line too, so that
    /// this one seems to fall by little.
    fn accounts_for(&self, change: &MarkerComparison) -> bool {
        let sizes = self.by.zip(difference(change));
        self.rose || sizes.is_none_or(|(by, size)| by >= LEAST_FALL * size)
    }
}

/// The size of a change that is a difference.
fn difference(change: &MarkerComparison) -> Option<f64> {
    change.change.filter(|_| change.scale == ChangeScale::Difference).map(f64::abs)
}
