//! What is done to a measured spectrum before its bands are picked.

use std::sync::OnceLock;

use super::baseline::{ASYMMETRY, HALF_LENGTH_CM1, under};
use super::{Error, Polynomial, differentiate, smooth};
use crate::fitness::NoiseProfile;
use crate::spectrum::zones::CARBON_DIOXIDE_CM1;
use crate::spectrum::{Spectrum, Step};

/// By what absorbances are smoothed: below the 8–12 cm⁻¹ that the narrow bands of polymers measure at
/// half height, so that a cubic lowers them by a few per cent at most (own choice).
const SMOOTHING: Polynomial = Polynomial { width_cm1: 12.0, order: 3 };

/// By what derivatives are read: noise grows with the second derivative, so it is wider.
const DERIVATIVES: Polynomial = Polynomial { width_cm1: 18.0, order: 3 };

/// The settings, to be named beside what was prepared and kept.
pub(crate) fn settings() -> String {
    format!("{SMOOTHING:?} {DERIVATIVES:?} {HALF_LENGTH_CM1} {ASYMMETRY}")
}

/// Leaves the stretch of carbon dioxide out, smooths by a cubic over 12 cm⁻¹ and subtracts an asymmetric
/// least-squares baseline with a half length of 1200 cm⁻¹; each is recorded in the spectrum's history.
///
/// Noise and derivatives belong to the values before smoothing and baseline.
///
/// ```
/// use bandlore::{Spectrum, prepare::prepare, spectrum::SpectrumParts};
///
/// let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
/// let band = |x: f64| 0.3 / (1.0 + ((x - 1730.0) / 9.0).powi(2));
/// let absorbances = axis.iter().map(|x| 0.05 + band(*x)).collect();
/// let spectrum = Spectrum::new(SpectrumParts::new(axis, absorbances))?;
/// let prepared = prepare(&spectrum)?;
/// let top = prepared.spectrum().absorbance_at(1730.0);
/// assert!(top.is_some_and(|a| (a - 0.3).abs() < 0.02));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
///
/// Values so large that what comes of them is no number.
pub fn prepare(spectrum: &Spectrum) -> Result<Prepared, Error> {
    prepare_with(spectrum, &NoiseProfile::of(spectrum))
}

/// As [`prepare`], with the noise of the spectrum where it was measured already.
pub(crate) fn prepare_with(spectrum: &Spectrum, noise: &NoiseProfile) -> Result<Prepared, Error> {
    let (low_cm1, high_cm1) = CARBON_DIOXIDE_CM1;
    let masked = spectrum.clone().with_mask(low_cm1, high_cm1, "carbon dioxide in the air");
    let step = Step::new("smooth")
        .with("width_cm1", SMOOTHING.width_cm1)
        .with("order", SMOOTHING.order)
        .with("points", SMOOTHING.points(masked.spacing_cm1()));
    let smoothed = masked.clone().with_absorbances(smooth(&masked, SMOOTHING)?, step)?;
    let baseline = under(&smoothed);
    let above = smoothed.absorbances().iter().zip(&baseline).map(|(a, b)| a - b).collect();
    let step = Step::new("subtract baseline")
        .with("method", "asymmetric least squares")
        .with("half_length_cm1", HALF_LENGTH_CM1)
        .with("asymmetry", ASYMMETRY);
    Ok(Prepared {
        second_derivative: differentiate(&masked, DERIVATIVES, 2)?,
        first_derivative: Later::default(),
        noise_sd: noise.at_points(&masked),
        spectrum: smoothed.with_absorbances(above, step)?,
        baseline,
        masked,
    })
}

/// A spectrum ready to be picked and judged, with what belongs to each point.
#[derive(Clone, Debug, PartialEq)]
pub struct Prepared {
    spectrum: Spectrum,
    baseline: Vec<f64>,
    second_derivative: Vec<f64>,
    noise_sd: Vec<f64>,
    /// What derivatives are read from.
    masked: Spectrum,
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
            differentiate(&self.masked, DERIVATIVES, 1)
                .unwrap_or_else(|_| vec![0.0; self.masked.len()])
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
