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
                    let change = find(id).filter(|change| meets(change))?;
                    // Steady, and yet no proof that it is not there.
                    let unseen = change.below_detection && route.steady.contains(id);
                    pattern.push(format!("{id} {}", if unseen { "seen on no spot" } else { word }));
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
        ChangeCall::Exploratory => {
            change.below_detection || change.p.is_some_and(|p| p >= STEADY_P)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::Route;
    use crate::tables::words::RouteKind;

    fn change(id: &str, call: ChangeCall, difference: f64, p: f64) -> MarkerComparison {
        MarkerComparison {
            primary: call == ChangeCall::Changed,
            change: Some(difference),
            p: Some(p),
            ..MarkerComparison::unmeasured(id, call)
        }
    }

    /// What a route asks for, each marker of it moved as its source saw it and no other marker at all.
    fn pattern(route: &Route) -> Vec<MarkerComparison> {
        let list = |ids: &[String], call, difference, p| -> Vec<MarkerComparison> {
            ids.iter().map(|id| change(id, call, difference, p)).collect()
        };
        let mut all = list(&route.up, ChangeCall::Changed, 0.5, 1e-4);
        all.extend(list(&route.down, ChangeCall::Changed, -0.5, 1e-4));
        all.extend(list(&route.steady, ChangeCall::Exploratory, 0.0, 0.6));
        all
    }

    fn suggested(route: &Route, changes: &[MarkerComparison]) -> Vec<String> {
        let borrowed: Vec<&MarkerComparison> = changes.iter().collect();
        let material = route.materials.first().expect("a material");
        suggest(material, &borrowed, Tables::built_in()).into_iter().map(|r| r.id).collect()
    }

    #[test]
    fn each_route_is_suggested_by_its_own_pattern_alone() {
        for route in Tables::built_in().routes() {
            assert_eq!(suggested(route, &pattern(route)), std::slice::from_ref(&route.id));
        }
    }

    #[test]
    fn no_route_is_suggested_where_one_marker_of_its_pattern_is_missing_or_moves_the_other_way() {
        for route in Tables::built_in().routes() {
            let whole = pattern(route);
            for place in 0..whole.len() {
                let mut missing = whole.clone();
                missing.remove(place);
                assert!(!suggested(route, &missing).contains(&route.id), "{} {place}", route.id);
                let mut other_way = whole.clone();
                let moved = &mut other_way[place];
                moved.call = ChangeCall::Changed;
                moved.p = Some(1e-4);
                moved.change = Some(match moved.change {
                    Some(value) if value > 0.0 => -0.5,
                    _ => 0.5,
                });
                assert!(!suggested(route, &other_way).contains(&route.id), "{} {place}", route.id);
            }
        }
    }

    #[test]
    fn a_route_needs_a_change_that_was_named_beforehand() {
        for route in Tables::built_in().routes() {
            let mut changes = pattern(route);
            for change in &mut changes {
                change.call = ChangeCall::Exploratory;
            }
            assert_eq!(suggested(route, &changes), Vec::<String>::new(), "{}", route.id);
        }
    }

    #[test]
    fn says_suggests_with_the_light_of_its_source_and_never_daylight_from_a_short_wave_lamp() {
        for route in Tables::built_in().routes() {
            assert!(route.wording.starts_with("suggests"), "{}", route.id);
            let by_light =
                matches!(route.route, RouteKind::OxidationBehindGlass | RouteKind::ShortWaveLight);
            assert_eq!(by_light, !route.light.is_empty(), "{}", route.id);
            let source = route.sourcing.printed();
            if route.light.contains("254") || source.contains("254") {
                assert_eq!(route.route, RouteKind::ShortWaveLight, "{}", route.id);
                assert!(route.wording.contains("not from daylight"), "{}", route.wording);
                assert!(route.light.contains("not daylight"), "{}", route.light);
            }
        }
        // Both routes of polycarbonate at once: the acids of one, the salicylate of the other.
        let tables = Tables::built_in();
        let of = |id: &str| tables.routes().iter().find(|r| r.id == id).expect("in the table");
        let found = suggested(of("pc-behind-glass"), &pattern(of("pc-short-wave")));
        assert_eq!(found, ["pc-short-wave"]);
    }

    #[test]
    fn below_detection_on_every_spot_is_steady() {
        let tables = Tables::built_in();
        let route = tables.routes().iter().find(|r| r.id == "pc-behind-glass").expect("there");
        let mut changes = pattern(route);
        for change in &mut changes {
            if change.call == ChangeCall::Exploratory {
                (change.p, change.change, change.below_detection) = (None, None, true);
            }
        }
        assert_eq!(suggested(route, &changes), ["pc-behind-glass"]);
    }
}
