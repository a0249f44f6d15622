//! The answer in a few words: symbols, chlorine, plasticiser, note. Every writer that has little room
//! says it so.

use std::collections::BTreeSet;

use super::{IdentificationEntry, Stamp};
use crate::fitness::{Finding, Severity};
use crate::judge::{
    ALIKE, BandEvidence, BandState, ChlorineBands, ChlorineByIdentity, Component, Identification,
    Outcome, Plasticiser, Ranked, Relation,
};
use crate::report::text_tools::list_words;
use crate::report::words;

/// What an id of a plasticiser class begins with; the rest is the class.
const PLASTICISER: &str = "plasticiser-";

/// Bands named in one line before they are only counted.
const MOST_PLACES: usize = 4;

/// The words with which the judge's sentences name the place; the screen says it once.
const AT_THIS_SPOT: &str = " at this surface, at this spot";

/// Returns the answer by the symbols of the table: "PVC", "PET or PETG", "PC + PDMS".
pub(super) fn symbols(found: &Identification) -> String {
    match found.outcome {
        Outcome::Identified => {
            let id = found.material.as_deref().unwrap_or("unnamed");
            let mut text = id.to_owned();
            for component in beside(found) {
                text.push_str(" + ");
                text.push_str(&component.id);
            }
            if found.has_unnamed_chlorine() {
                text.push_str(" + C–Cl");
            }
            text
        }
        Outcome::Narrowed => list_words(&found.candidates, "or"),
        Outcome::Mixed => {
            let ids: Vec<&str> = found.components.iter().map(|c| c.id.as_str()).collect();
            ids.join(" + ")
        }
        Outcome::Classed => {
            found.class.as_ref().map_or_else(String::new, |class| format!("{} (class)", class.name))
        }
        Outcome::NotInTable => "not in the table".to_owned(),
        Outcome::NotEnoughSignal => "no answer".to_owned(),
    }
}

/// Returns the answer's ids, each told by name below the symbols; empty where the sentence says it all.
pub(super) fn named<'a>(found: &'a Identification, stamp: &'a Stamp) -> Vec<(&'a str, &'a str)> {
    let pair = |id: &'a str| (id, stamp.name(id));
    match found.outcome {
        Outcome::Identified => found.material.iter().map(|id| pair(id)).collect(),
        Outcome::Narrowed => found.candidates.iter().map(|id| pair(id)).collect(),
        Outcome::Mixed | Outcome::Classed | Outcome::NotInTable | Outcome::NotEnoughSignal => {
            Vec::new()
        }
    }
}

/// Returns what kind of answer it is, in a sentence.
pub(super) fn kind(found: &Identification) -> String {
    let base = has_base(found);
    match found.outcome {
        Outcome::Identified
            if base
                && !lacks_required(found)
                && !found.has_unnamed_chlorine()
                && found.strong_unexplained().is_none() =>
        {
            "Named by its bands, of this surface at this spot.".to_owned()
        }
        Outcome::Narrowed => {
            "The bands tested fit each of them; not told apart on this spectrum.".to_owned()
        }
        // These the values alone do not tell: what was not tested, which look-alikes a component has, what it
        // resembles, why.
        Outcome::Identified
        | Outcome::Mixed
        | Outcome::Classed
        | Outcome::NotInTable
        | Outcome::NotEnoughSignal => found.sentence.replace(AT_THIS_SPOT, ""),
    }
}

/// Whether a band required of what is named could not be tested.
fn lacks_required(found: &Identification) -> bool {
    found.components.first().is_some_and(|main| main.required_untested().next().is_some())
}

/// Whether a polymer or fibre is named.
pub(super) fn has_base(found: &Identification) -> bool {
    found.components.is_empty()
        || found.components.iter().any(|c| matches!(c.role.as_str(), "polymer" | "fibre"))
}

/// The short form of an id: of a plasticiser its class.
pub(super) fn short(id: &str) -> &str {
    id.strip_prefix(PLASTICISER).unwrap_or(id)
}

/// What lies in or on the one material, plasticisers apart: they have their own line.
pub(super) fn beside(found: &Identification) -> impl Iterator<Item = &Component> {
    let further = found.components.iter().filter(|c| c.relation != Relation::Main);
    further.filter(|c| found.plasticiser.is_none() || !c.id.starts_with(PLASTICISER))
}

/// Returns the chlorine finding in three words at most.
pub(super) fn chlorine(found: &Identification) -> &'static str {
    match (found.chlorine.bands, found.chlorine.by_identity) {
        (ChlorineBands::Present, _) => "Cl by bands",
        (ChlorineBands::NotDetected | ChlorineBands::CannotTell, ChlorineByIdentity::Yes) => {
            "Cl by name"
        }
        (ChlorineBands::NotDetected, ChlorineByIdentity::No) => "no Cl found",
        (ChlorineBands::NotDetected, ChlorineByIdentity::Open) => "Cl open",
        // The place was measured, and what stands there decides nothing.
        (ChlorineBands::CannotTell, _) if !found.chlorine.why.starts_with(NOT_TESTABLE) => {
            "Cl unclear"
        }
        (ChlorineBands::CannotTell, _) => "Cl not tested",
    }
}

/// What the reason begins with where range, noise or a mask kept C–Cl from being tested.
const NOT_TESTABLE: &str = "not testable because ";

/// Returns the chlorine finding with its reason, in a line or two.
pub(super) fn chlorine_line(entry: &IdentificationEntry, found: &Identification) -> String {
    let why = found.chlorine.why.trim_end_matches('.');
    let untested =
        stops_short(entry).unwrap_or_else(|| why.trim_start_matches(NOT_TESTABLE).to_owned());
    chlorine_words((found.chlorine.bands, found.chlorine.by_identity), why, &untested)
}

fn chlorine_words(found: (ChlorineBands, ChlorineByIdentity), why: &str, untested: &str) -> String {
    match found {
        (ChlorineBands::Present, ChlorineByIdentity::No) => {
            format!("by bands, although no material named carries it; {why}")
        }
        (ChlorineBands::Present, _) => format!("by bands; {why}"),
        (ChlorineBands::NotDetected, ChlorineByIdentity::Yes) => {
            format!("by name, although its bands are not found; {why}")
        }
        (ChlorineBands::NotDetected, ChlorineByIdentity::No) => {
            format!("none found {}", why.trim_start_matches("not detected "))
        }
        (ChlorineBands::NotDetected, ChlorineByIdentity::Open) => {
            format!("its bands are not found, the material leaves it open; {why}")
        }
        (ChlorineBands::CannotTell, by) => {
            let (start, of) = match by {
                ChlorineByIdentity::Yes => ("by name; ", " by bands"),
                ChlorineByIdentity::No => ("not implied by the material; ", " by bands"),
                ChlorineByIdentity::Open => ("", ""),
            };
            let state = if why.starts_with(NOT_TESTABLE) { "not tested" } else { "cannot be told" };
            format!("{start}{state}{of}: {untested}")
        }
    }
}

/// "the spectrum stops at 600 cm⁻¹, needs 580", where that is why C–Cl could not be tested.
fn stops_short(entry: &IdentificationEntry) -> Option<String> {
    let finding = entry.findings.iter().find(|finding| finding.id == "c-cl-613")?;
    let (low, needed) = (finding.value?, finding.limit?);
    let not_testable =
        finding.severity != Severity::Note && finding.consequence.starts_with("not ");
    (not_testable && low > needed)
        .then(|| format!("the spectrum stops at {low:.0} cm⁻¹, needs {needed:.0}"))
}

/// Returns the plasticiser finding in two words at most.
pub(super) fn plasticiser(found: &Identification) -> String {
    match &found.plasticiser {
        None => "–".to_owned(),
        Some(Plasticiser::NoneSeen) => "none seen".to_owned(),
        Some(Plasticiser::Class { id }) => short(id).to_owned(),
        Some(Plasticiser::UnresolvedEster) => "an ester".to_owned(),
        Some(Plasticiser::UnresolvedCarbonyl) => "a carbonyl".to_owned(),
        Some(Plasticiser::Several { .. }) => "several".to_owned(),
        Some(Plasticiser::NotTestable { .. }) => "not tested".to_owned(),
    }
}

/// What the columns of [`row`] hold.
pub(super) const ROW: [&str; 5] = ["Spectrum", "Made of", "Chlorine", "Plasticiser", "Note"];

/// Returns an entry in one row of a list: the file, then what was found in a word or two.
pub(super) fn row(entry: &IdentificationEntry) -> [String; 5] {
    let place = entry.place(&entry.file);
    match (&entry.identification, &entry.error) {
        (Some(found), _) => {
            [place, symbols(found), chlorine(found).to_owned(), plasticiser(found), note(entry)]
        }
        (None, error) => {
            let why = error.as_deref().unwrap_or("no reason is known");
            [place, "not judged".into(), "not tested".into(), "–".into(), why.into()]
        }
    }
}

/// Returns what a reader of one line must know besides: the gravest first.
pub(super) fn note(entry: &IdentificationEntry) -> String {
    let Some(found) = &entry.identification else { return String::new() };
    let mut notes: Vec<String> = cautions(entry).map(words::finding_name).collect();
    if lacks_required(found) {
        notes.push("required band not tested".to_owned());
    }
    if !found.unexplained.is_empty() {
        notes.push(format!("{} unexplained", found.unexplained.len()));
    }
    let absent = entry.evidence(0).first().map_or(0, |(_, bands)| count(bands, BandState::Missing));
    if absent > 0 {
        notes.push(format!("{absent} not found"));
    }
    let said: BTreeSet<&str> = entry.warnings.iter().map(|w| w.id.as_str()).collect();
    for id in said.into_iter().filter(|id| *id != MODE_ASSUMED) {
        notes.push(id.replace('-', " "));
    }
    notes.join("; ")
}

/// The warning that the line on the measurement says already, with its "assumed".
pub(super) const MODE_ASSUMED: &str = "mode-assumed";

/// The warnings that a word on the unit, the file's or the user's, is against the values or the file.
pub(super) const OF_UNIT: [&str; 2] = [crate::spectrum::ORDINATE_DOUBTFUL, "ordinate-overridden"];

/// Findings that limit what may be said, without those that the chlorine line says already.
pub(super) fn cautions(entry: &IdentificationEntry) -> impl Iterator<Item = &Finding> {
    entry.limits().filter(|finding| !finding.id.starts_with("c-cl-"))
}

/// How it was measured, in which unit and range, and where that is known from; nothing of what was not read.
pub(super) fn measured(entry: &IdentificationEntry) -> Option<String> {
    Some(words::measured(entry.mode?, entry.ordinate?, entry.range_cm1?))
}

/// How many bands are in a state.
pub(super) fn count(bands: &[BandEvidence], state: BandState) -> usize {
    bands.iter().filter(|band| band.state == state).count()
}

/// Which bands were found: "4 of 6 bands found; not found 1254 and 635; not testable 590".
pub(super) fn bands_found(bands: &[BandEvidence]) -> String {
    let (met, absent) = (count(bands, BandState::Met), count(bands, BandState::Missing));
    let mut text = format!("{met} of {} bands found", met + absent);
    for (word, state) in
        [("not found", BandState::Missing), ("not testable", BandState::Untestable)]
    {
        if count(bands, state) > 0 {
            text.push_str(&format!("; {word} {}", places(bands, state)));
        }
    }
    text
}

/// What the whole curve says, in words; nothing where it could not be compared.
pub(super) fn curve(found: &Identification) -> Option<String> {
    let shape = found.shape.as_ref()?;
    let of = |materials: &[String]| list_words(materials, "or");
    let parts: Vec<String> = shape.sum.iter().map(|part| of(&part.materials)).collect();
    Some(match parts.as_slice() {
        [] if shape.similarity < ALIKE => {
            format!("unlike every measured shape; nearest {}", of(&shape.materials))
        }
        [] => format!("like the measured shape of {}", of(&shape.materials)),
        [one] => format!("like the measured shape of {one}"),
        several => format!("a sum of the measured shapes of {}", list_words(several, "and")),
    })
}

/// The rivals, nearest first: what stands among the first `top` of the ranking and is not named.
pub(super) fn rivals(found: &Identification, top: usize) -> Vec<&Ranked> {
    let named = |id: &String| {
        found.material.as_ref() == Some(id)
            || found.candidates.contains(id)
            || found.components.iter().any(|c| c.id == *id)
    };
    let ranked = found.ranking.iter().take(top);
    let mut rivals: Vec<&Ranked> = ranked.filter(|r| !named(&r.material)).collect();
    rivals.sort_by(|a, b| b.score.total_cmp(&a.score));
    rivals
}

/// A rival in words: "VCVAC, 3 of 8 bands not found: 1740, 1240 and 1020".
pub(super) fn rival(ranked: &Ranked) -> String {
    let bands = &ranked.evidence;
    let (met, absent) = (count(bands, BandState::Met), count(bands, BandState::Missing));
    if bands.is_empty() {
        return ranked.material.clone();
    }
    if met + absent == 0 {
        return format!("{}, none of its bands testable", ranked.material);
    }
    if absent == 0 && met == 1 {
        return format!("{}, of which one band alone was tested", ranked.material);
    }
    if absent == 0 {
        return format!("{}, all of its {met} bands tested were found", ranked.material);
    }
    format!(
        "{}, {absent} of {} bands not found: {}",
        ranked.material,
        met + absent,
        places(bands, BandState::Missing)
    )
}

/// The places of the bands in a state: "1254 and 635", "1254, 966, 635, 613 and 2 more".
pub(super) fn places(bands: &[BandEvidence], state: BandState) -> String {
    let of_state = || bands.iter().filter(|band| band.state == state);
    let mut places: Vec<String> =
        of_state().take(MOST_PLACES).map(|band| format!("{:.0}", band.expected_cm1)).collect();
    let more = of_state().count().saturating_sub(MOST_PLACES);
    if more > 0 {
        places.push(format!("{more} more"));
    }
    list_words(&places, "and")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ranked(material: &str, score: f64, states: &[BandState]) -> Ranked {
        let band = |state: &BandState| BandEvidence {
            band: String::new(),
            expected_cm1: 1000.0,
            assignment: String::new(),
            required: false,
            state: *state,
            found_cm1: None,
            share: None,
            note: String::new(),
            depth_um: None,
            status: String::new(),
        };
        Ranked { material: material.into(), score, evidence: states.iter().map(band).collect() }
    }

    #[test]
    fn chlorine_that_cannot_be_told_is_never_called_absent() {
        for by in [ChlorineByIdentity::Yes, ChlorineByIdentity::No, ChlorineByIdentity::Open] {
            for (why, state) in [
                ("not testable because no data", "not tested"),
                ("a band at 610 cm⁻¹ is not accounted for", "cannot be told"),
            ] {
                let reason = why.trim_start_matches(NOT_TESTABLE);
                let said = chlorine_words((ChlorineBands::CannotTell, by), why, reason);
                assert!(said.ends_with(&format!(": {reason}")) && said.contains(state), "{said}");
                assert!(!said.contains("found") && !said.starts_with("by bands"), "{said}");
            }
        }
    }

    #[test]
    fn a_rival_is_told_by_its_absent_bands_among_those_that_could_be_tested() {
        use BandState::{Met, Missing, Untestable};
        let rival_of = |states: &[BandState]| rival(&ranked("VCVAC", 0.6, states));
        assert_eq!(
            rival_of(&[Met, Missing, Missing, Untestable]),
            "VCVAC, 2 of 3 bands not found: 1000 and 1000"
        );
        assert_eq!(rival_of(&[Met, Met]), "VCVAC, all of its 2 bands tested were found");
        // One band found speaks neither for it nor against it.
        assert_eq!(rival_of(&[Met]), "VCVAC, of which one band alone was tested");
        assert_eq!(rival_of(&[Untestable]), "VCVAC, none of its bands testable");
    }
}
