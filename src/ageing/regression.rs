//! Polynomials by least squares, with the interval a new observation falls into.

use ndarray::{Array1, Array2, ArrayView1};

use super::statistics::{CONFIDENCE, t_quantile, t_two_sided};
use crate::linalg;

/// A polynomial fitted to points, kept with what its intervals need.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Coefficients in the centred and scaled abscissa, constant first.
    coefficients: Array1<f64>,
    /// (XᵀX)⁻¹ in the same abscissa.
    inverse: Array2<f64>,
    centre: f64,
    scale: f64,
    residual_sd: f64,
    degrees_of_freedom: usize,
    least: f64,
    most: f64,
}

impl Curve {
    /// Fits a polynomial of a degree; `None` where the points cannot settle it with one degree of freedom.
    #[must_use]
    pub fn fit(x: &[f64], y: &[f64], degree: usize) -> Option<Self> {
        if x.len() != y.len() || x.len() < degree + 2 {
            return None;
        }
        let least = x.iter().copied().fold(f64::INFINITY, f64::min);
        let most = x.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (centre, scale) = (f64::midpoint(least, most), (most - least) / 2.0);
        let design = Array2::from_shape_fn((x.len(), degree + 1), |(i, p)| {
            power((x[i] - centre) / scale, p)
        });
        let pseudo = linalg::pseudo_inverse(design.view()).ok()?;
        let fit = linalg::fit(design.view(), ArrayView1::from(y)).ok()?;
        Some(Self {
            coefficients: Array1::from(fit.coefficients),
            inverse: linalg::one_at_a_time(|| pseudo.dot(&pseudo.t())),
            centre,
            scale,
            residual_sd: fit.residual_sd,
            degrees_of_freedom: fit.degrees_of_freedom,
            least,
            most,
        })
    }

    fn terms(&self, x: f64) -> Array1<f64> {
        Array1::from_shape_fn(self.coefficients.len(), |p| power((x - self.centre) / self.scale, p))
    }

    /// Returns the fitted value.
    #[must_use]
    pub fn value(&self, x: f64) -> f64 {
        self.terms(x).dot(&self.coefficients)
    }

    /// Returns the half width of the 95 % interval for one new observation.
    ///
    /// `extra_variance` is added to the residual variance: what one reading scatters more than
    /// the means that were fitted.
    #[must_use]
    pub fn prediction_half_width(&self, x: f64, extra_variance: f64) -> Option<f64> {
        let terms = self.terms(x);
        let leverage = terms.dot(&linalg::one_at_a_time(|| self.inverse.dot(&terms)));
        let variance = self.residual_sd.powi(2) * (1.0 + leverage) + extra_variance;
        Some(self.t()? * variance.sqrt())
    }

    /// Returns the slope at the middle of the points with half width of its 95 % interval and p.
    #[must_use]
    pub fn slope(&self) -> Option<(f64, f64, f64)> {
        let slope = self.coefficients.get(1)? / self.scale;
        let error = self.slope_error()?;
        let p = if error > 0.0 {
            t_two_sided(slope / error, self.degrees_of_freedom as f64)?
        } else if slope == 0.0 {
            1.0
        } else {
            0.0
        };
        Some((slope, self.t()? * error, p))
    }

    /// Returns one standard error of the slope at the middle of the points.
    #[must_use]
    pub fn slope_error(&self) -> Option<f64> {
        Some(self.residual_sd * self.inverse.get((1, 1))?.sqrt() / self.scale)
    }

    /// Returns the standard deviation of the residuals.
    #[must_use]
    pub fn residual_sd(&self) -> f64 {
        self.residual_sd
    }

    /// Returns the p value of the highest term: whether the points ask for it.
    #[must_use]
    pub fn highest_term_p(&self) -> Option<f64> {
        let last = self.coefficients.len().checked_sub(1)?;
        let error = self.residual_sd * self.inverse.get((last, last))?.sqrt();
        (error > 0.0)
            .then(|| t_two_sided(self.coefficients[last] / error, self.degrees_of_freedom as f64))?
    }

    /// Returns the derivative at a place.
    #[must_use]
    pub fn derivative(&self, x: f64) -> f64 {
        let z = (x - self.centre) / self.scale;
        self.coefficients
            .iter()
            .enumerate()
            .skip(1)
            .map(|(p, c)| p as f64 * c * power(z, p - 1) / self.scale)
            .sum()
    }

    /// Returns the lowest and highest abscissa of the points.
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        (self.least, self.most)
    }

    fn t(&self) -> Option<f64> {
        t_quantile(f64::midpoint(1.0, CONFIDENCE), self.degrees_of_freedom as f64)
    }
}

fn power(base: f64, exponent: usize) -> f64 {
    base.powi(i32::try_from(exponent).unwrap_or(i32::MAX))
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn fits_a_parabola_through_its_own_points() {
        let x: Vec<f64> = (0..6).map(f64::from).collect();
        let y: Vec<f64> = x.iter().map(|v| 1.0 - v + 0.5 * v * v).collect();
        let fit = Curve::fit(&x, &y, 2).expect("solvable");
        assert_abs_diff_eq!(fit.value(2.5), 1.625, epsilon = 1e-12);
        assert_abs_diff_eq!(fit.derivative(2.5), 1.5, epsilon = 1e-12);
        assert_eq!(fit.range(), (0.0, 5.0));
    }

    #[test]
    fn refuses_points_that_cannot_settle_a_line() {
        assert_eq!(Curve::fit(&[1.0, 1.0, 1.0], &[1.0, 2.0, 3.0], 1), None);
        assert_eq!(Curve::fit(&[1.0, 2.0], &[1.0, 2.0], 1), None);
    }

    #[test]
    fn one_point_more_than_terms_is_enough() {
        let three = Curve::fit(&[0.0, 1.0, 2.0], &[1.0, 3.0, 5.0], 1).expect("a line");
        assert_abs_diff_eq!(three.value(1.5), 4.0, epsilon = 1e-12);
        assert!(Curve::fit(&[0.0, 1.0, 2.0, 3.0], &[0.0, 1.0, 4.0, 9.0], 2).is_some());
        assert_eq!(Curve::fit(&[0.0, 1.0, 2.0], &[0.0, 1.0, 4.0], 2), None);
    }
}
