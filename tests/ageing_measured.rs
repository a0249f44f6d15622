//! What the markers do on measured spectra of open data sets. Skips, with a count, where the
//! spectra are not here.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use bandlore::{
    AgeingResult, Calibration, Crystal, MarkerState, MaterialFrom, Predicate, ReadOptions,
    Specimen, Spectrum, Standard, Tables, Verdict, measure_ageing, read_path,
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
    let specimen =
        Specimen { spectrum, components: &[], ask: &nothing, crystal: Crystal::default() };
    measure_ageing(&specimen, Some((material, MaterialFrom::Given)), Tables::built_in(), None)
}

/// Sample, marker value, degree of substitution.
type Acetate = (String, f64, f64);

/// Sample, measured degree of substitution, index.
fn acetates() -> Option<(Vec<Acetate>, usize)> {
    let mut found = Vec::new();
    let mut tried = 0;
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
        tried += 1;
        let result = markers(&read(&label.path), "CA");
        let marker = result.markers.iter().find(|m| m.id == "CA_ACETYL").expect("in the table");
        let index = match marker.state {
            MarkerState::Measured => marker.value.expect("a value"),
            MarkerState::BelowDetection => 0.0,
            MarkerState::Refused => continue,
        };
        found.push((format!("{} {degree}", parts.join("-")), degree, index));
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

#[test]
fn acetyl_marker_follows_the_measured_substitution() {
    // Degrees of substitution: the publishers of the open set, in the labels' notes.
    let Some((found, tried)) = acetates() else { return };
    let degrees: Vec<f64> = found.iter().map(|f| f.1).collect();
    let indices: Vec<f64> = found.iter().map(|f| f.2).collect();
    let rho = spearman(&degrees, &indices);
    println!("CA_ACETYL on {} of {tried} files, Spearman rho {rho:.3}", found.len());
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
        let (train, test) = order.split_at(names.len().div_ceil(2));
        let standards: Vec<Standard> = train
            .iter()
            .flat_map(|(_, name)| {
                samples[name].iter().map(|(content, index)| Standard {
                    sample: (*name).to_owned(),
                    content: *content,
                    index: *index,
                })
            })
            .collect();
        let Ok(calibration) = Calibration::fit("DS", &standards) else { continue };
        for (degree, index) in test.iter().flat_map(|(_, name)| &samples[name]) {
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
    // As found: up to 183 days in the sea the index hardly leaves the noise of fresh items, and no
    // trend is claimed. A table under which most of them showed oxidation would need explaining.
    assert!(tried > 40 && refused * 2 < tried);
    assert!(below * 10 >= (tried - refused) * 8, "{below} of {}", tried - refused);
}
