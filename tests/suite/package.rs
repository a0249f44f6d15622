//! What the package holds, what the bare library pulls in, and what its values promise.

use std::path::Path;
use std::process::Command;

/// Crates of the program, of plotting and of DOCX: none of them may come with the bare library.
const NOT_IN_THE_LIBRARY: [&str; 18] = [
    "clap",
    "clap_complete",
    "clap_mangen",
    "ctrlc",
    "glob",
    "indicatif",
    "jiff",
    "rayon",
    "signal-hook",
    "terminal_size",
    "plotters",
    "krilla",
    "krilla-svg",
    "resvg",
    "usvg",
    "docx-rs",
    "quick-xml",
    "zip",
];

/// Runs cargo on this package without building anything: without a network, and with one only where the
/// crates of other systems were never fetched.
fn cargo(arguments: &[&str]) -> String {
    let cargo = std::env::var_os("CARGO").expect("cargo runs the tests");
    let run = |network: &[&str]| {
        Command::new(&cargo)
            .args(arguments)
            .arg("--locked")
            .args(network)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .expect("cargo starts")
    };
    let mut output = run(&["--offline"]);
    if !output.status.success() {
        output = run(&[]);
    }
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{said}");
    String::from_utf8(output.stdout).expect("text")
}

#[test]
fn the_bare_library_pulls_in_no_crate_of_the_program_of_plotting_or_of_docx() {
    let names = |features: &[&str]| -> Vec<String> {
        let tree = ["tree", "--edges", "normal", "--prefix", "none", "--target", "all"];
        cargo(&[&tree[..], features].concat())
            .lines()
            .filter_map(|line| line.split(' ').next().map(str::to_owned))
            .collect()
    };
    let bare = names(&["--no-default-features"]);
    assert!(bare.iter().any(|name| name == "ndarray"), "{bare:?}");
    for back_end in ["ndarray-linalg", "nalgebra"] {
        assert!(!bare.iter().any(|name| name == back_end), "{back_end} comes unasked");
    }
    for name in NOT_IN_THE_LIBRARY {
        assert!(!bare.iter().any(|found| found == name), "the bare library pulls in {name}");
    }
    // The list names crates that the whole program does have.
    let whole = names(&[]);
    for name in NOT_IN_THE_LIBRARY {
        assert!(whole.iter().any(|found| found == name), "{name} is nowhere in the program");
    }
}

/// Crates of such names link a library of the system, but for this one, which declares Linux's calls.
const DECLARES_ALONE: &str = "linux-raw-sys";

#[test]
fn the_program_in_pure_rust_links_no_library_of_the_system() {
    let tree = ["tree", "--edges", "normal,build", "--prefix", "none", "--no-default-features"];
    let list = cargo(&[&tree[..], &["--features", "cli,plot,docx,xlsx,pure-rust"]].concat());
    let names: Vec<&str> = list.lines().filter_map(|line| line.split(' ').next()).collect();
    assert!(names.contains(&"nalgebra") && names.contains(&"clap"), "{names:?}");
    for name in names {
        let links = name.ends_with("-sys") || name.ends_with("-src") || name == "ndarray-linalg";
        let built = ["cc", "cmake", "pkg-config"].contains(&name);
        assert!(!(links || built) || name == DECLARES_ALONE, "{name}");
    }
}

#[test]
fn the_package_holds_what_it_needs_and_not_what_proves_it() {
    let list = cargo(&["package", "--list", "--allow-dirty"]);
    let files: Vec<&str> = list.lines().collect();
    for needed in [
        "README.md",
        "CHANGELOG.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "Cargo.lock",
        "src/lib.rs",
        "reference-bands/bands.csv",
        "reference-bands/README.md",
        "docs/tutorial.md",
        "schema/v1/identify.json",
    ] {
        assert!(files.contains(&needed), "the package lacks {needed}");
    }
    let left_out = [
        "tests/",
        "benches/",
        "fuzz/",
        ".ci/",
        ".git",
        "python/",
        "sample-spectra/broken/",
        "target/",
    ];
    for left_out in left_out {
        let found = files.iter().find(|file| file.starts_with(left_out));
        assert!(found.is_none(), "the package holds {found:?}");
    }
    // The examples in the documentation read samples: they must run from the package too.
    for source in files.iter().filter(|file| file.starts_with("src/") && file.ends_with(".rs")) {
        let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(source));
        for line in text.expect("readable").lines().filter(|l| l.trim_start().starts_with("//")) {
            for named in line.split('"').filter(|part| part.starts_with("sample-spectra/")) {
                let there = files.iter().any(|file| file.starts_with(named));
                assert!(there, "{source} names {named}, which the package lacks");
            }
        }
    }
}

#[test]
fn results_serialise_and_errors_are_typed_and_may_cross_threads() {
    fn result<T: serde::Serialize + Send + Sync + 'static>() {}
    fn shared<T: Send + Sync>() {}
    fn error<T: std::error::Error + Send + Sync + 'static>() {}
    result::<bandlore::Identification>();
    result::<bandlore::fitness::Finding>();
    result::<bandlore::ageing::AgeingResult>();
    result::<bandlore::ageing::comparison::Comparison>();
    result::<bandlore::object::findings::ObjectFindings>();
    result::<bandlore::tables::Band>();
    result::<bandlore::spectrum::Warning>();
    shared::<bandlore::Examiner<'static>>();
    shared::<bandlore::Tables>();
    shared::<bandlore::Spectrum>();
    error::<bandlore::Error>();
    error::<bandlore::io::Error>();
    error::<bandlore::read::Error>();
    error::<bandlore::read::JcampError>();
    error::<bandlore::tables::Error>();
    error::<bandlore::spectrum::Error>();
    error::<bandlore::prepare::Error>();
    error::<bandlore::object::Error>();
    error::<bandlore::optics::Error>();
    error::<bandlore::fitness::FilmError>();
    error::<bandlore::ageing::content::CalibrationError>();
    error::<bandlore::tables::Faults>();
}
