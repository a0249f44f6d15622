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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::made::Made;
    use crate::tables::Tables;

    /// Position in cm⁻¹, height, and half the width at 1/e.
    type Bands = [(f64, f64, f64)];

    /// As in measured sheets: 613, long sequences near 635, and 690 as broad as they.
    const CHLORIDE: [(f64, f64, f64); 3] =
        [(613.0, 1.0, 14.0), (636.0, 0.75, 12.0), (690.0, 0.45, 18.0)];

    /// Reads the pattern of these bands from `low_cm1` on, with what else a point shows.
    fn read(
        bands: &Bands,
        low_cm1: f64,
        one_sided: bool,
        more: impl Fn(f64) -> f64,
    ) -> Option<Pattern> {
        let count = ((2000.0 - low_cm1) / 2.0) as u32;
        let axis: Vec<f64> = (0..count).map(|i| low_cm1 + 2.0 * f64::from(i)).collect();
        let height = |x: f64| -> f64 {
            let all = bands.iter().chain(&[(1430.0, 1.0, 14.0)]);
            all.map(|(at, height, half)| height * (-((x - at) / half).powi(2)).exp()).sum()
        };
        let values = axis.iter().map(|x| 0.02 + 0.4 * (height(*x) + more(*x))).collect();
        let made = Made::of_values(values, axis);
        let of = &Tables::built_in().stretches().carbon_chlorine;
        pattern(of, &made.input().observed, one_sided)
    }

    const NOTHING: fn(f64) -> f64 = |_| 0.0;

    #[test]
    fn three_broad_bands_are_vinyl_chloride_and_their_heights_are_told() {
        let found = read(&CHLORIDE, 450.0, false, NOTHING).expect("the pattern");
        assert!((found.position_cm1 - 613.0).abs() < 3.0, "{found:?}");
        assert!((found.long_sequences - 0.78).abs() < 0.04, "{found:?}");
        assert!((found.upper - 0.44).abs() < 0.03, "{found:?}");
        // On a level that rises or falls, and with data that end below the first band.
        for slope in [-4.0e-4, 4.0e-4] {
            let sloping =
                read(&CHLORIDE, 450.0, false, |x| slope * (x - 2000.0)).expect("the same");
            assert!((sloping.upper - found.upper).abs() < 0.03, "{sloping:?}");
        }
        let cut = read(&CHLORIDE, 596.0, true, NOTHING).expect("the same");
        assert!((cut.upper - found.upper).abs() < 0.03, "{cut:?}");
        assert_eq!(read(&CHLORIDE, 596.0, false, NOTHING), None);
    }

    #[test]
    fn the_line_of_carbon_dioxide_is_no_valley() {
        let [first, long, upper] = CHLORIDE;
        let filled = [first, long, upper, (660.0, 0.6, 22.0)];
        let dip = |x: f64| -0.6 * (-((x - 667.5) / 2.2).powi(2)).exp();
        assert_eq!(read(&filled, 450.0, false, NOTHING), None);
        assert_eq!(read(&filled, 450.0, false, dip), None);
        // Nor does it hide one, up or down.
        assert!(read(&CHLORIDE, 450.0, false, dip).is_some());
        assert!(read(&CHLORIDE, 450.0, false, |x| -dip(x)).is_some());
    }

    #[test]
    fn bands_that_lack_one_of_the_three_or_the_valley_are_something_else() {
        let [first, long, upper] = CHLORIDE;
        for (what, bands) in [
            ("no long sequences", vec![first, upper]),
            ("nothing near 690", vec![first, long]),
            ("no first band", vec![long, upper]),
            ("a sharp band at 690 as rings have", vec![first, long, (690.0, 0.45, 5.0)]),
            ("no valley, as under talc at 669", vec![first, long, upper, (662.0, 0.7, 18.0)]),
            ("a band below that runs into the first", vec![first, long, upper, (585.0, 1.0, 14.0)]),
            ("an upper band higher than the first", vec![first, long, (690.0, 1.1, 18.0)]),
        ] {
            assert_eq!(read(&bands, 450.0, false, NOTHING), None, "{what}");
        }
    }
}
