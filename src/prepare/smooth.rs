//! Local polynomials of a stated width, applied to each measured segment on its own.

use std::ops::Range;

use super::savgol::{SavitzkyGolay, check};
use super::{Error, uneven};
use crate::spectrum::{Spectrum, median_spacing};

/// Steps within this share of their median count as even: axes printed with few digits stay so.
const EVEN_WITHIN: f64 = 0.02;

/// A local polynomial: how wide its window is and which order it has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Polynomial {
    /// Width of the window in cm⁻¹. It becomes the odd number of points nearest to it, and never
    /// fewer than the order needs: order + 1 if that is odd, else order + 2.
    pub width_cm1: f64,
    /// Order of the polynomial.
    pub order: usize,
}

impl Polynomial {
    /// Returns the window in points at a spacing in cm⁻¹.
    #[must_use]
    pub fn points(&self, spacing_cm1: f64) -> usize {
        let half = (self.width_cm1 / spacing_cm1 / 2.0).round().clamp(0.0, 250.0) as usize;
        let least = if self.order.is_multiple_of(2) { self.order + 1 } else { self.order + 2 };
        (2 * half + 1).max(least)
    }

    fn check(&self) -> Result<(), Error> {
        if !(self.width_cm1 > 0.0 && self.width_cm1.is_finite()) {
            return Err(Error::Setting {
                setting: "width_cm1",
                found: self.width_cm1,
                expected: "it must be a positive number of cm⁻¹",
            });
        }
        check(self.points(f64::INFINITY), self.order)
    }
}

/// Returns the smoothed absorbances. Segments shorter than the window are left as they are.
///
/// On an even segment this is the Savitzky–Golay filter with its ends fitted; on an uneven one a
/// polynomial is fitted to each window at the wavenumbers as measured.
///
/// # Errors
///
/// A width that is not positive and an order that no window can carry are refused.
pub fn smooth(spectrum: &Spectrum, polynomial: Polynomial) -> Result<Vec<f64>, Error> {
    let mut smoothed = spectrum.absorbances().to_vec();
    each_segment(spectrum, polynomial, 0, &mut smoothed)?;
    Ok(smoothed)
}

/// Returns a derivative of the absorbance per (cm⁻¹)ⁿ. Segments shorter than the window get zeros.
///
/// # Errors
///
/// As [`smooth`].
pub fn differentiate(
    spectrum: &Spectrum,
    polynomial: Polynomial,
    derivative: usize,
) -> Result<Vec<f64>, Error> {
    let mut values = vec![0.0; spectrum.len()];
    each_segment(spectrum, polynomial, derivative, &mut values)?;
    Ok(values)
}

fn each_segment(
    spectrum: &Spectrum,
    polynomial: Polynomial,
    derivative: usize,
    target: &mut [f64],
) -> Result<(), Error> {
    polynomial.check()?;
    for segment in spectrum.segments() {
        of_segment(
            spectrum,
            segment.clone(),
            polynomial,
            derivative,
            &mut target[segment.clone()],
        )?;
    }
    Ok(())
}

fn of_segment(
    spectrum: &Spectrum,
    segment: Range<usize>,
    polynomial: Polynomial,
    derivative: usize,
    target: &mut [f64],
) -> Result<(), Error> {
    let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
    let values = &spectrum.absorbances()[segment];
    // A spectrum without gaps knows its spacing already.
    let whole = axis.len() == spectrum.len();
    let spacing = if whole { Some(spectrum.spacing_cm1()) } else { median_spacing(axis) };
    let Some(spacing) = spacing else { return Ok(()) };
    let window = polynomial.points(spacing);
    if values.len() < window {
        return Ok(());
    }
    let even = axis.windows(2).all(|p| (p[1] - p[0] - spacing).abs() <= EVEN_WITHIN * spacing);
    if even {
        // The mean step, not the median one: on a rounded axis the median is a rounded number.
        let mean = (axis[axis.len() - 1] - axis[0]) / (axis.len() - 1) as f64;
        let filter = SavitzkyGolay::kept(window, polynomial.order, derivative)?;
        filter.filter_into(values, mean, target)
    } else {
        uneven::filter(axis, values, (window, polynomial.order, derivative), target)
    }
}
