//! `bandlore ageing` as a user meets it, on the invented demo spectra.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;

use crate::to_validate::left_to_be_validated;

fn spectra(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock/spectra").join(name)
}

fn run(arguments: &[&str], files: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    command.env_remove("NO_COLOR").env_remove("COLUMNS").arg("ageing").args(arguments);
    command.args(files.iter().map(|f| spectra(f))).output().expect("runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

/// The output of a run that must succeed.
fn said(arguments: &[&str], files: &[&str]) -> String {
    let output = run(arguments, files);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout)
}

/// The error of a run that must fail with this exit code.
fn complaint(arguments: &[&str], files: &[&str], code: i32) -> String {
    let output = run(arguments, files);
    let errors = text(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{errors}");
    assert_eq!(errors.trim_end().lines().count(), 1, "{errors}");
    errors
}

fn json(arguments: &[&str], files: &[&str]) -> Value {
    let all: Vec<&str> =
        ["--format", "json"].into_iter().chain(arguments.iter().copied()).collect();
    left_to_be_validated("ageing", &said(&all, files))
}

fn marker<'a>(entry: &'a Value, id: &str) -> &'a Value {
    let list = entry["markers"].as_array().expect("markers");
    list.iter().find(|m| m["id"] == id).unwrap_or_else(|| panic!("no {id} in {entry}"))
}

#[test]
fn help_says_what_was_never_proven_on_aged_plastic() {
    let help = said(&["--help"], &[]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(help.contains("proven on synthetic mixtures only"), "{help}");
    for material in ["PVC", "PC", "PMMA"] {
        assert!(help.contains(material), "{help}");
    }
    let readme = include_str!("../../README.md").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        readme.contains("PVC, PC and PMMA are proven on synthetic mixtures only"),
        "the README must say so too"
    );
}

#[test]
fn text_fits_80_columns_and_says_what_the_interval_holds() {
    let answer = said(&[], &["V01-exposed-a.csv", "F1-covered-a.csv"]);
    for line in answer.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let answer = answer.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in
        ["noise only", "below detection", "quantification", "No grade is given", "[peer-reviewed,"]
    {
        assert!(answer.contains(words), "no \"{words}\" in {answer}");
    }
    // What a marker is refused for is not said again as what disturbs it.
    assert_eq!(answer.matches("there is none to be consumed").count(), 1, "{answer}");
}

#[test]
fn markdown_and_csv_hold_every_marker() {
    let files = ["V01-exposed-a.csv"];
    let ids: Vec<String> = json(&[], &files)[0]["markers"]
        .as_array()
        .expect("markers")
        .iter()
        .map(|m| m["id"].as_str().expect("an id").to_owned())
        .collect();
    assert!(ids.len() > 5);
    let page = said(&["--format", "markdown"], &files);
    let sheet = said(&["--format", "csv"], &files);
    let mut reader = csv::Reader::from_reader(sheet.as_bytes());
    assert_eq!(&reader.headers().expect("a heading")[3], "marker");
    // A reader of fixed width refuses rows of another length.
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    assert_eq!(rows.iter().map(|r| r[3].to_owned()).collect::<Vec<_>>(), ids);
    for id in ids {
        assert!(page.contains(&format!("| {} |", id.replace('_', "\\_"))) || page.contains(&id));
    }
    for row in &rows {
        let number = |i: usize| row[i].parse::<f64>().is_ok();
        assert_eq!(number(5), &row[4] == "measured", "{row:?}");
    }
}

#[test]
fn json_is_an_array_that_fits_the_schema_and_lines_hold_the_same() {
    let files = ["V01-exposed-a.csv", "B2-exposed.csv"];
    let array = json(&[], &files);
    let entries = array.as_array().expect("an array");
    assert_eq!(entries.len(), 2);
    assert_eq!(entries[0]["material"], "PVC");
    assert_eq!(entries[0]["material_from"], "identified");
    for m in entries[0]["markers"].as_array().expect("markers") {
        // A number only where something was measured.
        assert_eq!(m["value"].is_number(), m["state"] == "measured", "{m}");
        assert!(m["source"].as_str().is_some_and(|s| !s.is_empty()));
        assert_eq!(m["state"] == "refused", m["refusal"].is_string(), "{m}");
    }
    // Hardly any signal: nobody knows the material, so no marker is read.
    assert_eq!(entries[1]["material"], Value::Null);
    assert_eq!(entries[1]["markers"], Value::Array(Vec::new()));
    let lines = said(&["--format", "jsonl"], &files);
    let lines: Vec<Value> =
        lines.lines().map(|l| serde_json::from_str(l).expect("one object a line")).collect();
    assert_eq!(&lines, entries);
}

#[test]
fn material_of_the_user_takes_the_place_of_the_identified_one() {
    let entry = &json(&["--material", "PMMA"], &["V01-exposed-a.csv"])[0];
    assert_eq!((&entry["material"], &entry["material_from"]), (&"PMMA".into(), &"given".into()));
    marker(entry, "PMMA_OH");
    let errors = complaint(&["--material", "PLEXI"], &["V01-exposed-a.csv"], 2);
    assert!(errors.contains("no material \"PLEXI\""), "{errors}");
}

#[test]
fn a_file_that_cannot_be_read_stays_in_the_array() {
    let folder = tempfile::tempdir().expect("a folder");
    let bad = folder.path().join("bad.csv");
    fs::write(&bad, "no numbers\nat all\n").expect("written");
    let bad = bad.to_str().expect("UTF-8");
    let output = run(&["--format", "json", bad], &["D1-covered-a.dx"]);
    assert_eq!(output.status.code(), Some(1));
    let errors = text(&output.stderr);
    assert!(errors.contains("bad.csv") && errors.lines().count() == 1, "{errors}");
    let array = left_to_be_validated("ageing", &text(&output.stdout));
    assert!(array[0]["error"].as_str().is_some_and(|e| e.contains("bad.csv")));
    assert_eq!(array[1]["error"], Value::Null);
}

#[test]
fn a_series_gives_a_slope_inside_its_doses_and_never_mixes_units() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("series.csv");
    let files = [
        "V01-covered-a.csv",
        "V01-covered-b.csv",
        "V01-reverse-a.csv",
        "V01-reverse-b.csv",
        "V01-exposed-a.csv",
        "V01-exposed-b.csv",
    ];
    let head = "file,dose,unit,source,filter,band,temperature_c,relative_humidity\n";
    let rows = |units: [&str; 3]| -> String {
        let dose = |file: &str| match &file[4..7] {
            "cov" => (0.0, units[0]),
            "rev" => (2e5, units[1]),
            _ => (4e5, units[2]),
        };
        let row = |file: &&str| {
            let (dose, unit) = dose(file);
            let (band, climate) = match unit {
                "W h/m2" => ("300-400 nm", ","),
                _ => ("", ","),
            };
            format!("{file},{dose},{unit},lamp,window glass,{band},{climate}\n")
        };
        head.to_owned() + &files.iter().map(row).collect::<String>()
    };
    let path = sheet.to_str().expect("UTF-8");
    fs::write(&sheet, rows(["lux h"; 3])).expect("written");
    let array = json(&["--series", path], &files);
    let series = array[0]["series"].as_array().expect("a series");
    let carbonyl = series.iter().find(|s| s["marker"] == "PVC_CO").expect("carbonyl");
    assert_eq!((carbonyl["n"].as_u64(), carbonyl["unit"].as_str()), (Some(6), Some("lux h")));
    assert!(carbonyl["low"].as_f64().expect("an interval") > 0.0, "{carbonyl}");
    assert_eq!(carbonyl["highest_dose"].as_f64(), Some(4e5));
    let note = carbonyl["note"].as_str().expect("a note");
    assert!(note.contains("no lifetime") && note.contains("no extrapolation"), "{note}");
    let answer = said(&["--series", path], &files);
    // The course over the doses is told once, in figures of the index, and where nothing was found nothing is fitted.
    let flat = answer.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(
        flat.matches("PVC_CO over 0 to 400000 lux h (lamp, filter window glass)").count(),
        1
    );
    assert!(flat.contains("6 spectra: changes by 0."), "{flat}");
    assert_eq!(flat.matches("no extrapolation").count(), 1, "{flat}");
    let polyene = series.iter().find(|s| s["marker"] == "PVC_POLYENE").expect("polyene");
    assert_eq!(polyene["note"], "no slope: below detection throughout", "{polyene}");
    assert_eq!((&polyene["slope"], &polyene["low"]), (&Value::Null, &Value::Null));

    // One measurement under two doses, though written otherwise, is no second line of a series.
    let again = folder.path().join("again.csv");
    let double = |line: &str| match line.split_once(',').map(|(x, y)| (x, y.parse::<f64>())) {
        Some((x, Ok(value))) => format!("{x},{:.5}\n", 2.0 * value),
        _ => format!("{line}\n"),
    };
    let measured = fs::read_to_string(spectra(files[0])).expect("the spectrum");
    fs::write(&again, measured.lines().map(double).collect::<String>()).expect("written");
    let twice = rows(["lux h"; 3]) + "again.csv,6e5,lux h,lamp,window glass,,,\n";
    fs::write(&sheet, twice).expect("written");
    let again = again.to_str().expect("UTF-8");
    let output = run(&["--series", path], &[&files[..], &[again]].concat());
    let errors = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{errors}");
    assert!(
        errors.contains("V01-covered-a.csv and ")
            && errors.contains("again.csv are one measurement")
            && errors.contains("no line is fitted"),
        "{errors}"
    );
    // What was read of each spectrum is written all the same.
    let read = text(&output.stdout);
    assert!(read.contains("again.csv") && !read.contains("per lux h"), "{read}");

    fs::write(&sheet, rows(["lux h", "W h/m2", "lux h"])).expect("written");
    let array = json(&["--series", path], &files);
    let kinds = |entry: usize| -> Vec<&Value> {
        let list = array[entry]["series"].as_array().expect("a series");
        list.iter().filter(|s| s["marker"] == "PVC_CO").collect()
    };
    assert_eq!((kinds(0).len(), kinds(2).len()), (1, 1));
    assert_eq!((kinds(0)[0]["unit"].as_str(), kinds(0)[0]["n"].as_u64()), (Some("lux h"), Some(4)));
    assert_eq!(
        (kinds(2)[0]["unit"].as_str(), kinds(2)[0]["n"].as_u64()),
        (Some("W h/m²"), Some(2))
    );
    assert_eq!(kinds(2)[0]["slope"], Value::Null);

    fs::write(&sheet, rows(["klx"; 3])).expect("written");
    let output = run(&["--series", path], &files[..1]);
    let errors = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{errors}");
    // Every row's fault at once.
    for line in 2..8 {
        assert!(errors.contains(&format!("series.csv:{line} (")), "{errors}");
    }
    assert_eq!(errors.matches("column unit: found \"klx\", expected").count(), 6, "{errors}");
}

#[test]
fn a_calibration_turns_an_index_into_a_content_and_without_one_it_stays_an_index() {
    let folder = tempfile::tempdir().expect("a folder");
    let sheet = folder.path().join("standards.csv");
    let lens = ["L1-exposed-a.csv"];
    let plain = json(&[], &lens);
    assert_eq!(marker(&plain[0], "CA_ACETYL")["content"], Value::Null);
    let index = marker(&plain[0], "CA_ACETYL")["value"].as_f64().expect("measured");
    // Invented standards about the index of the invented lens: DS 2.1 to 2.9 on a line.
    let standard = |i: i32| {
        let bend = if i % 2 == 0 { 0.01 } else { -0.01 };
        let share = 0.8 + 0.1 * f64::from(i);
        format!("CA_ACETYL,s{i},{},DS,{}\n", 2.1 + 0.2 * f64::from(i) + bend, index * share)
    };
    let head = "marker,sample,content,quantity,index\n";
    let path = sheet.to_str().expect("UTF-8");
    fs::write(&sheet, head.to_owned() + &(0..5).map(standard).collect::<String>())
        .expect("written");
    let array = json(&["--calibration", path], &lens);
    let content = &marker(&array[0], "CA_ACETYL")["content"];
    let number = |key: &str| content[key].as_f64().expect("a number");
    assert!((number("value") - 2.5).abs() < 0.02, "{content}");
    assert!(number("low") < number("value") && number("value") < number("high"));
    assert_eq!((&content["quantity"], &content["doubt"]), (&"DS".into(), &Value::Null));
    let printed = said(&["--calibration", path], &lens);
    let printed = printed.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(printed.contains("prediction interval"), "{printed}");

    fs::write(&sheet, head.to_owned() + &(0..3).map(standard).collect::<String>())
        .expect("written");
    let errors = complaint(&["--calibration", path], &lens, 2);
    assert!(errors.contains("3 different standards, at least 4"), "{errors}");
    fs::write(&sheet, format!("{head}NO_SUCH,a,2,DS,1\n")).expect("written");
    let errors = complaint(&["--calibration", path], &lens, 2);
    assert!(errors.contains("no marker \"NO_SUCH\""), "{errors}");
}
