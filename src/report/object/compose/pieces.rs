//! What several sections of the report say in the same way.

use super::super::{FigureKind, FigurePlace, LeaveOut, ObjectReport};
use crate::judge::{ClassAnswer, Component};
use crate::object::{AgeingState, ChlorineList, ChlorineSaid, PartFindings, PartOutcome};
use crate::report::document::{Block, Cell, Document, Mark};
use crate::report::text_tools::list_words;

/// The answer of a part or of one of its faces, by symbols alone.
macro_rules! short {
    ($of:expr) => {
        in_short(
            $of.outcome,
            $of.material.as_deref(),
            &$of.candidates,
            &$of.components,
            $of.class.as_ref(),
        )
    };
}

/// The material by symbols alone: "PVC", "PET or PETG", "PC with PDMS"; of faces that differ each by itself: "PC with PDMS
/// (exposed); PC (covered)".
pub(in crate::report::object) fn material_in_short(part: &PartFindings) -> String {
    match faces_that_differ(part).as_slice() {
        [] => short!(part),
        faces => {
            let each = faces.iter().map(|(what, on)| format!("{what} ({})", list_words(on, "and")));
            each.collect::<Vec<_>>().join("; ")
        }
    }
}

/// The answers of a part of several components whose faces differ, each with its faces; else none.
fn faces_that_differ(part: &PartFindings) -> Vec<(String, Vec<String>)> {
    let mut each: Vec<(String, Vec<String>)> = Vec::new();
    for face in part.faces.iter().filter(|face| face.agreement.judged > 0) {
        let what = short!(face);
        match each.iter_mut().find(|(known, _)| *known == what) {
            Some((_, faces)) => faces.push(face.words.clone()),
            None => each.push((what, vec![face.words.clone()])),
        }
    }
    if part.outcome == PartOutcome::Mixed && each.len() > 1 { each } else { Vec::new() }
}

fn in_short(
    outcome: PartOutcome,
    material: Option<&str>,
    candidates: &[String],
    components: &[Component],
    class: Option<&ClassAnswer>,
) -> String {
    match outcome {
        PartOutcome::Identified => material.unwrap_or_default().to_owned(),
        PartOutcome::Narrowed => candidates.join(" or "),
        PartOutcome::Mixed => {
            let ids: Vec<&str> = components.iter().map(|c| c.id.as_str()).collect();
            ids.join(" with ")
        }
        PartOutcome::Classed => class.map_or_else(String::new, |class| class.name.clone()),
        PartOutcome::NotInTable => "not in the table".to_owned(),
        PartOutcome::NotEnoughSignal => "no answer".to_owned(),
        PartOutcome::SpotsDisagree => "the spots disagree".to_owned(),
        PartOutcome::NotMeasured => "not measured".to_owned(),
    }
}

/// How a part stands to chlorine, in two words.
pub(in crate::report::object) fn chlorine_in_short(part: &PartFindings) -> &'static str {
    if part.outcome == PartOutcome::NotMeasured
        && part.chlorine.said() != ChlorineSaid::ByFluorescence
    {
        return "not measured";
    }
    part.chlorine.said().in_short()
}

/// Whether a part has changed, in two words.
pub(in crate::report::object) fn change_in_short(part: &PartFindings) -> &'static str {
    match part.ageing.state {
        AgeingState::Changed => "changed",
        // A marker that was refused may be the one that changed.
        AgeingState::NoChangeDetected if part.ageing.refused().next().is_some() => "partly tested",
        AgeingState::NoChangeDetected => "none seen",
        AgeingState::TooBlind => "too blind",
        AgeingState::NotTested => "not tested",
        AgeingState::NotCompared => "not compared",
    }
}

/// At how many spots of those measured the answer was found.
pub(in crate::report::object) fn spots(part: &PartFindings) -> String {
    // Of faces that differ each has its own answer, and its own spots behind it.
    let of_faces = part.faces.iter().map(|face| face.agreement.agreeing).sum();
    let differ = !faces_that_differ(part).is_empty();
    let agreeing = if differ { of_faces } else { part.agreement.agreeing };
    format!("{agreeing} of {}", part.agreement.measured)
}

/// The anchor of a part's section.
pub(in crate::report::object) fn anchor(id: &str) -> String {
    let mut out = String::from("part-");
    for character in id.chars() {
        if character.is_ascii_alphanumeric() {
            out.push(character);
        } else {
            // Every other character keeps its number, so that two ids never share an anchor.
            out.push_str(&format!("-{:x}-", u32::from(character)));
        }
    }
    out
}

/// A cell that names a part and leads to its section; `unlinked` takes that away where there is none.
pub(in crate::report::object) fn part_cell(id: &str) -> Cell {
    Cell { text: id.to_owned(), mark: None, link: Some(anchor(id)), ..Cell::default() }
}

/// Adds the figures of a place.
pub(in crate::report::object) fn figures(
    page: &mut Document,
    report: &ObjectReport<'_>,
    place: &FigurePlace,
) {
    for figure in report.figures {
        let kind = match figure.kind {
            FigureKind::ChlorineMap => LeaveOut::ChlorineMap,
            FigureKind::Spectrum => LeaveOut::Spectra,
            FigureKind::Faces => LeaveOut::Faces,
            FigureKind::Markers => LeaveOut::Markers,
        };
        let left = [LeaveOut::Figures, kind].iter().any(|kind| report.without.contains(kind));
        if figure.place == *place && !left {
            page.blocks.push(Block::Figure(figure.figure.clone()));
        }
    }
}

/// "(1) …; (2) …", or the item alone.
pub(in crate::report::object) fn numbered(items: &[String]) -> String {
    match items {
        [one] => one.clone(),
        _ => {
            let items: Vec<String> =
                items.iter().enumerate().map(|(i, t)| format!("({}) {t}", i + 1)).collect();
            items.join("; ")
        }
    }
}

/// The sign of a list: full where chlorine was shown, empty where none was detected.
pub(in crate::report::object) fn mark(list: ChlorineList) -> Mark {
    match list {
        ChlorineList::Shown => Mark::Full,
        ChlorineList::ImpliedOrNotExcluded => Mark::Half,
        ChlorineList::NoneDetected => Mark::Empty,
    }
}
