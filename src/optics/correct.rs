//! Makes heights of an ATR spectrum comparable with transmission literature.

use serde::{Deserialize, Serialize};

use super::element::{Element, Error};
use super::penetration_depth_um;
use crate::spectrum::{MeasurementMode, Spectrum, Step};

/// The wavenumber in cm⁻¹ whose heights are left as they are; a plain choice in mid range.
const KEPT_CM1: f64 = 1000.0;

/// How heights are corrected.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "method", rename_all = "kebab-case")]
pub enum Correction {
    /// Multiplies by the wavenumber over 1000 cm⁻¹: the depth grows with the wavelength.
    Simple,
    /// Divides by the depth for a sample whose index changes across its bands.
    ///
    /// The change of the index is the Kramers–Kronig transform of the corrected heights, scaled
    /// by the element's geometry; positions of strong bands move up as they do in transmission.
    IndexAware {
        /// Refractive index of the sample between its bands.
        sample_index: f64,
        /// The element it was measured on.
        element: Element,
    },
}

/// Returns an ATR spectrum with heights, and in the index-aware form positions, nearer to transmission.
///
/// For comparison only: no table row is meant for it. Heights at 1000 cm⁻¹ stay.
///
/// # Errors
///
/// Settings past the critical index or out of range are refused. A spectrum that was not measured in
/// ATR comes back unchanged.
pub fn correct_for_transmission(
    spectrum: &Spectrum,
    correction: Correction,
) -> Result<Spectrum, Error> {
    if spectrum.mode() != MeasurementMode::Atr {
        return Ok(spectrum.clone());
    }
    let (values, step) = match correction {
        Correction::Simple => (simple(spectrum), Step::new("correct for depth")),
        Correction::IndexAware { sample_index, element } => (
            index_aware(spectrum, sample_index, element)?,
            Step::new("correct for depth and index")
                .with("sample_index", sample_index)
                .with("crystal_index", element.crystal_index)
                .with("angle_deg", element.angle_deg),
        ),
    };
    // Finite heights at positive wavenumbers stay finite, so the spectrum takes them.
    Ok(spectrum.clone().with_absorbances(values, step).unwrap_or_else(|_| spectrum.clone()))
}

fn simple(spectrum: &Spectrum) -> Vec<f64> {
    let pairs = spectrum.wavenumbers_cm1().iter().zip(spectrum.absorbances());
    pairs.map(|(wavenumber, a)| a * wavenumber / KEPT_CM1).collect()
}

/// Solves the weak-absorber relation A = (log10 e) · 4π ν k · dₑ(n) for k, with n from k.
fn index_aware(spectrum: &Spectrum, n0: f64, element: Element) -> Result<Vec<f64>, Error> {
    // Refuses impossible settings before any work.
    penetration_depth_um(element.crystal_index, element.angle_deg, n0, KEPT_CM1)?;
    let axis = spectrum.wavenumbers_cm1();
    let mut n = vec![n0; axis.len()];
    let mut k = vec![0.0; axis.len()];
    // The index changes little; three rounds bring it to rest within a thousandth.
    for _ in 0..3 {
        for (i, absorbance) in spectrum.absorbances().iter().enumerate() {
            k[i] = absorption_index(*absorbance, n[i], element);
        }
        n = kramers_kronig(axis, &k, n0);
    }
    let scale = absorption_to_height(n0, element);
    Ok(k.iter().zip(axis).map(|(k, wavenumber)| k * scale * wavenumber / KEPT_CM1).collect())
}

/// Finds the k that gives this absorbance at this n, by halving.
fn absorption_index(absorbance: f64, n: f64, element: Element) -> f64 {
    let shown = |k: f64| {
        super::attenuated_reflectance(element, n, k).map_or(0.0, |found| found.absorbance())
    };
    let ground = shown(0.0);
    let (mut low, mut high) = (0.0, 1.5);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if shown(middle) - ground < absorbance { low = middle } else { high = middle }
    }
    low
}

/// Height per unit of k for a weak absorber between its bands.
fn absorption_to_height(n0: f64, element: Element) -> f64 {
    const SMALL: f64 = 1.0e-4;
    super::attenuated_reflectance(element, n0, SMALL)
        .map_or(1.0, |found| found.absorbance() / SMALL)
}

/// n(ν) = n0 + (2/π) ∫ ν′ k(ν′) / (ν′² − ν²) dν′, leaving out the point itself (its two halves cancel).
fn kramers_kronig(axis: &[f64], k: &[f64], n0: f64) -> Vec<f64> {
    let steps: Vec<f64> = (0..axis.len())
        .map(|i| {
            let before = axis[i.saturating_sub(1)];
            let after = axis[(i + 1).min(axis.len() - 1)];
            (after - before) / 2.0
        })
        .collect();
    axis.iter()
        .enumerate()
        .map(|(i, at)| {
            let sum: f64 = (0..axis.len())
                .filter(|j| *j != i)
                .map(|j| axis[j] * k[j] * steps[j] / (axis[j] * axis[j] - at * at))
                .sum();
            (n0 + 2.0 / std::f64::consts::PI * sum).max(1.0)
        })
        .collect()
}
