//! What the markers do on measured spectra of open data sets. Skips, with a count, where the
//! spectra are not here.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use bandlore::{
    ReadOptions, Spectrum, Tables,
    ageing::{
        AgeingResult, MarkerState, MaterialFrom, Specimen,
        content::{Calibration, Standard},
        measure_ageing, read_measure,
    },
    optics::Element,
    read_path,
    tables::{
        Window,
        look_alikes::{Predicate, Verdict},
        markers::Measure,
        words::MeasureKind,
    },
};

fn folder() -> Option<PathBuf> {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/measured-spectra"));
    if path.join("labels.csv").is_file() {
        return Some(path.to_owned());
    }
    println!("skipped 1: {} is not here", path.display());
    None
}

struct Label {
    dataset: String,
    path: PathBuf,
    accept: Vec<String>,
    class: String,
    note: String,
}

fn labels(folder: &Path) -> Vec<Label> {
    let mut reader = csv::Reader::from_path(folder.join("labels.csv")).expect("labels");
    reader
        .records()
        .map(|row| {
            let row = row.expect("readable");
            Label {
                dataset: row[0].to_owned(),
                path: folder.join("spectra").join(&row[0]).join(&row[1]),
                accept: row[3].split('|').map(str::to_owned).collect(),
                class: row[4].to_owned(),
                note: row[7].to_owned(),
            }
        })
        .collect()
}

fn read(path: &Path) -> Spectrum {
    read_path(path, &ReadOptions::default())
        .next()
        .expect("holds a spectrum")
        .unwrap_or_else(|error| panic!("{error}"))
}

fn nothing(_: &Predicate) -> Verdict {
    Verdict::No
}

fn markers(spectrum: &Spectrum, material: &str) -> AgeingResult {
    let specimen = Specimen::new(spectrum, &[], Element::DIAMOND_45, &nothing);
    measure_ageing(&specimen, Some((material, MaterialFrom::Given)), Tables::built_in(), None)
}

/// Sample, marker value, degree of substitution.
type Acetate = (String, f64, f64);

/// Splits in which the training half chooses everything; each fits some two hundred calibrations.
const NESTED_SPLITS: u64 = 40;

/// Sample, measured degree of substitution, file.
fn acetate_files() -> Option<Vec<(String, f64, PathBuf)>> {
    let mut files = Vec::new();
    for label in labels(&folder()?) {
        // Mixed esters are no cellulose acetates: their butyryl and propionyl absorb alike.
        let ours = label.accept.iter().any(|a| a == "CA" || a == "cellulose")
            && !label.accept.iter().any(|a| a == "CAB");
        if label.dataset != "cellulose-acetate-ds" || !ours {
            continue;
        }
        let (sample, degree) = label.note.split_once(" DS=").expect("degree in the note");
        let degree: f64 =
            degree.split(';').next().expect("a figure").trim().parse().expect("a figure");
        // "JOW-040-dried-3.0" is the third repeat of JOW-040; the degree is the sample's own.
        let mut parts: Vec<&str> = sample
            .split('_')
            .next()
            .map_or(vec![sample], |_| sample.trim_end_matches("_Datensatz_1").split('-').collect());
        parts.retain(|p| !(p.contains('.') || *p == "re" || *p == "dried" || p.starts_with("re")));
        files.push((format!("{} {degree}", parts.join("-")), degree, label.path));
    }
    Some(files)
}

/// Sample, measured degree of substitution, index.
fn acetates() -> Option<(Vec<Acetate>, usize)> {
    let mut found = Vec::new();
    let files = acetate_files()?;
    let tried = files.len();
    for (sample, degree, path) in files {
        let result = markers(&read(&path), "CA");
        let marker = result.markers.iter().find(|m| m.id == "CA_ACETYL").expect("in the table");
        let index = match marker.state {
            MarkerState::Measured => marker.value.expect("a value"),
            MarkerState::BelowDetection => 0.0,
            MarkerState::Refused => continue,
            other => panic!("{other:?} is new here"),
        };
        found.push((sample, degree, index));
    }
    Some((found, tried))
}

fn ranks(values: &[f64]) -> Vec<f64> {
    values
        .iter()
        .map(|v| {
            let below = values.iter().filter(|w| *w < v).count() as f64;
            let same = values.iter().filter(|w| *w == v).count() as f64;
            below + f64::midpoint(1.0, same)
        })
        .collect()
}

fn spearman(x: &[f64], y: &[f64]) -> f64 {
    let (a, b) = (ranks(x), ranks(y));
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let (ma, mb) = (mean(&a), mean(&b));
    let covariance: f64 = a.iter().zip(&b).map(|(p, q)| (p - ma) * (q - mb)).sum();
    let spread = |v: &[f64], m: f64| v.iter().map(|p| (p - m).powi(2)).sum::<f64>().sqrt();
    covariance / (spread(&a, ma) * spread(&b, mb))
}

/// The names in an order that a fixed rule makes of the number of the split.
fn shuffled<'a>(names: &[&'a str], split: u64) -> Vec<&'a str> {
    let mut order: Vec<(u64, &str)> = names
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let mixed = (i as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15)
                ^ (split + 1).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            (mixed.wrapping_mul(0x94D0_49BB_1331_11EB) >> 20, *name)
        })
        .collect();
    order.sort_unstable();
    order.into_iter().map(|(_, name)| name).collect()
}

#[test]
fn acetyl_marker_follows_the_measured_substitution() {
    // Degrees of substitution: the publishers of the open set, in the labels' notes.
    let Some((found, tried)) = acetates() else { return };
    let degrees: Vec<f64> = found.iter().map(|f| f.1).collect();
    let indices: Vec<f64> = found.iter().map(|f| f.2).collect();
    let rho = spearman(&degrees, &indices);
    println!("CA_ACETYL on {} of {tried} files, Spearman rho {rho:.3}", found.len());
    // Positive: the index rises with the degree, as it must.
    assert!(found.len() * 10 >= tried * 9);
    assert!(rho >= 0.95, "{rho}");
}

#[test]
fn half_of_the_samples_predict_the_others() {
    let Some((found, _)) = acetates() else { return };
    let mut samples: BTreeMap<&str, Vec<(f64, f64)>> = BTreeMap::new();
    for (sample, degree, index) in &found {
        samples.entry(sample).or_default().push((*degree, *index));
    }
    let names: Vec<&str> = samples.keys().copied().collect();
    let (mut covered, mut predicted, mut half_widths) = (0, 0, Vec::new());
    // Many splits by sample, so that the figure does not hang on one; a fixed rule makes them.
    for split in 0..200_u64 {
        let order = shuffled(&names, split);
        let (train, test) = order.split_at(names.len().div_ceil(2));
        let standards: Vec<Standard> = train
            .iter()
            .flat_map(|name| {
                samples[name].iter().map(|(content, index)| Standard::new(*name, *content, *index))
            })
            .collect();
        let Ok(calibration) = Calibration::fit("DS", &standards) else { continue };
        for (degree, index) in test.iter().flat_map(|name| &samples[name]) {
            let content = calibration.content(*index).expect("an interval");
            if content.doubt.is_some() {
                continue;
            }
            predicted += 1;
            covered += usize::from(content.low <= *degree && *degree <= content.high);
            if (1.8..=3.0).contains(degree) {
                half_widths.push((content.high - content.low) / 2.0);
            }
        }
    }
    let share = f64::from(u32::try_from(covered).expect("few"))
        / f64::from(u32::try_from(predicted).expect("few"));
    let half = half_widths.iter().sum::<f64>() / half_widths.len() as f64;
    println!(
        "{} samples: {predicted} predictions inside the standards, {:.1} % covered, mean half width {half:.3} within 1.8 to 3.0",
        names.len(),
        100.0 * share
    );
    assert!((0.90..=0.99).contains(&share), "{share}");
    assert!(half <= 0.25, "{half}");
}

/// One spectrum of a cellulose acetate: its sample, its degree, and each index tried on it.
struct Tried {
    sample: String,
    degree: f64,
    indices: Vec<Option<f64>>,
}

/// Every pair of a band that follows acetyl or hydroxyl with a band that stays, as the literature
/// has them (Nunes et al. 2020: OH or C=O over C–O–C; Johansen & Shashoua 2005: C=O over C–H), each
/// by height and by area, between the band's own feet.
fn pairs_of_the_literature() -> Vec<(Measure, Measure)> {
    let area = |low: f64, high: f64| {
        Measure::new(MeasureKind::Area, Window::new(low, high), Window::new(low, high))
    };
    let height = |low: f64, high: f64, foot: f64, other: f64| {
        Measure::new(MeasureKind::Maximum, Window::new(low, high), Window::new(foot, other))
    };
    let moving = [
        height(1725.0, 1755.0, 1690.0, 1810.0),
        area(1690.0, 1810.0),
        height(3300.0, 3560.0, 3050.0, 3700.0),
        area(3050.0, 3700.0),
    ];
    let steady = [
        area(930.0, 1180.0),
        height(1020.0, 1060.0, 930.0, 1180.0),
        area(2800.0, 3010.0),
        height(2930.0, 2960.0, 2800.0, 3010.0),
    ];
    moving.iter().flat_map(|m| steady.iter().map(move |s| (*m, *s))).collect()
}

fn tried_pairs() -> Option<Vec<Tried>> {
    let pairs = pairs_of_the_literature();
    let mut list = Vec::new();
    for (sample, degree, path) in acetate_files()? {
        let spectrum = read(&path);
        let index = |(moving, steady): &(Measure, Measure)| -> Option<f64> {
            let (over, under) =
                (read_measure(&spectrum, moving).ok()?, read_measure(&spectrum, steady).ok()?);
            (under > 0.0).then_some(over / under)
        };
        list.push(Tried { sample, degree, indices: pairs.iter().map(index).collect() });
    }
    Some(list)
}

/// The standards that one pair gives on some samples.
fn standards(tried: &[Tried], samples: &[&str], pair: usize) -> Vec<Standard> {
    let wanted = tried.iter().filter(|t| samples.contains(&t.sample.as_str()));
    wanted
        .filter_map(|t| Some(Standard::new(t.sample.clone(), t.degree, t.indices[pair]?)))
        .collect()
}

/// Mean square of what a calibration on all samples but one misses that one by.
fn left_out_error(tried: &[Tried], samples: &[&str], pair: usize) -> f64 {
    let mut squares = Vec::new();
    for left_out in samples {
        let others: Vec<&str> = samples.iter().copied().filter(|s| s != left_out).collect();
        let Ok(calibration) = Calibration::fit("DS", &standards(tried, &others, pair)) else {
            return f64::INFINITY;
        };
        for standard in standards(tried, &[left_out], pair) {
            let Some(content) = calibration.content(standard.index) else { return f64::INFINITY };
            squares.push((content.value - standard.content).powi(2));
        }
    }
    if squares.is_empty() {
        return f64::INFINITY;
    }
    squares.iter().sum::<f64>() / squares.len() as f64
}

#[test]
fn half_of_the_samples_choose_the_pair_and_predict_the_others() {
    // The limits of CA_ACETYL were chosen on this very set. Here the test half chooses nothing: band
    // pair, height or area, and the calibration all come from the training half of each split.
    let Some(tried) = tried_pairs() else { return };
    let pairs = pairs_of_the_literature().len();
    let mut names: Vec<&str> = tried.iter().map(|t| t.sample.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let (mut covered, mut predicted, mut half_widths) = (0, 0, Vec::new());
    let (mut rhos, mut chosen) = (Vec::new(), BTreeMap::new());
    for split in 0..NESTED_SPLITS {
        let order = shuffled(&names, split);
        let (train, test) = order.split_at(names.len().div_ceil(2));
        let best = (0..pairs)
            .min_by(|a, b| {
                left_out_error(&tried, train, *a).total_cmp(&left_out_error(&tried, train, *b))
            })
            .expect("pairs");
        *chosen.entry(best).or_insert(0) += 1;
        let Ok(calibration) = Calibration::fit("DS", &standards(&tried, train, best)) else {
            continue;
        };
        let unseen = standards(&tried, test, best);
        let (degrees, indices): (Vec<f64>, Vec<f64>) =
            unseen.iter().map(|s| (s.content, s.index)).unzip();
        rhos.push(spearman(&degrees, &indices).abs());
        for standard in &unseen {
            let content = calibration.content(standard.index).expect("an interval");
            if content.doubt.is_some() {
                continue;
            }
            predicted += 1;
            covered += usize::from((content.low..=content.high).contains(&standard.content));
            if (1.8..=3.0).contains(&standard.content) {
                half_widths.push((content.high - content.low) / 2.0);
            }
        }
    }
    let share = covered as f64 / predicted as f64;
    let half = half_widths.iter().sum::<f64>() / half_widths.len() as f64;
    rhos.sort_by(f64::total_cmp);
    let median = rhos[rhos.len() / 2];
    println!(
        "chosen on the training half alone, {NESTED_SPLITS} splits of {} samples: {:.1} % of {predicted} predictions covered, mean half width {half:.3}, median Spearman rho on the unseen half {median:.3}, pairs chosen {chosen:?}",
        names.len(),
        100.0 * share
    );
    assert!((0.90..=0.99).contains(&share), "{share}");
    assert!(half <= 0.25, "{half}");
    assert!(median >= 0.95, "{median}");
}

/// Median and spread of fresh readings. The spread is the median distance on the scale of a standard
/// deviation (times 1.4826), so that one wet or blended item does not set it; for a marker that
/// claims zero at least a third of the way to the reading that one in twenty exceeds, so that at most
/// those lie above the limit of detection.
fn median_and_spread(values: &[f64], claims_zero: bool) -> (f64, f64) {
    let sorted = |mut list: Vec<f64>| {
        list.sort_by(f64::total_cmp);
        list
    };
    let median = |list: &[f64]| f64::midpoint(list[(list.len() - 1) / 2], list[list.len() / 2]);
    let readings = sorted(values.to_vec());
    let middle = median(&readings);
    let scale = 1.4826 * median(&sorted(values.iter().map(|v| (v - middle).abs()).collect()));
    if !claims_zero {
        return (middle, scale);
    }
    let high = readings[(readings.len() * 19).div_ceil(20) - 1];
    (middle, scale.max((high - middle) / 3.0))
}

#[test]
fn blanks_in_the_table_are_what_fresh_references_read() {
    let Some(folder) = folder() else { return };
    let tables = Tables::built_in();
    let with_blank = || tables.markers().iter().filter(|m| m.blank.is_some());
    let mut readings: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for label in labels(&folder) {
        let fresh = ["common-items-675", "reference-c"].contains(&label.dataset.as_str());
        let Some(material) = label
            .accept
            .iter()
            .find(|a| with_blank().any(|m| m.materials.contains(a)))
            .filter(|_| fresh && label.class == "in-table")
        else {
            continue;
        };
        for found in &markers(&read(&label.path), material).markers {
            if let (Some(index), Some(marker)) =
                (found.as_read, with_blank().find(|m| m.id == found.id))
            {
                readings.entry(&marker.id).or_default().push(index);
            }
        }
    }
    let mut wrong = Vec::new();
    for marker in with_blank() {
        let list = readings.get(marker.id.as_str()).expect("fresh references");
        let (n, (middle, spread)) = (list.len(), median_and_spread(list, marker.zero_when_fresh));
        println!("{},{middle:.4},{spread:.4},{n}", marker.id);
        /// The table holds four decimals.
        const ROUNDED: f64 = 6e-5;
        let blank = marker.blank.as_ref().expect("has one");
        if n != blank.count
            || (middle - blank.value).abs() > 0.02 * spread + ROUNDED
            || (spread - blank.standard_deviation).abs() > 0.02 * spread + ROUNDED
        {
            wrong.push(format!(
                "{}: {middle:.4} ± {spread:.4} (n {n}), the table has {} ± {} (n {})",
                marker.id, blank.value, blank.standard_deviation, blank.count
            ));
        }
    }
    assert!(!readings.is_empty() && wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn markers_that_claim_zero_stay_below_detection_on_fresh_references() {
    let Some(folder) = folder() else { return };
    let materials = ["PC", "PET", "PVC", "PMMA"];
    let (mut read_count, mut above) = (0, Vec::new());
    for label in labels(&folder) {
        let fresh = ["common-items-675", "reference-c"].contains(&label.dataset.as_str());
        let Some(material) = materials.iter().find(|m| label.accept.iter().any(|a| a == *m)) else {
            continue;
        };
        if label.class != "in-table" || !fresh {
            continue;
        }
        let result = markers(&read(&label.path), material);
        for marker in &result.markers {
            let zero =
                Tables::built_in().markers().iter().any(|m| m.id == marker.id && m.zero_when_fresh);
            if !zero || marker.state == MarkerState::Refused {
                continue;
            }
            read_count += 1;
            if marker.state == MarkerState::Measured {
                above.push(format!(
                    "{} on {}: {:?} above {:?}",
                    marker.id,
                    label.path.display(),
                    marker.value,
                    marker.detection_limit
                ));
            }
        }
    }
    println!("{read_count} readings of zero-claiming markers, {} above detection", above.len());
    for line in &above {
        println!("  {line}");
    }
    // Without the confounder questions some plasticised items pass; 3 % is what 3 s allow for.
    assert!(above.len() * 100 <= 3 * read_count, "{above:#?}");
}

#[test]
fn carbonyl_index_of_the_sea_exposed_series_is_reported_as_found() {
    // Lenz et al. 2023: polyethylene and polypropylene after 7 to 183 days in the sea.
    let Some(folder) = folder() else { return };
    let mut by_kind: BTreeMap<(String, String), Vec<(f64, f64)>> = BTreeMap::new();
    let (mut tried, mut refused, mut below) = (0, 0, 0);
    for label in labels(&folder) {
        let material = ["PE-LD", "PP"].into_iter().find(|m| label.accept.iter().any(|a| a == m));
        let (Some(material), "sea-exposed") = (material, label.dataset.as_str()) else { continue };
        let days: f64 = label
            .note
            .split_whitespace()
            .find_map(|word| word.parse().ok())
            .expect("days in the note");
        tried += 1;
        let result = markers(&read(&label.path), material);
        let marker = result.markers.iter().find(|m| m.id == "CI_SAUB").expect("in the table");
        let film = if label.note.contains("removed") { "film removed" } else { "biofilm" };
        let Some(index) = marker.as_read else {
            refused += 1;
            continue;
        };
        below += usize::from(marker.state == MarkerState::BelowDetection);
        by_kind.entry((material.to_owned(), film.to_owned())).or_default().push((days, index));
    }
    for ((material, film), points) in &by_kind {
        let days: Vec<f64> = points.iter().map(|p| p.0).collect();
        let indices: Vec<f64> = points.iter().map(|p| p.1).collect();
        println!(
            "{material}, {film}: {} spectra, mean index as read {:.3}, Spearman with days {:.2}",
            points.len(),
            indices.iter().sum::<f64>() / indices.len() as f64,
            spearman(&days, &indices)
        );
    }
    println!("{tried} spectra, {refused} refused, {below} below detection");
    let page =
        include_str!("../../docs/ageing.md").split_whitespace().collect::<Vec<_>>().join(" ");
    let line = format!("of {tried} spectra {refused} are refused and {below} lie below detection");
    assert!(page.contains(&line), "docs/ageing.md must say as found: {line}");
    // As found: up to 183 days in the sea the index hardly leaves the noise of fresh items, and no
    // trend is claimed. A table under which most of them showed oxidation would need explaining.
    assert!(tried > 40 && refused * 2 < tried);
    assert!(below * 10 >= (tried - refused) * 8, "{below} of {}", tried - refused);
}
