//! A candidate sheet held against what its seller claims.

use super::plain;
use super::record::{CandidateRecord, Face};
use super::references::ReferenceOpinion;
use super::result::{Claim, ClaimOutcome, PartFindings, PartOutcome};
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

/// "As claimed" needs both faces and a freshly cut edge; less is "this face agrees".
fn faces_measured(claimed: &str, part: &PartFindings, why: String) -> Claim {
    let measured = |face: Face| part.faces.iter().any(|f| f.face == face && f.agreement.judged > 0);
    let missing: Vec<&str> =
        [(Face::Exposed, "face a"), (Face::Reverse, "face b"), (Face::Edge, "a freshly cut edge")]
            .into_iter()
            .filter(|(face, _)| !measured(*face))
            .map(|(_, words)| words)
            .collect();
    if missing.is_empty() {
        claim(claimed, ClaimOutcome::AsClaimed, Vec::new(), why)
    } else {
        let why = format!("{why}; not measured: {}", missing.join(", "));
        let mut claim = claim(claimed, ClaimOutcome::ThisFaceAgrees, Vec::new(), why);
        claim.settled_by = vec![format!("measure {}", missing.join(" and "))];
        claim
    }
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

/// What settles look-alikes, in the order to try.
fn settled_by(ids: &[&str], tables: &Tables) -> Vec<String> {
    let mut ways = Vec::new();
    if ids.contains(&"PETG") || ids.contains(&"PET") {
        ways.push(
            "a reference of the claimed sheet that somebody vouches for (maker, grade, batch), \
             measured on the same instrument"
                .to_owned(),
        );
        ways.push(
            "differential scanning calorimetry of an off-cut: PET can crystallise and melts, PETG \
             does not (common practice, no source)"
                .to_owned(),
        );
        ways.push(
            "heating an off-cut, never the object: PET whitens, PETG stays clear (common practice, \
             no source)"
                .to_owned(),
        );
    }
    if let Some(group) = tables.group_of(ids)
        && !ways.iter().any(|way| way == &group.settled_by)
    {
        ways.push(group.settled_by.clone());
    }
    ways
}
