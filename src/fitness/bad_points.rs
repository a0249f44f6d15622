//! Single bad points: a zero, a negative value or a spike where a reading was dropped or a ray struck.
//!
//! An interferometer draws no band narrower than its resolution, and the points of a file stand no farther
//! apart than that. So a band always lifts its neighbours too, while a bad point leaves them where they are.

use super::NoiseProfile;
use crate::spectrum::{PointFlag, Spectrum, Step, Warning, quantile};

/// A bad point stands out this many times as far as its neighbours bend. A Gaussian band as narrow as an
/// apodised line can be (1.2 steps wide at half height) reaches 6 on its own skirts; of 783 measured spectra
/// in which nothing was dropped, none reaches 4 with the other conditions.
const LEAST_OVER_BEND: f64 = 8.0;

/// Downwards half of that is enough: no band points there.
const LEAST_OVER_BEND_DOWNWARDS: f64 = 4.0;

/// And this many times above the noise: among ten thousand points of white noise the largest reaches 4.
const LEAST_OVER_NOISE: f64 = 12.0;

/// What is less than this share of the spectrum's own range moves no answer.
const LEAST_SHARE_OF_RANGE: f64 = 0.01;

/// Where more than this share of all points look bad, it is noise or a detector at its ceiling, and
/// nothing is mended.
const MOST_SHARE_OF_POINTS: f64 = 0.01;

/// Most bad points in a row: more are a gap or a band. Two upwards must be the very same reading.
const LONGEST_ROW: usize = 2;

/// Points on either side that must agree with each other.
const BESIDE: usize = 3;

/// Most points that a warning names.
const MOST_NAMED: usize = 4;

/// One or two points far outside what their neighbours and the noise allow.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct BadPoint {
    /// Index of the point.
    pub index: usize,
    /// Where it stands in cm⁻¹.
    pub wavenumber_cm1: f64,
    /// What the file says: absorbance.
    pub absorbance: f64,
    /// What the points beside it say: absorbance.
    pub expected: f64,
}

/// Returns the bad points of a spectrum, by ascending wavenumber.
#[must_use]
pub fn bad_points(spectrum: &Spectrum) -> Vec<BadPoint> {
    let mut found = Vec::new();
    for segment in spectrum.segments() {
        let values = &spectrum.absorbances()[segment.clone()];
        let mut at = BESIDE;
        while at + BESIDE < values.len() {
            let row = (1..=LONGEST_ROW).find(|row| stands_alone(values, at, *row));
            if let Some(row) = row {
                found.extend(
                    (at..at + row).map(|i| (segment.start + i, bridged(values, at, row, i))),
                );
            }
            at += row.unwrap_or(0) + 1;
        }
    }
    if found.is_empty() {
        return Vec::new();
    }
    // Few spectra come here; what follows costs more than the search.
    let noise = NoiseProfile::of(spectrum);
    let mut sorted = spectrum.absorbances().to_vec();
    let range =
        quantile(&mut sorted, 0.98).unwrap_or(0.0) - quantile(&mut sorted, 0.02).unwrap_or(0.0);
    let blank = |i: usize| matches!(spectrum.flags()[i], PointFlag::Masked | PointFlag::Padded);
    let bad: Vec<BadPoint> = found
        .into_iter()
        .filter(|(i, _)| !(i - BESIDE..=i + BESIDE).any(blank))
        .map(|(index, expected)| BadPoint {
            index,
            wavenumber_cm1: spectrum.wavenumbers_cm1()[index],
            absorbance: spectrum.absorbances()[index],
            expected,
        })
        .filter(|point| {
            let away = (point.absorbance - point.expected).abs();
            away > LEAST_SHARE_OF_RANGE * range
                && away > LEAST_OVER_NOISE * noise.at(point.wavenumber_cm1)
        })
        .collect();
    let most = (MOST_SHARE_OF_POINTS * spectrum.len() as f64).max(1.0);
    if bad.len() as f64 > most { Vec::new() } else { bad }
}

/// Replaces bad points by what lies between their neighbours, and says so in the history and in a warning.
#[must_use]
pub fn bridge_bad_points(spectrum: Spectrum) -> Spectrum {
    let bad = bad_points(&spectrum);
    if bad.is_empty() {
        return spectrum;
    }
    let named: Vec<String> = bad
        .iter()
        .take(MOST_NAMED)
        .map(|point| {
            format!(
                "{:.1} cm⁻¹ ({:.4}, its neighbours {:.4})",
                point.wavenumber_cm1, point.absorbance, point.expected
            )
        })
        .collect();
    let more = if bad.len() > MOST_NAMED { " and more" } else { "" };
    let points = if bad.len() == 1 { "1 bad point was" } else { "bad points were" };
    let count = if bad.len() == 1 { String::new() } else { format!("{} ", bad.len()) };
    let text = format!(
        "{count}{points} left out and bridged from the neighbours: {}{more}; look at the spectrum, and measure again where a band stands there",
        named.join(", ")
    );
    let step = Step::new("bridge bad points").with("points", bad.len());
    let values: Vec<(usize, f64)> = bad.iter().map(|point| (point.index, point.expected)).collect();
    spectrum.with_bridged(&values, step).with_warning(Warning::new("bad-points", text))
}

/// Returns whether a row of points stands out of a smooth curve through the points beside it, to one side.
fn stands_alone(values: &[f64], start: usize, row: usize) -> bool {
    let beside = |from: usize| values.get(from..)?.first_chunk::<BESIDE>();
    let (Some(&[l3, l2, l1]), Some(&[r1, r2, r3])) = (beside(start - BESIDE), beside(start + row))
    else {
        return false;
    };
    let bridge = (r1 - l1) / (row + 1) as f64;
    let (left, right) = (l1 - l2, r2 - r1);
    let before_it = (left - (l2 - l3)).abs();
    let away = |k: usize| values[start + k] - (l1 + bridge * (k + 1) as f64);
    let first = away(0);
    // Nearly all points fail by this alone.
    if first.abs() <= LEAST_OVER_BEND_DOWNWARDS * before_it {
        return false;
    }
    let bend = before_it
        .max((right - (r3 - r2)).abs())
        .max((bridge - left).abs())
        .max((bridge - right).abs());
    // A real band between two points may lift just these two; but not to the very same value.
    if row > 1
        && first > 0.0
        && (1..row).any(|k| values[start + k].to_bits() != values[start].to_bits())
    {
        return false;
    }
    let least = bend * if first > 0.0 { LEAST_OVER_BEND } else { LEAST_OVER_BEND_DOWNWARDS };
    (0..row).all(|k| {
        let away = away(k);
        away.abs() > least && away.signum() == first.signum()
    })
}

/// Returns the value at a point of a row on the cubic through the two points on either side.
fn bridged(values: &[f64], start: usize, row: usize, point: usize) -> f64 {
    let nodes = [start - 2, start - 1, start + row, start + row + 1];
    let apart = |a: usize, b: usize| a as f64 - b as f64;
    nodes
        .iter()
        .map(|node| {
            let others = nodes.iter().filter(|other| *other != node);
            let weight: f64 =
                others.map(|other| apart(point, *other) / apart(*node, *other)).product();
            weight * values[*node]
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    /// Bands of these widths at half height in cm⁻¹ on a grid of 2 cm⁻¹, with a little noise.
    fn spectrum(width_cm1: f64, change: impl Fn(usize, f64) -> f64) -> Spectrum {
        let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let mut state = 7_u64;
        let values = axis
            .iter()
            .enumerate()
            .map(|(i, x)| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                let noise = 2.0e-4 * ((state >> 40) as f64 / 2f64.powi(24) - 0.5);
                let band = |centre: f64, height: f64| {
                    height * (-4.0 * 2f64.ln() * ((x - centre) / width_cm1).powi(2)).exp()
                };
                change(i, 0.05 + noise + band(1100.0, 0.6) + band(1730.0, 0.4) + band(2901.0, 0.2))
            })
            .collect();
        Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
    }

    #[test]
    fn a_zero_a_negative_and_a_spike_are_found_alone_and_in_pairs() {
        for bad in [0.0, -0.4, 1.9] {
            for row in [1, 2] {
                for at in [40, 243, 700, 1400] {
                    let hit = |i: usize| (at..at + row).contains(&i);
                    let damaged = spectrum(20.0, |i, v| if hit(i) { bad } else { v });
                    let found: Vec<usize> = bad_points(&damaged).iter().map(|p| p.index).collect();
                    assert_eq!(found, (at..at + row).collect::<Vec<_>>(), "{bad} at {at}");
                    let whole = spectrum(20.0, |_, v| v);
                    let mended = bridge_bad_points(damaged);
                    for i in at..at + row {
                        let away = mended.absorbances()[i] - whole.absorbances()[i];
                        assert!(away.abs() < 0.01, "{bad} at {at}: {away}");
                    }
                    assert!(mended.warnings().iter().any(|w| w.id == "bad-points"));
                    assert_eq!(
                        mended.history().last().map(|s| s.name.as_str()),
                        Some("bridge bad points")
                    );
                }
            }
        }
    }

    #[test]
    fn a_band_as_narrow_as_an_instrument_can_draw_is_no_bad_point() {
        // 1.2 steps at half height: the narrowest line of an interferometer without zero filling.
        for width_cm1 in [2.4, 3.0, 4.0, 6.0, 10.0] {
            let found = bad_points(&spectrum(width_cm1, |_, v| v));
            assert_eq!(found, Vec::new(), "{width_cm1} cm⁻¹");
        }
    }

    #[test]
    fn noise_and_coarse_rounding_hold_no_bad_points() {
        let noisy = spectrum(20.0, |i, v| v + 0.02 * ((i * 7919 % 101) as f64 / 50.0 - 1.0));
        assert_eq!(bad_points(&noisy), Vec::new());
        let coarse = spectrum(20.0, |_, v| (v * 200.0).round() / 200.0);
        assert_eq!(bad_points(&coarse), Vec::new());
    }

    #[test]
    fn where_many_points_look_bad_none_is_mended() {
        let damaged = spectrum(20.0, |i, v| if i % 40 == 20 { 0.0 } else { v });
        assert_eq!(bad_points(&damaged), Vec::new());
    }

    #[test]
    fn the_warning_names_four_points_and_says_where_there_are_more() {
        let warning = |count: usize| {
            let damaged =
                spectrum(20.0, |i, v| if i % 300 == 40 && i / 300 < count { 1.9 } else { v });
            let mended = bridge_bad_points(damaged);
            let found = mended.warnings().iter().find(|w| w.id == "bad-points").expect("a warning");
            found.text.clone()
        };
        let (four, five) = (warning(4), warning(5));
        assert!(four.starts_with("4 bad points were") && !four.contains("and more"), "{four}");
        assert!(five.starts_with("5 bad points were") && five.contains(") and more;"), "{five}");
    }

    #[test]
    fn a_point_on_the_flank_of_a_band_is_bridged_along_the_flank() {
        // Two thirds up a band 10 steps wide at half height, with a rise ten times that width away.
        let height = |at: usize| {
            let band = |centre: f64| (-((at as f64 - centre) / 6.0).powi(2)).exp();
            band(100.0) + band(49.0)
        };
        let values: Vec<f64> = (0..200).map(height).collect();
        for (start, row) in [(97, 1), (97, 2), (102, 2)] {
            for at in start..start + row {
                let away = bridged(&values, start, row, at) - height(at);
                assert!(away.abs() < 0.004, "{start} {row}: {away}");
            }
        }
    }
}
