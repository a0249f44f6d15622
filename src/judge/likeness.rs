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

    /// Returns the first material of the shape that the spectrum is like by itself, where no shape of these is like it.
    pub(super) fn alike_but_not(&self, ids: &[String]) -> Option<&'a str> {
        let is_theirs = |shape: &Shape| shape.materials.iter().any(|id| ids.contains(id));
        let mut alike = self.compared().filter(|(_, similarity)| *similarity >= ALIKE);
        let best = self.best().filter(|(_, similarity)| *similarity >= ALIKE)?.0;
        let other = !alike.any(|(shape, _)| is_theirs(shape));
        best.materials.first().filter(|_| other).map(String::as_str)
    }

    /// Returns whether a shape of these materials is part of the sum that accounts for the spectrum.
    pub(super) fn is_seen(&self, ids: &[&str]) -> bool {
        self.seen().iter().any(|(shape, _)| stands_for(shape, ids))
    }

    /// Returns those materials of the sum that accounts for the spectrum of which this is true.
    pub(super) fn seen_of(&self, is_wanted: impl Fn(&str) -> bool) -> Vec<&'a str> {
        let seen = self.seen().into_iter().flat_map(|(shape, _)| &shape.materials);
        seen.map(String::as_str).filter(|id| is_wanted(id)).collect()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::made::shape_of;
    use crate::matching::Summand;

    /// Asks what the shapes of PA6, PMMA and talc say, given how near each is and what the sum holds.
    fn asked<T>(near: [f64; 3], sum: &[(usize, f64)], ask: impl Fn(&Likeness<'_>) -> T) -> T {
        let shapes = ["PA6", "PMMA", "talc"].map(shape_of);
        let similarity = near.map(|near| (near > 0.0).then_some(near)).to_vec();
        let sum: Vec<Summand> =
            sum.iter().map(|(shape, weight)| Summand { shape: *shape, weight: *weight }).collect();
        let explained = if sum.is_empty() { 0.0 } else { 0.7 };
        ask(&Likeness::new(Resembles { similarity, sum, explained }, &shapes))
    }

    #[test]
    fn a_curve_speaks_for_a_material_where_it_is_like_its_shape_and_no_other_is_nearer() {
        let of_pa6 = |near| asked(near, &[], |likeness| likeness.support(&["PA6"], &[]));
        assert_eq!(of_pa6([0.85, 0.82, 0.3]), Support::Affirmed);
        assert_eq!(of_pa6([0.85, 0.86, 0.3]), Support::Against);
        // Too unlike to be its own, and nearest by far, by little, or like nothing at all.
        assert_eq!(of_pa6([0.75, 0.55, 0.3]), Support::Nearest);
        assert_eq!(of_pa6([0.75, 0.65, 0.3]), Support::Against);
        assert_eq!(of_pa6([0.45, 0.2, 0.1]), Support::Against);
        // No shape of it could be compared.
        assert_eq!(of_pa6([0.0, 0.9, 0.3]), Support::Unknown);
    }

    #[test]
    fn a_curve_is_anothers_where_it_is_like_that_and_like_none_of_these() {
        let other = |near: [f64; 3], ids: [&str; 1]| {
            let ids = ids.map(str::to_owned);
            let shapes = ["PA6", "PMMA", "talc"].map(shape_of);
            let similarity = near.map(Some).to_vec();
            let resembles = Resembles { similarity, sum: Vec::new(), explained: 0.0 };
            Likeness::new(resembles, &shapes).alike_but_not(&ids).map(str::to_owned)
        };
        assert_eq!(other([0.85, 0.3, 0.3], ["PMMA"]).as_deref(), Some("PA6"));
        assert_eq!(other([0.85, 0.3, 0.3], ["PA6"]), None);
        // Like both, or like neither.
        assert_eq!(other([0.9, 0.82, 0.3], ["PMMA"]), None);
        assert_eq!(other([0.75, 0.3, 0.3], ["PMMA"]), None);
    }

    #[test]
    fn what_lies_in_a_polymer_does_not_speak_against_it() {
        let pa6 = |additives: &[&str], near, sum: &[(usize, f64)]| {
            asked(near, sum, |likeness| likeness.support(&["PA6"], additives))
        };
        // Talc is nearer, but it was found in the polymer; and half of each makes the curve.
        assert_eq!(pa6(&["talc"], [0.82, 0.3, 0.9], &[]), Support::Affirmed);
        assert_eq!(pa6(&[], [0.82, 0.3, 0.9], &[]), Support::Against);
        assert_eq!(pa6(&["talc"], [0.6, 0.2, 0.7], &[(0, 0.5), (2, 0.5)]), Support::Affirmed);
        // Another polymer in the sum leaves the material one of two, however far it leads.
        assert_eq!(pa6(&["talc"], [0.7, 0.4, 0.3], &[(0, 0.6), (1, 0.4)]), Support::Against);
        // The sum is the other polymer alone: then the lead decides.
        assert_eq!(pa6(&[], [0.7, 0.4, 0.3], &[(1, 0.9)]), Support::Nearest);
    }

    #[test]
    fn only_a_sum_that_accounts_for_the_curve_shows_its_parts_and_only_the_heavy_ones() {
        let weights = |explained: f64| {
            let shapes = ["PA6", "PMMA", "talc"].map(shape_of);
            let sum = [(0, 0.3), (1, 0.6), (2, 0.2)];
            let sum = sum.map(|(shape, weight)| Summand { shape, weight }).to_vec();
            let similarity = vec![Some(0.5); 3];
            let likeness = Likeness::new(Resembles { similarity, sum, explained }, &shapes);
            let seen: Vec<String> =
                likeness.seen().iter().map(|(shape, _)| shape.materials[0].clone()).collect();
            let parts = ["PA6", "PMMA", "talc"].map(|id| likeness.of_a_part(id));
            (seen, likeness.parts(), parts)
        };
        let (seen, parts, of) = weights(0.65);
        assert_eq!((seen, parts), (vec!["PMMA".to_owned(), "PA6".to_owned()], 2));
        // What weighs little is hinted at: a film thinner than the wave's depth.
        assert_eq!(of, [Support::Affirmed, Support::Affirmed, Support::Nearest]);
        // One shape that correlates by 0.80 explains 0.64: a sum must explain as much.
        let (seen, parts, of) = weights(0.63);
        assert_eq!((seen.len(), parts), (0, 0));
        assert_eq!(of, [Support::Nearest; 3]);
        // No part of the sum, and not compared.
        let of = |id| asked([0.5, 0.5, 0.0], &[(1, 0.9)], |likeness| likeness.of_a_part(id));
        assert_eq!([of("PA6"), of("talc")], [Support::Against, Support::Unknown]);
    }

    #[test]
    fn the_best_of_several_shapes_counts_and_the_evidence_names_the_nearest() {
        let near = [0.6, 0.7, 0.5];
        let sum = [(0, 0.9)];
        assert_eq!(asked(near, &sum, |l| l.similarity(&["talc", "PA6"])), Some(0.6));
        let shown = asked(near, &sum, |l| l.evidence()).expect("compared");
        assert_eq!((shown.shape.as_str(), shown.similarity), ("PMMA-1", 0.7));
        assert_eq!(shown.sum.iter().map(|part| part.shape.as_str()).collect::<Vec<_>>(), ["PA6-1"]);
        let leads =
            |ids: &[&str], additives: &[&str]| asked(near, &[], |l| l.leads(ids, additives));
        assert!(leads(&["PMMA"], &[]) && !leads(&["PA6"], &[]) && leads(&["PA6"], &["PMMA"]));
        let is_all = |ids: &[&str]| asked(near, &[(0, 0.5), (2, 0.5)], |l| l.is_all(ids));
        assert!(is_all(&["PA6", "talc"]) && !is_all(&["PA6"]));
        // Where no sum accounts for the curve, it is not all anything.
        assert!(!asked(near, &[], |l| l.is_all(&["PA6", "PMMA", "talc"])));
        assert!(asked([0.8, 0.1, 0.1], &[], |l| l.is_alike()));
        assert!(!asked([0.79, 0.1, 0.1], &[], |l| l.is_alike()));
    }
}
