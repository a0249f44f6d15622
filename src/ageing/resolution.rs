//! Faces at different resolutions or on different scales: what one merges, lowers or moves is no change of the other.

use super::disturbance::Disturbances;
use super::spot::Spot;
use super::values::ComparedFace;
use crate::fitness::stated_resolution_cm1;

/// Id of the warning that two faces were measured at different resolutions, so that they are not compared.
pub const RESOLUTION_DIFFERS: &str = "resolution-differs";

/// Past this ratio what the files say of two resolutions differs: instruments offer 1, 2, 4, 8 and 16 cm⁻¹.
const STATED_RATIO: f64 = 1.5;

/// Says why two faces are not compared, where their files or the width of their bands tell of two resolutions.
pub(super) fn differs(
    spots: &[Spot<'_>],
    (face, against): (ComparedFace, ComparedFace),
    disturbances: Option<&Disturbances<'_>>,
) -> Option<String> {
    /// What it means, and what to do.
    const SO: &str = "which alone changes heights and areas; measure both faces alike";
    let of_both = spots.iter().filter(|spot| [face, against].contains(&spot.face));
    let stated: Vec<f64> =
        of_both.filter_map(|spot| stated_resolution_cm1(spot.specimen.spectrum)).collect();
    let finest = stated.iter().copied().fold(f64::INFINITY, f64::min);
    let coarsest = stated.iter().copied().fold(0.0, f64::max);
    if coarsest > STATED_RATIO * finest {
        return Some(format!(
            "the resolution differs: the files of the {} and the {} face state {finest} to {coarsest} cm⁻¹, {SO}",
            face.word(),
            against.word()
        ));
    }
    let disturbances = disturbances?;
    if let Some(higher_cm1) = disturbances.shift_cm1() {
        return Some(format!(
            "all bands of the {} face stand {:.1} cm⁻¹ {} than those of the {} face: another wavenumber scale, or bands that reflection moves, {SO}",
            face.word(),
            higher_cm1.abs(),
            if higher_cm1 > 0.0 { "higher" } else { "lower" },
            against.word()
        ));
    }
    let broader = disturbances.broadening_cm1()?;
    let (coarse, fine) = if broader > 0.0 { (face, against) } else { (against, face) };
    Some(format!(
        "all bands of the {} face are broader than those of the {} face, as if folded with {:.0} cm⁻¹: another resolution, or the material itself (cure, crystallinity), {SO}",
        coarse.word(),
        fine.word(),
        broader.abs()
    ))
}
