//! Whether bands have the shape of absorption, of its mirror image, or of reflection.

use rustfft::num_complex::Complex;

use super::fourier::{forward, inverse};
use super::{Finding, Severity};
use crate::spectrum::zones::{FEW_BANDS_CM1, LEVEL_CM1};
use crate::spectrum::{PointFlag, Spectrum, quantile};

/// Half the distance in cm⁻¹ over which curvature is taken: about a usual band's half width.
const REACH_CM1: f64 = 8.0;

/// Phases are tried at this step in degrees, and about the best of them at the finer one.
const COARSE_STEP_DEG: i32 = 12;
const FINE_STEP_DEG: i32 = 3;

/// The ends of what was measured are left out over this stretch in cm⁻¹: a turned spectrum rings there.
const EDGE_CM1: f64 = 15.0;

/// Fewer points than this make no level of a stretch, and fewer stretches than the second none at all.
const LEAST_LEVEL_POINTS: usize = 6;
const LEAST_LEVELS: usize = 2;

/// Where bands stand, in cm⁻¹.
const BANDS_CM1: [(f64, f64); 2] = [(700.0, 1800.0), (2800.0, 3600.0)];

/// The shape of the bands, told from their curvature.
///
/// Absorption bands are sharp at the top and rounded in the valleys, so the curvature is lopsided: strong
/// downward bends outweigh strong upward ones. With its Hilbert transform each band can be turned through
/// any phase: 0° is absorption, ±90° is the derivative shape of reflection, 180° is a spectrum upside
/// down. The phase of the largest lopsidedness is the shape that the bands have. Lopsidedness is the
/// mean of u·|u| over the mean of u²; a third power would let the strongest band speak alone, whose
/// shoulders turn it by up to 60°.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shape {
    /// The phase in degrees, −180 to 180; positive where a band leans to high wavenumbers.
    pub phase_deg: f64,
    /// The lopsidedness at that phase, 0 to 1; noise has almost none.
    pub lopsided: f64,
    /// The lopsidedness as measured.
    pub lopsided_as_is: f64,
    /// What stands above the level of the quiet stretches less what lies below it, as a share of both:
    /// 1 for absorption, −1 upside down. Few and broad bands, which have no phase, still have a side.
    pub side: Option<f64>,
}

impl Shape {
    /// Returns the shape, or `None` where too little is left to tell.
    pub(super) fn of(
        spectrum: &Spectrum,
        spacing_cm1: f64,
        noise: &[f64],
        strongest: f64,
    ) -> Option<Self> {
        let curvature = curvature(spectrum, spacing_cm1, noise, strongest);
        if curvature.iter().filter(|c| **c != 0.0).count() < 32 {
            return None;
        }
        let turned = hilbert(&curvature);
        let [mut aa, mut ab, mut bb] = [0.0; 3];
        for (a, b) in curvature.iter().zip(&turned) {
            aa += a * a;
            ab += a * b;
            bb += b * b;
        }
        let lopsided = |degrees: i32| {
            let (s, c) = f64::from(degrees).to_radians().sin_cos();
            let spread = c * c * aa + 2.0 * c * s * ab + s * s * bb;
            lopsided_sum(&curvature, &turned, c, s) / spread
        };
        // Half a turn changes the sign alone.
        let coarse: Vec<f64> = (0..180).step_by(COARSE_STEP_DEG as usize).map(lopsided).collect();
        let (place, value) = coarse
            .iter()
            .enumerate()
            .filter(|(_, value)| value.is_finite())
            .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
        let centre = place as i32 * COARSE_STEP_DEG - if *value < 0.0 { 180 } else { 0 };
        let best = (centre - COARSE_STEP_DEG..=centre + COARSE_STEP_DEG)
            .step_by(FINE_STEP_DEG as usize)
            .map(|degrees| (degrees, lopsided(degrees)))
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        let phase_deg = f64::from((best.0 + 180).rem_euclid(360) - 180);
        let side = side(spectrum);
        Some(Self { phase_deg, lopsided: best.1, lopsided_as_is: *coarse.first()?, side })
    }
}

/// Returns on which side of the level of the quiet stretches the spectrum lies, −1 to 1.
fn side(spectrum: &Spectrum) -> Option<f64> {
    let measured = |(low, high): (f64, f64)| {
        let range = spectrum.window(low, high);
        let flags = spectrum.flags()[range.clone()].iter();
        let values = spectrum.absorbances()[range].iter();
        values.zip(flags).filter(|(_, f)| **f == PointFlag::Measured).map(|(value, _)| *value)
    };
    let mut levels: Vec<f64> = LEVEL_CM1
        .into_iter()
        .filter_map(|stretch| {
            let mut values = Vec::with_capacity(spectrum.window(stretch.0, stretch.1).len());
            values.extend(measured(stretch));
            if values.len() < LEAST_LEVEL_POINTS {
                return None;
            }
            quantile(&mut values, 0.5)
        })
        .collect();
    if levels.len() < LEAST_LEVELS {
        return None;
    }
    let level = quantile(&mut levels, 0.5)?;
    let (mut above, mut below) = (0.0, 0.0);
    for value in BANDS_CM1.into_iter().flat_map(measured) {
        above += (value - level).max(0.0);
        below += (level - value).max(0.0);
    }
    (above + below > 0.0).then(|| (above - below) / (above + below))
}

/// Points that are summed side by side, so that no addition waits for the one before it: the sum is asked
/// for at two dozen phases.
const LANES: usize = 8;

/// Returns the sum of u·|u| where u = c·a + s·b.
fn lopsided_sum(a: &[f64], b: &[f64], c: f64, s: f64) -> f64 {
    let term = |a: f64, b: f64| {
        let u = c * a + s * b;
        u * u.abs()
    };
    let (a, b) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: f64 = a.remainder().iter().zip(b.remainder()).map(|(a, b)| term(*a, *b)).sum();
    let mut sums = [0.0; LANES];
    for (a, b) in a.zip(b) {
        for ((sum, a), b) in sums.iter_mut().zip(a).zip(b) {
            *sum += term(*a, *b);
        }
    }
    sums.iter().sum::<f64>() + rest
}

/// Past this phase a spectrum is upside down rather than distorted. Absorption bands measured in
/// ATR, turned by half a turn, lie past it in 98 of 100 (own measure on open spectra).
const INVERTED_DEG: f64 = 132.0;

/// Below this a spectrum lies under its quiet stretches: with a phase past a quarter turn, or none to speak
/// of, it is upside down too (own choice).
const DOWN_SIDE: f64 = -0.3;
const QUARTER_DEG: f64 = 90.0;

/// From this phase on bands are distorted by reflection. Strong ATR bands reach 30°, overlapping ones
/// 45°; 98 of 100 stay below (own measure on open spectra).
const REFLECTION_DEG: f64 = 48.0;

/// From this phase on, and with so little lopsidedness left as they are, bands are more derivative than
/// absorption, and none of them stands where it should.
const DERIVATIVE_DEG: f64 = 76.0;
const DERIVATIVE_SHARE: f64 = 0.25;

/// Lopsidedness below this is noise or a few broad bands, which have no phase to speak of.
const LEAST_LOPSIDED: f64 = 0.1;

/// Before a spectrum is refused for it, the phase must be as sure as this.
const SURELY_LOPSIDED: f64 = 0.15;

impl Shape {
    /// Returns the finding on band shapes: absorption, reflection, or upside down.
    pub(super) fn finding(&self) -> Finding {
        let phase = self.phase_deg.abs();
        let clear = self.lopsided > LEAST_LOPSIDED;
        let sure = self.lopsided > SURELY_LOPSIDED;
        let down = self.side.is_some_and(|side| side < DOWN_SIDE);
        let both_signs = down && clear && phase > QUARTER_DEG;
        let turned = clear && phase > INVERTED_DEG;
        if turned && self.side.is_some_and(|side| side > -DOWN_SIDE) {
            // Tops that are cut off or cut out leave bends of either sign where they end.
            let words =
                "the shape of the narrow bands is not clear; what stands out stands upwards";
            return Finding::note("band-shape", words).figure(phase, f64::INFINITY, "°");
        }
        if turned || both_signs || (down && !clear) {
            let (severity, words) = if sure && (both_signs || phase > INVERTED_DEG) {
                (Severity::Unfit, "bands point down: the background held what the sample does not")
            } else {
                (
                    Severity::Limits,
                    "the few narrow bands seem to point down, as a bad background does",
                )
            };
            return Finding::note("inverted", "").figure(phase, INVERTED_DEG, "°").raised(
                severity,
                words,
                "clean the element, measure a new background, then the sample",
            );
        }
        let finding = |id, words: &str| Finding::note(id, words).figure(phase, REFLECTION_DEG, "°");
        if !clear || phase <= REFLECTION_DEG {
            let words = if clear {
                "bands have the shape of absorption"
            } else {
                "too few narrow bands to tell their shape"
            };
            return finding("band-shape", words);
        }
        let derivative = sure
            && phase > DERIVATIVE_DEG
            && self.lopsided_as_is < DERIVATIVE_SHARE * self.lopsided;
        let remedy = "use ATR with better contact, or treat the spectrum by Kramers–Kronig first";
        let (severity, words) = if derivative {
            (
                Severity::Unfit,
                "bands have the shape of reflection: their positions are off by their own width",
            )
        } else {
            (
                Severity::Limits,
                "bands lean as reflection makes them: their positions may be off by half their width",
            )
        };
        finding("reflection-shape", "").raised(severity, words, remedy)
    }
}

/// The reach in points.
fn reach_points(spacing_cm1: f64) -> usize {
    (REACH_CM1 / spacing_cm1).round().max(1.0) as usize
}

/// Returns the downward curvature at each point; zero where it cannot be trusted.
///
/// Each point is compared with the mean of the points one reach away on either side, each averaged
/// over half a reach, which is a second difference with the noise taken down.
fn curvature(spectrum: &Spectrum, spacing: f64, noise: &[f64], strongest: f64) -> Vec<f64> {
    let mut curvature = vec![0.0; spectrum.len()];
    for segment in spectrum.segments() {
        let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
        let values = &spectrum.absorbances()[segment.clone()];
        let reach = reach_points(spacing);
        let half = reach / 2;
        let mut sums = Vec::with_capacity(values.len() + 1);
        sums.push(0.0);
        let mut total = 0.0;
        for value in values {
            total += value;
            sums.push(total);
        }
        // The mean about each point that has half a reach on either side; the first stands for point `half`.
        let width = 2 * half + 1;
        let means: Vec<f64> =
            sums.iter().zip(sums.iter().skip(width)).map(|(a, b)| (b - a) / width as f64).collect();
        let margin = reach + half;
        let edge = margin.max((EDGE_CM1 / spacing).ceil() as usize);
        let inner = edge..values.len().saturating_sub(edge);
        if inner.is_empty() {
            continue;
        }
        // The means about each inner point, and about those one reach before and behind it.
        let about = |first: usize| &means[first - half..first - half + inner.len()];
        let (here, before, behind) =
            (about(inner.start), about(inner.start - reach), about(inner.start + reach));
        let start = segment.start + inner.start;
        let bends = &mut curvature[start..start + inner.len()];
        for (((bend, here), before), behind) in bends.iter_mut().zip(here).zip(before).zip(behind) {
            *bend = here - (before + behind) / 2.0;
        }
        let axis = &axis[inner];
        // A diamond element and carbon dioxide leave bands here that go either way.
        let [low, high] =
            [FEW_BANDS_CM1.0, FEW_BANDS_CM1.1].map(|end| axis.partition_point(|x| *x < end));
        bends[low..high].fill(0.0);
        let flags = spectrum.flags();
        if flags[segment.clone()].iter().any(|flag| *flag != PointFlag::Measured) {
            for (point, bend) in (start..).zip(bends) {
                let around = &flags[point - margin..=point + margin];
                if around.iter().any(|flag| *flag != PointFlag::Measured) {
                    *bend = 0.0;
                }
            }
        }
    }
    // A noisy end would otherwise outweigh every band.
    for (bend, sd) in curvature.iter_mut().zip(noise) {
        if *sd > NOISY_SHARE * strongest {
            *bend = 0.0;
        }
    }
    curvature
}

/// Where the noise exceeds this share of the strongest band, its square outweighs the bands' own.
const NOISY_SHARE: f64 = 0.05;

/// Zeros between the two ends, so that one does not ring into the other.
const PAD_POINTS: usize = 64;

/// Returns the Hilbert transform by turning each frequency through a quarter.
fn hilbert(values: &[f64]) -> Vec<f64> {
    let length = (values.len() + PAD_POINTS).next_power_of_two();
    let mut buffer: Vec<Complex<f64>> = values.iter().map(|v| Complex::new(*v, 0.0)).collect();
    buffer.resize(length, Complex::new(0.0, 0.0));
    forward(&mut buffer);
    // Positive frequencies are turned back by a quarter, negative ones forward; those that have no sign go.
    let middle = length / 2;
    for value in &mut buffer[1..middle] {
        *value = Complex::new(value.im, -value.re);
    }
    for value in &mut buffer[middle + 1..] {
        *value = Complex::new(-value.im, value.re);
    }
    (buffer[0], buffer[middle]) = (Complex::new(0.0, 0.0), Complex::new(0.0, 0.0));
    inverse(&mut buffer);
    buffer.iter().take(values.len()).map(|v| v.re / length as f64).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    #[test]
    fn what_stands_upwards_is_not_upside_down_whatever_its_cut_off_tops_bend() {
        let with = |side: Option<f64>| {
            let shape = Shape { phase_deg: 177.0, lopsided: 0.9, lopsided_as_is: -0.9, side };
            shape.finding()
        };
        assert_eq!(with(Some(0.9)).id, "band-shape");
        assert_eq!(with(Some(0.9)).severity, Severity::Note);
        for side in [None, Some(0.0), Some(-0.9)] {
            assert_eq!(
                (with(side).id.as_str(), with(side).severity),
                ("inverted", Severity::Unfit)
            );
        }
    }

    #[test]
    fn turns_a_cosine_into_a_sine() {
        // The Hilbert transform of a cosine is a sine; the ends are damped, so that they do not ring.
        let count = 1500;
        let damped = |i: usize| (-((i as f64 - 750.0) / 150.0).powi(2)).exp();
        let turn = |i: usize| 0.3 * i as f64;
        let values: Vec<f64> = (0..count).map(|i| damped(i) * turn(i).cos()).collect();
        for (i, found) in hilbert(&values).into_iter().enumerate() {
            assert!((found - damped(i) * turn(i).sin()).abs() < 1e-6, "{i}: {found}");
        }
    }

    #[test]
    fn curvature_is_that_of_means_and_nought_where_it_is_unsure() {
        let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
        let values: Vec<f64> = axis.iter().map(|x| (x / 37.0).sin() + (x / 11.0).cos()).collect();
        let mut noise = vec![1.0e-3; axis.len()];
        noise[..60].fill(1.0);
        let mut parts = SpectrumParts::new(axis.clone(), values.clone());
        for flags in [Vec::new(), {
            let mut flags = vec![PointFlag::Measured; axis.len()];
            flags[700..705].fill(PointFlag::Saturated);
            flags
        }] {
            parts.flags = flags;
            let spectrum = Spectrum::new(parts.clone()).expect("valid");
            let found = curvature(&spectrum, 2.0, &noise, 1.0);
            // Reach 4 points, means over 5, ends of 15 cm⁻¹.
            let mean = |i: usize| values[i - 2..=i + 2].iter().sum::<f64>() / 5.0;
            for (i, x) in axis.iter().enumerate() {
                let inside = (8..axis.len() - 8).contains(&i);
                let unsure = (1850.0..2700.0).contains(x) || i < 60;
                let blank = !parts.flags.is_empty() && (694..=710).contains(&i);
                let expected = if inside && !unsure && !blank {
                    mean(i) - (mean(i - 4) + mean(i + 4)) / 2.0
                } else {
                    0.0
                };
                assert!((found[i] - expected).abs() < 1e-12, "{i}: {} {expected}", found[i]);
            }
        }
    }
}
