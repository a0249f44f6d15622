//! What other systems make of files and paths, as far as it can be tried on this one.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn bandlore(arguments: &[&str], folder: &Path) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    let output = command.args(arguments).current_dir(folder).output().expect("runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn samples(folder: &str) -> Vec<PathBuf> {
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra").join(folder);
    let entries = fs::read_dir(place).expect("samples").filter_map(Result::ok);
    let is_document = |path: &PathBuf| path.extension().is_some_and(|ending| ending == "md");
    let mut files: Vec<PathBuf> =
        entries.map(|e| e.path()).filter(|p| p.is_file() && !is_document(p)).collect();
    files.sort();
    files
}

/// What Windows PowerShell 5 writes for `… > file`: UTF-16 with a mark, lines ended by CR LF.
fn redirected(text: &str) -> Vec<u8> {
    let text = text.replace("\r\n", "\n").replace('\n', "\r\n");
    std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
}

#[test]
fn what_powershell_redirects_is_read_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-spectra/tide-clock/spectra/V02-exposed-a.csv");
    let points = bandlore(&["read", "-f", "csv", sample.to_str().expect("UTF-8")], folder.path());
    fs::write(folder.path().join("again.csv"), redirected(&points)).expect("written");
    assert_eq!(bandlore(&["read", "-f", "csv", "again.csv"], folder.path()), points);
    let exports = folder.path().join("exports");
    fs::create_dir(&exports).expect("a folder");
    for spot in ["V02-exposed-a", "V02-exposed-b"] {
        let name = format!("{spot}.csv");
        fs::copy(sample.with_file_name(&name), exports.join(&name)).expect("copied");
    }
    let manifest = bandlore(&["object", "--start", "exports", "-q"], folder.path());
    fs::write(exports.join("object.toml"), redirected(&manifest)).expect("written");
    let page = bandlore(&["object", "exports", "--date", "2026-03-12", "-q"], folder.path());
    assert!(page.contains("V02"), "{page}");
}

#[test]
fn line_ends_of_windows_change_nothing_that_is_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut compared = 0;
    for sample in samples("two-column").into_iter().chain(samples("jcamp")) {
        // Those in other encodings, and those that test line ends themselves, stay as they are.
        let Ok(text) = fs::read_to_string(&sample) else { continue };
        if text.contains('\r') {
            continue;
        }
        let name = sample.file_name().and_then(|name| name.to_str()).expect("a name");
        let points = |text: &str| {
            fs::write(folder.path().join(name), text).expect("written");
            bandlore(&["read", "-q", "-f", "csv", name], folder.path())
        };
        assert_eq!(points(&text), points(&text.replace('\n', "\r\n")), "{name}");
        compared += 1;
    }
    assert!(compared > 5, "only {compared} samples were compared");
}

#[test]
#[cfg(unix)]
fn a_path_is_told_as_it_was_written_whatever_it_holds() {
    let folder = tempfile::tempdir().expect("a folder");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sample-spectra/tide-clock/spectra/V02-exposed-a.csv");
    // Here these are names like others; on Windows they would be folders of a drive.
    for name in [r"C:\exports\V02.csv", r"\\server\day 1\V02.csv", "CON.csv", "V02 [a]?.csv"] {
        fs::copy(&sample, folder.path().join(name)).expect("copied");
        let found = bandlore(&["identify", "-f", "json", name], folder.path());
        let found: serde_json::Value = serde_json::from_str(&found).expect("JSON");
        assert_eq!(
            (found[0]["file"].as_str(), found[0]["material"].as_str()),
            (Some(name), Some("PVC"))
        );
    }
}
