//! The noise per point, for what is picked and judged after preparing.

use crate::fitness::NoiseProfile;
use crate::spectrum::Spectrum;

/// Returns one standard deviation of the measured noise at each point, before any smoothing.
///
/// Smoothing lowers the noise but not what it hides: a band is held against the noise as measured.
#[must_use]
pub fn noise_per_point(spectrum: &Spectrum) -> Vec<f64> {
    NoiseProfile::of(spectrum).at_points(spectrum)
}
