//! Judges by a table of one's own: writes the built-in one out, adds a band with its source, has the
//! folder checked, and identifies with it.
//!
//! The added band is invented, and so is the sample.
//!
//! ```text
//! cargo run --example own_band_table
//! ```

use std::error::Error;
use std::fs;
use std::io::{self, Write};
use std::path::Path;

use bandlore::{Examiner, ReadOptions, Tables, read_path, tables::Error as TableError};

const SAMPLE: &str = "sample-spectra/two-column/comma-with-headings.csv";

/// Adds one row of bands.csv: its cells by column, all others left empty.
fn add_band(folder: &Path, cells: &[(&str, &str)]) -> Result<(), Box<dyn Error>> {
    let path = folder.join("bands.csv");
    let text = fs::read_to_string(&path)?;
    let heading = text.lines().next().unwrap_or_default();
    let row: Vec<&str> = heading
        .split(',')
        .map(|column| cells.iter().find(|(name, _)| *name == column).map_or("", |(_, cell)| cell))
        .collect();
    fs::write(&path, format!("{}\n{}\n", text.trim_end(), row.join(",")))?;
    Ok(())
}

/// Works on a copy of the table in `folder`, which must not hold one yet.
pub fn own_band_table(folder: &Path, out: &mut dyn Write) -> Result<(), Box<dyn Error>> {
    let built_in = Tables::built_in();
    built_in.export(folder)?;

    let band = [
        ("id", "PVC-1585"),
        ("material", "PVC"),
        ("position_cm1", "1585"),
        ("atr_low_cm1", "1575"),
        ("atr_high_cm1", "1595"),
        ("transmission_low_cm1", "1575"),
        ("transmission_high_cm1", "1595"),
        ("transmission_basis", "unshifted"),
        ("strength", "weak"),
        ("width", "medium"),
        ("assignment", "invented for this example"),
        ("role", "supporting"),
        ("source_class", "trade-note"),
        ("status", "memory"),
    ];
    let source = ("source", "\"Invented author 2026, invented laboratory notes, page 7\"");

    // A row without a source is refused, and the fault says where it stands.
    let before = fs::read(folder.join("bands.csv"))?;
    add_band(folder, &band)?;
    match Tables::load(folder) {
        Err(TableError::Faulty(faults)) => writeln!(out, "without a source: {faults}")?,
        Err(other) => return Err(other.into()),
        Ok(_) => return Err("a row without a source was taken".into()),
    }

    fs::write(folder.join("bands.csv"), before)?;
    add_band(folder, &[&band[..], &[source]].concat())?;
    let own = Tables::load(folder)?;
    let near = own.bands_near(1585.0);
    writeln!(
        out,
        "with its source: {} bands in place of {}, {} of PVC near 1585 cm⁻¹",
        own.bands().len(),
        built_in.bands().len(),
        near.iter().filter(|band| band.material == "PVC").count()
    )?;
    // Every report prints the digest of the table that judged, so that nobody mistakes one for another.
    writeln!(out, "another digest: {}", own.sha256() != built_in.sha256())?;

    let examiner = Examiner::new(&own);
    for spectrum in read_path(Path::new(SAMPLE), &ReadOptions::default()) {
        let found = examiner.examine(spectrum?)?.identification;
        writeln!(out, "{SAMPLE}: {}", found.sentence)?;
    }
    Ok(())
}

#[allow(dead_code, reason = "the tests call the function above")]
fn main() -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    own_band_table(&folder.path().join("my-table"), &mut io::stdout().lock())
}
