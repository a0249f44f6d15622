//! Whether two faces are the same material, before anything is said of ageing.

use super::pair_contact::PairContact;
use super::reading::Reading;
use super::statistics::welch;
use super::values::{MarkerState, SameMaterial};

/// Composition ratios that differ by more than this factor are no scatter of spots; ours.
const WORST_COMPOSITION_FACTOR: f64 = 1.5;
/// With three spots a side or more, the difference must also pass this p value; common practice.
const COMPOSITION_P: f64 = 0.01;
/// Fewer spots than this a side are not tested.
const LEAST_TESTED: usize = 3;

/// What one spot is made of, as the identification has it.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Composition {
    /// Material id, where one was named.
    pub material: Option<String>,
    /// Ids of all that it may be, where look-alikes or a class are left; may be empty where `material` says it.
    pub possible: Vec<String>,
    /// Ids of coatings, deposits, waxes, adhesives and other polymers on it.
    pub surface: Vec<String>,
}

impl Composition {
    /// Sets the id of the material named.
    #[must_use]
    pub fn with_material(self, material: impl Into<Option<String>>) -> Self {
        Self { material: material.into(), ..self }
    }

    /// Returns the ids of all that it may be.
    fn may_be(&self) -> &[String] {
        if self.possible.is_empty() { self.material.as_slice() } else { &self.possible }
    }
}

/// Compares the composition of two faces.
///
/// A ratio of bands far apart is also moved by contact: where that was fitted, the ratio must differ
/// with and without the fitted gap.
#[must_use]
pub fn compare_compositions(
    (face, spots, readings): (&str, &[&Composition], &[Vec<&Reading>]),
    (against, references, reference_readings): (&str, &[&Composition], &[Vec<&Reading>]),
    contact: Option<&PairContact>,
) -> SameMaterial {
    let named: Vec<&Composition> =
        spots.iter().chain(references).copied().filter(|m| !m.may_be().is_empty()).collect();
    for (at, one) in named.iter().enumerate() {
        let apart =
            |other: &&&Composition| !other.may_be().iter().any(|id| one.may_be().contains(id));
        if let Some(other) = named.iter().skip(at + 1).find(apart) {
            let why = format!(
                "spots are named {} and {}",
                one.may_be().join(" or "),
                other.may_be().join(" or ")
            );
            return SameMaterial::Different { why };
        }
    }
    let mut ids: Vec<&str> =
        spots.iter().chain(references).flat_map(|m| m.surface.iter().map(String::as_str)).collect();
    ids.sort_unstable();
    ids.dedup();
    for id in ids {
        let share = |list: &[&Composition]| {
            let with = list.iter().filter(|m| m.surface.iter().any(|s| s == id)).count();
            2 * with > list.len()
        };
        if share(spots) != share(references) {
            let (on, off) = if share(spots) { (face, against) } else { (against, face) };
            return SameMaterial::Different {
                why: format!("{id} is found on the {on} face and not on the {off} one"),
            };
        }
    }
    let mut untested = 0;
    for (ours, theirs) in readings.iter().zip(reference_readings) {
        let Some(id) = ours.first().map(|r| r.result.id.clone()) else { continue };
        for (with, without, on, off) in
            [(ours, theirs, face, against), (theirs, ours, against, face)]
        {
            let shown = with.iter().all(|r| r.result.quantifiable);
            let absent = without.iter().all(|r| r.result.state == MarkerState::BelowDetection);
            // A badly pressed face may only be too weak to show what the other one shows.
            let least = with.iter().filter_map(|r| r.result.value).fold(f64::INFINITY, f64::min);
            let limits = without.iter().filter_map(|r| r.result.detection_limit);
            let would_show = least > WORST_COMPOSITION_FACTOR * limits.fold(0.0, f64::max);
            if shown && absent && would_show && !without.is_empty() {
                return SameMaterial::Different {
                    why: format!("{id} is found on the {on} face and not on the {off} one"),
                };
            }
        }
        let (Some(a), Some(b)) = (logs(ours), logs(theirs)) else {
            // Not there on any spot of either face: in that they are alike.
            let absent = |list: &[&Reading]| {
                list.iter().all(|r| r.result.state == MarkerState::BelowDetection)
            };
            untested += usize::from(!(absent(ours) && absent(theirs)));
            continue;
        };
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
        let apart = mean(&a) - mean(&b);
        let by_gap = contact
            .zip(ours.first())
            .and_then(|(c, r)| Some(c.gain_per_um(r.positions_cm1)? * c.mean_gap_um()))
            .unwrap_or(0.0);
        let factor = apart.abs().min((apart - by_gap).abs()).exp();
        let tested = a.len().min(b.len()) >= LEAST_TESTED;
        let significant = !tested || welch(&a, &b).is_none_or(|w| w.p < COMPOSITION_P);
        if factor > WORST_COMPOSITION_FACTOR && significant {
            return SameMaterial::Different {
                why: format!("{id} differs by a factor of {factor:.1} between the faces"),
            };
        }
    }
    if named.is_empty() {
        return SameMaterial::CannotTell {
            why: "no spot was identified; the material is taken from the user".to_owned(),
        };
    }
    if untested > 0 && untested == readings.len() {
        return SameMaterial::CannotTell {
            why: "the composition bands could not be read on every spot".to_owned(),
        };
    }
    SameMaterial::Same
}

/// Logarithms of a composition index, where every spot shows it.
fn logs(readings: &[&Reading]) -> Option<Vec<f64>> {
    readings.iter().map(|r| r.result.value.filter(|v| *v > 0.0).map(f64::ln)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(material: &str, surface: &[&str]) -> Composition {
        Composition {
            material: Some(material.to_owned()),
            possible: Vec::new(),
            surface: surface.iter().map(|s| (*s).to_owned()).collect(),
        }
    }

    fn judge(a: &[Composition], b: &[Composition]) -> SameMaterial {
        let a: Vec<&Composition> = a.iter().collect();
        let b: Vec<&Composition> = b.iter().collect();
        compare_compositions(("exposed", &a, &[]), ("covered", &b, &[]), None)
    }

    #[test]
    fn tells_a_coat_on_one_face_from_the_same_material() {
        let bare = vec![spot("PC", &[]), spot("PC", &[])];
        assert_eq!(judge(&bare, &bare), SameMaterial::Same);
        // Hard coat, acrylic cap, glues, bloom: whatever the identification finds over the material.
        for id in ["PDMS", "PMMA", "PVAC", "PCA", "fatty-acid", "handling-residue"] {
            let coated = vec![spot("PC", &[id]), spot("PC", &[id])];
            assert_eq!(judge(&coated, &coated), SameMaterial::Same);
            for (found, face) in
                [(judge(&coated, &bare), "exposed"), (judge(&bare, &coated), "covered")]
            {
                let SameMaterial::Different { why } = found else { panic!("{found:?}") };
                assert!(why.contains(&format!("{id} is found on the {face} face")), "{why}");
            }
        }
    }

    #[test]
    fn look_alikes_and_classes_are_the_same_where_one_material_can_be_both() {
        let open = |ids: &[&str]| Composition {
            material: None,
            possible: ids.iter().map(|id| (*id).to_owned()).collect(),
            surface: Vec::new(),
        };
        assert_eq!(judge(&[open(&["PET", "PETG"])], &[spot("PETG", &[])]), SameMaterial::Same);
        let SameMaterial::Different { why } = judge(&[open(&["PET", "PETG"])], &[spot("PC", &[])])
        else {
            panic!("told apart")
        };
        assert_eq!(why, "spots are named PET or PETG and PC");
    }

    #[test]
    fn tells_two_polymers_apart_and_doubts_unnamed_ones() {
        assert!(matches!(
            judge(&[spot("PC", &[])], &[spot("PVC", &[])]),
            SameMaterial::Different { .. }
        ));
        assert!(matches!(
            judge(&[Composition::default()], &[Composition::default()]),
            SameMaterial::CannotTell { .. }
        ));
    }
}
