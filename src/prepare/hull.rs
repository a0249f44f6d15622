//! The lower convex hull: a rubber band stretched under the spectrum.

/// Returns the indices of the corners of the lower convex hull, both ends included.
///
/// Wavenumbers must ascend. Points on a straight edge are left out.
#[must_use]
pub fn hull_corners(wavenumbers_cm1: &[f64], values: &[f64]) -> Vec<usize> {
    let mut corners: Vec<usize> = Vec::new();
    let point = |i: usize| (wavenumbers_cm1[i], values[i]);
    for i in 0..wavenumbers_cm1.len().min(values.len()) {
        // A corner that lies on or above the line from the one before it to the new point goes.
        while let [.., a, b] = corners[..] {
            let ((xa, ya), (xb, yb), (xc, yc)) = (point(a), point(b), point(i));
            if (xb - xa) * (yc - ya) - (yb - ya) * (xc - xa) > 0.0 {
                break;
            }
            corners.pop();
        }
        corners.push(i);
    }
    corners
}

/// Returns the lower convex hull at each point, by straight lines between its corners. O(n).
///
/// A slice of other length than the axis is cut to the shorter of the two.
#[must_use]
pub fn hull_baseline(wavenumbers_cm1: &[f64], values: &[f64]) -> Vec<f64> {
    let n = wavenumbers_cm1.len().min(values.len());
    let mut curve = values[..n].to_vec();
    let corners = hull_corners(wavenumbers_cm1, values);
    for pair in corners.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        let slope = (values[b] - values[a]) / (wavenumbers_cm1[b] - wavenumbers_cm1[a]);
        for i in a + 1..b {
            curve[i] = values[a] + slope * (wavenumbers_cm1[i] - wavenumbers_cm1[a]);
        }
    }
    curve
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn never_passes_above_the_values_and_touches_its_corners() {
        let axis: Vec<f64> = (0..200).map(|i| 600.0 + 3.0 * f64::from(i)).collect();
        let values: Vec<f64> =
            axis.iter().map(|x| (x / 37.0).sin().abs() + 1.0e-6 * (x - 800.0).powi(2)).collect();
        let curve = hull_baseline(&axis, &values);
        for (value, below) in values.iter().zip(&curve) {
            assert!(*below <= value + 1e-12);
        }
        for corner in hull_corners(&axis, &values) {
            assert_eq!(curve[corner], values[corner]);
        }
    }

    #[test]
    fn takes_one_or_two_points_as_they_are() {
        assert_eq!(hull_baseline(&[1.0], &[4.0]), [4.0]);
        assert_eq!(hull_baseline(&[1.0, 2.0], &[4.0, 3.0]), [4.0, 3.0]);
        assert!(hull_baseline(&[], &[]).is_empty());
    }
}
