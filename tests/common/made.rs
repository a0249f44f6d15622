//! Spectra put together for tests: bands on a level, with seeded noise.

use std::sync::OnceLock;

use bandlore::{
    Examined, Examiner, Spectrum, Tables,
    spectrum::SpectrumParts,
    tables::{
        Band,
        words::{BandWidth, Strength},
    },
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// One band: position in cm⁻¹, height, full width at half height in cm⁻¹.
pub type Made = (f64, f64, f64);

/// The shape of bands.
#[derive(Clone, Copy)]
pub enum Shape {
    /// As bands of condensed matter are, with long feet.
    Lorentz,
    /// Without feet, where a height must be read to the digit.
    Gauss,
}

/// White noise as a share of the highest band.
pub const QUIET: f64 = 2.0e-4;

/// Returns a spectrum from 4000 to `lowest_cm1` with points 1.9 cm⁻¹ apart.
pub fn spectrum(bands: &[Made], shape: Shape, noise: f64, lowest_cm1: f64) -> Spectrum {
    let mut random = ChaCha8Rng::seed_from_u64(612);
    let count = ((4000.0 - lowest_cm1) / 1.9) as usize + 1;
    let axis: Vec<f64> = (0..count).rev().map(|i| 4000.0 - 1.9 * i as f64).collect();
    let highest = bands.iter().map(|band| band.1).fold(f64::MIN_POSITIVE, f64::max);
    let values = axis
        .iter()
        .map(|v| {
            let sum: f64 = bands
                .iter()
                .map(|(at, height, width)| {
                    let x = 2.0 * (v - at) / width;
                    height
                        * match shape {
                            Shape::Lorentz => 1.0 / (1.0 + x * x),
                            Shape::Gauss => (-std::f64::consts::LN_2 * x * x).exp(),
                        }
                })
                .sum();
            let u: f64 = 1.0 - random.random::<f64>();
            let turn: f64 = random.random();
            let normal = (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * turn).cos();
            0.4 * (sum / highest + noise * normal) + 0.01
        })
        .collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum")
}

/// Prepares and judges with the built-in table.
pub fn examined(spectrum: Spectrum) -> Examined {
    static EXAMINER: OnceLock<Examiner<'static>> = OnceLock::new();
    EXAMINER.get_or_init(|| Examiner::new(Tables::built_in())).examine(spectrum).expect("prepared")
}

/// The rows of a material as bands: measured height where the table has one, else what the word says.
pub fn rows(id: &str) -> Vec<Made> {
    Tables::built_in().bands_of(id).iter().map(made).collect()
}

fn made(band: &Band) -> Made {
    let word = match band.strength {
        Strength::VeryStrong => 1.0,
        Strength::Strong => 0.5,
        Strength::Medium => 0.2,
        Strength::Weak => 0.05,
        other => panic!("{other:?} is new here"),
    };
    let width = match band.width {
        BandWidth::Sharp => 9.0,
        BandWidth::Medium => 14.0,
        BandWidth::Broad => 36.0,
        other => panic!("{other:?} is new here"),
    };
    let height = band.height.as_ref().map_or(word, |height| height.median);
    (band.position_cm1, height, width)
}
