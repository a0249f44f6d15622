//! The bands of a polystyrene film, found and measured.

use ndarray::{Array1, Array2};
use serde::{Deserialize, Serialize};

use crate::linalg;
use crate::spectrum::{MeasurementMode, PointFlag, Spectrum};

/// Bands of a polystyrene film in cm⁻¹, each ±1.0 (European Pharmacopoeia 5.0, chapter 2.2.24, read in
/// a public instrument note). The film's strong bands (698, 757, 1452, 1493, 2920, 3026) are not among
/// them: in ATR those move by several cm⁻¹.
pub(super) const NOMINAL_CM1: [f64; 7] = [1028.3, 1154.5, 1583.0, 1601.2, 1942.9, 2849.5, 3060.0];

/// A band is looked for this far from its nominal place in cm⁻¹: past the largest fault worth telling,
/// half the way to the nearest neighbour (1583 and 1601 are 18 apart).
const SEARCH_CM1: f64 = 9.0;

/// Once most bands are found, each is looked for this far from where they say it should be, in cm⁻¹.
const NEAR_CM1: f64 = 5.0;

/// The feet of a band lie within this distance of its top in cm⁻¹.
const FEET_CM1: f64 = 16.0;

/// The part of a band above this share of its height makes its centroid; below it neighbours mix in.
const CENTROID_FROM: f64 = 0.7;

/// A band must stand this many standard deviations of the noise above its feet.
const LEAST_CLEAR: f64 = 10.0;

/// Beside a band its own flanks look like noise: the quietest of places so far away counts, in cm⁻¹.
const QUIET_PLACES_CM1: [f64; 5] = [-90.0, -45.0, 0.0, 45.0, 90.0];

/// In ATR a band above this share of the film's strongest is left out: strong bands move.
const MOST_SHARE_IN_ATR: f64 = 0.3;

/// Where polystyrene's strongest bands stand (698 and 757), in cm⁻¹; a film cut off above them gives no
/// measure of what is strong.
const STRONGEST_CM1: (f64, f64) = (680.0, 780.0);

/// One band of the film.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct FilmBand {
    /// Published position in cm⁻¹.
    pub nominal: f64,
    /// Centroid of its upper part in cm⁻¹.
    pub centroid: f64,
    /// Position of the least transmittance, between points, in cm⁻¹.
    pub minimum: f64,
}

/// Finds the bands of a film, ascending.
///
/// First each band is the highest top near its place; where those agree on a deviation, each is looked
/// for again about it, so that a neighbour is not taken for the band on a moved axis.
pub(super) fn find(spectrum: &Spectrum, noise_sd_at: impl Fn(f64) -> f64) -> Vec<FilmBand> {
    let tops = Tops::of(spectrum, noise_sd_at);
    let mut deviations: Vec<f64> = NOMINAL_CM1
        .iter()
        .filter_map(|nominal| {
            let highest = tops
                .within(nominal - SEARCH_CM1, nominal + SEARCH_CM1)
                .max_by(|a, b| a.height.total_cmp(&b.height))?;
            Some(highest.minimum - nominal)
        })
        .collect();
    if deviations.is_empty() {
        return Vec::new();
    }
    let middle = deviations.len() / 2;
    let (_, typical, _) = deviations.select_nth_unstable_by(middle, f64::total_cmp);
    let typical = *typical;
    NOMINAL_CM1
        .into_iter()
        .filter_map(|nominal| {
            let expected = nominal + typical;
            let far = |top: &&Top| (top.minimum - expected).abs();
            let nearest = tops
                .within(expected - NEAR_CM1, expected + NEAR_CM1)
                .min_by(|a, b| far(a).total_cmp(&far(b)))?;
            tops.measured(nearest, nominal)
        })
        .collect()
}

/// Half the stretch of a band in cm⁻¹ that is laid over the same band of another day.
const PROFILE_CM1: f64 = 10.0;

/// It is tried so far to either side of where the tops say, in cm⁻¹, and at these steps.
const PROFILE_REACH_CM1: f64 = 1.5;
const PROFILE_STEP_CM1: f64 = 0.02;

/// How far from the minimum the rise of the squares is read, in cm⁻¹.
const BEND_CM1: f64 = 0.5;

/// Returns how far a band has moved since another day, and the standard error of it, both in cm⁻¹.
///
/// The band of that day, with any height and a straight line under it, is laid over that of today at each
/// distance; the one that leaves least counts. Unlike a centroid it does not hang on where the band's feet
/// are put.
pub(super) fn moved(
    now: &Spectrum,
    band: &FilmBand,
    before: &Spectrum,
    earlier: &FilmBand,
) -> Option<(f64, f64)> {
    let range = before.window(earlier.centroid - PROFILE_CM1, earlier.centroid + PROFILE_CM1);
    let axis = before.wavenumbers_cm1().get(range.clone())?;
    let profile = before.absorbances().get(range)?;
    let design = Array2::from_shape_fn((axis.len(), 3), |(i, column)| match column {
        0 => profile[i],
        1 => 1.0,
        _ => axis[i] - earlier.centroid,
    });
    let left = |distance: f64| -> Option<f64> {
        let today: Option<Array1<f64>> = axis
            .iter()
            .map(|x| cubic(now.wavenumbers_cm1(), now.absorbances(), x + distance))
            .collect();
        let fit = linalg::fit(design.view(), today?.view()).ok()?;
        // Upside down it is another band.
        (fit.coefficients[0] > 0.0).then(|| fit.residual_sd.powi(2))
    };
    let steps = (2.0 * PROFILE_REACH_CM1 / PROFILE_STEP_CM1).round() as usize;
    let first = band.minimum - earlier.minimum - PROFILE_REACH_CM1;
    let tried: Vec<(f64, f64)> = (0..=steps)
        .map(|i| first + PROFILE_STEP_CM1 * i as f64)
        .filter_map(|distance| Some((distance, left(distance)?)))
        .collect();
    let least = tried.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    // The best at an end is no minimum.
    let inside = tried.first()?.0 < least.0 && least.0 < tried.last()?.0;
    // The squares rise by their own mean at one standard error (least squares).
    let degrees_of_freedom =
        axis.len().checked_sub(4).filter(|degrees_of_freedom| *degrees_of_freedom > 0)? as f64;
    let slope = |at: f64| tried.iter().min_by(|a, b| (a.0 - at).abs().total_cmp(&(b.0 - at).abs()));
    let (low, high) = (slope(least.0 - BEND_CM1)?, slope(least.0 + BEND_CM1)?);
    let bend = (low.1 + high.1 - 2.0 * least.1) / (2.0 * BEND_CM1.powi(2));
    let error = (least.1 / (degrees_of_freedom * bend.max(f64::MIN_POSITIVE))).sqrt();
    inside.then_some((least.0, error))
}

/// A cubic through the four points about a place; a straight line would blunt the band between points.
fn cubic(axis: &[f64], values: &[f64], at: f64) -> Option<f64> {
    let start = axis.partition_point(|x| *x < at).checked_sub(2)?;
    let (x, y) = (axis.get(start..start + 4)?, values.get(start..start + 4)?);
    let term = |i: usize| {
        let weights = (0..4).filter(|j| *j != i).map(|j| (at - x[j]) / (x[i] - x[j]));
        y[i] * weights.product::<f64>()
    };
    Some((0..4).map(term).sum())
}

/// A top that stands clear of the noise.
struct Top {
    index: usize,
    feet: (usize, usize),
    height: f64,
    minimum: f64,
}

/// The tops of a spectrum near the film's bands.
struct Tops<'a> {
    axis: &'a [f64],
    values: &'a [f64],
    tops: Vec<Top>,
}

impl<'a> Tops<'a> {
    fn of(spectrum: &'a Spectrum, noise_sd_at: impl Fn(f64) -> f64) -> Self {
        let (axis, values) = (spectrum.wavenumbers_cm1(), spectrum.absorbances());
        let in_atr = spectrum.mode() == MeasurementMode::Atr;
        let most = if in_atr && spectrum.covers(STRONGEST_CM1.0, STRONGEST_CM1.1) {
            let strong = &values[spectrum.window(STRONGEST_CM1.0, STRONGEST_CM1.1)];
            let (low, high) = strong
                .iter()
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(*v), b.max(*v)));
            MOST_SHARE_IN_ATR * (high - low)
        } else {
            f64::INFINITY
        };
        let mut found = Self { axis, values, tops: Vec::new() };
        for nominal in NOMINAL_CM1 {
            let (low, high) = (nominal - 2.0 * SEARCH_CM1, nominal + 2.0 * SEARCH_CM1);
            if !spectrum.covers(low, high) {
                continue;
            }
            let noise = QUIET_PLACES_CM1
                .iter()
                .map(|away| noise_sd_at(nominal + away))
                .fold(f64::INFINITY, f64::min);
            let range = spectrum.window(low, high);
            for i in range.start + 1..range.end.saturating_sub(1) {
                let known = found.tops.iter().any(|top| top.index == i);
                let is_top = values[i] > values[i - 1] && values[i] >= values[i + 1];
                if known || !is_top || spectrum.flags()[i] == PointFlag::Saturated {
                    continue;
                }
                if let Some(top) = found.top(i)
                    && top.height >= LEAST_CLEAR * noise
                    && top.height <= most
                {
                    found.tops.push(top);
                }
            }
        }
        found
    }

    fn within(&self, low: f64, high: f64) -> impl Iterator<Item = &Top> {
        self.tops.iter().filter(move |top| (low..=high).contains(&top.minimum))
    }

    /// Measures a top above the line between its feet.
    fn top(&self, index: usize) -> Option<Top> {
        let foot = |outwards: &mut dyn Iterator<Item = usize>| {
            let mut lowest = index;
            for i in outwards {
                let far = (self.axis[i] - self.axis[index]).abs() > FEET_CM1;
                if far || self.values[i] > self.values[index] {
                    break;
                }
                if self.values[i] < self.values[lowest] {
                    lowest = i;
                }
            }
            lowest
        };
        let feet = (foot(&mut (0..index).rev()), foot(&mut (index + 1..self.axis.len())));
        if feet.0 == index || feet.1 == index {
            return None;
        }
        let (minimum, height) = parabola(self.axis, index, &self.above(feet))?;
        Some(Top { index, feet, height, minimum })
    }

    fn measured(&self, top: &Top, nominal: f64) -> Option<FilmBand> {
        let level = CENTROID_FROM * top.height;
        let centroid = centroid(self.axis, top.feet, level, top.index, &self.above(top.feet))?;
        Some(FilmBand { nominal, centroid, minimum: top.minimum })
    }

    /// Height of a point above the line between two feet.
    fn above(&self, (left, right): (usize, usize)) -> impl Fn(usize) -> f64 {
        let (axis, values) = (self.axis, self.values);
        let slope = (values[right] - values[left]) / (axis[right] - axis[left]);
        move |i: usize| values[i] - values[left] - slope * (axis[i] - axis[left])
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_top_between_uneven_points_is_that_of_the_parabola_through_them() {
        let axis = [998.0, 1000.0, 1003.0];
        let height = |i: usize| 0.7 - 0.01 * (axis[i] - 1000.8_f64).powi(2);
        let (at, top) = parabola(&axis, 1, &height).expect("a top");
        assert!((at - 1000.8).abs() < 1.0e-9 && (top - 0.7).abs() < 1.0e-12, "{at} {top}");
    }
}
