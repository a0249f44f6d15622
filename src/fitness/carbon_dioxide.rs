//! How high carbon dioxide left over from the air stands.

use crate::spectrum::Spectrum;
use crate::spectrum::zones::CARBON_DIOXIDE_HEIGHT_CM1;

/// Height of the stretch of carbon dioxide above or below the line beside it, where it was measured.
pub(super) fn carbon_dioxide_height(spectrum: &Spectrum) -> Option<f64> {
    let [(low, high), below, above] = CARBON_DIOXIDE_HEIGHT_CM1;
    if !spectrum.covers(below.0, above.1) {
        return None;
    }
    let mean = |(low, high): (f64, f64)| {
        let values = &spectrum.absorbances()[spectrum.window(low, high)];
        (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
    };
    let ground = f64::midpoint(mean(below)?, mean(above)?);
    spectrum.absorbances()[spectrum.window(low, high)]
        .iter()
        .map(|a| a - ground)
        .max_by(|a, b| a.abs().total_cmp(&b.abs()))
}
