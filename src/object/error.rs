//! What can be wrong with a manifest.

use std::fmt;
use std::path::PathBuf;

use thiserror::Error;

/// Faults listed before the rest is only counted: enough to mend a sheet in one go, still a screen.
const LISTED_FAULTS: usize = 20;

/// Characters of a quoted text shown in a message.
const QUOTED_CHARACTERS: usize = 40;

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

/// Every fault of a manifest.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Faults(pub Vec<Fault>);

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.0.iter().take(LISTED_FAULTS).enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        if self.0.len() > LISTED_FAULTS {
            write!(f, "\nand {} more faults", self.0.len() - LISTED_FAULTS)?;
        }
        Ok(())
    }
}

/// One fault, with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Fault {
    /// File of the manifest.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// What is wrong.
    pub kind: FaultKind,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", printable(&self.file), self.line, self.kind)
    }
}

/// What is wrong at one place of a manifest.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum FaultKind {
    /// The text is not TOML or CSV.
    #[error("{0}")]
    Syntax(String),
    /// A table that manifests do not have.
    #[error(
        "unknown table {found}, expected one of object, measurement, part, spectrum, neighbour, candidate, colour, next_examination"
    )]
    UnknownSection {
        /// As written, quoted.
        found: String,
    },
    /// A field that the table does not have.
    #[error("unknown field {found} of {section}; known: {known}")]
    UnknownField {
        /// As written, quoted.
        found: String,
        /// The table.
        section: &'static str,
        /// The fields it has.
        known: String,
    },
    /// A value that the field cannot take.
    #[error("{field}: found {found}, expected {expected}")]
    Value {
        /// The field.
        field: String,
        /// As written, quoted.
        found: String,
        /// What it may be.
        expected: String,
    },
    /// A field that must not be blank.
    #[error("{section} without {field}; fill it in or delete the row")]
    Blank {
        /// The table.
        section: &'static str,
        /// The field.
        field: &'static str,
    },
    /// An id or a file listed twice.
    #[error("{what} {found} was already given on line {first}; give each its own")]
    Twice {
        /// What was given twice.
        what: &'static str,
        /// As written, quoted.
        found: String,
        /// Where it stood first.
        first: usize,
    },
    /// An id that nothing carries.
    #[error("{field}: no part or candidate is called {found}; add it, or mend the spelling")]
    NoSuchPart {
        /// The field.
        field: &'static str,
        /// As written, quoted.
        found: String,
    },
    /// A path that leads out of the manifest's folder.
    #[error("file {found} {why}; copy it beside the manifest and write its name")]
    Path {
        /// As written, quoted.
        found: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A file that is not there.
    #[error("file {found} is not there; mend the name, or take the row out")]
    NoFile {
        /// As written, quoted.
        found: String,
    },
    /// A file that is there but holds nothing that can be used.
    #[error("file {} cannot be used: {why}", quoted(found))]
    Unusable {
        /// As written.
        found: String,
        /// What is wrong with it.
        why: String,
    },
    /// More rows than one manifest may have.
    #[error("more than {limit} rows of {section}; split the object into several manifests")]
    TooMany {
        /// The table.
        section: &'static str,
        /// The limit.
        limit: usize,
    },
    /// Text longer than a field may be.
    #[error("{field}: {length} characters, at most {limit}")]
    TooLong {
        /// The field.
        field: String,
        /// Its length.
        length: usize,
        /// The limit.
        limit: usize,
    },
}

/// Returns the text in quotes, cut at 40 characters, control characters escaped.
pub(super) fn quoted(text: &str) -> String {
    let mut shown: String = printable(&text.chars().take(QUOTED_CHARACTERS).collect::<String>());
    if text.chars().count() > QUOTED_CHARACTERS {
        shown.push('…');
    }
    format!("\"{shown}\"")
}

/// Returns the text with control characters and direction marks escaped.
fn printable(text: &str) -> String {
    text.chars()
        .flat_map(|c| -> Box<dyn Iterator<Item = char>> {
            if unsafe_to_print(c) {
                Box::new(c.escape_unicode())
            } else {
                Box::new([c].into_iter())
            }
        })
        .collect()
}

/// Returns whether a character could rewrite a terminal or turn the direction of a line.
pub(super) fn unsafe_to_print(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
