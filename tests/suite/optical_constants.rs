//! Spectra computed from measured optical constants, on a coarse grid. Source: n and k of Zhang et al.
//! 2020 (JQSRT 252, 107063), Tsuda 2018 and Querry 1987 by way of a public-domain database; the ATR
//! column is computed for diamond at 45°.
//!
//! Not independent throughout: the table takes heights of PMMA and of the ortho-phthalates, the rows
//! of polyetherimide, and many positions (PVC, PC, PET, PS, PDMS) from these very constants, and the
//! rule that keeps a phthalate from passing for unsaturated polyester was set after seeing this one.
//! They guard against regression; only the heights of PVC, PC, PET, PS and PDMS come from elsewhere.

use std::path::{Path, PathBuf};

use bandlore::{
    Examiner, Identification, Spectrum, Tables,
    judge::{ChlorineBands, Outcome},
    spectrum::SpectrumParts,
};

fn folder() -> Option<PathBuf> {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/optical-constants"));
    if path.is_dir() {
        return Some(path.to_owned());
    }
    println!("skipped 1: {} is not there", path.display());
    None
}

fn answer(folder: &Path, file: &str) -> Identification {
    let mut reader = csv::Reader::from_path(folder.join(file)).expect("a sheet of constants");
    let mut points: Vec<(f64, f64)> = reader
        .records()
        .map(|row| {
            let row = row.expect("a row");
            let number = |i: usize| row.get(i).expect("a cell").parse().expect("a number");
            (number(0), number(row.len() - 1))
        })
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points.dedup_by(|a, b| a.0 == b.0);
    let (axis, absorbances) = points.into_iter().unzip();
    let spectrum = Spectrum::new(SpectrumParts::new(axis, absorbances)).expect("a spectrum");
    Examiner::new(Tables::built_in()).examine(spectrum).expect("prepared").identification
}

fn is_named(answer: &Identification, id: &str) -> bool {
    match answer.outcome {
        Outcome::Identified => answer.material.as_deref() == Some(id),
        Outcome::Narrowed => answer.candidates.iter().any(|candidate| candidate == id),
        _ => false,
    }
}

#[test]
fn names_each_measured_polymer_in_spite_of_the_coarse_grid() {
    let Some(folder) = folder() else { return };
    for (file, id) in [
        ("PVC_nk_atr.csv", "PVC"),
        ("PC_nk_atr.csv", "PC"),
        ("PET_nk_atr.csv", "PET"),
        ("PMMA_ZM_nk_atr.csv", "PMMA"),
        ("PMMA_ZT_nk_atr.csv", "PMMA"),
        ("PMMA_TBB_nk_atr.csv", "PMMA"),
        ("PS_M_nk_atr.csv", "PS"),
        ("PS_Z_nk_atr.csv", "PS"),
        ("PDMS_nk_atr.csv", "PDMS"),
    ] {
        let answer = answer(&folder, file);
        assert!(is_named(&answer, id), "{file}: {}", answer.sentence);
    }
}

#[test]
fn calls_polyetherimide_no_polycarbonate() {
    let Some(folder) = folder() else { return };
    let answer = answer(&folder, "PEI_nk_atr.csv");
    assert!(answer.components.iter().all(|c| c.id != "PC"), "{}", answer.sentence);
    assert!(!is_named(&answer, "PC"), "{}", answer.sentence);
}

#[test]
fn calls_neat_diethyl_phthalate_a_phthalate_and_no_polymer() {
    let Some(folder) = folder() else { return };
    let answer = answer(&folder, "DEP_nk_atr.csv");
    assert_eq!(
        answer.components.first().map(|c| c.id.as_str()),
        Some("plasticiser-ortho-phthalate")
    );
    assert!(answer.components.iter().all(|c| c.role == "additive"), "{}", answer.sentence);
}

#[test]
fn shows_chlorine_in_measured_pvc_and_in_nothing_else() {
    let Some(folder) = folder() else { return };
    for entry in std::fs::read_dir(&folder).expect("the folder") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        let bands = answer(&folder, &name).chlorine.bands;
        if name.starts_with("PVC") {
            assert_eq!(bands, ChlorineBands::Present, "{name}");
        } else {
            assert_ne!(bands, ChlorineBands::Present, "{name}");
        }
    }
}
