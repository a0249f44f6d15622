//! Each part: what it is, on which faces, what has changed, what the eye sees.

use super::super::document::{Cell, Document, Kind, Table, Tone};
use super::super::{FigurePlace, ObjectReport};
use super::{anchor, figures, list_words, part_cell};
use crate::ageing::ChangeScale;
use crate::object::{
    AgeingState, ChlorineList, FaceFindings, MarkerChange, PartFindings, PartOutcome, XrfChlorine,
    recorded,
};
use crate::report::identification::Stamp;
use crate::report::{text_tools, words};

/// The parts of the object: an overview, then a section each.
pub(super) fn all(page: &mut Document, report: &ObjectReport<'_>) {
    page.heading(2, "The parts", "parts");
    let parts: Vec<&PartFindings> =
        report.findings.parts.iter().filter(|part| part.claim.is_none()).collect();
    if parts.is_empty() {
        page.text("No part was recorded.", Tone::Plain);
        return;
    }
    let mut table = Table::new(
        "All parts at a glance",
        &[
            ("Part", Kind::Words, 9),
            ("Name", Kind::Words, 19),
            ("Material at the surface", Kind::Words, 27),
            ("Chlorine", Kind::Words, 19),
            ("Change with age", Kind::Words, 16),
            ("Spots", Kind::Number, 10),
        ],
    );
    for part in &parts {
        table.rows.push(vec![
            part_cell(&part.id),
            part.record.name.as_str().into(),
            material(report.stamp, part).into(),
            chlorine_cell(part),
            ageing(part.ageing.state).into(),
            format!("{} of {}", part.agreement.agreeing, part.agreement.measured).into(),
        ]);
    }
    page.table(table);
    page.text(
        "Spots: how many stand behind the answer, of how many were measured. Every answer speaks \
         of the surface at these spots, not of the whole part.",
        Tone::Note,
    );
    for part in parts {
        section(page, report, part);
    }
}

/// The material in a few words.
pub(super) fn material(stamp: &Stamp, part: &PartFindings) -> String {
    let name = |id: &String| stamp.name(id).to_owned();
    match part.outcome {
        PartOutcome::Identified => {
            let id = part.material.as_deref().unwrap_or_default();
            let named = part.material_name.as_deref().unwrap_or_else(|| stamp.name(id));
            if named == id || id.is_empty() { named.to_owned() } else { format!("{id}, {named}") }
        }
        PartOutcome::Narrowed => {
            let names: Vec<String> = part.candidates.iter().map(name).collect();
            format!("{}, not told apart", text_tools::list_words(&names, "or"))
        }
        PartOutcome::Mixed => {
            let names: Vec<String> = part.components.iter().map(|c| name(&c.id)).collect();
            format!("mixed: {}", text_tools::list_words(&names, "and"))
        }
        PartOutcome::Classed => part.class.as_ref().map_or_else(String::new, |class| {
            format!("{} (class; which one cannot be told)", class.name)
        }),
        PartOutcome::NotInTable => "not in the table".to_owned(),
        PartOutcome::NotEnoughSignal => "not enough signal to say".to_owned(),
        PartOutcome::SpotsDisagree => "the spots disagree".to_owned(),
        PartOutcome::NotMeasured => "not measured".to_owned(),
    }
}

fn chlorine_cell(part: &PartFindings) -> Cell {
    if part.outcome == PartOutcome::NotMeasured {
        return "not measured".into();
    }
    let list: ChlorineList = part.chlorine.list;
    Cell { text: list_words(list).to_owned(), mark: Some(list), link: None }
}

fn ageing(state: AgeingState) -> &'static str {
    match state {
        AgeingState::Changed => "changed",
        AgeingState::NoChangeDetected => "no change detected",
        AgeingState::TooBlind => "too blind to say",
        AgeingState::NotTested => "compared, not tested",
        AgeingState::NotCompared => "not compared",
    }
}

/// One part or candidate sheet.
pub(super) fn section(page: &mut Document, report: &ObjectReport<'_>, part: &PartFindings) {
    let name = part.record.name.trim();
    let heading = if name.is_empty() { part.id.clone() } else { format!("{} · {name}", part.id) };
    page.heading(3, &heading, &anchor(&part.id));
    page.text(part.sentence.clone(), Tone::Lead);
    if let Some(plasticiser) = &part.plasticiser {
        let found = words::plasticiser(plasticiser, |id| report.stamp.name(id).to_owned());
        page.text(format!("Plasticiser: {found}."), Tone::Plain);
    }
    let chlorine = &part.chlorine.words;
    let says_so = chlorine.starts_with("contains chlorine") || chlorine.starts_with("chlorine");
    page.text(
        if says_so { chlorine.clone() } else { format!("Chlorine: {chlorine}") },
        Tone::Plain,
    );
    if part.ageing.state != AgeingState::NotCompared || !part.ageing.sentence.is_empty() {
        page.text(part.ageing.sentence.clone(), Tone::Plain);
    }
    if let Some(route) = &part.ageing.route {
        page.text(route.clone(), Tone::Plain);
    }
    page.list(part.ageing.notes.clone(), false);
    page.list(part.notes.clone(), false);
    faces(page, report.stamp, part);
    markers(page, &part.id, &part.ageing.markers);
    seen(page, part);
    figures(page, report, &FigurePlace::Part(part.id.clone()));
}

fn faces(page: &mut Document, stamp: &Stamp, part: &PartFindings) {
    let caption = format!("Faces of {}", part.id);
    let mut table = Table::new(
        &caption,
        &[
            ("Face", Kind::Words, 18),
            ("What was found", Kind::Words, 42),
            ("Agreement of the spots", Kind::Words, 40),
        ],
    );
    for face in &part.faces {
        let words = face.words.trim();
        let name = match (words.is_empty(), face.face.to_string()) {
            (true, face) => face,
            (false, face) if face == words => face,
            (false, face) => format!("{words} ({face})"),
        };
        let mut agreement = face.agreement.words.clone();
        for outlier in &face.agreement.outliers {
            if !agreement.contains(outlier.as_str()) {
                agreement.push_str(&format!("; {outlier}"));
            }
        }
        table.rows.push(vec![name.into(), face_words(stamp, face).into(), agreement.into()]);
    }
    page.table(table);
}

fn face_words(stamp: &Stamp, face: &FaceFindings) -> String {
    let name = |id: &str| stamp.name(id).to_owned();
    match (face.outcome, &face.material) {
        (PartOutcome::Identified, Some(id)) => name(id),
        (PartOutcome::Narrowed, _) => {
            let names: Vec<String> = face.candidates.iter().map(|id| name(id)).collect();
            format!("{}, not told apart", text_tools::list_words(&names, "or"))
        }
        (PartOutcome::Mixed, _) => {
            let names: Vec<String> = face
                .components
                .iter()
                .map(|c| format!("{} ({})", name(&c.id), words::relation(c.relation)))
                .collect();
            text_tools::list_words(&names, "and")
        }
        (PartOutcome::Classed, _) => {
            face.class.as_ref().map_or_else(String::new, |class| format!("{} (class)", class.name))
        }
        (outcome, _) => outcome.as_str().replace('-', " "),
    }
}

fn markers(page: &mut Document, id: &str, markers: &[MarkerChange]) {
    let caption = format!("Ageing markers of {id}");
    let mut table = Table::new(
        &caption,
        &[
            ("Marker", Kind::Words, 25),
            ("Faces", Kind::Words, 16),
            ("Change, 95 % interval", Kind::Number, 19),
            ("p", Kind::Number, 9),
            ("Remark", Kind::Words, 31),
        ],
    );
    for marker in markers {
        let change = marker.change.map_or_else(
            || "–".to_owned(),
            |(value, low, high)| {
                let sign = match marker.scale {
                    ChangeScale::Ratio => "× ",
                    ChangeScale::Difference if value > 0.0 => "+",
                    ChangeScale::Difference => "",
                };
                let n = words::number;
                format!("{sign}{} ({} to {})", n(value), n(low), n(high))
            },
        );
        let p = marker.p_value.map_or_else(
            || "–".to_owned(),
            |p| if p < 0.001 { "< 0.001".to_owned() } else { format!("{p:.3}") },
        );
        table.rows.push(vec![
            format!("{} ({})", marker.shows, marker.marker).into(),
            format!("{} against {}", marker.face, marker.against).into(),
            change.into(),
            p.into(),
            marker.remark.as_str().into(),
        ]);
    }
    page.table(table);
}

fn seen(page: &mut Document, part: &PartFindings) {
    let record = &part.record;
    let mut pairs: Vec<(String, String)> = Vec::new();
    if !record.said_to_be.trim().is_empty() {
        pairs.push(("An earlier record says".to_owned(), record.said_to_be.clone()));
    }
    let (noted, blank): (Vec<_>, Vec<_>) =
        record.seen.entries().into_iter().partition(|(_, text)| !text.trim().is_empty());
    for (heading, text) in noted {
        pairs.push((format!("Seen: {heading}"), text.to_owned()));
    }
    let xrf = match record.xrf_chlorine {
        XrfChlorine::NotRecorded => "",
        XrfChlorine::Detected => "chlorine detected",
        XrfChlorine::NotDetected => "chlorine not detected",
    };
    let mut missing: Vec<String> = blank.iter().map(|(heading, _)| (*heading).to_owned()).collect();
    for (heading, text) in
        [("acid indicator", record.acid_indicator.as_str()), ("pH", &record.ph), ("XRF", xrf)]
    {
        if text.trim().is_empty() {
            missing.push(heading.to_owned());
        } else {
            pairs.push((heading.to_owned(), text.to_owned()));
        }
    }
    for colour in &part.colours {
        let mut text = Vec::new();
        for (name, value) in [
            ("L*", colour.lightness),
            ("a*", colour.a_star),
            ("b*", colour.b_star),
            ("yellowness index", colour.yellowness_index),
        ] {
            if let Some(value) = value {
                text.push(format!("{name} {}", words::number(value)));
            }
        }
        text.push(format!("instrument: {}", recorded(&colour.instrument)));
        text.push(format!("backing: {}", recorded(&colour.backing)));
        text.push(format!("date: {}", recorded(&colour.date)));
        pairs.push((format!("Colour, {}", colour.face), text.join("; ")));
    }
    if !record.note.trim().is_empty() {
        pairs.push(("Note".to_owned(), record.note.clone()));
    }
    if part.claim.is_none() && !missing.is_empty() {
        let list = text_tools::list_words(&missing, "and");
        pairs.push(("Not recorded".to_owned(), list));
    }
    page.pairs(pairs);
}
