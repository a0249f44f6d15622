//! Local maxima of evenly or unevenly spaced values.

/// Returns the index of each local maximum; of a flat top, the middle one, rounded down.
///
/// The first and the last value are never maxima, and neither is a flat top that reaches them.
#[must_use]
pub fn local_maxima(values: &[f64]) -> Vec<usize> {
    let rises = |_, before: f64, here: f64, behind: f64| (before < here) & (here >= behind);
    let mut maxima = inner_points(values, rises);
    maxima.retain_mut(|start| {
        let first = *start;
        let mut ahead = first + 1;
        while ahead + 1 < values.len() && values[ahead] == values[first] {
            ahead += 1;
        }
        *start = (first + ahead - 1) / 2;
        values[ahead] < values[first]
    });
    maxima
}

/// Returns the points between the ends for which a question about index, the value before, its own and the one
/// behind is answered by yes. Without a branch: noise would guess wrong at every second point.
pub(super) fn inner_points(
    values: &[f64],
    holds: impl Fn(usize, f64, f64, f64) -> bool,
) -> Vec<usize> {
    let mut places = vec![0; values.len()];
    let mut count = 0;
    for (before, three) in values.windows(3).enumerate() {
        places[count] = before + 1;
        count += usize::from(holds(before + 1, three[0], three[1], three[2]));
    }
    places.truncate(count);
    places
}

/// Keeps the maxima that have no higher one nearer than `least_distance` points, highest first.
///
/// Of two equally high ones the later stays.
#[must_use]
pub fn keep_distant(values: &[f64], maxima: &[usize], least_distance: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..maxima.len()).collect();
    order.sort_by(|a, b| values[maxima[*a]].total_cmp(&values[maxima[*b]]));
    let mut kept = vec![true; maxima.len()];
    for &j in order.iter().rev() {
        if !kept[j] {
            continue;
        }
        for k in (0..j).rev().take_while(|k| maxima[j] - maxima[*k] < least_distance) {
            kept[k] = false;
        }
        for k in (j + 1..maxima.len()).take_while(|k| maxima[*k] - maxima[j] < least_distance) {
            kept[k] = false;
        }
    }
    maxima.iter().zip(kept).filter(|(_, kept)| *kept).map(|(index, _)| *index).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_the_middle_of_a_flat_top() {
        assert_eq!(local_maxima(&[0.0, 1.0, 1.0, 1.0, 0.0, 2.0, 2.0, 0.0]), [2, 5]);
    }

    #[test]
    fn leaves_out_the_ends_and_flat_tops_at_them() {
        assert!(local_maxima(&[3.0, 2.0, 1.0]).is_empty());
        assert!(local_maxima(&[0.0, 1.0, 1.0]).is_empty());
        assert!(local_maxima(&[1.0, 1.0, 0.0]).is_empty());
        assert!(local_maxima(&[]).is_empty());
    }

    #[test]
    fn keeps_the_highest_of_a_crowd() {
        let values = [0.0, 2.0, 0.0, 3.0, 0.0, 1.0, 0.0, 1.5, 0.0];
        let maxima = local_maxima(&values);
        assert_eq!(keep_distant(&values, &maxima, 3), [3, 7]);
        assert_eq!(keep_distant(&values, &maxima, 1), maxima);
    }
}
