//! From a spectrum to everything that its own measurement shows.

use super::Corrections;
use crate::error::Error;
use crate::fitness::{check_film, examine_fully};
use crate::report::CheckEntry;
use crate::spectrum::{MeasurementMode, Spectrum, Warning};

/// Said where a film was measured in ATR: the shift of weak bands is the table of practice's, from
/// measured optical constants.
const FILM_IN_ATR: &str = "measured in ATR, or not said otherwise: the published places are of a film in \
     transmission, and in ATR even weak bands may stand up to 2 cm⁻¹ lower, so that deviations of this size need not be \
     the instrument's; measure the film in transmission, or pass --mode transmission if it was";

/// A checked spectrum.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The spectrum after the corrections asked for.
    pub spectrum: Spectrum,
    /// The report's entry.
    pub entry: CheckEntry,
}

/// Checks whether a spectrum is fit to be judged, and with `is_film` the scale on a polystyrene film.
///
/// ```
/// use bandlore::{Corrections, Spectrum, SpectrumParts, check_spectrum};
///
/// let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
/// let flat = Spectrum::new(SpectrumParts::new(axis, vec![0.0; 1700]))?;
/// let checked = check_spectrum(flat, &Corrections::default(), false)?;
/// assert!(checked.entry.findings.iter().any(|f| f.id == "signal-to-noise"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
///
/// Corrections that cannot be made. A film that cannot be measured is an error in the entry, whose
/// findings stand all the same.
pub fn check_spectrum(
    spectrum: Spectrum,
    corrections: &Corrections,
    is_film: bool,
) -> Result<Checked, Error> {
    let corrected = corrections.apply(spectrum)?;
    let spectrum = corrected.spectrum;
    let fitness = examine_fully(&spectrum);
    let mut entry = CheckEntry::of(&spectrum);
    entry.vapour = corrected.vapour;
    entry.fringes_removed = corrected.fringes;
    entry.is_film = is_film;
    entry.findings = fitness.findings().to_vec();
    if is_film {
        if spectrum.mode() == MeasurementMode::Atr {
            entry.warnings.push(Warning::new("film-in-atr", FILM_IN_ATR));
        }
        match check_film(&spectrum, |at| fitness.noise_sd_at(at)) {
            Ok(film) => {
                entry.findings.extend(film.findings());
                // Stable: within a severity the order above stays.
                entry.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
                entry.film = Some(film);
            }
            Err(error) => {
                entry.error = Some(format!("{}: spectrum {}: {error}", entry.file, entry.block));
            }
        }
    }
    Ok(Checked { spectrum, entry })
}
