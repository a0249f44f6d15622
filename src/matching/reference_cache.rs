//! Prepared references kept between runs, found again by the SHA-256 of their files.
//!
//! The layout is our own and bound to one version of the preparation: what does not fit is made anew. A
//! row is the file's digest, the derivatives, and a bit a grid point for what was measured.

use std::collections::BTreeMap;

use ndarray::Array1;

use super::OnGrid;
use super::references::grid_points;

/// Length of a SHA-256 in hexadecimal digits.
const DIGEST: usize = 64;

/// Prepared references by the digest of their files.
#[derive(Debug, Default)]
pub struct ReferenceCache {
    bytes: Vec<u8>,
    places: BTreeMap<String, usize>,
}

/// Length of a row in bytes.
fn row_length() -> usize {
    DIGEST + 4 * grid_points() + grid_points().div_ceil(8)
}

impl ReferenceCache {
    /// Takes the bytes of a cache. `None` where they are damaged or of another version: `header`
    /// names everything that the rows depend on besides the files.
    #[must_use]
    pub fn read(bytes: Vec<u8>, header: &str) -> Option<Self> {
        let start = header.len() + 1;
        let (found, rows) = bytes.split_at_checked(start)?;
        if found != [header.as_bytes(), b"\n"].concat() || rows.len() % row_length() != 0 {
            return None;
        }
        let mut places = BTreeMap::new();
        for (i, row) in rows.chunks_exact(row_length()).enumerate() {
            let digest = std::str::from_utf8(row.get(..DIGEST)?).ok()?;
            places.insert(digest.to_owned(), start + i * row_length() + DIGEST);
        }
        Some(Self { bytes, places })
    }

    /// Returns how many references are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Returns whether nothing is kept.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// Returns the reference whose file has this SHA-256.
    #[must_use]
    pub fn get(&self, sha256: &str) -> Option<OnGrid> {
        let start = *self.places.get(sha256)?;
        let row = self.bytes.get(start..start + row_length() - DIGEST)?;
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
        assert!(ReferenceCache::read(bytes[..bytes.len() - 1].to_vec(), "v1").is_none());
        assert!(ReferenceCache::read(Vec::new(), "v1").is_none());
        let mut damaged = bytes;
        let start = 3 + DIGEST;
        damaged[start..start + 4].copy_from_slice(&f32::NAN.to_le_bytes());
        let cache = ReferenceCache::read(damaged, "v1").expect("the frame fits");
        assert_eq!(cache.get(&a), None);
    }
}
