//! The one public way in: a path or bytes to an iterator of spectra.

use std::path::Path;

use super::{Error, Fault};
use crate::io;
use crate::spectrum::{MeasurementMode, Ordinate, Spectrum};

/// What the user says about a file where the file does not, or against it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReadOptions {
    /// What the ordinate is. `None` takes the file's own words, or else infers it.
    pub ordinate: Option<Ordinate>,
    /// How it was measured. `None` takes the file's own words, or else ATR.
    pub mode: Option<MeasurementMode>,
    /// Which ordinate column to read. `None` takes the first.
    pub column: Option<Column>,
    /// Which block of a file of several spectra to read, from 1. `None` takes all.
    pub block: Option<usize>,
}

/// One column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Column {
    /// By its heading, letter case ignored.
    Name(String),
    /// By its place in the file, from 1, the abscissa counted.
    Number(usize),
}

/// The spectra of one file, in file order.
pub struct Spectra(Box<dyn Iterator<Item = Result<Spectrum, Error>> + Send>);

impl Spectra {
    fn one(result: Result<Spectrum, Error>) -> Self {
        Self(Box::new(std::iter::once(result)))
    }
}

impl Iterator for Spectra {
    type Item = Result<Spectrum, Error>;

    fn next(&mut self) -> Option<Self::Item> {
        self.0.next()
    }
}

impl std::fmt::Debug for Spectra {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Spectra")
    }
}

/// Reads the spectra of a file; `-` is standard input.
///
/// A file that cannot be read gives one error.
#[must_use]
pub fn read_path(path: &Path, options: &ReadOptions) -> Spectra {
    let bytes = if path.as_os_str() == "-" { io::read_stdin() } else { io::open(path) };
    match bytes {
        Ok(bytes) => read_bytes(&bytes, &path.to_string_lossy(), options),
        Err(error) => Spectra::one(Err(error.into())),
    }
}

/// Reads the spectra in `bytes`; `file` names them in messages and provenance.
#[must_use]
pub fn read_bytes(_bytes: &[u8], file: &str, _options: &ReadOptions) -> Spectra {
    Spectra::one(Err(Error::whole(file, Fault::Empty)))
}
