//! What was left open, and what to try, in order.

use super::plain;
use super::record::XrfChlorine;
use super::result::{ChlorineList, ChlorineSaid, PartFindings, PartOutcome, UnsettledPart};
use crate::fitness::{Finding, Severity};
use crate::judge::ChlorineBands;
use crate::tables::{Tables, in_permission};

/// Findings on the spectra that are named for a part; more of them stand with the checks.
const MOST_REASONS: usize = 2;

/// Returns the open question of a part with its remedies, or `None` where nothing is open; `unused` is why the first
/// of its files that were left out could not be used.
pub(super) fn question(
    part: &PartFindings,
    unused: Option<&str>,
    tables: &Tables,
) -> Option<UnsettledPart> {
    // Nothing of it was read: before its files are mended nothing else helps.
    let unread = unused.filter(|_| part.faces.is_empty());
    let mut open = Vec::new();
    match part.outcome {
        PartOutcome::Identified => {}
        PartOutcome::Mixed => {
            let unknown = unknown_faces(part);
            if !unknown.is_empty() {
                let faces = plain::list(&unknown);
                open.push(format!("no material of the table fits the spots of {faces}"));
            }
        }
        PartOutcome::Narrowed => {
            open.push(format!("which of {}", part.candidates.join(", ")));
        }
        PartOutcome::Classed => {
            let class = part.class.as_ref().map_or("the class", |class| class.name.as_str());
            open.push(format!("which {class}"));
        }
        PartOutcome::NotInTable => open.push("no material of the table fits".to_owned()),
        PartOutcome::NotEnoughSignal => {
            let reasons: Vec<&str> = faults(part).iter().map(|f| f.consequence.as_str()).collect();
            open.push(match unread {
                Some(why) => format!("{} ({why})", part.agreement.words),
                None if reasons.is_empty() => "no spot could be judged".to_owned(),
                None => format!("no spot could be judged ({})", reasons.join("; ")),
            });
        }
        PartOutcome::SpotsDisagree => {
            open.push(format!("spots disagree: {}", part.agreement.words))
        }
        PartOutcome::NotMeasured => open.push("there is no spectrum of it to judge".to_owned()),
    }
    let chlorine_open = part.chlorine.list == ChlorineList::ImpliedOrNotExcluded;
    if chlorine_open {
        open.push(
            match part.chlorine.said() {
                ChlorineSaid::ByName => "chlorine is implied but not shown",
                ChlorineSaid::NotTested => {
                    "chlorine is not implied by the material, but its bands cannot tell"
                }
                _ => "chlorine is not excluded",
            }
            .to_owned(),
        );
    }
    let refused: Vec<&str> = part.ageing.refused().map(|m| m.words.as_str()).collect();
    if !refused.is_empty() {
        open.push(format!(
            "a marker named beforehand could not be compared ({})",
            refused.join("; ")
        ));
    }
    if open.is_empty() {
        return None;
    }
    Some(UnsettledPart {
        id: part.id.clone(),
        open: open.join("; "),
        remedies: remedies(part, unread.is_some(), chlorine_open, tables),
    })
}

/// The faces of which no material is named, beside others of which one is: something may lie on them.
fn unknown_faces(part: &PartFindings) -> Vec<String> {
    let unknown = part.faces.iter().filter(|face| face.outcome == PartOutcome::NotInTable);
    unknown.map(|face| face.words.clone()).collect()
}

/// What makes the spectra of a part unfit, or limits them, the worst first; each once.
fn faults(part: &PartFindings) -> Vec<&Finding> {
    let mut found: Vec<&Finding> = Vec::new();
    for severity in [Severity::Unfit, Severity::Limits] {
        for finding in part
            .faces
            .iter()
            .flat_map(|face| &face.spots)
            .flat_map(|spot| &spot.fitness)
            .filter(|finding| finding.severity == severity && !finding.consequence.is_empty())
        {
            if found.len() < MOST_REASONS && found.iter().all(|f| f.id != finding.id) {
                found.push(finding);
            }
        }
        // What only limits a spectrum is no reason where another finding stops it.
        if !found.is_empty() {
            break;
        }
    }
    found
}

/// The ways to settle a part, the surest first: what tells look-alikes apart, then what mends the
/// spectrum by its own reason; another spot only where no reason is known.
fn remedies(
    part: &PartFindings,
    unread: bool,
    chlorine_open: bool,
    tables: &Tables,
) -> Vec<String> {
    let spots = || part.faces.iter().flat_map(|face| &face.spots);
    let identity_open = match part.outcome {
        PartOutcome::Identified => false,
        PartOutcome::Mixed => !unknown_faces(part).is_empty(),
        _ => true,
    };
    let mut remedies = Vec::new();
    let way = spots().find_map(|s| s.identification.unsettled.as_ref()).filter(|_| identity_open);
    if let Some(way) = way {
        let way = format!("{} ({})", in_permission(&way.settled_by), way.feature);
        // The first way is read alone: it must not leave out what else is open.
        remedies.push(match chlorine_ways(part, tables).next() {
            Some(first) if chlorine_open => format!("{way}; for chlorine {first}"),
            _ => way,
        });
    }
    if unread {
        remedies
            .push("its rows of the manifest or its files mended, as the reason says".to_owned());
    } else if part.outcome == PartOutcome::NotMeasured {
        remedies.push("a spectrum of it".to_owned());
    } else if identity_open {
        let faults = match part.outcome {
            PartOutcome::NotEnoughSignal | PartOutcome::NotInTable => faults(part),
            _ => Vec::new(),
        };
        for fault in faults.iter().filter(|fault| !fault.remedy.is_empty()) {
            if !remedies.contains(&fault.remedy) {
                remedies.push(fault.remedy.clone());
            }
        }
        if remedies.is_empty() {
            remedies.push("another spot".to_owned());
        }
        let contact = remedies.iter().any(|r| r.contains("contact") || r.contains("press"));
        if part.outcome == PartOutcome::NotEnoughSignal && (contact || faults.is_empty()) {
            remedies.push(
                "better contact, but never by clamping a split, crazed, tacky or coated area"
                    .to_owned(),
            );
        }
    }
    // A longer range comes before what needs another instrument, pressing anew beside it.
    remedies.extend(longer_range(part, tables).filter(|_| chlorine_open));
    if part.ageing.refused().next().is_some() {
        remedies.push("both faces pressed again, alike, and compared anew".to_owned());
    }
    remedies.extend(fluorescence(part).filter(|_| chlorine_open));
    if identity_open {
        remedies.push("Raman spectroscopy".to_owned());
    }
    remedies.push("a laboratory; no flame test on the object".to_owned());
    remedies
}

/// What settles whether a part contains chlorine, in the order to try.
pub(super) fn chlorine_ways(part: &PartFindings, tables: &Tables) -> impl Iterator<Item = String> {
    longer_range(part, tables).into_iter().chain(fluorescence(part))
}

/// A spectrum that reaches the bands of C–Cl, where those measured do not.
fn longer_range(part: &PartFindings, tables: &Tables) -> Option<String> {
    let (testable_to_cm1, _) = tables.stretches().carbon_chlorine.both_sides.cm1;
    let mut spots = part.faces.iter().flat_map(|face| &face.spots);
    let too_short = spots.any(|spot| spot.range_cm1.0 > testable_to_cm1);
    (too_short && part.chlorine.finding.bands == ChlorineBands::CannotTell)
        .then(|| format!("a crystal and detector that reach below {testable_to_cm1:.0} cm⁻¹"))
}

/// X-ray fluorescence, where its answer is not recorded already.
fn fluorescence(part: &PartFindings) -> Option<String> {
    (part.record.xrf_chlorine == XrfChlorine::NotRecorded)
        .then(|| "X-ray fluorescence for chlorine on a cleaned spot".to_owned())
}
