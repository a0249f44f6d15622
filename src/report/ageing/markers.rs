//! The markers of single spectra as text and Markdown.

use std::fmt::Write as _;

use super::{AgeingEntry, figure};
use crate::ageing::{DoseSlope, MarkerResult, MarkerState, MaterialFrom};
use crate::report::text_tools::{markdown, visible, wrap};

/// Said under every table of markers.
const INTERVAL_NOTE: &str = "Intervals are 95 %, from noise only: not the spread of spots. No grade is given, for no published cut-off exists.";

/// Width of the column of marker ids, with the blanks before and after.
const ID_COLUMN: usize = 23;

/// Writes entries for a terminal, `width` columns wide.
#[must_use]
pub fn ageing_text(entries: &[AgeingEntry], width: usize) -> String {
    let mut text = String::new();
    for entry in entries {
        paragraph(
            &mut text,
            &format!("{}, spectrum {}", visible(&entry.file), entry.block),
            width,
            0,
        );
        let Some(result) = &entry.result else {
            let why = entry.error.as_deref().unwrap_or("could not be read");
            paragraph(&mut text, &visible(why), width, 2);
            continue;
        };
        paragraph(&mut text, &result.sentence, width, 2);
        if result.material_from == MaterialFrom::Given {
            paragraph(&mut text, "The material is the user's word.", width, 2);
        }
        if let Some(noise) = result.noise {
            let from = format!("Noise {noise:.1e} absorbance, read at {}.", result.noise_from);
            paragraph(&mut text, &from, width, 2);
        }
        for marker in &result.markers {
            text_of_marker(&mut text, marker, width);
        }
        for slope in &entry.series {
            paragraph(&mut text, &slope_words(slope), width, 2);
        }
        for warning in &result.warnings {
            paragraph(&mut text, &format!("Note: {}", visible(&warning.text)), width, 2);
        }
        if !result.markers.is_empty() {
            paragraph(&mut text, INTERVAL_NOTE, width, 2);
        }
        text.push('\n');
    }
    text
}

fn text_of_marker(text: &mut String, marker: &MarkerResult, width: usize) {
    // The id stands in a column of its own; what follows is broken beside it.
    let mut lines = wrap(&state_words(marker), width.saturating_sub(ID_COLUMN).max(20)).into_iter();
    let first = lines.next().unwrap_or_default();
    let _ = writeln!(text, "  {:<wide$}{first}", marker.id, wide = ID_COLUMN - 2);
    for line in lines {
        let _ = writeln!(text, "{:ID_COLUMN$}{line}", "");
    }
    paragraph(text, &marker.shows, width, 6);
    if let Some(content) = &marker.content {
        let doubt = content.doubt.as_deref().map(|d| format!(" ({d})")).unwrap_or_default();
        let words = format!(
            "{}: {} ({} to {}, prediction interval){doubt}",
            visible(&content.quantity),
            figure(Some(content.value)),
            figure(Some(content.low)),
            figure(Some(content.high))
        );
        paragraph(text, &words, width, 6);
    }
    for confounder in &marker.confounders {
        paragraph(text, &confounder.does, width, 6);
    }
    let source = format!(
        "{}; limits {}; {} [{}, {}]",
        marker.definition, marker.limits_from, marker.source, marker.source_class, marker.status
    );
    paragraph(text, &source, width, 6);
}

/// What is said of a marker, with its figures.
fn state_words(marker: &MarkerResult) -> String {
    match marker.state {
        MarkerState::Measured => {
            let doubt = if marker.quantifiable { "" } else { ", below the quantification limit" };
            format!(
                "{} ({} to {}, noise only); detection {}, quantification {}{doubt}",
                figure(marker.value),
                figure(marker.low),
                figure(marker.high),
                figure(marker.detection_limit),
                figure(marker.quantification_limit),
            )
        }
        MarkerState::BelowDetection => {
            format!("below detection (limit {})", figure(marker.detection_limit))
        }
        MarkerState::Refused => format!(
            "refused: {}",
            marker.refusal.as_deref().unwrap_or("not to be read on this spectrum")
        ),
    }
}

/// A slope in words, with the doses it holds for.
fn slope_words(slope: &DoseSlope) -> String {
    let unit = slope.unit.symbol();
    let over = format!(
        "{} over {} to {} {unit} ({}, filter {}{}{}), {} spectra",
        slope.marker,
        slope.lowest_dose,
        slope.highest_dose,
        visible(&slope.source),
        visible(&slope.filter),
        if slope.conditions.is_empty() { "" } else { ", " },
        visible(&slope.conditions),
        slope.n
    );
    match (slope.slope, slope.low, slope.high) {
        (Some(value), Some(low), Some(high)) => {
            format!("{over}: {value:.3e} per {unit} ({low:.3e} to {high:.3e}); {}", slope.note)
        }
        _ => format!("{over}: {}", slope.note),
    }
}

fn paragraph(text: &mut String, words: &str, width: usize, indent: usize) {
    for line in wrap(words, width.saturating_sub(indent).max(20)) {
        let _ = writeln!(text, "{:indent$}{line}", "");
    }
}

/// Writes entries as Markdown.
#[must_use]
pub fn ageing_markdown(entries: &[AgeingEntry]) -> String {
    let mut text = String::from("# Ageing markers\n");
    for entry in entries {
        let _ = writeln!(text, "\n## {}, spectrum {}\n", markdown(&entry.file), entry.block);
        let Some(result) = &entry.result else {
            let why = entry.error.as_deref().unwrap_or("could not be read");
            let _ = writeln!(text, "{}", markdown(why));
            continue;
        };
        let _ = writeln!(text, "{}", markdown(&result.sentence));
        if !result.markers.is_empty() {
            text.push_str("\n| marker | shows | finding | disturbed by | definition | source |\n|---|---|---|---|---|---|\n");
        }
        for marker in &result.markers {
            let disturbed: Vec<&str> = marker.confounders.iter().map(|c| c.does.as_str()).collect();
            let content = marker.content.as_ref().map_or_else(String::new, |c| {
                format!(
                    "; {} {} ({} to {})",
                    c.quantity,
                    figure(Some(c.value)),
                    figure(Some(c.low)),
                    figure(Some(c.high))
                )
            });
            let _ = writeln!(
                text,
                "| {} | {} | {} | {} | {} (limits {}) | {} ({}) |",
                markdown(&marker.id),
                markdown(&marker.shows),
                markdown(&(state_words(marker) + &content)),
                markdown(&disturbed.join("; ")),
                markdown(&marker.definition),
                marker.limits_from,
                markdown(&marker.source),
                marker.status,
            );
        }
        for slope in &entry.series {
            let _ = writeln!(text, "\n{}", markdown(&slope_words(slope)));
        }
        for warning in &result.warnings {
            let _ = writeln!(text, "\nNote: {}", markdown(&warning.text));
        }
    }
    let _ = writeln!(text, "\n{INTERVAL_NOTE}");
    text
}
