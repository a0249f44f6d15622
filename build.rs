//! Says whether the table's files are those whose digest is kept, and keeps the compiler's own library in the
//! program.
//!
//! The digest of the table's contents takes longer than an answer to one spectrum: it is worth keeping, and it may
//! never be that of other files. An edited table is built without it and works it out when it is asked for.

use std::path::Path;
use std::{env, fs, io};

/// The folder that is built in.
const TABLE: &str = "reference-bands";

/// Holds the fingerprint of the files' bytes and the SHA-256 of their contents, a word each.
const KEPT: &str = "src/tables/digest.kept";

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed={TABLE}");
    println!("cargo::rerun-if-changed={KEPT}");
    let kept = fs::read_to_string(KEPT)?;
    let found = fingerprint(Path::new(TABLE))?;
    println!("cargo::rustc-env=BANDLORE_TABLE_SHA256={}", digest_of(&found, &kept));
    if needs_glibc_alone() {
        // Unwinding from the archive beside the compiler's shared library, which is then not asked for.
        println!("cargo::rustc-link-lib=gcc_eh");
    }
    Ok(())
}

/// Returns the kept digest of the files with this fingerprint; nothing where it is of others.
pub fn digest_of<'a>(fingerprint: &str, kept: &'a str) -> &'a str {
    kept.split_once(' ').filter(|(files, _)| *files == fingerprint).map_or("", |(_, x)| x.trim())
}

/// Returns whether this is the program without OpenBLAS on a system of the GNU C library: it is to run wherever
/// that library is.
fn needs_glibc_alone() -> bool {
    let is = |name: &str, value: &str| env::var(name).is_ok_and(|found| found == value);
    let has = |name: &str| env::var_os(name).is_some();
    is("CARGO_CFG_TARGET_OS", "linux")
        && is("CARGO_CFG_TARGET_ENV", "gnu")
        && has("CARGO_FEATURE_CLI")
        && has("CARGO_FEATURE_PURE_RUST")
}

/// Returns the FNV-1a hash (64 bits; Fowler, Noll, Vo) of a table folder's files in the order of their names, each
/// as its name, a zero byte and what it holds, in hexadecimal.
pub fn fingerprint(folder: &Path) -> io::Result<String> {
    const START: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0100_0000_01b3;
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|ending| ending == "csv" || ending == "toml") {
            paths.push(path);
        }
    }
    paths.sort();
    let mut hash = START;
    for path in paths {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        for byte in name.into_bytes().into_iter().chain([0]).chain(fs::read(&path)?) {
            hash = (hash ^ u64::from(byte)).wrapping_mul(PRIME);
        }
    }
    Ok(format!("{hash:016x}"))
}
