//! Markers and changes as JSON: an array, or one object a line.

use std::io;

use super::AgeingEntry;
use super::schema_v1::{Compared, Entry};
use crate::ageing::Comparison;
use crate::report::identification::Stamp;

/// Writes one JSON array, an object a spectrum.
///
/// # Errors
///
/// Only values that JSON cannot hold, which finite markers are not.
pub fn ageing_json(entries: &[AgeingEntry], stamp: &Stamp) -> io::Result<String> {
    let list: Vec<Entry<'_>> = entries.iter().map(|entry| Entry::new(entry, stamp)).collect();
    Ok(serde_json::to_string_pretty(&list)? + "\n")
}

/// Writes one JSON object a line, one a spectrum.
///
/// # Errors
///
/// As [`ageing_json`].
pub fn ageing_json_lines(entries: &[AgeingEntry], stamp: &Stamp) -> io::Result<String> {
    let mut text = String::new();
    for entry in entries {
        text.push_str(&serde_json::to_string(&Entry::new(entry, stamp))?);
        text.push('\n');
    }
    Ok(text)
}

/// Writes a JSON array with the one comparison.
///
/// # Errors
///
/// As [`ageing_json`].
pub fn comparison_json(comparison: &Comparison, stamp: &Stamp) -> io::Result<String> {
    Ok(serde_json::to_string_pretty(&[Compared::new(comparison, stamp)])? + "\n")
}

/// Writes the one comparison as one line of JSON.
///
/// # Errors
///
/// As [`ageing_json`].
pub fn comparison_json_lines(comparison: &Comparison, stamp: &Stamp) -> io::Result<String> {
    Ok(serde_json::to_string(&Compared::new(comparison, stamp))? + "\n")
}
