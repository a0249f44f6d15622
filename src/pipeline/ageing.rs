//! From examined spectra to ageing markers and comparisons.

use super::{Examined, Examiner};
use crate::ageing::{
    AgeingResult, Calibration, CompareInput, ComparedFace, Comparison, Composition, FaceColour,
    MaterialFrom, SameMaterial, Session, Specimen, Spot, compare, measure_ageing,
};
use crate::judge::{Identification, Outcome, Relation};
use crate::matching::{Observed, evaluate};
use crate::optics::Element;
use crate::peaks::Peaks;
use crate::prepare::Prepared;
use crate::spectrum::{MeasurementMode, Spectrum};
use crate::tables::{Predicate, Tables, Verdict};

impl Examined {
    /// Returns the material whose ageing markers apply, where the answer settles it.
    ///
    /// A narrowed answer settles it where every candidate has the same markers; a mixed one by its
    /// main component.
    #[must_use]
    pub fn ageing_material(&self, tables: &Tables) -> Option<String> {
        ageing_material(&self.identification, tables)
    }

    /// Returns what this spot is made of, for telling faces apart.
    #[must_use]
    pub fn composition(&self, tables: &Tables) -> Composition {
        composition(&self.identification, tables)
    }

    fn measured(&self, face: ComparedFace) -> Measured<'_> {
        Measured {
            face,
            spectrum: &self.spectrum,
            prepared: &self.prepared,
            peaks: &self.peaks,
            ripple: self.fitness.ripple(),
            identification: &self.identification,
            element: self.element,
        }
    }
}

/// One spot of a face, wherever its stages were kept: all that a comparison asks of it.
pub(super) struct Measured<'a> {
    pub(super) face: ComparedFace,
    pub(super) spectrum: &'a Spectrum,
    pub(super) prepared: &'a Prepared,
    pub(super) peaks: &'a Peaks,
    /// What may be left of fringes.
    pub(super) ripple: f64,
    pub(super) identification: &'a Identification,
    pub(super) element: Option<Element>,
}

impl Measured<'_> {
    fn observed(&self) -> Observed<'_> {
        Observed::new(self.spectrum, self.prepared, self.peaks).with_ripple(self.ripple)
    }

    fn components(&self) -> Vec<String> {
        self.identification.components.iter().map(|c| c.id.clone()).collect()
    }
}

fn ageing_material(found: &Identification, tables: &Tables) -> Option<String> {
    if let Some(material) = &found.material {
        return Some(material.clone());
    }
    match found.outcome {
        Outcome::Narrowed => {
            let ids = |material: &str| -> Vec<String> {
                tables.markers_of(material).map(|m| m.id.clone()).collect()
            };
            let first = found.candidates.first()?;
            found.candidates.iter().all(|c| ids(c) == ids(first)).then(|| first.clone())
        }
        Outcome::Mixed => {
            found.components.iter().find(|c| c.relation == Relation::Main).map(|c| c.id.clone())
        }
        _ => None,
    }
}

fn composition(found: &Identification, tables: &Tables) -> Composition {
    let possible = match found.outcome {
        Outcome::Narrowed => found.candidates.clone(),
        Outcome::Classed => found.class.iter().flat_map(|class| class.members.clone()).collect(),
        _ => ageing_material(found, tables).into_iter().collect(),
    };
    Composition {
        material: ageing_material(found, tables),
        possible,
        surface: found
            .components
            .iter()
            .filter(|c| {
                matches!(c.relation, Relation::CoatingOver | Relation::DepositOn)
                    || c.role == "residue"
            })
            .map(|c| c.id.clone())
            .collect(),
    }
}

/// The one element that all spots taken in ATR were measured on.
///
/// # Errors
///
/// In words: they differ, or one is not known. Depths on two elements differ across the range, so that
/// ratios of bands do too, and no fit of contact takes that out.
fn common_element(spots: &[Measured<'_>]) -> Result<Element, String> {
    // Whether an earlier and a later examination may be compared by numbers is for their sessions to say.
    let of_sessions =
        spots.iter().all(|spot| matches!(spot.face, ComparedFace::Earlier | ComparedFace::Later));
    let mut atr = spots.iter().filter(|spot| spot.spectrum.mode() == MeasurementMode::Atr);
    let Some(first) = atr.next() else { return Ok(Element::DIAMOND_45) };
    let not_known = |spot: &Measured<'_>| {
        format!(
            "the crystal or angle of {} is not known, so that its depths are not",
            spot.spectrum.provenance().file
        )
    };
    let element = first.element.ok_or_else(|| not_known(first))?;
    for spot in atr.filter(|_| !of_sessions) {
        let other = spot.element.ok_or_else(|| not_known(spot))?;
        if other != element {
            let words = |e: Element| format!("index {} at {}°", e.crystal_index, e.angle_deg);
            return Err(format!(
                "the spots were measured on different elements ({} and {}), which look to different \
                 depths: measure both faces on one",
                words(element),
                words(other)
            ));
        }
    }
    Ok(element)
}

/// Compares faces, whichever way their spots came here.
///
/// # Errors
///
/// In words, why the faces cannot be compared at all.
pub(super) fn compare_measured(
    spots: &[Measured<'_>],
    material: Option<&str>,
    colours: &[FaceColour],
    sessions: Option<(&Session, &Session)>,
    tables: &Tables,
) -> Result<Comparison, String> {
    let crystal = common_element(spots)?;
    let observed: Vec<Observed<'_>> = spots.iter().map(Measured::observed).collect();
    let asks: Vec<_> = observed
        .iter()
        .map(|seen| move |question: &Predicate| -> Verdict { evaluate(question, seen).verdict })
        .collect();
    let components: Vec<Vec<String>> = spots.iter().map(Measured::components).collect();
    let spots: Vec<Spot<'_>> = spots
        .iter()
        .zip(&asks)
        .zip(&components)
        .map(|((spot, ask), components)| Spot {
            face: spot.face,
            specimen: Specimen { spectrum: spot.spectrum, components, ask, crystal },
            composition: composition(spot.identification, tables),
        })
        .collect();
    Ok(compare(&CompareInput { material, spots: &spots, tables, crystal, colours, sessions }))
}

impl Examiner<'_> {
    /// Reads the ageing markers of an examined spectrum: of the named material, else of the
    /// identified one.
    ///
    /// One spectrum shows no change: [`compare`](Self::compare) compares faces with each other.
    ///
    /// ```
    /// use std::path::Path;
    ///
    /// use bandlore::{Examiner, ReadOptions, Tables, read_path, ageing::MarkerState};
    ///
    /// let file = Path::new("sample-spectra/tide-clock/spectra/V02-exposed-a.csv"); // invented
    /// let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
    /// let examiner = Examiner::new(Tables::built_in());
    /// let read = examiner.ageing(&examiner.examine(spectrum)?, None, None);
    /// assert_eq!(read.material.as_deref(), Some("PVC"));
    /// let carbonyl = read.markers.iter().find(|m| m.id == "PVC_CO").ok_or("no such marker")?;
    /// assert_eq!(carbonyl.state, MarkerState::Measured);
    /// assert!(carbonyl.low < carbonyl.value && carbonyl.value < carbonyl.high);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn ageing(
        &self,
        examined: &Examined,
        material: Option<&str>,
        calibration: Option<(&str, &Calibration)>,
    ) -> AgeingResult {
        let measured = examined.measured(ComparedFace::Exposed);
        let observed = measured.observed();
        let ask = |question: &Predicate| -> Verdict { evaluate(question, &observed).verdict };
        let components = measured.components();
        let specimen = Specimen {
            spectrum: &examined.spectrum,
            components: &components,
            ask: &ask,
            // The markers of one spectrum take no depth; only a comparison fits the contact.
            crystal: examined.element.unwrap_or(Element::DIAMOND_45),
        };
        let found = examined.ageing_material(self.tables());
        let material = material
            .map(|m| (m, MaterialFrom::Given))
            .or_else(|| found.as_deref().map(|m| (m, MaterialFrom::Identified)));
        measure_ageing(&specimen, material, self.tables(), calibration)
    }

    /// Compares the faces of one part from examined spots.
    ///
    /// Where they cannot be compared at all, as with spots measured on different ATR elements, the
    /// comparison is empty and its sentence says why.
    #[must_use]
    pub fn compare(
        &self,
        spots: &[(ComparedFace, &Examined)],
        material: Option<&str>,
        colours: &[FaceColour],
        sessions: Option<(&Session, &Session)>,
    ) -> Comparison {
        let measured: Vec<Measured<'_>> =
            spots.iter().map(|(face, examined)| examined.measured(*face)).collect();
        compare_measured(&measured, material, colours, sessions, self.tables()).unwrap_or_else(
            |why| Comparison {
                material: material.map(str::to_owned),
                same_material: SameMaterial::CannotTell { why: why.clone() },
                faces: Vec::new(),
                markers: Vec::new(),
                contact: Vec::new(),
                differences: Vec::new(),
                routes: Vec::new(),
                colour: None,
                sentence: format!("The faces could not be compared: {why}."),
                warnings: Vec::new(),
            },
        )
    }
}
