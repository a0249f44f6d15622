//! `bandlore plot FILE` as a user meets it.
#![cfg(all(feature = "cli", feature = "plot"))]

use std::path::{Path, PathBuf};

use assert_cmd::Command;

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock/spectra").join(name)
}

fn plot(file: &Path, out: &Path, more: &[&str]) -> assert_cmd::assert::Assert {
    Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .arg("plot")
        .arg(file)
        .arg("--output")
        .arg(out)
        .args(more)
        .assert()
}

/// The figures beside the axis titled so, in the order drawn: text and place on the page.
fn axis_numbers(svg: &str) -> Vec<(f64, f64)> {
    let mut numbers: Vec<(f64, f64)> = svg
        .split("<text ")
        .skip(1)
        .filter_map(|text| {
            let x = text.split("x=\"").nth(1)?.split('"').next()?.parse().ok()?;
            let words = text.split('>').nth(1)?.split('<').next()?;
            let value: f64 = words.trim().parse().ok()?;
            (value >= 400.0).then_some((x, value))
        })
        .collect();
    numbers.sort_by(|a, b| a.0.total_cmp(&b.0));
    numbers
}

#[test]
fn the_same_file_gives_the_same_svg_twice_with_bands_axes_and_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let (first, second) = (folder.path().join("a.svg"), folder.path().join("b.svg"));
    plot(&sample("V04-covered-a.csv"), &first, &[]).success().code(0);
    plot(&sample("V04-covered-a.csv"), &second, &[]).success();
    let svg = std::fs::read_to_string(&first).expect("written");
    assert_eq!(svg, std::fs::read_to_string(&second).expect("written"));
    for words in ["<title", "<desc", "role=\"img\"", "Wavenumber / cm⁻¹", "Absorbance", "C–Cl"]
    {
        assert!(svg.contains(words), "{words}");
    }
    // Spectra are read from high to low wavenumber, left to right.
    let numbers = axis_numbers(&svg);
    assert!(numbers.len() > 8, "{numbers:?}");
    assert!(numbers.windows(2).all(|w| w[0].1 > w[1].1), "{numbers:?}");
}

#[test]
fn a_png_comes_out_alike_twice_and_grows_with_the_scale() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    plot(&sample("L1-exposed-a.csv"), &at("a.png"), &["--scale", "1"]).success();
    plot(&sample("L1-exposed-a.csv"), &at("b.png"), &["--scale", "1"]).success();
    plot(&sample("L1-exposed-a.csv"), &at("c.png"), &["--scale", "2"]).success();
    let bytes = |name: &str| std::fs::read(at(name)).expect("written");
    assert_eq!(bytes("a.png"), bytes("b.png"));
    let width = |name: &str| {
        let png = bytes(name);
        assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
        u32::from_be_bytes([png[16], png[17], png[18], png[19]])
    };
    assert_eq!(width("c.png"), 2 * width("a.png"));
}

#[test]
fn what_the_crystal_does_not_reach_is_hatched_and_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("b1.svg");
    plot(&sample("B1-exposed.csv"), &out, &["--title", "Blind spot <B1> & more"]).success();
    let svg = std::fs::read_to_string(&out).expect("written");
    assert!(svg.contains("not measured") && svg.contains("-hatch)"));
    assert!(svg.contains("Blind spot &lt;B1&gt; &amp; more"));
}

#[test]
fn bands_of_another_material_are_shown_on_demand() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("as-petg.svg");
    plot(&sample("N2b-face-a-a.csv"), &out, &["--material", "PETG"]).success();
    let svg = std::fs::read_to_string(&out).expect("written");
    assert!(svg.contains("PETG"), "the key names the material");
}

#[test]
fn a_material_that_is_far_from_the_answer_has_its_own_bands_marked_and_the_answer_stays_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("as-pmma.svg");
    let run = plot(&sample("V02-exposed-a.csv"), &out, &["--material", "PMMA"]).success();
    let svg = std::fs::read_to_string(&out).expect("written");
    for words in ["Bands of PMMA as asked for (by itself: PVC)", "missing"] {
        assert!(svg.contains(words), "{words}");
    }
    // What the answer leaves open is none of this material's business.
    assert!(!svg.lines().any(|line| line.trim_end().ends_with("unexplained")), "{svg}");
    let output = run.get_output();
    let told = String::from_utf8_lossy(&[&output.stdout[..], &output.stderr].concat()).into_owned();
    assert!(
        told.contains("By itself it is judged so: Bands characteristic of poly(vinyl"),
        "{told}"
    );
    assert!(!told.contains("no material is named"), "{told}");
}

#[test]
fn each_of_two_names_left_has_its_bands_shown() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("narrowed.svg");
    plot(&sample("N1-face-a-a.csv"), &out, &[]).success();
    let svg = std::fs::read_to_string(&out).expect("written");
    assert!(svg.contains("band of PET found") && svg.contains("band of PETG found"), "{svg}");
}

#[test]
fn a_band_of_two_readings_is_not_labelled_with_the_first_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("either.svg");
    plot(&sample("V02-exposed-a.csv"), &out, &[]).success();
    let svg = std::fs::read_to_string(&out).expect("written");
    let label = svg.lines().find(|line| line.starts_with("1738  ")).expect("the label");
    assert_eq!(label.trim(), "1738  C=O of an ester or of…");
}

#[test]
fn several_files_are_overlaid_stacked_or_averaged_and_the_title_is_their_name() {
    let folder = tempfile::tempdir().expect("a folder");
    let names =
        ["V02-exposed-a.csv", "V02-exposed-b.csv", "V02-covered-a.csv", "V02-covered-b.csv"];
    for (more, words) in [
        (&[][..], ["V02-exposed-a", "V02-covered-b"]),
        (&["--stacked"], ["Absorbance, each to its own height", "V02-exposed-a to V02-covered-b"]),
        (&["--mean"], ["V02-exposed, mean of 2 spots", "V02-covered, mean of 2 spots"]),
        (&["--range", "carbonyl", "--transmittance"], ["Transmittance / %", "1850 to 1550"]),
    ] {
        let out = folder.path().join("several.svg");
        Command::new(env!("CARGO_BIN_EXE_bandlore"))
            .arg("plot")
            .args(names.map(sample))
            .arg("--output")
            .arg(&out)
            .args(more)
            .assert()
            .success();
        let svg = std::fs::read_to_string(&out).expect("written");
        for words in words {
            assert!(svg.contains(words), "{more:?}: {words}");
        }
    }
    let out = folder.path().join("one.pdf");
    plot(&sample(names[0]), &out, &["--size", "160x110", "--range", "C-Cl"]).success();
    assert!(std::fs::read(&out).expect("written").starts_with(b"%PDF-"));
    plot(&sample(names[0]), &out, &["--range", "carbonyls"]).failure().code(2);
}

#[test]
fn wrong_input_is_told_in_one_line_and_leaves_no_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    std::fs::write(at("notes.csv"), "n.d.\nnothing here\n").expect("written");
    let good = sample("L1-exposed-a.csv");
    for (file, out, more, code, words) in [
        (good.clone(), at("a.gif"), vec![], 2, "a figure ends in .svg, .png or .pdf"),
        (
            good.clone(),
            at("a.svg"),
            vec!["--material", "PLEXI"],
            2,
            "no material \"PLEXI\" in the table",
        ),
        (good.clone(), at("a.png"), vec!["--scale", "0"], 2, "scale"),
        (good, at("no/such/folder/a.svg"), vec![], 2, "a.svg"),
        (at("missing.csv"), at("a.svg"), vec![], 1, "missing.csv"),
        (at("notes.csv"), at("a.svg"), vec![], 1, "notes.csv"),
    ] {
        let run = plot(&file, &out, &more).failure().code(code);
        let told = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
        let errors: Vec<&str> = told.lines().filter(|line| line.starts_with("error")).collect();
        assert_eq!(errors.len(), 1, "{told}");
        assert!(errors[0].contains(words), "{told}");
        assert!(!out.exists(), "{}", out.display());
    }
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").collect();
    assert_eq!(left.len(), 1, "only the notes: {left:?}");
}
