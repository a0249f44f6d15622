//! Damaged JCAMP-DX: our own samples, cut short, bits flipped, lines lost and doubled, line ends mixed,
//! labels with absurd values, huge repeat counts, deep links.

use std::path::Path;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::SEED;

fn samples() -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/jcamp");
    let mut samples: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
        .expect("samples")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == "jdx"))
        .map(|path| {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read(path).expect("a sample"))
        })
        .collect();
    samples.sort();
    samples
}

fn lines(bytes: &[u8]) -> Vec<Vec<u8>> {
    bytes.split_inclusive(|b| *b == b'\n').map(<[u8]>::to_vec).collect()
}

fn relabel(bytes: &[u8], label: &str, value: &str) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes).into_owned();
    let kept: Vec<String> = text
        .lines()
        .map(|l| if l.starts_with(label) { format!("{label}={value}") } else { l.to_owned() })
        .collect();
    kept.join("\n").into_bytes()
}

/// Every damaged file, by name.
pub fn all() -> Vec<(String, Vec<u8>)> {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let mut files = Vec::new();
    for (name, bytes) in samples() {
        let mut add = |what: &str, bytes: Vec<u8>| files.push((format!("{what}-{name}"), bytes));
        for n in 0..4 {
            let end = random.random_range(1..bytes.len());
            add(&format!("cut{n}"), bytes[..end].to_vec());
            let mut flipped = bytes.clone();
            for _ in 0..=n * 8 {
                let at = random.random_range(0..flipped.len());
                flipped[at] ^= 1 << random.random_range(0..8);
            }
            add(&format!("flipped{n}"), flipped);
        }
        let mut lost = lines(&bytes);
        lost.remove(random.random_range(0..lost.len()));
        add("lost-line", lost.concat());
        let mut doubled = lines(&bytes);
        let at = random.random_range(0..doubled.len());
        doubled.insert(at, doubled[at].clone());
        add("doubled-line", doubled.concat());
        let mixed: Vec<u8> = lines(&bytes)
            .into_iter()
            .enumerate()
            .flat_map(|(i, mut line)| {
                while line.last().is_some_and(|b| matches!(b, b'\r' | b'\n')) {
                    line.pop();
                }
                line.extend_from_slice([&b"\n"[..], b"\r\n", b"\r"][i % 3]);
                line
            })
            .collect();
        add("mixed-ends", mixed);
        for (label, value) in [
            ("##NPOINTS", "99999999999999999999"),
            ("##YFACTOR", "1e300"),
            ("##XFACTOR", "-1"),
            ("##LASTX", "1e12"),
            ("##YUNITS", "FURLONGS"),
        ] {
            add(&label[2..], relabel(&bytes, label, value));
        }
        let mut lines = lines(&bytes);
        let middle = lines.len() / 2;
        lines.insert(middle, b"9999@s99999999\n".to_vec());
        add("gigabyte-repeat", lines.concat());
        let mut deep = b"##TITLE=l\n##DATA TYPE=LINK\n".repeat(5_000);
        deep.extend_from_slice(&bytes);
        add("deep-links", deep);
    }
    for (name, head) in [
        ("picture.dx", &b"\x89PNG\r\n\x1a\n"[..]),
        ("archive.dx", b"PK\x03\x04"),
        ("zeros.dx", b"\0\0\0\0"),
        ("label.dx", b"##"),
        ("table.dx", b"##XYDATA=(X++(Y..Y))\n"),
    ] {
        let mut bytes = head.to_vec();
        bytes.extend((0..4096).map(|_| random.random::<u8>()));
        files.push((name.to_owned(), bytes));
    }
    files
}
