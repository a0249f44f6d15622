//! The run shown in the README is what the program prints.

use std::fs;
use std::path::Path;

#[path = "common/document.rs"]
mod document;

#[test]
fn the_readme_shows_a_real_run() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let ran = document::check("README.md", root, |_| None);
    assert!(ran > 0, "no run in the README");
    let readme = fs::read_to_string(root.join("README.md")).expect("README.md");
    let (_, shown) = readme.split_once("```console\n").expect("a run in the README");
    let (run, _) = shown.split_once("\n```").expect("a closed block");
    assert!(run.lines().all(|line| line.chars().count() <= 80), "wider than 80 columns");
}
