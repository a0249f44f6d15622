//! A second line of evidence: how a whole curve resembles the measured shapes of the table, one by one
//! and as a sum of up to three.
//!
//! First derivatives are compared by their correlation, so that neither the height of the ordinate nor a
//! lifted or sloping baseline counts. No band of the table is looked at.

use std::borrow::Cow;

use super::shape_grid::Slope;
use crate::tables::Shape;

/// Fewer common points than this (600 cm⁻¹) are no comparison.
const LEAST_COMMON: usize = 150;

/// A shape takes part in a sum where it knows this share of what the spectrum measured.
const LEAST_COVERED: f64 = 0.9;

/// Most shapes of a sum.
const MOST_SUMMED: usize = 3;

/// A further shape must explain this much more of the spectrum's derivative.
const LEAST_GAIN: f64 = 0.02;

/// And it must stand this high in units of the spectrum's own length.
const LEAST_WEIGHT: f64 = 0.1;

/// The shapes of a table, made ready once.
#[derive(Clone, Debug, Default)]
pub struct ShapeLibrary {
    slopes: Vec<Slope>,
    /// Each slope that is known everywhere, less its mean and at unit length.
    centred: Vec<Option<Vec<f64>>>,
    materials: Vec<Vec<String>>,
}

/// One shape of a sum.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Summand {
    /// Index among the table's shapes.
    pub shape: usize,
    /// Its share of the length of the spectrum's derivative.
    pub weight: f64,
}

/// How a spectrum resembles the shapes of a table.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Resembles {
    /// For each shape the correlation of the first derivatives, at most 1; `None` where too little was
    /// measured of both.
    pub similarity: Vec<Option<f64>>,
    /// The shapes whose sum explains the spectrum, in the order in which they were added.
    pub sum: Vec<Summand>,
    /// Share of the spectrum's derivative, squared, that the sum explains.
    pub explained: f64,
}

impl ShapeLibrary {
    /// Makes shapes ready.
    #[must_use]
    pub fn new(shapes: &[Shape]) -> Self {
        let slopes: Vec<Slope> = shapes.iter().map(|shape| Slope::of(&shape.absorbances)).collect();
        let whole = |slope: &Slope| slope.is_whole().then(|| centred(slope, slope)).flatten();
        Self {
            centred: slopes.iter().map(whole).collect(),
            slopes,
            materials: shapes.iter().map(|shape| shape.materials.clone()).collect(),
        }
    }

    /// Returns how a curve on the grid of shapes resembles each of them, and which sum explains it.
    #[must_use]
    pub fn compare(&self, curve: &[f64]) -> Resembles {
        let unknown = Slope::of(curve);
        let enough = unknown.count >= LEAST_COMMON;
        let Some(target) = enough.then(|| centred(&unknown, &unknown)).flatten() else {
            return Resembles { similarity: vec![None; self.slopes.len()], ..Resembles::default() };
        };
        let mut columns = Vec::with_capacity(self.slopes.len());
        let mut similarity = Vec::with_capacity(self.slopes.len());
        for (index, slope) in self.slopes.iter().enumerate() {
            let common = common(slope, &unknown);
            let column = (common as f64 >= LEAST_COVERED * unknown.count as f64)
                .then(|| self.column(index, &unknown))
                .flatten();
            let onto = column.as_ref().map(|column| dot(column, &target));
            // Over all that the spectrum knows the product of the two is their correlation.
            similarity.push(if common == unknown.count {
                onto.map(|onto| onto.clamp(-1.0, 1.0))
            } else {
                correlation(slope, &unknown)
            });
            columns.extend(column.zip(onto).map(|(values, onto)| Column {
                shape: index,
                values,
                onto,
            }));
        }
        let (sum, explained) = self.sum(&columns);
        Resembles { similarity, sum, explained }
    }

    /// Returns a slope over what the spectrum knows, less its mean and at unit length.
    fn column(&self, index: usize, unknown: &Slope) -> Option<Cow<'_, [f64]>> {
        let ready = self.centred[index].as_deref().filter(|_| unknown.is_whole());
        ready.map(Cow::Borrowed).or_else(|| centred(&self.slopes[index], unknown).map(Cow::Owned))
    }

    /// Adds shapes while each explains enough more, weights kept at or above zero.
    fn sum(&self, columns: &[Column<'_>]) -> (Vec<Summand>, f64) {
        let onto: Vec<f64> = columns.iter().map(|column| column.onto).collect();
        let mut chosen: Vec<usize> = Vec::new();
        let mut weights: Vec<f64> = Vec::new();
        let mut explained = 0.0;
        // Products of every column with those chosen so far: never more than two lists of them.
        let mut products: Vec<Vec<f64>> = Vec::new();
        while chosen.len() < MOST_SUMMED {
            let taken = |at: usize| {
                chosen.iter().any(|other| {
                    self.materials[columns[*other].shape] == self.materials[columns[at].shape]
                })
            };
            let best = (0..columns.len())
                .filter(|at| !taken(*at))
                .filter_map(|at| {
                    let mut members = chosen.clone();
                    members.push(at);
                    let (weights, explained) = with_products(&members, &onto, &products)?;
                    Some((at, weights, explained))
                })
                .max_by(|a, b| a.2.total_cmp(&b.2).then(b.0.cmp(&a.0)));
            let Some((at, found, now)) = best else { break };
            let too_little = now - explained < LEAST_GAIN
                || found.last().is_none_or(|weight| *weight < LEAST_WEIGHT);
            if !chosen.is_empty() && too_little {
                break;
            }
            chosen.push(at);
            (weights, explained) = (found, now);
            if chosen.len() < MOST_SUMMED {
                products.push(
                    columns.iter().map(|column| dot(&column.values, &columns[at].values)).collect(),
                );
            }
        }
        let summands = chosen
            .iter()
            .zip(&weights)
            .filter(|(_, weight)| **weight > 0.0)
            .map(|(at, weight)| Summand { shape: columns[*at].shape, weight: *weight })
            .collect();
        (summands, explained)
    }
}

/// Solves for the weights of these columns: `onto` holds each column's product with the target, `products` those
/// of every column with each member but the last.
fn with_products(
    members: &[usize],
    onto: &[f64],
    products: &[Vec<f64>],
) -> Option<(Vec<f64>, f64)> {
    let gram = |i: usize, j: usize| match (i == j, i.min(j)) {
        (true, _) => 1.0,
        (false, first) => products[first][members[i.max(j)]],
    };
    let right: Vec<f64> = members.iter().map(|member| onto[*member]).collect();
    non_negative(&right, gram)
}

/// Solves for weights at or above zero of up to three columns of unit length, and returns them with the
/// share explained. Every set of columns that may be above zero is tried: there are seven at most.
fn non_negative(right: &[f64], gram: impl Fn(usize, usize) -> f64) -> Option<(Vec<f64>, f64)> {
    let mut best: Option<(Vec<f64>, f64)> = None;
    for set in 1_usize..1 << right.len() {
        let members: Vec<usize> = (0..right.len()).filter(|i| set & (1 << i) != 0).collect();
        let Some(solved) = solve(&members, right, &gram) else { continue };
        if solved.iter().any(|weight| *weight < 0.0) {
            continue;
        }
        let explained: f64 = members.iter().zip(&solved).map(|(i, w)| right[*i] * w).sum();
        if best.as_ref().is_none_or(|(_, other)| explained > *other) {
            let mut weights = vec![0.0; right.len()];
            for (member, weight) in members.iter().zip(solved) {
                weights[*member] = weight;
            }
            best = Some((weights, explained));
        }
    }
    best
}

/// Solves the normal equations of up to three columns by Cholesky's method.
fn solve(
    members: &[usize],
    right: &[f64],
    gram: &impl Fn(usize, usize) -> f64,
) -> Option<Vec<f64>> {
    /// Columns nearer to a sum of the others than this are the same shape twice.
    const LEAST_PIVOT: f64 = 1.0e-6;
    let n = members.len();
    let mut lower = [[0.0; MOST_SUMMED + 1]; MOST_SUMMED + 1];
    for i in 0..n {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let left = gram(members[i], members[j]) - known;
            lower[i][j] = if i == j {
                if left < LEAST_PIVOT {
                    return None;
                }
                left.sqrt()
            } else {
                left / lower[j][j]
            };
        }
    }
    let mut forward = [0.0; MOST_SUMMED + 1];
    for i in 0..n {
        let known: f64 = (0..i).map(|k| lower[i][k] * forward[k]).sum();
        forward[i] = (right[members[i]] - known) / lower[i][i];
    }
    let mut weights = vec![0.0; n];
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| lower[k][i] * weights[k]).sum();
        weights[i] = (forward[i] - known) / lower[i][i];
    }
    Some(weights)
}

fn common(slope: &Slope, unknown: &Slope) -> usize {
    if slope.is_whole() {
        return unknown.count;
    }
    // Ones and zeros: exact.
    dot(&slope.known, &unknown.known) as usize
}

/// A shape that may take part in a sum.
struct Column<'a> {
    /// Index among the table's shapes.
    shape: usize,
    values: Cow<'a, [f64]>,
    /// Its product with the spectrum.
    onto: f64,
}

/// Returns the values at the points that both know, less their mean, at unit length, and zero elsewhere; nothing
/// where all are the same.
fn centred(slope: &Slope, unknown: &Slope) -> Option<Vec<f64>> {
    let count = common(slope, unknown).max(1) as f64;
    let mean = dot(&slope.values, &unknown.known) / count;
    let mut values: Vec<f64> = slope
        .values
        .iter()
        .zip(&slope.known)
        .zip(&unknown.known)
        .map(|((value, ours), theirs)| (value - mean) * ours * theirs)
        .collect();
    let length = dot(&values, &values).sqrt();
    if length <= 0.0 {
        return None;
    }
    for value in &mut values {
        *value /= length;
    }
    Some(values)
}

/// Returns the correlation over what both know; nothing where that is too little.
pub(super) fn correlation(slope: &Slope, unknown: &Slope) -> Option<f64> {
    let common = common(slope, unknown);
    if common < LEAST_COMMON {
        return None;
    }
    // Where one is not known its value is zero, so that products need no mask.
    let (a, b) = (dot(&slope.values, &unknown.known), dot(&unknown.values, &slope.known));
    let (mut aa, mut bb) = (0.0, 0.0);
    for ((x, ours), (y, theirs)) in
        slope.values.iter().zip(&slope.known).zip(unknown.values.iter().zip(&unknown.known))
    {
        aa += x * x * theirs;
        bb += y * y * ours;
    }
    let ab = dot(&slope.values, &unknown.values);
    let n = common as f64;
    let length = ((aa - a * a / n) * (bb - b * b / n)).sqrt();
    (length > 0.0).then(|| ((ab - a * b / n) / length).clamp(-1.0, 1.0))
}

/// Sums products over several lanes, so that none waits for the one before it.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    const LANES: usize = 8;
    let mut sums = [0.0; LANES];
    let (a_chunks, b_chunks) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let rest: f64 = a_chunks.remainder().iter().zip(b_chunks.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in a_chunks.zip(b_chunks) {
        for ((sum, x), y) in sums.iter_mut().zip(x).zip(y) {
            *sum += x * y;
        }
    }
    sums.iter().sum::<f64>() + rest
}

#[cfg(test)]
mod tests {
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    use super::*;
    use crate::tables::{
        MeasuredBy, SHAPE_POINTS, ShapeOrigin, SourceClass, Sourcing, Status, shape_wavenumber_cm1,
    };

    fn shape(id: &str, absorbances: Vec<f64>) -> Shape {
        Shape {
            id: id.to_owned(),
            materials: vec![id.to_owned()],
            spectra: 3,
            laboratories: vec!["invented".to_owned()],
            mode: MeasuredBy::Atr,
            made_from: ShapeOrigin::Spectra,
            licence: "CC0".to_owned(),
            sourcing: Sourcing {
                source: "made for a test".to_owned(),
                class: SourceClass::MeasuredData,
                status: Status::Computed,
            },
            absorbances,
        }
    }

    /// Bands at random places, from 500 cm⁻¹ on.
    fn curve(random: &mut ChaCha8Rng) -> Vec<f64> {
        let bands: Vec<(f64, f64, f64)> = (0..12)
            .map(|_| {
                let at = random.random_range(500.0..3600.0);
                (at, random.random_range(0.1..1.0), random.random_range(8.0..30.0))
            })
            .collect();
        (0..SHAPE_POINTS)
            .map(|point| {
                let wavenumber = shape_wavenumber_cm1(point);
                if wavenumber < 452.0 {
                    return f64::NAN;
                }
                let band = |(at, height, half): &(f64, f64, f64)| {
                    height / (1.0 + ((wavenumber - at) / half).powi(2))
                };
                bands.iter().map(band).sum()
            })
            .collect()
    }

    /// The derivative where shapes are compared, by the words of the module alone: a triangle over five points,
    /// half the difference of the neighbours, 650 to 1850 and 2700 to 3600 cm⁻¹; mean zero, length 1.
    fn plain_slope(curve: &[f64]) -> Vec<f64> {
        let smooth = |i: usize| {
            (curve[i - 2] + 2.0 * curve[i - 1] + 3.0 * curve[i] + 2.0 * curve[i + 1] + curve[i + 2])
                / 9.0
        };
        let mut values = Vec::new();
        for i in 3..SHAPE_POINTS - 3 {
            let v = shape_wavenumber_cm1(i);
            if (650.0..1850.0).contains(&v) || (2700.0..3600.0).contains(&v) {
                values.push((smooth(i + 1) - smooth(i - 1)) / 2.0);
            }
        }
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let length = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>().sqrt();
        values.iter().map(|v| (v - mean) / length).collect()
    }

    fn product(a: &[f64], b: &[f64]) -> f64 {
        a.iter().zip(b).map(|(x, y)| x * y).sum()
    }

    /// Weights at or above zero by coordinate descent: slow, and without a matrix.
    fn plain_weights(columns: &[&Vec<f64>], target: &[f64]) -> (Vec<f64>, f64) {
        let mut weights = vec![0.0; columns.len()];
        let mut left = target.to_vec();
        for _ in 0..4000 {
            for (weight, column) in weights.iter_mut().zip(columns) {
                let better: f64 = (*weight + product(column, &left)).max(0.0);
                for (rest, value) in left.iter_mut().zip(column.iter()) {
                    *rest += (*weight - better) * value;
                }
                *weight = better;
            }
        }
        let explained = 1.0 - product(&left, &left);
        (weights, explained)
    }

    #[test]
    fn similarity_is_pearsons_correlation_of_the_slopes() {
        let mut random = ChaCha8Rng::seed_from_u64(4);
        let curves: Vec<Vec<f64>> = (0..6).map(|_| curve(&mut random)).collect();
        let shapes: Vec<Shape> =
            curves.iter().enumerate().map(|(i, c)| shape(&format!("s{i}"), c.clone())).collect();
        let unknown = curve(&mut random);
        let found = ShapeLibrary::new(&shapes).compare(&unknown);
        for (known, similarity) in curves.iter().zip(found.similarity) {
            let plain = product(&plain_slope(known), &plain_slope(&unknown));
            assert!((similarity.expect("compared") - plain).abs() < 1.0e-12, "{plain}");
        }
        // Neither the height nor a sloping level counts.
        let lifted: Vec<f64> =
            unknown.iter().enumerate().map(|(i, v)| 0.3 * v + 0.2 + 1.0e-4 * i as f64).collect();
        let again = ShapeLibrary::new(&shapes).compare(&lifted);
        let same = ShapeLibrary::new(&shapes).compare(&unknown);
        for (a, b) in again.similarity.iter().zip(&same.similarity) {
            assert!((a.expect("compared") - b.expect("compared")).abs() < 1.0e-9);
        }
    }

    #[test]
    fn sums_are_those_of_a_plain_search() {
        let mut random = ChaCha8Rng::seed_from_u64(9);
        for trial in 0..12 {
            let curves: Vec<Vec<f64>> = (0..7).map(|_| curve(&mut random)).collect();
            let shapes: Vec<Shape> = curves
                .iter()
                .enumerate()
                .map(|(i, c)| shape(&format!("s{i}"), c.clone()))
                .collect();
            let parts: [f64; 3] =
                [1.0, random.random_range(0.0..1.0), random.random_range(0.0..0.5)];
            let unknown: Vec<f64> = (0..SHAPE_POINTS)
                .map(|i| (0..3).map(|part| parts[part] * curves[part][i]).sum())
                .collect();
            let found = ShapeLibrary::new(&shapes).compare(&unknown);

            let slopes: Vec<Vec<f64>> = curves.iter().map(|c| plain_slope(c)).collect();
            let target = plain_slope(&unknown);
            let mut chosen: Vec<usize> = Vec::new();
            let (mut weights, mut explained) = (Vec::new(), 0.0);
            while chosen.len() < MOST_SUMMED {
                let tried = (0..slopes.len()).filter(|at| !chosen.contains(at)).map(|at| {
                    let with: Vec<usize> = chosen.iter().copied().chain([at]).collect();
                    let columns: Vec<&Vec<f64>> = with.iter().map(|i| &slopes[*i]).collect();
                    (at, plain_weights(&columns, &target))
                });
                let best = tried.max_by(|a, b| a.1.1.total_cmp(&b.1.1)).expect("a shape");
                let (at, (with, now)) = best;
                let last = *with.last().expect("a weight");
                if !chosen.is_empty() && (now - explained < LEAST_GAIN || last < LEAST_WEIGHT) {
                    break;
                }
                chosen.push(at);
                (weights, explained) = (with, now);
            }
            let kept: Vec<(usize, f64)> =
                chosen.iter().copied().zip(weights).filter(|(_, weight)| *weight > 0.0).collect();
            assert_eq!(
                found.sum.iter().map(|s| s.shape).collect::<Vec<_>>(),
                kept.iter().map(|(at, _)| *at).collect::<Vec<_>>(),
                "{trial}"
            );
            assert!((found.explained - explained).abs() < 1.0e-6, "{trial}: {explained}");
            for (summand, (_, weight)) in found.sum.iter().zip(&kept) {
                assert!((summand.weight - weight).abs() < 1.0e-5, "{trial}: {weight}");
            }
        }
    }

    #[test]
    fn what_was_not_measured_is_not_compared() {
        let mut random = ChaCha8Rng::seed_from_u64(1);
        let whole = curve(&mut random);
        let library = ShapeLibrary::new(&[shape("s", whole.clone())]);
        let cut = |keep: std::ops::Range<f64>| -> Vec<f64> {
            let value = |(i, v): (usize, &f64)| {
                if keep.contains(&shape_wavenumber_cm1(i)) { *v } else { f64::NAN }
            };
            whole.iter().enumerate().map(value).collect()
        };
        let enough = library.compare(&cut(1000.0..1800.0));
        assert!(enough.similarity[0].is_some_and(|s| s > 1.0 - 1.0e-9));
        let too_little = library.compare(&cut(1000.0..1500.0));
        assert_eq!((too_little.similarity, too_little.sum), (vec![None], Vec::new()));
    }

    #[test]
    fn similarity_is_the_same_however_much_either_knows() {
        let mut random = ChaCha8Rng::seed_from_u64(6);
        let mut cut = |low: f64, high: f64| -> Vec<f64> {
            let inside = |i: usize| (low..high).contains(&shape_wavenumber_cm1(i));
            let values = curve(&mut random).into_iter().enumerate();
            values.map(|(i, v)| if inside(i) { v } else { f64::NAN }).collect()
        };
        let ranges = [(500.0, 4000.0), (640.0, 3200.0), (900.0, 4000.0), (700.0, 1850.0)];
        let shapes = ranges.map(|(low, high)| shape("s", cut(low, high)));
        let library = ShapeLibrary::new(&shapes);
        for (low, high) in ranges {
            let unknown = cut(low, high);
            let found = library.compare(&unknown).similarity;
            for (shape, found) in shapes.iter().zip(found) {
                // The reference implementation: five sums over what both know.
                let plain = correlation(&Slope::of(&shape.absorbances), &Slope::of(&unknown));
                let same = found.zip(plain).is_some_and(|(a, b)| (a - b).abs() < 1.0e-12);
                assert!(same, "{low} to {high}: {found:?} {plain:?}");
            }
        }
    }
}
