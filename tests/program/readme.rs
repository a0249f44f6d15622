//! The run shown in the README is what the program prints.

use std::fs;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use crate::accuracy;
use crate::document;

/// Both tests may write the README anew, one after the other.
static README: Mutex<()> = Mutex::new(());

#[test]
fn the_readme_shows_a_real_run() {
    let _alone = README.lock().unwrap_or_else(PoisonError::into_inner);
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    // The figure is the tutorial's, and tests/program/tutorial.rs keeps it.
    let figure = |name: &str| fs::read(root.join("docs/tutorial").join(name)).ok();
    let ran = document::check("README.md", root, figure);
    assert!(ran > 0, "no run in the README");
    let readme = fs::read_to_string(root.join("README.md")).expect("README.md");
    let (_, shown) = readme.split_once("```console\n").expect("a run in the README");
    let (run, _) = shown.split_once("\n```").expect("a closed block");
    assert!(run.lines().all(|line| line.chars().count() <= 80), "wider than 80 columns");
}

const BEGIN: &str = "<!-- from docs/accuracy.txt, written by tests/program/readme.rs: begin -->\n";
const END: &str = "<!-- end -->\n";

/// The scoreboard's printed figures are kept in docs/accuracy.txt; the README says no others.
#[test]
fn the_readme_says_how_often_it_is_right_as_the_scoreboard_printed() {
    let _alone = README.lock().unwrap_or_else(PoisonError::into_inner);
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let figures = fs::read_to_string(root.join("docs/accuracy.txt")).expect("accuracy.txt");
    let section = accuracy::Figures::new(&figures).section();
    let readme = fs::read_to_string(root.join("README.md")).expect("README.md");
    let (before, rest) = readme.split_once(BEGIN).expect("the section's begin");
    let (kept, after) = rest.split_once(END).expect("the section's end");
    if std::env::var_os(document::RENEW).is_some() {
        let renewed = format!("{before}{BEGIN}{section}{END}{after}");
        fs::write(root.join("README.md"), renewed).expect("renewed");
    } else {
        assert_eq!(kept, section, "set {} to renew it", document::RENEW);
    }
}
