//! The condition report writers on the invented demo object. Identifications are stated by hand
//! here, so that these tests look at the writers and not at the judging.
#![cfg(all(feature = "plot", feature = "docx"))]

use std::path::Path;
use std::sync::OnceLock;

use bandlore::{
    Identification, ReadOptions, Spectrum, Tables,
    ageing::{
        Specimen,
        comparison::{CompareInput, ComparedFace, Composition, Spot, compare},
    },
    fitness::examine,
    judge::{
        BandEvidence, BandState, Chlorine, ChlorineBands, ChlorineByIdentity, Component, Outcome,
        Plasticiser, Ranked, Relation, Unsettled,
    },
    object::{
        ObjectInput, examine_object, faces_to_compare,
        findings::{ObjectFindings, SpectrumResult},
        open_manifest,
        record::Face,
    },
    optics::Element,
    read_path,
    report::{
        identification::Stamp,
        object::{
            DocxWriter, HtmlWriter, Length, ObjectCsvWriter, ObjectJsonWriter,
            ObjectMarkdownWriter, ObjectReport, ObjectWriter, PlacedFigure, draw_object_figures,
        },
    },
    spectrum::Warning,
    tables::look_alikes::Verdict,
};
use serde_json::json;

use crate::stated::stated;
use crate::to_validate::left_to_be_validated;

/// What each part is stated to be: id, materials (several where mixed or narrowed), outcome.
const STATED: [(&str, &[&str], Outcome); 20] = [
    ("V", &["PVC"], Outcome::Identified),
    ("T3", &["PVC"], Outcome::Identified),
    ("T", &["PVC"], Outcome::Identified),
    ("F3", &["PC", "PDMS"], Outcome::Mixed),
    ("F", &["PC"], Outcome::Identified),
    ("D1", &["PMMA"], Outcome::Identified),
    ("L1", &["CA"], Outcome::Identified),
    ("S1", &["PET"], Outcome::Identified),
    ("N1", &["PET", "PETG"], Outcome::Narrowed),
    ("N2a", &["PET", "PETG"], Outcome::Narrowed),
    ("N2b", &["PET"], Outcome::Identified),
    ("B1", &["PVC"], Outcome::Identified),
    ("B2", &[], Outcome::NotEnoughSignal),
    ("B3", &["calcite", "talc"], Outcome::Mixed),
    ("G1", &["PVC"], Outcome::Identified),
    ("-", &[], Outcome::NotInTable),
    ("-", &[], Outcome::NotInTable),
    ("-", &[], Outcome::NotInTable),
    ("-", &[], Outcome::NotInTable),
    ("-", &[], Outcome::NotInTable),
];

fn evidence(spectrum: &Spectrum, material: &str) -> Vec<BandEvidence> {
    Tables::built_in()
        .bands_of(material)
        .iter()
        .take(14)
        .map(|band| {
            let (low, high) = (band.atr.low_cm1, band.atr.high_cm1);
            let covered = spectrum.covers(low, high);
            let top = spectrum
                .window(low, high)
                .max_by(|&a, &b| spectrum.absorbances()[a].total_cmp(&spectrum.absorbances()[b]));
            let found = top.filter(|_| covered).map(|i| spectrum.wavenumbers_cm1()[i]);
            stated(json!({
                "band": band.id,
                "expected_cm1": band.position_cm1,
                "assignment": format!("{} {}", band.assignment, band.mode),
                "state": if found.is_some() { BandState::Met } else { BandState::Untestable },
                "found_cm1": found,
                "share": found.map(|_| 0.5),
                "note": "",
                "depth_um": 2005.0 / band.position_cm1,
                "status": "verified",
            }))
        })
        .collect()
}

fn identification(part: &str, spectrum: &Spectrum) -> Identification {
    let (_, materials, outcome) =
        STATED.iter().find(|(start, ..)| part.starts_with(start)).expect("stated");
    let chlorinated = materials.contains(&"PVC");
    let testable = spectrum.covers(585.0, 640.0);
    let component = |(i, id): (usize, &&str)| -> Component {
        stated(json!({
            "id": id,
            "role": "polymer",
            "relation": if i == 0 { Relation::Main } else { Relation::CoatingOver },
            "evidence": evidence(spectrum, id),
        }))
    };
    let ranked = |id: &&str| -> Ranked {
        stated(json!({ "material": id, "score": 0.9, "evidence": evidence(spectrum, id) }))
    };
    let chlorine: Chlorine = stated(json!({
        "bands": match (testable, chlorinated) {
            (false, _) => ChlorineBands::CannotTell,
            (true, true) => ChlorineBands::Present,
            (true, false) if materials.is_empty() => ChlorineBands::CannotTell,
            (true, false) => ChlorineBands::NotDetected,
        },
        "by_identity": match (chlorinated, materials.is_empty()) {
            (true, _) => ChlorineByIdentity::Yes,
            (false, true) => ChlorineByIdentity::Open,
            (false, false) => ChlorineByIdentity::No,
        },
        "why": "stated by hand for this test",
    }));
    let plasticiser = chlorinated.then(|| match part {
        "T1" | "T2" => Plasticiser::Class { id: "plasticiser-ortho-phthalate".into() },
        "T3" => Plasticiser::Class { id: "plasticiser-terephthalate".into() },
        _ => Plasticiser::NoneSeen,
    });
    let unsettled: Unsettled = stated(json!({
        "feature": "the ratio of 957 to 970 cm⁻¹ lies between both",
        "settled_by": "a thermal analysis of an off-cut",
    }));
    let (mixed, narrowed) = (*outcome == Outcome::Mixed, *outcome == Outcome::Narrowed);
    let components = materials.iter().enumerate().take(if mixed { 2 } else { 1 }).map(component);
    stated(json!({
        "outcome": outcome,
        "material": (*outcome == Outcome::Identified).then(|| materials[0]),
        "candidates": if narrowed { *materials } else { &[] },
        "components": components.collect::<Vec<_>>(),
        "ranking": materials.iter().map(ranked).collect::<Vec<_>>(),
        "chlorine": chlorine,
        "plasticiser": plasticiser,
        "sentence": format!("Characteristic of {}.", materials.join(" or ")),
        "unsettled": narrowed.then_some(unsettled),
        "unexplained": [],
        "remarks": [],
        "rules": [],
    }))
}

struct Made {
    findings: ObjectFindings,
    figures: Vec<PlacedFigure>,
}

fn made() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock");
        let opened = open_manifest(&folder).expect("the demo's manifest");
        let mut manifest = opened.manifest.clone();
        let next = &mut manifest.next_examination;
        next.date = "March 2029".into();
        next.who = "conservator in charge".into();
        next.spots = "the spots of this report".into();
        next.settings = String::new();
        next.brought_forward_by = "smell of acid, new cracks, tarnish that returns".into();
        let spectra: Vec<SpectrumResult> = manifest
            .spectra
            .iter()
            .enumerate()
            .map(|(record, wanted)| {
                let spectrum = read_path(&opened.path(&wanted.file), &ReadOptions::default())
                    .next()
                    .expect("one")
                    .expect("readable");
                let fitness = examine(&spectrum).findings().to_vec();
                let found = identification(&wanted.part, &spectrum);
                SpectrumResult::new(record, spectrum, fitness, found)
            })
            .collect();
        let comparisons = faces_to_compare(&manifest, &spectra, Tables::built_in())
            .into_iter()
            .filter(|faces| !faces.exposed.is_empty() && !faces.covered.is_empty())
            .map(|faces| {
                let ask = |_: &bandlore::tables::look_alikes::Predicate| Verdict::No;
                let components = vec![faces.material.clone()];
                let spot = |face: ComparedFace| {
                    let (ask, components) = (&ask, &components);
                    let spectra = &spectra;
                    move |i: &usize| {
                        let measured = &spectra[*i].spectrum;
                        let specimen =
                            Specimen::new(measured, components, Element::DIAMOND_45, ask);
                        let composition =
                            Composition::default().with_material(components.first().cloned());
                        Spot::new(face, specimen).with_composition(composition)
                    }
                };
                let spots: Vec<Spot<'_>> = faces
                    .exposed
                    .iter()
                    .map(spot(ComparedFace::Exposed))
                    .chain(faces.reverse.iter().map(spot(ComparedFace::Reverse)))
                    .chain(faces.covered.iter().map(spot(ComparedFace::Covered)))
                    .collect();
                let input = CompareInput::new(&spots, Element::DIAMOND_45, Tables::built_in());
                (faces.part.clone(), compare(&input.with_material(&*faces.material)))
            })
            .collect();
        let files = spectra
            .iter()
            .map(|s| (manifest.spectra[s.record].file.clone(), s.sha256.clone()))
            .collect();
        let mut input = ObjectInput::new(manifest, spectra.clone());
        input.comparisons = comparisons;
        input.method.settings =
            vec![("Smoothing".into(), "Savitzky–Golay, 9 points, order 3".into())];
        input.method.files = files;
        input.warnings = vec![Warning::new("demo", "identifications are stated by hand")];
        let findings = examine_object(input, Tables::built_in());
        let figures = draw_object_figures(&findings, &spectra, Tables::built_in(), Length::Full)
            .expect("drawn");
        Made { findings, figures }
    })
}

fn stamp() -> Stamp {
    let tables = Tables::built_in();
    let mut stamp = Stamp::new(tables.version(), tables.sha256());
    for material in tables.materials() {
        stamp.material_names.insert(material.id.clone(), material.name.clone());
    }
    stamp
}

fn written_from(writer: &dyn ObjectWriter, findings: &ObjectFindings) -> Vec<u8> {
    let stamp = stamp();
    let report = ObjectReport::new(findings, &stamp)
        .with_date("2026-03-15")
        .with_figures(&made().figures)
        .with_length(Length::Full);
    let mut out = Vec::new();
    writer.write(&report, &mut out).expect("memory is writable");
    out
}

fn written(writer: &dyn ObjectWriter) -> Vec<u8> {
    written_from(writer, &made().findings)
}

/// The report as DOCX, made once: its pictures take seconds.
fn docx() -> &'static [u8] {
    static DOCX: OnceLock<Vec<u8>> = OnceLock::new();
    DOCX.get_or_init(|| written(&DocxWriter))
}

fn text(writer: &dyn ObjectWriter) -> String {
    String::from_utf8(written(writer)).expect("utf-8")
}

const WRITERS: [(&str, &dyn ObjectWriter); 5] = [
    ("docx", &DocxWriter),
    ("html", &HtmlWriter),
    ("md", &ObjectMarkdownWriter),
    ("csv", &ObjectCsvWriter),
    ("json", &ObjectJsonWriter),
];

#[test]
fn the_same_report_gives_the_same_bytes() {
    for (name, writer) in WRITERS {
        let bytes = if name == "docx" { docx().to_vec() } else { written(writer) };
        assert!(bytes == written(writer), "{name}");
        if let Some(folder) = std::env::var_os("BANDLORE_REPORTS_TO") {
            std::fs::write(Path::new(&folder).join(format!("report.{name}")), bytes).expect("kept");
        }
    }
}

#[test]
fn html_needs_no_network_and_no_script() {
    let html = text(&HtmlWriter);
    for word in ["<script", "src=\"http", "href=\"http", "url(http", "@import", "<link", " onload="]
    {
        assert!(!html.contains(word), "{word}");
    }
    assert!(html.starts_with("<!DOCTYPE html><html lang=\"en\">"));
}

#[test]
fn html_says_the_answer_before_tables_and_method() {
    let html = text(&HtmlWriter);
    let at = |id: &str| html.find(&format!("id=\"{id}\"")).unwrap_or_else(|| panic!("{id}"));
    let order = [
        "found",
        "signature-examiner",
        "plain-words",
        "chlorine",
        "neighbours",
        "parts",
        "open",
        "care",
        "next",
        "method",
        "limits",
        "sources",
    ]
    .map(at);
    let mut sorted = order;
    sorted.sort_unstable();
    // The first page ends with the place to sign; limits and sources follow the method.
    assert_eq!(order, sorted);
}

#[test]
fn html_headings_never_skip_a_level_and_tables_have_captions_and_scopes() {
    let html = text(&HtmlWriter);
    let levels: Vec<u32> = html
        .match_indices("<h")
        .filter_map(|(i, _)| html[i + 2..].chars().next().and_then(|c| c.to_digit(10)))
        .collect();
    assert_eq!(levels[0], 1);
    assert_eq!(levels.iter().filter(|l| **l == 1).count(), 1);
    assert!(levels.windows(2).all(|w| w[1] <= w[0] + 1), "{levels:?}");
    assert_eq!(html.matches("<table").count(), html.matches("<caption").count());
    assert!(html.matches("<table").count() > 10);
    assert_eq!(html.matches("<th ").count(), html.matches("<th scope=").count());
    assert_eq!(html.matches("<figure").count(), html.matches("<figcaption").count());
}

#[test]
fn every_id_of_the_page_is_used_once_and_every_link_leads_somewhere() {
    let html = text(&HtmlWriter);
    let ids: Vec<&str> =
        html.split(" id=\"").skip(1).map(|s| s.split('"').next().unwrap_or("")).collect();
    let unique: std::collections::BTreeSet<&str> = ids.iter().copied().collect();
    assert_eq!(ids.len(), unique.len());
    for link in html.split("href=\"#").skip(1).map(|s| s.split('"').next().unwrap_or("")) {
        assert!(unique.contains(link), "{link}");
    }
    for link in html.split("url(#").skip(1).map(|s| s.split(')').next().unwrap_or("")) {
        assert!(unique.contains(link), "{link}");
    }
}

#[test]
fn every_part_and_blank_is_in_every_readable_format() {
    for (name, writer) in WRITERS.into_iter().filter(|(name, _)| *name != "docx") {
        let text = text(writer);
        for part in &made().findings.parts {
            assert!(text.contains(&part.id), "{name}: {}", part.id);
        }
    }
    for writer in [&HtmlWriter as &dyn ObjectWriter, &ObjectMarkdownWriter] {
        assert!(text(writer).contains("not recorded"));
        assert!(text(writer).contains("Conclusion of the examiner"));
    }
}

#[test]
fn json_has_the_promised_keys() {
    let json = left_to_be_validated("object", &text(&ObjectJsonWriter));
    assert!(json["schema"].is_string());
    for part in json["parts"].as_array().expect("a list") {
        for key in ["id", "material", "outcome", "chlorine", "ageing", "claim"] {
            assert!(part.get(key).is_some(), "{key}");
        }
    }
}

/// Markup, a spreadsheet formula, a terminal escape, a reversed reading order.
const HOSTILE: &str = "=cmd()</td><script>alert(1)</script>\u{1b}[2J\u{202e}&|*x*";

fn hostile() -> ObjectFindings {
    let mut findings = made().findings.clone();
    let object = &mut findings.manifest.object;
    for text in [&mut object.title, &mut object.note, &mut object.owner, &mut object.history] {
        HOSTILE.clone_into(text);
    }
    for part in &mut findings.parts {
        HOSTILE.clone_into(&mut part.record.name);
        HOSTILE.clone_into(&mut part.record.note);
        HOSTILE.clone_into(&mut part.sentence);
    }
    findings.parts[0].id = format!("V01{HOSTILE}");
    for line in &mut findings.summary {
        HOSTILE.clone_into(&mut line.text);
    }
    findings
}

#[test]
fn hostile_records_come_out_inert() {
    let findings = hostile();
    for (name, writer) in WRITERS {
        let bytes = written_from(writer, &findings);
        let text = if name == "docx" {
            unpacked(&bytes, "word/document.xml")
        } else {
            String::from_utf8(bytes).expect("utf-8")
        };
        assert!(!text.contains('\u{1b}'), "{name}");
        if name != "json" {
            assert!(!text.contains('\u{202e}'), "{name}");
        }
        if name == "html" || name == "md" || name == "docx" {
            assert!(!text.contains("<script"), "{name}");
        }
    }
    let csv = String::from_utf8(written_from(&ObjectCsvWriter, &findings)).expect("utf-8");
    for record in csv::Reader::from_reader(csv.as_bytes()).records() {
        for cell in &record.expect("a row") {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
        }
    }
}

#[test]
fn an_empty_object_still_makes_a_whole_report() {
    let findings = examine_object(ObjectInput::default(), Tables::built_in());
    let stamp = stamp();
    let report = ObjectReport::new(&findings, &stamp).with_length(Length::Full);
    for (name, writer) in WRITERS {
        let mut out = Vec::new();
        writer.write(&report, &mut out).expect("written");
        assert!(!out.is_empty(), "{name}");
    }
}

#[test]
fn the_faces_of_a_part_are_drawn_where_there_are_two() {
    let titles: Vec<&str> = made().figures.iter().map(|f| f.figure.title()).collect();
    assert!(titles.contains(&"Parts by chlorine"));
    assert!(titles.iter().any(|t| t.starts_with("V01: exposed")), "{titles:?}");
    assert!(titles.iter().any(|t| t.contains("markers")), "{titles:?}");
    assert!(made().findings.manifest.spectra.iter().any(|s| s.face == Face::Covered));
}

/// One part of a DOCX package.
fn unpacked(package: &[u8], part: &str) -> String {
    use std::io::Read;
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(package)).expect("a package");
    let mut text = String::new();
    archive.by_name(part).expect("a part").read_to_string(&mut text).expect("utf-8");
    text
}

#[test]
fn docx_pictures_have_ids_and_alternative_text_and_tables_repeat_their_heading() {
    let package = docx();
    let xml = unpacked(package, "word/document.xml");
    let pictures: Vec<&str> =
        xml.split("<wp:docPr ").skip(1).map(|s| s.split('>').next().unwrap_or("")).collect();
    assert_eq!(pictures.len(), made().figures.len());
    let ids: std::collections::BTreeSet<&str> =
        pictures.iter().filter_map(|p| p.split("id=\"").nth(1)?.split('"').next()).collect();
    assert_eq!(ids.len(), pictures.len());
    for picture in &pictures {
        let words = picture.split("descr=\"").nth(1).and_then(|s| s.split('"').next());
        assert!(words.is_some_and(|w| w.len() > 30), "{picture}");
    }
    let captions = xml.matches("<w:tblCaption ").count();
    assert!(captions > 10);
    assert_eq!(xml.matches("<w:tblHeader").count(), captions);
    assert!(unpacked(package, "word/styles.xml").contains("<w:lang w:val=\"en-GB\""));
}

#[test]
fn docx_holds_the_same_words_as_html() {
    let xml = unpacked(docx(), "word/document.xml");
    for words in ["In plain words", "Conclusion of the examiner", "not recorded", "The Tide Clock"]
    {
        assert!(xml.contains(words), "{words}");
    }
}

/// Every field that a manifest has, by table: what a person may write down. Numbers and choices are
/// left to the tests of the manifest.
const FREE_TEXT: [(&str, &[&str]); 7] = [
    (
        "[object]",
        &[
            "title",
            "id",
            "date_made",
            "maker",
            "owner",
            "place",
            "dimensions",
            "description",
            "history",
            "permission",
            "examiner",
            "examined",
            "previous_report",
            "note",
        ],
    ),
    (
        "[[part]]",
        &[
            "name",
            "said_to_be",
            "seen.discolouration",
            "seen.opacity",
            "seen.crazes",
            "seen.cracks",
            "seen.texture",
            "seen.distortion",
            "seen.bloom",
            "acid_indicator",
            "ph",
            "note",
        ],
    ),
    (
        "[[spectrum]]",
        &[
            "spot",
            "photo",
            "coordinates",
            "sampling",
            "surface",
            "mark_left",
            "pressure",
            "instrument",
            "crystal",
            "angle",
            "detector",
            "resolution",
            "scans",
            "background_age",
            "temperature",
            "humidity",
            "operator",
            "date",
            "sample_kept",
        ],
    ),
    ("[[neighbour]]", &["name"]),
    ("[[colour]]", &["instrument", "backing", "date"]),
    (
        "[[candidate]]",
        &[
            "name",
            "maker",
            "grade",
            "batch",
            "process",
            "uv_side",
            "masking_film",
            "data_sheet_date",
            "oddy_test",
            "photographic_activity_test",
            "off_cut",
            "fixing",
            "adhesive_and_cleaner",
            "reversibility",
            "other_result",
        ],
    ),
    ("[next_examination]", &["date", "who", "spots", "settings", "brought_forward_by"]),
];

/// A manifest with what must be there, and with each free text as `text` has it.
fn manifest_with(text: impl Fn(&str, &str) -> String) -> bandlore::object::record::Manifest {
    let mut toml = String::new();
    for (table, fields) in FREE_TEXT {
        let must = match table {
            "[[part]]" => "id = \"P1\"\n",
            "[[spectrum]]" => "file = \"a.csv\"\npart = \"P1\"\nface = \"exposed\"\n",
            "[[neighbour]]" => {
                "material = \"copper alloy\"\nrelation = \"touching\"\nbeside = [\"P1\"]\n"
            }
            "[[colour]]" => "part = \"P1\"\nface = \"exposed\"\nl = 90.5\n",
            "[[candidate]]" => "id = \"N1\"\nclaimed = \"PETG\"\n",
            _ => "",
        };
        toml.push_str(&format!("{table}\n{must}"));
        for field in fields {
            toml.push_str(&format!("{field} = \"{}\"\n", text(table, field)));
        }
    }
    bandlore::object::record::Manifest::from_toml(&toml, "object.toml").expect("valid")
}

/// The report on a manifest whose one spectrum is PVC, as HTML and as Markdown.
fn reports_on(manifest: bandlore::object::record::Manifest) -> [String; 2] {
    let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
    let parts = bandlore::spectrum::SpectrumParts::new(axis, vec![0.0; 1800]);
    let spectrum = Spectrum::new(parts).expect("valid");
    let found = identification("V01", &spectrum);
    let mut result = SpectrumResult::new(0, spectrum, Vec::new(), found);
    result.sha256 = "00".to_owned();
    let input = ObjectInput::new(manifest, vec![result]);
    let findings = examine_object(input, Tables::built_in());
    let stamp = stamp();
    let report =
        ObjectReport::new(&findings, &stamp).with_date("2026-03-15").with_length(Length::Full);
    [&HtmlWriter as &dyn ObjectWriter, &ObjectMarkdownWriter].map(|writer| {
        let mut out = Vec::new();
        writer.write(&report, &mut out).expect("memory is writable");
        String::from_utf8(out).expect("utf-8").replace('\\', "")
    })
}

#[test]
fn every_field_that_a_person_fills_in_is_printed() {
    let token = |table: &str, field: &str| {
        format!("{}{}", table.trim_matches(['[', ']']), field).replace(['_', '.'], "")
    };
    for report in reports_on(manifest_with(token)) {
        for (table, fields) in FREE_TEXT {
            for field in fields {
                assert!(report.contains(&token(table, field)), "{table} {field}");
            }
        }
    }
}

#[test]
fn a_short_report_keeps_the_parts_as_recorded_and_no_link_leads_nowhere() {
    let token = |table: &str, field: &str| {
        format!("{}{}", table.trim_matches(['[', ']']), field).replace(['_', '.'], "")
    };
    let manifest = manifest_with(token);
    let input = ObjectInput::new(manifest, Vec::new());
    let findings = examine_object(input, Tables::built_in());
    let stamp = stamp();
    let written = |findings: &ObjectFindings, length: Length| {
        let report =
            ObjectReport::new(findings, &stamp).with_date("2026-03-15").with_length(length);
        let mut out = Vec::new();
        HtmlWriter.write(&report, &mut out).expect("memory is writable");
        String::from_utf8(out).expect("utf-8")
    };
    let short = written(&findings, Length::Short);
    let (_, of_part) = FREE_TEXT[1];
    for field in of_part {
        let said = short.contains(&token("[[part]]", field));
        assert!(said, "what was recorded of a part is lost: {field}");
    }
    let whole = written(&made().findings, Length::Short);
    let ids: std::collections::BTreeSet<&str> =
        whole.split(" id=\"").skip(1).map(|s| s.split('"').next().unwrap_or("")).collect();
    for link in whole.split("href=\"#").skip(1).map(|s| s.split('"').next().unwrap_or("")) {
        assert!(ids.contains(link), "{link}");
    }
    for part in &made().findings.parts {
        assert!(whole.contains(&part.id), "{}", part.id);
    }
    assert!(whole.len() < written(&made().findings, Length::Full).len());
}

#[test]
fn every_field_left_blank_is_printed_as_not_recorded() {
    let headings = [
        // The object, the next examination.
        "Inventory number",
        "Made",
        "Maker",
        "Owner or custodian",
        "Place",
        "Size",
        "What it is",
        "What it has been through",
        "Permission",
        "Examined",
        "Examined by",
        "Earlier report",
        "When",
        "Who",
        "Which spots",
        "With which settings",
        "What would bring it forward",
        // A candidate sheet.
        "Grade",
        "Batch",
        "Process",
        "Thickness",
        "UV-protected side",
        "Masking film",
        "Data sheet of",
        "Oddy test",
        "Photographic activity test",
        "Off-cut kept at",
        "Fixing",
        "Adhesive and cleaner",
        "Reversibility",
    ];
    let [_, markdown] = reports_on(manifest_with(|_, _| String::new()));
    for heading in headings {
        assert!(markdown.contains(&format!("- {heading}: not recorded")), "{heading}");
    }
    // What was not written of a part or a measurement is listed in one line each.
    let line = |start: &str| {
        markdown.lines().find(|l| l.contains(start)).unwrap_or_else(|| panic!("{start}")).to_owned()
    };
    let part = line("Not recorded: ");
    for name in [
        "discolouration",
        "change in opacity",
        "crazes",
        "cracks",
        "surface texture",
        "distortion",
        "bloom or exudate",
        "acid indicator",
        "pH",
        "XRF",
    ] {
        assert!(part.contains(name), "{name}: {part}");
    }
    let measured = line("Not recorded, unless the table says otherwise");
    for name in [
        "photo",
        "where",
        "sampling",
        "surface",
        "mark left",
        "pressure",
        "instrument",
        "crystal",
        "angle of incidence",
        "detector",
        "resolution",
        "scans",
        "background age",
        "temperature",
        "relative humidity",
        "operator",
        "date",
        "sample kept at",
    ] {
        assert!(measured.contains(name), "{name}: {measured}");
    }
}
