//! How fast two-column text is read, in bytes a second.

use std::fmt::Write as _;
use std::hint::black_box;

use bandlore::{ReadOptions, read_bytes};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

/// An invented film with the given number of points, as an instrument writes it.
fn film(points: u32, decimal: char) -> String {
    let mut text = String::from("cm-1;A\n");
    for i in 0..points {
        let wavenumber = 4000.0 - 3600.0 * f64::from(i) / f64::from(points);
        let band = 0.4 / (1.0 + ((wavenumber - 1427.0) / 12.0).powi(2));
        let row = format!("{wavenumber:.5};{:.7}", 0.003 + band);
        let _ = writeln!(text, "{}", row.replace('.', &decimal.to_string()));
    }
    text
}

fn two_column(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("read two-column");
    for (name, text) in [
        ("1 800 points", film(1_800, '.')),
        ("1 800 points, decimal comma", film(1_800, ',')),
        ("400 000 points", film(400_000, '.')),
    ] {
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(name, |bencher| {
            bencher.iter(|| {
                read_bytes(black_box(text.as_bytes()), "film.csv", &ReadOptions::default()).count()
            });
        });
    }
    group.finish();
}

criterion_group!(benches, two_column);
criterion_main!(benches);
