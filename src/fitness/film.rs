//! The wavenumber scale, checked on a polystyrene film.

use ndarray::{Array1, Array2, Axis};
use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use super::film_bands::{self, FilmBand, NOMINAL_CM1};
use super::{Finding, Severity};
use crate::linalg::{self, Fit};
use crate::spectrum::Spectrum;
use crate::statistics::t_quantile;

/// The pharmacopoeia's tolerance for each band, in cm⁻¹.
const TOLERANCE_CM1: f64 = 1.0;

/// Fewer bands settle no scale with a spread.
const LEAST_BANDS: usize = 5;

/// Where the deviation is stated, in cm⁻¹: C–Cl, carbonyl, C–H.
pub const STATED_CM1: [f64; 3] = [600.0, 1700.0, 3000.0];

/// A scale error above this moves a carbonyl by a whole 1 cm⁻¹.
const MOST_PPM: f64 = 600.0;

/// An offset above this is past the tolerance of the pharmacopoeia's bands.
const MOST_SHIFT_CM1: f64 = 1.0;

/// A centroid comes out the same to about this much in cm⁻¹ when a film is measured again (own choice).
const REPEAT_SD_CM1: f64 = 0.02;

/// Coverage of the stated intervals.
const COVERAGE: f64 = 0.95;

/// A figure with the ends of its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Interval {
    /// The figure.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    fn about(value: f64, error: f64, t: f64) -> Self {
        Self { value, low: value - t * error, high: value + t * error }
    }
}

/// Which kind of fault the bands speak for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum ScaleFault {
    /// Neither a scale error nor an offset stands clear of the spread.
    None,
    /// Deviations grow with the wavenumber: the laser's wavelength or the beam's path.
    Scale,
    /// All bands deviate alike: the file or the axis, not the interferometer.
    Shift,
    /// Both.
    Both,
}

/// What a film's bands are compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum FilmPlaces {
    /// The published places, each ±1.0 cm⁻¹: a fault below that is not told from the film itself.
    Published,
    /// The same film measured before on the same instrument: what the film and the element do cancels.
    Before,
}

/// What a polystyrene film says of the wavenumber scale.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct FilmCheck {
    /// The bands that were found, ascending.
    pub bands: Vec<FilmBand>,
    /// What `nominal` of the bands is.
    pub places: FilmPlaces,
    /// A band further than the tolerance from what the others agree on; it took no part.
    pub set_aside: Option<FilmBand>,
    /// Proportional part of the deviations in parts per million, measured minus nominal, fitted together
    /// with `shift`.
    pub scale_ppm: Interval,
    /// Constant part of the deviations in cm⁻¹, measured minus nominal, fitted together with `scale_ppm`.
    pub shift: Interval,
    /// Proportional error in parts per million where there is no constant part: the only error an
    /// interferometer makes.
    pub proportional_ppm: Interval,
    /// Constant offset in cm⁻¹ where there is no proportional part.
    pub offset: Interval,
    /// The factor k that a measured wavenumber is multiplied by to give the true one: of
    /// `proportional_ppm` where the bands speak for a scale error or for none, of `scale_ppm` where they
    /// speak for both, and 1 where they speak for an offset, which no factor mends.
    pub k: f64,
    /// The ends of k's 95 % interval.
    pub k_interval: (f64, f64),
    /// Deviation in cm⁻¹, measured minus true, at 600, 1700 and 3000 cm⁻¹, by both parts together.
    pub deviations: Vec<(f64, f64)>,
    /// Which kind of fault it is.
    pub fault: ScaleFault,
}

/// Why a film says nothing of the scale.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FilmError {
    /// Too few of the film's bands were found.
    #[error(
        "only {found} of {wanted} polystyrene bands were found, at least {LEAST_BANDS} are needed; is \
         this a polystyrene film, measured from 1000 to 3100 cm⁻¹?"
    )]
    TooFewBands {
        /// Bands found.
        found: usize,
        /// Bands looked for.
        wanted: usize,
    },
    /// The fit has no answer.
    #[error("the scale could not be fitted")]
    Fit(#[from] linalg::Error),
}

/// Measures the bands of a polystyrene film and tells a scale error from an offset.
///
/// The centroids are compared with four models: no error, a proportional one (deviation = scale ·
/// nominal), an offset, and both. The simplest is kept unless a richer one explains the deviations better
/// by an F test at 95 %; of the two with one part, the one that leaves less. `scale_ppm` and `shift` are
/// fitted together, so that neither takes the other's part.
///
/// # Errors
///
/// At least five of the seven bands must be found.
pub fn check_film(
    spectrum: &Spectrum,
    noise_sd_at: impl Fn(f64) -> f64,
) -> Result<FilmCheck, FilmError> {
    let mut bands = film_bands::find(spectrum, noise_sd_at);
    let set_aside = odd_one(&bands)?.map(|at| bands.remove(at));
    // All alike: the tolerance of their places outweighs how well each was measured.
    let errors = vec![1.0; bands.len()];
    let check = fitted(bands, &errors, FilmPlaces::Published)?;
    Ok(FilmCheck { set_aside, ..check })
}

/// Holds a film against itself as it was measured before on the same instrument and accessory.
///
/// What moves its bands alike on both days (the sheet itself, the element, the resolution) cancels, so
/// that faults far below the tolerance of the published places are told apart. It says what changed, not
/// whether the scale was right before: that is [`check_film`]'s part. Comparing an instrument with its own
/// past is the practice of ASTM E1421 (as a public summary gives it).
///
/// # Errors
///
/// At least five of the seven bands must be found in both.
pub fn check_film_against(
    spectrum: &Spectrum,
    noise_sd_at: impl Fn(f64) -> f64,
    before: &Spectrum,
    noise_sd_before: impl Fn(f64) -> f64,
) -> Result<FilmCheck, FilmError> {
    let earlier = film_bands::find(before, noise_sd_before);
    let mut bands = film_bands::find(spectrum, noise_sd_at);
    let mut errors = Vec::new();
    bands.retain_mut(|band| {
        let same = earlier.iter().find(|other| (other.nominal - band.nominal).abs() < 0.05);
        let Some(other) = same else { return false };
        let Some((moved, error)) = film_bands::moved(spectrum, band, before, other) else {
            return false;
        };
        errors.push(error.hypot(REPEAT_SD_CM1));
        band.nominal = other.centroid;
        band.centroid = other.centroid + moved;
        true
    });
    fitted(bands, &errors, FilmPlaces::Before)
}

/// Fits the deviations, each over its standard error.
fn fitted(
    bands: Vec<FilmBand>,
    errors: &[f64],
    places: FilmPlaces,
) -> Result<FilmCheck, FilmError> {
    if bands.len() < LEAST_BANDS {
        return Err(FilmError::TooFewBands { found: bands.len(), wanted: NOMINAL_CM1.len() });
    }
    // In standard errors; where they are known, bands never agree better than by one.
    let least_sd = match places {
        FilmPlaces::Published => 0.0,
        FilmPlaces::Before => 1.0,
    };
    let deviations: Array1<f64> = bands
        .iter()
        .zip(errors)
        .map(|(band, error)| (band.centroid - band.nominal) / error)
        .collect();
    let design = Array2::from_shape_fn((bands.len(), 2), |(i, column)| {
        (if column == 0 { 1.0 } else { bands[i].nominal * 1.0e-6 }) / errors[i]
    });
    let alone =
        |column: usize| linalg::fit(design.column(column).insert_axis(Axis(1)), deviations.view());
    let (joint, shift_alone, scale_alone) =
        (linalg::fit(design.view(), deviations.view())?, alone(0)?, alone(1)?);
    let (shift, scale_ppm) = (part(&joint, 0, least_sd), part(&joint, 1, least_sd));
    let (offset, proportional_ppm) =
        (part(&shift_alone, 0, least_sd), part(&scale_alone, 0, least_sd));
    let none = deviations.dot(&deviations);
    let fault = fault(none, &shift_alone, &scale_alone, &joint, least_sd);
    let k_of = |ppm: f64| 1.0 / (1.0 + ppm * 1.0e-6);
    let (k, k_interval) = match fault {
        ScaleFault::None | ScaleFault::Scale => factors(proportional_ppm, k_of),
        ScaleFault::Both => factors(scale_ppm, k_of),
        ScaleFault::Shift => (1.0, (1.0, 1.0)),
    };
    let stated = STATED_CM1
        .into_iter()
        .map(|at| (at, shift.value + scale_ppm.value * at * 1.0e-6))
        .collect();
    Ok(FilmCheck {
        bands,
        places,
        set_aside: None,
        scale_ppm,
        shift,
        proportional_ppm,
        offset,
        k,
        k_interval,
        deviations: stated,
        fault,
    })
}

/// Returns the place of the one band that contradicts the others: left out, it is further from what they
/// agree on than the tolerance, and they agree to half of it.
fn odd_one(bands: &[FilmBand]) -> Result<Option<usize>, FilmError> {
    if bands.len() <= LEAST_BANDS {
        return Ok(None);
    }
    let mut best: Option<(f64, usize, f64)> = None;
    for out in 0..bands.len() {
        let kept: Vec<&FilmBand> =
            bands.iter().enumerate().filter(|(i, _)| *i != out).map(|(_, band)| band).collect();
        let design = Array2::from_shape_fn((kept.len(), 2), |(i, column)| {
            if column == 0 { 1.0 } else { kept[i].nominal * 1.0e-6 }
        });
        let deviations: Array1<f64> = kept.iter().map(|b| b.centroid - b.nominal).collect();
        let fit = linalg::fit(design.view(), deviations.view())?;
        let band = &bands[out];
        let expected = fit.coefficients[0] + fit.coefficients[1] * band.nominal * 1.0e-6;
        let off = (band.centroid - band.nominal - expected).abs();
        if best.is_none_or(|(sd, ..)| fit.residual_sd < sd) {
            best = Some((fit.residual_sd, out, off));
        }
    }
    Ok(best
        .filter(|(sd, _, off)| *off > TOLERANCE_CM1 && *sd < TOLERANCE_CM1 / 2.0)
        .map(|(_, out, _)| out))
}

/// The factor of a scale error in ppm, and the ends of its interval, ascending.
fn factors(ppm: Interval, k_of: impl Fn(f64) -> f64) -> (f64, (f64, f64)) {
    (k_of(ppm.value), (k_of(ppm.high), k_of(ppm.low)))
}

fn part(fit: &Fit, column: usize, least_sd: f64) -> Interval {
    let degrees_of_freedom = fit.degrees_of_freedom.max(1) as f64;
    let t = t_quantile(f64::midpoint(1.0, COVERAGE), degrees_of_freedom).unwrap_or(f64::INFINITY);
    // Bands that happen to agree better than they can be measured make no interval narrower.
    let wider = if fit.residual_sd > 0.0 { (least_sd / fit.residual_sd).max(1.0) } else { 1.0 };
    Interval::about(fit.coefficients[column], wider * fit.standard_errors[column], t)
}

/// Chooses among no error, an offset, a scale error, and both.
///
/// Less than `least_sd` is never taken for the spread of the bands: two measurements may happen to agree.
fn fault(none: f64, shift: &Fit, scale: &Fit, both: &Fit, least_sd: f64) -> ScaleFault {
    let left = |fit: &Fit| fit.residual_sd.max(least_sd).powi(2) * fit.degrees_of_freedom as f64;
    let (single, kind) = if left(shift) < left(scale) {
        (shift, ScaleFault::Shift)
    } else {
        (scale, ScaleFault::Scale)
    };
    if explains(left(single), left(both), both.degrees_of_freedom)
        && explains_any(none, left(both), both.degrees_of_freedom)
    {
        ScaleFault::Both
    } else if explains(none, left(single), single.degrees_of_freedom) {
        kind
    } else {
        ScaleFault::None
    }
}

/// Whether one more unknown lowers the squares that are left by more than chance does in 95 of 100.
fn explains(before: f64, after: f64, degrees_of_freedom: usize) -> bool {
    is_more_than_chance(before - after, 1.0, after, degrees_of_freedom)
}

/// The same for two unknowns against none.
fn explains_any(before: f64, after: f64, degrees_of_freedom: usize) -> bool {
    is_more_than_chance((before - after) / 2.0, 2.0, after, degrees_of_freedom)
}

fn is_more_than_chance(gain: f64, unknowns: f64, after: f64, degrees_of_freedom: usize) -> bool {
    let degrees_of_freedom = degrees_of_freedom.max(1) as f64;
    FisherSnedecor::new(unknowns, degrees_of_freedom)
        .is_ok_and(|f| gain > f.inverse_cdf(COVERAGE) * after / degrees_of_freedom)
}

impl FilmCheck {
    /// Returns the scale error in ppm of the model that the bands speak for; 0 beside an offset alone.
    #[must_use]
    pub fn error_ppm(&self) -> f64 {
        match self.fault {
            ScaleFault::None | ScaleFault::Scale => self.proportional_ppm.value,
            ScaleFault::Both => self.scale_ppm.value,
            ScaleFault::Shift => 0.0,
        }
    }

    /// Returns the offset in cm⁻¹ of the model that the bands speak for; 0 beside a scale error alone.
    #[must_use]
    pub fn offset_cm1(&self) -> f64 {
        match self.fault {
            ScaleFault::Shift => self.offset.value,
            ScaleFault::Both => self.shift.value,
            ScaleFault::None | ScaleFault::Scale => 0.0,
        }
    }

    /// Returns the findings on the scale: proportional error, offset, and bands out of tolerance.
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        let outside =
            self.bands.iter().filter(|b| (b.centroid - b.nominal).abs() > TOLERANCE_CM1).count();
        let (scaled, shifted) = match self.fault {
            ScaleFault::None => (false, false),
            ScaleFault::Scale => (true, false),
            ScaleFault::Shift => (false, true),
            ScaleFault::Both => (true, true),
        };
        let scale = if scaled {
            "a scale error stands clear of the spread, too small to move a carbonyl by 1 cm⁻¹"
        } else {
            "no scale error stands clear of the spread"
        };
        let scale = Finding::note("scale-error", scale).figure(self.error_ppm(), MOST_PPM, "ppm");
        let shift = if shifted {
            "an offset stands clear of the spread, within the tolerance of the published places"
        } else {
            "no offset stands clear of the spread"
        };
        let shift =
            Finding::note("scale-shift", shift).figure(self.offset_cm1(), MOST_SHIFT_CM1, "cm⁻¹");
        let tolerance = Finding::note(
            "film-bands",
            match self.places {
                FilmPlaces::Published => "bands outside ±1.0 cm⁻¹ of the published places",
                FilmPlaces::Before => {
                    "bands moved by more than 1.0 cm⁻¹ since the film was measured before"
                }
            },
        )
        .figure(outside as f64, 0.0, "bands");
        vec![
            if scaled && self.error_ppm().abs() > MOST_PPM {
                scale.raised(
                    Severity::Limits,
                    "positions deviate in proportion to the wavenumber: windows and shifts are unsafe",
                    "have the laser wavelength set, or pass the factor k as --scale-correction",
                )
            } else {
                scale
            },
            if shifted && self.offset_cm1().abs() > MOST_SHIFT_CM1 {
                shift.raised(
                    Severity::Limits,
                    "all positions deviate alike, which no interferometer does: the file or its axis \
                     is at fault",
                    "export again, and look at first wavenumber and spacing in the file",
                )
            } else {
                shift
            },
            if outside > 0 {
                tolerance.raised(
                    Severity::Limits,
                    "some film bands are out of tolerance",
                    "measure the film again; if it stays so, have the instrument adjusted",
                )
            } else {
                tolerance
            },
        ]
    }
}
