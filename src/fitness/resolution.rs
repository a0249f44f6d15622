//! The resolution that the data show.

use super::fourier::{fourier_magnitudes, hann};
use super::{Finding, Severity};
use crate::spectrum::{Spectrum, median_spacing};

/// Coarser than this, neighbours such as 957 and 971 cm⁻¹ (PET and PETG) merge.
pub(super) const COARSEST_CM1: f64 = 11.0;

/// Bands of path difference that the transform is averaged over.
const BANDS: usize = 64;

/// The end of an interferogram is looked for over so many bands: triangular apodisation brings it to
/// zero slowly.
const FALL_BANDS: usize = 6;

/// Over them the magnitude falls by this factor and never rises again. Where bands merely fade into the
/// noise it falls less (own measure on open spectra: 98 of 100 below 8.5).
const FALL: f64 = 9.0;

/// A fall this many times smaller than the deepest one counts as deep as it.
const AS_DEEP: f64 = 4.0;

/// What the data say of the resolution.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Shown {
    /// The interferogram ends here, in cm⁻¹.
    Ends(f64),
    /// It goes on to the last path difference that the points can show: this fine at best.
    AtBest(f64),
}

/// Returns the resolution in cm⁻¹, from the data where their interferogram ends, else as stated; `None` where neither
/// tells.
pub(crate) fn resolution_cm1(spectrum: &Spectrum) -> Option<f64> {
    found(spectrum).map(|(value, _)| value)
}

pub(super) fn finding(spectrum: &Spectrum) -> Option<Finding> {
    let (value, words) = found(spectrum)?;
    let finding = Finding::note("resolution", words).figure(value, COARSEST_CM1, "cm⁻¹");
    Some(if value > COARSEST_CM1 {
        finding.raised(
            Severity::Limits,
            "neighbouring bands merge: look-alikes that differ by narrow bands are not told apart",
            "measure at 4 cm⁻¹",
        )
    } else {
        finding
    })
}

/// The resolution, and how it is known.
fn found(spectrum: &Spectrum) -> Option<(f64, String)> {
    let stated = stated_resolution_cm1(spectrum);
    Some(match (shown(spectrum), stated) {
        (Some(Shown::Ends(shown)), Some(stated)) if shown > 1.5 * stated => (
            shown,
            format!("the file says {stated} cm⁻¹, but the data end at what {shown:.1} cm⁻¹ gives"),
        ),
        (Some(Shown::Ends(shown)), _) => {
            (shown, "as the data show it, by their Fourier transform".to_owned())
        }
        (Some(Shown::AtBest(_)), Some(stated)) => (stated, "as the file states it".to_owned()),
        (Some(Shown::AtBest(best)), None) => {
            (best, "at best: twice the distance between points; the data show no end".to_owned())
        }
        (None, Some(stated)) => (stated, "as the file states it".to_owned()),
        (None, None) => return None,
    })
}

/// The resolution the file states, in cm⁻¹, where it is a plausible number.
pub(crate) fn stated_resolution_cm1(spectrum: &Spectrum) -> Option<f64> {
    stated_cm1(spectrum.provenance().stated_resolution.as_deref()?)
}

/// The first number of a text, other words before it or not.
fn stated_cm1(text: &str) -> Option<f64> {
    let number = |word: &str| {
        let end = word.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')));
        word.get(..end.unwrap_or(word.len()))?.replace(',', ".").parse().ok()
    };
    text.split_whitespace().find_map(number).filter(|value| (0.01..=128.0).contains(value))
}

/// Looks for the end of the interferogram.
///
/// The Fourier transform of a spectrum is its interferogram, and an instrument (or smoothing) ends it
/// at one path difference: signal and noise alike fall there at once. Bands alone fade slowly.
fn shown(spectrum: &Spectrum) -> Option<Shown> {
    let segment = spectrum.segments().iter().max_by_key(|segment| segment.len())?.clone();
    let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
    let values = &spectrum.absorbances()[segment];
    let spacing = median_spacing(axis)?;
    let even = axis.windows(2).all(|p| (p[1] - p[0] - spacing).abs() < 0.1 * spacing);
    if !even || values.len() < 4 * BANDS {
        return None;
    }
    // Differences tilt the spectrum towards the end that matters and take the baseline out.
    let tapered: Vec<f64> = values
        .windows(2)
        .zip(hann(values.len() - 1))
        .map(|(pair, taper)| (pair[1] - pair[0]) * taper)
        .collect();
    let magnitudes = fourier_magnitudes(&tapered, tapered.len());
    let size = magnitudes.len() / BANDS;
    let levels: Vec<f64> = magnitudes
        .chunks_exact(size)
        .take(BANDS)
        .map(|band| (band.iter().map(|m| m * m).sum::<f64>() / size as f64).sqrt())
        .collect();
    // The highest level past each band.
    let mut past = levels.clone();
    for k in (0..past.len() - 1).rev() {
        past[k] = past[k].max(past[k + 1]);
    }
    let nyquist = 2.0 * spacing;
    let fall = |k: usize| levels[k - FALL_BANDS] / past[k + 1].max(f64::MIN_POSITIVE);
    let places = FALL_BANDS + 2..levels.len().saturating_sub(FALL_BANDS);
    let deepest = places.clone().map(fall).fold(0.0, f64::max);
    if deepest < FALL {
        return Some(Shown::AtBest(nyquist));
    }
    // Past the end what is left goes on falling: the first band about as deep is the end.
    let end = places.into_iter().find(|k| fall(*k) >= FALL.max(deepest / AS_DEEP))?;
    Some(Shown::Ends(nyquist * BANDS as f64 / end as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stated_resolution_is_read_beside_a_unit_and_other_words() {
        for text in ["4", " 4.0 cm-1", "4cm-1", "4,0 cm⁻¹", "nominal 4 cm-1"] {
            assert_eq!(stated_cm1(text), Some(4.0), "{text}");
        }
        for text in ["", "high", "0", "-4", "400", "inf", "4.0.0"] {
            assert_eq!(stated_cm1(text), None, "{text}");
        }
    }
    use crate::spectrum::SpectrumParts;

    #[test]
    fn a_few_points_do_not_show_a_resolution() {
        let with = |count: u32| {
            let axis: Vec<f64> = (0..count).map(|i| 1000.0 + 2.0 * f64::from(i)).collect();
            let values = axis.iter().map(|x| (x * 0.7).sin() + (x * 1.3).cos()).collect();
            shown(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"))
        };
        assert_eq!(with(250), None);
        assert!(with(260).is_some());
    }
}
