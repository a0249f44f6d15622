//! The noise that intervals and detection limits rest on.

use crate::spectrum::zones::QUIET_CM1;
use crate::spectrum::{Spectrum, rounding_sd, window};

/// Points of the stretch used where none of these was measured.
const FALLBACK_POINTS: usize = 60;
/// Fewer points than this give no noise worth stating.
const LEAST_POINTS: usize = 24;
/// Terms of the cubic that takes slow curvature out of a quiet stretch.
const TERMS: usize = 4;
/// Neighbours followed when points are not independent (zero filling, smoothing).
const MOST_LAGS: usize = 8;
/// A correlation counts when it passes this many of its own standard errors (1/√n).
const LAG_SIGNIFICANCE: f64 = 2.5;

/// Random noise in absorbance, held to be even along the axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Noise {
    standard_deviation: f64,
    autocorrelation: Vec<f64>,
    degrees_of_freedom: f64,
    from: String,
}

impl Noise {
    /// Creates a noise of known size; `autocorrelation` begins with 1 at lag 0.
    #[must_use]
    pub fn known(
        standard_deviation: f64,
        autocorrelation: Vec<f64>,
        degrees_of_freedom: f64,
        from: &str,
    ) -> Self {
        Self { standard_deviation, autocorrelation, degrees_of_freedom, from: from.to_owned() }
    }

    /// Reads the noise of a spectrum from a stretch without bands.
    ///
    /// Where no such stretch was measured, the quietest stretch of 60 points stands in. `None`
    /// where even that is missing. A stretch that is one value over and over has the noise of its rounding.
    #[must_use]
    pub fn of(spectrum: &Spectrum) -> Option<Self> {
        let axis = spectrum.wavenumbers_cm1();
        let stretches = spectrum.segments().iter().map(|at| &spectrum.absorbances()[at.clone()]);
        let rounding = rounding_sd(stretches);
        for (low, high) in QUIET_CM1 {
            if spectrum.covers(low, high)
                && let Some((sd, lags, degrees_of_freedom)) =
                    residuals(spectrum, window(axis, low, high)).as_deref().map(spread)
            {
                let from = format!("{low:.0}–{high:.0} cm⁻¹");
                let noise = Self::known(sd, lags, degrees_of_freedom, &from);
                return Some(noise.at_least(rounding));
            }
        }
        quietest(spectrum, rounding)
    }

    /// Where rounding is more than what was read, neighbours are off by the same: no mean makes it less.
    fn at_least(self, rounding: f64) -> Self {
        if self.standard_deviation >= rounding {
            return self;
        }
        let autocorrelation = vec![1.0; 1 + MOST_LAGS];
        Self { standard_deviation: rounding, autocorrelation, ..self }
    }

    /// Returns one standard deviation in absorbance.
    #[must_use]
    pub fn standard_deviation(&self) -> f64 {
        self.standard_deviation
    }

    /// Returns the correlation of points 0, 1, 2 … steps apart.
    #[must_use]
    pub fn autocorrelation(&self) -> &[f64] {
        &self.autocorrelation
    }

    /// Returns the degrees of freedom of the estimate.
    #[must_use]
    pub fn degrees_of_freedom(&self) -> f64 {
        self.degrees_of_freedom
    }

    /// Returns where it was read, in words.
    #[must_use]
    pub fn from(&self) -> &str {
        &self.from
    }
}

fn quietest(spectrum: &Spectrum, rounding: f64) -> Option<Noise> {
    let axis = spectrum.wavenumbers_cm1();
    let mut best: Option<Noise> = None;
    for segment in spectrum.segments() {
        let mut start = segment.start;
        while start + FALLBACK_POINTS <= segment.end {
            let end = start + FALLBACK_POINTS;
            let (low, high) = (axis[start], axis[end - 1]);
            if spectrum.covers(low, high)
                && let Some((sd, lags, degrees_of_freedom)) =
                    residuals(spectrum, start..end).as_deref().map(spread)
                && best.as_ref().is_none_or(|b| sd.max(rounding) < b.standard_deviation)
            {
                let from = format!("the quietest stretch, {low:.0}–{high:.0} cm⁻¹");
                let noise = Noise::known(sd, lags, degrees_of_freedom, &from);
                best = Some(noise.at_least(rounding));
            }
            start += FALLBACK_POINTS / 2;
        }
    }
    best
}

/// What a cubic leaves over.
fn residuals(spectrum: &Spectrum, range: std::ops::Range<usize>) -> Option<Vec<f64>> {
    if range.len() < LEAST_POINTS {
        return None;
    }
    let (axis, values) = (spectrum.wavenumbers_cm1(), spectrum.absorbances());
    let middle = f64::midpoint(axis[range.start], axis[range.end - 1]);
    let half = (axis[range.end - 1] - axis[range.start]) / 2.0;
    let along = |x: f64| (x - middle) / half;
    let observed = values.get(range.clone())?;
    let fit = crate::linalg::fit_rows(range.len(), TERMS, |row, terms| {
        let x = along(axis[range.start + row]);
        terms.iter_mut().fold(1.0, |power, term| {
            *term = power;
            power * x
        });
        observed[row]
    })
    .ok()?;
    // The noise is read from what is left over, whose last digits no result may take from the processor.
    let scale = observed.iter().fold(0.0_f64, |most, a| most.max(a.abs()));
    let coefficients: Vec<f64> =
        fit.coefficients.iter().map(|c| crate::linalg::settled(*c, scale)).collect();
    let fitted = |x: f64| coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c);
    Some(axis[range].iter().zip(observed).map(|(x, a)| a - fitted(along(*x))).collect())
}

/// Standard deviation, autocorrelation and degrees of freedom of residuals.
fn spread(residuals: &[f64]) -> (f64, Vec<f64>, f64) {
    let n = residuals.len();
    let squares: f64 = residuals.iter().map(|r| r * r).sum();
    let degrees_of_freedom = (n - TERMS) as f64;
    let mut lags = vec![1.0];
    if squares > 0.0 {
        for lag in 1..=MOST_LAGS.min(n / 4) {
            let sum: f64 = residuals.iter().zip(&residuals[lag..]).map(|(a, b)| a * b).sum();
            let correlation = sum / squares * n as f64 / (n - lag) as f64;
            if correlation < LAG_SIGNIFICANCE / (n as f64).sqrt() {
                break;
            }
            lags.push(correlation);
        }
    }
    // Linked points count for less when the noise itself is estimated.
    let linked = lags.iter().skip(1).map(|r| r * r).sum::<f64>();
    (
        (squares / degrees_of_freedom).sqrt(),
        lags,
        (degrees_of_freedom / (1.0 + 2.0 * linked)).max(1.0),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    #[test]
    fn reads_alternating_noise_and_names_the_stretch() {
        let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let values: Vec<f64> =
            (0..1700).map(|i| 0.05 + if i % 2 == 0 { 1e-3 } else { -1e-3 }).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let noise = Noise::of(&spectrum).expect("covered");
        assert!((noise.standard_deviation() - 1e-3).abs() < 5e-5);
        assert_eq!(noise.autocorrelation(), [1.0]);
        assert_eq!(noise.from(), "2450–2600 cm⁻¹");
    }

    #[test]
    fn a_level_stretch_of_few_digits_has_the_noise_of_its_rounding() {
        // Written to three places: 2450 to 2600 cm⁻¹ is one value. Without rounding every difference would be sure.
        let written = |lowest_cm1: f64, count: u32| {
            let axis: Vec<f64> = (0..count).map(|i| lowest_cm1 + 2.0 * f64::from(i)).collect();
            let band = |v: f64| 0.6 / (1.0 + ((v - 1730.0) / 15.0).powi(2));
            let values = axis.iter().map(|v| (band(*v) * 1.0e3).round() / 1.0e3).collect();
            let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
            Noise::of(&spectrum).expect("covered")
        };
        let rounding = 1.0e-3 / 12.0_f64.sqrt();
        let named = written(600.0, 1700);
        assert_eq!(named.from(), "2450–2600 cm⁻¹");
        assert!((named.standard_deviation() - rounding).abs() < 1.0e-9, "{named:?}");
        assert!(named.autocorrelation().iter().all(|r| *r == 1.0), "the same error at each point");
        assert!(named.autocorrelation().len() > 1);
        // The same where none of the quiet stretches was measured.
        let cut = written(600.0, 600);
        assert!(cut.from().starts_with("the quietest"), "{cut:?}");
        assert!(cut.standard_deviation() >= rounding - 1.0e-9, "{cut:?}");
    }

    #[test]
    fn falls_back_to_the_quietest_stretch() {
        let axis: Vec<f64> = (0..500).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let values: Vec<f64> = axis.iter().map(|v| (v / 30.0).sin()).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        assert!(Noise::of(&spectrum).expect("covered").from().starts_with("the quietest"));
    }

    #[test]
    fn says_nothing_of_a_few_points() {
        let axis: Vec<f64> = (0..20).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, vec![0.0; 20])).expect("valid");
        assert_eq!(Noise::of(&spectrum), None);
    }

    #[test]
    fn a_quiet_stretch_of_few_points_is_passed_over() {
        // Every 10 cm⁻¹: sixteen points from 2450 to 2600.
        let axis: Vec<f64> = (0..340).map(|i| 600.0 + 10.0 * f64::from(i)).collect();
        let values = (0..340).map(|i| if i % 2 == 0 { 1e-3 } else { -1e-3 }).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let noise = Noise::of(&spectrum).expect("covered");
        assert!(noise.from().starts_with("the quietest stretch"), "{}", noise.from());
    }
}
