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
    fn refuses_an_index_past_the_end_and_no_reach() {
        assert_eq!(prominences(&[0.0; 3], &[3], None), Err(Error::Index { index: 3, length: 3 }));
        assert_eq!(prominences(&[0.0; 3], &[1], Some(1)), Err(Error::Reach(1)));
    }
}
