//! Opens files with a size limit, and writes them whole or not at all.

mod ask;
mod digest;
mod error;
mod list;
mod open;
mod same;
mod write;

pub use ask::{is_file, is_folder, is_there, real_path};
pub use digest::sha256_hex;
pub use error::Error;
pub use list::list_files;
#[cfg(feature = "parquet")]
pub use open::open_beginning_with;
pub use open::{LARGEST_FILE_BYTES, open, open_regular, read_stdin};
pub use same::{is_same_file, leads_out};
pub use write::{Discarded, WholeFile, create_folder, discard_unfinished, write_whole};
