//! `bandlore depth` and the correction for depth, through the built program.
//!
//! Figures: Harrick's formula; 2.005 and 0.664 µm are also in a university's public course notes on
//! infrared microscopy, 2.005, 0.668, 5.013 and 0.501 in a public page on ATR correction.

use crate::program::{bandlore, complained, file, json_answers, printed, spectrum};

/// Crystal, its index, sample index, angle, wavenumber, depth in µm.
const WORKED: [(&str, f64, f64, f64, f64); 11] = [
    ("diamond", 1.5, 45.0, 1000.0, 2.0052),
    ("diamond", 1.5, 45.0, 3000.0, 0.6684),
    ("diamond", 1.5, 45.0, 400.0, 5.0129),
    ("diamond", 1.5, 45.0, 4000.0, 0.5013),
    ("germanium", 1.5, 45.0, 1000.0, 0.6637),
    ("zinc-selenide", 1.5, 45.0, 1725.0, 1.1624),
    ("diamond", 1.5, 45.0, 613.0, 3.2711),
    ("diamond", 1.58, 45.0, 1770.0, 1.4518),
    ("diamond", 1.6, 45.0, 1000.0, 2.8135),
    ("diamond", 1.5, 60.0, 1000.0, 1.1062),
    ("silicon", 1.5, 45.0, 1000.0, 0.8390),
];

#[test]
fn gives_the_published_depths() {
    for (crystal, index, angle, wavenumber, expected) in WORKED {
        let output = bandlore()
            .args(["depth", "--crystal", crystal, "--format", "json"])
            .args(["--angle", &angle.to_string(), "--index", &index.to_string()])
            .arg(wavenumber.to_string())
            .output()
            .expect("runs");
        let json = json_answers(&output, "depth");
        let depth = json[0]["depths"][0]["depth_um"].as_f64().expect("a number");
        assert!((depth - expected).abs() < 1.0e-4, "{crystal} {wavenumber}: {depth}");
    }
}

#[test]
fn agrees_with_every_row_of_the_worked_examples() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/facts/worked_examples.csv");
    let Ok(text) = std::fs::read(path) else {
        println!("skipped 1: ../shared/facts is not here");
        return;
    };
    let mut tried = 0;
    for record in csv::Reader::from_reader(text.as_slice()).records() {
        let record = record.expect("a row");
        if &record[0] != "penetration_depth" {
            continue;
        }
        let number = |name: &str| -> String {
            let rest = record[2].split(name).nth(1).expect(name);
            rest.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect()
        };
        let output = bandlore()
            .args(["depth", "--format", "csv", "--crystal", &number("n1=")])
            .args(["--index", &number("n2="), "--angle", &number("theta="), &number("nu=")])
            .output()
            .expect("runs");
        tried += 1;
        if record[3].contains("error") {
            assert_eq!(output.status.code(), Some(2), "{}", &record[1]);
            assert!(complained(&output).contains("no total reflection"), "{}", &record[1]);
            continue;
        }
        let expected: f64 = record[3].trim_end_matches(" um").parse().expect("a depth");
        let text = printed(&output);
        let depth: f64 =
            text.trim_end().rsplit(',').next().expect("a cell").parse().expect("a depth");
        assert!((depth - expected).abs() < 1.0e-4, "{}: {depth}", &record[1]);
    }
    assert_eq!(tried, 12);
}

#[test]
fn says_where_a_crystals_index_comes_from() {
    for (crystal, words) in
        [("silicon", "(memory)"), ("diamond", "course notes"), ("2.5", "(as given)")]
    {
        let asked = ["depth", "--crystal", crystal, "1000"];
        let output = bandlore().args(asked).output().expect("runs");
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(text.contains(words), "{crystal}: {text}");
    }
}

#[test]
fn refuses_what_has_no_depth() {
    // The critical index of diamond at 45° is 1.697 (a public application note says 1.70).
    for (arguments, said) in [
        (&["--index", "1.7", "1000"][..], "only below a sample index of 1.6971"),
        (&["--crystal", "ge", "--index", "2.83", "1000"], "2.8284"),
        (
            &["--crystal", "glass", "1000"],
            "not known: write diamond, zinc selenide, germanium, silicon, or its refractive index",
        ),
        (&["--angle", "95", "1000"], "between 0° (along the normal) and 90°"),
        (&["--index", "0.5", "1000"], "a refractive index is at least 1"),
        (&["0"], "must be a positive number"),
        (&["--index", "nan", "1000"], "a refractive index is at least 1"),
        (&["--format", "jsonl", "1000"], "use text, markdown, csv or json"),
    ] {
        let output = bandlore().arg("depth").args(arguments).output().expect("runs");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let error = complained(&output);
        assert!(error.contains(said), "{arguments:?}: {error}");
        assert_eq!(error.lines().count(), 1, "{error}");
        assert!(output.stdout.is_empty());
    }
    bandlore().arg("depth").assert().code(2);
}

#[test]
fn lays_many_elements_out_in_eighty_columns() {
    let output = bandlore()
        .args(["depth", "--crystal", "diamond,ge,si,znse,2.37,3.0", "1000", "613"])
        .output()
        .expect("runs");
    let text = printed(&output);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for word in ["diamond", "germanium", "silicon", "zinc-selenide", "index 3", "2.005", "0.664"] {
        assert!(text.contains(word), "{word}: {text}");
    }
    // Both sources put germanium's lower end above 613 cm⁻¹.
    assert!(text.contains("germanium: lets little through below about 800 cm⁻¹"), "{text}");
    let output = bandlore()
        .args(["depth", "--format", "markdown", "--crystal", "diamond,ge", "1000"])
        .output()
        .expect("runs");
    assert!(printed(&output).contains("| 1000 | 2.005 | 0.664 |"));
}

#[test]
fn corrects_heights_for_comparison_and_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let bands = [(700.0, 0.2, 8.0), (1700.0, 0.2, 8.0), (2900.0, 0.2, 8.0)];
    let measured = file(folder.path(), "a.csv", &spectrum((500.0, 3900.0), 2.0, &bands));
    let corrected = |how: &str| {
        let output = bandlore()
            .args(["read", "--format", "csv", "--as-transmission", how])
            .arg(&measured)
            .output()
            .expect("runs");
        assert_eq!(output.status.code(), Some(0), "{}", complained(&output));
        printed(&output)
    };
    let height = |text: &str, at: &str| -> f64 {
        let start = format!("1,{at},");
        let line = text.lines().find(|line| line.starts_with(&start)).expect("a point");
        line.split(',').nth(2).expect("a cell").parse().expect("a height")
    };
    let simple = corrected("simple");
    assert!(
        simple.starts_with("# ATR heights corrected by wavenumber / 1000 cm-1"),
        "{simple:.90}"
    );
    assert_eq!(
        simple.lines().nth(1),
        Some("block,wavenumber_cm1,absorbance_corrected_for_depth,flag")
    );
    // The depth is proportional to the wavelength: equal heights become as 700 to 1700 to 2900.
    assert!((height(&simple, "700") / 0.2108 - 0.7).abs() < 0.01);
    assert!((height(&simple, "2900") / height(&simple, "700") - 2900.0 / 700.0).abs() < 0.05);
    let aware = corrected("index-aware");
    assert!(
        aware.lines().next().is_some_and(|l| l.contains("sample index 1.5, crystal index 2.4"))
    );
    assert!(height(&aware, "2900") > 3.0 * height(&aware, "700"));
}

#[test]
fn corrects_no_transmission_spectrum_and_needs_points() {
    let folder = tempfile::tempdir().expect("a folder");
    let measured =
        file(folder.path(), "a.csv", &spectrum((500.0, 3900.0), 4.0, &[(1700.0, 0.2, 8.0)]));
    let run = |arguments: &[&str]| {
        bandlore().arg("read").args(arguments).arg(&measured).output().expect("runs")
    };
    let film = run(&["--format", "csv", "--as-transmission", "simple", "--mode", "transmission"]);
    assert_eq!(film.status.code(), Some(1));
    assert!(complained(&film).contains("no depth to correct for"), "{}", complained(&film));
    assert_eq!(run(&["--as-transmission", "simple"]).status.code(), Some(2));
    assert_eq!(run(&["--crystal", "ge"]).status.code(), Some(2));
    let past = run(&["--format", "csv", "--as-transmission", "index-aware", "--index", "1.8"]);
    assert_eq!(past.status.code(), Some(2));
    assert!(complained(&past).contains("no total reflection"));
}
