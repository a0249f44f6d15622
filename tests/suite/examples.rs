//! The examples run, and print what a reader is led to expect.

use std::path::Path;

#[path = "../../examples/batch_with_rayon.rs"]
mod batch_with_rayon;
#[path = "../../examples/identify_a_folder.rs"]
mod identify_a_folder;
#[path = "../../examples/own_band_table.rs"]
mod own_band_table;

fn printed(run: impl FnOnce(&mut Vec<u8>)) -> String {
    // The examples name samples from the package's root, where `cargo run` and `cargo test` start.
    let mut out = Vec::new();
    run(&mut out);
    String::from_utf8(out).expect("text")
}

#[test]
fn a_folder_is_identified_and_a_file_that_cannot_be_read_does_not_end_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra");
    for name in ["two-column/comma-with-headings.csv", "broken/letter.txt"] {
        let to = folder.path().join(Path::new(name).file_name().expect("a name"));
        std::fs::copy(samples.join(name), to).expect("copied");
    }
    let text = printed(|out| {
        let failed = identify_a_folder::identify_a_folder(folder.path(), out).expect("runs");
        assert_eq!(failed, 1);
    });
    assert!(text.contains("comma-with-headings.csv: Bands characteristic of poly(vinyl chloride)"));
    assert!(text.contains("    chlorine: C–Cl stretch"), "{text}");
    assert!(text.contains("letter.txt: not read: "), "{text}");
}

#[test]
fn an_own_table_is_refused_without_a_source_and_used_with_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = printed(|out| {
        own_band_table::own_band_table(&folder.path().join("mine"), out).expect("runs");
    });
    assert!(text.contains("without a source: ") && text.contains("PVC-1585"), "{text}");
    assert!(text.contains("another digest: true"), "{text}");
    assert!(text.contains("poly(vinyl chloride)"), "{text}");
    let own = bandlore::Tables::load(&folder.path().join("mine")).expect("a sound table");
    assert_eq!(own.band("PVC-1585").map(|band| band.position_cm1), Some(1585.0));
}

#[test]
fn a_batch_on_all_cores_counts_every_spectrum_once() {
    let folder = Path::new("sample-spectra/two-column");
    let text = printed(|out| batch_with_rayon::batch_with_rayon(folder, out).expect("runs"));
    let count: usize = text
        .lines()
        .map(|line| line.split_whitespace().next().expect("a count").parse::<usize>().expect("n"))
        .sum();
    let files = std::fs::read_dir(folder).expect("samples").map(|e| e.expect("an entry").path());
    let expected: usize =
        files.map(|f| bandlore::read_path(&f, &bandlore::ReadOptions::default()).count()).sum();
    assert_eq!(count, expected);
    assert!(text.lines().any(|line| line.ends_with("  PVC")), "{text}");
}
