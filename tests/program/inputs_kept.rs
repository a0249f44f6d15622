//! What a command reads it never writes over, and what ends a command leaves nothing half-written.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::{Child, Command as Process, Output, Stdio};
use std::time::{Duration, Instant};

use assert_cmd::Command;

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock/spectra").join(name)
}

/// A folder with invented spectra of the demo, a table, references, sheets and a manifest.
struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        let folder = Self(tempfile::tempdir().expect("a folder"));
        for (from, to) in [
            ("V04-covered-a.csv", "a.csv"),
            ("V04-covered-a.csv", "b.csv"),
            ("L1-exposed-a.csv", "lens.csv"),
            ("L1-exposed-a.csv", "vapour.csv"),
        ] {
            fs::copy(demo(from), folder.path(to)).expect("copied");
        }
        fs::create_dir(folder.path("references")).expect("a folder");
        fs::copy(demo("L1-exposed-a.csv"), folder.path("references/own.csv")).expect("copied");
        folder.file("references/references.csv", "file,material\nown.csv,PMMA\n");
        fs::create_dir(folder.path("kept")).expect("a folder");
        fs::create_dir(folder.path("sheets")).expect("a folder");
        fs::copy(demo("L1-exposed-a.csv"), folder.path("sheets/lens.csv")).expect("copied");
        folder.file("sheets/object.csv", "field,value\ntitle,Lamp\n");
        folder.file("sheets/parts.csv", "id\nL\n");
        folder.file("sheets/spectra.csv", "file,part\nlens.csv,L\n");
        folder.file("doses.csv", "file,dose,unit,source,band\na.csv,0,W h/m2,lamp,300-400\n");
        folder.file("colours.csv", "face,instrument,backing,l,a,b\n");
        folder.file(
            "object.toml",
            "[object]\ntitle = \"Lamp\"\n[[part]]\nid = \"V\"\n[[part]]\nid = \"L\"\n\
             [[spectrum]]\nfile = \"a.csv\"\npart = \"V\"\n\
             [[spectrum]]\nfile = \"lens.csv\"\npart = \"L\"\n",
        );
        let table = folder.path("table");
        run(&["bands".into(), "--export".into(), table]).assert_success();
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn file(&self, name: &str, text: &str) -> PathBuf {
        fs::write(self.path(name), text).expect("written");
        self.path(name)
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

/// Stands for the one file in the folder of kept references, whose name is a digest.
const CACHE: &str = "kept/the cache";

struct Ran(Output);

impl Ran {
    fn assert_success(&self) {
        assert_eq!(self.0.status.code(), Some(0), "{}", self.said());
    }

    fn said(&self) -> String {
        String::from_utf8_lossy(&self.0.stderr).into_owned()
    }

    fn printed(&self) -> String {
        String::from_utf8_lossy(&self.0.stdout).into_owned()
    }
}

fn run(arguments: &[PathBuf]) -> Ran {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bandlore"));
    command.env_remove("NO_COLOR").env_remove("COLUMNS");
    Ran(command.args(arguments).output().expect("runs"))
}

/// Runs a command line of words; `@` stands before names in the folder.
fn words(folder: &Folder, line: &str) -> Ran {
    let argument = |word: &str| match word.strip_prefix('@') {
        Some("") => folder.0.path().to_owned(),
        Some(name) => folder.path(name),
        None => PathBuf::from(word),
    };
    run(&line.split_whitespace().map(argument).collect::<Vec<_>>())
}

#[test]
fn no_command_writes_over_a_file_that_it_reads() {
    let folder = Folder::new();
    let standards = folder.file(
        "standards.csv",
        "marker,sample,content,quantity,file\nacetyl_index,one,1,per cent,b.csv\n",
    );
    assert!(standards.exists());
    // Each command line with the file that it reads; `OUT` is where the output would go.
    let lines = [
        ("read -f csv -o OUT @a.csv", "a.csv"),
        ("read -f csv -o OUT @b.csv @a.csv", "a.csv"),
        ("read -f csv -o OUT @", "lens.csv"),
        ("read -f csv -o OUT @*.csv", "lens.csv"),
        ("identify -f csv -o OUT @a.csv", "a.csv"),
        ("identify -o OUT --vapour @vapour.csv @a.csv", "vapour.csv"),
        ("identify -o OUT --bands @table @a.csv", "table/bands.csv"),
        ("identify -o OUT --references @references @a.csv", "references/references.csv"),
        ("identify -o OUT --references @references @a.csv", "references/own.csv"),
        ("check -o OUT @a.csv", "a.csv"),
        ("check --write-corrected OUT @a.csv", "a.csv"),
        ("check -o OUT --vapour @vapour.csv @a.csv", "vapour.csv"),
        ("check --film --film-before @b.csv -o OUT @a.csv", "b.csv"),
        ("ageing -o OUT @a.csv", "a.csv"),
        ("ageing -o OUT --series @doses.csv @a.csv", "doses.csv"),
        ("ageing -o OUT --calibration @standards.csv @a.csv", "standards.csv"),
        ("ageing -o OUT --calibration @standards.csv @a.csv", "b.csv"),
        ("compare --exposed @a.csv --covered @b.csv -o OUT", "b.csv"),
        ("compare --exposed @a.csv --covered @b.csv --colours @colours.csv -o OUT", "colours.csv"),
        ("bands --bands @table -f csv -o OUT", "table/materials.csv"),
        ("object @object.toml --report OUT", "a.csv"),
        ("object @ --report OUT", "lens.csv"),
        ("object @object.toml --references @references --report OUT", "references/own.csv"),
        ("object @sheets --report OUT", "sheets/parts.csv"),
        ("object @sheets --report OUT", "sheets/lens.csv"),
        ("identify --references @references --cache @kept -o OUT @a.csv", CACHE),
        ("plot @a.svg -o OUT", "a.svg"),
        ("plot --bands @table @b.csv -o OUT", "table/a.svg"),
        ("compare --bands @table --exposed @a.csv --covered @b.csv -o OUT", "table/bands.csv"),
        ("ageing --bands @table @a.csv -o OUT", "table/markers.csv"),
    ];
    fs::copy(folder.path("a.csv"), folder.path("a.svg")).expect("copied");
    fs::copy(folder.path("a.csv"), folder.path("table/a.svg")).expect("copied");
    words(&folder, "identify --references @references --cache @kept @a.csv").assert_success();
    let linked = tempfile::tempdir().expect("a folder");
    for (n, (line, read)) in lines.iter().enumerate() {
        let read = match *read {
            CACHE => fs::read_dir(folder.path("kept"))
                .expect("a folder")
                .next()
                .expect("a cache")
                .expect("an entry")
                .path(),
            name => folder.path(name),
        };
        let before = fs::read(&read).expect("readable");
        let ending = read.extension().expect("an ending").to_string_lossy().into_owned();
        let soft = linked.path().join(format!("soft{n}.{ending}"));
        let hard = linked.path().join(format!("hard{n}.{ending}"));
        symlink(&read, &soft).expect("linked");
        fs::hard_link(&read, &hard).expect("linked");
        for out in [&read, &soft, &hard] {
            let ran = words(&folder, &line.replace("OUT", &out.display().to_string()));
            let said = ran.said();
            assert_eq!(ran.0.status.code(), Some(2), "{line} to {}: {said}", out.display());
            for name in [&read, out] {
                assert!(said.contains(&name.display().to_string()), "{line}: {said}");
            }
            assert!(fs::read(&read).expect("still there") == before, "{line} lost {read:?}");
            assert!(fs::symlink_metadata(&soft).expect("there").is_symlink());
        }
        // The hard link would count for a file in the folder of another line.
        fs::remove_file(&hard).expect("removed");
    }
    // What is read through a link is kept as well.
    symlink(folder.path("a.csv"), linked.path().join("in.csv")).expect("linked");
    let link = linked.path().join("in.csv").display().to_string();
    let ran = words(&folder, &format!("read {link} -f csv -o @a.csv"));
    assert_eq!(ran.0.status.code(), Some(2), "{}", ran.said());
}

#[test]
fn output_folders_take_no_file_that_is_read() {
    let folder = Folder::new();
    folder.file("labels.csv", "file,materials,laboratory\na.csv,PVC,one\n");
    for (line, read, written) in [
        // A spectrum or a sheet that stands under the other name.
        ("shapes @labels.csv -o @out --replace", "a.csv", "out/shapes.csv"),
        ("shapes @labels.csv -o @out --replace", "labels.csv", "out/shape-sources.csv"),
        ("bands --bands @table --export @out", "table/materials.csv", "out/bands.csv"),
        ("bands --bands @table --export @table", "table/README.md", ""),
        ("object --start @sheets -o @", "sheets/lens.csv", "spectra.csv"),
        ("object --start @ -o @first.toml", "a.csv", "first.toml"),
    ] {
        for link in [hard, soft] {
            fs::create_dir(folder.path("out")).expect("a folder");
            let read = folder.path(read);
            let before = fs::read(&read).expect("readable");
            let written = folder.path(written);
            if !written.is_dir() {
                link(&read, &written);
            }
            let ran = words(&folder, line);
            assert_eq!(ran.0.status.code(), Some(2), "{line}: {}", ran.said());
            assert!(ran.said().contains("which is read"), "{line}: {}", ran.said());
            // A whole table over itself is refused at whichever of its files comes first.
            let both = [&read, &written].map(|path| path.display().to_string());
            let named = both.iter().all(|name| ran.said().contains(name));
            assert!(named || written.is_dir(), "{line}: {}", ran.said());
            assert!(fs::read(&read).expect("still there") == before, "{line} lost {read:?}");
            fs::remove_dir_all(folder.path("out")).expect("removed");
            for name in ["first.toml", "spectra.csv"] {
                let _ = fs::remove_file(folder.path(name));
            }
        }
    }
}

fn hard(to: &Path, at: &Path) {
    fs::hard_link(to, at).expect("linked");
}

fn soft(to: &Path, at: &Path) {
    symlink(to, at).expect("linked");
}

#[test]
fn a_file_given_as_standard_input_is_kept() {
    let folder = Folder::new();
    let a = folder.path("a.csv");
    let before = fs::read(&a).expect("readable");
    for command in ["read", "identify", "check", "ageing"] {
        let input = fs::File::open(&a).expect("opened");
        let output = Process::new(env!("CARGO_BIN_EXE_bandlore"))
            .args([Path::new(command), Path::new("-"), Path::new("-o"), &a])
            .stdin(input)
            .output()
            .expect("runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{command}: {said}");
        assert!(said.contains("/dev/stdin") && said.contains("a.csv"), "{said}");
        assert!(fs::read(&a).expect("still there") == before);
    }
}

#[test]
fn two_outputs_never_go_to_one_file() {
    let folder = Folder::new();
    for line in [
        "object @object.toml --report @r.md --report @r.md",
        "check @a.csv -o @out.csv --write-corrected @out.csv",
    ] {
        let before = folder.names();
        let ran = words(&folder, line);
        assert_eq!(ran.0.status.code(), Some(2), "{line}: {}", ran.said());
        assert!(ran.said().contains("which is written too"), "{}", ran.said());
        assert_eq!(folder.names(), before);
    }
}

#[test]
fn a_new_name_beside_the_input_is_written() {
    let folder = Folder::new();
    words(&folder, "read -f csv -o @new.csv @a.csv").assert_success();
    // The second run reads what the first has written, as the folder is given: that is refused.
    let ran = words(&folder, "read -f csv -o @new.csv @");
    assert_eq!(ran.0.status.code(), Some(2), "{}", ran.said());
    words(&folder, "read -f csv -o @new.csv @a.csv").assert_success();
}

#[test]
fn compare_expands_patterns_and_folders() {
    let folder = Folder::new();
    for face in ["lit", "far"] {
        fs::create_dir(folder.path(face)).expect("a folder");
        for spot in ["1", "2", "3"] {
            let name = format!("{face}/s{spot}.csv");
            // Spots of their own: copies are refused.
            let text = fs::read_to_string(folder.path("a.csv")).expect("readable");
            let more = f64::from(spot.parse::<u32>().expect("a digit")) * 1.0e-4
                + if face == "lit" { 5.0e-5 } else { 0.0 };
            // Noise of its own tells a measurement from another.
            let wave = |at: f64| {
                more * (at / 37.0).sin() + 2.0e-3 * (at * at * (0.3 + 1.0e3 * more)).sin()
            };
            let rows = text.lines().map(|line| match line.split_once(',') {
                Some((at, value)) => match (at.parse::<f64>(), value.parse::<f64>()) {
                    (Ok(at), Ok(value)) => format!("{at},{:.7}\n", value + wave(at)),
                    _ => format!("{line}\n"),
                },
                None => format!("{line}\n"),
            });
            let text: String = rows.collect();
            folder.file(&name, &text);
        }
    }
    let named = words(
        &folder,
        "compare -f json --exposed @lit/s1.csv @lit/s2.csv @lit/s3.csv --covered @far/s1.csv \
         @far/s2.csv @far/s3.csv",
    );
    named.assert_success();
    for line in [
        "compare -f json --exposed @lit/*.csv --covered @far/*.csv",
        "compare -f json --exposed @lit --covered @far",
    ] {
        let ran = words(&folder, line);
        ran.assert_success();
        assert_eq!(ran.printed(), named.printed(), "{line}");
    }
    let none = words(&folder, "compare --exposed @lit/*.dx --covered @far");
    assert_eq!(none.0.status.code(), Some(2));
    assert!(none.said().contains("no file fits this pattern"), "{}", none.said());
    // A batch goes on past a pattern or a folder that holds nothing, and says so by its status too.
    fs::create_dir(folder.path("hollow")).expect("a folder");
    for hollow in ["@lit/*.dx", "@hollow"] {
        let rest = words(&folder, &format!("identify -f json {hollow} @lit/s1.csv"));
        assert_eq!(rest.0.status.code(), Some(1), "{}", rest.said());
        assert!(rest.printed().contains("s1.csv"), "{}", rest.printed());
        let told = rest.said();
        assert!(
            told.contains("no file fits") || told.contains("no spectra in this folder"),
            "{told}"
        );
    }
}

fn started(arguments: &[&Path], input: Stdio) -> Child {
    Process::new(env!("CARGO_BIN_EXE_bandlore"))
        .args(arguments)
        .stdin(input)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts")
}

/// Sends a signal, by the shell's own word for it: a bare system has no program of that name.
fn send(signal: &str, child: &Child) {
    let kill = Process::new("sh").args(["-c", &format!("kill -{signal} {}", child.id())]).status();
    assert!(kill.expect("a shell runs").success());
}

/// Waits for a program to end, and for no longer than anyone would wait for Ctrl-C.
fn code_of(mut child: Child, what: &str) -> Option<i32> {
    let begun = Instant::now();
    loop {
        if let Some(status) = child.try_wait().expect("asked") {
            return status.code();
        }
        if begun.elapsed() > Duration::from_secs(20) {
            let _ = child.kill();
            panic!("{what}: the signal was not heard");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn signals_end_every_command_that_waits_for_its_input() {
    let folder = Folder::new();
    let fifo = folder.path("pipe.csv");
    let toml = folder.path("pipe.toml");
    assert!(Process::new("mkfifo").args([&fifo, &toml]).status().expect("runs").success());
    let (a, out) = (folder.path("a.csv"), folder.path("out.md"));
    let before = folder.names();
    let path = Path::new;
    let table = folder.path("table");
    let materials = table.join("materials.csv");
    fs::remove_file(&materials).expect("removed");
    symlink(&fifo, &materials).expect("linked");
    let svg = folder.path("out.svg");
    let lines: [Vec<&Path>; 13] = [
        vec![path("read"), path("-"), path("-o"), &out],
        vec![path("identify"), path("-"), path("-o"), &out],
        vec![path("identify"), &fifo, path("-o"), &out],
        vec![path("check"), &fifo],
        vec![path("ageing"), path("-")],
        vec![path("compare"), path("--exposed"), &fifo, path("--covered"), &a],
        vec![path("identify"), path("--vapour"), &fifo, &a],
        vec![path("object"), &toml, path("--report"), &out],
        vec![path("plot"), &fifo, path("-o"), &svg],
        vec![path("shapes"), &fifo, path("-o"), folder.0.path()],
        vec![path("bands"), path("--bands"), &table],
        vec![path("bands"), path("--check"), &table],
        // Nobody reads what it writes.
        vec![path("read"), &a, path("-o"), &fifo],
    ];

    for line in &lines {
        for (signal, code) in [("INT", 130), ("TERM", 143)] {
            // Its end is kept open, and nothing is ever written.
            let child = started(line, Stdio::piped());
            // Long enough to be waiting; a signal before the program hears ends it just as well.
            std::thread::sleep(Duration::from_millis(300));
            send(signal, &child);
            assert_eq!(code_of(child, &format!("{line:?}")), Some(code), "{line:?} {signal}");
            assert_eq!(folder.names(), before, "{line:?} {signal}");
        }
    }
}

#[test]
fn a_signal_is_heard_though_nobody_reads_what_is_printed() {
    let nothing = PathBuf::from("no-such-file-anywhere.csv");
    let mut line = vec![Path::new("identify")];
    line.extend(std::iter::repeat_n(nothing.as_path(), 5_000));
    for (signal, code) in [("INT", 130), ("TERM", 143)] {
        // Five thousand complaints fill the pipe of standard error, which is never emptied.
        let child = started(&line, Stdio::null());
        std::thread::sleep(Duration::from_millis(500));
        send(signal, &child);
        assert_eq!(code_of(child, signal), Some(code));
    }
}

#[test]
fn a_signal_in_the_middle_leaves_no_unfinished_file() {
    let folder = Folder::new();
    let (a, out) = (folder.path("a.csv"), folder.path("out.csv"));
    let before = folder.names();
    for (signal, code) in [("INT", 130), ("TERM", 143)] {
        let mut line: Vec<&Path> = ["read", "-f", "csv", "-o"].map(Path::new).to_vec();
        line.push(&out);
        line.extend(std::iter::repeat_n(a.as_path(), 20_000));
        let child = started(&line, Stdio::null());
        // Until the unfinished file is there nothing can be left behind.
        let begun = Instant::now();
        while folder.names() == before && begun.elapsed() < Duration::from_secs(20) {
            std::thread::sleep(Duration::from_millis(2));
        }
        let unfinished = folder.names().iter().any(|name| name.ends_with(".part"));
        assert!(unfinished, "the batch is long enough to be met in its middle");
        send(signal, &child);
        assert_eq!(code_of(child, signal), Some(code));
        assert_eq!(folder.names(), before, "{signal}");
    }
}
