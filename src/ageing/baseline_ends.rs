//! Markers whose baseline stands on something that grew: what lifts its end makes the band above it look smaller.

use super::disturbance::{Found, Kind};
use super::values::{ChangeCall, ChangeScale, FoundConfounder, MarkerComparison};
use crate::tables::{Direction, Marker, MarkerRole, MeasureKind, Tables, Window};

/// So near an end of a band a baseline's point is still lifted by it, in cm⁻¹: half a width of a narrow band.
const TOUCHES_CM1: f64 = 2.0;

/// Refuses each marker named beforehand at the end of whose baseline another grew, or the carbonyl of fatty ester stands
/// on one face.
pub(super) fn refuse_lifted(changes: &mut [MarkerComparison], found: &[Found], tables: &Tables) {
    let of = |id: &str| tables.markers().iter().find(|marker| marker.id == id);
    let grown: Vec<(String, Window)> = changes
        .iter()
        .filter_map(|change| Some((change, of(&change.id)?)))
        .filter(|(change, marker)| has_grown(change, marker))
        .map(|(change, marker)| (change.id.clone(), marker.measure.limits))
        .collect();
    let ester = found.iter().any(|found| found.kind == Kind::Grease);
    let carbonyls = || tables.stretches().on_faces.grease_carbonyl.iter().map(|of| of.cm1);
    for change in changes.iter_mut().filter(|change| change.call != ChangeCall::Refused) {
        let Some(marker) = of(&change.id).filter(|m| m.role == MarkerRole::Primary) else {
            continue;
        };
        let lifts = |band: Window| stands_at_an_end(band, marker);
        let why = if let Some((id, _)) = grown.iter().find(|(_, band)| lifts(*band)) {
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

/// Whether a marker that rises with age rose, its whole interval clear of no change.
fn has_grown(change: &MarkerComparison, marker: &Marker) -> bool {
    let none = match change.scale {
        ChangeScale::Ratio => 1.0,
        ChangeScale::Difference => 0.0,
    };
    marker.direction == Direction::Up && change.low.is_some_and(|low| low > none)
}
