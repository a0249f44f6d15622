//! The fingerprint of a file's bytes.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

/// Returns the SHA-256 of `bytes` in lower-case hexadecimal.
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    hexadecimal(Sha256::digest(bytes))
}

/// As [`sha256_hex`], of all that is left to read, a piece at a time.
#[cfg(feature = "parquet")]
pub(super) fn sha256_of_all(mut source: impl std::io::Read) -> std::io::Result<String> {
    let mut digest = Sha256::new();
    let mut piece = vec![0; 1 << 16];
    loop {
        match source.read(&mut piece)? {
            0 => return Ok(hexadecimal(digest.finalize())),
            count => digest.update(&piece[..count]),
        }
    }
}

fn hexadecimal(bytes: impl IntoIterator<Item = u8>) -> String {
    let mut text = String::with_capacity(64);
    for byte in bytes {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_published_example() {
        // FIPS 180-4 example: SHA-256 of "abc" (NIST cryptographic examples).
        assert_eq!(
            sha256_hex(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
