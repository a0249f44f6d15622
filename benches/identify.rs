//! What each stage after reading costs, for spectra of 1,800 points of distinct invented materials.

use std::hint::black_box;

use bandlore::{
    Examiner, Spectrum, Tables,
    fitness::examine,
    judge::{JudgeSettings, identify},
    matching::Matcher,
    peaks::pick,
    prepare::{Prepared, prepare},
    spectrum::SpectrumParts,
};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

#[allow(dead_code, reason = "the table of speeds uses more of it")]
#[path = "speed/files.rs"]
mod files;

const SPECTRA: u64 = 40;

fn stages(criterion: &mut Criterion) {
    let spectra: Vec<Spectrum> = (0..SPECTRA)
        .map(|number| {
            let (axis, values) = files::spectrum(number, 1_800);
            Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum")
        })
        .collect();
    let tables = Tables::built_in();
    let matcher = Matcher::new(tables);
    let judging = JudgeSettings::default();
    let prepared: Vec<Prepared> = spectra.iter().map(|s| prepare(s).expect("prepared")).collect();
    let known: Vec<_> =
        spectra.iter().zip(&prepared).map(|(s, p)| (s, p, pick(s, p), examine(s))).collect();
    let examiner = Examiner::new(tables);

    let mut group = criterion.benchmark_group("40 spectra of 1,800 points");
    group.throughput(Throughput::Elements(SPECTRA));
    group.sample_size(20);
    group.bench_function("fitness", |b| {
        b.iter(|| spectra.iter().map(|s| black_box(examine(s)).findings().len()).sum::<usize>());
    });
    group.bench_function("prepare", |b| {
        b.iter(|| spectra.iter().filter(|s| black_box(prepare(s)).is_ok()).count());
    });
    group.bench_function("peaks", |b| {
        b.iter(|| {
            spectra
                .iter()
                .zip(&prepared)
                .map(|(s, p)| black_box(pick(s, p)).list.len())
                .sum::<usize>()
        });
    });
    group.bench_function("match and judge", |b| {
        b.iter(|| {
            known
                .iter()
                .map(|(s, p, k, f)| identify(s, p, k, f, tables, &matcher, &judging).ranking.len())
                .sum::<usize>()
        });
    });
    group.bench_function("all of them", |b| {
        b.iter(|| spectra.iter().filter(|s| examiner.examine((*s).clone()).is_ok()).count());
    });
    group.finish();
}

fn table(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a folder");
    Tables::built_in().export(folder.path()).expect("exported");
    criterion.bench_function("read and check the table", |b| {
        b.iter(|| Tables::load(folder.path()).map(|tables| tables.bands().len()));
    });
    criterion.bench_function("make the table ready for matching", |b| {
        b.iter(|| Matcher::new(Tables::built_in()).entries().len());
    });
}

criterion_group!(benches, stages, table);
criterion_main!(benches);
