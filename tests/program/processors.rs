//! The same files get the same bytes on every processor.
//!
//! The matrix library behind the least squares picks its routines by the processor and can be told another by
//! an environment variable (OpenBLAS, "OPENBLAS_CORETYPE", user manual); where it cannot, both runs are alike
//! and nothing is shown. Each run is a program of its own, for the choice is made at its start.

use std::path::{Path, PathBuf};
use std::process::Command;

fn sample(folder: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra").join(folder)
}

/// What a command prints where the library takes the processor for one of this kind.
fn printed(core: &str, arguments: &[PathBuf]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_bandlore"))
        .env("OPENBLAS_CORETYPE", core)
        .args(arguments)
        .output()
        .expect("runs");
    assert!(!output.stdout.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn results_do_not_depend_on_the_processor() {
    let spectra = sample("tide-clock/spectra");
    let words = |words: &[&str]| -> Vec<PathBuf> { words.iter().map(PathBuf::from).collect() };
    let with = |start: &[&str], files: &[PathBuf]| [words(start), files.to_vec()].concat();
    let mut lines = vec![
        with(&["identify", "-f", "json", "--top", "9"], std::slice::from_ref(&spectra)),
        with(&["check", "-f", "json"], std::slice::from_ref(&spectra)),
        with(&["ageing", "-f", "json"], std::slice::from_ref(&spectra)),
        with(&["identify", "-f", "json"], &[sample("two-column"), sample("jcamp")]),
    ];
    let faces = |face: &str| -> Vec<PathBuf> {
        ["a", "b", "c"].map(|spot| spectra.join(format!("F1-{face}-{spot}.csv"))).to_vec()
    };
    let mut compare = with(&["compare", "-f", "json", "--exposed"], &faces("exposed"));
    compare.extend(with(&["--covered"], &faces("covered")));
    lines.push(compare);
    let references = tempfile::tempdir().expect("a folder");
    let mut sheet = String::from("file,material\n");
    for (name, material) in
        [("F1-covered-a.csv", "one"), ("V04-covered-a.csv", "two"), ("S1-exposed.csv", "three")]
    {
        std::fs::copy(spectra.join(name), references.path().join(name)).expect("copied");
        sheet.push_str(&format!("{name},{material}\n"));
    }
    std::fs::write(references.path().join("references.csv"), sheet).expect("written");
    let place = references.path().to_str().expect("UTF-8");
    lines.push(with(&["identify", "-f", "json", "--references", place], &faces("exposed")));
    lines.push(with(&["object"], &[sample("tide-clock")]));
    for line in lines {
        let plain = printed("Prescott", &line);
        for core in cores() {
            let other = printed(core, &line);
            let differs = plain.lines().zip(other.lines()).find(|(one, other)| one != other);
            assert_eq!(differs, None, "{core}: {line:?}");
            assert_eq!(plain.len(), other.len(), "{core}: {line:?}");
        }
    }
}

/// Kinds that this processor can play, beside the plainest one: wider registers, and fused multiplication.
fn cores() -> Vec<&'static str> {
    let wide = is_x86_feature_detected!("avx2") && is_x86_feature_detected!("fma");
    let widest = ["avx512f", "avx512vl", "avx512bw", "avx512dq"].map(|name| match name {
        "avx512f" => is_x86_feature_detected!("avx512f"),
        "avx512vl" => is_x86_feature_detected!("avx512vl"),
        "avx512bw" => is_x86_feature_detected!("avx512bw"),
        _ => is_x86_feature_detected!("avx512dq"),
    });
    let all = [
        ("Nehalem", is_x86_feature_detected!("sse4.2")),
        ("Haswell", wide),
        ("SkylakeX", wide && widest.into_iter().all(|there| there)),
    ];
    all.into_iter().filter(|(_, can)| *can).map(|(core, _)| core).collect()
}
