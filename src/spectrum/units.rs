//! The only conversions between the units a spectrum file may use.

/// Micrometres in a centimetre: 10 000, so that ν̃ / cm⁻¹ = 10 000 / (λ / µm).
const UM_PER_CM: f64 = 1.0e4;

/// Nanometres in a centimetre.
const NM_PER_CM: f64 = 1.0e7;

/// The smallest transmittance a logarithm is taken of; it stands for A = 6, far past any instrument's range.
pub const LEAST_TRANSMITTANCE: f64 = 1.0e-6;

/// Returns the wavenumber in cm⁻¹ of a wavelength in micrometres.
///
/// Zero gives infinity; the caller refuses it.
///
/// ```
/// assert_eq!(bandlore::spectrum::wavenumber_from_micrometres(10.0), 1000.0);
/// ```
#[must_use]
pub fn wavenumber_from_micrometres(wavelength_um: f64) -> f64 {
    UM_PER_CM / wavelength_um
}

/// Returns the wavenumber in cm⁻¹ of a wavelength in nanometres.
#[must_use]
pub fn wavenumber_from_nanometres(wavelength_nm: f64) -> f64 {
    NM_PER_CM / wavelength_nm
}

/// Returns the decadic absorbance of a transmittance given as a fraction.
///
/// Values at or below zero have no logarithm; they are read as [`LEAST_TRANSMITTANCE`] and the
/// caller flags them as saturated.
///
/// ```
/// assert!((bandlore::spectrum::absorbance_from_transmittance(0.1) - 1.0).abs() < 1e-15);
/// ```
#[must_use]
pub fn absorbance_from_transmittance(transmittance: f64) -> f64 {
    -transmittance.max(LEAST_TRANSMITTANCE).log10()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn converts_wavelengths() {
        assert_eq!(wavenumber_from_micrometres(2.5), 4000.0);
        assert_eq!(wavenumber_from_nanometres(2500.0), 4000.0);
    }

    #[test]
    fn converts_transmittance_there_and_back() {
        for absorbance in [0.0, 0.3, 1.0, 2.5] {
            let there = 10f64.powf(-absorbance);
            assert!((absorbance_from_transmittance(there) - absorbance).abs() < 1e-12);
        }
    }

    #[test]
    fn keeps_dark_points_finite() {
        assert_eq!(absorbance_from_transmittance(0.0), 6.0);
        assert_eq!(absorbance_from_transmittance(-0.2), 6.0);
    }
}
