//! What several stages need of distributions.

use statrs::distribution::{Continuous, ContinuousCDF, StudentsT};

/// One standard deviation of Gaussian noise over the lower quartile of its absolute values: the inverse of the normal
/// quantile of 0.625.
pub(crate) const SD_PER_QUARTILE: f64 = 3.138_344_200_661_294;

/// Returns the quantile of Student's t distribution, or `None` where it is not defined.
#[must_use]
pub fn t_quantile(probability: f64, degrees_of_freedom: f64) -> Option<f64> {
    if !(0.0..1.0).contains(&probability) || probability == 0.0 {
        return None;
    }
    let distribution = StudentsT::new(0.0, 1.0, degrees_of_freedom).ok()?;
    let mut t = distribution.inverse_cdf(probability);
    // The library's bisection stops early; three Newton steps bring it to machine accuracy.
    for _ in 0..3 {
        let density = distribution.pdf(t);
        if density > 0.0 {
            t -= (distribution.cdf(t) - probability) / density;
        }
    }
    t.is_finite().then_some(t)
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use statrs::distribution::Normal;

    use super::*;

    #[test]
    fn the_lower_quartile_of_noise_is_where_the_normal_distribution_has_it() {
        let normal = Normal::new(0.0, 1.0).expect("the standard normal distribution");
        // Three quarters lie above the lower quartile of absolute values, half of them on each side.
        assert_relative_eq!(
            SD_PER_QUARTILE.recip(),
            normal.inverse_cdf(0.625),
            max_relative = 1e-9
        );
        assert_relative_eq!(normal.cdf(SD_PER_QUARTILE.recip()), 0.625, max_relative = 1e-12);
    }

    #[test]
    fn a_quantile_is_where_the_distribution_reaches_its_probability() {
        for (probability, degrees) in [(0.975, 3.0), (0.975, 10.0), (0.8, 2.5), (0.05, 40.0)] {
            let t = t_quantile(probability, degrees).expect("defined");
            let distribution = StudentsT::new(0.0, 1.0, degrees).expect("defined");
            assert_relative_eq!(distribution.cdf(t), probability, max_relative = 1e-12);
        }
    }
}
