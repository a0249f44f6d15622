//! A comparison of faces as text and Markdown.

use std::fmt::Write as _;

use super::{figure, p_value};
use crate::ageing::{ChangeCall, ChangeScale, Comparison, MarkerComparison};
use crate::report::text_tools::{markdown, visible, wrap};

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
    say(0, &head(comparison));
    for change in &comparison.markers {
        say(
            2,
            &format!(
                "{} ({} against {}): {}",
                change.id,
                change.face.word(),
                change.against.word(),
                words(change)
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

/// Material and spots in one line.
fn head(comparison: &Comparison) -> String {
    let faces: Vec<String> =
        comparison.faces.iter().map(|f| format!("{} n = {}", f.face.word(), f.n)).collect();
    format!(
        "Material {}; {}.",
        comparison.material.as_deref().unwrap_or("not known"),
        faces.join(", ")
    )
}

/// A change with its figures and what may be said of it.
fn words(change: &MarkerComparison) -> String {
    let call = match change.call {
        ChangeCall::Changed => "changed",
        ChangeCall::NoChangeShown => "no change shown",
        ChangeCall::TooBlind => "too blind to say",
        ChangeCall::Exploratory => "exploratory, not tested for",
        ChangeCall::NotTested => "not tested",
        ChangeCall::Refused => "refused",
    };
    let Some(value) = change.change else { return call.to_owned() };
    let sign = match change.scale {
        ChangeScale::Ratio => "×",
        ChangeScale::Difference => "Δ ",
    };
    let mut words = format!("{call}; {sign}{}", figure(Some(value)));
    if change.low.is_some() {
        let _ = write!(words, " ({} to {})", figure(change.low), figure(change.high));
    }
    if change.p.is_some() {
        let _ = write!(words, ", p {}", p_value(change.p));
    }
    if change.p_corrected.is_some() {
        let _ = write!(words, ", corrected {}", p_value(change.p_corrected));
    }
    if let Some(least) = change.smallest_detectable {
        let _ = write!(words, "; smallest change detectable {sign}{}", figure(Some(least)));
    }
    if let Some(contact) = change.contact_change {
        let _ = write!(words, "; contact alone makes {sign}{}", figure(Some(contact)));
    }
    words
}

/// Writes a comparison as Markdown.
#[must_use]
pub fn comparison_markdown(comparison: &Comparison) -> String {
    let mut text = format!(
        "# Comparison of faces\n\n{}\n\n{}\n",
        markdown(&comparison.sentence),
        markdown(&head(comparison))
    );
    if !comparison.markers.is_empty() {
        text.push_str("\n| marker | faces | role | finding | remarks | definition | source |\n|---|---|---|---|---|---|---|\n");
    }
    for change in &comparison.markers {
        let mut remarks: Vec<&str> = change.why.iter().map(String::as_str).collect();
        remarks.extend(change.confounders.iter().map(|c| c.does.as_str()));
        let _ = writeln!(
            text,
            "| {} | {} against {} | {} | {} | {} | {} | {} ({}) |",
            markdown(&change.id),
            change.face.word(),
            change.against.word(),
            if change.primary { "primary" } else { "exploratory" },
            markdown(&words(change)),
            markdown(&remarks.join("; ")),
            markdown(&change.definition),
            markdown(&change.source),
            change.status,
        );
    }
    for route in &comparison.routes {
        let _ = writeln!(
            text,
            "\n- {} ({}; conditions of the source: {}; {}, {})",
            markdown(&route.sentence),
            markdown(&route.pattern.join(", ")),
            markdown(&route.conditions),
            markdown(&route.source),
            route.status
        );
    }
    for warning in &comparison.warnings {
        let _ = writeln!(text, "\nNote: {}", markdown(&warning.text));
    }
    text
}
