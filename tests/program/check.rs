//! `bandlore check` through the built program: formats, widths, faults, the film, vapour and fringes.

use std::path::{Path, PathBuf};

use crate::program::{bandlore, complained, file, json_answers, printed, spectrum};
use serde_json::Value;

/// Bands of a polystyrene film (European Pharmacopoeia 5.0, chapter 2.2.24, in a public instrument note).
const FILM_CM1: [f64; 7] = [1028.3, 1154.5, 1583.0, 1601.2, 1942.9, 2849.5, 3060.0];

/// A clean spectrum down to 400 cm⁻¹.
fn clean() -> String {
    spectrum(
        (400.0, 4000.0),
        2.0,
        &[
            (700.0, 0.1, 6.0),
            (1150.0, 0.3, 9.0),
            (1240.0, 0.25, 9.0),
            (1730.0, 0.4, 8.0),
            (2950.0, 0.1, 12.0),
        ],
    )
}

/// A film whose bands lie at (1 + scale · 1e-6) · published + shift.
fn film(scale_ppm: f64, shift_cm1: f64) -> String {
    let mut bands: Vec<(f64, f64, f64)> = FILM_CM1
        .iter()
        .map(|nominal| (nominal * (1.0 + scale_ppm * 1.0e-6) + shift_cm1, 0.3, 3.0))
        .collect();
    // The ring's bands at 1493 and 1452 cm⁻¹ are far stronger on a real film; where ATR is assumed only
    // bands that are weak beside the strongest count.
    bands.extend([(1493.0, 1.4, 3.0), (1452.0, 1.2, 3.0)]);
    spectrum((900.0, 3900.0), 0.5, &bands)
}

fn shared(name: &str) -> Option<PathBuf> {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared")).join(name);
    if path.exists() {
        return Some(path);
    }
    println!("skipped 1: ../shared/{name} is not here");
    None
}

fn check(arguments: &[&str], files: &[&Path]) -> std::process::Output {
    bandlore().arg("check").args(arguments).args(files).output().expect("runs")
}

fn finding<'a>(entry: &'a Value, id: &str) -> &'a Value {
    entry["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .find(|f| f["id"] == id)
        .unwrap_or_else(|| panic!("no {id} in {entry}"))
}

#[test]
fn every_finding_has_figure_limit_consequence_and_remedy() {
    let folder = tempfile::tempdir().expect("a folder");
    let good = file(folder.path(), "good.csv", &clean());
    let short =
        file(folder.path(), "short.csv", &spectrum((720.0, 1900.0), 2.0, &[(1730.0, 0.4, 8.0)]));
    let output = check(&["--format", "json"], &[&good, &short]);
    assert_eq!(output.status.code(), Some(0), "{}", complained(&output));
    let json = json_answers(&output, "check");
    assert_eq!(json.len(), 2);
    for entry in &json {
        assert_eq!(entry["schema"], "bandlore/check/v1");
        assert!(entry["error"].is_null());
        assert!(entry.get("bands").is_none(), "bands belong to --film");
        for finding in entry["findings"].as_array().expect("findings") {
            for key in ["id", "value", "limit", "unit", "severity", "consequence", "remedy"] {
                assert!(finding.get(key).is_some(), "{key}: {finding}");
            }
            if finding["severity"] != "note" {
                assert_ne!(finding["consequence"], "", "{finding}");
                assert_ne!(finding["remedy"], "", "{finding}");
            }
        }
        for id in [
            "signal-to-noise",
            "strongest-band",
            "spacing",
            "range",
            "c-cl-613",
            "c-cl-635",
            "c-cl-690",
        ] {
            finding(entry, id);
        }
    }
    assert_eq!(finding(&json[0], "c-cl-613")["severity"], "note");
    assert_eq!(finding(&json[1], "c-cl-613")["severity"], "limits");
    assert_eq!(finding(&json[1], "range")["severity"], "limits");
    // One object a line holds the same.
    let lines = printed(&check(&["--format", "jsonl"], &[&good, &short]));
    let lines: Vec<Value> = lines.lines().map(|l| serde_json::from_str(l).expect("JSON")).collect();
    assert_eq!(lines, json);
}

#[test]
fn says_what_is_wrong_before_what_is_in_order() {
    let folder = tempfile::tempdir().expect("a folder");
    let upside_down = clean().lines().enumerate().fold(String::new(), |mut text, (i, line)| {
        match line.split_once(',') {
            Some((x, a)) if i > 0 => {
                text.push_str(&format!("{x},{}\n", 0.5 - a.parse::<f64>().expect("a number")));
            }
            _ => text.push_str(&format!("{line}\n")),
        }
        text
    });
    let bad = file(folder.path(), "bad.csv", &upside_down);
    let text = printed(&check(&["--ordinate", "absorbance"], &[&bad]));
    let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words}: {text}"));
    assert!(at("Not fit to be judged (upside down)") < at("What is wrong"));
    let wrong = &text[at("What is wrong")..at("C–Cl region, band by band")];
    assert!(wrong.contains("\nupside down") && wrong.contains("unfit"), "{wrong}");
    assert!(wrong.contains("clean the element"), "{wrong}");
    assert!(at("C–Cl region, band by band") < at("In order"));
    let good = file(folder.path(), "good.csv", &clean());
    let text = printed(&check(&[], &[&good]));
    assert!(text.contains("Fit to be judged; nothing limits it.\n"), "{text}");
    assert!(text.contains("400 cm⁻¹, 580 needed  note   613 cm⁻¹ is testable"), "{text}");
}

#[test]
fn text_fits_eighty_columns_whatever_the_file_is_called() {
    let folder = tempfile::tempdir().expect("a folder");
    let long = format!("{}.csv", "a very long name of a spectrum ".repeat(5));
    let hostile = "red\u{1b}[31m|*x*|=cmd.csv";
    let paths =
        [file(folder.path(), &long, &clean()), file(folder.path(), hostile, &film(300.0, 0.0))];
    let paths: Vec<&Path> = paths.iter().map(PathBuf::as_path).collect();
    for arguments in [&[][..], &["--film"]] {
        let output = check(arguments, &paths);
        for line in printed(&output).lines() {
            assert!(line.chars().count() <= 80, "{}: {line}", line.chars().count());
            assert!(!line.contains('\u{1b}'), "{line:?}");
        }
    }
    let markdown = printed(&check(&["--format", "markdown"], &paths));
    assert!(markdown.contains("\\|\\*x\\*\\|"), "{markdown:.400}");
    let csv = bandlore()
        .current_dir(folder.path())
        .args(["check", "--format", "csv", hostile])
        .output()
        .expect("runs");
    assert!(!printed(&csv).contains('\u{1b}'));
    let equals = file(folder.path(), "=1+1.csv", &clean());
    let named = bandlore()
        .current_dir(folder.path())
        .args(["check", "--format", "csv"])
        .arg(equals.file_name().expect("a name"))
        .output()
        .expect("runs");
    assert!(printed(&named).lines().skip(1).all(|line| line.starts_with("'=1+1.csv,")));
}

#[test]
fn a_file_that_cannot_be_read_keeps_its_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let good = file(folder.path(), "good.csv", &clean());
    let bad = file(folder.path(), "bad.csv", "no numbers here\nnone at all\n");
    let gone = folder.path().join("gone.csv");
    let output = check(&["--format", "json"], &[&bad, &good, &gone]);
    assert_eq!(output.status.code(), Some(1));
    let json = json_answers(&output, "check");
    assert_eq!(json.len(), 3);
    assert!(json[0]["error"].as_str().is_some_and(|e| e.contains("bad.csv")));
    assert!(json[1]["error"].is_null());
    assert!(json[2]["error"].as_str().is_some_and(|e| e.contains("no such file")));
    assert_eq!(json[2]["findings"].as_array().map(Vec::len), Some(0));
    for format in ["text", "markdown", "csv", "jsonl"] {
        let output = check(&["--format", format], &[&bad, &good, &gone]);
        assert_eq!(output.status.code(), Some(1), "{format}");
        let text = printed(&output);
        assert!(text.contains("bad.csv") && text.contains("gone.csv"), "{format}: {text}");
        assert_eq!(complained(&output).matches("error: ").count(), 2, "{format}");
    }
    assert_eq!(check(&[], &[]).status.code(), Some(2));
}

#[test]
fn tells_a_scale_error_from_an_offset_on_a_film() {
    let folder = tempfile::tempdir().expect("a folder");
    let value = |entry: &Value, key: &str| entry[key]["value"].as_f64().expect("a number");
    for (ppm, cm1) in
        [(0.0, 0.0), (300.0, 0.0), (-1000.0, 0.0), (0.0, 0.5), (0.0, -4.0), (100.0, 0.0)]
    {
        let path = file(folder.path(), "film.csv", &film(ppm, cm1));
        let output = check(&["--film", "--format", "json", "--mode", "transmission"], &[&path]);
        assert_eq!(output.status.code(), Some(0), "{}", complained(&output));
        let json = json_answers(&output, "check");
        let entry = &json[0];
        let bands = entry["bands"].as_array().expect("bands");
        assert!(bands.len() >= 5, "{entry}");
        for band in bands {
            let nominal = band["nominal"].as_f64().expect("a number");
            let expected = nominal * (1.0 + ppm * 1.0e-6) + cm1;
            for key in ["centroid", "minimum"] {
                let found = band[key].as_f64().expect("a number");
                assert!((found - expected).abs() < 0.1, "{ppm} {cm1} {key}: {band}");
            }
        }
        let (scale, shift) = (value(entry, "scale_ppm"), value(entry, "shift"));
        assert!((scale - ppm).abs() * 1700.0e-6 < 0.1, "{ppm} {cm1}: {scale} ppm");
        assert!((shift - cm1).abs() < 0.1, "{ppm} {cm1}: {shift}");
        for key in ["scale_ppm", "shift"] {
            let found = &entry[key];
            assert!(found["low"].as_f64() <= found["value"].as_f64());
            assert!(found["value"].as_f64() <= found["high"].as_f64());
        }
        let k = entry["k"].as_f64().expect("a number");
        assert!((k * (1.0 + scale * 1.0e-6) - 1.0).abs() < 1.0e-6, "{k}");
        let places: Vec<f64> = entry["deviations"]
            .as_array()
            .expect("deviations")
            .iter()
            .filter_map(|d| {
                let at = d["at"].as_f64()?;
                let expected = ppm * at * 1.0e-6 + cm1;
                assert!((d["deviation"].as_f64()? - expected).abs() < 0.15, "{d}");
                Some(at)
            })
            .collect();
        assert_eq!(places, [600.0, 1700.0, 3000.0]);
        let fault = entry["fault"].as_str().expect("a word");
        let expected = match (ppm.abs() > 200.0, cm1 == 0.0) {
            (true, _) => &["scale"][..],
            (false, false) => &["shift"],
            // At 100 ppm and below noise decides whether it stands clear.
            (false, true) => &["none", "scale"],
        };
        assert!(expected.contains(&fault), "{ppm} {cm1}: {fault}");
    }
}

#[test]
fn reads_the_scale_on_measured_optical_constants_of_polystyrene() {
    let Some(path) = shared("optical-constants/PS_M_nk_atr.csv") else { return };
    // Transmittance of a film 38 µm thick, as the certificate of a reference film says, from k alone.
    let mut text = String::from("wavenumber (cm-1),absorbance\n");
    let table = std::fs::read_to_string(path).expect("readable");
    for line in table.lines().skip(1) {
        let cells: Vec<f64> = line.split(',').filter_map(|c| c.parse().ok()).collect();
        let absorbance =
            4.0 * std::f64::consts::PI * cells[2] * cells[0] * 38.0e-4 * std::f64::consts::LOG10_E;
        text.push_str(&format!("{},{absorbance:.6}\n", cells[0]));
    }
    let folder = tempfile::tempdir().expect("a folder");
    let film = file(folder.path(), "film.csv", &text);
    let output = check(&["--film", "--format", "json", "--mode", "transmission"], &[&film]);
    assert_eq!(output.status.code(), Some(0), "{}", complained(&output));
    let json = json_answers(&output, "check");
    let bands = json[0]["bands"].as_array().expect("bands");
    assert!(bands.len() >= 5, "{bands:?}");
}

#[test]
fn a_film_that_is_none_is_an_error_with_its_findings_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let paths =
        [file(folder.path(), "a.csv", &clean()), file(folder.path(), "b.csv", &film(0.0, 0.0))];
    let paths: Vec<&Path> = paths.iter().map(PathBuf::as_path).collect();
    let output = check(&["--film", "--format", "json"], &paths);
    assert_eq!(output.status.code(), Some(1));
    let json = json_answers(&output, "check");
    assert!(json[0]["error"].as_str().is_some_and(|e| e.contains("is this a polystyrene film")));
    assert!(json[0]["bands"].is_null() && json[0].get("bands").is_some());
    assert!(!json[0]["findings"].as_array().expect("findings").is_empty());
    assert!(json[1]["error"].is_null());
    // In ATR bands stand lower, which must be said before the instrument is blamed.
    let warnings = json[1]["warnings"].as_array().expect("warnings");
    assert!(warnings.iter().any(|w| w["id"] == "film-in-atr"), "{warnings:?}");
}

#[test]
fn shows_limits_source_and_recalled_certificate_beside_the_film() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = file(folder.path(), "film.csv", &film(-900.0, 0.0));
    let text = printed(&check(&["--film", "--mode", "transmission"], &[&path]));
    for words in [
        "in ±1.0",
        "European Pharmacopoeia 5.0",
        "recalled from memory",
        "k ",
        "at 3000",
        "1028.35",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("Remedy have the laser wavelength set"), "{text}");
    let markdown = printed(&check(&["--film", "--format", "markdown"], &[&path]));
    assert!(markdown.contains("certificate (memory)"), "{markdown}");
    let csv = printed(&check(&["--film", "--format", "csv"], &[&path]));
    for id in ["film-band-1028.3", "film-scale", "film-shift", "film-deviation-1700", "film-k"] {
        assert!(csv.contains(id), "{id}: {csv}");
    }
}

#[test]
fn holds_a_film_against_itself_as_measured_before() {
    let folder = tempfile::tempdir().expect("a folder");
    // Both days lie far outside ±1.0 of the published places; between them lie 300 ppm.
    let before = file(folder.path(), "before.csv", &film(0.0, 3.0));
    let now = file(folder.path(), "now.csv", &film(300.0, 3.0));
    let earlier = before.to_string_lossy();
    let arguments = ["--film", "--mode", "transmission", "--film-before", &earlier];
    let with = |format: &str| {
        let output = check(&[&arguments[..], &["--format", format]].concat(), &[&now]);
        assert_eq!(output.status.code(), Some(0), "{}", complained(&output));
        output
    };
    let text = printed(&with("text"));
    for words in ["before", "a scale error stands clear of the spread", "where they stood before"] {
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words), "{words}: {text}");
    }
    assert!(!text.contains("European Pharmacopoeia"), "{text}");
    assert!(printed(&with("markdown")).contains("| before / cm⁻¹ |"));
    assert!(printed(&with("csv")).contains("measured minus before, 95 % interval"));
    let json = json_answers(&with("json"), "check").remove(0);
    let scale = &json["scale_ppm"];
    let (low, high) = (scale["low"].as_f64().expect("low"), scale["high"].as_f64().expect("high"));
    assert!(low <= 300.0 && 300.0 <= high && high - low < 200.0, "{scale}");
    let warnings = json["warnings"].as_array().expect("warnings");
    assert!(warnings.iter().any(|w| w["id"] == "film-before"), "{warnings:?}");
    // Wrong use and a missing file are said before anything is judged.
    let output = check(&["--film-before", &earlier], &[&now]);
    assert_eq!(output.status.code(), Some(2));
    assert!(complained(&output).contains("--film"), "{}", complained(&output));
    let output = check(&["--film", "--film-before", "no-such.csv"], &[&now]);
    assert_eq!(output.status.code(), Some(2));
    assert!(complained(&output).contains("no-such.csv"), "{}", complained(&output));
    assert!(printed(&output).is_empty());
}

/// Lines of water vapour where the check looks for them, as a spectrum of their own.
fn vapour(height: f64) -> Vec<(f64, f64, f64)> {
    [
        1507.1, 1540.3, 1558.5, 1576.2, 1616.7, 1635.7, 1653.3, 1684.8, 1699.9, 1717.4, 1734.6,
        1772.7, 1792.7, 1844.2,
    ]
    .map(|line| (line, height, 1.5))
    .to_vec()
}

#[test]
fn subtracts_vapour_with_factor_and_residual_and_says_so_everywhere() {
    let folder = tempfile::tempdir().expect("a folder");
    let air = file(folder.path(), "air.csv", &spectrum((400.0, 4000.0), 1.0, &vapour(0.01)));
    let mut bands = vapour(0.02);
    bands.extend([(1150.0, 0.4, 9.0), (2950.0, 0.1, 12.0)]);
    let sample = file(folder.path(), "sample.csv", &spectrum((400.0, 4000.0), 1.0, &bands));
    let corrected = folder.path().join("corrected.csv");
    let output = bandlore()
        .args(["check", "--format", "json", "--vapour"])
        .arg(&air)
        .arg("--write-corrected")
        .arg(&corrected)
        .arg(&sample)
        .output()
        .expect("runs");
    assert_eq!(output.status.code(), Some(0), "{}", complained(&output));
    let json = json_answers(&output, "check");
    let done = &json[0]["vapour_subtracted"];
    assert!((done["factor"].as_f64().expect("a number") - 2.0).abs() < 0.1, "{done}");
    assert!(done["residual"].as_f64().expect("a number") < 0.2, "{done}");
    assert!(json[0]["steps"][0].as_str().is_some_and(|s| s.starts_with("subtract vapour: factor")));
    let text = printed(&check(&["--vapour", air.to_str().expect("UTF-8")], &[&sample]));
    // Said once, whichever way the lines break.
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(words.matches("was subtracted, as asked: factor").count(), 1, "{text}");
    // The file that was written tells its history and is read as any other.
    let written = std::fs::read_to_string(&corrected).expect("written");
    assert!(written.starts_with("# corrected by bandlore"), "{written:.300}");
    assert!(written.contains("# subtract vapour: factor"), "{written:.300}");
    let again = json_answers(&check(&["--format", "json"], &[&corrected]), "check");
    assert!(again[0]["error"].is_null());
    assert_eq!(again[0]["spacing"], json[0]["spacing"]);
    // Identification states it too.
    let output = bandlore()
        .args(["identify", "--format", "json", "--vapour"])
        .args([&air, &sample])
        .output()
        .expect("runs");
    let json = json_answers(&output, "identify");
    assert_eq!(json[0]["steps"][0]["step"], "subtract vapour");
    assert!(
        json[0]["warnings"]
            .as_array()
            .expect("a list")
            .iter()
            .any(|w| w["id"] == "vapour-subtracted")
    );
}

#[test]
fn takes_fringes_out_where_they_stand_out_and_says_their_thickness() {
    let folder = tempfile::tempdir().expect("a folder");
    // d = 1 / (2 n Δν): 100 cm⁻¹ apart at index 1.5 is a film 33.3 µm thick.
    let mut text = String::new();
    for (i, line) in clean().lines().enumerate() {
        match line.split_once(',') {
            Some((x, a)) if i > 0 => {
                let at: f64 = x.parse().expect("a number");
                let fringe = 0.02 * (2.0 * std::f64::consts::PI * at / 100.0).cos();
                text.push_str(&format!(
                    "{x},{:.6}\n",
                    a.parse::<f64>().expect("a number") + 0.05 + fringe
                ));
            }
            _ => text.push_str(&format!("{line}\n")),
        }
    }
    let fringed = file(folder.path(), "fringed.csv", &text);
    let mode = ["--mode", "transmission", "--format", "json"];
    let before = json_answers(&check(&mode, &[&fringed]), "check");
    assert_eq!(finding(&before[0], "fringes")["severity"], "limits");
    let out = folder.path().join("out.csv");
    let write = ["--write-corrected", out.to_str().expect("UTF-8")];
    let output = check(&[&mode[..], &write].concat(), &[&fringed]);
    let json = json_answers(&output, "check");
    let thickness = json[0]["fringes_removed"]["thickness_um"].as_f64().expect("a number");
    assert!((thickness / (1.0e4 / 300.0) - 1.0).abs() < 0.02, "{thickness}");
    assert_eq!(finding(&json[0], "fringes")["severity"], "note");
    // Where none stand out none are taken out, and that is said.
    let good = file(folder.path(), "good.csv", &clean());
    let json =
        json_answers(&check(&[&["--format", "json"][..], &write].concat(), &[&good]), "check");
    assert!(json[0]["fringes_removed"].is_null());
    assert!(json[0]["steps"].as_array().is_some_and(Vec::is_empty));
    let text = printed(&check(&write, &[&good]));
    assert!(text.contains("no fringes stand out, so none were taken out"), "{text}");
    // Left in where asked; that alone asks for nothing.
    let kept = check(&[&mode[..], &write, &["--keep-fringes"]].concat(), &[&fringed]);
    assert!(json_answers(&kept, "check")[0]["fringes_removed"].is_null());
    assert_eq!(check(&["--keep-fringes"], &[&good]).status.code(), Some(2));
}

#[test]
fn refuses_corrections_that_cannot_be_made() {
    let folder = tempfile::tempdir().expect("a folder");
    let good = file(folder.path(), "good.csv", &clean());
    let two = file(folder.path(), "two.csv", &clean());
    let path = good.to_str().expect("UTF-8");
    // No vapour to read: settings are at fault, not an input.
    assert_eq!(check(&["--vapour", "no-such.csv"], &[&good]).status.code(), Some(2));
    // A vapour spectrum without the region of its lines.
    let narrow =
        file(folder.path(), "narrow.csv", &spectrum((500.0, 900.0), 2.0, &[(700.0, 0.1, 6.0)]));
    let output =
        check(&["--vapour", narrow.to_str().expect("UTF-8"), "--format", "json"], &[&good]);
    assert_eq!(output.status.code(), Some(1));
    let json = json_answers(&output, "check");
    assert!(
        json[0]["error"].as_str().is_some_and(|e| e.contains("vapour cannot be subtracted")
            && e.contains("must cover 1500 to 1880 or 3620 to 3865 cm⁻¹, and the vapour")),
        "{json:?}"
    );
    // The measured file itself must stay.
    let output = check(&["--write-corrected", path], &[&good]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        complained(&output).contains("what was measured or recorded must stay"),
        "{}",
        complained(&output)
    );
    let out = folder.path().join("out.csv");
    let out = out.to_str().expect("UTF-8");
    assert_eq!(check(&["--write-corrected", out], &[&good, &two]).status.code(), Some(2));
    assert!(!Path::new(out).exists());
    // A file of which nothing was taken out is not called corrected.
    assert_eq!(check(&["--write-corrected", out], &[&good]).status.code(), Some(0));
    let written = std::fs::read_to_string(out).expect("written");
    assert!(written.starts_with("# nothing was taken out by bandlore"), "{written:.300}");
}

#[test]
fn states_a_scale_correction_in_text_and_json() {
    let folder = tempfile::tempdir().expect("a folder");
    let good = file(folder.path(), "good.csv", &clean());
    let run = |arguments: &[&str]| {
        bandlore().arg("identify").args(arguments).arg(&good).output().expect("runs")
    };
    let text = printed(&run(&["--scale-correction", "1.0003"]));
    let text: Vec<&str> = text.split_whitespace().collect();
    assert!(text.join(" ").contains("multiplied by k = 1.0003"), "{text:?}");
    let json =
        json_answers(&run(&["--scale-correction", "1.0003", "--format", "json"]), "identify");
    assert_eq!(json[0]["steps"][0]["settings"][0]["value"], "1.0003");
    assert!(
        json[0]["warnings"]
            .as_array()
            .expect("a list")
            .iter()
            .any(|w| w["id"] == "scale-corrected")
    );
    for k in ["1.02", "0", "nan", "-1"] {
        assert_eq!(run(&[&format!("--scale-correction={k}")]).status.code(), Some(2), "{k}");
    }
}

#[test]
fn every_measured_sample_is_checked_in_every_format() {
    let Some(folder) = shared("raw-formats") else { return };
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e != "md"))
        .collect();
    files.sort();
    let paths: Vec<&Path> = files.iter().map(PathBuf::as_path).collect();
    assert!(paths.len() >= 7);
    let json = json_answers(&check(&["--format", "json"], &paths), "check");
    assert!(json.len() >= paths.len());
    for line in printed(&check(&[], &paths)).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}
