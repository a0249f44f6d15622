//! The words of a comparison of faces.

use std::fmt::Write as _;

use super::{figure, p_value};
use crate::ageing::{ChangeCall, ChangeScale, Comparison, MarkerComparison};
use crate::report::words;

/// What the intervals of changes hold.
pub(super) const CHANGE_NOTE: &str = "Intervals of changes are 95 %, of the spots and never narrower than their noise; a test also carries what the fit of contact leaves open, so that it may not show a change which the interval alone would.";

/// How many spots each face brings: "exposed n = 3, covered n = 3".
pub(super) fn spots_words(comparison: &Comparison) -> String {
    let faces: Vec<String> =
        comparison.faces.iter().map(|f| format!("{} n = {}", f.face.word(), f.n)).collect();
    faces.join(", ")
}

/// A change with its figures and what may be said of it.
pub(super) fn change_words(change: &MarkerComparison) -> String {
    let call = words::change_call(change.call);
    let Some(value) = change.change else { return call.to_owned() };
    let sign = match change.scale {
        ChangeScale::Ratio => "×",
        ChangeScale::Difference => "Δ ",
    };
    let mut text = format!("{call}; {sign}{}", figure(Some(value)));
    if change.low.is_some() {
        let _ = write!(text, " ({} to {})", figure(change.low), figure(change.high));
    }
    // Of what was not named beforehand figures alone are given: a p would look like a test.
    if change.p.is_some() && change.call != ChangeCall::Exploratory {
        let _ = write!(text, ", p {}", p_value(change.p));
    }
    if change.p_corrected.is_some() {
        let _ = write!(text, ", corrected {}", p_value(change.p_corrected));
    }
    if let Some(least) = change.smallest_detectable {
        let _ = write!(text, "; smallest change detectable {sign}{}", figure(Some(least)));
    }
    if let Some(contact) = change.contact_change {
        let _ = write!(text, "; contact alone makes {sign}{}", figure(Some(contact)));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_tested_for_shows_no_p() {
        let words = |call| {
            change_words(&MarkerComparison {
                change: Some(0.2),
                low: Some(0.1),
                high: Some(0.3),
                p: Some(0.04),
                ..MarkerComparison::unmeasured("PVC_SOAP", call)
            })
        };
        assert!(words(ChangeCall::NoChangeShown).ends_with("(0.1000 to 0.3000), p 0.040"));
        let figures = words(ChangeCall::Exploratory);
        assert!(figures.ends_with("Δ 0.2000 (0.1000 to 0.3000)"), "{figures}");
    }
}
