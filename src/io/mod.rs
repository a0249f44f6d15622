//! Opens files with a size limit, and writes them whole or not at all.

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
