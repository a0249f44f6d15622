//! Which route of ageing the changes suggest, where a published pattern is met.

use super::values::{ChangeCall, ChangeScale, MarkerComparison, RouteSuggestion};
use crate::tables::Tables;

/// A marker not named beforehand joins a pattern only below this p value; ours, stricter than 5 %
/// because nothing corrects it.
const EXPLORATORY_P: f64 = 0.01;
/// A marker counts as steady from this p value on; common practice.
const STEADY_P: f64 = 0.05;

/// Returns the routes whose whole pattern the changes of one pair of faces meet.
#[must_use]
pub fn suggest(
    material: &str,
    changes: &[&MarkerComparison],
    tables: &Tables,
) -> Vec<RouteSuggestion> {
    tables
        .routes()
        .iter()
        .filter(|route| route.materials.iter().any(|m| m == material))
        .filter_map(|route| {
            let find = |id: &String| changes.iter().copied().find(|c| c.id == *id);
            let mut pattern = Vec::new();
            for (ids, word, meets) in [
                (&route.up, "up", grew as fn(&MarkerComparison) -> bool),
                (&route.down, "down", fell),
                (&route.steady, "not changed", steady),
            ] {
                for id in ids {
                    if !find(id).is_some_and(meets) {
                        return None;
                    }
                    pattern.push(format!("{id} {word}"));
                }
            }
            // A route needs a change, and one that was named beforehand.
            let moved = route.up.iter().chain(&route.down);
            if !moved.filter_map(find).any(|c| c.call == ChangeCall::Changed) {
                return None;
            }
            Some(RouteSuggestion {
                id: route.id.clone(),
                sentence: route.wording.clone(),
                pattern,
                conditions: if route.light.is_empty() {
                    "no light in the source".to_owned()
                } else {
                    route.light.clone()
                },
                source: route.sourcing.printed().to_owned(),
                status: route.sourcing.status.to_string(),
            })
        })
        .collect()
}

fn moved(change: &MarkerComparison) -> Option<f64> {
    let value = change.change?;
    let shift = match change.scale {
        ChangeScale::Ratio => value - 1.0,
        ChangeScale::Difference => value,
    };
    let clear = match change.call {
        ChangeCall::Changed => true,
        ChangeCall::Exploratory => change.p.is_some_and(|p| p < EXPLORATORY_P),
        _ => false,
    };
    clear.then_some(shift)
}

fn grew(change: &MarkerComparison) -> bool {
    moved(change).is_some_and(|shift| shift > 0.0)
}

fn fell(change: &MarkerComparison) -> bool {
    moved(change).is_some_and(|shift| shift < 0.0)
}

fn steady(change: &MarkerComparison) -> bool {
    match change.call {
        ChangeCall::NoChangeShown => true,
        ChangeCall::Exploratory => change.p.is_some_and(|p| p >= STEADY_P),
        _ => false,
    }
}
