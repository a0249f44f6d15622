//! Figures of a comparison: the faces over one another, and the markers with their intervals.

use crate::ageing::{ChangeCall, ChangeScale, ComparedFace, Comparison, MarkerComparison};
use crate::report::figure::Figure;
use crate::report::plot::{
    Error, FaceCurve, FacesFigure, IntervalRow, IntervalsFigure, draw_faces, draw_intervals,
    unless_empty,
};
use crate::report::text_tools::list_words;
use crate::report::words;
use crate::spectrum::{PointFlag, Spectrum};

/// Faces that one figure can keep apart by dash.
const MOST_FACES: usize = 3;

/// A face in words, with the spectra of its spots.
pub(crate) type FaceSpots<'a> = (String, Vec<&'a Spectrum>);

/// Draws the faces that were compared and what their markers did. What has nothing to show is left out.
///
/// # Errors
///
/// Failures of the plotting library.
pub fn draw_comparison(
    comparison: &Comparison,
    spots: &[(ComparedFace, &Spectrum)],
) -> Result<Vec<Figure>, Error> {
    let mut faces: Vec<FaceSpots<'_>> = Vec::new();
    for (face, spectrum) in spots {
        match faces.iter_mut().find(|(word, _)| word == face.word()) {
            Some((_, spectra)) => spectra.push(spectrum),
            None => faces.push((face.word().to_owned(), vec![spectrum])),
        }
    }
    let name = comparison.material.as_deref().unwrap_or("Not identified");
    let drawn = faces_over_one_another("comparison-faces", name, &faces, Some(comparison));
    let drawn = drawn.into_iter().chain(intervals("comparison-markers", name, comparison));
    drawn.filter_map(|figure| unless_empty(figure).transpose()).collect()
}

/// The mean of each face, and their difference where they were compared; `None` below two faces.
pub(crate) fn faces_over_one_another(
    id: &str,
    name: &str,
    faces: &[FaceSpots<'_>],
    comparison: Option<&Comparison>,
) -> Option<Result<Figure, Error>> {
    let mut curves: Vec<(String, Vec<f64>, Vec<f64>)> = Vec::new();
    let mut range = (4000.0f64, 400.0f64);
    for (words, measured) in faces.iter().take(MOST_FACES) {
        let Some((first, mean, count)) = mean(measured) else { continue };
        let (low, high) = first.range_cm1();
        range = (range.0.min(high), range.1.max(low));
        let spots = if count == 1 { "1 spot".to_owned() } else { format!("mean of {count} spots") };
        let (axis, heights) = without_padding(first, &mean);
        curves.push((format!("{words}, {spots}"), axis, heights));
    }
    if curves.len() < 2 {
        return None;
    }
    let names: Vec<String> =
        faces.iter().take(MOST_FACES).map(|(words, _)| words.clone()).collect();
    let shown: Vec<FaceCurve<'_>> = curves
        .iter()
        .map(|(label, wavenumbers_cm1, absorbances)| FaceCurve {
            label,
            wavenumbers_cm1,
            absorbances,
        })
        .collect();
    Some(draw_faces(&FacesFigure {
        id,
        title: &format!("{name}: {}", list_words(&names, "and")),
        curves: &shown,
        difference: comparison.and_then(|c| c.differences.first()),
        range_cm1: range,
    }))
}

/// The mean of the spots measured on the grid of the first, with how many there were.
fn mean<'a>(spots: &[&'a Spectrum]) -> Option<(&'a Spectrum, Vec<f64>, usize)> {
    let first = *spots.first()?;
    let same: Vec<&&Spectrum> =
        spots.iter().filter(|s| s.wavenumbers_cm1() == first.wavenumbers_cm1()).collect();
    let mut sum = vec![0.0; first.len()];
    for spot in &same {
        for (total, value) in sum.iter_mut().zip(spot.absorbances()) {
            *total += value;
        }
    }
    let count = same.len();
    Some((first, sum.into_iter().map(|total| total / count as f64).collect(), count))
}

fn without_padding(spectrum: &Spectrum, heights: &[f64]) -> (Vec<f64>, Vec<f64>) {
    spectrum
        .wavenumbers_cm1()
        .iter()
        .zip(heights)
        .zip(spectrum.flags())
        .filter(|(_, flag)| **flag != PointFlag::Padded)
        .map(|((w, h), _)| (*w, *h))
        .unzip()
}

/// One figure a scale and pair of faces: ratios and differences never share an axis.
pub(crate) fn intervals(
    id: &str,
    name: &str,
    comparison: &Comparison,
) -> Vec<Result<Figure, Error>> {
    let mut kinds: Vec<(ChangeScale, &str, &str)> = Vec::new();
    for marker in &comparison.markers {
        let kind = (marker.scale, marker.face.word(), marker.against.word());
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    let mut drawn = Vec::new();
    for (i, kind) in kinds.into_iter().enumerate() {
        let rows: Vec<IntervalRow> = comparison
            .markers
            .iter()
            .filter(|m| (m.scale, m.face.word(), m.against.word()) == kind)
            // What was not tested stands in the tables.
            .filter(|m| matches!(m.call, ChangeCall::Changed | ChangeCall::NoChangeShown))
            .map(row)
            // What has no value has nothing to draw; why it has none stands in the table.
            .filter(|row| row.value.is_some())
            .collect();
        if rows.is_empty() {
            continue;
        }
        let (scale, face, against) = kind;
        let (axis, reference) = match scale {
            ChangeScale::Ratio => (format!("{face} over {against} (1 = no change)"), 1.0),
            ChangeScale::Difference => (format!("{face} minus {against} (0 = no change)"), 0.0),
        };
        drawn.push(draw_intervals(&IntervalsFigure {
            id: &format!("{id}-{i}"),
            title: &format!("{name}: markers, {face} against {against}"),
            axis: &axis,
            reference: Some(reference),
            rows: &rows,
        }));
    }
    drawn
}

fn row(marker: &MarkerComparison) -> IntervalRow {
    IntervalRow {
        label: marker.shows.clone(),
        value: marker.change,
        low: marker.low,
        high: marker.high,
        filled: marker.call == ChangeCall::Changed,
        note: words::change_call(marker.call).to_owned(),
    }
}
