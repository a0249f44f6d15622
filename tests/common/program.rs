//! The built program, files made for it, and its answers.

use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;

use crate::to_validate::left_to_be_validated;

/// The program with nothing of the caller's terminal in its environment.
pub fn bandlore() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    command.env_remove("NO_COLOR").env_remove("COLUMNS");
    command
}

/// What it printed, as text.
pub fn printed(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

/// What it complained of.
pub fn complained(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// What it printed as JSON, which is left to be validated against the committed schema of this name.
pub fn json_answers(output: &Output, schema: &str) -> Vec<serde_json::Value> {
    let json = left_to_be_validated(schema, &printed(output));
    json.as_array().expect("an array").clone()
}

/// Writes a file into a folder.
pub fn file(folder: &Path, name: &str, text: &str) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, text).expect("written");
    path
}

/// A two-column absorbance spectrum: Lorentz bands (position, height, half width) on a small offset, with
/// a little noise that is the same on every run.
pub fn spectrum(range: (f64, f64), spacing: f64, bands: &[(f64, f64, f64)]) -> String {
    let mut text = String::from("wavenumber (cm-1),absorbance\n");
    let count = ((range.1 - range.0) / spacing) as u32;
    let mut seed = 1_u32;
    for i in 0..=count {
        let wavenumber = range.0 + spacing * f64::from(i);
        // A linear congruential generator after Numerical Recipes (memory).
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let noise = 4.0e-5 * (f64::from(seed) / f64::from(u32::MAX) - 0.5);
        let sum: f64 = bands
            .iter()
            .map(|(centre, height, half)| height / (1.0 + ((wavenumber - centre) / half).powi(2)))
            .sum();
        text.push_str(&format!("{wavenumber},{:.7}\n", 0.01 + sum + noise));
    }
    text
}
