//! No marker is called changed by a gap, in any material: exact three-layer optics of
//! `common/fresnel.rs`, not the exponential that the contact fit assumes.
//!
//! n and k were measured for PVC, PC, PET, PMMA, PS (Zhang et al. 2020, JQSRT 252:107063, two makers
//! of PMMA), PMMA (Tsuda et al. 2018) and PE (David 2022, noisy). For cellulose acetate, polyethylene
//! and polypropylene, of which no clean table was found, oscillators lie at handbook positions
//! (Socrates 2001, from memory); their heights are ours.

use crate::fresnel;
use crate::synthetic_faces::{Random, compared};
use bandlore::{
    Spectrum,
    ageing::comparison::{ChangeCall, SameMaterial},
    spectrum::SpectrumParts,
};
use rustfft::num_complex::Complex;

/// Noise of a good instrument in absorbance: a worse one hides what a gap does.
const NOISE: f64 = 5e-5;
/// As the issue of contact asks: from hardly any to a spot that barely touches, in µm.
const GAPS_UM: [f64; 5] = [0.05, 0.1, 0.2, 0.3, 0.5];
/// Spacing of the points in cm⁻¹.
const STEP_CM1: f64 = 4.0;

/// Centre and width in cm⁻¹, strength in 10⁴ cm⁻².
pub type Oscillators = &'static [(f64, f64, f64)];

pub const CELLULOSE_ACETATE: Oscillators = &[
    (602.0, 30.0, 0.75),
    (903.0, 24.0, 0.50),
    (1050.0, 56.0, 7.0),
    (1122.0, 30.0, 0.35),
    (1162.0, 20.0, 0.35),
    (1236.0, 36.0, 5.6),
    (1370.0, 19.0, 0.95),
    (1433.0, 26.0, 0.30),
    (1744.0, 22.0, 3.0),
    (2890.0, 40.0, 0.12),
    (2942.0, 36.0, 0.35),
    (3480.0, 210.0, 4.0),
];
pub const POLYETHYLENE: Oscillators =
    &[(720.0, 12.0, 0.10), (1464.0, 14.0, 0.16), (2848.0, 16.0, 1.3), (2916.0, 20.0, 2.3)];
pub const POLYPROPYLENE: Oscillators = &[
    (841.0, 10.0, 0.06),
    (973.0, 11.0, 0.10),
    (998.0, 10.0, 0.08),
    (1167.0, 16.0, 0.13),
    (1376.0, 11.0, 0.30),
    (1456.0, 16.0, 0.35),
    (2838.0, 16.0, 0.5),
    (2868.0, 18.0, 0.6),
    (2918.0, 22.0, 1.2),
    (2950.0, 18.0, 1.1),
];

/// Wavenumber, n and k of damped oscillators over a constant.
pub fn oscillating(oscillators: Oscillators, step_cm1: f64) -> Vec<(f64, f64, f64)> {
    let count = ((3950.0 - 560.0) / step_cm1) as usize;
    (0..=count)
        .map(|i| {
            let v = 560.0 + step_cm1 * i as f64;
            let sum: Complex<f64> = oscillators
                .iter()
                .map(|&(centre, width, strength)| {
                    Complex::new(strength * 1e4, 0.0)
                        / Complex::new(centre * centre - v * v, -width * v)
                })
                .sum();
            let index = (sum + 2.2).sqrt();
            (v, index.re, index.im.abs())
        })
        .collect()
}

fn pressed(
    constants: &[(f64, f64, f64)],
    gap_um: f64,
    n: usize,
    random: &mut Random,
) -> Vec<Spectrum> {
    let axis: Vec<f64> = constants.iter().map(|c| c.0).collect();
    (0..n)
        .map(|_| {
            let gap = (gap_um * (1.0 + 0.05 * random.normal())).max(0.0);
            let values = constants
                .iter()
                .map(|&(v, n, k)| {
                    fresnel::absorbance_behind_gap(v, n, k, gap) + NOISE * random.normal()
                })
                .collect();
            Spectrum::new(SpectrumParts::new(axis.clone(), values)).expect("valid")
        })
        .collect()
}

/// Presses one material well and badly, and returns every marker that is called changed.
fn called_changed(material: &str, constants: &[(f64, f64, f64)], seed: u64) -> Vec<String> {
    let mut random = Random::new(seed);
    let (mut changed, mut tested) = (Vec::new(), 0);
    for gap_um in GAPS_UM {
        for n in [3, 5] {
            let bad = pressed(constants, gap_um, n, &mut random);
            let well = pressed(constants, 0.01, n, &mut random);
            let comparison = compared(material, &bad, &well);
            assert!(
                !matches!(comparison.same_material, SameMaterial::Different { .. }),
                "{material} at {gap_um} µm: {:?}",
                comparison.same_material
            );
            for m in &comparison.markers {
                tested += usize::from(m.p.is_some());
                if m.call == ChangeCall::Changed {
                    changed.push(format!(
                        "{material} {} at {gap_um} µm, n {n}: {:?} ({:?} to {:?}), p {:?}",
                        m.id, m.change, m.low, m.high, m.p_corrected
                    ));
                }
            }
        }
    }
    println!("{material}: {} of {tested} tests called changed", changed.len());
    assert!(tested > 0, "{material}: nothing was tested");
    changed
}

#[test]
fn no_gap_is_called_a_change_in_measured_optical_constants() {
    let mut changed = Vec::new();
    let mut skipped = 0;
    for (material, file) in [
        ("PC", "PC_nk_atr.csv"),
        ("PET", "PET_nk_atr.csv"),
        ("PETG", "PET_nk_atr.csv"),
        ("PMMA", "PMMA_ZM_nk_atr.csv"),
        ("PMMA", "PMMA_ZT_nk_atr.csv"),
        ("PMMA", "PMMA_TBB_nk_atr.csv"),
        ("PS", "PS_Z_nk_atr.csv"),
        ("PVC", "PVC_nk_atr.csv"),
    ] {
        match fresnel::constants(file, STEP_CM1) {
            Some(constants) => changed.extend(called_changed(material, &constants, 21)),
            None => skipped += 1,
        }
    }
    if skipped > 0 {
        println!("skipped {skipped}: no optical constants here");
    }
    assert!(changed.is_empty(), "{changed:#?}");
}

#[test]
fn no_gap_is_called_a_change_in_oscillators_of_ca_pe_and_pp() {
    let mut changed = Vec::new();
    for (material, oscillators) in [
        ("CA", CELLULOSE_ACETATE),
        ("PE-HD", POLYETHYLENE),
        ("PE-LD", POLYETHYLENE),
        ("PP", POLYPROPYLENE),
    ] {
        changed.extend(called_changed(material, &oscillating(oscillators, STEP_CM1), 22));
    }
    assert!(changed.is_empty(), "{changed:#?}");
}
