//! Identifies many files on all cores and counts the answers.
//!
//! The samples are invented: nothing in them was measured.
//!
//! ```text
//! cargo run --release --example batch_with_rayon -- [DIR]
//! ```

use std::collections::BTreeMap;
use std::error::Error;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use bandlore::{Examiner, Identification, ReadOptions, Tables, judge::Outcome, read_path};
use rayon::prelude::*;

/// Returns the answer in a few words.
fn in_short(found: &Identification) -> String {
    match (&found.material, found.outcome) {
        (Some(material), _) => material.clone(),
        (None, Outcome::Narrowed) => found.candidates.join(" or "),
        (None, Outcome::Mixed) => {
            let ids: Vec<&str> = found.components.iter().map(|c| c.id.as_str()).collect();
            ids.join(" with ")
        }
        (None, Outcome::Classed) => {
            found.class.as_ref().map_or_else(String::new, |c| c.name.clone())
        }
        (None, Outcome::NotInTable) => "not in the table".to_owned(),
        (None, _) => "not enough signal".to_owned(),
    }
}

/// Prints how often each answer was given, the most frequent first.
pub fn batch_with_rayon(folder: &Path, out: &mut dyn Write) -> Result<(), Box<dyn Error>> {
    let entries = std::fs::read_dir(folder)?.collect::<Result<Vec<_>, _>>()?;
    let files: Vec<PathBuf> = entries.into_iter().map(|entry| entry.path()).collect();

    // One examiner is shared by all threads; each reads and judges its own files, so that no more
    // spectra are in memory than threads at work.
    let examiner = Examiner::new(Tables::built_in());
    let answers: Vec<String> = files
        .par_iter()
        .filter(|file| file.is_file())
        .flat_map_iter(|file| read_path(file, &ReadOptions::default()))
        .map(|spectrum| match spectrum {
            Err(_) => "not read".to_owned(),
            Ok(spectrum) => examiner.examine(spectrum).map_or_else(
                |_| "not prepared".to_owned(),
                |examined| in_short(&examined.identification),
            ),
        })
        .collect();

    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for answer in &answers {
        *counts.entry(answer).or_default() += 1;
    }
    let mut counts: Vec<(&str, usize)> = counts.into_iter().collect();
    counts.sort_by_key(|&(_, count)| std::cmp::Reverse(count));
    for (answer, count) in counts {
        writeln!(out, "{count:5}  {answer}")?;
    }
    Ok(())
}

#[allow(dead_code, reason = "the tests call the function above")]
fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1);
    let folder = folder.unwrap_or_else(|| "sample-spectra/tide-clock/spectra".to_owned());
    batch_with_rayon(Path::new(&folder), &mut io::stdout().lock())
}
