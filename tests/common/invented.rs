//! Invented materials: sums of Gaussian bands at handbook positions (Socrates 2001, from memory) with
//! seeded noise.

use bandlore::{Spectrum, spectrum::SpectrumParts};

use super::synthetic_faces::Random;

/// Position, full width at half height, height.
pub type Bands = &'static [(f64, f64, f64)];

pub const PVC: Bands = &[
    (2970.0, 30.0, 0.03),
    (2912.0, 40.0, 0.06),
    (1427.0, 16.0, 0.12),
    (1331.0, 18.0, 0.09),
    (1254.0, 24.0, 0.14),
    (1097.0, 30.0, 0.06),
    (962.0, 25.0, 0.10),
    (690.0, 30.0, 0.20),
    (613.0, 30.0, 0.25),
];
pub const PC: Bands = &[
    (2968.0, 30.0, 0.06),
    (1770.0, 24.0, 0.50),
    (1600.0, 8.0, 0.03),
    (1504.0, 12.0, 0.33),
    (1409.0, 8.0, 0.04),
    (1219.0, 22.0, 0.70),
    (1187.0, 18.0, 0.80),
    (1159.0, 18.0, 0.90),
    (1080.0, 12.0, 0.30),
    (1014.0, 12.0, 0.40),
    (828.0, 16.0, 0.35),
];
pub const PE: Bands =
    &[(2915.0, 18.0, 0.50), (2848.0, 14.0, 0.35), (1464.0, 12.0, 0.12), (719.0, 10.0, 0.10)];
pub const PMMA: Bands = &[
    (2994.0, 20.0, 0.06),
    (2950.0, 24.0, 0.10),
    (1723.0, 24.0, 0.60),
    (1480.0, 16.0, 0.08),
    (1440.0, 18.0, 0.18),
    (1387.0, 14.0, 0.08),
    (1240.0, 20.0, 0.25),
    (1190.0, 20.0, 0.35),
    (1144.0, 22.0, 0.70),
    (986.0, 16.0, 0.17),
    (750.0, 14.0, 0.12),
];
pub const PET: Bands = &[
    (2965.0, 40.0, 0.03),
    (1715.0, 26.0, 0.80),
    (1505.0, 8.0, 0.03),
    (1409.0, 10.0, 0.14),
    (1243.0, 30.0, 0.90),
    (1095.0, 30.0, 0.80),
    (1017.0, 10.0, 0.40),
    (873.0, 12.0, 0.25),
    (725.0, 14.0, 0.90),
];
pub const PHTHALATE: Bands = &[
    (2960.0, 30.0, 0.08),
    (1723.0, 22.0, 0.35),
    (1600.0, 7.0, 0.03),
    (1580.0, 7.0, 0.03),
    (1273.0, 24.0, 0.30),
    (1122.0, 14.0, 0.15),
    (1072.0, 12.0, 0.12),
    (743.0, 9.0, 0.10),
];
pub const CHALK: Bands =
    &[(1795.0, 14.0, 0.02), (1420.0, 90.0, 0.30), (873.0, 10.0, 0.15), (712.0, 8.0, 0.06)];
pub const VAPOUR: [f64; 13] = [
    1507.1, 1540.3, 1558.5, 1576.2, 1616.7, 1635.7, 1653.3, 1684.8, 1699.9, 1717.4, 1844.2, 1869.4,
    3854.0,
];
/// Heights in the proportions of liquid water's k (Hale & Querry 1973, recalled): 0.27, 0.10, 0.43.
pub const WATER: Bands = &[(3350.0, 420.0, 0.09), (1640.0, 75.0, 0.030), (630.0, 300.0, 0.142)];
pub const STEARIC: Bands = &[(2917.0, 14.0, 0.35), (2849.0, 12.0, 0.25), (1701.0, 14.0, 0.10)];

pub fn spectrum_on(start: f64, parts: &[Bands], seed: u64) -> Spectrum {
    let mut random = Random::new(seed);
    let count = ((4000.0 - start) / 2.0) as usize;
    let axis: Vec<f64> = (0..=count).map(|i| start + 2.0 * i as f64).collect();
    let values = axis
        .iter()
        .map(|v| {
            let bands = parts.iter().flat_map(|p| p.iter());
            let sum: f64 = bands
                .map(|(position, fwhm, height)| {
                    height * (-4.0 * std::f64::consts::LN_2 * ((v - position) / fwhm).powi(2)).exp()
                })
                .sum();
            sum + 0.01 + 5e-5 * random.normal()
        })
        .collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}
