//! Single-bounce reflection at the face of an internal reflection element.

use super::element::{Element, Error};
use rustfft::num_complex::Complex;

/// The share of light that comes back, by polarisation.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
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
