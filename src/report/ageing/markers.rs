//! The markers of single spectra as text, and their words.

use std::fmt::Write as _;

use super::{AgeingEntry, figure};
use crate::ageing::{Content, DoseSlope, MarkerResult, MarkerState, MaterialFrom};
use crate::report::text_tools::{visible, wrap};

/// Said under every table of markers.
pub(super) const INTERVAL_NOTE: &str = "Intervals are 95 %, from noise only: not the spread of spots. No grade is given, for no published cut-off exists.";

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
        paragraph(text, &content_words(content), width, 6);
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
pub(super) fn state_words(marker: &MarkerResult) -> String {
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

/// A content read off a calibration, with its interval and why it must not be used.
pub(super) fn content_words(content: &Content) -> String {
    let doubt = content.doubt.as_deref().map(|d| format!(" ({d})")).unwrap_or_default();
    format!(
        "{}: {} ({} to {}, prediction interval){doubt}",
        visible(&content.quantity),
        figure(Some(content.value)),
        figure(Some(content.low)),
        figure(Some(content.high))
    )
}

/// A slope in words, with the doses it holds for.
pub(super) fn slope_words(slope: &DoseSlope) -> String {
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
