//! `bandlore object` as a user meets it: reports that all appear or none, manifests that mean harm,
//! and a first manifest from a folder.
#![cfg(all(feature = "cli", feature = "docx", feature = "plot"))]

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use assert_cmd::assert::Assert;
use serde_json::Value;

fn spectra() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock/spectra")
}

/// A folder with two spectra of the demo and a manifest that begins with them.
fn folder(more: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (from, to) in [("V04-covered-a.csv", "vane.csv"), ("L1-exposed-a.csv", "lens.csv")] {
        std::fs::copy(spectra().join(from), folder.path().join(to)).expect("copied");
    }
    let manifest = format!(
        "[object]\ntitle = \"Lamp\"\n[[part]]\nid = \"V\"\n[[part]]\nid = \"L\"\n{more}\n\
         [[spectrum]]\nfile = \"vane.csv\"\npart = \"V\"\n\
         [[spectrum]]\nfile = \"lens.csv\"\npart = \"L\"\n"
    );
    std::fs::write(folder.path().join("object.toml"), manifest).expect("written");
    folder
}

fn object(folder: &Path, reports: &[&str]) -> Assert {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    command.arg("object").arg(folder).args(["--date", "2026-03-15"]);
    for report in reports {
        command.arg("--report").arg(folder.join(report));
    }
    command.assert()
}

fn stderr(run: &Assert) -> String {
    String::from_utf8_lossy(&run.get_output().stderr).into_owned()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

const ALL: [&str; 5] = ["r.html", "r.md", "r.docx", "r.csv", "r.json"];

#[test]
fn a_first_manifest_is_written_as_one_file_or_as_sheets_and_nothing_is_overwritten() {
    let folder = tempfile::tempdir().expect("a folder");
    let exports = folder.path().join("clock");
    std::fs::create_dir(&exports).expect("a folder");
    for name in ["V02-exposed-a.csv", "V02-covered-a.csv"] {
        let from = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-spectra/tide-clock/spectra/");
        std::fs::copy(format!("{from}{name}"), exports.join(name)).expect("copied");
    }
    let object = |arguments: &[&std::ffi::OsStr]| {
        std::process::Command::new(env!("CARGO_BIN_EXE_bandlore"))
            .arg("object")
            .args(arguments)
            .output()
            .expect("runs")
    };
    let sheets = folder.path().join("sheets-are-too-far");
    let toml = folder.path().join("clock.toml");
    let start =
        [std::ffi::OsStr::new("--start"), exports.as_os_str(), std::ffi::OsStr::new("--output")];
    let of = |out: &std::path::Path| object(&[&start[..], &[out.as_os_str()]].concat());
    assert!(of(&toml).status.success());
    assert!(object(&[toml.as_os_str()]).status.success(), "it can be examined as it is");
    assert_eq!(of(&toml).status.code(), Some(2), "nothing is overwritten");
    assert_eq!(of(&sheets).status.code(), Some(2), "paths would lead out of the folder");
    assert!(of(&exports).status.success());
    let found = object(&[exports.as_os_str()]);
    assert!(String::from_utf8_lossy(&found.stdout).contains("V02"), "{found:?}");
}

#[test]
fn five_reports_appear_and_the_same_input_gives_the_same_bytes() {
    let (first, second) = (folder(""), folder(""));
    object(first.path(), &ALL).success().code(0);
    object(second.path(), &ALL).success();
    for name in ALL {
        let bytes = |folder: &Path| std::fs::read(folder.join(name)).expect("written");
        assert!(bytes(first.path()) == bytes(second.path()), "{name}");
    }
}

#[test]
fn one_report_that_cannot_be_placed_keeps_all_of_them_out() {
    let folder = folder("");
    std::fs::write(folder.path().join("r.html"), "an older report").expect("written");
    // A folder stands where the last of them should go.
    std::fs::create_dir(folder.path().join("r.json")).expect("a folder");
    std::fs::write(folder.path().join("r.json/kept.txt"), "kept").expect("written");
    let before = names(folder.path());
    let told = stderr(&object(folder.path(), &ALL).failure().code(2));
    assert!(told.contains("r.json"), "{told}");
    assert_eq!(names(folder.path()), before, "nothing new, nothing half");
    let old = std::fs::read_to_string(folder.path().join("r.html")).expect("still there");
    assert_eq!(old, "an older report");
}

#[test]
fn an_ending_that_no_report_has_is_told_before_any_work() {
    let folder = folder("");
    let before = names(folder.path());
    let told = stderr(&object(folder.path(), &["r.html", "r.pdf"]).failure().code(2));
    assert!(told.contains(".html, .md, .docx, .xlsx, .csv or .json"), "{told}");
    assert_eq!(names(folder.path()), before);
}

#[test]
fn files_that_hold_no_spectrum_are_named_with_their_rows_where_nothing_is_left() {
    let folder = folder("");
    std::fs::write(folder.path().join("lens.csv"), "n.d.\n").expect("written");
    std::fs::write(folder.path().join("vane.csv"), "n.d.\n").expect("written");
    let told = stderr(&object(folder.path(), &ALL).failure().code(2));
    assert!(told.contains("object.toml:8: file \"vane.csv\" cannot be used"), "{told}");
    assert!(told.contains("object.toml:11: file \"lens.csv\" cannot be used"), "{told}");
    assert!(!names(folder.path()).iter().any(|name| name.starts_with("r.")));
}

#[test]
fn one_bad_file_does_not_stop_the_report_and_its_part_says_so() {
    let folder = folder("");
    std::fs::write(folder.path().join("lens.csv"), "n.d.\n").expect("written");
    let run = object(folder.path(), &ALL).failure().code(1);
    let told = stderr(&run);
    assert!(told.contains("error: "), "{told}");
    assert!(told.contains("object.toml:11: file \"lens.csv\" cannot be used"), "{told}");
    let printed = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
    assert!(printed.contains("file \"lens.csv\" cannot be used"), "{printed}");
    assert!(printed.lines().any(|l| l.starts_with("L ") && l.contains("no answer")), "{printed}");
    for name in ["r.html", "r.md", "r.json"] {
        let text = std::fs::read_to_string(folder.path().join(name)).expect("written");
        assert!(text.to_lowercase().contains("not in this answer: lens.csv"), "{name}");
    }
    let json = std::fs::read_to_string(folder.path().join("r.json")).expect("written");
    let report: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let parts = report["parts"].as_array().expect("a list");
    let outcome = |id: &str| {
        let part = parts.iter().find(|part| part["id"] == id).expect("the part");
        part["outcome"].as_str().expect("a word").to_owned()
    };
    assert_eq!(outcome("L"), "not-enough-signal");
    assert_ne!(outcome("V"), "not-enough-signal", "the others are judged");
}

#[test]
fn manifests_as_a_spreadsheet_saves_unicode_text_are_read() {
    let folder = folder("");
    let run = |folder: &Path| {
        let run = object(folder, &[]).success();
        String::from_utf8_lossy(&run.get_output().stdout).into_owned()
    };
    let path = folder.path().join("object.toml");
    let text = std::fs::read_to_string(&path).expect("readable").replace("Lamp", "Lampe à col");
    std::fs::write(&path, &text).expect("written");
    let expected = run(folder.path());
    assert!(expected.contains("Lampe à col"));
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    for (mark, bytes) in [(b"\xFF\xFE", little), (b"\xFE\xFF", big)] {
        std::fs::write(&path, [&mark[..], &bytes].concat()).expect("written");
        assert_eq!(run(folder.path()), expected);
    }
    // The same as sheets, tab-separated as such a file is.
    std::fs::remove_file(&path).expect("removed");
    for (sheet, text) in [
        ("object.csv", "field\tvalue\r\ntitle\tLampe à col\r\n"),
        ("parts.csv", "id\r\nV\r\nL\r\n"),
        ("spectra.csv", "file\tpart\r\nvane.csv\tV\r\nlens.csv\tL\r\n"),
    ] {
        let bytes: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        std::fs::write(folder.path().join(sheet), [&b"\xFF\xFE"[..], &bytes].concat())
            .expect("written");
    }
    assert_eq!(run(folder.path()), expected);
    // Cut in the middle of a letter.
    std::fs::write(folder.path().join("parts.csv"), b"\xFF\xFEi\0d").expect("written");
    let told = stderr(&object(folder.path(), &[]).failure().code(2));
    assert!(told.contains("parts.csv"), "{told}");
}

/// What a manifest may hold of markup, formulas and tricks with paths, each in a field of its own.
#[test]
fn markup_and_formulas_come_out_inert_in_every_report() {
    let folder = folder(
        "name = \"<script>alert(1)</script><img src=x onerror=alert(2)>\"\n\
         group = \"=HYPERLINK(\\\"http://example.invalid\\\",\\\"x\\\")\"\n\
         said_to_be = \"@SUM(1+1)\"\n\
         note = \"+cmd|' /C calc'!A0\"\n\
         seen.cracks = \"-2+3\"\n\
         [[candidate]]\nid = \"N\"\nname = \"=1+1\"\nclaimed = \"PETG\"\nmaker = \"</table><svg onload=x>\"\n",
    );
    object(folder.path(), &ALL).success();
    let text = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("written");
    let html = text("r.html");
    for never in ["<script", "<img src=x", "</table><svg onload"] {
        assert!(!html.contains(never), "{never}");
    }
    assert!(html.contains("&lt;script&gt;alert(1)"), "the words are kept as words");
    let markdown = text("r.md");
    assert!(!markdown.contains("<script") && !markdown.contains("<img"), "{markdown}");
    let mut formulas = 0;
    for record in csv::Reader::from_reader(text("r.csv").as_bytes()).records() {
        for cell in &record.expect("a row") {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
            formulas += usize::from(cell.contains("HYPERLINK") || cell.contains("=1+1"));
        }
    }
    assert_eq!(formulas, 2, "both formulas are there as text");
    let json: serde_json::Value = serde_json::from_str(&text("r.json")).expect("JSON");
    assert_eq!(json["schema"], "bandlore/object/v1");
}

#[test]
fn path_tricks_missing_files_and_doubles_are_refused_with_their_line() {
    for (row, words) in [
        ("file = \"../vane.csv\"\npart = \"V\"", "object.toml:9: file \"../vane.csv\" leads out"),
        (
            "file = \"/etc/passwd\"\npart = \"V\"",
            "object.toml:9: file \"/etc/passwd\" is an absolute",
        ),
        ("file = \"none.csv\"\npart = \"V\"", "object.toml:8: file \"none.csv\" is not there"),
        (
            "file = \"vane.csv\"\npart = \"V\"",
            "object.toml:11: file \"vane.csv\" was already given on line 8",
        ),
    ] {
        let folder = folder(&format!("\n[[spectrum]]\n{row}"));
        let told = stderr(&object(folder.path(), &["r.html"]).failure().code(2));
        assert!(told.contains(words), "{row:?} gave {told}");
        assert!(!folder.path().join("r.html").exists());
    }
    for (more, words) in [
        ("[[part]]\nid = \"v\"", "object.toml:7: id \"v\" was already given on line 3"),
        ("uv_visible = \"none.csv\"", "object.toml:5: file \"none.csv\" is not there"),
        (
            "[[candidate]]\nid = \"N\"\nreplaces = [\"X\"]",
            "object.toml:7: replaces: no part or candidate is called \"X\"",
        ),
    ] {
        let folder = folder(more);
        let told = stderr(&object(folder.path(), &["r.html"]).failure().code(2));
        assert!(told.contains(words), "{more:?} gave {told}");
    }
}

#[test]
fn ten_thousand_rows_are_refused_quickly_with_the_line_of_the_first_too_many() {
    let folder = folder("");
    let path = folder.path().join("object.toml");
    let mut text = std::fs::read_to_string(&path).expect("the manifest");
    for i in 0..10_000 {
        text.push_str(&format!("[[spectrum]]\nfile = \"{i}.csv\"\npart = \"V\"\n"));
    }
    std::fs::write(&path, text).expect("written");
    let started = std::time::Instant::now();
    let told = stderr(&object(folder.path(), &["r.html"]).failure().code(2));
    assert!(told.contains("more than 5000 rows of spectrum"), "{told}");
    assert!(told.contains("object.toml:15008:"), "{told}");
    assert!(started.elapsed().as_secs() < 20, "{:?}", started.elapsed());
}

#[test]
fn a_first_manifest_carries_the_warnings_and_runs_as_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["V04-exposed-a.csv", "V04-covered-a.csv", "L1-exposed-a.csv"] {
        std::fs::copy(spectra().join(name), folder.path().join(name)).expect("copied");
    }
    let start = Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .args(["object", "--start"])
        .arg(folder.path())
        .assert()
        .success();
    let text = String::from_utf8_lossy(&start.get_output().stdout).into_owned();
    for words in [
        "ask for permission, and write it down",
        "never clamp a split, crazed, tacky or coated area",
        "measure loose fragments first",
        "no flame, solvent or scratch test on the object",
        "previous_report",
        "[next_examination]",
    ] {
        assert!(text.contains(words), "{words}");
    }
    std::fs::write(folder.path().join("object.toml"), text).expect("written");
    Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .arg("object")
        .arg(folder.path())
        .args(["--length", "full", "--report"])
        .arg(folder.path().join("r.md"))
        .assert()
        .success();
    let report = std::fs::read_to_string(folder.path().join("r.md")).expect("written");
    // Nothing was filled in, and the next examination is nothing that a program sets.
    assert!(report.contains("- Permission: not recorded"));
    let next = report.split("Next examination").nth(1).expect("a section");
    let next = next.split("\n## ").next().expect("its text");
    for heading in
        ["When", "Who", "Which spots", "With which settings", "What would bring it forward"]
    {
        assert!(next.contains(&format!("{heading}: not recorded")), "{next}");
    }
}

#[test]
fn a_file_of_several_spectra_is_judged_from_its_first_manifest_and_never_said_not_to_be_measured() {
    let folder = tempfile::tempdir().expect("a folder");
    let read = |name: &str| std::fs::read_to_string(spectra().join(name)).expect("a sample");
    let values = |text: &str| -> Vec<(String, String)> {
        let rows = text.lines().filter_map(|line| line.split_once(','));
        let rows = rows.filter(|(at, _)| at.parse::<f64>().is_ok());
        rows.map(|(at, a)| (at.to_owned(), a.to_owned())).collect()
    };
    let one = values(&read("V04-exposed-a.csv"));
    let two = values(&read("V04-covered-a.csv"));
    let rows = one.iter().zip(&two).map(|((at, a), (_, b))| format!("{at},{a},{b}\n"));
    let sheet = "cm-1,cover,pocket\n".to_owned() + &rows.collect::<String>();
    std::fs::write(folder.path().join("12 binder.csv"), sheet).expect("written");
    let program = |arguments: &[&std::ffi::OsStr]| {
        let run = Command::new(env!("CARGO_BIN_EXE_bandlore"))
            .arg("object")
            .args(arguments)
            .output()
            .expect("runs");
        assert!(run.status.code() < Some(2), "{run:?}");
        String::from_utf8_lossy(&run.stdout).into_owned()
    };
    let start = program(&["--start".as_ref(), folder.path().as_os_str()]);
    assert!(start.contains("block = 1\n") && start.contains("spot = \"pocket\""), "{start}");
    std::fs::write(folder.path().join("object.toml"), &start).expect("written");
    let page = program(&[folder.path().as_os_str()]);
    assert!(page.contains("2 of 2") && !page.contains("cannot be used"), "{page}");
    // Of a row that leaves it open the report says what to mend, beside another part that is judged.
    std::fs::copy(spectra().join("L1-exposed-a.csv"), folder.path().join("L1.csv"))
        .expect("copied");
    let row = |part: &str, file: &str| {
        format!("[[part]]\nid = \"{part}\"\n[[spectrum]]\nfile = \"{file}\"\npart = \"{part}\"\n")
    };
    let open = row("B", "12 binder.csv") + &row("L1", "L1.csv");
    std::fs::write(folder.path().join("object.toml"), open).expect("written");
    let page = program(&[folder.path().as_os_str()]);
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!page.contains("not measured"), "{page}");
    assert!(page.contains("say which with block = N"), "{page}");
    assert!(page.contains("To settle it: its rows of the manifest or its files mended"), "{page}");
}

#[test]
fn an_earlier_report_is_linked() {
    let folder = folder("");
    let path = folder.path().join("object.toml");
    let text = std::fs::read_to_string(&path).expect("the manifest");
    let text = text.replace(
        "title = \"Lamp\"",
        "title = \"Lamp\"\nprevious_report = \"report of 2021, file 7\"",
    );
    std::fs::write(&path, text).expect("written");
    object(folder.path(), &["r.html", "r.md"]).success();
    for name in ["r.html", "r.md"] {
        let report = std::fs::read_to_string(folder.path().join(name)).expect("written");
        assert!(report.contains("report of 2021, file 7"), "{name}");
    }
}

#[test]
fn a_failed_comparison_is_said_in_every_report_and_by_the_exit_status() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut text = "[object]\ntitle = \"Lamp\"\n[[part]]\nid = \"F2\"\n".to_owned();
    for (face, crystal) in [("exposed", "diamond"), ("covered", "silicon")] {
        for spot in ["a", "b", "c"] {
            let name = format!("F2-{face}-{spot}.csv");
            std::fs::copy(spectra().join(&name), folder.path().join(&name)).expect("copied");
            text.push_str(&format!(
                "[[spectrum]]\nfile = \"{name}\"\npart = \"F2\"\nface = \"{face}\"\ncrystal = \"{crystal}\"\n"
            ));
        }
    }
    std::fs::write(folder.path().join("object.toml"), &text).expect("written");
    let run = object(folder.path(), &ALL).failure().code(1);
    let said = "the faces could not be compared";
    assert!(stderr(&run).contains(&format!("F2: {said}")), "{}", stderr(&run));
    let printed = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
    assert!(printed.split_whitespace().collect::<Vec<_>>().join(" ").contains(said), "{printed}");
    for name in ["r.html", "r.md", "r.json"] {
        let report = std::fs::read_to_string(folder.path().join(name)).expect("written");
        assert!(report.contains(said), "{name}");
    }
    let file = std::fs::File::open(folder.path().join("r.docx")).expect("written");
    let mut archive = zip::ZipArchive::new(file).expect("a DOCX is a ZIP archive");
    let mut document = String::new();
    let mut part = archive.by_name("word/document.xml").expect("the document");
    std::io::Read::read_to_string(&mut part, &mut document).expect("text");
    assert!(document.contains(said), "r.docx");
    // On one crystal the same spots are compared.
    std::fs::write(folder.path().join("object.toml"), text.replace("silicon", "ZnSe"))
        .expect("written");
    for name in ALL {
        std::fs::remove_file(folder.path().join(name)).expect("removed");
    }
    object(folder.path(), &["r.json"]).success();
    let report = std::fs::read_to_string(folder.path().join("r.json")).expect("written");
    assert!(!report.contains(said));
}

#[test]
fn a_marker_of_ones_own_is_told_in_the_plain_words_of_its_table() {
    let folder = tempfile::tempdir().expect("a folder");
    let table = folder.path().join("table");
    Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .arg("bands")
        .arg("--export")
        .arg(&table)
        .assert()
        .success();
    for entry in std::fs::read_dir(&table).expect("the table") {
        let path = entry.expect("an entry").path();
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        let own = text
            .replace("PVC_CO", "OUR_CO")
            .replace("carbonyl groups from oxidation", "keto groups as our laboratory counts them");
        std::fs::write(&path, own).expect("written");
    }
    let mut manifest = "[object]\ntitle = \"Lamp\"\n[[part]]\nid = \"V01\"\n".to_owned();
    for face in ["exposed", "covered"] {
        for spot in ["a", "b", "c"] {
            let name = format!("V01-{face}-{spot}.csv");
            std::fs::copy(spectra().join(&name), folder.path().join(&name)).expect("copied");
            manifest.push_str(&format!(
                "[[spectrum]]\nfile = \"{name}\"\npart = \"V01\"\nface = \"{face}\"\n"
            ));
        }
    }
    std::fs::write(folder.path().join("object.toml"), manifest).expect("written");
    let report = folder.path().join("r.md");
    Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .arg("object")
        .arg(folder.path())
        .args(["--date", "2026-03-15", "--length", "full", "--bands"])
        .arg(&table)
        .arg("--report")
        .arg(&report)
        .assert()
        .success();
    let text = std::fs::read_to_string(&report).expect("written");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("more keto groups as our laboratory counts them"), "{text}");
    assert!(!text.contains("carbonyl groups from oxidation"), "{text}");
}

/// Writes a spectrum of the demo with more on it, `more` in absorbance by wavenumber in cm⁻¹.
fn with_more(from: &Path, to: &Path, more: &dyn Fn(f64) -> f64) {
    let text = std::fs::read_to_string(from).expect("a spectrum of the demo");
    let lines: Vec<String> = text
        .lines()
        .map(|line| {
            let numbers = line.split_once(',').and_then(|(place, height)| {
                Some((place.parse::<f64>().ok()?, height.parse::<f64>().ok()?))
            });
            numbers.map_or_else(|| line.to_owned(), |(v, a)| format!("{v:.4},{:.5}", a + more(v)))
        })
        .collect();
    std::fs::write(to, lines.join("\n")).expect("written");
}

#[test]
fn what_one_face_carries_is_a_finding_on_screen_in_json_and_in_every_report() {
    /// Glyceryl trioleate: place, full width, height over CH2 (Socrates 2001, from memory; heights ours).
    const GREASE: [(f64, f64, f64); 7] = [
        (2922.0, 34.0, 1.0),
        (2853.0, 21.0, 0.70),
        (1745.0, 20.0, 0.95),
        (1464.0, 20.0, 0.28),
        (1238.0, 40.0, 0.06),
        (1161.0, 28.0, 0.28),
        (722.0, 12.0, 0.18),
    ];
    let grease = |v: f64| -> f64 {
        let bell = |b: &(f64, f64, f64)| {
            b.2 * (-4.0 * std::f64::consts::LN_2 * ((v - b.0) / b.1).powi(2)).exp()
        };
        0.003 * GREASE.iter().map(bell).sum::<f64>()
    };
    let folder = tempfile::tempdir().expect("a folder");
    let mut manifest = "[object]\ntitle = \"Lamp\"\n[[part]]\nid = \"V04\"\n".to_owned();
    let mut compare = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    compare.arg("compare");
    for face in ["exposed", "covered"] {
        compare.arg(format!("--{face}"));
        for spot in ["a", "b", "c"] {
            let name = format!("V04-{face}-{spot}.csv");
            let to = folder.path().join(&name);
            let height = if face == "exposed" { 1.0 } else { 0.0 };
            with_more(&spectra().join(&name), &to, &|v| height * grease(v));
            compare.arg(&to);
            manifest.push_str(&format!(
                "[[spectrum]]\nfile = \"{name}\"\npart = \"V04\"\nface = \"{face}\"\n"
            ));
        }
    }
    std::fs::write(folder.path().join("object.toml"), manifest).expect("written");
    let said = "the exposed face carries fatty ester (2925, 2853 and 1165 together";
    let flat = |text: &[u8]| {
        String::from_utf8_lossy(text).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let printed = flat(&compare.assert().success().get_output().stdout);
    // On a page a doubt is a sentence of its own, with a capital.
    assert!(printed.contains(&said.replacen("the", "The", 1)), "{printed}");
    // The carbonyl of the grease is no oxidation.
    assert!(!printed.contains("PVC_CO) higher"), "{printed}");
    let json: Value = serde_json::from_slice(
        &compare.args(["--format", "json"]).assert().success().get_output().stdout,
    )
    .expect("JSON");
    let warnings = json[0]["warnings"].as_array().expect("warnings");
    assert!(
        warnings.iter().any(|w| w["id"] == "grease-on-one-face"
            && w["text"].as_str().is_some_and(|text| text.starts_with(said))),
        "{warnings:?}"
    );
    object(folder.path(), &["r.html", "r.md", "r.json"]).success();
    for name in ["r.html", "r.md", "r.json"] {
        let report = flat(&std::fs::read(folder.path().join(name)).expect("written"));
        assert!(report.contains(said), "{name}");
    }
}

#[test]
fn the_ordinate_and_mode_of_one_file_go_before_those_of_all() {
    let folder = folder("");
    let vane = folder.path().join("vane.csv");
    // The vane in percent transmittance, without a word that says so.
    let read = bandlore::read_path(&vane, &bandlore::ReadOptions::default()).next();
    let read = read.expect("a spectrum").expect("readable");
    let rows: Vec<String> = read
        .wavenumbers_cm1()
        .iter()
        .zip(read.absorbances())
        .map(|(v, a)| format!("{v},{}", 100.0 * 10_f64.powf(-a)))
        .collect();
    std::fs::write(&vane, rows.join("\n")).expect("written");
    let path = folder.path().join("object.toml");
    let text = std::fs::read_to_string(&path).expect("the manifest");
    let row = "file = \"vane.csv\"\n";
    let with = |words: &str| {
        std::fs::write(&path, text.replace(row, &format!("{row}{words}"))).expect("written");
        let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
        command.arg("object").arg(folder.path()).args(["--ordinate", "absorbance", "--report"]);
        command.arg(folder.path().join("r.json")).assert().success();
        let report = std::fs::read_to_string(folder.path().join("r.json")).expect("written");
        std::fs::remove_file(folder.path().join("r.json")).expect("removed");
        serde_json::from_str::<serde_json::Value>(&report).expect("JSON")
    };
    let stated = with("ordinate = \"percent-transmittance\"\n");
    assert_eq!(stated["parts"][0]["material"], "PVC", "{}", stated["parts"][0]);
    // Without these words the ordinate stated for all contradicts this file's values.
    std::fs::write(&path, &text).expect("written");
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    command.arg("object").arg(folder.path()).args(["--ordinate", "absorbance", "--report"]);
    let refused = command.arg(folder.path().join("r.json")).assert().failure();
    assert!(stderr(&refused).contains("percent transmittance"), "{}", stderr(&refused));
    std::fs::remove_file(folder.path().join("r.json")).expect("removed");
    std::fs::write(&path, text.replace(row, &format!("{row}mode = \"by eye\"\n")))
        .expect("written");
    let told = stderr(&object(folder.path(), &["r.json"]).failure().code(2));
    assert!(told.contains("mode: found \"by eye\", expected one of: atr, transmission"), "{told}");
}

#[test]
fn lengths_that_no_object_has_are_refused_before_they_become_shares() {
    for (length, tolerance) in [("1e308", "1"), ("3", "1e308"), ("2000000", "1")] {
        let folder = folder(&format!(
            "[[candidate]]\nid = \"N\"\nclaimed = \"PETG\"\nthickness_mm = {length}\n\
             thickness_tolerance_mm = {tolerance}\n"
        ));
        let told = stderr(&object(folder.path(), &["r.md"]).failure().code(2));
        assert!(told.contains("expected a length in mm, a million at most"), "{told}");
    }
}

/// What is printed of the demo's parts: the table of the report's first page, row by row.
const SCREEN: &str = "\
Part                  Made of              Chlorine      Change         Spots
V01 (vane 1)          PVC                  by bands      changed        15 of 15
V02 (vane 2)          PVC                  by bands      changed        15 of 15
V03 (vane 3)          PVC                  by bands      changed        15 of 15
V04 (vane 4)          PVC                  by bands      none seen      9 of 9
V05 (vane 5)          PVC                  by bands      none seen      9 of 9
V06 (vane 6)          PVC                  by bands      none seen      9 of 9
T1 (tube 1)           PVC                  by bands      changed        10 of 10
T2 (tube 2)           PVC                  by bands      changed        10 of 10
T3 (tube 3, renewed)  PVC                  by bands      not compared   3 of 3
F1 (front panel 1)    PC                   none found    changed        10 of 10
F2 (front panel 2)    PC                   none found    changed        10 of 10
F3 (front panel 3,    PC with PDMS         cannot tell   not compared   6 of 6
replaced)             (exposed); PC
                      (reverse)
D1 (dial)             PMMA                 none found    partly tested  10 of 10
L1 (lens over the     CA                   none found    not compared   3 of 3
date)
S1 (shim behind the   PET                  none found    not compared   1 of 1
dial)
B1 (blind spot, vane  PVC                  by name       not compared   1 of 1
6 at the hub)
B2 (poor contact,     no answer            not excluded  not compared   0 of 1
vane 5 at the rim)
B3 (deposit on the    talc with calcite    not excluded  not compared   1 of 1
front)
G1 (gap pair: one     PVC                  by bands      too blind      10 of 10
new strip, pressed
well and badly)
";

#[test]
fn a_reference_is_asked_what_it_is_before_it_vouches() {
    let labelled = |material: &str| {
        let sheet = format!(
            "[[candidate]]\nid = \"N\"\nclaimed = \"PVC\"\nreference = \"vane.csv\"\n\
             reference_material = \"{material}\"\nreference_vouched_by = \"invented maker\"\n"
        );
        let folder = folder(&sheet);
        object(folder.path(), &["r.json"]).success();
        std::fs::read_to_string(folder.path().join("r.json")).expect("written")
    };
    let doubt =
        "the reference vane.csv of N, labelled CA, is PVC by its bands: it vouches for nothing";
    assert!(labelled("CA").contains(doubt));
    assert!(!labelled("PVC").contains("vouches for nothing"));
}

#[test]
fn the_screen_is_the_first_page_in_eighty_columns() {
    let run = Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .args(["--quiet", "object"])
        .arg(spectra().parent().expect("the demo"))
        .args(["--date", "2026-03-15"])
        .assert()
        .success();
    let screen = String::from_utf8(run.get_output().stdout.clone()).expect("UTF-8");
    for line in screen.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(screen.contains(SCREEN), "{screen}");
    let headings = [
        "The Tide Clock\nTC-1971 (invented); examined",
        "What records and offers say against what was found",
        "What to keep apart, to watch, or to test first",
        "What stays open, and what would settle it",
        "What this method cannot tell",
    ];
    let places: Vec<usize> = headings
        .iter()
        .map(|h| screen.find(h).unwrap_or_else(|| panic!("{h}\n{screen}")))
        .collect();
    assert!(places.is_sorted(), "{places:?}");
    // Limits beyond the three lines are counted, and where they stand is said.
    assert!(screen.contains("more limits: see the annex of the report."), "{screen}");
}

#[test]
fn sections_are_left_out_by_name_and_the_copy_says_so_but_limits_and_doubts_stay() {
    let folder = folder("");
    let write = |name: &str, more: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_bandlore"))
            .arg("object")
            .arg(folder.path())
            .args(["--date", "2026-03-15", "--length", "full", "--report"])
            .arg(folder.path().join(name))
            .args(more)
            .assert()
            .success();
        std::fs::read_to_string(folder.path().join(name)).expect("written")
    };
    let whole = write("whole.html", &[]);
    let all = "plain-words,chlorine,neighbours,parts,sheets,open,care,next,method,annexes,figures";
    let least = write("least.html", &["--without", all]);
    for anchor in
        ["plain-words", "chlorine", "neighbours", "parts", "open", "care", "next", "method"]
    {
        let heading = format!("<h2 id=\"{anchor}\"");
        assert!(whole.contains(&heading), "{anchor}");
        assert!(!least.contains(&heading), "{anchor}");
    }
    assert!(whole.contains("<figure>") && !least.contains("<figure>"));
    for stays in [
        "id=\"found\"",
        "Conclusion of the examiner",
        "id=\"limits\"",
        "left out of this copy: plain words",
    ] {
        assert!(least.contains(stays), "{stays}");
    }
    assert!(!whole.contains("left out of this copy"));
    let spectra = write("spectra.html", &["--without", "chlorine-map"]);
    assert!(spectra.contains("<figure>") && !spectra.contains("Parts by chlorine</figcaption>"));
}

#[test]
fn numbers_contents_and_references_of_a_docx_are_fields_that_lead_somewhere() {
    let folder = folder("");
    object(folder.path(), &["r.docx"]).success();
    let again = object(folder.path(), &["r.docx"]).failure().code(2);
    let told = String::from_utf8_lossy(&again.get_output().stderr).into_owned();
    assert!(told.contains("r.docx: is there already") && told.contains("--overwrite"), "{told}");
    let file = std::fs::File::open(folder.path().join("r.docx")).expect("written");
    let mut archive = zip::ZipArchive::new(file).expect("a DOCX is a ZIP archive");
    let mut document = String::new();
    let mut part = archive.by_name("word/document.xml").expect("the document");
    std::io::Read::read_to_string(&mut part, &mut document).expect("text");
    let instructions: Vec<&str> = document
        .split("instrText")
        .filter_map(|rest| rest.split_once('>')?.1.split_once('<'))
        .map(|(instruction, _)| instruction.trim())
        .filter(|instruction| !instruction.is_empty())
        .collect();
    let of = |word: &str| instructions.iter().filter(|i| i.starts_with(word)).count();
    assert!(of("TOC ") == 1 && of("SEQ Table ") > 0 && of("SEQ Figure ") > 0, "{instructions:?}");
    let mut referred = 0;
    for instruction in instructions {
        let mut words = instruction.split(' ');
        if let (Some("REF" | "PAGEREF"), Some(name)) = (words.next(), words.next()) {
            referred += 1;
            assert!(document.contains(&format!("w:name=\"{name}\"")), "{instruction}");
        }
    }
    assert!(referred > 2, "{referred}");
}
