//! Bytes in, spectra out: the one public way to read a file.

mod columns;
mod decode;
mod error;
#[cfg(test)]
mod fault_tests;
mod finish;
mod header;
mod jcamp;
mod jump;
mod layout;
mod lines;
mod number;
mod order;
mod ordinate;
mod own;
mod padding;
mod pairs;
#[cfg(feature = "parquet")]
mod parquet;
mod rows;
mod source;
mod spectra;
mod table;
mod thousands;
mod two_column;
mod wide;
mod words;

pub use error::{Error, Fault};
pub use jcamp::{Error as JcampError, JcampBlock, decode_jcamp_blocks};
pub use spectra::{Column, ReadOptions, Spectra, read_bytes, read_path};
