//! Chlorine in computed mixtures of poly(vinyl chloride): nothing of them was measured, all of them
//! follow from optical constants by Fresnel's equations.
//!
//! Sources. PVC, diethyl phthalate (for the ortho-phthalates), PMMA, PS, PET and PC: n and k of Zhang
//! et al. 2020 (JQSRT 252, 107063) and Querry 1987 (CRDEC-CR-88009), CC0, in `../shared`. No open
//! constants were found for the other plasticisers and the fillers: their oscillators lie at the
//! positions that Socrates 2001 and Derrick, Stulik & Landry 1999 give (from memory), with strengths
//! and widths chosen by hand so that strong bands have k near 0.2 to 0.6. Mixing: dielectric functions
//! by volume. A mixture is no measurement: real ones bring scattering, and bands that move.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use crate::tide_clock_maker::optics as layers;
use bandlore::{
    Examiner, Identification, Spectrum, Tables,
    judge::{ChlorineBands, ChlorineByIdentity},
    optics::{Element, reflectance_with_gap},
    spectrum::SpectrumParts,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rustfft::num_complex::Complex64;

/// Where the data end, in cm⁻¹; those up to 580 leave the C–Cl bands testable.
const CUTS_CM1: [f64; 5] = [400.0, 550.0, 600.0, 650.0, 675.0];
const TESTABLE_TO_CM1: f64 = 580.0;

/// Points stand this far apart, as at 4 cm⁻¹ resolution.
const SPACING_CM1: f64 = 1.929;

/// White noise as a share of the strongest band: signal to noise of 1000.
const NOISE: f64 = 1.0e-3;

const SEED: u64 = 20_261_125;

/// One oscillator: centre and width in cm⁻¹, strength in 10⁴ cm⁻².
type Oscillator = (f64, f64, f64);

const TEREPHTHALATE: &[Oscillator] = &[
    (730.5, 8.0, 0.62),
    (874.0, 9.0, 0.16),
    (1018.5, 8.0, 0.36),
    (1102.0, 12.0, 1.05),
    (1118.0, 12.0, 0.95),
    (1267.0, 20.0, 4.0),
    (1380.0, 14.0, 0.14),
    (1409.0, 8.0, 0.24),
    (1463.0, 18.0, 0.3),
    (1505.0, 7.0, 0.05),
    (1578.0, 8.0, 0.06),
    (1722.0, 15.0, 2.3),
    (2860.0, 18.0, 0.3),
    (2930.0, 30.0, 0.95),
    (2959.0, 22.0, 0.75),
];

const ADIPATE: &[Oscillator] = &[
    (728.0, 14.0, 0.05),
    (1078.0, 20.0, 0.35),
    (1141.0, 20.0, 0.8),
    (1172.0, 28.0, 2.2),
    (1241.0, 24.0, 0.9),
    (1380.0, 14.0, 0.2),
    (1463.0, 16.0, 0.45),
    (1735.0, 18.0, 2.4),
    (2860.0, 18.0, 0.45),
    (2930.0, 30.0, 1.2),
    (2959.0, 22.0, 0.9),
];

const TRIMELLITATE: &[Oscillator] = &[
    (752.0, 8.0, 0.35),
    (1068.0, 12.0, 0.7),
    (1114.0, 12.0, 1.0),
    (1240.0, 24.0, 3.2),
    (1283.0, 18.0, 1.6),
    (1380.0, 14.0, 0.16),
    (1463.0, 18.0, 0.32),
    (1727.0, 17.0, 2.6),
    (2860.0, 18.0, 0.35),
    (2930.0, 30.0, 1.0),
    (2959.0, 22.0, 0.8),
];

const CHALK: &[Oscillator] = &[
    (712.0, 6.0, 0.22),
    (873.5, 8.0, 0.75),
    (1412.0, 62.0, 14.0),
    (1795.0, 13.0, 0.1),
    (2513.0, 55.0, 0.3),
];

const BARITE: &[Oscillator] = &[
    (607.0, 12.0, 1.2),
    (635.0, 12.0, 0.9),
    (983.0, 6.0, 0.12),
    (1068.0, 60.0, 8.0),
    (1120.0, 45.0, 4.0),
    (1180.0, 35.0, 2.0),
];

/// A powder's edge rising below 850, as one broad band.
const TITANIA: &[Oscillator] = &[(560.0, 200.0, 12.0)];

/// Permittivity of the resin-like compounds and of the fillers above the infrared.
const LIQUID: f64 = 2.16;
const FILLER: f64 = 2.5;

/// What a mixture is made of, or what lies on it.
#[derive(Clone, Copy)]
enum Stuff {
    Constants(&'static str),
    Oscillators(f64, &'static [Oscillator]),
}

fn folder() -> Option<PathBuf> {
    let shared = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared"));
    if shared.is_dir() {
        let path = shared.join("optical-constants");
        assert!(path.is_dir(), "{} may not be missing", path.display());
        return Some(path);
    }
    println!("skipped 1: {} is not there", shared.display());
    None
}

/// What is mixed in, with its share by volume.
type Added = Option<(Stuff, f64)>;

/// Wavenumber in cm⁻¹, n and k, a row each.
type Constants = Vec<(f64, f64, f64)>;

/// Wavenumber in cm⁻¹, n and k, lowest wavenumber first.
fn constants(name: &'static str) -> &'static [(f64, f64, f64)] {
    static READ: OnceLock<Vec<(&'static str, Constants)>> = OnceLock::new();
    let all = READ.get_or_init(|| {
        let folder = folder().expect("asked only where it is there");
        ["PVC", "DEP", "PMMA_ZM", "PS_Z", "PET", "PC"]
            .into_iter()
            .map(|name| {
                let file = folder.join(format!("{name}_nk_atr.csv"));
                let mut reader = csv::Reader::from_path(file).expect("a sheet of constants");
                let mut rows: Vec<(f64, f64, f64)> = reader
                    .records()
                    .map(|row| {
                        let row = row.expect("a row");
                        let number = |i: usize| row[i].parse::<f64>().expect("a number");
                        (number(0), number(1), number(2))
                    })
                    .collect();
                rows.sort_by(|a, b| a.0.total_cmp(&b.0));
                rows.dedup_by(|a, b| a.0 == b.0);
                (name, rows)
            })
            .collect()
    });
    &all.iter().find(|(known, _)| *known == name).expect("a known name").1
}

/// Between the points by cubic Hermite curves (a straight line would bend at every point, and a bend
/// is what a matcher looks for); beyond the ends the last value.
fn between(rows: &[(f64, f64, f64)], v: f64) -> (f64, f64) {
    let at = rows.partition_point(|row| row.0 <= v);
    if at == 0 || at == rows.len() {
        let row = rows[at.min(rows.len() - 1)];
        return (row.1, row.2);
    }
    let (left, right) = (at - 1, at);
    let span = rows[right].0 - rows[left].0;
    let t = (v - rows[left].0) / span;
    let curve = |value: fn(&(f64, f64, f64)) -> f64| {
        let slope = |i: usize| {
            let (low, high) = (i.saturating_sub(1), (i + 1).min(rows.len() - 1));
            (value(&rows[high]) - value(&rows[low])) / (rows[high].0 - rows[low].0) * span
        };
        let (t2, t3) = (t * t, t * t * t);
        (2.0 * t3 - 3.0 * t2 + 1.0) * value(&rows[left])
            + (t3 - 2.0 * t2 + t) * slope(left)
            + (3.0 * t2 - 2.0 * t3) * value(&rows[right])
            + (t3 - t2) * slope(right)
    };
    (curve(|row| row.1), curve(|row| row.2).max(0.0))
}

fn permittivity(stuff: Stuff, v: f64) -> Complex64 {
    match stuff {
        Stuff::Constants(name) => {
            let (n, k) = between(constants(name), v);
            Complex64::new(n, k).powi(2)
        }
        Stuff::Oscillators(background, oscillators) => {
            oscillators
                .iter()
                .map(|(centre, width, strength)| {
                    strength * 1e4 / Complex64::new(centre * centre - v * v, -width * v)
                })
                .sum::<Complex64>()
                + background
        }
    }
}

/// A sheet: what it is made of by volume, the film on it, and the gap that the anvil left.
struct Sheet {
    name: String,
    parts: Vec<(Stuff, f64)>,
    cap_um: f64,
    gap_um: f64,
}

impl Sheet {
    fn absorbance(&self, v: f64) -> f64 {
        let sample: Complex64 =
            self.parts.iter().map(|(stuff, share)| permittivity(*stuff, v) * share).sum();
        let index = sample.sqrt();
        if self.cap_um > 0.0 {
            let cap = layers::Layer {
                permittivity: permittivity(Stuff::Constants("PMMA_ZM"), v),
                thickness_um: self.cap_um,
            };
            let gap =
                layers::Layer { permittivity: Complex64::new(1.0, 0.0), thickness_um: self.gap_um };
            return layers::absorbance(v, &[gap, cap], sample);
        }
        reflectance_with_gap(Element::DIAMOND_45, index.re, index.im.max(0.0), self.gap_um, v)
            .expect("valid optics")
            .absorbance()
    }

    /// Measured: with white noise, a level and a slope, down to where the data end.
    fn measured(&self, seed: u64) -> Vec<(f64, f64)> {
        let mut random = ChaCha8Rng::seed_from_u64(SEED);
        random.set_stream(seed);
        let count = ((4000.0 - CUTS_CM1[0]) / SPACING_CM1) as usize;
        let axis: Vec<f64> = (0..count).rev().map(|i| 4000.0 - SPACING_CM1 * i as f64).collect();
        let clean: Vec<f64> = axis.iter().map(|v| self.absorbance(*v)).collect();
        let strongest = clean.iter().copied().fold(0.0, f64::max);
        let (level, slope) = (0.02 * random.random::<f64>(), 0.03 * random.random::<f64>());
        axis.into_iter()
            .zip(clean)
            .map(|(v, a)| {
                let u: f64 = 1.0 - random.random::<f64>();
                let turn: f64 = random.random();
                let normal = (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * turn).cos();
                (v, a + strongest * (level + slope * (4000.0 - v) / 3600.0 + NOISE * normal))
            })
            .collect()
    }
}

fn judged(points: &[(f64, f64)], cut_cm1: f64) -> Identification {
    static EXAMINER: OnceLock<Examiner<'static>> = OnceLock::new();
    let examiner = EXAMINER.get_or_init(|| Examiner::new(Tables::built_in()));
    let (axis, values) = points.iter().copied().filter(|(v, _)| *v >= cut_cm1).unzip();
    let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum");
    examiner.examine(spectrum).expect("prepared").identification
}

/// Rigid and plasticised (four classes, at 15 and 35 % by volume), unfilled and with each filler, bare
/// and under an acrylic cap, with gaps up to 0.1 µm.
fn sheets() -> Vec<Sheet> {
    let plasticisers: [(&str, Option<(Stuff, f64)>); 9] = [
        ("rigid", None),
        ("ortho-phthalate 15 %", Some((Stuff::Constants("DEP"), 0.15))),
        ("ortho-phthalate 35 %", Some((Stuff::Constants("DEP"), 0.35))),
        ("terephthalate 15 %", Some((Stuff::Oscillators(LIQUID, TEREPHTHALATE), 0.15))),
        ("terephthalate 35 %", Some((Stuff::Oscillators(LIQUID, TEREPHTHALATE), 0.35))),
        ("adipate 15 %", Some((Stuff::Oscillators(LIQUID, ADIPATE), 0.15))),
        ("adipate 35 %", Some((Stuff::Oscillators(LIQUID, ADIPATE), 0.35))),
        ("trimellitate 15 %", Some((Stuff::Oscillators(LIQUID, TRIMELLITATE), 0.15))),
        ("trimellitate 35 %", Some((Stuff::Oscillators(LIQUID, TRIMELLITATE), 0.35))),
    ];
    let fillers: [(&str, Added, f64); 5] = [
        ("", None, 0.0),
        (", chalk 10 %", Some((Stuff::Oscillators(FILLER, CHALK), 0.10)), 0.0),
        (", barite 5 %", Some((Stuff::Oscillators(FILLER, BARITE), 0.05)), 0.0),
        (", titania 4 %", Some((Stuff::Oscillators(FILLER, TITANIA), 0.04)), 0.0),
        (", acrylic cap 0.4 µm", None, 0.4),
    ];
    let mut sheets = Vec::new();
    for (i, (name, plasticiser)) in plasticisers.iter().enumerate() {
        for (j, (with, filler, cap_um)) in fillers.iter().enumerate() {
            let added: Vec<(Stuff, f64)> = plasticiser.iter().chain(filler).copied().collect();
            let rest = 1.0 - added.iter().map(|(_, share)| share).sum::<f64>();
            let mut parts = vec![(Stuff::Constants("PVC"), rest)];
            parts.extend(added);
            let gap_um = 0.05 * ((i + j) % 3) as f64;
            sheets.push(Sheet { name: format!("{name}{with}"), parts, cap_um: *cap_um, gap_um });
        }
    }
    sheets
}

#[test]
fn two_ways_to_the_same_reflectance_agree() {
    if folder().is_none() {
        return;
    }
    for v in [520.0, 613.0, 1254.0, 1427.0, 2912.0] {
        for gap_um in [0.0, 0.1] {
            let sheet = Sheet {
                name: String::new(),
                parts: vec![(Stuff::Constants("PVC"), 1.0)],
                cap_um: 0.0,
                gap_um,
            };
            let gap =
                layers::Layer { permittivity: Complex64::new(1.0, 0.0), thickness_um: gap_um };
            let other = layers::absorbance(v, &[gap], permittivity(Stuff::Constants("PVC"), v));
            assert!((sheet.absorbance(v) - other).abs() < 1e-9, "{v} {gap_um}");
        }
    }
}

#[test]
fn chlorine_is_shown_where_it_can_be_tested_and_never_ruled_out() {
    if folder().is_none() {
        return;
    }
    let (mut testable, mut present) = (0, 0);
    let mut missed = Vec::new();
    for (i, sheet) in sheets().iter().enumerate() {
        let points = sheet.measured(i as u64);
        for cut_cm1 in CUTS_CM1 {
            let answer = judged(&points, cut_cm1);
            let bands = answer.chlorine.bands;
            let said = format!("{} cut at {cut_cm1}: {}", sheet.name, answer.chlorine.why);
            assert_ne!(bands, ChlorineBands::NotDetected, "{said}");
            if cut_cm1 > TESTABLE_TO_CM1 {
                assert_eq!(bands, ChlorineBands::CannotTell, "{said}");
                continue;
            }
            testable += 1;
            if bands == ChlorineBands::Present {
                present += 1;
            } else {
                missed.push(said);
            }
        }
    }
    println!("chlorine present in {present} of {testable} testable mixtures");
    assert!(testable >= 90, "{testable}");
    assert!(10 * present >= 9 * testable, "{present} of {testable}: {missed:#?}");
}

#[test]
fn mixtures_without_chlorine_never_show_it() {
    if folder().is_none() {
        return;
    }
    let fillers = [
        (Stuff::Oscillators(FILLER, BARITE), 0.08),
        (Stuff::Oscillators(FILLER, CHALK), 0.1),
        (Stuff::Oscillators(FILLER, TITANIA), 0.05),
        (Stuff::Constants("DEP"), 0.2),
    ];
    let mut seed = 1000;
    for polymer in ["PS_Z", "PMMA_ZM", "PET", "PC"] {
        for filler in fillers {
            seed += 1;
            let sheet = Sheet {
                name: polymer.to_owned(),
                parts: vec![(Stuff::Constants(polymer), 1.0 - filler.1), filler],
                cap_um: 0.0,
                gap_um: 0.05,
            };
            let answer = judged(&sheet.measured(seed), CUTS_CM1[0]);
            assert_ne!(answer.chlorine.bands, ChlorineBands::Present, "{polymer} {seed}");
            assert_ne!(answer.chlorine.by_identity, ChlorineByIdentity::Yes, "{polymer} {seed}");
        }
    }
}
