//! The words of markers of single spectra.

use super::figure;
use crate::ageing::{Content, DoseSlope, MarkerResult, MarkerState};

/// Said under every table of markers.
pub(super) const INTERVAL_NOTE: &str = "Intervals are 95 %, from noise only: not the spread of spots. No grade is given, for no published cut-off exists.";

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
        content.quantity,
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
        slope.source,
        slope.filter,
        if slope.conditions.is_empty() { "" } else { ", " },
        slope.conditions,
        slope.n
    );
    match (slope.slope, slope.low, slope.high) {
        (Some(value), Some(low), Some(high)) => {
            // Of one lux hour a change has eight zeros; over the doses measured it is a figure to read.
            let doses = slope.highest_dose - slope.lowest_dose;
            let [value, low, high] =
                [value, low, high].map(|per_dose| figure(Some(per_dose * doses)));
            format!("{over}: changes by {value} ({low} to {high}) over these doses")
        }
        _ => format!("{over}: {}", slope.note),
    }
}
