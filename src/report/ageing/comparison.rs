//! A comparison of faces as text, and its words.

use std::fmt::Write as _;

use super::{figure, p_value};
use crate::ageing::{ChangeScale, Comparison, MarkerComparison};
use crate::report::text_tools::{visible, wrap};
use crate::report::words;

/// Writes a comparison for a terminal, `width` columns wide.
#[must_use]
pub fn comparison_text(comparison: &Comparison, width: usize) -> String {
    let mut text = String::new();
    let mut say = |indent: usize, words: &str| {
        for line in wrap(&visible(words), width.saturating_sub(indent).max(20)) {
            let _ = writeln!(text, "{:indent$}{line}", "");
        }
    };
    say(0, &comparison.sentence);
    let material = comparison.material.as_deref().unwrap_or("not known");
    say(0, &format!("Material {material}; {}.", spots_words(comparison)));
    for change in &comparison.markers {
        say(
            2,
            &format!(
                "{} ({} against {}): {}",
                change.id,
                change.face.word(),
                change.against.word(),
                change_words(change)
            ),
        );
        if let Some(why) = &change.why {
            say(6, why);
        }
        for confounder in &change.confounders {
            say(6, &confounder.does);
        }
    }
    for fit in &comparison.contact {
        say(
            2,
            &format!(
                "contact, {} spot {}: {:.2} times as strong, gap {:+.3} µm (± {:.3})",
                fit.face.word(),
                fit.spot,
                fit.scale,
                fit.gap_um,
                fit.gap_error_um
            ),
        );
    }
    for route in &comparison.routes {
        say(
            2,
            &format!(
                "{} [{}; conditions of the source: {}; {} ({})]",
                route.sentence,
                route.pattern.join(", "),
                route.conditions,
                route.source,
                route.status
            ),
        );
    }
    for warning in &comparison.warnings {
        say(2, &format!("Note: {}", warning.text));
    }
    text
}

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
    if change.p.is_some() {
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
