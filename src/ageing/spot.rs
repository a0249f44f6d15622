//! One measured spot of a face.

use super::composition::Composition;
use super::reading::Specimen;
use super::values::ComparedFace;

/// One measured spot of a face.
#[derive(Clone)]
#[non_exhaustive]
pub struct Spot<'a> {
    /// The face it lies on.
    pub face: ComparedFace,
    /// The spectrum with what is known of it.
    pub specimen: Specimen<'a>,
    /// What the identification found there.
    pub composition: Composition,
}

impl<'a> Spot<'a> {
    /// Creates a spot of which nothing is identified.
    #[must_use]
    pub fn new(face: ComparedFace, specimen: Specimen<'a>) -> Self {
        Self { face, specimen, composition: Composition::default() }
    }

    /// Sets what the identification found there.
    #[must_use]
    pub fn with_composition(self, composition: Composition) -> Self {
        Self { composition, ..self }
    }
}
