//! The program itself: cold start, batches on one and two cores, memory.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::clock::{best, children_seconds};
use super::{Line, files, short};

/// Distinct files of the batch.
const FILES: u64 = 4_000;

/// Points of each.
const POINTS: u32 = 1_800;

const PROGRAM: &str = env!("CARGO_BIN_EXE_bandlore");

fn identify(threads: usize, folder_or_file: &Path) -> Command {
    let mut command = Command::new(PROGRAM);
    command
        .args(["identify", "--quiet", "--format", "jsonl"])
        .arg(folder_or_file)
        .env("RAYON_NUM_THREADS", threads.to_string())
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

fn folder_of(files: &[PathBuf]) -> PathBuf {
    files.first().and_then(|file| file.parent()).expect("a folder").to_owned()
}

/// Returns the table's lines on the program.
pub fn lines(folder: &Path) -> Vec<Line> {
    let mut lines = Vec::new();
    let files = files::batch(folder, FILES, POINTS);
    let start = best(Duration::from_secs(3), || {
        Command::new(PROGRAM)
            .args(["identify", "--quiet"])
            .arg(&files[0])
            .stdout(Stdio::null())
            .status()
            .expect("runs")
    });
    let start_ms = start.as_secs_f64() * 1e3;
    lines.push(Line::at_most("identify one file from a cold start", start_ms, 18.0, "ms"));
    let all = folder_of(&files);
    let mut rates = Vec::new();
    for threads in [1, 2] {
        // The better of two runs, as everywhere in this table.
        let (wall, processor) = (0..2)
            .map(|_| timed(identify(threads, &all)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .expect("two runs");
        rates.push(FILES as f64 / wall);
        let what = format!("identify {FILES} distinct files, {threads} thread(s), wall time");
        let rate = FILES as f64 / wall;
        lines.push(if threads == 2 {
            Line::at_least(what, rate, 2_000.0, "spectra/s")
        } else {
            Line::plain(what, format!("{} spectra/s", short(rate)))
        });
        let each = 1e6 * processor / FILES as f64;
        let what = format!("identify {FILES} distinct files, {threads} thread(s), processor time");
        lines.push(Line::plain(what, format!("{} us a spectrum", short(each))));
    }
    lines.push(Line::at_least("from one to two threads", rates[1] / rates[0], 1.8, "x"));
    lines
}

fn timed(mut command: Command) -> (f64, f64) {
    let before = children_seconds();
    let begin = Instant::now();
    command.status().expect("runs");
    let wall = begin.elapsed().as_secs_f64();
    let processor =
        children_seconds().zip(before).map_or(f64::NAN, |(after, before)| after - before);
    (wall, processor)
}

/// Returns the table's lines on memory against the number of spectra.
pub fn memory(folder: &Path) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut peaks = Vec::new();
    for count in [250, 1_000, 4_000] {
        let files = files::batch(&folder.join(format!("{count}-files")), count, POINTS);
        let peak = peak_mib(identify(2, &folder_of(&files)));
        peaks.push(peak);
        lines.push(Line::plain(
            format!("identify {count} files, memory"),
            format!("{} MiB", short(peak)),
        ));
    }
    let grown = peaks[2] - peaks[0];
    lines.push(Line::at_most("memory of 3,750 further files", grown, 4.0, "MiB"));
    lines
}

/// Returns the high-water mark of a program's resident memory.
fn peak_mib(mut command: Command) -> f64 {
    let mut child = command.spawn().expect("runs");
    let status = format!("/proc/{}/status", child.id());
    let mut peak: f64 = 0.0;
    while child.try_wait().expect("waits").is_none() {
        let kib = std::fs::read_to_string(&status).ok().and_then(|text| {
            let line = text.lines().find(|line| line.starts_with("VmHWM:"))?;
            line.split_whitespace().nth(1)?.parse::<f64>().ok()
        });
        peak = peak.max(kib.unwrap_or(0.0) / 1024.0);
        std::thread::sleep(Duration::from_millis(1));
    }
    peak
}
