//! Outputs that cannot be written: a clean message, exit code 2, and no part of a file.

use std::fs;
use std::io::{BufRead, BufReader};
use std::os::unix::fs::FileTypeExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn bandlore(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_bandlore")).args(arguments).output().expect("runs")
}

/// One film, made here so that the tests need no sample.
fn film(folder: &Path, points: u32) -> PathBuf {
    let mut text = String::from("cm-1,absorbance\n");
    for i in 0..points {
        let wavenumber = 600.0 + 3000.0 * f64::from(i) / f64::from(points);
        let band = 0.4 / (1.0 + ((wavenumber - 1730.0) / 9.0).powi(2));
        text.push_str(&format!("{wavenumber:.3},{:.6}\n", 0.02 + band));
    }
    let path = folder.join("film.csv");
    fs::write(&path, text).expect("written");
    path
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Runs and expects one line that names `path`, and nothing on standard output.
fn refused(arguments: &[&str], path: &str, words: &str) {
    let output = bandlore(arguments);
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{stderr}");
    assert_eq!(stderr.lines().count(), 1, "{stderr}");
    assert!(stderr.starts_with(&format!("error: {path}: cannot be written: ")), "{stderr}");
    assert!(stderr.contains(words), "{stderr}");
    assert!(!stderr.contains("os error"), "{stderr}");
    assert!(output.stdout.is_empty());
}

#[test]
fn names_an_output_whose_folder_is_not_there_or_closed() {
    let folder = tempfile::tempdir().expect("a folder");
    let film = film(folder.path(), 600);
    let film = film.to_str().expect("a name");
    for command in ["read", "identify", "ageing"] {
        let none = folder.path().join("none/out.csv");
        let none = none.to_str().expect("a name");
        refused(&[command, film, "--output", none], none, "no such file or folder");
        // Not even root creates files here.
        let closed = "/sys/kernel/out.csv";
        refused(&[command, film, "--output", closed], closed, "");
    }
    assert_eq!(names(folder.path()), ["film.csv"]);
}

#[test]
fn writes_to_a_device_as_it_is_and_says_so_when_it_is_full() {
    let folder = tempfile::tempdir().expect("a folder");
    let film = film(folder.path(), 600);
    let film = film.to_str().expect("a name");
    refused(&["read", film, "--format", "csv", "-o", "/dev/full"], "/dev/full", "no space left");
    refused(&["identify", film, "-o", "/dev/full"], "/dev/full", "no space left");
    let output = bandlore(&["read", film, "--output", "/dev/null"]);
    assert_eq!(output.status.code(), Some(0));
    for device in ["/dev/full", "/dev/null"] {
        let kind = fs::metadata(device).expect("still there").file_type();
        assert!(kind.is_char_device(), "{device} was replaced");
    }
}

#[test]
fn leaves_nothing_on_a_full_disk() {
    let folder = tempfile::tempdir().expect("a folder");
    let disk = folder.path().join("disk");
    fs::create_dir(&disk).expect("a folder");
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=64k", "tmpfs"])
        .arg(&disk)
        .stderr(Stdio::null())
        .status();
    if !mounted.is_ok_and(|status| status.success()) {
        println!("skipped: only root can make a small disk to fill");
        return;
    }
    let film = film(folder.path(), 20_000);
    let out = disk.join("points.csv");
    fs::write(&out, "kept").expect("written");
    let out_name = out.to_str().expect("a name");
    let output =
        bandlore(&["read", film.to_str().expect("a name"), "--format", "csv", "-o", out_name]);
    let stderr = String::from_utf8_lossy(&output.stderr).into_owned();
    let (left, kept) = (names(&disk), fs::read_to_string(&out));
    Command::new("umount").arg(&disk).status().expect("unmounts");
    assert_eq!(output.status.code(), Some(2), "{stderr}");
    assert!(stderr.contains("no space left on the disk; nothing was left behind"), "{stderr}");
    assert_eq!(left, ["points.csv"]);
    assert_eq!(kept.expect("still there"), "kept");
}

#[test]
fn keeps_a_link_and_replaces_what_it_leads_to() {
    let folder = tempfile::tempdir().expect("a folder");
    let film = film(folder.path(), 600);
    let (real, link) = (folder.path().join("real.txt"), folder.path().join("link.txt"));
    fs::write(&real, "old").expect("written");
    std::os::unix::fs::symlink(&real, &link).expect("linked");
    let (film, out) = (film.to_str().expect("a name"), link.to_str().expect("a name"));
    assert_eq!(bandlore(&["read", film, "--output", out]).status.code(), Some(0));
    assert!(fs::symlink_metadata(&link).expect("there").is_symlink());
    assert!(fs::read_to_string(&real).expect("there").contains("600 points"));
}

#[test]
fn stays_quiet_when_the_reader_of_json_lines_goes_away() {
    let folder = tempfile::tempdir().expect("a folder");
    let film = film(folder.path(), 600);
    let mut child = Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .args(["identify", "--format", "jsonl"])
        .args(std::iter::repeat_n(film.as_os_str(), 300))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts");
    let mut line = String::new();
    let mut out = BufReader::new(child.stdout.take().expect("piped"));
    out.read_line(&mut line).expect("a line");
    // One whole answer a line, there before the batch is done.
    let answer: serde_json::Value = serde_json::from_str(&line).expect("JSON");
    assert!(answer["file"].as_str().is_some_and(|file| file.ends_with("film.csv")));
    drop(out);
    let output = child.wait_with_output().expect("ends");
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && stderr.is_empty(), "{stderr}");
}
