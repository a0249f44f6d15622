//! What the documents show is what the program prints and draws.

use std::path::Path;

use crate::document;

/// A folder to work in, with the samples beside it as the documents name them.
fn workplace() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra");
    std::os::unix::fs::symlink(samples, folder.path().join("sample-spectra")).expect("linked");
    folder
}

/// Returns the figure of an HTML report whose title has this id.
fn report_figure(report: &Path, title_id: &str) -> Option<Vec<u8>> {
    let page = std::fs::read_to_string(report).ok()?;
    let figure = page
        .split("<svg ")
        .find(|svg| svg.contains(&format!("aria-labelledby=\"{title_id} ")))
        .and_then(|svg| svg.split_once("</svg>"))?;
    Some(format!("<svg {}</svg>\n", figure.0).into_bytes())
}

#[test]
fn the_tutorial_shows_what_is_printed_and_drawn() {
    let folder = workplace();
    let report = folder.path().join("report.html");
    let ran = document::check("docs/tutorial.md", folder.path(), |name| match name {
        "report-chlorine.svg" => report_figure(&report, "map-title"),
        "report-faces.svg" => report_figure(&report, "part-0-faces-title"),
        _ => None,
    });
    assert!(ran > 10, "only {ran} commands");
}

#[test]
fn the_guide_to_adding_a_band_shows_what_is_printed() {
    let folder = workplace();
    let ran = document::check("docs/adding-a-band.md", folder.path(), |_| None);
    assert!(ran > 4, "only {ran} commands");
}

/// Tolerance of sums on paper with five digits after the point.
const PAPER: f64 = 6e-6;

/// The baseline that the program takes away first may bend by this much between 935 and 990 cm⁻¹.
const BENT_BASELINE: f64 = 2e-4;

/// Returns the cells of a document's rows that begin with a number.
fn number_rows(text: &str) -> Vec<Vec<&str>> {
    text.lines()
        .filter_map(|line| line.strip_prefix("| ")?.strip_suffix('|'))
        .map(|row| row.split('|').map(str::trim).collect::<Vec<_>>())
        .filter(|cells| cells.first().is_some_and(|cell| cell.parse::<f64>().is_ok()))
        .collect()
}

/// The mean of the smoothed values within 2 cm⁻¹ of a place.
fn mean_about(smoothed: &[(f64, f64)], at: f64) -> f64 {
    let near: Vec<f64> =
        smoothed.iter().filter(|(x, _)| (x - at).abs() <= 2.0).map(|(_, a)| *a).collect();
    near.iter().sum::<f64>() / near.len() as f64
}

/// Recomputes the worked ratio from the file alone, with the smoothing weights of Savitzky and Golay
/// 1964 for seven points and a cubic, sharing no code with the library.
#[test]
fn the_answer_worked_by_hand_is_the_programs() {
    let folder = workplace();
    let ran = document::check("docs/how-a-finding-is-reached.md", folder.path(), |_| None);
    assert!(ran > 6, "only {ran} commands");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let page =
        std::fs::read_to_string(root.join("docs/how-a-finding-is-reached.md")).expect("page");
    let sample = root.join("sample-spectra/tide-clock/spectra/S1-exposed.csv");
    let mut points: Vec<(f64, f64)> = std::fs::read_to_string(sample)
        .expect("the sample")
        .lines()
        .filter_map(|line| line.split_once(','))
        .filter_map(|(x, a)| Some((x.parse().ok()?, a.parse().ok()?)))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let smoothed: Vec<(f64, f64)> = points
        .windows(7)
        .map(|seven| {
            let weights = [-2.0, 3.0, 6.0, 7.0, 6.0, 3.0, -2.0];
            let sum: f64 = seven.iter().zip(weights).map(|((_, a), w)| a * w).sum();
            (seven[3].0, sum / 21.0)
        })
        .collect();

    // Each row of the page is a row of the file, and its smoothed value is that of the weights.
    let rows = number_rows(&page);
    assert_eq!(rows.len(), 27);
    for row in &rows {
        let x: f64 = row[0].parse().expect("a wavenumber");
        let same = |list: &[(f64, f64)]| list.iter().find(|p| (p.0 - x).abs() < 1e-9).map(|p| p.1);
        let kept: f64 = row[1].parse().expect("an absorbance");
        assert!(same(&points).is_some_and(|a| (a - kept).abs() < PAPER), "{x}: {kept}");
        if !row[2].is_empty() {
            let kept: f64 = row[2].parse().expect("a smoothed value");
            assert!(same(&smoothed).is_some_and(|a| (a - kept).abs() < PAPER), "{x}: {kept}");
        }
    }

    let (low, high) = (mean_about(&smoothed, 935.0), mean_about(&smoothed, 990.0));
    let height = |from: f64, to: f64| {
        smoothed
            .iter()
            .filter(|(x, _)| (from..=to).contains(x))
            .map(|(x, a)| a - (low + (high - low) * (x - 935.0) / 55.0))
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let (upper, lower) = (height(952.0, 962.0), height(967.0, 976.0));
    assert!(page.contains(&format!("**{upper:.4}**")) && page.contains(&format!("**{lower:.4}**")));
    assert!(page.contains(&format!("**{:.3}**", upper / lower)));

    // The program's own figures, as the page shows them.
    let said = |name: &str| -> f64 {
        let words = page.split_whitespace().collect::<Vec<_>>().join(" ");
        let (_, after) = words.split_once("PET-not-PETG 957 over 970 yes").expect("the rule");
        let (_, figure) = after.split_once(&format!("{name} ")).expect("a figure");
        figure.split([',', ')']).next().expect("a figure").parse().expect("a number")
    };
    assert!((said("numerator") - upper).abs() < BENT_BASELINE);
    assert!((said("denominator") - lower).abs() < BENT_BASELINE);
    assert!((said("ratio") - upper / lower).abs() < 1e-3);

    // Depth at 971 cm⁻¹ after Harrick 1967 (from memory): closed form, n of diamond 2.4, of plastic 1.5.
    let root_part = (0.5_f64 - (1.5_f64 / 2.4).powi(2)).sqrt();
    let depth_um = 1e4 / (std::f64::consts::TAU * 971.0 * 2.4 * root_part);
    assert!(page.contains(&format!("**{depth_um:.1} µm**")), "{depth_um}");
    assert!(page.contains(&format!("d = {depth_um:.3} × 10⁻⁴ cm")), "{depth_um}");
}

#[test]
fn every_word_of_the_glossary_has_one_sentence_a_source_and_its_class() {
    const CLASSES: [&str; 7] = [
        "standard",
        "peer-reviewed",
        "institution",
        "measured-data",
        "trade-note",
        "common-practice",
        "ours",
    ];
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let page = std::fs::read_to_string(root.join("docs/glossary.md")).expect("glossary");
    let rows: Vec<Vec<&str>> = page
        .lines()
        .filter_map(|line| line.strip_prefix("| ")?.strip_suffix(" |"))
        .map(|row| row.split(" | ").collect())
        .skip(1)
        .collect();
    assert!(rows.len() > 40);
    let words: Vec<String> = rows.iter().map(|row| row[0].to_lowercase()).collect();
    assert!(words.is_sorted(), "not in order");
    for row in rows {
        assert_eq!(row.len(), 4, "{row:?}");
        assert!(row[1].ends_with('.') && row[1].matches(". ").count() == 0, "{row:?}");
        assert!(!row[2].is_empty() && CLASSES.contains(&row[3]), "{row:?}");
    }
}

#[test]
fn links_between_documents_lead_to_files() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut pages = vec![root.join("README.md"), root.join("DEVELOPERS.md")];
    let docs = std::fs::read_dir(root.join("docs")).expect("docs");
    pages.extend(docs.map(|entry| entry.expect("an entry").path()));
    pages.push(root.join("benches/README.md"));
    for page in pages.iter().filter(|page| page.extension().is_some_and(|e| e == "md")) {
        let text = std::fs::read_to_string(page).unwrap_or_default();
        for rest in text.split("](").skip(1) {
            let target = rest.split([')', '#']).next().expect("a target");
            if target.is_empty() || target.contains(':') {
                continue;
            }
            let at = page.parent().expect("a folder").join(target);
            assert!(at.exists(), "{}: no {target}", page.display());
        }
    }
}
