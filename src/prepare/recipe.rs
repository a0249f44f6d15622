//! A recipe is data: the ordered steps that turn a measured spectrum into a prepared one.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use super::{Baseline, Error, Mask, Normalise, Polynomial, differentiate, resample, smooth};
use crate::fitness::NoiseProfile;
use crate::spectrum::{Spectrum, Step};

/// Width of the smoothing window in cm⁻¹: below the 8–12 cm⁻¹ that the narrow bands of polymers
/// measure at half height, so that a cubic lowers them by a few per cent at most (own choice).
const SMOOTHING_WIDTH_CM1: f64 = 12.0;

/// Width of the window for derivatives in cm⁻¹: noise grows with the second derivative, so it is wider.
const DERIVATIVE_WIDTH_CM1: f64 = 18.0;

/// Order of both polynomials.
const ORDER: usize = 3;

/// Waves of this length pass into the baseline at half height: three times the width of a
/// hydrogen-bonded O–H band, so that this band stays (own choice).
const BASELINE_HALF_LENGTH_CM1: f64 = 1200.0;

/// Weight of a point above the baseline: of 0.001 and 0.01 at six half lengths, the pair that came
/// nearest to the known baseline of a synthetic spectrum (0.001 to 0.1 is common practice).
const BASELINE_ASYMMETRY: f64 = 0.01;

/// One step of a recipe.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "step", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum RecipeStep {
    /// Leaves a stretch out of every judgement.
    Mask(Mask),
    /// Smooths by a local polynomial.
    Smooth(Polynomial),
    /// Subtracts a baseline.
    SubtractBaseline(Baseline),
    /// Brings the spectrum to a common scale.
    Normalise(Normalise),
    /// Moves to an even grid, never finer than measured.
    Resample {
        /// Spacing in cm⁻¹.
        spacing_cm1: f64,
    },
}

/// Ordered steps with their settings, and the window that derivatives are taken with.
///
/// The default masks the stretch of carbon dioxide, smooths by a cubic over 12 cm⁻¹ and subtracts
/// an asymmetric least-squares baseline with a half length of 1200 cm⁻¹.
///
/// ```
/// use bandlore::{Spectrum, prepare::Recipe, spectrum::SpectrumParts};
///
/// let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
/// let band = |x: f64| 0.3 / (1.0 + ((x - 1730.0) / 9.0).powi(2));
/// let absorbances = axis.iter().map(|x| 0.05 + band(*x)).collect();
/// let spectrum = Spectrum::new(SpectrumParts::new(axis, absorbances))?;
/// let prepared = Recipe::default().apply(&spectrum)?;
/// let top = prepared.spectrum().absorbance_at(1730.0);
/// assert!(top.is_some_and(|a| (a - 0.3).abs() < 0.02));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Recipe {
    /// The steps in the order they are applied.
    pub steps: Vec<RecipeStep>,
    /// The local polynomial that derivatives are read from. They are taken before any smoothing or
    /// baseline, from the values as measured and masked.
    pub derivatives: Polynomial,
}

impl Default for Recipe {
    fn default() -> Self {
        Self {
            steps: vec![
                RecipeStep::Mask(Mask::CarbonDioxide),
                RecipeStep::Smooth(Polynomial { width_cm1: SMOOTHING_WIDTH_CM1, order: ORDER }),
                RecipeStep::SubtractBaseline(Baseline::AsymmetricLeastSquares {
                    half_length_cm1: BASELINE_HALF_LENGTH_CM1,
                    asymmetry: BASELINE_ASYMMETRY,
                }),
            ],
            derivatives: Polynomial { width_cm1: DERIVATIVE_WIDTH_CM1, order: ORDER },
        }
    }
}

impl Recipe {
    /// Sets the steps, in the order they are applied.
    #[must_use]
    pub fn with_steps(self, steps: Vec<RecipeStep>) -> Self {
        Self { steps, ..self }
    }

    /// Sets the local polynomial that derivatives are read from.
    #[must_use]
    pub fn with_derivatives(self, derivatives: Polynomial) -> Self {
        Self { derivatives, ..self }
    }
}

impl Recipe {
    /// Applies the steps in order and records each in the spectrum's history.
    ///
    /// Noise and derivatives belong to the values before smoothing and baseline, on the final grid
    /// and scale.
    ///
    /// # Errors
    ///
    /// Settings out of range, and steps that leave no spectrum.
    pub fn apply(&self, spectrum: &Spectrum) -> Result<Prepared, Error> {
        self.apply_with(spectrum, None)
    }

    /// As [`Recipe::apply`]; the noise of the spectrum, where it was measured already, is not measured anew.
    pub(crate) fn apply_with(
        &self,
        spectrum: &Spectrum,
        noise: Option<&NoiseProfile>,
    ) -> Result<Prepared, Error> {
        let mut current = spectrum.clone();
        // What noise and derivatives are read from: every step but smoothing and baseline.
        let mut plain = spectrum.clone();
        let mut baseline = vec![0.0; spectrum.len()];
        for step in &self.steps {
            match step {
                RecipeStep::Mask(mask) => {
                    current = mask.apply(current);
                    plain = mask.apply(plain);
                }
                RecipeStep::Smooth(polynomial) => {
                    let smoothed = smooth(&current, *polynomial)?;
                    let step = Step::new("smooth")
                        .with("width_cm1", polynomial.width_cm1)
                        .with("order", polynomial.order)
                        .with("points", polynomial.points(current.spacing_cm1()));
                    current = current.with_absorbances(smoothed, step)?;
                }
                RecipeStep::SubtractBaseline(method) => {
                    let under = method.under(&current)?;
                    let above =
                        current.absorbances().iter().zip(&under).map(|(a, b)| a - b).collect();
                    for (total, part) in baseline.iter_mut().zip(&under) {
                        *total += part;
                    }
                    current = current.with_absorbances(above, baseline_step(method))?;
                }
                RecipeStep::Normalise(normalise) => {
                    let before = highest(&current);
                    current = normalise.apply(current)?;
                    let factor = if before > 0.0 { highest(&current) / before } else { 1.0 };
                    let scaled = plain.absorbances().iter().map(|a| a * factor).collect();
                    plain = plain.with_absorbances(scaled, Step::new("normalise"))?;
                    baseline.iter_mut().for_each(|b| *b *= factor);
                }
                RecipeStep::Resample { spacing_cm1 } => {
                    let carried = current.clone().with_absorbances(baseline, Step::new("carry"))?;
                    current = resample(&current, *spacing_cm1)?;
                    plain = resample(&plain, *spacing_cm1)?;
                    baseline = resample(&carried, *spacing_cm1)?.absorbances().to_vec();
                }
            }
        }
        // Masks, smoothing and baselines leave the values that noise is read from as they were.
        let as_measured = |step: &RecipeStep| {
            !matches!(step, RecipeStep::Normalise(_) | RecipeStep::Resample { .. })
        };
        let noise_sd = match noise.filter(|_| self.steps.iter().all(as_measured)) {
            Some(noise) => noise.at_points(&plain),
            None => NoiseProfile::of(&plain).at_points(&plain),
        };
        Ok(Prepared {
            second_derivative: differentiate(&plain, self.derivatives, 2)?,
            first_derivative: Later::default(),
            noise_sd,
            spectrum: current,
            baseline,
            plain,
            derivatives: self.derivatives,
        })
    }
}

fn highest(spectrum: &Spectrum) -> f64 {
    spectrum.absorbances().iter().copied().fold(0.0, f64::max)
}

fn baseline_step(method: &Baseline) -> Step {
    let step = Step::new("subtract baseline");
    match *method {
        Baseline::AsymmetricLeastSquares { half_length_cm1, asymmetry } => step
            .with("method", "asymmetric least squares")
            .with("half_length_cm1", half_length_cm1)
            .with("asymmetry", asymmetry),
        Baseline::ReweightedLeastSquares { half_length_cm1 } => {
            step.with("method", "reweighted least squares").with("half_length_cm1", half_length_cm1)
        }
        Baseline::ConvexHull => step.with("method", "convex hull"),
    }
}

/// A spectrum ready to be picked and judged, with what belongs to each point.
#[derive(Clone, Debug, PartialEq)]
pub struct Prepared {
    spectrum: Spectrum,
    baseline: Vec<f64>,
    second_derivative: Vec<f64>,
    noise_sd: Vec<f64>,
    /// What derivatives are read from, and by which polynomial.
    plain: Spectrum,
    derivatives: Polynomial,
    first_derivative: Later,
}

/// A list made when it is first asked for: of a batch without references nobody asks for first derivatives.
#[derive(Clone, Debug, Default)]
struct Later(OnceLock<Vec<f64>>);

impl PartialEq for Later {
    /// What it is made from is compared; whether it was asked for makes no difference.
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Prepared {
    /// Returns the smoothed spectrum above its baseline, with the history of the steps.
    #[must_use]
    pub fn spectrum(&self) -> &Spectrum {
        &self.spectrum
    }

    /// Returns the subtracted baseline at each point, as absorbance.
    #[must_use]
    pub fn baseline(&self) -> &[f64] {
        &self.baseline
    }

    /// Returns the first derivative per cm⁻¹ at each point.
    #[must_use]
    pub fn first_derivative(&self) -> &[f64] {
        self.first_derivative.0.get_or_init(|| {
            // A polynomial that carried the second derivative carries the first.
            differentiate(&self.plain, self.derivatives, 1)
                .unwrap_or_else(|_| vec![0.0; self.plain.len()])
        })
    }

    /// Returns the second derivative per (cm⁻¹)² at each point; it is negative at a band.
    #[must_use]
    pub fn second_derivative(&self) -> &[f64] {
        &self.second_derivative
    }

    /// Returns one standard deviation of the noise at each point, as measured before smoothing.
    #[must_use]
    pub fn noise_sd(&self) -> &[f64] {
        &self.noise_sd
    }

    /// Returns the noise at the point nearest to a wavenumber in cm⁻¹.
    #[must_use]
    pub fn noise_sd_at(&self, wavenumber_cm1: f64) -> f64 {
        crate::spectrum::nearest_index(self.spectrum.wavenumbers_cm1(), wavenumber_cm1)
            .and_then(|i| self.noise_sd.get(i))
            .copied()
            .unwrap_or(f64::INFINITY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    #[test]
    fn takes_noise_that_was_measured_already_only_where_it_is_the_same() {
        let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let mut state = 3_u64;
        let absorbances = axis.iter().map(|x| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_041);
            let noise = 1.0e-3 * ((state >> 40) as f64 / 2f64.powi(24) - 0.5);
            0.3 / (1.0 + ((x - 1730.0) / 9.0).powi(2)) + noise * (x / 1000.0)
        });
        let parts = SpectrumParts::new(axis.clone(), absorbances.collect());
        let spectrum = Spectrum::new(parts).expect("valid");
        let noise = NoiseProfile::of(&spectrum);
        let resampled =
            Recipe { steps: vec![RecipeStep::Resample { spacing_cm1: 4.0 }], ..Recipe::default() };
        for recipe in [Recipe::default(), resampled] {
            let anew = recipe.apply(&spectrum).expect("prepared");
            assert_eq!(recipe.apply_with(&spectrum, Some(&noise)), Ok(anew));
        }
    }
}
