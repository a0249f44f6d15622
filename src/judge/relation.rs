//! How two materials of one spectrum stand to each other.
//!
//! The evanescent wave reaches five times deeper at 613 cm⁻¹ than at 3400: what lies on top shows
//! its bands at high wavenumbers too strongly beside what lies under it, and too weakly at low ones.

use super::case::Case;
use super::outcome::Relation;
use crate::matching::{Answer, Fit, MET_WORTH};

/// Bands of its own that each material must show on either side.
const LEAST_BANDS: usize = 2;

/// Where shallow is parted from deep, in cm⁻¹: 1.3 µm against more (diamond, 45°).
const SHALLOW_ABOVE_CM1: f64 = 1500.0;

/// The balance of the two must change by this factor between shallow and deep before one is said to
/// lie over the other: expected heights are good to about a factor of two.
const CLEAR_FACTOR: f64 = 3.0;

/// Returns how the second material stands to the first.
pub(super) fn relation(first: usize, second: usize, case: &Case<'_>) -> Relation {
    let balance = |fit: &Fit| Some((mean(fit, case, true)?, mean(fit, case, false)?));
    let of = |index: usize| case.fits.get(index).and_then(balance);
    let (Some((a_shallow, a_deep)), Some((b_shallow, b_deep))) = (of(first), of(second)) else {
        return Relation::NotToldApart;
    };
    let change = (b_shallow - b_deep) - (a_shallow - a_deep);
    if change >= CLEAR_FACTOR.ln() { Relation::CoatingOver } else { Relation::NotToldApart }
}

/// Mean logarithm of found over expected height for the bands on one side.
fn mean(fit: &Fit, case: &Case<'_>, shallow: bool) -> Option<f64> {
    let entry = case.entry(fit)?;
    let ratios: Vec<f64> = entry
        .expected
        .iter()
        .zip(&fit.answers)
        .filter(|(band, _)| (band.position_cm1 >= SHALLOW_ABOVE_CM1) == shallow)
        .filter_map(|(band, answer)| match answer {
            Answer::Met(at, worth) if *worth >= MET_WORTH => {
                let feature = case.observed.features().list.get(*at)?;
                Some((feature.share / band.share).ln())
            }
            _ => None,
        })
        .collect();
    (ratios.len() >= LEAST_BANDS).then(|| ratios.iter().sum::<f64>() / ratios.len() as f64)
}
