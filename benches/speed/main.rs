//! Prints the whole table of speeds in one run: `scripts/bench`, or `cargo bench --bench speed`.
//!
//! Every figure stands beside what was asked for. Inputs are invented and made here from fixed
//! seeds. Processor time is given beside wall time, because a busy machine lies about the latter.

mod clock;
mod files;
mod program;
mod reading;
mod stages;

use std::path::PathBuf;

/// One line of the table.
pub struct Line {
    /// What was measured.
    pub what: String,
    /// What came out, with its unit.
    pub found: String,
    /// What was asked for, empty where nothing was.
    pub asked: String,
    /// Whether it is met, `None` where nothing was asked.
    pub met: Option<bool>,
}

impl Line {
    /// Creates a line without a bound.
    pub fn plain(what: impl Into<String>, found: String) -> Self {
        Self { what: what.into(), found, asked: String::new(), met: None }
    }

    /// Creates a line whose value must reach `least`.
    pub fn at_least(what: impl Into<String>, value: f64, least: f64, unit: &str) -> Self {
        Self {
            what: what.into(),
            found: format!("{} {unit}", short(value)),
            asked: format!(">= {} {unit}", short(least)),
            met: Some(value >= least),
        }
    }

    /// Creates a line whose value must not pass `most`.
    pub fn at_most(what: impl Into<String>, value: f64, most: f64, unit: &str) -> Self {
        Self {
            what: what.into(),
            found: format!("{} {unit}", short(value)),
            asked: format!("<= {} {unit}", short(most)),
            met: Some(value <= most),
        }
    }

    fn print(&self) {
        let verdict = match self.met {
            Some(true) => "met",
            Some(false) => "MISSED",
            None => "",
        };
        println!("{:<58} {:>20}  {:>20}  {verdict}", self.what, self.found, self.asked);
    }
}

/// Three significant digits.
pub fn short(value: f64) -> String {
    let decimals = if value.abs() >= 100.0 {
        0
    } else if value.abs() >= 10.0 {
        1
    } else {
        2
    };
    format!("{value:.decimals$}")
}

fn main() {
    // `cargo bench` passes --bench; words choose parts of the table.
    let chosen: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    if let [word, count, folder] = chosen.as_slice()
        && word == "files"
    {
        files::batch(std::path::Path::new(folder), count.parse().expect("a number"), 1_800);
        return;
    }
    let wanted = |part: &str| chosen.is_empty() || chosen.iter().any(|word| word == part);
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("speed");
    println!("{:<58} {:>20}  {:>20}", "stage", "found", "asked");
    let show = |lines: Vec<Line>| lines.iter().for_each(Line::print);
    if wanted("reading") {
        show(reading::lines(&folder));
    }
    if wanted("stages") {
        show(stages::lines());
    }
    if wanted("growth") {
        show(stages::growth(&folder));
    }
    if wanted("program") {
        show(program::lines(&folder));
    }
    if wanted("memory") {
        show(program::memory(&folder));
    }
}
