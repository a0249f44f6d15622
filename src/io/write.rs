//! Files out: whole or not at all.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use tempfile::{NamedTempFile, TempPath};

use super::Error;

/// The files beside their places that are not finished, by their paths: taken off the list, a file is removed. They
/// stand here and not with their writers, because nobody drops what a writer holds when a signal ends the program.
static UNFINISHED: Mutex<BTreeMap<PathBuf, TempPath>> = Mutex::new(BTreeMap::new());

/// Held while files take their places, so that no signal ends the program between two of them.
static PLACING: Mutex<()> = Mutex::new(());

/// While it lives, no file takes its place and none is begun.
#[derive(Debug)]
pub struct Discarded {
    _placing: MutexGuard<'static, ()>,
    _unfinished: MutexGuard<'static, BTreeMap<PathBuf, TempPath>>,
}

/// Removes every unfinished file, once those that are taking their places have done so.
///
/// For a program that is about to end on a signal: keep what is returned until it has.
#[must_use]
pub fn discard_unfinished() -> Discarded {
    let placing = locked(&PLACING);
    let mut unfinished = locked(&UNFINISHED);
    unfinished.clear();
    Discarded { _placing: placing, _unfinished: unfinished }
}

fn locked<T>(mutex: &'static Mutex<T>) -> MutexGuard<'static, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A file being written beside the one it will replace.
///
/// Nothing stands at the path until [`commit`](Self::commit); a file dropped before that is removed.
/// A link is kept and the file it leads to replaced, with the rights that it had; a device or a pipe
/// is written to as it is.
#[derive(Debug)]
pub struct WholeFile {
    path: PathBuf,
    /// The file beside, in the list of those unfinished; `None` once it has its place, and where the path is no file
    /// that could be replaced.
    beside: Option<PathBuf>,
    out: BufWriter<File>,
}

impl WholeFile {
    /// Opens a file beside `path`.
    ///
    /// # Errors
    ///
    /// The folder is not there or may not be written to.
    pub fn create(path: &Path) -> Result<Self, Error> {
        let fail = |source| Error::Write { path: path.to_owned(), source };
        let about = fs::metadata(path).ok();
        // Renaming over /dev/null would leave the machine without it.
        if about.as_ref().is_some_and(|about| !about.is_file() && !about.is_dir()) {
            let file = OpenOptions::new().write(true).open(path).map_err(fail)?;
            let (path, out) = (path.to_owned(), BufWriter::new(file));
            return Ok(Self { path, beside: None, out });
        }
        let name = path.file_name().unwrap_or_default();
        if cfg!(windows) && is_device_on_windows(&name.to_string_lossy()) {
            return Err(Error::Device { path: path.to_owned() });
        }
        // Only a link is followed. Made absolute, any other path would be told in a form that its user
        // never wrote, and that few programs of Windows take.
        let leads_to = path.is_symlink().then(|| fs::canonicalize(path).ok()).flatten();
        let path = leads_to.unwrap_or_else(|| path.to_owned());
        let (beside, file) = create_beside(&path).map_err(fail)?;
        if let Some(about) = about.filter(fs::Metadata::is_file) {
            // Now, not at the end: what only its owner may read is never open to others. Where the disk
            // knows no rights there are none to keep.
            let _ = file.set_permissions(about.permissions());
        }
        Ok(Self { path, beside: Some(beside), out: BufWriter::new(file) })
    }

    /// Puts the file in its place, replacing what stood there.
    ///
    /// # Errors
    ///
    /// The last bytes cannot be written or the file cannot be renamed. Then whatever stood at the
    /// path is unchanged and nothing new is left.
    pub fn commit(mut self) -> Result<(), Error> {
        self.settle()?;
        let _placing = locked(&PLACING);
        self.place()
    }

    /// Puts several files in their places: all of them, or none.
    ///
    /// Every file is written out to the disk before the first takes its place, and what stood in
    /// the places is kept until the last has taken its own. Two programs that do so in the same folders
    /// wait for each other, so that their files never mix.
    ///
    /// # Errors
    ///
    /// One of the files cannot be written or renamed. Then every place is as it was before.
    pub fn commit_all(mut files: Vec<Self>) -> Result<(), Error> {
        for file in &mut files {
            file.settle()?;
        }
        let _folders = lock_folders(&files);
        let _placing = locked(&PLACING);
        let mut placed: Vec<(PathBuf, Option<TempPath>)> = Vec::new();
        // A device has no place to take, and nothing of it could be kept.
        for mut file in files.into_iter().filter(|file| file.beside.is_some()) {
            let old = keep_old(&file.path)
                .map_err(|source| Error::Write { path: file.path.clone(), source })
                .and_then(|old| file.place().map(|()| old));
            match old {
                Ok(old) => placed.push((file.path.clone(), old)),
                Err(error) => {
                    put_back(placed);
                    return Err(error);
                }
            }
        }
        Ok(())
    }

    /// Writes the last bytes to the disk, still beside the place.
    fn settle(&mut self) -> Result<(), Error> {
        let written = self.out.flush().and_then(|()| match self.beside {
            Some(_) => self.out.get_ref().sync_all(),
            None => Ok(()),
        });
        written.map_err(|source| Error::Write { path: self.path.clone(), source })
    }

    /// Takes the place.
    fn place(&mut self) -> Result<(), Error> {
        // A device or a pipe was written in its place.
        let Some(beside) = self.beside.take() else { return Ok(()) };
        let failed = |source| Error::Write { path: self.path.clone(), source };
        let beside = locked(&UNFINISHED)
            .remove(&beside)
            .ok_or_else(|| failed(std::io::Error::other("it was discarded before it was whole")))?;
        beside.persist(&self.path).map_err(|placing| failed(placing.error))?;
        sync_folder(&self.path);
        Ok(())
    }

    /// Puts the path to what the system says, for those who only see an [`std::io::Error`].
    fn name(&self, source: std::io::Error) -> std::io::Error {
        std::io::Error::new(source.kind(), Error::Write { path: self.path.clone(), source })
    }
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.out.write(bytes).map_err(|source| self.name(source))
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.out.flush().map_err(|source| self.name(source))
    }
}

impl Drop for WholeFile {
    fn drop(&mut self) {
        if let Some(beside) = &self.beside {
            // The list is held until the file is gone, so that no signal comes between.
            drop(locked(&UNFINISHED).remove(beside));
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
    let written = file.out.write_all(bytes);
    written.map_err(|source| Error::Write { path: path.to_owned(), source })?;
    file.commit()
}

/// Opens a new file beside `path`, and notes it as unfinished.
///
/// It is opened as any file is, not for its owner alone as temporary files are: the user's mask says who may read it.
fn create_beside(path: &Path) -> std::io::Result<(PathBuf, File)> {
    // Held over both, so that a signal finds it in the list or not on the disk.
    let mut unfinished = locked(&UNFINISHED);
    let made =
        make_beside(path, |beside| OpenOptions::new().write(true).create_new(true).open(beside))?;
    let (file, beside) = made.into_parts();
    let name = beside.to_path_buf();
    unfinished.insert(name.clone(), beside);
    Ok((name, file))
}

/// Makes something beside `path`, under a hidden name that nothing has yet.
fn make_beside<T>(
    path: &Path,
    make: impl FnMut(&Path) -> std::io::Result<T>,
) -> std::io::Result<NamedTempFile<T>> {
    let name = path.file_name().ok_or_else(|| std::io::Error::from(ErrorKind::IsADirectory))?;
    let mut before = OsString::from(".");
    before.push(name);
    before.push(".");
    tempfile::Builder::new().prefix(&before).suffix(".part").make_in(folder_of(path), make)
}

/// Keeps what stands at a path under another name beside it; `None` where nothing stands there.
fn keep_old(path: &Path) -> std::io::Result<Option<TempPath>> {
    match fs::symlink_metadata(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(error),
        Ok(about) if about.is_dir() => return Err(ErrorKind::IsADirectory.into()),
        Ok(_) => {}
    }
    // A second name costs nothing and never leaves the place empty; not every disk has such names.
    let kept = make_beside(path, |old| {
        fs::hard_link(path, old).or_else(|error| match error.kind() {
            ErrorKind::AlreadyExists => Err(error),
            _ => fs::copy(path, old).map(drop).inspect_err(|_| drop(fs::remove_file(old))),
        })
    })?;
    Ok(Some(kept.into_temp_path()))
}

/// Puts back what stood in the places before. Where that fails a file is left beside, never half a file in a place.
fn put_back(placed: Vec<(PathBuf, Option<TempPath>)>) {
    for (path, old) in placed {
        let _ = match old {
            Some(old) => old.persist(&path).or_else(|failed| failed.path.keep().map(drop)).is_ok(),
            None => fs::remove_file(path).is_ok(),
        };
    }
}

/// Locks the folders that files are placed in, in one order for all programs; the locks go with the
/// handles. Where a disk has no locks the files are placed without.
fn lock_folders(files: &[WholeFile]) -> Vec<File> {
    let folders: BTreeSet<PathBuf> = files
        .iter()
        .filter(|file| file.beside.is_some())
        .filter_map(|file| folder_of(&file.path).canonicalize().ok())
        .collect();
    let open = folders.iter().filter_map(|folder| File::open(folder).ok());
    open.filter(|folder| folder.lock().is_ok()).collect()
}

/// Returns whether Windows takes a file of this name for a device, whatever its ending: what is written there is
/// lost without a word (Microsoft, "Naming Files, Paths, and Namespaces", reserved names).
fn is_device_on_windows(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default().trim_end().to_ascii_uppercase();
    let number = |port: &str| {
        let last = stem.strip_prefix(port)?;
        Some(matches!(
            last,
            "0" | "1" | "2" | "3" | "4" | "5" | "6" | "7" | "8" | "9" | "¹" | "²" | "³"
        ))
    };
    matches!(stem.as_str(), "CON" | "PRN" | "AUX" | "NUL" | "CONIN$" | "CONOUT$")
        || number("COM").or_else(|| number("LPT")).unwrap_or(false)
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Makes the rename last through a power cut where the system can; elsewhere it is still atomic.
fn sync_folder(path: &Path) {
    if let Ok(folder) = File::open(folder_of(path)) {
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
    fn names_of_devices_are_known_with_any_ending() {
        for device in [
            "NUL",
            "nul.txt",
            "Con",
            "CON.report.html",
            "aux .csv",
            "prn.",
            "COM1",
            "lpt9.docx",
            "com².x",
        ] {
            assert!(is_device_on_windows(device), "{device}");
        }
        for file in [
            "null.txt",
            "console.csv",
            "COM.html",
            "com10.csv",
            "report.con",
            "lpt.md",
            "V02.csv",
            "",
        ] {
            assert!(!is_device_on_windows(file), "{file}");
        }
    }

    #[test]
    #[cfg(unix)]
    fn a_path_is_told_as_it_was_given_and_only_a_link_is_followed() {
        let folder = tempfile::tempdir().expect("a folder");
        let below = folder.path().join("below");
        fs::create_dir(&below).expect("a folder");
        let told = below.join("../below/report.md");
        let mut file = WholeFile::create(&told).expect("beside");
        assert_eq!(file.path, told);
        file.write_all(b"1").expect("written");
        file.commit().expect("placed");
        assert_eq!(fs::read(below.join("report.md")).expect("there"), b"1");
        let link = folder.path().join("link.md");
        std::os::unix::fs::symlink(below.join("report.md"), &link).expect("linked");
        let file = WholeFile::create(&link).expect("beside");
        assert_eq!(file.path, fs::canonicalize(below.join("report.md")).expect("there"));
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

    fn staged(path: &Path, text: &[u8]) -> WholeFile {
        let mut file = WholeFile::create(path).expect("opened");
        file.write_all(text).expect("written");
        file
    }

    #[test]
    fn several_files_take_their_places_together() {
        let folder = tempfile::tempdir().expect("a folder");
        let (a, b) = (folder.path().join("a.html"), folder.path().join("b.json"));
        fs::write(&a, b"old a").expect("written");
        WholeFile::commit_all(vec![staged(&a, b"new a"), staged(&b, b"new b")]).expect("placed");
        assert_eq!(fs::read(&a).expect("read"), b"new a");
        assert_eq!(fs::read(&b).expect("read"), b"new b");
        assert_eq!(names(folder.path()), ["a.html", "b.json"]);
    }

    #[test]
    fn one_file_that_cannot_take_its_place_keeps_the_others_out() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = |name: &str| folder.path().join(name);
        let (old, new, blocked) = (path("a.html"), path("b.json"), path("c.md"));
        fs::write(&old, b"old a").expect("written");
        fs::create_dir(&blocked).expect("a folder");
        fs::write(blocked.join("kept.txt"), b"kept").expect("written");
        let files = vec![staged(&old, b"a"), staged(&new, b"b"), staged(&blocked, b"c")];
        let error = WholeFile::commit_all(files).expect_err("in the way").to_string();
        assert!(error.contains("c.md"), "{error}");
        assert_eq!(fs::read(&old).expect("read"), b"old a");
        assert_eq!(names(folder.path()), ["a.html", "c.md"]);
        assert_eq!(names(&blocked), ["kept.txt"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_replaced_file_keeps_its_rights() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("report.html");
        let mode = |path: &Path| fs::metadata(path).expect("there").permissions().mode() & 0o777;
        for rights in [0o600, 0o640, 0o444] {
            fs::write(&path, b"old").expect("written");
            fs::set_permissions(&path, fs::Permissions::from_mode(rights)).expect("set");
            let file = staged(&path, b"new");
            assert_eq!(mode(file.beside.as_deref().expect("beside")), rights, "while written");
            file.commit().expect("placed");
            assert_eq!(mode(&path), rights);
            WholeFile::commit_all(vec![staged(&path, b"newer")]).expect("placed");
            assert_eq!((mode(&path), fs::read(&path).expect("read")), (rights, b"newer".to_vec()));
            fs::remove_file(&path).expect("removed");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_new_file_is_open_to_those_whom_the_mask_lets_in() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        let mode = |name: &str| {
            fs::metadata(folder.path().join(name)).expect("there").permissions().mode() & 0o777
        };
        // The system's own way to make a file says what the mask of this process is.
        File::create(folder.path().join("plain.txt")).expect("made");
        write_whole(&folder.path().join("one.txt"), b"text").expect("written");
        WholeFile::commit_all(vec![staged(&folder.path().join("of_all.txt"), b"text")])
            .expect("placed");
        assert_eq!([mode("one.txt"), mode("of_all.txt")], [mode("plain.txt"); 2]);
    }

    #[test]
    fn a_file_that_was_discarded_says_so_and_takes_no_place() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("report.json");
        let file = staged(&path, b"half");
        // What a signal does to every file of the list, done to this one.
        drop(locked(&UNFINISHED).remove(file.beside.as_ref().expect("a file beside")));
        let error = file.commit().expect_err("discarded").to_string();
        assert!(error.contains("report.json") && error.contains("discarded"), "{error}");
        assert!(names(folder.path()).is_empty());
    }

    #[test]
    fn what_other_programs_left_beside_is_in_nobodys_way_and_stays() {
        let folder = tempfile::tempdir().expect("a folder");
        let left = format!(".report.json.{}-0.part", std::process::id());
        fs::write(folder.path().join(&left), b"theirs").expect("written");
        let path = folder.path().join("report.json");
        write_whole(&path, b"first").expect("written");
        WholeFile::commit_all(vec![staged(&path, b"second")]).expect("placed");
        assert_eq!(names(folder.path()), [left, "report.json".to_owned()]);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn the_files_of_two_runs_never_mix() {
        let folder = tempfile::tempdir().expect("a folder");
        let paths: Vec<PathBuf> =
            ["a.html", "b.json", "c.md"].iter().map(|name| folder.path().join(name)).collect();
        // A lock belongs to an open folder, so that threads are kept apart as programs are; the list of
        // files that take their places is one for a program, so that it is left out of this.
        let place = |text: &[u8]| {
            for _ in 0..60 {
                let files: Vec<WholeFile> = paths.iter().map(|path| staged(path, text)).collect();
                let _folders = lock_folders(&files);
                for mut file in files {
                    file.settle().expect("settled");
                    file.place().expect("placed");
                    std::thread::yield_now();
                }
                let read: Vec<Vec<u8>> =
                    paths.iter().map(|path| fs::read(path).expect("read")).collect();
                assert!(read.iter().all(|found| found == text), "mixed: {read:?}");
            }
        };
        std::thread::scope(|scope| {
            scope.spawn(|| place(b"one"));
            scope.spawn(|| place(b"two"));
        });
    }

    #[test]
    fn names_a_folder_that_is_not_there() {
        let folder = tempfile::tempdir().expect("a folder");
        let error =
            write_whole(&folder.path().join("no/report.json"), b"x").expect_err("no folder");
        assert!(error.to_string().contains("no such file or folder"), "{error}");
    }
}
