//! What was left open, and what to try, in order.

use super::result::{ChlorineList, PartFindings, PartOutcome, UnsettledPart};
use crate::judge::{ChlorineBands, ChlorineByIdentity};

/// Wavenumber in cm⁻¹ that a spectrum must reach down to before C–Cl can be tested.
const CHLORINE_TESTABLE_TO_CM1: f64 = 580.0;

/// Returns the open question of a part with its remedies, or `None` where nothing is open.
pub(super) fn question(part: &PartFindings) -> Option<UnsettledPart> {
    let mut open = Vec::new();
    match part.outcome {
        PartOutcome::Identified | PartOutcome::Mixed => {}
        PartOutcome::Narrowed => {
            open.push(format!("which of {}", part.candidates.join(", ")));
        }
        PartOutcome::Classed => {
            let class = part.class.as_ref().map_or("the class", |class| class.name.as_str());
            open.push(format!("which {class}"));
        }
        PartOutcome::NotInTable => open.push("no material of the table fits".to_owned()),
        PartOutcome::NotEnoughSignal => open.push("not enough signal at any spot".to_owned()),
        PartOutcome::SpotsDisagree => {
            open.push(format!("spots disagree: {}", part.agreement.words))
        }
        PartOutcome::NotMeasured => open.push("there is no spectrum of it to judge".to_owned()),
    }
    let chlorine_open = part.chlorine.list == ChlorineList::ImpliedOrNotExcluded;
    if chlorine_open {
        open.push(match part.chlorine.finding.by_identity {
            ChlorineByIdentity::Yes => "chlorine is implied but not shown".to_owned(),
            _ => "chlorine is not excluded".to_owned(),
        });
    }
    if open.is_empty() {
        return None;
    }
    Some(UnsettledPart {
        id: part.id.clone(),
        open: open.join("; "),
        remedies: remedies(part, chlorine_open),
    })
}

fn remedies(part: &PartFindings, chlorine_open: bool) -> Vec<String> {
    let spots = || part.faces.iter().flat_map(|face| &face.spots);
    let identity_open = !matches!(part.outcome, PartOutcome::Identified | PartOutcome::Mixed);
    let mut remedies = Vec::new();
    if identity_open {
        remedies.push("another spot".to_owned());
    }
    if part.outcome == PartOutcome::NotEnoughSignal {
        remedies.push(
            "better contact, but never by clamping a split, crazed, tacky or coated area"
                .to_owned(),
        );
    }
    let too_short = spots().any(|s| s.range_cm1.0 > CHLORINE_TESTABLE_TO_CM1);
    if chlorine_open && too_short && part.chlorine.finding.bands == ChlorineBands::CannotTell {
        remedies.push(format!(
            "a crystal and detector that reach below {CHLORINE_TESTABLE_TO_CM1:.0} cm⁻¹"
        ));
    }
    if chlorine_open {
        remedies.push("X-ray fluorescence for chlorine on a cleaned spot".to_owned());
    }
    if identity_open {
        remedies.push("Raman spectroscopy".to_owned());
    }
    if let Some(settled_by) = spots().find_map(|s| s.identification.unsettled.as_ref()) {
        remedies.push(format!("{} ({})", settled_by.settled_by, settled_by.feature));
    }
    remedies.push("a laboratory; no flame test on the object".to_owned());
    remedies
}
