//! What every sample is answered with, kept so that a change of any answer shows up in review.
//!
//! `tests/results.lock` is renewed by hand only (`BANDLORE_RENEW=1 cargo test --test suite results_lock`).
//! Its own digest must stand in a "Results change" line of CHANGELOG.md, so that no answer changes
//! without a word to the users.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use bandlore::{Examiner, ReadOptions, Tables, io::sha256_hex, read_path};

const RENEW: &str = "BANDLORE_RENEW";

/// Folders of sample-spectra whose files are not spectra to be judged.
const LEFT_OUT: [&str; 2] = ["broken", "uv-visible"];

/// Endings of spectra among the samples.
const ENDINGS: [&str; 5] = ["csv", "dx", "jdx", "txt", "tsv"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn samples(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()).collect();
    entries.sort();
    for path in entries {
        let name = path.file_name().expect("named").to_string_lossy().into_owned();
        if path.is_dir() {
            if !LEFT_OUT.contains(&name.as_str()) {
                samples(&path, found);
            }
        } else if path.extension().is_some_and(|e| ENDINGS.iter().any(|ending| e == *ending)) {
            found.push(path);
        }
    }
}

/// Returns the word that the JSON output uses for a value.
fn word(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value).expect("serialisable") {
        serde_json::Value::String(text) => text,
        other => other.to_string(),
    }
}

fn answers() -> String {
    let tables = Tables::built_in();
    let examiner = Examiner::new(tables);
    let mut files = Vec::new();
    samples(&root().join("sample-spectra"), &mut files);
    assert!(files.len() > 50, "only {} samples were found", files.len());
    let mut text = String::from(
        "# sample hash, sample, block: outcome, material or candidates, chlorine by bands, by identity\n",
    );
    writeln!(text, "table {}", tables.sha256()).expect("text");
    for file in files {
        let name = file.strip_prefix(root()).expect("inside").display().to_string();
        let hash = sha256_hex(&fs::read(&file).expect("readable"));
        for (i, spectrum) in read_path(&file, &ReadOptions::default()).enumerate() {
            let start = format!("{} {name} {}", &hash[..12], i + 1);
            let spectrum = match spectrum {
                Ok(spectrum) => spectrum,
                Err(error) => {
                    let reason = error.to_string().replace(&*root().to_string_lossy(), "");
                    writeln!(text, "{start}: unread: {reason}").expect("text");
                    continue;
                }
            };
            let found = examiner.examine(spectrum).expect("examined").identification;
            let components: Vec<&str> = found.components.iter().map(|c| c.id.as_str()).collect();
            let named = match (&found.material, found.candidates.as_slice()) {
                (Some(material), _) => material.clone(),
                (None, []) => components.join("+"),
                (None, candidates) => candidates.join("|"),
            };
            writeln!(
                text,
                "{start}: {} {} {} {}",
                word(&found.outcome),
                if named.is_empty() { "-" } else { &named },
                word(&found.chlorine.bands),
                word(&found.chlorine.by_identity),
            )
            .expect("text");
        }
    }
    text
}

#[test]
fn no_answer_changes_without_a_word() {
    let path = root().join("tests/results.lock");
    let now = answers();
    if std::env::var_os(RENEW).is_some() {
        fs::write(&path, &now).expect("writable");
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    let changed: Vec<String> = now
        .lines()
        .filter(|line| !kept.lines().any(|k| k == *line))
        .map(|line| format!("now  {line}"))
        .chain(
            kept.lines()
                .filter(|line| !now.lines().any(|n| n == *line))
                .map(|line| format!("kept {line}")),
        )
        .collect();
    assert!(
        kept == now,
        "{} lines differ from tests/results.lock; if that is meant, set {RENEW}=1 once:\n{}",
        changed.len(),
        changed.iter().take(40).cloned().collect::<Vec<_>>().join("\n")
    );
    let digest = &sha256_hex(kept.as_bytes())[..12];
    let changelog = fs::read_to_string(root().join("CHANGELOG.md")).expect("CHANGELOG.md");
    assert!(
        changelog.lines().any(|line| line.contains("Results change") && line.contains(digest)),
        "tests/results.lock is {digest}: write a \"Results change\" line with it into CHANGELOG.md"
    );
}
