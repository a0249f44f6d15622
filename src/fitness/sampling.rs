//! Range, spacing, resolution, padding, and data that were smoothed before.

use super::{Finding, NoiseProfile, Severity, resolution};
use crate::spectrum::{PointFlag, Spectrum};

/// Below this the fingerprint region is not whole; in cm⁻¹.
const RANGE_CM1: (f64, f64) = (700.0, 3100.0);

/// Noise that falls so far at the highest rates was taken out by smoothing or by zero filling.
const SMOOTHED: f64 = 4.0;

pub(super) fn findings(
    spectrum: &Spectrum,
    spacing_cm1: f64,
    noise: &NoiseProfile,
    full: bool,
) -> Vec<Finding> {
    let mut found = vec![range(spectrum), spacing(spacing_cm1)];
    found.extend(padding(spectrum));
    if noise.slow_over_fast() >= SMOOTHED {
        found.push(
            Finding::note(
                "smoothed",
                "the noise is slower than the spacing: data were smoothed or filled",
            )
            .figure(noise.slow_over_fast(), f64::NAN, ""),
        );
    }
    if full {
        found.extend(resolution::finding(spectrum));
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

fn spacing(spacing: f64) -> Finding {
    let finding = Finding::note("spacing", "distance between points").figure(
        spacing,
        resolution::COARSEST_CM1 / 2.0,
        "cm⁻¹",
    );
    if spacing > resolution::COARSEST_CM1 / 2.0 {
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
