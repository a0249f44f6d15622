//! A candidate sheet compared with what its seller claims.

use super::plain;
use super::record::{CandidateRecord, Face};
use super::references::{self, ReferenceOpinion};
use super::result::{Claim, ClaimOutcome, FaceFindings, PartFindings, PartOutcome};
use crate::tables::{Effect, Rule, Tables, Verdict};

/// Judges a claim from the sheet's spectra and, where there is one, a reference that the examiner
/// vouches for.
pub(super) fn judge(
    candidate: &CandidateRecord,
    part: &PartFindings,
    reference: Option<&ReferenceOpinion>,
    tables: &Tables,
) -> Claim {
    let known = tables.find_material(&candidate.claimed);
    let claimed = known.map_or(candidate.claimed.as_str(), |material| material.id.as_str());
    let cannot = |why: String| claim(claimed, ClaimOutcome::CannotTell, Vec::new(), why);
    if claimed.is_empty() {
        return cannot("no claim is recorded".to_owned());
    }
    if known.is_none() {
        let near = tables.nearest_materials(claimed);
        let near: Vec<&str> = near.iter().map(|material| material.id.as_str()).collect();
        let meant =
            if near.is_empty() { String::new() } else { format!("; nearest: {}", near.join(", ")) };
        return cannot(format!("{claimed} is no material of the table{meant}"));
    }
    let mut found = match part.outcome {
        PartOutcome::Identified => identified(claimed, part, tables),
        PartOutcome::Narrowed if part.candidates.iter().any(|id| id == claimed) => {
            let rest: Vec<String> =
                part.candidates.iter().filter(|id| *id != claimed).cloned().collect();
            settle(claimed, rest, part, reference, tables)
        }
        PartOutcome::Narrowed => claim(
            claimed,
            ClaimOutcome::NotAsClaimed,
            Vec::new(),
            format!("found {}", part.candidates.join(" or ")),
        ),
        PartOutcome::Mixed => cannot(format!(
            "several components were found ({}); measure a freshly cut edge",
            part.components.iter().map(|c| c.id.as_str()).collect::<Vec<_>>().join(", ")
        )),
        PartOutcome::SpotsDisagree => cannot(part.agreement.words.clone()),
        PartOutcome::Classed => of_a_class(claimed, part),
        PartOutcome::NotInTable => cannot("no material of the table fits the spectra".to_owned()),
        PartOutcome::NotEnoughSignal => cannot("no spot could be judged".to_owned()),
        PartOutcome::NotMeasured => cannot("there is no spectrum of it to judge".to_owned()),
    };
    if let Some(opinion) = reference
        && found.outcome != ClaimOutcome::CannotTell
        && !found.why.contains(&opinion.words)
    {
        found.why.push_str(&format!("; {}", opinion.words));
    }
    if !candidate.other_result.is_empty() {
        found.why.push_str(&format!("; examiner's entry: {}", candidate.other_result));
    }
    found
}

/// A class that holds the claim neither confirms nor refutes it; one that does not refutes it.
fn of_a_class(claimed: &str, part: &PartFindings) -> Claim {
    let Some(class) = &part.class else {
        return claim(
            claimed,
            ClaimOutcome::CannotTell,
            Vec::new(),
            "no class is recorded".to_owned(),
        );
    };
    let found = format!("bands of the class {}; which of it, cannot be told", class.name);
    let outcome = if class.members.iter().any(|id| id == claimed) {
        ClaimOutcome::CannotTell
    } else {
        ClaimOutcome::NotAsClaimed
    };
    claim(claimed, outcome, Vec::new(), found)
}

fn claim(claimed: &str, outcome: ClaimOutcome, not_excluded: Vec<String>, why: String) -> Claim {
    let words = match outcome {
        ClaimOutcome::ConsistentNotExcluded => {
            format!("consistent with claim, {} not excluded", not_excluded.join(", "))
        }
        other => other.as_str().to_owned(),
    };
    Claim { claimed: claimed.to_owned(), outcome, not_excluded, words, why, settled_by: Vec::new() }
}

fn identified(claimed: &str, part: &PartFindings, tables: &Tables) -> Claim {
    let material = part.material.as_deref().unwrap_or_default();
    if material != claimed {
        let open = tables
            .material(material)
            .is_some_and(|found| found.not_excluded.iter().any(|id| id == claimed));
        return if open {
            let why = format!("found {material}, which does not exclude {claimed}");
            claim(claimed, ClaimOutcome::CannotTell, Vec::new(), why)
        } else {
            let mut why = format!("found {material} ({})", part.agreement.words);
            for reason in against(material, claimed, part, tables) {
                why.push_str(&format!("; {reason}"));
            }
            let mut claim = claim(claimed, ClaimOutcome::NotAsClaimed, Vec::new(), why);
            claim.settled_by = settled_by(&[claimed, material], tables);
            claim
        };
    }
    let not_excluded =
        tables.material(material).map(|found| found.not_excluded.clone()).unwrap_or_default();
    if not_excluded.is_empty() {
        faces_measured(claimed, part, format!("found {material} ({})", part.agreement.words))
    } else {
        let why = format!("found {material} ({})", part.agreement.words);
        let mut claim = claim(claimed, ClaimOutcome::ConsistentNotExcluded, not_excluded, why);
        claim.settled_by = settled_by(&[claimed], tables);
        claim
    }
}

/// What the rules that tell the material found from the one claimed read at the spots: each question
/// that was answered yes, with the range of its ratio where it has one.
fn against(found: &str, claimed: &str, part: &PartFindings, tables: &Tables) -> Vec<String> {
    let telling = |rule: &&Rule| {
        let names = |list: &[String], id: &str| list.iter().any(|known| known == id);
        rule.effect == Effect::Prefer
            && names(&rule.subjects, found)
            && names(&rule.against, claimed)
    };
    let mut reasons = Vec::new();
    for rule in tables.rules().iter().filter(telling) {
        let mut ratios: Vec<(String, f64, f64)> = Vec::new();
        for answer in part
            .faces
            .iter()
            .flat_map(|face| &face.spots)
            .flat_map(|spot| &spot.identification.rules)
            .filter(|answer| answer.rule == rule.id && answer.verdict == Verdict::Yes)
        {
            let ratio = answer.values.iter().find(|(name, _)| name == "ratio");
            let Some(&(_, ratio)) = ratio else { continue };
            match ratios.iter_mut().find(|(question, ..)| *question == answer.question) {
                Some((_, low, high)) => (*low, *high) = (low.min(ratio), high.max(ratio)),
                None => ratios.push((answer.question.clone(), ratio, ratio)),
            }
        }
        if ratios.is_empty() {
            continue;
        }
        let read: Vec<String> = ratios
            .iter()
            .map(|(question, low, high)| {
                let digits = plain::decimals(*low);
                let (low, high) = (plain::fixed(*low, digits), plain::fixed(*high, digits));
                if low == high {
                    format!("{question} {low}")
                } else {
                    format!("{question} {low} to {high}")
                }
            })
            .collect();
        reasons.push(format!("against {claimed}: {} ({})", rule.meaning, plain::list(&read)));
    }
    reasons
}

/// The faces that "as claimed" needs, with the words for what is missing.
const FACES_NEEDED: [(Face, &str); 3] =
    [(Face::Exposed, "face a"), (Face::Reverse, "face b"), (Face::Edge, "a freshly cut edge")];

/// "As claimed" needs both faces and a freshly cut edge, each with an answer that settles as much as the
/// whole does: less is "this face agrees".
fn faces_measured(claimed: &str, part: &PartFindings, why: String) -> Claim {
    let answers = |face: &FaceFindings| match face.outcome {
        PartOutcome::Identified => face.material.as_deref() == Some(claimed),
        // What is left open on a face is settled only where all faces leave it open and a reference
        // was heard on all of them.
        PartOutcome::Narrowed => part.outcome == PartOutcome::Narrowed,
        _ => false,
    };
    let on = |face: Face| part.faces.iter().filter(move |f| f.face == face);
    let lacking = |why: &dyn Fn(Face) -> bool| -> Vec<&str> {
        FACES_NEEDED.iter().filter(|(face, _)| why(*face)).map(|(_, words)| *words).collect()
    };
    let unmeasured = lacking(&|face| on(face).next().is_none());
    let unjudged =
        lacking(&|face| on(face).next().is_some() && on(face).all(|f| f.agreement.judged == 0));
    let open = lacking(&|face| on(face).any(|f| f.agreement.judged > 0 && !answers(f)));
    if unmeasured.is_empty() && unjudged.is_empty() && open.is_empty() {
        return claim(claimed, ClaimOutcome::AsClaimed, Vec::new(), why);
    }
    let mut why = why;
    for (said, faces) in
        [("not measured", &unmeasured), ("could not be judged", &unjudged), ("left open", &open)]
    {
        if !faces.is_empty() {
            why.push_str(&format!("; {said}: {}", faces.join(", ")));
        }
    }
    let mut claim = claim(claimed, ClaimOutcome::ThisFaceAgrees, Vec::new(), why);
    let again = [unjudged, open].concat();
    for (what, faces) in [("measure", unmeasured), ("measure again", again)] {
        if !faces.is_empty() {
            claim.settled_by.push(format!("{what} {}", faces.join(" and ")));
        }
    }
    claim
}

/// Look-alikes are left: a reference that somebody vouches for may settle it, else it stays open.
fn settle(
    claimed: &str,
    rest: Vec<String>,
    part: &PartFindings,
    reference: Option<&ReferenceOpinion>,
    tables: &Tables,
) -> Claim {
    let why = format!("found {} ({})", part.candidates.join(" or "), part.agreement.words);
    match reference {
        Some(opinion)
            if opinion.agrees
                && tables.find_material(&opinion.material).is_some_and(|m| m.id == claimed) =>
        {
            faces_measured(claimed, part, format!("{why}; {}", opinion.words))
        }
        _ => {
            let mut ids = vec![claimed];
            ids.extend(rest.iter().map(String::as_str));
            let settled_by = settled_by(&ids, tables);
            let mut claim = claim(claimed, ClaimOutcome::ConsistentNotExcluded, rest, why);
            claim.settled_by = settled_by;
            claim
        }
    }
}

/// What settles look-alikes, in the order to try: a reference, where the table says in which windows it
/// would be heard, then what the group's row names.
fn settled_by(ids: &[&str], tables: &Tables) -> Vec<String> {
    let Some(group) = references::group_of(ids, tables) else { return Vec::new() };
    let reference = tables.windows_of(&group.id).next().map(|_| {
        "a reference of the claimed sheet that somebody vouches for (maker, grade, batch), measured on \
         the same instrument"
            .to_owned()
    });
    let named = group.settled_by.split(';').map(|way| way.trim().to_owned());
    reference.into_iter().chain(named).collect()
}
