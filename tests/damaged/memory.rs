//! Memory: files made to fill it, read by the program itself in a process of its own.
//!
//! The bound on its resident memory is 64 MiB + 4 x the file + 48 bytes a point. The files here are
//! small, so that the tests stay quick; `BANDLORE_HEAVY_KIB=65536 cargo test --release --test damaged`
//! makes them as large as one likes.

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// What a process may hold beside the file and its points.
const BASE_BYTES: u64 = 64 << 20;
/// Times the file's size.
const PER_FILE_BYTE: u64 = 4;
/// Bytes for each point that the file gives.
const PER_POINT: u64 = 48;

/// Size of each file in KiB, unless the environment says otherwise.
const HEAVY_KIB: usize = 400;

/// Longer than any of these takes, even unoptimised on a busy machine.
const LONGEST: Duration = Duration::from_secs(120);

fn heavy_bytes() -> usize {
    let asked = std::env::var("BANDLORE_HEAVY_KIB").ok().and_then(|text| text.parse().ok());
    asked.unwrap_or(HEAVY_KIB) << 10
}

fn repeated(head: &str, line: &str, tail: &str) -> Vec<u8> {
    let times = heavy_bytes() / line.len();
    [head.as_bytes(), &line.as_bytes().repeat(times), tail.as_bytes()].concat()
}

/// Files that ask for far more memory than they take on the disk.
fn heavy() -> Vec<(&'static str, Vec<u8>)> {
    let head = "##TITLE=x\n##JCAMP-DX=4.24\n##DATA TYPE=INFRARED SPECTRUM\n##XUNITS=1/CM\n\
                ##YUNITS=ABSORBANCE\n##XFACTOR=1\n##YFACTOR=0.001\n##FIRSTX=400\n##LASTX=4000\n";
    let table = format!("{head}##XYDATA=(X++(Y..Y))\n");
    let slope = table.replace("YFACTOR=0.001", "YFACTOR=0.0000005");
    let claim = format!("{head}##NPOINTS=99999999999\n##XYDATA=(X++(Y..Y))\n");
    let most = format!("{table}400A%s999998\n##END=\n");
    vec![
        ("claims-1e11-points.dx", format!("{claim}400A1B2C3\n##END=\n").into_bytes()),
        ("gigabyte-repeat.dx", format!("{table}400A%s999999999\n##END=\n").into_bytes()),
        ("repeat-of-ten-million.dx", most.into_bytes()),
        ("three-million-points.dx", format!("{slope}400@JU000000\n##END=\n").into_bytes()),
        ("repeats-a-line.dx", repeated(&table, "400AS9999\n", "##END=\n")),
        ("lines-without-ordinates.dx", repeated(&table, "4\n", "##END=\n")),
        ("lines-of-one-ordinate.dx", repeated(&table, "4A\n", "##END=\n")),
        ("every-check-fails.dx", repeated(&table, "4AJ\n", "##END=\n")),
        ("titles-only.dx", repeated("", "##TITLE=\n", "")),
        ("labels-only.dx", repeated(head, "##=\n", "##END=\n")),
        ("doubts-only.dx", repeated(head, "##MAXY=x\n", "##END=\n")),
        ("links-only.dx", repeated("", "##TITLE=l\n##DATA TYPE=LINK\n", "")),
        ("pairs.dx", repeated(&format!("{head}##XYPOINTS=(XY..XY)\n"), "1 1\n", "##END=\n")),
        ("strays-only.csv", repeated("4000,1\n3998,2\n", "x\n", "3996,1\n")),
        ("comments-only.csv", repeated("4000,1\n3998,2\n", "#\n", "3996,1\n")),
        ("blank-lines.csv", repeated("4000,1\n3998,2\n", "\n", "3996,1\n")),
        ("rows-of-two-digits.csv", repeated("cm-1,A\n", "9,1\n8,2\n", "")),
        ("headings-only.csv", repeated("", "a;a;a;a;a;a;a;a\n", "4000;1;1;1;1;1;1;1\n")),
        ("one-line-of-words.csv", repeated("", "a;", "\n4000;1\n")),
        ("one-line-of-numbers.csv", repeated("", "1;", "\n4000;1\n")),
        ("axis-of-numbers.csv", axis_alone()),
        ("empty-cells.csv", empty_cells()),
        ("one-line.csv", repeated("", "4000 0.1 ", "")),
        ("sound.csv", sound()),
    ]
}

/// An axis that fills the file, over one row of two cells.
fn axis_alone() -> Vec<u8> {
    let mut text = String::from("label");
    let count = heavy_bytes() / 8;
    for i in 0..count {
        text.push_str(&format!(";{:.2}", 400.0 + 3000.0 * i as f64 / count as f64));
    }
    text.push_str("\nx;1;2\n");
    text.into_bytes()
}

/// Hundreds of columns behind those looked at, all of them empty.
fn empty_cells() -> Vec<u8> {
    let row = |i: usize| {
        format!("{};{}{}\n", 4000.0 - 0.01 * i as f64, "1;".repeat(70), ";".repeat(4000))
    };
    (0..heavy_bytes() / 4150).map(row).collect::<String>().into_bytes()
}

fn sound() -> Vec<u8> {
    let mut text = String::from("cm-1,absorbance\n");
    let rows = heavy_bytes() / 18;
    for i in 0..rows {
        let wavenumber = 4000.0 - 3400.0 * i as f64 / rows as f64;
        let band = 0.4 / (1.0 + ((wavenumber - 1427.0) / 12.0).powi(2));
        text.push_str(&format!("{wavenumber:.5},{:.5}\n", 0.02 + band));
    }
    text.into_bytes()
}

struct Ran {
    peak_bytes: u64,
    looks: usize,
    /// Processor time in ticks of the system, a hundredth of a second as a rule.
    busy_ticks: u64,
    stdout: String,
    stderr: String,
    code: Option<i32>,
    took: Duration,
}

/// Runs `bandlore COMMAND FILE` and watches the high-water mark of its resident memory. On a busy machine one that
/// ends within milliseconds may be over before the first look: it is run again then.
fn watched(command: &str, path: &Path) -> Ran {
    const MOST_RUNS: usize = 50;
    let run =
        || watched_with(path.parent().expect("a folder"), &[command.as_ref(), path.as_os_str()]);
    (1..MOST_RUNS).map(|_| run()).find(|ran| ran.looks > 0).unwrap_or_else(run)
}

/// Runs `bandlore ARGUMENTS` as above; its output is kept in the folder.
fn watched_with(folder: &Path, arguments: &[&OsStr]) -> Ran {
    let [out, err] = ["out", "err"].map(|name| folder.join(name));
    let file = |path: &Path| Stdio::from(std::fs::File::create(path).expect("a file"));
    let begin = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .args(arguments)
        .stdin(Stdio::null())
        .stdout(file(&out))
        .stderr(file(&err))
        .spawn()
        .expect("starts");
    let [status, stat] = ["status", "stat"].map(|name| format!("/proc/{}/{name}", child.id()));
    let (mut peak_bytes, mut looks, mut busy_ticks) = (0, 0, 0);
    let code = loop {
        if let Ok(text) = std::fs::read_to_string(&status)
            && let Some(line) = text.lines().find(|line| line.starts_with("VmHWM:"))
            && let Some(kib) =
                line.split_whitespace().nth(1).and_then(|kib| kib.parse::<u64>().ok())
        {
            peak_bytes = peak_bytes.max(kib * 1024);
            looks += 1;
        }
        // Fields 14 and 15 after proc(5), the name in brackets being the second.
        if let Ok(text) = std::fs::read_to_string(&stat)
            && let Some((_, fields)) = text.rsplit_once(')')
        {
            let own =
                fields.split_whitespace().skip(11).take(2).filter_map(|f| f.parse::<u64>().ok());
            busy_ticks = own.sum::<u64>().max(busy_ticks);
        }
        if let Some(code) = child.try_wait().expect("waits") {
            break code.code();
        }
        if begin.elapsed() > LONGEST {
            child.kill().expect("ends");
            panic!("{arguments:?} takes longer than {LONGEST:?}");
        }
        std::thread::sleep(Duration::from_micros(200));
    };
    let text = |path: &Path| std::fs::read_to_string(path).expect("text");
    Ran {
        peak_bytes,
        looks,
        busy_ticks,
        stdout: text(&out),
        stderr: text(&err),
        code,
        took: begin.elapsed(),
    }
}

/// Sums the points of all spectra in the text that `bandlore read` prints.
fn points(stdout: &str) -> u64 {
    stdout
        .lines()
        .filter_map(|line| line.trim_start().split_once(" points, "))
        .filter_map(|(count, _)| count.parse::<u64>().ok())
        .sum()
}

#[test]
#[cfg(target_os = "linux")]
fn reading_stays_within_memory_whatever_a_file_asks_for() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, bytes) in heavy() {
        let path = folder.path().join(name);
        std::fs::write(&path, &bytes).expect("written");
        let ran = watched("read", &path);
        let points = points(&ran.stdout);
        let bound = BASE_BYTES + PER_FILE_BYTE * bytes.len() as u64 + PER_POINT * points;
        println!(
            "{name}: {} bytes, {points} points, {:.1} MiB of {:.1} MiB, {:.2} s, {}",
            bytes.len(),
            ran.peak_bytes as f64 / 1048576.0,
            bound as f64 / 1048576.0,
            ran.took.as_secs_f64(),
            ran.stderr.lines().next().unwrap_or("read"),
        );
        assert!(ran.looks > 0, "{name}: too quick to be watched");
        assert!(ran.peak_bytes <= bound, "{name}: {} of {bound} bytes", ran.peak_bytes);
        // One kind of answer: spectra and success, or one line on standard error and 1.
        if ran.code == Some(0) {
            assert!(points > 0 && ran.stderr.is_empty(), "{name}: {}", ran.stderr);
        } else {
            assert_eq!(ran.code, Some(1), "{name}: {}", ran.stderr);
            assert!(ran.stderr.starts_with("error: "), "{name}: {}", ran.stderr);
            assert!(ran.stderr.contains(name), "{name}: {}", ran.stderr);
            assert_eq!(ran.stderr.lines().count(), 1, "{name}: {}", ran.stderr);
        }
        std::fs::remove_file(&path).expect("removed");
    }
}

/// Bytes a point while a spectrum with fringes is judged: twice what reading may take.
#[cfg(target_os = "linux")]
const PER_JUDGED_POINT: u64 = 2 * PER_POINT;

/// A film with fringes 40 cm⁻¹ apart over three bands, invented: 2.4 MB in 120,000 points.
#[cfg(target_os = "linux")]
fn film_with_fringes(points: usize) -> Vec<u8> {
    let mut text = String::from("cm-1,absorbance\n");
    for i in 0..points {
        let wavenumber = 4000.0 - 3400.0 * i as f64 / points as f64;
        let band = |at: f64, height: f64| height / (1.0 + ((wavenumber - at) / 8.0).powi(2));
        let bands = band(2916.0, 0.6) + band(1465.0, 0.3) + band(720.0, 0.2);
        let fringe = 0.03 * (2.0 * std::f64::consts::PI * wavenumber / 40.0).cos();
        text.push_str(&format!("{wavenumber:.6},{:.7}\n", 0.1 + bands + fringe));
    }
    text.into_bytes()
}

#[test]
#[cfg(target_os = "linux")]
fn taking_fringes_out_and_reading_ageing_stay_within_memory() {
    const POINTS: usize = 120_000;
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("fringes.csv");
    let bytes = film_with_fringes(POINTS);
    std::fs::write(&path, &bytes).expect("written");
    // The search for fringes and the prepared curves stand beside what was read.
    let points = PER_JUDGED_POINT * POINTS as u64;
    let bound = BASE_BYTES + PER_FILE_BYTE * bytes.len() as u64 + points;
    for command in ["identify", "ageing"] {
        let ran = watched(command, &path);
        println!(
            "{command}: {:.1} MiB of {:.1}",
            ran.peak_bytes as f64 / 1048576.0,
            bound as f64 / 1048576.0
        );
        assert_eq!(ran.code, Some(0), "{command}: {}", ran.stderr);
        assert!(command != "identify" || ran.stdout.contains("fringes"), "{}", ran.stdout);
        assert!(ran.peak_bytes <= bound, "{command}: {} of {bound} bytes", ran.peak_bytes);
    }
}

/// An invented rigid PVC with noise, `level` of a carbonyl on it.
#[cfg(target_os = "linux")]
fn vinyl(points: usize, level: f64, seed: u64) -> Vec<u8> {
    let mut state = seed;
    let mut text = String::from("cm-1,absorbance\n");
    for i in 0..points {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let noise = 2e-4 * ((state >> 40) as f64 / (1_u64 << 24) as f64 - 0.5);
        let wavenumber = 4000.0 - 3600.0 * i as f64 / points as f64;
        let bands = [
            (2970.0, 0.03),
            (2912.0, 0.06),
            (1722.0, level),
            (1427.0, 0.12),
            (1331.0, 0.09),
            (1254.0, 0.14),
            (1097.0, 0.06),
            (962.0, 0.10),
            (690.0, 0.20),
            (613.0, 0.25),
        ];
        let sum: f64 = bands
            .iter()
            .map(|(at, height)| height / (1.0 + ((wavenumber - at) / 12.0).powi(2)))
            .sum();
        text.push_str(&format!("{wavenumber:.5},{:.6}\n", 0.01 + sum + noise));
    }
    text.into_bytes()
}

/// Four times the points may take so many times the processor time: linear work gives 4, quadratic 16, and
/// this lies midway between them as a factor.
#[cfg(target_os = "linux")]
const MOST_TIMES_FOR_FOURFOLD: f64 = 8.0;

#[test]
#[cfg(target_os = "linux")]
fn ageing_and_comparing_large_files_take_memory_and_time_in_proportion() {
    let folder = tempfile::tempdir().expect("a folder");
    let [exposed, covered] = ["exposed.csv", "covered.csv"].map(|name| folder.path().join(name));
    let of = |text: &'static str| OsStr::new(text);
    let commands = [
        ("ageing", vec![of("ageing"), exposed.as_os_str()]),
        (
            "compare",
            vec![
                of("compare"),
                of("--exposed"),
                exposed.as_os_str(),
                of("--covered"),
                covered.as_os_str(),
            ],
        ),
    ];
    for (command, arguments) in &commands {
        let mut ticks = Vec::new();
        for points in [100_000, 400_000] {
            let (a, b) = (vinyl(points, 0.02, 1), vinyl(points, 0.01, 2));
            let files = if *command == "compare" { 2 } else { 1 };
            std::fs::write(&exposed, &a).expect("written");
            std::fs::write(&covered, &b).expect("written");
            let bound = BASE_BYTES
                + files * (PER_FILE_BYTE * a.len() as u64 + PER_JUDGED_POINT * points as u64);
            let ran = watched_with(folder.path(), arguments);
            println!(
                "{command} {points} points: {:.1} MiB of {:.1}, {} ticks",
                ran.peak_bytes as f64 / 1048576.0,
                bound as f64 / 1048576.0,
                ran.busy_ticks
            );
            assert_eq!(ran.code, Some(0), "{command}: {}", ran.stderr);
            assert!(ran.peak_bytes <= bound, "{command}: {} of {bound} bytes", ran.peak_bytes);
            assert!(ran.peak_bytes <= 300 << 20, "{command}: {} bytes", ran.peak_bytes);
            ticks.push(ran.busy_ticks as f64);
        }
        assert!(ticks[1] <= MOST_TIMES_FOR_FOURFOLD * ticks[0].max(10.0), "{command}: {ticks:?}");
    }
}
