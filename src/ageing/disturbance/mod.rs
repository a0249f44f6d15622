//! What one face shares that light did not do: water vapour in the beam, a film of water, skin
//! grease, a slow drift of the baseline.
//!
//! All spots of a face share it, so that the spread between spots does not show it. It is read off the
//! difference of the faces, in one joint fit with what contact leaves of the material's own spectrum,
//! and away from the marker in question: a change of the marker cannot be taken for a disturbance.

mod fit;
mod found;
mod part;
mod shapes;

use fit::JointFit;
pub use found::{Found, Kind, ON_ONE_FACE};
use part::Part;

use super::contact::Contact;
use super::difference::{FittedSpot, shared_axis};
use super::noise::Noise;
use super::reading::weights;
use super::values::ChangeScale;
use crate::optics::Element;
use crate::spectrum::{Spectrum, SpectrumParts, bounds, interpolate, median_spacing};
use crate::tables::{Measure, Stretches};

/// Points closer than this in cm⁻¹ are averaged: lines at 4 cm⁻¹ need no finer ones, and a file of half a
/// million points costs the fit no more than one of two thousand.
const FINEST_CM1: f64 = 1.5;
/// A drift has no half wave shorter than this in cm⁻¹: shorter ones are bands; ours.
const SLOW_CM1: f64 = 650.0;
/// Share of the material's absorbance that a difference of faces keeps after scale and gap, for the
/// weights alone; ours.
const LEFT_SHARE: f64 = 0.01;
/// Full widths in cm⁻¹ that lines of vapour have at 2, 4 and 8 cm⁻¹.
const LINE_WIDTHS_CM1: [f64; 3] = [2.5, 5.0, 9.0];
/// Lines narrower than this many spacings are not sampled.
const LEAST_WIDTH_IN_STEPS: f64 = 1.2;
/// One standard deviation of a line's strength, as a share: as well as they are known, and the width of
/// lines not fitted exactly; ours.
const LINE_SHARE: f64 = 0.3;
/// Feet of carbonyls fall with the square of the distance from their middle (Lorentz), and count from this far on;
/// ours.
const CARBONYL_REACH_CM1: f64 = 60.0;
/// Left out on either side of a marker, in cm⁻¹.
const MARGIN_CM1: f64 = 10.0;
/// Stretch over bend in a film, as against bulk water on the crystal: 1 in bulk, 2.1 in a film far
/// thinner than the light reaches (absorption index times wavenumber); between them.
const STRETCH_OVER_BEND: f64 = 1.5;
/// Stretch over libration, as above: 1 in bulk, 4.8 in a thin film; between them.
const STRETCH_OVER_LIBRATION: f64 = 2.5;
/// Full width at half height of a Gaussian over its standard deviation.
const FULL_WIDTH_IN_DEVIATIONS: f64 = 2.354_82;
/// Bands broader by so many standard errors are those of another resolution. Own measure on open spectra: two and two specimens of
/// one material and laboratory, 85 such pairs, reach 7.2, and those of a silicone that cures 11.9; a face folded with 8 or
/// 16 cm⁻¹ gives 9 and 12.
const CLEAR_BROADENING: f64 = 8.0;
/// Lines of vapour this high, as a share of the strongest band, move the weak bands that contact is read from: with
/// 0.02 false changes of acetyl were seen in 4 of 48 pairs, with 0.01 in 2, without in 1 (own measure: computed lines on
/// measured acetates).
const HIGH_VAPOUR: f64 = 0.015;
/// So far apart in cm⁻¹, and as clearly, the scales of two faces differ: no age moves every band one way. Ours; an
/// instrument in order keeps within a tenth of this (common practice, no source).
const CLEAR_SHIFT_CM1: f64 = 1.0;
/// A column counts as measured where this share of its height lies in the points that are left.
const LEAST_SEEN: f64 = 0.3;

/// The difference of two faces, ready to be fitted; neighbouring points are averaged.
pub struct Disturbances<'t> {
    /// Where what disturbs a face stands.
    stretches: &'t Stretches,
    axis: Vec<f64>,
    /// Mean of the face compared with.
    mean: Vec<f64>,
    /// Mean of the spots of both faces: what their difference owes to noise is not linked with its curvature.
    pooled: Vec<f64>,
    difference: Vec<f64>,
    /// One standard deviation of each point.
    deviations: Vec<f64>,
    spacing_cm1: f64,
    shapes: Shapes,
    found: Vec<Found>,
    broadening_cm1: Option<f64>,
    shift_cm1: Option<f64>,
}

/// What may be fitted, each of height 1.
struct Shapes {
    vapour: shapes::Vapour,
    water: shapes::Water,
    chain: Vec<f64>,
    ester: Vec<f64>,
    carbonyl: Vec<f64>,
}

/// Which band of water a marker lies over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum WaterOn {
    Hydroxyl,
    Bend,
    Neither,
}

impl WaterOn {
    fn of(measure: &Measure, stretches: &Stretches) -> Self {
        let (low, high) = (
            measure.limits.low_cm1.min(measure.baseline.low_cm1),
            measure.limits.high_cm1.max(measure.baseline.high_cm1),
        );
        // A marker over O–H asks what water's own stretch would be read from.
        let (from, to) = stretches.on_faces.hydroxyl.cm1;
        let bend_cm1 = stretches.water.bend.position_cm1;
        if measure.limits.low_cm1 < to && measure.limits.high_cm1 > from {
            Self::Hydroxyl
        } else if (low - MARGIN_CM1..=high + MARGIN_CM1).contains(&bend_cm1) {
            Self::Bend
        } else {
            Self::Neither
        }
    }
}

/// Returns whether a marker reads the O–H stretch.
pub fn is_over_hydroxyl(measure: &Measure, stretches: &Stretches) -> bool {
    WaterOn::of(measure, stretches) == WaterOn::Hydroxyl
}

/// A band that stands higher by a little differs by that much of its slope, downwards (Taylor's series).
fn shift(seen: &[Part], fit: &JointFit) -> Option<f64> {
    let column = seen.iter().position(|part| *part == Part::Polymer(3))?;
    let higher_cm1 = -fit.coefficients[column];
    let size = higher_cm1.abs();
    (size >= CLEAR_SHIFT_CM1 && size >= CLEAR_BROADENING * fit.standard_error(column))
        .then_some(higher_cm1)
}

/// What the disturbances of a pair of faces do to one marker.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Effect {
    /// What was found and is taken out of the difference of the means.
    pub shift: f64,
    /// Variance of the fit, with what may be there below detection.
    pub fit_variance: f64,
    /// Variance by which the shapes are not known.
    pub model_variance: f64,
    /// What does most of the shift.
    pub main: Option<Kind>,
}

impl<'t> Disturbances<'t> {
    /// Takes the difference of two faces, the reference face weakened as each spot's contact says.
    ///
    /// `None` where the spectra share too little.
    #[must_use]
    pub fn of(
        crystal: &Element,
        face: &[FittedSpot<'_>],
        against: &[FittedSpot<'_>],
        stretches: &'t Stretches,
    ) -> Option<Self> {
        let all: Vec<&Spectrum> = face.iter().chain(against).map(|s| s.0).collect();
        let noise = noise_of_difference(face, against)?;
        let (mut axis, mut mean, mut difference) = (Vec::new(), Vec::new(), Vec::new());
        let mut pooled = Vec::new();
        let (our_count, their_count) = (face.len() as f64, against.len() as f64);
        let mut averaged = Vec::new();
        for near in runs(&shared_axis(&all)) {
            let count = near.len() as f64;
            let average = |spots: &[FittedSpot<'_>]| -> Option<f64> {
                let sum: Option<f64> =
                    spots.iter().flat_map(|s| near.iter().map(|v| value(s.0, *v))).sum();
                Some(sum? / (count * spots.len() as f64))
            };
            let (Some(ours), Some(theirs)) = (average(face), average(against)) else { continue };
            let middle = near.iter().sum::<f64>() / count;
            let factor = |contact: Option<&Contact>| {
                contact.and_then(|c| c.factor(crystal, middle)).unwrap_or(1.0)
            };
            let weakened = face.iter().map(|s| factor(s.1)).sum::<f64>() / face.len() as f64;
            axis.push(middle);
            mean.push(theirs);
            difference.push(ours - weakened * theirs);
            let sum = our_count * ours + their_count * weakened * theirs;
            pooled.push(sum / (our_count + their_count));
            averaged.push(count);
        }
        let spacing_cm1 = median_spacing(&axis)?;
        let grease = &stretches.on_faces;
        let mut built = Self {
            stretches,
            shapes: Shapes {
                vapour: shapes::Vapour::default(),
                water: shapes::water(&axis, &stretches.water),
                chain: shapes::bands(&axis, &grease.grease_chain),
                ester: shapes::bands(&axis, &grease.grease_ester),
                carbonyl: shapes::bands(&axis, &grease.grease_carbonyl),
            },
            axis,
            mean,
            pooled,
            difference,
            deviations: Vec::new(),
            spacing_cm1,
            found: Vec::new(),
            broadening_cm1: None,
            shift_cm1: None,
        };
        let noise: Vec<f64> = averaged.iter().map(|count| noise / count.sqrt()).collect();
        built.weigh(&noise);
        built.choose_line_width();
        if let Some((seen, fit)) =
            built.fit(&built.parts(&[Part::Chain, Part::Ester]), &[built.carbonyls_cm1()])
        {
            let vapour = &built.shapes.vapour.values;
            built.found = found::look(&seen, &fit, &built.axis, &built.difference, vapour);
            built.shift_cm1 = shift(&seen, &fit);
            if built.shift_cm1.is_none() {
                built.broadening_cm1 = built.broadening();
            }
        }
        Some(built)
    }

    /// Returns whether one face was measured through so much more vapour that its lines reach a weak band's height.
    #[must_use]
    pub fn is_vapour_high(&self) -> bool {
        let (low, high) = bounds(&self.mean);
        let vapour = self.found.iter().find(|found| found.kind == Kind::Vapour);
        vapour.is_some_and(|found| found.height.abs() >= HIGH_VAPOUR * (high - low))
    }

    /// Returns by how much higher in cm⁻¹ all bands of the face under question stand, where the scales of the two differ.
    #[must_use]
    pub const fn shift_cm1(&self) -> Option<f64> {
        self.shift_cm1
    }

    /// Returns by how much broader the bands of the one face are than those of the other, as the full width in cm⁻¹ of
    /// the Gaussian that lies between them: positive where the face under question is the broader. `None` where
    /// something else makes up the difference.
    #[must_use]
    pub const fn broadening_cm1(&self) -> Option<f64> {
        self.broadening_cm1
    }

    /// A band folded with a narrow Gaussian grows by half its variance times the band's curvature (Taylor's series).
    fn broadening(&self) -> Option<f64> {
        let mut parts = self.parts(&[Part::Chain, Part::Ester]);
        parts.push(Part::Curvature);
        let (seen, fit) = self.fit(&parts, &[self.carbonyls_cm1()])?;
        let column = seen.iter().position(|part| *part == Part::Curvature)?;
        // A shift of the axis has a second-order term of the same shape: half its square.
        let shift = seen.iter().position(|part| *part == Part::Polymer(3));
        let shift_cm1 = shift.map_or(0.0, |column| fit.coefficients[column]);
        let half_variance = fit.coefficients[column] - shift_cm1.powi(2) / 2.0;
        let width = (2.0 * half_variance.abs()).sqrt() * FULL_WIDTH_IN_DEVIATIONS;
        let size = half_variance.abs() / fit.standard_error(column);
        (size >= CLEAR_BROADENING).then(|| width * half_variance.signum())
    }

    /// Returns what was seen, whichever face carries it.
    #[must_use]
    pub fn found(&self) -> &[Found] {
        &self.found
    }

    /// Returns where carbonyls of oxidation stand, in cm⁻¹: no disturbance is read off them.
    const fn carbonyls_cm1(&self) -> (f64, f64) {
        self.stretches.on_faces.oxidation_carbonyl.cm1
    }

    /// Sets what each point is uncertain by: noise, and what is left of the material's own bands.
    fn weigh(&mut self, noise: &[f64]) {
        let floor = self.mean.iter().copied().fold(f64::INFINITY, f64::min);
        let weighed = noise.iter().zip(&self.mean).map(|(n, m)| n.hypot(LEFT_SHARE * (m - floor)));
        self.deviations = weighed.collect();
    }

    /// Keeps the width of lines that leaves least over.
    fn choose_line_width(&mut self) {
        let sampled = |w: &f64| *w >= LEAST_WIDTH_IN_STEPS * self.spacing_cm1;
        let mut widths: Vec<f64> = LINE_WIDTHS_CM1.into_iter().filter(sampled).collect();
        if widths.is_empty() {
            widths.push(LEAST_WIDTH_IN_STEPS * self.spacing_cm1);
        }
        let mut best: Option<(f64, f64)> = None;
        for width in widths {
            self.shapes.vapour = shapes::Vapour::new(&self.axis, width);
            let left = self
                .fit(&self.parts(&[Part::Chain, Part::Ester]), &[self.carbonyls_cm1()])
                .map_or(f64::INFINITY, |(_, fit)| fit.left_over());
            if best.is_none_or(|(least, _)| left < least) {
                best = Some((left, width));
            }
        }
        if let Some((_, width)) = best {
            self.shapes.vapour = shapes::Vapour::new(&self.axis, width);
        }
    }

    /// Everything that is fitted, with grease as one or in two.
    fn parts(&self, grease: &[Part]) -> Vec<Part> {
        let length = self.axis.last().unwrap_or(&0.0) - self.axis.first().unwrap_or(&0.0);
        let slow = (length / SLOW_CM1).floor() as usize;
        (0..=slow)
            .map(Part::Slow)
            .chain((0..4).map(Part::Polymer))
            .chain((0..self.stretches.on_faces.oxidation_single_bonds.len()).map(Part::SingleBonds))
            .chain([Part::CarbonylFoot, Part::Vapour, Part::Libration, Part::Bend, Part::Stretch])
            .chain(grease.iter().copied())
            .collect()
    }

    /// Returns a column on all points.
    fn shape(&self, part: Part) -> Vec<f64> {
        let sum = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a + b).collect();
        match part {
            Part::Slow(k) => {
                let (low, high) =
                    (self.axis.first().unwrap_or(&0.0), self.axis.last().unwrap_or(&1.0));
                let turn = std::f64::consts::PI * k as f64 / (high - low);
                self.axis.iter().map(|v| (turn * (v - low)).cos()).collect()
            }
            Part::Polymer(3) => slope(&self.axis, &self.mean),
            Part::Polymer(power) => {
                let along = |v: &f64| ((v - 2000.0) / 2000.0).powi(power as i32);
                self.axis.iter().zip(&self.mean).map(|(v, m)| m * along(v)).collect()
            }
            Part::SingleBonds(which) => {
                let bonds = &self.stretches.on_faces.oxidation_single_bonds;
                shapes::bands(&self.axis, bonds.get(which..=which).unwrap_or_default())
            }
            Part::CarbonylFoot => {
                let middle_cm1 = self.stretches.on_faces.oxidation_carbonyl.position_cm1;
                let foot = |v: &f64| {
                    let away = (v - middle_cm1) / CARBONYL_REACH_CM1;
                    if away.abs() < 1.0 { 1.0 } else { away.powi(-2) }
                };
                self.axis.iter().map(foot).collect()
            }
            Part::Curvature => curvature(&self.axis, &self.pooled),
            Part::Vapour => self.shapes.vapour.values.clone(),
            Part::Libration => self.shapes.water.libration.clone(),
            Part::Bend => self.shapes.water.bend.clone(),
            Part::Stretch => self.shapes.water.stretch.clone(),
            Part::Chain => self.shapes.chain.clone(),
            Part::Ester => self.shapes.ester.clone(),
            Part::Grease => sum(&self.shapes.chain, &self.shapes.ester),
        }
    }

    /// Fits the parts that can be seen outside `masks`.
    fn fit(&self, parts: &[Part], masks: &[(f64, f64)]) -> Option<(Vec<Part>, JointFit)> {
        let kept: Vec<usize> = (0..self.axis.len())
            .filter(|&i| !masks.iter().any(|m| (m.0..=m.1).contains(&self.axis[i])))
            .collect();
        let picked = |list: &[f64]| -> Vec<f64> { kept.iter().map(|&i| list[i]).collect() };
        let highest = |list: &[f64]| list.iter().fold(0.0_f64, |most, v| most.max(v.abs()));
        let mut seen = Vec::new();
        let mut columns = Vec::new();
        for &part in parts {
            let whole = self.shape(part);
            let column = picked(&whole);
            let most = highest(&whole);
            if most > 0.0 && highest(&column) >= LEAST_SEEN * most {
                seen.push(part);
                columns.push(column);
            }
        }
        let (observed, deviations) = (picked(&self.difference), picked(&self.deviations));
        let fit = JointFit::new(&columns, &observed, &deviations, self.spacing_cm1)?;
        Some((seen, fit))
    }

    /// Returns what the disturbances do to the difference of a marker's means, on its scale.
    ///
    /// # Errors
    ///
    /// The reason why it cannot be known.
    pub fn on_marker(
        &self,
        measure: &Measure,
        reference: Option<&Measure>,
        scale: ChangeScale,
    ) -> Result<Effect, String> {
        /// What stands too near the end of the range, or in a gap, cannot be read with something added.
        const NOT_FITTED: &str = "what one face may carry beside its age (vapour, water, grease, drift) could not be fitted: too little was measured beside this marker";
        let low = measure.limits.low_cm1.min(measure.baseline.low_cm1) - MARGIN_CM1;
        let high = measure.limits.high_cm1.max(measure.baseline.high_cm1) + MARGIN_CM1;
        let mut masks = vec![self.carbonyls_cm1(), (low, high)];
        let mut parts = self.parts(&[Part::Grease]);
        let on = WaterOn::of(measure, self.stretches);
        match on {
            WaterOn::Hydroxyl => {
                masks.push(self.stretches.on_faces.hydroxyl.cm1);
                parts.retain(|p| *p != Part::Stretch);
            }
            WaterOn::Bend => parts.retain(|p| *p != Part::Bend),
            WaterOn::Neither => {}
        }
        let (seen, fit) = self.fit(&parts, &masks).ok_or(NOT_FITTED)?;
        let found = |kind: Kind| self.found.iter().any(|f| f.kind == kind);
        let takes_water_out = found(Kind::Water) && on != WaterOn::Hydroxyl;
        let read = Reader::new(self, measure, reference, scale).ok_or(NOT_FITTED)?;
        let mut effect = Effect::default();
        let mut effects = vec![0.0; seen.len()];
        let mut slow = vec![0.0; self.axis.len()];
        let mut largest = 0.0;
        for (column, &part) in seen.iter().enumerate() {
            let Some((shape, kind)) = self.effect_shape(part, &seen) else { continue };
            if kind == Some(Kind::Water) && !takes_water_out {
                continue;
            }
            let size = fit.coefficients[column];
            let step = fit.standard_error(column).max(f64::EPSILON);
            effects[column] = (read.with(&shape, step).ok_or(NOT_FITTED)?
                - read.with(&shape, -step).ok_or(NOT_FITTED)?)
                / (2.0 * step);
            let Some(kind) = kind else {
                slow.iter_mut().zip(&shape).for_each(|(s, v)| *s += size * v);
                continue;
            };
            let shift = read.with(&shape, size).ok_or(NOT_FITTED)? - read.plain;
            if found(kind) {
                effect.shift += shift;
                effect.model_variance += (kind.unknown_share() * shift).powi(2);
                if part == Part::Vapour {
                    // A marker lies between lines and on them: what it takes from each differs.
                    for line in self.shapes.vapour.lines(&self.axis, &read.stretches()) {
                        let one = read.with(&line, size).ok_or(NOT_FITTED)? - read.plain;
                        effect.model_variance += (LINE_SHARE * one).powi(2);
                    }
                }
                if f64::abs(shift) > largest {
                    largest = shift.abs();
                    effect.main = Some(kind);
                }
            } else {
                // Not seen for certain: not taken out, but it may be there.
                effect.fit_variance += shift.powi(2);
            }
        }
        if !takes_water_out {
            effect.fit_variance += self.room_for_water(&seen, &fit, &read)?.powi(2);
        }
        let drift = read.with(&slow, 1.0).ok_or(NOT_FITTED)? - read.plain;
        effect.shift += drift;
        effect.model_variance += (Kind::Drift.unknown_share() * drift).powi(2);
        if drift.abs() > largest {
            effect.main = Some(Kind::Drift);
        }
        effect.fit_variance += fit.variance(&effects);
        Ok(effect)
    }

    /// Returns what water that was not seen may do to a marker, one standard deviation.
    ///
    /// Each band of water in the fit says how much there may be; the one that the marker lies over is not in it. Water
    /// has all three, so that there is no more of it than the least of them leaves room for.
    fn room_for_water(
        &self,
        seen: &[Part],
        fit: &JointFit,
        read: &Reader<'_>,
    ) -> Result<f64, String> {
        let water = &self.shapes.water;
        let whole: Vec<f64> = (0..self.axis.len())
            .map(|i| {
                water.stretch[i]
                    + water.bend[i] / STRETCH_OVER_BEND
                    + water.libration[i] / STRETCH_OVER_LIBRATION
            })
            .collect();
        let by = |(part, stretch_over): (Part, f64)| -> Option<f64> {
            let column = seen.iter().position(|p| *p == part)?;
            let size = fit.coefficients[column].hypot(fit.standard_error(column));
            Some((read.with(&whole, stretch_over * size)? - read.plain).abs())
        };
        [
            (Part::Stretch, 1.0),
            (Part::Bend, STRETCH_OVER_BEND),
            (Part::Libration, STRETCH_OVER_LIBRATION),
        ]
        .into_iter()
        .filter_map(by)
        .reduce(f64::min)
        .ok_or_else(|| {
            let water = &self.stretches.water;
            format!(
                "adsorbed water cannot be ruled out: of {:.0}, {:.0} and the libration below {:.0} too little was measured beside this marker",
                water.stretch.position_cm1,
                water.bend.position_cm1,
                water.film_libration.position_cm1
            )
        })
    }

    /// Returns what a column does to a marker, and what it belongs to; `None` for the material itself.
    fn effect_shape(&self, part: Part, seen: &[Part]) -> Option<(Vec<f64>, Option<Kind>)> {
        let water = &self.shapes.water;
        let joined = |a: &[f64], b: &[f64], share: f64| -> Vec<f64> {
            a.iter().zip(b).map(|(a, b)| a + share * b).collect()
        };
        let kind = Some(Kind::Water);
        Some(match part {
            Part::Polymer(_) | Part::Curvature | Part::SingleBonds(_) | Part::CarbonylFoot => {
                return None;
            }
            Part::Slow(_) => (self.shape(part), None),
            Part::Vapour => (self.shapes.vapour.values.clone(), Some(Kind::Vapour)),
            // What the marker covers is known from the other band of water.
            Part::Stretch if !seen.contains(&Part::Bend) => {
                (joined(&water.stretch, &water.bend, 1.0 / STRETCH_OVER_BEND), kind)
            }
            Part::Bend | Part::Stretch | Part::Libration => (self.shape(part), kind),
            Part::Grease | Part::Chain | Part::Ester => {
                let grease = self.shape(Part::Grease);
                (joined(&grease, &self.shapes.carbonyl, 1.0), Some(Kind::Grease))
            }
        })
    }
}

/// Reads a marker off the mean of the face compared with, with something added.
struct Reader<'a> {
    axis: Vec<f64>,
    values: Vec<f64>,
    places: Vec<usize>,
    measure: &'a Measure,
    reference: Option<&'a Measure>,
    scale: ChangeScale,
    plain: f64,
}

impl<'a> Reader<'a> {
    fn new(
        of: &Disturbances<'_>,
        measure: &'a Measure,
        reference: Option<&'a Measure>,
        scale: ChangeScale,
    ) -> Option<Self> {
        let near = |v: f64| {
            [Some(measure), reference].into_iter().flatten().any(|m| {
                let low = m.limits.low_cm1.min(m.baseline.low_cm1);
                let high = m.limits.high_cm1.max(m.baseline.high_cm1);
                // Some points more on either side, however coarse the grid is.
                let margin = MARGIN_CM1 + 2.0 * of.spacing_cm1;
                (low - margin..=high + margin).contains(&v)
            })
        };
        let places: Vec<usize> = (0..of.axis.len()).filter(|&i| near(of.axis[i])).collect();
        let mut reader = Self {
            axis: places.iter().map(|&i| of.axis[i]).collect(),
            values: places.iter().map(|&i| of.mean[i]).collect(),
            places,
            measure,
            reference,
            scale,
            plain: 0.0,
        };
        reader.plain = reader.with(&[], 0.0)?;
        Some(reader)
    }

    /// Returns where the marker and its reference are read, in cm⁻¹.
    fn stretches(&self) -> Vec<(f64, f64)> {
        [Some(self.measure), self.reference]
            .into_iter()
            .flatten()
            .map(|m| {
                (
                    m.limits.low_cm1.min(m.baseline.low_cm1),
                    m.limits.high_cm1.max(m.baseline.high_cm1),
                )
            })
            .collect()
    }

    /// Returns the index, or its logarithm, with `height` times a shape added.
    fn with(&self, shape: &[f64], height: f64) -> Option<f64> {
        let values = self
            .values
            .iter()
            .zip(&self.places)
            .map(|(value, &i)| value + height * shape.get(i).unwrap_or(&0.0))
            .collect();
        let spectrum = Spectrum::new(SpectrumParts::new(self.axis.clone(), values)).ok()?;
        let read = |m: &Measure| -> Option<f64> {
            Some(weights(&spectrum, m).ok()?.value(spectrum.absorbances()))
        };
        let divisor = self.reference.map_or(Some(1.0), read)?;
        let index = read(self.measure)? / divisor;
        let value = match self.scale {
            ChangeScale::Ratio => index.ln(),
            ChangeScale::Difference => index,
        };
        value.is_finite().then_some(value)
    }
}

/// Puts neighbouring points together as long as they lie closer than the finest wanted.
fn runs(axis: &[f64]) -> Vec<&[f64]> {
    let mut runs = Vec::new();
    let mut rest = axis;
    while let Some(first) = rest.first() {
        let end = rest.partition_point(|v| *v < first + FINEST_CM1).max(1);
        let (run, after) = rest.split_at(end);
        runs.push(run);
        rest = after;
    }
    runs
}

fn value(spectrum: &Spectrum, wavenumber_cm1: f64) -> Option<f64> {
    interpolate(spectrum.wavenumbers_cm1(), spectrum.absorbances(), wavenumber_cm1)
}

/// Returns one standard deviation of a point of the difference of two means.
fn noise_of_difference(face: &[FittedSpot<'_>], against: &[FittedSpot<'_>]) -> Option<f64> {
    let mut variance = 0.0;
    for side in [face, against] {
        let squares: Option<f64> =
            side.iter().map(|s| Some(Noise::of(s.0)?.standard_deviation().powi(2))).sum();
        variance += squares? / (side.len() * side.len()) as f64;
    }
    Some(variance.sqrt().max(f64::MIN_POSITIVE.sqrt()))
}

/// Returns the slope at each point, in absorbance per cm⁻¹.
fn slope(axis: &[f64], values: &[f64]) -> Vec<f64> {
    (0..axis.len())
        .map(|i| {
            let (before, after) = (i.saturating_sub(1), (i + 1).min(axis.len() - 1));
            (values[after] - values[before]) / (axis[after] - axis[before]).max(f64::EPSILON)
        })
        .collect()
}

/// Half the stretch in cm⁻¹ that a curvature is read over, and in spacings at least: noise weighs less in a longer one,
/// and bands are lost in it. Of 5, 6, 8, 10 and 12 this told faces folded with 8 cm⁻¹ best from noise.
const CURVED_CM1: (f64, f64) = (5.0, 2.2);

/// Returns the curvature at each point, in absorbance per cm⁻², of the parabola through its neighbours by least
/// squares; nothing where they stand on one side alone.
fn curvature(axis: &[f64], values: &[f64]) -> Vec<f64> {
    let reach = CURVED_CM1.0.max(CURVED_CM1.1 * median_spacing(axis).unwrap_or_default());
    let at = |middle: f64| {
        let from = axis.partition_point(|v| *v < middle - reach);
        let to = axis.partition_point(|v| *v <= middle + reach);
        let near = axis.get(from..to).unwrap_or_default();
        let (first, last) = (near.first()?, near.last()?);
        let lopsided = (middle - first) - (last - middle);
        if near.len() < 4 || lopsided.abs() > FINEST_CM1 {
            return None;
        }
        let squares: Vec<f64> = near.iter().map(|v| (v - middle).powi(2)).collect();
        let mean = squares.iter().sum::<f64>() / squares.len() as f64;
        let values = values.get(from..to).unwrap_or_default();
        let weighed: f64 = squares.iter().zip(values).map(|(s, y)| (s - mean) * y).sum();
        Some(2.0 * weighed / squares.iter().map(|s| (s - mean).powi(2)).sum::<f64>())
    };
    axis.iter().map(|v| at(*v).unwrap_or(0.0)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::{MeasureKind, Tables, Window};

    #[test]
    fn a_marker_lies_over_a_band_of_water_where_its_limits_or_its_baseline_come_near_it() {
        let on = |limits: (f64, f64), baseline: (f64, f64)| {
            let window = |(low, high)| Window::new(low, high);
            let measure = Measure::new(MeasureKind::Area, window(limits), window(baseline));
            WaterOn::of(&measure, Tables::built_in().stretches())
        };
        assert_eq!(on((3100.0, 3600.0), (3000.0, 3700.0)), WaterOn::Hydroxyl);
        // The bend of water stands at 1640 cm⁻¹.
        assert_eq!(on((1600.0, 1700.0), (1590.0, 1710.0)), WaterOn::Bend);
        assert_eq!(on((1660.0, 1700.0), (1648.0, 1710.0)), WaterOn::Bend);
        assert_eq!(on((1580.0, 1632.0), (1580.0, 1632.0)), WaterOn::Bend);
        assert_eq!(on((1000.0, 1100.0), (980.0, 1150.0)), WaterOn::Neither);
        assert_eq!(on((1720.0, 1755.0), (1690.0, 1810.0)), WaterOn::Neither);
    }

    /// Points 2 cm⁻¹ apart from a wavenumber on.
    fn axis(low_cm1: f64) -> Vec<f64> {
        (0..1801).map(|i| 400.0 + 2.0 * f64::from(i)).filter(|v| *v >= low_cm1).collect()
    }

    /// Three spots of an invented material with something added, and noise in the fifth digit.
    fn spots(axis: &[f64], added: &dyn Fn(usize) -> f64, seed: u64) -> Vec<Spectrum> {
        const BANDS: [(f64, f64, f64); 8] = [
            (3350.0, 200.0, 0.05),
            (2920.0, 40.0, 0.12),
            (1722.0, 26.0, 0.05),
            (1640.0, 30.0, 0.03),
            (1427.0, 18.0, 0.12),
            (1254.0, 24.0, 0.14),
            (962.0, 25.0, 0.10),
            (690.0, 30.0, 0.20),
        ];
        let mut state = seed;
        let mut noise = move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_041);
            4.0e-5 * ((state >> 40) as f64 / 2f64.powi(24) - 0.5)
        };
        let value = |(i, v): (usize, &f64)| {
            let bell = |(at, width, height): (f64, f64, f64)| {
                height * (-4.0 * std::f64::consts::LN_2 * ((v - at) / width).powi(2)).exp()
            };
            BANDS.into_iter().map(bell).sum::<f64>() + added(i)
        };
        (0..3)
            .map(|_| {
                let values = axis.iter().enumerate().map(value).map(|a| a + noise()).collect();
                Spectrum::new(SpectrumParts::new(axis.to_vec(), values)).expect("valid")
            })
            .collect()
    }

    fn of<'a>(face: &'a [Spectrum], against: &'a [Spectrum]) -> Disturbances<'static> {
        let fitted = |spots: &'a [Spectrum]| -> Vec<FittedSpot<'a>> {
            spots.iter().map(|s| (s, None)).collect()
        };
        let stretches = Tables::built_in().stretches();
        Disturbances::of(&Element::DIAMOND_45, &fitted(face), &fitted(against), stretches)
            .expect("one axis")
    }

    fn mean_height(limits: (f64, f64), line: (f64, f64)) -> Measure {
        let window = |(low, high)| Window::new(low, high);
        Measure::new(MeasureKind::MeanHeight, window(limits), window(line))
    }

    /// The mean reading of three spots.
    fn read(spots: &[Spectrum], measure: &Measure) -> f64 {
        let one = |s: &Spectrum| weights(s, measure).expect("measured").value(s.absorbances());
        spots.iter().map(one).sum::<f64>() / spots.len() as f64
    }

    /// Water by its three bands, each so many times what a film between bulk and thin has.
    fn water(axis: &[f64], [stretch, bend, libration]: [f64; 3]) -> Vec<f64> {
        let of = shapes::water(axis, &Tables::built_in().stretches().water);
        let at = |i: usize| {
            stretch * of.stretch[i]
                + bend * of.bend[i] / STRETCH_OVER_BEND
                + libration * of.libration[i] / STRETCH_OVER_LIBRATION
        };
        (0..axis.len()).map(at).collect()
    }

    #[test]
    fn what_one_face_carries_is_taken_out_of_a_marker_as_large_as_it_is() {
        let axis = axis(400.0);
        let on_faces = &Tables::built_in().stretches().on_faces;
        let grease = [&on_faces.grease_chain, &on_faces.grease_ester, &on_faces.grease_carbonyl]
            .map(|of| shapes::bands(&axis, of));
        let grease = (0..axis.len()).map(|i| grease.iter().map(|of| of[i]).sum()).collect();
        let drift =
            axis.iter().map(|v| (std::f64::consts::PI * (v - 400.0) / 3600.0).cos()).collect();
        for (kind, shape, height, limits, line) in [
            (
                Kind::Vapour,
                shapes::Vapour::new(&axis, 5.0).values,
                2.0e-2,
                (1690.0, 1760.0),
                (1680.0, 1770.0),
            ),
            (Kind::Water, water(&axis, [1.0; 3]), 2.0e-2, (1610.0, 1670.0), (1590.0, 1690.0)),
            (Kind::Grease, grease, 4.0e-3, (1725.0, 1765.0), (1690.0, 1800.0)),
            (Kind::Drift, drift, 1.0e-2, (1000.0, 1800.0), (900.0, 1900.0)),
        ] {
            let measure = mean_height(limits, line);
            let covered = spots(&axis, &|_| 0.0, 5);
            for sign in [1.0, -1.0] {
                let exposed = spots(&axis, &|i| sign * height * shape[i], 7);
                let built = of(&exposed, &covered);
                let found: Vec<Kind> = built.found().iter().map(|f| f.kind).collect();
                let expected = if kind == Kind::Drift { Vec::new() } else { vec![kind] };
                assert_eq!(found, expected, "{kind:?}");
                let (a, b) = (read(&exposed, &measure), read(&covered, &measure));
                for (scale, truth) in
                    [(ChangeScale::Difference, a - b), (ChangeScale::Ratio, (a / b).ln())]
                {
                    let effect = built.on_marker(&measure, None, scale).expect("measured");
                    // The line under it rests on two points, whose noise the truth holds too.
                    let noise = 2.0e-5 / if scale == ChangeScale::Ratio { b } else { 1.0 };
                    let off = (effect.shift - truth).abs();
                    assert!(
                        off < 0.1 * truth.abs() + noise,
                        "{kind:?} {scale:?}: {truth} {effect:?}"
                    );
                    assert_eq!(effect.main, Some(kind), "{effect:?}");
                    // As sure as its kind is known; of vapour each line adds to it.
                    let known = effect.model_variance.sqrt() / effect.shift.abs();
                    let share = kind.unknown_share();
                    let most = if kind == Kind::Vapour { f64::INFINITY } else { 1.1 };
                    assert!((0.99 * share..most * share).contains(&known), "{kind:?}: {known}");
                }
            }
        }
    }

    #[test]
    fn the_room_that_is_left_for_water_is_what_the_least_of_its_other_bands_tells() {
        let measure = mean_height((3100.0, 3600.0), (2990.0, 3800.0));
        let height = 2.0e-2;
        let room = |low_cm1: f64, shares: [f64; 3]| {
            let axis = axis(low_cm1);
            let (wet, whole) = (water(&axis, shares), water(&axis, [1.0; 3]));
            let covered = spots(&axis, &|_| 0.0, 5);
            let exposed = spots(&axis, &|i| height * wet[i], 7);
            let truth = read(&spots(&axis, &|i| height * whole[i], 5), &measure);
            let effect = of(&exposed, &covered).on_marker(&measure, None, ChangeScale::Difference);
            effect.map(|e| e.fit_variance.sqrt() / (truth - read(&covered, &measure)))
        };
        // How high the stretch itself stands is what is asked.
        for (low_cm1, shares, expected) in [
            (400.0, [1.0, 1.0, 1.0], 1.0),
            (400.0, [0.0, 1.0, 1.0], 1.0),
            (400.0, [1.0, 0.5, 1.0], 0.5),
            (400.0, [1.0, 1.0, 0.5], 0.5),
            // Where the libration was not measured, the bend alone tells.
            (950.0, [1.0, 1.0, 0.5], 1.0),
        ] {
            let found = room(low_cm1, shares).expect("measured");
            assert!((found - expected).abs() < 0.15, "{low_cm1} {shares:?}: {found}");
        }
        assert!(room(400.0, [0.0; 3]).expect("measured") < 0.05);
        let why = room(1750.0, [1.0; 3]).expect_err("nothing beside the stretch");
        assert!(why.starts_with("adsorbed water cannot be ruled out: of "), "{why}");
    }

    #[test]
    fn points_closer_than_lines_need_are_averaged_and_their_noise_with_them() {
        // Evenly spread over 4·10⁻⁵: a standard deviation of that over √12.
        let one = 4.0e-5 / 12.0_f64.sqrt();
        for (per_cm1, together) in [(4.0, 6.0), (2.0, 3.0), (0.5, 1.0)] {
            let count = (3600.0 * per_cm1) as u32 + 1;
            let axis: Vec<f64> = (0..count).map(|i| 400.0 + f64::from(i) / per_cm1).collect();
            let (three, six) = (spots(&axis, &|_| 0.0, 5), {
                let mut six = spots(&axis, &|_| 0.0, 7);
                six.extend(spots(&axis, &|_| 0.0, 9));
                six
            });
            let built = of(&three, &six);
            let expected = f64::from(count) / together;
            assert!((built.axis.len() as f64 - expected).abs() <= 1.0, "{}", built.axis.len());
            // The mean of a face has 1/n of the variance of one spot; where there is no band noise is all there is.
            let noise = one * (1.0_f64 / 3.0 + 1.0 / 6.0).sqrt() / together.sqrt();
            let least = built.deviations.iter().copied().fold(f64::INFINITY, f64::min);
            assert!((least / noise - 1.0).abs() < 0.2, "{per_cm1}: {least} for {noise}");
        }
    }
}
