//! A manifest as rows of named cells, whichever way it was written down.

use std::collections::BTreeMap;

use crate::quote::{in_marks, steers};
use crate::tables::Fault;

/// Rows of one table: 5,000 spectra are ten times the largest object tried, and keep memory bounded.
pub(super) const MOST_ROWS: usize = 5_000;

/// Characters of one cell: a long paragraph.
pub(super) const LONGEST_CELL: usize = 4_000;

/// The tables of a manifest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Section {
    Object,
    Measurement,
    Part,
    Spectrum,
    Neighbour,
    Candidate,
    Colour,
    NextExamination,
}

impl Section {
    pub(super) const ALL: [Self; 8] = [
        Self::Object,
        Self::Measurement,
        Self::Part,
        Self::Spectrum,
        Self::Neighbour,
        Self::Candidate,
        Self::Colour,
        Self::NextExamination,
    ];

    /// The key in TOML, also the name in messages.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Object => "object",
            Self::Measurement => "measurement",
            Self::Part => "part",
            Self::Spectrum => "spectrum",
            Self::Neighbour => "neighbour",
            Self::Candidate => "candidate",
            Self::Colour => "colour",
            Self::NextExamination => "next_examination",
        }
    }

    /// The file in a folder of CSV sheets.
    pub(super) fn sheet(self) -> &'static str {
        match self {
            Self::Object => "object.csv",
            Self::Measurement => "measurement.csv",
            Self::Part => "parts.csv",
            Self::Spectrum => "spectra.csv",
            Self::Neighbour => "neighbours.csv",
            Self::Candidate => "candidates.csv",
            Self::Colour => "colours.csv",
            Self::NextExamination => "next-examination.csv",
        }
    }

    /// Whether there is one of it, written as field and value, or a row each.
    pub(super) fn single(self) -> bool {
        matches!(self, Self::Object | Self::Measurement | Self::NextExamination)
    }

    /// What is said of more rows than one manifest may have.
    pub(super) fn too_many(self) -> String {
        let name = self.name();
        format!("more than {MOST_ROWS} rows of {name}; split the object into several manifests")
    }

    /// What is said of a field that must not be blank.
    pub(super) fn without(self, field: &str) -> String {
        format!("{} without {field}; fill it in or delete the row", self.name())
    }
}

/// What is said of a value that a field cannot take; `found` carries its quotation marks.
pub(in crate::object) fn unlike(field: &str, found: &str, expected: &str) -> String {
    format!("{field}: found {found}, expected {expected}")
}

/// What is said of a name that stands twice.
pub(super) fn twice(what: &str, found: &str, first: usize) -> String {
    let found = in_marks(found);
    format!("{what} {found} was already given on line {first}; give each its own")
}

/// One cell with its place.
#[derive(Clone, Debug)]
pub(super) struct Cell {
    pub text: String,
    pub line: usize,
}

/// One row with its place.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub section: Section,
    pub file: String,
    pub line: usize,
    pub cells: BTreeMap<String, Cell>,
}

impl Row {
    pub(super) fn new(section: Section, file: &str, line: usize) -> Self {
        Self { section, file: file.to_owned(), line, cells: BTreeMap::new() }
    }

    pub(super) fn fault(&self, line: usize, what: String) -> Fault {
        Fault::at(&self.file, line, what)
    }

    /// Adds a cell; text that is too long, or that could rewrite a terminal, is a fault.
    pub(super) fn insert(&mut self, field: &str, text: &str, line: usize, faults: &mut Vec<Fault>) {
        let field = field.trim().to_lowercase().replace([' ', '-', '.'], "_");
        let text = text.trim();
        let length = text.chars().count();
        if length > LONGEST_CELL {
            let what = format!("{field}: {length} characters, at most {LONGEST_CELL}");
            faults.push(self.fault(line, what));
            return;
        }
        if text.contains(|c: char| steers(c) && !matches!(c, '\n' | '\r' | '\t')) {
            let what = unlike(&field, &in_marks(text), "text without control characters");
            faults.push(self.fault(line, what));
            return;
        }
        if let Some(first) = self.cells.get(&field) {
            faults.push(self.fault(line, twice("field", &field, first.line)));
            return;
        }
        self.cells.insert(field, Cell { text: text.to_owned(), line });
    }
}
