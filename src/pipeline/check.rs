//! From a spectrum to everything that its own measurement shows.

use super::Corrections;
use crate::error::Error;
use crate::fitness::{check_film, check_film_against, examine, examine_fully};
use crate::report::check::CheckEntry;
use crate::spectrum::{MeasurementMode, Origin, Spectrum, Warning};

/// Said where a film was measured in ATR. The shift of its weak bands is computed by Fresnel's equations
/// from measured optical constants (tests/suite/film.rs): 0.1 to 0.5 cm⁻¹.
const FILM_IN_ATR: &str = "measured in ATR: the published places are of a film in transmission; in ATR bands as weak \
     as these stand up to 0.6 cm⁻¹ lower, and stronger ones, which move further, are left out; measure the film \
     in transmission for less than that";

/// Said where nothing says how the film was measured.
const FILM_MODE_ASSUMED: &str = "the file does not say how the film was measured: read as ATR, so that strong bands \
     are left out, and weak ones may stand up to 0.6 cm⁻¹ lower than in transmission; pass --mode transmission if \
     the beam went through it, and all bands count";

/// A checked spectrum.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Checked {
    /// The spectrum after the corrections asked for.
    pub spectrum: Spectrum,
    /// The report's entry.
    pub entry: CheckEntry,
}

/// Checks whether a spectrum is fit to be judged, and with `is_film` the scale on a polystyrene film.
///
/// ```
/// use bandlore::{Spectrum, pipeline::{Corrections, check_spectrum}, spectrum::SpectrumParts};
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
    checked(spectrum, corrections, is_film, None)
}

/// Checks a polystyrene film, and its scale against the same film as it was measured before.
///
/// # Errors
///
/// As [`check_spectrum`].
pub fn check_film_spectrum(
    spectrum: Spectrum,
    corrections: &Corrections,
    before: &Spectrum,
) -> Result<Checked, Error> {
    checked(spectrum, corrections, true, Some(before))
}

fn checked(
    spectrum: Spectrum,
    corrections: &Corrections,
    is_film: bool,
    before: Option<&Spectrum>,
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
        let noise = |at: f64| fitness.noise_sd_at(at);
        let film = match before {
            Some(before) => {
                entry.warnings.push(Warning::new(
                    "film-before",
                    format!(
                        "compared with the same film as measured before, {}: nominal is its centroid there",
                        before.provenance().file
                    ),
                ));
                let earlier = examine(before);
                check_film_against(&spectrum, noise, before, |at| earlier.noise_sd_at(at))
            }
            None => {
                if spectrum.mode() == MeasurementMode::Atr {
                    let assumed = spectrum.mode_origin() == Origin::Assumed;
                    let text = if assumed { FILM_MODE_ASSUMED } else { FILM_IN_ATR };
                    entry.warnings.push(Warning::new("film-in-atr", text));
                }
                check_film(&spectrum, noise)
            }
        };
        match film {
            Ok(film) => {
                if let Some(band) = film.set_aside {
                    entry.warnings.push(Warning::new(
                        "film-band-set-aside",
                        format!(
                            "the band of {:.1} cm⁻¹, found at {:.2}, contradicts what the others agree on by more \
                             than 1.0 cm⁻¹ and took no part",
                            band.nominal, band.centroid
                        ),
                    ));
                }
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
