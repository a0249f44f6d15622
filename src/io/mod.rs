//! Opens files with a size limit, and writes them whole or not at all.
//!
//! **In:** a path, and for writing the bytes.
//!
//! **Out:** the bytes of a file of bounded size; a file that is written beside its place and renamed, so that none is left half.
//!
//! ```
//! use bandlore::io::{open, write_whole};
//!
//! let folder = tempfile::tempdir()?;
//! let file = folder.path().join("note.txt");
//! write_whole(&file, b"whole or not at all")?;
//! assert_eq!(open(&file)?, b"whole or not at all");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod ask;
mod digest;
mod error;
mod list;
mod open;
mod same;
mod write;

pub(crate) use ask::{is_file, is_folder, is_there, real_path};
pub use digest::sha256_hex;
pub use error::Error;
pub(crate) use list::list_files;
#[cfg(feature = "parquet")]
pub(crate) use open::open_beginning_with;
pub use open::{LARGEST_FILE_BYTES, open};
pub(crate) use open::{open_regular, read_stdin};
pub use same::is_same_file;
pub(crate) use same::leads_out;
pub use write::Discarded;
pub(crate) use write::create_folder;
pub use write::{WholeFile, discard_unfinished, write_whole};
