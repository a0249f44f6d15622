//! A candidate sheet compared with what its seller claims.

use super::claim_words::{self, ClaimWords, Denied, Softness};
use super::plain;
use super::record::{CandidateRecord, Face};
use super::references::{self, ReferenceOpinion};
use super::replicates;
use super::result::{
    ChlorineSaid, Claim, ClaimOutcome, FaceFindings, PartFindings, PartOutcome, UvVisible,
};
use super::unsettled;
use crate::judge::{ChlorineByIdentity, Outcome, Plasticiser, Relation};
use crate::tables::{Effect, Material, MaterialRole, Rule, Tables, Verdict, in_permission};

/// Judges a claim from the sheet's spectra and, where there is one, a reference that the examiner
/// vouches for.
pub(super) fn judge(
    candidate: &CandidateRecord,
    part: &PartFindings,
    reference: Option<&ReferenceOpinion>,
    uv_visible: Option<&UvVisible>,
    tables: &Tables,
) -> Claim {
    let words = claim_words::read(&candidate.claimed, tables);
    let whole = tables.find_material(&candidate.claimed);
    let claimed = whole.map_or(candidate.claimed.as_str(), |material| material.id.as_str());
    let mut found = named(claimed, &words, part, reference, tables);
    let mut chlorine_decides = false;
    for denied in words.denied.iter().filter(|_| !words.unclear) {
        chlorine_decides |= hold_absent(denied, part, &mut found);
    }
    if !words.unclear
        && !words.named.is_empty()
        && words.named.iter().all(|material| !material.chlorine)
    {
        let ids: Vec<&str> = words.named.iter().map(|material| material.id.as_str()).collect();
        chlorine_decides |= without_chlorine(&ids.join(" and "), part, &mut found);
    }
    if chlorine_decides && part.outcome != PartOutcome::NotMeasured {
        found.settled_by.splice(0..0, unsettled::chlorine_ways(part, tables));
    }
    if let Some(denied) = &words.no_plasticiser {
        hold_plasticiser_absent(denied, part, &mut found);
    }
    // Of other materials a soft word asks for no plasticiser: a soft polyethylene has none.
    let asks = |material: &&Material| {
        material.has_role(MaterialRole::MayBePlasticised) && !words.unclear && !words.alternatives
    };
    match &words.softness {
        Some((word, asked)) if words.named.iter().any(asks) => match asked {
            Softness::Soft => hold_plasticiser_present(word, part, &mut found),
            Softness::Rigid if part.plasticiser == Some(Plasticiser::NoneSeen) => {
                let none = "no plasticiser seen at this surface";
                add(&mut found, &format!("\u{201c}{word}\u{201d}: {none}"));
            }
            Softness::Rigid => hold_plasticiser_absent(word, part, &mut found),
        },
        _ => {}
    }
    let has_words = words.named.len() > 1 || whole.is_none() && !words.named.is_empty();
    if has_words || !words.denied.is_empty() || words.no_plasticiser.is_some() {
        let quoted = |words: &[String]| {
            let quoted = words.iter().map(|word| format!("\u{201c}{word}\u{201d}"));
            plain::list(&quoted.collect::<Vec<String>>())
        };
        if !words.of_light.is_empty() {
            let said = quoted(&words.of_light);
            match uv_visible.and_then(|uv| uv.mean_315_400) {
                // What it should be stands in no table: the reader compares.
                Some(through) => add(
                    &mut found,
                    &format!(
                        "{said}: by the transmittance on record {:.0} % passes from 315 to 400 nm",
                        100.0 * through
                    ),
                ),
                None => {
                    add(&mut found, &format!("not testable by infrared: {said}"));
                    let way = "UV-visible transmittance, for what is said of UV";
                    found.settled_by.push(way.to_owned());
                }
            }
        }
        if !words.unread.is_empty() {
            let unread = format!("not read: {}", quoted(&words.unread));
            // Without a material that was read, it may be the name of one.
            if words.named.is_empty() {
                limit(&mut found, "", &unread);
            } else {
                add(&mut found, &unread);
            }
        }
    }
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

/// A claim of a sheet of which spectra stand under another part or sheet, too: they say nothing of it, for or against.
pub(super) fn of_another(mut found: Claim, why: &str) -> Claim {
    found.outcome = ClaimOutcome::CannotTell;
    found.words = ClaimOutcome::CannotTell.as_str().to_owned();
    found.not_excluded.clear();
    found.why = format!("{why}; {}", found.why);
    found.settled_by = vec!["spectra measured on this sheet itself".to_owned()];
    found
}

/// Judges what a claim names. What was found is said first, whatever was claimed.
fn named(
    claimed: &str,
    words: &ClaimWords<'_>,
    part: &PartFindings,
    reference: Option<&ReferenceOpinion>,
    tables: &Tables,
) -> Claim {
    let cannot = |why: &str| {
        let why = if why.is_empty() { found(part) } else { format!("{}; {why}", found(part)) };
        claim(claimed, ClaimOutcome::CannotTell, Vec::new(), why)
    };
    if claimed.is_empty() {
        return cannot("no claim is recorded");
    }
    if words.unclear {
        return cannot("the words of the claim are not read: compare them with what was found");
    }
    let mut judged = match words.named.as_slice() {
        [] if words.denied.is_empty() && words.no_plasticiser.is_none() => {
            let near = tables.nearest_materials(claimed);
            let near: Vec<&str> = near.iter().map(|material| material.id.as_str()).collect();
            let near = if near.is_empty() {
                String::new()
            } else {
                format!("; nearest: {}", near.join(", "))
            };
            return cannot(&format!("{claimed} is no material of the table{near}"));
        }
        // What is claimed not to be there is judged by itself; this face holds until it fails.
        [] if part.agreement.judged == 0 => return cannot(""),
        [] => claim(claimed, ClaimOutcome::ThisFaceAgrees, Vec::new(), found(part)),
        [one] => material(&one.id, part, reference, tables),
        several => {
            let possible = part.possible_materials();
            let one = part.material.as_ref().and_then(|id| several.iter().find(|m| m.id == *id));
            let settled = matches!(part.outcome, PartOutcome::Identified | PartOutcome::Narrowed);
            match one {
                Some(one) if words.alternatives => material(&one.id, part, reference, tables),
                _ if settled && several.iter().all(|m| !possible.contains(&m.id)) => {
                    claim(claimed, ClaimOutcome::NotAsClaimed, Vec::new(), found(part))
                }
                _ if words.blend => blend(claimed, several, part),
                _ => cannot("several materials are claimed"),
            }
        }
    };
    judged.claimed = claimed.to_owned();
    judged
}

/// Judges the claim of a blend: each of its parts must be found, and none as a coat that lies over another.
fn blend(claimed: &str, named: &[&Material], part: &PartFindings) -> Claim {
    let within = part.components.iter().filter(|component| {
        !matches!(component.relation, Relation::CoatingOver | Relation::DepositOn)
    });
    let is_found = |id: &str| {
        part.material.as_deref() == Some(id) || within.clone().any(|component| component.id == id)
    };
    let missing: Vec<String> =
        named.iter().map(|m| m.id.clone()).filter(|id| !is_found(id)).collect();
    let why = found(part);
    if missing.is_empty() && part.agreement.agreeing == part.agreement.judged {
        return claim(claimed, ClaimOutcome::ThisFaceAgrees, Vec::new(), why);
    }
    let why = match missing.as_slice() {
        [] => why,
        _ if part.agreement.judged == 0 => why,
        [one] => format!("{why}; {one}, which the claim names, was not found"),
        several => {
            format!("{why}; {}, which the claim names, were not found", plain::list(several))
        }
    };
    claim(claimed, ClaimOutcome::CannotTell, Vec::new(), why)
}

/// What was found of a sheet, in a clause.
fn found(part: &PartFindings) -> String {
    let said = |materials: String| {
        let agreement = &part.agreement.words;
        if agreement.contains('(') {
            // Brackets within brackets are hard to read.
            format!("found {materials}: {agreement}")
        } else {
            format!("found {materials} ({agreement})")
        }
    };
    match part.outcome {
        PartOutcome::Identified => said(part.material.clone().unwrap_or_default()),
        PartOutcome::Narrowed => said(part.candidates.join(" or ")),
        // The names of all faces together would be those of no face.
        PartOutcome::Mixed if part.agreement.words.starts_with(replicates::FACES_DIFFER) => {
            part.agreement.words.clone()
        }
        PartOutcome::Mixed => {
            let ids: Vec<String> = part.components.iter().map(|c| c.id.clone()).collect();
            said(plain::list(&ids))
        }
        PartOutcome::SpotsDisagree => part.agreement.words.clone(),
        PartOutcome::Classed => part.class.as_ref().map_or_else(
            || "no class is recorded".to_owned(),
            |class| format!("bands of the class {}; which of it, cannot be told", class.name),
        ),
        PartOutcome::NotInTable => "no material of the table fits the spectra".to_owned(),
        PartOutcome::NotEnoughSignal => "no spot could be judged".to_owned(),
        PartOutcome::NotMeasured => "there is no spectrum of it to judge".to_owned(),
    }
}

/// Judges the claim of one material by what was named at the spots.
fn material(
    claimed: &str,
    part: &PartFindings,
    reference: Option<&ReferenceOpinion>,
    tables: &Tables,
) -> Claim {
    let say = |outcome: ClaimOutcome| claim(claimed, outcome, Vec::new(), found(part));
    match part.outcome {
        PartOutcome::Identified => identified(claimed, part, tables),
        PartOutcome::Narrowed if part.candidates.iter().any(|id| id == claimed) => {
            let rest: Vec<String> =
                part.candidates.iter().filter(|id| *id != claimed).cloned().collect();
            settle(claimed, rest, part, reference, tables)
        }
        PartOutcome::Narrowed => say(ClaimOutcome::NotAsClaimed),
        PartOutcome::Mixed => {
            let mut open = say(ClaimOutcome::CannotTell);
            let cut = part.faces.iter().any(|f| f.face == Face::Edge && f.agreement.judged > 0);
            if !cut {
                open.settled_by.push("measure a freshly cut edge".to_owned());
            }
            open
        }
        PartOutcome::Classed => {
            // A class that holds the claim neither confirms nor refutes it; one that does not refutes it.
            let holds =
                part.class.as_ref().is_none_or(|c| c.members.iter().any(|id| id == claimed));
            say(if holds { ClaimOutcome::CannotTell } else { ClaimOutcome::NotAsClaimed })
        }
        PartOutcome::SpotsDisagree
        | PartOutcome::NotInTable
        | PartOutcome::NotEnoughSignal
        | PartOutcome::NotMeasured => say(ClaimOutcome::CannotTell),
    }
}

/// Holds a sheet that is claimed to be of materials without chlorine against what was found of chlorine: C–Cl
/// bands refute the claim, and while chlorine is open nothing speaks for it. Returns whether that decides the claim.
fn without_chlorine(claimed: &str, part: &PartFindings, found: &mut Claim) -> bool {
    match part.chlorine.said() {
        ChlorineSaid::NoneDetected => false,
        ChlorineSaid::ByBands => {
            refute(found, &format!("{}, which {claimed} does not have", shown(part)))
        }
        ChlorineSaid::ByFluorescence => {
            limit(found, "", &format!("{BY_FLUORESCENCE}, which {claimed} does not have"))
        }
        ChlorineSaid::ByName | ChlorineSaid::NotExcluded | ChlorineSaid::NotTested => {
            not_excluded(part, found)
        }
    }
}

/// A salt or a pigment may carry it: it refutes no material.
const BY_FLUORESCENCE: &str = "chlorine by X-ray fluorescence (the examiner's entry)";

fn shown(part: &PartFindings) -> String {
    let (showing, judged) = (part.chlorine.spots_showing, part.chlorine.spots_judged);
    format!("C–Cl bands at {showing} of {judged} spots")
}

fn not_excluded(part: &PartFindings, found: &mut Claim) -> bool {
    let why = format!("chlorine is not excluded ({})", part.chlorine.finding.why);
    // What was not measured at all says so already.
    let judged = part.chlorine.spots_judged > 0;
    judged && limit(found, ", chlorine not excluded", &why)
}

/// Judges one thing that is claimed not to be there, by name and by chlorine. Returns whether chlorine decides.
fn hold_absent(denied: &Denied<'_>, part: &PartFindings, found: &mut Claim) -> bool {
    let word = &denied.word;
    let is_denied = |id: &String| denied.materials.iter().any(|material| material.id == *id);
    let there = part.material.iter().chain(part.components.iter().map(|c| &c.id));
    let by_name = there.into_iter().find(|id| is_denied(id));
    let narrowed = part.candidates.iter().filter(|id| is_denied(id)).count();
    let by_name = by_name.is_some() || narrowed > 0 && narrowed == part.candidates.len();
    // What was found stands there already.
    if by_name {
        refute(found, "");
    }
    if denied.chlorine {
        return match part.chlorine.said() {
            // Another material that is named carries it: of this one nothing follows.
            ChlorineSaid::ByBands
                if !by_name
                    && !denied.materials.is_empty()
                    && part.chlorine.finding.by_identity == ChlorineByIdentity::Yes =>
            {
                limit(found, "", &format!("{}, of another material", shown(part)))
            }
            ChlorineSaid::ByBands => refute(found, &shown(part)),
            ChlorineSaid::ByFluorescence if denied.materials.is_empty() => {
                refute(found, BY_FLUORESCENCE)
            }
            ChlorineSaid::ByFluorescence => limit(found, "", BY_FLUORESCENCE),
            ChlorineSaid::NoneDetected if part.chlorine.spots_showing == 0 => {
                add(found, "no chlorine detected at this surface");
                false
            }
            _ => not_excluded(part, found),
        };
    }
    if by_name {
        return false;
    }
    let named = matches!(part.outcome, PartOutcome::Identified | PartOutcome::Narrowed);
    if denied.materials.is_empty() {
        limit(
            found,
            "",
            &format!("\u{201c}{word}\u{201d} is no material of the table: not tested"),
        );
    } else if narrowed > 0 || !named {
        limit(found, "", &format!("{word} is not excluded"));
    } else {
        add(found, &format!("no {word} seen at this surface"));
    }
    false
}

/// Judges a claim that a plasticiser is there, in the words "soft" or "plasticised": it is refuted where each spot that
/// was judged was tested for one and shows none.
fn hold_plasticiser_present(word: &str, part: &PartFindings, found: &mut Claim) {
    let judged: Vec<&Option<Plasticiser>> = part
        .faces
        .iter()
        .flat_map(|face| &face.spots)
        .filter(|spot| !spot.is_copy && spot.identification.outcome != Outcome::NotEnoughSignal)
        .map(|spot| &spot.identification.plasticiser)
        .collect();
    let none = judged.iter().filter(|said| matches!(said, Some(Plasticiser::NoneSeen))).count();
    match &part.plasticiser {
        Some(Plasticiser::Class { id }) => add(found, &format!("{id} was found")),
        Some(Plasticiser::Several { ids }) => {
            add(found, &format!("{} was found", plain::list(ids)));
        }
        Some(Plasticiser::UnresolvedEster) => {
            add(found, "an ester was found, whose class is not resolved");
        }
        Some(Plasticiser::NoneSeen) if none == judged.len() => {
            refute(
                found,
                &format!("\u{201c}{word}\u{201d}: no plasticiser seen at {none} of {none} spots"),
            );
        }
        _ => {
            limit(
                found,
                "",
                &format!("\u{201c}{word}\u{201d}: whether a plasticiser is there was not told"),
            );
        }
    }
}

/// Judges a claim that no plasticiser is there by those that were found.
fn hold_plasticiser_absent(claimed: &str, part: &PartFindings, found: &mut Claim) {
    // Sellers mean the ortho-phthalates; of another phthalate it is open whether it is meant.
    let is_ortho = |id: &String| id.contains("ortho-");
    let is_phthalate = |id: &String| id.contains("phthalate");
    let any = !claimed.to_lowercase().contains("pht");
    match &part.plasticiser {
        Some(Plasticiser::Class { id }) if any || is_ortho(id) => {
            refute(found, &format!("{id} was found"));
        }
        Some(Plasticiser::Several { ids }) if any || ids.iter().any(is_ortho) => {
            refute(found, &format!("{} was found", plain::list(ids)));
        }
        Some(Plasticiser::Class { id }) if is_phthalate(id) => {
            limit(
                found,
                "",
                &format!("{id} was found: ask whether \u{201c}{claimed}\u{201d} means it"),
            );
        }
        // Below a few per cent none shows.
        Some(Plasticiser::NoneSeen | Plasticiser::Class { .. } | Plasticiser::Several { .. }) => {
            add(found, &format!("\u{201c}{claimed}\u{201d}: none seen at this surface"));
        }
        Some(_) => {
            limit(found, "", &format!("\u{201c}{claimed}\u{201d} is not settled by these spectra"));
        }
        // Of most materials no plasticiser is looked for.
        None if found.outcome == ClaimOutcome::ThisFaceAgrees => {
            limit(found, "", &format!("\u{201c}{claimed}\u{201d} was not tested"));
        }
        None => add(found, &format!("\u{201c}{claimed}\u{201d} was not tested")),
    }
}

/// Adds a reason, once.
fn add(found: &mut Claim, why: &str) {
    if !why.is_empty() && !found.why.contains(why) {
        found.why.push_str(&format!("; {why}"));
    }
}

/// Refutes a claim; what it left open is no matter any more. Returns whether it had stood until now.
fn refute(found: &mut Claim, why: &str) -> bool {
    add(found, why);
    if found.outcome == ClaimOutcome::NotAsClaimed {
        return false;
    }
    found.outcome = ClaimOutcome::NotAsClaimed;
    found.words = ClaimOutcome::NotAsClaimed.as_str().to_owned();
    found.not_excluded.clear();
    found.settled_by.clear();
    true
}

/// Says of a claim that nothing speaks for it yet, and what is open; one that is refuted stays so. Returns whether
/// it does not.
fn limit(found: &mut Claim, open: &str, why: &str) -> bool {
    if found.outcome == ClaimOutcome::NotAsClaimed {
        return false;
    }
    if found.outcome != ClaimOutcome::CannotTell || !found.words.contains(open) {
        found.words = format!("{}{open}", ClaimOutcome::CannotTell.as_str());
    }
    found.outcome = ClaimOutcome::CannotTell;
    add(found, why);
    true
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
            let why = format!("{}, which does not exclude {claimed}", found(part));
            claim(claimed, ClaimOutcome::CannotTell, Vec::new(), why)
        } else {
            let mut why = found(part);
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
        faces_measured(claimed, part, found(part))
    } else {
        let mut claim =
            claim(claimed, ClaimOutcome::ConsistentNotExcluded, not_excluded, found(part));
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
    let why = found(part);
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
    let named = group.settled_by.split(';').map(|way| in_permission(way.trim()));
    reference.into_iter().chain(named).collect()
}
