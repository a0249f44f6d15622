//! The difference spectrum of two faces, after scale and contact.

use super::contact::Contact;
use super::statistics::mean_and_variance;
use super::values::{ComparedFace, DifferenceSpectrum};
use crate::optics::Element;
use crate::spectrum::{Spectrum, interpolate, median_spacing};

/// A band weakened below this share by its gap is noise when divided back.
const LEAST_FACTOR: f64 = 0.1;

/// A spot with its contact fit, where there is one.
pub type FittedSpot<'a> = (&'a Spectrum, Option<&'a Contact>);

/// Subtracts the mean of one face from the mean of the other on the coarser measured grid.
///
/// Points that any spot lacks are left out. Empty where the spectra share nothing.
#[must_use]
pub fn difference(
    crystal: &Element,
    (face, spots): (ComparedFace, &[FittedSpot<'_>]),
    (against, references): (ComparedFace, &[FittedSpot<'_>]),
) -> DifferenceSpectrum {
    let all: Vec<&Spectrum> = spots.iter().chain(references).map(|s| s.0).collect();
    let mut result = DifferenceSpectrum {
        face,
        against,
        wavenumbers_cm1: Vec::new(),
        differences: Vec::new(),
        standard_errors: Vec::new(),
    };
    for wavenumber in shared_axis(&all) {
        let (Some(a), Some(b)) =
            (values_at(crystal, spots, wavenumber), values_at(crystal, references, wavenumber))
        else {
            continue;
        };
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
        result.wavenumbers_cm1.push(wavenumber);
        result.differences.push(mean(&a) - mean(&b));
        if let (Some((_, va)), Some((_, vb))) = (mean_and_variance(&a), mean_and_variance(&b)) {
            let squared = va / a.len() as f64 + vb / b.len() as f64;
            result.standard_errors.push(squared.sqrt());
        }
    }
    result
}

/// Returns the points of the coarsest grid that every spectrum has.
pub fn shared_axis(all: &[&Spectrum]) -> Vec<f64> {
    let coarsest = all.iter().max_by(|a, b| {
        let spacing = |s: &Spectrum| median_spacing(s.wavenumbers_cm1()).unwrap_or(0.0);
        spacing(a).total_cmp(&spacing(b))
    });
    let Some(grid) = coarsest else { return Vec::new() };
    let points = grid.wavenumbers_cm1().iter().copied();
    points.filter(|v| all.iter().all(|s| s.covers(*v, *v))).collect()
}

fn values_at(crystal: &Element, spots: &[FittedSpot<'_>], wavenumber: f64) -> Option<Vec<f64>> {
    spots
        .iter()
        .map(|(spectrum, contact)| {
            let value =
                interpolate(spectrum.wavenumbers_cm1(), spectrum.absorbances(), wavenumber)?;
            let factor = contact.map_or(Some(1.0), |c| c.factor(crystal, wavenumber))?;
            (factor >= LEAST_FACTOR).then(|| value / factor)
        })
        .collect()
}
