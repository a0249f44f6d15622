//! One spectrum as rules and matching read it.

use std::sync::OnceLock;

use crate::fitness;
use crate::peaks::Peaks;
use crate::prepare::Prepared;
use crate::spectrum::{MeasurementMode, Spectrum};
use crate::tables::Window;

/// A spectrum with everything that questions are asked of.
#[derive(Clone, Debug)]
pub struct Observed<'a> {
    measured: &'a Spectrum,
    prepared: &'a Prepared,
    peaks: &'a Peaks,
    ripple: f64,
    /// Found when it is first asked for: few rules look at so narrow a stretch that it matters.
    resolution_cm1: OnceLock<Option<f64>>,
}

impl<'a> Observed<'a> {
    /// Brings a spectrum, its prepared form and its peaks together.
    #[must_use]
    pub const fn new(measured: &'a Spectrum, prepared: &'a Prepared, peaks: &'a Peaks) -> Self {
        Self { measured, prepared, peaks, ripple: 0.0, resolution_cm1: OnceLock::new() }
    }

    /// Counts what may be left of fringes that were taken out as noise: absorbance, one standard
    /// deviation.
    #[must_use]
    pub fn with_ripple(mut self, ripple: f64) -> Self {
        self.ripple = ripple;
        self
    }

    /// Returns the spectrum as measured.
    #[must_use]
    pub const fn measured(&self) -> &'a Spectrum {
        self.measured
    }

    /// Returns the prepared spectrum.
    #[must_use]
    pub const fn prepared(&self) -> &'a Prepared {
        self.prepared
    }

    /// Returns the peaks that materials are matched with.
    #[must_use]
    pub const fn peaks(&self) -> &'a Peaks {
        self.peaks
    }

    /// Returns the height of the strongest peak, as absorbance above the baseline.
    #[must_use]
    pub const fn strongest(&self) -> f64 {
        self.peaks.strongest
    }

    /// Returns the wavenumbers of the prepared spectrum in cm⁻¹.
    #[must_use]
    pub fn axis_cm1(&self) -> &'a [f64] {
        self.prepared.spectrum().wavenumbers_cm1()
    }

    /// Returns the smoothed absorbances above the baseline.
    #[must_use]
    pub fn absorbances(&self) -> &'a [f64] {
        self.prepared.spectrum().absorbances()
    }

    /// Returns one standard deviation of the noise near a wavenumber in cm⁻¹, with what may be left of
    /// fringes.
    #[must_use]
    pub fn noise_sd_at(&self, wavenumber_cm1: f64) -> f64 {
        self.prepared.noise_sd_at(wavenumber_cm1).hypot(self.ripple)
    }

    /// Returns the resolution in cm⁻¹ that the data show or the file states; `None` where neither tells.
    #[must_use]
    pub fn resolution_cm1(&self) -> Option<f64> {
        *self.resolution_cm1.get_or_init(|| fitness::resolution_cm1(self.measured))
    }

    /// Returns how the spectrum was measured.
    #[must_use]
    pub fn mode(&self) -> MeasurementMode {
        self.measured.mode()
    }

    /// Returns whether a stretch was measured without gap, padding, mask or saturation.
    #[must_use]
    pub fn covers(&self, stretch: Window) -> bool {
        self.measured.covers(stretch.low_cm1, stretch.high_cm1)
    }
}
