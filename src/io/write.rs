//! Files out: whole or not at all.

use std::fs::{self, File, OpenOptions};
use std::io::{BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::Error;

/// Names tried for the file beside; other programs' leftovers may hold the first ones.
const NAMES_TRIED: u32 = 100;

/// A file being written beside the one it will replace.
///
/// Nothing stands at the path until [`commit`](Self::commit); a file dropped before that is removed.
#[derive(Debug)]
pub struct WholeFile {
    path: PathBuf,
    beside: PathBuf,
    out: BufWriter<File>,
    committed: bool,
}

impl WholeFile {
    /// Opens a file beside `path`.
    ///
    /// # Errors
    ///
    /// The folder is not there or may not be written to.
    pub fn create(path: &Path) -> Result<Self, Error> {
        let (beside, file) =
            create_beside(path).map_err(|source| Error::Write { path: path.to_owned(), source })?;
        Ok(Self { path: path.to_owned(), beside, out: BufWriter::new(file), committed: false })
    }

    /// Puts the file in its place, replacing what stood there.
    ///
    /// # Errors
    ///
    /// The last bytes cannot be written or the file cannot be renamed. Then whatever stood at the
    /// path is unchanged and nothing new is left.
    pub fn commit(mut self) -> Result<(), Error> {
        let written = self
            .out
            .flush()
            .and_then(|()| self.out.get_ref().sync_all())
            .and_then(|()| fs::rename(&self.beside, &self.path));
        written.map_err(|source| Error::Write { path: self.path.clone(), source })?;
        self.committed = true;
        sync_folder(&self.path);
        Ok(())
    }
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.out.write(bytes)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.out.flush()
    }
}

impl Drop for WholeFile {
    fn drop(&mut self) {
        if !self.committed {
            // What went wrong is reported by whoever dropped it; a failure here adds nothing.
            let _ = fs::remove_file(&self.beside);
        }
    }
}

/// Creates a folder and those above it, where they are not there yet.
///
/// # Errors
///
/// The folder cannot be created.
pub fn create_folder(path: &Path) -> Result<(), Error> {
    std::fs::create_dir_all(path).map_err(|source| Error::Write { path: path.to_owned(), source })
}

/// Writes `bytes` to `path` by way of a file beside it, so that a reader sees the old file or the
/// whole new one.
///
/// # Errors
///
/// The file cannot be written. Then whatever stood at `path` is unchanged and nothing new is left.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Error> {
    let mut file = WholeFile::create(path)?;
    file.write_all(bytes).map_err(|source| Error::Write { path: path.to_owned(), source })?;
    file.commit()
}

fn create_beside(path: &Path) -> std::io::Result<(PathBuf, File)> {
    let name = path.file_name().ok_or_else(|| std::io::Error::from(ErrorKind::IsADirectory))?;
    for attempt in 0..NAMES_TRIED {
        let mut beside = std::ffi::OsString::from(".");
        beside.push(name);
        beside.push(format!(".{}-{attempt}.part", std::process::id()));
        let beside = path.with_file_name(beside);
        match OpenOptions::new().write(true).create_new(true).open(&beside) {
            Ok(file) => return Ok((beside, file)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(std::io::Error::from(ErrorKind::AlreadyExists))
}

/// Makes the rename last through a power cut where the system can; elsewhere it is still atomic.
fn sync_folder(path: &Path) {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .expect("a folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn replaces_a_file_whole() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("report.json");
        write_whole(&path, b"first").expect("written");
        write_whole(&path, b"second").expect("written");
        assert_eq!(fs::read(&path).expect("read"), b"second");
        assert_eq!(names(folder.path()), ["report.json"]);
    }

    #[test]
    fn leaves_nothing_behind_when_it_fails() {
        let folder = tempfile::tempdir().expect("a folder");
        // A folder that is not empty stands in the way of the rename.
        let path = folder.path().join("report.json");
        fs::create_dir(&path).expect("a folder");
        fs::write(path.join("kept.txt"), b"kept").expect("written");
        let error = write_whole(&path, b"text").expect_err("in the way");
        assert!(error.to_string().contains("nothing was left behind"), "{error}");
        assert_eq!(names(folder.path()), ["report.json"]);
        assert_eq!(names(&path), ["kept.txt"]);
    }

    #[test]
    fn removes_a_file_that_was_never_finished() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("report.json");
        let mut file = WholeFile::create(&path).expect("opened");
        file.write_all(b"half").expect("written");
        drop(file);
        assert!(names(folder.path()).is_empty());
    }

    #[test]
    fn names_a_folder_that_is_not_there() {
        let folder = tempfile::tempdir().expect("a folder");
        let error =
            write_whole(&folder.path().join("no/report.json"), b"x").expect_err("no folder");
        assert!(error.to_string().contains("no such file or folder"), "{error}");
    }
}
