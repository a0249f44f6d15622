//! JSON: an array of objects, or one object a line.

use std::io::{self, Write};

use super::schema_v1::Entry;
use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions};
use crate::report::json_array::JsonArray;

/// Writes one JSON array, an object a spectrum.
#[derive(Clone, Debug)]
pub struct JsonWriter {
    top: usize,
    array: JsonArray,
}

impl JsonWriter {
    /// Creates the writer; of the options only `top` matters.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        Self { top: options.top, array: JsonArray::default() }
    }
}

impl IdentificationWriter for JsonWriter {
    fn begin(&mut self, _stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        self.array.begin(out)
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        self.array.value(&Entry::new(stamp, entry, self.top), out)
    }

    fn end(&mut self, _stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        self.array.end(out)
    }
}

/// Most lines are shorter than this.
const USUAL_LINE_BYTES: usize = 8 << 10;

/// Writes one JSON object a line, for programs that read as it comes.
#[derive(Clone, Debug)]
pub struct JsonLinesWriter {
    top: usize,
    /// The line being made: written in one go, not in its two thousand pieces.
    line: Vec<u8>,
}

impl JsonLinesWriter {
    /// Creates the writer; of the options only `top` matters.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        Self { top: options.top, line: Vec::new() }
    }
}

impl IdentificationWriter for JsonLinesWriter {
    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        self.line.clear();
        self.line.reserve(USUAL_LINE_BYTES);
        serde_json::to_writer(&mut self.line, &Entry::new(stamp, entry, self.top))?;
        self.line.push(b'\n');
        out.write_all(&self.line)
    }
}
