//! Care notes for what was found, conflicts of advice shown as conflicts.

use std::collections::BTreeMap;

use super::plain;
use super::result::{CareAdvice, ChlorineSaid, PartFindings};
use crate::tables::{CareNote, CareTopic, Tables};

/// Returns the care notes for every material that a part may be, and the general ones once.
///
/// Notes on replacing stand with the candidate sheets and are left out here unless a candidate may
/// be that material.
pub(super) fn advice(parts: &[PartFindings], tables: &Tables) -> Vec<CareAdvice> {
    let mut concerned: BTreeMap<String, Vec<String>> = BTreeMap::new();
    // Of each material that a sheet is, the sheets for which a note on replacing does not speak, as their chlorine is
    // open.
    let mut offered: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for part in parts {
        for id in part.possible_materials() {
            if part.claim.is_some() {
                match speaks_for(&id, part, tables) {
                    Speaks::For => {
                        offered.entry(id).or_default();
                    }
                    Speaks::Open => offered.entry(id).or_default().push(part.id.clone()),
                    Speaks::Not => {}
                }
            } else {
                concerned.entry(id).or_default().push(part.id.clone());
            }
        }
    }
    let mut advice = Vec::new();
    // A source that does not carry a statement carries no advice.
    for note in tables.care().iter().filter(|note| note.sourcing.carries_advice()) {
        if note.materials.is_empty() {
            advice.push(one(note, "", Vec::new(), tables));
            continue;
        }
        for material in &note.materials {
            if note.topic == CareTopic::Replacement {
                let Some(open) = offered.get(material) else { continue };
                let mut one = one(note, material, Vec::new(), tables);
                if !open.is_empty() {
                    let open = plain::list(open);
                    one.advice = format!("{} {}", open_chlorine(&open), one.advice);
                }
                advice.push(one);
            } else if let Some(parts) = concerned.get(material).cloned() {
                advice.push(one(note, material, parts, tables));
            }
        }
    }
    advice.sort_by(|a, b| {
        (a.material.is_empty(), &a.material).cmp(&(b.material.is_empty(), &b.material))
    });
    advice
}

/// How far a note on a material speaks of a sheet in which it was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Speaks {
    /// It is of this sheet.
    For,
    /// Chlorine is not excluded in the sheet: it may be more than this material.
    Open,
    /// The sheet contains chlorine and the material does not: it is more than this material.
    Not,
}

/// Returns how far a note on a material speaks of a sheet.
pub(super) fn speaks_for(material: &str, sheet: &PartFindings, tables: &Tables) -> Speaks {
    let said = sheet.chlorine.said();
    if said == ChlorineSaid::NoneDetected || tables.material(material).is_some_and(|m| m.chlorine) {
        Speaks::For
    } else if said.contains() {
        Speaks::Not
    } else {
        Speaks::Open
    }
}

/// What stands before a note that may not be of the sheets.
pub(super) fn open_chlorine(sheets: &str) -> String {
    format!(
        "Chlorine is not excluded in {sheets}: this note of the material does not speak for it."
    )
}

fn one(note: &CareNote, material: &str, parts: Vec<String>, tables: &Tables) -> CareAdvice {
    let conflicts_with = note
        .conflicts_with
        .iter()
        .filter_map(|id| tables.care().iter().find(|other| other.id == *id))
        .filter(|other| other.sourcing.carries_advice())
        .map(|other| other.advice.clone())
        .collect();
    CareAdvice {
        material: material.to_owned(),
        parts,
        topic: note.topic.as_str().replace('-', " "),
        advice: note.advice.clone(),
        conflicts_with,
        source: note.sourcing.printed().to_owned(),
        status: note.sourcing.status.as_str().to_owned(),
    }
}
