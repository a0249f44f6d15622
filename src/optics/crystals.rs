//! The crystals that internal reflection elements are made of.

use super::element::{Element, Error};
use super::{critical_angle_deg, critical_index, penetration_depth_um};

/// A crystal by name.
#[derive(Clone, Copy, Debug, PartialEq)]
struct CrystalMaterial {
    /// Its name in kebab case.
    name: &'static str,
    /// What it is also called.
    short: &'static str,
    /// Refractive index in the mid infrared.
    index: f64,
    /// Where the index comes from; "memory" where it was not read anywhere.
    index_source: &'static str,
    /// It lets little through below this wavenumber in cm⁻¹, where that is known.
    least_cm1: Option<f64>,
}

/// Where three of the indices were read.
const READ_IN: &str = "course notes of a university and a public note on ATR prisms";

/// The usual crystals.
///
/// Indices of diamond, zinc selenide and germanium as in a university's course notes and a public
/// application note on ATR prisms, that of silicon from memory. Lower ends as in the course notes; other
/// sources put zinc selenide near 550 and germanium near 650 cm⁻¹.
static CRYSTAL_MATERIALS: [CrystalMaterial; 4] = [
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

/// The crystals that a text names, by name or chemical symbol, in any case and among other words.
fn named(text: &str) -> impl Iterator<Item = &'static CrystalMaterial> {
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    CRYSTAL_MATERIALS.iter().filter(move |crystal| {
        let name: Vec<&str> = crystal.name.split('-').collect();
        let symbol = crystal.short.to_lowercase();
        words.windows(name.len()).any(|at| at == name)
            || (symbol.len() > 1 && words.contains(&symbol))
    })
}

impl Element {
    /// Returns the element of a crystal, which is named as in [`Element::recorded`], at an angle in degrees.
    ///
    /// # Errors
    ///
    /// In words: a crystal that is not known, or two of different index.
    pub fn of_crystal(crystal: &str, angle_deg: f64) -> Result<Self, String> {
        Ok(Self { crystal_index: index_of(crystal)?, angle_deg })
    }

    /// Reads an element as a person writes it down: a crystal by name, symbol or refractive index, with
    /// other words beside it ("diamond, one reflection"), and an angle ("45°"). What is blank is taken
    /// from `otherwise`.
    ///
    /// ```
    /// use bandlore::optics::Element;
    ///
    /// let read = Element::recorded("Ge, one reflection", "60°", Element::DIAMOND_45)?;
    /// assert_eq!(read, Element { crystal_index: 4.0, angle_deg: 60.0 });
    /// assert!(Element::recorded("KRS-5", "", Element::DIAMOND_45).is_err());
    /// # Ok::<(), String>(())
    /// ```
    ///
    /// # Errors
    ///
    /// In words: a crystal that is not known, two of different index, an angle that is none. No index is
    /// guessed, for every depth hangs on it.
    pub fn recorded(crystal: &str, angle: &str, otherwise: Self) -> Result<Self, String> {
        let crystal_index = match crystal.trim() {
            "" => otherwise.crystal_index,
            text => index_of(text)?,
        };
        let angle_deg = match angle.trim() {
            "" => otherwise.angle_deg,
            text => {
                let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')));
                let number = text.get(..end.unwrap_or(text.len())).unwrap_or("").replace(',', ".");
                let angle =
                    number.parse::<f64>().ok().filter(|angle| *angle > 0.0 && *angle < 90.0);
                angle.ok_or_else(|| {
                    format!("the angle \"{text:.40}\" is no number of degrees between 0 and 90")
                })?
            }
        };
        Ok(Self { crystal_index, angle_deg })
    }
}

/// The refractive index that a text about a crystal means.
fn index_of(text: &str) -> Result<f64, String> {
    if let Some(index) = text.replace(',', ".").parse::<f64>().ok().filter(|n| *n > 1.0) {
        return Ok(index);
    }
    let mut found = named(text);
    let known: Vec<String> = CRYSTAL_MATERIALS.iter().map(|c| c.name.replace('-', " ")).collect();
    let Some(first) = found.next() else {
        return Err(format!(
            "the crystal \"{text:.40}\" is not known: write {}, or its refractive index",
            known.join(", ")
        ));
    };
    #[allow(clippy::float_cmp, reason = "both are constants of one list")]
    let other = found.find(|other| other.index != first.index);
    match other {
        None => Ok(first.index),
        Some(other) => Err(format!(
            "the crystal \"{text:.40}\" names {} and {}, which differ in index",
            first.name, other.name
        )),
    }
}

/// Depths of one element in one sample at several wavenumbers.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Depths {
    /// The crystal's name, or its index where it was given so.
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
    /// Works out the depths by [`penetration_depth_um`]. By the crystal's name its source and lower end are known.
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
        let known = named(crystal).next();
        let depths = wavenumbers_cm1
            .iter()
            .map(|&at| {
                penetration_depth_um(crystal_index, angle_deg, sample_index, at).map(|d| (at, d))
            })
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Self {
            crystal: known.map_or_else(|| format!("index {crystal_index}"), |c| c.name.to_owned()),
            element,
            index_source: known.map_or("as given", |c| c.index_source),
            sample_index,
            critical_angle_deg: critical_angle_deg(crystal_index, sample_index)?,
            critical_index: critical_index(crystal_index, angle_deg)?,
            depths,
            least_cm1: known.and_then(|c| c.least_cm1),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn follows_harrick_for_diamond_in_air() {
        // 1e4 / (2π · 1000 · sqrt(2.88 − 1)) by hand.
        let depth = Element::DIAMOND_45.depth_in_air_um(1000.0).expect("total reflection");
        assert!((depth - 1.16075).abs() < 1e-4, "{depth}");
        let flat = Element { crystal_index: 1.2, angle_deg: 45.0 };
        assert_eq!(flat.depth_in_air_um(1000.0), None);
    }

    #[test]
    fn finds_crystals_by_name_and_symbol() {
        for (text, crystal, least_cm1) in [
            ("Germanium", "germanium", Some(800.0)),
            (" GE ", "germanium", Some(800.0)),
            ("zinc selenide", "zinc-selenide", Some(650.0)),
            ("Diamond (one reflection)", "diamond", Some(400.0)),
            ("2,50", "index 2.5", None),
        ] {
            let element = Element::of_crystal(text, 45.0).expect(text);
            let depths = Depths::new(text, element, 1.5, &[1000.0]).expect(text);
            assert_eq!((depths.crystal.as_str(), depths.least_cm1), (crystal, least_cm1), "{text}");
        }
        for (text, index) in [
            ("diamond, one reflection", 2.4),
            ("Diamant/ZnSe", 2.4),
            ("Si (4 reflections)", 3.42),
            ("germanium", 4.0),
            ("2,37", 2.37),
        ] {
            let read = Element::recorded(text, "", Element::DIAMOND_45).map(|e| e.crystal_index);
            assert_eq!(read, Ok(index), "{text}");
        }
        for (text, angle) in [("glass", ""), ("Ge or Si", ""), ("", "steep"), ("", "95")] {
            assert!(Element::recorded(text, angle, Element::DIAMOND_45).is_err(), "{text} {angle}");
        }
        for text in ["glass", ""] {
            assert!(Element::of_crystal(text, 45.0).is_err(), "{text}");
        }
    }
}
