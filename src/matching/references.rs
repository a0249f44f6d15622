//! A second opinion from the user's own reference spectra, beside the band finding.
//!
//! Spectra are compared by the cosine between their first derivatives over what both measured: a
//! sloping or lifted baseline hardly counts, nor does the scale of the ordinate. Nothing here looks
//! at the band table, so that agreement of the two findings means something.

use std::collections::HashMap;

use ndarray::{Array1, Array2};
use serde::Serialize;

use crate::linalg::one_at_a_time;
use crate::prepare::Prepared;
use crate::spectrum::{PointFlag, Spectrum, interpolate, zones};

/// First grid point in cm⁻¹: below it few crystals and detectors give signal.
const GRID_START_CM1: f64 = 400.0;

/// Last grid point in cm⁻¹.
const GRID_END_CM1: f64 = 4000.0;

/// Step of the common grid in cm⁻¹: the usual resolution of such measurements.
const GRID_STEP_CM1: f64 = 4.0;

/// Fewer common points than this (400 cm⁻¹) are no comparison.
const LEAST_COMMON_POINTS: usize = 100;

/// Two opinions closer than this in cosine are one: repeats of a material differ by as much.
const SAME_SIMILARITY: f64 = 0.02;

/// Below this cosine nothing in the folder resembles the spectrum; a choice of ours, no source.
pub const LEAST_SIMILARITY: f64 = 0.80;

/// What is known of one reference spectrum.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
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
    /// Creates the label of a reference that nobody vouches for; fill in its fields.
    #[must_use]
    pub fn new(file: impl Into<String>, material: impl Into<String>) -> Self {
        Self { file: file.into(), material: material.into(), ..Self::default() }
    }

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
#[non_exhaustive]
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
#[non_exhaustive]
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
#[non_exhaustive]
pub struct Resemblance {
    /// Index of the reference in its library.
    pub reference: usize,
    /// Cosine between the first derivatives, at most 1.
    pub similarity: f64,
}

/// First derivatives of many reference spectra on one grid, with what each measured.
///
/// Rows are spectra, columns are grid points from 400 to 4000 cm⁻¹ in steps of 4 without the zone
/// left out; points that were not measured hold zero. A reference takes 2.7 kB: 100,000 take 275 MB.
#[derive(Clone, Debug, Default)]
pub struct ReferenceLibrary {
    labels: Vec<ReferenceLabel>,
    derivatives: Array2<f32>,
    /// For each reference, which of `masks` says what it measured.
    mask_of: Vec<u32>,
    /// The different sets of measured points: the references of a folder share a few.
    masks: Vec<Vec<bool>>,
}

/// Returns the wavenumbers of the grid in cm⁻¹.
fn grid_cm1() -> impl Iterator<Item = f64> {
    // Exact: both ends are whole multiples of the step.
    let steps = ((GRID_END_CM1 - GRID_START_CM1) / GRID_STEP_CM1) as usize;
    (0..=steps)
        .map(|i| GRID_START_CM1 + GRID_STEP_CM1 * i as f64)
        .filter(|x| !zones::is_in(zones::FEW_BANDS_CM1, *x))
}

/// Returns the number of grid points.
pub(super) fn grid_points() -> usize {
    grid_cm1().count()
}

/// One spectrum on the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct OnGrid {
    pub(super) derivative: Array1<f32>,
    pub(super) measured: Vec<bool>,
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
        let mut measured = vec![false; grid_points()];
        for (i, wavenumber) in grid_cm1().enumerate() {
            let (low, high) = (wavenumber - reach, wavenumber + reach);
            if !prepared.spectrum().covers(low, high) || has_saturation(spectrum, low, high) {
                continue;
            }
            if let Some(value) = interpolate(axis, prepared.first_derivative(), wavenumber) {
                derivative[i] = value as f32;
                measured[i] = true;
            }
        }
        // Summed in one order on every processor, and in more digits than are kept.
        let squares = derivative.iter().map(|v| f64::from(*v) * f64::from(*v)).sum::<f64>();
        let length = squares.sqrt() as f32;
        let count = measured.iter().filter(|measured| **measured).count();
        if !(length > 0.0 && length.is_finite()) || count < LEAST_COMMON_POINTS {
            return None;
        }
        derivative /= length;
        Some(Self { derivative, measured })
    }
}

fn has_saturation(spectrum: &Spectrum, low_cm1: f64, high_cm1: f64) -> bool {
    spectrum.flags()[spectrum.window(low_cm1, high_cm1)].contains(&PointFlag::Saturated)
}

/// Rounds a similarity to what sums of a few thousand single-precision products are worth; what lies past it
/// depends on the processor, and would order two references by chance.
fn worth(similarity: f64) -> f64 {
    const UNITS: f64 = 1e5;
    (similarity * UNITS).round() / UNITS
}

impl ReferenceLibrary {
    /// Collects references. The order is kept.
    #[must_use]
    pub fn new(references: Vec<(ReferenceLabel, OnGrid)>) -> Self {
        Self::collected(references)
    }

    /// Collects references one by one, so that no second copy of all need be held.
    fn collected(references: impl IntoIterator<Item = (ReferenceLabel, OnGrid)>) -> Self {
        let mut labels = Vec::new();
        let mut values: Vec<f32> = Vec::new();
        let mut mask_of = Vec::new();
        let mut masks: Vec<Vec<bool>> = Vec::new();
        let mut known: HashMap<Vec<bool>, u32> = HashMap::new();
        for (label, on_grid) in references {
            labels.push(label);
            values.extend(on_grid.derivative.iter());
            mask_of.push(*known.entry(on_grid.measured).or_insert_with_key(|mask| {
                masks.push(mask.clone());
                masks.len() as u32 - 1
            }));
        }
        // Each spectrum on the grid has as many values as the grid has points.
        let derivatives =
            Array2::from_shape_vec((labels.len(), grid_points()), values).unwrap_or_default();
        Self { labels, derivatives, mask_of, masks }
    }

    /// Returns the labels in order.
    #[must_use]
    pub fn labels(&self) -> &[ReferenceLabel] {
        &self.labels
    }

    /// Returns the `most` references that resemble the spectrum best, best first.
    ///
    /// One product of the matrix and a vector compares all references at once; each cosine is taken
    /// over what both measured. References with fewer than 100 grid points in common are left out.
    #[must_use]
    pub fn resembling(&self, unknown: &OnGrid, most: usize) -> Vec<Resemblance> {
        if self.labels.is_empty() {
            return Vec::new();
        }
        let products = one_at_a_time(|| self.derivatives.dot(&unknown.derivative));
        // Each row has unit length over what it measured; what the spectrum lacks is taken off.
        let lacking: Vec<usize> =
            (0..unknown.measured.len()).filter(|i| !unknown.measured[*i]).collect();
        let shared: Vec<Shared> = self.masks.iter().map(|mask| Shared::of(mask, unknown)).collect();
        let mut found: Vec<Resemblance> = self
            .derivatives
            .rows()
            .into_iter()
            .zip(&products)
            .zip(&self.mask_of)
            .enumerate()
            .filter_map(|(reference, ((row, product), mask))| {
                let shared = shared.get(*mask as usize)?;
                if shared.points < LEAST_COMMON_POINTS {
                    return None;
                }
                let lost: f32 = if shared.whole {
                    0.0
                } else {
                    let row = row.to_slice()?;
                    lacking.iter().map(|i| row[*i] * row[*i]).sum()
                };
                let length = ((1.0 - lost) * shared.of_unknown).sqrt();
                (length > 0.0).then(|| Resemblance {
                    reference,
                    similarity: worth(f64::from(product / length).min(1.0)),
                })
            })
            .collect();
        let best_first = |a: &Resemblance, b: &Resemblance| {
            b.similarity.total_cmp(&a.similarity).then(a.reference.cmp(&b.reference))
        };
        if most > 0 && most < found.len() {
            found.select_nth_unstable_by(most - 1, best_first);
        }
        found.truncate(most);
        found.sort_by(best_first);
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

/// What one set of measured points shares with a spectrum.
struct Shared {
    /// Grid points that both measured.
    points: usize,
    /// Square of the length of the spectrum's derivative over them.
    of_unknown: f32,
    /// Whether the spectrum measured all of the set.
    whole: bool,
}

impl Shared {
    fn of(mask: &[bool], unknown: &OnGrid) -> Self {
        let mut shared = Self { points: 0, of_unknown: 0.0, whole: true };
        for ((ours, theirs), value) in mask.iter().zip(&unknown.measured).zip(&unknown.derivative) {
            if *ours && *theirs {
                shared.points += 1;
                shared.of_unknown += value * value;
            }
            shared.whole &= !*ours || *theirs;
        }
        shared
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prepare::prepare;
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
        let prepared = prepare(&spectrum).expect("prepared");
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
        // Two of the reference's bands were not measured: the third is compared with the third.
        let cut = library.resembling(&spectrum(&[840.0, 1190.0, 1730.0], 1400.0, 1.0), 5);
        assert_eq!(cut[0].reference, 1);
        assert!(cut[0].similarity > 0.99, "{cut:?}");
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

    /// A made-up derivative: eight bands at places and heights that a counter settles.
    fn made_up(number: u64, points: usize) -> OnGrid {
        let mut state = number.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
        let mut next = |below: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040);
            (state >> 33) % below
        };
        let mut derivative = Array1::<f32>::zeros(points);
        for _ in 0..8 {
            let (at, height) = (next(points as u64 - 12) as usize, 1.0 + next(9) as f32);
            for (k, shape) in [1.0, 3.0, 5.0, 3.0, 0.0, -3.0, -5.0, -3.0, -1.0].iter().enumerate() {
                derivative[at + k] += height * shape;
            }
        }
        let length = derivative.dot(&derivative).sqrt();
        derivative /= length;
        OnGrid { derivative, measured: vec![true; points] }
    }

    #[test]
    fn compares_with_a_hundred_thousand_references_on_one_machine() {
        // A hundred thousand when optimised; the same by the thousand where that would take minutes.
        const COUNT: u64 = if cfg!(debug_assertions) { 4_000 } else { 100_000 };
        let points = grid_points();
        let started = std::time::Instant::now();
        let library =
            ReferenceLibrary::collected((0..COUNT).map(|i| (label(""), made_up(i, points))));
        let built = started.elapsed();
        let bytes = library.derivatives.len() * 4 + library.mask_of.len() * 4;
        let asked = std::time::Instant::now();
        for number in [7, COUNT / 2, COUNT - 1] {
            let found = library.resembling(&made_up(number, points), 5);
            assert_eq!(found[0].reference, number as usize);
            assert!(found[0].similarity > 0.9999 && found[1].similarity < 0.9, "{found:?}");
        }
        let each = asked.elapsed() / 3;
        println!(
            "{COUNT} references: made in {built:.1?}, {:.0} MB in memory, {each:.1?} for one spectrum",
            bytes as f64 / 1.0e6
        );
        let each_bytes = bytes / COUNT as usize;
        assert!(each_bytes < 3_000, "{each_bytes} bytes a reference");
    }

    #[test]
    fn the_few_asked_for_are_the_best_of_all() {
        let points = grid_points();
        let library = ReferenceLibrary::collected((0..9).map(|i| (label(""), made_up(i, points))));
        let unknown = made_up(4, points);
        let all = library.resembling(&unknown, 9);
        assert_eq!((all.len(), all[0].reference), (9, 4));
        for most in 0..9 {
            assert_eq!(library.resembling(&unknown, most), all[..most], "{most}");
        }
    }
}
