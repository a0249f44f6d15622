//! What an air gap between crystal and sample does to a spectrum.

use rustfft::num_complex::Complex;

use super::element::{Element, Error};
use super::fresnel::{Reflectance, amplitudes, complex_index, normal};

/// Returns the reflectance where an even air gap parts the sample from the crystal.
///
/// Three layers with the Airy sum of all echoes in the gap (any textbook of optics). The evanescent
/// wave decays across the gap, and sooner the shorter its wavelength: a poor contact weakens all
/// bands, and those at high wavenumbers most.
///
/// ```
/// use bandlore::optics::{Element, attenuated_reflectance, reflectance_with_gap};
///
/// let touching = attenuated_reflectance(Element::DIAMOND_45, 1.5, 0.1)?;
/// let shut = reflectance_with_gap(Element::DIAMOND_45, 1.5, 0.1, 0.0, 1700.0)?;
/// assert!((touching.absorbance() - shut.absorbance()).abs() < 1e-12);
/// let apart = reflectance_with_gap(Element::DIAMOND_45, 1.5, 0.1, 0.5, 1700.0)?;
/// assert!(apart.absorbance() < touching.absorbance() / 4.0);
/// # Ok::<(), bandlore::optics::Error>(())
/// ```
///
/// # Errors
///
/// As [`super::attenuated_reflectance`]; a negative gap and a wavenumber that is not positive are
/// refused.
pub fn reflectance_with_gap(
    element: Element,
    sample_index: f64,
    sample_k: f64,
    gap_um: f64,
    wavenumber_cm1: f64,
) -> Result<Reflectance, Error> {
    let element = element.check()?;
    let sample = complex_index(sample_index, sample_k)?;
    for (name, found, allowed) in [
        ("gap_um", gap_um, gap_um >= 0.0),
        ("wavenumber_cm1", wavenumber_cm1, wavenumber_cm1 > 0.0),
    ] {
        if !allowed || !found.is_finite() {
            return Err(Error::Setting { name, found, expected: "it must not be negative" });
        }
    }
    let crystal = Complex::new(element.crystal_index, 0.0);
    let air = Complex::new(1.0, 0.0);
    let along = element.crystal_index * element.angle_deg.to_radians().sin();
    let (s01, p01) = amplitudes(crystal, air, along);
    let (s12, p12) = amplitudes(air, sample, along);
    // Wavenumber times gap is the gap in vacuum wavelengths: 1 cm⁻¹ · 1 µm = 1e-4.
    let path = 2.0 * std::f64::consts::PI * wavenumber_cm1 * gap_um * 1.0e-4;
    let there_and_back = (Complex::new(0.0, 2.0 * path) * normal(air, along)).exp();
    let airy = |near: Complex<f64>, far: Complex<f64>| {
        let echo = far * there_and_back;
        ((near + echo) / (Complex::new(1.0, 0.0) + near * echo)).norm_sqr()
    };
    Ok(Reflectance { s: airy(s01, s12), p: airy(p01, p12) })
}
