//! How strong the bands are, how much noise there is, and where it drowns them.

use super::carbon_dioxide::carbon_dioxide_height;
use super::{Finding, Severity};
use crate::spectrum::zones::{CARBON_DIOXIDE_CM1, is_in};
use crate::spectrum::{MeasurementMode, Ordinate, PointFlag, Spectrum, quantile};

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
        let measured = flags.iter().filter(|f| **f == PointFlag::Measured).count();
        let (mut readable, mut hull) = (Readable::default(), Hull::default());
        for segment in spectrum.segments() {
            let within = &flags[segment.clone()];
            let (axis, values) = (&axis[segment.clone()], &values[segment.clone()]);
            let all = within.iter().all(|flag| *flag == PointFlag::Measured);
            if !all {
                readable.take(axis, values, within);
            }
            let ground = if all {
                hull.under(axis, values)
            } else {
                hull.under(&readable.wavenumbers_cm1, &readable.values)
            };
            for (place, ground) in ground.iter().enumerate() {
                let i = if all { place } else { readable.places[place] };
                // Three points at a time: a lone spike is no band.
                let height = values[i].min(beside(values, i)) - ground;
                if ratio >= CLEAR && height <= strongest {
                    continue;
                }
                // Where the noise alone reaches so high, height says nothing.
                let clear = height / noise[segment.start + i];
                let better = (clear.min(CLEAR), height) > (ratio.min(CLEAR), strongest);
                if better && !is_in(CARBON_DIOXIDE_CM1, axis[i]) {
                    (strongest, strongest_cm1, ratio) = (height, axis[i], clear);
                }
            }
            if let (Some(first), Some(last)) = (ground.first(), ground.last()) {
                slope = slope.max((last - first).abs());
            }
        }
        let most_noise = DROWNED_SHARE * strongest;
        let clear = |i: usize| flags[i] == PointFlag::Measured && noise[i] <= most_noise;
        // Mostly every point is clear, which is told many points at a time.
        let all_clear = measured == spectrum.len()
            && noise.iter().fold(true, |clear, sd| clear & (*sd <= most_noise));
        let mut lowest = if all_clear {
            values.to_vec()
        } else {
            (0..spectrum.len()).filter(|i| clear(*i)).map(|i| values[i]).collect()
        };
        let kept = lowest.len();
        Self {
            strongest,
            strongest_cm1,
            ratio,
            runs: if all_clear { runs(spectrum, |_| true) } else { runs(spectrum, clear) },
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
        let remedy = "press closer what can bear it, add scans, measure a new background";
        if self.ratio < LEAST_RATIO {
            finding.raised(Severity::Unfit, "no band stands clear of the noise", remedy)
        } else if self.ratio < GOOD_RATIO {
            let finding = finding.figure(self.ratio, GOOD_RATIO, "");
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
            let remedy = "press closer what can bear it, turn a flat face down, or, with permission, take a chip";
            let air = carbon_dioxide_height(spectrum).unwrap_or(0.0).abs();
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
fn beside(values: &[f64], i: usize) -> f64 {
    let before = i.checked_sub(1).and_then(|i| values.get(i)).copied();
    let after = values.get(i + 1).copied();
    before.unwrap_or(f64::NEG_INFINITY).max(after.unwrap_or(f64::NEG_INFINITY))
}

/// The points of a segment that may be read, where not all may, with their places in it.
#[derive(Default)]
struct Readable {
    wavenumbers_cm1: Vec<f64>,
    values: Vec<f64>,
    places: Vec<usize>,
}

impl Readable {
    fn take(&mut self, axis: &[f64], values: &[f64], flags: &[PointFlag]) {
        self.places.clear();
        self.places.extend((0..flags.len()).filter(|i| flags[*i] == PointFlag::Measured));
        self.wavenumbers_cm1.clear();
        self.wavenumbers_cm1.extend(self.places.iter().map(|i| axis[*i]));
        self.values.clear();
        self.values.extend(self.places.iter().map(|i| values[*i]));
    }
}

/// Points of which the lowest alone takes part in a first hull. Noise turns at every second point, and a hull
/// drawn through all would cost a branch misprediction at each; hardly a point lies below the first one.
const BLOCK: usize = 16;

/// A point that may be a corner of the hull.
#[derive(Clone, Copy, Debug)]
struct Point {
    wavenumber_cm1: f64,
    value: f64,
    place: usize,
}

/// Returns whether `b` lies below the line from `a` to `c`.
fn sags(a: &Point, b: &Point, c: &Point) -> bool {
    let turn = (b.wavenumber_cm1 - a.wavenumber_cm1) * (c.value - a.value)
        - (b.value - a.value) * (c.wavenumber_cm1 - a.wavenumber_cm1);
    turn > 0.0
}

/// The lower convex hull, and the room it is drawn in.
#[derive(Default)]
struct Hull {
    corners: Vec<Point>,
    ground: Vec<f64>,
}

impl Hull {
    /// Returns the height of the lower convex hull at each point.
    fn under(&mut self, axis: &[f64], values: &[f64]) -> &[f64] {
        let point = |place| Point { wavenumber_cm1: axis[place], value: values[place], place };
        self.ground.clear();
        self.ground.extend_from_slice(values);
        let Some(last) = values.len().checked_sub(1) else { return &self.ground };
        self.corners.clear();
        self.corners.push(point(0));
        for (block, values) in values.chunks(BLOCK).enumerate() {
            let (mut lowest, mut least) = (0, f64::INFINITY);
            for (place, value) in values.iter().enumerate() {
                lowest = if *value < least { place } else { lowest };
                least = if *value < least { *value } else { least };
            }
            let place = block * BLOCK + lowest;
            if place > 0 {
                self.corners.push(point(place));
            }
        }
        if last > 0 {
            self.corners.push(point(last));
        }
        keep_corners(&mut self.corners);
        self.draw(axis);
        let below = |place: &usize| values[*place] < self.ground[*place];
        if values.iter().zip(&self.ground).fold(false, |any, (value, hull)| any | (value < hull)) {
            self.corners.extend((0..values.len()).filter(below).map(point));
            self.corners.sort_unstable_by_key(|corner| corner.place);
            keep_corners(&mut self.corners);
            self.draw(axis);
        }
        &self.ground
    }

    /// Writes the height of the lines between the corners.
    fn draw(&mut self, axis: &[f64]) {
        for pair in self.corners.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let slope = (b.value - a.value) / (b.wavenumber_cm1 - a.wavenumber_cm1);
            self.ground[a.place] = a.value;
            let between = a.place + 1..b.place;
            for (ground, x) in self.ground[between.clone()].iter_mut().zip(&axis[between]) {
                *ground = a.value + slope * (x - a.wavenumber_cm1);
            }
        }
    }
}

/// Leaves those of ascending points that are corners of their lower hull.
fn keep_corners(points: &mut Vec<Point>) {
    let mut kept = 0;
    for at in 0..points.len() {
        let here = points[at];
        while kept >= 2 && !sags(&points[kept - 2], &points[kept - 1], &here) {
            kept -= 1;
        }
        points[kept] = here;
        kept += 1;
    }
    points.truncate(kept);
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
    use crate::spectrum::SpectrumParts;

    #[test]
    fn the_hull_is_the_one_drawn_through_all_points() {
        let mut state = 11_u64;
        let mut hull = Hull::default();
        for (round, count) in [0, 1, 2, 3, 4, 7, 60, 400].into_iter().cycle().take(80).enumerate() {
            let (axis, values): (Vec<f64>, Vec<f64>) = (0..count)
                .map(|i| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    let x = i as f64 + 0.3 * (state >> 60) as f64 / 16.0;
                    // Few levels in some rounds, so that many points lie on one line.
                    let noise = (state >> 33) as f64 % (2.0 + (round % 5) as f64 * 1000.0);
                    (x, noise + (x - 200.0).powi(2) / 100.0)
                })
                .unzip();
            let ground = hull.under(&axis, &values);
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

    #[test]
    fn where_noise_drowns_part_of_the_range_the_finding_says_what_can_be_read() {
        let said = |runs: &[(f64, f64)]| {
            let signal = Signal {
                strongest: 0.4,
                strongest_cm1: 1730.0,
                ratio: 50.0,
                runs: runs.to_vec(),
                drowned: 0.1,
                offset: 0.0,
                slope: 0.0,
            };
            let axis: Vec<f64> = (1..11).map(f64::from).collect();
            let spectrum = Spectrum::new(SpectrumParts::new(axis, vec![0.1; 10])).expect("valid");
            let findings = signal.findings(&spectrum);
            findings.into_iter().find(|f| f.id == "noisy-range").expect("found").consequence
        };
        let two = said(&[(600.0, 1800.0), (2700.0, 3600.0)]);
        assert!(two.ends_with("what can be read is 600–1800, 2700–3600 cm⁻¹"), "{two}");
        let many: Vec<(f64, f64)> =
            (1..7).map(|i| (100.0 * f64::from(i), 100.0 * f64::from(i) + 50.0)).collect();
        let many = said(&many);
        assert!(many.ends_with("100–150, 200–250, 300–350, 400–450 and more cm⁻¹"), "{many}");
        assert!(said(&[]).ends_with("what can be read is nothing"));
    }
}
