//! What the ordinate is, where the file does not say so.
//!
//! Three independent signs are weighed. Where most values lie: a baseline is where nothing absorbs,
//! so most of a transmittance lies near its top and most of an absorbance near its bottom. Which
//! way the sharp features point. And how high the top and how low the bottom stand: light that is
//! not absorbed gives a transmittance of one, matter that does not absorb an absorbance of zero.

use crate::spectrum::Ordinate;
use crate::spectrum::zones::CURVATURE_CM1;

/// Above this no absorbance was ever measured; the values are percent or scaled.
const HIGHEST_ABSORBANCE: f64 = 6.0;

/// A transmittance as a fraction stays below this even with a poor background.
const HIGHEST_TRANSMITTANCE: f64 = 1.5;

/// A percent transmittance stays below this even with a poor background.
const HIGHEST_PERCENT: f64 = 200.0;

/// A sample that lets less than this through everywhere is opaque: the values are absorbances.
const LEAST_TOP_TRANSMITTANCE: f64 = 0.02;

/// Noise takes a transmittance this far below zero, as a share of its top, and no further.
const NEGATIVE_SHARE: f64 = 0.05;

/// The top of a transmittance with a sound background.
const SOUND_TOP: (f64, f64) = (0.7, 1.2);

/// The top of a transmittance with a poor one.
const POOR_TOP: (f64, f64) = (0.4, 1.5);

/// The bottom of an absorbance with a sound baseline, and with a poor one.
const ABSORBANCE_BOTTOMS: (f64, f64) = (0.1, 0.3);

/// The same for scaled values, as shares of the top.
const SCALED_BOTTOMS: (f64, f64) = (0.05, 0.2);

/// Where the bottom is within this share of a sound top, hardly anything absorbs: the level alone
/// speaks, and an absorbance that stays near one without a band is not met.
const HARDLY_ABSORBING: f64 = 0.9;

/// The median's distance from the middle of the range that counts as a full sign.
const FULL_MASS: f64 = 0.3;

/// The curvature skew that counts as a full sign; measured spectra of films and fibres show 0.1 to 0.6.
const FULL_SKEW: f64 = 0.15;

/// One full sign more for one reading than for the other decides.
const DECIDED: f64 = 1.0;

/// Against a file's own words all signs but one must stand.
const AGAINST_WORDS: f64 = 2.0;

/// Width of the means between which curvature is read; wider than noise, narrower than bands.
const CURVATURE_STEP_CM1: f64 = 8.0;

/// At most this many values are ordered to find the quantiles.
const QUANTILE_SAMPLE: usize = 4096;

/// What the values of one spectrum show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Signs {
    /// The value that one percent of the values lie below.
    pub low: f64,
    /// The value that one percent of the values lie above.
    pub high: f64,
    /// Where the median lies: −1 at the bottom, +1 at the top.
    pub mass: f64,
    /// Which way sharp features point: −1 up, +1 down.
    pub features: f64,
}

/// What the values allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Inferred {
    /// One reading alone fits, for this reason.
    One(Ordinate, &'static str),
    /// Two readings fit.
    Two(Ordinate, Ordinate),
}

impl Signs {
    /// Looks at finite `values` over ascending wavenumbers.
    pub(crate) fn of(wavenumbers_cm1: &[f64], values: &[f64]) -> Self {
        let (low, median, high) = quantiles(values);
        let range = high - low;
        let mass = if range > 0.0 {
            (((median - low) / range - 0.5) / FULL_MASS).clamp(-1.0, 1.0)
        } else {
            0.0
        };
        let features = (curvature_skew(wavenumbers_cm1, values) / FULL_SKEW).clamp(-1.0, 1.0);
        Self { low, high, mass, features }
    }

    /// Returns what `top` and `bottom` say: +1 transmittance, −1 absorbance.
    fn levels(&self, unit: f64, bottoms: (f64, f64)) -> f64 {
        let top = self.high / unit;
        let transmittance = if (SOUND_TOP.0..=SOUND_TOP.1).contains(&top) {
            if self.low >= HARDLY_ABSORBING * self.high { 2.0 } else { 1.0 }
        } else if (POOR_TOP.0..=POOR_TOP.1).contains(&top) {
            0.5
        } else if top < POOR_TOP.0 {
            // Hardly any sample is so dark at its clearest point.
            -0.5
        } else {
            0.0
        };
        let bottom = self.low.abs();
        let absorbance = if bottom <= bottoms.0 {
            1.0
        } else if bottom <= bottoms.1 {
            0.5
        } else {
            0.0
        };
        transmittance - absorbance
    }

    fn scaled_bottoms(&self) -> (f64, f64) {
        (SCALED_BOTTOMS.0 * self.high, SCALED_BOTTOMS.1 * self.high)
    }

    /// Returns the one reading that fits, or the two that do.
    pub(crate) fn infer(&self) -> Inferred {
        let direction = self.mass + self.features;
        let negative = self.low < -NEGATIVE_SHARE * self.high.abs();
        if self.high > HIGHEST_ABSORBANCE {
            let sum = direction + self.levels(100.0, self.scaled_bottoms());
            return if self.high > HIGHEST_PERCENT || negative {
                if sum < DECIDED {
                    Inferred::One(Ordinate::RelativeAbsorbance, "no transmittance holds them")
                } else {
                    Inferred::Two(Ordinate::PercentTransmittance, Ordinate::RelativeAbsorbance)
                }
            } else if sum >= DECIDED {
                Inferred::One(
                    Ordinate::PercentTransmittance,
                    "they lie below a baseline at the top, as light let through does",
                )
            } else if sum <= -DECIDED {
                Inferred::One(
                    Ordinate::RelativeAbsorbance,
                    "they rise from a baseline at the bottom, past any absorbance",
                )
            } else {
                Inferred::Two(Ordinate::PercentTransmittance, Ordinate::RelativeAbsorbance)
            };
        }
        if self.high > HIGHEST_TRANSMITTANCE {
            return if direction < DECIDED || negative {
                Inferred::One(
                    Ordinate::Absorbance,
                    "as transmittance they are too high, as percent too dark",
                )
            } else {
                Inferred::Two(Ordinate::Absorbance, Ordinate::PercentTransmittance)
            };
        }
        if negative {
            return Inferred::One(Ordinate::Absorbance, "no transmittance is negative");
        }
        if self.high < LEAST_TOP_TRANSMITTANCE {
            return Inferred::One(Ordinate::Absorbance, "as transmittance nothing came through");
        }
        let sum = direction + self.levels(1.0, ABSORBANCE_BOTTOMS);
        if sum >= DECIDED {
            Inferred::One(Ordinate::Transmittance, "they lie below a baseline at the top, near one")
        } else if sum <= -DECIDED {
            Inferred::One(Ordinate::Absorbance, "they rise from a baseline at the bottom")
        } else {
            Inferred::Two(Ordinate::Absorbance, Ordinate::Transmittance)
        }
    }

    /// Returns whether the values are percent where a fraction was stated.
    pub(crate) fn is_percent(&self) -> bool {
        self.high > HIGHEST_ABSORBANCE
    }

    /// Returns the reading that the values clearly show against a stated one.
    pub(crate) fn against(&self, stated: Ordinate) -> Option<Ordinate> {
        let up = stated_as_absorbance(stated);
        let (unit, bottoms) = if self.high > HIGHEST_ABSORBANCE {
            (100.0, self.scaled_bottoms())
        } else {
            (1.0, ABSORBANCE_BOTTOMS)
        };
        let sum = self.mass + self.features + self.levels(unit, bottoms);
        match self.infer() {
            Inferred::One(found, _)
                if stated_as_absorbance(found) != up && sum.abs() >= AGAINST_WORDS =>
            {
                Some(found)
            }
            _ => None,
        }
    }
}

fn stated_as_absorbance(ordinate: Ordinate) -> bool {
    matches!(ordinate, Ordinate::Absorbance | Ordinate::RelativeAbsorbance)
}

/// Weighs the spectra of one table together: they share one unit.
pub(crate) fn infer_together(all: &[Signs]) -> Option<Inferred> {
    let mut decided: Option<Inferred> = None;
    let mut open = None;
    for signs in all {
        match (signs.infer(), decided) {
            (found @ Inferred::One(..), None) => decided = Some(found),
            (Inferred::One(found, _), Some(Inferred::One(before, _))) if found != before => {
                return Some(Inferred::Two(before, found));
            }
            (two @ Inferred::Two(..), _) => open = Some(two),
            _ => {}
        }
    }
    decided.or(open)
}

fn quantiles(values: &[f64]) -> (f64, f64, f64) {
    let stride = values.len().div_ceil(QUANTILE_SAMPLE).max(1);
    let mut sample = Vec::with_capacity(values.len().div_ceil(stride));
    sample.extend(values.iter().step_by(stride).filter(|v| v.is_finite()).map(|v| ordered(*v)));
    let Some(last) = sample.len().checked_sub(1) else { return (0.0, 0.0, 0.0) };
    let (below, median, above) = sample.select_nth_unstable(last / 2);
    let median = *median;
    // The ends lie in the halves that the median leaves, or are the median where these are empty.
    let low = match below.len() {
        0 => median,
        _ => *below.select_nth_unstable(last / 100).1,
    };
    let from_median = last - last / 100 - last / 2;
    let high = match from_median.checked_sub(1) {
        None => median,
        Some(place) => *above.select_nth_unstable(place).1,
    };
    (value_of(low), value_of(median), value_of(high))
}

/// Returns an integer that is ordered as the value is: a selection compares a few thousand of them, and
/// whole numbers in one step.
fn ordered(value: f64) -> i64 {
    turned(value.to_bits().cast_signed())
}

/// Returns the value that an integer was made of by [`ordered`].
fn value_of(ordered: i64) -> f64 {
    f64::from_bits(turned(ordered).cast_unsigned())
}

/// Turns the order of negative values round: the sign stands in front of the size. Twice is as before.
fn turned(bits: i64) -> i64 {
    bits ^ ((bits >> 63).cast_unsigned() >> 1).cast_signed()
}

/// Returns the skew of the second differences between means, −1 to 1: above zero where the
/// sharpest features point down.
fn curvature_skew(wavenumbers_cm1: &[f64], values: &[f64]) -> f64 {
    let (mut squares, mut sizes) = (0.0, 0.0);
    // Squares let the tips outweigh the flanks without letting one spike outweigh all.
    let mut add = |second: f64| {
        squares += second * second.abs();
        sizes += second * second;
    };
    for (low, high) in CURVATURE_CM1 {
        let zone = crate::spectrum::window(wavenumbers_cm1, low, high);
        // The last three means and the bins they stand for.
        let mut means: [(f64, f64); 3] = [(f64::NEG_INFINITY, 0.0); 3];
        let (axis, values) = (&wavenumbers_cm1[zone.clone()], &values[zone]);
        let mut at = 0;
        while let Some(&wavenumber) = axis.get(at) {
            let bin = ((wavenumber - low) / CURVATURE_STEP_CM1).floor();
            // The step is a power of two, so that the bin's end is what a division would tell.
            let end = (bin + 1.0) * CURVATURE_STEP_CM1;
            let (mut sum, mut count) = (0.0, 0.0);
            for (wavenumber, value) in axis[at..].iter().zip(&values[at..]) {
                // The first point is always taken, so that no axis is walked for ever.
                if count > 0.0 && wavenumber - low >= end {
                    break;
                }
                sum += value;
                count += 1.0;
                at += 1;
            }
            means = [means[1], means[2], (bin, sum / count)];
            // The last bin of a zone is left out: its points may be few.
            if at < axis.len() && means[0].0 + 1.0 == means[1].0 && means[1].0 + 1.0 == means[2].0 {
                add(means[0].1 - 2.0 * means[1].1 + means[2].1);
            }
        }
    }
    if sizes > 0.0 { squares / sizes } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lorentz bands at PVC-like places over a sloping baseline, as absorbance.
    fn film(scale: f64, offset: f64) -> (Vec<f64>, Vec<f64>) {
        let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let bands = [
            (690.0, 20.0, 0.6),
            (960.0, 25.0, 0.4),
            (1255.0, 20.0, 0.7),
            (1330.0, 12.0, 0.4),
            (1427.0, 10.0, 0.5),
            (2915.0, 30.0, 0.4),
        ];
        let values = axis.iter().map(|&v| {
            let sum: f64 = bands
                .iter()
                .map(|&(at, half, height): &(f64, f64, f64)| {
                    height / (1.0 + ((v - at) / half).powi(2))
                })
                .sum();
            offset + scale * sum
        });
        (axis.clone(), values.collect())
    }

    #[test]
    fn the_skew_is_that_of_means_told_point_by_point() {
        // The reference implementation: each point's bin by a division, all means in a list.
        let reference = |axis: &[f64], values: &[f64]| {
            let (mut squares, mut sizes) = (0.0, 0.0);
            for (low, high) in CURVATURE_CM1 {
                let mut bins: std::collections::BTreeMap<u32, Vec<f64>> = Default::default();
                for (x, value) in axis.iter().zip(values) {
                    if (low..=high).contains(x) {
                        let bin = ((x - low) / CURVATURE_STEP_CM1) as u32;
                        bins.entry(bin).or_default().push(*value);
                    }
                }
                bins.pop_last();
                let means: std::collections::BTreeMap<u32, f64> = bins
                    .iter()
                    .map(|(bin, v)| (*bin, v.iter().sum::<f64>() / v.len() as f64))
                    .collect();
                for (bin, mean) in &means {
                    if let (Some(next), Some(last)) = (means.get(&(bin + 1)), means.get(&(bin + 2)))
                    {
                        let second = mean - 2.0 * next + last;
                        squares += second * second.abs();
                        sizes += second * second;
                    }
                }
            }
            squares / sizes
        };
        let (axis, values) = film(1.0, 0.1);
        let uneven: Vec<f64> = axis.iter().map(|x| x + x * x / 9.0e3).collect();
        // With a hole, bins that are no neighbours make no curvature.
        let whole = |x: &f64| !(1100.0..1200.0).contains(x);
        let kept: Vec<usize> = (0..axis.len()).filter(|i| whole(&axis[*i])).collect();
        let holed: (Vec<f64>, Vec<f64>) = kept.iter().map(|i| (axis[*i], values[*i])).unzip();
        for (axis, values) in [(&axis, &values), (&uneven, &values), (&holed.0, &holed.1)] {
            let (found, expected) = (curvature_skew(axis, values), reference(axis, values));
            assert!((found - expected).abs() < 1e-12, "{found} {expected}");
        }
    }

    fn read(axis: &[f64], values: &[f64]) -> Inferred {
        Signs::of(axis, values).infer()
    }

    fn is(inferred: Inferred, ordinate: Ordinate) -> bool {
        matches!(inferred, Inferred::One(found, _) if found == ordinate)
    }

    #[test]
    fn tells_absorbance_from_transmittance_at_any_strength() {
        for scale in [0.02, 0.1, 0.5, 1.0, 1.4] {
            let (axis, values) = film(scale, 0.01);
            assert!(is(read(&axis, &values), Ordinate::Absorbance), "A at {scale}");
            let fractions: Vec<f64> = values.iter().map(|a| 10f64.powf(-a)).collect();
            assert!(is(read(&axis, &fractions), Ordinate::Transmittance), "T at {scale}");
            let percent: Vec<f64> = fractions.iter().map(|t| 100.0 * t).collect();
            assert!(is(read(&axis, &percent), Ordinate::PercentTransmittance), "%T at {scale}");
        }
    }

    #[test]
    fn whole_numbers_are_ordered_as_the_values_they_were_made_of() {
        let values = [f64::MIN, -2.5, -1e-300, -0.0, 0.0, 1e-300, 0.3, 1.0, f64::MAX];
        for (i, a) in values.iter().enumerate() {
            assert_eq!(value_of(ordered(*a)).to_bits(), a.to_bits());
            for (j, b) in values.iter().enumerate() {
                assert_eq!(ordered(*a).cmp(&ordered(*b)), i.cmp(&j), "{a} {b}");
            }
        }
        assert_eq!(quantiles(&[0.3, -1.0, 0.2]), (-1.0, 0.2, 0.3));
        assert_eq!(quantiles(&[0.3]), (0.3, 0.3, 0.3));
        assert_eq!(quantiles(&[]), (0.0, 0.0, 0.0));
    }

    #[test]
    fn reads_absorbance_scaled_to_a_hundred_as_relative() {
        let (axis, values) = film(130.0, 0.0);
        assert!(is(read(&axis, &values), Ordinate::RelativeAbsorbance));
    }

    #[test]
    fn reads_a_flat_line_at_one_as_transmittance_and_at_zero_as_absorbance() {
        let (axis, _) = film(1.0, 0.0);
        let noise = |i: usize| 0.0003 * ((i * 7919 % 101) as f64 / 50.0 - 1.0);
        let ones: Vec<f64> = (0..axis.len()).map(|i| 1.0 + noise(i)).collect();
        assert!(is(read(&axis, &ones), Ordinate::Transmittance));
        let hundreds: Vec<f64> = ones.iter().map(|v| 100.0 * v).collect();
        assert!(is(read(&axis, &hundreds), Ordinate::PercentTransmittance));
        let zeros: Vec<f64> = (0..axis.len()).map(noise).collect();
        assert!(is(read(&axis, &zeros), Ordinate::Absorbance));
    }

    #[test]
    fn reads_inverted_bands_below_zero_as_absorbance() {
        let (axis, values) = film(-0.3, 0.05);
        assert!(is(read(&axis, &values), Ordinate::Absorbance));
    }

    #[test]
    fn leaves_a_slope_without_bands_open() {
        let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let slope: Vec<f64> = (0..1700).map(|i| 0.2 + 0.9 * f64::from(i) / 1700.0).collect();
        assert_eq!(
            read(&axis, &slope),
            Inferred::Two(Ordinate::Absorbance, Ordinate::Transmittance)
        );
    }

    #[test]
    fn weighs_the_spectra_of_a_table_together() {
        let (axis, strong) = film(0.5, 0.0);
        let slope: Vec<f64> = (0..1700).map(|i| 0.2 + 0.9 * f64::from(i) / 1700.0).collect();
        let fractions: Vec<f64> = strong.iter().map(|a| 10f64.powf(-a)).collect();
        let [strong, slope, fractions] =
            [&strong, &slope, &fractions].map(|values| Signs::of(&axis, values));
        let decided = infer_together(&[slope, strong]).expect("two spectra");
        assert!(is(decided, Ordinate::Absorbance));
        let torn = infer_together(&[strong, fractions]).expect("two spectra");
        assert!(matches!(torn, Inferred::Two(..)));
        assert_eq!(infer_together(&[]), None);
    }

    #[test]
    fn speaks_up_against_a_wrong_heading() {
        let (axis, values) = film(0.5, 0.01);
        let percent: Vec<f64> = values.iter().map(|a| 100.0 * 10f64.powf(-a)).collect();
        let signs = Signs::of(&axis, &percent);
        assert_eq!(signs.against(Ordinate::Absorbance), Some(Ordinate::PercentTransmittance));
        assert_eq!(signs.against(Ordinate::PercentTransmittance), None);
        let signs = Signs::of(&axis, &values);
        assert_eq!(signs.against(Ordinate::Transmittance), Some(Ordinate::Absorbance));
    }
}
