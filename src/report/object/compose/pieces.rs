//! What several sections of the report say in the same way.

use super::super::{FigureKind, FigurePlace, LeaveOut, ObjectReport};
use crate::object::{AgeingState, ChlorineList, ChlorineSaid, PartFindings, PartOutcome};
use crate::report::document::{Block, Cell, Document, Mark};

/// The material by symbols alone: "PVC", "PET or PETG", "PC with PDMS".
pub(in crate::report::object) fn material_in_short(part: &PartFindings) -> String {
    match part.outcome {
        PartOutcome::Identified => part.material.clone().unwrap_or_default(),
        PartOutcome::Narrowed => part.candidates.join(" or "),
        PartOutcome::Mixed => {
            let ids: Vec<&str> = part.components.iter().map(|c| c.id.as_str()).collect();
            ids.join(" with ")
        }
        PartOutcome::Classed => {
            part.class.as_ref().map_or_else(String::new, |class| class.name.clone())
        }
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
pub(in crate::report::object) fn change_in_short(state: AgeingState) -> &'static str {
    match state {
        AgeingState::Changed => "changed",
        AgeingState::NoChangeDetected => "none seen",
        AgeingState::TooBlind => "too blind",
        AgeingState::NotTested => "not tested",
        AgeingState::NotCompared => "not compared",
    }
}

/// At how many spots of those measured the answer was found.
pub(in crate::report::object) fn spots(part: &PartFindings) -> String {
    format!("{} of {}", part.agreement.agreeing, part.agreement.measured)
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
