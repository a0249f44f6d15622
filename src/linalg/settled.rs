//! Leaves of computed numbers what they are worth.

/// Binary digits kept: about ten decimal ones. A least-squares fit is good to fourteen, and the last two of
/// them depend on the processor.
const KEPT_DIGITS: i32 = 33;

/// Rounds a coefficient to a unit that is fixed by the size of what was fitted.
///
/// A matrix library picks its routines by the processor, and each adds in another order, so that the last
/// digits differ. Rounded, they agree, save where a value lies on the border between two units, one in a
/// hundred thousand. `scale` is the largest of the observations over the largest of the coefficient's
/// column; where it is zero or no number, the coefficient stays.
#[must_use]
pub fn settled(coefficient: f64, scale: f64) -> f64 {
    if !scale.is_normal() || !coefficient.is_finite() {
        return coefficient;
    }
    #[allow(clippy::cast_possible_truncation, reason = "a double's exponent")]
    let unit = 2f64.powi((scale.abs().log2().floor() as i32 - KEPT_DIGITS).max(-1022));
    (coefficient / unit).round() * unit + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_in_the_last_digits_becomes_the_same() {
        for (one, other) in [(1.0, 1.0 - 1.2e-16), (0.1, 0.1 + 3e-17), (1e-17, -3e-17)] {
            assert_eq!(settled(one, 1.0).to_bits(), settled(other, 1.0).to_bits());
            assert!((settled(one, 1.0) - one).abs() < 1e-10);
        }
        assert_ne!(settled(0.1, 1.0), settled(0.1 + 1e-9, 1.0));
        assert_eq!(settled(0.1, 1e-12), 0.1, "small observations keep their digits");
    }

    #[test]
    fn zeros_and_what_is_not_finite_stay() {
        assert_eq!(settled(0.3, 0.0), 0.3);
        assert!(settled(f64::NAN, 1.0).is_nan() && settled(f64::INFINITY, 1.0).is_infinite());
        assert_eq!(settled(0.3, f64::NAN), 0.3);
    }
}
