//! What softens a poly(vinyl chloride): a second axis beside the material.

use super::input::JudgeInput;
use super::outcome::Plasticiser;
use super::rule_log::RuleLog;
use crate::matching::{half_height_width_cm1, local_height};
use crate::peaks::share;
use crate::tables::{Effect, MaterialRole, Reading, Verdict, Window};

/// An ester carbonyl counts from this share of the strongest band on: lubricants and impact
/// modifiers of rigid sheet stay below it in the open spectra seen.
const LEAST_ESTER_SHARE: f64 = 0.06;

/// A partner counts from this share of the carbonyl's height on: C–O is as strong as C=O or stronger.
const LEAST_PARTNER: f64 = 0.3;

/// An ester's carbonyl is narrower than this at half height, in cm⁻¹. Plasticised sheets and coated
/// cloths of an open set show 27 to 39; acids, ketones and lactones of oxidation together are wider.
const MOST_ESTER_WIDTH_CM1: f64 = 45.0;

/// Returns the plasticiser finding, and the classes found.
pub(super) fn plasticiser(
    material: &str,
    additives: &[String],
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Plasticiser {
    let softens = |id: &str| input.tables.has_role(id, MaterialRole::Plasticiser);
    let mut ids: Vec<String> = additives.iter().filter(|id| softens(id)).cloned().collect();
    for (rule, verdict) in rule_log.of_subject(material, Effect::Component, input) {
        if verdict == Verdict::Yes {
            ids.extend(rule.targets.iter().filter(|id| softens(id)).cloned());
        }
    }
    ids.sort();
    ids.dedup();
    let of_esters = &input.tables.stretches().ester;
    let (low, high) = of_esters.measured.cm1;
    if !input.observed.measured().covers(low, high) {
        return Plasticiser::NotTestable {
            why: format!("{} was not measured", of_esters.carbonyl.shows),
        };
    }
    let carbonyl = carbonyl(input);
    // Where the whole curve holds one class and the bands name another, neither is said.
    let by_curve: Vec<&str> = input.likeness.seen_of(softens);
    let may_be = carbonyl != Carbonyl::None && !by_curve.is_empty();
    if may_be && !by_curve.iter().any(|id| ids.iter().any(|other| other == id)) {
        return Plasticiser::UnresolvedEster;
    }
    if carbonyl != Carbonyl::Ester {
        // Silicone, acrylic coats and fillers show bands of the esters' other groups.
        ids.retain(|id| !has_carbonyl(id, input));
    }
    match (ids.as_slice(), carbonyl) {
        ([], Carbonyl::Ester) => Plasticiser::UnresolvedEster,
        ([], Carbonyl::OfWhat) => Plasticiser::UnresolvedCarbonyl,
        ([], Carbonyl::None) => Plasticiser::NoneSeen,
        ([], Carbonyl::UnderVapour) => Plasticiser::NotTestable {
            why: format!("lines of water vapour lie over {}", of_esters.carbonyl.shows),
        },
        ([id], _) => Plasticiser::Class { id: id.clone() },
        _ => Plasticiser::Several { ids },
    }
}

/// Returns whether the table gives a material the carbonyl of an ester.
fn has_carbonyl(id: &str, input: &JudgeInput<'_>) -> bool {
    let (low, high) = input.tables.stretches().ester.carbonyl.cm1;
    let of_it = input.tables.bands().iter().filter(|band| band.material == id);
    of_it.into_iter().any(|band| (low..=high).contains(&band.position_cm1))
}

/// What stands where an ester has its carbonyl.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Carbonyl {
    /// Less than counts.
    None,
    /// That of an ester: its C–O partner is there.
    Ester,
    /// One as narrow as an ester's, without the partner: modifiers, lubricants and the first oxidation show such.
    OfWhat,
    /// Lines of water vapour, as high as what is looked for.
    UnderVapour,
}

/// Returns what carbonyl is there. The broad one of oxidation has neither the width nor the partner of an ester's.
fn carbonyl(input: &JudgeInput<'_>) -> Carbonyl {
    let peaks = input.observed.peaks();
    let of_esters = &input.tables.stretches().ester;
    let (low, high) = of_esters.carbonyl.cm1;
    let height = peaks.within(low, high).map(|(_, peak)| peak.share).fold(0.0, f64::max);
    // Whatever the lines add or take away, the answer must be the same.
    let vapour = share(input.vapour_over(low, high), peaks.strongest);
    if height < LEAST_ESTER_SHARE + vapour {
        let none = height + vapour < LEAST_ESTER_SHARE;
        return if none { Carbonyl::None } else { Carbonyl::UnderVapour };
    }
    let partner = of_esters.partners.iter().any(|partner| {
        let (low, high) = partner.cm1;
        peaks.within(low, high).any(|(_, f)| f.share >= LEAST_PARTNER * height)
    });
    let (foot, other_foot) = of_esters.baseline.cm1;
    let reading =
        Reading { window: Window::new(low, high), baseline: Window::new(foot, other_foot) };
    let narrow = local_height(&reading, &input.observed)
        .ok()
        .and_then(|found| half_height_width_cm1(&reading, found, &input.observed))
        .is_none_or(|width| width <= MOST_ESTER_WIDTH_CM1);
    match (partner, narrow) {
        (true, _) => Carbonyl::Ester,
        (false, true) => Carbonyl::OfWhat,
        (false, false) => Carbonyl::None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fitness::WATER_LINES;
    use crate::judge::made::{Made, rows};
    use crate::tables::{SHAPE_POINTS, Tables, shape_wavenumber_cm1};

    /// Vinyl chloride's bands with further ones, and water vapour as high as this.
    fn with(more: &[(f64, f64)], vapour: f64) -> Made {
        let line = |x: f64, at: f64| 1.0 / (1.0 + ((x - at) / 2.5).powi(2));
        let lines = move |x: f64| -> f64 {
            WATER_LINES.iter().map(|(at, strength)| vapour * strength * line(x, *at)).sum()
        };
        // The table has a row for the carbonyl that some samples show.
        let own = rows("PVC", 1.0).into_iter().filter(|(at, _)| !(1700.0..1800.0).contains(at));
        Made::of(&own.chain(more.iter().copied()).collect::<Vec<_>>(), lines)
    }

    #[test]
    fn a_carbonyl_is_an_esters_with_its_partner_alone() {
        let ester = [(1728.0, 0.4), (1160.0, 0.3)];
        assert_eq!(carbonyl(&with(&ester, 0.0).input()), Carbonyl::Ester);
        assert_eq!(carbonyl(&with(&ester[..1], 0.0).input()), Carbonyl::OfWhat);
        assert_eq!(carbonyl(&with(&[(1728.0, 0.04)], 0.0).input()), Carbonyl::None);
    }

    #[test]
    fn what_vapour_may_have_added_or_taken_is_not_settled() {
        let of = |height: f64, vapour: f64| {
            carbonyl(&with(&[(1728.0, height), (1160.0, 0.3)], vapour).input())
        };
        for vapour in [0.15, -0.15] {
            assert_eq!(of(0.0, vapour), Carbonyl::UnderVapour, "{vapour}");
        }
        assert_eq!(of(0.6, 0.15), Carbonyl::Ester);
        let made = with(&[], 0.15);
        let said = plasticiser("PVC", &[], &made.input(), &mut RuleLog::default());
        assert!(
            matches!(&said, Plasticiser::NotTestable { why } if why.contains("vapour")),
            "{said:?}"
        );
    }

    #[test]
    fn a_class_by_bands_is_not_said_where_the_curve_holds_another() {
        let shape = |id: &str| {
            let mut shapes = Tables::built_in().shapes().iter();
            shapes.find(|shape| shape.materials.iter().any(|m| m == id)).expect("a shape").clone()
        };
        let (pvc, phthalate) = (shape("PVC"), shape("plasticiser-ortho-phthalate"));
        let at = |i: usize| {
            let of = |shape: &crate::tables::Shape| shape.absorbances[i];
            of(&pvc) + 0.8 * of(&phthalate)
        };
        let points = (0..SHAPE_POINTS).filter(|i| at(*i).is_finite());
        let (axis, values) = points.map(|i| (shape_wavenumber_cm1(i), 0.4 * at(i))).unzip();
        let made = Made::of_values(values, axis);
        let input = made.input();
        let said =
            |id: &str| plasticiser("PVCX", &[id.to_owned()], &input, &mut RuleLog::default());
        let own = Plasticiser::Class { id: "plasticiser-ortho-phthalate".to_owned() };
        assert_eq!(said("plasticiser-ortho-phthalate"), own);
        assert_eq!(said("plasticiser-terephthalate"), Plasticiser::UnresolvedEster);
    }
}
