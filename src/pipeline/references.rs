//! A folder of the user's own reference spectra: read once, cached, asked for a second opinion.

use std::path::{Path, PathBuf};

use super::{Examined, Examiner};
use crate::error::Error;
use crate::io;
use crate::judge::Identification;
use crate::matching::{
    NamedResemblance, OnGrid, REFERENCE_SHEET, ReferenceLabel, ReferenceLibrary, ReferenceOpinion,
    read_reference_sheet, scale_difference_ppm,
};
use crate::prepare::{Prepared, Recipe};
use crate::read::{ReadOptions, read_path};
use crate::spectrum::{Spectrum, Warning};

/// References shown beside a spectrum.
const SHOWN: usize = 5;

/// References weighed for the opinion: repeats of one material must not hide a second one.
const WEIGHED: usize = 50;

/// A folder of reference spectra, ready to be compared with.
#[derive(Debug)]
pub struct References {
    folder: PathBuf,
    library: ReferenceLibrary,
    recipe: Recipe,
    warnings: Vec<Warning>,
}

impl References {
    /// Reads the folder's `references.csv` and the spectra it names.
    ///
    /// With `cache_folder` the prepared spectra are kept there, keyed by the names, sizes and times of
    /// the files, so that the next run starts at once. A cache that cannot be written is a warning.
    ///
    /// # Errors
    ///
    /// The sheet is missing or faulty. A spectrum that cannot be read is a warning, and is left out.
    pub fn read(folder: &Path, cache_folder: Option<&Path>) -> Result<Self, Error> {
        let sheet = folder.join(REFERENCE_SHEET);
        let bytes = io::open(&sheet)?;
        let labels = read_reference_sheet(&bytes, &sheet.to_string_lossy())?;
        let recipe = Recipe::default();
        let cache = cache_folder.map(|at| at.join(cache_name(folder, &bytes, &labels)));
        if let Some(cached) = cache.as_ref().and_then(|path| read_cache(path, &labels)) {
            let folder = folder.to_owned();
            return Ok(Self { folder, library: cached, recipe, warnings: Vec::new() });
        }
        let mut warnings = Vec::new();
        let mut references = Vec::new();
        for (label, prepared) in prepare_all(folder, labels, &recipe) {
            match prepared {
                Ok(on_grid) => references.push((label, on_grid)),
                Err(text) => warnings.push(Warning::new("reference-left-out", text)),
            }
        }
        let library = ReferenceLibrary::new(references);
        if let (Some(path), true) = (&cache, warnings.is_empty())
            && let Err(error) = io::write_whole(path, &library.to_cache())
        {
            warnings.push(Warning::new("reference-cache", error.to_string()));
        }
        Ok(Self { folder: folder.to_owned(), library, recipe, warnings })
    }

    /// Returns what could not be read.
    #[must_use]
    pub fn warnings(&self) -> &[Warning] {
        &self.warnings
    }

    /// Returns the references in the order of the sheet.
    #[must_use]
    pub fn labels(&self) -> &[ReferenceLabel] {
        self.library.labels()
    }

    /// Compares an examined spectrum with every reference.
    #[must_use]
    pub fn opinion(&self, examined: &Examined) -> ReferenceOpinion {
        let Some(unknown) = OnGrid::new(&examined.spectrum, &examined.prepared) else {
            return ReferenceOpinion {
                resembling: Vec::new(),
                materials: Vec::new(),
                agrees: None,
                scale_ppm: None,
            };
        };
        let found = self.library.resembling(&unknown, WEIGHED);
        let materials = self.library.opinion(&found);
        let named = named_by_bands(&examined.identification);
        let agrees = (!materials.is_empty() && !named.is_empty())
            .then(|| materials.iter().any(|material| named.contains(&material.as_str())));
        let scale_ppm = found
            .first()
            .filter(|_| !materials.is_empty())
            .and_then(|best| self.scale_against(best.reference, &examined.prepared));
        let resembling = found
            .iter()
            .take(SHOWN)
            .map(|resemblance| {
                let label = &self.library.labels()[resemblance.reference];
                NamedResemblance {
                    file: label.file.clone(),
                    material: label.material.clone(),
                    similarity: resemblance.similarity,
                    vouched: label.is_vouched(),
                }
            })
            .collect();
        ReferenceOpinion { resembling, materials, agrees, scale_ppm }
    }

    /// Measures the scale difference on the full grid of the reference, which is read again for it.
    fn scale_against(&self, reference: usize, measured: &Prepared) -> Option<f64> {
        let file = self.folder.join(&self.library.labels().get(reference)?.file);
        let spectrum = read_path(&file, &ReadOptions::default()).next()?.ok()?;
        let prepared = self.recipe.apply(&spectrum).ok()?;
        scale_difference_ppm(
            (measured.spectrum().wavenumbers_cm1(), measured.first_derivative()),
            (prepared.spectrum().wavenumbers_cm1(), prepared.first_derivative()),
        )
    }
}

impl Examiner<'_> {
    /// Examines a spectrum and asks the references for a second opinion.
    ///
    /// Disagreement is a warning; the band finding is not changed by it.
    ///
    /// # Errors
    ///
    /// As for [`Examiner::examine`].
    pub fn examine_beside(
        &self,
        spectrum: Spectrum,
        references: &References,
    ) -> Result<(Examined, ReferenceOpinion), Error> {
        let examined = self.examine(spectrum)?;
        let opinion = references.opinion(&examined);
        Ok((examined, opinion))
    }
}

/// Returns every material that the band finding names.
fn named_by_bands(found: &Identification) -> Vec<&str> {
    let mut named: Vec<&str> = found.material.iter().map(String::as_str).collect();
    named.extend(found.candidates.iter().map(String::as_str));
    named.extend(found.components.iter().map(|component| component.id.as_str()));
    named
}

/// A name that changes with anything the cache depends on.
fn cache_name(folder: &Path, sheet: &[u8], labels: &[ReferenceLabel]) -> String {
    let mut key = Vec::from(concat!("bandlore references ", env!("CARGO_PKG_VERSION"), "\n"));
    key.extend_from_slice(sheet);
    for label in labels {
        key.extend_from_slice(io::stamp(&folder.join(&label.file)).as_bytes());
        key.push(b'\n');
    }
    format!("references-{}.bin", io::sha256_hex(&key))
}

fn read_cache(path: &Path, labels: &[ReferenceLabel]) -> Option<ReferenceLibrary> {
    let bytes = io::open(path).ok()?;
    ReferenceLibrary::from_cache(labels.to_vec(), &bytes)
}

/// Reads and prepares every reference, on all cores, in the order of the sheet.
fn prepare_all(
    folder: &Path,
    labels: Vec<ReferenceLabel>,
    recipe: &Recipe,
) -> Vec<(ReferenceLabel, Result<OnGrid, String>)> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let portion = labels.len().div_ceil(cores).max(1);
    let mut results: Vec<Option<Result<OnGrid, String>>> = vec![None; labels.len()];
    std::thread::scope(|scope| {
        for (labels, results) in labels.chunks(portion).zip(results.chunks_mut(portion)) {
            scope.spawn(move || {
                for (label, result) in labels.iter().zip(results) {
                    *result = Some(prepare_one(&folder.join(&label.file), recipe));
                }
            });
        }
    });
    labels
        .into_iter()
        .zip(results)
        .map(|(label, result)| {
            let missing = || Err(format!("{}: not read", label.file));
            let result = result.unwrap_or_else(missing);
            (label, result)
        })
        .collect()
}

fn prepare_one(file: &Path, recipe: &Recipe) -> Result<OnGrid, String> {
    let spectrum = match read_path(file, &ReadOptions::default()).next() {
        Some(Ok(spectrum)) => spectrum,
        Some(Err(error)) => return Err(error.to_string()),
        None => return Err(format!("{}: holds no spectrum", file.display())),
    };
    let prepared =
        recipe.apply(&spectrum).map_err(|error| format!("{}: {error}", file.display()))?;
    OnGrid::new(&spectrum, &prepared)
        .ok_or_else(|| format!("{}: too little signal to compare with", file.display()))
}
