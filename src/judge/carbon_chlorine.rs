//! The shape of the C–Cl stretches of vinyl chloride units, which nothing else in the table shows.
//!
//! Gauche and amorphous sequences stand near 613 cm⁻¹, long syndiotactic ones near 635, isotactic and
//! other gauche ones near 690: three broad bands that run into one another, the first the highest.
//! Whatever else absorbs at one of the three (polystyrene 697, sulphates 600 to 670, talc 670,
//! acetates 603, nitriles below 600) lacks the other two, or the valley between.

use crate::matching::Observed;
use crate::spectrum::{MeasurementMode, interpolate, window};

/// Where the highest point of the first band stands in ATR, in cm⁻¹: the table's window, 603 to 620,
/// and a little above, for at low resolution it runs into the second.
const FIRST_CM1: (f64, f64) = (604.5, 622.0);
/// Where it is looked for: a maximum at the end belongs to a flank.
const FIRST_SOUGHT_CM1: (f64, f64) = (599.0, 626.0);
/// In transmission the first stands this much higher (621 against 613 by n and k of Zhang et al. 2020).
const TRANSMISSION_SHIFT_CM1: f64 = 7.0;
/// The long sequences.
const LONG_CM1: (f64, f64) = (628.0, 643.0);
/// The valley before the upper band.
const VALLEY_CM1: (f64, f64) = (648.0, 672.0);
/// The upper band: read here, and not where it is highest, for rings of phthalates (704), polystyrene
/// (697) and triaryl phosphates (688) stand on its flanks.
const UPPER_CM1: (f64, f64) = (686.0, 694.0);
/// Its flanks: it still stands at half its height there, which narrow bands do not.
const UPPER_FLANKS_CM1: [(f64, f64); 2] = [(676.0, 680.0), (700.0, 704.0)];

/// The baseline runs from the mean of this stretch below all three, in cm⁻¹, …
const BELOW_CM1: (f64, f64) = (571.0, 585.0);
/// … to that point of this one above them where it stays lowest: rings of phthalates (731, 743) and
/// long chains (720) may stand anywhere in it.
const ABOVE_CM1: (f64, f64) = (705.0, 825.0);

/// Heights beside the first band. Measured: two sheets, a resin, and n and k of Zhang et al. 2020
/// (0.71 to 0.93, 0.37 to 0.55, 0.13 to 0.31); the limits leave room for crystallinity and additives.
const LONG_TO_FIRST: (f64, f64) = (0.45, 1.05);
const UPPER_TO_FIRST: (f64, f64) = (0.12, 0.85);
const MOST_VALLEY: f64 = 0.5;

/// Outside the first band the curve must have fallen to this share of it: here, in cm⁻¹.
const FALLEN_AT_CM1: f64 = 590.0;
const FALLEN_TO: f64 = 0.6;

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
pub(super) fn pattern(observed: &Observed<'_>, one_sided: bool) -> Option<Pattern> {
    if !observed.measured().covers(FIRST_SOUGHT_CM1.0, ABOVE_CM1.1)
        || observed.measured().saturated(FIRST_SOUGHT_CM1.0, UPPER_CM1.1)
    {
        return None;
    }
    let (axis, values) = (observed.axis_cm1(), observed.absorbances());
    let below = values.get(window(axis, BELOW_CM1.0, BELOW_CM1.1))?;
    let from_cm1 = f64::midpoint(BELOW_CM1.0, BELOW_CM1.1);
    let ends = window(axis, ABOVE_CM1.0, ABOVE_CM1.1)
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
    let shift = match observed.mode() {
        MeasurementMode::Transmission => TRANSMISSION_SHIFT_CM1,
        MeasurementMode::Atr | MeasurementMode::Reflection => 0.0,
    };
    let shifted = |(low, high): (f64, f64)| (low + shift, high + shift);
    let (position_cm1, first) = highest(shifted(FIRST_SOUGHT_CM1))?;
    let (least, most) = shifted(FIRST_CM1);
    if first <= 0.0 || !(least..=most).contains(&position_cm1) {
        return None;
    }
    let long_sequences = highest(LONG_CM1)?.1 / first;
    let mean = |stretch: (f64, f64)| {
        let (sum, count) = points(stretch).fold((0.0, 0.0), |(s, n), p| (s + p.1, n + 1.0));
        if count > 0.0 {
            return Some(sum / count);
        }
        // A coarse grid may have no point in a narrow stretch.
        let x = f64::midpoint(stretch.0, stretch.1);
        Some(interpolate(axis, values, x)? - low - slope * (x - from_cm1))
    };
    let upper = mean(UPPER_CM1)? / first;
    let broad = UPPER_FLANKS_CM1
        .iter()
        .all(|flank| mean(*flank).is_some_and(|height| height >= upper * first / 2.0));
    let valley = points(VALLEY_CM1).map(|p| p.1).fold(f64::INFINITY, f64::min) / first;
    let fallen = one_sided
        || points((FALLEN_AT_CM1 - 3.0, FALLEN_AT_CM1 + 3.0)).all(|p| p.1 <= FALLEN_TO * first);
    let within = |value: f64, (least, most): (f64, f64)| (least..=most).contains(&value);
    (within(long_sequences, LONG_TO_FIRST)
        && within(upper, UPPER_TO_FIRST)
        && valley <= MOST_VALLEY
        && valley < upper.min(long_sequences)
        && broad
        && fallen)
        .then_some(Pattern { position_cm1, long_sequences, upper })
}
