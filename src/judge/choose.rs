//! Chooses the answer: which body, with what in or on it, or none of the table.

use super::asked::Asked;
use super::case::Case;
use super::chlorine::sees_vinyl_chloride;
use super::components::{
    Seen, Wanted, beside, has_required, holds_beside, still_shows, vinyl_chloride_beside,
};
use super::evidence::unexplained;
use super::members::{may_be_named, standing};
use crate::matching::{Account, Fit, explained_share, join};
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

/// A body that cannot stand alone must meet this share of its evidence to be the first of several.
const FIRST_MET: f64 = 0.78;

/// All components together must explain this share.
const TOGETHER_EXPLAINED: f64 = 0.55;

/// A plasticiser is made to be in something: where a band of this share of the strongest stands that it
/// does not explain, a polymer is there that could not be read, and the plasticiser is not the answer.
/// Half is our choice: soft PVC at 8 cm⁻¹ leaves its CH2 at 1425 with 0.5 and more.
const HOST_LEFT: f64 = 0.5;

/// So near an explained feature of half its height a feature is a flank of the same band: the C–O of an
/// ester is about so wide, and neat diethyl phthalate shows it split on a coarse grid.
const FLANK_CM1: f64 = 30.0;

/// How many bodies that cannot stand alone are tried as the first of several.
const MOST_FIRSTS: usize = 4;

/// Family of the plasticisers in the table.
pub(super) const PLASTICISER_FAMILY: &str = "plasticiser";

/// What was chosen.
#[derive(Clone, Debug)]
pub(super) enum Choice {
    /// A body, its group's standing members (best first), and what is in or on it.
    Body { members: Vec<String>, fit: Fit, additives: Vec<Fit> },
    /// Two or three bodies, the one that explains most first, and what is in or on them.
    Several { bodies: Vec<Seen>, additives: Vec<Fit> },
    /// Additives or minerals without a polymer.
    Alone { fits: Vec<Fit> },
    /// Nothing of the table.
    None { exclusion: Option<String> },
}

/// Chooses, and brings in the vinyl chloride polymer whose C–Cl stretches stand there unnamed.
pub(super) fn choose(case: &Case<'_>, asked: &mut Asked) -> Choice {
    let choice = by_score(case, asked);
    if sees_vinyl_chloride(case) { with_vinyl_chloride(choice, case, asked) } else { choice }
}

fn by_score(case: &Case<'_>, asked: &mut Asked) -> Choice {
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
            && let Some(several) = several(fit, &members, true, case, asked)
        {
            return several;
        }
        let chosen = case.account_of(first).unwrap_or(account);
        let additives = chosen.additives.iter().filter_map(|at| case.fits.get(*at)).cloned();
        let fit = case.fits.get(chosen.body).unwrap_or(fit).clone();
        return Choice::Body { fit, additives: additives.collect(), members };
    }
    if exclusion.is_none()
        && let Some((_, fit, _)) = alone
    {
        let (others, _) = beside(fit, Wanted::NoBodies, case, asked);
        let mut fits = vec![fit.clone()];
        fits.extend(others.into_iter().map(|seen| seen.fit));
        if !leaves_a_host(&fits, case) {
            return Choice::Alone { fits };
        }
    }
    if exclusion.is_none() {
        for (_, fit, material) in case.bodies().take(MOST_FIRSTS) {
            let promising = fit.met >= FIRST_MET && has_required(fit, case);
            if promising
                && material.nameable
                && may_be_named(&material.id, case, asked)
                && let Some(several) =
                    several(fit, &standing(&material.id, case, asked), false, case, asked)
            {
                return several;
            }
        }
    }
    Choice::None { exclusion }
}

/// Returns whether plasticisers alone would leave a strong band, and so a polymer, without a name.
fn leaves_a_host(fits: &[Fit], case: &Case<'_>) -> bool {
    let first = fits.first().and_then(|fit| case.material(fit));
    let explains = fits.iter().map(|fit| fit.explains.clone()).reduce(|all, one| join(&all, &one));
    let Some(explains) = explains else { return false };
    let left = unexplained(case, &explains);
    let flank = |(position, share): (f64, f64)| {
        case.observed.features().list.iter().any(|feature| {
            feature.share >= 0.5 * share
                && (feature.position_cm1 - position).abs() <= FLANK_CM1
                && !left.iter().any(|(other, _)| *other == feature.position_cm1)
        })
    };
    first.is_some_and(|material| material.family == PLASTICISER_FAMILY)
        && left.iter().any(|band| band.1 >= HOST_LEFT && !flank(*band))
}

fn is_acceptable(account: &Account, fit: &Fit, case: &Case<'_>) -> bool {
    account.score >= LEAST_SCORE
        && fit.met >= LEAST_MET
        && account.explained >= LEAST_EXPLAINED
        && account.explained_by_body >= LEAST_BY_BODY
        && has_required(fit, case)
}

/// Looks for further bodies beside a first that leaves much unexplained. A first that could not be
/// named alone must hold beside what is found.
fn several(
    first: &Fit,
    members: &[String],
    stands_alone: bool,
    case: &Case<'_>,
    asked: &mut Asked,
) -> Option<Choice> {
    let features = case.observed.features();
    let (seen, explains) = beside(first, Wanted::Anything, case, asked);
    let enough = explained_share(features, &explains) >= TOGETHER_EXPLAINED;
    if !enough || !(stands_alone || holds_beside(first, &seen, case)) {
        return None;
    }
    let id = case.material(first)?.id.clone();
    let mut first_members = vec![id.clone()];
    first_members.extend(members.iter().filter(|other| **other != id).cloned());
    let first = Seen { fit: first.clone(), members: first_members, is_body: true };
    let (bodies, others): (Vec<Seen>, Vec<Seen>) =
        std::iter::once(first).chain(seen).partition(|seen| seen.is_body);
    if bodies.len() < 2 {
        return None;
    }
    let additives = others.into_iter().map(|seen| seen.fit).collect();
    Some(in_order(bodies, additives, case))
}

/// Puts the body first that explains most.
fn in_order(bodies: Vec<Seen>, additives: Vec<Fit>, case: &Case<'_>) -> Choice {
    let features = case.observed.features();
    let mut bodies: Vec<(f64, Seen)> = bodies
        .into_iter()
        .map(|seen| (explained_share(features, &seen.fit.explains), seen))
        .collect();
    bodies.sort_by(|a, b| b.0.total_cmp(&a.0));
    Choice::Several { bodies: bodies.into_iter().map(|(_, seen)| seen).collect(), additives }
}

/// Adds a polymer of vinyl chloride to bodies that carry no chlorine, where its rule says yes. Its bands are
/// broad and under those of most others, so that it seldom stands out as a further body does; minerals
/// that were taken for its C–Cl stretches go.
fn with_vinyl_chloride(choice: Choice, case: &Case<'_>, asked: &mut Asked) -> Choice {
    let (mut bodies, additives) = match &choice {
        Choice::Body { members, fit, additives } => {
            let seen = Seen { fit: fit.clone(), members: members.clone(), is_body: true };
            (vec![seen], additives.clone())
        }
        Choice::Several { bodies, additives } => (bodies.clone(), additives.clone()),
        Choice::Alone { .. } | Choice::None { .. } => return choice,
    };
    let carries = |id: &String| case.tables.material(id).is_some_and(|m| m.chlorine);
    if bodies.iter().any(|seen| seen.members.iter().any(carries)) {
        return choice;
    }
    let Some(chlorinated) = vinyl_chloride_beside(&bodies, case, asked) else { return choice };
    bodies.push(chlorinated);
    let nothing = vec![0.0; case.observed.features().list.len()];
    let explains = bodies.iter().fold(nothing, |all, seen| join(&all, &seen.fit.explains));
    let additives = additives.into_iter().filter(|fit| still_shows(fit, &explains, case)).collect();
    in_order(bodies, additives, case)
}

/// Returns whether a material lies on a surface rather than in a polymer.
pub(super) fn lies_on(material: &Material) -> bool {
    matches!(material.kind, MaterialKind::Residue) || material.family == "soap"
}
