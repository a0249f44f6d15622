//! Why a file could not be read: where, what was found, and what to do.

use crate::io;

/// Why a spectrum could not be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The file could not be opened.
    #[error(transparent)]
    Open(#[from] io::Error),
    /// What the file holds cannot be read.
    #[error("{file}{}: {fault}", line.map(|n| format!(":{n}")).unwrap_or_default())]
    Content {
        /// The file as the user named it, or `-` for standard input.
        file: String,
        /// The line, from 1, where one line is at fault.
        line: Option<usize>,
        /// What is wrong.
        #[source]
        fault: Fault,
    },
}

impl Error {
    /// Creates the error of one line.
    pub(crate) fn at(file: &str, line: usize, fault: impl Into<Fault>) -> Self {
        Self::Content { file: file.to_owned(), line: Some(line), fault: fault.into() }
    }

    /// Creates the error of a whole file.
    pub(crate) fn whole(file: &str, fault: impl Into<Fault>) -> Self {
        Self::Content { file: file.to_owned(), line: None, fault: fault.into() }
    }
}

/// What is wrong with a file's content.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// The bytes are no text.
    #[error("not text (byte 0x{byte:02X} at offset {offset}); readable: two-column text, JCAMP-DX")]
    NotText {
        /// The first offending byte.
        byte: u8,
        /// Its place in the file, from 0.
        offset: usize,
    },
    /// The file holds nothing.
    #[error("empty; export the spectrum again")]
    Empty,
    /// The values do not make a spectrum.
    #[error(transparent)]
    Spectrum(#[from] crate::spectrum::Error),
}
