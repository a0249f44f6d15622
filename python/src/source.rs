//! From what the caller gives, files and spectra, to one spectrum after another.

use std::path::PathBuf;

use bandlore::{ReadOptions, Spectrum, read::Error as ReadError, read_path};
use pyo3::prelude::*;
use rayon::prelude::*;

use crate::fault::Fault;
use crate::{Stop, spectrum};

/// Spectra read before they are worked on by all cores: enough to keep these busy, few enough to stop
/// quickly and to stay small in memory.
const AT_ONCE: usize = 256;

/// A file, or a spectrum that was made or read before.
#[derive(Clone, Debug)]
pub enum Source {
    File(PathBuf),
    Spectrum(Box<Spectrum>),
}

impl<'py> FromPyObject<'_, 'py> for Source {
    type Error = PyErr;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        match given.cast::<spectrum::Spectrum>() {
            Ok(spectrum) => Ok(Self::Spectrum(Box::new(spectrum.get().inner().clone()))),
            Err(_) => Ok(Self::File(given.extract()?)),
        }
    }
}

/// One thing read: a spectrum, or why there is none.
#[derive(Debug)]
pub struct Item {
    /// The file as the caller gave it.
    pub file: String,
    /// The place in the file, from 1.
    pub block: usize,
    /// What was read.
    pub result: Result<Spectrum, ReadError>,
}

/// Reads the sources one after another, as far as the caller of the iterator asks.
pub fn items(sources: Vec<Source>, options: &ReadOptions) -> impl Iterator<Item = Item> {
    sources.into_iter().flat_map(move |source| -> Box<dyn Iterator<Item = Item>> {
        match source {
            Source::File(path) => {
                let file = path.to_string_lossy().into_owned();
                let read = read_path(&path, options).enumerate();
                Box::new(read.map(move |(i, result)| Item {
                    file: file.clone(),
                    block: i + 1,
                    result,
                }))
            }
            Source::Spectrum(spectrum) => {
                let about = spectrum.provenance();
                let (file, block) = (about.file.clone(), about.block);
                Box::new(std::iter::once(Item { file, block, result: Ok(*spectrum) }))
            }
        }
    })
}

/// Does `work` on each spectrum on all cores; answers stand in the order of the sources.
pub fn batch<T: Send>(
    sources: Vec<Source>,
    options: &ReadOptions,
    stop: &Stop,
    work: impl Fn(Item) -> T + Sync,
) -> Result<Vec<T>, Fault> {
    let mut items = items(sources, options);
    let mut answers = Vec::new();
    loop {
        let portion: Vec<Item> = items.by_ref().take(AT_ONCE).collect();
        if portion.is_empty() {
            return Ok(answers);
        }
        if stop.load(std::sync::atomic::Ordering::Relaxed) {
            return Err(Fault::usage("interrupted"));
        }
        answers.par_extend(portion.into_par_iter().map(&work));
    }
}
