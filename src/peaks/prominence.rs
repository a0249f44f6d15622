//! How far a maximum rises above the ground around it.

use super::Error;

/// A maximum's prominence and the lowest points on either side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prominence {
    /// Height above the higher of the two lowest points.
    pub prominence: f64,
    /// Index of the lowest point to the left, before higher ground or the end.
    pub left_base: usize,
    /// Index of the lowest point to the right, before higher ground or the end.
    pub right_base: usize,
}

/// Returns the prominence of each maximum.
///
/// From the maximum, each side is searched for its lowest point until higher ground, the end, or half
/// of `reach` points (rounded up to an odd number, the maximum included) is met; of equally low
/// points the nearest counts. `None` searches to the ends.
///
/// # Errors
///
/// An index past the values, and a reach below two points, are refused.
pub fn prominences(
    values: &[f64],
    maxima: &[usize],
    reach: Option<usize>,
) -> Result<Vec<Prominence>, Error> {
    if let Some(reach) = reach
        && reach < 2
    {
        return Err(Error::Reach(reach));
    }
    if reach.is_none() && !values.iter().any(|value| value.is_nan()) {
        return without_reach(values, maxima);
    }
    maxima
        .iter()
        .map(|&index| {
            let Some(&top) = values.get(index) else {
                return Err(Error::Index { index, length: values.len() });
            };
            // An even reach is rounded up to the next odd number, so half of it is the same.
            let half = reach.map_or(values.len(), |reach| reach / 2);
            let from = index.saturating_sub(half);
            let to = index.saturating_add(half).min(values.len() - 1);
            let (left_base, left) = lowest(values, (from..=index).rev(), index, top);
            let (right_base, right) = lowest(values, index..=to, index, top);
            Ok(Prominence { prominence: top - left.max(right), left_base, right_base })
        })
        .collect()
}

/// The same without a reach, in one pass from either side: on a noisy spectrum the walks from each
/// maximum to higher ground would cross the same points again and again.
fn without_reach(values: &[f64], maxima: &[usize]) -> Result<Vec<Prominence>, Error> {
    let left = lowest_before_higher(values.len(), values, |i| i);
    let right = lowest_before_higher(values.len(), values, |i| values.len() - 1 - i);
    maxima
        .iter()
        .map(|&index| match (values.get(index), left.get(index), right.get(index)) {
            (Some(&top), Some(&left_base), Some(&right_base)) => {
                let ground = values[left_base].max(values[right_base]);
                Ok(Prominence { prominence: top - ground, left_base, right_base })
            }
            _ => Err(Error::Index { index, length: values.len() }),
        })
        .collect()
}

/// Returns for each index that of the nearest lowest value passed before higher ground is met, where
/// `at` counts the indices from the side that is walked to.
fn lowest_before_higher(n: usize, values: &[f64], at: impl Fn(usize) -> usize) -> Vec<usize> {
    let mut lowest = vec![0; n];
    // Falling ground that is still in sight: an index, and the lowest one behind it up to the next.
    let mut in_sight: Vec<(usize, usize)> = Vec::new();
    for here in (0..n).map(at) {
        let mut found = here;
        while let Some((_, behind)) = in_sight.pop_if(|(before, _)| values[*before] <= values[here])
        {
            if values[behind] < values[found] {
                found = behind;
            }
        }
        in_sight.push((here, found));
        lowest[here] = found;
    }
    lowest
}

/// Walks outwards and returns the first lowest point before higher ground.
fn lowest(
    values: &[f64],
    outwards: impl Iterator<Item = usize>,
    index: usize,
    top: f64,
) -> (usize, f64) {
    let mut found = (index, top);
    for i in outwards {
        if values[i] > top {
            break;
        }
        if values[i] < found.1 {
            found = (i, values[i]);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_from_the_higher_saddle() {
        let values = [0.0, 3.0, 1.0, 2.0, 0.5, 4.0, 0.0];
        let found = prominences(&values, &[3], None).expect("inside");
        assert_eq!(found, [Prominence { prominence: 1.0, left_base: 2, right_base: 4 }]);
    }

    #[test]
    fn one_pass_agrees_with_the_walks() {
        // The slow twin: the walks, with a reach past both ends.
        let mut state: u64 = 7;
        for round in 0..200 {
            let values: Vec<f64> = (0..97)
                .map(|_| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    // Few levels, so that many are equal.
                    (state >> 33) as f64 % (2.0 + f64::from(round % 9))
                })
                .collect();
            let all: Vec<usize> = (0..values.len()).collect();
            let walked = prominences(&values, &all, Some(1000)).expect("inside");
            assert_eq!(prominences(&values, &all, None).expect("inside"), walked);
        }
    }

    #[test]
    fn refuses_an_index_past_the_end_and_no_reach() {
        assert_eq!(prominences(&[0.0; 3], &[3], None), Err(Error::Index { index: 3, length: 3 }));
        assert_eq!(prominences(&[0.0; 3], &[1], Some(1)), Err(Error::Reach(1)));
    }
}
