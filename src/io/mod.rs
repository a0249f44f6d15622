//! Opens files with a size limit, and writes them whole or not at all.

mod digest;
mod error;
mod list;
mod open;
mod write;

pub use digest::sha256_hex;
pub use error::Error;
pub use list::list_files;
pub use open::{LARGEST_FILE_BYTES, open, read_stdin};
pub use write::{WholeFile, create_folder, write_whole};
