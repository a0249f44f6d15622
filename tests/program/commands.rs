//! The program as a user meets it: exit codes, streams, files.

use std::fs;
use std::io::Read;
use std::path::PathBuf;
use std::process::{Command as Process, Stdio};

use assert_cmd::Command;

fn bandlore() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    command.env_remove("NO_COLOR").env_remove("COLUMNS");
    command
}

/// Two bands on a flat line: enough to be read, made here so that the test needs no sample.
fn two_column(separator: &str) -> String {
    let mut text = format!("wavenumber (cm-1){separator}absorbance\n");
    for i in 0..600 {
        let wavenumber = 600.0 + 4.0 * f64::from(i);
        let band = |centre: f64| 0.4 / (1.0 + ((wavenumber - centre) / 9.0).powi(2));
        let absorbance = 0.02 + band(1730.0) + band(1150.0);
        text.push_str(&format!("{wavenumber}{separator}{absorbance:.6}\n"));
    }
    text
}

struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    fn file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.path().join(name);
        fs::write(&path, text).expect("written");
        path
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.0.path())
            .expect("a folder")
            .map(|e| e.expect("entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
}

#[test]
fn answers_version_and_help_with_success() {
    bandlore().arg("--version").assert().success();
    for command in
        ["", "read", "identify", "bands", "plot", "ageing", "compare", "object", "check", "depth"]
    {
        let mut run = bandlore();
        if !command.is_empty() {
            run.arg(command);
        }
        let output = run.arg("--help").output().expect("runs");
        assert_eq!(output.status.code(), Some(0), "{command}");
    }
}

#[test]
fn exits_with_two_on_wrong_usage() {
    bandlore().assert().code(2);
    bandlore().arg("identify").assert().code(2);
    bandlore().args(["identify", "--format", "poem", "x.csv"]).assert().code(2);
    bandlore().args(["identify", "--bands", "no-such-folder", "x.csv"]).assert().code(2);
}

#[test]
fn says_once_what_the_system_reported() {
    let output = bandlore().args(["bands", "--bands", "no-such-folder"]).output().expect("runs");
    assert_eq!(
        String::from_utf8_lossy(&output.stderr).replace('\\', "/"),
        "error: no-such-folder/table.toml: cannot be read: no such file or folder\n"
    );
}

#[test]
fn goes_on_past_a_bad_file_and_exits_with_one() {
    let folder = Folder::new();
    let bad = folder.file("bad.csv", "no numbers here\nnone at all\n");
    let good = folder.file("good.csv", &two_column(","));
    for command in ["read", "identify"] {
        let output = bandlore().arg(command).arg(&bad).arg(&good).output().expect("runs");
        let errors = String::from_utf8_lossy(&output.stderr);
        let text = String::from_utf8_lossy(&output.stdout);
        assert_eq!(output.status.code(), Some(1), "{command}: {errors}");
        assert!(errors.contains("bad.csv"), "{errors}");
        assert!(text.contains("good.csv"), "{text}");
    }
}

#[test]
fn reads_standard_input() {
    let output =
        bandlore().args(["read", "-", "--format", "csv"]).write_stdin(two_column(";")).unwrap();
    let text = String::from_utf8(output.stdout).expect("text");
    assert_eq!(text.lines().next(), Some("block,wavenumber_cm1,absorbance,flag"));
    assert_eq!(text.lines().count(), 601);
    assert!(text.lines().nth(1).is_some_and(|line| line.starts_with("1,600,0.0")), "{text:.80}");
}

#[test]
fn keeps_a_closed_pipe_quiet() {
    let folder = Folder::new();
    let file = folder.file("many.csv", &two_column(","));
    let mut child = Process::new(env!("CARGO_BIN_EXE_bandlore"))
        .args(["read", "--format", "csv"])
        .args(std::iter::repeat_n(&file, 60))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts");
    let mut first = [0; 16];
    child.stdout.take().expect("piped").read_exact(&mut first).expect("some output");
    // Dropping the pipe here closes it while the program still has more than a pipe's worth to say.
    let output = child.wait_with_output().expect("ends");
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
fn writes_an_output_file_whole_or_not_at_all() {
    let folder = Folder::new();
    let file = folder.file("good.csv", &two_column(","));
    let out = folder.0.path().join("out.csv");
    bandlore().args(["read", "-f", "csv", "-o"]).arg(&out).arg(&file).assert().success();
    assert_eq!(fs::read_to_string(&out).expect("written").lines().count(), 601);
    assert_eq!(folder.names(), ["good.csv", "out.csv"]);

    let nowhere = folder.0.path().join("no/out.csv");
    let output = bandlore().args(["read", "-o"]).arg(&nowhere).arg(&file).output().expect("runs");
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("out.csv"));
}

#[cfg(target_os = "linux")]
#[test]
fn says_so_when_the_disk_is_full() {
    let folder = Folder::new();
    let file = folder.file("good.csv", &two_column(","));
    let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("a full device");
    let output = Process::new(env!("CARGO_BIN_EXE_bandlore"))
        .args(["read", "--format", "csv"])
        .arg(&file)
        .stdout(full)
        .output()
        .expect("runs");
    assert_eq!(output.status.code(), Some(2));
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(errors.starts_with("error: standard output: "), "{errors}");
}

#[test]
fn writes_completions_and_the_manual() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let output = bandlore().args(["completions", shell]).output().expect("runs");
        assert!(String::from_utf8_lossy(&output.stdout).contains("identify"), "{shell}");
    }
    let output = bandlore().arg("man").output().expect("runs");
    assert!(String::from_utf8_lossy(&output.stdout).contains(".TH bandlore 1"));
    bandlore().args(["man", "identify"]).assert().success();
    bandlore().args(["man", "no-such-command"]).assert().code(2);
}

#[test]
fn prints_no_colour_into_a_pipe() {
    let output = bandlore().args(["identify", "-"]).write_stdin(two_column("\t")).unwrap();
    assert!(!output.stdout.contains(&0x1b));
}

#[test]
fn turns_undecided_answers_into_three_on_request() {
    // A flat line holds no band, so no answer can be decided.
    let mut flat = String::from("wavenumber,absorbance\n");
    for i in 0..800 {
        flat.push_str(&format!("{},{}\n", 500 + 4 * i, 0.02 + 1e-4 * f64::from(i % 3)));
    }
    let run = |more: &[&str]| {
        bandlore().args(["identify", "-"]).args(more).write_stdin(flat.clone()).assert()
    };
    run(&[]).code(0);
    run(&["--require-identified"]).code(3);
}

#[test]
fn keeps_an_unreadable_file_in_the_json_array() {
    let folder = Folder::new();
    let picture = folder.file("photo.csv", "\u{0}\u{1}\u{2}PNG");
    let good = folder.file("good.csv", &two_column(","));
    let output = bandlore()
        .args(["identify", "--format", "json"])
        .arg(&picture)
        .arg(&good)
        .output()
        .expect("runs");
    assert_eq!(output.status.code(), Some(1));
    let array: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(array.as_array().map(Vec::len), Some(2));
    assert!(array[0]["error"].is_string(), "{array}");
    assert!(array[1]["error"].is_null());
    for key in [
        "schema",
        "tool",
        "table",
        "file",
        "block",
        "outcome",
        "material",
        "candidates",
        "components",
        "ranking",
        "chlorine",
        "ordinate",
        "mode",
        "range",
        "warnings",
        "error",
    ] {
        assert!(array[1].get(key).is_some(), "{key} is missing");
    }
}

#[test]
fn ranks_as_many_candidates_as_are_asked_for() {
    let film = "sample-spectra/tide-clock/spectra/B1-exposed.csv";
    let listed = |top: &str| {
        let mut run = bandlore();
        run.args(["identify", "--format", "json", "--top", top, film]);
        let output = run.output().expect("runs");
        let found: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
        found[0]["ranking"].as_array().expect("a ranking").len()
    };
    assert_eq!((listed("1"), listed("3"), listed("8")), (1, 3, 8));
}

#[test]
fn answers_in_the_order_of_the_inputs_across_portions_and_large_files() {
    let folder = Folder::new();
    let file = folder.file("good.csv", &two_column(","));
    let bad = folder.file("bad.csv", "no numbers here\n");
    // A map of more than 4 MiB is read in portions of 64 spectra.
    let axis: Vec<f64> = (0..7000).map(|i| 500.0 + 0.5 * f64::from(i)).collect();
    let mut map = String::from("place");
    axis.iter().for_each(|x| map.push_str(&format!(",{x}")));
    for spectrum in 0..70 {
        map.push_str(&format!("\np{spectrum}"));
        for x in &axis {
            let band = |centre: f64| 0.4 / (1.0 + ((x - centre) / 9.0).powi(2));
            map.push_str(&format!(",{:.6}", 0.02 + band(1730.0) + band(1150.0)));
        }
    }
    assert!(map.len() > 4 << 20, "{}", map.len());
    let map = folder.file("map.csv", &map);
    let mut files = vec![&file; 129];
    files.insert(5, &bad);
    files.extend([&map, &file, &bad]);
    let output = bandlore().args(["identify", "-f", "jsonl"]).args(&files).output().expect("runs");
    assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
    let found: Vec<(String, u64, bool)> = String::from_utf8_lossy(&output.stdout)
        .lines()
        .map(|line| {
            let entry: serde_json::Value = serde_json::from_str(line).expect("a line is an object");
            let name = entry["file"].as_str().expect("a file").rsplit('/').next().unwrap_or("");
            let block = entry["block"].as_u64().expect("a block");
            (name.to_owned(), block, entry["error"].is_string())
        })
        .collect();
    let one = |name: &str, failed| (name.to_owned(), 1, failed);
    let mut expected = vec![one("good.csv", false); 129];
    expected.insert(5, one("bad.csv", true));
    expected.extend((1..=70).map(|block| ("map.csv".to_owned(), block, false)));
    expected.extend([one("good.csv", false), one("bad.csv", true)]);
    assert_eq!(found, expected);
}

#[test]
fn every_command_reads_what_read_writes() {
    let folder = Folder::new();
    let (a, b) =
        (folder.file("a.csv", &two_column(",")), folder.file("b, \"c\".csv", &two_column(";")));
    let written = folder.0.path().join("written.csv");
    bandlore().args(["read", "-f", "csv", "-o"]).arg(&written).args([&a, &b]).assert().success();
    let again = |path: &std::path::Path, more: &[&str]| {
        let output =
            bandlore().args(["read", "-f", "csv"]).args(more).arg(path).output().expect("runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let first = again(&a, &[]);
    let both =
        format!("{first}{}", first.replace("\n1,", "\n2,").split_once('\n').expect("rows").1);
    assert_eq!(again(&written, &[]), both);
    assert_eq!(again(&written, &["--block", "1"]), first);
    // Once more over, as a spreadsheet of another language saves it.
    let saved =
        fs::read_to_string(&written).expect("text").replace("\"b, \"\"c\"\".csv\"", "c.csv");
    let saved = folder.file("saved.csv", &saved.replace(',', ";").replace("0.", "0,"));
    assert_eq!(again(&saved, &[]), both);
    for command in ["identify", "check", "ageing"] {
        let output = bandlore().arg(command).arg(&written).output().expect("runs");
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    }
    let beyond = bandlore().args(["read", "--block", "3"]).arg(&written).output().expect("runs");
    assert!(String::from_utf8_lossy(&beyond.stderr).contains("no spectrum 3; the file holds 2"));
    // Fillers come back as what was not measured, whatever their share.
    let mut padded = String::from("cm-1,A\n");
    for i in 0..600 {
        let value = if i < 200 { 0.0 } else { 0.3 + 0.2 * f64::from(i % 50) / 50.0 };
        padded.push_str(&format!("{},{value:.6}\n", 600 + 4 * i));
    }
    let padded = folder.file("padded.csv", &padded);
    bandlore().args(["read", "-f", "csv", "-o"]).arg(&written).arg(&padded).assert().success();
    let measured = |text: &str| -> Vec<String> {
        text.lines().filter(|line| line.ends_with("measured")).map(str::to_owned).collect()
    };
    assert_eq!(measured(&again(&padded, &[])).len(), 400);
    assert_eq!(measured(&again(&written, &[])), measured(&again(&padded, &[])));
}

#[test]
fn without_a_format_the_ending_of_the_output_says_it() {
    let folder = Folder::new();
    let spectrum = folder.file("a.csv", &two_column(","));
    for (name, begins) in [("t.csv", "file,block,"), ("t.JSON", "["), ("t.md", "# "), ("t.txt", "")]
    {
        let path = folder.0.path().join(name);
        bandlore().arg("identify").arg(&spectrum).arg("-o").arg(&path).assert().success();
        let text = fs::read_to_string(&path).expect("written");
        assert!(text.starts_with(begins), "{name}: {text}");
    }
    // No page is written as text: it would open as none.
    let page = folder.0.path().join("t.html");
    let refused = bandlore().arg("identify").arg(&spectrum).arg("-o").arg(&page).assert().code(2);
    let said = String::from_utf8_lossy(&refused.get_output().stderr).into_owned();
    assert!(said.contains("--report FILE.html") && !page.exists(), "{said}");
    // What is asked for holds, whatever the file is called.
    let path = folder.0.path().join("u.csv");
    let mut asked = bandlore();
    asked.arg("identify").arg(&spectrum).args(["-f", "json", "-o"]).arg(&path).assert().success();
    assert!(fs::read_to_string(&path).expect("written").starts_with('['));
}

#[test]
fn files_of_a_folder_that_are_passed_over_are_all_named() {
    let folder = Folder::new();
    folder.file("a.csv", &two_column(","));
    for name in ["b.xlsx", "c.0"] {
        folder.file(name, &two_column(","));
    }
    let run = bandlore().arg("read").arg(folder.0.path()).assert().success();
    let note = String::from_utf8_lossy(&run.get_output().stderr).replace('\n', " ");
    assert!(note.contains("2 files passed over") && note.contains("b.xlsx"), "{note}");
    assert!(note.contains("c.0"), "{note}");
}
