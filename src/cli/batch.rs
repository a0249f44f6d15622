//! Many inputs, worked on by all cores, answered in input order with flat memory.

use std::fs;
use std::path::{Path, PathBuf};

use bandlore::{ReadOptions, Spectra, Spectrum, read::Error as ReadError, read_path};
use indicatif::ProgressBar;
use rayon::prelude::*;

use super::Failure;

/// Files worked on together: enough to keep every core busy, few enough to stop quickly.
const FILES_AT_ONCE: usize = 128;

/// Spectra of one large file worked on together.
const SPECTRA_AT_ONCE: usize = 64;

/// A file above this size is read by itself, its spectra in portions: it may hold a whole map.
const LARGE_FILE_BYTES: u64 = 4 << 20;

/// One thing read: a spectrum, or why there is none.
pub struct Item<'a> {
    /// The file as the user gave it.
    pub file: &'a Path,
    /// The place in the file, from 1.
    pub block: usize,
    /// What was read.
    pub result: Result<Spectrum, ReadError>,
}

/// Reads every file, does `work` on each spectrum on all cores, and hands the results to `emit`
/// in input order.
///
/// While one portion is worked on, the answers to the one before it are emitted.
pub fn run<T: Send>(
    files: &[PathBuf],
    options: &ReadOptions,
    progress: &ProgressBar,
    work: impl Fn(Item<'_>) -> T + Sync,
    mut emit: impl FnMut(T) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let mut portions = Portions { files, options, done: 0, large: None };
    if let [file] = files
        && !is_large(file)
    {
        // Starting a pool of threads takes longer than the answer.
        answers_of(file, options, &work).try_for_each(emit)?;
        progress.finish_and_clear();
        return Ok(());
    }
    let mut before = Answers { answers: Vec::new(), done: 0 };
    loop {
        let portion = portions.next();
        let done = portions.done;
        let more = portion.is_some();
        let mut answers = Vec::new();
        rayon::in_place_scope(|scope| {
            if let Some(portion) = portion {
                scope.spawn(|_| answers = portion.answers(options, &work));
            }
            before.answers.into_iter().try_for_each(&mut emit)
        })?;
        progress.set_position(before.done as u64);
        if !more {
            break;
        }
        before = Answers { answers, done };
    }
    progress.finish_and_clear();
    Ok(())
}

/// The answers to one portion, and how many files are done with it.
struct Answers<T> {
    answers: Vec<T>,
    done: usize,
}

/// Answers to the spectra of one file, one after the other.
fn answers_of<'a, T>(
    file: &'a Path,
    options: &ReadOptions,
    work: &'a (impl Fn(Item<'_>) -> T + Sync),
) -> impl Iterator<Item = T> + 'a {
    read_path(file, options)
        .enumerate()
        .map(move |(i, result)| work(Item { file, block: i + 1, result }))
}

/// What is worked on together.
enum Portion<'a> {
    Files(&'a [PathBuf]),
    Spectra(&'a Path, Vec<(usize, Result<Spectrum, ReadError>)>),
}

impl Portion<'_> {
    fn answers<T: Send>(
        self,
        options: &ReadOptions,
        work: &(impl Fn(Item<'_>) -> T + Sync),
    ) -> Vec<T> {
        match self {
            Self::Files(files) => {
                let of_each: Vec<Vec<T>> = files
                    .par_iter()
                    .map(|file| answers_of(file, options, work).collect())
                    .collect();
                of_each.into_iter().flatten().collect()
            }
            Self::Spectra(file, spectra) => spectra
                .into_par_iter()
                .map(|(i, result)| work(Item { file, block: i + 1, result }))
                .collect(),
        }
    }
}

/// Cuts the inputs into portions; a large file is read as far as one of them needs.
struct Portions<'a> {
    files: &'a [PathBuf],
    options: &'a ReadOptions,
    /// Files that were handed out whole.
    done: usize,
    large: Option<std::iter::Enumerate<Spectra>>,
}

impl<'a> Iterator for Portions<'a> {
    type Item = Portion<'a>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            let file = self.files.get(self.done)?;
            if self.large.is_none() && !is_large(file) {
                let rest = &self.files[self.done..self.files.len().min(self.done + FILES_AT_ONCE)];
                let small = rest.iter().take_while(|file| !is_large(file)).count().max(1);
                self.done += small;
                return Some(Portion::Files(&rest[..small]));
            }
            let spectra =
                self.large.get_or_insert_with(|| read_path(file, self.options).enumerate());
            let portion: Vec<_> = spectra.take(SPECTRA_AT_ONCE).collect();
            if !portion.is_empty() {
                return Some(Portion::Spectra(file, portion));
            }
            self.large = None;
            self.done += 1;
        }
    }
}

fn is_large(file: &Path) -> bool {
    fs::metadata(file).is_ok_and(|about| about.len() > LARGE_FILE_BYTES)
}
