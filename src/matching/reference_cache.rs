//! Prepared references kept between runs, found again by the SHA-256 of their files.
//!
//! The layout is our own and bound to one version of the preparation: what does not fit is made anew. A
//! row is the file's digest, the derivatives, a bit a grid point for what was measured, and the first
//! bytes of the SHA-256 of all that: a row that was damaged, or put under another file's digest, is none.

use std::collections::BTreeMap;

use ndarray::Array1;
use sha2::{Digest, Sha256};

use super::OnGrid;
use super::references::grid_points;

/// Length of a SHA-256 in hexadecimal digits.
const DIGEST: usize = 64;

/// Bytes of the SHA-256 of a row that are kept behind it; by chance one damage in 2⁶⁴ goes unseen.
const CHECK: usize = 8;

/// Prepared references by the digest of their files.
#[derive(Debug, Default)]
pub struct ReferenceCache {
    bytes: Vec<u8>,
    places: BTreeMap<String, usize>,
    damaged: usize,
}

/// Length of a row in bytes.
fn row_length() -> usize {
    DIGEST + 4 * grid_points() + grid_points().div_ceil(8) + CHECK
}

/// The check of a row without its check.
fn check_of(row: &[u8]) -> [u8; CHECK] {
    let digest = Sha256::digest(row);
    std::array::from_fn(|i| digest[i])
}

impl ReferenceCache {
    /// Takes the bytes of a cache; rows that are damaged are left out and counted. `None` where they are of another version: `header`
    /// names everything that the rows depend on besides the files.
    #[must_use]
    pub fn read(bytes: Vec<u8>, header: &str) -> Option<Self> {
        let start = header.len() + 1;
        let (found, rows) = bytes.split_at_checked(start)?;
        if found != [header.as_bytes(), b"\n"].concat() {
            return None;
        }
        let mut places = BTreeMap::new();
        // A row that was cut short is one.
        let mut damaged = usize::from(rows.len() % row_length() != 0);
        for (i, row) in rows.chunks_exact(row_length()).enumerate() {
            let (body, check) = row.split_at_checked(row_length() - CHECK)?;
            match body.get(..DIGEST).and_then(|digest| std::str::from_utf8(digest).ok()) {
                Some(digest) if check_of(body) == check => {
                    places.insert(digest.to_owned(), start + i * row_length() + DIGEST);
                }
                _ => damaged += 1,
            }
        }
        Some(Self { bytes, places, damaged })
    }

    /// Returns whether bytes begin as a cache of any version does: no other file is to be replaced by one.
    #[must_use]
    pub fn is_one(bytes: &[u8], header: &str) -> bool {
        let first_words = header.split(',').next().unwrap_or(header);
        let words = first_words.trim_end_matches(|c: char| c.is_ascii_digit());
        bytes.is_empty() || bytes.starts_with(words.as_bytes())
    }

    /// Returns how many rows were damaged.
    #[must_use]
    pub fn damaged(&self) -> usize {
        self.damaged
    }

    /// Returns how many references are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Returns the reference whose file has this SHA-256.
    #[must_use]
    pub fn get(&self, sha256: &str) -> Option<OnGrid> {
        let start = *self.places.get(sha256)?;
        let row = self.bytes.get(start..start + row_length() - DIGEST - CHECK)?;
        let (values, bits) = row.split_at_checked(4 * grid_points())?;
        let derivative: Array1<f32> =
            values.chunks_exact(4).map(|v| f32::from_le_bytes([v[0], v[1], v[2], v[3]])).collect();
        let measured: Vec<bool> = (0..grid_points())
            .map(|i| bits.get(i / 8).is_some_and(|byte| byte >> (i % 8) & 1 == 1))
            .collect();
        derivative.iter().all(|v| v.is_finite()).then_some(OnGrid { derivative, measured })
    }

    /// Returns the bytes of a cache of these references, each with the SHA-256 of its file.
    #[must_use]
    pub fn write<'a>(
        header: &str,
        references: impl Iterator<Item = (&'a str, &'a OnGrid)>,
    ) -> Vec<u8> {
        let mut bytes = Vec::from(header);
        bytes.push(b'\n');
        for (sha256, on_grid) in references.filter(|(sha256, _)| sha256.len() == DIGEST) {
            let start = bytes.len();
            bytes.extend_from_slice(sha256.as_bytes());
            for value in &on_grid.derivative {
                bytes.extend_from_slice(&value.to_le_bytes());
            }
            let mut bits = vec![0_u8; grid_points().div_ceil(8)];
            for (i, measured) in on_grid.measured.iter().enumerate() {
                if *measured && let Some(byte) = bits.get_mut(i / 8) {
                    *byte |= 1 << (i % 8);
                }
            }
            bytes.extend_from_slice(&bits);
            let check = check_of(bytes.get(start..).unwrap_or_default());
            bytes.extend_from_slice(&check);
        }
        bytes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on_grid(seed: f32) -> OnGrid {
        let n = grid_points();
        OnGrid {
            derivative: (0..n).map(|i| seed * (i as f32).sin()).collect(),
            measured: (0..n).map(|i| i % 3 != 0).collect(),
        }
    }

    #[test]
    fn gives_back_what_was_kept_and_nothing_for_a_changed_file() {
        let (a, b) = ("a".repeat(DIGEST), "b".repeat(DIGEST));
        let (first, second) = (on_grid(0.5), on_grid(-2.0));
        let bytes =
            ReferenceCache::write("v1", [(a.as_str(), &first), (b.as_str(), &second)].into_iter());
        let cache = ReferenceCache::read(bytes, "v1").expect("fits");
        assert_eq!(cache.len(), 2);
        assert_eq!(cache.get(&a), Some(first));
        assert_eq!(cache.get(&b), Some(second));
        assert_eq!(cache.get(&"c".repeat(DIGEST)), None);
    }

    #[test]
    fn refuses_a_foreign_a_cut_and_a_damaged_cache() {
        let a = "a".repeat(DIGEST);
        let one = on_grid(1.0);
        let bytes = ReferenceCache::write("v1", [(a.as_str(), &one)].into_iter());
        assert!(ReferenceCache::read(bytes.clone(), "v2").is_none());
        let cut = ReferenceCache::read(bytes[..bytes.len() - 1].to_vec(), "v1").expect("a start");
        assert_eq!((cut.damaged(), cut.len()), (1, 0));
        assert!(ReferenceCache::read(Vec::new(), "v1").is_none());
        assert!(ReferenceCache::is_one(b"ours 1, old", "ours 2, new"));
        assert!(!ReferenceCache::is_one(b"4000,0.1\n", "ours 2, new"));
    }

    #[test]
    fn leaves_out_rows_that_are_damaged_or_under_another_digest() {
        let (a, b) = ("a".repeat(DIGEST), "b".repeat(DIGEST));
        let (first, second) = (on_grid(0.5), on_grid(-2.0));
        let bytes =
            ReferenceCache::write("v1", [(a.as_str(), &first), (b.as_str(), &second)].into_iter());
        // Any one bit, of the first row's digest, values, flags or check.
        for at in [3, 3 + DIGEST + 2, row_length() - CHECK, row_length() + 2] {
            let mut damaged = bytes.clone();
            damaged[at] ^= 1;
            let cache = ReferenceCache::read(damaged, "v1").expect("the frame fits");
            assert_eq!((cache.damaged(), cache.get(&a)), (1, None), "byte {at}");
            assert_eq!(cache.get(&b).as_ref(), Some(&second));
        }
        // Each row whole, but under the digest of the other file.
        let mut swapped = bytes;
        swapped[3..3 + DIGEST].copy_from_slice(b.as_bytes());
        let other = 3 + row_length();
        swapped[other..other + DIGEST].copy_from_slice(a.as_bytes());
        let cache = ReferenceCache::read(swapped, "v1").expect("the frame fits");
        assert_eq!((cache.damaged(), cache.len()), (2, 0));
    }
}
