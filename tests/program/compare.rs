//! `bandlore compare` as a user meets it, on the invented demo spectra.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;

use crate::to_validate::left_to_be_validated;

fn spectra(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock/spectra").join(name)
}

/// Arguments: a face and its spots, such as "--exposed V01-exposed-abc.csv" for spots a, b and c.
fn run(faces: &[(&str, &str)], arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    command.env_remove("NO_COLOR").env_remove("COLUMNS").arg("compare");
    for (face, spots) in faces {
        let (stem, kind) = spots.rsplit_once('.').expect("an ending");
        let (part, letters) = stem.rsplit_once('-').expect("spots");
        command.arg(face);
        command.args(letters.chars().map(|c| spectra(&format!("{part}-{c}.{kind}"))));
    }
    command.args(arguments).output().expect("runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

/// The output of a run that must succeed.
fn said(faces: &[(&str, &str)], arguments: &[&str]) -> String {
    let output = run(faces, arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout)
}

fn json(faces: &[(&str, &str)], arguments: &[&str]) -> Value {
    let all: Vec<&str> =
        ["--format", "json"].into_iter().chain(arguments.iter().copied()).collect();
    left_to_be_validated("compare", &said(faces, &all))[0].clone()
}

fn marker<'a>(comparison: &'a Value, id: &str) -> &'a Value {
    let list = comparison["markers"].as_array().expect("markers");
    list.iter().find(|m| m["id"] == id).unwrap_or_else(|| panic!("no {id} in {comparison}"))
}

/// Words with single blanks: a terminal breaks lines anywhere.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const VANE: [(&str, &str); 2] =
    [("--exposed", "V01-exposed-abc.csv"), ("--covered", "V01-covered-abc.csv")];

#[test]
fn a_spot_that_cannot_be_read_is_named_wherever_the_comparison_goes() {
    let lost = run(&VANE, &["--exposed", "no-such-spot.csv", "--format", "json"]);
    assert_eq!(lost.status.code(), Some(1));
    let answer: Value = serde_json::from_slice(&lost.stdout).expect("JSON");
    let warnings = answer[0]["warnings"].to_string();
    assert!(
        warnings.contains("spot-left-out") && warnings.contains("no-such-spot.csv"),
        "{warnings}"
    );
    // Of a face without any there is nothing to compare, and it was given.
    let none = run(&VANE[1..], &["--exposed", "no-such-spot.csv"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(text(&none.stderr).contains("no spot of the exposed face could be read"));
}

#[test]
fn another_material_than_the_bands_say_is_remarked() {
    let stated = json(&VANE, &["--material", "PC"])["warnings"].to_string();
    assert!(
        stated.contains("the markers are those of PC, as stated; by itself a spot was judged PVC"),
        "{stated}"
    );
    let agreed = json(&VANE, &["--material", "PVC"])["warnings"].to_string();
    assert!(!agreed.contains("material-stated"), "{agreed}");
}

#[test]
fn a_covered_face_that_is_the_more_oxidised_casts_doubt_on_the_names() {
    let turned = [("--exposed", "V02-covered-abc.csv"), ("--covered", "V02-exposed-abc.csv")];
    let doubt = "were the faces exchanged? check the names of the files";
    let answer = json(&turned, &[]);
    assert!(answer["warnings"].to_string().contains(doubt));
    // It stands with the change that it makes doubtful, not on a later page alone.
    assert!(
        answer["sentence"].as_str().is_some_and(|headline| headline.contains(doubt)),
        "{answer}"
    );
    assert!(flat(&said(&turned, &[])).contains(doubt));
    let right = [("--exposed", "V02-exposed-abc.csv"), ("--covered", "V02-covered-abc.csv")];
    assert!(!json(&right, &[])["warnings"].to_string().contains("faces-exchanged"));
}

#[test]
fn what_is_lower_is_lower_by_a_positive_amount() {
    let turned = [("--exposed", "V02-covered-abc.csv"), ("--covered", "V02-exposed-abc.csv")];
    let told = flat(&said(&turned, &[]));
    assert!(told.contains("lower by 0.") && !told.contains("lower by -"), "{told}");
}

#[test]
fn text_fits_80_columns_and_says_what_the_spots_do_not_mean() {
    let answer = said(&VANE, &[]);
    for line in answer.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let answer = flat(&answer);
    for words in [
        "oxidation carbonyl (PVC_CO) higher",
        "3 spots describe one face, not the effect of light",
        "no grade is given",
        "smallest change detectable",
        "exploratory, not tested for",
        "Intervals of changes are 95 %, of the spots",
        "Contact of each spot",
        "exposed spot 1",
    ] {
        assert!(answer.contains(words), "no \"{words}\" in {answer}");
    }
    assert_eq!(answer.matches("there is none to be consumed").count(), 1, "{answer}");
}

#[test]
fn every_format_holds_the_same_findings() {
    let comparison = json(&VANE, &[]);
    assert_eq!(comparison["same_material"]["verdict"], "same", "{}", comparison["same_material"]);
    assert_eq!(marker(&comparison, "PVC_CO")["call"], "changed");
    let ids: Vec<&str> = comparison["markers"]
        .as_array()
        .expect("markers")
        .iter()
        .map(|m| m["id"].as_str().expect("an id"))
        .collect();
    let line: Value = serde_json::from_str(said(&VANE, &["--format", "jsonl"]).trim_end())
        .expect("one object on one line");
    assert_eq!(line, comparison);
    let sheet = said(&VANE, &["--format", "csv"]);
    let mut reader = csv::Reader::from_reader(sheet.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    assert_eq!(rows.iter().map(|r| r[2].to_owned()).collect::<Vec<_>>(), ids);
    let change = marker(&comparison, "PVC_CO")["change"].as_f64().expect("a number");
    let row = rows.iter().find(|r| &r[2] == "PVC_CO").expect("a row");
    assert_eq!(row[8].parse::<f64>().ok(), Some(change));
    let page = said(&VANE, &["--format", "markdown"]);
    assert!(page.starts_with("# Comparison of faces"));
    assert!(page.contains("| primary | changed"), "{page}");
}

#[test]
fn one_or_two_markers_are_named_beforehand_and_the_rest_never_changed() {
    let comparison = json(&VANE, &[]);
    let list = comparison["markers"].as_array().expect("markers");
    let tested = list.iter().filter(|m| m["p_corrected"].is_number()).count();
    assert!((1..=2).contains(&tested), "{tested}");
    for m in list.iter().filter(|m| m["primary"] == false) {
        assert!(m["call"] == "exploratory" || m["call"] == "refused", "{m}");
        assert_eq!(m["p_corrected"], Value::Null);
    }
}

#[test]
fn two_spots_a_side_are_shown_and_not_tested() {
    let comparison =
        json(&[("--exposed", "V01-exposed-ab.csv"), ("--covered", "V01-covered-ab.csv")], &[]);
    for m in comparison["markers"].as_array().expect("markers") {
        assert_eq!(m["p"], Value::Null, "{m}");
        assert_ne!(m["call"], "changed", "{m}");
    }
    assert_eq!(marker(&comparison, "PVC_CO")["call"], "not-tested");
    assert!(marker(&comparison, "PVC_CO")["change"].is_number());
}

#[test]
fn the_far_face_of_a_transparent_part_saw_light_too() {
    let faces = [("--exposed", "V01-exposed-abc.csv"), ("--reverse", "V01-reverse-abc.csv")];
    let answer = flat(&said(&faces, &[])).to_lowercase();
    assert!(answer.contains("both faces saw light"), "{answer}");
    assert!(answer.contains("exposed against reverse"), "{answer}");
}

#[test]
fn a_spot_that_must_not_be_judged_is_left_out_by_name_and_not_counted() {
    let folder = tempfile::tempdir().expect("a folder");
    let turned = folder.path().join("turned.csv");
    let over = |line: &str| match line.split_once(',').map(|(x, y)| (x, y.parse::<f64>())) {
        Some((x, Ok(value))) => format!("{x},{:.5}\n", 1.0 - value),
        _ => format!("{line}\n"),
    };
    let measured = fs::read_to_string(spectra("V01-exposed-d.csv")).expect("the spectrum");
    fs::write(&turned, measured.lines().map(over).collect::<String>()).expect("written");
    let turned = turned.to_str().expect("UTF-8");
    let output = run(&VANE, &["--exposed", turned, "--ordinate", "absorbance", "--format", "json"]);
    let errors = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{errors}");
    assert!(errors.contains("turned.csv: left out, for it must not be judged: "), "{errors}");
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let warnings = answer[0]["warnings"].to_string();
    assert!(warnings.contains("spot-left-out") && warnings.contains("turned.csv"), "{warnings}");
    let faces = answer[0]["faces"].as_array().expect("faces");
    let exposed = faces.iter().find(|face| face["face"] == "exposed").expect("the exposed face");
    assert_eq!(exposed["n"].as_u64(), Some(3), "{faces:?}");
    assert_eq!(marker(&answer[0], "PVC_CO")["call"], "changed");
}

#[test]
fn later_against_earlier_gives_numbers_only_where_the_settings_agree() {
    let faces = [("--earlier", "V01-covered-abc.csv"), ("--later", "V01-exposed-abc.csv")];
    let check = spectra("S1-exposed.csv");
    let folder = tempfile::tempdir().expect("a folder");
    // The check sample measured again: the same bands, other noise.
    let again = folder.path().join("again.csv");
    let mut count = 0.0f64;
    let mut noisy = |line: &str| match line.split_once(',').map(|(x, y)| (x, y.parse::<f64>())) {
        Some((x, Ok(value))) => {
            count += 1.0;
            format!("{x},{:.5}\n", value + 5.0e-4 * (count * count).sin())
        }
        _ => format!("{line}\n"),
    };
    let measured = fs::read_to_string(&check).expect("the spectrum");
    fs::write(&again, measured.lines().map(&mut noisy).collect::<String>()).expect("written");
    let (check, again) = (check.to_str().expect("UTF-8"), again.to_str().expect("UTF-8"));
    let same = "crystal=diamond,angle=45,resolution=4";
    let refused = |settings: &[&str], because: &str| {
        let comparison = json(&faces, settings);
        for m in comparison["markers"].as_array().expect("markers") {
            assert_eq!(
                (&m["call"], &m["change"], &m["p"]),
                (&"refused".into(), &Value::Null, &Value::Null)
            );
            let why = m["why"].as_str().expect("a reason");
            assert!(
                why.starts_with("identity and presence only") && why.contains(because),
                "{why}"
            );
        }
        assert_eq!(comparison["differences"], Value::Array(Vec::new()));
    };
    refused(&[], "not recorded");
    refused(
        &[
            "--earlier-setup",
            same,
            "--later-setup",
            "crystal=germanium,angle=45,resolution=4",
            "--earlier-check",
            check,
            "--later-check",
            check,
        ],
        "the crystals differ",
    );
    refused(&["--earlier-setup", same, "--later-setup", same], "no stable check sample");
    let settings = |later| {
        [
            "--earlier-setup",
            same,
            "--later-setup",
            same,
            "--earlier-check",
            check,
            "--later-check",
            later,
        ]
    };
    refused(&settings(check), "measure the check sample in each session");
    let comparison = json(&faces, &settings(again));
    assert_eq!(marker(&comparison, "PVC_CO")["call"], "changed");
    let output = run(&faces, &["--earlier-setup", "crystal=diamond,angle=steep"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("\"steep\" after angle is not a number"));
}

#[test]
fn a_visible_change_without_an_infrared_one_is_said_to_be_unexplained() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("colour.csv");
    fs::write(
        &sheet,
        "face,l,a,b,instrument,backing\nexposed,88,-1,12,sphere d/8,white tile\n\
         covered,91,-1,4,sphere d/8,white tile\n",
    )
    .expect("written");
    let colours = ["--colours", sheet.to_str().expect("UTF-8")];
    let dial = [("--exposed", "D1-exposed-abc.dx"), ("--covered", "D1-covered-abc.dx")];
    let answer = flat(&said(&dial, &colours));
    assert!(answer.contains("visible change not explained by this method"), "{answer}");
    assert!(answer.contains("ΔE*ab 8.5"), "{answer}");
    let answer = flat(&said(&VANE, &colours));
    assert!(answer.contains("ΔE*ab 8.5") && !answer.contains("not explained"), "{answer}");
    fs::write(&sheet, "face,instrument,backing,yi\nfront,x,y,3\n").expect("written");
    let output = run(&dial, &colours);
    assert_eq!(output.status.code(), Some(2));
    let told = "colour.csv:2 (front): column face: found \"front\", expected exposed, reverse";
    assert!(text(&output.stderr).contains(told));
}

#[test]
fn faces_of_two_materials_are_not_compared() {
    let faces = [("--exposed", "V01-exposed-abc.csv"), ("--covered", "D1-covered-abc.dx")];
    let answer = said(&faces, &[]);
    assert!(
        flat(&answer).starts_with("Faces differ in composition, ageing not compared"),
        "{answer}"
    );
    let sheet = said(&faces, &["--format", "csv"]);
    let mut reader = csv::Reader::from_reader(sheet.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    assert_eq!((rows.len(), &rows[0][1]), (1, "different"), "{sheet}");
}

#[test]
fn wrong_use_is_one_clear_line() {
    let complaint = |faces: &[(&str, &str)], arguments: &[&str], words: &str| {
        let output = run(faces, arguments);
        let errors = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{errors}");
        assert!(errors.contains(words) && errors.trim_end().lines().count() == 1, "{errors}");
    };
    complaint(&VANE[..1], &[], "two faces are needed");
    complaint(&VANE, &["--material", "PLEXI"], "no material \"PLEXI\"");
}

#[test]
fn a_spot_that_cannot_be_read_is_named_and_the_others_are_compared() {
    let output = run(&VANE, &["--reverse", "no-such-file.csv"]);
    let errors = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{errors}");
    assert!(errors.contains("no-such-file.csv"), "{errors}");
    assert!(flat(&text(&output.stdout)).contains("PVC_CO"));
}

/// A run that must end with exit 2 and one line.
fn refused(faces: &[(&str, &str)]) -> String {
    let output = run(faces, &[]);
    let error = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{error}");
    assert!(output.stdout.is_empty(), "{}", text(&output.stdout));
    error
}

#[test]
fn one_file_is_one_spot_and_lies_on_one_face() {
    let error =
        refused(&[("--exposed", "V01-exposed-abb.csv"), ("--covered", "V01-covered-abc.csv")]);
    assert!(error.contains("V01-exposed-b.csv is given twice for the exposed face"), "{error}");
    let error =
        refused(&[("--exposed", "V01-exposed-abc.csv"), ("--covered", "V01-exposed-abc.csv")]);
    assert!(
        error.contains("V01-exposed-a.csv is given for the exposed and for the covered"),
        "{error}"
    );
}

#[test]
fn a_copy_under_another_name_or_with_other_bytes_is_no_spot() {
    let folder = tempfile::tempdir().expect("a folder");
    let first = fs::read_to_string(spectra("V01-exposed-a.csv")).expect("text");
    // The same numbers with one more blank line: another digest, the same measurement.
    for (name, text) in [("other.csv", first.clone()), ("other-bytes.csv", format!("{first}\n"))] {
        let copy = folder.path().join(name);
        fs::write(&copy, text).expect("written");
        let output = Command::new(env!("CARGO_BIN_EXE_bandlore"))
            .args(["compare", "--exposed"])
            .args([spectra("V01-exposed-a.csv"), spectra("V01-exposed-b.csv"), copy])
            .arg("--covered")
            .args(["a", "b", "c"].map(|spot| spectra(&format!("V01-covered-{spot}.csv"))))
            .output()
            .expect("runs");
        let error = String::from_utf8(output.stderr).expect("UTF-8");
        assert_eq!(output.status.code(), Some(2), "{error}");
        assert!(error.contains("V01-exposed-a.csv") && error.contains(name), "{error}");
        assert!(error.contains("copies are no replicates"), "{error}");
    }
}
