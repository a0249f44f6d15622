//! What of the C–Cl region can be tested, band by band.

use super::{Finding, NoiseProfile, Severity};
use crate::spectrum::Spectrum;

/// The C–Cl bands of poly(vinyl chloride) in ATR, their near side and the end that must be measured
/// for a baseline on both sides, in cm⁻¹ (common practice, no source).
const BANDS: [(&str, f64, f64, f64); 3] = [
    ("c-cl-613", 613.0, 640.0, 580.0),
    ("c-cl-635", 635.0, 655.0, 610.0),
    ("c-cl-690", 690.0, 720.0, 670.0),
];

/// Down to here a baseline on one side alone still stands for the 613 band, in cm⁻¹.
const ONE_SIDED_CM1: f64 = 595.0;

/// The strongest band must reach so many standard deviations of the noise at the band (IUPAC's limit
/// of quantification).
const LEAST_SIGNAL_TO_NOISE: f64 = 10.0;

/// Returns one finding per band: how far down it was measured, and what may be said.
pub(super) fn findings(
    spectrum: &Spectrum,
    noise: &NoiseProfile,
    strongest: f64,
) -> impl Iterator<Item = Finding> {
    let measured_from = |high: f64| {
        // The lowest wavenumber from which the band is measured without a gap.
        let axis = spectrum.wavenumbers_cm1();
        axis.iter().copied().find(|low| *low < high && spectrum.covers(*low, high))
    };
    BANDS.into_iter().map(move |(id, centre, high, low)| {
        let Some(from) = measured_from(high) else {
            let (first, _) = spectrum.range_cm1();
            let mut finding = Finding::note(id, "");
            if first > low {
                finding = finding.figure(first, low, "cm⁻¹");
            }
            return finding.raised(
                Severity::Limits,
                format!("not testable: {centre} cm⁻¹ was not measured"),
                "measure down to 400 cm⁻¹ or as far as the detector reaches",
            );
        };
        let finding =
            Finding::note(id, format!("{centre} cm⁻¹ is testable")).figure(from, low, "cm⁻¹");
        let ratio = strongest / noise.at(centre);
        if from > low && !(id == "c-cl-613" && from <= ONE_SIDED_CM1) {
            finding.raised(
                Severity::Limits,
                format!("not testable: the spectrum reaches down to {from:.0} cm⁻¹ only"),
                "measure down to 400 cm⁻¹ or as far as the detector reaches",
            )
        } else if ratio < LEAST_SIGNAL_TO_NOISE {
            finding.raised(
                Severity::Limits,
                format!("not testable: the noise near {centre} cm⁻¹ is too high"),
                "add scans, or use a detector that reaches further",
            )
        } else if spectrum.saturated(low.max(from), high) {
            finding.raised(
                Severity::Limits,
                format!("not testable: saturated near {centre} cm⁻¹"),
                "use a thinner film or ATR",
            )
        } else if from > low {
            finding.raised(
                Severity::Limits,
                "testable with a baseline on one side only",
                "measure below 580 cm⁻¹",
            )
        } else {
            finding
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::Tables;

    #[test]
    fn what_counts_as_testable_is_what_the_table_asks_for() {
        // The check takes no table, and must not say of a spectrum what a judgement by the table contradicts.
        let table = &Tables::built_in().stretches().carbon_chlorine;
        let places = [&table.read, &table.long, &table.upper].map(|stretch| stretch.position_cm1);
        assert_eq!(BANDS.map(|band| band.1), places);
        assert_eq!(BANDS[0].3, table.both_sides.cm1.0);
        assert_eq!(ONE_SIDED_CM1, table.one_side.cm1.0);
    }
}
