//! Report values and their writers: one trait a kind of report, one file a format.

mod identification;
#[cfg(test)]
mod schema;
mod style;
mod text_tools;
mod words;

pub use identification::{
    CsvWriter, IdentificationEntry, IdentificationWriter, JsonLinesWriter, JsonWriter,
    MarkdownWriter, Stamp, TextWriter, WriteOptions, write_identifications,
};
pub use style::Style;
