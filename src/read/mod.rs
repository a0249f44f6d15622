//! Bytes in, spectra out: the one public way to read a file.

mod error;
mod finish;
mod jcamp;
mod order;
mod ordinate;
mod padding;
mod source;
mod spectra;

pub use error::{Error, Fault};
pub use jcamp::{Error as JcampError, JcampBlock, decode_jcamp_blocks};
pub use spectra::{Column, ReadOptions, Spectra, read_bytes, read_path};
