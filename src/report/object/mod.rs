//! The condition report of a whole object.

mod compose;
mod csv;
mod document;
#[cfg(feature = "docx")]
mod docx;
#[cfg(feature = "plot")]
mod figures;
mod fonts;
mod html;
mod json;
mod markdown;

use std::io::{self, Write};

use super::figure::Figure;
use super::identification::Stamp;
use crate::object::ObjectFindings;

pub use csv::ObjectCsvWriter;
#[cfg(feature = "docx")]
pub use docx::DocxWriter;
#[cfg(feature = "plot")]
pub use figures::draw_object_figures;
pub use html::HtmlWriter;
pub use json::ObjectJsonWriter;
pub use markdown::ObjectMarkdownWriter;

/// Everything a condition report is written from.
#[derive(Clone, Copy, Debug)]
pub struct ObjectReport<'a> {
    /// What is said of the object.
    pub findings: &'a ObjectFindings,
    /// The tool and the table that judged.
    pub stamp: &'a Stamp,
    /// The date printed, as text; fix it to get the same bytes on another day.
    pub date: &'a str,
    /// The figures, in any order; each stands where its place says.
    pub figures: &'a [PlacedFigure],
}

/// Where a figure stands in the report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FigurePlace {
    /// Beside the chlorine lists.
    Chlorine,
    /// Under a part or a candidate sheet.
    Part(String),
}

/// A figure with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedFigure {
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
