//! The wavenumber scale, checked on a polystyrene film.

use ndarray::{Array1, Array2};
use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, StudentsT};

use super::{Finding, Severity};
use crate::linalg;
use crate::spectrum::{PointFlag, Spectrum};

/// Bands of a polystyrene film in cm⁻¹, each ±1.0 (European Pharmacopoeia 5.0, chapter 2.2.24, read in
/// a public instrument note).
const NOMINAL_CM1: [f64; 7] = [1028.3, 1154.5, 1583.0, 1601.2, 1942.9, 2849.5, 3060.0];

/// The pharmacopoeia's tolerance for each band, in cm⁻¹.
const TOLERANCE_CM1: f64 = 1.0;

/// A band is looked for this far from its nominal place in cm⁻¹: past the largest fault worth telling,
/// short of the nearest neighbour (1583 and 1601 are 18 apart).
const SEARCH_CM1: f64 = 8.0;

/// The part of a band above this share of its height makes its centroid; below it neighbours mix in.
const CENTROID_FROM: f64 = 0.7;

/// A band must stand this many standard deviations of the noise above its feet.
const LEAST_CLEAR: f64 = 10.0;

/// Fewer bands settle no scale with a spread.
const LEAST_BANDS: usize = 5;

/// Where the deviation is stated, in cm⁻¹: C–Cl, carbonyl, C–H.
pub const STATED_CM1: [f64; 3] = [600.0, 1700.0, 3000.0];

/// A scale error above this moves a carbonyl by a whole 1 cm⁻¹.
const MOST_PPM: f64 = 600.0;

/// An offset above this is past the tolerance of the pharmacopoeia's bands.
const MOST_SHIFT_CM1: f64 = 1.0;

/// Coverage of the stated intervals.
const COVERAGE: f64 = 0.95;

/// A figure with the ends of its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
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

    /// Returns whether zero lies outside.
    #[must_use]
    pub fn excludes_zero(&self) -> bool {
        self.low > 0.0 || self.high < 0.0
    }
}

/// One band of the film.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct FilmBand {
    /// Published position in cm⁻¹.
    pub nominal: f64,
    /// Centroid of its upper part in cm⁻¹.
    pub centroid: f64,
    /// Position of the least transmittance, between points, in cm⁻¹.
    pub minimum: f64,
}

/// Which kind of fault the bands speak for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
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

/// What a polystyrene film says of the wavenumber scale.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FilmCheck {
    /// The bands that were found, ascending.
    pub bands: Vec<FilmBand>,
    /// Proportional error in parts per million, measured minus nominal.
    pub scale_ppm: Interval,
    /// Constant offset in cm⁻¹, measured minus nominal.
    pub shift: Interval,
    /// The factor k that a measured wavenumber is multiplied by to give the true one, from the
    /// proportional error alone.
    pub k: f64,
    /// Deviation in cm⁻¹, measured minus true, at 600, 1700 and 3000 cm⁻¹.
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
/// Both are fitted together, so that neither takes the other's part: deviation = shift + scale ·
/// nominal. `centroid` is the place used.
///
/// # Errors
///
/// At least five of the seven bands must be found.
pub fn check_film(
    spectrum: &Spectrum,
    noise_sd_at: impl Fn(f64) -> f64,
) -> Result<FilmCheck, FilmError> {
    let bands: Vec<FilmBand> = NOMINAL_CM1
        .into_iter()
        .filter_map(|nominal| measure(spectrum, nominal, noise_sd_at(nominal)))
        .collect();
    if bands.len() < LEAST_BANDS {
        return Err(FilmError::TooFewBands { found: bands.len(), wanted: NOMINAL_CM1.len() });
    }
    let deviations: Array1<f64> = bands.iter().map(|band| band.centroid - band.nominal).collect();
    let both = Array2::from_shape_fn((bands.len(), 2), |(i, column)| {
        if column == 0 { 1.0 } else { bands[i].nominal * 1.0e-6 }
    });
    let joint = linalg::fit(both.view(), deviations.view())?;
    let t = t_quantile(joint.degrees_of_freedom);
    let shift = Interval::about(joint.coefficients[0], joint.standard_errors[0], t);
    let scale_ppm = Interval::about(joint.coefficients[1], joint.standard_errors[1], t);
    let alone = |column: usize| {
        linalg::fit(both.column(column).insert_axis(ndarray::Axis(1)), deviations.view())
    };
    let (shift_alone, scale_alone) = (alone(0)?, alone(1)?);
    let fault = match (shift.excludes_zero(), scale_ppm.excludes_zero()) {
        (true, true) => ScaleFault::Both,
        (true, false) => ScaleFault::Shift,
        (false, true) => ScaleFault::Scale,
        // Together the two may hide each other; alone, the better one speaks.
        (false, false) => {
            let (single, fault) = if shift_alone.residual_sd < scale_alone.residual_sd {
                (&shift_alone, ScaleFault::Shift)
            } else {
                (&scale_alone, ScaleFault::Scale)
            };
            let t = t_quantile(single.degrees_of_freedom);
            let clear = single.coefficients[0].abs() > t * single.standard_errors[0];
            if clear { fault } else { ScaleFault::None }
        }
    };
    let stated = STATED_CM1
        .into_iter()
        .map(|at| (at, shift.value + scale_ppm.value * at * 1.0e-6))
        .collect();
    Ok(FilmCheck {
        bands,
        scale_ppm,
        shift,
        k: 1.0 / (1.0 + scale_ppm.value * 1.0e-6),
        deviations: stated,
        fault,
    })
}

impl FilmCheck {
    /// Returns the findings on the scale: proportional error, offset, and bands out of tolerance.
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        let outside =
            self.bands.iter().filter(|b| (b.centroid - b.nominal).abs() > TOLERANCE_CM1).count();
        let scale = Finding::note("scale-error", "the scale is within what the film can tell")
            .figure(self.scale_ppm.value, MOST_PPM, "ppm");
        let shift = Finding::note("scale-shift", "no offset stands clear of the spread").figure(
            self.shift.value,
            MOST_SHIFT_CM1,
            "cm⁻¹",
        );
        let tolerance = Finding::note(
            "film-bands",
            "bands outside ±1.0 cm⁻¹ of the published places",
        )
        .figure(outside as f64, 0.0, "bands");
        vec![
            if matches!(self.fault, ScaleFault::Scale | ScaleFault::Both)
                && self.scale_ppm.value.abs() > MOST_PPM
            {
                scale.raised(
                    Severity::Limits,
                    "positions deviate in proportion to the wavenumber: windows and shifts are unsafe",
                    "have the laser wavelength set, or pass the factor k as --scale-correction",
                )
            } else {
                scale
            },
            if matches!(self.fault, ScaleFault::Shift | ScaleFault::Both)
                && self.shift.value.abs() > MOST_SHIFT_CM1
            {
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

fn t_quantile(degrees_of_freedom: usize) -> f64 {
    StudentsT::new(0.0, 1.0, degrees_of_freedom.max(1) as f64)
        .map_or(f64::INFINITY, |t| t.inverse_cdf(f64::midpoint(1.0, COVERAGE)))
}

/// Finds a band near its nominal place and measures its minimum and its centroid.
fn measure(spectrum: &Spectrum, nominal: f64, noise_sd: f64) -> Option<FilmBand> {
    let (low, high) = (nominal - SEARCH_CM1, nominal + SEARCH_CM1);
    if !spectrum.covers(low - SEARCH_CM1, high + SEARCH_CM1) {
        return None;
    }
    let axis = spectrum.wavenumbers_cm1();
    let values = spectrum.absorbances();
    let range = spectrum.window(low, high);
    let top = range.clone().max_by(|a, b| values[*a].total_cmp(&values[*b]))?;
    // A maximum at the edge of the search belongs to a neighbour.
    if top <= range.start || top + 1 >= range.end || spectrum.flags()[top] == PointFlag::Saturated {
        return None;
    }
    let foot = |outwards: &mut dyn Iterator<Item = usize>| {
        let mut lowest = top;
        for i in outwards {
            if (axis[i] - axis[top]).abs() > 2.0 * SEARCH_CM1 || values[i] > values[top] {
                break;
            }
            if values[i] < values[lowest] {
                lowest = i;
            }
        }
        lowest
    };
    let left = foot(&mut (0..top).rev());
    let right = foot(&mut (top + 1..axis.len()));
    if left == top || right == top {
        return None;
    }
    let slope = (values[right] - values[left]) / (axis[right] - axis[left]);
    let above = |i: usize| values[i] - values[left] - slope * (axis[i] - axis[left]);
    let (minimum, height) = parabola(axis, top, &above)?;
    if height < LEAST_CLEAR * noise_sd {
        return None;
    }
    let centroid = centroid(axis, (left, right), CENTROID_FROM * height, top, &above)?;
    ((centroid - nominal).abs() <= SEARCH_CM1).then_some(FilmBand { nominal, centroid, minimum })
}

fn parabola(axis: &[f64], top: usize, above: &impl Fn(usize) -> f64) -> Option<(f64, f64)> {
    let (a, b) = (axis[top - 1] - axis[top], axis[top + 1] - axis[top]);
    let (p, q) = (above(top - 1) - above(top), above(top + 1) - above(top));
    let bend = (p / a - q / b) / (a - b);
    let tilt = p / a - bend * a;
    if bend >= 0.0 {
        return None;
    }
    let offset = (-tilt / (2.0 * bend)).clamp(a, b);
    Some((axis[top] + offset, above(top) + tilt * offset + bend * offset * offset))
}

/// Centroid of the area between the curve and a level, the curve taken as straight between points.
fn centroid(
    axis: &[f64],
    (left, right): (usize, usize),
    level: f64,
    top: usize,
    above: &impl Fn(usize) -> f64,
) -> Option<f64> {
    let first = (left..=top).rev().find(|i| above(*i) < level)?;
    let last = (top..=right).find(|i| above(*i) < level)?;
    let (mut area, mut moment) = (0.0, 0.0);
    for i in first..last {
        let (mut x0, mut x1) = (axis[i], axis[i + 1]);
        let (mut y0, mut y1) = (above(i) - level, above(i + 1) - level);
        if y0 < 0.0 {
            (x0, y0) = (x0 + (x1 - x0) * -y0 / (y1 - y0), 0.0);
        } else if y1 < 0.0 {
            (x1, y1) = (x0 + (x1 - x0) * y0 / (y0 - y1), 0.0);
        }
        let width = x1 - x0;
        area += width * (y0 + y1) / 2.0;
        moment += width * (y0 * (2.0 * x0 + x1) + y1 * (x0 + 2.0 * x1)) / 6.0;
    }
    (area > 0.0).then(|| moment / area)
}
