//! Finds where a file goes on in another unit or on another scale.

use super::padding;

/// Points looked at on either side: what is there must run on evenly, and noise does not.
const SIDE: usize = 20;

/// The jump is so many times steeper than any other step among those points.
const LEAST_STEEPNESS: f64 = 4.0;

/// The ordinates on its two sides differ by this factor: absorbance and per cent do by hundreds, and a band
/// climbs over more than one point.
const LEAST_FACTOR: f64 = 5.0;

/// It takes this share of all that the quieter side spans: less is an offset where two ranges are joined.
const LEAST_SHARE: f64 = 0.25;

/// Two neighbours further apart than so many steps have a gap between them, over which anything may change.
const MOST_STEPS: f64 = 2.0;

/// Returns the last point before such a place, in the order of the file.
///
/// One place alone counts: a stretch that was blanked out has two.
pub(super) fn find(wavenumbers_cm1: &[f64], ordinates: &[f64]) -> Option<usize> {
    let step = |i: usize| (ordinates[i + 1] - ordinates[i]).abs();
    let last = ordinates.len().min(wavenumbers_cm1.len()).checked_sub(SIDE)?;
    // Nearly every step is no steeper than the next, which is seen without looking further.
    let mut places = (SIDE - 1..last).filter(|&i| {
        step(i) > LEAST_STEEPNESS * step(i - 1)
            && step(i) > LEAST_STEEPNESS * step(i + 1)
            && is_change(wavenumbers_cm1, ordinates, i)
    });
    let place = places.next()?;
    if places.next().is_some() {
        return None;
    }
    // A filler was never measured, so that it has no scale.
    let is_filler = |i: usize| padding::find(ordinates).iter().any(|row| row.contains(&i));
    (!is_filler(place) && !is_filler(place + 1)).then_some(place)
}

fn is_change(wavenumbers_cm1: &[f64], ordinates: &[f64], place: usize) -> bool {
    let apart = |i: usize| (wavenumbers_cm1[i + 1] - wavenumbers_cm1[i]).abs();
    if apart(place) > MOST_STEPS * apart(place - 1).max(apart(place + 1)) {
        return false;
    }
    let (before, behind) = ordinates.split_at(place + 1);
    let steepest = |values: &[f64]| {
        values.windows(2).fold(0.0_f64, |most, pair| most.max((pair[1] - pair[0]).abs()))
    };
    let beside = steepest(&before[before.len() - SIDE..]).max(steepest(&behind[..SIDE]));
    let (one, other) = (ordinates[place], ordinates[place + 1]);
    let jump = (other - one).abs();
    let (low, high) = (one.abs().min(other.abs()), one.abs().max(other.abs()));
    let range = |values: &[f64]| {
        let measured = values.iter().copied().filter(|v| v.is_finite());
        let ends = measured
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        ends.1 - ends.0
    };
    // A unit or a factor changes no sign.
    one * other > 0.0
        && jump >= LEAST_STEEPNESS * beside
        && high >= LEAST_FACTOR * low
        && jump >= LEAST_SHARE * range(before).min(range(behind))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Absorbances of bands on a sloping baseline, from 4000 to 502 cm⁻¹.
    fn film() -> (Vec<f64>, Vec<f64>) {
        let axis: Vec<f64> = (0..1750).map(|i| 4000.0 - 2.0 * f64::from(i)).collect();
        let bands =
            [(2920.0, 0.3, 20.0), (1730.0, 0.5, 10.0), (1240.0, 0.4, 15.0), (700.0, 0.2, 8.0)];
        let height = |x: f64| {
            let of = |(at, high, half): (f64, f64, f64)| high / (1.0 + ((x - at) / half).powi(2));
            0.02 + 1e-6 * x + bands.into_iter().map(of).sum::<f64>()
        };
        let values = axis.iter().map(|x| height(*x)).collect();
        (axis, values)
    }

    #[test]
    fn finds_where_one_unit_ends_and_the_other_begins() {
        let (axis, values) = film();
        let percent = |a: f64| 100.0 * 10f64.powf(-a);
        let changes: [&dyn Fn(f64) -> f64; 5] =
            [&percent, &|a| percent(a) / 100.0, &|a| 1000.0 * a, &|a| 10.0 * a, &|a| 0.01 * a];
        // On the baseline, on the flank of a band and at its top.
        for place in [300, 530, 875, 1130, 1140, 1500] {
            for (n, change) in changes.iter().enumerate() {
                // A fraction of light and an absorbance may well meet half way up a band.
                // Ten times is no steeper than what it makes of a flank.
                if n == 1 && ![300, 875].contains(&place) || n == 3 && place == 1140 {
                    continue;
                }
                let mixed = |first: bool| -> Vec<f64> {
                    let turned = |i: usize| (i <= place) == first;
                    let value = |(i, a): (usize, &f64)| if turned(i) { change(*a) } else { *a };
                    values.iter().enumerate().map(value).collect()
                };
                for first in [true, false] {
                    assert_eq!(find(&axis, &mixed(first)), Some(place), "{n} at {place} {first}");
                }
            }
        }
    }

    #[test]
    fn leaves_whole_spectra_spikes_gaps_and_blanked_stretches_alone() {
        let (axis, values) = film();
        let changed = |change: &dyn Fn(usize, f64) -> f64| -> Vec<f64> {
            values.iter().enumerate().map(|(i, a)| change(i, *a)).collect()
        };
        assert_eq!(find(&axis, &values), None);
        for spectrum in [
            changed(&|_, a| 100.0 * 10f64.powf(-a)),
            changed(&|i, a| if i == 700 { 9.0 } else { a }),
            changed(&|i, a| if (700..740).contains(&i) { 9.0 + 0.001 * a } else { a }),
            changed(&|i, a| if i >= 1600 { 0.0 } else { a + 0.3 }),
            changed(&|i, a| if i >= 1600 { a + 0.05 } else { a }),
            changed(&|i, a| if i >= 1000 { f64::NAN } else { a }),
            vec![0.5; 1750],
            vec![0.5; 3],
        ] {
            assert_eq!(find(&axis, &spectrum), None);
        }
        // Over a gap the height may be any.
        let gap: Vec<f64> = axis.iter().map(|x| if *x < 2000.0 { x - 400.0 } else { *x }).collect();
        assert_eq!(find(&gap, &changed(&|i, a| if i > 1000 { 50.0 * a } else { a })), None);
    }
}
