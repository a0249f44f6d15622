//! Exit codes, and what ends a run before its work is done.

use std::error::Error;
use std::fmt;
use std::io;
use std::process::ExitCode;

use bandlore::io::Error as FileError;

/// How a run ended. The numbers are a contract: scripts rely on them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Every input was answered, undecided answers included.
    Answered = 0,
    /// Some input could not be read or worked on; the others were answered.
    SomeInputFailed = 1,
    /// Wrong usage, a faulty table, or an output that could not be written.
    CouldNotWork = 2,
    /// `--require-identified` was given and an answer is undecided.
    Undecided = 3,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}

/// What stops a command before its work is done.
#[derive(Debug)]
pub enum Failure {
    /// Writing to standard output failed.
    Output(io::Error),
    /// The command cannot do what was asked, in words for the user.
    Usage(String),
    /// An error of the library.
    Library(Box<dyn Error + Send + Sync>),
}

impl Failure {
    /// Creates a failure in words for the user.
    pub fn usage(text: impl Into<String>) -> Self {
        Self::Usage(text.into())
    }

    /// Wraps an error of the library.
    pub fn library(error: impl Error + Send + Sync + 'static) -> Self {
        Self::Library(Box::new(error))
    }

    /// Returns whether the reader of our output went away, which is no fault.
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Output(error) => write!(f, "standard output: {error}"),
            Self::Usage(text) => f.write_str(text),
            Self::Library(error) => error.fmt(f),
        }
    }
}

impl Error for Failure {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::Library(error) => error.source(),
            Self::Output(_) | Self::Usage(_) => None,
        }
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        // An output file's errors carry its name; what is left is standard output.
        match error.downcast::<FileError>() {
            Ok(error) => Self::library(error),
            Err(error) => Self::Output(error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tells_a_closed_pipe_from_a_full_disk() {
        assert!(Failure::from(io::Error::from(io::ErrorKind::BrokenPipe)).is_closed_pipe());
        assert!(!Failure::from(io::Error::from(io::ErrorKind::StorageFull)).is_closed_pipe());
        assert!(!Failure::usage("no such column").is_closed_pipe());
    }
}
