//! Brings spectra of different strength to one scale.

use serde::{Deserialize, Serialize};

use super::Error;
use crate::spectrum::{PointFlag, Spectrum, Step};

/// What is set to one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Normalise {
    /// The highest absorbance of a window.
    Maximum {
        /// Lower end in cm⁻¹.
        low_cm1: f64,
        /// Upper end in cm⁻¹.
        high_cm1: f64,
    },
    /// The root of the sum of squares over a window, per point.
    Length {
        /// Lower end in cm⁻¹.
        low_cm1: f64,
        /// Upper end in cm⁻¹.
        high_cm1: f64,
    },
}

impl Normalise {
    /// Divides the spectrum by its measure and records the factor.
    ///
    /// # Errors
    ///
    /// A window without a positive measure is refused. Padded and masked points do not count.
    pub fn apply(&self, spectrum: Spectrum) -> Result<Spectrum, Error> {
        let (name, low, high) = match *self {
            Self::Maximum { low_cm1, high_cm1 } => ("maximum", low_cm1, high_cm1),
            Self::Length { low_cm1, high_cm1 } => ("length", low_cm1, high_cm1),
        };
        let range = spectrum.window(low, high);
        let counted = spectrum.absorbances()[range.clone()]
            .iter()
            .zip(&spectrum.flags()[range])
            .filter(|(_, flag)| !matches!(flag, PointFlag::Padded | PointFlag::Masked))
            .map(|(absorbance, _)| *absorbance);
        let measure = match self {
            Self::Maximum { .. } => counted.fold(0.0, f64::max),
            Self::Length { .. } => {
                let (count, squares) = counted.fold((0.0, 0.0), |(n, s), a| (n + 1.0, s + a * a));
                if count > 0.0 { (squares / count).sqrt() } else { 0.0 }
            }
        };
        if !(measure > 0.0 && measure.is_finite()) {
            return Err(Error::NothingToScaleBy { low, high });
        }
        let scaled = spectrum.absorbances().iter().map(|a| a / measure).collect();
        let step = Step::new("normalise")
            .with("by", name)
            .with("from", low)
            .with("to", high)
            .with("divisor", format!("{measure:.6}"));
        Ok(spectrum.with_absorbances(scaled, step)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spectrum::SpectrumParts;

    fn spectrum(top: f64) -> Spectrum {
        let axis: Vec<f64> = (0..20).map(|i| 600.0 + f64::from(i)).collect();
        let mut absorbances = vec![0.0; 20];
        absorbances[10] = top;
        Spectrum::new(SpectrumParts::new(axis, absorbances)).expect("valid")
    }

    #[test]
    fn sets_the_highest_absorbance_to_one() {
        let by = Normalise::Maximum { low_cm1: 600.0, high_cm1: 700.0 };
        let found = by.apply(spectrum(0.4)).expect("a maximum");
        assert_eq!(found.absorbances()[10], 1.0);
        assert_eq!(found.history().len(), 1);
    }

    #[test]
    fn refuses_a_window_without_absorbance() {
        let by = Normalise::Length { low_cm1: 600.0, high_cm1: 605.0 };
        assert_eq!(
            by.apply(spectrum(0.4)),
            Err(Error::NothingToScaleBy { low: 600.0, high: 605.0 })
        );
    }
}
