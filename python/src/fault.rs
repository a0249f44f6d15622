//! What went wrong, on its way to an exception with file, line and remedy.

use std::error::Error;
use std::path::Path;

use bandlore::{io::Error as FileError, object::Error as ObjectError, read::Error as ReadError};
use pyo3::prelude::*;

/// An error of the library, taken apart.
#[derive(Clone, Debug)]
pub struct Fault {
    /// The class in `bandlore.errors`.
    class: &'static str,
    /// The whole message.
    text: String,
    file: Option<String>,
    line: Option<usize>,
}

impl Fault {
    /// A call that cannot be carried out as it was made.
    pub fn usage(text: impl Into<String>) -> Self {
        Self { class: "UsageError", text: text.into(), file: None, line: None }
    }

    /// An error of the library in its own words and those of its causes, on one line.
    pub fn library(error: &(dyn Error + 'static)) -> Self {
        Self::of_class("BandloreError", error)
    }

    /// A table that cannot be used.
    pub fn table(folder: &Path, error: &(dyn Error + 'static)) -> Self {
        let file = Some(folder.to_string_lossy().into_owned());
        Self { file, ..Self::of_class("TableError", error) }
    }

    fn of_class(class: &'static str, error: &(dyn Error + 'static)) -> Self {
        let mut text = error.to_string();
        let mut cause = error.source();
        while let Some(error) = cause {
            let said = error.to_string();
            // The library's own errors say in plain words what the system reported.
            if !error.is::<std::io::Error>() && !text.ends_with(&said) {
                text.push_str(": ");
                text.push_str(&said);
            }
            cause = error.source();
        }
        Self { class, text, file: None, line: None }
    }

    /// Makes the exception.
    pub fn raise(self, py: Python<'_>) -> PyErr {
        // Messages end with what to do, after the last semicolon.
        let remedy = self.text.rsplit_once("; ").map(|(_, remedy)| remedy.to_owned());
        let made = py
            .import("bandlore.errors")
            .and_then(|module| module.getattr(self.class))
            .and_then(|class| class.call1((self.text, self.file, self.line, remedy)));
        match made {
            Ok(exception) => PyErr::from_value(exception),
            Err(error) => error,
        }
    }
}

impl From<&ReadError> for Fault {
    fn from(error: &ReadError) -> Self {
        match error {
            ReadError::Open(error) => Self::from(error),
            ReadError::Content { file, line, .. } => {
                Self { file: Some(file.clone()), line: *line, ..Self::of_class("ReadError", error) }
            }
            other => Self::of_class("ReadError", other),
        }
    }
}

impl From<&FileError> for Fault {
    fn from(error: &FileError) -> Self {
        let path = match error {
            FileError::Read { path, .. }
            | FileError::Folder { path }
            | FileError::TooLarge { path, .. }
            | FileError::Write { path, .. } => Some(path.to_string_lossy().into_owned()),
            _ => None,
        };
        Self { file: path, ..Self::of_class("FileError", error) }
    }
}

impl From<&bandlore::Error> for Fault {
    fn from(error: &bandlore::Error) -> Self {
        match error {
            bandlore::Error::Read(error) => Self::from(error),
            bandlore::Error::File(error) => Self::from(error),
            bandlore::Error::Object(error) => Self::from(error),
            other => Self::library(other),
        }
    }
}

impl From<&ObjectError> for Fault {
    fn from(error: &ObjectError) -> Self {
        match error {
            ObjectError::Open(error) => Self::from(error),
            ObjectError::Faults(faults) => {
                let first = faults.all().first();
                Self {
                    file: first.map(|fault| fault.file.clone()),
                    line: first.and_then(|fault| usize::try_from(fault.line?).ok()),
                    ..Self::of_class("ManifestError", error)
                }
            }
            other => Self::of_class("ManifestError", other),
        }
    }
}
