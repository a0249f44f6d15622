//! Where the lines of water vapour stand, and what is left of a spectrum when broad bands are taken out.

use std::sync::LazyLock;

use super::water_lines::WATER_LINES;
use crate::spectrum::interpolate;
use crate::spectrum::zones::VAPOUR_LINES_CM1;

/// Which of the regions of lines holds the bend.
pub(super) const BEND: usize = 0;

/// Half distance in cm⁻¹ over which a point is compared with its neighbourhood: a line 5 cm⁻¹ wide keeps
/// four fifths of its height, a band 20 cm⁻¹ wide a fifth.
pub(super) const REACH_CM1: f64 = 5.0;

/// Full widths in cm⁻¹ that lines have when measured at 4 and at 8 cm⁻¹: far wider than their own.
const LINE_WIDTHS_CM1: [f64; 2] = [5.0, 9.0];

/// Shifts in cm⁻¹ of the combs that the true one is compared with: past a line's width, either way, the nearest first.
const SHIFTS_CM1: [f64; 20] = [
    5.0, -5.0, 6.0, -6.0, 7.0, -7.0, 8.0, -8.0, 9.0, -9.0, 10.0, -10.0, 11.0, -11.0, 12.0, -12.0,
    13.0, -13.0, 14.0, -14.0,
];

/// Half the stretch in cm⁻¹ over which fine structure is averaged to weigh it: bands of the sample have
/// more of it than the quiet places where lines can be seen.
pub(super) const WEIGHED_OVER_CM1: f64 = 25.0;

/// Step in cm⁻¹ of the prepared pattern, and how far it goes past its lines.
const PATTERN_STEP_CM1: f64 = 0.5;
const PATTERN_MARGIN_CM1: f64 = 40.0;

/// Lines among the carbonyls, in cm⁻¹, by which vapour is told from bands of the sample.
const TOLD_BY_CM1: [f64; 6] = [1653.2, 1684.4, 1699.9, 1717.5, 1734.3, 1772.7];
/// So many of them must show …
const LEAST_LINES: usize = 4;
/// … with their heights, as shares of what the fitted lines have there; ours: strengths are good to 25 %.
const HEIGHT_SHARE: (f64, f64) = (0.4, 2.5);
/// Distance in cm⁻¹ at which a line is compared with its sides, once and twice.
const BESIDE_CM1: f64 = 6.0;

/// Returns whether the lines among the carbonyls stand in a spectrum, or in a difference of spectra, with
/// about the heights that `fitted` has there.
///
/// A comb may be fitted to anything. A line stands out between points 6 cm⁻¹ away by its fourth
/// difference: smooth bands of the sample, which curve there too, leave little of that. Lines that the
/// spectrum does not reach count as not shown.
pub(crate) fn lines_among_carbonyls(
    axis: &[f64],
    values: &[f64],
    fitted: &dyn Fn(f64) -> f64,
) -> bool {
    let stands = |at: &dyn Fn(f64) -> Option<f64>, v: f64| -> Option<f64> {
        let sides = at(v - BESIDE_CM1)? + at(v + BESIDE_CM1)?;
        let feet = at(v - 2.0 * BESIDE_CM1)? + at(v + 2.0 * BESIDE_CM1)?;
        Some(at(v)? - (4.0 * sides - feet) / 6.0)
    };
    let shown = TOLD_BY_CM1.iter().filter(|&&line| {
        let seen = stands(&|v| interpolate(axis, values, v), line);
        let wanted = stands(&|v| Some(fitted(v)), line);
        seen.zip(wanted).is_some_and(|(seen, wanted)| {
            (HEIGHT_SHARE.0..=HEIGHT_SHARE.1).contains(&(seen / wanted))
        })
    });
    shown.count() >= LEAST_LINES
}

/// The lines of one region as an instrument shows them; the highest point has height 1.
#[derive(Debug, PartialEq)]
pub(super) struct Pattern {
    from_cm1: f64,
    values: Vec<f64>,
}

impl Pattern {
    fn new((low, high): (f64, f64), width_cm1: f64) -> Self {
        let from_cm1 = low - PATTERN_MARGIN_CM1;
        let count = ((high - low + 2.0 * PATTERN_MARGIN_CM1) / PATTERN_STEP_CM1) as usize + 1;
        let at = |i: usize| {
            let x = from_cm1 + PATTERN_STEP_CM1 * i as f64;
            WATER_LINES
                .iter()
                .map(|(line, strength)| strength / (1.0 + (2.0 * (x - line) / width_cm1).powi(2)))
                .sum()
        };
        let mut values: Vec<f64> = (0..count).map(at).collect();
        let highest = values.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
        values.iter_mut().for_each(|v| *v /= highest);
        Self { from_cm1, values }
    }

    pub(super) fn at(&self, x: f64) -> f64 {
        let place = (x - self.from_cm1) / PATTERN_STEP_CM1;
        if place < 0.0 {
            return 0.0;
        }
        let before = place as usize;
        match (self.values.get(before), self.values.get(before + 1)) {
            (Some(low), Some(high)) => low + (place - before as f64) * (high - low),
            _ => 0.0,
        }
    }
}

/// Patterns by region and by width; made once.
static PATTERNS: LazyLock<[[Pattern; 2]; 2]> = LazyLock::new(|| {
    VAPOUR_LINES_CM1.map(|region| LINE_WIDTHS_CM1.map(|width| Pattern::new(region, width)))
});

/// How well the lines of one region fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Comb {
    /// The lines as wide as they fit best.
    pub pattern: &'static Pattern,
    /// Height of the highest line; negative where the background held more vapour than the measurement.
    pub height: f64,
    /// Whether the lines are seen: correlated enough, and clearly more than when they are shifted.
    pub stands_out: bool,
}

/// What is left of a stretch when each point is compared with points one reach away on either side.
pub(super) struct Fine {
    axis: Vec<f64>,
    values: Vec<f64>,
    reach_cm1: f64,
}

impl Fine {
    /// Takes the fine structure of a region, or `None` where too few points lie in it.
    pub(super) fn of(
        axis: &[f64],
        values: &[f64],
        (low, high): (f64, f64),
        spacing_cm1: f64,
    ) -> Option<Self> {
        let reach = (REACH_CM1 / spacing_cm1).round().max(1.0) as usize;
        let start = axis.partition_point(|x| *x < low);
        let end = axis.partition_point(|x| *x <= high);
        if start < reach || end + reach > axis.len() || end < start + 16 {
            return None;
        }
        let fine = (start..end)
            .map(|i| values[i] - f64::midpoint(values[i - reach], values[i + reach]))
            .collect();
        Some(Self {
            axis: axis[start..end].to_vec(),
            values: fine,
            reach_cm1: reach as f64 * spacing_cm1,
        })
    }

    /// Fits the lines of a region, by their better width.
    ///
    /// Each point weighs by how much fine structure there is around it, so that bands of the sample have
    /// little say. `noise_sd` keeps quiet places from weighing too much.
    pub(super) fn comb(&self, region: usize, noise_sd: f64) -> Option<Comb> {
        let weights = weights(&self.axis, &self.values, noise_sd);
        let own: f64 = self.values.iter().zip(&weights).map(|(v, w)| w * v * v).sum();
        let fit = |pattern: &Pattern, shift: f64| {
            let (mut along, mut length) = (0.0, 0.0);
            for ((x, value), weight) in self.axis.iter().zip(&self.values).zip(&weights) {
                let x = x - shift;
                let beside =
                    f64::midpoint(pattern.at(x - self.reach_cm1), pattern.at(x + self.reach_cm1));
                let line = pattern.at(x) - beside;
                along += weight * value * line;
                length += weight * line * line;
            }
            (along / length, along / (own * length).sqrt())
        };
        let (pattern, (height, correlation)) = PATTERNS
            .get(region)?
            .iter()
            .map(|pattern| (pattern, fit(pattern, 0.0)))
            .filter(|(_, (_, correlation))| correlation.is_finite())
            .max_by(|a, b| a.1.1.abs().total_cmp(&b.1.1.abs()))?;
        // Shifted combs settle only what the true one leaves open, and the first that comes near settles it.
        let most = correlation.abs() / LEAST_OVER_SHIFTED;
        let stands_out = correlation.abs() >= LEAST_CORRELATION
            && !SHIFTS_CM1.iter().any(|shift| fit(pattern, *shift).1.abs() > most);
        Some(Comb { pattern, height, stands_out })
    }
}

/// Below this correlation there is no comb to speak of. Vapour that matters gives 0.77 and more in 98 of
/// 100, even over crowded bands (own measure on open spectra).
const LEAST_CORRELATION: f64 = 0.5;

/// The comb of lines must correlate so many times better than combs that are shifted. Vapour that
/// matters gives 1.5 and more (own measure on open spectra).
const LEAST_OVER_SHIFTED: f64 = 1.2;

/// Returns the inverse of the mean square of what is around each point.
pub(super) fn weights(axis: &[f64], values: &[f64], least_sd: f64) -> Vec<f64> {
    let mut sums = Vec::with_capacity(values.len() + 1);
    let mut total = 0.0;
    sums.push(total);
    for value in values {
        total += value * value;
        sums.push(total);
    }
    let (mut from, mut to) = (0, 0);
    axis.iter()
        .map(|x| {
            while axis[from] < x - WEIGHED_OVER_CM1 {
                from += 1;
            }
            while to < axis.len() && axis[to] <= x + WEIGHED_OVER_CM1 {
                to += 1;
            }
            let square = (sums[to] - sums[from]) / (to - from).max(1) as f64;
            (square + least_sd * least_sd).max(f64::MIN_POSITIVE).recip()
        })
        .collect()
}

/// Returns the fine structure at a wavenumber between points, or `None` too near an end.
pub(super) fn fine_at(axis: &[f64], values: &[f64], x: f64) -> Option<f64> {
    let at = |x: f64| interpolate(axis, values, x);
    Some(at(x)? - f64::midpoint(at(x - REACH_CM1)?, at(x + REACH_CM1)?))
}
