//! Identifies every spectrum of a folder and prints one answer each.
//!
//! The samples are invented: nothing in them was measured.
//!
//! ```text
//! cargo run --example identify_a_folder -- [DIR]
//! ```

use std::error::Error;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use bandlore::{Examiner, ReadOptions, Tables, judge::ChlorineBands, read_path};

/// Prints an answer for each spectrum, or why its file cannot be read; returns how many failed.
pub fn identify_a_folder(folder: &Path, out: &mut dyn Write) -> Result<usize, Box<dyn Error>> {
    let entries = std::fs::read_dir(folder)?.collect::<Result<Vec<_>, _>>()?;
    let mut files: Vec<PathBuf> = entries.into_iter().map(|entry| entry.path()).collect();
    files.sort();

    // Making an examiner weighs the whole table: one serves every spectrum.
    let examiner = Examiner::new(Tables::built_in());
    let mut failed = 0;
    for file in files.iter().filter(|file| file.is_file()) {
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        // A file may hold several spectra, and each may fail on its own.
        for spectrum in read_path(file, &ReadOptions::default()) {
            let spectrum = match spectrum {
                Ok(spectrum) => spectrum,
                Err(error) => {
                    writeln!(out, "{name}: not read: {error}")?;
                    failed += 1;
                    continue;
                }
            };
            // An undecided answer is an answer; it is no error.
            let found = examiner.examine(spectrum)?.identification;
            writeln!(out, "{name}: {}", found.sentence)?;
            if found.chlorine.bands == ChlorineBands::Present {
                writeln!(out, "    chlorine: {}", found.chlorine.why)?;
            }
        }
    }
    Ok(failed)
}

#[allow(dead_code, reason = "the tests call the function above")]
fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "sample-spectra/two-column".to_owned());
    let failed = identify_a_folder(Path::new(&folder), &mut io::stdout().lock())?;
    std::process::exit(i32::from(failed > 0));
}
