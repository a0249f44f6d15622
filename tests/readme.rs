//! The run shown in the README is what the program prints.

use std::fs;
use std::path::Path;

use assert_cmd::Command;

#[test]
fn the_readme_shows_a_real_run() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = fs::read_to_string(root.join("README.md")).expect("README.md");
    let (_, shown) = readme.split_once("```\n$ bandlore ").expect("a run in the README");
    let (run, _) = shown.split_once("\n```").expect("a closed block");
    let (arguments, expected) = run.split_once('\n').expect("a command and its output");
    let output = Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .current_dir(root)
        .args(arguments.split_whitespace())
        .output()
        .expect("runs");
    let printed = String::from_utf8(output.stdout).expect("text");
    assert_eq!(printed.trim_end(), expected);
    assert!(printed.lines().all(|line| line.chars().count() <= 80), "wider than 80 columns");
}
