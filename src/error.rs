//! One error that wraps those of the stages and adds nothing.

/// Why a spectrum could not be worked on.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// Reading failed.
    #[error(transparent)]
    Read(#[from] crate::read::Error),
    /// A value was refused as a spectrum.
    #[error(transparent)]
    Spectrum(#[from] crate::spectrum::Error),
    /// A manifest, or a file that it names, cannot be used.
    #[error(transparent)]
    Object(#[from] crate::object::Error),
    /// The preparation could not be carried out.
    #[error(transparent)]
    Prepare(#[from] crate::prepare::Error),
    /// A file could not be opened or written.
    #[error(transparent)]
    File(#[from] crate::io::Error),
    /// The sheet that names the reference spectra is faulty.
    #[error(transparent)]
    ReferenceSheet(#[from] crate::matching::ReferenceSheetError),
    /// A scale correction that is none.
    #[error("scale correction {0} is more than 1 % from 1; expected true/measured, such as 1.0002")]
    ScaleCorrection(f64),
}
