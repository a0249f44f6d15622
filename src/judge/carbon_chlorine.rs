//! The shape of the C–Cl stretches of vinyl chloride units, which nothing else in the table shows.
//!
//! Gauche and amorphous sequences stand near 613 cm⁻¹, long syndiotactic ones near 635, isotactic and
//! other gauche ones near 690: three broad bands that run into one another, the first the highest.
//! Whatever else absorbs at one of the three (polystyrene 697, sulphates 600 to 670, talc 670,
//! acetates 603, nitriles below 600) lacks the other two, or the valley between.

use crate::matching::Observed;
use crate::spectrum::{MeasurementMode, interpolate, window};
use crate::tables::{CarbonChlorine, Stretch};

/// What was read of the three bands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pattern {
    /// Where the first band is highest, in cm⁻¹.
    pub(super) position_cm1: f64,
    /// Height near 635 cm⁻¹ as a share of the first band's.
    pub(super) long_sequences: f64,
    /// Height near 690 cm⁻¹ as a share of the first band's.
    pub(super) upper: f64,
}

/// Returns the three bands where they have the shape of vinyl chloride units.
///
/// With data that end near 595 cm⁻¹ the baseline is level from the upper side.
pub(super) fn pattern(
    of: &CarbonChlorine,
    observed: &Observed<'_>,
    one_sided: bool,
) -> Option<Pattern> {
    let from = of.first_sought.cm1.0;
    if !observed.measured().covers(from, of.above.cm1.1)
        || observed.measured().saturated(from, of.upper.cm1.1)
    {
        return None;
    }
    let (axis, values) = (observed.axis_cm1(), observed.absorbances());
    let below = values.get(window(axis, of.below.cm1.0, of.below.cm1.1))?;
    let from_cm1 = f64::midpoint(of.below.cm1.0, of.below.cm1.1);
    // Where the curve stays lowest above them: other bands may stand anywhere in that stretch.
    let ends = window(axis, of.above.cm1.0, of.above.cm1.1)
        .filter_map(|i| Some((*axis.get(i)?, *values.get(i)?)));
    let (low, slope) = if one_sided {
        (ends.map(|end| end.1).fold(f64::INFINITY, f64::min), 0.0)
    } else if below.is_empty() {
        return None;
    } else {
        let low = below.iter().sum::<f64>() / below.len() as f64;
        (low, ends.map(|(x, y)| (y - low) / (x - from_cm1)).fold(f64::INFINITY, f64::min))
    };
    if !(low.is_finite() && slope.is_finite()) {
        return None;
    }
    let above = |i: usize| {
        let x = *axis.get(i)?;
        Some((x, values.get(i)? - low - slope * (x - from_cm1)))
    };
    let points = |(low, high): (f64, f64)| window(axis, low, high).filter_map(above);
    let highest = |stretch: (f64, f64)| points(stretch).max_by(|a, b| a.1.total_cmp(&b.1));
    let of_mode = |stretch: &Stretch| match observed.mode() {
        MeasurementMode::Transmission => stretch.transmission_cm1,
        MeasurementMode::Atr | MeasurementMode::Reflection => stretch.cm1,
    };
    let (position_cm1, first) = highest(of_mode(&of.first_sought))?;
    let (least, most) = of_mode(&of.first);
    if first <= 0.0 || !(least..=most).contains(&position_cm1) {
        return None;
    }
    let long_sequences = highest(of.long.cm1)?.1 / first;
    let mean = |stretch: (f64, f64)| {
        let (sum, count) = points(stretch).fold((0.0, 0.0), |(s, n), p| (s + p.1, n + 1.0));
        if count > 0.0 {
            return Some(sum / count);
        }
        // A coarse grid may have no point in a narrow stretch.
        let x = f64::midpoint(stretch.0, stretch.1);
        Some(interpolate(axis, values, x)? - low - slope * (x - from_cm1))
    };
    let upper = mean(of.upper.cm1)? / first;
    // Its flanks stand at half its height, which narrow bands do not.
    let broad = of
        .upper_flanks
        .iter()
        .all(|flank| mean(flank.cm1).is_some_and(|height| height >= upper * first / 2.0));
    let valley = points(of.valley.cm1).map(|p| p.1).fold(f64::INFINITY, f64::min) / first;
    let fallen = one_sided || points(of.fallen.cm1).all(|p| p.1 <= of.fallen.most * first);
    let within = |value: f64, of: &Stretch| (of.least..=of.most).contains(&value);
    (within(long_sequences, &of.long)
        && within(upper, &of.upper)
        && valley <= of.valley.most
        && valley < upper.min(long_sequences)
        && broad
        && fallen)
        .then_some(Pattern { position_cm1, long_sequences, upper })
}
