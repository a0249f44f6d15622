//! Questions about an ascending wavenumber axis.

use std::ops::Range;

/// A step this many times its larger neighbour is a gap: one lost point (2x) is bridged, two (3x) are not.
const GAP_FACTOR: f64 = 2.5;

/// Steps compared at once when gaps are looked for.
const STEPS_AT_ONCE: usize = 256;

/// Returns the index of the point nearest to `wavenumber_cm1`, or `None` on an empty axis.
///
/// Of two equally near points the lower one is returned.
#[must_use]
pub fn nearest_index(wavenumbers_cm1: &[f64], wavenumber_cm1: f64) -> Option<usize> {
    let after = count_below(wavenumbers_cm1, wavenumber_cm1);
    match (after.checked_sub(1), wavenumbers_cm1.get(after)) {
        (None, None) => None,
        (None, Some(_)) => Some(after),
        (Some(before), None) => Some(before),
        (Some(before), Some(&upper)) => {
            let lower = wavenumbers_cm1[before];
            Some(if wavenumber_cm1 - lower <= upper - wavenumber_cm1 { before } else { after })
        }
    }
}

/// Returns the indices of the points from `low_cm1` to `high_cm1`, both included.
#[must_use]
pub fn window(wavenumbers_cm1: &[f64], low_cm1: f64, high_cm1: f64) -> Range<usize> {
    let start = count_below(wavenumbers_cm1, low_cm1);
    let end = count_while(wavenumbers_cm1, high_cm1, |v| v <= high_cm1);
    start..end.max(start)
}

/// Returns how many points of an ascending axis lie below a wavenumber.
fn count_below(wavenumbers_cm1: &[f64], wavenumber_cm1: f64) -> usize {
    count_while(wavenumbers_cm1, wavenumber_cm1, |v| v < wavenumber_cm1)
}

/// Returns for how many points of an ascending axis `below` holds, which turns at a wavenumber.
///
/// Most axes are even, so that the place can be told from the ends: a binary search costs a branch
/// misprediction at every second step, and the table asks a thousand times.
fn count_while(axis: &[f64], turns_at_cm1: f64, below: impl Fn(f64) -> bool) -> usize {
    if let [first, .., last] = axis {
        let share = (turns_at_cm1 - first) / (last - first);
        let guess = (share * (axis.len() - 1) as f64) as usize;
        for place in [guess.saturating_add(1), guess, guess.saturating_add(2)] {
            if let (Some(&before), Some(&here)) = (axis.get(place.wrapping_sub(1)), axis.get(place))
                && below(before)
                && !below(here)
            {
                return place;
            }
        }
    }
    axis.partition_point(|&v| below(v))
}

/// Returns the median step of an ascending axis in cm⁻¹, or `None` below two points.
#[must_use]
pub fn median_spacing(wavenumbers_cm1: &[f64]) -> Option<f64> {
    let mut steps: Vec<f64> = wavenumbers_cm1.windows(2).map(|p| p[1] - p[0]).collect();
    if steps.is_empty() {
        return None;
    }
    let middle = steps.len() / 2;
    // Of an even axis any step is the median, and two counts show it.
    let step = steps[middle];
    let below = steps.iter().filter(|other| **other < step).count();
    let up_to = steps.iter().filter(|other| **other <= step).count();
    if (below..up_to).contains(&middle) {
        return Some(step);
    }
    let (_, median, _) = steps.select_nth_unstable_by(middle, f64::total_cmp);
    Some(*median)
}

/// Returns the linear interpolation of `values` at `wavenumber_cm1`, or `None` outside the axis.
#[must_use]
pub fn interpolate(wavenumbers_cm1: &[f64], values: &[f64], wavenumber_cm1: f64) -> Option<f64> {
    let after = count_below(wavenumbers_cm1, wavenumber_cm1);
    let upper = *wavenumbers_cm1.get(after)?;
    if upper == wavenumber_cm1 {
        return values.get(after).copied();
    }
    let before = after.checked_sub(1)?;
    let lower = wavenumbers_cm1[before];
    let share = (wavenumber_cm1 - lower) / (upper - lower);
    Some(values[before] + share * (values[after] - values[before]))
}

/// Splits an ascending axis where its steps jump, and at the given indices.
///
/// `breaks` holds indices that start a new segment. A step is a gap when it is more than 2.5 times
/// the larger of its neighbours, so that grids even in wavelength stay whole.
#[must_use]
pub fn split_at_gaps(wavenumbers_cm1: &[f64], breaks: &[usize]) -> Vec<Range<usize>> {
    let count = wavenumbers_cm1.len();
    let step = |i: usize| wavenumbers_cm1[i + 1] - wavenumbers_cm1[i];
    let mut starts: Vec<usize> = breaks.iter().copied().filter(|&i| i > 0 && i < count).collect();
    let mut look_at = |i: usize| {
        let before = i.checked_sub(1).map(&step);
        let after = (i + 2 < count).then(|| step(i + 1));
        let neighbour = match (before, after) {
            (Some(a), Some(b)) => a.max(b),
            (Some(a), None) | (None, Some(a)) => a,
            (None, None) => return,
        };
        if step(i) > GAP_FACTOR * neighbour {
            starts.push(i + 1);
        }
    };
    // Gaps are rare: blocks of steps are compared at once, and only one that holds a gap step by step.
    let last = count.saturating_sub(1);
    let mut i = 0;
    while i < last {
        let end = (i + STEPS_AT_ONCE).min(last);
        let clear = i > 0
            && end < last
            && wavenumbers_cm1[i - 1..end + 2].windows(4).fold(true, |clear, four| {
                let (before, after) = (four[1] - four[0], four[3] - four[2]);
                let larger = if before > after { before } else { after };
                clear & (four[2] - four[1] <= GAP_FACTOR * larger)
            });
        if !clear {
            (i..end).for_each(&mut look_at);
        }
        i = end;
    }
    starts.sort_unstable();
    starts.dedup();
    let mut segments = Vec::with_capacity(starts.len() + 1);
    let mut start = 0;
    for next in starts.into_iter().chain([count]) {
        if next > start {
            segments.push(start..next);
        }
        start = next;
    }
    segments
}

#[cfg(test)]
mod tests {
    use super::*;

    const AXIS: [f64; 5] = [400.0, 402.0, 404.0, 406.0, 408.0];

    #[test]
    fn guesses_places_as_a_search_finds_them() {
        let even: Vec<f64> = (0..50).map(|i| 600.0 + 1.93 * f64::from(i)).collect();
        let uneven: Vec<f64> = even.iter().map(|v| 1.0e7 / (1700.0 - v)).collect();
        for axis in [&even[..], &uneven, &even[..2], &even[..1], &[]] {
            let between = axis.windows(2).map(|pair| f64::midpoint(pair[0], pair[1]));
            let places = axis.iter().copied().chain(between);
            for x in places.chain([0.0, 1.0e9, -1.0, f64::NAN, f64::INFINITY]) {
                assert_eq!(count_below(axis, x), axis.partition_point(|&v| v < x), "{x}");
                let within = axis.partition_point(|&v| v <= x);
                assert_eq!(count_while(axis, x, |v| v <= x), within, "{x}");
            }
        }
    }

    #[test]
    fn finds_the_nearest_point() {
        assert_eq!(nearest_index(&AXIS, 100.0), Some(0));
        assert_eq!(nearest_index(&AXIS, 403.0), Some(1));
        assert_eq!(nearest_index(&AXIS, 403.1), Some(2));
        assert_eq!(nearest_index(&AXIS, 900.0), Some(4));
        assert_eq!(nearest_index(&[], 900.0), None);
    }

    #[test]
    fn finds_the_median_step_of_even_and_uneven_axes() {
        assert_eq!(median_spacing(&AXIS), Some(2.0));
        assert_eq!(median_spacing(&[1.0]), None);
        // The reference implementation: sorted.
        for count in 2..40 {
            let axis: Vec<f64> =
                (0..count).map(|i| f64::from(i * i % 7) / 8.0 + 2.0 * f64::from(i)).collect();
            let mut steps: Vec<f64> = axis.windows(2).map(|p| p[1] - p[0]).collect();
            steps.sort_by(f64::total_cmp);
            assert_eq!(median_spacing(&axis), Some(steps[steps.len() / 2]), "{count} points");
        }
    }

    #[test]
    fn takes_both_ends_of_a_window() {
        assert_eq!(window(&AXIS, 402.0, 406.0), 1..4);
        assert!(window(&AXIS, 500.0, 600.0).is_empty());
        assert!(window(&AXIS, 405.0, 401.0).is_empty());
    }

    #[test]
    fn interpolates_only_inside() {
        let values = [0.0, 1.0, 2.0, 3.0, 4.0];
        assert_eq!(interpolate(&AXIS, &values, 403.0), Some(1.5));
        assert_eq!(interpolate(&AXIS, &values, 408.0), Some(4.0));
        assert_eq!(interpolate(&AXIS, &values, 399.9), None);
        assert_eq!(interpolate(&AXIS, &values, 408.1), None);
    }

    #[test]
    fn splits_where_points_are_missing() {
        let axis = [400.0, 402.0, 404.0, 420.0, 422.0, 424.0];
        assert_eq!(split_at_gaps(&axis, &[]), vec![0..3, 3..6]);
        assert_eq!(split_at_gaps(&AXIS, &[2]), vec![0..2, 2..5]);
        let one_lost = [400.0, 402.0, 406.0, 408.0];
        assert_eq!(split_at_gaps(&one_lost, &[]).len(), 1);
    }

    #[test]
    fn keeps_a_grid_even_in_wavelength_whole() {
        let mut axis: Vec<f64> = (0..500).map(|i| 1.0e4 / (2.5 + 0.05 * f64::from(i))).collect();
        axis.reverse();
        assert_eq!(split_at_gaps(&axis, &[]).len(), 1);
    }
}
