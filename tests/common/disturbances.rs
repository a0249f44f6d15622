//! What one face may share beside its age, made from published places and constants: lines of water
//! vapour, a film of water, skin grease, a slow drift.

use std::path::Path;

use crate::synthetic_faces::Random;

/// What one face carries and the other does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Disturbance {
    Nothing,
    Vapour,
    WaterFilm,
    Grease,
    Drift,
}

impl Disturbance {
    pub const ALL: [Self; 5] =
        [Self::Nothing, Self::Vapour, Self::WaterFilm, Self::Grease, Self::Drift];

    pub const fn word(self) -> &'static str {
        match self {
            Self::Nothing => "nothing",
            Self::Vapour => "water vapour",
            Self::WaterFilm => "a film of water",
            Self::Grease => "skin grease",
            Self::Drift => "a drifting baseline",
        }
    }
}

/// HITRAN2020 (Gordon et al. 2022, JQSRT 277:107949): position in cm⁻¹, strength over the strongest.
pub const LINES: [(f64, f64); 80] = [
    (1419.508, 0.37),
    (1436.818, 0.39),
    (1456.887, 0.63),
    (1464.905, 0.33),
    (1472.051, 0.40),
    (1473.514, 0.39),
    (1496.249, 0.56),
    (1505.604, 0.73),
    (1507.058, 0.74),
    (1521.235, 0.40),
    (1521.309, 0.32),
    (1525.499, 0.31),
    (1539.061, 0.92),
    (1540.300, 0.72),
    (1542.160, 0.38),
    (1554.352, 0.51),
    (1558.531, 0.83),
    (1560.257, 0.83),
    (1569.789, 0.36),
    (1576.185, 0.98),
    (1616.711, 1.00),
    (1623.559, 0.38),
    (1635.652, 0.89),
    (1645.969, 0.74),
    (1652.400, 0.73),
    (1653.267, 0.82),
    (1654.511, 0.46),
    (1662.809, 0.39),
    (1675.515, 0.34),
    (1683.178, 0.40),
    (1684.835, 0.86),
    (1695.927, 0.73),
    (1699.934, 0.68),
    (1717.405, 0.48),
    (1733.390, 0.31),
    (1734.650, 0.43),
    (1739.839, 0.37),
    (1772.714, 0.60),
    (1792.659, 0.38),
    (1844.180, 0.33),
    (3609.234, 0.23),
    (3619.612, 0.30),
    (3628.346, 0.40),
    (3629.643, 0.37),
    (3649.283, 0.57),
    (3656.303, 0.39),
    (3668.777, 0.24),
    (3670.750, 0.70),
    (3674.958, 0.33),
    (3676.020, 0.65),
    (3688.451, 0.83),
    (3691.298, 0.24),
    (3709.402, 0.25),
    (3712.205, 0.54),
    (3732.134, 0.47),
    (3736.743, 0.32),
    (3743.947, 0.22),
    (3744.509, 0.40),
    (3744.651, 0.64),
    (3749.329, 0.63),
    (3749.574, 0.28),
    (3752.213, 0.84),
    (3769.889, 0.28),
    (3801.419, 0.83),
    (3807.014, 0.57),
    (3816.092, 0.83),
    (3820.739, 0.32),
    (3821.764, 0.38),
    (3831.686, 0.25),
    (3834.983, 0.27),
    (3837.869, 0.88),
    (3852.057, 0.70),
    (3853.966, 0.46),
    (3854.091, 0.24),
    (3854.438, 0.69),
    (3865.111, 0.34),
    (3870.129, 0.51),
    (3885.660, 0.32),
    (3891.299, 0.32),
    (3904.189, 0.24),
];

/// Absorption index of liquid water at some wavenumbers (Hale & Querry 1973, Applied Optics 12:555,
/// recalled), joined by straight lines.
const WATER: [(f64, f64); 17] = [
    (400.0, 0.40),
    (600.0, 0.43),
    (667.0, 0.40),
    (714.0, 0.37),
    (769.0, 0.305),
    (833.0, 0.20),
    (909.0, 0.097),
    (1000.0, 0.051),
    (1500.0, 0.033),
    (1590.0, 0.06),
    (1640.0, 0.131),
    (1690.0, 0.065),
    (1760.0, 0.020),
    (2500.0, 0.01),
    (3100.0, 0.19),
    (3350.0, 0.272),
    (3700.0, 0.01),
];

/// Glyceryl trioleate where no measured oil is here: position, full width and height over CH2 (Socrates
/// 2001, positions from memory; heights ours).
const TRIOLEATE: [(f64, f64, f64); 10] = [
    (2922.0, 34.0, 1.0),
    (2853.0, 21.0, 0.70),
    (3006.0, 20.0, 0.05),
    (1745.0, 20.0, 0.95),
    (1464.0, 20.0, 0.28),
    (1377.0, 20.0, 0.06),
    (1238.0, 40.0, 0.06),
    (1161.0, 28.0, 0.28),
    (1098.0, 36.0, 0.08),
    (722.0, 12.0, 0.18),
];

/// The mean of three oils of an open set (saw palmetto sold with added fat, GPL-3), where they are here.
fn measured_grease(axis: &[f64]) -> Option<Vec<f64>> {
    let folder =
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/measured-spectra/spectra/oils"));
    let mut sum = vec![0.0; axis.len()];
    for file in ["GNC_adSrE.csv", "NW_adSrE.csv", "Nat_adSrE.csv"] {
        let text = std::fs::read_to_string(folder.join(file)).ok()?;
        let mut rows: Vec<(f64, f64)> = text
            .lines()
            .filter_map(|line| {
                let mut cells = line.split([',', ';']).map(|c| c.trim().parse::<f64>());
                Some((cells.next()?.ok()?, cells.next()?.ok()?))
            })
            .collect();
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (total, v) in sum.iter_mut().zip(axis) {
            let after = rows.partition_point(|r| r.0 < *v).clamp(1, rows.len() - 1);
            let (a, b) = (rows[after - 1], rows[after]);
            *total += a.1 + (b.1 - a.1) * ((v - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
        }
    }
    // Their own diamond and background slope towards the low end: what lies between bands is no fat.
    let floor = sum.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = sum.iter().zip(axis).filter(|(_, v)| **v > 700.0).map(|(a, _)| *a);
    let size = highest.fold(0.0, f64::max) - floor;
    Some(sum.iter().map(|a| (a - floor) / size).collect())
}

fn bell(v: f64, place: f64, width: f64) -> f64 {
    (-4.0 * std::f64::consts::LN_2 * ((v - place) / width).powi(2)).exp()
}

/// Returns a disturbance whose greatest height is 1.
///
/// Lines as wide as the resolution, each with a strength up to a quarter off, as well as they are known;
/// water between a film far thinner than the light reaches (index times wavenumber) and bulk.
pub fn shape(
    what: Disturbance,
    axis: &[f64],
    resolution_cm1: f64,
    random: &mut Random,
) -> Vec<f64> {
    let mut values = match what {
        Disturbance::Nothing => return vec![0.0; axis.len()],
        Disturbance::Vapour => {
            let lines: Vec<(f64, f64)> = LINES
                .iter()
                .map(|l| (l.0, l.1 * (1.0 + 0.25 * random.normal()).max(0.0)))
                .collect();
            axis.iter()
                .map(|v| {
                    let near = lines.iter().filter(|l| (l.0 - v).abs() < 3.0 * resolution_cm1);
                    near.map(|l| l.1 * bell(*v, l.0, resolution_cm1)).sum()
                })
                .collect()
        }
        Disturbance::WaterFilm => {
            let power = random.uniform(0.0, 1.0);
            axis.iter()
                .map(|v| {
                    let after = WATER.partition_point(|p| p.0 < *v).clamp(1, WATER.len() - 1);
                    let (a, b) = (WATER[after - 1], WATER[after]);
                    let share = ((v - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
                    (a.1 + (b.1 - a.1) * share) * (v / 3350.0).powf(power)
                })
                .collect()
        }
        Disturbance::Grease => measured_grease(axis).unwrap_or_else(|| {
            axis.iter().map(|v| TRIOLEATE.iter().map(|b| b.2 * bell(*v, b.0, b.1)).sum()).collect()
        }),
        Disturbance::Drift => {
            let period = random.uniform(1500.0, 6000.0);
            let phase = random.uniform(0.0, std::f64::consts::TAU);
            axis.iter().map(|v| (std::f64::consts::TAU * v / period + phase).sin()).collect()
        }
    };
    let highest = values.iter().fold(0.0_f64, |most, v: &f64| most.max(v.abs()));
    values.iter_mut().for_each(|v| *v /= highest);
    values
}
