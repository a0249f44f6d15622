//! What is known of a file before its text is read.

use crate::spectrum::{Provenance, Warning};

/// A file's name, fingerprint and the doubts met while its bytes became text.
#[derive(Clone, Debug, Default)]
pub(crate) struct Source {
    /// The file as the user named it, or `-` for standard input.
    pub file: String,
    /// SHA-256 of the file's bytes.
    pub sha256: String,
    /// Doubts that every spectrum of the file carries.
    pub warnings: Vec<Warning>,
}

impl Source {
    /// Returns the provenance of the file's `block`-th spectrum, from 1.
    pub(crate) fn provenance(&self, block: usize) -> Provenance {
        Provenance {
            file: self.file.clone(),
            block,
            sha256: self.sha256.clone(),
            ..Provenance::default()
        }
    }
}
