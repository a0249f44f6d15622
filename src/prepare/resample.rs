//! A coarser or shifted even grid by interpolation, never a finer one and never past the ends.

use super::Error;
use crate::spectrum::{PointFlag, Spectrum, SpectrumParts, Step};

/// Rounded axes differ by this share from their true spacing without being finer.
const SPACING_ROUNDING: f64 = 1.0e-3;

/// Returns the spectrum on an even grid with the given spacing in cm⁻¹, and its whole multiples as points.
///
/// Values are interpolated linearly within each measured segment; nothing is extrapolated and gaps
/// stay. A grid point takes the worse flag of the two points it lies between; padding is dropped.
///
/// # Errors
///
/// A spacing finer than the median measured one is refused, and so is one that leaves too few
/// points.
pub fn resample(spectrum: &Spectrum, spacing_cm1: f64) -> Result<Spectrum, Error> {
    if !(spacing_cm1 > 0.0 && spacing_cm1.is_finite()) {
        return Err(Error::Setting {
            setting: "spacing_cm1",
            found: spacing_cm1,
            expected: "it must be a positive number of cm⁻¹",
        });
    }
    let measured = spectrum.spacing_cm1();
    if spacing_cm1 < measured * (1.0 - SPACING_ROUNDING) {
        return Err(Error::Finer { asked: spacing_cm1, measured });
    }
    let mut parts = SpectrumParts::new(Vec::new(), Vec::new());
    for segment in spectrum.segments() {
        let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
        let (Some(first), Some(last)) = (axis.first(), axis.last()) else { continue };
        let from = (first / spacing_cm1).ceil() as u64;
        let to = (last / spacing_cm1).floor() as u64;
        if !parts.wavenumbers_cm1.is_empty() {
            parts.breaks.push(parts.wavenumbers_cm1.len());
        }
        for k in from..=to {
            let wavenumber = k as f64 * spacing_cm1;
            let Some(absorbance) = spectrum.absorbance_at(wavenumber) else { continue };
            if parts.wavenumbers_cm1.last().is_some_and(|before| *before >= wavenumber) {
                continue;
            }
            parts.wavenumbers_cm1.push(wavenumber);
            parts.absorbances.push(absorbance);
            parts.flags.push(worse_flag(spectrum, wavenumber));
        }
    }
    parts.ordinate = (spectrum.ordinate(), spectrum.ordinate_origin());
    parts.mode = (spectrum.mode(), spectrum.mode_origin());
    parts.provenance = spectrum.provenance().clone();
    parts.warnings = spectrum.warnings().to_vec();
    let mut resampled = Spectrum::new(parts)?;
    let absorbances = resampled.absorbances().to_vec();
    for step in spectrum.history() {
        resampled = resampled.with_absorbances(absorbances.clone(), step.clone())?;
    }
    let step = Step::new("resample").with("spacing", spacing_cm1).with("by", "straight lines");
    Ok(resampled.with_absorbances(absorbances, step)?)
}

/// Returns the worse flag of the points on either side: masked, then saturated, then measured.
fn worse_flag(spectrum: &Spectrum, wavenumber_cm1: f64) -> PointFlag {
    let axis = spectrum.wavenumbers_cm1();
    let after = axis.partition_point(|v| *v < wavenumber_cm1);
    let before =
        if axis.get(after) == Some(&wavenumber_cm1) { after } else { after.saturating_sub(1) };
    let flags = spectrum.flags().get(before..=after).unwrap_or_default();
    [PointFlag::Masked, PointFlag::Saturated]
        .into_iter()
        .find(|flag| flags.contains(flag))
        .unwrap_or(PointFlag::Measured)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spectrum() -> Spectrum {
        let axis: Vec<f64> = (0..60).map(|i| 601.0 + 2.0 * f64::from(i)).collect();
        let values = axis.iter().map(|x| 0.001 * x).collect();
        let mut parts = SpectrumParts::new(axis, values);
        parts.breaks = vec![30];
        Spectrum::new(parts).expect("valid")
    }

    #[test]
    fn stays_inside_each_segment() {
        let found = resample(&spectrum(), 4.0).expect("coarser");
        assert_eq!(found.segments().len(), 2);
        for (wavenumber, absorbance) in found.wavenumbers_cm1().iter().zip(found.absorbances()) {
            assert!((absorbance - 0.001 * wavenumber).abs() < 1e-12);
            assert_eq!(wavenumber % 4.0, 0.0);
        }
        assert_eq!(found.range_cm1(), (604.0, 716.0));
    }

    #[test]
    fn refuses_a_finer_grid() {
        assert_eq!(resample(&spectrum(), 1.0), Err(Error::Finer { asked: 1.0, measured: 2.0 }));
        assert!(resample(&spectrum(), f64::NAN).is_err());
    }
}
