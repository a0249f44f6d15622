//! The bands of a polystyrene film, found and measured.

use serde::{Deserialize, Serialize};

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
