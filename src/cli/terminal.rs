//! Where output goes: standard output, its width and colour, notes and progress on standard error.

use std::cell::Cell;
use std::ffi::OsString;
use std::io::{self, BufWriter, IsTerminal, Write};
use std::path::Path;

use bandlore::io::WholeFile;

use indicatif::{ProgressBar, ProgressStyle};

use super::{Exit, Failure};

/// Width used where standard output is not a terminal, and the least width used anywhere.
const PLAIN_WIDTH: usize = 80;

/// Lines longer than this tire the reader, however wide the window.
const WIDEST: usize = 120;

/// Batches below this size end before a progress bar can be read.
const BATCH_WITH_PROGRESS: usize = 50;

/// Where results go.
enum Sink {
    Standard(BufWriter<io::Stdout>),
    File(WholeFile),
}

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Standard(out) => out.write(bytes),
            Self::File(out) => out.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Standard(out) => out.flush(),
            Self::File(out) => out.flush(),
        }
    }
}

/// Says by the environment whether a terminal shows colour.
///
/// The old console of Windows prints escapes as they are; what shows colour there says so by a variable.
fn shows_colour(windows: bool, variable: impl Fn(&str) -> Option<OsString>) -> bool {
    let set = |name: &str| variable(name).is_some_and(|value| !value.is_empty());
    // https://no-color.org: any value that is not empty turns colour off.
    let dumb = variable("TERM").is_some_and(|value| value == "dumb");
    let able = !windows || ["WT_SESSION", "TERM_PROGRAM", "TERM", "ANSICON"].into_iter().any(set);
    able && !dumb && !set("NO_COLOR")
}

/// Standard output and error as the commands see them.
pub struct Terminal {
    out: Sink,
    quiet: bool,
    colour: bool,
    width: usize,
    exit: Cell<Exit>,
}

impl Terminal {
    /// Looks at standard output, `NO_COLOR` and `COLUMNS`.
    pub fn new(quiet: bool) -> Self {
        let stdout = io::stdout();
        let is_terminal = stdout.is_terminal();
        // https://no-color.org: any value that is not empty turns colour off.
        let width = stated_width().or_else(|| is_terminal.then(terminal_width));
        Self {
            out: Sink::Standard(BufWriter::with_capacity(1 << 16, stdout)),
            quiet,
            colour: is_terminal && shows_colour(cfg!(windows), |name| std::env::var_os(name)),
            width: width.unwrap_or(PLAIN_WIDTH).clamp(PLAIN_WIDTH, WIDEST),
            exit: Cell::new(Exit::Answered),
        }
    }

    /// Sends results to a file instead; it appears whole at [`Terminal::finish`] or not at all.
    pub fn send_to(&mut self, path: &Path) -> Result<(), Failure> {
        self.out = Sink::File(WholeFile::create(path).map_err(Failure::library)?);
        self.colour = false;
        self.width = PLAIN_WIDTH;
        Ok(())
    }

    /// Returns whether results would be shown on a terminal, which a workbook would only upset.
    pub fn is_screen(&self) -> bool {
        matches!(self.out, Sink::Standard(_)) && io::stdout().is_terminal()
    }

    /// Returns where results are written; call [`Terminal::finish`] at the end.
    pub fn out(&mut self) -> &mut impl Write {
        &mut self.out
    }

    /// Returns whether text output may be coloured.
    pub fn colour(&self) -> bool {
        self.colour
    }

    /// Returns the width in columns that text output should fit.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Prints a note to standard error, unless the user asked for quiet.
    pub fn note(&self, text: &str) {
        if !self.quiet {
            eprintln!("note: {text}");
        }
    }

    /// Prints an error about one input to standard error; a batch goes on.
    pub fn error(&self, text: &str) {
        self.end_with(Exit::SomeInputFailed);
        eprintln!("error: {text}");
    }

    /// Notes how the run ends; the gravest stays. A batch that lacks an input is not complete, whatever its answers.
    pub fn end_with(&self, exit: Exit) {
        const GRAVER: [Exit; 4] =
            [Exit::Answered, Exit::Undecided, Exit::SomeInputFailed, Exit::CouldNotWork];
        let rank = |exit: Exit| GRAVER.iter().position(|known| *known == exit);
        if rank(exit) > rank(self.exit.get()) {
            self.exit.set(exit);
        }
    }

    /// Returns how the run ends.
    pub fn exit(&self) -> Exit {
        self.exit.get()
    }

    /// Returns a progress bar for `count` inputs, hidden where nobody would see or want it.
    pub fn progress(&self, count: usize) -> ProgressBar {
        if self.quiet || count < BATCH_WITH_PROGRESS || !io::stderr().is_terminal() {
            return ProgressBar::hidden();
        }
        let bar = ProgressBar::new(count as u64);
        if let Ok(style) = ProgressStyle::with_template("{pos}/{len} files {wide_bar} {eta} left") {
            bar.set_style(style);
        }
        bar
    }

    /// Ends the output: flushes standard output, or puts the file in its place.
    pub fn finish(&mut self) -> Result<(), Failure> {
        self.out.flush()?;
        let empty = Sink::Standard(BufWriter::new(io::stdout()));
        match std::mem::replace(&mut self.out, empty) {
            Sink::Standard(_) => Ok(()),
            Sink::File(file) => file.commit().map_err(Failure::library),
        }
    }
}

/// A stranger's words on one line: nothing in them may move the cursor, or start a line of numbers in a file.
pub fn plain(text: &str) -> String {
    text.replace(|c: char| c.is_control(), " ")
}

/// Returns the width that `COLUMNS` states; who exports it wants it in a file too.
fn stated_width() -> Option<usize> {
    std::env::var("COLUMNS").ok()?.parse().ok()
}

fn terminal_width() -> usize {
    terminal_size::terminal_size().map_or(PLAIN_WIDTH, |(columns, _)| usize::from(columns.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colour_is_shown_where_the_console_can() {
        let shows = |windows: bool, set: &[(&str, &str)]| {
            shows_colour(windows, |name| {
                set.iter().find(|(n, _)| *n == name).map(|(_, value)| OsString::from(value))
            })
        };
        assert!(shows(false, &[]) && shows(false, &[("TERM", "xterm-256color")]));
        assert!(!shows(false, &[("TERM", "dumb")]) && !shows(false, &[("NO_COLOR", "1")]));
        assert!(shows(false, &[("NO_COLOR", "")]), "an empty value says nothing");
        assert!(!shows(true, &[]), "the old console");
        assert!(shows(true, &[("WT_SESSION", "c3a2")]) && shows(true, &[("TERM", "xterm")]));
        assert!(!shows(true, &[("WT_SESSION", "c3a2"), ("NO_COLOR", "1")]));
    }
}
