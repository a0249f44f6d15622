//! Which neighbours a part may harm, by the sourced pair rules of the table.

use super::acid::{self, Reading};
use super::plain;
use super::record::{Manifest, NeighbourRecord, recorded, says_something};
use super::result::{ChlorineList, ChlorineSaid, NeighbourRisk, PartFindings, RecordedNeighbour};
use crate::judge::Plasticiser;
use crate::tables::{Hazard, MaterialRole, NeighbourKind, NeighbourRule, Tables};

/// Returns every pair of part and neighbour that a rule speaks of, the nearest first.
pub(super) fn at_risk(
    manifest: &Manifest,
    parts: &[PartFindings],
    tables: &Tables,
) -> Vec<NeighbourRisk> {
    let mut risks = Vec::new();
    for neighbour in &manifest.neighbours {
        for part in parts.iter().filter(|part| part.claim.is_none()) {
            let named = neighbour.beside.is_empty() || neighbour.beside.contains(&part.id);
            if !named || neighbour.is_part.as_deref() == Some(part.id.as_str()) {
                continue;
            }
            match neighbour.is_part.as_deref().and_then(|id| parts.iter().find(|p| p.id == id)) {
                // Two parts of the object: each may harm the other.
                Some(other) => {
                    one_way(part, &Stands::part(other), neighbour, tables, &mut risks);
                    one_way(other, &Stands::part(part), neighbour, tables, &mut risks);
                }
                None => {
                    if let Some(kind) = neighbour.material {
                        let stands =
                            Stands { name: neighbour.name.clone(), kind, materials: Vec::new() };
                        one_way(part, &stands, neighbour, tables, &mut risks);
                    }
                }
            }
        }
    }
    for neighbour in &manifest.neighbours {
        for sheet in parts.iter().filter(|part| part.claim.is_some()) {
            let replaces = replaced_by(sheet, manifest);
            match &neighbour.is_part {
                None => {
                    if let Some(kind) = neighbour.material
                        && would_stand_beside(neighbour, replaces)
                    {
                        let name = neighbour.name.clone();
                        let stands = Stands { name, kind, materials: Vec::new() };
                        one_way(sheet, &stands, neighbour, tables, &mut risks);
                    }
                }
                Some(_) => {
                    for other in parts_beside(neighbour, replaces) {
                        let Some(other) = parts.iter().find(|part| part.id == *other) else {
                            continue;
                        };
                        one_way(sheet, &Stands::part(other), neighbour, tables, &mut risks);
                    }
                }
            }
        }
    }
    risks.sort_by_key(|risk| risk.nearness);
    risks
}

/// The parts that a sheet would replace.
pub(super) fn replaced_by<'a>(sheet: &PartFindings, manifest: &'a Manifest) -> &'a [String] {
    let record = manifest.candidates.iter().find(|record| record.id == sheet.id);
    record.map_or(&[], |record| record.replaces.as_slice())
}

/// Whether a sheet in the place of these parts would stand beside a neighbour; one without a list stands beside all.
pub(super) fn would_stand_beside(neighbour: &NeighbourRecord, replaces: &[String]) -> bool {
    neighbour.beside.is_empty() || replaces.iter().any(|id| neighbour.beside.contains(id))
}

/// The parts beside a sheet in the place of others, of a neighbour that is a part: it, or what stands beside it where
/// it is the one replaced.
pub(super) fn parts_beside<'a>(
    neighbour: &'a NeighbourRecord,
    replaces: &[String],
) -> Vec<&'a String> {
    let Some(itself) = &neighbour.is_part else { return Vec::new() };
    if replaces.contains(itself) {
        neighbour.beside.iter().filter(|id| !replaces.contains(id)).collect()
    } else if would_stand_beside(neighbour, replaces) {
        vec![itself]
    } else {
        Vec::new()
    }
}

/// Returns the neighbours with the parts beside them that no rule speaks of, in the manifest's order.
pub(super) fn without_rule(
    manifest: &Manifest,
    parts: &[PartFindings],
    risks: &[NeighbourRisk],
) -> Vec<RecordedNeighbour> {
    let mut recorded = Vec::new();
    for neighbour in &manifest.neighbours {
        let other = neighbour.is_part.as_deref().and_then(|id| parts.iter().find(|p| p.id == id));
        let name = match (other, &neighbour.is_part) {
            (Some(other), _) => other.title(),
            (None, Some(id)) => id.clone(),
            (None, None) => neighbour.name.clone(),
        };
        let spoken_of = |part: &PartFindings| {
            risks.iter().any(|risk| {
                (risk.part == part.id && risk.neighbour == name)
                    || (Some(risk.part.as_str()) == neighbour.is_part.as_deref()
                        && risk.neighbour == part.title())
            })
        };
        let beside: Vec<String> = parts
            .iter()
            .filter(|part| part.claim.is_none())
            .filter(|part| neighbour.beside.is_empty() || neighbour.beside.contains(&part.id))
            .filter(|part| neighbour.is_part.as_deref() != Some(part.id.as_str()))
            .filter(|part| !spoken_of(part))
            .map(|part| part.id.clone())
            .collect();
        if !beside.is_empty() {
            recorded.push(RecordedNeighbour {
                neighbour: name,
                nearness: neighbour.nearness,
                parts: beside,
                seen: neighbour.seen.clone(),
            });
        }
    }
    recorded
}

/// What stands beside a part.
struct Stands {
    name: String,
    kind: NeighbourKind,
    materials: Vec<String>,
}

impl Stands {
    fn part(part: &PartFindings) -> Self {
        Self {
            name: part.title(),
            kind: NeighbourKind::Plastic,
            materials: part.possible_materials(),
        }
    }
}

fn one_way(
    part: &PartFindings,
    stands: &Stands,
    neighbour: &NeighbourRecord,
    tables: &Tables,
    risks: &mut Vec<NeighbourRisk>,
) {
    for rule in tables.neighbours() {
        let from = speaks_of(rule, part, tables);
        // A foam, or what is recorded as a plastic and no more, may be any of those that a plasticiser enters.
        let may_be_any = stands.materials.is_empty() && rule.hazard == Hazard::Plasticiser;
        let onto = rule.neighbour == stands.kind
            && (rule.neighbour_materials.is_empty()
                || may_be_any
                || stands.materials.iter().any(|id| rule.neighbour_materials.contains(id)));
        // What reaches across a case reaches what touches, too.
        let near = rule.relations.iter().any(|relation| neighbour.nearness <= *relation);
        if from
            && onto
            && near
            && let Some(passes) = passes_over(rule, part, tables)
        {
            risks.push(risk(rule, passes, part, stands, neighbour, tables));
        }
    }
}

/// Returns whether a rule speaks of a part: of a material that it may be or, where the acid comes of the chlorine in
/// all of them, of a part that contains chlorine or is not known to contain none.
pub(super) fn speaks_of(rule: &NeighbourRule, part: &PartFindings, tables: &Tables) -> bool {
    let possible = part.possible_materials();
    possible.iter().any(|id| rule.from.contains(id))
        || by_chlorine(rule, tables) && part.chlorine.list != ChlorineList::NoneDetected
}

/// Whether the hazard of a rule is the acid that chlorine gives: every material that it speaks of contains it.
fn by_chlorine(rule: &NeighbourRule, tables: &Tables) -> bool {
    let chlorinated = |id: &String| tables.material(id).is_some_and(|material| material.chlorine);
    rule.hazard == Hazard::Acid && !rule.from.is_empty() && rule.from.iter().all(chlorinated)
}

/// Whether a part has what passes over to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Passes {
    /// It has, or the rule asks for nothing but the material.
    Over,
    /// It may have: nothing that was measured tells.
    NotExcluded,
}

/// Whether the part has what the rule says passes over: rigid PVC has no plasticiser to lose.
fn passes_over(rule: &NeighbourRule, part: &PartFindings, tables: &Tables) -> Option<Passes> {
    match rule.hazard {
        Hazard::Acid | Hazard::Sulphur => return Some(Passes::Over),
        Hazard::Plasticiser | Hazard::Offset => {}
    }
    match &part.plasticiser {
        Some(Plasticiser::NoneSeen) => None,
        Some(
            Plasticiser::Class { .. } | Plasticiser::Several { .. } | Plasticiser::UnresolvedEster,
        ) => Some(Passes::Over),
        None if plasticised(part, tables) => Some(Passes::Over),
        // Of most materials no plasticiser is looked for; where one may be and none was, it is open.
        None => {
            let mut possible = part.possible_materials().into_iter();
            possible
                .any(|id| tables.has_role(&id, MaterialRole::MayBePlasticised))
                .then_some(Passes::NotExcluded)
        }
        Some(_) => Some(Passes::NotExcluded),
    }
}

/// Returns whether a plasticiser was found in a part, or could not be ruled out.
pub(super) fn plasticised(part: &PartFindings, tables: &Tables) -> bool {
    match &part.plasticiser {
        Some(Plasticiser::NoneSeen) => false,
        Some(_) => true,
        None => part.components.iter().any(|c| tables.has_role(&c.id, MaterialRole::Plasticiser)),
    }
}

/// What advice on the acid of chlorine begins with where no chlorine was shown.
pub(super) const NOT_EXCLUDED: &str = "Chlorine not excluded; ";

fn risk(
    rule: &NeighbourRule,
    passes: Passes,
    part: &PartFindings,
    stands: &Stands,
    neighbour: &NeighbourRecord,
    tables: &Tables,
) -> NeighbourRisk {
    let known = by_chlorine(rule, tables).then(|| part.chlorine.said());
    // The table's sentence is of the acid; whether there is chlorine to give it is the part's own.
    let open = passes == Passes::NotExcluded;
    let why = match known {
        None if open => "a plasticiser is not excluded. ",
        None => "",
        Some(said) if said.contains() => "contains chlorine. ",
        Some(ChlorineSaid::NoneDetected) => {
            "no chlorine was detected, but a material that it may be contains it. "
        }
        Some(_) => "chlorine not excluded. ",
    };
    let is_sheet = part.claim.is_some();
    let used = if is_sheet { ", if used" } else { "" };
    let mut words = format!("{}{used}: {why}{}", part.title(), rule.risk);
    let mut advice = rule.advice.clone();
    if is_sheet {
        // No harm can have been done yet, and no indicator have been read.
        let small = plain::first_small(&rule.advice);
        advice = match known {
            Some(said) if said.contains() => format!("Contains chlorine; if used, {small}"),
            None if open => format!("Plasticiser not excluded; if used, {small}"),
            Some(ChlorineSaid::NoneDetected) | None => format!("If used, {small}"),
            Some(_) => format!("Chlorine not excluded; if used, {small}"),
        };
    } else if open {
        advice = format!("Plasticiser not excluded; {}", plain::first_small(&advice));
    } else if rule.hazard == Hazard::Acid {
        let indicator = &part.record.acid_indicator;
        let reading = acid::reading(&part.record);
        advice = acid::advice(&reading, &rule.advice);
        if known.is_some_and(|said| !said.contains() && said != ChlorineSaid::NoneDetected) {
            advice = format!("{NOT_EXCLUDED}{}", plain::first_small(&advice));
        }
        if reading == Reading::NotRecorded {
            words.push_str(" No acid-indicator result is recorded");
            if !says_something(&neighbour.seen) {
                words.push('.');
            } else {
                words.push_str(&format!(
                    ", so that what was seen on {} ({}) is not explained here.",
                    neighbour.name, neighbour.seen
                ));
            }
        } else {
            words.push_str(&format!(
                " Acid indicator: {}; pH: {} (the examiner's entries).",
                recorded(indicator),
                recorded(&part.record.ph)
            ));
        }
    }
    NeighbourRisk {
        part: part.id.clone(),
        neighbour: stands.name.clone(),
        neighbour_material: stands.kind.as_str().replace('-', " "),
        nearness: neighbour.nearness,
        rule: rule.id.clone(),
        words,
        advice,
        source: rule.sourcing.printed().to_owned(),
        status: rule.sourcing.status.as_str().to_owned(),
    }
}

/// Says of a phthalate on a part beside soft PVC that it may not be the part's own.
pub(super) fn migrated_plasticiser(
    manifest: &Manifest,
    parts: &[PartFindings],
    tables: &Tables,
) -> Vec<(String, String)> {
    let soft_pvc = |id: &str| {
        parts.iter().find(|p| p.id == id && p.plasticiser.is_some() && plasticised(p, tables))
    };
    let mut notes = Vec::new();
    for neighbour in &manifest.neighbours {
        let Some(other) = neighbour.is_part.as_deref() else { continue };
        for id in &neighbour.beside {
            for (here, there) in [(id.as_str(), other), (other, id.as_str())] {
                let Some(part) = parts.iter().find(|p| p.id == here) else { continue };
                let carries = part.plasticiser.is_none() && plasticised(part, tables);
                if carries && soft_pvc(there).is_some() {
                    notes.push((
                        here.to_owned(),
                        format!(
                            "the plasticiser found here may have migrated from {there} beside it, \
                             or be its own"
                        ),
                    ));
                }
            }
        }
    }
    notes
}
