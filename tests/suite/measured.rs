//! The bounds that the answers on measured spectra must keep.
//!
//! The open sets in `../shared/measured-spectra` with their publishers' labels. The shipped table was
//! partly drawn from the same spectra, so that this guards what was reached and estimates nothing;
//! docs/how-often-right.md has the estimate.

use std::collections::BTreeSet;
use std::path::Path;

use bandlore::{
    Examiner, ReadOptions, Tables,
    judge::{ChlorineBands, Outcome},
    read_path,
};
use rayon::prelude::*;

/// A labelled spectrum with its answer.
struct Answered {
    name: String,
    class: String,
    accepted: BTreeSet<String>,
    chlorine: String,
    measured: bool,
    outcome: Outcome,
    named: Vec<String>,
    bands: ChlorineBands,
}

fn answers() -> Option<Vec<Answered>> {
    let shared = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared"));
    if !shared.is_dir() {
        println!("skipped 1: {} is not there", shared.display());
        return None;
    }
    let folder = shared.join("measured-spectra");
    let examiner = Examiner::new(Tables::built_in());
    let mut labels = csv::Reader::from_path(folder.join("labels.csv")).expect("labels");
    let rows: Vec<csv::StringRecord> =
        labels.records().map(|row| row.expect("a row of labels")).collect();
    let answers = rows
        .into_par_iter()
        .map(|row| {
            let name = format!("{}/{}", &row[0], &row[1]);
            let path = folder.join("spectra").join(&name);
            let spectrum = read_path(&path, &ReadOptions::default()).next();
            let spectrum = spectrum.expect("one spectrum").expect(&name);
            let found = examiner.examine(spectrum).expect(&name).identification;
            let mut named: Vec<String> = found.material.iter().cloned().collect();
            match found.outcome {
                Outcome::Narrowed => named.extend(found.candidates.iter().cloned()),
                Outcome::Classed => {
                    named
                        .extend(found.class.iter().flat_map(|class| class.members.iter().cloned()));
                }
                Outcome::Mixed => named.extend(found.components.iter().map(|c| c.id.clone())),
                _ => {}
            }
            Answered {
                name,
                class: row[4].to_owned(),
                accepted: row[3].split('|').map(str::to_owned).collect(),
                chlorine: row[5].to_owned(),
                measured: &row[6] == "yes",
                outcome: found.outcome,
                named,
                bands: found.chlorine.bands,
            }
        })
        .collect();
    Some(answers)
}

fn names(which: &[&Answered]) -> Vec<String> {
    which.iter().map(|a| format!("{} {:?} {:?}", a.name, a.outcome, a.named)).collect()
}

#[test]
fn answers_on_measured_spectra_keep_their_bounds() {
    let Some(answers) = answers() else { return };
    let undecided = [Outcome::NotInTable, Outcome::NotEnoughSignal];
    let of =
        |class: &str| -> Vec<&Answered> { answers.iter().filter(|a| a.class == class).collect() };
    let right = |a: &&Answered| {
        a.outcome != Outcome::Classed && a.named.iter().any(|id| a.accepted.contains(id))
    };
    let classed = |a: &&Answered| {
        a.outcome == Outcome::Classed && a.named.iter().any(|id| a.accepted.contains(id))
    };

    let known = of("in-table");
    let count = known.len() as f64;
    let hits = known.iter().filter(|a| right(a)).count() as f64;
    let outright = known.iter().filter(|a| right(a) && a.outcome == Outcome::Identified).count();
    let wrong: Vec<&Answered> = known
        .iter()
        .copied()
        .filter(|a| !right(a) && !classed(a) && !undecided.contains(&a.outcome))
        .collect();
    let rightly_classed = known.iter().filter(|a| classed(a)).count() as f64;
    let outside = known.iter().filter(|a| a.outcome == Outcome::NotInTable).count() as f64;
    assert!(hits >= 0.95 * count, "right {hits} of {count}");
    assert!(hits + rightly_classed >= 0.97 * count, "{hits} and {rightly_classed} of {count}");
    assert!(outright as f64 >= 0.80 * count, "outright {outright} of {count}");
    assert!(wrong.len() as f64 <= 0.005 * count, "{:?}", names(&wrong));
    assert!(outside <= 0.03 * count, "said not to be in the table: {outside} of {count}");
    let grave = ["PVC", "PC", "PMMA", "PET", "PETG"];
    let grave: Vec<&Answered> = wrong
        .into_iter()
        .filter(|a| {
            grave.iter().any(|id| a.accepted.contains(*id) || a.named.iter().any(|n| n == id))
        })
        .collect();
    assert!(grave.is_empty(), "{:?}", names(&grave));

    let is_named = |a: &&Answered| {
        [Outcome::Identified, Outcome::Narrowed, Outcome::Mixed].contains(&a.outcome)
    };
    let strangers = of("out-of-table");
    let named: Vec<&Answered> = strangers.iter().copied().filter(|a| is_named(a)).collect();
    assert!(named.len() as f64 <= 0.01 * strangers.len() as f64, "{:?}", names(&named));
    let unfit: Vec<&Answered> = of("unfit").into_iter().filter(|a| is_named(a)).collect();
    assert!(unfit.is_empty(), "{:?}", names(&unfit));

    let shown = |a: &&Answered| a.bands == ChlorineBands::Present;
    let denied = |a: &&Answered| a.bands == ChlorineBands::NotDetected;
    let free: Vec<&Answered> = answers.iter().filter(|a| a.chlorine == "no").collect();
    let bearing: Vec<&Answered> = answers.iter().filter(|a| a.chlorine == "yes").collect();
    let falsely: Vec<&Answered> =
        free.iter().copied().filter(shown).chain(bearing.iter().copied().filter(denied)).collect();
    assert!(falsely.is_empty(), "chlorine: {:?}", names(&falsely));
    let testable: Vec<&Answered> =
        free.into_iter().filter(|a| a.measured && a.outcome == Outcome::Identified).collect();
    let cleared = testable.iter().copied().filter(denied).count() as f64;
    assert!(
        cleared >= 0.85 * testable.len() as f64,
        "not detected on {cleared} of {} identified as free of chlorine",
        testable.len()
    );
}
