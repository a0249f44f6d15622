//! Local maxima of evenly or unevenly spaced values.

/// Returns the index of each local maximum; of a flat top, the middle one, rounded down.
///
/// The first and the last value are never maxima, and neither is a flat top that reaches them.
#[must_use]
pub fn local_maxima(values: &[f64]) -> Vec<usize> {
    // Noise has a maximum at every third point.
    let mut maxima = Vec::with_capacity(values.len() / 3);
    let mut i = 1;
    while i + 1 < values.len() {
        if values[i - 1] < values[i] {
            let mut ahead = i + 1;
            while ahead + 1 < values.len() && values[ahead] == values[i] {
                ahead += 1;
            }
            if values[ahead] < values[i] {
                maxima.push((i + ahead - 1) / 2);
                i = ahead;
            }
        }
        i += 1;
    }
    maxima
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
