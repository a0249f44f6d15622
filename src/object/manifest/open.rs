//! Opens a manifest and checks that the files it names are there.

use std::path::{Path, PathBuf};

use super::rows::Section;
use super::{from_sheets, quoted};
use crate::object::error::{Error, Fault, FaultKind, Faults};
use crate::object::record::Manifest;

/// A manifest with the place that its paths start from.
#[derive(Clone, Debug)]
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
    let opened = if path.is_dir() {
        let toml = path.join("object.toml");
        if toml.is_file() { open_toml(&toml)? } else { open_sheets(path)? }
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
    String::from_utf8(bytes).map_err(|_| Error::NotText { path: path.to_owned() })
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
        if path.is_file() {
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
    let manifest = &opened.manifest;
    let name_of = |section: Section| -> String {
        opened
            .files
            .iter()
            .find(|path| path.ends_with(section.sheet()))
            .or(opened.files.first())
            .map_or_else(String::new, |path| path.display().to_string())
    };
    let mut named: Vec<(Section, usize, &str)> =
        manifest.spectra.iter().map(|s| (Section::Spectrum, s.line, s.file.as_str())).collect();
    named.extend(manifest.parts.iter().map(|p| (Section::Part, p.line, p.uv_visible.as_str())));
    for c in &manifest.candidates {
        for file in [&c.uv_visible, &c.reference] {
            named.push((Section::Candidate, c.line, file));
        }
    }
    named.push((Section::Object, 1, &manifest.object.film));
    let root = opened.folder.canonicalize().ok();
    let mut faults = Vec::new();
    for (section, line, file) in named {
        if file.is_empty() {
            continue;
        }
        let found = quoted(file);
        let kind = match (opened.path(file).canonicalize(), &root) {
            (Ok(real), Some(root)) if !real.starts_with(root) => {
                FaultKind::Path { found, why: "is a link that leads out of the manifest's folder" }
            }
            (Ok(real), _) if real.is_file() => continue,
            _ => FaultKind::NoFile { found },
        };
        faults.push(Fault { file: name_of(section), line, kind });
    }
    if faults.is_empty() { Ok(()) } else { Err(Error::Faults(Faults(faults))) }
}
