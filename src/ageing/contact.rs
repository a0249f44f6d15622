//! How well a spot touched the crystal, fitted on bands that ageing leaves alone.

use super::regression::Curve;

/// Refractive index of the air in the gap.
const INDEX_OF_AIR: f64 = 1.0;
/// Bands at both ends: the highest band's wavenumber over the lowest must reach this; ours.
const LEAST_SPAN: f64 = 1.5;
/// Fewer unchanged bands than this leave nothing to judge the fit by.
const LEAST_BANDS: usize = 3;
/// Bands that miss the fit by more than this (natural logarithm, one standard deviation) are not
/// unchanged, or contact is not all that differs; ours.
pub const WORST_RESIDUAL: f64 = 0.10;

/// The crystal a spectrum was measured on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crystal {
    /// Its refractive index.
    pub index: f64,
    /// Angle of incidence in degrees.
    pub angle_deg: f64,
}

impl Default for Crystal {
    /// Diamond at 45°.
    fn default() -> Self {
        Self { index: 2.4, angle_deg: 45.0 }
    }
}

impl Crystal {
    /// Returns the depth in micrometres at which the field in an air gap has fallen to 1/e.
    ///
    /// `None` where the light is not totally reflected. Source: N. J. Harrick, Internal Reflection
    /// Spectroscopy (1967), with air as the rarer medium.
    #[must_use]
    pub fn depth_in_air_um(&self, wavenumber_cm1: f64) -> Option<f64> {
        let squared =
            (self.index * self.angle_deg.to_radians().sin()).powi(2) - INDEX_OF_AIR.powi(2);
        (squared > 0.0 && wavenumber_cm1 > 0.0)
            .then(|| 1.0e4 / (2.0 * std::f64::consts::PI * wavenumber_cm1 * squared.sqrt()))
    }

    /// Returns what one micrometre of gap takes off the natural logarithm of a band's height.
    #[must_use]
    pub fn loss_per_um(&self, wavenumber_cm1: f64) -> Option<f64> {
        self.depth_in_air_um(wavenumber_cm1).map(|depth| 2.0 / depth)
    }
}

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
    pub fn factor(&self, crystal: &Crystal, wavenumber_cm1: f64) -> Option<f64> {
        Some(self.scale * (-self.gap_um * crystal.loss_per_um(wavenumber_cm1)?).exp())
    }
}

/// Fits scale and gap to the heights of unchanged bands.
///
/// `bands` holds wavenumber in cm⁻¹, height on this spot, height on the reference. `None` below
/// three bands with positive heights, and where they do not reach both ends of the range.
#[must_use]
pub fn fit_contact(crystal: &Crystal, bands: &[(f64, f64, f64)]) -> Option<Contact> {
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
    fn follows_harrick_for_diamond_in_air() {
        // 1e4 / (2π · 1000 · sqrt(2.88 − 1)) by hand.
        let depth = Crystal::default().depth_in_air_um(1000.0).expect("total reflection");
        assert_abs_diff_eq!(depth, 1.16075, epsilon = 1e-4);
        assert_eq!(Crystal { index: 1.2, angle_deg: 45.0 }.depth_in_air_um(1000.0), None);
    }

    #[test]
    fn recovers_a_scale_and_a_gap() {
        let crystal = Crystal::default();
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
        assert_eq!(fit_contact(&Crystal::default(), &bands), None);
        assert_eq!(fit_contact(&Crystal::default(), &bands[..2]), None);
    }
}
