//! How deep the evanescent wave reaches into the sample.

use super::element::{Element, Error, at_least_one};

/// Refractive index of the air in a gap.
const INDEX_OF_AIR: f64 = 1.0;

impl Element {
    /// Returns the depth in micrometres at which the field in an air gap has fallen to 1/e, after
    /// Harrick 1967, Internal Reflection Spectroscopy, with air as the rarer medium.
    ///
    /// `None` where the light is not totally reflected.
    #[must_use]
    pub fn depth_in_air_um(&self, wavenumber_cm1: f64) -> Option<f64> {
        penetration_depth_um(self.crystal_index, self.angle_deg, INDEX_OF_AIR, wavenumber_cm1).ok()
    }

    /// Returns what one micrometre of gap takes off the natural logarithm of a band's height.
    #[must_use]
    pub fn loss_per_um(&self, wavenumber_cm1: f64) -> Option<f64> {
        self.depth_in_air_um(wavenumber_cm1).map(|depth| 2.0 / depth)
    }
}

/// Micrometres in a centimetre.
const UM_PER_CM: f64 = 1.0e4;

/// Returns the depth in µm at which the field of the evanescent wave has fallen to 1/e.
///
/// After Harrick 1967, Internal Reflection Spectroscopy: λ / (2π n₁ √(sin²θ − (n₂/n₁)²)), with the
/// wavelength in vacuum, for a sample that absorbs weakly.
///
/// ```
/// let depth_um = bandlore::optics::penetration_depth_um(2.4, 45.0, 1.5, 1000.0)?;
/// assert!((depth_um - 2.0052).abs() < 1e-4);
/// # Ok::<(), bandlore::optics::Error>(())
/// ```
///
/// # Errors
///
/// At and past the critical angle there is no such depth. Indices below 1, angles outside 0–90° and
/// wavenumbers that are not positive are refused.
pub fn penetration_depth_um(
    crystal_index: f64,
    angle_deg: f64,
    sample_index: f64,
    wavenumber_cm1: f64,
) -> Result<f64, Error> {
    Element { crystal_index, angle_deg }.check()?;
    at_least_one("sample_index", sample_index)?;
    if !(wavenumber_cm1 > 0.0 && wavenumber_cm1.is_finite()) {
        return Err(Error::Setting {
            name: "wavenumber_cm1",
            found: wavenumber_cm1,
            expected: "it must be a positive number of cm⁻¹",
        });
    }
    let sine = angle_deg.to_radians().sin();
    let under_root = sine * sine - (sample_index / crystal_index).powi(2);
    if under_root <= 0.0 {
        return Err(Error::PastCritical {
            crystal_index,
            angle_deg,
            sample_index,
            critical_index: crystal_index * sine,
        });
    }
    let wavelength_um = UM_PER_CM / wavenumber_cm1;
    Ok(wavelength_um / (2.0 * std::f64::consts::PI * crystal_index * under_root.sqrt()))
}

/// Returns the angle of incidence, in degrees from the normal, past which reflection is total.
///
/// # Errors
///
/// Indices below 1 are refused, and so is a sample whose index is not below the crystal's.
pub fn critical_angle_deg(crystal_index: f64, sample_index: f64) -> Result<f64, Error> {
    at_least_one("crystal_index", crystal_index)?;
    at_least_one("sample_index", sample_index)?;
    if sample_index >= crystal_index {
        return Err(Error::PastCritical {
            crystal_index,
            angle_deg: 90.0,
            sample_index,
            critical_index: crystal_index,
        });
    }
    Ok((sample_index / crystal_index).asin().to_degrees())
}

/// Returns the sample index at which total reflection ends.
///
/// # Errors
///
/// A crystal index below 1 and an angle outside 0–90° are refused.
pub fn critical_index(crystal_index: f64, angle_deg: f64) -> Result<f64, Error> {
    let element = Element { crystal_index, angle_deg }.check()?;
    Ok(element.crystal_index * element.angle_deg.to_radians().sin())
}
