//! What can go wrong between the program and the disk.

use std::path::PathBuf;

/// Why a file could not be opened or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The file cannot be read.
    #[error("{}: cannot be read: {}", path.display(), plain(source))]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: std::io::Error,
    },
    /// A folder stands where a file was expected.
    #[error("{}: is a folder, not a file", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// The file holds more bytes than are read.
    #[error(
        "{}: larger than {} MiB, the most that is read; split the file",
        path.display(), limit_bytes / (1024 * 1024)
    )]
    TooLarge {
        /// The file, or `-` for standard input.
        path: PathBuf,
        /// The limit in bytes.
        limit_bytes: u64,
    },
    /// A name that Windows keeps for a device.
    #[error(
        "{}: a name that Windows keeps for a device, where everything written is lost; give the file another \
         name",
        path.display()
    )]
    Device {
        /// The file.
        path: PathBuf,
    },
    /// The file cannot be written; nothing was left behind.
    #[error("{}: cannot be written: {}; nothing was left behind", path.display(), plain(source))]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: std::io::Error,
    },
}

/// Says what the system reported in words without capitals or error numbers.
fn plain(source: &std::io::Error) -> String {
    use std::io::ErrorKind as Kind;
    match source.kind() {
        Kind::NotFound => "no such file or folder".to_owned(),
        Kind::PermissionDenied => "permission denied".to_owned(),
        Kind::StorageFull => "no space left on the disk".to_owned(),
        Kind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        Kind::IsADirectory => "a folder of that name is there".to_owned(),
        Kind::NotADirectory => "a part of the path is a file, not a folder".to_owned(),
        Kind::FileTooLarge => "the disk refuses a file of that size".to_owned(),
        _ => source.to_string().to_lowercase(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn says_what_the_system_reported_in_plain_words() {
        let source = std::io::Error::from(std::io::ErrorKind::NotFound);
        let error = Error::Read { path: "film.csv".into(), source };
        assert_eq!(error.to_string(), "film.csv: cannot be read: no such file or folder");
        let source = std::io::Error::from(std::io::ErrorKind::StorageFull);
        let error = Error::Write { path: "out.csv".into(), source };
        assert_eq!(
            error.to_string(),
            "out.csv: cannot be written: no space left on the disk; nothing was left behind"
        );
        let error = Error::TooLarge { path: "map.csv".into(), limit_bytes: 512 * 1024 * 1024 };
        assert_eq!(
            error.to_string(),
            "map.csv: larger than 512 MiB, the most that is read; split the file"
        );
    }
}
