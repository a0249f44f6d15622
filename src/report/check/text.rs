//! Text for a terminal: the sections of the page, one after another.

use std::io::{self, Write};

use super::pages::section;
use super::{CheckEntry, CheckOptions, CheckWriter};
use crate::report::document::Document;

/// Writes text that fits the width.
#[derive(Clone, Debug)]
pub struct CheckTextWriter {
    options: CheckOptions,
    count: usize,
}

impl CheckTextWriter {
    /// Creates the writer.
    #[must_use]
    pub fn new(options: CheckOptions) -> Self {
        Self { options, count: 0 }
    }
}

impl CheckWriter for CheckTextWriter {
    fn begin(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        let mut page = Document { ids: vec![entry.file.clone()], ..Document::default() };
        self.count += 1;
        section(&mut page, entry, self.count);
        let between = if self.count > 1 { "\n" } else { "" };
        let text = page.text_in(self.options.width, self.options.style);
        out.write_all(format!("{between}{text}").as_bytes())
    }

    fn end(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}
