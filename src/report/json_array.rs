//! A JSON array that is written value by value.

use std::io::{self, Write};

use serde::Serialize;

/// Whether a value was written already.
#[derive(Clone, Debug, Default)]
pub(super) struct JsonArray {
    begun: bool,
}

impl JsonArray {
    pub(super) fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        self.begun = false;
        out.write_all(b"[")
    }

    pub(super) fn value(&mut self, value: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(if self.begun { b",\n" } else { b"\n" })?;
        self.begun = true;
        Ok(serde_json::to_writer_pretty(out, value)?)
    }

    pub(super) fn end(&self, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(if self.begun { b"\n]\n" } else { b"]\n" })
    }
}
