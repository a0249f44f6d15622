//! Contact of all spots of two faces, and how far the contact model can be trusted.

use super::contact::{Contact, WORST_RESIDUAL, fit_contact};
use super::noise::Noise;
use super::reading::{Specimen, is_disturbed, middle, weights};
use super::statistics::mean_and_variance;
use super::values::{ComparedFace, ContactFit};
use crate::optics::Element;
use crate::spectrum::MeasurementMode;
use crate::spectrum::zones::Zone;
use crate::tables::{Marker, MarkerRole, Measure, Tables};

/// An unchanged band must stand this far above its noise on every spot; common practice.
const LEAST_BAND_TO_NOISE: f64 = 10.0;

/// Contact of each spot of two faces against the mean of the second.
#[derive(Clone, Debug, PartialEq)]
pub struct PairContact {
    crystal: Element,
    face: Vec<Contact>,
    reference: Vec<Contact>,
    /// Variance (of natural logarithms) by which a band misses the model beyond the spots' scatter.
    misfit_variance: f64,
    misfit_freedom: f64,
}

impl PairContact {
    /// Fits every spot on the material's unchanged bands.
    ///
    /// `None` in transmission, and where fewer than three such bands at both ends of the range
    /// stand clear of the noise on every spot.
    #[must_use]
    pub fn fit(
        crystal: Element,
        tables: &Tables,
        material: &str,
        (face, reference): (&[&Specimen<'_>], &[&Specimen<'_>]),
        clear_of: Option<Zone>,
    ) -> Option<Self> {
        // A band that an additive, a filler or a bloom lies over is not unchanged.
        let undisturbed =
            |m: &&Marker| !face.iter().chain(reference).any(|s| is_disturbed(s, &m.id, tables));
        let is_clear = |m: &&Marker| {
            let limits = m.measure.limits;
            clear_of.is_none_or(|(low, high)| limits.high_cm1 < low || limits.low_cm1 > high)
        };
        let bands: Vec<&Measure> = tables
            .markers_of(material)
            .filter(|m| m.role == MarkerRole::Contact)
            .filter(undisturbed)
            .filter(is_clear)
            .map(|m| &m.measure)
            .collect();
        let heights = |specimens: &[&Specimen<'_>]| -> Option<Vec<Vec<Option<f64>>>> {
            specimens.iter().map(|s| band_heights(s, &bands)).collect()
        };
        let (ours, theirs) = (heights(face)?, heights(reference)?);
        let usable: Vec<usize> = (0..bands.len())
            .filter(|&b| ours.iter().chain(&theirs).all(|h| h.get(b).copied().flatten().is_some()))
            .collect();
        let reference_heights: Vec<(usize, f64)> = usable
            .iter()
            .map(|&b| {
                let logs: f64 = theirs.iter().filter_map(|h| h[b]).map(f64::ln).sum();
                (b, (logs / theirs.len() as f64).exp())
            })
            .collect();
        let fit = |spot: &Vec<Option<f64>>| {
            let bands: Vec<(f64, f64, f64)> = reference_heights
                .iter()
                .filter_map(|&(b, mean)| Some((middle(bands[b]), spot[b]?, mean)))
                .collect();
            fit_contact(&crystal, &bands)
        };
        let face: Option<Vec<Contact>> = ours.iter().map(fit).collect();
        let reference: Option<Vec<Contact>> = theirs.iter().map(fit).collect();
        let (face, reference) = (face?, reference?);
        let (misfit_variance, misfit_freedom) = misfit(&face, &reference, usable.len());
        Some(Self { crystal, face, reference, misfit_variance, misfit_freedom })
    }

    /// Returns the contact of a spot of the face under question.
    #[must_use]
    pub fn of_face(&self, spot: usize) -> Option<&Contact> {
        self.face.get(spot)
    }

    /// Returns the contact of a spot of the reference face.
    #[must_use]
    pub fn of_reference(&self, spot: usize) -> Option<&Contact> {
        self.reference.get(spot)
    }

    /// Returns what one micrometre of gap adds to the natural logarithm of an index.
    #[must_use]
    pub fn gain_per_um(&self, positions: (f64, Option<f64>)) -> Option<f64> {
        gain_per_um(&self.crystal, positions)
    }

    /// Returns the mean extra gap of the face under question in micrometres.
    #[must_use]
    pub fn mean_gap_um(&self) -> f64 {
        let mean = |fits: &[Contact]| {
            fits.iter().map(|c| c.gap_um).sum::<f64>() / fits.len().max(1) as f64
        };
        mean(&self.face) - mean(&self.reference)
    }

    /// Returns the variance that the model's misfit adds to a corrected logarithm, with its
    /// degrees of freedom.
    ///
    /// Band and reference may each miss the model as the unchanged bands do.
    #[must_use]
    pub fn misfit(&self) -> (f64, f64) {
        (2.0 * self.misfit_variance, self.misfit_freedom)
    }

    /// Returns a warning where the unchanged bands do not agree with one another.
    #[must_use]
    pub fn warning(&self) -> Option<String> {
        let size = self.misfit_variance.sqrt();
        (size > WORST_RESIDUAL).then(|| {
            format!(
                "bands held to be unchanged miss the contact fit by {:.0} %: more than contact differs, such as a coat or a deposit on one face, and every change is less sure",
                100.0 * size
            )
        })
    }

    /// Returns the fits as they are reported.
    pub fn reports(
        &self,
        face: ComparedFace,
        against: ComparedFace,
    ) -> impl Iterator<Item = ContactFit> {
        let report = |face: ComparedFace| {
            move |(i, c): (usize, &Contact)| ContactFit {
                face,
                spot: i + 1,
                scale: c.scale,
                gap_um: c.gap_um,
                gap_error_um: c.gap_error_um,
                bands_cm1: c.bands_cm1.clone(),
            }
        };
        self.face
            .iter()
            .enumerate()
            .map(report(face))
            .chain(self.reference.iter().enumerate().map(report(against)))
    }
}

/// Returns what one micrometre of gap adds to the natural logarithm of an index.
#[must_use]
pub fn gain_per_um(crystal: &Element, (band, reference): (f64, Option<f64>)) -> Option<f64> {
    let numerator = crystal.loss_per_um(band)?;
    let divisor = reference.map_or(Some(0.0), |r| crystal.loss_per_um(r))?;
    Some(divisor - numerator)
}

fn band_heights(specimen: &Specimen<'_>, bands: &[&Measure]) -> Option<Vec<Option<f64>>> {
    if specimen.spectrum.mode() != MeasurementMode::Atr {
        return None;
    }
    let noise = Noise::of(specimen.spectrum)?;
    let height = |band: &&Measure| {
        let sum = weights(specimen.spectrum, band).ok()?;
        let value = sum.value(specimen.spectrum.absorbances());
        (value > LEAST_BAND_TO_NOISE * sum.variance(&noise).sqrt()).then_some(value)
    };
    Some(bands.iter().map(height).collect())
}

/// How far the mean faces miss the model beyond what the spots' own scatter explains.
fn misfit(face: &[Contact], reference: &[Contact], bands: usize) -> (f64, f64) {
    let freedom = bands.saturating_sub(2) as f64;
    if freedom < 1.0 {
        return (0.0, 1.0);
    }
    let (mut squares, mut scatter) = (0.0, 0.0);
    for band in 0..bands {
        let misses = |fits: &[Contact]| -> Vec<f64> {
            fits.iter().filter_map(|c| c.misses.get(band).copied()).collect()
        };
        let (a, b) = (misses(face), misses(reference));
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len().max(1) as f64;
        squares += (mean(&a) - mean(&b)).powi(2);
        for side in [&a, &b] {
            if let Some((_, variance)) = mean_and_variance(side) {
                scatter += variance / side.len() as f64;
            }
        }
    }
    (((squares - scatter) / freedom).max(0.0), freedom)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gap_of_a_face_is_the_mean_of_its_spots_beyond_that_of_the_other() {
        let spots = |gaps: &[f64]| -> Vec<Contact> {
            let spot = |gap_um: &f64| Contact {
                scale: 1.0,
                gap_um: *gap_um,
                gap_error_um: 0.05,
                residual: 0.01,
                bands_cm1: Vec::new(),
                misses: Vec::new(),
            };
            gaps.iter().map(spot).collect()
        };
        let pair = PairContact {
            crystal: Element::DIAMOND_45,
            face: spots(&[0.9, 0.6, 0.3]),
            reference: spots(&[0.1, -0.3]),
            misfit_variance: 0.0,
            misfit_freedom: 1.0,
        };
        assert!((pair.mean_gap_um() - 0.7).abs() < 1.0e-12, "{}", pair.mean_gap_um());
    }
}
