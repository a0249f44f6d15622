//! Many spectra: one aligned line each, its note beside it or beneath, sorted as given, and a summary.

use std::collections::BTreeMap;
use std::io::{self, Write};

use super::{IdentificationEntry, Stamp, WriteOptions, answer};
use crate::judge::{ChlorineBands, ChlorineByIdentity, Outcome};
use crate::report::document::{Document, Tone};
use crate::report::style::{Style, Weight};
use crate::report::text_tools::{cut, visible, wrap};

/// Rows held back until the width of the columns is known; later rows keep those widths.
const ROWS_BEFORE_WIDTHS: usize = 100;

/// Room that the file, the answer and the plasticiser may take in 80 columns, in characters.
const MOST: [usize; 4] = [28, 20, 13, 16];

/// Room that the note has where no name needs it.
const LEAST_NOTE: usize = 12;

/// What stands before a note that has no room beside its line.
const INDENT: &str = "  ";

/// Blanks between columns.
const GAP: usize = 2;

/// Most answers that the summary names before it only counts, beside those that are never only counted.
const MOST_NAMED: usize = 6;

/// The list as it grows.
#[derive(Clone, Debug)]
pub(super) struct List {
    width: usize,
    quiet: bool,
    style: Style,
    held: Vec<[String; 5]>,
    widths: Option<[usize; 4]>,
    /// The folder of all rows held back, which is then said once.
    folder: String,
    tally: Tally,
}

/// What the summary counts.
#[derive(Clone, Debug, Default)]
struct Tally {
    spectra: usize,
    unread: usize,
    /// How many have an answer, and whether any of them may alarm: chlorine, or no material named.
    answers: BTreeMap<String, (usize, bool)>,
    chlorine: BTreeMap<String, usize>,
}

impl List {
    pub(super) fn new(options: &WriteOptions) -> Self {
        Self {
            width: options.width,
            quiet: options.quiet,
            style: options.style,
            held: Vec::new(),
            widths: None,
            folder: String::new(),
            tally: Tally::default(),
        }
    }

    pub(super) fn entry(
        &mut self,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        let row = self.row(entry);
        match self.widths {
            Some(widths) => out.write_all(self.line(&row, widths).as_bytes()),
            None => {
                self.held.push(row);
                if self.held.len() == ROWS_BEFORE_WIDTHS { self.let_go(out) } else { Ok(()) }
            }
        }
    }

    fn row(&mut self, entry: &IdentificationEntry) -> [String; 5] {
        self.tally.spectra += 1;
        let mut row = answer::row(entry);
        if let Some(found) = &entry.identification {
            let of_answer = self.tally.answers.entry(row[1].clone()).or_default();
            of_answer.0 += 1;
            of_answer.1 |= matches!(found.outcome, Outcome::NotInTable | Outcome::NotEnoughSignal)
                || found.chlorine.bands == ChlorineBands::Present
                || found.chlorine.by_identity == ChlorineByIdentity::Yes;
            *self.tally.chlorine.entry(row[2].clone()).or_default() += 1;
        } else {
            self.tally.unread += 1;
            // The error is printed whole beside the list.
            "see the error".clone_into(&mut row[4]);
        }
        row.map(|text| visible(&text))
    }

    /// Writes the heading and what was held back.
    fn let_go(&mut self, out: &mut dyn Write) -> io::Result<()> {
        self.folder = common_folder(self.held.iter().map(|row| row[0].as_str())).to_owned();
        if !self.quiet && !self.folder.is_empty() {
            let said = cut(&format!("In {}", self.folder), self.width);
            out.write_all(format!("{}\n", self.style.dress(Weight::Faint, &said)).as_bytes())?;
        }
        let widths = self.measure();
        self.widths = Some(widths);
        if !self.quiet {
            let mut heading = answer::ROW.map(str::to_owned);
            // Where no note has room beside its line, none is announced there.
            if widths.iter().map(|width| width + GAP).sum::<usize>() + heading[4].len() > self.width
            {
                heading[4].clear();
            }
            let heading = self.line(&heading, widths);
            let heading = self.style.dress(Weight::Faint, heading.trim_end());
            out.write_all(format!("{heading}\n").as_bytes())?;
        }
        for row in std::mem::take(&mut self.held) {
            out.write_all(self.line(&row, widths).as_bytes())?;
        }
        Ok(())
    }

    /// The width of each column but the last: what its cells take, as far as the note keeps room.
    fn measure(&self) -> [usize; 4] {
        let mut widths = [0; 4];
        for (column, width) in widths.iter_mut().enumerate() {
            let head = if self.quiet { 0 } else { answer::ROW[column].chars().count() };
            let gone = if column == 0 { self.folder.chars().count() } else { 0 };
            let cells = self.held.iter().map(|row| row[column].chars().count() - gone);
            let most = if column == 0 { self.width } else { MOST[column] };
            // Of a list that goes on, what follows may need more room.
            let least = if self.held.len() == ROWS_BEFORE_WIDTHS { MOST[column] } else { head };
            *width = cells.max().unwrap_or(0).max(least).min(most);
        }
        let others: usize = widths[1..].iter().sum::<usize>() + 4 * GAP;
        let spare = self.width.saturating_sub(others);
        let notes = self.held.iter().map(|row| row[4].chars().count()).max().unwrap_or(0);
        // A file's name gives way to a note, as far as 28 characters; with less room the note goes first, for without
        // its name a row says nothing of any part.
        let wanted = spare.saturating_sub(notes).max(MOST[0]).min(spare.saturating_sub(LEAST_NOTE));
        let folder = self.folder.chars().count();
        let longest = self.held.iter().map(|row| row[0].chars().count() - folder).max();
        let name = wanted.max(longest.unwrap_or(0).min(MOST[0])).min(spare);
        widths[0] = widths[0].min(name);
        widths
    }

    fn line(&self, row: &[String; 5], widths: [usize; 4]) -> String {
        let mut line = String::new();
        for (column, width) in widths.into_iter().enumerate() {
            let cell = if column == 0 {
                cut_within(row[0].strip_prefix(&self.folder).unwrap_or(&row[0]), width)
            } else {
                cut(&row[column], width)
            };
            line.push_str(&cell);
            line.push_str(&" ".repeat(width + GAP - cell.chars().count()));
        }
        let rest = self.width.saturating_sub(line.chars().count());
        let note = &row[4];
        if note.chars().count() <= rest {
            return format!("{}\n", (line + note).trim_end());
        }
        // Rows for a program stay one line each.
        if self.quiet {
            return format!("{}\n", (line + &cut(note, rest)).trim_end());
        }
        let mut text = format!("{}\n", line.trim_end());
        for part in wrap(note, self.width - INDENT.len()) {
            let part = self.style.dress(Weight::Faint, &part);
            text.push_str(&format!("{INDENT}{part}\n"));
        }
        text
    }

    pub(super) fn end(&mut self, stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        if self.widths.is_none() && !self.held.is_empty() {
            self.let_go(out)?;
        }
        if self.quiet || self.tally.spectra == 0 {
            return Ok(());
        }
        let mut page = Document::default();
        page.text(self.tally.summary(), Tone::Lead);
        let how = format!(
            "Note: bands unexplained and not found, checks that limit. Each answer speaks of the surface \
             at one spot, not of the whole part. One file alone shows the bands behind its answer; \
             --evidence shows all of them for each. {}, table {}",
            stamp.tool,
            stamp.table()
        );
        page.text(how, Tone::Note);
        out.write_all(format!("\n{}", page.text_in(self.width, self.style)).as_bytes())
    }
}

impl Tally {
    /// "8 spectra: PVC 7, CA 1. Cl by bands in 6, Cl by name in 1, no Cl found in 1."
    fn summary(&self) -> String {
        let mut answers: Vec<(&String, &(usize, bool))> = self.answers.iter().collect();
        answers.sort_by(|a, b| b.1.0.cmp(&a.1.0).then(a.0.cmp(b.0)));
        let (mut said, mut rest) = (Vec::new(), 0);
        for (place, (what, (count, alarms))) in answers.into_iter().enumerate() {
            if *alarms || place < MOST_NAMED {
                said.push(format!("{what} {count}"));
            } else {
                rest += count;
            }
        }
        if rest > 0 {
            said.push(format!("others {rest}"));
        }
        if self.unread > 0 {
            said.push(format!("not judged {}", self.unread));
        }
        let chlorine: Vec<String> =
            self.chlorine.iter().map(|(what, n)| format!("{what} in {n}")).collect();
        let mut text = format!("{} spectra: {}", self.spectra, said.join(", "));
        if !chlorine.is_empty() {
            text.push_str(&format!(". {}", chlorine.join(", ")));
        }
        text
    }
}

/// The folders that all paths begin with, the last slash included; empty where there is none.
fn common_folder<'a>(mut paths: impl Iterator<Item = &'a str>) -> &'a str {
    let folder = |path: &'a str| path.rfind(['/', '\\']).map_or("", |at| &path[..=at]);
    let first = folder(paths.next().unwrap_or(""));
    paths.fold(first, |mut common, path| {
        while !path.starts_with(common) {
            common = folder(&common[..common.len() - 1]);
        }
        common
    })
}

/// Text cut within, with an ellipsis, to a width: names of one series differ at their beginning or at their end.
fn cut_within(text: &str, width: usize) -> String {
    let count = text.chars().count();
    if count <= width {
        return text.to_owned();
    }
    let kept = width.saturating_sub(1);
    let before: String = text.chars().take(kept / 3).collect();
    let after: String = text.chars().skip(count - (kept - kept / 3)).collect();
    format!("{before}…{after}")
}

#[cfg(test)]
mod tests {
    use super::{List, MOST, WriteOptions, common_folder, cut_within};

    #[test]
    fn a_name_keeps_its_ends() {
        assert_eq!(cut_within("V02-covered-a.csv", 12), "V02…ed-a.csv");
        assert_eq!(cut_within("a.csv", 5), "a.csv");
        assert_eq!([1, 2].map(|width| cut_within("a.csv", width)), ["…", "…v"]);
    }

    #[test]
    fn a_note_gives_way_before_a_name_is_cut() {
        let mut list = List::new(&WriteOptions::default());
        let long = |count: usize| "x".repeat(count);
        let name = "V02-covered-a.csv";
        list.held.push([name.into(), long(MOST[1]), long(MOST[2]), long(MOST[3]), long(40)]);
        let widths = list.measure();
        let line = list.line(&list.held[0], widths);
        assert!(line.starts_with(name) && line.contains(&long(40)), "{line}");
        assert!(line.lines().all(|part| part.chars().count() <= list.width), "{line}");
        // Beside the line where it has room there.
        list.held[0][4] = "1 absent".to_owned();
        list.held[0][1] = "PVC".to_owned();
        let line = list.line(&list.held[0], list.measure());
        assert!(line.ends_with("1 absent\n") && line.lines().count() == 1, "{line}");
        // A program reads one line a spectrum.
        list.quiet = true;
        list.held[0][4] = long(40);
        let line = list.line(&list.held[0], list.measure());
        assert!(line.lines().count() == 1 && line.contains('…'), "{line}");
    }

    #[test]
    fn a_folder_is_common_only_where_every_path_begins_with_it() {
        let common = |paths: &[&'static str]| common_folder(paths.iter().copied());
        assert_eq!(common(&["a/b/1.csv", "a/b/2.csv"]), "a/b/");
        assert_eq!(common(&["a/b/1.csv", "a/bc/2.csv"]), "a/");
        assert_eq!(common(&["a/b/1.csv", "c.csv"]), "");
        assert_eq!(common(&["c.csv", "d.csv"]), "");
    }
}
