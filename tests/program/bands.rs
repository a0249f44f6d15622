//! `bandlore bands` as a user meets it.
#![cfg(feature = "cli")]

use std::process::Command;

/// Runs the program and returns exit code, standard output and standard error.
fn bandlore(arguments: &[&str]) -> (i32, String, String) {
    let output =
        Command::new(env!("CARGO_BIN_EXE_bandlore")).args(arguments).output().expect("it ran");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().unwrap_or(-1), text(output.stdout), text(output.stderr))
}

#[test]
fn says_what_absorbs_near_612_within_80_columns() {
    let (code, out, err) = bandlore(&["bands", "--near", "612"]);
    assert_eq!((code, err.as_str()), (0, ""));
    let first = out.lines().nth(3).unwrap_or_default();
    assert!(first.contains("PVC") && first.contains("603–620"), "{first}");
    // A recalled row says so in the listing itself.
    assert!(out.lines().any(|line| line.contains("barite") && line.ends_with("memory")));
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn every_listing_fits_80_columns_and_shows_the_status() {
    for arguments in [&["bands"][..], &["bands", "--all"]] {
        let (code, out, _) = bandlore(arguments);
        assert_eq!(code, 0);
        for line in out.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
    for format in ["text", "csv", "json", "markdown"] {
        let (code, out, _) = bandlore(&["bands", "--material", "PBT", "--format", format]);
        assert_eq!(code, 0);
        assert!(out.contains("memory"), "{format}: {out}");
    }
}

#[test]
fn says_how_often_a_material_was_right_in_other_laboratories() {
    let (_, out, _) = bandlore(&["bands"]);
    let sheet = include_str!("../../docs/other-laboratories.csv");
    let row = sheet.lines().find(|row| row.starts_with("PC,")).expect("polycarbonate");
    let cells: Vec<&str> = row.split(',').collect();
    let shown = format!("polycarbonate, bisphenol-A [shape] [{} of {}]", cells[2], cells[1]);
    assert!(out.contains(&shown), "{shown}: {out}");
    // Of which no spectrum was there nothing is said, nor of a table that was not tried.
    assert!(out.contains("\n  POM     polyoxymethylene; also"), "{out}");
    let folder = tempfile::tempdir().expect("a folder");
    let table = folder.path().join("table");
    let table = table.to_str().expect("UTF-8");
    assert_eq!(bandlore(&["bands", "--export", table]).0, 0);
    let path = std::path::Path::new(table).join("materials.csv");
    let text = std::fs::read_to_string(&path).expect("materials.csv");
    std::fs::write(&path, text.replace("polyoxymethylene,", "polyoxymethylene resin,"))
        .expect("written");
    let (code, other, err) = bandlore(&["bands", "--bands", table]);
    assert_eq!(code, 0, "{err}");
    assert!(other.contains("polyoxymethylene resin") && !other.contains(" of 8]"), "{other}");
}

#[test]
fn says_which_materials_it_knows_and_understands_what_they_are_called() {
    let (code, out, _) = bandlore(&["bands"]);
    assert_eq!(code, 0);
    for material in bandlore::Tables::built_in().materials() {
        assert!(out.contains(&format!("\n  {}", material.id)), "{}", material.id);
    }
    let named = out.split("Known so that nothing else").next().unwrap_or_default();
    assert!(named.contains("PMMA") && !named.contains("\n  CPVC"), "{named}");
    assert!(out.contains("PVC     poly(vinyl chloride), rigid or plasticised [chlorine]"), "{out}");
    assert!(!out.contains("is ours"), "{out}");
    let by_id = bandlore(&["bands", "-m", "PMMA"]);
    for word in ["acrylic", "pmma", "Acrylic Glass"] {
        assert_eq!(bandlore(&["bands", word]), by_id, "{word}");
    }
}

#[test]
fn json_names_the_table_it_comes_from() {
    let (_, out, _) = bandlore(&["bands", "--range", "1800-1700", "-m", "PC", "-f", "json"]);
    let value: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(value["table"]["sha256"], bandlore::Tables::built_in().sha256());
    assert_eq!(value["bands"][0]["id"], "PC-1770");
    assert_eq!(value["bands"].as_array().map(Vec::len), Some(1));
}

#[test]
fn exports_checks_and_uses_a_table() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().to_str().expect("UTF-8");
    assert_eq!(bandlore(&["bands", "--export", path]).0, 0);
    let (code, out, _) = bandlore(&["bands", "--check", path]);
    assert_eq!(code, 0);
    assert!(out.contains(": no fault found\n  version "), "{out}");
    let bands = folder.path().join("bands.csv");
    let text = std::fs::read_to_string(&bands).expect("exported");
    std::fs::write(&bands, text.replace(",sharp,", ",pointed,")).expect("written");
    let (code, out, err) = bandlore(&["bands", "--check", path]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert_eq!(err.lines().count(), 21);
    assert!(err.starts_with("error: bands.csv:"), "{err}");
    let (code, _, err) = bandlore(&["bands", "--bands", path]);
    assert_eq!(code, 2);
    assert!(err.contains("unknown word \"pointed\"; known: sharp, medium, broad"), "{err}");
}

#[test]
fn refuses_what_makes_no_sense() {
    let (code, _, err) = bandlore(&["bands", "nylon"]);
    assert_eq!(code, 2);
    assert!(err.contains("no material \"nylon\" in the table; did you mean PA"), "{err}");
    assert!(err.contains("PA66 (polyamide 66)"), "{err}");
    assert_eq!(bandlore(&["bands", "--range", "six"]).0, 2);
    assert_eq!(bandlore(&["bands", "--near", "600", "--range", "600-700"]).0, 2);
    assert_eq!(bandlore(&["bands", "--check", "no-such-folder"]).0, 2);
}
