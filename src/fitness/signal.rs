//! How strong the bands are, how much noise there is, and where it drowns them.

use std::ops::Range;

use super::noise::quantile;
use super::{Finding, Severity, vapour};
use crate::spectrum::{MeasurementMode, Ordinate, PointFlag, Spectrum};

/// Where the noise exceeds a tenth of the strongest band, only that band could be called at all: ten
/// standard deviations are the limit of quantification (IUPAC).
const DROWNED_SHARE: f64 = 0.1;

/// Past this ratio a height is sure enough to be compared as a height.
const CLEAR: f64 = 10.0;

/// A run of usable points shorter than this holds no band and its baseline.
const LEAST_RUN: usize = 8;

/// Below this ratio no band can be measured (IUPAC's limit of quantification).
const LEAST_RATIO: f64 = 10.0;

/// Below this ratio bands of a tenth of the strongest are under the limit of detection.
const GOOD_RATIO: f64 = 30.0;

/// ATR bands below this absorbance come from a touch, not a contact (own choice, from measured
/// spectra of both kinds).
const CONTACT: f64 = 0.010;

/// A weak spectrum is still a spectrum if its strongest band stands so clear of the noise.
const CLEAR_THOUGH_WEAK: f64 = 60.0;

/// Where the air's carbon dioxide reaches this share of a weak spectrum, it is the air that was measured. Own
/// choice: two open spectra without contact have 0.17 and 0.25, one that can be read at a tenth 0.12.
const MOST_AIR_SHARE: f64 = 0.15;

/// More than this share of drowned points is worth saying.
const DROWNED_SAID: f64 = 0.02;

/// An offset or a slope above this share of the strongest band is more than scatter (own choice).
const MOST_OFFSET_SHARE: f64 = 3.0;

/// Carbon dioxide is never the strongest band of a sample; in cm⁻¹.
const CO2_CM1: Range<f64> = 2280.0..2400.0;

/// What the heights and the noise of a spectrum say.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Signal {
    /// Height of the strongest band above the lower hull, as absorbance.
    pub strongest: f64,
    /// Where it stands in cm⁻¹.
    pub strongest_cm1: f64,
    /// That height over the noise at that place.
    pub ratio: f64,
    /// Runs of wavenumbers in cm⁻¹ that can be read: measured, in range, and not drowned in noise.
    pub runs: Vec<(f64, f64)>,
    /// Share of the measured points that are drowned in noise.
    pub drowned: f64,
    /// Absorbance at which the quietest tenth of the spectrum rests.
    pub offset: f64,
    /// How far the lower hull moves from one end to the other.
    pub slope: f64,
}

impl Signal {
    /// Measures heights against the noise at each point.
    pub(super) fn of(spectrum: &Spectrum, noise: &[f64]) -> Self {
        let axis = spectrum.wavenumbers_cm1();
        let values = spectrum.absorbances();
        let flags = spectrum.flags();
        let (mut strongest, mut strongest_cm1, mut ratio) = (0.0_f64, 0.0, 0.0_f64);
        let mut slope: f64 = 0.0;
        let readable = |i: usize| flags[i] == PointFlag::Measured;
        let (mut points, mut corners, mut ground) = (Vec::new(), Vec::new(), Vec::new());
        for segment in spectrum.segments() {
            points.clear();
            points.reserve(segment.len());
            points.extend(
                segment.clone().filter(|i| readable(*i)).map(|i| Point::new(axis[i], values[i], i)),
            );
            lower_hull(&points, &mut corners, &mut ground);
            for (point, ground) in points.iter().zip(&ground) {
                let i = point.index;
                // Three points at a time: a lone spike is no band.
                let height = values[i].min(beside(values, i, segment)) - ground;
                if ratio >= CLEAR && height <= strongest {
                    continue;
                }
                // Where the noise alone reaches so high, height says nothing.
                let clear = height / noise[i];
                let better = (clear.min(CLEAR), height) > (ratio.min(CLEAR), strongest);
                if better && !CO2_CM1.contains(&axis[i]) {
                    (strongest, strongest_cm1, ratio) = (height, axis[i], clear);
                }
            }
            if let (Some(first), Some(last)) = (ground.first(), ground.last()) {
                slope = slope.max((last - first).abs());
            }
        }
        let clear = |i: usize| readable(i) && noise[i] <= DROWNED_SHARE * strongest;
        let measured = flags.iter().filter(|f| **f == PointFlag::Measured).count();
        let mut lowest = Vec::with_capacity(measured);
        lowest.extend((0..spectrum.len()).filter(|i| clear(*i)).map(|i| values[i]));
        let kept = lowest.len();
        Self {
            strongest,
            strongest_cm1,
            ratio,
            runs: runs(spectrum, clear),
            drowned: 1.0 - kept as f64 / measured.max(1) as f64,
            offset: quantile(&mut lowest, 0.1).unwrap_or(0.0),
            slope,
        }
    }
}

impl Signal {
    /// Returns what heights, noise and baseline say.
    pub(super) fn findings(&self, spectrum: &Spectrum) -> Vec<Finding> {
        let mut found = vec![self.signal_to_noise()];
        found.extend(self.contact(spectrum));
        found.push(
            Finding::note("strongest-band", format!("stands at {:.0} cm⁻¹", self.strongest_cm1))
                .figure(self.strongest, f64::NAN, "absorbance"),
        );
        if self.drowned > DROWNED_SAID && self.ratio >= LEAST_RATIO {
            let finding = Finding::note("noisy-range", "").figure(
                100.0 * self.drowned,
                100.0 * DROWNED_SAID,
                "%",
            );
            found.push(finding.raised(
                Severity::Limits,
                format!("noise drowns part of the range; what can be read is {}", self.readable()),
                "add scans, or cut the spectrum where the detector ends",
            ));
        }
        found.push(self.ground("offset", self.offset, "the spectrum rests far from zero"));
        found.push(self.ground("slope", self.slope, "the baseline is steep"));
        found
    }

    fn signal_to_noise(&self) -> Finding {
        let finding = Finding::note(
            "signal-to-noise",
            "strongest band over one standard deviation of the noise beside it",
        )
        .figure(self.ratio, LEAST_RATIO, "");
        let remedy = "press the sample closer, add scans, measure a new background";
        if self.ratio < LEAST_RATIO {
            finding.raised(Severity::Unfit, "no band stands clear of the noise", remedy)
        } else if self.ratio < GOOD_RATIO {
            finding.raised(Severity::Limits, "weak bands are under the noise", remedy)
        } else {
            finding
        }
    }

    fn contact(&self, spectrum: &Spectrum) -> Option<Finding> {
        let known = spectrum.ordinate() != Ordinate::RelativeAbsorbance
            && spectrum.mode() == MeasurementMode::Atr;
        (known && self.strongest < CONTACT).then(|| {
            let finding =
                Finding::note("poor-contact", "").figure(self.strongest, CONTACT, "absorbance");
            let remedy = "press the sample closer, turn a flat face down, or cut a chip";
            let air = vapour::carbon_dioxide_height(spectrum).unwrap_or(0.0).abs();
            if self.ratio < CLEAR_THOUGH_WEAK || air > MOST_AIR_SHARE * self.strongest {
                finding.raised(Severity::Unfit, "the sample hardly touched the element", remedy)
            } else {
                finding.raised(
                    Severity::Limits,
                    "poor contact: weak bands and those at high wavenumbers are too low",
                    remedy,
                )
            }
        })
    }

    fn ground(&self, id: &str, value: f64, consequence: &str) -> Finding {
        let limit = MOST_OFFSET_SHARE * self.strongest;
        let finding = Finding::note(id, "of the baseline").figure(value, limit, "absorbance");
        if value.abs() > limit {
            return finding.raised(
                Severity::Limits,
                format!("{consequence}: heights near it are unsafe"),
                "clean the element, measure a new background, improve the contact",
            );
        }
        finding
    }

    fn readable(&self) -> String {
        if self.runs.is_empty() {
            return "nothing".to_owned();
        }
        let stretches: Vec<String> =
            self.runs.iter().take(4).map(|(low, high)| format!("{low:.0}–{high:.0}")).collect();
        let more = if self.runs.len() > 4 { " and more" } else { "" };
        format!("{}{more} cm⁻¹", stretches.join(", "))
    }
}

/// The higher neighbour of a point within its segment.
fn beside(values: &[f64], i: usize, segment: &Range<usize>) -> f64 {
    let before = if i > segment.start { values[i - 1] } else { f64::NEG_INFINITY };
    let after = if i + 1 < segment.end { values[i + 1] } else { f64::NEG_INFINITY };
    before.max(after)
}

/// A point that may be read, with its place in the spectrum.
#[derive(Clone, Copy, Debug)]
struct Point {
    wavenumber_cm1: f64,
    value: f64,
    index: usize,
}

impl Point {
    const fn new(wavenumber_cm1: f64, value: f64, index: usize) -> Self {
        Self { wavenumber_cm1, value, index }
    }
}

/// Passes that drop what bulges between its neighbours before the hull is drawn. Noise turns at every second
/// point, and the hull alone would guess wrong at each; these passes have nothing to guess.
const BUMP_PASSES: usize = 3;

/// Drops the points that lie on or above the line between their neighbours: none is a corner of the hull.
fn drop_bumps(points: &mut Vec<(usize, Point)>) {
    let [mut before, .., last] = points[..] else { return };
    let mut kept = 1;
    for at in 1..points.len() - 1 {
        let (here, after) = (points[at], points[at + 1]);
        points[kept] = here;
        kept += usize::from(sags(&before.1, &here.1, &after.1));
        before = here;
    }
    points[kept] = last;
    points.truncate(kept + 1);
}

/// Returns whether `b` lies below the line from `a` to `c`.
fn sags(a: &Point, b: &Point, c: &Point) -> bool {
    let turn = (b.wavenumber_cm1 - a.wavenumber_cm1) * (c.value - a.value)
        - (b.value - a.value) * (c.wavenumber_cm1 - a.wavenumber_cm1);
    turn > 0.0
}

/// Writes the lower convex hull under the points to `ground`; `corners` is scratch space.
fn lower_hull(points: &[Point], corners: &mut Vec<(usize, Point)>, ground: &mut Vec<f64>) {
    corners.clear();
    corners.extend(points.iter().copied().enumerate());
    for _ in 0..BUMP_PASSES {
        drop_bumps(corners);
    }
    let mut kept = 0;
    for at in 0..corners.len() {
        let (k, c) = corners[at];
        while kept >= 2 && !sags(&corners[kept - 2].1, &corners[kept - 1].1, &c) {
            kept -= 1;
        }
        corners[kept] = (k, c);
        kept += 1;
    }
    corners.truncate(kept);
    ground.clear();
    ground.extend(points.iter().map(|point| point.value));
    for pair in corners.windows(2) {
        let ((from, a), (to, b)) = (pair[0], pair[1]);
        let slope = (b.value - a.value) / (b.wavenumber_cm1 - a.wavenumber_cm1);
        for (ground, point) in ground[from + 1..to].iter_mut().zip(&points[from + 1..to]) {
            *ground = a.value + slope * (point.wavenumber_cm1 - a.wavenumber_cm1);
        }
    }
}

/// Returns the stretches in which every point is clear, each end widened by half a step.
fn runs(spectrum: &Spectrum, clear: impl Fn(usize) -> bool) -> Vec<(f64, f64)> {
    let axis = spectrum.wavenumbers_cm1();
    let mut found = Vec::new();
    for segment in spectrum.segments() {
        let mut start = segment.start;
        for i in segment.start..=segment.end {
            if i < segment.end && clear(i) {
                continue;
            }
            if i >= start + LEAST_RUN {
                let low = axis[start] - (axis[start + 1] - axis[start]) / 2.0;
                let high = axis[i - 1] + (axis[i - 1] - axis[i - 2]) / 2.0;
                found.push((low, high));
            }
            start = i + 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prepare::hull_baseline;

    #[test]
    fn the_hull_is_the_one_drawn_without_dropping_bumps_first() {
        let mut state = 11_u64;
        for (round, count) in [0, 1, 2, 3, 4, 7, 60, 400].into_iter().cycle().take(80).enumerate() {
            let points: Vec<Point> = (0..count)
                .map(|i| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    let x = i as f64 + 0.3 * (state >> 60) as f64 / 16.0;
                    // Few levels in some rounds, so that many points lie on one line.
                    let noise = (state >> 33) as f64 % (2.0 + (round % 5) as f64 * 1000.0);
                    Point::new(x, noise + (x - 200.0).powi(2) / 100.0, i)
                })
                .collect();
            let (mut corners, mut ground) = (Vec::new(), Vec::new());
            lower_hull(&points, &mut corners, &mut ground);
            let axis: Vec<f64> = points.iter().map(|point| point.wavenumber_cm1).collect();
            let values: Vec<f64> = points.iter().map(|point| point.value).collect();
            let expected = hull_baseline(&axis, &values);
            assert_eq!(ground.len(), expected.len());
            for (found, expected) in ground.iter().zip(&expected) {
                assert!(
                    (found - expected).abs() <= 1e-9 * (1.0 + expected.abs()),
                    "{count} points"
                );
            }
        }
    }
}
