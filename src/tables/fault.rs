//! What is wrong with a table or a user's sheet: every fault with its place.

use std::fmt;
use std::path::PathBuf;

use crate::quote::printable;

/// How many faults are listed before the rest is only counted.
///
/// A mistake made down a whole column would otherwise fill the screen.
pub const MOST_FAULTS_LISTED: usize = 20;

/// One fault in one file.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Fault {
    /// File name within the folder.
    pub file: String,
    /// Line in the file; the header is line 1. `None` where the whole file is meant.
    pub line: Option<u64>,
    /// The row's id, as far as it could be read.
    pub id: String,
    /// The column; empty where the whole row is meant.
    pub column: String,
    /// What is wrong.
    pub what: String,
}

impl Fault {
    /// Creates a fault of a line whose words say themselves what is meant.
    pub(crate) fn at(file: &str, line: usize, what: String) -> Self {
        Self::new(file, Some(line as u64), ("", ""), what)
    }

    /// Creates a fault of a row, which is known by its id, and of a column; either is empty where it is not meant.
    pub(super) fn new(
        file: &str,
        line: Option<u64>,
        (id, column): (&str, &str),
        what: String,
    ) -> Self {
        Self { file: file.to_owned(), line, id: id.to_owned(), column: column.to_owned(), what }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&printable(&self.file))?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
        }
        if !self.id.is_empty() {
            write!(f, " ({})", self.id)?;
        }
        if !self.column.is_empty() {
            write!(f, ": column {}", self.column)?;
        }
        write!(f, ": {}", self.what)
    }
}

/// Every fault found in a table or in a user's sheet, in the order of files and lines.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// Takes faults in the order in which they are told.
    pub(crate) fn in_order(faults: Vec<Fault>) -> Self {
        Self(faults)
    }

    /// Puts faults in the order of files and lines.
    pub(super) fn sorted(mut faults: Vec<Fault>, files: &[&str]) -> Self {
        let rank = |file: &str| files.iter().position(|name| *name == file);
        faults.sort_by(|a, b| {
            (rank(&a.file), a.line, &a.column).cmp(&(rank(&b.file), b.line, &b.column))
        });
        Self(faults)
    }

    /// Returns all faults.
    #[must_use]
    pub fn all(&self) -> &[Fault] {
        &self.0
    }

    /// Returns whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl fmt::Display for Faults {
    /// Writes one fault a line, [`MOST_FAULTS_LISTED`] at most, then how many more there are.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.0.iter().take(MOST_FAULTS_LISTED).enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        let more = self.0.len().saturating_sub(MOST_FAULTS_LISTED);
        if more > 0 {
            write!(f, "\nand {more} more faults")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// Why a table cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A file of the table cannot be read, or an export cannot be written.
    #[error(transparent)]
    File(#[from] crate::io::Error),
    /// An export would overwrite a file.
    #[error("{}: already there; choose an empty folder, so that no edited table is lost", path.display())]
    Occupied {
        /// The file.
        path: PathBuf,
    },
    /// The table was read and is wrong.
    #[error("{0}")]
    Faulty(Faults),
}
