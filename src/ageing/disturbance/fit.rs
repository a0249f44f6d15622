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
