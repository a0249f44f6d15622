//! Writers for the markers of single spectra and for the comparison of faces.
//!
//! **In:** one [`AgeingEntry`] a spectrum, or a [`Comparison`](crate::ageing::comparison::Comparison) of faces.
//!
//! **Out:** the whole report as text, a page, a table, JSON or JSON lines.
//!
//! ```
//! use bandlore::report::ageing::{AgeingEntry, ageing_text};
//!
//! let mut entry = AgeingEntry::new("lost.csv", 1);
//! entry.error = Some("lost.csv: cannot be opened".to_owned());
//! assert!(ageing_text(&[entry], 80).contains("lost.csv"));
//! ```

mod comparison;
#[cfg(feature = "plot")]
mod figures;
mod json;
mod markers;
mod pages;
mod schema_v1;
mod sheets;

use crate::ageing::{AgeingResult, DoseSlope};

#[cfg(feature = "plot")]
pub use figures::draw_comparison;
#[cfg(feature = "plot")]
pub(crate) use figures::{FaceSpots, faces_over_one_another, intervals};
pub use json::{ageing_json, ageing_json_lines, comparison_json, comparison_json_lines};
pub use pages::{ageing_document, ageing_text, comparison_document, comparison_text};
pub use sheets::{ageing_sheet, comparison_sheet};

/// One spectrum's place in an ageing report: its markers, or why there are none.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct AgeingEntry {
    /// The file as the user gave it.
    pub file: String,
    /// The spectrum's place in the file, from 1.
    pub block: usize,
    /// SHA-256 of the file's bytes; empty where it could not be read.
    pub sha256: String,
    /// The markers, where the file could be read.
    pub result: Option<AgeingResult>,
    /// What the markers do over a dose series this spectrum belongs to.
    pub series: Vec<DoseSlope>,
    /// Why the file could not be read.
    pub error: Option<String>,
}

impl AgeingEntry {
    /// Creates the entry of a spectrum of which nothing is read yet; fill in its fields.
    #[must_use]
    pub fn new(file: impl Into<String>, block: usize) -> Self {
        Self { file: file.into(), block, ..Self::default() }
    }
}

/// Four significant figures, as markers deserve; a dash where there is no number.
fn figure(value: Option<f64>) -> String {
    match value {
        None => "–".to_owned(),
        Some(value) if value == 0.0 || (1e-3..1e4).contains(&value.abs()) => {
            let digits = if value.abs() >= 100.0 {
                1
            } else if value.abs() >= 1.0 {
                3
            } else {
                4
            };
            format!("{value:.digits$}")
        }
        Some(value) => format!("{value:.2e}"),
    }
}

/// A p value as it is usually printed.
fn p_value(p: Option<f64>) -> String {
    match p {
        None => "–".to_owned(),
        Some(p) if p < 0.001 => "<0.001".to_owned(),
        Some(p) => format!("{p:.3}"),
    }
}
