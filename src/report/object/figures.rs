//! Which figures a condition report carries, and with what.

use super::{FigureKind, FigurePlace, Length, PlacedFigure};
use crate::ageing::{ChangeCall, ChangeScale, Comparison, MarkerComparison};
use crate::object::{
    AgeingState, FaceFindings, ObjectFindings, PartFindings, PartOutcome, SpectrumResult,
    SpotFindings,
};
use crate::report::plot::{
    Error, FaceCurve, FacesFigure, IntervalRow, IntervalsFigure, MapGroup, MapPart, SpectrumFigure,
    View, bands_behind, draw_chlorine_map, draw_faces, draw_intervals, draw_spectrum, shape_behind,
};
use crate::spectrum::{PointFlag, Spectrum};
use crate::tables::Tables;

/// Parts that get figures; an object with more than this has them drawn one by one on demand.
const MOST_PARTS: usize = 60;

/// How many changed parts a short report shows the faces of: room for more is in the full one.
const MOST_SHORT: usize = 1;

/// Faces that one figure can keep apart by dash.
const MOST_FACES: usize = 3;

/// Draws the chlorine map and, for each part, one spectrum, its faces and its markers.
///
/// `spectra` is the list that was given to the object stage, `tables` what it was judged by. What cannot be drawn (padding alone)
/// is left out.
///
/// # Errors
///
/// Failures of the plotting library.
pub fn draw_object_figures(
    findings: &ObjectFindings,
    spectra: &[SpectrumResult],
    tables: &Tables,
    length: Length,
) -> Result<Vec<PlacedFigure>, Error> {
    let mut figures = Vec::new();
    let mut changed = 0;
    let map = draw_chlorine_map("map", "Parts by chlorine", &groups(findings));
    keep(&mut figures, FigurePlace::Chlorine, FigureKind::ChlorineMap, map)?;
    for (number, part) in findings.parts.iter().take(MOST_PARTS).enumerate() {
        let place = || FigurePlace::Part(part.id.clone());
        // A short report shows what changed.
        let short = length == Length::Short;
        if short && (part.ageing.state != AgeingState::Changed || changed == MOST_SHORT) {
            continue;
        }
        changed += 1;
        if let Some(figure) = spectrum(number, part, spectra, tables).filter(|_| !short) {
            keep(&mut figures, place(), FigureKind::Spectrum, figure)?;
        }
        let comparison = part.ageing.comparison.as_ref();
        if let Some(figure) = faces(number, part, spectra, comparison) {
            keep(&mut figures, place(), FigureKind::Faces, figure)?;
        }
        let intervals = comparison.filter(|_| !short).map(|c| markers(number, part, c));
        for figure in intervals.unwrap_or_default() {
            keep(&mut figures, place(), FigureKind::Markers, figure)?;
        }
    }
    Ok(figures)
}

/// Keeps a figure; one that has nothing to show is no fault.
fn keep(
    figures: &mut Vec<PlacedFigure>,
    place: FigurePlace,
    kind: FigureKind,
    figure: Result<crate::report::figure::Figure, Error>,
) -> Result<(), Error> {
    match figure {
        Ok(figure) => figures.push(PlacedFigure { kind, place, figure }),
        Err(Error::Empty(_)) => {}
        Err(error) => return Err(error),
    }
    Ok(())
}

fn groups(findings: &ObjectFindings) -> Vec<MapGroup> {
    let mut groups: Vec<MapGroup> = Vec::new();
    for part in findings.parts.iter().filter(|part| part.claim.is_none()).take(MOST_PARTS) {
        let name = part.record.group.trim();
        let name = if name.is_empty() { "other parts" } else { name };
        let shown = map_part(findings, part);
        match groups.iter_mut().find(|group| group.name == name) {
            Some(group) => group.parts.push(shown),
            None => groups.push(MapGroup { name: name.to_owned(), parts: vec![shown] }),
        }
    }
    groups
}

fn map_part(findings: &ObjectFindings, part: &PartFindings) -> MapPart {
    let material = match part.outcome {
        PartOutcome::Identified => part.material.clone().unwrap_or_default(),
        PartOutcome::Narrowed => part.candidates.join("/"),
        PartOutcome::Mixed => {
            part.components.iter().map(|c| c.id.as_str()).take(2).collect::<Vec<_>>().join("+")
        }
        PartOutcome::Classed => {
            part.class.as_ref().map_or_else(String::new, |class| class.name.clone())
        }
        PartOutcome::NotInTable => "not in table".to_owned(),
        PartOutcome::NotEnoughSignal => "no signal".to_owned(),
        PartOutcome::SpotsDisagree => "disagree".to_owned(),
        PartOutcome::NotMeasured => "not measured".to_owned(),
    };
    let mut neighbours: Vec<String> = Vec::new();
    for risk in findings.neighbours.iter().filter(|risk| risk.part == part.id) {
        // A plastic neighbour is named; of any other the material says more than its name.
        let named = if risk.neighbour_material.contains("plastic") {
            &risk.neighbour
        } else {
            &risk.neighbour_material
        };
        let word = named.split_whitespace().next().unwrap_or_default().to_owned();
        if !neighbours.contains(&word) {
            neighbours.push(word);
        }
    }
    let measured = part.outcome != PartOutcome::NotMeasured;
    MapPart {
        id: part.id.clone(),
        material,
        list: measured.then_some(part.chlorine.list),
        neighbours,
    }
}

/// The spot that stands for a part: the first that says what the part is said to be.
fn typical(part: &PartFindings) -> Option<(&FaceFindings, &SpotFindings)> {
    let spots = || part.faces.iter().flat_map(|face| face.spots.iter().map(move |s| (face, s)));
    spots()
        .find(|(_, spot)| spot.identification.material == part.material)
        .or_else(|| spots().next())
}

type Drawn = Result<crate::report::figure::Figure, Error>;

fn spectrum(
    number: usize,
    part: &PartFindings,
    spectra: &[SpectrumResult],
    tables: &Tables,
) -> Option<Drawn> {
    let (face, spot) = typical(part)?;
    let result = spectra.get(spot.index)?;
    let found = &spot.identification;
    let spot_name = spot.record.spot.trim();
    let spot_words =
        if spot_name.is_empty() { String::new() } else { format!(", spot {spot_name}") };
    let materials = bands_behind(found);
    Some(draw_spectrum(&SpectrumFigure {
        id: &format!("part-{number}-spectrum"),
        title: &format!("{}, {}{spot_words}", part.id, face_words(face)),
        spectrum: &result.spectrum,
        materials: &materials,
        unexplained: &found.unexplained,
        shape: shape_behind(found, &materials, tables),
        tables: Some(tables),
        view: View::default(),
    }))
}

fn face_words(face: &FaceFindings) -> String {
    let words = face.words.trim();
    if words.is_empty() { face.face.to_string() } else { words.to_owned() }
}

fn faces(
    number: usize,
    part: &PartFindings,
    spectra: &[SpectrumResult],
    comparison: Option<&Comparison>,
) -> Option<Drawn> {
    let mut curves: Vec<(String, Vec<f64>, Vec<f64>)> = Vec::new();
    let mut range = (4000.0f64, 400.0f64);
    for face in part.faces.iter().take(MOST_FACES) {
        let measured: Vec<&Spectrum> = face
            .spots
            .iter()
            .filter_map(|spot| spectra.get(spot.index))
            .map(|r| &r.spectrum)
            .collect();
        let Some((first, mean, count)) = mean(&measured) else { continue };
        let (low, high) = first.range_cm1();
        range = (range.0.min(high), range.1.max(low));
        let spots = if count == 1 { "1 spot".to_owned() } else { format!("mean of {count} spots") };
        let (axis, heights) = without_padding(first, &mean);
        curves.push((format!("{}, {spots}", face_words(face)), axis, heights));
    }
    if curves.len() < 2 {
        return None;
    }
    let names: Vec<String> = part.faces.iter().take(MOST_FACES).map(face_words).collect();
    let shown: Vec<FaceCurve<'_>> = curves
        .iter()
        .map(|(label, wavenumbers_cm1, absorbances)| FaceCurve {
            label,
            wavenumbers_cm1,
            absorbances,
        })
        .collect();
    Some(draw_faces(&FacesFigure {
        id: &format!("part-{number}-faces"),
        title: &format!("{}: {}", part.id, crate::report::text_tools::list_words(&names, "and")),
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
fn markers(number: usize, part: &PartFindings, comparison: &Comparison) -> Vec<Drawn> {
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
            // What was not tested stands in the annex.
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
            id: &format!("part-{number}-markers-{i}"),
            title: &format!("{}: markers, {face} against {against}", part.id),
            axis: &axis,
            reference: Some(reference),
            rows: &rows,
        }));
    }
    drawn
}

fn row(marker: &MarkerComparison) -> IntervalRow {
    let note = match marker.call {
        ChangeCall::Changed => "changed",
        ChangeCall::NoChangeShown => "no change shown",
        ChangeCall::TooBlind => "too blind to say",
        ChangeCall::Exploratory => "exploratory",
        ChangeCall::NotTested => "not tested",
        ChangeCall::Refused => "refused",
    };
    IntervalRow {
        label: marker.shows.clone(),
        value: marker.change,
        low: marker.low,
        high: marker.high,
        filled: marker.call == ChangeCall::Changed,
        note: note.to_owned(),
    }
}
