//! A joint fit with the spread of any effect of its coefficients.

use ndarray::Array2;

use crate::linalg::pseudo_inverse;

/// Residuals further apart than this in cm⁻¹ count as independent: about a band's width; ours.
const LINKED_CM1: f64 = 40.0;

/// Columns fitted to a difference of faces, each point weighed by its own uncertainty.
pub struct JointFit {
    /// One coefficient a column.
    pub coefficients: Vec<f64>,
    /// Of the normal matrix, and the design: columns of one size, weighed points as rows.
    inverse: Array2<f64>,
    design: Array2<f64>,
    sizes: Vec<f64>,
    residuals: Vec<f64>,
    degrees_of_freedom: f64,
    lags: usize,
}

impl JointFit {
    /// Fits `columns` to `observed`, both given point by point, with one standard deviation a point.
    ///
    /// `None` where the columns cannot be told apart or too few points are left.
    pub fn new(
        columns: &[Vec<f64>],
        observed: &[f64],
        deviations: &[f64],
        spacing_cm1: f64,
    ) -> Option<Self> {
        let (rows, count) = (observed.len(), columns.len());
        if rows < 3 * count {
            return None;
        }
        // Columns of one size keep the question of rank apart from that of units.
        let sizes: Vec<f64> = columns
            .iter()
            .map(|c| c.iter().zip(deviations).map(|(v, d)| (v / d).powi(2)).sum::<f64>().sqrt())
            .collect();
        if sizes.iter().any(|s| !(s.is_finite() && *s > 0.0)) {
            return None;
        }
        let design = Array2::from_shape_fn((rows, count), |(row, column)| {
            columns[column][row] / deviations[row] / sizes[column]
        });
        // Of two thousand points by two dozen columns the normal matrix is enough: at one size, columns that can
        // be told apart at all keep eight digits, and a fit a marker is paid for by every comparison.
        let columns: Vec<Vec<f64>> = design.columns().into_iter().map(|c| c.to_vec()).collect();
        let normal = Array2::from_shape_fn((count, count), |(i, j)| {
            dot(&columns[i.min(j)], &columns[i.max(j)])
        });
        let inverse = pseudo_inverse(normal.view()).ok()?;
        let weighed: Vec<f64> = observed.iter().zip(deviations).map(|(y, d)| y / d).collect();
        let onto: Vec<f64> = columns.iter().map(|column| dot(column, &weighed)).collect();
        let scaled = times(&inverse, &onto);
        let residuals =
            weighed.iter().zip(times(&design, &scaled)).map(|(y, fitted)| y - fitted).collect();
        Some(Self {
            coefficients: scaled.iter().zip(&sizes).map(|(c, s)| c / s).collect(),
            inverse,
            design,
            sizes,
            residuals,
            degrees_of_freedom: (rows - count) as f64,
            lags: (LINKED_CM1 / spacing_cm1).ceil() as usize,
        })
    }

    /// Returns the variance of a weighted sum of the coefficients, all covariances included.
    ///
    /// What the fit leaves over is no noise alone: it is linked along the axis. So the sum takes the
    /// residuals as they stand, with the weights of Bartlett (Newey & West 1987, Econometrica 55:703),
    /// and never less than independent residuals would give.
    pub fn variance(&self, effects: &[f64]) -> f64 {
        let effects: Vec<f64> = effects.iter().zip(&self.sizes).map(|(e, size)| e / size).collect();
        let influence = times(&self.design, &times(&self.inverse, &effects));
        let mean_square =
            self.residuals.iter().map(|r| r * r).sum::<f64>() / self.degrees_of_freedom;
        let plain = mean_square * influence.iter().map(|h| h * h).sum::<f64>();
        let scores: Vec<f64> = influence.iter().zip(&self.residuals).map(|(h, r)| h * r).collect();
        let mut linked: f64 = scores.iter().map(|s| s * s).sum();
        for lag in 1..=self.lags.min(scores.len().saturating_sub(1)) {
            let share = 1.0 - lag as f64 / (self.lags + 1) as f64;
            let products: f64 = scores.iter().zip(&scores[lag..]).map(|(a, b)| a * b).sum();
            linked += 2.0 * share * products;
        }
        plain.max(linked)
    }

    /// Returns the standard error of one coefficient.
    pub fn standard_error(&self, column: usize) -> f64 {
        let effects: Vec<f64> =
            (0..self.coefficients.len()).map(|c| f64::from(u8::from(c == column))).collect();
        self.variance(&effects).sqrt()
    }

    /// Returns the weighed sum of squares left over.
    pub fn left_over(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// A matrix times a column.
fn times(matrix: &Array2<f64>, column: &[f64]) -> Vec<f64> {
    matrix.rows().into_iter().map(|row| row.iter().zip(column).map(|(a, b)| a * b).sum()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const COUNT: usize = 400;

    /// Fits a level to values that scatter by 1 about it, each kept for so many points in a row.
    fn level(kept: usize) -> JointFit {
        let mut state = 3_u64;
        let mut sign = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_041);
            if state >> 63 == 0 { 1.0 } else { -1.0 }
        };
        let values: Vec<f64> = (0..COUNT / kept).flat_map(|_| vec![5.0 + sign(); kept]).collect();
        JointFit::new(&[vec![1.0; COUNT]], &values, &[1.0; COUNT], 2.0).expect("a level")
    }

    #[test]
    fn a_mean_is_as_sure_as_points_are_many_and_points_that_go_together_count_as_one() {
        let alone = 1.0 / (COUNT as f64).sqrt();
        for kept in [1, 4, 8] {
            let error = level(kept).standard_error(0) / (alone * (kept as f64).sqrt());
            // Bartlett's weights reach over 20 points, so that some of what is linked is lost.
            assert!((0.7..1.3).contains(&error), "{kept}: {error}");
        }
        // Turns at every point cancel; they are taken no better than independent ones.
        let turns: Vec<f64> = (0..COUNT).map(|i| if i % 2 == 0 { 1.0 } else { -1.0 }).collect();
        let fit = JointFit::new(&[vec![1.0; COUNT]], &turns, &[1.0; COUNT], 2.0).expect("a level");
        let plain = alone * (COUNT as f64 / (COUNT - 1) as f64).sqrt();
        assert!((fit.standard_error(0) / plain - 1.0).abs() < 1.0e-9);
        // Twice the coefficient is twice as unsure.
        assert!((fit.variance(&[2.0]) / fit.variance(&[1.0]) - 4.0).abs() < 1.0e-9);
    }

    #[test]
    fn columns_are_fitted_together_each_point_by_what_it_is_uncertain_by() {
        let x: Vec<f64> = (0..60).map(f64::from).collect();
        let bend: Vec<f64> = x.iter().map(|x| (x / 9.0).sin()).collect();
        let mut values: Vec<f64> = x.iter().zip(&bend).map(|(x, b)| 0.3 * x - 2.0 * b).collect();
        // One point is off, and known to be worth next to nothing.
        values[30] += 100.0;
        let mut deviations = vec![1.0; 60];
        deviations[30] = 1.0e6;
        let columns = [x.clone(), bend];
        let fit = JointFit::new(&columns, &values, &deviations, 2.0).expect("two columns");
        assert!((fit.coefficients[0] - 0.3).abs() < 1.0e-6, "{:?}", fit.coefficients);
        assert!((fit.coefficients[1] + 2.0).abs() < 1.0e-4, "{:?}", fit.coefficients);
        assert!((fit.left_over() - 1.0e-8).abs() < 1.0e-10, "{}", fit.left_over());
        // Fewer than three points a column settle nothing, and neither does a column of nothing.
        let five = |list: &[f64]| list[..5].to_vec();
        let few = [five(&columns[0]), five(&columns[1])];
        assert!(JointFit::new(&few, &values[..5], &deviations[..5], 2.0).is_none());
        let nothing = [x, vec![0.0; 60]];
        assert!(JointFit::new(&nothing, &values, &deviations, 2.0).is_none());
    }
}
