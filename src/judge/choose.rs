//! Chooses the answer: which body, with what in or on it, or none of the table.

use super::asked::Asked;
use super::case::Case;
use super::members::{is_affirmed, may_be_named, standing};
use crate::matching::{
    Account, Answer, Fit, MET_WORTH, explained_share, join, own_diagnostic_bands,
};
use crate::tables::{Material, MaterialKind};

/// Below this score nothing is named. Materials that were measured but stood in no table scored at
/// most 0.3 against the rest of it (18 acrylic and 3 other kinds of fibre, their own rows left out).
const LEAST_SCORE: f64 = 0.42;

/// A body must meet this share of its testable evidence.
const LEAST_MET: f64 = 0.6;

/// A body with its additives must explain this share of what the spectrum shows.
const LEAST_EXPLAINED: f64 = 0.5;

/// A body explaining this much more than an additive alone is there, though the additive is louder.
const BODY_GAIN: f64 = 0.1;

/// A body must itself explain this share: less is an additive's spectrum with a name put over it.
const LEAST_BY_BODY: f64 = 0.12;

/// Past this share explained no second body is looked for.
const WELL_EXPLAINED: f64 = 0.75;

/// A second body must explain this much more of the spectrum.
const SECOND_GAIN: f64 = 0.12;

/// It must meet this share of its evidence.
const SECOND_MET: f64 = 0.78;

/// Both bodies together must explain this share.
const SECOND_EXPLAINED: f64 = 0.55;

/// It must show this many bands that the first does not account for.
const SECOND_OWN_BANDS: usize = 3;

/// Of which this many must be diagnostic.
const SECOND_OWN_DIAGNOSTIC: usize = 2;

/// And stand this high beside the strongest band of the spectrum.
const SECOND_SCALE: f64 = 0.12;

/// A feature explained below this share still needs an owner.
const UNOWNED: f64 = 0.4;

/// What was chosen. Indices are those of the case's fits.
#[derive(Clone, Debug)]
pub(super) enum Choice {
    /// A body, its group's standing members (best first), and what is in or on it.
    Body { members: Vec<String>, fit: usize, additives: Vec<usize> },
    /// Two bodies and what is in or on them.
    Two { fits: [usize; 2], additives: Vec<usize> },
    /// Additives or minerals without a polymer.
    Alone { fits: Vec<usize> },
    /// Nothing of the table.
    None { exclusion: Option<String> },
}

/// Chooses.
pub(super) fn choose(case: &Case<'_>, asked: &mut Asked) -> Choice {
    let alone = case
        .others()
        .find(|(account, fit, material)| material.nameable && is_acceptable(account, fit, case));
    let mut exclusion = None;
    for (account, fit, material) in case.bodies() {
        if account.score < LEAST_SCORE {
            break;
        }
        if let Some((other, _, _)) = alone
            && other.score > account.score
            && account.explained < other.explained + BODY_GAIN
        {
            break;
        }
        if !is_acceptable(account, fit, case) {
            continue;
        }
        if !material.nameable {
            exclusion = Some(material.id.clone());
            break;
        }
        let members = standing(&material.id, case, asked);
        let Some(first) = members.first() else { continue };
        if account.explained < WELL_EXPLAINED
            && let Some(two) = two_bodies(account, material, case, asked)
        {
            return two;
        }
        let chosen = case.account_of(first).unwrap_or(account);
        return Choice::Body { fit: chosen.body, additives: chosen.additives.clone(), members };
    }
    if exclusion.is_none()
        && let Some((account, _, _)) = alone
    {
        let mut fits = vec![account.body];
        fits.extend(&account.additives);
        return Choice::Alone { fits };
    }
    if exclusion.is_none() {
        for (account, fit, material) in case.bodies().take(MOST_FIRSTS) {
            let promising = fit.met >= SECOND_MET && has_required(fit, case);
            if promising
                && material.nameable
                && may_be_named(&material.id, case, asked)
                && let Some(two) = two_bodies(account, material, case, asked)
            {
                return two;
            }
        }
    }
    Choice::None { exclusion }
}

/// How many bodies that cannot stand alone are tried as the first of two.
const MOST_FIRSTS: usize = 4;

fn is_acceptable(account: &Account, fit: &Fit, case: &Case<'_>) -> bool {
    account.score >= LEAST_SCORE
        && fit.met >= LEAST_MET
        && account.explained >= LEAST_EXPLAINED
        && account.explained_by_body >= LEAST_BY_BODY
        && has_required(fit, case)
}

/// Returns whether no band is missing without which the material cannot be named.
fn has_required(fit: &Fit, case: &Case<'_>) -> bool {
    let Some(entry) = case.entry(fit) else { return false };
    entry.expected.iter().zip(&fit.answers).all(|(band, answer)| {
        !band.required || !matches!(answer, Answer::Missing { covered: false })
    })
}

/// Looks for a second body beside a first that leaves much unexplained.
fn two_bodies(
    first: &Account,
    first_material: &Material,
    case: &Case<'_>,
    asked: &mut Asked,
) -> Option<Choice> {
    let features = case.observed.features();
    let mut explains = case.fits.get(first.body)?.explains.clone();
    for index in &first.additives {
        explains = join(&explains, &case.fits.get(*index)?.explains);
    }
    let before = explained_share(features, &explains);
    let mut best: Option<(f64, &Account)> = None;
    for (account, fit, material) in case.bodies() {
        let apart = material.family != first_material.family;
        if !(apart && material.nameable && fit.met >= SECOND_MET && fit.scale >= SECOND_SCALE) {
            continue;
        }
        let joined = explained_share(features, &join(&explains, &fit.explains));
        let gain = joined - before;
        if gain < SECOND_GAIN || joined < SECOND_EXPLAINED || !has_required(fit, case) {
            continue;
        }
        if own_bands(fit, &explains) < SECOND_OWN_BANDS
            || own_diagnostic_bands(fit, &explains, case.matcher) < SECOND_OWN_DIAGNOSTIC
        {
            continue;
        }
        let worth = gain * fit.met;
        if best.is_none_or(|(other, _)| worth > other) && is_affirmed(&material.id, case, asked) {
            best = Some((worth, account));
        }
    }
    let (_, second) = best?;
    let mut fits = [first.body, second.body];
    let share = |index: usize| {
        case.fits.get(index).map_or(0.0, |fit| explained_share(features, &fit.explains))
    };
    if share(fits[1]) > share(fits[0]) {
        fits.reverse();
    }
    let additives = first.additives.iter().take(1).copied().collect();
    Some(Choice::Two { fits, additives })
}

/// Counts the bands that a fit meets at features which nothing else explains.
fn own_bands(fit: &Fit, explains: &[f64]) -> usize {
    let mut features: Vec<usize> = fit
        .answers
        .iter()
        .filter_map(|answer| match answer {
            Answer::Met(at, worth) if *worth >= MET_WORTH => Some(*at),
            _ => None,
        })
        .filter(|at| explains.get(*at).is_some_and(|e| *e < UNOWNED))
        .collect();
    features.sort_unstable();
    features.dedup();
    features.len()
}

/// Returns whether a material lies on a surface rather than in a polymer.
pub(super) fn lies_on(material: &Material) -> bool {
    matches!(material.kind, MaterialKind::Residue) || material.family == "soap"
}
