//! Two faces of one part, or two examinations of one spot, compared with each other.

use super::baseline_ends::refuse_lifted;
use super::change::{Grounds, Side, UNKNOWN_GAP_UM, compare_marker, correct_and_call, settle_fits};
use super::colour::compare_colours;
use super::composition::{Composition, compare_compositions};
use super::copies::copied;
use super::difference::{FittedSpot, difference};
use super::disturbance::{Disturbances, Kind, is_over_hydroxyl};
use super::markers::read_all;
use super::noise::Noise;
use super::pair_contact::PairContact;
use super::reading::{Reading, Specimen, water_confounder};
use super::resolution::{self, RESOLUTION_DIFFERS};
use super::route::suggest;
use super::session::{Session, sessions_agree};
use super::spot::Spot;
use super::values::{
    CONTACT_MISFIT, ChangeCall, ChangeScale, ComparedFace, Comparison, FACES_EXCHANGED, FaceColour,
    FaceCount, FoundConfounder, MarkerComparison, SameMaterial,
};
use super::water::{WaterInDifference, water_in};
use crate::optics::Element;
use crate::spectrum::zones::VAPOUR_CM1;
use crate::spectrum::{MeasurementMode, Warning};
use crate::tables::{ConfounderEffect, ConfounderRole, Direction, Marker, MarkerRole, Tables};

/// Id of the warning that spots are copies of one another, so that nothing is compared.
pub const COPIED_SPOTS: &str = "copied-spots";

/// What the name of a marker says that follows oxidation.
const OXIDATION: &str = "oxidation";

/// Everything a comparison is made from.
#[derive(Clone)]
#[non_exhaustive]
pub struct CompareInput<'a> {
    /// Material id whose markers are compared; taken from the spots where `None`.
    pub material: Option<&'a str>,
    /// The spots of all faces.
    pub spots: &'a [Spot<'a>],
    /// The table.
    pub tables: &'a Tables,
    /// The crystal all spots were measured on.
    pub crystal: Element,
    /// Colour readings, if any.
    pub colours: &'a [FaceColour],
    /// How the earlier and the later examination were measured.
    pub sessions: Option<(&'a Session, &'a Session)>,
}

impl<'a> CompareInput<'a> {
    /// Creates the input of spots that were all measured on one crystal, without colours.
    #[must_use]
    pub fn new(spots: &'a [Spot<'a>], crystal: Element, tables: &'a Tables) -> Self {
        Self { material: None, spots, tables, crystal, colours: &[], sessions: None }
    }

    /// Sets the id of the material whose markers are compared.
    #[must_use]
    pub fn with_material(self, material: impl Into<Option<&'a str>>) -> Self {
        Self { material: material.into(), ..self }
    }
}

/// Compares the faces of one part.
///
/// Exposed and reverse are compared with covered, the only less-aged reference; later with
/// earlier. Markers named beforehand are tested after Welch and corrected among themselves after
/// Holm; all others are shown and never called changed. Spots that are one measurement stop it: see
/// [`COPIED_SPOTS`].
#[must_use]
pub fn compare(input: &CompareInput<'_>) -> Comparison {
    let mut result = Comparison {
        material: None,
        same_material: SameMaterial::CannotTell { why: "nothing to compare".to_owned() },
        faces: counts(input.spots),
        markers: Vec::new(),
        contact: Vec::new(),
        differences: Vec::new(),
        routes: Vec::new(),
        colour: None,
        sentence: String::new(),
        warnings: Vec::new(),
    };
    let pairs = pairs(&result.faces, &mut result.warnings);
    let material = input
        .material
        .map(str::to_owned)
        .or_else(|| input.spots.iter().find_map(|s| s.composition.material.clone()));
    result.material.clone_from(&material);
    let Some(material) = material else {
        "No spot was identified and no material was named, so ageing is not compared."
            .clone_into(&mut result.sentence);
        return result;
    };
    if pairs.is_empty() {
        "Only one face was given; there is nothing to compare it with."
            .clone_into(&mut result.sentence);
        return result;
    }
    if let Some(why) = copied(input.spots) {
        result.sentence = format!("Not compared: {why}.");
        result.warnings.push(Warning::new(COPIED_SPOTS, why));
        return result;
    }
    let readings: Vec<Vec<Reading>> = input
        .spots
        .iter()
        .map(|s| {
            let noise = Noise::of(s.specimen.spectrum);
            read_all(&s.specimen, noise.as_ref(), &material, input.tables)
        })
        .collect();
    let fitted: Vec<Pair<'_>> =
        pairs.iter().map(|faces| Pair::of(input, &material, *faces)).collect();
    result.same_material = same_material(input, &fitted, &material, &readings);
    if let SameMaterial::Different { why } = &result.same_material {
        result.sentence = format!("Faces differ in composition, ageing not compared: {why}.");
        return result;
    }
    for pair in &fitted {
        compare_pair(input, &material, &readings, pair, &mut result);
    }
    correct_and_call(&mut result.markers);
    settle_fits(&mut result.contact, &mut result.differences);
    result.warnings.extend(exchanged(&result.markers, input.tables));
    for &(face, against) in &pairs {
        let changes: Vec<&MarkerComparison> =
            result.markers.iter().filter(|m| m.face == face && m.against == against).collect();
        result.routes.extend(suggest(&material, &changes, input.tables));
    }
    result.markers.sort_by_key(|m| !m.primary);
    result.colour = colour(input.colours, &pairs, &result.markers);
    result.sentence = super::sentence::of_comparison(&result, &pairs);
    result
}

/// Doubts the names of the faces where the covered one is called the more oxidised: light and air reach the other.
fn exchanged(markers: &[MarkerComparison], tables: &Tables) -> Option<Warning> {
    let less = |m: &MarkerComparison| match (m.change, m.scale) {
        (Some(change), ChangeScale::Ratio) => change < 1.0,
        (Some(change), ChangeScale::Difference) => change < 0.0,
        (None, _) => false,
    };
    let rises = |m: &MarkerComparison| {
        tables.markers().iter().find(|row| row.id == m.id).is_some_and(|row| {
            row.direction == Direction::Up
                && (row.shows.contains(OXIDATION) || row.plain.contains(OXIDATION))
        })
    };
    let is_one = |m: &&MarkerComparison| {
        m.primary
            && m.call == ChangeCall::Changed
            && m.against == ComparedFace::Covered
            && less(m)
            && rises(m)
    };
    let found = markers.iter().find(is_one)?;
    let text = format!(
        "the covered face is the more oxidised beside the {} one: were the faces exchanged? check the names of the files",
        found.face.word()
    );
    Some(Warning::new(FACES_EXCHANGED, text))
}

fn counts(spots: &[Spot<'_>]) -> Vec<FaceCount> {
    use ComparedFace::{Covered, Earlier, Exposed, Later, Reverse};

    [Exposed, Reverse, Covered, Earlier, Later]
        .into_iter()
        .map(|face| FaceCount { face, n: spots.iter().filter(|s| s.face == face).count() })
        .filter(|count| count.n > 0)
        .collect()
}

/// Which faces are compared with which.
fn pairs(faces: &[FaceCount], warnings: &mut Vec<Warning>) -> Vec<(ComparedFace, ComparedFace)> {
    use ComparedFace::{Covered, Earlier, Exposed, Later, Reverse};

    let has = |face| faces.iter().any(|c| c.face == face);
    let mut pairs = Vec::new();
    if has(Exposed) && has(Covered) {
        pairs.push((Exposed, Covered));
    }
    if has(Reverse) && has(Covered) {
        pairs.push((Reverse, Covered));
    }
    if has(Exposed) && has(Reverse) && !has(Covered) {
        pairs.push((Exposed, Reverse));
    }
    if has(Later) && has(Earlier) {
        pairs.push((Later, Earlier));
    }
    if has(Reverse) {
        warnings.push(Warning::new(
            "reverse-saw-light",
            "both faces saw light: the reverse face of a transparent part is no unaged reference",
        ));
    }
    pairs
}

fn of_face<'a, T>(input: &CompareInput<'_>, items: &'a [T], face: ComparedFace) -> Vec<&'a T> {
    input.spots.iter().zip(items).filter(|(s, _)| s.face == face).map(|(_, i)| i).collect()
}

fn specimens_of<'a>(input: &CompareInput<'a>, face: ComparedFace) -> Vec<&'a Specimen<'a>> {
    input.spots.iter().filter(|s| s.face == face).map(|s| &s.specimen).collect()
}

/// Two faces, with what lies between them beside their age.
struct Pair<'t> {
    face: ComparedFace,
    against: ComparedFace,
    contact: Option<PairContact>,
    disturbances: Option<Disturbances<'t>>,
    /// Why the resolution of one bars the comparison.
    resolution: Option<String>,
}

impl<'t> Pair<'t> {
    fn of(
        input: &CompareInput<'t>,
        material: &str,
        (face, against): (ComparedFace, ComparedFace),
    ) -> Self {
        let (ours, theirs) = (specimens_of(input, face), specimens_of(input, against));
        let fit = |clear_of| {
            PairContact::fit(input.crystal, input.tables, material, (&ours, &theirs), clear_of)
        };
        let contact = fit(None);
        let mut pair = Self { face, against, contact, disturbances: None, resolution: None };
        let disturbed = |pair: &Self| {
            let (a, b) = pair.fitted(input);
            Disturbances::of(&input.crystal, &a, &b, input.tables.stretches())
        };
        let mut disturbances = disturbed(&pair);
        // Lines on the bands that contact is read from look like a gap.
        if disturbances.as_ref().is_some_and(Disturbances::is_vapour_high) {
            pair.contact = fit(Some(VAPOUR_CM1));
            disturbances = disturbed(&pair);
        }
        pair.resolution = resolution::differs(input.spots, (face, against), disturbances.as_ref());
        pair.disturbances = disturbances;
        pair
    }

    /// The spots of both faces, each with its contact.
    fn fitted<'a>(
        &'a self,
        input: &CompareInput<'a>,
    ) -> (Vec<FittedSpot<'a>>, Vec<FittedSpot<'a>>) {
        let contact = self.contact.as_ref();
        let ours = specimens_of(input, self.face).into_iter().enumerate();
        let theirs = specimens_of(input, self.against).into_iter().enumerate();
        (
            ours.map(|(i, s)| (s.spectrum, contact.and_then(|c| c.of_face(i)))).collect(),
            theirs.map(|(i, s)| (s.spectrum, contact.and_then(|c| c.of_reference(i)))).collect(),
        )
    }
}

fn same_material(
    input: &CompareInput<'_>,
    pairs: &[Pair<'_>],
    material: &str,
    readings: &[Vec<Reading>],
) -> SameMaterial {
    let compositions: Vec<&Composition> = input.spots.iter().map(|s| &s.composition).collect();
    let mut verdict = SameMaterial::Same;
    for &Pair { face, against, ref contact, ref resolution, .. } in pairs {
        let side = |face| -> (Vec<&Composition>, Vec<Vec<&Reading>>) {
            let ours: Vec<&Composition> =
                of_face(input, &compositions, face).into_iter().copied().collect();
            let composition = input
                .tables
                .markers_of(material)
                .filter(|m| m.role == MarkerRole::Composition)
                .map(|m| {
                    of_face(input, readings, face)
                        .into_iter()
                        .filter_map(|list| list.iter().find(|r| r.result.id == m.id))
                        .collect()
                })
                .collect();
            (ours, composition)
        };
        let (a, a_readings) = side(face);
        let (b, b_readings) = side(against);
        // What is broader in one reads as another composition; its name does not.
        if let Some(why) = resolution {
            let names = [(face, &a), (against, &b)].map(|(face, named)| (face.word(), named));
            let [ours, theirs] = names.map(|(word, named)| (word, named.as_slice(), &[][..]));
            match compare_compositions(ours, theirs, None) {
                different @ SameMaterial::Different { .. } => return different,
                _ => verdict = SameMaterial::CannotTell { why: why.clone() },
            }
            continue;
        }
        match compare_compositions(
            (face.word(), &a, &a_readings),
            (against.word(), &b, &b_readings),
            contact.as_ref(),
        ) {
            SameMaterial::Same => {}
            different @ SameMaterial::Different { .. } => return different,
            doubt @ SameMaterial::CannotTell { .. } => verdict = doubt,
        }
        let (ours, theirs) = (of_face(input, readings, face), of_face(input, readings, against));
        if let Some(alone) = absorber_alone((face, &ours), (against, &theirs), input.tables) {
            verdict = SameMaterial::CannotTell {
                why: format!(
                    "a band near 1630 stands on the {} face alone: a UV absorber or cap, or photo-Fries past its first step",
                    alone.word()
                ),
            };
        }
    }
    verdict
}

/// Returns the face most of whose spots show a UV absorber, where hardly any of the other's do.
fn absorber_alone(
    (face, ours): (ComparedFace, &[&Vec<Reading>]),
    (against, theirs): (ComparedFace, &[&Vec<Reading>]),
    tables: &Tables,
) -> Option<ComparedFace> {
    let is_cap = |found: &FoundConfounder| has_role(found, ConfounderRole::Cap, tables);
    let shows = |spots: &[&Vec<Reading>]| {
        let found =
            |list: &&&Vec<Reading>| list.iter().any(|r| r.result.confounders.iter().any(is_cap));
        2 * spots.iter().filter(found).count() > spots.len()
    };
    match (shows(ours), shows(theirs)) {
        (true, false) => Some(face),
        (false, true) => Some(against),
        _ => None,
    }
}

fn compare_pair(
    input: &CompareInput<'_>,
    material: &str,
    readings: &[Vec<Reading>],
    pair: &Pair<'_>,
    result: &mut Comparison,
) {
    let &Pair { face, against, ref contact, ref disturbances, ref resolution } = pair;
    let atr = input.spots.iter().all(|s| s.specimen.spectrum.mode() == MeasurementMode::Atr);
    let differs = resolution.iter().map(|why| Warning::new(RESOLUTION_DIFFERS, why.clone()));
    result.warnings.extend(differs);
    let blocked = resolution.clone().or_else(|| refusal_of_sessions(input, face));
    match contact {
        Some(fit) => {
            result.contact.extend(fit.reports(face, against));
            if let Some(text) = fit.warning() {
                result.warnings.push(Warning::new(CONTACT_MISFIT, text));
            }
        }
        None if atr => result.warnings.push(Warning::new(
            "contact-not-fitted",
            format!(
                "contact could not be fitted: too few unchanged bands at both ends of the range; each spot is allowed a gap of its own (standard deviation {UNKNOWN_GAP_UM} µm), and markers whose bands lie far apart are refused"
            ),
        )),
        None => {}
    }
    let mut water = WaterInDifference::NotWater;
    let disturbances = disturbances.as_ref().filter(|_| blocked.is_none());
    if blocked.is_none() {
        let (a, b) = pair.fitted(input);
        let difference = difference(&input.crystal, (face, &a), (against, &b));
        water = water_in(&difference, &input.tables.stretches().water);
        result.differences.push(difference);
    }
    let found = disturbances.map_or(&[][..], Disturbances::found);
    result
        .warnings
        .extend(found.iter().map(|f| Warning::new(f.kind.id(), f.in_words(face, against))));
    let named = |m: &&Marker| m.role == MarkerRole::Primary && m.instead_of.is_none();
    let tests = input.tables.markers_of(material).filter(named).count();
    let grounds =
        Grounds { contact: contact.as_ref(), crystal: input.crystal, atr, disturbances, tests };
    let start = result.markers.len();
    let side = |face| of_face(input, readings, face);
    for marker in input.tables.markers_of(material) {
        if matches!(marker.role, MarkerRole::Contact | MarkerRole::Composition) {
            continue;
        }
        let pick = |face| -> Vec<&Reading> {
            side(face)
                .into_iter()
                .filter_map(|list| list.iter().find(|r| r.result.id == marker.id))
                .collect()
        };
        let mut change = compare_marker(
            marker,
            &Side { face, readings: pick(face) },
            &Side { face: against, readings: pick(against) },
            &grounds,
        );
        let water_found = found.iter().any(|f| f.kind == Kind::Water);
        refuse_water(&mut change, water, water_found, input.tables);
        if found.iter().any(|f| f.kind == Kind::Vapour) {
            name_vapour(&mut change, input.tables);
        }
        if let Some(why) = &blocked {
            block(&mut change, why);
        }
        result.markers.push(change);
    }
    if let Some(changes) = result.markers.get_mut(start..) {
        refuse_lifted(changes, found, input.tables);
        stand_in(changes, material, input.tables);
    }
}

/// Refuses a marker whose change is, or cannot be told from, a change of adsorbed water.
fn refuse_water(
    change: &mut MarkerComparison,
    water: WaterInDifference,
    found: bool,
    tables: &Tables,
) {
    let of_water = &tables.stretches().water;
    let (stretch, bend) = (of_water.stretch.position_cm1, of_water.bend.position_cm1);
    let (_, libration) = of_water.libration.cm1;
    let does = match water {
        WaterInDifference::NotWater if found && is_over_stretch(change, tables) => format!(
            "adsorbed water may be the reason: its bend near {bend:.0} and its stretch changed together; dry and repeat"
        ),
        WaterInDifference::NotWater => return,
        WaterInDifference::Water => format!(
            "adsorbed water: {stretch:.0}, {bend:.0} and the libration below {libration:.0} changed together, as in water; dry and repeat"
        ),
        WaterInDifference::NotTold => format!(
            "adsorbed water cannot be ruled out: {stretch:.0} and {bend:.0} changed together, and the libration below {libration:.0} was not measured"
        ),
    };
    let Some(confounder) = water_confounder(&change.id, tables) else { return };
    let refuses = confounder.effect == ConfounderEffect::Refuse;
    if refuses && change.call != ChangeCall::Refused {
        change.call = ChangeCall::Refused;
        change.p = None;
        change.why = Some(does.clone());
    }
    change.confounders.push(FoundConfounder { id: confounder.id.clone(), does, refuses });
}

/// Whether the table gives a role to what was found.
fn has_role(found: &FoundConfounder, role: ConfounderRole, tables: &Tables) -> bool {
    tables.confounders().iter().any(|c| c.id == found.id && c.role == Some(role))
}

/// Whether a marker asks of hydroxyl, which water has too; its other markers have water taken out.
fn is_over_stretch(change: &MarkerComparison, tables: &Tables) -> bool {
    tables
        .markers()
        .iter()
        .any(|m| m.id == change.id && is_over_hydroxyl(&m.measure, tables.stretches()))
}

/// Names vapour, whose lines above 3600 look like the sharp hydroxyls of a filler, in their place.
fn name_vapour(change: &mut MarkerComparison, tables: &Tables) {
    let is_filler =
        |found: &FoundConfounder| has_role(found, ConfounderRole::SharpHydroxyl, tables);
    let Some(filler) = change.confounders.iter().position(is_filler) else { return };
    let does = "water vapour differs between the faces, and its lines stand among the hydroxyls: a filler's cannot be told from them; measure a new background and repeat";
    let taken_for = change.confounders.remove(filler);
    if change.call == ChangeCall::Refused
        && change.why.as_ref().is_some_and(|why| why.contains(&taken_for.does))
    {
        change.why = Some(does.to_owned());
    }
    change.confounders.push(FoundConfounder {
        id: Kind::Vapour.id().to_owned(),
        does: does.to_owned(),
        refuses: taken_for.refuses,
    });
}

/// Keeps one of two markers of which one stands in for the other, so that both are never tested.
fn stand_in(changes: &mut [MarkerComparison], material: &str, tables: &Tables) {
    for marker in tables.markers_of(material) {
        let Some(place) = &marker.instead_of else { continue };
        let applies = changes.iter().any(|c| c.id == marker.id && c.call != ChangeCall::Refused);
        if let Some(other) = changes.iter_mut().find(|c| c.id == *place)
            && applies
            && other.call != ChangeCall::Refused
        {
            other.call = ChangeCall::Refused;
            other.p = None;
            other.why = Some(format!("{} is read in its place", marker.id));
        }
    }
}

/// Takes every number out of a change, and leaves presence alone.
fn block(change: &mut MarkerComparison, why: &str) {
    change.call = ChangeCall::Refused;
    change.why = Some(format!("identity and presence only: {why}"));
    change.change = None;
    change.low = None;
    change.high = None;
    change.p = None;
    change.p_corrected = None;
    change.face_mean = None;
    change.against_mean = None;
    change.contact_change = None;
    change.smallest_detectable = None;
    change.scale = ChangeScale::Difference;
}

fn refusal_of_sessions(input: &CompareInput<'_>, face: ComparedFace) -> Option<String> {
    if face != ComparedFace::Later {
        return None;
    }
    match input.sessions {
        None => Some("crystal, angle, resolution and a stable check sample of both examinations are not recorded".to_owned()),
        Some((earlier, later)) => sessions_agree(earlier, later).err(),
    }
}

fn colour(
    colours: &[FaceColour],
    pairs: &[(ComparedFace, ComparedFace)],
    changes: &[MarkerComparison],
) -> Option<String> {
    let &(face, against) = pairs.first()?;
    let found = compare_colours(colours, face, against)?;
    let changed = changes.iter().any(|c| c.call == ChangeCall::Changed);
    Some(if found.seen && !changed {
        format!("{}; visible change not explained by this method", found.words)
    } else {
        found.words
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused_for_water(id: &str, water: WaterInDifference, found: bool) -> MarkerComparison {
        let mut change = MarkerComparison {
            p: Some(0.01),
            ..MarkerComparison::unmeasured(id, ChangeCall::Changed)
        };
        refuse_water(&mut change, water, found, Tables::built_in());
        change
    }

    #[test]
    fn water_refuses_what_it_may_have_changed_and_says_how_far_it_is_known() {
        for (water, found, words) in [
            (WaterInDifference::Water, false, "changed together, as in water"),
            (WaterInDifference::NotTold, false, "was not measured"),
            // The whole of water was not seen, but a film of it was, and hydroxyl lies over its stretch.
            (WaterInDifference::NotWater, true, "may be the reason"),
        ] {
            let change = refused_for_water("PVC_OH", water, found);
            assert_eq!((change.call, change.p), (ChangeCall::Refused, None), "{water:?}");
            assert!(change.why.is_some_and(|why| why.contains(words)), "{water:?}");
            assert!(change.confounders.iter().any(|c| c.refuses && c.does.contains(words)));
        }
    }

    #[test]
    fn where_no_water_was_found_a_change_stands() {
        let dry = refused_for_water("PVC_OH", WaterInDifference::NotWater, false);
        assert_eq!((dry.call, dry.p), (ChangeCall::Changed, Some(0.01)));
        assert!(dry.confounders.is_empty() && dry.why.is_none());
        // A film of water is taken out of a carbonyl, which is not refused for it.
        let beside = refused_for_water("PVC_CO", WaterInDifference::NotWater, true);
        assert_eq!(beside.call, ChangeCall::Changed);
        // Nor is a C=C beside the bend, which the table has refused where all of water is seen.
        let unsaturation = refused_for_water("PMMA_UNSAT", WaterInDifference::NotWater, true);
        assert_eq!(unsaturation.call, ChangeCall::Changed);
        let wet = refused_for_water("PMMA_UNSAT", WaterInDifference::Water, false);
        assert_eq!(wet.call, ChangeCall::Refused);
    }

    #[test]
    fn of_two_markers_of_which_one_stands_in_for_the_other_one_is_tested() {
        let tables = Tables::built_in();
        let (material, marker) = tables
            .markers()
            .iter()
            .find_map(|m| {
                Some((m.materials.first()?.clone(), (m.id.clone(), m.instead_of.clone()?)))
            })
            .expect("a marker that stands in for another");
        let change = |id: &str, call| MarkerComparison {
            p: Some(0.01),
            ..MarkerComparison::unmeasured(id, call)
        };
        let of = |own, other| {
            let mut both = [change(&marker.0, own), change(&marker.1, other)];
            stand_in(&mut both, &material, tables);
            both
        };
        let [own, other] = of(ChangeCall::Changed, ChangeCall::Changed);
        assert_eq!((own.call, own.p), (ChangeCall::Changed, Some(0.01)));
        assert_eq!((other.call, other.p), (ChangeCall::Refused, None));
        assert_eq!(other.why, Some(format!("{} is read in its place", marker.0)));
        // Where it cannot be read itself, the other stands; and a refusal keeps its own reason.
        let [_, other] = of(ChangeCall::Refused, ChangeCall::Changed);
        assert_eq!((other.call, other.p), (ChangeCall::Changed, Some(0.01)));
        let [_, other] = of(ChangeCall::Changed, ChangeCall::Refused);
        assert_eq!(other.why, None);
    }

    #[test]
    fn a_blocked_change_keeps_no_number() {
        let mut change = MarkerComparison {
            change: Some(0.2),
            low: Some(0.1),
            high: Some(0.3),
            p: Some(0.01),
            ..MarkerComparison::unmeasured("PVC_CO", ChangeCall::Changed)
        };
        block(&mut change, "another session");
        assert_eq!(change.call, ChangeCall::Refused);
        assert_eq!((change.change, change.low, change.high, change.p), (None, None, None, None));
        assert!(change.why.is_some_and(|why| why.ends_with("another session")));
    }
}
