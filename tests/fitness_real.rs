//! Real spectra with known faults: what is known of them must be found.

use std::path::{Path, PathBuf};

use bandlore::{Fitness, Severity, Spectrum, examine_fully, read_path};

fn folder(name: &str) -> Option<PathBuf> {
    let path =
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/measured-spectra/spectra"))
            .join(name);
    if !path.exists() {
        println!("skipped 1: {} is not here", path.display());
        return None;
    }
    Some(path)
}

fn all(name: &str) -> Vec<(String, Spectrum, Fitness)> {
    let Some(folder) = folder(name) else { return Vec::new() };
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    files
        .into_iter()
        .filter_map(|path| {
            let spectrum = read_path(&path, &Default::default()).next()?.ok()?;
            let name = path.file_name()?.to_string_lossy().into_owned();
            let fitness = examine_fully(&spectrum);
            Some((name, spectrum, fitness))
        })
        .collect()
}

#[test]
fn print_all() {
    for set in
        ["reflection-micro", "student-items", "rayon-and-pet", "silicone-cure", "film-and-paper"]
    {
        for (name, spectrum, fitness) in all(set) {
            let raised: Vec<String> = fitness
                .findings()
                .iter()
                .filter(|f| f.severity > Severity::Note && !f.id.starts_with("c-cl"))
                .map(|f| {
                    format!(
                        "{} {:?}{}",
                        f.id,
                        f.value.map(|v| (v * 1e3).round() / 1e3),
                        if f.severity == Severity::Unfit { "!" } else { "" }
                    )
                })
                .collect();
            println!(
                "{set}/{name} {:?} {:?} | {}",
                spectrum.ordinate(),
                spectrum.mode(),
                raised.join(", ")
            );
        }
    }
}
