//! The crystals that internal reflection elements are made of.

use super::fresnel::{Element, Error};
use super::{critical_angle_deg, critical_index, penetration_depth_um};

/// A crystal by name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrystalMaterial {
    /// Its name in kebab case.
    pub name: &'static str,
    /// What it is also called.
    pub short: &'static str,
    /// Refractive index in the mid infrared.
    pub index: f64,
    /// Where the index comes from; "memory" where it was not read anywhere.
    pub index_source: &'static str,
    /// It lets little through below this wavenumber in cm⁻¹, where that is known.
    pub least_cm1: Option<f64>,
}

/// Where three of the indices were read.
const READ_IN: &str = "course notes of a university and a public note on ATR prisms";

/// The usual crystals.
///
/// Indices of diamond, zinc selenide and germanium as in a university's course notes and a public
/// application note on ATR prisms, that of silicon from memory. Lower ends as in the course notes; other
/// sources put zinc selenide near 550 and germanium near 650 cm⁻¹.
pub const CRYSTAL_MATERIALS: [CrystalMaterial; 4] = [
    CrystalMaterial {
        name: "diamond",
        short: "C",
        index: 2.4,
        index_source: READ_IN,
        least_cm1: Some(400.0),
    },
    CrystalMaterial {
        name: "zinc-selenide",
        short: "ZnSe",
        index: 2.4,
        index_source: READ_IN,
        least_cm1: Some(650.0),
    },
    CrystalMaterial {
        name: "germanium",
        short: "Ge",
        index: 4.0,
        index_source: READ_IN,
        least_cm1: Some(800.0),
    },
    CrystalMaterial {
        name: "silicon",
        short: "Si",
        index: 3.42,
        index_source: "memory",
        least_cm1: None,
    },
];

impl CrystalMaterial {
    /// Finds a crystal by its name or chemical symbol, in any case.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let wanted = name.trim().to_lowercase().replace([' ', '_'], "-");
        CRYSTAL_MATERIALS
            .into_iter()
            .find(|c| c.name == wanted || (c.short.len() > 1 && c.short.to_lowercase() == wanted))
    }
}

/// Depths of one element in one sample at several wavenumbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Depths {
    /// The crystal's name, or its index where it has none.
    pub crystal: String,
    /// The element.
    pub element: Element,
    /// Where the crystal's index comes from.
    pub index_source: &'static str,
    /// Refractive index of the sample.
    pub sample_index: f64,
    /// Angle in degrees past which reflection is total.
    pub critical_angle_deg: f64,
    /// Sample index at which total reflection ends.
    pub critical_index: f64,
    /// Wavenumber in cm⁻¹ and depth in µm, in the order asked for.
    pub depths: Vec<(f64, f64)>,
    /// The crystal lets little through below this wavenumber in cm⁻¹, where that is known.
    pub least_cm1: Option<f64>,
}

impl Depths {
    /// Works out the depths by [`penetration_depth_um`].
    ///
    /// # Errors
    ///
    /// As there: past the critical index, and for settings that nothing can have.
    pub fn new(
        crystal: &str,
        element: Element,
        sample_index: f64,
        wavenumbers_cm1: &[f64],
    ) -> Result<Self, Error> {
        let Element { crystal_index, angle_deg } = element;
        let depths = wavenumbers_cm1
            .iter()
            .map(|&at| {
                penetration_depth_um(crystal_index, angle_deg, sample_index, at).map(|d| (at, d))
            })
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Self {
            crystal: crystal.to_owned(),
            element,
            index_source: CrystalMaterial::named(crystal).map_or("as given", |c| c.index_source),
            sample_index,
            critical_angle_deg: critical_angle_deg(crystal_index, sample_index)?,
            critical_index: critical_index(crystal_index, angle_deg)?,
            depths,
            least_cm1: CrystalMaterial::named(crystal).and_then(|c| c.least_cm1),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_crystals_by_name_and_symbol() {
        for name in ["Germanium", "ge", " GE "] {
            assert_eq!(CrystalMaterial::named(name).map(|c| c.name), Some("germanium"), "{name}");
        }
        assert_eq!(CrystalMaterial::named("zinc selenide").map(|c| c.index), Some(2.4));
        assert_eq!(CrystalMaterial::named("glass"), None);
        assert_eq!(CrystalMaterial::named(""), None);
    }
}
