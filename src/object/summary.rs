//! The first page: plain sentences under the questions that a report answers.
//!
//! Written for a reader who is no chemist: parts by id and name, materials by name, figures of two
//! digits, no ids of markers or rules.

use super::record::{Manifest, NeighbourRecord, recorded, says_something};
use super::result::{
    AgeingState, Bending, CandidateFindings, ChlorineLists, ClaimOutcome, ListedPart,
    NeighbourRisk, PartFindings, PartOutcome, SummaryLine, Topic, UnsettledPart,
};
use super::{part_ageing, plain};
use crate::tables::NeighbourRelation;

/// Ids named in one sentence before the rest is only counted.
const NAMED_IDS: usize = 24;

/// What the summary is drawn from.
pub(super) struct Drawn<'a> {
    pub manifest: &'a Manifest,
    pub parts: &'a [PartFindings],
    pub chlorine: &'a ChlorineLists,
    pub neighbours: &'a [NeighbourRisk],
    pub candidates: &'a [CandidateFindings],
    pub unsettled: &'a [UnsettledPart],
}

/// Returns the summary, question by question.
pub(super) fn lines(from: &Drawn<'_>) -> Vec<SummaryLine> {
    let mut lines = Vec::new();
    let mut say = |topic: Topic, text: String| lines.push(SummaryLine { topic, text });
    for text in chlorine(from) {
        say(Topic::Chlorine, text);
    }
    for text in ageing(from.parts) {
        say(Topic::Ageing, text);
    }
    for text in replacement(from.manifest, from.candidates) {
        say(Topic::Replacement, text);
    }
    for text in action(from) {
        say(Topic::Action, text);
    }
    for text in super::limits::PLAIN {
        say(Topic::Limits, (*text).to_owned());
    }
    lines
}

/// The ids in words, each once: "V01, V02 and V03".
fn ids<'a>(ids: impl Iterator<Item = &'a str>) -> String {
    let mut seen: Vec<String> = Vec::new();
    for id in ids {
        if !seen.iter().any(|known| known == id) {
            seen.push(id.to_owned());
        }
    }
    let more = seen.len().saturating_sub(NAMED_IDS);
    if more > 0 {
        seen.truncate(NAMED_IDS);
        seen.push(format!("{more} more"));
    }
    plain::list(&seen)
}

fn listed(list: &[ListedPart]) -> String {
    ids(list.iter().map(|entry| entry.id.as_str()))
}

fn chlorine(from: &Drawn<'_>) -> Vec<String> {
    let lists = from.chlorine;
    let mut text = Vec::new();
    if lists.shown.is_empty() {
        text.push("Chlorine was shown in no part.".to_owned());
    } else {
        text.push(format!("These parts contain chlorine: {}.", listed(&lists.shown)));
    }
    if !lists.implied_or_not_excluded.is_empty() {
        text.push(format!(
            "In these parts chlorine is implied or not excluded; treat them as chlorinated until \
             tested: {}.",
            listed(&lists.implied_or_not_excluded)
        ));
    }
    if !lists.none_detected.is_empty() {
        text.push(format!(
            "None was detected at the surface of these parts: {}.",
            listed(&lists.none_detected)
        ));
    }
    for neighbour in &from.manifest.neighbours {
        for (list, what) in [
            (&lists.shown, "Containing chlorine and"),
            (&lists.implied_or_not_excluded, "With chlorine implied or not excluded, and"),
        ] {
            let beside = ids(list
                .iter()
                .map(|entry| entry.id.as_str())
                .filter(|id| stands_beside(neighbour, id)));
            if !beside.is_empty() {
                let (near, name) = (near(neighbour.nearness), name(neighbour, from.parts));
                text.push(format!("{what} {near} {name}: {beside}."));
            }
        }
    }
    text
}

/// Whether the manifest puts a neighbour beside a part; one without a list stands beside all.
fn stands_beside(neighbour: &NeighbourRecord, id: &str) -> bool {
    let is_itself = neighbour.is_part.as_deref() == Some(id);
    // "T1 leans on F1" holds for both of them.
    let other_way = is_itself && !neighbour.beside.is_empty();
    other_way
        || (!is_itself && (neighbour.beside.is_empty() || neighbour.beside.iter().any(|b| b == id)))
}

fn near(nearness: NeighbourRelation) -> &'static str {
    match nearness {
        NeighbourRelation::Touching => "touching",
        NeighbourRelation::SameEnclosure => "in the same enclosure as",
        NeighbourRelation::SameRoom => "in the same room as",
    }
}

/// A neighbour by name, and what it is made of where it is no measured part.
fn name(neighbour: &NeighbourRecord, parts: &[PartFindings]) -> String {
    let title = |id: &str| {
        parts.iter().find(|p| p.id == id).map_or_else(|| id.to_owned(), PartFindings::title)
    };
    match (&neighbour.is_part, neighbour.material) {
        (Some(_), _) if !neighbour.beside.is_empty() => {
            let others: Vec<String> = neighbour.beside.iter().map(|id| title(id)).collect();
            plain::list(&others)
        }
        (Some(id), _) => title(id),
        (None, Some(kind)) => {
            let kind = kind.as_str().replace('-', " ");
            if neighbour.name == kind { kind } else { format!("{} ({kind})", neighbour.name) }
        }
        (None, None) => neighbour.name.clone(),
    }
}

fn ageing(parts: &[PartFindings]) -> Vec<String> {
    let mut text = Vec::new();
    let object = || parts.iter().filter(|part| part.claim.is_none());
    for part in object().filter(|part| part.ageing.state == AgeingState::Changed) {
        let what = part.ageing.sentence.strip_prefix("changed: ").unwrap_or(&part.ageing.sentence);
        text.push(format!("{} has changed: {what}.", part.title()));
    }
    if !text.is_empty() {
        text.push(
            "The figures set a band against a steady band of the same spectrum; the interval is meant \
             to hold the true value in 95 of 100 such measurements. They compare these faces and \
             are no grade."
                .to_owned(),
        );
    }
    let of = |state: AgeingState| {
        ids(object().filter(|part| part.ageing.state == state).map(|part| part.id.as_str()))
    };
    let unchanged = of(AgeingState::NoChangeDetected);
    if !unchanged.is_empty() {
        text.push(format!("No change to be seen between the faces of {unchanged}."));
    }
    for part in object().filter(|part| part.ageing.state == AgeingState::TooBlind) {
        text.push(format!("{}: {}.", part.title(), part.ageing.sentence));
    }
    let untested = of(AgeingState::NotTested);
    if !untested.is_empty() {
        text.push(format!("Compared without a test, as there were too few spots: {untested}."));
    }
    for part in object().filter(|part| {
        part.ageing.state != AgeingState::Changed
            && part.ageing.notes.iter().any(|note| note.contains("not explained"))
    }) {
        text.push(format!("{}: visible change not explained by this method.", part.title()));
    }
    let differ = |part: &&PartFindings| {
        let why = &part.ageing.sentence;
        why.contains("faces differ in make-up") || why.starts_with(part_ageing::FAILED)
    };
    for part in object().filter(differ) {
        text.push(format!("{}: {}.", part.title(), part.ageing.sentence));
    }
    let not_compared = ids(object()
        .filter(|part| part.ageing.state == AgeingState::NotCompared && !differ(part))
        .map(|part| part.id.as_str()));
    if !not_compared.is_empty() {
        text.push(format!(
            "Not compared, mostly because only one face was measured: {not_compared}."
        ));
    }
    text
}

fn replacement(manifest: &Manifest, candidates: &[CandidateFindings]) -> Vec<String> {
    if candidates.is_empty() {
        return vec!["No candidate sheet was given.".to_owned()];
    }
    let mut text = Vec::new();
    let mut held = false;
    let mut told: Vec<&[String]> = Vec::new();
    for found in candidates.iter().filter(|found| !found.record.replaces.is_empty()) {
        let parts = found.record.replaces.as_slice();
        if told.contains(&parts) {
            continue;
        }
        told.push(parts);
        let sheets = candidates.iter().filter(|c| c.record.replaces == parts);
        text.push(format!(
            "Offered for {}: {}.",
            ids(parts.iter().map(String::as_str)),
            ids(sheets.map(|c| c.record.id.as_str()))
        ));
    }
    for found in candidates {
        let record = &found.record;
        // What the rules read stands in the table of sheets.
        let why = found.claim.why.split("; against ").next().unwrap_or_default();
        let mut line = format!(
            "{}, claimed {}: {}: {why}.",
            record.id,
            recorded(&record.claimed),
            found.claim.words,
        );
        let way = found.claim.settled_by.first();
        match (found.claim.outcome, way) {
            (ClaimOutcome::NotAsClaimed, Some(way)) => {
                line.push_str(&format!(" What would confirm it: {way}."));
            }
            (ClaimOutcome::AsClaimed, _) | (_, None) => {}
            (_, Some(way)) => line.push_str(&format!(" What would settle it: {way}.")),
        }
        match &found.bending {
            Bending::Strain { radius_mm, thickness_mm, words, .. } => {
                held = true;
                // The caution that all sheets share is said once, below.
                let words = words.split("; solvent, ").next().unwrap_or(words);
                line.push_str(&format!(
                    " On a curve of {} m radius, {thickness_mm} mm thick: {words}.",
                    radius_mm / 1000.0
                ));
            }
            Bending::Refused { why } => {
                line.push_str(&format!(" Held on the object's curve: not answered, {why}."));
            }
        }
        text.push(line);
    }
    if held {
        text.push(
            "A held sheet can crack below its dry limit where solvent, cleaner, adhesive or a \
             migrating plasticiser reaches it."
                .to_owned(),
        );
    }
    if manifest.object.smallest_radius_mm.is_some() {
        text.push(
            "Forming the sheet with heat, or making the curve in flat segments, leaves no held \
             strain."
                .to_owned(),
        );
    }
    text
}

fn action(from: &Drawn<'_>) -> Vec<String> {
    let mut text = Vec::new();
    let mut told: Vec<(&str, &str)> = Vec::new();
    for risk in from.neighbours {
        let key = (risk.neighbour.as_str(), risk.rule.as_str());
        if told.contains(&key) {
            continue;
        }
        told.push(key);
        let parts = ids(from
            .neighbours
            .iter()
            .filter(|r| (r.neighbour.as_str(), r.rule.as_str()) == key)
            .map(|r| r.part.as_str()));
        let advice = first_small(&risk.advice);
        let verb = if risk.nearness == NeighbourRelation::Touching {
            "Keep apart or watch"
        } else {
            "Watch"
        };
        text.push(format!("{verb} {parts} beside {}: {advice}", risk.neighbour));
    }
    for part in from.parts.iter().filter(|part| part.claim.is_none()) {
        let cracks =
            [&part.record.seen.cracks, &part.record.seen.crazes, &part.record.seen.texture];
        let seen: Vec<String> = cracks.into_iter().filter(|t| says_something(t)).cloned().collect();
        if !seen.is_empty() {
            text.push(format!("Clamp nothing on {} ({}).", part.title(), plain::list(&seen)));
        }
    }
    let mut tests: Vec<(&[String], Vec<&str>)> = Vec::new();
    for candidate in from.candidates.iter().filter(|c| !c.test_first.is_empty()) {
        let (todo, id) = (candidate.test_first.as_slice(), candidate.record.id.as_str());
        match tests.iter_mut().find(|(known, _)| *known == todo) {
            Some((_, sheets)) => sheets.push(id),
            None => tests.push((todo, vec![id])),
        }
    }
    for (todo, sheets) in tests {
        let sheets = ids(sheets.into_iter());
        text.push(format!("To test first on {sheets}, each batch: {}.", todo.join("; ")));
    }
    // What is open of a candidate sheet stands with its claim.
    let is_sheet = |id: &str| from.candidates.iter().any(|c| c.record.id == id);
    for open in from.unsettled.iter().filter(|open| !is_sheet(&open.id)) {
        if let Some(first) = open.remedies.first() {
            text.push(format!("{} is left open ({}); to try first: {first}.", open.id, open.open));
        }
    }
    let disagree = ids(from
        .parts
        .iter()
        .filter(|part| part.outcome == PartOutcome::SpotsDisagree)
        .map(|part| part.id.as_str()));
    if !disagree.is_empty() {
        text.push(format!("Spots that contradict each other, measure again: {disagree}."));
    }
    text
}

/// The text with a small letter first, as after a colon.
fn first_small(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
