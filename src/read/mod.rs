//! Bytes in, spectra out: the one public way to read a file.
//!
//! **In:** a file or its bytes, and [`ReadOptions`] for what the file does not say.
//!
//! **Out:** [`Spectra`], one after another; an [`Error`] names file, line, what was found and what to do.
//!
//! ```
//! use bandlore::{ReadOptions, read_bytes};
//!
//! let bytes = b"wavenumber,absorbance\n700,0.1\nseven hundred and two,0.2\n";
//! let error = read_bytes(bytes, "film.csv", &ReadOptions::default()).find_map(Result::err);
//! assert!(error.ok_or("was read")?.to_string().contains("film.csv"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod columns;
mod decode;
mod error;
#[cfg(test)]
mod fault_tests;
mod finish;
mod found;
mod header;
mod jcamp;
mod jump;
mod layout;
mod lines;
mod number;
mod options;
mod order;
mod ordinate;
mod own;
mod padding;
mod pairs;
#[cfg(feature = "parquet")]
mod parquet;
mod rows;
mod runs;
mod source;
mod spectra;
mod stream;
mod table;
mod thousands;
mod two_column;
mod wide;
mod words;

pub use error::{Error, Fault};
pub use jcamp::{Error as JcampError, JcampBlock, decode_jcamp_blocks};
pub use options::{Column, ReadOptions};
pub use spectra::{read_bytes, read_path};
pub use stream::Spectra;
