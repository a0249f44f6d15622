//! Many inputs, worked on by all cores, answered in input order with flat memory.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};

use bandlore::{ReadError, ReadOptions, Spectrum, read_path};
use indicatif::ProgressBar;
use rayon::prelude::*;

use super::Failure;
use super::inputs::counted;

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

/// Set when the user asks to stop; a batch ends at the next portion.
///
/// Call it before an output file is opened: without a handler an interruption would leave an
/// unfinished file behind.
pub fn interruption() -> &'static AtomicBool {
    static STOP: AtomicBool = AtomicBool::new(false);
    static HANDLER: Once = Once::new();
    HANDLER.call_once(|| {
        // Where no handler can be set, an interruption ends the program as it always did.
        let _ = ctrlc::set_handler(|| STOP.store(true, Ordering::SeqCst));
    });
    &STOP
}

/// Reads every file, does `work` on each spectrum on all cores, and hands the results to `emit`
/// in input order.
pub fn run<T: Send>(
    files: &[PathBuf],
    options: &ReadOptions,
    progress: &ProgressBar,
    work: impl Fn(Item<'_>) -> T + Sync,
    mut emit: impl FnMut(T) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let stop = interruption();
    let mut done = 0;
    while done < files.len() {
        if stop.load(Ordering::SeqCst) {
            return Err(interrupted(done, files.len()));
        }
        if is_large(&files[done]) {
            let file = &files[done];
            let mut spectra = read_path(file, options).enumerate();
            loop {
                let portion: Vec<_> = spectra.by_ref().take(SPECTRA_AT_ONCE).collect();
                if portion.is_empty() {
                    break;
                }
                if stop.load(Ordering::SeqCst) {
                    return Err(interrupted(done, files.len()));
                }
                let answers: Vec<T> = portion
                    .into_par_iter()
                    .map(|(i, result)| work(Item { file, block: i + 1, result }))
                    .collect();
                answers.into_iter().try_for_each(&mut emit)?;
            }
            done += 1;
        } else {
            let rest = &files[done..files.len().min(done + FILES_AT_ONCE)];
            let small = rest.iter().take_while(|file| !is_large(file)).count();
            let answers: Vec<Vec<T>> = rest[..small]
                .par_iter()
                .map(|file| {
                    read_path(file, options)
                        .enumerate()
                        .map(|(i, result)| work(Item { file, block: i + 1, result }))
                        .collect()
                })
                .collect();
            answers.into_iter().flatten().try_for_each(&mut emit)?;
            done += small;
        }
        progress.set_position(done as u64);
    }
    progress.finish_and_clear();
    Ok(())
}

fn is_large(file: &Path) -> bool {
    fs::metadata(file).is_ok_and(|about| about.len() > LARGE_FILE_BYTES)
}

fn interrupted(done: usize, all: usize) -> Failure {
    Failure::usage(format!("interrupted after {done} of {}", counted(all, "file")))
}
