//! Savitzky–Golay smoothing and derivatives: a polynomial fitted by least squares to each window.

use std::sync::{Arc, Mutex, PoisonError};

use ndarray::{Array2, ArrayView1};

use super::Error;
use crate::linalg::pseudo_inverse;

/// The largest window in points: past it a smoothing would span most of a spectrum.
const MOST_POINTS: usize = 501;

/// The largest polynomial order: powers of a unit interval stay well conditioned in doubles up to here.
const MOST_ORDER: usize = 8;

/// Filters kept between calls. A program uses a handful; the limit only bounds memory.
const KEPT_FILTERS: usize = 64;

/// A Savitzky–Golay filter for evenly spaced points (Savitzky & Golay 1964, Anal. Chem. 36, 1627,
/// as corrected by Steinier, Termonia & Deltour 1972, Anal. Chem. 44, 1906).
///
/// The coefficients are computed once, for a spacing of 1; [`SavitzkyGolay::filter`] scales
/// derivatives by the spacing. Derivatives come per unit of the abscissa: per cm⁻¹.
///
/// ```
/// use bandlore::prepare::SavitzkyGolay;
///
/// let filter = SavitzkyGolay::new(5, 2, 0)?;
/// let table = [-3.0, 12.0, 17.0, 12.0, -3.0];
/// for (found, numerator) in filter.coefficients().iter().zip(table) {
///     assert!((found - numerator / 35.0).abs() < 1e-14);
/// }
/// # Ok::<(), bandlore::prepare::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SavitzkyGolay {
    window: usize,
    order: usize,
    derivative: usize,
    /// The centre row: one coefficient per point of the window, lowest abscissa first.
    centre: Vec<f64>,
    /// Row j gives the derivative at point j of the window; used where the window cannot be centred.
    rows: Array2<f64>,
}

/// Sums products one after the other; a matrix library adds them in an order of each processor's own.
fn in_order(row: ArrayView1<'_, f64>, values: &[f64]) -> f64 {
    row.iter().zip(values).map(|(coefficient, value)| coefficient * value).sum()
}

impl SavitzkyGolay {
    /// Computes the coefficients of a filter.
    ///
    /// `window` counts points. A derivative above the order is zero everywhere, as for any
    /// polynomial.
    ///
    /// # Errors
    ///
    /// The window must be odd and hold more points than the order.
    pub fn new(window: usize, order: usize, derivative: usize) -> Result<Self, Error> {
        check(window, order)?;
        let half = (window / 2) as f64;
        // Positions are scaled to -1..1 so that high powers of wide windows stay well conditioned.
        let scale = half.max(1.0);
        let position = |j: usize| (j as f64 - half) / scale;
        let design =
            Array2::from_shape_fn((window, order + 1), |(j, power)| position(j).powi(power as i32));
        let inverse = pseudo_inverse(design.view())?;
        let reading = Array2::from_shape_fn((window, order + 1), |(j, power)| {
            if power < derivative {
                return 0.0;
            }
            let factor: f64 = (power - derivative + 1..=power).map(|f| f as f64).product();
            factor * position(j).powi((power - derivative) as i32) / scale.powi(derivative as i32)
        });
        // In one order on every processor.
        let rows = Array2::from_shape_fn((window, window), |(j, k)| {
            (0..=order).map(|power| reading[(j, power)] * inverse[(power, k)]).sum()
        });
        let centre = rows.row(window / 2).to_vec();
        Ok(Self { window, order, derivative, centre, rows })
    }

    /// Returns the filter from those computed before, or computes and keeps it.
    ///
    /// # Errors
    ///
    /// As [`SavitzkyGolay::new`].
    pub(crate) fn kept(window: usize, order: usize, derivative: usize) -> Result<Arc<Self>, Error> {
        static KEPT: Mutex<Vec<Arc<SavitzkyGolay>>> = Mutex::new(Vec::new());
        let fits = |filter: &Arc<Self>| {
            (filter.window, filter.order, filter.derivative) == (window, order, derivative)
        };
        // A panic elsewhere cannot leave a list of finished filters half written.
        let mut kept = KEPT.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(filter) = kept.iter().find(|filter| fits(filter)) {
            return Ok(Arc::clone(filter));
        }
        let filter = Arc::new(Self::new(window, order, derivative)?);
        if kept.len() >= KEPT_FILTERS {
            kept.remove(0);
        }
        kept.push(Arc::clone(&filter));
        Ok(filter)
    }

    /// Returns the window in points.
    #[must_use]
    pub fn window(&self) -> usize {
        self.window
    }

    /// Returns the coefficients for a spacing of 1, the lowest abscissa first.
    #[must_use]
    pub fn coefficients(&self) -> &[f64] {
        &self.centre
    }

    /// Filters evenly spaced values. Where the window cannot be centred, the polynomial of the first or of the
    /// last full window is read.
    ///
    /// # Errors
    ///
    /// Fewer values than a full window, and a spacing that is not positive.
    pub fn filter(&self, values: &[f64], spacing: f64) -> Result<Vec<f64>, Error> {
        let mut filtered = vec![0.0; values.len()];
        self.filter_into(values, spacing, &mut filtered)?;
        Ok(filtered)
    }

    /// As [`SavitzkyGolay::filter`], into a slice of the same length.
    pub(crate) fn filter_into(
        &self,
        values: &[f64],
        spacing: f64,
        filtered: &mut [f64],
    ) -> Result<(), Error> {
        if !(spacing > 0.0 && spacing.is_finite()) {
            return Err(Error::Setting {
                setting: "spacing",
                found: spacing,
                expected: "it must be a positive number of cm⁻¹",
            });
        }
        if values.len() < self.window || filtered.len() != values.len() {
            return Err(Error::TooShort { points: values.len(), needed: self.window });
        }
        let n = values.len();
        let half = self.window / 2;
        let unit = spacing.powi(self.derivative as i32).recip();
        convolve(&self.centre, values, unit, &mut filtered[half..n - half]);
        let (first, last) = (&values[..self.window], &values[n - self.window..]);
        for j in 0..half {
            filtered[j] = unit * in_order(self.rows.row(j), first);
            filtered[n - 1 - j] = unit * in_order(self.rows.row(self.window - 1 - j), last);
        }
        Ok(())
    }
}

/// Refuses windows and orders that have no fit.
pub(super) fn check(window: usize, order: usize) -> Result<(), Error> {
    if order > MOST_ORDER {
        return Err(Error::Order { order, most: MOST_ORDER });
    }
    if window.is_multiple_of(2) || window <= order || window > MOST_POINTS {
        return Err(Error::Window { window, order, most: MOST_POINTS });
    }
    Ok(())
}

/// Points that are filtered side by side, so that no addition waits for the one before it.
const LANES: usize = 8;

/// Writes the scaled sum of products of each full window of values into the targets.
fn convolve(coefficients: &[f64], values: &[f64], unit: f64, targets: &mut [f64]) {
    let mut start = 0;
    let mut chunks = targets.chunks_exact_mut(LANES);
    for chunk in &mut chunks {
        let mut sums = [0.0; LANES];
        let source = values.get(start..).unwrap_or_default();
        for (coefficient, values) in coefficients.iter().zip(source.windows(LANES)) {
            for (sum, value) in sums.iter_mut().zip(values) {
                *sum += coefficient * value;
            }
        }
        for (target, sum) in chunk.iter_mut().zip(&sums) {
            *target = unit * sum;
        }
        start += LANES;
    }
    let windows = values.get(start..).unwrap_or_default().windows(coefficients.len());
    for (target, window) in chunks.into_remainder().iter_mut().zip(windows) {
        *target = unit * coefficients.iter().zip(window).map(|(c, v)| c * v).sum::<f64>();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refuses_even_narrow_and_huge_windows() {
        assert!(matches!(SavitzkyGolay::new(6, 2, 0), Err(Error::Window { window: 6, .. })));
        assert!(matches!(SavitzkyGolay::new(3, 3, 0), Err(Error::Window { .. })));
        assert!(matches!(SavitzkyGolay::new(503, 2, 0), Err(Error::Window { .. })));
        assert!(matches!(SavitzkyGolay::new(21, 9, 0), Err(Error::Order { .. })));
    }

    #[test]
    fn refuses_fewer_values_than_a_window() {
        let filter = SavitzkyGolay::new(9, 2, 0).expect("a filter");
        assert!(matches!(
            filter.filter(&[1.0; 8], 1.0),
            Err(Error::TooShort { points: 8, needed: 9 })
        ));
    }

    #[test]
    fn keeps_a_polynomial_of_its_order() {
        let values: Vec<f64> = (0..30).map(|i| f64::from(i).powi(3) - 4.0 * f64::from(i)).collect();
        let filter = SavitzkyGolay::new(9, 3, 1).expect("a filter");
        for (i, slope) in filter.filter(&values, 1.0).expect("long").iter().enumerate() {
            let expected = 3.0 * (i as f64).powi(2) - 4.0;
            assert!((slope - expected).abs() < 1e-8, "{slope} at {i}");
        }
    }
}
