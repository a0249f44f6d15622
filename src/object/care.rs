//! Care notes for what was found, conflicts of advice shown as conflicts.

use std::collections::BTreeMap;

use super::result::{CareAdvice, PartFindings};
use crate::tables::{CareNote, CareTopic, Tables};

/// Returns the care notes for every material that a part may be, and the general ones once.
///
/// Notes on replacing stand with the candidate sheets and are left out here unless a candidate may
/// be that material.
pub(super) fn advice(parts: &[PartFindings], tables: &Tables) -> Vec<CareAdvice> {
    let mut concerned: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut offered: Vec<String> = Vec::new();
    for part in parts {
        for id in part.possible_materials() {
            if part.claim.is_some() {
                offered.push(id);
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
            let wanted = if note.topic == CareTopic::Replacement {
                offered.contains(material).then(Vec::new)
            } else {
                concerned.get(material).cloned()
            };
            if let Some(parts) = wanted {
                advice.push(one(note, material, parts, tables));
            }
        }
    }
    advice.sort_by(|a, b| {
        (a.material.is_empty(), &a.material).cmp(&(b.material.is_empty(), &b.material))
    });
    advice
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
