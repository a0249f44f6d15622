//! What the digits of a file do to its values.

use super::bounds::quantile;

/// The quantile of the differences between neighbours that is one step of a rounded ordinate: low, for a band's flank
/// takes several at once, but not the least, which one odd point would be.
const STEP_QUANTILE: f64 = 0.05;

/// Returns the step of the ordinate in these stretches, where any two neighbours are equal; nothing where all differ.
pub(crate) fn written_step<'a>(stretches: impl Iterator<Item = &'a [f64]> + Clone) -> Option<f64> {
    let steps = || stretches.clone().flat_map(|values| values.windows(2)).map(|p| p[1] - p[0]);
    // Most files have digits to spare, and end here.
    if !steps().any(|step| step == 0.0) {
        return None;
    }
    let mut steps: Vec<f64> = steps().filter(|step| *step != 0.0).map(f64::abs).collect();
    quantile(&mut steps, STEP_QUANTILE)
}

/// Returns one standard deviation of what rounding does to the values of these stretches; zero where all neighbours
/// differ.
///
/// Where the digits run out before the noise does, a level stretch is written as one value over and over, whose
/// differences say that there is no noise at all. Rounding errors spread evenly over a step: its length over √12.
pub(crate) fn rounding_sd<'a>(stretches: impl Iterator<Item = &'a [f64]> + Clone) -> f64 {
    written_step(stretches).map_or(0.0, |step| step / 12.0_f64.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_step_is_read_beside_steep_flanks_and_one_odd_point() {
        let curve =
            |i: i32| 0.4 / (1.0 + (f64::from(i - 500) / 10.0).powi(2)) + 2.0e-5 * f64::from(i);
        let mut values: Vec<f64> = (0..1000).map(|i| (curve(i) * 1.0e3).round() / 1.0e3).collect();
        values[100] += 1.0e-7;
        let (left, right) = values.split_at(480);
        let sd = rounding_sd([left, right].into_iter());
        assert!((sd - 1.0e-3 / 12.0_f64.sqrt()).abs() < 1.0e-9, "{sd}");
    }

    #[test]
    fn nothing_is_rounded_where_all_neighbours_differ_and_nothing_is_known_of_one_value() {
        let exact: Vec<f64> = (0..100).map(|i| f64::from(i).sqrt()).collect();
        assert_eq!(rounding_sd(std::iter::once(exact.as_slice())), 0.0);
        assert_eq!(rounding_sd(std::iter::once([0.2; 50].as_slice())), 0.0);
    }
}
