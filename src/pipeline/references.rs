//! A folder of the user's own reference spectra: read once, cached, asked for a second opinion.

use std::path::{Path, PathBuf};

use super::Examined;
use crate::error::Error;
use crate::io;
use crate::judge::Identification;
use crate::matching::{
    LEAST_SIMILARITY, NamedResemblance, OnGrid, REFERENCE_SHEET, ReferenceCache, ReferenceLabel,
    ReferenceLibrary, ReferenceOpinion, Resemblance, read_reference_sheet, scale_difference_ppm,
};
use crate::parallel::in_order;
use crate::prepare::{self, Prepared};
use crate::read::{ReadOptions, read_bytes, read_path};
use crate::spectrum::{Spectrum, Warning};
use crate::tables::Tables;

/// References shown beside a spectrum.
const SHOWN: usize = 5;

/// References weighed for the opinion: repeats of one material must not hide a second one.
const WEIGHED: usize = 50;

/// Where prepared references are kept if nothing else is said: a file in their own folder, hidden so
/// that no command takes it for a spectrum.
const CACHE_FILE: &str = ".bandlore-references.cache";

/// A folder of reference spectra, ready to be compared with.
#[derive(Debug)]
pub struct References {
    folder: PathBuf,
    library: ReferenceLibrary,
    warnings: Vec<Warning>,
    cache_file: PathBuf,
    prepared_now: usize,
    is_kept: bool,
}

/// One reference as it was read.
struct Ready {
    on_grid: OnGrid,
    sha256: String,
    from_cache: bool,
}

impl References {
    /// Reads the folder's `references.csv` and the spectra it names.
    ///
    /// Prepared spectra are kept in one file, in `cache_folder` or else in the folder itself, and found
    /// again by the SHA-256 of each spectrum's file: a changed file is prepared anew, the others are not.
    /// A cache that cannot be written is a warning, and so is one that was damaged.
    ///
    /// # Errors
    ///
    /// The sheet is missing, faulty or empty. A spectrum that cannot be read is a warning, and is left
    /// out; where none can be read, that is an error.
    pub fn read(folder: &Path, cache_folder: Option<&Path>) -> Result<Self, Error> {
        let sheet = folder.join(REFERENCE_SHEET);
        let bytes = io::open(&sheet).map_err(|source| Error::References {
            folder: folder.to_owned(),
            why: format!(
                "{source}; the sheet names the spectra, with the columns file, material, maker, \
                 grade, batch, vouched_by"
            ),
        })?;
        let labels = read_reference_sheet(&bytes, &sheet.to_string_lossy())?;
        let refused =
            |why: &str| Error::References { folder: folder.to_owned(), why: why.to_owned() };
        let header = cache_header();
        let cache_file = match cache_folder {
            None => folder.join(CACHE_FILE),
            // Several folders may share one place.
            Some(at) => {
                let whose = io::real_path(folder).unwrap_or_else(|| folder.to_owned());
                let digest = io::sha256_hex(whose.to_string_lossy().as_bytes());
                at.join(format!("references-{}.cache", digest.get(..16).unwrap_or(&digest)))
            }
        };
        let mut warnings = Vec::new();
        let home = cache_folder.unwrap_or(folder);
        let (cache, may_replace) = match open_cache(&cache_file, home, &header) {
            Ok(cache) => (cache, true),
            Err(text) => {
                warnings.push(Warning::new("reference-cache", text));
                (ReferenceCache::default(), false)
            }
        };
        if cache.damaged() > 0 {
            let damaged = cache.damaged();
            let text = format!(
                "{}: {damaged} of the kept references are damaged; made anew from their files",
                cache_file.display()
            );
            warnings.push(Warning::new("reference-cache", text));
        }
        let mut kept: Vec<(ReferenceLabel, Ready)> = Vec::with_capacity(labels.len());
        for (label, ready) in prepare_all(folder, labels, &cache) {
            match ready {
                Ok(ready) => kept.push((label, ready)),
                Err(text) => warnings.push(Warning::new("reference-left-out", text)),
            }
        }
        if kept.is_empty() {
            let first = warnings.first().map_or("", |w| w.text.as_str());
            return Err(refused(&format!("none of its spectra can be used; first: {first}")));
        }
        let prepared_now = kept.iter().filter(|(_, ready)| !ready.from_cache).count();
        let mut is_kept = may_replace;
        if may_replace && (prepared_now > 0 || cache.damaged() > 0 || cache.len() > kept.len()) {
            let rows = kept.iter().map(|(_, ready)| (ready.sha256.as_str(), &ready.on_grid));
            let bytes = ReferenceCache::write(&header, rows);
            if let Err(error) = io::write_whole(&cache_file, &bytes) {
                warnings.push(Warning::new("reference-cache", error.to_string()));
                is_kept = false;
            }
        }
        drop(cache);
        let library = ReferenceLibrary::new(
            kept.into_iter().map(|(label, ready)| (label, ready.on_grid)).collect(),
        );
        let folder = folder.to_owned();
        Ok(Self { folder, library, warnings, cache_file, prepared_now, is_kept })
    }

    /// Returns where prepared references are kept.
    #[must_use]
    pub fn cache_file(&self) -> &Path {
        &self.cache_file
    }

    /// Returns how many references were prepared now, not found in the cache.
    #[must_use]
    pub fn prepared_now(&self) -> usize {
        self.prepared_now
    }

    /// Returns whether what was prepared is found in the cache by the next run.
    #[must_use]
    pub fn is_kept(&self) -> bool {
        self.is_kept
    }

    /// Returns the files that are read: the sheet, and every spectrum that is compared with.
    #[must_use]
    pub fn files(&self) -> Vec<PathBuf> {
        let spectra = self.labels().iter().map(|label| self.folder.join(&label.file));
        std::iter::once(self.folder.join(REFERENCE_SHEET)).chain(spectra).collect()
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

    /// Reads the spectrum of the reference with this file name.
    pub(crate) fn labelled(&self, file: &str) -> Option<Spectrum> {
        self.spectrum(self.labels().iter().find(|label| label.file == file)?)
    }

    /// Reads a reference's spectrum again.
    pub(crate) fn spectrum(&self, label: &ReferenceLabel) -> Option<Spectrum> {
        read_path(&self.folder.join(&label.file), &ReadOptions::default()).next()?.ok()
    }

    /// Compares an examined spectrum with every reference; the table says what the bands exclude.
    #[must_use]
    pub fn opinion(&self, examined: &Examined, tables: &Tables) -> ReferenceOpinion {
        self.opinion_on(&examined.spectrum, &examined.prepared, &examined.identification, tables)
    }

    pub(crate) fn opinion_on(
        &self,
        spectrum: &Spectrum,
        prepared: &Prepared,
        identification: &Identification,
        tables: &Tables,
    ) -> ReferenceOpinion {
        let Some(unknown) = OnGrid::new(spectrum, prepared) else {
            return ReferenceOpinion {
                resembling: Vec::new(),
                materials: Vec::new(),
                agrees: None,
                scale_ppm: None,
                words: "too little was measured to compare it with references".to_owned(),
            };
        };
        let found = self.library.resembling(&unknown, WEIGHED);
        let materials = self.library.opinion(&found);
        let named = named_by_bands(identification, tables);
        let known: Vec<&str> =
            materials.iter().filter_map(|m| Some(tables.find_material(m)?.id.as_str())).collect();
        let agrees = (!known.is_empty() && !named.is_empty())
            .then(|| known.iter().any(|material| named.contains(material)));
        let scale_ppm = found
            .first()
            .filter(|_| !materials.is_empty())
            .and_then(|best| self.scale_against(best.reference, prepared));
        let words = self.words(&found, &materials, agrees, &named);
        let resembling = found.iter().take(SHOWN).filter_map(|r| self.named(r)).collect();
        ReferenceOpinion { resembling, materials, agrees, scale_ppm, words }
    }

    fn named(&self, resemblance: &Resemblance) -> Option<NamedResemblance> {
        let label = self.library.labels().get(resemblance.reference)?;
        Some(NamedResemblance {
            file: label.file.clone(),
            material: label.material.clone(),
            maker: label.maker.clone(),
            grade: label.grade.clone(),
            batch: label.batch.clone(),
            vouched_by: label.vouched_by.clone(),
            similarity: resemblance.similarity,
            vouched: label.is_vouched(),
        })
    }

    fn words(
        &self,
        found: &[Resemblance],
        materials: &[String],
        agrees: Option<bool>,
        named: &[&str],
    ) -> String {
        let Some(best) = found.first() else {
            return "no reference shares enough of the range".to_owned();
        };
        if materials.is_empty() {
            return format!(
                "no reference resembles it: the best of {} reaches {:.3}, {LEAST_SIMILARITY} is needed",
                self.library.labels().len(),
                best.similarity
            );
        }
        let material = materials.join(" or ");
        let start = format!("it resembles {material} (similarity {:.3})", best.similarity);
        match agrees {
            Some(true) => format!("{start}; the bands agree"),
            Some(false) => format!(
                "{start}; the bands say {}: the two disagree, and neither is changed by the other",
                named.join(" or ")
            ),
            None if named.is_empty() => format!("{start}; the bands name nothing to agree with"),
            None => {
                format!("{start}; that is no id of the table, so agreement cannot be told")
            }
        }
    }

    /// Measures the scale difference on the full grid of the reference, which is read again for it.
    fn scale_against(&self, reference: usize, measured: &Prepared) -> Option<f64> {
        let spectrum = self.spectrum(self.library.labels().get(reference)?)?;
        let prepared = prepare::prepare(&spectrum).ok()?;
        scale_difference_ppm(
            (measured.spectrum().wavenumbers_cm1(), measured.first_derivative()),
            (prepared.spectrum().wavenumbers_cm1(), prepared.first_derivative()),
        )
    }
}

/// Returns every material that the band finding names or expressly does not exclude.
fn named_by_bands<'a>(found: &'a Identification, tables: &'a Tables) -> Vec<&'a str> {
    let mut named: Vec<&str> = found.material.iter().map(String::as_str).collect();
    named.extend(found.candidates.iter().map(String::as_str));
    named.extend(found.components.iter().map(|component| component.id.as_str()));
    let open: Vec<&str> = named
        .iter()
        .filter_map(|id| tables.material(id))
        .flat_map(|material| material.not_excluded.iter().map(String::as_str))
        .collect();
    named.extend(open);
    let mut seen = std::collections::BTreeSet::new();
    named.retain(|id| seen.insert(*id));
    named
}

/// Names everything that prepared references depend on besides their files.
fn cache_header() -> String {
    let settings = io::sha256_hex(prepare::settings().as_bytes());
    format!("bandlore references 3, version {}, prepared by {settings}", env!("CARGO_PKG_VERSION"))
}

/// Opens the cache; an empty one where there is none yet, or one of another version.
fn open_cache(path: &Path, home: &Path, header: &str) -> Result<ReferenceCache, String> {
    if io::leads_out(path, home) {
        return Err(format!(
            "{}: is a link that leads out of its folder and was left alone; take it away, or name \
             another folder with --cache",
            path.display()
        ));
    }
    let Some(bytes) = io::open_regular(path).map_err(|error| error.to_string())? else {
        return Ok(ReferenceCache::default());
    };
    if !ReferenceCache::is_one(&bytes, header) {
        return Err(format!(
            "{}: holds something other than prepared references and was left alone; take it away, or \
             name another folder with --cache",
            path.display()
        ));
    }
    Ok(ReferenceCache::read(bytes, header).unwrap_or_default())
}

/// Reads and prepares every reference, on all cores, in the order of the sheet.
fn prepare_all(
    folder: &Path,
    labels: Vec<ReferenceLabel>,
    cache: &ReferenceCache,
) -> Vec<(ReferenceLabel, Result<Ready, String>)> {
    let prepared = in_order(&labels, |label| {
        let file = folder.join(&label.file);
        if io::leads_out(&file, folder) {
            return Err(format!(
                "{}: leads out of the references' folder; copy the spectrum into it",
                file.display()
            ));
        }
        prepare_one(&file, cache)
    });
    labels.into_iter().zip(prepared).collect()
}

fn prepare_one(file: &Path, cache: &ReferenceCache) -> Result<Ready, String> {
    let name = file.to_string_lossy();
    let bytes = io::open(file).map_err(|error| error.to_string())?;
    let sha256 = io::sha256_hex(&bytes);
    if let Some(on_grid) = cache.get(&sha256) {
        return Ok(Ready { on_grid, sha256, from_cache: true });
    }
    let mut spectra = read_bytes(&bytes, &name, &ReadOptions::default());
    let spectrum = match spectra.next() {
        Some(Ok(spectrum)) => spectrum,
        Some(Err(error)) => return Err(error.to_string()),
        None => return Err(format!("{name}: holds no spectrum")),
    };
    if spectra.next().is_some() {
        return Err(format!("{name}: holds several spectra; keep one reference a file"));
    }
    let prepared = prepare::prepare(&spectrum).map_err(|error| format!("{name}: {error}"))?;
    let on_grid = OnGrid::new(&spectrum, &prepared)
        .ok_or_else(|| format!("{name}: too little signal to compare with"))?;
    Ok(Ready { on_grid, sha256, from_cache: false })
}
