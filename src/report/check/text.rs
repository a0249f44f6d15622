//! Text for a terminal: the sections of the page, one after another.

use std::io::{self, Write};

use super::pages::section_of;
use super::{CheckEntry, CheckWriter};
use crate::report::identification::WriteOptions;

/// Writes text that fits the width.
#[derive(Clone, Debug)]
pub struct CheckTextWriter {
    options: WriteOptions,
    count: usize,
}

impl CheckTextWriter {
    /// Creates the writer; of the options only width and style matter.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        Self { options: options.clone(), count: 0 }
    }
}

impl CheckWriter for CheckTextWriter {
    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        self.count += 1;
        let between = if self.count > 1 { "\n" } else { "" };
        let text = section_of(entry, self.count).text_in(self.options.width, self.options.style);
        out.write_all(format!("{between}{text}").as_bytes())
    }
}
