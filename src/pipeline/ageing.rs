//! From examined spectra to ageing markers and comparisons.

use super::{Examined, Examiner};
use crate::ageing::{
    AgeingResult, Calibration, CompareInput, ComparedFace, Comparison, Crystal, FaceColour, MakeUp,
    MaterialFrom, Session, Specimen, Spot, compare, measure_ageing,
};
use crate::judge::{Outcome, Relation};
use crate::matching::{Observed, evaluate};
use crate::tables::{Predicate, Tables, Verdict};

impl Examined {
    /// Returns the material whose ageing markers apply, where the answer settles it.
    ///
    /// A narrowed answer settles it where every candidate has the same markers; a mixed one by its
    /// main component.
    #[must_use]
    pub fn ageing_material(&self, tables: &Tables) -> Option<String> {
        let found = &self.identification;
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

    /// Returns what this spot is made of, for telling faces apart.
    #[must_use]
    pub fn make_up(&self, tables: &Tables) -> MakeUp {
        MakeUp {
            material: self.ageing_material(tables),
            surface: self
                .identification
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

    fn observed(&self) -> Observed<'_> {
        Observed::new(&self.spectrum, &self.prepared, &self.peaks)
            .with_ripple(self.fitness.ripple())
    }

    fn components(&self) -> Vec<String> {
        self.identification.components.iter().map(|c| c.id.clone()).collect()
    }
}

impl Examiner<'_> {
    /// Reads the ageing markers of an examined spectrum: of the named material, else of the
    /// identified one.
    ///
    /// One spectrum shows no change: [`compare`](Self::compare) holds faces against each other.
    ///
    /// ```
    /// use std::path::Path;
    ///
    /// use bandlore::{Examiner, MarkerState, ReadOptions, Tables, read_path};
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
        let observed = examined.observed();
        let ask = |question: &Predicate| -> Verdict { evaluate(question, &observed).verdict };
        let components = examined.components();
        let specimen = Specimen {
            spectrum: &examined.spectrum,
            components: &components,
            ask: &ask,
            crystal: Crystal::default(),
        };
        let found = examined.ageing_material(self.tables());
        let material = material
            .map(|m| (m, MaterialFrom::Given))
            .or_else(|| found.as_deref().map(|m| (m, MaterialFrom::Identified)));
        measure_ageing(&specimen, material, self.tables(), calibration)
    }

    /// Compares the faces of one part from examined spots.
    #[must_use]
    pub fn compare(
        &self,
        spots: &[(ComparedFace, &Examined)],
        material: Option<&str>,
        colours: &[FaceColour],
        sessions: Option<(&Session, &Session)>,
    ) -> Comparison {
        let observed: Vec<Observed<'_>> =
            spots.iter().map(|(_, examined)| examined.observed()).collect();
        let asks: Vec<_> = observed
            .iter()
            .map(|o| move |question: &Predicate| -> Verdict { evaluate(question, o).verdict })
            .collect();
        let components: Vec<Vec<String>> = spots.iter().map(|(_, e)| e.components()).collect();
        let spots: Vec<Spot<'_>> = spots
            .iter()
            .zip(&asks)
            .zip(&components)
            .map(|(((face, examined), ask), components)| Spot {
                face: *face,
                specimen: Specimen {
                    spectrum: &examined.spectrum,
                    components,
                    ask,
                    crystal: Crystal::default(),
                },
                make_up: examined.make_up(self.tables()),
            })
            .collect();
        compare(&CompareInput {
            material,
            spots: &spots,
            tables: self.tables(),
            crystal: Crystal::default(),
            colours,
            sessions,
        })
    }
}
