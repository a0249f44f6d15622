//! Which of the three chlorine lists a part stands on, and why.

use super::record::{Face, XrfChlorine};
use super::result::{ChlorineList, ChlorineLists, ListedPart, PartChlorine, PartFindings};
use crate::judge::{Chlorine, ChlorineBands, ChlorineByIdentity, Identification, Outcome};

/// Returns the chlorine finding of a part from its spots, each with its face.
///
/// The strongest finding counts: one spot that shows C–Cl shows chlorine. "None detected" is only
/// said where every face that was judged has passed the test on at least one spot.
pub(super) fn part_chlorine(spots: &[(Face, &Identification)], xrf: XrfChlorine) -> PartChlorine {
    let judged: Vec<&(Face, &Identification)> =
        spots.iter().filter(|(_, id)| id.outcome != Outcome::NotEnoughSignal).collect();
    let showing =
        spots.iter().filter(|(_, id)| id.chlorine.bands == ChlorineBands::Present).count();
    let passed = |face: Face| {
        judged.iter().any(|(f, id)| *f == face && id.chlorine.bands == ChlorineBands::NotDetected)
    };
    let is_yes = |id: &Identification| id.chlorine.by_identity == ChlorineByIdentity::Yes;
    // A name at fewer than half the spots of every face is one that the others gainsay: it leaves chlorine open.
    let named = |face: Face| {
        let spots = judged.iter().filter(|(f, _)| *f == face);
        2 * spots.clone().filter(|(_, id)| is_yes(id)).count() >= spots.count()
    };
    let open = |id: &Identification| id.chlorine.by_identity != ChlorineByIdentity::No;
    let by_identity = if judged.iter().any(|(face, _)| named(*face)) {
        ChlorineByIdentity::Yes
    } else if judged.is_empty() || judged.iter().any(|(_, id)| open(id)) {
        ChlorineByIdentity::Open
    } else {
        ChlorineByIdentity::No
    };
    let bands = if showing > 0 {
        ChlorineBands::Present
    } else if !judged.is_empty() && judged.iter().all(|(face, _)| passed(*face)) {
        ChlorineBands::NotDetected
    } else {
        ChlorineBands::CannotTell
    };
    let why = reason(&judged, bands);
    // A name at one spot alone stays a difference to look into, whatever fluorescence says.
    let some_name = judged.iter().any(|(_, id)| is_yes(id)) && xrf == XrfChlorine::NotDetected;
    let named = if some_name { ChlorineByIdentity::Yes } else { by_identity };
    let (list, words) = place(bands, named, xrf, showing, judged.len(), &why);
    PartChlorine {
        list,
        finding: Chlorine { bands, by_identity, why },
        spots_showing: showing,
        spots_judged: judged.len(),
        words,
    }
}

/// The reason given at the spot that carries the finding.
fn reason(judged: &[&(Face, &Identification)], bands: ChlorineBands) -> String {
    judged
        .iter()
        .find(|(_, id)| id.chlorine.bands == bands)
        .or(judged.first())
        .map_or_else(|| "no spot could be judged".to_owned(), |(_, id)| id.chlorine.why.clone())
}

fn place(
    bands: ChlorineBands,
    by_identity: ChlorineByIdentity,
    xrf: XrfChlorine,
    showing: usize,
    judged: usize,
    why: &str,
) -> (ChlorineList, String) {
    use ChlorineList::{ImpliedOrNotExcluded, NoneDetected, Shown};
    match (bands, by_identity, xrf) {
        (ChlorineBands::Present, _, XrfChlorine::NotDetected) => (
            Shown,
            format!(
                "contains chlorine: C–Cl bands at {showing} of {judged} spots; the X-ray \
                 fluorescence entry says none, so look into the difference"
            ),
        ),
        (ChlorineBands::Present, ..) => {
            (Shown, format!("contains chlorine: C–Cl bands at {showing} of {judged} spots"))
        }
        (_, _, XrfChlorine::Detected) => (
            Shown,
            "contains chlorine: found by X-ray fluorescence (the examiner's entry); infrared did \
             not show it"
                .to_owned(),
        ),
        (_, ChlorineByIdentity::Yes, XrfChlorine::NotDetected) => (
            ImpliedOrNotExcluded,
            format!(
                "contains chlorine by the name of its material, not shown by its own bands ({why}), and the X-ray \
                 fluorescence entry says none: look into the difference; treat as chlorinated until then"
            ),
        ),
        (_, ChlorineByIdentity::Yes, _) => (
            ImpliedOrNotExcluded,
            format!(
                "contains chlorine by the name of its material, not shown by its own bands ({why}); \
                 treat as chlorinated until tested"
            ),
        ),
        (_, _, XrfChlorine::NotDetected) => {
            (NoneDetected, "none detected by X-ray fluorescence (the examiner's entry)".to_owned())
        }
        (ChlorineBands::NotDetected, ChlorineByIdentity::No, _) => {
            (NoneDetected, "none detected at this surface".to_owned())
        }
        (ChlorineBands::CannotTell, ChlorineByIdentity::No, _) => (
            ImpliedOrNotExcluded,
            format!(
                "chlorine not implied by the material, but its bands cannot tell ({why}); treat as \
                 chlorinated until tested"
            ),
        ),
        _ => (
            ImpliedOrNotExcluded,
            format!("chlorine not excluded ({why}); treat as chlorinated until tested"),
        ),
    }
}

/// Sorts the parts of the object onto the three lists.
pub(super) fn lists(parts: &[PartFindings]) -> ChlorineLists {
    let mut lists = ChlorineLists::default();
    for part in parts.iter().filter(|part| part.claim.is_none()) {
        let entry = ListedPart { id: part.id.clone(), why: part.chlorine.words.clone() };
        match part.chlorine.list {
            ChlorineList::Shown => lists.shown.push(entry),
            ChlorineList::ImpliedOrNotExcluded => lists.implied_or_not_excluded.push(entry),
            ChlorineList::NoneDetected => lists.none_detected.push(entry),
        }
    }
    lists
}
