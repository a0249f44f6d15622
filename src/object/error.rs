//! Why an object could not be examined.

use std::path::PathBuf;

use thiserror::Error;

use crate::tables::Faults;

/// Why an object could not be examined.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum Error {
    /// The manifest, or a file that it names, could not be opened.
    #[error(transparent)]
    Open(#[from] crate::io::Error),
    /// The manifest has faults.
    #[error("{0}")]
    Faults(Faults),
    /// The manifest is not UTF-8 text.
    #[error("{}: not UTF-8 text; save the manifest as UTF-8", path.display())]
    NotText {
        /// The manifest.
        path: PathBuf,
    },
    /// A folder holds no sheet of a manifest.
    #[error(
        "{}: no object.toml and no parts.csv in this folder; `bandlore object --start FOLDER` writes a first manifest",
        path.display()
    )]
    NoManifest {
        /// The folder.
        path: PathBuf,
    },
    /// A folder holds nothing that a manifest could start from.
    #[error("{}: no spectrum files here; looked for {looked_for}", path.display())]
    NothingToStartFrom {
        /// The folder.
        path: PathBuf,
        /// The file endings looked for.
        looked_for: String,
    },
    /// A manifest would have to lead out of its own folder.
    #[error(
        "{}: the exports do not lie in {} or below it, where paths of a manifest must lead; write the manifest into \
         the folder of the exports, or one above it",
        folder.display(),
        manifest_folder.display()
    )]
    ManifestElsewhere {
        /// The folder of the exports.
        folder: PathBuf,
        /// The folder that the manifest would stand in.
        manifest_folder: PathBuf,
    },
}
