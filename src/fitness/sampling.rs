//! Range, spacing, resolution, padding, and data that were smoothed before.

use super::fourier::{fourier_magnitudes, hann};
use super::noise::quantile;
use super::{Finding, NoiseProfile, Severity};
use crate::spectrum::{PointFlag, Spectrum, median_spacing};

/// Below this the fingerprint region is not whole; in cm⁻¹.
const RANGE_CM1: (f64, f64) = (700.0, 3100.0);

/// Coarser than this, neighbours such as 957 and 971 cm⁻¹ (PET and PETG) merge.
const COARSEST_CM1: f64 = 11.0;

/// Bands of path difference that the transform is averaged over.
const BANDS: usize = 64;

/// A fall by this factor in magnitude is the end of the interferogram.
const FALL: f64 = 6.0;

/// Past the end at least so many averaged bands must lie flat.
const FLAT_BANDS: usize = 6;

/// Flat means within this factor of the last.
const FLAT_WITHIN: f64 = 4.0;

/// What is left past the end is rounding if it is below so many times the noise a rounding step makes.
const ROUNDING: f64 = 3.0;

/// Noise that falls so far at the highest rates was taken out by smoothing or by zero filling.
const SMOOTHED: f64 = 4.0;

pub(super) fn findings(spectrum: &Spectrum, noise: &NoiseProfile, full: bool) -> Vec<Finding> {
    let mut found = vec![range(spectrum), spacing(spectrum)];
    found.extend(padding(spectrum));
    if noise.slow_over_fast() >= SMOOTHED {
        found.push(
            Finding::note(
                "smoothed",
                "the noise is slower than the spacing: data were smoothed or filled",
            )
            .figure(noise.slow_over_fast(), SMOOTHED, ""),
        );
    }
    if full && let Some(resolution) = resolution_cm1(spectrum) {
        let finding = Finding::note(
            "resolution",
            "as the data show it, by their Fourier transform",
        )
        .figure(resolution, COARSEST_CM1, "cm⁻¹");
        found.push(if resolution > COARSEST_CM1 {
            finding.raised(
                Severity::Limits,
                "neighbouring bands merge: look-alikes that differ by narrow bands are not told apart",
                "measure at 4 cm⁻¹",
            )
        } else {
            finding
        });
    }
    found
}

fn range(spectrum: &Spectrum) -> Finding {
    let (low, high) = spectrum.range_cm1();
    let finding = Finding::note("range", format!("measured from {low:.0} to {high:.0} cm⁻¹"))
        .figure(low, RANGE_CM1.0, "cm⁻¹");
    if low > RANGE_CM1.0 || high < RANGE_CM1.1 {
        return finding.raised(
            Severity::Limits,
            format!(
                "only {low:.0} to {high:.0} cm⁻¹ were measured: bands outside are not testable"
            ),
            "measure 4000 to 400 cm⁻¹",
        );
    }
    finding
}

fn spacing(spectrum: &Spectrum) -> Finding {
    let spacing = spectrum.spacing_cm1();
    let finding = Finding::note("spacing", "distance between points").figure(
        spacing,
        COARSEST_CM1 / 2.0,
        "cm⁻¹",
    );
    if spacing > COARSEST_CM1 / 2.0 {
        return finding.raised(
            Severity::Limits,
            "points are too far apart for narrow bands",
            "measure at 4 cm⁻¹",
        );
    }
    finding
}

fn padding(spectrum: &Spectrum) -> Option<Finding> {
    let count = spectrum.flags().iter().filter(|flag| **flag == PointFlag::Padded).count();
    (count > 0).then(|| {
        Finding::note("padding", "filler values where nothing was measured are left out").figure(
            100.0 * count as f64 / spectrum.len() as f64,
            f64::NAN,
            "%",
        )
    })
}

/// Returns the resolution in cm⁻¹ that the data show, or `None` where that cannot be told.
///
/// The Fourier transform of a spectrum is its interferogram. Where that falls to nothing but rounding
/// before the end, the instrument stopped there (or the data were smoothed to that); where it does
/// not, twice the spacing is the best that can be said.
pub(super) fn resolution_cm1(spectrum: &Spectrum) -> Option<f64> {
    let segment = spectrum.segments().iter().max_by_key(|segment| segment.len())?.clone();
    let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
    let values = &spectrum.absorbances()[segment];
    let spacing = median_spacing(axis)?;
    let even = axis.windows(2).all(|p| (p[1] - p[0] - spacing).abs() < 0.1 * spacing);
    if !even || values.len() < 4 * BANDS {
        return None;
    }
    // Differences tilt the spectrum towards the end that matters and take the baseline out.
    let differences: Vec<f64> = values.windows(2).map(|p| p[1] - p[0]).collect();
    let tapered: Vec<f64> =
        differences.iter().zip(hann(differences.len())).map(|(d, taper)| d * taper).collect();
    let magnitudes = fourier_magnitudes(&tapered, tapered.len());
    let size = magnitudes.len() / BANDS;
    let levels: Vec<f64> = (0..BANDS)
        .filter_map(|band| {
            let part = magnitudes.get(band * size..(band + 1) * size)?;
            Some((part.iter().map(|m| m * m).sum::<f64>() / size as f64).sqrt())
        })
        .collect();
    let (last, rest) = levels.split_last()?;
    let flat = rest.iter().rev().take_while(|level| **level < FLAT_WITHIN * last).count();
    let cut = levels.iter().rposition(|level| *level > FALL * last);
    let nyquist = 2.0 * spacing;
    let Some(cut) = cut else { return Some(nyquist) };
    // Rounding steps of q make white noise of q/√12; a difference doubles its power.
    let mut steps: Vec<f64> = differences.iter().map(|d| d.abs()).filter(|d| *d > 0.0).collect();
    let step = quantile(&mut steps, 0.05)?;
    let rounding = step / 12f64.sqrt() * 2.0 * (0.375 * differences.len() as f64).sqrt();
    let nothing_left =
        *last < ROUNDING * rounding || *last < 1.0e-6 * levels.iter().copied().fold(0.0, f64::max);
    if flat < FLAT_BANDS || !nothing_left {
        return Some(nyquist);
    }
    Some(nyquist * BANDS as f64 / (cut + 1) as f64)
}
