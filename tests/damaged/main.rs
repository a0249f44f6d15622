//! Damaged files: each gives spectra or one-line errors, in time and in memory, and never a panic.
//!
//! The files are made here with fixed seeds from our own samples and from one invented spectrum.

mod jcamp_files;
mod memory;
mod table_files;

use std::time::{Duration, Instant};

use bandlore::{ReadOptions, Spectrum, read_bytes};
use table_files::{Damaged, Must};

/// The seed of all damage.
pub const SEED: u64 = 0x00DA_4A6E;

/// Far more than any of these small files needs, even on a busy machine in an unoptimised build.
const LONGEST: Duration = Duration::from_secs(10);

/// Reads a file and holds every answer to what every answer must be.
fn answers(name: &str, bytes: &[u8]) -> (Vec<Spectrum>, Vec<String>) {
    let begin = Instant::now();
    let (mut spectra, mut errors) = (Vec::new(), Vec::new());
    for answer in read_bytes(bytes, name, &ReadOptions::default()) {
        match answer {
            Ok(spectrum) => {
                assert!(spectrum.absorbances().iter().all(|a| a.is_finite()), "{name}");
                let axis = spectrum.wavenumbers_cm1();
                assert!(axis.windows(2).all(|pair| pair[0] < pair[1]), "{name}");
                spectra.push(spectrum);
            }
            Err(error) => {
                let text = error.to_string();
                assert!(text.starts_with(name), "{text}");
                assert!(text.len() > name.len() + 10, "{text}");
                assert!(!text.contains(['\n', '\r', '\0']) && !text.ends_with('.'), "{text}");
                assert!(text.chars().count() < 400, "{text}");
                errors.push(text);
            }
        }
    }
    assert!(!(spectra.is_empty() && errors.is_empty()), "{name} says nothing");
    assert!(begin.elapsed() < LONGEST, "{name} took {:?}", begin.elapsed());
    (spectra, errors)
}

#[test]
fn damaged_jcamp_files_give_clear_errors_or_spectra_in_time() {
    let files = jcamp_files::all();
    assert!(files.len() >= 200, "{}", files.len());
    let mut refused = 0;
    for (name, bytes) in files {
        refused += answers(&name, &bytes).1.len();
    }
    assert!(refused > 50, "{refused}");
}

#[test]
fn damaged_tables_give_clear_errors_or_stated_warnings_in_time() {
    let files = table_files::all();
    assert!(files.len() >= 150, "{}", files.len());
    let mut missed = Vec::new();
    for Damaged { name, bytes, must } in files {
        let (spectra, errors) = answers(&name, &bytes);
        let as_asked = match must {
            Must::Any => true,
            Must::Fail(words) => spectra.is_empty() && errors.iter().all(|e| e.contains(words)),
            Must::Warn(id) => {
                errors.is_empty() && spectra.iter().all(|s| s.warnings().iter().any(|w| w.id == id))
            }
        };
        if !as_asked {
            let warnings: Vec<&str> =
                spectra.iter().flat_map(|s| s.warnings()).map(|w| w.id.as_str()).collect();
            missed.push(format!("{name}: must {must:?}; errors {errors:?}; warnings {warnings:?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}
