//! The invented demo object through the whole program: files and page are what the example writes,
//! and every part comes out as its README says.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::Instant;

use crate::tide_clock_maker::manifest;
use crate::tide_clock_maker::world;
use bandlore::{
    Examiner, ReadOptions, Tables,
    object::open_manifest,
    pipeline::{ObjectExamined, examine_manifest},
    report::{
        identification::Stamp,
        object::{Length, ObjectJsonWriter, ObjectReport, ObjectWriter},
    },
};
use serde_json::Value;

/// Numbers may differ in the last digit where another mathematical library rounds otherwise.
const LAST_DIGIT: f64 = 1.5e-5;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock")
}

fn examine(folder: &Path) -> ObjectExamined {
    let opened = open_manifest(folder).expect("the demo's manifest");
    let examiner = Examiner::new(Tables::built_in());
    examine_manifest(&opened, &examiner, &ReadOptions::default(), &|| {}).expect("examined")
}

fn stamp() -> Stamp {
    let tables = Tables::built_in();
    let mut stamp = Stamp::new(tables.version(), tables.sha256());
    for material in tables.materials() {
        stamp.material_names.insert(material.id.clone(), material.name.clone());
    }
    stamp
}

fn json(examined: &ObjectExamined) -> Value {
    let stamp = stamp();
    let report = ObjectReport::new(&examined.findings, &stamp)
        .with_date("2026-03-12")
        .with_length(Length::Full);
    let mut bytes = Vec::new();
    ObjectJsonWriter.write(&report, &mut bytes).expect("written");
    serde_json::from_slice(&bytes).expect("JSON")
}

fn demo() -> &'static (ObjectExamined, Value) {
    static DEMO: OnceLock<(ObjectExamined, Value)> = OnceLock::new();
    DEMO.get_or_init(|| {
        let examined = examine(&folder());
        let json = json(&examined);
        (examined, json)
    })
}

/// PVC by name: its copolymer with a little vinyl acetate shows an acetate's bands.
fn is_pvc(part: &Value) -> bool {
    part["material"] == "PVC"
}

/// The parts of the JSON by id.
fn parts(json: &Value) -> BTreeMap<String, &Value> {
    json["parts"]
        .as_array()
        .expect("parts")
        .iter()
        .map(|part| (part["id"].as_str().expect("an id").to_owned(), part))
        .collect()
}

fn part<'a>(json: &'a Value, id: &str) -> &'a Value {
    parts(json).get(id).copied().unwrap_or_else(|| panic!("no part {id}"))
}

fn listed(list: &[bandlore::object::findings::ListedPart]) -> Vec<&str> {
    list.iter().map(|entry| entry.id.as_str()).collect()
}

fn found(id: &str) -> &'static bandlore::object::findings::PartFindings {
    demo().0.findings.parts.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no part {id}"))
}

#[test]
fn committed_files_are_what_the_example_writes() {
    let mut files = world::files();
    files.push(("object.toml".to_owned(), manifest::text()));
    for (name, text) in files {
        let committed = std::fs::read_to_string(folder().join(&name))
            .unwrap_or_else(|error| panic!("{name}: {error}; run the example make_tide_clock"));
        if committed == text {
            continue;
        }
        let tokens = |text: &str| -> Vec<String> {
            text.split([',', ' ', '\n']).map(str::to_owned).collect()
        };
        let (old, new) = (tokens(&committed), tokens(&text));
        assert_eq!(old.len(), new.len(), "{name} is stale; run the example make_tide_clock");
        let factor =
            if Path::new(&name).extension().is_some_and(|e| e == "dx") { 1e5 } else { 1.0 };
        for (a, b) in old.iter().zip(&new) {
            let close = match (a.parse::<f64>(), b.parse::<f64>()) {
                (Ok(a), Ok(b)) => (a - b).abs() <= LAST_DIGIT * factor,
                _ => a == b,
            };
            assert!(close, "{name}: {a} is not {b}; run the example make_tide_clock");
        }
    }
}

/// One marker of a part, on one face against another.
fn marker<'a>(part: &'a Value, id: &str, face: &str, against: &str) -> &'a Value {
    part["ageing"]["markers"]
        .as_array()
        .expect("markers")
        .iter()
        .find(|m| m["id"] == id && m["face"] == face && m["against"] == against)
        .unwrap_or_else(|| panic!("{}: no {id} on {face} against {against}", part["id"]))
}

/// Whether a marker is called changed, and grew.
fn grew(part: &Value, id: &str, face: &str, against: &str) -> bool {
    let found = marker(part, id, face, against);
    let none = if found["scale"] == "ratio" { 1.0 } else { 0.0 };
    found["changed"] == true && found["low"].as_f64().is_some_and(|low| low > none)
}

fn notes(part: &Value) -> String {
    part["ageing"]["notes"].to_string()
}

#[test]
fn the_vanes_are_rigid_pvc_with_chlorine_shown() {
    for id in ["V01", "V02", "V03", "V04", "V05", "V06"] {
        let part = part(&demo().1, id);
        assert!(is_pvc(part), "{id}: {}", found(id).sentence);
        assert_eq!(part["chlorine"]["bands"], "present", "{id}");
        assert_eq!(part["chlorine"]["list"], "shown", "{id}");
        // The carbonyl of oxidation on V01 to V03 is broad and has no C–O beside it: no ester.
        assert_eq!(found(id).plasticiser, Some(bandlore::judge::Plasticiser::NoneSeen), "{id}");
        assert!(notes(part).contains("both faces saw light"), "{id}: {}", notes(part));
        let faces: Vec<&Value> = part["faces"].as_array().expect("faces").iter().collect();
        for name in ["exposed", "reverse", "covered"] {
            let face = faces.iter().find(|f| f["face"] == name).expect(name);
            let spots = face["agreement"]["measured"].as_u64().expect("a count");
            assert!((3..=5).contains(&spots), "{id} {name}: {spots}");
        }
    }
    // The split vane is not clamped: a fragment that had come off was measured.
    let split = demo().0.findings.manifest.spectra.iter().filter(|s| s.part == "V03");
    assert!(split.clone().count() > 0);
    assert!(split.into_iter().all(|s| s.sampling == "detached fragment"));
}

#[test]
fn carbonyl_and_hydroxyl_grew_on_the_lit_face_of_three_vanes() {
    for id in ["V01", "V02", "V03"] {
        let part = part(&demo().1, id);
        assert_eq!(part["ageing"]["state"], "changed", "{id}");
        for growth in ["PVC_CO", "PVC_OH"] {
            assert!(grew(part, growth, "exposed", "covered"), "{id} {growth}");
        }
    }
}

#[test]
fn tubes_are_pvc_with_the_class_of_their_plasticiser() {
    for (id, class) in [
        ("T1", "ortho-phthalate plasticiser"),
        ("T2", "ortho-phthalate plasticiser"),
        ("T3", "terephthalate plasticiser"),
    ] {
        let part = part(&demo().1, id);
        assert!(is_pvc(part), "{id}: {}", part["sentence"]);
        let said = part["plasticiser"].as_str().expect("words");
        assert!(said.starts_with(class), "{id}: {said}");
        let named = format!("{}{}", part["components"], part["candidates"]);
        assert!(!named.contains("\"PET\""), "{id}: {named}");
    }
}

#[test]
fn the_tubes_lost_plasticiser_outside() {
    for id in ["T1", "T2"] {
        let part = part(&demo().1, id);
        assert_eq!(part["ageing"]["state"], "changed", "{id}: {}", part["ageing"]["sentence"]);
        let lost = marker(part, "PVC_PLAST_CO", "exposed", "reverse");
        assert_eq!(lost["changed"], true, "{id}: {lost}");
        assert!(lost["high"].as_f64().is_some_and(|high| high < 1.0), "{id}: {lost}");
    }
}

#[test]
fn the_front_is_polycarbonate_oxidised_in_its_side_chain_behind_glass() {
    for id in ["F1", "F2"] {
        let part = part(&demo().1, id);
        assert_eq!(part["material"], "PC", "{id}");
        assert_eq!(part["ageing"]["state"], "changed", "{id}");
        assert!(grew(part, "PC_OH", "exposed", "covered"), "{id}");
        // Photo-Fries products come from short waves that window glass stops.
        for fries in ["PC_FRIES_SAL", "PC_FRIES_DHB"] {
            let found = marker(part, fries, "exposed", "covered");
            assert_eq!(found["changed"], false, "{id} {fries}");
            let words = found["words"].as_str().expect("words");
            assert!(words.contains("below detection on every spot"), "{id}: {words}");
        }
    }
    assert!(grew(part(&demo().1, "F1"), "PC_OX_ACID", "exposed", "covered"));
}

#[test]
fn carbonyl_grew_on_the_less_aged_panel_too() {
    assert!(grew(part(&demo().1, "F2"), "PC_OX_ACID", "exposed", "covered"));
}

#[test]
fn one_panel_carries_a_coat_and_its_faces_are_not_compared() {
    let coated = part(&demo().1, "F3");
    assert_eq!(coated["outcome"], "mixed", "{}", coated["sentence"]);
    let components = coated["components"].as_array().expect("components");
    let relation = |id: &str| components.iter().find(|c| c["id"] == id).map(|c| &c["relation"]);
    assert_eq!(relation("PDMS").expect("the coat"), "coating-over", "{components:?}");
    assert!(relation("PC").is_some(), "{components:?}");
    assert_eq!(coated["ageing"]["state"], "not-compared");
}

#[test]
fn the_faces_of_the_coated_panel_are_not_compared() {
    let coated = part(&demo().1, "F3");
    let sentence = coated["ageing"]["sentence"].as_str().expect("words");
    assert!(sentence.contains("faces differ in composition, ageing not compared"), "{sentence}");
    assert_eq!(coated["ageing"]["state"], "not-compared");
}

#[test]
fn chlorine_is_shown_in_soft_pvc_and_never_ruled_out_under_a_coat() {
    for id in ["T1", "T2", "T3"] {
        let chlorine = &part(&demo().1, id)["chlorine"];
        assert_eq!(chlorine["list"], "shown", "{id}: {chlorine}");
        assert_eq!(chlorine["by_identity"], "yes", "{id}: {chlorine}");
    }
    let coated = &part(&demo().1, "F3")["chlorine"];
    assert_eq!(coated["list"], "implied-or-not-excluded", "{coated}");
    assert_ne!(coated["bands"], "not-detected", "{coated}");
}

#[test]
fn dial_lens_and_shim_are_named() {
    for (id, material) in [("D1", "PMMA"), ("L1", "CA"), ("S1", "PET")] {
        assert_eq!(part(&demo().1, id)["material"], material, "{id}: {}", found(id).sentence);
    }
    let dial = part(&demo().1, "D1");
    assert_eq!(dial["ageing"]["state"], "no-change-detected");
    assert!(notes(dial).contains("visible change not explained by this method"), "{}", notes(dial));
    // Nobody expected cellulose acetate: it comes with its own care notes.
    assert_eq!(found("L1").record.said_to_be, "acrylic");
    let care = &demo().0.findings.care;
    assert!(care.iter().any(|note| note.material == "CA" && note.parts == ["L1"]));
}

#[test]
fn claims_are_never_better_than_the_evidence() {
    let claim = |id: &str| &part(&demo().1, id)["claim"];
    let n1 = claim("N1");
    assert_eq!(n1["words"], "consistent with claim, PET not excluded");
    assert_eq!(n1["not_excluded"], serde_json::json!(["PET"]));
    let settled = n1["settled_by"].to_string();
    for way in ["a reference", "differential scanning calorimetry", "melts, PETG does not"] {
        assert!(settled.contains(way), "{settled}");
    }
    assert_eq!(claim("N2b")["outcome"], "not-as-claimed");
    let n2a = claim("N2a")["outcome"].as_str().expect("a word");
    assert!(!["as-claimed", "this-face-agrees"].contains(&n2a), "{n2a}");
    // "Not as claimed" is said with what was read, never from a name alone.
    for id in ["N2a", "N2b"] {
        if claim(id)["outcome"] == "not-as-claimed" {
            let why = claim(id)["why"].as_str().expect("words");
            assert!(why.contains("against PETG: ") && why.contains("957 over 970 0."), "{why}");
            assert!(!claim(id)["settled_by"].as_array().expect("ways").is_empty());
        }
    }
}

#[test]
fn blind_spot_and_poor_contact_say_what_they_can() {
    let b1 = part(&demo().1, "B1");
    assert!(is_pvc(b1), "{}", found("B1").sentence);
    assert_eq!(b1["chlorine"]["bands"], "cannot-tell");
    assert_eq!(b1["chlorine"]["by_identity"], "yes");
    assert_eq!(b1["chlorine"]["list"], "implied-or-not-excluded");
    assert!(listed(&demo().0.findings.chlorine.implied_or_not_excluded).contains(&"B1"));
    let b2 = part(&demo().1, "B2");
    assert_eq!(b2["outcome"], "not-enough-signal");
    assert_eq!(b2["material"], Value::Null);
}

#[test]
fn dust_is_called_no_polymer() {
    let b3 = part(&demo().1, "B3");
    let components = b3["components"].as_array().expect("components");
    assert!(components.iter().all(|c| c["role"] != "polymer"), "{components:?}");
}

#[test]
fn dust_of_two_minerals_is_named_as_both() {
    let b3 = part(&demo().1, "B3");
    let components = b3["components"].as_array().expect("components");
    let minerals: Vec<&str> = components.iter().filter_map(|c| c["id"].as_str()).collect();
    assert!(minerals.contains(&"calcite") && minerals.contains(&"talc"), "{minerals:?}");
}

#[test]
fn pressing_badly_ages_nothing() {
    let gap = part(&demo().1, "G1");
    // A gap hides grease that would be a carbonyl of 0.021, a little more than a reading to rely on: a
    // change so small cannot be ruled out, and none is claimed.
    assert_eq!(gap["ageing"]["state"], "too-blind", "{}", gap["ageing"]["sentence"]);
    for marker in gap["ageing"]["markers"].as_array().expect("markers") {
        assert_eq!(marker["changed"], false, "{marker}");
    }
}

#[test]
fn ageing_is_found_where_it_was_made_and_nowhere_else() {
    for id in ["V01", "V02", "V03", "F1", "F2"] {
        assert_eq!(
            part(&demo().1, id)["ageing"]["state"],
            "changed",
            "{id}: {}",
            found(id).ageing.sentence
        );
    }
    for id in ["V04", "V05", "V06", "G1", "D1"] {
        assert_ne!(
            part(&demo().1, id)["ageing"]["state"],
            "changed",
            "{id}: {}",
            found(id).ageing.sentence
        );
    }
    for id in ["V01", "T1"] {
        assert!(found(id).ageing.notes.iter().any(|n| n.contains("both faces saw light")), "{id}");
    }
}

#[test]
fn neighbours_stand_in_the_json_with_rule_and_source() {
    let neighbours = demo().1["neighbours"].as_array().expect("neighbours");
    let beside = |part: &str, neighbour: &str, nearness: &str| {
        neighbours.iter().any(|n| {
            n["part"] == part
                && n["neighbour"].as_str().is_some_and(|name| name.contains(neighbour))
                && n["nearness"] == nearness
                && !n["rule"].as_str().unwrap_or("").is_empty()
                && !n["source"].as_str().unwrap_or("").is_empty()
        })
    };
    for id in ["V02", "V03"] {
        assert!(beside(id, "brass pinions", "touching"), "{id}");
    }
    assert!(!beside("V01", "brass pinions", "touching"));
    for id in ["V01", "V06", "T1", "T3"] {
        assert!(beside(id, "silk", "same-enclosure"), "{id}");
    }
    assert!(beside("T1", "F1", "touching"));
    assert!(!demo().1.to_string().contains("caused the tarnish"));
}

#[test]
fn three_millimetres_on_the_curve_are_a_strain_and_no_promise() {
    let candidates = demo().1["candidates"].as_array().expect("candidates");
    let sheet = |id: &str| candidates.iter().find(|c| c["id"] == id).expect("a sheet");
    for id in ["N1", "N2a"] {
        let bending = &sheet(id)["bending"];
        assert_eq!(bending["radius_mm"], 900.0, "{id}");
        // Plate bending: 3/(2·900 + 3), by hand 0.001664.
        let strain = bending["strain"].as_f64().expect("a strain");
        assert!((strain - 0.001_664).abs() < 1e-6, "{strain}");
        // Nobody publishes a smallest radius for PETG or PET: no figure is printed.
        assert_eq!(bending["published"], serde_json::json!([]), "{id}");
        assert!(bending["words"].as_str().is_some_and(|w| w.contains("ask the maker")));
        assert_eq!(sheet(id)["replaces"].as_array().map(Vec::len), Some(6), "{id}");
    }
    // The invented sheets cut off at 372 and 318 nm, so that their means lie far apart.
    let mean = |id: &str| sheet(id)["uv_visible"]["mean_315_400_nm"].as_f64().expect("a mean");
    assert!(mean("N1") < 0.5 && mean("N2a") > 0.7, "{} {}", mean("N1"), mean("N2a"));
}

/// The report as its readers get it, tags and marks taken out.
fn readable() -> &'static [(&'static str, String); 2] {
    static TEXTS: OnceLock<[(&str, String); 2]> = OnceLock::new();
    TEXTS.get_or_init(|| {
        let stamp = stamp();
        let findings = &demo().0.findings;
        let report =
            ObjectReport::new(findings, &stamp).with_date("2026-03-12").with_length(Length::Full);
        let written = |writer: &dyn ObjectWriter| {
            let mut bytes = Vec::new();
            writer.write(&report, &mut bytes).expect("written");
            String::from_utf8(bytes).expect("utf-8")
        };
        let html = written(&bandlore::report::object::HtmlWriter);
        let body = html.split_once("<body").expect("a body").1;
        // Text between tags, each end of a block a line.
        let mut plain = String::new();
        for piece in body.split('<') {
            let (tag, text) = piece.split_once('>').unwrap_or(("", piece));
            let ends = ["/p", "/li", "/h2", "/h3", "/td", "/th", "/dd", "/dt", "/tr"];
            if ends.iter().any(|end| tag.starts_with(end)) {
                plain.push('\n');
            }
            plain.push_str(text);
        }
        for (mark, sign) in
            [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")]
        {
            plain = plain.replace(mark, sign);
        }
        let markdown = written(&bandlore::report::object::ObjectMarkdownWriter).replace('\\', "");
        [("html", plain), ("md", markdown)]
    })
}

/// The lines under a question of the first page.
fn answers(text: &str, question: &str) -> String {
    let after = text.split_once(question).unwrap_or_else(|| panic!("{question}")).1;
    let ends = [
        "Which parts",
        "Whether a part",
        "What to keep apart",
        "What this method",
        "What stays open",
        "Conclusion of the examiner",
        "2. In plain words",
        "2 In plain words",
        "Where records",
        "Doubts met",
        "3. Chlorine",
    ];
    let end = ends.iter().filter_map(|end| after.find(end)).min().unwrap_or(after.len());
    after[..end].to_owned()
}

#[test]
fn the_report_answers_which_parts_carry_chlorine_beside_brass_or_silk() {
    for (name, text) in readable() {
        let said = answers(text, "Which parts contain chlorine, and what stands beside them");
        for words in [
            "These parts contain chlorine: V01, V02, V03, V04, V05, V06, T1, T2, T3 and G1, by bands; B1, by the name",
            "Containing chlorine and touching brass pinions (copper alloy): V02 and V03.",
            "in the same enclosure as painted silk dial cloth (silk or wool): V01, V02, V03, V04, V05, V06, T1, T2, T3, B1 and G1.",
            "chlorine is not excluded; treat them as chlorinated until tested: F3, B2 and B3.",
        ] {
            assert!(said.contains(words), "{name}: {words}\n{said}");
        }
    }
}

#[test]
fn the_report_answers_which_parts_aged_on_which_face_against_what() {
    for (name, text) in readable() {
        let said = answers(text, "Which parts have changed, on which face, against what");
        for id in ["V01 (vane 1)", "V02 (vane 2)", "V03 (vane 3)"] {
            let line = said.lines().find(|l| l.contains(&format!("{id} has changed"))).expect(id);
            for words in [
                "exposed against covered, more carbonyl groups from oxidation (+",
                "reverse against covered",
            ] {
                assert!(line.contains(words), "{name}: {line}");
            }
        }
        for words in [
            "F1 (front panel 1) has changed: exposed against covered",
            "F2 (front panel 2) has changed: exposed against covered",
            "T1 (tube 1) has changed: outside against bore, 0.",
            "times as much plasticiser at the surface",
            "D1 (dial): visible change not explained by this method.",
            // One of its two markers says nothing, and that is said beside "no change".
            "the fitted gap explains the change; press again and repeat.",
            "F3 (front panel 3, replaced): faces differ in composition, ageing not compared",
        ] {
            assert!(said.contains(words), "{name}: {words}\n{said}");
        }
        let unchanged = said.lines().find(|l| l.contains("No change to be seen")).expect("a line");
        for id in ["V04", "V05", "V06", "D1"] {
            assert!(unchanged.contains(id), "{name}: {unchanged}");
        }
        let blind = said.lines().find(|l| l.contains("G1") && l.contains("too blind"));
        assert!(blind.is_some(), "{name}: {said}");
    }
}

#[test]
fn the_report_answers_whether_the_vanes_can_be_remade_on_their_curve() {
    for (name, text) in readable() {
        let said = answers(text, "Whether a part can be remade in a candidate sheet");
        for words in [
            "Offered for V01, V02, V03, V04, V05 and V06: N1, N2a and N2b.",
            "N1, claimed PETG: consistent with claim, PET not excluded",
            "N2b, claimed PETG: not as claimed",
            "On a curve of 0.9 m radius, 3 mm thick: held cold, the outer surface is stretched by 0.17 %",
            "no published minimum radius was found for this material: ask the maker",
            "solvent, cleaner, adhesive or a migrating plasticiser",
            "Forming the sheet with heat, or making the curve in flat segments",
            "To test first on N1, each batch: an accelerated corrosion test (Oddy)",
        ] {
            assert!(said.contains(words), "{name}: {words}\n{said}");
        }
        // The original stands beside the sheets in the table.
        assert!(text.contains("Original: V01, V02, V03, V04, V05, V06"), "{name}");
        assert!(text.contains("mean 315–400 nm"), "{name}");
    }
}

#[test]
fn the_report_answers_what_to_keep_apart_watch_or_test_first() {
    for (name, text) in readable() {
        let said = answers(text, "What to keep apart, to watch, or to test first");
        for words in [
            "V02 and V03 beside brass pinions: place an acid indicator",
            "T1 beside F1 (front panel 1)",
            "beside painted silk dial cloth",
            "Clamp nothing on V03 (vane 3)",
            "Test each batch of N1, N2a and N2b before use",
        ] {
            assert!(said.contains(words), "{name}: {words}\n{said}");
        }
    }
}

#[test]
fn the_report_answers_what_stays_open_and_by_which_measurement_it_is_settled() {
    for (name, text) in readable() {
        let said = answers(text, "What stays open, and what would settle it");
        for words in [
            "B1: chlorine is implied but not shown. To settle it: a crystal and detector that reach below 580",
            // The spectrum's own reason, and its remedy.
            "B2: no spot could be judged (the sample hardly touched the element)",
            "To settle it: press closer what can bear it",
            // What tells look-alikes apart comes first.
            "N1: which of PET, PETG. To settle it: differential scanning calorimetry",
        ] {
            assert!(said.contains(words), "{name}: {words}\n{said}");
        }
        assert!(!said.contains("another spot"), "{name}: {said}");
    }
}

#[test]
fn records_and_offers_that_differ_from_what_was_found_are_told() {
    for (name, text) in readable() {
        let said = answers(text, "What records and offers say against what was found");
        for words in [
            "L1 (lens over the date): recorded as acrylic (PMMA), found cellulose acetate (CA).",
            "Original PVC (V01, V02, V03, V04, V05 and V06), offered sheet PET (N2a and N2b).",
        ] {
            assert!(said.contains(words), "{name}: {words}\n{said}");
        }
    }
}

#[test]
fn the_report_answers_what_the_method_cannot_tell() {
    for (name, text) in readable() {
        let said = answers(text, "What this method cannot tell");
        for words in [
            "outer one to three micrometres at the spots measured",
            "traces, stabilisers and what a sheet may give off later are for other tests",
            "does not say what caused tarnish or yellowing",
        ] {
            assert!(said.contains(words), "{name}: {words}\n{said}");
        }
        assert!(text.contains("No conformity with any standard"), "{name}");
        assert!(text.contains("claims conformity with no standard"), "{name}");
    }
}

#[test]
fn the_first_page_needs_no_chemist() {
    let tables = Tables::built_in();
    for line in &demo().0.findings.summary {
        for marker in tables.markers() {
            assert!(!line.text.contains(&marker.id), "{}: {}", marker.id, line.text);
        }
        for rule in tables.rules().iter().map(|r| &r.id).filter(|id| id.contains('-')) {
            assert!(!line.text.contains(rule.as_str()), "{rule}: {}", line.text);
        }
        // Three digits at most; inventory ids such as V01 and dates are no figures.
        for word in line.text.split(|c: char| !(c.is_ascii_digit() || c == '.')) {
            let digits = word.trim_matches('.').trim_start_matches(['0', '.']);
            let digits = digits.bytes().filter(u8::is_ascii_digit).count();
            assert!(digits <= 3, "{word} in: {}", line.text);
        }
    }
}

#[test]
fn advice_that_hangs_on_an_acid_indicator_is_one_row_and_never_two_that_contradict() {
    for (name, text) in readable() {
        let care = text.rsplit("Notes to weigh, not orders").next().expect("the care notes");
        let row = "One or the other, by an acid indicator (no reading is recorded, so read one first). (1) Soft";
        assert_eq!(care.matches(row).count(), 1, "{name}");
        for half in ["freezer, slows the loss of plasticiser", "ventilate or use a scavenger"] {
            assert_eq!(care.matches(half).count(), 1, "{name}: {half}");
        }
        for first in
            ["conservator in charge", "local rules", "safety data sheets", "licensed practice"]
        {
            assert!(text.contains(first), "{name}: {first}");
        }
    }
}

#[test]
fn only_sources_that_carry_a_statement_are_printed_by_name() {
    let tables = Tables::built_in();
    let mut secondary: Vec<&str> = Vec::new();
    let all = tables
        .care()
        .iter()
        .map(|n| &n.sourcing)
        .chain(tables.neighbours().iter().map(|n| &n.sourcing))
        .chain(tables.markers().iter().map(|m| &m.sourcing))
        .chain(tables.routes().iter().map(|r| &r.sourcing));
    for sourcing in all {
        if !["standard", "peer-reviewed", "measured-data", "institution"]
            .contains(&sourcing.class.as_str())
        {
            secondary.push(&sourcing.source);
        }
    }
    assert!(!secondary.is_empty());
    for (name, text) in readable() {
        for source in secondary.iter().filter(|s| s.len() > 12 && !s.contains("fact of the trade"))
        {
            assert!(!text.contains(*source), "{name} prints {source}");
        }
        // What such a source says is no advice: neither care nor a candidate sheet prints it.
        let care = text.rsplit("Notes to weigh, not orders").next().expect("the care notes");
        let care = care.split("Next examination").next().expect("its end");
        assert!(!care.contains("unverified secondary"), "{name}");
        for note in tables.care().iter().filter(|n| secondary.contains(&n.sourcing.source.as_str()))
        {
            assert!(!text.contains(&note.advice), "{name}: {}", note.advice);
        }
    }
}

/// Copies the demo into a folder of its own.
fn copy() -> tempfile::TempDir {
    let copy = tempfile::tempdir().expect("a folder");
    for below in ["", "spectra", "uv-visible"] {
        std::fs::create_dir_all(copy.path().join(below)).expect("a folder");
        for entry in std::fs::read_dir(folder().join(below)).expect("the demo") {
            let entry = entry.expect("an entry");
            if entry.path().is_file() {
                std::fs::copy(entry.path(), copy.path().join(below).join(entry.file_name()))
                    .expect("copied");
            }
        }
    }
    copy
}

/// A copy of the demo with the spectra of some parts and faces only, so that it is judged quickly.
fn some_of(wanted: &[(&str, &[&str])]) -> tempfile::TempDir {
    let copy = copy();
    let path = copy.path().join("object.toml");
    let text = std::fs::read_to_string(&path).expect("the manifest");
    let mut rows = text.split("\n[[spectrum]]\n");
    let mut kept = rows.next().expect("the head").to_owned();
    for row in rows {
        let is = |field: &str, value: &str| row.contains(&format!("{field} = \"{value}\"\n"));
        let wanted = wanted.iter().any(|(part, faces)| {
            is("part", part) && (faces.is_empty() || faces.iter().any(|face| is("face", face)))
        });
        if wanted {
            kept.push_str(&format!("\n[[spectrum]]\n{row}"));
        }
    }
    std::fs::write(&path, kept).expect("written");
    copy
}

/// Exchanges the spectra whose names begin so, spot by spot.
fn exchange(folder: &Path, first: &str, second: &str, spots: &[&str], ending: &str) {
    let at = |name: String| folder.join("spectra").join(name);
    for spot in spots {
        let (a, b) = (at(format!("{first}{spot}{ending}")), at(format!("{second}{spot}{ending}")));
        let aside = at("aside".to_owned());
        std::fs::rename(&a, &aside).expect("renamed");
        std::fs::rename(&b, &a).expect("renamed");
        std::fs::rename(&aside, &b).expect("renamed");
    }
}

#[test]
fn exchanging_two_files_exchanges_the_answers() {
    let copy = some_of(&[
        ("S1", &[]),
        ("B1", &[]),
        ("N1", &["face a", "face b"]),
        ("N2b", &[]),
        ("V02", &["exposed", "covered"]),
        ("F1", &[]),
        ("T1", &["outside"]),
        ("T3", &[]),
    ]);
    let (three, five) = (["-a", "-b", "-c"], ["-a", "-b", "-c", "-d", "-e"]);
    exchange(copy.path(), "S1-exposed", "B1-exposed", &[""], ".csv");
    for face in ["-face-a", "-face-b"] {
        exchange(copy.path(), &format!("N1{face}"), &format!("N2b{face}"), &three, ".csv");
    }
    for face in ["-exposed", "-covered"] {
        exchange(copy.path(), &format!("V02{face}"), &format!("F1{face}"), &five, ".csv");
    }
    // T1 keeps two spots of its own, so that it has three of the other class and two of its own.
    exchange(copy.path(), "T1-outside", "T3-outside", &three, ".dx");
    let examined = examine(copy.path());
    let json = json(&examined);
    assert!(is_pvc(part(&json, "S1")));
    assert_eq!(part(&json, "S1")["chlorine"]["bands"], "cannot-tell");
    assert_eq!(part(&json, "B1")["material"], "PET");

    assert_eq!(part(&json, "N1")["claim"]["outcome"], "not-as-claimed");
    assert_eq!(part(&json, "N2b")["claim"]["words"], "consistent with claim, PET not excluded");

    assert_eq!(part(&json, "V02")["material"], "PC");
    assert_eq!(part(&json, "V02")["chlorine"]["list"], "none-detected");
    assert!(grew(part(&json, "V02"), "PC_OX_ACID", "exposed", "covered"));
    assert!(is_pvc(part(&json, "F1")));
    assert_eq!(part(&json, "F1")["chlorine"]["list"], "shown");
    assert!(grew(part(&json, "F1"), "PVC_CO", "exposed", "covered"));
    let beside_brass = json["neighbours"]
        .as_array()
        .expect("neighbours")
        .iter()
        // V03, beside the brass too, is not measured here: its chlorine is not excluded.
        .filter(|n| n["neighbour"] == "brass pinions" && n["part"] == "V02")
        .count();
    assert_eq!(beside_brass, 0, "the vane beside the brass is no PVC any more");

    let class = |id: &str| part(&json, id)["plasticiser"].as_str().unwrap_or("").to_owned();
    assert!(class("T3").starts_with("ortho-phthalate"), "{}", class("T3"));
    assert!(class("T1").contains("terephthalate"), "{}", class("T1"));
}

#[test]
fn one_odd_spot_is_named_and_leaves_the_part_without_a_material() {
    let copy = some_of(&[("V04", &["exposed"]), ("L1", &[])]);
    exchange(copy.path(), "V04-exposed", "L1-exposed", &["-b"], ".csv");
    let examined = examine(copy.path());
    let json = json(&examined);
    for (id, odd) in [("V04", "exposed b: CA"), ("L1", "exposed b: PVC")] {
        let part = part(&json, id);
        assert_eq!(part["outcome"], "spots-disagree", "{id}");
        assert_eq!(part["material"], Value::Null, "{id}");
        assert_eq!(part["agreement"]["outliers"], serde_json::json!([odd]), "{id}");
        // One spot with chlorine is enough to say so.
        assert_eq!(part["chlorine"]["list"], "shown", "{id}");
    }
    let summary = json["summary"].to_string();
    assert!(summary.contains("measure again: V04 and L1"), "{summary}");
}

#[test]
fn a_vouched_reference_settles_petg_and_only_petg() {
    let copy = some_of(&[("N1", &[]), ("N2a", &[])]);
    let path = copy.path().join("object.toml");
    let text = std::fs::read_to_string(&path).expect("the manifest");
    let vouched = "reference = \"spectra/reference-petg.csv\"\nreference_material = \"PETG\"\nreference_vouched_by = \"invented maker, batch 0001\"\n";
    let mut with = text.clone();
    for id in ["N1", "N2a"] {
        let row = format!("[[candidate]]\nid = \"{id}\"\n");
        with = with.replace(&row, &format!("{row}{vouched}"));
    }
    assert_ne!(with, text);
    std::fs::write(&path, with).expect("written");
    let examined = examine(copy.path());
    let claim = |id: &str| {
        let found = examined.findings.candidates.iter().find(|c| c.record.id == id);
        found.expect("a candidate").claim.clone()
    };
    assert_eq!(
        claim("N1").outcome,
        bandlore::object::sheets::ClaimOutcome::AsClaimed,
        "{:?}",
        claim("N1")
    );
    assert_ne!(
        claim("N2a").outcome,
        bandlore::object::sheets::ClaimOutcome::AsClaimed,
        "{:?}",
        claim("N2a")
    );
    assert_ne!(
        claim("N2a").outcome,
        bandlore::object::sheets::ClaimOutcome::ThisFaceAgrees,
        "{:?}",
        claim("N2a")
    );
}

#[test]
fn files_that_break_half_way_are_named_with_their_lines_and_the_report_says_so() {
    let copy = copy();
    std::fs::write(copy.path().join("spectra/L1-exposed-b.csv"), b"PK\x03\x04\x00\x00")
        .expect("written");
    std::fs::write(copy.path().join("spectra/V06-covered-c.csv"), "n.d.\n").expect("written");
    let html = copy.path().join("out.html");
    let run = assert_cmd::Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .arg("object")
        .arg(copy.path())
        .arg("--report")
        .arg(&html)
        .assert()
        .failure()
        .code(1);
    let told = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(told.contains("L1-exposed-b.csv") && told.contains("V06-covered-c.csv"), "{told}");
    let line: Vec<&str> = told.lines().filter(|l| l.contains("object.toml:")).collect();
    assert_eq!(line.len(), 2, "{told}");
    let report = std::fs::read_to_string(&html).expect("written all the same").to_lowercase();
    for name in ["l1-exposed-b.csv", "v06-covered-c.csv"] {
        let left_out = report.match_indices("not in this answer: ").any(|(at, words)| {
            report[at + words.len()..].trim_start_matches("spectra/").starts_with(name)
        });
        assert!(left_out, "{name}");
    }
}

#[test]
fn five_hundred_files_are_done_in_time() {
    // 10 s for 500 files is for an optimised build. Without optimisation the same work takes many
    // times as long, so that fewer files are tried, and the time only shows that nothing hangs.
    let (files, limit) = if cfg!(debug_assertions) { (60, 120) } else { (500, 10) };
    let copy = copy();
    let mut text = String::from("[object]\ntitle = \"many\"\n");
    let mut rows = String::new();
    for i in 0..files {
        let parts = files / 5;
        let (part, source) = (
            i % parts,
            ["V01-exposed-a.csv", "F1-covered-a.csv", "T1-bore-a.dx", "S1-exposed.csv"][i % 4],
        );
        if i < parts {
            text.push_str(&format!("[[part]]\nid = \"P{i}\"\n"));
        }
        let ending = &source[source.len() - 4..];
        let name = format!("{i}{}", ending.trim_start_matches(|c| c != '.'));
        std::fs::copy(folder().join("spectra").join(source), copy.path().join(&name))
            .expect("copied");
        let face = if i < 3 * parts { "exposed" } else { "covered" };
        rows.push_str(&format!(
            "[[spectrum]]\nfile = \"{name}\"\npart = \"P{part}\"\nface = \"{face}\"\n"
        ));
    }
    std::fs::write(copy.path().join("object.toml"), text + &rows).expect("written");
    let started = Instant::now();
    let examined = examine(copy.path());
    assert_eq!(examined.spectra.len(), files);
    assert!(started.elapsed().as_secs() < limit, "{:?}", started.elapsed());
}
