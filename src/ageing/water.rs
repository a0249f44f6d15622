//! Adsorbed water against hydroxyl: stretch near 3350, bend near 1640, and the libration below 760.
//!
//! Hydroxyl growth has the stretch alone; C=C beside it has the bend. Only water has the libration
//! too: its absorption index falls from 0.31 at 760 to 0.10 cm⁻¹ at 910, against 0.27 at 3350 and
//! 0.13 at 1640 (Hale & Querry 1973, Applied Optics 12:555, recalled).

use super::values::DifferenceSpectrum;
use crate::spectrum::{Spectrum, quantile, window};
use crate::tables::{Stretch, Water};

/// Share of the points of a stretch that may lie below its "lowest": noise is no foot.
const LOWEST_SHARE: f64 = 0.1;
/// A difference counts from this many standard errors on; common practice.
const CLEAR: f64 = 3.0;

/// What the low end of a spectrum says of water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Libration {
    /// It rises as water's does.
    Rises,
    /// It was measured and does not.
    Flat,
    /// The spectrum ends above it.
    NotMeasured,
}

/// Whether a difference of two faces looks like water.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaterInDifference {
    /// All three bands of water changed together.
    Water,
    /// Stretch and bend changed together; the libration was not measured.
    NotTold,
    /// Something else, or nothing, changed near 3350.
    NotWater,
}

/// Asks a single spectrum for the libration: where between bands it is lowest, below 760 against
/// above 860 cm⁻¹, as a share of the stretch.
#[must_use]
pub fn libration(spectrum: &Spectrum, of: &Water) -> Libration {
    let (axis, values) = (spectrum.wavenumbers_cm1(), spectrum.absorbances());
    let lowest = |(low, high): (f64, f64)| -> Option<f64> {
        spectrum.covers(low, high).then_some(())?;
        quantile(&mut values.get(window(axis, low, high))?.to_vec(), LOWEST_SHARE)
    };
    let (Some(rise), Some(foot)) = (lowest(of.libration.cm1), lowest(of.foot.cm1)) else {
        return Libration::NotMeasured;
    };
    let middle =
        |(low, high): (f64, f64)| quantile(&mut values.get(window(axis, low, high))?.to_vec(), 0.5);
    let Some(stretch) = stretch(of, &middle) else { return Libration::NotMeasured };
    if rise - foot >= of.libration.least * stretch { Libration::Rises } else { Libration::Flat }
}

/// Asks a difference spectrum, in which the polymer's own bands all but cancel.
#[must_use]
pub fn water_in(difference: &DifferenceSpectrum, of: &Water) -> WaterInDifference {
    let axis = &difference.wavenumbers_cm1;
    let middle_of = |list: &[f64], (low, high): (f64, f64)| -> Option<f64> {
        quantile(&mut list.get(window(axis, low, high))?.to_vec(), 0.5)
    };
    let middle = |stretch: (f64, f64)| middle_of(&difference.differences, stretch);
    let Some(stretch) = stretch(of, &middle) else { return WaterInDifference::NotWater };
    let error = middle_of(&difference.standard_errors, of.stretch.cm1).unwrap_or(f64::INFINITY);
    if stretch.abs() <= CLEAR * error {
        return WaterInDifference::NotWater;
    }
    let (Some(top), Some(foot)) = (middle(of.bend.cm1), beside(&of.beside_bend, &middle)) else {
        return WaterInDifference::NotWater;
    };
    let bend = (top - foot) / stretch;
    if !(of.bend.least..=of.bend.most).contains(&bend) {
        return WaterInDifference::NotWater;
    }
    match (middle(of.libration.cm1), middle(of.foot.cm1)) {
        (Some(rise), Some(foot)) if axis.first().is_some_and(|v| *v <= of.libration.cm1.0) => {
            if (rise - foot) / stretch >= of.libration.least {
                WaterInDifference::Water
            } else {
                WaterInDifference::NotWater
            }
        }
        _ => WaterInDifference::NotTold,
    }
}

/// Height of the stretch above the places beside it.
fn stretch(of: &Water, middle: &dyn Fn((f64, f64)) -> Option<f64>) -> Option<f64> {
    let beside = beside(&of.beside_stretch, middle)?;
    Some(middle(of.stretch.cm1)? - beside)
}

/// Height between two places beside a band.
fn beside(places: &[Stretch; 2], middle: &dyn Fn((f64, f64)) -> Option<f64>) -> Option<f64> {
    Some(f64::midpoint(middle(places[0].cm1)?, middle(places[1].cm1)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ageing::ComparedFace;
    use crate::spectrum::SpectrumParts;
    use crate::tables::Tables;

    /// Height at each place of wavenumber: absorption index of liquid water (Hale & Querry 1973,
    /// recalled), joined by straight lines.
    const WATER: [(f64, f64); 16] = [
        (400.0, 0.40),
        (600.0, 0.43),
        (667.0, 0.40),
        (714.0, 0.37),
        (769.0, 0.305),
        (833.0, 0.20),
        (909.0, 0.097),
        (1000.0, 0.051),
        (1500.0, 0.03),
        (1590.0, 0.06),
        (1640.0, 0.131),
        (1690.0, 0.06),
        (2500.0, 0.01),
        (3100.0, 0.19),
        (3350.0, 0.272),
        (3700.0, 0.01),
    ];

    fn water(v: f64) -> f64 {
        let after = WATER.partition_point(|p| p.0 < v).clamp(1, WATER.len() - 1);
        let (a, b) = (WATER[after - 1], WATER[after]);
        if v > 3700.0 { 0.01 } else { a.1 + (b.1 - a.1) * (v - a.0) / (b.0 - a.0) }
    }

    fn hydroxyl_and_c_c(v: f64) -> f64 {
        let bell = |at: f64, wide: f64| (-4.0 * 2_f64.ln() * ((v - at) / wide).powi(2)).exp();
        0.27 * bell(3350.0, 350.0) + 0.10 * bell(1640.0, 60.0)
    }

    fn axis(low: f64) -> Vec<f64> {
        (0..).map(|i| low + 2.0 * f64::from(i)).take_while(|v| *v <= 4000.0).collect()
    }

    fn difference(low: f64, shape: fn(f64) -> f64) -> DifferenceSpectrum {
        let axis = axis(low);
        DifferenceSpectrum {
            face: ComparedFace::Exposed,
            against: ComparedFace::Covered,
            differences: axis.iter().map(|v| 0.02 * shape(*v)).collect(),
            standard_errors: vec![2e-4; axis.len()],
            wavenumbers_cm1: axis,
        }
    }

    fn in_it(difference: &DifferenceSpectrum) -> WaterInDifference {
        water_in(difference, &Tables::built_in().stretches().water)
    }

    fn of_it(spectrum: &Spectrum) -> Libration {
        libration(spectrum, &Tables::built_in().stretches().water)
    }

    #[test]
    fn tells_water_from_hydroxyl_by_the_libration() {
        assert_eq!(in_it(&difference(450.0, water)), WaterInDifference::Water);
        assert_eq!(in_it(&difference(450.0, |v| -water(v))), WaterInDifference::Water);
        assert_eq!(in_it(&difference(450.0, hydroxyl_and_c_c)), WaterInDifference::NotWater);
        assert_eq!(in_it(&difference(450.0, |_| 0.0)), WaterInDifference::NotWater);
    }

    #[test]
    fn leaves_it_open_where_the_libration_was_not_measured() {
        assert_eq!(in_it(&difference(900.0, water)), WaterInDifference::NotTold);
        assert_eq!(in_it(&difference(900.0, hydroxyl_and_c_c)), WaterInDifference::NotTold);
    }

    #[test]
    fn sees_the_libration_between_the_bands_of_a_polymer() {
        let spectrum = |low: f64, shape: fn(f64) -> f64| {
            let axis = axis(low);
            let band = |v: f64, at: f64| 0.2 / (1.0 + ((v - at) / 12.0).powi(2));
            let values = axis
                .iter()
                .map(|v| {
                    0.01 + 0.3 * shape(*v) + band(*v, 613.0) + band(*v, 690.0) + band(*v, 962.0)
                })
                .collect();
            Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
        };
        assert_eq!(of_it(&spectrum(450.0, water)), Libration::Rises);
        assert_eq!(of_it(&spectrum(450.0, hydroxyl_and_c_c)), Libration::Flat);
        assert_eq!(of_it(&spectrum(700.0, water)), Libration::NotMeasured);
    }
}
