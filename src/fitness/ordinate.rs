//! Saturated, coarse and normalised ordinates, with what their tops say.

use super::signal::Signal;
use super::{Finding, Severity, tops};
use crate::spectrum::{ORDINATE_DOUBTFUL, Ordinate, PointFlag, Spectrum, bounds, written_step};

/// Coarse means that so large a share of neighbours are equal.
const EQUAL_SHARE: f64 = 0.25;

/// A step of the ordinate above this share of the strongest band hides weak bands.
const COARSE_STEP: f64 = 0.005;

pub(super) fn findings(spectrum: &Spectrum, signal: &Signal) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(contradicted(spectrum));
    found.extend(saturated(spectrum));
    found.extend(tops::flattened(spectrum, signal));
    found.extend(tops::clipped(spectrum, signal));
    found.extend(coarse(spectrum, signal));
    found.extend(normalised(spectrum));
    found
}

/// A spectrum whose values are not of the unit that its file states shows bands where there are none.
fn contradicted(spectrum: &Spectrum) -> Option<Finding> {
    let is_doubted = spectrum.warnings().iter().any(|warning| warning.id == ORDINATE_DOUBTFUL);
    is_doubted.then(|| {
        Finding::note("ordinate-doubtful", "").raised(
            Severity::Unfit,
            "the values do not look like the ordinate that the file states",
            "see what `bandlore read` says of it; state it with --ordinate, or export again",
        )
    })
}

fn saturated(spectrum: &Spectrum) -> Option<Finding> {
    let count = spectrum.flags().iter().filter(|f| **f == PointFlag::Saturated).count();
    (count > 0).then(|| {
        let share = 100.0 * count as f64 / spectrum.len() as f64;
        Finding::note("saturated", "").figure(share, 0.0, "%").raised(
            Severity::Limits,
            "some points let no light through: heights and ratios there are unsafe",
            "use a thinner film, less pressure, or ATR",
        )
    })
}

fn coarse(spectrum: &Spectrum, signal: &Signal) -> Option<Finding> {
    let stretches =
        || spectrum.segments().iter().map(|segment| &spectrum.absorbances()[segment.clone()]);
    let equal_in = |values: &[f64]| values.windows(2).filter(|pair| pair[0] == pair[1]).count();
    let equal: usize = stretches().map(equal_in).sum();
    let pairs: usize = stretches().map(|values| values.len().saturating_sub(1)).sum();
    let share = equal as f64 / pairs.max(1) as f64;
    if share <= EQUAL_SHARE {
        return None;
    }
    let step = written_step(stretches())?;
    let size = step / signal.strongest.max(f64::MIN_POSITIVE);
    (size > COARSE_STEP).then(|| {
        Finding::note("coarse-ordinate", "")
            .figure(size, COARSE_STEP, "of the strongest band")
            .raised(
                Severity::Limits,
                "the ordinate was written with too few digits: weak bands are steps",
                "export again with more digits",
            )
    })
}

fn normalised(spectrum: &Spectrum) -> Option<Finding> {
    let (low, high) = bounds(spectrum.absorbances());
    let one = (high - 1.0).abs() < 1.0e-9 || (high - 100.0).abs() < 1.0e-7;
    let scaled = spectrum.ordinate() == Ordinate::RelativeAbsorbance || (one && low.abs() < 1.0e-9);
    scaled.then(|| {
        Finding::note("normalised", "heights were scaled: strength of contact cannot be told")
            .figure(high, f64::NAN, "")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    /// What is found of an ordinate in a signal whose strongest band is 1.
    fn coarse_in(values: Vec<f64>) -> Option<f64> {
        let axis: Vec<f64> = (0..values.len()).map(|i| 600.0 + 2.0 * i as f64).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum");
        let signal = Signal {
            strongest: 1.0,
            strongest_cm1: 1000.0,
            ratio: 100.0,
            runs: vec![(600.0, 4000.0)],
            drowned: 0.0,
            offset: 0.0,
            slope: 0.0,
        };
        coarse(&spectrum, &signal).and_then(|found| found.value)
    }

    fn wave(i: usize) -> f64 {
        0.5 + 0.5 * (i as f64 * 0.02).sin()
    }

    #[test]
    fn few_digits_are_told_by_equal_neighbours_and_large_steps_together() {
        let rounded = |unit: f64| (0..1500).map(|i| (wave(i) / unit).round() * unit).collect();
        let step =
            coarse_in(rounded(0.02)).expect("two hundredths of the strongest band are coarse");
        assert!((step - 0.02).abs() < 1.0e-12, "{step}");
        // Equal neighbours alone are no harm: the step is below what hides a weak band.
        assert_eq!(coarse_in(rounded(0.004)), None);
        // Nor are steep flanks and noise, of which two neighbours happen to be equal.
        let mut noisy: Vec<f64> =
            (0..1500).map(|i| wave(i) + 0.05 * ((i * i) as f64 * 0.7).sin()).collect();
        noisy[700] = noisy[701];
        assert_eq!(coarse_in(noisy), None);
    }

    #[test]
    fn a_step_above_half_a_hundredth_of_the_strongest_band_is_coarse() {
        let stairs = |step: f64| (0..1500).map(|i| step * (i / 4 % 100) as f64).collect();
        assert_eq!(coarse_in(stairs(0.0049)), None);
        let found = coarse_in(stairs(0.0051)).expect("coarse");
        assert!((found - 0.0051).abs() < 1.0e-9, "{found}");
    }

    #[test]
    fn a_spectrum_from_nought_to_one_or_to_a_hundred_was_scaled() {
        let is_scaled = |low: f64, high: f64| {
            let axis = (0..20).map(|i| 1000.0 + 2.0 * f64::from(i)).collect();
            let values = (0..20).map(|i| if i % 2 == 0 { low } else { high }).collect();
            normalised(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")).is_some()
        };
        assert!(is_scaled(0.0, 1.0) && is_scaled(0.0, 100.0));
        assert!(!is_scaled(0.0, 0.99) && !is_scaled(0.01, 1.0));
    }
}
