//! What is taken out of a spectrum before it is looked at: single bad points always, more at a user's wish,
//! and interference fringes that stand out before a judgement. Never done without saying so.

use crate::error::Error;
use crate::fitness::{
    self, Finding, Fitness, Fringes, POLYMER_INDEX, Severity, VapourSubtraction, bridge_bad_points,
    remove_fringes, subtract_vapour,
};
use crate::spectrum::{Spectrum, Warning};

/// Corrections further from 1 than this (1 %) are a wrong unit or a wrong film, not a scale error.
const LARGEST_SCALE_ERROR: f64 = 0.01;

/// Corrections to make, in this order: bad points, always; scale, vapour and fringes, as asked.
#[derive(Clone, Debug, Default)]
pub struct Corrections {
    scale: Option<f64>,
    vapour: Option<Spectrum>,
    fringes: bool,
}

/// A spectrum after its corrections, and what was done.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Corrected {
    /// The spectrum, with every correction in its history and among its warnings.
    pub spectrum: Spectrum,
    /// The figures of the subtraction, where vapour was subtracted.
    pub vapour: Option<VapourSubtraction>,
    /// The fringes that were taken out, where there were any.
    pub fringes: Option<Fringes>,
}

impl Corrections {
    /// Multiplies each wavenumber: true = factor x measured.
    ///
    /// # Errors
    ///
    /// A factor more than 1 % from 1 is refused: no interferometer is that far off.
    pub fn with_scale(mut self, factor: f64) -> Result<Self, Error> {
        if !factor.is_finite() || (factor - 1.0).abs() > LARGEST_SCALE_ERROR {
            return Err(Error::ScaleCorrection(factor));
        }
        #[allow(clippy::float_cmp, reason = "exactly 1 means that no correction was asked for")]
        let moves = factor != 1.0;
        self.scale = moves.then_some(factor);
        Ok(self)
    }

    /// Subtracts this measured vapour, scaled by least squares to each spectrum.
    #[must_use]
    pub fn with_vapour(mut self, vapour: Spectrum) -> Self {
        self.vapour = Some(vapour);
        self
    }

    /// Takes interference fringes out wherever the check finds them.
    #[must_use]
    pub fn with_fringe_removal(mut self) -> Self {
        self.fringes = true;
        self
    }

    /// Returns the factor of the scale, where it is not 1.
    #[must_use]
    pub fn scale(&self) -> Option<f64> {
        self.scale
    }

    /// Makes the corrections.
    ///
    /// # Errors
    ///
    /// Vapour cannot be subtracted where the two share too little of its lines' regions.
    pub fn apply(&self, spectrum: Spectrum) -> Result<Corrected, Error> {
        let mut spectrum = bridge_bad_points(spectrum);
        if let Some(factor) = self.scale {
            spectrum = spectrum.with_scale_correction(factor)?.with_warning(Warning::new(
                "scale-corrected",
                format!(
                    "wavenumbers were multiplied by k = {factor} before anything else, as asked"
                ),
            ));
        }
        let mut vapour = None;
        if let Some(measured) = &self.vapour {
            let done = subtract_vapour(&spectrum, measured).map_err(Error::Vapour)?;
            let VapourSubtraction { factor, factor_error, residual } = done.subtraction;
            spectrum = done.spectrum.with_warning(Warning::new(
                "vapour-subtracted",
                format!(
                    "measured vapour ({}) was subtracted, as asked: factor {factor:.4} ± \
                     {factor_error:.4}; {:.0} % of the fine structure in its lines' regions is left",
                    measured.provenance().file,
                    100.0 * residual
                ),
            ));
            vapour = Some(done.subtraction);
        }
        let mut fringes = None;
        if self.fringes {
            (spectrum, fringes) = without_fringes(spectrum)?;
        }
        Ok(Corrected { spectrum, vapour, fringes })
    }
}

/// Takes fringes out where the check finds them, else says that it found none.
fn without_fringes(spectrum: Spectrum) -> Result<(Spectrum, Option<Fringes>), Error> {
    let found = fitness::examine_fully(&spectrum);
    let stands_out =
        found.finding("fringes").is_some_and(|f: &Finding| f.severity != Severity::Note);
    let Some(fringes) = Fringes::strongest(&spectrum).filter(|_| stands_out) else {
        let text = "no fringes stand out, so none were taken out";
        return Ok((spectrum.with_warning(Warning::new("fringes-removed", text)), None));
    };
    Ok((taken_out(&spectrum, fringes, "as asked")?, Some(fringes)))
}

/// Takes fringes that stand out out of a spectrum that is to be judged, and examines it anew.
///
/// The finding stays among the new ones, with what may be left of the fringes.
pub(super) fn fringes_before_judging(
    spectrum: Spectrum,
    fitness: Fitness,
) -> Result<(Spectrum, Fitness), Error> {
    let Some(fringes) = fitness.fringes_in(&spectrum) else { return Ok((spectrum, fitness)) };
    let why = "for they stand out";
    let spectrum = taken_out(&spectrum, fringes, why)?;
    let fitness = fitness::examine(&spectrum).with_fringes_removed(fringes, &spectrum);
    Ok((spectrum, fitness))
}

fn taken_out(spectrum: &Spectrum, fringes: Fringes, why: &str) -> Result<Spectrum, Error> {
    let text = format!(
        "interference fringes {:.1} cm⁻¹ apart, of amplitude {:.4}, were taken out, {why} (a film \
         {:.1} µm thick at index {POLYMER_INDEX})",
        fringes.period_cm1,
        fringes.amplitude,
        fringes.thickness_um(POLYMER_INDEX)
    );
    let corrected = remove_fringes(spectrum, fringes).map_err(Error::Fringes)?;
    Ok(corrected.with_warning(Warning::new("fringes-removed", text)))
}
