//! A second opinion from the user's own reference spectra, beside the band finding.
//!
//! Spectra are compared by the cosine between their first derivatives over what both measured: a
//! sloping or lifted baseline hardly counts, nor does the scale of the ordinate. Nothing here looks
//! at the band table, so that agreement of the two findings means something.

use ndarray::{Array1, Array2};
use serde::Serialize;

use crate::linalg::one_at_a_time;
use crate::prepare::Prepared;
use crate::spectrum::{PointFlag, Spectrum, interpolate};

/// First grid point in cm⁻¹: below it few crystals and detectors give signal.
const GRID_START_CM1: f64 = 400.0;

/// Last grid point in cm⁻¹.
const GRID_END_CM1: f64 = 4000.0;

/// Step of the common grid in cm⁻¹: the usual resolution of such measurements.
const GRID_STEP_CM1: f64 = 4.0;

/// Left out in cm⁻¹: carbon dioxide, and the zone where diamond itself absorbs; bands are rare there.
const LEFT_OUT_CM1: (f64, f64) = (1850.0, 2700.0);

/// Fewer common points than this (400 cm⁻¹) are no comparison.
const LEAST_COMMON_POINTS: usize = 100;

/// Two opinions closer than this in cosine are one: repeats of a material differ by as much.
const SAME_SIMILARITY: f64 = 0.02;

/// Below this cosine nothing in the folder resembles the spectrum; a choice of ours, no source.
pub const LEAST_SIMILARITY: f64 = 0.80;

/// What is known of one reference spectrum.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReferenceLabel {
    /// The file it was read from.
    pub file: String,
    /// Material id in the table, or a name of the user's own.
    pub material: String,
    /// Maker, grade and batch, as far as known.
    pub maker: String,
    /// Grade or trade name.
    pub grade: String,
    /// Batch or delivery.
    pub batch: String,
    /// Who vouches for it; empty where nobody does.
    pub vouched_by: String,
}

impl ReferenceLabel {
    /// Returns whether maker, grade and batch are known and somebody vouches for them.
    #[must_use]
    pub fn is_vouched(&self) -> bool {
        [&self.maker, &self.grade, &self.batch, &self.vouched_by]
            .iter()
            .all(|text| !text.trim().is_empty())
    }
}

/// What the user's references say of a spectrum: a finding beside the band finding, never part of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReferenceOpinion {
    /// The references that resemble the spectrum best, best first.
    pub resembling: Vec<NamedResemblance>,
    /// The materials of those that resemble it as well as the best does; empty where none is close.
    pub materials: Vec<String>,
    /// Whether one of these materials is named by the band finding; `None` where either names none.
    pub agrees: Option<bool>,
    /// Scale difference against the best reference in ppm, where one could be measured.
    pub scale_ppm: Option<f64>,
    /// The opinion in words.
    pub words: String,
}

/// One reference that resembles the spectrum, with its name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NamedResemblance {
    /// The reference's file.
    pub file: String,
    /// Its material.
    pub material: String,
    /// Who made it; empty where that is not known.
    pub maker: String,
    /// Grade or trade name; empty where that is not known.
    pub grade: String,
    /// Batch or delivery; empty where that is not known.
    pub batch: String,
    /// Who vouches for it; empty where nobody does.
    pub vouched_by: String,
    /// Cosine between the first derivatives, at most 1: an ordering, not a probability.
    pub similarity: f64,
    /// Whether maker, grade and batch are known and somebody vouches for it.
    pub vouched: bool,
}

/// One reference beside the spectrum.
#[derive(Clone, Debug, PartialEq)]
pub struct Resemblance {
    /// Index of the reference in its library.
    pub reference: usize,
    /// Cosine between the first derivatives, at most 1.
    pub similarity: f64,
    /// Points of the common grid that both measured.
    pub common_points: usize,
}

/// First derivatives of many reference spectra on one grid, with what each measured.
///
/// Rows are spectra, columns are grid points from 400 to 4000 cm⁻¹ in steps of 4; points that were
/// not measured hold zero.
#[derive(Clone, Debug, Default)]
pub struct ReferenceLibrary {
    labels: Vec<ReferenceLabel>,
    derivatives: Array2<f32>,
    squares: Array2<f32>,
    measured: Array2<f32>,
}

/// Returns the number of grid points.
pub(super) fn grid_points() -> usize {
    // Exact: both ends are whole multiples of the step.
    ((GRID_END_CM1 - GRID_START_CM1) / GRID_STEP_CM1) as usize + 1
}

/// One spectrum on the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct OnGrid {
    pub(super) derivative: Array1<f32>,
    pub(super) measured: Array1<f32>,
}

impl OnGrid {
    /// Puts a prepared spectrum's first derivative on the grid, scaled to unit length.
    ///
    /// Points outside what was measured, masked points, saturated points and the diamond zone count
    /// as not measured. Returns `None` where too little is left or the spectrum is flat.
    #[must_use]
    pub fn new(spectrum: &Spectrum, prepared: &Prepared) -> Option<Self> {
        let axis = prepared.spectrum().wavenumbers_cm1();
        let reach = spectrum.spacing_cm1().max(GRID_STEP_CM1) / 2.0;
        let mut derivative = Array1::zeros(grid_points());
        let mut measured = Array1::zeros(grid_points());
        for i in 0..grid_points() {
            let wavenumber = GRID_START_CM1 + GRID_STEP_CM1 * i as f64;
            let left_out = (LEFT_OUT_CM1.0..=LEFT_OUT_CM1.1).contains(&wavenumber);
            let (low, high) = (wavenumber - reach, wavenumber + reach);
            if left_out
                || !prepared.spectrum().covers(low, high)
                || has_saturation(spectrum, low, high)
            {
                continue;
            }
            if let Some(value) = interpolate(axis, prepared.first_derivative(), wavenumber) {
                derivative[i] = value as f32;
                measured[i] = 1.0;
            }
        }
        let length = derivative.dot(&derivative).sqrt();
        if !(length > 0.0 && length.is_finite()) || measured.sum() < LEAST_COMMON_POINTS as f32 {
            return None;
        }
        derivative /= length;
        Some(Self { derivative, measured })
    }
}

fn has_saturation(spectrum: &Spectrum, low_cm1: f64, high_cm1: f64) -> bool {
    spectrum.flags()[spectrum.window(low_cm1, high_cm1)].contains(&PointFlag::Saturated)
}

impl ReferenceLibrary {
    /// Collects references. The order is kept.
    #[must_use]
    pub fn new(references: Vec<(ReferenceLabel, OnGrid)>) -> Self {
        let shape = (references.len(), grid_points());
        let mut library = Self {
            labels: Vec::with_capacity(references.len()),
            derivatives: Array2::zeros(shape),
            squares: Array2::zeros(shape),
            measured: Array2::zeros(shape),
        };
        for (i, (label, on_grid)) in references.into_iter().enumerate() {
            library.labels.push(label);
            library.derivatives.row_mut(i).assign(&on_grid.derivative);
            library.measured.row_mut(i).assign(&on_grid.measured);
        }
        library.squares.assign(&library.derivatives.mapv(|value| value * value));
        library
    }

    /// Returns the labels in order.
    #[must_use]
    pub fn labels(&self) -> &[ReferenceLabel] {
        &self.labels
    }

    /// Returns the `most` references that resemble the spectrum best, best first.
    ///
    /// Three products of a matrix and a vector do the work for all references at once. References
    /// with fewer than 100 grid points in common are left out.
    #[must_use]
    pub fn resembling(&self, unknown: &OnGrid, most: usize) -> Vec<Resemblance> {
        if self.labels.is_empty() {
            return Vec::new();
        }
        let unknown_squares = unknown.derivative.mapv(|value| value * value);
        let (shared, of_references, of_unknown, common) = one_at_a_time(|| {
            (
                self.derivatives.dot(&unknown.derivative),
                self.squares.dot(&unknown.measured),
                self.measured.dot(&unknown_squares),
                self.measured.dot(&unknown.measured),
            )
        });
        let mut found: Vec<Resemblance> = (0..self.labels.len())
            .filter(|&i| common[i] >= LEAST_COMMON_POINTS as f32)
            .filter_map(|i| {
                let length = (of_references[i] * of_unknown[i]).sqrt();
                (length > 0.0).then(|| Resemblance {
                    reference: i,
                    similarity: f64::from(shared[i] / length).min(1.0),
                    common_points: common[i] as usize,
                })
            })
            .collect();
        found.sort_by(|a, b| {
            b.similarity.total_cmp(&a.similarity).then(a.reference.cmp(&b.reference))
        });
        found.truncate(most);
        found
    }

    /// Returns the materials of the references that resemble the spectrum as well as the best does.
    ///
    /// The best must reach a cosine of 0.8; otherwise the list is empty.
    #[must_use]
    pub fn opinion(&self, resembling: &[Resemblance]) -> Vec<String> {
        let Some(best) = resembling.first().filter(|best| best.similarity >= LEAST_SIMILARITY)
        else {
            return Vec::new();
        };
        let mut materials: Vec<String> = resembling
            .iter()
            .take_while(|found| best.similarity - found.similarity <= SAME_SIMILARITY)
            .map(|found| self.labels[found.reference].material.clone())
            .collect();
        materials.sort();
        materials.dedup();
        materials
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prepare::Recipe;
    use crate::spectrum::SpectrumParts;

    /// A spectrum with bands at these positions on a sloping line.
    fn spectrum(centres: &[f64], low: f64, factor: f64) -> OnGrid {
        let axis: Vec<f64> = (0..1700).map(|i| low + 2.0 * f64::from(i)).collect();
        let absorbances = axis
            .iter()
            .map(|wavenumber| {
                let bands: f64 =
                    centres.iter().map(|c| 0.3 / (1.0 + ((wavenumber - c) / 10.0).powi(2))).sum();
                factor * (bands + 0.02 + 1.0e-5 * wavenumber)
            })
            .collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, absorbances)).expect("valid");
        let prepared = Recipe::default().apply(&spectrum).expect("prepared");
        OnGrid::new(&spectrum, &prepared).expect("on the grid")
    }

    fn label(material: &str) -> ReferenceLabel {
        ReferenceLabel {
            file: format!("{material}.csv"),
            material: material.to_owned(),
            ..ReferenceLabel::default()
        }
    }

    fn library() -> ReferenceLibrary {
        ReferenceLibrary::new(vec![
            (label("first"), spectrum(&[760.0, 1100.0, 1430.0], 500.0, 1.0)),
            (label("second"), spectrum(&[840.0, 1190.0, 1730.0], 500.0, 0.4)),
        ])
    }

    #[test]
    fn finds_the_reference_that_resembles_whatever_the_scale_and_range() {
        let unknown = spectrum(&[840.0, 1190.0, 1730.0], 700.0, 2.5);
        let library = library();
        let found = library.resembling(&unknown, 5);
        assert_eq!(found[0].reference, 1);
        assert!(found[0].similarity > 0.995, "{found:?}");
        assert!(found[1].similarity < 0.3, "{found:?}");
        assert_eq!(library.opinion(&found), ["second"]);
    }

    #[test]
    fn has_no_opinion_on_a_stranger() {
        let unknown = spectrum(&[620.0, 1000.0, 1600.0], 500.0, 1.0);
        let library = library();
        assert!(library.opinion(&library.resembling(&unknown, 5)).is_empty());
        assert!(ReferenceLibrary::new(Vec::new()).resembling(&unknown, 5).is_empty());
    }

    #[test]
    fn vouches_only_with_maker_grade_batch_and_name() {
        let mut known = label("PETG");
        assert!(!known.is_vouched());
        known.maker = "Harbour Sheet Works (invented)".to_owned();
        known.grade = "G1".to_owned();
        known.batch = "12".to_owned();
        known.vouched_by = "the workshop's purchase record".to_owned();
        assert!(known.is_vouched());
    }
}
