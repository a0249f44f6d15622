//! The condition report in the formats that are read by people, all from one document.

use std::io::{self, Write};

use super::compose::compose;
use super::{ObjectReport, ObjectWriter};

/// Writes the report as one HTML file.
#[derive(Clone, Copy, Debug, Default)]
pub struct HtmlWriter;

impl ObjectWriter for HtmlWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(compose(report).html().as_bytes())
    }
}

/// Writes the report as Markdown; figures are described in words.
#[derive(Clone, Copy, Debug, Default)]
pub struct ObjectMarkdownWriter;

impl ObjectWriter for ObjectMarkdownWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(compose(report).markdown().as_bytes())
    }
}

/// Writes the report as DOCX.
#[cfg(feature = "docx")]
#[derive(Clone, Copy, Debug, Default)]
pub struct DocxWriter;

#[cfg(feature = "docx")]
impl ObjectWriter for DocxWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(&compose(report).docx()?)
    }
}
