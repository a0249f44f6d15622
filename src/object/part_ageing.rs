//! Whether the faces of a part differ in age: the comparison of the ageing stage, put in the words
//! of a report.

use super::plain;
use super::record::{ColourReading, Face, Seen};
use super::result::{AgeingState, FaceFindings, MarkerChange, PartAgeing, PartOutcome};
use crate::ageing::{
    ChangeCall, ChangeScale, ComparedFace, Comparison, FACES_EXCHANGED, MarkerComparison,
    SEEN_COLOUR_DIFFERENCE, SameMaterial, power_in_words,
};
use crate::tables::Tables;

/// How the reason ends where a part has one face.
pub(super) const NOTHING_BESIDE: &str = "nothing to compare it with";

/// What is said where something visible stands against no change in the infrared.
pub(super) const NOT_EXPLAINED: &str = "visible change not explained by this method";

/// Returns why the faces of a part cannot be compared, and whether there are two of them all the same, or `None`
/// where they can.
pub(super) fn not_comparable(all: &[FaceFindings]) -> Option<(String, bool)> {
    let aged = all.iter().filter(|f| {
        matches!(f.face, Face::Exposed | Face::Reverse | Face::Covered) && f.agreement.judged > 0
    });
    let faces: Vec<&FaceFindings> = aged.collect();
    let Some((first, rest)) = faces.split_first() else {
        return Some((no_face(all).to_owned(), false));
    };
    if let Some(face) = faces.iter().find(|f| f.outcome == PartOutcome::SpotsDisagree) {
        let why = format!("the spots of the {} face do not agree", face.words);
        return Some((why, false));
    }
    let base = |face: &FaceFindings| -> Vec<String> {
        match &face.material {
            Some(id) => vec![id.clone()],
            None if face.outcome == PartOutcome::Narrowed => face.candidates.clone(),
            None if face.outcome == PartOutcome::Classed => {
                face.class.iter().flat_map(|class| class.members.iter().cloned()).collect()
            }
            None => face.components.iter().map(|c| c.id.clone()).collect(),
        }
    };
    for face in rest {
        let same = face.outcome == first.outcome && base(face) == base(first)
            || base(face).len() + base(first).len() > 2
                && face.outcome != PartOutcome::Mixed
                && first.outcome != PartOutcome::Mixed
                && base(face).iter().any(|id| base(first).contains(id));
        if !same {
            let why = format!(
                "faces differ in composition, ageing not compared ({}: {}; {}: {})",
                first.words,
                base(first).join(" and "),
                face.words,
                base(face).join(" and ")
            );
            return Some((why, true));
        }
    }
    if faces.len() < 2 {
        let why = format!("only the {} face was measured: {NOTHING_BESIDE}", first.words);
        return Some((why, false));
    }
    None
}

/// Why no face of a part may be compared.
fn no_face(faces: &[FaceFindings]) -> &'static str {
    let judged = |face: Face| faces.iter().any(|f| f.face == face && f.agreement.judged > 0);
    if judged(Face::Unknown) {
        "no face was stated"
    } else if judged(Face::Edge) {
        "only the cut edge was measured"
    } else {
        "no face could be judged"
    }
}

/// An answer where nothing was compared.
pub(super) fn not_compared(why: &str, seen: &Seen, colours: &[ColourReading]) -> PartAgeing {
    let mut ageing = PartAgeing {
        state: AgeingState::NotCompared,
        compared: String::new(),
        sentence: why.to_owned(),
        faces_refused: false,
        markers: Vec::new(),
        notes: Vec::new(),
        route: None,
        comparison: None,
    };
    if seen.any_change() || colour_differs(colours).is_some() {
        ageing.notes.push(format!("{NOT_EXPLAINED}: the faces were not compared"));
    }
    ageing
}

/// Puts a comparison into the words of a report.
pub(super) fn from_comparison(
    comparison: Comparison,
    faces: &[FaceFindings],
    seen: &Seen,
    colours: &[ColourReading],
    tables: &Tables,
) -> PartAgeing {
    if let SameMaterial::Different { why } = &comparison.same_material {
        let why = format!("faces differ in composition, ageing not compared ({why})");
        let mut ageing = not_compared(&why, seen, colours);
        ageing.faces_refused = true;
        ageing.comparison = Some(comparison);
        return ageing;
    }
    let words_of = |face: ComparedFace| -> String {
        let wanted = face_of(face);
        faces
            .iter()
            .find(|f| f.face == wanted)
            .map_or_else(|| face.word().to_owned(), |f| f.words.clone())
    };
    let markers: Vec<MarkerChange> =
        comparison.markers.iter().map(|m| marker_change(m, &words_of, tables)).collect();
    let call = |wanted: &[ChangeCall]| comparison.markers.iter().any(|m| wanted.contains(&m.call));
    let state = if call(&[ChangeCall::Changed]) {
        AgeingState::Changed
    } else if call(&[ChangeCall::TooBlind]) {
        // One marker that was sharp enough does not speak for one that was not.
        AgeingState::TooBlind
    } else if call(&[ChangeCall::NoChangeShown]) {
        AgeingState::NoChangeDetected
    } else if call(&[ChangeCall::NotTested, ChangeCall::Exploratory]) {
        AgeingState::NotTested
    } else {
        AgeingState::NotCompared
    };
    let mut pairs: Vec<String> = Vec::new();
    for m in &comparison.markers {
        let pair = format!("{} against {}", words_of(m.face), words_of(m.against));
        if !pairs.contains(&pair) {
            pairs.push(pair);
        }
    }
    let compared = pairs.join("; ");
    let changed: Vec<String> = pairs
        .iter()
        .filter_map(|pair| {
            let found: Vec<String> = comparison
                .markers
                .iter()
                .filter(|m| m.call == ChangeCall::Changed)
                .filter(|m| {
                    *pair == format!("{} against {}", words_of(m.face), words_of(m.against))
                })
                .map(|m| {
                    let below = if m.below_detection {
                        ", each spot by itself below detection"
                    } else {
                        ""
                    };
                    format!("{}{below}", plain_change(m, tables))
                })
                .collect();
            (!found.is_empty()).then(|| format!("{pair}, {}", plain::list(&found)))
        })
        .collect();
    let mut sentence = match state {
        AgeingState::Changed => format!("changed: {}", changed.join("; ")),
        AgeingState::NoChangeDetected => {
            let power = power_of_unchanged(&comparison, tables);
            format!("no change to be seen in the markers named beforehand ({compared}){power}")
        }
        AgeingState::TooBlind => too_blind(&comparison, &compared, tables),
        AgeingState::NotTested => {
            format!("compared without a test ({compared}): {}", comparison.sentence)
        }
        AgeingState::NotCompared => comparison.sentence.clone(),
    };
    let exchanged = comparison.warnings.iter().find(|w| w.id == FACES_EXCHANGED);
    if let Some(doubt) = exchanged.filter(|doubt| !sentence.contains(&doubt.text)) {
        // On the first page too: a name on a file is soon exchanged.
        sentence.push_str(&format!("; {}", doubt.text));
    }
    let mut notes = Vec::new();
    let has = |face: ComparedFace| comparison.faces.iter().any(|f| f.face == face);
    if has(ComparedFace::Reverse) {
        notes.push(format!(
            "{} is the far side of the same wall or sheet: both faces saw light, so that it is no \
             unaged reference",
            words_of(ComparedFace::Reverse)
        ));
        if !has(ComparedFace::Covered) {
            notes.push("no covered face was measured: there is no less-aged reference".to_owned());
        }
    }
    notes.push("the spots describe these faces, not the effect of light in general".to_owned());
    notes.extend(comparison.colour.iter().cloned());
    // What the note on the far side says already is not said twice.
    let said = |text: &str| has(ComparedFace::Reverse) && text.starts_with("both faces saw light");
    notes.extend(
        comparison
            .warnings
            .iter()
            .map(|w| w.text.clone())
            .filter(|text| !said(text) && !sentence.contains(text.as_str())),
    );
    let difference = colour_differs(colours);
    if state != AgeingState::Changed
        && (difference.is_some() || seen.any_change())
        && !notes.iter().any(|note| note.contains(NOT_EXPLAINED))
    {
        notes.push(match difference {
            Some(difference) => {
                format!("{NOT_EXPLAINED} (colour difference ΔE*ab {difference:.1})")
            }
            None => NOT_EXPLAINED.to_owned(),
        });
    }
    let route = comparison.routes.first().map(|route| route.sentence.clone());
    PartAgeing {
        state,
        compared,
        sentence,
        faces_refused: false,
        markers,
        notes,
        route,
        comparison: Some(comparison),
    }
}

/// Says how large a change would have been seen, for "no change" alone says nothing.
fn power_of_unchanged(comparison: &Comparison, tables: &Tables) -> String {
    let list: Vec<String> = comparison
        .markers
        .iter()
        .filter(|m| m.call == ChangeCall::NoChangeShown)
        .filter_map(|m| {
            let below = (m.below_detection && m.primary).then_some("below detection on every spot");
            let said: Vec<String> =
                below.map(str::to_owned).into_iter().chain(power_in_words(m)).collect();
            let what = plain::marker(&m.id, &m.shows, tables);
            (!said.is_empty()).then(|| format!("{what}: {}", said.join(", ")))
        })
        .collect();
    if list.is_empty() { String::new() } else { format!("; {}", list.join("; ")) }
}

/// Says for which markers the spots were too blind, and what stayed the same as far as they could see.
fn too_blind(comparison: &Comparison, compared: &str, tables: &Tables) -> String {
    let of = |call: ChangeCall| -> Vec<&MarkerComparison> {
        comparison.markers.iter().filter(|m| m.call == call).collect()
    };
    let blind: Vec<String> = of(ChangeCall::TooBlind)
        .into_iter()
        .map(|m| match &m.why {
            Some(why) => format!("{} ({why})", plain::marker(&m.id, &m.shows, tables)),
            None => plain::marker(&m.id, &m.shows, tables).to_owned(),
        })
        .collect();
    let mut text = format!("too blind to say ({compared}): {}", plain::list(&blind));
    let mut seen: Vec<String> = Vec::new();
    for marker in of(ChangeCall::NoChangeShown) {
        let name = plain::marker(&marker.id, &marker.shows, tables).to_owned();
        if !seen.contains(&name) {
            seen.push(name);
        }
    }
    if !seen.is_empty() {
        text.push_str(&format!("; no change shown of {}", plain::list(&seen)));
    }
    text
}

fn face_of(face: ComparedFace) -> Face {
    match face {
        ComparedFace::Exposed => Face::Exposed,
        ComparedFace::Reverse => Face::Reverse,
        ComparedFace::Covered => Face::Covered,
        ComparedFace::Earlier | ComparedFace::Later => Face::Unknown,
    }
}

/// A change in words for a reader who is no chemist: what there is more or less of, two digits.
fn plain_change(m: &MarkerComparison, tables: &Tables) -> String {
    let what = plain::marker(&m.id, &m.shows, tables);
    let (Some(change), Some(low), Some(high)) = (m.change, m.low, m.high) else {
        return what.to_owned();
    };
    match m.scale {
        ChangeScale::Ratio => {
            // Near 1 it is the distance from 1 that needs digits.
            let digits = plain::decimals(change).max(plain::decimals(change - 1.0)).min(3);
            format!(
                "{} times as much {what} (95 % interval {} to {})",
                plain::fixed(change, digits),
                plain::fixed(low, digits),
                plain::fixed(high, digits)
            )
        }
        ChangeScale::Difference => {
            let digits = plain::decimals(change);
            format!(
                "{} {what} ({}; 95 % interval {} to {})",
                if change < 0.0 { "less of the" } else { "more" },
                plain::signed(change, digits),
                plain::signed(low, digits),
                plain::signed(high, digits)
            )
        }
    }
}

fn marker_change(
    m: &MarkerComparison,
    words_of: &dyn Fn(ComparedFace) -> String,
    tables: &Tables,
) -> MarkerChange {
    let change = match (m.change, m.low, m.high) {
        (Some(change), Some(low), Some(high)) => Some((change, low, high)),
        _ => None,
    };
    let call = match m.call {
        ChangeCall::Changed => "changed",
        ChangeCall::NoChangeShown => "no change shown",
        ChangeCall::TooBlind => "too blind to say",
        ChangeCall::Exploratory => "exploratory",
        ChangeCall::NotTested => "not tested",
        ChangeCall::Refused => "refused",
    };
    let mut remark = call.to_owned();
    if let Some(why) = &m.why {
        remark.push_str(&format!(": {why}"));
    }
    for confounder in &m.confounders {
        // A confounder that refuses is the reason given above.
        if !remark.contains(&confounder.does) {
            remark.push_str(&format!("; {}", confounder.does));
        }
    }
    let pair = format!("{} against {}", words_of(m.face), words_of(m.against));
    // A figure that is refused is no finding.
    let words = match change.filter(|_| m.call != ChangeCall::Refused) {
        Some(_) => format!("{pair}: {}; {remark}", plain_change(m, tables)),
        None => format!("{pair}: {}; {remark}", plain::marker(&m.id, &m.shows, tables)),
    };
    MarkerChange {
        marker: m.id.clone(),
        shows: m.shows.clone(),
        primary: m.primary,
        face: face_of(m.face),
        against: face_of(m.against),
        value: m.face_mean,
        against_value: m.against_mean,
        change,
        scale: m.scale,
        p_value: m.p_corrected,
        changed: m.call == ChangeCall::Changed,
        refused: m.call == ChangeCall::Refused,
        remark,
        words,
    }
}

/// Returns the colour difference between the lit and the covered face, where it is one.
fn colour_differs(colours: &[ColourReading]) -> Option<f64> {
    let lab = |face: Face| {
        colours
            .iter()
            .find(|c| c.face == face)
            .and_then(|c| Some([c.lightness?, c.a_star?, c.b_star?]))
    };
    let (lit, covered) = (lab(Face::Exposed)?, lab(Face::Covered)?);
    let difference = lit.iter().zip(covered).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt();
    (difference >= SEEN_COLOUR_DIFFERENCE).then_some(difference)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marker(call: ChangeCall, why: Option<&str>) -> MarkerComparison {
        MarkerComparison {
            shows: "oxidation carbonyl".to_owned(),
            primary: true,
            face_mean: Some(0.2),
            against_mean: Some(0.1),
            scale: ChangeScale::Ratio,
            change: Some(1.9),
            low: Some(0.6),
            high: Some(6.0),
            p: Some(0.2),
            p_corrected: Some(0.2),
            smallest_detectable: Some(5.6),
            why: why.map(str::to_owned),
            ..MarkerComparison::unmeasured("PVC_CO", call)
        }
    }

    fn of(markers: Vec<MarkerComparison>) -> PartAgeing {
        of_faces(SameMaterial::Same, markers)
    }

    fn of_faces(same_material: SameMaterial, markers: Vec<MarkerComparison>) -> PartAgeing {
        let comparison = Comparison {
            material: Some("PVC".to_owned()),
            same_material,
            faces: Vec::new(),
            markers,
            contact: Vec::new(),
            differences: Vec::new(),
            routes: Vec::new(),
            colour: None,
            sentence: String::new(),
            warnings: Vec::new(),
        };
        let seen = Seen { discolouration: "yellowed".to_owned(), ..Seen::default() };
        from_comparison(comparison, &[], &seen, &[], Tables::built_in())
    }

    #[test]
    fn faces_that_differ_are_refused_and_faces_that_were_compared_are_not() {
        let why = "PVC against PMMA".to_owned();
        let found = of_faces(SameMaterial::Different { why }, Vec::new());
        assert_eq!((found.state, found.faces_refused), (AgeingState::NotCompared, true));
        assert!(found.sentence.contains("PVC against PMMA"), "{}", found.sentence);
        assert!(!of(vec![marker(ChangeCall::NoChangeShown, None)]).faces_refused);
        assert!(!not_compared("only one face", &Seen::default(), &[]).faces_refused);
    }

    #[test]
    fn a_visible_change_beside_spots_too_blind_is_never_called_no_change() {
        let blind = marker(ChangeCall::TooBlind, Some("no change below 5.6 times could be shown"));
        let sharp = MarkerComparison {
            smallest_detectable: Some(1.3),
            ..marker(ChangeCall::NoChangeShown, None)
        };
        for markers in [vec![blind.clone()], vec![sharp.clone(), blind]] {
            let found = of(markers);
            assert_eq!(found.state, AgeingState::TooBlind);
            assert!(found.sentence.starts_with("too blind to say (exposed against covered): "));
            assert!(
                found.sentence.contains("no change below 5.6 times could be shown"),
                "{}",
                found.sentence
            );
            assert!(!found.sentence.contains("no change to be seen"), "{}", found.sentence);
            assert!(found.notes.iter().any(|n| n == NOT_EXPLAINED), "{:?}", found.notes);
        }
        let found = of(vec![sharp]);
        assert_eq!(found.state, AgeingState::NoChangeDetected);
        assert!(
            found.sentence.contains("no change below 1.3 times could be shown"),
            "{}",
            found.sentence
        );
    }
}
