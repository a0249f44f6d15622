//! Measured spectra of one fresh material by one laboratory, dealt at random onto two faces: nothing
//! changed between them, whatever is said.
//!
//! Open sets in `../shared/measured-spectra` with their publishers' labels. Sets of weathered pieces are
//! left out, and so is one that may not be used here.

use std::collections::BTreeMap;
use std::path::Path;

use bandlore::{
    Examined, Examiner, ReadOptions, Tables,
    ageing::comparison::{ChangeCall, ComparedFace, Comparison},
    read_path,
};
use rayon::prelude::*;

use crate::synthetic_faces::Random;

/// Sets of unaged pieces.
const SETS: [&str; 4] = ["common-items-675", "resin-codes-399", "reference-c", "textile-fibres"];
/// So many times each material of a set is dealt.
const DEALS: u64 = 24;
/// The stated share of false changes.
const STATED: f64 = 0.05;
/// Standard errors of a binomial share; one run in 700 lies further out by chance.
const SCATTER: f64 = 3.0;
const SEED: u64 = 77_000;

struct Group {
    set: String,
    material: String,
    spectra: Vec<Examined>,
}

fn groups() -> Option<Vec<Group>> {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/measured-spectra"));
    let mut sheet = csv::Reader::from_path(folder.join("labels.csv")).ok()?;
    let tables = Tables::built_in();
    let mut files: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for row in sheet.deserialize::<BTreeMap<String, String>>() {
        let row = row.expect("a label");
        if !SETS.contains(&row["dataset"].as_str()) || row["class"] != "in-table" {
            continue;
        }
        let tested = |id: &&str| tables.markers_of(id).next().is_some();
        if let Some(material) = row["accept"].split('|').find(tested) {
            let key = (row["dataset"].clone(), material.to_owned());
            files.entry(key).or_default().push(row["file"].clone());
        }
    }
    let examiner = Examiner::new(tables);
    let groups = files
        .into_iter()
        .filter(|(_, files)| files.len() >= 6)
        .map(|((set, material), files)| {
            let spectra = files
                .par_iter()
                .filter_map(|file| {
                    let path = folder.join("spectra").join(&set).join(file);
                    let mut read = read_path(&path, &ReadOptions::default());
                    let spectrum = read.next()?.ok()?;
                    examiner.examine(spectrum).ok()
                })
                .collect();
            Group { set, material, spectra }
        })
        .collect();
    Some(groups)
}

/// Deals `spots` spectra onto each of two faces.
fn dealt(group: &Group, spots: usize, random: &mut Random) -> Comparison {
    let mut order: Vec<usize> = (0..group.spectra.len()).collect();
    for i in (1..order.len()).rev() {
        order.swap(i, random.uniform(0.0, (i + 1) as f64) as usize);
    }
    let face = |i: usize| if i < spots { ComparedFace::Exposed } else { ComparedFace::Covered };
    let spots: Vec<(ComparedFace, &Examined)> = order
        .iter()
        .take(2 * spots)
        .enumerate()
        .map(|(i, &which)| (face(i), &group.spectra[which]))
        .collect();
    Examiner::new(Tables::built_in()).compare(&spots, Some(&group.material), &[], None)
}

#[test]
fn measured_spectra_of_one_fresh_material_show_no_more_change_than_is_stated() {
    let Some(groups) = groups() else {
        println!("skipped: no measured spectra beside this repository");
        return;
    };
    let (mut tested, mut changed) = (0_usize, 0_usize);
    for (number, group) in groups.iter().enumerate() {
        let deals: Vec<Comparison> = (0..DEALS)
            .into_par_iter()
            .map(|deal| {
                let mut random = Random::new(SEED + 100 * number as u64 + deal);
                let most = (group.spectra.len() / 2).min(5);
                dealt(group, 3 + (deal as usize) % (most - 2), &mut random)
            })
            .collect();
        let mut ours = (0, 0);
        for marker in deals.iter().flat_map(|d| &d.markers) {
            ours.0 += usize::from(marker.primary && marker.p.is_some());
            if marker.call == ChangeCall::Changed {
                ours.1 += 1;
                println!(
                    "  {} {} {}: {:?} ({:?} to {:?}), p {:?}; {:?} against {:?}",
                    group.set,
                    group.material,
                    marker.id,
                    marker.change,
                    marker.low,
                    marker.high,
                    marker.p_corrected,
                    marker.face_values,
                    marker.against_values
                );
            }
        }
        println!(
            "{} {} ({} spectra): {} of {} tested markers changed",
            group.set,
            group.material,
            group.spectra.len(),
            ours.1,
            ours.0
        );
        tested += ours.0;
        changed += ours.1;
    }
    println!("{changed} of {tested} tested markers \"changed\" where nothing changed");
    let expected = STATED * tested as f64;
    let most = expected + SCATTER * (expected * (1.0 - STATED)).sqrt();
    assert!(tested >= 100, "{tested}");
    assert!(changed as f64 <= most, "{changed} of {tested}, at most {most:.1}");
}
