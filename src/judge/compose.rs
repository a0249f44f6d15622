//! Writes the chosen answer out: components, sentence, what is unsettled.

use super::asked::Asked;
use super::case::Case;
use super::chlorine::{Named, chlorine};
use super::choose::{Choice, lies_on};
use super::evidence::{evidence, ranking, unexplained};
use super::outcome::{Component, Identification, Outcome, Plasticiser, Relation, Unsettled};
use super::phrases;
use super::plasticiser::plasticiser;
use super::relation::relation;
use super::settings::JudgeSettings;
use crate::matching::join;

/// Family of the materials that have a plasticiser axis.
const PLASTICISED_FAMILY: &str = "PVC";

/// Writes an answer for a case with a choice.
pub(super) fn compose(
    choice: Choice,
    case: &Case<'_>,
    mut asked: Asked,
    settings: &JudgeSettings,
) -> Identification {
    let parts = parts(&choice, case);
    let explains = joined(&parts, case);
    let mut components: Vec<Component> =
        parts.iter().filter_map(|part| component(part, case)).collect();
    let ids: Vec<String> = components.iter().map(|c| c.id.clone()).collect();
    let (outcome, material, candidates) = match &choice {
        Choice::Body { members, .. } if members.len() > 1 => {
            (Outcome::Narrowed, None, members.clone())
        }
        Choice::Body { members, .. } => (Outcome::Identified, members.first().cloned(), Vec::new()),
        Choice::Two { .. } => (Outcome::Mixed, None, Vec::new()),
        Choice::Alone { fits } if fits.len() > 1 => (Outcome::Mixed, None, Vec::new()),
        Choice::Alone { .. } => (Outcome::Identified, ids.first().cloned(), Vec::new()),
        Choice::None { .. } => (Outcome::NotInTable, None, Vec::new()),
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
    let named_ids = if candidates.is_empty() { ids.clone() } else { candidates.clone() };
    let body = matches!(choice, Choice::Body { .. } | Choice::Two { .. });
    let film = components
        .iter()
        .any(|c| matches!(c.relation, Relation::CoatingOver | Relation::DepositOn));
    let unexplained = unexplained(case, &explains);
    let named = Named {
        ids: &named_ids,
        body,
        narrowed: !candidates.is_empty(),
        film,
        explains: &explains,
        unexplained: &unexplained,
    };
    let chlorine = chlorine(case, &named);
    let sentence = sentence(&choice, &components, plasticiser.as_ref(), case);
    let unsettled = unsettled(&candidates, case);
    let leading = if candidates.is_empty() { ids } else { candidates.clone() };
    let leading = if matches!(choice, Choice::None { .. }) { Vec::new() } else { leading };
    if matches!(choice, Choice::None { .. }) {
        components.clear();
    }
    Identification {
        outcome,
        material,
        candidates,
        ranking: ranking(case, &leading, settings.top),
        components,
        chlorine,
        plasticiser,
        sentence,
        unsettled,
        unexplained,
        rules: asked.log,
    }
}

/// One part of the answer: a fit and how it stands to the first.
struct Part {
    fit: usize,
    relation: Relation,
}

fn parts(choice: &Choice, case: &Case<'_>) -> Vec<Part> {
    let on_or_in = |index: usize| {
        let on = case.fits.get(index).and_then(|fit| case.material(fit)).is_some_and(lies_on);
        Part { fit: index, relation: if on { Relation::DepositOn } else { Relation::Within } }
    };
    match choice {
        Choice::Body { fit, additives, .. } => {
            let mut parts = vec![Part { fit: *fit, relation: Relation::Main }];
            parts.extend(additives.iter().map(|index| on_or_in(*index)));
            parts
        }
        Choice::Two { fits: [first, second], additives } => {
            let mut parts = vec![
                Part { fit: *first, relation: Relation::Main },
                Part { fit: *second, relation: relation(*first, *second, case) },
            ];
            parts.extend(additives.iter().map(|index| on_or_in(*index)));
            parts
        }
        Choice::Alone { fits } => fits
            .iter()
            .enumerate()
            .map(|(place, index)| Part {
                fit: *index,
                relation: if place == 0 { Relation::Main } else { Relation::NotToldApart },
            })
            .collect(),
        Choice::None { .. } => Vec::new(),
    }
}

fn joined(parts: &[Part], case: &Case<'_>) -> Vec<f64> {
    let nothing = vec![0.0; case.observed.features().list.len()];
    parts
        .iter()
        .filter_map(|part| case.fits.get(part.fit))
        .fold(nothing, |all, fit| join(&all, &fit.explains))
}

fn component(part: &Part, case: &Case<'_>) -> Option<Component> {
    let fit = case.fits.get(part.fit)?;
    let material = case.material(fit)?;
    Some(Component {
        id: material.id.clone(),
        role: material.kind.to_string(),
        relation: part.relation,
        evidence: evidence(fit, case),
    })
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
        Choice::Two { .. } => phrases::bands_of(&names(components.get(..2).unwrap_or(components))),
        Choice::Alone { .. } => phrases::no_polymer(&names(components)),
        Choice::None { exclusion: Some(id) } => phrases::resembles_exclusion(&name(id)),
        Choice::None { exclusion: None } => phrases::not_in_table(),
    };
    let from = match choice {
        Choice::Body { .. } => 1,
        Choice::Two { .. } => 2,
        Choice::Alone { .. } | Choice::None { .. } => components.len(),
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
