//! The ends and the quantiles of a list of values.

/// Returns the lowest and highest of `values`, what is no number left out; (∞, −∞) without any.
///
/// Several pairs of ends are kept at a time, so that one comparison need not wait for the last.
pub(crate) fn bounds(values: &[f64]) -> (f64, f64) {
    const LANES: usize = 8;
    let (mut low, mut high) = ([f64::INFINITY; LANES], [f64::NEG_INFINITY; LANES]);
    let (chunks, rest) = values.as_chunks::<LANES>();
    for chunk in chunks {
        for lane in 0..LANES {
            let value = chunk[lane];
            low[lane] = if value < low[lane] { value } else { low[lane] };
            high[lane] = if value > high[lane] { value } else { high[lane] };
        }
    }
    let lowest = low.iter().chain(rest).copied().fold(f64::INFINITY, f64::min);
    let highest = high.iter().chain(rest).copied().fold(f64::NEG_INFINITY, f64::max);
    (lowest, highest)
}

/// Returns the value that a share of the others lies below, at the nearest rank; `None` without any. The order of the
/// values is lost.
pub(crate) fn quantile(values: &mut [f64], share: f64) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let place = ((values.len() - 1) as f64 * share).round() as usize;
    let (_, value, _) = values.select_nth_unstable_by(place, f64::total_cmp);
    Some(*value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_both_ends_wherever_they_stand() {
        for count in 1..40 {
            for at in 0..count {
                let mut values = vec![0.5; count];
                values[at] = -2.0;
                values[(at + 1) % count] = if count > 1 { 3.0 } else { -2.0 };
                let highest = if count > 1 { 3.0 } else { -2.0 };
                assert_eq!(bounds(&values), (-2.0, highest));
            }
        }
        assert_eq!(bounds(&[]), (f64::INFINITY, f64::NEG_INFINITY));
        assert_eq!(bounds(&[f64::NAN, 1.0, 2.0]), (1.0, 2.0));
    }

    #[test]
    fn a_quantile_is_the_value_at_the_nearest_rank() {
        // The reference implementation: all values in order.
        for count in 1..30_u32 {
            let values: Vec<f64> = (0..count).map(|i| f64::from(i * 7 % count) - 3.0).collect();
            let mut sorted = values.clone();
            sorted.sort_by(f64::total_cmp);
            for share in [0.0, 0.02, 0.1, 0.25, 0.5, 0.98, 1.0] {
                let rank = (share * f64::from(count - 1)).round() as usize;
                assert_eq!(quantile(&mut values.clone(), share), Some(sorted[rank]));
            }
        }
        assert_eq!(quantile(&mut [], 0.5), None);
    }
}
