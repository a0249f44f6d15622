//! Whole files and standard input in, with a limit on their size.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use super::Error;

/// Larger files are refused: 512 MiB holds some 25 million points, far past any single export.
pub const LARGEST_FILE_BYTES: u64 = 512 * 1024 * 1024;

/// Reads a whole file of at most [`LARGEST_FILE_BYTES`].
///
/// # Errors
///
/// The file cannot be read, is a folder, or is too large.
pub fn open(path: &Path) -> Result<Vec<u8>, Error> {
    let fail = |source| Error::Read { path: path.to_owned(), source };
    let file = File::open(path).map_err(fail)?;
    let metadata = file.metadata().map_err(fail)?;
    if metadata.is_dir() {
        return Err(Error::Folder { path: path.to_owned() });
    }
    if metadata.len() > LARGEST_FILE_BYTES {
        return Err(Error::TooLarge { path: path.to_owned(), limit_bytes: LARGEST_FILE_BYTES });
    }
    read_limited(file, path, metadata.len(), LARGEST_FILE_BYTES)
}

/// As [`open`], for a file that the program keeps itself: `None` where nothing stands there, and an error
/// where anything but a regular file does, for a pipe would be waited on for ever.
///
/// # Errors
///
/// As for [`open`], and for what is no regular file.
pub fn open_regular(path: &Path) -> Result<Option<Vec<u8>>, Error> {
    let fail = |source| Error::Read { path: path.to_owned(), source };
    match std::fs::metadata(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(fail(error)),
        Ok(about) if about.is_file() => open(path).map(Some),
        Ok(_) => Err(fail(std::io::Error::other("it is no regular file"))),
    }
}

/// Opens a regular file that begins with these bytes, with the SHA-256 of all of it; `None` where another
/// file or none stands there. It may be larger than [`LARGEST_FILE_BYTES`]: it is not read at once.
///
/// # Errors
///
/// The file begins so, and cannot be read.
#[cfg(feature = "parquet")]
pub fn open_beginning_with(path: &Path, magic: &[u8]) -> Result<Option<(File, String)>, Error> {
    use std::io::Seek;
    // A pipe would lose what is read of it here.
    if !std::fs::metadata(path).is_ok_and(|about| about.is_file()) {
        return Ok(None);
    }
    let fail = |source| Error::Read { path: path.to_owned(), source };
    let mut file = File::open(path).map_err(fail)?;
    let mut first = vec![0; magic.len()];
    if file.read_exact(&mut first).is_err() || first != magic {
        return Ok(None);
    }
    file.rewind().map_err(fail)?;
    let sha256 = super::digest::sha256_of_all(&mut file).map_err(fail)?;
    file.rewind().map_err(fail)?;
    Ok(Some((file, sha256)))
}

/// Reads all of standard input, at most [`LARGEST_FILE_BYTES`].
///
/// # Errors
///
/// The stream cannot be read or is too large.
pub fn read_stdin() -> Result<Vec<u8>, Error> {
    read_limited(std::io::stdin().lock(), Path::new("-"), 0, LARGEST_FILE_BYTES)
}

fn read_limited(
    source: impl Read,
    path: &Path,
    expected: u64,
    limit_bytes: u64,
) -> Result<Vec<u8>, Error> {
    let capacity = usize::try_from(expected.min(limit_bytes)).unwrap_or(0);
    let mut bytes = Vec::with_capacity(capacity);
    // One byte past the limit tells a file of just that size from a longer stream.
    source
        .take(limit_bytes + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| Error::Read { path: path.to_owned(), source })?;
    if bytes.len() as u64 > limit_bytes {
        return Err(Error::TooLarge { path: path.to_owned(), limit_bytes });
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_up_to_the_limit_and_no_further() {
        let path = Path::new("-");
        let read = read_limited(&b"12345678"[..], path, 0, 8).expect("fits");
        assert_eq!(read, b"12345678");
        let error = read_limited(&b"123456789"[..], path, 0, 8).expect_err("too large");
        assert!(matches!(error, Error::TooLarge { limit_bytes: 8, .. }));
    }

    #[test]
    fn tells_a_missing_file_from_a_folder() {
        let folder = tempfile::tempdir().expect("a folder");
        let error = open(&folder.path().join("none.csv")).expect_err("missing");
        assert!(error.to_string().ends_with("none.csv: cannot be read: no such file or folder"));
        let error = open(folder.path()).expect_err("a folder");
        assert!(matches!(error, Error::Folder { .. }));
    }
}
