//! Opens a manifest and checks that the files it names are there.

use std::path::{Path, PathBuf};

use super::from_sheets;
use super::path::unusable_path;
use super::rows::Section;
use crate::object::error::Error;
use crate::object::record::Manifest;
use crate::quote::in_marks;
use crate::tables::{Fault, Faults};

/// A manifest with the place that its paths start from.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct OpenedManifest {
    /// What is written in it.
    pub manifest: Manifest,
    /// The folder that its paths start from.
    pub folder: PathBuf,
    /// The file or files it was read from.
    pub files: Vec<PathBuf>,
}

impl OpenedManifest {
    /// Returns where a file that the manifest names is found.
    #[must_use]
    pub fn path(&self, file: &str) -> PathBuf {
        self.folder.join(file)
    }

    /// Returns every file that examining the object reads: the manifest's own and those it names.
    #[must_use]
    pub fn paths(&self) -> Vec<PathBuf> {
        let mut paths = self.files.clone();
        paths.extend(self.named().filter(|n| !n.2.is_empty()).map(|(_, _, file)| self.path(file)));
        paths
    }

    /// Returns the files that the manifest names, each with its section and line; an empty name is none.
    fn named(&self) -> impl Iterator<Item = (Section, usize, &str)> {
        let manifest = &self.manifest;
        let spectra = manifest.spectra.iter().map(|s| (Section::Spectrum, s.line, s.file.as_str()));
        let parts = manifest.parts.iter().map(|p| (Section::Part, p.line, p.uv_visible.as_str()));
        let candidates = manifest.candidates.iter().flat_map(|c| {
            [&c.uv_visible, &c.reference].map(|file| (Section::Candidate, c.line, file.as_str()))
        });
        let film = std::iter::once((Section::Object, 1, manifest.object.film.as_str()));
        spectra.chain(parts).chain(candidates).chain(film)
    }
}

/// Opens a manifest: a TOML file, a folder that holds `object.toml`, or a folder of CSV sheets
/// (`object.csv`, `parts.csv`, `spectra.csv`, …; one of its sheets may be named instead).
///
/// Every file it names is looked for before anything else is done, so that a missing one is told at
/// once and not after half of the work. A link that leads out of the folder is refused.
///
/// # Errors
///
/// The manifest cannot be read, or has faults; every fault is listed with its line.
pub fn open_manifest(path: &Path) -> Result<OpenedManifest, Error> {
    let opened = if crate::io::is_folder(path) {
        let toml = path.join("object.toml");
        if crate::io::is_file(&toml) { open_toml(&toml)? } else { open_sheets(path)? }
    } else if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv")) {
        open_sheets(parent(path))?
    } else {
        open_toml(path)?
    };
    check_files(&opened)?;
    Ok(opened)
}

fn parent(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    }
}

fn text(path: &Path) -> Result<String, Error> {
    let bytes = crate::io::open(path)?;
    let not_text = || Error::NotText { path: path.to_owned() };
    // A spreadsheet's "Unicode text" is UTF-16 with a mark. Elsewhere nothing is guessed: a manifest is
    // names and notes, and a letter read wrongly would be printed as a finding's.
    match encoding_rs::Encoding::for_bom(&bytes) {
        Some((encoding, _)) if encoding != encoding_rs::UTF_8 => {
            let (text, _, damaged) = encoding.decode(&bytes);
            (!damaged).then(|| text.into_owned()).ok_or_else(not_text)
        }
        _ => String::from_utf8(bytes).map_err(|_| not_text()),
    }
}

fn open_toml(path: &Path) -> Result<OpenedManifest, Error> {
    let manifest = Manifest::from_toml(&text(path)?, &path.display().to_string())?;
    let folder = parent(path).to_owned();
    Ok(OpenedManifest { manifest, folder, files: vec![path.to_owned()] })
}

fn open_sheets(folder: &Path) -> Result<OpenedManifest, Error> {
    let mut sheets = Vec::new();
    let mut files = Vec::new();
    for section in Section::ALL {
        let path = folder.join(section.sheet());
        if crate::io::is_file(&path) {
            sheets.push((section, path.display().to_string(), text(&path)?));
            files.push(path);
        }
    }
    if !sheets.iter().any(|(section, ..)| *section == Section::Part) {
        return Err(Error::NoManifest { path: folder.to_owned() });
    }
    let manifest = from_sheets(&sheets, &folder.display().to_string())?;
    Ok(OpenedManifest { manifest, folder: folder.to_owned(), files })
}

/// Looks for every file that the manifest names.
fn check_files(opened: &OpenedManifest) -> Result<(), Error> {
    let name_of = |section: Section| -> String {
        opened
            .files
            .iter()
            .find(|path| path.ends_with(section.sheet()))
            .or(opened.files.first())
            .map_or_else(String::new, |path| path.display().to_string())
    };
    let root = crate::io::real_path(&opened.folder);
    let mut faults = Vec::new();
    for (section, line, file) in opened.named() {
        if file.is_empty() {
            continue;
        }
        let what = match (crate::io::real_path(&opened.path(file)), &root) {
            (Some(real), Some(root)) if !real.starts_with(root) => {
                unusable_path(file, "is a link that leads out of the manifest's folder")
            }
            (Some(real), _) if crate::io::is_file(&real) => continue,
            _ => {
                format!("file {} is not there; mend the name, or take the row out", in_marks(file))
            }
        };
        faults.push(Fault::at(&name_of(section), line, what));
    }
    if faults.is_empty() { Ok(()) } else { Err(Error::Faults(Faults::in_order(faults))) }
}
