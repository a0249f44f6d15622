//! Spectra put together for tests, with all that the judgement asks of one.

use std::sync::OnceLock;

use super::input::JudgeInput;
use super::{Identification, JudgeSettings, identify};
use crate::fitness::{Fitness, examine};
use crate::matching::{Entry, Fit, Matcher};
use crate::peaks::{Peaks, pick};
use crate::prepare::{Prepared, prepare};
use crate::spectrum::{MeasurementMode, Origin, Spectrum, SpectrumParts};
use crate::tables::{Shape, Tables};

/// A spectrum, prepared, with its peaks.
pub(super) struct Made {
    pub(super) spectrum: Spectrum,
    pub(super) prepared: Prepared,
    pub(super) peaks: Peaks,
    pub(super) fitness: Fitness,
}

impl Made {
    /// Bands of 12 cm⁻¹ full width at half height, each a position in cm⁻¹ and a height.
    pub(super) fn of_bands(bands: &[(f64, f64)]) -> Self {
        Self::of(bands, |_| 0.0)
    }

    /// Such bands, and what else each wavenumber shows.
    pub(super) fn of(bands: &[(f64, f64)], mut more: impl FnMut(f64) -> f64) -> Self {
        let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
        let height = |x: f64| -> f64 {
            bands.iter().map(|(at, height)| 0.4 * height / (1.0 + ((x - at) / 6.0).powi(2))).sum()
        };
        Self::of_values(axis.iter().map(|x| 0.01 + height(*x) + 0.4 * more(*x)).collect(), axis)
    }

    /// Absorbances over ascending wavenumbers.
    pub(super) fn of_values(values: Vec<f64>, axis: Vec<f64>) -> Self {
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum");
        let prepared = prepare(&spectrum).expect("prepared");
        let fitness = examine(&spectrum);
        let peaks = pick(&spectrum, &prepared).with_vapour(|at| fitness.vapour_at(at));
        Self { spectrum, prepared, peaks, fitness }
    }

    /// The same as another way of measuring would have it.
    pub(super) fn measured_by(self, mode: MeasurementMode) -> Self {
        let Self { spectrum, prepared, peaks, fitness } = self;
        let parts = SpectrumParts {
            mode: (mode, Origin::User),
            ..SpectrumParts::new(
                spectrum.wavenumbers_cm1().to_vec(),
                spectrum.absorbances().to_vec(),
            )
        };
        let spectrum = Spectrum::new(parts).expect("a spectrum");
        Self { spectrum, prepared, peaks, fitness }
    }

    pub(super) fn identified(&self, settings: &JudgeSettings) -> Identification {
        let Self { spectrum, prepared, peaks, fitness } = self;
        identify(spectrum, prepared, peaks, fitness, Tables::built_in(), matcher(), settings)
    }

    pub(super) fn input(&self) -> JudgeInput<'_> {
        let Self { spectrum, prepared, peaks, fitness } = self;
        JudgeInput::new(spectrum, prepared, peaks, fitness, Tables::built_in(), matcher())
    }
}

/// The expected bands of a material at their heights, times a share.
pub(super) fn rows(id: &str, of: f64) -> Vec<(f64, f64)> {
    let materials = Tables::built_in().materials();
    let is_it = |entry: &&Entry| materials.get(entry.material).is_some_and(|m| m.id == id);
    let entry = matcher().entries().iter().find(is_it).expect("an entry");
    entry.expected.iter().map(|band| (band.position_cm1, of * band.share)).collect()
}

/// The fit of a material by itself.
pub(super) fn fit_of(id: &str, input: &JudgeInput<'_>) -> Fit {
    let is_it = |fit: &&Fit| input.material(fit).is_some_and(|material| material.id == id);
    input.fits.iter().find(is_it).expect("a fit").clone()
}

/// A shape of the table under another name: only whose it is counts.
pub(super) fn shape_of(material: &str) -> Shape {
    let first = Tables::built_in().shapes().first().expect("a shape");
    let materials = vec![material.to_owned()];
    Shape { id: format!("{material}-1"), materials, ..first.clone() }
}

fn matcher() -> &'static Matcher {
    static MATCHER: OnceLock<Matcher> = OnceLock::new();
    MATCHER.get_or_init(|| Matcher::new(Tables::built_in()))
}
