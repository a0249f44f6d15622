//! The spectra of a file, one after another.

use super::error::Error;
use crate::spectrum::Spectrum;

/// The spectra of one file, in file order.
pub struct Spectra(Box<dyn Iterator<Item = Result<Spectrum, Error>> + Send>);

impl Spectra {
    /// Hands out one result.
    pub(super) fn one(result: Result<Spectrum, Error>) -> Self {
        Self(Box::new(std::iter::once(result)))
    }
}

impl Spectra {
    /// Hands out what `spectra` makes, one at a time.
    pub(super) fn lazy(
        spectra: impl Iterator<Item = Result<Spectrum, Error>> + Send + 'static,
    ) -> Self {
        Self(Box::new(spectra))
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
