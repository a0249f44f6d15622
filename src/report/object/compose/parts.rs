//! Each part: what it is, on which faces, what has changed, what the eye sees.

use super::super::{FigurePlace, Length, ObjectReport};
use super::pieces::{anchor, figures};
use crate::ageing::ChangeScale;
use crate::object::{
    AgeingState, FaceFindings, MarkerChange, ObjectFindings, PartFindings, PartOutcome,
    XrfChlorine, recorded,
};
use crate::report::document::{Cell, Document, Kind, Table, Tone};
use crate::report::identification::Stamp;
use crate::report::{text_tools, words};

/// The parts of the object, a section each.
pub(super) fn all(page: &mut Document, report: &ObjectReport<'_>) {
    page.heading(2, "The parts", "parts");
    let parts: Vec<&PartFindings> =
        report.findings.parts.iter().filter(|part| part.claim.is_none()).collect();
    if parts.is_empty() {
        page.text("No part was recorded.", Tone::Plain);
        return;
    }
    if report.length == Length::Short {
        short(page, report, &parts);
        return;
    }
    for part in parts {
        section(page, report, part);
    }
}

/// The parts in short: what each carries, what the eye saw of it, and figures of what changed.
fn short(page: &mut Document, report: &ObjectReport<'_>, parts: &[&PartFindings]) {
    let mut rows: Vec<(Vec<String>, String, String)> = Vec::new();
    for part in parts {
        let mut found = part.sentence.clone();
        for note in &part.notes {
            found.push(' ');
            found.push_str(note);
        }
        let seen: Vec<String> =
            seen_of(part).map(|(what, text)| format!("{what}: {text}")).collect();
        let seen = seen.join("; ");
        match rows.iter_mut().find(|row| row.1 == found && row.2 == seen) {
            Some(row) => row.0.push(part.id.clone()),
            None => rows.push((vec![part.id.clone()], found, seen)),
        }
    }
    page.table(Table::of(
        "What was found and seen of each part",
        rows,
        &[
            ("Part", Kind::Words, 9, &|row| row.0.join(", ").into()),
            ("Found", Kind::Words, 51, &|row| row.1.as_str().into()),
            ("Recorded", Kind::Words, 40, &|row| row.2.as_str().into()),
        ],
    ));
    for part in parts {
        figures(page, report, &FigurePlace::Part(part.id.clone()));
    }
}

/// What the conservator recorded of a part: what the eye saw, and tests.
fn seen_of(part: &PartFindings) -> impl Iterator<Item = (&str, String)> {
    let record = &part.record;
    let said = [("said to be", record.said_to_be.clone())];
    let tests = [
        ("acid indicator", record.acid_indicator.clone()),
        ("pH", record.ph.clone()),
        ("XRF", xrf(record.xrf_chlorine).to_owned()),
        ("note", record.note.clone()),
    ];
    let seen = record.seen.entries().into_iter().map(|(what, text)| (what, text.to_owned()));
    said.into_iter().chain(seen).chain(tests).filter(|(_, text)| !text.trim().is_empty())
}

fn xrf(found: XrfChlorine) -> &'static str {
    match found {
        XrfChlorine::NotRecorded => "",
        XrfChlorine::Detected => "chlorine detected",
        XrfChlorine::NotDetected => "chlorine not detected",
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
    if report.length == Length::Full && part.faces.len() > 1 {
        faces(page, report.stamp, part);
    }
    let told: Vec<&MarkerChange> = part.ageing.markers.iter().filter(|m| tested(m)).collect();
    markers(page, &part.id, &told);
    seen(page, part, report.length);
    figures(page, report, &FigurePlace::Part(part.id.clone()));
}

fn faces(page: &mut Document, stamp: &Stamp, part: &PartFindings) {
    page.table(Table::of(
        &format!("Faces of {}", part.id),
        &part.faces,
        &[
            ("Face", Kind::Words, 18, &|face| {
                let (words, sort) = (face.words.trim(), face.face.to_string());
                match words {
                    "" => sort.into(),
                    words if words == sort => sort.into(),
                    words => format!("{words} ({sort})").into(),
                }
            }),
            ("What was found", Kind::Words, 42, &|face| face_words(stamp, face).into()),
            ("Agreement of the spots", Kind::Words, 40, &|face| {
                let mut agreement = face.agreement.words.clone();
                for outlier in &face.agreement.outliers {
                    if !agreement.contains(outlier.as_str()) {
                        agreement.push_str(&format!("; {outlier}"));
                    }
                }
                agreement.into()
            }),
        ],
    ));
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

fn named(marker: &MarkerChange) -> String {
    format!("{} ({})", marker.shows, marker.marker)
}

fn faces_of(marker: &MarkerChange) -> String {
    format!("{} against {}", marker.face, marker.against)
}

/// Whether a marker was tested and has a figure; the others stand in the annex.
fn tested(marker: &MarkerChange) -> bool {
    marker.primary && marker.change.is_some()
}

/// The markers that were refused, only explored or not found, with the reason; those alike share a row.
pub(super) fn untested_markers(page: &mut Document, findings: &ObjectFindings) {
    let mut rows: Vec<(String, String, &str, Vec<String>)> = Vec::new();
    for part in findings.parts.iter().filter(|part| part.claim.is_none()) {
        for marker in part.ageing.markers.iter().filter(|marker| !tested(marker)) {
            let (named, faces) = (named(marker), faces_of(marker));
            let remark = marker.remark.as_str();
            let same = |row: &&mut (String, String, &str, Vec<String>)| {
                row.0 == named && row.1 == faces && row.2 == remark
            };
            match rows.iter_mut().find(same) {
                Some(row) => row.3.push(part.id.clone()),
                None => rows.push((named, faces, remark, vec![part.id.clone()])),
            }
        }
    }
    if rows.is_empty() {
        return;
    }
    page.heading(2, "Annex: markers not tested", "markers-not-tested");
    page.table(Table::of(
        "Markers refused, only explored or below detection",
        rows,
        &[
            ("Marker", Kind::Words, 27, &|row| row.0.as_str().into()),
            ("Faces", Kind::Words, 16, &|row| row.1.as_str().into()),
            ("Remark", Kind::Words, 39, &|row| row.2.into()),
            ("Parts", Kind::Words, 18, &|row| row.3.join(", ").into()),
        ],
    ));
}

fn markers(page: &mut Document, id: &str, markers: &[&MarkerChange]) {
    let change = |marker: &MarkerChange| -> Cell {
        let Some((value, low, high)) = marker.change else { return "–".into() };
        let sign = match marker.scale {
            ChangeScale::Ratio => "× ",
            ChangeScale::Difference if value > 0.0 => "+",
            ChangeScale::Difference => "",
        };
        let n = words::number;
        format!("{sign}{} ({} to {})", n(value), n(low), n(high)).into()
    };
    let p = |marker: &MarkerChange| -> Cell {
        match marker.p_value {
            None => "–".into(),
            Some(p) if p < 0.001 => "< 0.001".into(),
            Some(p) => format!("{p:.3}").into(),
        }
    };
    page.table(Table::of(
        &format!("Ageing markers of {id}"),
        markers,
        &[
            ("Marker", Kind::Words, 25, &|m| named(m).into()),
            ("Faces", Kind::Words, 16, &|m| faces_of(m).into()),
            ("Change, 95 % interval", Kind::Number, 19, &|m| change(m)),
            ("p", Kind::Number, 9, &|m| p(m)),
            ("Remark", Kind::Words, 31, &|m| m.remark.as_str().into()),
        ],
    ));
}

fn seen(page: &mut Document, part: &PartFindings, length: Length) {
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
    let xrf = xrf(record.xrf_chlorine);
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
    if length == Length::Full && part.claim.is_none() && !missing.is_empty() {
        let list = text_tools::list_words(&missing, "and");
        pairs.push(("Not recorded".to_owned(), list));
    }
    page.pairs(pairs);
}
