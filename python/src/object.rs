//! A whole object from its manifest, and its condition report.

use std::path::{Path, PathBuf};

use bandlore::{
    io::{Error as FileError, WholeFile, is_same_file},
    object::open_manifest,
    pipeline::{ObjectExamined, examine_manifest_beside},
    report::object::{
        DocxWriter, HtmlWriter, Length, ObjectCsvWriter, ObjectJsonWriter, ObjectMarkdownWriter,
        ObjectReport, ObjectWriter, ObjectXlsxWriter, PlacedFigure, draw_object_figures,
        object_text,
    },
};
use pyo3::prelude::*;

use crate::fault::Fault;
use crate::figure::Figure;
use crate::settings::{Chosen, Settings, stamp};
use crate::work::listening;

/// Everything that was found out about an object.
#[pyclass(frozen, module = "bandlore")]
#[derive(Debug)]
pub struct Examination {
    examined: ObjectExamined,
    tables: Chosen,
    /// What was read, none of which may be written over.
    read: Vec<PathBuf>,
}

/// Examines the object that a manifest describes, a TOML file or a folder of sheets.
#[pyfunction]
pub fn examine_object(
    py: Python<'_>,
    manifest: PathBuf,
    settings: Settings,
) -> PyResult<Examination> {
    listening(py, move |_| {
        let tables = settings.tables()?;
        let opened = open_manifest(&manifest).map_err(|error| Fault::from(&error))?;
        let references = settings.references()?;
        let examined = examine_manifest_beside(
            &opened,
            &settings.examiner(&tables)?,
            &settings.options()?,
            references.as_ref(),
            &|| {},
        )
        .map_err(|error| Fault::from(&error))?;
        let read = opened.paths();
        Ok(Examination { examined, tables, read })
    })
}

/// Returns the text of a first manifest, in TOML, for the spectra of a folder.
#[pyfunction]
pub fn first_manifest(py: Python<'_>, folder: PathBuf) -> PyResult<String> {
    listening(py, move |_| {
        bandlore::object::first_manifest(&folder, &folder).map_err(|error| Fault::from(&error))
    })
}

impl Examination {
    fn drawn(&self, length: Length) -> Result<Vec<PlacedFigure>, Fault> {
        let findings = &self.examined.findings;
        draw_object_figures(findings, &self.examined.spectra, &self.tables, length)
            .map_err(|error| Fault::library(&error))
    }

    /// Writes one report beside its place, then puts it there.
    fn written(&self, path: &Path, date: &str, length: Length) -> Result<(), Fault> {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
        let writer: Box<dyn ObjectWriter> = match ending.as_str() {
            "html" | "htm" => Box::new(HtmlWriter),
            "md" => Box::new(ObjectMarkdownWriter),
            "docx" => Box::new(DocxWriter),
            "xlsx" => Box::new(ObjectXlsxWriter),
            "csv" => Box::new(ObjectCsvWriter),
            "json" => Box::new(ObjectJsonWriter),
            _ => {
                return Err(Fault::usage(format!(
                    "{}: this ending is not known; a report ends in .html, .md, .docx, .xlsx, .csv \
                     or .json",
                    path.display()
                )));
            }
        };
        if let Some(read) = self.read.iter().find(|read| is_same_file(read, path)) {
            return Err(Fault::usage(format!(
                "{}: is the same file as {}, which was read; write to another name",
                path.display(),
                read.display()
            )));
        }
        let figures = self.drawn(length)?;
        let refuse = |error: &FileError| Fault::from(error);
        let mut file = WholeFile::create(path).map_err(|error| refuse(&error))?;
        self.report(date, length, &figures, writer.as_ref(), &mut file)
            .map_err(|error| Fault::usage(format!("{}: {error}", path.display())))?;
        file.commit().map_err(|error| refuse(&error))
    }

    fn report(
        &self,
        date: &str,
        length: Length,
        figures: &[PlacedFigure],
        writer: &dyn ObjectWriter,
        out: &mut dyn std::io::Write,
    ) -> std::io::Result<()> {
        let stamp = stamp(&self.tables);
        let report = ObjectReport::new(&self.examined.findings, &stamp)
            .with_date(date)
            .with_figures(figures)
            .with_length(length);
        writer.write(&report, out)?;
        out.flush()
    }
}

fn length(full: bool) -> Length {
    if full { Length::Full } else { Length::Short }
}

#[pymethods]
impl Examination {
    /// Returns what `bandlore object --report NAME.json` writes.
    fn json(&self, py: Python<'_>) -> PyResult<String> {
        let written = py.detach(|| {
            let mut out = Vec::new();
            self.report("", Length::Short, &[], &ObjectJsonWriter, &mut out)
                .map_err(|error| Fault::library(&error))?;
            String::from_utf8(out).map_err(|error| Fault::library(&error))
        });
        written.map_err(|fault| fault.raise(py))
    }

    /// Returns the first page as text.
    fn text(&self, width: usize) -> String {
        object_text(&self.examined.findings, width)
    }

    /// Writes a report; the ending says in which form.
    fn write(&self, py: Python<'_>, path: PathBuf, date: &str, full: bool) -> PyResult<()> {
        let written = py.detach(|| self.written(&path, date, length(full)));
        written.map_err(|fault| fault.raise(py))
    }

    /// Draws the figures of the report.
    fn figures(&self, py: Python<'_>, full: bool) -> PyResult<Vec<Figure>> {
        let drawn = py.detach(|| self.drawn(length(full))).map_err(|fault| fault.raise(py))?;
        Ok(drawn.into_iter().map(|placed| Figure::new(placed.figure)).collect())
    }

    /// Parts whose faces could not be compared, and why.
    #[getter]
    fn comparison_failures(&self) -> Vec<(String, String)> {
        self.examined.comparison_failures.clone()
    }
}
