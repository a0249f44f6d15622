//! Picks maxima and shoulders that stand clear of the noise.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use super::{Peak, PeakKind, hidden_bands, local_maxima, prominences, top_between_points, widths};
use crate::spectrum::{PointFlag, Spectrum};

/// A band is called at three standard deviations of the noise (IUPAC's limit of detection).
const LEAST_SIGNAL_TO_NOISE: f64 = 3.0;

/// Shoulders come from a second derivative, whose noise is larger; they must stand twice as clear.
const SHOULDER_FACTOR: f64 = 2.0;

/// Below this share of the strongest peak nothing is picked: residues of the baseline live there.
const LEAST_SHARE: f64 = 0.003;

/// A shoulder is no news within this share of a maximum's half width from its top.
const SHOULDER_CLEARANCE: f64 = 0.5;

/// What is picked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct PickSettings {
    /// Least prominence in standard deviations of the local noise.
    pub least_signal_to_noise: f64,
    /// Least prominence as a share of the strongest one.
    pub least_share: f64,
    /// Least prominence as absorbance.
    pub least_prominence: f64,
    /// Whether shoulders are looked for.
    pub shoulders: bool,
}

impl Default for PickSettings {
    fn default() -> Self {
        Self {
            least_signal_to_noise: LEAST_SIGNAL_TO_NOISE,
            least_share: LEAST_SHARE,
            least_prominence: 0.0,
            shoulders: true,
        }
    }
}

impl PickSettings {
    /// Sets the least prominence in standard deviations of the noise.
    #[must_use]
    pub fn with_least_signal_to_noise(self, least_signal_to_noise: f64) -> Self {
        Self { least_signal_to_noise, ..self }
    }

    /// Sets the least prominence as a share of the strongest one.
    #[must_use]
    pub fn with_least_share(self, least_share: f64) -> Self {
        Self { least_share, ..self }
    }

    /// Sets the least prominence as absorbance.
    #[must_use]
    pub fn with_least_prominence(self, least_prominence: f64) -> Self {
        Self { least_prominence, ..self }
    }

    /// Sets whether shoulders are looked for.
    #[must_use]
    pub fn with_shoulders(self, shoulders: bool) -> Self {
        Self { shoulders, ..self }
    }
}

/// Picks the peaks of a prepared spectrum, by ascending wavenumber.
///
/// `second_derivative` and `noise_sd` belong to the points of the spectrum. Without the first (an
/// empty slice) no shoulders are looked for; without the second no noise is assumed and each
/// signal-to-noise ratio is infinite. Each measured segment is searched on its own; maxima on masked
/// points are left out.
#[must_use]
pub fn pick(
    spectrum: &Spectrum,
    second_derivative: &[f64],
    noise_sd: &[f64],
    settings: &PickSettings,
) -> Vec<Peak> {
    let mut peaks = Vec::new();
    let mut strongest: f64 = 0.0;
    for segment in spectrum.segments() {
        let clear = settings.least_signal_to_noise;
        let highest = maxima_of(spectrum, segment.clone(), noise_sd, clear, &mut peaks);
        strongest = strongest.max(highest);
    }
    let least = settings.least_prominence.max(settings.least_share * strongest);
    peaks.retain(|peak| peak.prominence >= least);
    if settings.shoulders {
        let mut shoulders = Vec::new();
        for segment in spectrum.segments() {
            let clears = |prominence: f64, signal_to_noise: f64| {
                prominence >= SHOULDER_FACTOR * least
                    && signal_to_noise >= SHOULDER_FACTOR * settings.least_signal_to_noise
            };
            let segment = segment.clone();
            shoulders_of(spectrum, segment, second_derivative, noise_sd, clears, &mut shoulders);
        }
        shoulders.retain(|shoulder: &Peak| {
            peaks.iter().all(|peak| {
                let reach = SHOULDER_CLEARANCE * peak.fwhm_cm1.min(shoulder.fwhm_cm1);
                (peak.position_cm1 - shoulder.position_cm1).abs() > reach
            })
        });
        peaks.append(&mut shoulders);
        peaks.sort_by(|a, b| a.position_cm1.total_cmp(&b.position_cm1));
    }
    peaks
}

/// Adds the maxima of a segment that stand clear of the noise, and returns the highest prominence of all.
fn maxima_of(
    spectrum: &Spectrum,
    segment: Range<usize>,
    noise_sd: &[f64],
    least_signal_to_noise: f64,
    peaks: &mut Vec<Peak>,
) -> f64 {
    let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
    let values = &spectrum.absorbances()[segment.clone()];
    let mut maxima = local_maxima(values);
    maxima.retain(|i| spectrum.flags()[segment.start + i] != PointFlag::Masked);
    let Ok(grounds) = prominences(values, &maxima, None) else { return 0.0 };
    let mut highest: f64 = 0.0;
    // Noise makes most of the maxima: widths are measured of the others alone.
    let (mut clear, mut their_grounds, first) = (Vec::new(), Vec::new(), peaks.len());
    for (&index, ground) in maxima.iter().zip(&grounds) {
        let Some((position_cm1, height)) = top_between_points(axis, values, index) else {
            continue;
        };
        let rise = height - values[index];
        let prominence = ground.prominence + rise;
        highest = highest.max(prominence);
        let signal_to_noise = over_noise(prominence, noise_sd, segment.start + index);
        if signal_to_noise >= least_signal_to_noise {
            clear.push(index);
            their_grounds.push(*ground);
            let kind = PeakKind::Maximum;
            let fwhm_cm1 = f64::NAN;
            peaks.push(Peak { position_cm1, height, prominence, fwhm_cm1, signal_to_noise, kind });
        }
    }
    let crossings = widths(values, &clear, &their_grounds, 0.5);
    for (peak, crossing) in peaks[first..].iter_mut().zip(&crossings) {
        peak.fwhm_cm1 = between_points(axis, crossing.right) - between_points(axis, crossing.left);
    }
    highest
}

fn shoulders_of(
    spectrum: &Spectrum,
    segment: Range<usize>,
    second_derivative: &[f64],
    noise_sd: &[f64],
    clears: impl Fn(f64, f64) -> bool,
    shoulders: &mut Vec<Peak>,
) {
    let axis = &spectrum.wavenumbers_cm1()[segment.clone()];
    let values = &spectrum.absorbances()[segment.clone()];
    let Some(curve) = second_derivative.get(segment.clone()) else { return };
    for band in hidden_bands(axis, curve) {
        let signal_to_noise = over_noise(band.height, noise_sd, segment.start + band.index);
        if spectrum.flags()[segment.start + band.index] == PointFlag::Masked
            || !clears(band.height, signal_to_noise)
        {
            continue;
        }
        // A top of the curve turned round, over the points beside it.
        let around = band.index.saturating_sub(1)..(band.index + 2).min(curve.len());
        let turned: Vec<f64> = curve[around.clone()].iter().map(|c| -c).collect();
        let within = band.index - around.start;
        let Some((position_cm1, _)) = top_between_points(&axis[around], &turned, within) else {
            continue;
        };
        shoulders.push(Peak {
            position_cm1,
            height: values[band.index],
            prominence: band.height,
            fwhm_cm1: band.width,
            signal_to_noise,
            kind: PeakKind::Shoulder,
        });
    }
}

fn over_noise(prominence: f64, noise_sd: &[f64], index: usize) -> f64 {
    prominence / noise_sd.get(index).copied().unwrap_or(0.0).max(f64::MIN_POSITIVE)
}

/// Returns the wavenumber at a place between points.
fn between_points(axis: &[f64], place: f64) -> f64 {
    let index = place.floor().max(0.0) as usize;
    match (axis.get(index), axis.get(index + 1)) {
        (Some(low), Some(high)) => low + (place - index as f64) * (high - low),
        _ => axis.last().copied().unwrap_or(0.0),
    }
}
