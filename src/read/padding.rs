//! Points that were never measured, recognised by their filler value.

use std::ops::Range;

/// A measured value does not repeat exactly this often by chance at zero.
const LEAST_ZEROS: usize = 8;

/// A filler other than zero must stand in a longer row: flat tops and coarse rounding repeat too.
const LEAST_REPEATS: usize = 16;

/// Where the values beside a row lie within so many rounding steps, the row is coarse rounding.
const LEAST_STEPS: f64 = 5.0;

/// Zeros in mid-spectrum are filler only where the values beside them jump by this share of the
/// range; a baseline cut off at zero climbs away from it gently.
const INNER_JUMP_SHARE: f64 = 0.02;

/// Returns the index ranges of `values`, in spectral order, that hold a filler.
///
/// A row of equal values at either end is one, and a row of zeros anywhere, where the values beside
/// it jump. A row that covers everything is returned too.
pub(crate) fn find(values: &[f64]) -> Vec<Range<usize>> {
    let rows = rows_of_equals(values);
    if rows.is_empty() {
        return rows;
    }
    let (step, range) = step_and_range(values);
    rows.into_iter().filter(|row| is_filler(values, row, step, range)).collect()
}

fn rows_of_equals(values: &[f64]) -> Vec<Range<usize>> {
    let mut rows = Vec::new();
    // Every row that is long enough holds a place of this stride and the one after it.
    let stride = LEAST_ZEROS / 2;
    let mut at = 0;
    while at + 1 < values.len() {
        let value = values[at];
        if values[at + 1] != value {
            at += stride;
            continue;
        }
        let before = values[..at].iter().rev().take_while(|other| **other == value).count();
        let after = values[at..].iter().take_while(|other| **other == value).count();
        let least = if value == 0.0 { LEAST_ZEROS } else { LEAST_REPEATS };
        if before + after >= least {
            rows.push(at - before..at + after);
        }
        at = (at + after).next_multiple_of(stride);
    }
    rows
}

/// Returns the smallest step between neighbours, which is the rounding of a coarse file, and the range.
fn step_and_range(values: &[f64]) -> (f64, f64) {
    let step = values.windows(2).fold(f64::INFINITY, |step, pair| {
        let difference = (pair[1] - pair[0]).abs();
        if difference > 0.0 && difference < step { difference } else { step }
    });
    let (low, high) = crate::spectrum::bounds(values);
    (step, high - low)
}

fn is_filler(values: &[f64], row: &Range<usize>, step: f64, range: f64) -> bool {
    let filler = values[row.start];
    let jump = |beside: Option<&f64>, least: f64| {
        beside.is_none_or(|beside| (beside - filler).abs() > least)
    };
    let before = row.start.checked_sub(1).and_then(|i| values.get(i));
    let after = values.get(row.end);
    let at_an_end = before.is_none() || after.is_none();
    let least = if at_an_end {
        LEAST_STEPS * step
    } else if filler == 0.0 {
        (LEAST_STEPS * step).max(INNER_JUMP_SHARE * range)
    } else {
        return false;
    };
    jump(before, least) && jump(after, least)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(count: usize) -> Vec<f64> {
        (0..count).map(|i| 90.0 + 5.0 * (i as f64 / 9.0).sin()).collect()
    }

    #[test]
    fn finds_zeros_at_an_end() {
        let mut values = vec![0.0; 20];
        values.extend(wave(100));
        assert_eq!(find(&values), vec![0..20]);
        values.reverse();
        assert_eq!(find(&values), vec![100..120]);
    }

    #[test]
    fn finds_another_filler_at_an_end() {
        let mut values = wave(100);
        values.extend([100.0; 30]);
        assert_eq!(find(&values), vec![100..130]);
    }

    #[test]
    fn finds_zeros_within_where_the_values_jump() {
        let mut values = wave(60);
        values.extend([0.0; 12]);
        values.extend(wave(60));
        assert_eq!(find(&values), vec![60..72]);
    }

    #[test]
    fn leaves_dark_and_coarse_and_cut_values_alone() {
        // A dark region rounded to 0.01: its neighbours are one rounding step away.
        let mut dark: Vec<f64> = (0..50).map(|i| f64::from(i) * 0.01).collect();
        dark.splice(0..0, [0.0; 20]);
        assert!(find(&dark).is_empty());
        // A baseline cut off at zero climbs away gently.
        let mut cut: Vec<f64> = (0..50).rev().map(|i| f64::from(i * i) * 1e-4).collect();
        cut.extend([0.0; 20]);
        cut.extend((0..50).map(|i| f64::from(i * i) * 1e-4));
        assert!(find(&cut).is_empty());
        // A flat top.
        let mut top = wave(30);
        top.extend([96.0; 20]);
        top.extend(wave(30));
        assert!(find(&top).is_empty());
        assert!(find(&[]).is_empty());
    }

    #[test]
    fn finds_the_same_rows_as_a_look_at_every_point() {
        // The reference implementation compares each point with the start of its row.
        let slow = |values: &[f64]| {
            let mut rows = Vec::new();
            let mut start = 0;
            for i in 1..=values.len() {
                if i == values.len() || values[i] != values[start] {
                    let least = if values[start] == 0.0 { LEAST_ZEROS } else { LEAST_REPEATS };
                    if i - start >= least {
                        rows.push(start..i);
                    }
                    start = i;
                }
            }
            rows
        };
        let mut state: u64 = 3;
        for round in 0..300 {
            let mut values = Vec::new();
            while values.len() < 120 + round {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                let (value, times) = ((state >> 40) % 3, (state >> 50) % 24 + 1);
                values.extend(std::iter::repeat_n(value as f64, times as usize));
            }
            assert_eq!(rows_of_equals(&values), slow(&values), "round {round}");
        }
        assert!(rows_of_equals(&[]).is_empty() && rows_of_equals(&[1.0]).is_empty());
    }

    #[test]
    fn returns_a_row_that_covers_everything() {
        assert_eq!(find(&[0.0; 40]), vec![0..40]);
    }
}
