//! Lists the files below a folder.

use std::path::{Path, PathBuf};

use super::Error;

/// Folders looked into below the given one, so that a loop of links ends.
const DEEPEST: usize = 4;

/// Returns the files below a folder that have one of the given endings, sorted, as paths relative
/// to it with forward slashes; at most `most` of them.
///
/// Hidden files, linked folders, and names that are not Unicode are left out. Endings are compared
/// without regard to case.
///
/// # Errors
///
/// The folder cannot be read.
pub fn list_files(folder: &Path, endings: &[&str], most: usize) -> Result<Vec<String>, Error> {
    let mut files = Vec::new();
    collect(folder, Path::new(""), endings, most, 0, &mut files)
        .map_err(|source| Error::Read { path: folder.to_owned(), source })?;
    files.sort();
    Ok(files)
}

fn collect(
    folder: &Path,
    below: &Path,
    endings: &[&str],
    most: usize,
    depth: usize,
    files: &mut Vec<String>,
) -> std::io::Result<()> {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder.join(below))?
        .filter_map(Result::ok)
        .map(|entry| below.join(entry.file_name()))
        .collect();
    entries.sort();
    for entry in entries {
        let path = folder.join(&entry);
        let Some(name) = entry.to_str() else { continue };
        let hidden = entry.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'));
        if hidden || files.len() >= most {
            continue;
        }
        if path.is_dir() {
            if depth < DEEPEST && !path.is_symlink() {
                collect(folder, &entry, endings, most, depth + 1, files)?;
            }
        } else if entry
            .extension()
            .and_then(|e| e.to_str())
            .is_some_and(|e| endings.contains(&e.to_lowercase().as_str()))
        {
            files.push(name.replace(std::path::MAIN_SEPARATOR, "/"));
        }
    }
    Ok(())
}
