//! What stands at a path: asked, never opened.

use std::path::{Path, PathBuf};

/// Returns whether a regular file stands there, through links too.
#[must_use]
pub fn is_file(path: &Path) -> bool {
    path.is_file()
}

/// Returns whether a folder stands there, through links too.
#[must_use]
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// Returns whether anything stands there.
#[must_use]
pub fn is_there(path: &Path) -> bool {
    path.exists()
}

/// Returns the path without links and steps back; `None` where nothing stands there.
#[must_use]
pub fn real_path(path: &Path) -> Option<PathBuf> {
    path.canonicalize().ok()
}
