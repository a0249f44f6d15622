//! How well a spot touched the crystal, fitted on bands that ageing leaves alone.

use super::regression::Curve;
use crate::optics::Element;

/// Bands at both ends: the highest band's wavenumber over the lowest must reach this; ours.
const LEAST_SPAN: f64 = 1.5;
/// Fewer unchanged bands than this leave nothing to judge the fit by.
const LEAST_BANDS: usize = 3;
/// Bands that miss the fit by more than this (natural logarithm, one standard deviation) are not
/// unchanged, or contact is not all that differs; ours.
pub const WORST_RESIDUAL: f64 = 0.10;

/// A scale and a gap against a reference spot.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// The common factor.
    pub scale: f64,
    /// Extra gap in micrometres; negative where contact is better than the reference's.
    pub gap_um: f64,
    /// One standard error of the gap in micrometres.
    pub gap_error_um: f64,
    /// How far the bands miss the fit: one standard deviation of the natural logarithm.
    pub residual: f64,
    /// The bands used, in cm⁻¹.
    pub bands_cm1: Vec<f64>,
    /// How far each band misses the fit, as natural logarithm.
    pub misses: Vec<f64>,
}

impl Contact {
    /// Returns the factor that the gap and scale leave of a band's height.
    #[must_use]
    pub fn factor(&self, crystal: &Element, wavenumber_cm1: f64) -> Option<f64> {
        Some(self.scale * (-self.gap_um * crystal.loss_per_um(wavenumber_cm1)?).exp())
    }
}

/// Fits scale and gap to the heights of unchanged bands.
///
/// `bands` holds wavenumber in cm⁻¹, height on this spot, height on the reference. `None` below
/// three bands with positive heights, and where they do not reach both ends of the range.
#[must_use]
pub fn fit_contact(crystal: &Element, bands: &[(f64, f64, f64)]) -> Option<Contact> {
    let usable: Vec<&(f64, f64, f64)> = bands.iter().filter(|b| b.1 > 0.0 && b.2 > 0.0).collect();
    let lowest = usable.iter().map(|b| b.0).fold(f64::INFINITY, f64::min);
    let highest = usable.iter().map(|b| b.0).fold(0.0, f64::max);
    if usable.len() < LEAST_BANDS || highest < LEAST_SPAN * lowest {
        return None;
    }
    let losses: Option<Vec<f64>> = usable.iter().map(|b| crystal.loss_per_um(b.0)).collect();
    let losses = losses?;
    let logs: Vec<f64> = usable.iter().map(|b| (b.1 / b.2).ln()).collect();
    let line = Curve::fit(&losses, &logs, 1)?;
    let (slope, _, _) = line.slope()?;
    let misses = losses.iter().zip(&logs).map(|(x, y)| y - line.value(*x)).collect();
    Some(Contact {
        misses,
        scale: line.value(0.0).exp(),
        gap_um: -slope,
        gap_error_um: line.slope_error()?,
        residual: line.residual_sd(),
        bands_cm1: usable.iter().map(|b| b.0).collect(),
    })
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn recovers_a_scale_and_a_gap() {
        let crystal = Element::DIAMOND_45;
        let bands: Vec<(f64, f64, f64)> = [613.0, 962.0, 1427.0, 2912.0]
            .into_iter()
            .map(|v| {
                let loss = crystal.loss_per_um(v).expect("total reflection");
                (v, 0.2 * 0.9 * (-0.15 * loss).exp(), 0.2)
            })
            .collect();
        let fit = fit_contact(&crystal, &bands).expect("both ends");
        assert_abs_diff_eq!(fit.gap_um, 0.15, epsilon = 1e-12);
        assert_abs_diff_eq!(fit.scale, 0.9, epsilon = 1e-12);
        assert!(fit.residual < 1e-9);
        assert_abs_diff_eq!(
            fit.factor(&crystal, 1427.0).expect("total reflection"),
            bands[2].1 / 0.2,
            epsilon = 1e-12
        );
    }

    #[test]
    fn refuses_bands_at_one_end_alone() {
        let bands = [(1331.0, 0.1, 0.1), (1427.0, 0.1, 0.1), (1254.0, 0.1, 0.1)];
        assert_eq!(fit_contact(&Element::DIAMOND_45, &bands), None);
        assert_eq!(fit_contact(&Element::DIAMOND_45, &bands[..2]), None);
    }
}
