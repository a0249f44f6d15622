//! What the whole curve says of a name that the bands suggest: the second line of evidence.

use super::outcome::{ShapeEvidence, ShapeShare};
use crate::matching::Resembles;
use crate::tables::Shape;

/// From this correlation on a curve is like a shape's. With data sets left out in turn, most spectra of a
/// material with a shape lie above it; a bitumen reached 0.82 against polypropylene (own reading).
pub(crate) const ALIKE: f64 = 0.80;

/// A sum of shapes accounts for a spectrum from this share on: what one shape at [`ALIKE`] explains.
const ACCOUNTED: f64 = ALIKE * ALIKE;

/// A shape of a sum counts as seen from this weight on, a quarter of the derivative's length.
const LEAST_WEIGHT: f64 = 0.25;

/// A shape that leads all others by this much resembles the spectrum, though not well: specimens of other
/// laboratories with a filler or a coarse grid do.
const CLEAR_LEAD: f64 = 0.15;

/// And it must resemble it at least so far.
const LEAST_LEADING: f64 = 0.5;

/// What the shapes say of a material.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Support {
    /// Its shapes are known, and the spectrum has another.
    Against,
    /// The table holds no shape of it, or too little of the spectrum was measured.
    Unknown,
    /// The same, but the evidence of its class is there and its own rules say yes.
    Vouched,
    /// No shape accounts for the spectrum, but its own is nearer than any other.
    Nearest,
    /// Its shape accounts for the spectrum, alone or as part of a sum.
    Affirmed,
}

/// The shapes that a spectrum resembles.
#[derive(Debug)]
pub(super) struct Likeness<'a> {
    resembles: Resembles,
    shapes: &'a [Shape],
}

impl<'a> Likeness<'a> {
    pub(super) const fn new(resembles: Resembles, shapes: &'a [Shape]) -> Self {
        Self { resembles, shapes }
    }

    /// Returns the best similarity among shapes of these materials; nothing where none could be compared.
    pub(super) fn similarity(&self, ids: &[&str]) -> Option<f64> {
        self.compared().filter(|(shape, _)| stands_for(shape, ids)).map(|(_, s)| s).reduce(f64::max)
    }

    /// Returns the best similarity among shapes of other materials than these two lists.
    fn best_other(&self, ids: &[&str], additives: &[&str]) -> f64 {
        let others = self
            .compared()
            .filter(|(shape, _)| !stands_for(shape, ids) && !stands_for(shape, additives));
        others.map(|(_, similarity)| similarity).fold(0.0, f64::max)
    }

    fn compared(&self) -> impl Iterator<Item = (&'a Shape, f64)> {
        let pairs = self.shapes.iter().zip(&self.resembles.similarity);
        pairs.filter_map(|(shape, similarity)| Some((shape, (*similarity)?)))
    }

    /// Returns the shape that the spectrum resembles best, with the similarity.
    pub(super) fn best(&self) -> Option<(&'a Shape, f64)> {
        self.compared().max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Returns the shapes of the sum that accounts for the spectrum, heaviest first; none where no sum does.
    pub(super) fn seen(&self) -> Vec<(&'a Shape, f64)> {
        if self.resembles.explained < ACCOUNTED {
            return Vec::new();
        }
        let mut seen: Vec<(&Shape, f64)> = self
            .resembles
            .sum
            .iter()
            .filter(|summand| summand.weight >= LEAST_WEIGHT)
            .filter_map(|summand| Some((self.shapes.get(summand.shape)?, summand.weight)))
            .collect();
        seen.sort_by(|a, b| b.1.total_cmp(&a.1));
        seen
    }

    /// Returns what is shown of it beside the answer.
    pub(super) fn evidence(&self) -> Option<ShapeEvidence> {
        let (best, similarity) = self.best()?;
        let share = |(shape, weight): (&Shape, f64)| ShapeShare {
            shape: shape.id.clone(),
            materials: shape.materials.clone(),
            weight,
        };
        Some(ShapeEvidence {
            shape: best.id.clone(),
            materials: best.materials.clone(),
            similarity,
            sum: self.seen().into_iter().map(share).collect(),
        })
    }

    /// Returns whether some shape, alone, is the spectrum's.
    pub(super) fn is_alike(&self) -> bool {
        self.best().is_some_and(|(_, similarity)| similarity >= ALIKE)
    }

    /// Returns whether a shape of these materials is part of the sum that accounts for the spectrum.
    pub(super) fn is_seen(&self, ids: &[&str]) -> bool {
        self.seen().iter().any(|(shape, _)| stands_for(shape, ids))
    }

    /// Returns what the shapes say of a material beside others: whether its own is part of the sum.
    pub(super) fn of_a_part(&self, id: &str) -> Support {
        match self.similarity(&[id]) {
            None => Support::Unknown,
            Some(_) if self.is_seen(&[id]) => Support::Affirmed,
            Some(_) if self.is_hinted(&[id]) => Support::Nearest,
            Some(_) => Support::Against,
        }
    }

    /// Returns whether the sum that accounts for the spectrum holds these materials alone.
    pub(super) fn is_all(&self, ids: &[&str]) -> bool {
        let seen = self.seen();
        !seen.is_empty() && seen.iter().all(|(shape, _)| stands_for(shape, ids))
    }

    /// Returns whether no shape of other materials is nearer than the best of these.
    pub(super) fn leads(&self, ids: &[&str], additives: &[&str]) -> bool {
        self.similarity(ids).is_some_and(|similarity| similarity >= self.best_other(ids, additives))
    }

    /// Returns whether a shape of these materials has any place in the sum: a film thinner than the wave's
    /// depth weighs little.
    fn is_hinted(&self, ids: &[&str]) -> bool {
        self.resembles.sum.iter().any(|summand| {
            self.shapes.get(summand.shape).is_some_and(|shape| stands_for(shape, ids))
        })
    }

    /// Returns how many different sets of materials the sum that accounts for the spectrum holds.
    pub(super) fn parts(&self) -> usize {
        self.seen().len()
    }

    /// Returns what the shapes say of materials that a curve does not tell apart, beside additives that the
    /// bands find in or on them.
    pub(super) fn support(&self, ids: &[&str], additives: &[&str]) -> Support {
        let Some(similarity) = self.similarity(ids) else { return Support::Unknown };
        let other = self.best_other(ids, additives);
        let seen = self.seen();
        let with_additives = seen.iter().any(|(shape, _)| stands_for(shape, ids))
            && seen.iter().all(|(shape, _)| stands_for(shape, ids) || stands_for(shape, additives));
        let in_company = !with_additives && seen.len() > 1;
        if with_additives || (similarity >= other && similarity >= ALIKE) {
            Support::Affirmed
        } else if !in_company && similarity >= LEAST_LEADING && similarity >= other + CLEAR_LEAD {
            Support::Nearest
        } else {
            Support::Against
        }
    }
}

fn stands_for(shape: &Shape, ids: &[&str]) -> bool {
    shape.materials.iter().any(|material| ids.contains(&material.as_str()))
}
