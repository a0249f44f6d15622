//! From the FILE arguments to the list of files to read.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use bandlore::object::SPECTRUM_ENDINGS;

use super::Failure;
use super::terminal::Terminal;

/// Folders nested deeper than this are taken for a loop of links.
const DEEPEST_FOLDER: usize = 32;

/// Files passed over that a note names.
const MOST_NAMED: usize = 8;

/// Expands folders and, where the shell did not, patterns; keeps the order of the arguments.
///
/// A named file is always read, whatever its ending. From a folder only the endings of text
/// spectra are taken, in the order of their names; what is passed over is noted.
///
/// A pattern or a folder without a spectrum ends the run: a figure or a comparison that lacks a file would be taken for
/// whole.
pub fn expand(arguments: &[PathBuf], terminal: &Terminal) -> Result<Vec<PathBuf>, Failure> {
    match listed(arguments, terminal)? {
        (_, Some(empty)) => Err(Failure::usage(empty)),
        (files, None) => Ok(files),
    }
}

/// As [`expand`], of a batch, which goes on past what holds nothing and says so.
pub fn expand_batch(arguments: &[PathBuf], terminal: &Terminal) -> Result<Vec<PathBuf>, Failure> {
    match listed(arguments, terminal)? {
        (files, Some(empty)) if files.is_empty() => Err(Failure::usage(empty)),
        (files, empty) => {
            empty.iter().for_each(|text| terminal.error(text));
            Ok(files)
        }
    }
}

/// Returns the files, and what is said of arguments without any.
fn listed(
    arguments: &[PathBuf],
    terminal: &Terminal,
) -> Result<(Vec<PathBuf>, Option<String>), Failure> {
    let mut files = Vec::new();
    let mut empty = Vec::new();
    for argument in arguments {
        // One question to the system a file: a batch asks it of thousands before any is read.
        let about = fs::metadata(argument);
        if about.as_ref().is_ok_and(|about| about.is_dir()) {
            let before = files.len();
            let mut passed_over = Vec::new();
            walk(argument, DEEPEST_FOLDER, &mut files, &mut passed_over)?;
            if files.len() == before {
                empty.push(format!(
                    "{}: no spectra in this folder; looked for the endings .{}",
                    argument.display(),
                    SPECTRUM_ENDINGS.join(" .")
                ));
            }
            if !passed_over.is_empty() {
                let count = passed_over.len();
                let named =
                    passed_over.iter().take(MOST_NAMED).map(|path| path.display().to_string());
                let mut named: Vec<String> = named.collect();
                if count > MOST_NAMED {
                    named.push(format!("{} more", count - MOST_NAMED));
                }
                terminal.note(&format!(
                    "{}: {} passed over, whose ending is not that of a spectrum; one that is a spectrum is read by its \
                     name: {}",
                    argument.display(),
                    counted(count, "file"),
                    named.join(", ")
                ));
            }
        } else if about.is_ok() || !is_pattern(argument) {
            files.push(argument.clone());
        } else {
            let found = matching(argument)?;
            if found.is_empty() {
                empty.push(format!("{}: no file fits this pattern", argument.display()));
            }
            files.extend(found);
        }
    }
    Ok((files, (!empty.is_empty()).then(|| empty.join("; "))))
}

/// Returns "1 file" or "3 files".
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// Says whether a path that leads to nothing may be a pattern. The question mark of a long path of Windows
/// (`\\\\?\\C:\\…`) stands for nothing.
fn is_pattern(path: &Path) -> bool {
    let text = path.to_string_lossy();
    text.strip_prefix(r"\\?\").unwrap_or(&text).contains(['*', '?', '['])
}

fn matching(pattern: &Path) -> Result<Vec<PathBuf>, Failure> {
    let text = pattern.to_string_lossy();
    let paths = glob::glob(&text)
        .map_err(|error| Failure::usage(format!("{text}: not a file pattern: {error}")))?;
    let files: BTreeSet<PathBuf> = paths.filter_map(Result::ok).filter(|p| p.is_file()).collect();
    Ok(files.into_iter().collect())
}

fn walk(
    folder: &Path,
    depth_left: usize,
    files: &mut Vec<PathBuf>,
    passed_over: &mut Vec<PathBuf>,
) -> Result<(), Failure> {
    let unreadable =
        |error: std::io::Error| Failure::usage(format!("{}: {error}", folder.display()));
    let mut entries = Vec::new();
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        entries.push(entry.map_err(unreadable)?.path());
    }
    entries.sort();
    for path in entries {
        let hidden = path.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'));
        if hidden {
            continue;
        }
        if path.is_dir() {
            if depth_left == 0 {
                return Err(Failure::usage(format!(
                    "{}: folders nested more than {DEEPEST_FOLDER} deep; links in a loop?",
                    path.display()
                )));
            }
            walk(&path, depth_left - 1, files, passed_over)?;
        } else if has_spectrum_ending(&path) {
            files.push(path);
        } else {
            passed_over.push(path);
        }
    }
    Ok(())
}

fn has_spectrum_ending(path: &Path) -> bool {
    path.extension()
        .and_then(|e| e.to_str())
        .is_some_and(|ending| SPECTRUM_ENDINGS.contains(&ending.to_ascii_lowercase().as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_spectra_of_a_folder_in_order_and_passes_over_pictures() {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("b")).expect("a folder");
        for name in ["c.CSV", "a.dx", "photo.jpg", ".hidden.csv", "b/d.txt"] {
            fs::write(folder.path().join(name), "x").expect("a file");
        }
        let terminal = Terminal::new(true);
        let files = expand(&[folder.path().to_path_buf()], &terminal).expect("files");
        let names: Vec<String> = files
            .iter()
            .map(|f| f.strip_prefix(folder.path()).expect("inside").display().to_string())
            .collect();
        assert_eq!(names, ["a.dx", "b/d.txt", "c.CSV"]);
        let pattern = folder.path().join("*.dx");
        assert_eq!(expand(&[pattern], &terminal).expect("files").len(), 1);
        assert!(expand(&[folder.path().join("*.none")], &terminal).is_err());
    }

    #[test]
    fn knows_patterns_from_paths_of_every_system() {
        for pattern in [
            "*.csv",
            r"C:\exports\*.csv",
            r"\\?\C:\exports\a?.csv",
            "/mnt/[ab].dx",
            r"\\server\day\*.dx",
        ] {
            assert!(is_pattern(Path::new(pattern)), "{pattern}");
        }
        for path in [
            r"C:\exports\a.csv",
            r"\\?\C:\exports\a.csv",
            r"\\server\day\a.csv",
            "./a b.csv",
            "~/a.csv",
        ] {
            assert!(!is_pattern(Path::new(path)), "{path}");
        }
    }

    #[test]
    fn keeps_a_missing_file_so_that_reading_can_say_so() {
        let terminal = Terminal::new(true);
        let files = expand(&[PathBuf::from("no-such.csv")], &terminal).expect("kept");
        assert_eq!(files, [PathBuf::from("no-such.csv")]);
    }
}
