//! The first page: plain sentences under the questions that a report answers.

use super::record::Manifest;
use super::result::{
    AgeingState, Bending, CandidateFindings, ChlorineLists, ListedPart, NeighbourRisk,
    PartFindings, PartOutcome, SummaryLine, Topic, UnsettledPart,
};
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
    for text in chlorine(from.chlorine, from.neighbours) {
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

fn ids<'a>(ids: impl Iterator<Item = &'a str>) -> String {
    let mut seen: Vec<&str> = Vec::new();
    for id in ids {
        if !seen.contains(&id) {
            seen.push(id);
        }
    }
    let more = seen.len().saturating_sub(NAMED_IDS);
    let named: Vec<&str> = seen.into_iter().take(NAMED_IDS).collect();
    if more > 0 { format!("{} and {more} more", named.join(", ")) } else { named.join(", ") }
}

fn listed(list: &[ListedPart]) -> String {
    ids(list.iter().map(|entry| entry.id.as_str()))
}

fn chlorine(lists: &ChlorineLists, neighbours: &[NeighbourRisk]) -> Vec<String> {
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
    // Of what contains chlorine, what stands beside it: one sentence a neighbour and nearness.
    let chlorinated = |risk: &&NeighbourRisk| {
        let on = |list: &[ListedPart]| list.iter().any(|entry| entry.id == risk.part);
        on(&lists.shown) || on(&lists.implied_or_not_excluded)
    };
    let mut told: Vec<(&str, NeighbourRelation)> = Vec::new();
    for risk in neighbours.iter().filter(chlorinated) {
        let key = (risk.neighbour.as_str(), risk.nearness);
        if told.contains(&key) {
            continue;
        }
        told.push(key);
        let parts = ids(neighbours
            .iter()
            .filter(chlorinated)
            .filter(|r| (r.neighbour.as_str(), r.nearness) == key)
            .map(|r| r.part.as_str()));
        let near = match risk.nearness {
            NeighbourRelation::Touching => "Touching",
            NeighbourRelation::SameEnclosure => "In the same enclosure as",
            NeighbourRelation::SameRoom => "In the same room as",
        };
        text.push(format!("{near} {} ({}): {parts}.", risk.neighbour, risk.neighbour_material));
    }
    text
}

fn ageing(parts: &[PartFindings]) -> Vec<String> {
    let mut text = Vec::new();
    let object = || parts.iter().filter(|part| part.claim.is_none());
    for part in object().filter(|part| part.ageing.state == AgeingState::Changed) {
        text.push(format!("{}: {}.", part.title(), part.ageing.sentence));
    }
    let of = |state: AgeingState| {
        ids(object().filter(|part| part.ageing.state == state).map(|part| part.id.as_str()))
    };
    let unchanged = of(AgeingState::NoChangeDetected);
    if !unchanged.is_empty() {
        text.push(format!("No change to be seen between the faces of {unchanged}."));
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
    for part in object().filter(|p| p.ageing.sentence.contains("faces differ in make-up")) {
        text.push(format!("{}: {}.", part.title(), part.ageing.sentence));
    }
    let not_compared = ids(object()
        .filter(|part| {
            part.ageing.state == AgeingState::NotCompared
                && !part.ageing.sentence.contains("faces differ in make-up")
        })
        .map(|part| part.id.as_str()));
    if !not_compared.is_empty() {
        text.push(format!("Not compared: {not_compared}."));
    }
    text
}

fn replacement(manifest: &Manifest, candidates: &[CandidateFindings]) -> Vec<String> {
    if candidates.is_empty() {
        return vec!["No candidate sheet was given.".to_owned()];
    }
    let mut text = Vec::new();
    for found in candidates {
        let bending = match &found.bending {
            Bending::Strain { words, radius_mm, thickness_mm, .. } => {
                format!("On a radius of {radius_mm} mm at {thickness_mm} mm: {words}.")
            }
            Bending::Refused { why } => format!("Held on the curve: not answered, {why}."),
        };
        text.push(format!(
            "{}, claimed {}: {} ({}). {bending}",
            found.record.id,
            super::record::recorded(&found.record.claimed),
            found.claim.words,
            found.claim.why
        ));
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
        text.push(format!("{parts} beside {}: {}", risk.neighbour, risk.advice));
    }
    let open = ids(from.unsettled.iter().map(|part| part.id.as_str()));
    if !open.is_empty() {
        text.push(format!("Left open, with what to try first further down: {open}."));
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
