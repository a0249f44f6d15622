//! Markers of single spectra, and the comparison of faces, as documents and as text from the same blocks.

use super::AgeingEntry;
use super::comparison::{CHANGE_NOTE, change_words, spots_words};
use super::markers::{INTERVAL_NOTE, content_words, slope_words, state_words};
use crate::ageing::{
    ComparedFace, Comparison, DoseSlope, FoundConfounder, MarkerComparison, MarkerResult,
    MaterialFrom, SLOPE_LIMITS,
};
use crate::report::Figure;
use crate::report::document::{Block, Cell, Document, Kind, PageFrame, Table, Tone, sourced};
use crate::report::identification::Stamp;
use crate::report::style::Style;
use crate::spectrum::Spectrum;

/// One marker as it was computed somewhere: where (may be empty), id, definition, source.
type Defined<'a> = (String, &'a str, &'a str, String);

/// How each marker is computed, one row a marker, whichever spectra it was read on; where it was computed in more
/// than one way, each says on which.
fn definitions<'a>(page: &mut Document, markers: impl Iterator<Item = Defined<'a>>) {
    let mut ways: Vec<(Defined<'a>, Vec<String>)> = Vec::new();
    for (place, id, definition, source) in markers {
        match ways.iter_mut().find(|(way, _)| (way.1, way.2, &way.3) == (id, definition, &source)) {
            Some((_, places)) => places.push(place),
            None => ways.push(((String::new(), id, definition, source), vec![place])),
        }
    }
    let marker = |way: &Defined<'_>, places: &[String]| match way.1 {
        id if ways.iter().filter(|(other, _)| other.1 == id).count() == 1 => id.to_owned(),
        id => format!("{id} on {}", places.join("; ")),
    };
    if !ways.is_empty() {
        page.heading(2, "How each marker is computed", "definitions");
        page.table(Table::of(
            "Definitions: limits, points of the baseline and reference band in cm⁻¹",
            &ways,
            &[
                ("Marker", Kind::Words, 24, &|(way, places)| marker(way, places).into()),
                ("Definition", Kind::Words, 42, &|(way, _)| way.2.into()),
                ("Source", Kind::Words, 33, &|(way, _)| way.3.as_str().into()),
            ],
        ));
    }
}

/// Composes the page of single spectra: a summary, then a section a spectrum.
///
/// `figures` stand under the spectra in their order; leave out what was not drawn.
#[must_use]
pub fn ageing_document(
    entries: &[AgeingEntry],
    figures: &[Option<Figure>],
    frame: &PageFrame<'_>,
) -> Document {
    let kind = "Markers of single spectra: no spectrum by itself shows a change";
    let mut page = Document::of_run("Ageing markers", kind, "ageing", frame);
    page.ids = entries.iter().map(|entry| entry.file.clone()).collect();
    page.heading(2, "What was found", "found");
    page.table(Table::of(
        "All spectra at a glance",
        (1..).zip(entries),
        &[
            ("Spectrum", Kind::Words, 36, &|(i, entry)| Cell {
                text: name(entry),
                link: Some(format!("spectrum-{i}")),
                ..Cell::default()
            }),
            ("In words", Kind::Words, 64, &|(_, entry)| match &entry.result {
                Some(result) => result.sentence.as_str().into(),
                None => format!("Could not be read: {}", error(entry)).into(),
            }),
        ],
    ));
    page.text(INTERVAL_NOTE, Tone::Note);
    let named = entries.iter().filter_map(|entry| entry.result.as_ref()?.material.as_deref());
    page.cautions(frame, named);
    for (i, entry) in entries.iter().enumerate() {
        page.heading(2, &name(entry), &format!("spectrum-{}", i + 1));
        section(&mut page, entry);
        page.blocks.extend(figures.get(i).cloned().flatten().map(Block::Figure));
    }
    slopes(&mut page, entries);
    definitions_of(&mut page, entries);
    page.files(
        entries
            .iter()
            .map(|e| (format!("spectrum {}", e.block), e.file.clone(), e.sha256.clone()))
            .collect(),
    );
    page.how(frame);
    page
}

/// Writes entries for a terminal, `width` columns wide.
#[must_use]
pub fn ageing_text(entries: &[AgeingEntry], width: usize) -> String {
    let mut page =
        Document { ids: entries.iter().map(|e| e.file.clone()).collect(), ..Document::default() };
    for entry in entries {
        page.heading(2, &name(entry), "");
        section(&mut page, entry);
    }
    slopes(&mut page, entries);
    definitions_of(&mut page, entries);
    if page.blocks.iter().any(|block| matches!(block, Block::Table(_))) {
        page.text(INTERVAL_NOTE, Tone::Note);
    }
    page.text_in(width, Style::Plain)
}

/// What the markers do over the doses, once: each spectrum of a series carries the same slopes.
fn slopes(page: &mut Document, entries: &[AgeingEntry]) {
    let mut told: Vec<&DoseSlope> = Vec::new();
    for slope in entries.iter().flat_map(|entry| &entry.series) {
        if !told.contains(&slope) {
            told.push(slope);
        }
    }
    if told.is_empty() {
        return;
    }
    page.heading(2, "Over the doses", "doses");
    let any = told.iter().any(|slope| slope.slope.is_some());
    page.list(told.into_iter().map(slope_words).collect(), false);
    if any {
        page.text(format!("A change over doses {SLOPE_LIMITS}."), Tone::Note);
    }
}

fn definitions_of(page: &mut Document, entries: &[AgeingEntry]) {
    let markers = entries.iter().flat_map(|e| {
        e.result.iter().flat_map(|r| &r.markers).map(move |marker| (name(e), marker))
    });
    definitions(
        page,
        markers.map(|(place, m): (String, &MarkerResult)| {
            let source = format!("{} [{}, {}]", m.source, m.source_class, m.status);
            let source = format!("{source}; limits {}", m.limits_from);
            (place, m.id.as_str(), m.definition.as_str(), source)
        }),
    );
}

fn name(entry: &AgeingEntry) -> String {
    format!("{}, spectrum {}", entry.file, entry.block)
}

fn error(entry: &AgeingEntry) -> &str {
    entry.error.as_deref().unwrap_or("no reason is known")
}

fn section(page: &mut Document, entry: &AgeingEntry) {
    let Some(result) = &entry.result else {
        page.text(format!("Could not be read: {}", error(entry)), Tone::Caution);
        return;
    };
    page.text(result.sentence.clone(), Tone::Lead);
    if result.material_from == MaterialFrom::Given {
        page.text("The material is the user's word.", Tone::Plain);
    }
    if let Some(noise) = result.noise {
        let from = &result.noise_from;
        page.text(format!("Noise {noise:.1e} absorbance, read at {from}."), Tone::Plain);
    }
    page.table(Table::of(
        "Markers",
        &result.markers,
        &[
            ("Marker", Kind::Words, 20, &|marker| marker.id.as_str().into()),
            ("Shows", Kind::Words, 20, &|marker| marker.shows.as_str().into()),
            ("Finding", Kind::Words, 33, &|marker| match &marker.content {
                Some(content) => {
                    format!("{}; {}", state_words(marker), content_words(content)).into()
                }
                None => state_words(marker).into(),
            }),
            ("Disturbed by", Kind::Words, 27, &|marker| {
                let told = disturbed(&marker.confounders, marker.refusal.as_deref());
                told.collect::<Vec<_>>().join("; ").into()
            }),
        ],
    ));
    for warning in &result.warnings {
        page.text(warning.text.clone(), Tone::Note);
    }
}

/// Composes the page of a comparison.
///
/// `spots` are the spectra that were compared, by which files and digests are told.
#[must_use]
pub fn comparison_document(
    comparison: &Comparison,
    spots: &[(ComparedFace, &Spectrum)],
    figures: &[Figure],
    frame: &PageFrame<'_>,
) -> Document {
    let kind = "Ageing by infrared spectroscopy: what one face shows against another";
    let mut page = Document::of_run("Comparison of faces", kind, "ageing", frame);
    page.about = about(comparison, frame.stamp);
    page.heading(2, "What was found", "found");
    page.text(comparison.sentence.clone(), Tone::Lead);
    changes(&mut page, comparison);
    page.blocks.extend(figures.iter().cloned().map(Block::Figure));
    routes(&mut page, comparison);
    page.cautions(frame, comparison.material.as_deref());
    contact(&mut page, comparison);
    let markers = comparison.markers.iter();
    definitions(
        &mut page,
        markers.map(|m| {
            (faces(m), m.id.as_str(), m.definition.as_str(), sourced(&m.source, &m.status))
        }),
    );
    let files = spots.iter().map(|(face, spectrum)| {
        let from = spectrum.provenance();
        let block =
            if from.block > 1 { format!(", spectrum {}", from.block) } else { String::new() };
        (format!("{}{block}", face.word()), from.file.clone(), from.sha256.clone())
    });
    page.files(files.collect());
    page.how(frame);
    page
}

/// Writes a comparison for a terminal, `width` columns wide.
#[must_use]
pub fn comparison_text(comparison: &Comparison, width: usize) -> String {
    let mut page = Document::default();
    page.text(comparison.sentence.clone(), Tone::Lead);
    page.pairs(about(comparison, &Stamp::default()));
    changes(&mut page, comparison);
    routes(&mut page, comparison);
    contact(&mut page, comparison);
    page.text_in(width, Style::Plain)
}

/// What was compared: the material by name and id, and the spots.
fn about(comparison: &Comparison, stamp: &Stamp) -> Vec<(String, String)> {
    let material = comparison.material.as_deref().map_or_else(
        || "not known".to_owned(),
        |id| match stamp.name(id) {
            name if name == id => id.to_owned(),
            name => format!("{name} ({id})"),
        },
    );
    vec![("Material".to_owned(), material), ("Spots".to_owned(), spots_words(comparison))]
}

/// What the pattern of changes suggests, and every doubt.
fn routes(page: &mut Document, comparison: &Comparison) {
    if !comparison.routes.is_empty() {
        page.heading(2, "What the pattern suggests", "routes");
        let routes = comparison.routes.iter().map(|route| {
            format!(
                "{} ({}; conditions of the source: {}; {})",
                route.sentence,
                route.pattern.join(", "),
                route.conditions,
                sourced(&route.source, &route.status)
            )
        });
        page.list(routes.collect(), false);
    }
    if !comparison.warnings.is_empty() {
        page.heading(2, "Doubts", "doubts");
        page.list(comparison.warnings.iter().map(|w| w.text.clone()).collect(), false);
    }
}

fn changes(page: &mut Document, comparison: &Comparison) {
    page.table(Table::of(
        "Markers compared; of those not named beforehand figures alone are given",
        &comparison.markers,
        &[
            ("Marker", Kind::Words, 19, &|m| format!("{} ({})", m.id, m.shows).into()),
            ("Faces", Kind::Words, 12, &|m| faces(m).into()),
            ("Role", Kind::Words, 12, &|m| {
                if m.primary { "primary" } else { "exploratory" }.into()
            }),
            ("Finding", Kind::Words, 30, &|m| change_words(m).into()),
            ("Remarks", Kind::Words, 27, &|m| {
                let others = disturbed(&m.confounders, m.why.as_deref());
                let remarks: Vec<&str> = m.why.as_deref().into_iter().chain(others).collect();
                remarks.join("; ").into()
            }),
        ],
    ));
    page.text(CHANGE_NOTE, Tone::Note);
}

/// What disturbs a marker, but for what is told already by the reason that it is refused for.
fn disturbed<'a>(
    found: &'a [FoundConfounder],
    why: Option<&'a str>,
) -> impl Iterator<Item = &'a str> {
    let told = move |does: &&str| why.is_some_and(|why| why.contains(*does));
    found.iter().map(|confounder| confounder.does.as_str()).filter(move |does| !told(does))
}

fn faces(marker: &MarkerComparison) -> String {
    format!("{} against {}", marker.face.word(), marker.against.word())
}

fn contact(page: &mut Document, comparison: &Comparison) {
    if comparison.contact.is_empty() {
        return;
    }
    page.heading(2, "Contact of each spot", "contact");
    page.text(
        "Fitted on bands that ageing leaves alone, against the mean of the reference face.",
        Tone::Note,
    );
    page.table(Table::of(
        "Strength, and the air gap beyond that of the reference",
        &comparison.contact,
        &[
            ("Spot", Kind::Words, 30, &|fit| {
                format!("{} spot {}", fit.face.word(), fit.spot).into()
            }),
            ("Times as strong", Kind::Number, 20, &|fit| format!("{:.2}", fit.scale).into()),
            ("Gap / µm", Kind::Number, 25, &|fit| format!("{:+.3}", fit.gap_um).into()),
            ("Standard error / µm", Kind::Number, 25, &|fit| {
                format!("{:.3}", fit.gap_error_um).into()
            }),
        ],
    ));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_marker_computed_in_two_ways_says_on_which_spectra() {
        let way = |place: &str, definition: &'static str| {
            (place.to_owned(), "PVC_CO", definition, "a book".to_owned())
        };
        let of = |ways: Vec<Defined<'static>>| {
            let mut page = Document::default();
            definitions(&mut page, ways.into_iter());
            page.text_in(100, Style::Plain)
        };
        let one = of(vec![way("a, spectrum 1", "over 1430"), way("b, spectrum 1", "over 1430")]);
        assert_eq!(
            (one.matches("PVC_CO").count(), one.matches("spectrum 1").count()),
            (1, 0),
            "{one}"
        );
        let two = of(vec![way("a, spectrum 1", "over 1430"), way("b, spectrum 1", "over 2910")]);
        assert!(two.contains("PVC_CO on a,") && two.contains("PVC_CO on b,"), "{two}");
    }
}
