//! Stretches that say more about the air or the instrument than about the sample.

use serde::{Deserialize, Serialize};

use crate::spectrum::{Spectrum, zones};

/// A stretch to be left out of every judgement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "of", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Mask {
    /// The stretch of carbon dioxide, 2280–2400 cm⁻¹.
    CarbonDioxide,
    /// The bend of carbon dioxide, 660–675 cm⁻¹: only where its residue shows, since C–Cl is near.
    CarbonDioxideBend,
    /// The weak zone of a diamond element, 1800–2700 cm⁻¹: only where no nitrile, isocyanate,
    /// silane or anhydride is asked for.
    DiamondWeakZone,
    /// The stretch lines of water vapour, 3600–3950 cm⁻¹. Its bend lines share 1300–1900 cm⁻¹ with
    /// what is to be judged, and are left to a subtraction.
    WaterVapour,
    /// Any other stretch.
    Window {
        /// Lower end in cm⁻¹.
        low_cm1: f64,
        /// Upper end in cm⁻¹.
        high_cm1: f64,
        /// Why it is left out.
        reason: String,
    },
}

impl Mask {
    /// Returns the lower and the upper end in cm⁻¹.
    #[must_use]
    pub fn window_cm1(&self) -> (f64, f64) {
        match self {
            Self::CarbonDioxide => zones::CARBON_DIOXIDE_CM1,
            Self::CarbonDioxideBend => zones::CARBON_DIOXIDE_BEND_CM1,
            Self::DiamondWeakZone => zones::DIAMOND_CM1,
            Self::WaterVapour => zones::VAPOUR_STRETCH_CM1,
            Self::Window { low_cm1, high_cm1, .. } => (*low_cm1, *high_cm1),
        }
    }

    fn reason(&self) -> &str {
        match self {
            Self::CarbonDioxide | Self::CarbonDioxideBend => "carbon dioxide in the air",
            Self::DiamondWeakZone => "the diamond element absorbs",
            Self::WaterVapour => "water vapour in the air",
            Self::Window { reason, .. } => reason,
        }
    }

    /// Marks the points of the stretch as masked.
    #[must_use]
    pub fn apply(&self, spectrum: Spectrum) -> Spectrum {
        let (low_cm1, high_cm1) = self.window_cm1();
        spectrum.with_mask(low_cm1, high_cm1, self.reason())
    }
}
