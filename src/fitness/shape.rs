//! Whether bands have the shape of absorption, of its mirror image, or of reflection.

use rustfft::num_complex::Complex;

use super::fourier::{forward, inverse};
use super::{Finding, NoiseProfile, Severity};
use crate::spectrum::{PointFlag, Spectrum, median_spacing};

/// Half the distance in cm⁻¹ over which curvature is taken: about a usual band's half width.
const REACH_CM1: f64 = 8.0;

/// Phases are tried at this step in degrees.
const PHASE_STEP_DEG: i32 = 3;

/// A diamond element and carbon dioxide leave bands here that go either way; in cm⁻¹.
const UNSURE_CM1: (f64, f64) = (1850.0, 2700.0);

/// The shape of the bands, told from their curvature.
///
/// Absorption bands are sharp at the top and rounded in the valleys, so the curvature is skewed. With its
/// Hilbert transform each band can be turned through any phase: 0° is absorption, ±90° is the
/// derivative shape of reflection, 180° is a spectrum upside down. The phase of the largest skewness
/// is the shape that the bands have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shape {
    /// The phase in degrees, −180 to 180; positive where a band leans to high wavenumbers.
    pub phase_deg: f64,
    /// The skewness at that phase; noise has almost none.
    pub skewness: f64,
    /// The skewness as measured.
    pub skewness_as_is: f64,
}

impl Shape {
    /// Returns the shape, or `None` where too little is left to tell.
    pub(super) fn of(spectrum: &Spectrum, noise: &NoiseProfile, strongest: f64) -> Option<Self> {
        let curvature = curvature(spectrum, noise, strongest);
        if curvature.iter().filter(|c| **c != 0.0).count() < 32 {
            return None;
        }
        let turned = hilbert(&curvature);
        let mut m = [0.0; 7];
        for (a, b) in curvature.iter().zip(&turned) {
            let (aa, bb) = (a * a, b * b);
            for (sum, term) in m.iter_mut().zip([aa, a * b, bb, aa * a, aa * b, a * bb, bb * b]) {
                *sum += term;
            }
        }
        let n = curvature.len() as f64;
        let [s20, s11, s02, s30, s21, s12, s03] = m.map(|sum| sum / n);
        let skewness = |degrees: i32| {
            let (s, c) = f64::from(degrees).to_radians().sin_cos();
            let spread = c * c * s20 + 2.0 * c * s * s11 + s * s * s02;
            let third =
                c * c * c * s30 + 3.0 * c * c * s * s21 + 3.0 * c * s * s * s12 + s * s * s * s03;
            third / spread.powf(1.5)
        };
        let best = (-180..180)
            .step_by(PHASE_STEP_DEG as usize)
            .map(|degrees| (degrees, skewness(degrees)))
            .filter(|(_, skewness)| skewness.is_finite())
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Self { phase_deg: f64::from(best.0), skewness: best.1, skewness_as_is: skewness(0) })
    }
}

/// Past this phase a spectrum is upside down rather than distorted.
const INVERTED_DEG: f64 = 140.0;

/// From this phase on bands are as much derivative as absorption. Strong ATR bands reach 30°.
const REFLECTION_DEG: f64 = 60.0;

/// Upside down, bands as they are must lean the other way by so much.
const INVERTED_SKEWNESS: f64 = -1.0;

/// Turned bands have lost so much of their skewness as they are.
const TURNED_SHARE: f64 = 0.35;

/// Skewness below this is noise or a few broad bands, which have no phase to speak of.
const LEAST_SKEWNESS: f64 = 1.5;

impl Shape {
    /// Returns the finding on band shapes: absorption, reflection, or upside down.
    pub(super) fn finding(&self) -> Finding {
        let phase = self.phase_deg.abs();
        let upside_down = phase > INVERTED_DEG;
        let clear = self.skewness > LEAST_SKEWNESS;
        if clear && upside_down && self.skewness_as_is < INVERTED_SKEWNESS {
            return Finding::note("inverted", "").figure(phase, INVERTED_DEG, "°").raised(
                Severity::Unfit,
                "bands point down: the background held what the sample does not",
                "clean the element, measure a new background, then the sample",
            );
        }
        let turned = self.skewness_as_is < TURNED_SHARE * self.skewness;
        if clear && turned && !upside_down && phase > REFLECTION_DEG {
            return Finding::note("reflection-shape", "").figure(phase, REFLECTION_DEG, "°").raised(
                Severity::Unfit,
                "bands have the shape of reflection: their positions are off by their own width",
                "use ATR with better contact, or treat the spectrum by Kramers–Kronig first",
            );
        }
        Finding::note("band-shape", "bands have the shape of absorption").figure(
            phase,
            REFLECTION_DEG,
            "°",
        )
    }
}

/// Returns the downward curvature at each point; zero where it cannot be trusted.
///
/// Each point is held against the mean of the points one reach away on either side, each averaged
/// over half a reach, which is a second difference with the noise taken down.
fn curvature(spectrum: &Spectrum, noise: &NoiseProfile, strongest: f64) -> Vec<f64> {
    let mut curvature = vec![0.0; spectrum.len()];
    for segment in spectrum.segments() {
        let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
        let values = &spectrum.absorbances()[segment.clone()];
        let Some(spacing) = median_spacing(axis) else { continue };
        let reach = (REACH_CM1 / spacing).round().max(1.0) as usize;
        let half = reach / 2;
        let mut sums = Vec::with_capacity(values.len() + 1);
        sums.push(0.0);
        let mut total = 0.0;
        for value in values {
            total += value;
            sums.push(total);
        }
        let mean = |i: usize| (sums[i + half + 1] - sums[i - half]) / (2 * half + 1) as f64;
        let margin = reach + half;
        let inner = margin..values.len().saturating_sub(margin);
        for (i, wavenumber) in axis.iter().enumerate().take(inner.end).skip(inner.start) {
            let bend = mean(i) - (mean(i - reach) + mean(i + reach)) / 2.0;
            let point = segment.start + i;
            let around = &spectrum.flags()[point - margin..=point + margin];
            let unsure = (UNSURE_CM1.0..UNSURE_CM1.1).contains(wavenumber);
            if !unsure && around.iter().all(|flag| *flag == PointFlag::Measured) {
                curvature[point] = bend;
            }
        }
    }
    // A noisy end would otherwise outweigh every band.
    for (bend, sd) in curvature.iter_mut().zip(noise.at_points(spectrum)) {
        if sd > NOISY_SHARE * strongest {
            *bend = 0.0;
        }
    }
    curvature
}

/// Where the noise exceeds this share of the strongest band, its cube outweighs the bands' own.
const NOISY_SHARE: f64 = 0.05;

/// Zeros between the two ends, so that one does not ring into the other.
const PAD_POINTS: usize = 64;

/// Returns the Hilbert transform by turning each frequency through a quarter.
fn hilbert(values: &[f64]) -> Vec<f64> {
    let length = (values.len() + PAD_POINTS).next_power_of_two();
    let mut buffer: Vec<Complex<f64>> = values.iter().map(|v| Complex::new(*v, 0.0)).collect();
    buffer.resize(length, Complex::new(0.0, 0.0));
    forward(&mut buffer);
    for (k, value) in buffer.iter_mut().enumerate() {
        // Positive frequencies are turned back by a quarter, negative ones forward.
        *value *= match 2 * k {
            0 => Complex::new(0.0, 0.0),
            double if double == length => Complex::new(0.0, 0.0),
            double if double < length => Complex::new(0.0, -1.0),
            _ => Complex::new(0.0, 1.0),
        };
    }
    inverse(&mut buffer);
    buffer.iter().take(values.len()).map(|v| v.re / length as f64).collect()
}
