//! Bytes as the absorbances of a spectrum, through every stage to the answer.
#![no_main]

use std::sync::LazyLock;

use bandlore::{Examiner, Spectrum, Tables, spectrum::SpectrumParts};
use libfuzzer_sys::fuzz_target;

static EXAMINER: LazyLock<Examiner<'static>> = LazyLock::new(|| Examiner::new(Tables::built_in()));

fuzz_target!(|data: &[u8]| {
    let Some((head, rest)) = data.split_at_checked(4) else { return };
    // Start, spacing, scale, and how the bytes are read.
    let start = 10.0 + 20.0 * f64::from(head[0]);
    let spacing = 0.05 + f64::from(head[1]).powi(2) / 400.0;
    let scale = 10f64.powi(i32::from(head[2] % 40) - 20);
    let coarse = head[3] % 3;
    let values: Vec<f64> = match coarse {
        0 => rest.iter().map(|b| scale * f64::from(*b)).collect(),
        1 => rest
            .chunks(2)
            .map(|b| scale * f64::from(i16::from_le_bytes([b[0], b[b.len() - 1]])))
            .collect(),
        _ => rest
            .chunks_exact(8)
            .map(|b| f64::from_le_bytes([b[0], b[1], b[2], b[3], b[4], b[5], b[6], b[7]]))
            .collect(),
    };
    let axis = (0..values.len()).map(|i| start + spacing * i as f64).collect();
    let Ok(spectrum) = Spectrum::new(SpectrumParts::new(axis, values)) else { return };
    if let Ok(examined) = EXAMINER.examine(spectrum) {
        drop(examined.into_entry());
    }
});
