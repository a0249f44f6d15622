//! Makes measured shapes from labelled spectra: spectra of one label that look alike are averaged.
//!
//! Nothing is drawn by chance: the same spectra in any order give the same shapes.

use std::collections::BTreeMap;

use super::shape_grid::Slope;
use super::shapes::correlation;
use crate::spectrum::zones::{FEW_BANDS_CM1, Zone};
use crate::tables::{MeasuredBy, SHAPE_POINTS, Shape, ShapeOrigin, Sourcing, shape_wavenumber_cm1};

/// Spectra whose first derivatives correlate better than this are one look of a material: repeats of one
/// piece reach 0.98, pieces of one polymer 0.9, look-alikes of other polymers 0.8 (own reading of 441
/// measured spectra).
const SAME_LOOK: f64 = 0.90;

/// Most shapes of one label.
const MOST_SHAPES: usize = 5;

/// Shapes stand for a label where they cover one in so many of its spectra.
const LEAST_COVERED_PART: usize = 2;

/// Fewer spectra than this make no shape, unless they were computed from optical constants.
pub const LEAST_AVERAGED: usize = 3;

/// Where the strongest band is looked for, in cm⁻¹: elements end below, and bands between are few and unsure.
const STRONGEST_CM1: [Zone; 2] = [(500.0, FEW_BANDS_CM1.0), (FEW_BANDS_CM1.1, 3700.0)];

/// One labelled curve.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct LabelledCurve {
    /// Its file: orders the curves.
    pub file: String,
    /// Ids of the materials that it may be: one, or several that are not told apart.
    pub materials: Vec<String>,
    /// The data set or laboratory that it comes from.
    pub laboratory: String,
    /// How it was measured.
    pub mode: MeasuredBy,
    /// What it was made from.
    pub made_from: ShapeOrigin,
    /// Licence of the data.
    pub licence: String,
    /// Where it comes from.
    pub sourcing: Sourcing,
    /// Absorbance above the baseline on the grid of shapes; `NaN` where not measured.
    pub curve: Vec<f64>,
}

struct Group<'a> {
    members: Vec<&'a LabelledCurve>,
    /// Sum and number of the members' curves at each point.
    sums: Vec<(f64, usize)>,
    /// Sum and number of their steps from each point to the next.
    steps: Vec<(f64, usize)>,
    slope: Slope,
}

impl<'a> Group<'a> {
    fn of(first: &'a LabelledCurve, curve: &[f64]) -> Self {
        let mut group = Self {
            members: Vec::new(),
            sums: vec![(0.0, 0); SHAPE_POINTS],
            steps: vec![(0.0, 0); SHAPE_POINTS - 1],
            slope: Slope::of(curve),
        };
        group.add(first, curve);
        group
    }

    fn add(&mut self, member: &'a LabelledCurve, curve: &[f64]) {
        add_finite(&mut self.sums, curve.iter().copied());
        add_finite(&mut self.steps, curve.windows(2).map(|pair| pair[1] - pair[0]));
        self.members.push(member);
        self.slope = Slope::of(&self.mean());
    }

    /// Returns the mean of the members where at least half of them were measured. Beyond, where a part of them ends, it
    /// is carried on by the mean step of those that go on, three at least: a mean of fewer would jump there.
    fn mean(&self) -> Vec<f64> {
        let mean_of = |at: Option<&(f64, usize)>, least: usize| {
            let (sum, count) = at?;
            (*count >= least).then(|| sum / *count as f64)
        };
        let half = self.members.len().div_ceil(2);
        let mut means: Vec<f64> =
            self.sums.iter().map(|at| mean_of(Some(at), half).unwrap_or(f64::NAN)).collect();
        let go_on = LEAST_AVERAGED.min(half);
        let step = |from: usize| mean_of(self.steps.get(from), go_on);
        let Some(first) = means.iter().position(|mean| mean.is_finite()) else { return means };
        let last = means.iter().rposition(|mean| mean.is_finite()).unwrap_or(first);
        for at in (0..first).rev() {
            let Some(step) = step(at) else { break };
            means[at] = means[at + 1] - step;
        }
        for at in last..means.len().saturating_sub(1) {
            let Some(step) = step(at) else { break };
            means[at + 1] = means[at] + step;
        }
        means
    }

    /// Returns the group where it may be kept: with three spectra, or else what of it was computed from
    /// optical constants, which anybody may pass on.
    fn allowed(self) -> Option<Self> {
        if self.members.len() >= LEAST_AVERAGED {
            return Some(self);
        }
        let mut computed = self.members.into_iter().filter_map(|member| {
            let free = member.made_from == ShapeOrigin::OpticalConstants;
            free.then(|| scaled(&member.curve)).flatten().map(|curve| (member, curve))
        });
        let (first, curve) = computed.next()?;
        let mut group = Self::of(first, &curve);
        for (member, curve) in computed {
            group.add(member, &curve);
        }
        Some(group)
    }
}

/// Adds what is a number to sum and number at its place.
fn add_finite(sums: &mut [(f64, usize)], values: impl Iterator<Item = f64>) {
    for ((sum, count), value) in sums.iter_mut().zip(values) {
        if value.is_finite() {
            *sum += value;
            *count += 1;
        }
    }
}

/// Groups the curves of each label by their looks, and returns a mean curve for each group of at least
/// three: at most five for a label, the largest group first.
#[must_use]
pub fn make_shapes(curves: &[LabelledCurve]) -> Vec<Shape> {
    let mut labels: BTreeMap<(Vec<String>, MeasuredBy), Vec<&LabelledCurve>> = BTreeMap::new();
    for curve in curves {
        labels.entry((curve.materials.clone(), curve.mode)).or_default().push(curve);
    }
    let mut shapes = Vec::new();
    let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
    for ((materials, mode), mut members) in labels {
        members.sort_by(|a, b| (&a.laboratory, &a.file).cmp(&(&b.laboratory, &b.file)));
        let all = members.len();
        let mut groups: Vec<Group<'_>> = Vec::new();
        for member in members {
            let Some(curve) = scaled(&member.curve) else { continue };
            let slope = Slope::of(&curve);
            let alike = groups
                .iter_mut()
                .filter_map(|group| Some((correlation(&group.slope, &slope)?, group)))
                .filter(|(similarity, _)| *similarity > SAME_LOOK)
                .max_by(|a, b| a.0.total_cmp(&b.0));
            match alike {
                Some((_, group)) => group.add(member, &curve),
                None => groups.push(Group::of(member, &curve)),
            }
        }
        let mut groups: Vec<Group<'_>> = groups.into_iter().filter_map(Group::allowed).collect();
        // Stable: groups of one size stay in the order of their first members.
        groups.sort_by_key(|group| std::cmp::Reverse(group.members.len()));
        groups.truncate(MOST_SHAPES);
        // Shapes that most of a material's spectra do not have would speak against the material itself.
        let covered: usize = groups.iter().map(|group| group.members.len()).sum();
        if LEAST_COVERED_PART * covered < all {
            continue;
        }
        for group in &groups {
            let Some(absorbances) = scaled(&group.mean()) else { continue };
            let first = materials.first().cloned().unwrap_or_default();
            let number = numbers.entry(first.clone()).or_default();
            *number += 1;
            shapes.push(shape(format!("{first}-{number}"), &materials, mode, group, absorbances));
        }
    }
    shapes
}

fn shape(
    id: String,
    materials: &[String],
    mode: MeasuredBy,
    group: &Group<'_>,
    absorbances: Vec<f64>,
) -> Shape {
    let distinct = |text: fn(&LabelledCurve) -> &String| -> Vec<String> {
        let mut all: Vec<String> = group.members.iter().map(|m| text(m).clone()).collect();
        all.sort();
        all.dedup();
        all
    };
    let computed = group.members.iter().all(|m| m.made_from == ShapeOrigin::OpticalConstants);
    let lead = group.members.iter().map(|member| &member.sourcing).next();
    Shape {
        id,
        materials: materials.to_vec(),
        spectra: group.members.len(),
        laboratories: distinct(|member| &member.laboratory),
        mode,
        made_from: if computed { ShapeOrigin::OpticalConstants } else { ShapeOrigin::Spectra },
        licence: distinct(|member| &member.licence).join("; "),
        sourcing: Sourcing {
            source: distinct(|member| &member.sourcing.source).join("; "),
            ..lead.cloned().unwrap_or_else(unsourced)
        },
        absorbances,
    }
}

/// No group is without members; said for the type alone.
fn unsourced() -> Sourcing {
    use crate::tables::{SourceClass, Status};
    Sourcing { source: String::new(), class: SourceClass::SecondaryCopy, status: Status::Memory }
}

/// Scales a curve so that its strongest point is 1; nothing where no band stands.
fn scaled(curve: &[f64]) -> Option<Vec<f64>> {
    let strongest = curve
        .iter()
        .enumerate()
        .filter(|(point, value)| {
            let wavenumber = shape_wavenumber_cm1(*point);
            let counts =
                STRONGEST_CM1.iter().any(|(low, high)| (*low..*high).contains(&wavenumber));
            counts && value.is_finite()
        })
        .map(|(_, value)| *value)
        .fold(0.0, f64::max);
    if strongest <= 0.0 {
        return None;
    }
    // What stands higher outside lies at the edge of an element or in carbon dioxide: cut, not kept.
    let cut = |value: &f64| if value.is_finite() { (value / strongest).min(1.0) } else { f64::NAN };
    Some(curve.iter().map(cut).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::{SourceClass, Status};

    /// One label's curve: bands on a level of its own, measured from here to there.
    fn labelled(number: usize, level: f64, (from_cm1, until_cm1): (f64, f64)) -> LabelledCurve {
        let bands = [
            (560.0, 0.3, 15.0),
            (1000.0, 1.0, 12.0),
            (1450.0, 0.6, 12.0),
            (2900.0, 0.4, 20.0),
            (3300.0, 0.3, 20.0),
        ];
        let curve = (0..SHAPE_POINTS).map(shape_wavenumber_cm1).map(|x| {
            let sum: f64 = bands.iter().map(|(at, h, w)| h * (-((x - at) / w).powi(2)).exp()).sum();
            if x < from_cm1 || x > until_cm1 { f64::NAN } else { sum + level }
        });
        LabelledCurve {
            file: format!("{number}.csv"),
            materials: vec!["PP".to_owned()],
            laboratory: format!("{from_cm1}"),
            mode: MeasuredBy::Atr,
            made_from: ShapeOrigin::Spectra,
            licence: "CC0".to_owned(),
            sourcing: Sourcing {
                source: "made here".to_owned(),
                class: SourceClass::MeasuredData,
                status: Status::Computed,
            },
            curve: curve.collect(),
        }
    }

    #[test]
    fn a_shape_goes_on_where_most_of_its_spectra_end_and_does_not_jump_there() {
        // Three reach down to 452 on a higher level, five to 652 only: a mean of the three alone would jump at 652.
        let of = |whole: usize| -> Vec<f64> {
            let curves: Vec<LabelledCurve> = (0..whole + 5)
                .map(|i| match i < whole {
                    true => labelled(i, 0.10, (452.0, 4000.0)),
                    false => labelled(i, 0.0, (652.0, 4000.0)),
                })
                .collect();
            let shapes = make_shapes(&curves);
            assert_eq!(shapes.len(), 1);
            shapes[0].absorbances.clone()
        };
        let at = |cm1: f64| {
            (0..SHAPE_POINTS).find(|i| shape_wavenumber_cm1(*i) == cm1).expect("on the grid")
        };
        let three = of(3);
        assert!((three[at(648.0)] - three[at(652.0)]).abs() < 1.0e-3, "{}", three[at(648.0)]);
        let band = three[at(560.0)] - three[at(648.0)];
        // Of the three alone, each scaled to its strongest, 1 above its level of 0.10.
        assert!((band - 0.3 / 1.1).abs() < 1.0e-3, "{band}");
        assert!(three[at(448.0)].is_nan());
        // Two are too few to go on.
        assert!(of(2)[at(648.0)].is_nan());
    }

    #[test]
    fn a_shape_goes_on_above_where_most_of_its_spectra_end_there() {
        // Three reach up to 3800 on a higher level, five to 3200 only.
        let curves: Vec<LabelledCurve> = (0..8)
            .map(|i| match i < 3 {
                true => labelled(i, 0.10, (452.0, 3800.0)),
                false => labelled(i, 0.0, (452.0, 3200.0)),
            })
            .collect();
        let shapes = make_shapes(&curves);
        assert_eq!(shapes.len(), 1);
        let at = |cm1: f64| {
            let point = (0..SHAPE_POINTS).find(|i| shape_wavenumber_cm1(*i) == cm1);
            shapes[0].absorbances[point.expect("on the grid")]
        };
        assert!((at(3204.0) - at(3200.0)).abs() < 1.0e-3, "{}", at(3204.0));
        let band = at(3300.0) - at(3204.0);
        assert!((band - 0.3 / 1.1).abs() < 1.0e-3, "{band}");
        assert!(at(3804.0).is_nan());
    }
}
