//! Makes the invented demo object under `sample-spectra/tide-clock`.
//!
//! Nothing here was measured: no such object, town or person exists. Each spot is a sum of
//! oscillators, turned into one reflection in a diamond crystal by Fresnel's equations, with an air
//! gap, noise, water vapour and a sloping baseline from a fixed seed.
//!
//! ```text
//! cargo run --example make_tide_clock -- [DIR]
//! ```

mod manifest;
mod materials;
mod optics;
mod world;

use std::error::Error;
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args()
        .nth(1)
        .map_or_else(|| PathBuf::from("sample-spectra/tide-clock"), PathBuf::from);
    let mut files = world::files();
    files.push(("object.toml".to_owned(), manifest::text()));
    let count = files.len();
    for (name, text) in files {
        let path = folder.join(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(path, text)?;
    }
    println!("{count} files written to {}", folder.display());
    Ok(())
}
