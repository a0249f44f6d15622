//! What was found in each spectrum, in six formats.
//!
//! **In:** one [`IdentificationEntry`] a spectrum, and a [`Stamp`] that says which table was used.
//!
//! **Out:** the report, entry by entry, through an [`IdentificationWriter`].
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::report::identification::{CsvWriter, Stamp, WriteOptions, write_identifications};
//! use bandlore::{Examiner, Tables};
//!
//! let tables = Tables::built_in();
//! let entry = Examiner::new(tables).examine(spectrum)?.into_entry();
//! let stamp = Stamp::new(tables.version(), tables.sha256());
//! let mut out = Vec::new();
//! write_identifications(&mut CsvWriter::new(&WriteOptions::default()), &stamp, &[entry], &mut out)?;
//! assert!(String::from_utf8(out)?.contains("PVC"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod answer;
mod csv;
mod entry;
mod json;
mod list;
mod pages;
#[cfg(feature = "parquet")]
mod parquet;
mod schema_v1;
mod screen;
mod shared;
mod text;

use std::io::{self, Write};

use super::Style;

pub use csv::CsvWriter;
#[cfg(feature = "xlsx")]
pub use csv::XlsxWriter;
pub use entry::{IdentificationEntry, Stamp};
pub use json::{JsonLinesWriter, JsonWriter};
pub use pages::{MarkdownWriter, identification_document};
#[cfg(feature = "parquet")]
pub use parquet::ParquetWriter;
pub(crate) use schema_v1::Class;
pub use text::TextWriter;

/// Ranked candidates shown where nobody asks for another number: the answer and its two rivals.
const DEFAULT_TOP: usize = 3;

/// The width of text output where nobody asks for another: the usual terminal.
const DEFAULT_WIDTH: usize = 80;

/// What a writer shows and how.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct WriteOptions {
    /// How many of the ranked candidates are shown.
    pub top: usize,
    /// Whether text shows every band of every spectrum in place of one screen or a list.
    pub evidence: bool,
    /// Whether each rule is shown with its values, and the evidence of every candidate shown.
    pub explain: bool,
    /// Whether each step is shown with its settings, and every fitness finding.
    pub verbose: bool,
    /// Whether text is one line a spectrum.
    pub quiet: bool,
    /// Plain, or with terminal escapes.
    pub style: Style,
    /// Columns that text must fit; below 48 it is read as 48.
    pub width: usize,
}

impl Default for WriteOptions {
    fn default() -> Self {
        Self {
            top: DEFAULT_TOP,
            evidence: false,
            explain: false,
            verbose: false,
            quiet: false,
            style: Style::Plain,
            width: DEFAULT_WIDTH,
        }
    }
}

impl WriteOptions {
    /// Sets how many of the ranked candidates are shown.
    #[must_use]
    pub fn with_top(self, top: usize) -> Self {
        Self { top, ..self }
    }

    /// Sets whether text shows every band of every spectrum.
    #[must_use]
    pub fn with_evidence(self, evidence: bool) -> Self {
        Self { evidence, ..self }
    }

    /// Sets whether each rule is shown with its values.
    #[must_use]
    pub fn with_explain(self, explain: bool) -> Self {
        Self { explain, ..self }
    }

    /// Sets whether each step is shown with its settings.
    #[must_use]
    pub fn with_verbose(self, verbose: bool) -> Self {
        Self { verbose, ..self }
    }

    /// Sets whether text is one line a spectrum.
    #[must_use]
    pub fn with_quiet(self, quiet: bool) -> Self {
        Self { quiet, ..self }
    }

    /// Sets plain, or with terminal escapes.
    #[must_use]
    pub fn with_style(self, style: Style) -> Self {
        Self { style, ..self }
    }

    /// Sets how many columns text must fit.
    #[must_use]
    pub fn with_width(self, width: usize) -> Self {
        Self { width, ..self }
    }
}

/// Writes identifications one after another, so that a long batch needs no memory.
///
/// Call [`begin`](Self::begin) once, [`entry`](Self::entry) for each spectrum in input order, and
/// [`end`](Self::end) once.
pub trait IdentificationWriter {
    /// Writes what comes before the first entry; nothing where a format has no such thing.
    ///
    /// # Errors
    ///
    /// Only those of `out`.
    fn begin(&mut self, _stamp: &Stamp, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    /// Writes one entry.
    ///
    /// # Errors
    ///
    /// Only those of `out`.
    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()>;

    /// Writes what comes after the last entry; nothing where a format has no such thing.
    ///
    /// # Errors
    ///
    /// Only those of `out`.
    fn end(&mut self, _stamp: &Stamp, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}

/// Writes a whole list of entries with one writer.
///
/// # Errors
///
/// Only those of `out`.
pub fn write_identifications(
    writer: &mut dyn IdentificationWriter,
    stamp: &Stamp,
    entries: &[IdentificationEntry],
    out: &mut dyn Write,
) -> io::Result<()> {
    writer.begin(stamp, out)?;
    for entry in entries {
        writer.entry(stamp, entry, out)?;
    }
    writer.end(stamp, out)
}
