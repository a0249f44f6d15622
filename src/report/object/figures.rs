//! Which figures a condition report carries, and with what.

use super::{FigureKind, FigurePlace, Length, PlacedFigure};
use crate::object::{
    AgeingState, ChlorineList, FaceFindings, ObjectFindings, PartFindings, PartOutcome,
    SpectrumResult, SpotFindings,
};
use crate::report::ageing::{FaceSpots, faces_over_one_another, intervals};
use crate::report::plot::{
    Error, MapGroup, MapPart, SpectrumFigure, View, bands_behind, draw_chlorine_map, draw_spectrum,
    shape_behind, unless_empty,
};
use crate::tables::Tables;

/// Parts that get figures; an object with more than this has them drawn one by one on demand.
const MOST_PARTS: usize = 60;

/// How many changed parts a short report shows the faces of: room for more is in the full one.
const MOST_SHORT: usize = 1;

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
        let id = format!("part-{number}-faces");
        let faces = spots(part, spectra);
        if let Some(figure) = faces_over_one_another(&id, &part.id, &faces, comparison) {
            keep(&mut figures, place(), FigureKind::Faces, figure)?;
        }
        let id = format!("part-{number}-markers");
        let intervals = comparison.filter(|_| !short).map(|c| intervals(&id, &part.id, c));
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
    figures.extend(unless_empty(figure)?.map(|figure| PlacedFigure { kind, place, figure }));
    Ok(())
}

fn groups(findings: &ObjectFindings) -> Vec<MapGroup> {
    let mut groups: Vec<MapGroup> = Vec::new();
    // The parts, then the candidate sheets, apart from them.
    for part in findings.parts.iter().take(MOST_PARTS) {
        let name = match (&part.claim, part.record.group.trim()) {
            (Some(_), _) => "sheets offered",
            (None, "") => "other parts",
            (None, group) => group,
        };
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
    // What X-ray fluorescence says holds without a spectrum.
    let known = part.outcome != PartOutcome::NotMeasured
        || part.chlorine.list != ChlorineList::ImpliedOrNotExcluded;
    MapPart { id: part.id.clone(), material, list: known.then_some(part.chlorine.list), neighbours }
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

/// The spots of each face of a part.
fn spots<'a>(part: &PartFindings, spectra: &'a [SpectrumResult]) -> Vec<FaceSpots<'a>> {
    let of_face = |face: &FaceFindings| {
        let results = face.spots.iter().filter_map(|spot| spectra.get(spot.index));
        (face_words(face), results.map(|result| &result.spectrum).collect())
    };
    part.faces.iter().map(of_face).collect()
}
