//! How wide a maximum is at a share of its prominence.

use super::Prominence;

/// Where a maximum is crossed at a given height, in points from the first value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Width {
    /// Height at which the width is measured.
    pub height: f64,
    /// Crossing to the left, between points.
    pub left: f64,
    /// Crossing to the right, between points.
    pub right: f64,
}

impl Width {
    /// Returns the width in points.
    #[must_use]
    pub fn points(&self) -> f64 {
        self.right - self.left
    }
}

/// Returns the width of each maximum at `share` of its prominence below its top.
///
/// `share` 0.5 gives the full width at half prominence. The crossings are looked for between the two
/// bases and interpolated by straight lines. Maxima without an entry in `prominences` are left out.
#[must_use]
pub fn widths(
    values: &[f64],
    maxima: &[usize],
    prominences: &[Prominence],
    share: f64,
) -> Vec<Width> {
    maxima
        .iter()
        .zip(prominences)
        .filter_map(|(&index, ground)| {
            let height = values.get(index)? - ground.prominence * share;
            let mut left = index;
            while left > ground.left_base && height < *values.get(left)? {
                left -= 1;
            }
            let mut right = index;
            while right < ground.right_base && height < *values.get(right)? {
                right += 1;
            }
            let mut crossing = Width { height, left: left as f64, right: right as f64 };
            let (low, high) = (*values.get(left)?, *values.get(right)?);
            if low < height {
                crossing.left += (height - low) / (values.get(left + 1)? - low);
            }
            if high < height {
                crossing.right -= (height - high) / (values.get(right.checked_sub(1)?)? - high);
            }
            Some(crossing)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::{local_maxima, prominences};
    use super::*;

    #[test]
    fn measures_a_triangle() {
        let values = [0.0, 1.0, 2.0, 3.0, 2.0, 1.0, 0.0];
        let maxima = local_maxima(&values);
        let ground = prominences(&values, &maxima, None).expect("inside");
        let found = widths(&values, &maxima, &ground, 0.5);
        assert_eq!(found, [Width { height: 1.5, left: 1.5, right: 4.5 }]);
        assert_eq!(found[0].points(), 3.0);
    }
}
