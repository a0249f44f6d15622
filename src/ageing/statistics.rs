//! The tests and intervals behind every statement of change.
//!
//! **In:** values of a marker on two faces.
//!
//! **Out:** [`Welch`]'s test with its interval; `None` where there are too few values for a spread.
//!
//! ```
//! use bandlore::ageing::statistics::{t_quantile, welch};
//!
//! let test = welch(&[0.31, 0.33, 0.32], &[0.21, 0.20, 0.22]).ok_or("too few values")?;
//! assert!(test.low > 0.0 && test.p < 0.05);
//! // Two-sided 95 % with ten degrees of freedom: 2.228 in every printed table of Student's t.
//! let t = t_quantile(0.975, 10.0).ok_or("no such quantile")?;
//! assert!((t - 2.228).abs() < 0.001);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use statrs::distribution::{ContinuousCDF, StudentsT};

pub use crate::statistics::t_quantile;

/// Two-sided confidence of every interval and test of this stage; common practice, no source.
pub const CONFIDENCE: f64 = 0.95;
/// Chance of showing a change that is there, for the smallest detectable change; common practice.
pub const POWER: f64 = 0.80;

/// Returns the two-sided p value of a t statistic.
#[must_use]
pub fn t_two_sided(t: f64, degrees_of_freedom: f64) -> Option<f64> {
    let distribution = StudentsT::new(0.0, 1.0, degrees_of_freedom).ok()?;
    Some((2.0 * distribution.cdf(-t.abs())).min(1.0))
}

/// Returns mean and variance (n − 1), or `None` below two values.
#[must_use]
pub fn mean_and_variance(values: &[f64]) -> Option<(f64, f64)> {
    if values.len() < 2 {
        return None;
    }
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    Some((mean, squares / (n - 1.0)))
}

/// Welch's test of two means: the spreads need not be equal.
///
/// Source: B. L. Welch, Biometrika 34 (1947) 28; checked against scipy.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Welch {
    /// Mean of the first list less mean of the second.
    pub difference: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Degrees of freedom after Welch and Satterthwaite.
    pub degrees_of_freedom: f64,
    /// Two-sided p value.
    pub p: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end of the 95 % interval.
    pub high: f64,
}

/// Tests whether two lists have the same mean.
///
/// `None` below two values a side and where neither side has any spread.
#[must_use]
pub fn welch(first: &[f64], second: &[f64]) -> Option<Welch> {
    let (mean_a, variance_a) = mean_and_variance(first)?;
    let (mean_b, variance_b) = mean_and_variance(second)?;
    let (n_a, n_b) = (first.len() as f64, second.len() as f64);
    let (share_a, share_b) = (variance_a / n_a, variance_b / n_b);
    let squared_error = share_a + share_b;
    if !(squared_error > 0.0 && squared_error.is_finite()) {
        return None;
    }
    let degrees_of_freedom =
        squared_error.powi(2) / (share_a.powi(2) / (n_a - 1.0) + share_b.powi(2) / (n_b - 1.0));
    let standard_error = squared_error.sqrt();
    let difference = mean_a - mean_b;
    let p = t_two_sided(difference / standard_error, degrees_of_freedom)?;
    let reach = t_quantile(f64::midpoint(1.0, CONFIDENCE), degrees_of_freedom)? * standard_error;
    Some(Welch {
        difference,
        standard_error,
        degrees_of_freedom,
        p,
        low: difference - reach,
        high: difference + reach,
    })
}

impl Welch {
    /// Returns the smallest true difference that these spots would show four times in five, when
    /// `tests` of them share the error rate.
    #[must_use]
    pub fn smallest_detectable(&self, tests: usize) -> Option<f64> {
        let share = (1.0 - CONFIDENCE) / tests.max(1) as f64;
        let threshold = t_quantile(1.0 - share / 2.0, self.degrees_of_freedom)?;
        let power = t_quantile(POWER, self.degrees_of_freedom)?;
        Some((threshold + power) * self.standard_error)
    }
}

/// Corrects p values for their number after Holm, in the order given.
///
/// Source: S. Holm, Scand. J. Statist. 6 (1979) 65.
#[must_use]
pub fn holm(p_values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p_values.len()).collect();
    order.sort_by(|&a, &b| p_values[a].total_cmp(&p_values[b]));
    let mut corrected = vec![1.0; p_values.len()];
    let mut so_far: f64 = 0.0;
    for (rank, &index) in order.iter().enumerate() {
        let factor = (p_values.len() - rank) as f64;
        so_far = so_far.max((p_values[index] * factor).min(1.0));
        corrected[index] = so_far;
    }
    corrected
}

/// Returns the index of a value that Grubbs' test calls an outlier at 1 %, if there is one.
///
/// The spot is named, never left out; below five values nothing is named.
/// Source: F. E. Grubbs, Technometrics 11 (1969) 1.
#[must_use]
pub fn outlier(values: &[f64]) -> Option<usize> {
    /// Below this number of spots no value may be singled out by statistics.
    const LEAST_SPOTS: usize = 5;
    /// Error rate of the naming; common practice, no source.
    const RATE: f64 = 0.01;
    if values.len() < LEAST_SPOTS {
        return None;
    }
    let (mean, variance) = mean_and_variance(values)?;
    let n = values.len() as f64;
    let t = t_quantile(1.0 - RATE / (2.0 * n), n - 2.0)?;
    let limit = (n - 1.0) / n.sqrt() * (t * t / (n - 2.0 + t * t)).sqrt();
    let (index, farthest) =
        values.iter().map(|v| (v - mean).abs()).enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?;
    (variance > 0.0 && farthest / variance.sqrt() > limit).then_some(index)
}

/// Interval of a ratio of two measured values, after Fieller.
///
/// `None` where the divisor is not told from zero, so that the ratio has no bounded interval.
/// Source: E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175.
#[must_use]
pub fn ratio_interval(
    (numerator, numerator_variance): (f64, f64),
    (divisor, divisor_variance): (f64, f64),
    covariance: f64,
    t: f64,
) -> Option<(f64, f64)> {
    let squared_t = t * t;
    let a = divisor * divisor - squared_t * divisor_variance;
    let b = numerator * divisor - squared_t * covariance;
    let c = numerator * numerator - squared_t * numerator_variance;
    if a <= 0.0 || a.is_nan() {
        return None;
    }
    let root = (b * b - a * c).max(0.0).sqrt();
    Some(((b - root) / a, (b + root) / a))
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn corrects_p_values_in_holms_order() {
        // By hand: 0.01·3, then max(0.03, 0.02·2), then max(0.04, 0.03·1).
        let corrected = holm(&[0.02, 0.01, 0.03]);
        assert_abs_diff_eq!(corrected[1], 0.03, epsilon = 1e-15);
        assert_abs_diff_eq!(corrected[0], 0.04, epsilon = 1e-15);
        assert_abs_diff_eq!(corrected[2], 0.04, epsilon = 1e-15);
        assert_eq!(holm(&[0.9, 0.8]), vec![1.0, 1.0]);
        assert!(holm(&[]).is_empty());
    }

    #[test]
    fn says_nothing_without_spread_or_with_one_value() {
        assert_eq!(welch(&[1.0, 1.0], &[2.0, 2.0]), None);
        assert_eq!(welch(&[1.0], &[2.0, 3.0]), None);
        assert_eq!(t_quantile(1.5, 3.0), None);
        assert_eq!(t_quantile(0.5, -1.0), None);
    }

    #[test]
    fn names_no_outlier_below_five_spots() {
        assert_eq!(outlier(&[1.0, 1.01, 0.99, 9.0]), None);
        assert_eq!(outlier(&[1.0, 1.01, 0.99, 1.02, 0.98, 9.0]), Some(5));
        assert_eq!(outlier(&[1.0, 1.1, 0.9, 1.05, 0.95, 1.2]), None);
    }

    #[test]
    fn bounds_no_ratio_whose_divisor_may_be_zero() {
        assert_eq!(ratio_interval((1.0, 0.01), (0.1, 0.01), 0.0, 1.96), None);
        let (low, high) = ratio_interval((1.0, 0.0), (2.0, 0.0), 0.0, 1.96).expect("a plain ratio");
        assert_abs_diff_eq!(low, 0.5, epsilon = 1e-15);
        assert_abs_diff_eq!(high, 0.5, epsilon = 1e-15);
    }
}
