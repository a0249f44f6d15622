//! Single-bounce reflection at the face of an internal reflection element.

use rustfft::num_complex::Complex;
use serde::{Deserialize, Serialize};

use super::penetration_depth_um;

/// Refractive index of the air in a gap.
const INDEX_OF_AIR: f64 = 1.0;

/// Why no reflectance or depth can be given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// There is no total reflection: light enters the sample.
    #[error(
        "no total reflection: at {angle_deg}° a crystal of index {crystal_index} reflects totally \
         only below a sample index of {critical_index:.4}, and the sample has {sample_index}; use \
         a crystal of higher index or a flatter angle"
    )]
    PastCritical {
        /// Refractive index of the crystal.
        crystal_index: f64,
        /// Angle of incidence from the normal, in degrees.
        angle_deg: f64,
        /// Refractive index of the sample.
        sample_index: f64,
        /// The sample index at which total reflection ends.
        critical_index: f64,
    },
    /// An index, an angle, a wavenumber or a gap that nothing can have.
    #[error("{name} is {found}; {expected}")]
    Setting {
        /// The setting's name.
        name: &'static str,
        /// Its value.
        found: f64,
        /// What it must be.
        expected: &'static str,
    },
}

/// An internal reflection element used with one bounce.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Element {
    /// Refractive index of the crystal.
    pub crystal_index: f64,
    /// Angle of incidence from the normal, in degrees.
    pub angle_deg: f64,
}

impl Element {
    /// Diamond (index 2.4) at 45°, the usual single-bounce element (common practice, no source).
    pub const DIAMOND_45: Self = Self { crystal_index: 2.4, angle_deg: 45.0 };

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

    pub(super) fn check(self) -> Result<Self, Error> {
        at_least_one("crystal_index", self.crystal_index)?;
        if !(self.angle_deg > 0.0 && self.angle_deg < 90.0) {
            return Err(Error::Setting {
                name: "angle_deg",
                found: self.angle_deg,
                expected: "it must lie between 0° (along the normal) and 90° (along the face)",
            });
        }
        Ok(self)
    }
}

/// Refuses a refractive index below that of vacuum, and what is no number.
pub(super) fn at_least_one(name: &'static str, index: f64) -> Result<(), Error> {
    if index >= 1.0 && index.is_finite() {
        return Ok(());
    }
    Err(Error::Setting { name, found: index, expected: "a refractive index is at least 1" })
}

/// The share of light that comes back, by polarisation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reflectance {
    /// With the electric field across the plane of incidence.
    pub s: f64,
    /// With the electric field in the plane of incidence.
    pub p: f64,
}

impl Reflectance {
    /// Returns the reflectance of unpolarised light, the mean of both.
    #[must_use]
    pub fn unpolarised(&self) -> f64 {
        f64::midpoint(self.s, self.p)
    }

    /// Returns the absorbance that an ATR spectrum of unpolarised light shows: −log10 R.
    #[must_use]
    pub fn absorbance(&self) -> f64 {
        -self.unpolarised().log10()
    }
}

/// Returns the reflectance of a crystal's face under a sample of complex index n + i k.
///
/// From the Fresnel equations (any textbook of optics); with k = 0 and past the critical angle both
/// are 1. Past the critical index light enters the sample and the reflectance falls: it is given all
/// the same, since strong bands pass through there.
///
/// ```
/// use bandlore::optics::{Element, attenuated_reflectance};
///
/// let found = attenuated_reflectance(Element::DIAMOND_45, 1.5, 0.1)?;
/// assert!((found.absorbance() - 0.221051).abs() < 1e-6);
/// # Ok::<(), bandlore::optics::Error>(())
/// ```
///
/// # Errors
///
/// A crystal index below 1, a sample index at or below 0, a negative k, an angle outside 0–90° and
/// values that are not finite are refused.
pub fn attenuated_reflectance(
    element: Element,
    sample_index: f64,
    sample_k: f64,
) -> Result<Reflectance, Error> {
    let element = element.check()?;
    let sample = complex_index(sample_index, sample_k)?;
    let (s, p) = amplitudes(
        Complex::new(element.crystal_index, 0.0),
        sample,
        element.crystal_index * element.angle_deg.to_radians().sin(),
    );
    Ok(Reflectance { s: s.norm_sqr(), p: p.norm_sqr() })
}

/// Checks and joins n and k. The real part may fall below 1 at the flank of a strong band.
pub(super) fn complex_index(n: f64, k: f64) -> Result<Complex<f64>, Error> {
    if !(n > 0.0 && n.is_finite()) {
        return Err(Error::Setting {
            name: "sample_index",
            found: n,
            expected: "a refractive index is above 0",
        });
    }
    if !(k >= 0.0 && k.is_finite()) {
        return Err(Error::Setting {
            name: "sample_k",
            found: k,
            expected: "an absorption index is not below 0",
        });
    }
    Ok(Complex::new(n, k))
}

/// The normal component of the wave in a medium, in units of the vacuum wavenumber.
///
/// Of the two roots the one that decays away from the face is taken.
pub(super) fn normal(index: Complex<f64>, along: f64) -> Complex<f64> {
    let root = (index * index - along * along).sqrt();
    if root.im < 0.0 { -root } else { root }
}

/// Amplitudes reflected at the face between two media; `along` is n sin θ, the same in both.
pub(super) fn amplitudes(
    from: Complex<f64>,
    to: Complex<f64>,
    along: f64,
) -> (Complex<f64>, Complex<f64>) {
    let (a, b) = (normal(from, along), normal(to, along));
    let (square_from, square_to) = (from * from, to * to);
    let s = (a - b) / (a + b);
    let p = (square_to * a - square_from * b) / (square_to * a + square_from * b);
    (s, p)
}
