//! Distinct invented spectra, each a material of the table drawn with noise of its own.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use bandlore::{
    Tables,
    tables::words::{BandWidth, MaterialKind, Strength},
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// The seed of the first spectrum; each further one adds one.
const SEED: u64 = 4_000;

/// Half the scatter of the noise, as absorbance.
const NOISE: f64 = 0.000_4;

/// Bands of one material: position, half width at half height, height.
type Drawn = Vec<(f64, f64, f64)>;

/// Returns the materials that have enough bands to be drawn.
fn materials() -> Vec<Drawn> {
    let tables = Tables::built_in();
    tables
        .materials()
        .iter()
        .filter(|m| matches!(m.kind, MaterialKind::Polymer | MaterialKind::Fibre))
        .map(|material| {
            tables
                .bands_of(&material.id)
                .iter()
                .map(|band| {
                    let word: f64 = match band.strength {
                        Strength::VeryStrong => 1.0,
                        Strength::Strong => 0.5,
                        Strength::Medium => 0.2,
                        Strength::Weak => 0.05,
                        other => panic!("{other:?} is new here"),
                    };
                    let height = band.height.as_ref().map_or(word, |height| height.median);
                    let half = match band.width {
                        BandWidth::Broad => 30.0,
                        BandWidth::Medium => 10.0,
                        BandWidth::Sharp => 5.0,
                        other => panic!("{other:?} is new here"),
                    };
                    (band.position_cm1, half, 0.6 * height)
                })
                .collect::<Drawn>()
        })
        .filter(|bands| bands.len() >= 6)
        .collect()
}

/// Draws the `number`-th spectrum with `points` points from 400 to 4000 cm-1.
pub fn spectrum(number: u64, points: u32) -> (Vec<f64>, Vec<f64>) {
    thread_local! {
        static MATERIALS: Vec<Drawn> = materials();
    }
    let mut random = ChaCha8Rng::seed_from_u64(SEED + number);
    MATERIALS.with(|materials| {
        let bands = &materials[number as usize % materials.len()];
        let strength = random.random_range(0.3..1.2);
        let slope = random.random_range(-0.02..0.05);
        (0..points)
            .map(|i| {
                let wavenumber = 400.0 + 3600.0 * f64::from(i) / f64::from(points);
                let sum: f64 = bands
                    .iter()
                    .map(|(at, half, height)| height / (1.0 + ((wavenumber - at) / half).powi(2)))
                    .sum();
                let noise = random.random_range(-NOISE..NOISE);
                (wavenumber, 0.02 + slope * wavenumber / 4000.0 + strength * sum + noise)
            })
            .unzip()
    })
}

/// Writes a spectrum as `wavenumber,absorbance` under one heading.
pub fn text(axis: &[f64], values: &[f64]) -> String {
    let mut text = String::from("wavenumber (cm-1),absorbance\n");
    for (wavenumber, value) in axis.iter().zip(values) {
        let _ = writeln!(text, "{wavenumber:.4},{value:.6}");
    }
    text
}

/// Writes `count` distinct files of `points` points into `folder`, where they are not there yet.
pub fn batch(folder: &Path, count: u64, points: u32) -> Vec<PathBuf> {
    let folder = folder.join(format!("{points}-points"));
    std::fs::create_dir_all(&folder).expect("a folder for the files");
    (0..count)
        .map(|number| {
            let path = folder.join(format!("film-{number:05}.csv"));
            if !path.exists() {
                let (axis, values) = spectrum(number, points);
                std::fs::write(&path, text(&axis, &values)).expect("a file");
            }
            path
        })
        .collect()
}
