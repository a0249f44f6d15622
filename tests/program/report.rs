//! `--report` of the commands that compose a page, on the invented demo spectra.

use std::collections::BTreeSet;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::Output;

use crate::program::{bandlore, complained, printed};

fn spectra(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock/spectra").join(name)
}

/// `bandlore compare` of three spots a face, with more arguments.
fn compare(arguments: &[&str]) -> Output {
    let spots = |face: &str| ["a", "b", "c"].map(|spot| spectra(&format!("V01-{face}-{spot}.csv")));
    bandlore()
        .args(["compare", "--exposed"])
        .args(spots("exposed"))
        .arg("--covered")
        .args(spots("covered"))
        .args(arguments)
        .output()
        .expect("runs")
}

/// Runs with three reports into a folder, and returns them: HTML, DOCX, Markdown.
fn reports(folder: &Path, run: impl Fn(&[&str]) -> Output) -> (String, Vec<u8>, String) {
    let path = |ending: &str| folder.join(format!("page.{ending}"));
    let paths = ["html", "docx", "md"].map(|ending| path(ending).display().to_string());
    let mut arguments = vec!["--date", "2026-03-15", "--overwrite"];
    arguments.extend(paths.iter().flat_map(|path| ["--report", path]));
    let output = run(&arguments);
    assert_eq!(output.status.code(), Some(0), "{}", complained(&output));
    let text = |ending: &str| fs::read_to_string(path(ending)).expect("written");
    (text("html"), fs::read(path("docx")).expect("written"), text("md"))
}

/// The text of a DOCX package, without its markup.
fn words_of(docx: &[u8]) -> String {
    let mut package = zip::ZipArchive::new(std::io::Cursor::new(docx)).expect("a package");
    let mut xml = String::new();
    let mut part = package.by_name("word/document.xml").expect("the document");
    part.read_to_string(&mut xml).expect("UTF-8");
    let mut inside = false;
    xml.chars()
        .filter(|c| {
            let shown = !inside && *c != '<';
            inside = (inside || *c == '<') && *c != '>';
            // Places for a break within a digest.
            shown && *c != '\u{200b}' && *c != '>'
        })
        .collect()
}

/// What a browser shows of a page: no markup.
fn shown_of(html: &str) -> String {
    let body = html.split_once("<body>").expect("a body").1;
    let mut inside = false;
    let text: String = body
        .chars()
        .filter(|c| {
            let shown = !inside && *c != '<';
            inside = (inside || *c == '<') && *c != '>';
            shown && *c != '>'
        })
        .collect();
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
}

/// A page is one file, names nothing twice, leads nowhere that is not there, and its columns have widths.
fn is_sound(html: &str) {
    assert!(!html.contains("<script"));
    let after = |mark: &str| -> Vec<String> {
        html.split(mark)
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap_or("").to_owned())
            .collect()
    };
    let ids = after(" id=\"");
    let named: BTreeSet<&String> = ids.iter().collect();
    assert_eq!(named.len(), ids.len(), "an id stands twice");
    for target in after(" href=\"#") {
        assert!(named.contains(&target), "{target} is not there");
    }
    for class in after("<col class=\"") {
        assert!(html.contains(&format!(".{class} {{ width:")), "no width for {class}");
    }
}

#[test]
fn a_comparison_is_one_page_in_three_forms_with_the_same_facts() {
    let folder = tempfile::tempdir().expect("a folder");
    let (html, docx, markdown) = reports(folder.path(), compare);
    is_sound(&html);
    let json: serde_json::Value =
        serde_json::from_str(&printed(&compare(&["--format", "json"]))).expect("JSON");
    let markers = json[0]["markers"].as_array().expect("markers");
    let carbonyl = markers.iter().find(|m| m["id"] == "PVC_CO").expect("the carbonyl");
    let change = format!("Δ {:.4}", carbonyl["change"].as_f64().expect("a figure"));
    let digest = bandlore::io::sha256_hex(&fs::read(spectra("V01-exposed-b.csv")).expect("there"));
    let facts = [
        "Comparison of faces",
        change.as_str(),
        "exposed n = 3, covered n = 3",
        digest.as_str(),
        // The caution of the table's care note on PVC.
        "May give off hydrogen chloride",
        "safety data sheets and licensed practice come first",
        "not the effect of light",
        "ATR crystal",
        "2026-03-15",
        env!("CARGO_PKG_VERSION"),
    ];
    let forms = [shown_of(&html), words_of(&docx), markdown.replace('\\', "")];
    for (form, text) in ["HTML", "DOCX", "Markdown"].iter().zip(&forms) {
        for fact in facts {
            assert!(text.contains(fact), "{form} lacks \"{fact}\": {text:.3000}");
        }
    }
    // The faces over one another, and the markers that were tested.
    assert_eq!(html.matches("<figure>").count(), 2, "{}", html.len());
    assert!(markdown.contains("**Figure 2.** PVC: markers, exposed against covered"), "{markdown}");
}

#[test]
fn equal_inputs_give_equal_bytes() {
    let [one, other] = [(); 2].map(|()| {
        let folder = tempfile::tempdir().expect("a folder");
        reports(folder.path(), compare)
    });
    assert_eq!(one.0, other.0);
    assert!(one.1 == other.1, "the DOCX differs");
    assert_eq!(one.2, other.2);
}

#[test]
fn an_unknown_ending_is_refused_before_the_work_and_named() {
    for command in [
        &["compare", "--exposed", "no-such.csv", "--covered", "nor-this.csv"][..],
        &["ageing", "no-such.csv"],
        &["identify", "no-such.csv"],
        &["check", "no-such.csv"],
        &["depth", "1000"],
    ] {
        let output =
            bandlore().args(command).args(["--report", "page.pages"]).output().expect("runs");
        let error = complained(&output);
        assert_eq!(output.status.code(), Some(2), "{error}");
        assert!(error.contains("page.pages: a report ends in .html, .md or .docx"), "{error}");
        assert!(!error.contains("no-such") && output.stdout.is_empty(), "{error}");
    }
}

#[test]
fn a_document_that_may_have_been_written_in_is_replaced_on_demand_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).display().to_string();
    let (page, document) = (at("page.html"), at("page.docx"));
    let both = ["--date", "2026-03-15", "--report", &page, "--report", &document];
    assert_eq!(compare(&both).status.code(), Some(0));
    fs::write(&document, "what the conservator wrote").expect("written");
    fs::write(&page, "an old page").expect("written");
    let refused = compare(&both);
    let error = complained(&refused);
    assert_eq!(refused.status.code(), Some(2), "{error}");
    assert!(
        error.contains("page.docx: is there already") && error.contains("--overwrite"),
        "{error}"
    );
    let kept = |path: &str| fs::read(path).expect("there");
    assert_eq!(kept(&document), b"what the conservator wrote");
    assert_eq!(kept(&page), b"an old page", "none or all");
    let replaced = [&both[..], &["--overwrite"]].concat();
    assert_eq!(compare(&replaced).status.code(), Some(0));
    assert!(words_of(&kept(&document)).contains("PVC"));
    // A page is replaced in any case: nobody goes on writing in it.
    assert_eq!(compare(&["--report", &page]).status.code(), Some(0));
}

#[test]
fn all_reports_are_written_or_none() {
    let folder = tempfile::tempdir().expect("a folder");
    let (good, bad) = (folder.path().join("good.html"), folder.path().join("no/such/folder.md"));
    let paths = [good.display().to_string(), bad.display().to_string()];
    let output = compare(&["--report", &paths[0], "--report", &paths[1]]);
    assert_eq!(output.status.code(), Some(2), "{}", complained(&output));
    assert!(complained(&output).contains("folder.md"), "{}", complained(&output));
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 0);
}

#[test]
fn what_was_measured_is_never_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    // A spectrum is told by what it holds, not by its ending.
    let measured = folder.path().join("spot.md");
    fs::copy(spectra("V01-exposed-a.csv"), &measured).expect("copied");
    let before = fs::read(&measured).expect("there");
    for command in ["ageing", "identify", "check"] {
        let output = bandlore()
            .arg(command)
            .arg(&measured)
            .arg("--report")
            .arg(&measured)
            .output()
            .expect("runs");
        let error = complained(&output);
        assert_eq!(output.status.code(), Some(2), "{error}");
        assert!(error.contains("is the same file as"), "{error}");
        assert_eq!(fs::read(&measured).expect("there"), before);
    }
    let page = folder.path().join("page.md").display().to_string();
    let output = compare(&["--output", &page, "--report", &page]);
    assert!(complained(&output).contains("which is written too"), "{}", complained(&output));
}

/// A command over some of the demo's spectra.
fn over<'a>(command: &'a str, files: &'a [&str]) -> impl Fn(&[&str]) -> Output + 'a {
    move |arguments| {
        let files = files.iter().map(|name| spectra(name));
        bandlore().arg(command).args(files).args(arguments).output().expect("runs")
    }
}

#[test]
fn a_page_of_many_spectra_begins_with_all_of_them_and_shows_each() {
    let folder = tempfile::tempdir().expect("a folder");
    let files = ["V01-exposed-a.csv", "D1-exposed-a.dx", "L1-exposed-a.csv"];
    let (html, docx, markdown) = reports(folder.path(), over("identify", &files));
    is_sound(&html);
    assert_eq!(html.matches("<figure>").count(), files.len());
    let (shown, words) = (shown_of(&html), words_of(&docx));
    for text in [&shown, &words, &markdown.replace('\\', "")] {
        for fact in ["All spectra at a glance", "Cl by bands", "May give off hydrogen chloride"] {
            assert!(text.contains(fact), "no \"{fact}\"");
        }
        for file in files {
            let digest = bandlore::io::sha256_hex(&fs::read(spectra(file)).expect("there"));
            assert!(text.contains(file) && text.contains(&digest), "{file}");
        }
    }
    for number in 1..=files.len() {
        assert!(html.contains(&format!("<a href=\"#spectrum-{number}\">")), "{number}");
    }
    assert!(markdown.contains("C–Cl, amorphous sequences"), "the evidence is not there");
}

#[test]
fn every_command_that_composes_a_page_writes_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let depths = |arguments: &[&str]| {
        bandlore()
            .args(["depth", "1000", "--crystal", "ge"])
            .args(arguments)
            .output()
            .expect("runs")
    };
    let (html, _, markdown) = reports(folder.path(), depths);
    is_sound(&html);
    // Harrick's formula for germanium (index 4.0) at 45° on a sample of index 1.5.
    assert!(markdown.contains("| 1000 | 0.664 |"), "{markdown}");
    let files = ["V01-exposed-a.csv", "V01-covered-a.csv"];
    let (html, docx, markdown) = reports(folder.path(), over("ageing", &files));
    is_sound(&html);
    assert_eq!(html.matches("<figure>").count(), 2);
    assert!(markdown.contains("Intervals are 95 %, from noise only"), "{markdown}");
    assert!(words_of(&docx).contains("PVC_CO"));
    let (html, docx, _) = reports(folder.path(), over("check", &files));
    is_sound(&html);
    assert!(shown_of(&html).contains("Fit to be judged"), "{}", shown_of(&html));
    assert!(words_of(&docx).contains("C–Cl region"));
}

#[test]
fn a_spectrum_that_cannot_be_read_stands_on_the_page_with_the_reason() {
    let folder = tempfile::tempdir().expect("a folder");
    let (photo, page) = (folder.path().join("photo.jpg"), folder.path().join("page.html"));
    fs::write(&photo, [0xff, 0xd8, 0xff]).expect("written");
    let reason = "no line holds two numbers";
    for command in ["ageing", "identify", "check"] {
        let output = bandlore()
            .arg(command)
            .args([&photo, &spectra("V01-exposed-a.csv")])
            .arg("--report")
            .arg(&page)
            .output()
            .expect("runs");
        assert_eq!(output.status.code(), Some(1), "{}", complained(&output));
        let html = fs::read_to_string(&page).expect("written");
        is_sound(&html);
        assert!(shown_of(&html).contains(reason), "{command}: {}", shown_of(&html));
        fs::remove_file(&page).expect("removed");
    }
}
