//! How far a maximum rises above the ground around it.

use super::Error;
use super::find::inner_points;

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

/// The same without a reach, from crest to crest: on a noisy spectrum the walks from each maximum to
/// higher ground would cross the same points again and again.
fn without_reach(values: &[f64], maxima: &[usize]) -> Result<Vec<Prominence>, Error> {
    if let Some(&index) = maxima.iter().find(|index| **index >= values.len()) {
        return Err(Error::Index { index, length: values.len() });
    }
    let crests = crests(values, maxima);
    let left = lowest_before_higher(values, crests.iter().map(|c| (c.index, c.low_before)));
    let backwards = crests.iter().rev().map(|c| (c.index, c.low_behind));
    let mut right = lowest_before_higher(values, backwards);
    right.reverse();
    // Maxima mostly ascend, so that each crest stands shortly behind the last one.
    let mut next = 0;
    let mut place = |index: usize| {
        while crests.get(next).is_some_and(|crest| crest.index < index) {
            next += 1;
        }
        match crests.get(next) {
            Some(crest) if crest.index == index => Some(next),
            _ => crests.binary_search_by_key(&index, |crest| crest.index).ok(),
        }
    };
    let found = maxima.iter().filter_map(|&index| {
        let at = place(index)?;
        let (left_base, right_base) = (*left.get(at)?, *right.get(at)?);
        let ground = values[left_base].max(values[right_base]);
        Some(Prominence { prominence: values[index] - ground, left_base, right_base })
    });
    Ok(found.collect())
}

/// A point that is asked for, an end, or one with no higher neighbour: between two of them values only
/// fall, then rise.
struct Crest {
    index: usize,
    /// The nearest lowest point between this crest and the one before it, if any lies there.
    low_before: Option<usize>,
    /// The same towards the one behind it.
    low_behind: Option<usize>,
}

/// The lowest points met since the last crest.
#[derive(Clone, Copy)]
struct Low {
    value: f64,
    first: usize,
    last: usize,
}

impl Low {
    const NONE: Self = Self { value: f64::INFINITY, first: usize::MAX, last: usize::MAX };

    /// Notes a point; without a branch, since noise would guess wrong at every second one.
    fn add(&mut self, index: usize, value: f64) {
        self.first = if value < self.value { index } else { self.first };
        self.last = if value <= self.value { index } else { self.last };
        self.value = if value < self.value { value } else { self.value };
    }

    fn first(self) -> Option<usize> {
        (self.first != usize::MAX).then_some(self.first)
    }

    fn last(self) -> Option<usize> {
        (self.last != usize::MAX).then_some(self.last)
    }
}

fn crests(values: &[f64], asked: &[usize]) -> Vec<Crest> {
    let mut is_asked = vec![false; values.len()];
    for index in asked {
        is_asked[*index] = true;
    }
    // On a slope no point is a crest, nor the lowest between two: one beside it is lower, or the lower of the
    // two crests is, which `lowest_before_higher` takes then.
    let turns = |index: usize, before: f64, here: f64, behind: f64| {
        let slope = ((before < here) & (here < behind)) | ((before > here) & (here > behind));
        !slope | is_asked[index]
    };
    let inner = inner_points(values, turns);
    let last = values.len().checked_sub(1);
    let ends = (last.map(|_| 0), last.filter(|last| *last > 0));
    let mut crests: Vec<Crest> = Vec::with_capacity(inner.len() + 2);
    // Of equally low points the first is nearest to the crest before, the last to the one behind.
    let mut low = Low::NONE;
    for index in ends.0.into_iter().chain(inner).chain(ends.1) {
        let here = values[index];
        let before = index.checked_sub(1).and_then(|i| values.get(i)).is_none_or(|v| here >= *v);
        let behind = values.get(index + 1).is_none_or(|v| here >= *v);
        let is_end = index == 0 || Some(index) == last;
        if (before && behind) || is_end || is_asked[index] {
            if let Some(last) = crests.last_mut() {
                last.low_behind = low.first();
            }
            crests.push(Crest { index, low_before: low.last(), low_behind: None });
            low = Low::NONE;
        } else {
            low.add(index, here);
        }
    }
    crests
}

/// Returns for each crest the nearest lowest point passed before higher ground is met, walking from
/// the crests towards the first one given.
fn lowest_before_higher(
    values: &[f64],
    crests: impl Iterator<Item = (usize, Option<usize>)>,
) -> Vec<usize> {
    let mut lowest = Vec::with_capacity(crests.size_hint().0);
    // Falling crests that are still in sight: height, and the lowest point behind each up to the next.
    let mut in_sight: Vec<(f64, usize, f64)> = Vec::new();
    for (here, valley) in crests {
        let height = values[here];
        let (mut found, mut ground) = (here, height);
        if let Some(at) = valley
            && values[at] < height
        {
            (found, ground) = (at, values[at]);
        }
        while let Some((_, behind, low)) = in_sight.pop_if(|(before, ..)| *before <= height) {
            if low < ground {
                (found, ground) = (behind, low);
            }
        }
        in_sight.push((height, found, ground));
        lowest.push(found);
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
        for round in 0..200_usize {
            let values: Vec<f64> = (0..97)
                .map(|_| {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    // Few levels, so that many are equal.
                    (state >> 33) as f64 % (2.0 + (round % 9) as f64)
                })
                .collect();
            // All points, every third one, and the maxima alone.
            let all: Vec<usize> = (0..values.len()).collect();
            let thirds: Vec<usize> = all.iter().copied().filter(|i| i % 3 == round % 3).collect();
            for asked in [all, thirds, crate::peaks::local_maxima(&values)] {
                let walked = prominences(&values, &asked, Some(1000)).expect("inside");
                assert_eq!(prominences(&values, &asked, None).expect("inside"), walked);
            }
        }
    }

    #[test]
    fn refuses_an_index_past_the_end_and_no_reach() {
        assert_eq!(prominences(&[0.0; 3], &[3], None), Err(Error::Index { index: 3, length: 3 }));
        assert_eq!(prominences(&[0.0; 3], &[1], Some(1)), Err(Error::Reach(1)));
    }
}
