//! Keeps documents true: runs the commands that a document shows and compares what they print.
//!
//! A block that begins with ```` ```console ```` holds lines `$ command`, each followed by what it
//! prints. A comment `<!-- file: NAME -->` before a block has the block written to that file first.
//! A picture `![…](FOLDER/NAME)` must equal the file NAME that the commands left, where they left one.
//! With `BANDLORE_RENEW_DOCS` set, the document and its pictures are written anew instead.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

/// Set to anything to write the documents anew.
pub const RENEW: &str = "BANDLORE_RENEW_DOCS";

const CONSOLE: &str = "```console";
const FENCE: &str = "```";
const FILE: &str = "<!-- file: ";

/// Runs a document's commands in `folder`, and returns how many it ran.
///
/// `picture` makes the bytes of a picture that no command wrote, from its file name.
pub fn check(document: &str, folder: &Path, picture: impl Fn(&str) -> Option<Vec<u8>>) -> usize {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = root.join(document);
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{document}: {error}"));
    let mut renewed = String::new();
    let mut lines = text.lines().peekable();
    let mut file: Option<&str> = None;
    let mut ran = 0;
    while let Some(line) = lines.next() {
        writeln!(renewed, "{line}").expect("text");
        if let Some(name) = line.strip_prefix(FILE) {
            file = name.strip_suffix(" -->");
        } else if line == CONSOLE {
            let block = until_fence(&mut lines);
            for command in commands(&block) {
                writeln!(renewed, "$ {}", command.join("\n")).expect("text");
                renewed.push_str(&printed(&command.join("\n"), folder));
                ran += 1;
            }
            renewed.push_str("```\n");
        } else if line.starts_with(FENCE) {
            let block = until_fence(&mut lines);
            if let Some(name) = file.take() {
                let text: String = block.iter().map(|line| format!("{line}\n")).collect();
                fs::write(folder.join(name), text).expect("written");
            }
            for line in block {
                writeln!(renewed, "{line}").expect("text");
            }
            renewed.push_str("```\n");
        }
    }
    let renew = std::env::var_os(RENEW).is_some();
    if renew {
        fs::write(&path, &renewed).expect("renewed");
    } else {
        differ(document, &text, &renewed);
    }
    let beside = path.parent().expect("a folder");
    for name in pictures(&text) {
        let made = fs::read(folder.join(file_name(name))).ok().or_else(|| picture(file_name(name)));
        let made = made.unwrap_or_else(|| panic!("{document}: nothing makes {name}"));
        if renew {
            fs::write(beside.join(name), &made).expect("renewed");
        }
        let kept = fs::read(beside.join(name)).unwrap_or_default();
        assert!(kept == made, "{document}: {name} is not current; set {RENEW} to renew it");
    }
    ran
}

fn until_fence<'a>(lines: &mut impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    lines.take_while(|line| !line.starts_with(FENCE)).collect()
}

/// Returns each command's lines; a line that ends in a backslash goes on in the next.
fn commands<'a>(block: &[&'a str]) -> Vec<Vec<&'a str>> {
    let mut found: Vec<Vec<&str>> = Vec::new();
    let mut open = false;
    for line in block {
        if let Some(command) = line.strip_prefix("$ ") {
            found.push(vec![command]);
            open = command.ends_with('\\');
        } else if let (true, Some(last)) = (open, found.last_mut()) {
            last.push(line);
            open = line.ends_with('\\');
        }
    }
    found
}

/// Returns what a shell shows for a command: output and notes, blanks at line ends cut.
fn printed(command: &str, folder: &Path) -> String {
    let program = Path::new(env!("CARGO_BIN_EXE_bandlore")).parent().expect("a folder");
    let path = std::env::var("PATH").unwrap_or_default();
    let output = Command::new("sh")
        .args(["-c", &format!("exec 2>&1\n{command}")])
        .current_dir(folder)
        .env("PATH", format!("{}:{path}", program.display()))
        .env("LC_ALL", "C.UTF-8")
        .env_remove("COLUMNS")
        .output()
        .expect("a shell");
    let text = String::from_utf8(output.stdout).expect("text");
    text.lines().map(|line| format!("{}\n", line.trim_end())).collect()
}

/// Fails at the first line that differs.
fn differ(document: &str, kept: &str, now: &str) {
    for (number, (kept, now)) in kept.lines().zip(now.lines()).enumerate() {
        assert!(
            kept == now,
            "{document}:{}: the document shows\n  {kept}\nbut it is now\n  {now}\nset {RENEW} to renew it",
            number + 1
        );
    }
    assert_eq!(kept.lines().count(), now.lines().count(), "{document}: set {RENEW} to renew it");
}

/// Returns the pictures that stand beside a document.
fn pictures(text: &str) -> Vec<&str> {
    text.split("](")
        .skip(1)
        .filter_map(|rest| rest.split_once(')'))
        .map(|(target, _)| target)
        .filter(|target| !target.contains(':'))
        .filter(|target| [".svg", ".png"].iter().any(|ending| target.ends_with(ending)))
        .collect()
}

fn file_name(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}
