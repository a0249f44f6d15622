//! Text for a terminal: one spectrum as a screen, many as a list, the sections of the page where the whole evidence
//! is asked for.

use std::io::{self, Write};

use super::list::List;
use super::pages::{OF_THE_SURFACE, section_of};
use super::screen::screen;
use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions};
use crate::report::document::{Document, Tone};

/// Below this width the columns no longer fit.
const LEAST_WIDTH: usize = 48;

/// Writes text that fits the width.
///
/// One spectrum is a screen of at most 24 lines at 80 columns; several are a list of one line each with
/// a summary; [`WriteOptions::evidence`] asks for everything on each. What could not be read or judged
/// is a line of the list and nothing on a screen: its error is the caller's to print.
#[derive(Clone, Debug)]
pub struct TextWriter {
    options: WriteOptions,
    /// Entries that could be judged and are written; the whole evidence sets them apart by a blank line.
    count: usize,
    /// The first entry, until it is known whether others follow.
    first: Option<Box<IdentificationEntry>>,
    list: Option<List>,
}

impl TextWriter {
    /// Creates the writer.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        let options = WriteOptions { width: options.width.max(LEAST_WIDTH), ..options.clone() };
        let list = options.quiet.then(|| List::new(&options));
        Self { options, count: 0, first: None, list }
    }

    fn whole(&self) -> bool {
        self.options.evidence || self.options.explain || self.options.verbose
    }
}

impl IdentificationWriter for TextWriter {
    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        if let Some(list) = &mut self.list {
            return list.entry(entry, out);
        }
        if self.whole() {
            if entry.identification.is_none() {
                return Ok(());
            }
            self.count += 1;
            let between = if self.count > 1 { "\n" } else { "" };
            let text = section_of(stamp, entry, &self.options, self.count)
                .text_in(self.options.width, self.options.style);
            return out.write_all(format!("{between}{text}").as_bytes());
        }
        match self.first.take() {
            None => self.first = Some(Box::new(entry.clone())),
            Some(first) => {
                let list = self.list.insert(List::new(&self.options));
                list.entry(&first, out)?;
                list.entry(entry, out)?;
            }
        }
        Ok(())
    }

    fn end(&mut self, stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        if let Some(list) = &mut self.list {
            return list.end(stamp, out);
        }
        if let Some(entry) = self.first.take() {
            let text = screen(stamp, &entry, &self.options).unwrap_or_default();
            return out.write_all(text.as_bytes());
        }
        if self.count == 0 {
            return Ok(());
        }
        let mut page = Document::default();
        let digest = stamp.table_sha256.get(..12).unwrap_or(&stamp.table_sha256);
        let made = format!("{}, table {} ({digest})", stamp.tool, stamp.table_version);
        page.text(format!("{OF_THE_SURFACE}. {made}"), Tone::Note);
        let text = page.text_in(self.options.width, self.options.style);
        out.write_all(format!("\n{text}").as_bytes())
    }
}
