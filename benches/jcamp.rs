//! How fast JCAMP-DX tables are decoded, in points a second, by form.
//!
//! The input is one invented spectrum of a million points: bands on a noisy
//! floor from a fixed seed, written by the encoder of the tests.

use std::hint::black_box;

use bandlore::read::decode_jcamp_blocks;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

#[allow(dead_code, reason = "the tests use more of its forms")]
#[path = "../tests/common/jcamp_encoder.rs"]
mod encoder;

use encoder::{Form, Sheet};

/// Points of the benchmarked block; large enough that the header does not count.
const POINTS: usize = 1_000_000;

/// The seed of the noise.
const SEED: u64 = 40;

/// Bands, noise of a few counts, and flat stretches as clipped or smoothed spectra have them.
fn ordinates() -> Vec<i64> {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    (0..POINTS)
        .map(|i| {
            let x = (i % 4000) as f64;
            let band = |centre: f64, width: f64, height: f64| {
                height / (1.0 + ((x - centre) / width).powi(2))
            };
            let clean = 3_000.0
                + band(700.0, 12.0, 60_000.0)
                + band(1_700.0, 20.0, 90_000.0)
                + band(2_900.0, 40.0, 40_000.0);
            let noise =
                if (x as usize / 500).is_multiple_of(2) { random.random_range(-6..=6) } else { 0 };
            clean as i64 + noise
        })
        .collect()
}

fn decode(c: &mut Criterion) {
    let mut group = c.benchmark_group("jcamp decode");
    group.throughput(Throughput::Elements(POINTS as u64));
    group.sample_size(20);
    let ordinates = ordinates();
    for form in [Form::DifDup, Form::Dif, Form::SqzDup, Form::Pac, Form::Affn, Form::XyPoints] {
        let mut sheet = Sheet::new(ordinates.clone(), form);
        (sheet.first_x, sheet.step) = (400.0, 0.003_6);
        sheet.points_per_line = 30;
        let text = sheet.text();
        group.bench_function(format!("{form:?}"), |b| {
            b.iter(|| decode_jcamp_blocks(black_box(&text), "bench.dx"));
        });
    }
    group.finish();
}

criterion_group!(benches, decode);
criterion_main!(benches);
