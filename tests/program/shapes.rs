//! `bandlore shapes` as a user meets it: his own shapes from a sheet of labelled spectra.

use std::fs;
use std::path::Path;

use crate::program::{bandlore, complained, file, printed, spectrum};

const BANDS: [(f64, f64, f64); 4] =
    [(1725.0, 0.6, 10.0), (1240.0, 0.4, 12.0), (1145.0, 0.8, 12.0), (750.0, 0.3, 9.0)];

/// Writes a spectrum of these bands at this height, and returns its row of the sheet.
fn labelled(folder: &Path, name: &str, material: &str, laboratory: &str, height: f64) -> String {
    let bands = BANDS.map(|(at, share, half)| (at, height * share, half));
    file(folder, name, &spectrum((450.0, 4000.0), 2.0, &bands));
    format!("{name},{material},{laboratory}\n")
}

fn sheet(folder: &Path) -> std::path::PathBuf {
    let mut rows = String::from("file,materials,laboratory\n");
    for (place, height) in [0.5, 0.9, 1.3].into_iter().enumerate() {
        rows += &labelled(folder, &format!("a{place}.csv"), "PMMA", "one", height);
    }
    rows += &labelled(folder, "b.csv", "PC", "two", 1.0);
    file(folder, "labels.csv", &rows)
}

/// The column of a shape: wavenumber and absorbance where there is one.
fn column(sheet: &Path, id: &str) -> Vec<(f64, f64)> {
    let mut reader = csv::Reader::from_path(sheet).expect("shapes.csv");
    let place = reader.headers().expect("headings").iter().position(|h| h == id).expect("a shape");
    let rows = reader.records().map(|row| row.expect("a row"));
    rows.filter_map(|row| Some((row[0].parse().ok()?, row[place].parse().ok()?))).collect()
}

#[test]
fn makes_shapes_that_the_table_takes() {
    let folder = tempfile::tempdir().expect("a folder");
    let labels = sheet(folder.path());
    let table = folder.path().join("table");
    bandlore().args(["bands", "--export"]).arg(&table).assert().success();
    let before = fs::read_to_string(table.join("shapes.csv")).expect("exported");
    let run = |more: &[&str]| {
        let mut command = bandlore();
        command.arg("shapes").arg(&labels).arg("--output").arg(&table).args(more);
        command.output().expect("it ran")
    };
    // What is there already stays unless asked otherwise.
    let refused = run(&[]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(complained(&refused).contains("--replace"), "{}", complained(&refused));
    assert_eq!(fs::read_to_string(table.join("shapes.csv")).expect("kept"), before);

    // One spectrum of PC makes no shape; three of PMMA make one.
    let made = run(&["--replace"]);
    assert!(made.status.success(), "{}", complained(&made));
    assert!(printed(&made).starts_with("PMMA-1 "), "{}", printed(&made));
    assert!(printed(&made).contains("1 shapes from 4 spectra"), "{}", printed(&made));
    let bytes = fs::read(table.join("shapes.csv")).expect("written");
    assert!(run(&["--replace"]).status.success());
    assert_eq!(fs::read(table.join("shapes.csv")).expect("written"), bytes, "the same every time");

    // The strongest is 1 whatever the heights were, and the bands keep their proportions.
    let curve = column(&table.join("shapes.csv"), "PMMA-1");
    let at = |wavenumber: f64| curve.iter().find(|p| p.0 == wavenumber).expect("measured").1;
    let highest = curve.iter().map(|p| p.1).fold(0.0, f64::max);
    assert!((highest - 1.0).abs() < 1.0e-3 && (at(1144.0) - 1.0).abs() < 1.0e-3, "{highest}");
    assert!((at(1724.0) - 0.75).abs() < 0.05 && (at(1240.0) - 0.5).abs() < 0.05);
    assert!(curve.iter().all(|p| p.0 >= 448.0), "nothing below what was measured");

    let check = bandlore().args(["bands", "--check"]).arg(&table).output().expect("it ran");
    assert!(check.status.success() && printed(&check).contains("1 measured shapes"));

    // Beside the built-in ones, under a name of its own.
    let kept = run(&["--replace", "--keep"]);
    assert!(printed(&kept).contains("PMMA-1-own"), "{}", printed(&kept));
    let built_in = bandlore::Tables::built_in().shapes().len();
    let said = format!("1 shapes from 4 spectra, 0 left out, {built_in} kept from before");
    assert!(printed(&kept).contains(&said), "{}", printed(&kept));

    // A table is given shapes of its own materials in its own place.
    let folder_of = table.to_str().expect("UTF-8");
    let own = run(&["--replace", "--keep", "--bands", folder_of]);
    assert!(own.status.success(), "{}", complained(&own));
    let said = format!("1 shapes from 4 spectra, 0 left out, {} kept from before", built_in + 1);
    assert!(printed(&own).contains(&said), "{}", printed(&own));

    // Without the laboratory nothing is left to make a shape of.
    let without = run(&["--replace", "--without", "one"]);
    assert_eq!(without.status.code(), Some(2));
    assert!(complained(&without).contains("no shape was made of 1 spectra"), "{without:?}");
    assert!(table.join("shapes.csv").exists(), "what was there stays");
}

#[test]
fn a_faulty_sheet_writes_nothing_and_says_where() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = folder.path().join("out");
    fs::create_dir(&output).expect("a folder");
    let mut rows = String::from("file,materials,laboratory\n");
    for name in ["a.csv", "b.csv", "c.csv"] {
        rows += &labelled(folder.path(), name, "unobtainium", "one", 1.0);
    }
    for (text, words) in [
        (rows.as_str(), "unobtainium"),
        ("file,materials\na.csv,PMMA\n", "laboratory"),
        ("file,materials,laboratory\na.csv,PMMA\n", "labels.csv"),
    ] {
        let labels = file(folder.path(), "labels.csv", text);
        let run = bandlore().arg("shapes").arg(&labels).arg("-o").arg(&output).output();
        let run = run.expect("it ran");
        assert_ne!(run.status.code(), Some(0), "{text}");
        assert!(complained(&run).contains(words), "{text}: {}", complained(&run));
        assert_eq!(fs::read_dir(&output).expect("a folder").count(), 0, "{text}");
    }
    // A file that is not there is left out by name, and the others go on.
    let labels =
        file(folder.path(), "labels.csv", "file,materials,laboratory\ngone.csv,PMMA,one\n");
    let run =
        bandlore().arg("shapes").arg(&labels).arg("-o").arg(&output).output().expect("it ran");
    assert!(complained(&run).contains("gone.csv"), "{}", complained(&run));
}
