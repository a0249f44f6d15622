//! The textbook three-layer reflection: crystal, air gap, absorbing sample. The reference implementation of the
//! exponential that the contact fit assumes.

use std::path::Path;

use rustfft::num_complex::Complex;

type C = Complex<f64>;

/// Wavenumber, n and k of a measured table, interpolated to a step; `None` where it is not here.
pub fn constants(file: &str, step: f64) -> Option<Vec<(f64, f64, f64)>> {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/optical-constants"));
    let text = std::fs::read_to_string(path.join(file)).ok()?;
    let mut rows: Vec<(f64, f64, f64)> = text
        .lines()
        .filter_map(|line| {
            let mut cells = line.split(',').map(|c| c.trim().parse::<f64>());
            Some((cells.next()?.ok()?, cells.next()?.ok()?, cells.next()?.ok()?))
        })
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (rows.first()?.0.max(560.0), rows.last()?.0.min(3950.0));
    let mut fine = Vec::new();
    let mut v = first.ceil();
    while v <= last {
        let after = rows.partition_point(|r| r.0 < v).clamp(1, rows.len() - 1);
        let (a, b) = (rows[after - 1], rows[after]);
        let share = (v - a.0) / (b.0 - a.0);
        fine.push((v, a.1 + share * (b.1 - a.1), a.2 + share * (b.2 - a.2)));
        v += step;
    }
    Some(fine)
}

/// Unpolarised absorbance on diamond (2.4) at 45° behind a gap of air.
pub fn absorbance_behind_gap(wavenumber_cm1: f64, n: f64, k: f64, gap_um: f64) -> f64 {
    let sine = 2.4 * std::f64::consts::FRAC_1_SQRT_2;
    let wave = std::f64::consts::TAU * wavenumber_cm1 * 1e-4;
    let index = [C::new(2.4, 0.0), C::new(1.0, 0.0), C::new(n, k)];
    let normal: Vec<C> = index
        .iter()
        .map(|i| {
            let q = (i * i - sine * sine).sqrt();
            if q.im < 0.0 { -q } else { q }
        })
        .collect();
    let phase = (C::new(0.0, 2.0 * wave * gap_um) * normal[1]).exp();
    let reflected = |r01: C, r12: C| ((r01 + r12 * phase) / (1.0 + r01 * r12 * phase)).norm_sqr();
    let s = |a: usize, b: usize| (normal[a] - normal[b]) / (normal[a] + normal[b]);
    let p = |a: usize, b: usize| {
        let (ea, eb) = (index[a] * index[a], index[b] * index[b]);
        (eb * normal[a] - ea * normal[b]) / (eb * normal[a] + ea * normal[b])
    };
    let mean = f64::midpoint(reflected(s(0, 1), s(1, 2)), reflected(p(0, 1), p(1, 2)));
    -mean.log10()
}
