//! The value that every stage passes on: absorbance over ascending wavenumber, with its origin.
//!
//! **In:** wavenumbers in cm⁻¹ and absorbances ([`SpectrumParts`]).
//!
//! **Out:** a [`Spectrum`], checked once: ascending, finite, in measured segments; it carries its origin, history and warnings.
//!
//! ```
//! use bandlore::Spectrum;
//! use bandlore::spectrum::{Error, SpectrumParts};
//!
//! let descending = SpectrumParts::new(vec![700.0, 690.0], vec![0.1, 0.1]);
//! assert!(Spectrum::new(descending).is_err());
//! ```

mod axis;
mod bounds;
mod copy;
mod history;
mod rounding;
mod units;
mod warning;
pub(crate) mod zones;

use std::ops::Range;
use std::sync::{Arc, OnceLock};

use serde::{Deserialize, Serialize};

pub use axis::interpolate;
pub(crate) use axis::{median_spacing, nearest_index, split_at_gaps, window};
pub(crate) use bounds::{bounds, quantile};
pub use history::Step;
pub(crate) use rounding::{rounding_sd, written_step};
pub use units::wavenumber_from_nanometres;
pub use units::{LEAST_TRANSMITTANCE, absorbance_from_transmittance, wavenumber_from_micrometres};
pub(crate) use warning::ORDINATE_DOUBTFUL;
pub use warning::Warning;

/// Fewer points than this cannot hold a band and its baseline.
pub const LEAST_POINTS: usize = 8;

/// What is known of one point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PointFlag {
    /// A measured value.
    #[default]
    Measured,
    /// A filler value, written where nothing was measured.
    Padded,
    /// Measured, but at or past the instrument's range (T <= 0 or A > 3).
    Saturated,
    /// Measured, but left out of every judgement (carbon dioxide, the diamond element's weak zone).
    Masked,
}

impl PointFlag {
    /// Returns whether the point says nothing of the sample.
    const fn is_blank(self) -> bool {
        matches!(self, Self::Masked | Self::Padded)
    }
}

/// What the ordinate of the file was before it became absorbance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ordinate {
    /// Decadic absorbance.
    Absorbance,
    /// Transmittance as a fraction.
    Transmittance,
    /// Transmittance in percent.
    PercentTransmittance,
    /// Reflectance as a fraction, read as −log10 R.
    Reflectance,
    /// Reflectance in percent, read as −log10 R.
    PercentReflectance,
    /// Proportional to absorbance by an unknown factor: scaled values, absorptivities.
    RelativeAbsorbance,
}

/// How the spectrum was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MeasurementMode {
    /// Attenuated total reflection.
    Atr,
    /// Transmission through a film, a pellet or a cell.
    Transmission,
    /// Specular or diffuse reflection.
    Reflection,
}

/// Where a property of the spectrum is known from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Origin {
    /// The file says so.
    File,
    /// The user says so.
    User,
    /// One reading alone fits the values.
    Inferred,
    /// Nothing says otherwise.
    Assumed,
}

/// Where a spectrum came from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Provenance {
    /// The path as the user gave it, or `-` for standard input.
    pub file: String,
    /// The spectrum's place in the file, from 1.
    pub block: usize,
    /// Its title, sample name, column heading or row label, where the file has one.
    pub title: Option<String>,
    /// The nominal resolution in cm⁻¹ as the file states it, as text so that equality is exact.
    pub stated_resolution: Option<String>,
    /// SHA-256 of the file's bytes in lower-case hexadecimal; empty for spectra made in memory.
    pub sha256: String,
    /// All labelled data records or header lines, in file order: name, value.
    pub records: Vec<(String, String)>,
}

/// The parts a [`Spectrum`] is checked and built from.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct SpectrumParts {
    /// Strictly ascending wavenumbers in cm⁻¹.
    pub wavenumbers_cm1: Vec<f64>,
    /// Decadic absorbance at each wavenumber.
    pub absorbances: Vec<f64>,
    /// A flag per point; empty means all measured.
    pub flags: Vec<PointFlag>,
    /// Indices at which a new measured segment starts, where the reader knows of a gap.
    pub breaks: Vec<usize>,
    /// What the file's ordinate was, and where that is known from.
    pub ordinate: (Ordinate, Origin),
    /// How it was measured, and where that is known from.
    pub mode: (MeasurementMode, Origin),
    /// Where it came from.
    pub provenance: Provenance,
    /// Doubts met so far.
    pub warnings: Vec<Warning>,
}

impl SpectrumParts {
    /// Creates parts of an ATR absorbance spectrum made in memory.
    #[must_use]
    pub fn new(wavenumbers_cm1: Vec<f64>, absorbances: Vec<f64>) -> Self {
        Self {
            wavenumbers_cm1,
            absorbances,
            flags: Vec::new(),
            breaks: Vec::new(),
            ordinate: (Ordinate::Absorbance, Origin::User),
            mode: (MeasurementMode::Atr, Origin::Assumed),
            provenance: Provenance { block: 1, ..Provenance::default() },
            warnings: Vec::new(),
        }
    }
}

/// Why a [`Spectrum`] could not be built.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The lists differ in length.
    #[error("{wavenumbers} wavenumbers but {absorbances} absorbances and {flags} flags")]
    Length {
        /// Number of wavenumbers.
        wavenumbers: usize,
        /// Number of absorbances.
        absorbances: usize,
        /// Number of flags.
        flags: usize,
    },
    /// Too few points to hold a band.
    #[error("only {0} points, at least {LEAST_POINTS} are needed")]
    TooFewPoints(usize),
    /// A wavenumber is not above the one before it.
    #[error("wavenumber {found} cm⁻¹ at point {point} is not above {before} cm⁻¹")]
    NotAscending {
        /// Index of the offending point, from 1.
        point: usize,
        /// The wavenumber there.
        found: f64,
        /// The wavenumber before it.
        before: f64,
    },
    /// A value is not finite or a wavenumber is not positive.
    #[error("point {point} is not a finite number at a positive wavenumber")]
    NotFinite {
        /// Index of the offending point, from 1.
        point: usize,
    },
}

/// Absorbance over ascending wavenumber, in one or more measured segments.
///
/// Wavenumbers are in cm⁻¹ and strictly ascending; absorbances are decadic and have no unit. Every
/// stage asks [`Spectrum::covers`] before it speaks about a band.
///
/// ```
/// use bandlore::{Spectrum, spectrum::SpectrumParts};
///
/// let wavenumbers: Vec<f64> = (0..100).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
/// let spectrum = Spectrum::new(SpectrumParts::new(wavenumbers, vec![0.1; 100]))?;
/// assert!(spectrum.covers(610.0, 700.0));
/// assert!(!spectrum.covers(580.0, 650.0));
/// # Ok::<(), bandlore::spectrum::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum {
    /// Lists and provenance are shared between copies: most stages change one of them or none.
    wavenumbers_cm1: Arc<Vec<f64>>,
    absorbances: Arc<Vec<f64>>,
    flags: Arc<Vec<PointFlag>>,
    segments: Vec<Range<usize>>,
    ordinate: (Ordinate, Origin),
    mode: (MeasurementMode, Origin),
    provenance: Arc<Provenance>,
    warnings: Vec<Warning>,
    history: Vec<Step>,
    found: Found,
}

/// What follows from axis and flags, found when it is first asked for: every stage asks, the table a
/// thousand times, and each time would cost a pass over points.
#[derive(Clone, Debug, Default)]
struct Found {
    /// The median step in cm⁻¹.
    spacing_cm1: OnceLock<f64>,
    /// How far each segment reaches, with half a step at either end.
    reaches_cm1: OnceLock<Vec<(f64, f64)>>,
    /// The first and last wavenumber of each run of masked or padded points.
    blank_cm1: OnceLock<Vec<(f64, f64)>>,
}

impl PartialEq for Found {
    /// Two spectra do not differ for having been asked.
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Spectrum {
    /// Checks the parts and builds a spectrum.
    ///
    /// # Errors
    ///
    /// Lists of different length, fewer than [`LEAST_POINTS`] points, wavenumbers that do not
    /// strictly ascend or are not positive, and values that are not finite are refused.
    pub fn new(parts: SpectrumParts) -> Result<Self, Error> {
        let count = parts.wavenumbers_cm1.len();
        let flags =
            if parts.flags.is_empty() { vec![PointFlag::Measured; count] } else { parts.flags };
        if parts.absorbances.len() != count || flags.len() != count {
            return Err(Error::Length {
                wavenumbers: count,
                absorbances: parts.absorbances.len(),
                flags: flags.len(),
            });
        }
        if count < LEAST_POINTS {
            return Err(Error::TooFewPoints(count));
        }
        if !is_sound(&parts.wavenumbers_cm1, &parts.absorbances) {
            first_fault(&parts.wavenumbers_cm1, &parts.absorbances)?;
        }
        let segments = measured_segments(&parts.wavenumbers_cm1, &flags, &parts.breaks);
        Ok(Self {
            wavenumbers_cm1: Arc::new(parts.wavenumbers_cm1),
            absorbances: Arc::new(parts.absorbances),
            flags: Arc::new(flags),
            segments,
            ordinate: parts.ordinate,
            mode: parts.mode,
            provenance: Arc::new(parts.provenance),
            warnings: parts.warnings,
            history: Vec::new(),
            found: Found::default(),
        })
    }

    /// Returns the ascending wavenumbers in cm⁻¹.
    #[must_use]
    pub fn wavenumbers_cm1(&self) -> &[f64] {
        &self.wavenumbers_cm1
    }

    /// Returns the decadic absorbances, one per wavenumber.
    #[must_use]
    pub fn absorbances(&self) -> &[f64] {
        &self.absorbances
    }

    /// Returns a flag per point.
    #[must_use]
    pub fn flags(&self) -> &[PointFlag] {
        &self.flags
    }

    /// Returns the index ranges without a gap and without padding, ascending.
    #[must_use]
    pub fn segments(&self) -> &[Range<usize>] {
        &self.segments
    }

    /// Returns the number of points, padding included. It is never below [`LEAST_POINTS`].
    #[must_use]
    #[allow(clippy::len_without_is_empty, reason = "a spectrum is never empty")]
    pub fn len(&self) -> usize {
        self.wavenumbers_cm1.len()
    }

    /// Returns what the file's ordinate was.
    #[must_use]
    pub fn ordinate(&self) -> Ordinate {
        self.ordinate.0
    }

    /// Returns where the ordinate is known from.
    #[must_use]
    pub fn ordinate_origin(&self) -> Origin {
        self.ordinate.1
    }

    /// Returns how the spectrum was measured.
    #[must_use]
    pub fn mode(&self) -> MeasurementMode {
        self.mode.0
    }

    /// Returns where the mode is known from.
    #[must_use]
    pub fn mode_origin(&self) -> Origin {
        self.mode.1
    }

    /// Returns where the spectrum came from.
    #[must_use]
    pub fn provenance(&self) -> &Provenance {
        &self.provenance
    }

    /// Returns the doubts met so far.
    #[must_use]
    pub fn warnings(&self) -> &[Warning] {
        &self.warnings
    }

    /// Returns the steps applied so far, in order.
    #[must_use]
    pub fn history(&self) -> &[Step] {
        &self.history
    }

    /// Returns the lowest and highest measured wavenumber in cm⁻¹, padding left out.
    ///
    /// A spectrum whose every point is padding gives (0, 0).
    #[must_use]
    pub fn range_cm1(&self) -> (f64, f64) {
        match (self.segments.first(), self.segments.last()) {
            (Some(first), Some(last)) => {
                (self.wavenumbers_cm1[first.start], self.wavenumbers_cm1[last.end - 1])
            }
            _ => (0.0, 0.0),
        }
    }

    /// Returns the median step of the axis in cm⁻¹.
    #[must_use]
    pub fn spacing_cm1(&self) -> f64 {
        *self
            .found
            .spacing_cm1
            .get_or_init(|| median_spacing(&self.wavenumbers_cm1).unwrap_or(f64::INFINITY))
    }

    /// Returns whether every part of the window was measured without gap, padding or mask.
    ///
    /// Half a step may be missing at either end. Saturated points count as covered; ask
    /// [`Spectrum::saturated`] before reading a height. An empty or reversed window is not covered.
    #[must_use]
    pub fn covers(&self, low_cm1: f64, high_cm1: f64) -> bool {
        if low_cm1.is_nan() || high_cm1.is_nan() || low_cm1 > high_cm1 {
            return false;
        }
        let within =
            self.reaches_cm1().iter().any(|(low, high)| *low <= low_cm1 && high_cm1 <= *high);
        if !within {
            return false;
        }
        let may_be_blank =
            self.blank_cm1().iter().any(|(first, last)| *first <= high_cm1 && low_cm1 <= *last);
        !may_be_blank
            || self.flags[window(&self.wavenumbers_cm1, low_cm1, high_cm1)]
                .iter()
                .all(|flag| !flag.is_blank())
    }

    fn reaches_cm1(&self) -> &[(f64, f64)] {
        self.found.reaches_cm1.get_or_init(|| {
            let reach = |segment: &Range<usize>| {
                let axis = &self.wavenumbers_cm1[segment.clone()];
                let (low_step, high_step) = match axis {
                    [a, b, .., c, d] => (b - a, d - c),
                    _ => (0.0, 0.0),
                };
                Some((axis.first()? - low_step / 2.0, axis.last()? + high_step / 2.0))
            };
            self.segments.iter().filter_map(reach).collect()
        })
    }

    fn blank_cm1(&self) -> &[(f64, f64)] {
        self.found.blank_cm1.get_or_init(|| {
            let mut start = 0;
            let mut runs = Vec::new();
            for run in self.flags.chunk_by(|a, b| a.is_blank() == b.is_blank()) {
                let axis = &self.wavenumbers_cm1[start..start + run.len()];
                start += run.len();
                if let (true, [first, .., last] | [first @ last]) = (run[0].is_blank(), axis) {
                    runs.push((*first, *last));
                }
            }
            runs
        })
    }

    /// Returns whether a point in the window is saturated.
    #[must_use]
    pub fn saturated(&self, low_cm1: f64, high_cm1: f64) -> bool {
        self.flags[window(&self.wavenumbers_cm1, low_cm1, high_cm1)].contains(&PointFlag::Saturated)
    }

    /// Returns the indices of the points from `low_cm1` to `high_cm1`, both included.
    #[must_use]
    pub fn window(&self, low_cm1: f64, high_cm1: f64) -> Range<usize> {
        window(&self.wavenumbers_cm1, low_cm1, high_cm1)
    }

    /// Returns the absorbance at a wavenumber by linear interpolation, or `None` outside the axis.
    #[must_use]
    pub fn absorbance_at(&self, wavenumber_cm1: f64) -> Option<f64> {
        interpolate(&self.wavenumbers_cm1, &self.absorbances, wavenumber_cm1)
    }

    /// Replaces the absorbances and records the step that made them.
    ///
    /// # Errors
    ///
    /// The new list must have one finite value per wavenumber.
    pub fn with_absorbances(mut self, absorbances: Vec<f64>, step: Step) -> Result<Self, Error> {
        if absorbances.len() != self.len() {
            return Err(Error::Length {
                wavenumbers: self.len(),
                absorbances: absorbances.len(),
                flags: self.flags.len(),
            });
        }
        let finite = absorbances.iter().fold(true, |finite, value| finite & value.is_finite());
        if !finite && let Some(i) = absorbances.iter().position(|a| !a.is_finite()) {
            return Err(Error::NotFinite { point: i + 1 });
        }
        self.absorbances = Arc::new(absorbances);
        self.history.push(step);
        Ok(self)
    }

    /// Multiplies every wavenumber by a factor: the correction of an interferometer's scale error.
    ///
    /// # Errors
    ///
    /// The factor must be positive and finite.
    pub fn with_scale_correction(mut self, factor: f64) -> Result<Self, Error> {
        if !factor.is_finite() || factor <= 0.0 {
            return Err(Error::NotFinite { point: 1 });
        }
        Arc::make_mut(&mut self.wavenumbers_cm1)
            .iter_mut()
            .for_each(|wavenumber| *wavenumber *= factor);
        self.found = Found::default();
        self.history.push(Step::new("correct the wavenumber scale").with("factor", factor));
        Ok(self)
    }

    /// Marks the measured points of a window as left out of every judgement, and records why.
    #[must_use]
    pub fn with_mask(mut self, low_cm1: f64, high_cm1: f64, reason: &str) -> Self {
        let within = window(&self.wavenumbers_cm1, low_cm1, high_cm1);
        for flag in &mut Arc::make_mut(&mut self.flags)[within] {
            if *flag != PointFlag::Padded {
                *flag = PointFlag::Masked;
            }
        }
        self.found.blank_cm1 = OnceLock::new();
        self.history.push(
            Step::new("mask").with("from", low_cm1).with("to", high_cm1).with("reason", reason),
        );
        self
    }

    /// Replaces single points by other absorbances and records why; each takes the flag of the point before
    /// it. Points that do not exist and values that are not finite are passed over.
    #[must_use]
    pub fn with_bridged(mut self, points: &[(usize, f64)], step: Step) -> Self {
        let absorbances = Arc::make_mut(&mut self.absorbances);
        let flags = Arc::make_mut(&mut self.flags);
        for (point, absorbance) in points.iter().filter(|(_, absorbance)| absorbance.is_finite()) {
            let before = point.checked_sub(1).and_then(|before| flags.get(before)).copied();
            if let (Some(value), Some(before)) = (absorbances.get_mut(*point), before) {
                *value = *absorbance;
                if let Some(flag) = flags.get_mut(*point) {
                    *flag = before;
                }
            }
        }
        self.found.blank_cm1 = OnceLock::new();
        self.history.push(step);
        self
    }

    /// Calls measured points saturated from an absorbance on: their heights are lower bounds.
    #[must_use]
    pub fn with_ceiling(mut self, from_absorbance: f64) -> Self {
        for (flag, value) in Arc::make_mut(&mut self.flags).iter_mut().zip(&*self.absorbances) {
            if *flag == PointFlag::Measured && *value >= from_absorbance {
                *flag = PointFlag::Saturated;
            }
        }
        self.history.push(
            Step::new("call saturated").with("from_absorbance", format!("{from_absorbance:.4}")),
        );
        self
    }

    /// Adds a doubt.
    #[must_use]
    pub fn with_warning(mut self, warning: Warning) -> Self {
        self.warnings.push(warning);
        self
    }
}

/// Returns whether the axis ascends strictly from above zero and every value is finite.
///
/// Without a way out before the end, many points are compared at a time.
fn is_sound(wavenumbers_cm1: &[f64], absorbances: &[f64]) -> bool {
    let ascends =
        wavenumbers_cm1.windows(2).fold(true, |ascends, pair| ascends & (pair[0] < pair[1]));
    let finite = absorbances.iter().fold(true, |finite, value| finite & value.is_finite());
    let ends = wavenumbers_cm1.first().is_some_and(|first| *first > 0.0)
        && wavenumbers_cm1.last().is_some_and(|last| last.is_finite());
    ascends && finite && ends
}

/// Says which point is the first that is not sound.
fn first_fault(wavenumbers_cm1: &[f64], absorbances: &[f64]) -> Result<(), Error> {
    let mut before = 0.0;
    for (i, (&wavenumber, &absorbance)) in wavenumbers_cm1.iter().zip(absorbances).enumerate() {
        if !wavenumber.is_finite() || wavenumber <= 0.0 || !absorbance.is_finite() {
            return Err(Error::NotFinite { point: i + 1 });
        }
        if wavenumber <= before {
            return Err(Error::NotAscending { point: i + 1, found: wavenumber, before });
        }
        before = wavenumber;
    }
    Ok(())
}

/// Splits the axis at gaps and drops padded points.
fn measured_segments(axis: &[f64], flags: &[PointFlag], breaks: &[usize]) -> Vec<Range<usize>> {
    let ranges = split_at_gaps(axis, breaks);
    if !flags.contains(&PointFlag::Padded) {
        return ranges;
    }
    let mut segments = Vec::new();
    for range in ranges {
        let mut start = range.start;
        for i in range.clone() {
            if flags[i] == PointFlag::Padded {
                if i > start {
                    segments.push(start..i);
                }
                start = i + 1;
            }
        }
        if range.end > start {
            segments.push(start..range.end);
        }
    }
    segments
}

#[cfg(test)]
mod tests {
    use super::*;

    fn axis(count: u32) -> Vec<f64> {
        (0..count).map(|i| 600.0 + 2.0 * f64::from(i)).collect()
    }

    fn flat(count: u32) -> Spectrum {
        Spectrum::new(SpectrumParts::new(axis(count), vec![0.1; count as usize])).expect("valid")
    }

    #[test]
    fn refuses_lists_of_different_length() {
        let parts = SpectrumParts::new(axis(20), vec![0.1; 19]);
        assert!(matches!(Spectrum::new(parts), Err(Error::Length { absorbances: 19, .. })));
    }

    #[test]
    fn refuses_too_few_points() {
        let parts = SpectrumParts::new(axis(7), vec![0.1; 7]);
        assert_eq!(Spectrum::new(parts), Err(Error::TooFewPoints(7)));
    }

    #[test]
    fn refuses_wavenumbers_that_repeat_or_fall() {
        let mut wavenumbers = axis(20);
        wavenumbers[5] = wavenumbers[4];
        let parts = SpectrumParts::new(wavenumbers, vec![0.1; 20]);
        assert!(matches!(Spectrum::new(parts), Err(Error::NotAscending { point: 6, .. })));
    }

    #[test]
    fn refuses_values_that_are_not_numbers() {
        let mut absorbances = vec![0.1; 20];
        absorbances[3] = f64::NAN;
        let parts = SpectrumParts::new(axis(20), absorbances);
        assert_eq!(Spectrum::new(parts), Err(Error::NotFinite { point: 4 }));
    }

    #[test]
    fn covers_what_was_measured_to_half_a_step() {
        let spectrum = flat(51);
        assert!(spectrum.covers(600.0, 700.0));
        assert!(spectrum.covers(599.0, 701.0));
        assert!(!spectrum.covers(598.9, 650.0));
        assert!(!spectrum.covers(650.0, 640.0));
    }

    #[test]
    fn does_not_cover_padding_gaps_or_masks() {
        let mut parts = SpectrumParts::new(axis(51), vec![0.1; 51]);
        parts.flags = vec![PointFlag::Measured; 51];
        parts.flags[..10].fill(PointFlag::Padded);
        parts.breaks = vec![30];
        let spectrum = Spectrum::new(parts).expect("valid");
        assert_eq!(spectrum.segments(), [10..30, 30..51]);
        assert_eq!(spectrum.range_cm1(), (620.0, 700.0));
        assert!(!spectrum.covers(610.0, 640.0));
        assert!(!spectrum.covers(640.0, 680.0));
        let masked = spectrum.with_mask(662.0, 664.0, "test");
        assert!(masked.covers(666.0, 690.0));
        assert!(!masked.covers(663.0, 690.0));
    }

    #[test]
    fn corrects_a_proportional_scale_error() {
        let spectrum = flat(20).with_scale_correction(1.0005).expect("valid");
        assert!((spectrum.wavenumbers_cm1()[0] - 600.3).abs() < 1e-9);
        assert!(flat(20).with_scale_correction(0.0).is_err());
        assert!(flat(20).with_scale_correction(f64::NAN).is_err());
    }

    #[test]
    fn records_each_step() {
        let spectrum = flat(20)
            .with_absorbances(vec![0.2; 20], Step::new("scale").with("factor", 2))
            .expect("valid");
        assert_eq!(spectrum.history()[0].to_string(), "scale: factor 2");
        assert!(spectrum.clone().with_absorbances(vec![0.2; 19], Step::new("cut")).is_err());
        let broken = vec![f64::INFINITY; 20];
        assert_eq!(
            spectrum.with_absorbances(broken, Step::new("x")),
            Err(Error::NotFinite { point: 1 })
        );
    }
}
