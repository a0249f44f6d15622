//! What the checks of spectra found, in five formats.
//!
//! **In:** one [`CheckEntry`] a spectrum, as [`check_spectrum`](crate::pipeline::check_spectrum) makes them.
//!
//! **Out:** the report, entry by entry, through a [`CheckWriter`].
//!
//! ```
//! use bandlore::report::check::{CheckCsvWriter, CheckEntry, CheckWriter};
//!
//! let (mut writer, mut out) = (CheckCsvWriter::default(), Vec::new());
//! writer.begin(&mut out)?;
//! writer.entry(&CheckEntry::failed("lost.csv", 1, "lost.csv: cannot be opened"), &mut out)?;
//! writer.end(&mut out)?;
//! assert!(String::from_utf8(out)?.contains("lost.csv"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod csv;
mod film;
mod json;
mod pages;
mod text;

use std::io::{self, Write};

use super::findings::is_chlorine;
use super::words;
use crate::fitness::{FilmCheck, Finding, Fringes, Severity, VapourSubtraction};
use crate::spectrum::{MeasurementMode, Ordinate, Origin, Spectrum, Step, Warning};

pub use csv::CheckCsvWriter;
#[cfg(feature = "xlsx")]
pub use csv::CheckXlsxWriter;
pub(crate) use film::film_sentence;
pub use film::film_verdict;
pub use json::{CheckJsonLinesWriter, CheckJsonWriter};
pub use pages::{CheckMarkdownWriter, check_document};
pub use text::CheckTextWriter;

/// One spectrum's place in the report of a check.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct CheckEntry {
    /// The path as the user gave it.
    pub file: String,
    /// The spectrum's place in the file, from 1; 1 where the file could not be read.
    pub block: usize,
    /// Its title, where the file has one.
    pub title: Option<String>,
    /// SHA-256 of the file's bytes; empty where it could not be read.
    pub sha256: String,
    /// The file's ordinate and where that is known from.
    pub ordinate: Option<(Ordinate, Origin)>,
    /// How it was measured and where that is known from.
    pub mode: Option<(MeasurementMode, Origin)>,
    /// Lowest and highest measured wavenumber in cm⁻¹.
    pub range_cm1: Option<(f64, f64)>,
    /// Median spacing of the points in cm⁻¹.
    pub spacing_cm1: Option<f64>,
    /// Every finding, the gravest first.
    pub findings: Vec<Finding>,
    /// Whether the spectrum was given as a polystyrene film.
    pub is_film: bool,
    /// What the film says of the wavenumber scale, where it was one and could be measured.
    pub film: Option<FilmCheck>,
    /// Measured vapour that was subtracted before the check.
    pub vapour: Option<VapourSubtraction>,
    /// Fringes that were taken out before the check.
    pub fringes_removed: Option<Fringes>,
    /// Every step applied, in order.
    pub steps: Vec<Step>,
    /// Every doubt met on the way.
    pub warnings: Vec<Warning>,
    /// Why the file could not be read or checked.
    pub error: Option<String>,
}

impl CheckEntry {
    /// Creates the entry of a spectrum that was read, without findings yet.
    #[must_use]
    pub fn of(spectrum: &Spectrum) -> Self {
        let provenance = spectrum.provenance();
        Self {
            file: provenance.file.clone(),
            block: provenance.block,
            title: provenance.title.clone(),
            sha256: provenance.sha256.clone(),
            ordinate: Some((spectrum.ordinate(), spectrum.ordinate_origin())),
            mode: Some((spectrum.mode(), spectrum.mode_origin())),
            range_cm1: Some(spectrum.range_cm1()),
            spacing_cm1: Some(spectrum.spacing_cm1()),
            steps: spectrum.history().to_vec(),
            warnings: spectrum.warnings().to_vec(),
            ..Self::default()
        }
    }

    /// Creates the entry of a file or block that could not be read or checked.
    #[must_use]
    pub fn failed(file: &str, block: usize, error: impl Into<String>) -> Self {
        Self { file: file.to_owned(), block, error: Some(error.into()), ..Self::default() }
    }

    /// Returns the findings on the C–Cl region, band by band.
    fn chlorine_region(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|finding| is_chlorine(finding))
    }

    /// Returns the other findings that limit what may be said, or that are in order.
    fn others(&self, in_order: bool) -> impl Iterator<Item = &Finding> {
        self.findings
            .iter()
            .filter(move |f| !is_chlorine(f) && (f.severity == Severity::Note) == in_order)
    }

    /// What failed, before the reason: everything, or the film alone.
    fn failed_words(&self) -> &'static str {
        if self.mode.is_none() {
            "Could not be checked"
        } else {
            "The wavenumber scale could not be checked"
        }
    }

    /// The sentence that leads: whether the spectrum may be judged.
    fn sentence(&self) -> String {
        let unfit: Vec<&Finding> =
            self.findings.iter().filter(|f| f.severity == Severity::Unfit).collect();
        if let Some(first) = unfit.first() {
            return format!("Not fit to be judged ({}).", words::finding_name(first));
        }
        let limits = match self.others(false).count() {
            0 => None,
            1 => Some("with one limit".to_owned()),
            n => Some(format!("with {n} limits")),
        };
        let tested = self.chlorine_region().all(|finding| finding.severity == Severity::Note);
        match (limits, tested) {
            (None, true) => "Fit to be judged; nothing limits it.".to_owned(),
            (None, false) => {
                "Fit to be judged; nothing limits it but the C–Cl region, which is not fully \
                 testable."
                    .to_owned()
            }
            (Some(limits), true) => format!("Fit to be judged, {limits}."),
            (Some(limits), false) => {
                format!("Fit to be judged, {limits}; the C–Cl region is not fully testable.")
            }
        }
    }
}

/// The file as it is to be called, and its block and title where they tell more.
fn heading(entry: &CheckEntry, file: &str) -> String {
    let mut text = file.to_owned();
    if entry.block > 1 {
        text.push_str(&format!(", spectrum {}", entry.block));
    }
    if let Some(title) = entry.title.as_deref().map(str::trim).filter(|t| !t.is_empty()) {
        text.push_str(&format!(" “{title}”"));
    }
    text
}

/// Whether a warning tells what was taken out before the check.
fn taken_out(warning: &Warning) -> bool {
    ["vapour-subtracted", "fringes-removed", "scale-corrected"].contains(&warning.id.as_str())
}

/// Writes checks one after another, so that a long batch needs no memory.
///
/// Call [`begin`](Self::begin) once, [`entry`](Self::entry) for each spectrum in input order, and
/// [`end`](Self::end) once.
pub trait CheckWriter {
    /// Writes what comes before the first entry; nothing where a format has no such thing.
    ///
    /// # Errors
    ///
    /// Only those of `out`.
    fn begin(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    /// Writes one entry.
    ///
    /// # Errors
    ///
    /// Only those of `out`.
    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()>;

    /// Writes what comes after the last entry; nothing where a format has no such thing.
    ///
    /// # Errors
    ///
    /// Only those of `out`.
    fn end(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}
