//! Writes the chosen answer out: components, sentence, what is unsettled.

use super::asked::Asked;
use super::case::Case;
use super::chlorine::{Named, chlorine};
use super::choose::{Choice, Unnamed, lies_on};
use super::evidence::{evidence, ranking, unexplained, without_own};
use super::outcome::{
    BandState, ChlorineBands, Component, Identification, Outcome, Plasticiser, Ranked, Relation,
    Unsettled,
};
use super::phrases;
use super::plasticiser::plasticiser;
use super::relation::{order, relation};
use super::settings::JudgeSettings;
use super::table_effects;
use crate::matching::{Answer, Fit, MET_WORTH, join};

/// Family of the materials that have a plasticiser axis.
const PLASTICISED_FAMILY: &str = "PVC";

/// Writes an answer for a case with a choice.
pub(super) fn compose(
    mut choice: Choice,
    case: &Case<'_>,
    mut asked: Asked,
    settings: &JudgeSettings,
) -> Identification {
    if let Choice::Several { bodies, .. } = &mut choice {
        order(bodies, case);
    }
    let parts = parts(&choice, case, &mut asked);
    let explains = joined(&parts, case);
    let mut components: Vec<Component> =
        parts.iter().filter_map(|part| component(part, case)).collect();
    hide_under_others(&mut components, &parts, case);
    let ids: Vec<String> = components.iter().map(|c| c.id.clone()).collect();
    let (outcome, material, candidates) = match &choice {
        Choice::Body { members, .. } if members.len() > 1 => {
            (Outcome::Narrowed, None, members.clone())
        }
        Choice::Body { members, .. } => (Outcome::Identified, members.first().cloned(), Vec::new()),
        Choice::Several { .. } => (Outcome::Mixed, None, Vec::new()),
        Choice::Alone { fits } if fits.len() > 1 => (Outcome::Mixed, None, Vec::new()),
        Choice::Alone { .. } => (Outcome::Identified, ids.first().cloned(), Vec::new()),
        Choice::Class { .. } => (Outcome::Classed, None, Vec::new()),
        Choice::None { .. } => (Outcome::NotInTable, None, Vec::new()),
    };
    let class = match &choice {
        Choice::Class { class } => Some(class.clone()),
        _ => None,
    };
    let additives: Vec<String> = parts
        .iter()
        .zip(&components)
        .filter(|(part, _)| part.relation == Relation::Within)
        .map(|(_, component)| component.id.clone())
        .collect();
    let softened = material
        .iter()
        .chain(&candidates)
        .find(|id| case.tables.material(id).is_some_and(|m| m.family == PLASTICISED_FAMILY));
    let plasticiser = softened.map(|id| plasticiser(id, &additives, case, &mut asked));
    let named_ids = match &class {
        Some(class) => class.members.clone(),
        None if candidates.is_empty() => ids.clone(),
        None => candidates.clone(),
    };
    let body = !matches!(choice, Choice::Alone { .. } | Choice::None { .. });
    // Where two are not told apart, one may lie over the other.
    let film = components.iter().any(|c| {
        matches!(c.relation, Relation::CoatingOver | Relation::DepositOn | Relation::NotToldApart)
    });
    let unexplained = unexplained(case, &explains);
    let named = Named {
        ids: &named_ids,
        body,
        narrowed: !candidates.is_empty() || class.is_some(),
        film,
        explains: &explains,
        unexplained: &unexplained,
    };
    let chlorine = chlorine(case, &named);
    let seen = chlorine.bands == ChlorineBands::Present;
    for part in &mut components {
        table_effects::drop_bands(&part.id, &mut part.evidence, seen, case, &mut asked);
    }
    let unexplained = without_own(unexplained, &components, case);
    let remarks = table_effects::remarks(&named_ids, case, &mut asked);
    let sentence = sentence(&choice, &components, plasticiser.as_ref(), case);
    let unsettled = unsettled(&candidates, case);
    let leading = if candidates.is_empty() { ids } else { candidates.clone() };
    let unnamed = matches!(choice, Choice::Class { .. } | Choice::None { .. });
    let leading = if unnamed { Vec::new() } else { leading };
    if unnamed {
        components.clear();
    }
    let told = components.first().filter(|_| matches!(choice, Choice::Body { .. }));
    let mut ranking = ranking(case, &leading, settings.top, told);
    let untold = |ranked: &&mut Ranked| {
        leading.contains(&ranked.material) && told.is_none_or(|body| body.id != ranked.material)
    };
    for ranked in ranking.iter_mut().filter(untold) {
        table_effects::drop_bands(&ranked.material, &mut ranked.evidence, seen, case, &mut asked);
    }
    Identification {
        outcome,
        material,
        candidates,
        class,
        shape: case.likeness.evidence(),
        ranking,
        components,
        chlorine,
        plasticiser,
        sentence,
        unsettled,
        unexplained,
        remarks,
        rules: asked.log,
    }
}

/// One part of the answer: a fit and how it stands to the first.
struct Part<'a> {
    fit: &'a Fit,
    relation: Relation,
}

fn parts<'a>(choice: &'a Choice, case: &'a Case<'_>, asked: &mut Asked) -> Vec<Part<'a>> {
    let on_or_in = |fit: &'a Fit| {
        // A polymer that a rule finds beside the main one is a residue that lies on it.
        let on = case.material(fit).is_some_and(|m| lies_on(m) || m.is_body());
        Part { fit, relation: if on { Relation::DepositOn } else { Relation::Within } }
    };
    let mut parts: Vec<Part<'a>> = match choice {
        Choice::Body { fit, additives, .. } => {
            let mut parts = vec![Part { fit, relation: Relation::Main }];
            parts.extend(additives.iter().map(on_or_in));
            parts
        }
        Choice::Several { bodies, additives } => {
            let mut parts: Vec<Part<'a>> = Vec::new();
            for body in bodies {
                let relation = match parts.first() {
                    None => Relation::Main,
                    Some(first) => relation(first.fit, &body.fit, case),
                };
                parts.push(Part { fit: &body.fit, relation });
            }
            parts.extend(additives.iter().map(on_or_in));
            parts
        }
        Choice::Alone { fits } => fits
            .iter()
            .enumerate()
            .map(|(place, fit)| Part {
                fit,
                relation: if place == 0 { Relation::Main } else { Relation::NotToldApart },
            })
            .collect(),
        Choice::Class { .. } | Choice::None { .. } => Vec::new(),
    };
    if let (Choice::Body { .. }, Some(main)) = (choice, parts.first()) {
        let main = case.material(main.fit).map_or("", |material| material.id.as_str());
        let explains = joined(&parts, case);
        for fit in table_effects::beside(main, &explains, case, asked) {
            if parts.iter().all(|part| part.fit.entry != fit.entry) {
                parts.push(on_or_in(fit));
            }
        }
    }
    parts
}

fn joined(parts: &[Part<'_>], case: &Case<'_>) -> Vec<f64> {
    let nothing = vec![0.0; case.observed.peaks().list.len()];
    parts.iter().fold(nothing, |all, part| join(&all, &part.fit.explains))
}

fn component(part: &Part<'_>, case: &Case<'_>) -> Option<Component> {
    let material = case.material(part.fit)?;
    Some(Component {
        id: material.id.clone(),
        role: material.kind.to_string(),
        relation: part.relation,
        evidence: evidence(part.fit, case),
    })
}

/// A band of one component is not missing where a band of another stands in its place, or is what was held
/// against it.
fn hide_under_others(components: &mut [Component], parts: &[Part<'_>], case: &Case<'_>) {
    let met: Vec<Vec<f64>> = components
        .iter()
        .map(|c| c.evidence.iter().filter_map(|band| band.found_cm1).collect())
        .collect();
    // What was found near a band, but off in place or height: the band's id and the position in cm⁻¹.
    let off: Vec<(&str, f64)> = parts.iter().flat_map(|part| found_off(part.fit, case)).collect();
    for (place, component) in components.iter_mut().enumerate() {
        for band in component.evidence.iter_mut().filter(|b| b.state == BandState::Missing) {
            let Some(row) = case.tables.band(&band.band) else { continue };
            let window = row.window(case.observed.mode());
            let is_held = |v: f64| off.iter().any(|(id, at)| *id == band.band && *at == v);
            let hidden = met.iter().enumerate().any(|(other, found)| {
                other != place && found.iter().any(|v| window.contains(*v) || is_held(*v))
            });
            if hidden {
                band.state = BandState::Untestable;
                band.note = phrases::HIDDEN_BY_ANOTHER.to_owned();
            }
        }
    }
}

fn found_off<'a>(fit: &Fit, case: &Case<'a>) -> Vec<(&'a str, f64)> {
    let expected = case.entry(fit).map(|entry| entry.expected.iter()).into_iter().flatten();
    expected
        .zip(&fit.answers)
        .filter_map(|(band, answer)| match answer {
            Answer::Met(at, worth) if *worth < MET_WORTH => {
                let peak = case.observed.peaks().list.get(*at)?;
                Some((case.tables.bands().get(band.band)?.id.as_str(), peak.position_cm1))
            }
            _ => None,
        })
        .collect()
}

fn sentence(
    choice: &Choice,
    components: &[Component],
    plasticiser: Option<&Plasticiser>,
    case: &Case<'_>,
) -> String {
    let name =
        |id: &String| case.tables.material(id).map_or_else(|| id.clone(), |m| m.name.clone());
    let names = |ids: &[Component]| ids.iter().map(|c| name(&c.id)).collect::<Vec<_>>();
    let mut said = match choice {
        Choice::Body { members, .. } => match members.as_slice() {
            [one] => phrases::characteristic_of(&name(one)),
            several => phrases::consistent_with(&several.iter().map(name).collect::<Vec<_>>()),
        },
        Choice::Several { bodies, .. } => {
            let of = |members: &Vec<String>| {
                let Some(first) = members.first() else { return String::new() };
                // Beside another material, what shows the same bands may be meant as well.
                let same = case.tables.material(first).map(|m| m.not_excluded.as_slice());
                let others: Vec<String> =
                    members.iter().skip(1).chain(same.unwrap_or_default()).map(name).collect();
                if others.is_empty() {
                    name(first)
                } else {
                    phrases::not_distinguished(&name(first), &others)
                }
            };
            phrases::bands_of(&bodies.iter().map(|body| of(&body.members)).collect::<Vec<_>>())
        }
        Choice::Alone { .. } => phrases::no_polymer(&names(components)),
        Choice::Class { class } => phrases::of_a_class(&class.name),
        Choice::None { why } => match why {
            Unnamed::Unknown => phrases::not_in_table(),
            Unnamed::Exclusion(id) => phrases::resembles_exclusion(&name(id)),
            Unnamed::LinesDiffer { by_bands, by_shape } => {
                phrases::lines_differ(&name(by_bands), &name(by_shape))
            }
            Unnamed::CurveIsNot(id) => phrases::curve_is_not(&name(id)),
        },
    };
    let from = match choice {
        Choice::Body { .. } => 1,
        Choice::Several { bodies, .. } => bodies.len(),
        Choice::Alone { .. } | Choice::Class { .. } | Choice::None { .. } => components.len(),
    };
    let beside = names(components.get(from..).unwrap_or_default());
    if !beside.is_empty() {
        said.push(' ');
        said.push_str(&phrases::beside(&beside));
    }
    if plasticiser == Some(&Plasticiser::UnresolvedEster) {
        said.push_str(" An ester component is there whose class is not resolved.");
    }
    said
}

fn unsettled(candidates: &[String], case: &Case<'_>) -> Option<Unsettled> {
    if candidates.is_empty() {
        return None;
    }
    let group = case.tables.group_of(candidates)?;
    Some(Unsettled { feature: group.feature.clone(), settled_by: group.settled_by.clone() })
}
