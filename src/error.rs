//! One error that wraps those of the stages and adds nothing.

use crate::spectrum::zones::{VAPOUR_LINES_CM1, Zone};

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
    /// A sheet that names reference spectra, or labels spectra for shapes, is faulty.
    #[error(transparent)]
    Sheet(#[from] crate::tables::Faults),
    /// A folder of references cannot be used.
    #[error("{folder}: {why}", folder = folder.display())]
    References {
        /// The folder.
        folder: std::path::PathBuf,
        /// Why, and what to do.
        why: String,
    },
    /// Measured vapour could not be subtracted.
    #[error(
        "the vapour cannot be subtracted: {0}; both spectra must cover {stretches} cm\u{207b}\u{b9}, and the \
         vapour must show its lines there",
        stretches = VAPOUR_LINES_CM1.map(ends).join(" or ")
    )]
    Vapour(#[source] crate::linalg::Error),
    /// Fringes could not be taken out.
    #[error("the fringes cannot be taken out: {0}")]
    Fringes(#[source] crate::linalg::Error),
    /// A scale correction that is none.
    #[error("scale correction {0} is more than 1 % from 1; expected true/measured, such as 1.0002")]
    ScaleCorrection(f64),
}

fn ends((low_cm1, high_cm1): Zone) -> String {
    format!("{low_cm1} to {high_cm1}")
}
