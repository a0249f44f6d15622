//! The condition report of a whole object.
//!
//! **In:** an [`ObjectReport`]: the findings, the figures, the date, and what is left out.
//!
//! **Out:** the condition report in one format, by an [`ObjectWriter`]; its foot says what was left out.
//!
//! ```
//! use bandlore::Tables;
//! use bandlore::object::record::Manifest;
//! use bandlore::object::{ObjectInput, examine_object};
//! use bandlore::report::object::object_text;
//!
//! let text = "[object]\ntitle = \"An invented clock\"\n[[part]]\nid = \"S1\"\n";
//! let manifest = Manifest::from_toml(text, "object.toml")?;
//! let input = ObjectInput::new(manifest, Vec::new());
//! let findings = examine_object(input, Tables::built_in());
//! assert!(object_text(&findings, 80).contains("An invented clock"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod compose;
mod csv;
#[cfg(feature = "plot")]
mod figures;
mod json;
mod page;
mod text;
#[cfg(feature = "xlsx")]
mod xlsx;

use std::io::{self, Write};

use super::figure::Figure;
use super::identification::Stamp;
use crate::object::ObjectFindings;

pub use csv::ObjectCsvWriter;
#[cfg(feature = "plot")]
pub use figures::draw_object_figures;
pub use json::ObjectJsonWriter;
#[cfg(feature = "docx")]
pub use page::DocxWriter;
pub use page::{HtmlWriter, ObjectMarkdownWriter};
pub use text::object_text;
#[cfg(feature = "xlsx")]
pub use xlsx::ObjectXlsxWriter;

/// Everything a condition report is written from.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct ObjectReport<'a> {
    /// What is said of the object.
    pub findings: &'a ObjectFindings,
    /// The tool and the table that judged.
    pub stamp: &'a Stamp,
    /// The date printed, as text; fix it to get the same bytes on another day.
    pub date: &'a str,
    /// The figures, in any order; each stands where its place says.
    pub figures: &'a [PlacedFigure],
    /// How much is printed.
    pub length: Length,
    /// What is left out by name; the foot of the report says so.
    pub without: &'a [LeaveOut],
}

impl<'a> ObjectReport<'a> {
    /// Creates a short report without date and figures.
    #[must_use]
    pub fn new(findings: &'a ObjectFindings, stamp: &'a Stamp) -> Self {
        Self { findings, stamp, date: "", figures: &[], length: Length::Short, without: &[] }
    }

    /// Sets the date printed.
    #[must_use]
    pub fn with_date(self, date: &'a str) -> Self {
        Self { date, ..self }
    }

    /// Sets the figures, in any order.
    #[must_use]
    pub fn with_figures(self, figures: &'a [PlacedFigure]) -> Self {
        Self { figures, ..self }
    }

    /// Sets how much is printed.
    #[must_use]
    pub fn with_length(self, length: Length) -> Self {
        Self { length, ..self }
    }

    /// Sets what is left out by name.
    #[must_use]
    pub fn leaving_out(self, without: &'a [LeaveOut]) -> Self {
        Self { without, ..self }
    }
}

/// A section, or a kind of figure, that a report may leave out. The first page, limits and warnings stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum LeaveOut {
    /// The answers in plain words.
    PlainWords,
    /// The chlorine lists.
    Chlorine,
    /// The neighbours.
    Neighbours,
    /// The parts one by one.
    Parts,
    /// The candidate sheets.
    Sheets,
    /// What is left open, with every remedy.
    Open,
    /// The care notes.
    Care,
    /// The next examination.
    Next,
    /// The method.
    Method,
    /// The annexes other than limits.
    Annexes,
    /// Every figure.
    Figures,
    /// The parts by chlorine.
    ChlorineMap,
    /// Figures of one spectrum a part.
    Spectra,
    /// Figures of the faces of a part.
    Faces,
    /// Figures of the markers.
    Markers,
}

impl LeaveOut {
    /// Returns the word that a reader knows it by.
    #[must_use]
    pub fn as_str(&self) -> &'static str {
        match self {
            Self::PlainWords => "plain words",
            Self::Chlorine => "chlorine lists",
            Self::Neighbours => "neighbours",
            Self::Parts => "parts",
            Self::Sheets => "candidate sheets",
            Self::Open => "what is left open",
            Self::Care => "care",
            Self::Next => "next examination",
            Self::Method => "method",
            Self::Annexes => "annexes",
            Self::Figures => "figures",
            Self::ChlorineMap => "map of chlorine",
            Self::Spectra => "figures of spectra",
            Self::Faces => "figures of faces",
            Self::Markers => "figures of markers",
        }
    }
}

/// How much of what was found a report prints; JSON and CSV hold all of it in any case.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum Length {
    /// The first page, what it rests on, and what changed: some pages for an object of twenty parts.
    #[default]
    Short,
    /// Also every face, every marker, what was not recorded, settings, files and sources.
    Full,
}

/// Where a figure stands in the report.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum FigurePlace {
    /// Beside the chlorine lists.
    Chlorine,
    /// Under a part or a candidate sheet.
    Part(String),
}

/// What a figure shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum FigureKind {
    /// The parts by chlorine.
    ChlorineMap,
    /// One spectrum with its bands.
    Spectrum,
    /// The faces of a part over one another.
    Faces,
    /// The markers with their intervals.
    Markers,
}

/// A figure with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct PlacedFigure {
    /// What it shows.
    pub kind: FigureKind,
    /// Where it stands.
    pub place: FigurePlace,
    /// The figure.
    pub figure: Figure,
}

/// Writes a condition report in one format. The same report gives the same bytes.
pub trait ObjectWriter {
    /// Writes the whole report.
    ///
    /// # Errors
    ///
    /// Those of `out`, and of rendering a figure.
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()>;
}
