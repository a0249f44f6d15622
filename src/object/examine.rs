//! Brings the results of all spectra together into what is said of the object.

use super::record::{CandidateRecord, Face, Manifest, PartRecord, SpectrumRecord, recorded};
use super::references::{self, ReferenceOpinion};
use super::replicates::{self, Joint, Spot};
use super::result::{
    CareAdvice, Claim, FaceFindings, Method, NeighbourRisk, ObjectFindings, PartAgeing,
    PartFindings, PartOutcome, SourceEntry, SpectrumResult, SpotFindings, UvVisible,
};
use super::{
    candidates, care, chlorine, claims, copies, limits, neighbours, part_ageing, plain, summary,
    unsettled,
};
use crate::ageing::Comparison;
use crate::judge::{Identification, Plasticiser};
use crate::spectrum::{Spectrum, Warning};
use crate::tables::Tables;

/// What the earlier stages hand over for one object.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct ObjectInput {
    /// What the conservator wrote.
    pub manifest: Manifest,
    /// A result for each spectrum of the manifest.
    pub spectra: Vec<SpectrumResult>,
    /// Spectra of the manifest without a result: index of the row, and why.
    pub left_out: Vec<(usize, String)>,
    /// Comparisons of faces by part id.
    pub comparisons: Vec<(String, Comparison)>,
    /// Why the faces of a part could not be compared, by part id.
    pub comparison_failures: Vec<(String, String)>,
    /// Spectra of references that somebody vouches for, by candidate id.
    pub references: Vec<(String, Spectrum)>,
    /// UV-visible figures, by the id of a part or candidate.
    pub uv_visible: Vec<(String, UvVisible)>,
    /// How it was done.
    pub method: Method,
    /// Doubts met on the way.
    pub warnings: Vec<Warning>,
}

impl ObjectInput {
    /// Creates the input of a manifest and the results of its spectra; fill in the fields of what else there is.
    #[must_use]
    pub fn new(manifest: Manifest, spectra: Vec<SpectrumResult>) -> Self {
        Self { manifest, spectra, ..Self::default() }
    }
}

/// Why the faces of a candidate sheet are not compared.
const NEW_SHEET: &str = "a candidate sheet is compared with its claim, not face with face";

/// Faces in the order they are printed.
const FACES: [Face; 5] = [Face::Exposed, Face::Reverse, Face::Covered, Face::Edge, Face::Unknown];

/// Says everything that can be said of one object.
///
/// A function of values: it opens nothing and never fails. What cannot be said is said to be open.
#[must_use]
pub fn examine_object(input: ObjectInput, tables: &Tables) -> ObjectFindings {
    let manifest = &input.manifest;
    let earlier = copies::earlier(manifest, &input.spectra);
    let copies = copies::rows(manifest, &input.spectra, &earlier);
    let mut parts: Vec<PartFindings> =
        manifest.parts.iter().map(|record| part(record, &input, tables)).collect();
    let mut found_candidates = Vec::new();
    for record in &manifest.candidates {
        let as_part = PartRecord {
            id: record.id.clone(),
            name: record.name.clone(),
            xrf_chlorine: record.xrf_chlorine,
            line: record.line,
            ..PartRecord::default()
        };
        let mut sheet = part(&as_part, &input, tables);
        sheet.ageing = part_ageing::not_compared(NEW_SHEET, &as_part.seen, &[]);
        let measured = sheet.faces.iter().map(|face| face.spots.len()).sum();
        let claim = match copies::of_another(&record.id, measured, &copies) {
            Some(why) => claims::of_another(claim(record, &sheet, &input, tables), &why),
            None => claim(record, &sheet, &input, tables),
        };
        let uv_of =
            |wanted: &str| input.uv_visible.iter().find(|(id, _)| *id == wanted).map(|(_, uv)| uv);
        let originals: Vec<(&PartFindings, Option<&UvVisible>)> = record
            .replaces
            .iter()
            .filter_map(|id| parts.iter().find(|part| part.id == *id))
            .map(|part| (part, uv_of(&part.id)))
            .collect();
        found_candidates.push(candidates::findings(
            manifest,
            record,
            &sheet,
            &originals,
            claim.clone(),
            uv_of(&record.id).cloned(),
            tables,
        ));
        sheet.claim = Some(claim);
        parts.push(sheet);
    }
    for copy in &copies {
        let Some((first, again)) = copy.parts() else { continue };
        for part in parts.iter_mut().filter(|part| part.id == first || part.id == again) {
            part.notes.push(copy.words());
        }
    }
    for (id, note) in neighbours::migrated_plasticiser(manifest, &parts, tables) {
        if let Some(part) = parts.iter_mut().find(|part| part.id == id) {
            part.notes.push(note);
        }
    }
    let chlorine = chlorine::lists(&parts);
    let at_risk = neighbours::at_risk(manifest, &parts, tables);
    let unused = |part: &PartFindings| left_out_of(&part.id, &input).next().map(|(_, why)| why);
    let unsettled: Vec<_> =
        parts.iter().filter_map(|part| unsettled::question(part, unused(part), tables)).collect();
    let care = care::advice(&parts, tables);
    let recorded_neighbours = neighbours::without_rule(manifest, &parts, &at_risk);
    let summary = summary::lines(&summary::Drawn {
        manifest,
        parts: &parts,
        chlorine: &chlorine,
        neighbours: &at_risk,
        candidates: &found_candidates,
        unsettled: &unsettled,
        copies: &copies,
        tables,
    });
    let mut method = input.method.clone();
    method.settings.extend(settings_as_recorded(manifest));
    let sources = sources(&parts, &at_risk, &care);
    let mut warnings = input.warnings;
    warnings.extend(copies::doubts(&copies));
    let mut findings = ObjectFindings {
        summary,
        chlorine,
        neighbours: at_risk,
        recorded_neighbours,
        candidates: found_candidates,
        unsettled,
        care,
        method,
        limits: Vec::new(),
        sources,
        warnings,
        parts,
        manifest: input.manifest,
    };
    findings.limits = limits::all(&findings);
    findings
}

/// Returns, for each part whose faces may be compared, the spectra of each face.
///
/// Faces that differ in composition are left out: their ageing is not compared. So are candidate sheets:
/// neither of their faces has a past.
#[must_use]
pub fn faces_to_compare(
    manifest: &Manifest,
    spectra: &[SpectrumResult],
    tables: &Tables,
) -> Vec<FacesToCompare> {
    manifest
        .parts
        .iter()
        .map(|part| &part.id)
        .filter_map(|id| {
            let faces = faces(manifest, spectra, id);
            if part_ageing::not_comparable(&faces).is_some() {
                return None;
            }
            let material = markers_of(&whole(&faces), tables)?;
            // A spot that could not be judged is no replicate.
            let of = |wanted: Face| -> Vec<usize> {
                faces
                    .iter()
                    .filter(|face| face.face == wanted)
                    .flat_map(|face| &face.spots)
                    .filter(|s| s.identification.outcome != crate::judge::Outcome::NotEnoughSignal)
                    .map(|spot| spot.index)
                    .collect()
            };
            Some(FacesToCompare {
                part: id.clone(),
                material,
                exposed: of(Face::Exposed),
                reverse: of(Face::Reverse),
                covered: of(Face::Covered),
            })
        })
        .collect()
}

/// The material whose markers are read: the one named, or the first look-alike that has any, where
/// all of them are of one chemical family.
fn markers_of(joint: &Joint, tables: &Tables) -> Option<String> {
    if let Some(material) = &joint.material {
        return Some(material.clone());
    }
    let family = |id: &String| tables.material(id).map(|m| m.family.as_str());
    let first = family(joint.candidates.first()?)?;
    if joint.candidates.iter().any(|id| family(id) != Some(first)) {
        return None;
    }
    joint.candidates.iter().find(|id| tables.markers_of(id).next().is_some()).cloned()
}

/// The faces of one part, as indices into the results.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct FacesToCompare {
    /// The part's id.
    pub part: String,
    /// Its material.
    pub material: String,
    /// Spectra of the lit face.
    pub exposed: Vec<usize>,
    /// Spectra of the far face.
    pub reverse: Vec<usize>,
    /// Spectra of a covered place.
    pub covered: Vec<usize>,
}

fn record_of<'a>(manifest: &'a Manifest, result: &SpectrumResult) -> Option<&'a SpectrumRecord> {
    manifest.spectra.get(result.record)
}

fn face_words(record: &SpectrumRecord) -> String {
    if record.face_words.is_empty() { record.face.to_string() } else { record.face_words.clone() }
}

fn spot_name(spot: &SpotFindings, number: usize) -> String {
    if spot.record.spot.is_empty() {
        format!("spot {}", number + 1)
    } else {
        spot.record.spot.clone()
    }
}

/// The faces of a part, each with its spots judged together.
fn faces(manifest: &Manifest, spectra: &[SpectrumResult], id: &str) -> Vec<FaceFindings> {
    let of_part: Vec<(usize, &SpectrumResult, &SpectrumRecord)> = spectra
        .iter()
        .enumerate()
        .filter_map(|(index, result)| Some((index, result, record_of(manifest, result)?)))
        .filter(|(_, _, record)| record.part == id)
        .collect();
    let mut found = Vec::new();
    for face in FACES {
        let spots: Vec<SpotFindings> = of_part
            .iter()
            .filter(|(_, _, record)| record.face == face)
            .map(|&(index, result, record)| SpotFindings {
                record: record.clone(),
                sha256: result.sha256.clone(),
                range_cm1: result.spectrum.range_cm1(),
                fitness: result.fitness.clone(),
                identification: result.identification.clone(),
                index,
                is_copy: of_part
                    .iter()
                    .take_while(|(before, ..)| *before < index)
                    .any(|(_, before, _)| result.spectrum.is_measurement_of(&before.spectrum)),
            })
            .collect();
        let Some(first) = spots.first() else { continue };
        let words = face_words(&first.record);
        let joint = replicates::judge(
            &spots
                .iter()
                .enumerate()
                .map(|(i, spot)| Spot {
                    label: spot_name(spot, i),
                    face: &words,
                    identification: &spot.identification,
                    is_copy: spot.is_copy,
                })
                .collect::<Vec<_>>(),
        );
        found.push(FaceFindings {
            face,
            words,
            outcome: joint.outcome,
            material: joint.material,
            candidates: joint.candidates,
            class: joint.class,
            components: joint.components,
            plasticiser: joint.plasticiser,
            agreement: joint.agreement,
            spots,
        });
    }
    found
}

/// All spots of all faces judged together.
fn whole(faces: &[FaceFindings]) -> Joint {
    let spots: Vec<Spot<'_>> = faces
        .iter()
        .flat_map(|face| {
            face.spots.iter().enumerate().map(|(i, spot)| Spot {
                label: format!("{} {}", face.words, spot_name(spot, i)),
                face: &face.words,
                identification: &spot.identification,
                is_copy: spot.is_copy,
            })
        })
        .collect();
    replicates::judge(&spots)
}

fn part(record: &PartRecord, input: &ObjectInput, tables: &Tables) -> PartFindings {
    let manifest = &input.manifest;
    let faces = faces(manifest, &input.spectra, &record.id);
    let mut joint = whole(&faces);
    let differ = joint.outcome == PartOutcome::SpotsDisagree && faces_differ(&faces);
    if differ {
        joint.outcome = PartOutcome::Mixed;
        joint.components = components_of(&faces);
        joint.agreement.words = face_by_face(&faces);
    }
    let spots: Vec<(Face, &Identification)> = faces
        .iter()
        .flat_map(|face| face.spots.iter().map(move |spot| (face.face, spot)))
        .filter(|(_, spot)| !spot.is_copy)
        .map(|(face, spot)| (face, &spot.identification))
        .collect();
    let chlorine = chlorine::part_chlorine(&spots, record.xrf_chlorine);
    let colours: Vec<_> =
        manifest.colours.iter().filter(|c| c.part == record.id).cloned().collect();
    let ageing = ageing(record, &faces, &colours, input, tables);
    let name_of = |id: &str| tables.material(id).map(|m| m.name.clone());
    let nothing_read = faces.is_empty() && left_out_of(&record.id, input).next().is_some();
    if nothing_read {
        joint.outcome = PartOutcome::NotEnoughSignal;
        joint.agreement.words = "none of its files could be used".to_owned();
    }
    let sentence = if nothing_read {
        "Not judged: none of its files could be read.".to_owned()
    } else if differ {
        let each = joint.agreement.words.trim_start_matches(replicates::FACES_DIFFER);
        format!("The faces differ in composition: {each}.")
    } else {
        sentence(&joint, &faces, tables)
    };
    let mut notes = left_out(&record.id, input);
    if !record.said_to_be.is_empty()
        && !joint.material.as_deref().is_some_and(|id| {
            id.eq_ignore_ascii_case(&record.said_to_be)
                || name_of(id).is_some_and(|name| {
                    name.to_lowercase().contains(&record.said_to_be.to_lowercase())
                })
        })
    {
        notes.push(format!("recorded as {}; what was found stands above", record.said_to_be));
    }
    PartFindings {
        id: record.id.clone(),
        record: record.clone(),
        outcome: joint.outcome,
        material: joint.material,
        candidates: joint.candidates,
        class: joint.class,
        components: joint.components,
        plasticiser: joint.plasticiser,
        sentence,
        agreement: joint.agreement,
        faces,
        chlorine,
        ageing,
        notes,
        colours,
        claim: None,
    }
}

/// The part's files that could not be used, and why.
fn left_out_of<'a>(
    part: &str,
    input: &'a ObjectInput,
) -> impl Iterator<Item = (&'a SpectrumRecord, &'a str)> {
    let of = input
        .left_out
        .iter()
        .filter_map(|(index, why)| Some((input.manifest.spectra.get(*index)?, why.as_str())));
    of.filter(move |(row, _)| row.part == part)
}

/// Names the part's files that are not in its answer, and why.
fn left_out(part: &str, input: &ObjectInput) -> Vec<String> {
    left_out_of(part, input)
        .map(|(row, why)| {
            let face = face_words(row);
            format!("not in this answer: {} ({face}), which cannot be used: {why}", row.file)
        })
        .collect()
}

/// Whether the spots contradict each other from face to face only: within each face two or more
/// agree, so that it is the faces that differ, as with a coat on one side.
fn faces_differ(faces: &[FaceFindings]) -> bool {
    let mut judged = faces.iter().filter(|face| face.agreement.judged > 0);
    judged.all(|face| face.agreement.outliers.is_empty() && face.agreement.judged > 1)
}

/// What each face is, with its spots: where it is the faces that differ, no spot contradicts another.
fn face_by_face(faces: &[FaceFindings]) -> String {
    let judged = faces.iter().filter(|face| face.agreement.judged > 0);
    let each = judged.filter_map(|face| {
        let what = match face.outcome {
            PartOutcome::Identified => face.material.clone()?,
            PartOutcome::Narrowed => face.candidates.join(" or "),
            // Spots of such a face agree without saying the same, so that each is counted.
            _ => return Some(format!("{}: {}", face.words, face.agreement.words)),
        };
        let judged = face.agreement.judged;
        Some(format!("{}: {what} at {judged} of {judged} spots", face.words))
    });
    format!("{}{}", replicates::FACES_DIFFER, each.collect::<Vec<_>>().join("; "))
}

/// Every component of every face, each once.
fn components_of(faces: &[FaceFindings]) -> Vec<crate::judge::Component> {
    let mut components: Vec<crate::judge::Component> = Vec::new();
    for component in faces.iter().flat_map(|face| &face.components) {
        if !components.iter().any(|known| known.id == component.id) {
            components.push(component.clone());
        }
    }
    components
}

fn ageing(
    record: &PartRecord,
    faces: &[FaceFindings],
    colours: &[super::record::ColourReading],
    input: &ObjectInput,
    tables: &Tables,
) -> PartAgeing {
    let failure = || input.comparison_failures.iter().find(|(id, _)| *id == record.id);
    let comparison = || input.comparisons.iter().find(|(id, _)| *id == record.id);
    if let Some((why, faces_refused)) = part_ageing::not_comparable(faces) {
        PartAgeing { faces_refused, ..part_ageing::not_compared(&why, &record.seen, colours) }
    } else if let Some((_, comparison)) = comparison() {
        let mut ageing =
            part_ageing::from_comparison(comparison.clone(), faces, &record.seen, colours, tables);
        ageing.sentence = without_ids(&ageing.sentence, tables);
        let joint = whole(faces);
        if let (None, Some(material)) = (&joint.material, &comparison.material) {
            ageing.notes.push(format!(
                "read with the markers of {material}, though the part is {}",
                joint.candidates.join(" or ")
            ));
        }
        ageing
    } else if let Some((_, why)) = failure() {
        let why = format!("the faces could not be compared: {why}");
        PartAgeing { faces_refused: true, ..part_ageing::not_compared(&why, &record.seen, colours) }
    } else {
        let why = "the material is not settled, so that no marker applies";
        part_ageing::not_compared(why, &record.seen, colours)
    }
}

/// A sentence with what each marker shows in the place of its id, which is for tables.
fn without_ids(text: &str, tables: &Tables) -> String {
    let mut text = text.to_owned();
    for marker in tables.markers().iter().filter(|marker| marker.id.contains('_')) {
        if text.contains(&marker.id) {
            text = text.replace(&marker.id, &marker.shows);
        }
    }
    text
}

/// At how many of the spots that were judged a plasticiser was found, where it was not found at all.
fn showing(plasticiser: &Plasticiser, faces: &[FaceFindings]) -> String {
    let shows = |found: &Plasticiser| match (plasticiser, found) {
        (Plasticiser::NoneSeen | Plasticiser::NotTestable { .. }, _) => true,
        (Plasticiser::Class { id }, Plasticiser::Several { ids }) => ids.contains(id),
        (of, found) => of == found,
    };
    let spots = faces.iter().flat_map(|face| &face.spots).filter(|spot| !spot.is_copy);
    let found: Vec<&Plasticiser> =
        spots.filter_map(|spot| spot.identification.plasticiser.as_ref()).collect();
    match found.iter().filter(|found| shows(found)).count() {
        all if all == found.len() => String::new(),
        some => format!(" at {some} of {} spots", found.len()),
    }
}

/// The answer in one or two plain sentences, with the name of the material in words.
fn sentence(joint: &Joint, faces: &[FaceFindings], tables: &Tables) -> String {
    let named = |id: &str| {
        tables.material(id).map_or_else(|| id.to_owned(), |m| format!("{id} ({})", m.name))
    };
    let spot_sentence = faces
        .iter()
        .flat_map(|face| &face.spots)
        .find(|s| PartOutcome::from_spot(s.identification.outcome) == joint.outcome)
        .map(|spot| spot.identification.sentence.clone());
    let agreement = &joint.agreement.words;
    match joint.outcome {
        PartOutcome::Identified => {
            let id = joint.material.as_deref().unwrap_or_default();
            let plasticiser = match &joint.plasticiser {
                Some(Plasticiser::NoneSeen) => "; no plasticiser seen at this surface".to_owned(),
                Some(Plasticiser::Class { id }) => format!("; with {}", named(id)),
                Some(Plasticiser::Several { ids }) => {
                    let all: Vec<String> = ids.iter().map(|id| named(id)).collect();
                    format!("; with several plasticisers: {}", all.join(", "))
                }
                Some(Plasticiser::UnresolvedEster) => {
                    "; with an ester component whose class is not resolved".to_owned()
                }
                Some(Plasticiser::UnresolvedCarbonyl) => {
                    "; with a carbonyl, of an ester or of oxidation".to_owned()
                }
                Some(Plasticiser::NotTestable { .. }) | None => String::new(),
            };
            let at = joint.plasticiser.as_ref().map_or_else(String::new, |of| showing(of, faces));
            format!("{}{plasticiser}{at}; {agreement}.", named(id))
        }
        PartOutcome::Narrowed => {
            let all: Vec<String> = joint.candidates.iter().map(|id| named(id)).collect();
            format!("{}: not told apart; {agreement}.", all.join(" or "))
        }
        PartOutcome::SpotsDisagree => format!("No one material: {agreement}."),
        PartOutcome::NotMeasured => "Not measured.".to_owned(),
        PartOutcome::Mixed
        | PartOutcome::Classed
        | PartOutcome::NotInTable
        | PartOutcome::NotEnoughSignal => {
            let said = spot_sentence.unwrap_or_default();
            if agreement.contains(')') {
                // Brackets within brackets are hard to read.
                format!("{said} {}.", plain::first_large(agreement)).trim().to_owned()
            } else {
                format!("{said} ({agreement})").trim().to_owned()
            }
        }
    }
}

fn claim(
    record: &CandidateRecord,
    sheet: &PartFindings,
    input: &ObjectInput,
    tables: &Tables,
) -> Claim {
    let spots: Vec<&Spectrum> = sheet
        .faces
        .iter()
        .flat_map(|face| &face.spots)
        // A spot that could not be judged speaks neither for nor against.
        .filter(|spot| spot.identification.outcome != crate::judge::Outcome::NotEnoughSignal)
        .filter_map(|spot| input.spectra.get(spot.index))
        .map(|result| &result.spectrum)
        .collect();
    let claimed = tables.find_material(&record.claimed).map(|material| material.id.clone());
    let mut left: Vec<String> = claimed.into_iter().collect();
    left.extend(
        sheet
            .possible_materials()
            .into_iter()
            .filter(|id| left.first() != Some(id))
            .collect::<Vec<_>>(),
    );
    let left: Vec<&str> = left.iter().map(String::as_str).collect();
    let opinion: Option<ReferenceOpinion> =
        input.references.iter().find(|(id, _)| *id == record.id).and_then(|(_, reference)| {
            references::opinion(record, reference, &spots, &left, tables)
        });
    let uv_visible = input.uv_visible.iter().find(|(id, _)| *id == record.id).map(|(_, uv)| uv);
    claims::judge(record, sheet, opinion.as_ref(), uv_visible, tables)
}

/// The settings of the measurements, each value once with how many spectra carry it.
fn settings_as_recorded(manifest: &Manifest) -> Vec<(String, String)> {
    let mut settings: Vec<(&'static str, Vec<(String, usize)>)> = Vec::new();
    for record in &manifest.spectra {
        for (heading, text) in record.entries() {
            // Where a spot lies is no setting.
            if matches!(heading, "photo" | "where" | "sample kept at") {
                continue;
            }
            let values = match settings.iter_mut().find(|(known, _)| *known == heading) {
                Some((_, values)) => values,
                None => {
                    settings.push((heading, Vec::new()));
                    match settings.last_mut() {
                        Some((_, values)) => values,
                        None => continue,
                    }
                }
            };
            match values.iter_mut().find(|(known, _)| known == text) {
                Some((_, count)) => *count += 1,
                None => values.push((text.to_owned(), 1)),
            }
        }
    }
    settings
        .into_iter()
        .map(|(heading, values)| {
            let text = match values.as_slice() {
                [(only, _)] => only.clone(),
                many => many
                    .iter()
                    .map(|(value, count)| format!("{} ({count} spectra)", recorded(value)))
                    .collect::<Vec<_>>()
                    .join("; "),
            };
            (heading.to_owned(), text)
        })
        .collect()
}

/// Each source once, with what it backs.
fn sources(
    parts: &[PartFindings],
    risks: &[NeighbourRisk],
    care: &[CareAdvice],
) -> Vec<SourceEntry> {
    let mut sources: Vec<SourceEntry> = Vec::new();
    let mut add = |backs: &str, source: &str, status: &str| {
        let known = sources.iter_mut().find(|s| s.source == source && s.status == status);
        match known {
            Some(entry) if entry.backs.split(", ").any(|b| b == backs) => {}
            Some(entry) => entry.backs.push_str(&format!(", {backs}")),
            None => sources.push(SourceEntry {
                backs: backs.to_owned(),
                source: source.to_owned(),
                status: status.to_owned(),
            }),
        }
    };
    for marker in parts
        .iter()
        .filter_map(|part| part.ageing.comparison.as_ref())
        .flat_map(|comparison| &comparison.markers)
    {
        add("ageing markers", &marker.source, &marker.status);
    }
    for risk in risks {
        add("neighbours at risk", &risk.source, &risk.status);
    }
    for note in care {
        add("care notes", &note.source, &note.status);
    }
    sources
}
