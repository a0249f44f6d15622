//! Writes the chosen answer out: components, sentence, what is unsettled.

use super::chlorine::{Named, chlorine};
use super::choose::{Choice, Unnamed, lies_on};
use super::evidence::{evidence, ranking, unexplained, without_own, without_shoulders};
use super::input::JudgeInput;
use super::outcome::{
    BandState, ChlorineBands, Component, Identification, Outcome, Plasticiser, Ranked, Relation,
    Unsettled,
};
use super::phrases;
use super::plasticiser::plasticiser;
use super::relation::{order, relation};
use super::rule_log::RuleLog;
use super::settings::JudgeSettings;
use super::table_effects;
use crate::matching::{Answer, Fit, MET_WORTH, is_shown, join};
use crate::tables::{Material, MaterialRole};

/// Writes out what was chosen for one spectrum.
pub(super) fn compose(
    mut choice: Choice,
    input: &JudgeInput<'_>,
    mut rule_log: RuleLog,
    settings: &JudgeSettings,
) -> Identification {
    if let Choice::Several { bases, .. } = &mut choice {
        order(bases, input);
    }
    let mut parts = parts(&choice, input, &mut rule_log);
    let mut components: Vec<Component> =
        parts.iter().filter_map(|part| component(part, input)).collect();
    let (outcome, material, candidates) = match &choice {
        Choice::Base { members, .. } if members.len() > 1 => {
            (Outcome::Narrowed, None, members.clone())
        }
        Choice::Base { members, .. } => (Outcome::Identified, members.first().cloned(), Vec::new()),
        Choice::Several { .. } => (Outcome::Mixed, None, Vec::new()),
        Choice::Alone { fits } if fits.len() > 1 => (Outcome::Mixed, None, Vec::new()),
        Choice::Alone { .. } => {
            (Outcome::Identified, components.first().map(|c| c.id.clone()), Vec::new())
        }
        Choice::Class { .. } => (Outcome::Classed, None, Vec::new()),
        // What could not be seen is not absent from the table.
        Choice::None { why: Unnamed::Short(_) } => (Outcome::NotEnoughSignal, None, Vec::new()),
        Choice::None { why: Unnamed::CurveIsNot(_) | Unnamed::Unknown } if input.is_cut_off() => {
            (Outcome::NotEnoughSignal, None, Vec::new())
        }
        Choice::None { .. } => (Outcome::NotInTable, None, Vec::new()),
    };
    let class = match &choice {
        Choice::Class { class } => Some(class.clone()),
        _ => None,
    };
    let additives: Vec<String> = parts
        .iter()
        .zip(&components)
        .filter(|(part, _)| part.relation == Relation::Within)
        .map(|(_, component)| component.id.clone())
        .collect();
    let softened = material
        .iter()
        .chain(&candidates)
        .find(|id| input.tables.has_role(id, MaterialRole::MayBePlasticised));
    let plasticiser = softened.map(|id| plasticiser(id, &additives, input, &mut rule_log));
    if let Some(found) = &plasticiser {
        // What the finding does not name is no component beside it.
        let is_told = |id: &str| {
            !input.tables.has_role(id, MaterialRole::Plasticiser)
                || found.classes().any(|of| of == id)
        };
        parts.retain(|part| input.material(part.fit).is_none_or(|material| is_told(&material.id)));
        components.retain(|component| is_told(&component.id));
    }
    let explains = joined(&parts, input);
    hide_under_others(&mut components, &parts, input);
    let ids: Vec<String> = components.iter().map(|c| c.id.clone()).collect();
    let named_ids = match &class {
        Some(class) => class.members.clone(),
        None if candidates.is_empty() => ids.clone(),
        None => candidates.clone(),
    };
    let has_base = !matches!(choice, Choice::Alone { .. } | Choice::None { .. });
    // Where two are not told apart, one may lie over the other.
    let film = components.iter().any(|c| {
        matches!(c.relation, Relation::CoatingOver | Relation::DepositOn | Relation::NotToldApart)
    });
    let unexplained = unexplained(input, &explains);
    let named = Named {
        ids: &named_ids,
        has_base,
        narrowed: !candidates.is_empty() || class.is_some(),
        film,
        explains: &explains,
        unexplained: &unexplained,
    };
    let chlorine = chlorine(input, &named);
    let seen = chlorine.bands == ChlorineBands::Present;
    for part in &mut components {
        table_effects::drop_bands(&part.id, &mut part.evidence, seen, input, &mut rule_log);
    }
    let explains = match &class {
        Some(class) => of_members(&class.members, input),
        None => match &choice {
            Choice::None { why: Unnamed::Short(id) } => of_members(std::slice::from_ref(id), input),
            _ => explains,
        },
    };
    let unexplained =
        without_shoulders(super::evidence::unexplained(input, &explains), &explains, input);
    let named = components.iter().flat_map(|component| &component.evidence);
    let unexplained = without_own(unexplained, named, input);
    let remarks = table_effects::remarks(&named_ids, input, &mut rule_log);
    let sentence = sentence(&choice, &components, plasticiser.as_ref(), input);
    let unsettled = unsettled(&candidates, input);
    let leading = if candidates.is_empty() { ids } else { candidates.clone() };
    let unnamed = matches!(choice, Choice::Class { .. } | Choice::None { .. });
    let leading = if unnamed { Vec::new() } else { leading };
    if unnamed {
        components.clear();
    }
    let told = components.first().filter(|_| matches!(choice, Choice::Base { .. }));
    let mut ranking = ranking(input, &leading, settings.top, told);
    let untold = |ranked: &&mut Ranked| {
        leading.contains(&ranked.material) && told.is_none_or(|base| base.id != ranked.material)
    };
    for ranked in ranking.iter_mut().filter(untold) {
        table_effects::drop_bands(
            &ranked.material,
            &mut ranked.evidence,
            seen,
            input,
            &mut rule_log,
        );
    }
    let possible = ranking.iter().filter(|ranked| candidates.contains(&ranked.material));
    let unexplained = without_own(unexplained, possible.flat_map(|ranked| &ranked.evidence), input);
    let mut found = Identification {
        outcome,
        material,
        candidates,
        class,
        shape: input.likeness.evidence(),
        ranking,
        components,
        chlorine,
        plasticiser,
        sentence,
        unsettled,
        unexplained,
        remarks,
        rules: rule_log.log,
    };
    if found.has_unnamed_chlorine() {
        found.sentence.push_str(phrases::UNNAMED_CHLORINE);
    } else if let Some(strongest) = found.strong_unexplained() {
        found.sentence.push_str(&phrases::something_more(strongest));
    }
    found
}

/// One part of the answer: a fit and how it stands to the first.
struct Part<'a> {
    fit: &'a Fit,
    relation: Relation,
}

fn parts<'a>(
    choice: &'a Choice,
    input: &'a JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Vec<Part<'a>> {
    let on_or_in = |fit: &'a Fit| {
        // A polymer that a rule finds beside the main one is a residue that lies on it.
        let on = input.material(fit).is_some_and(|m| lies_on(m) || m.is_base());
        Part { fit, relation: if on { Relation::DepositOn } else { Relation::Within } }
    };
    let mut parts: Vec<Part<'a>> = match choice {
        Choice::Base { fit, additives, .. } => {
            let mut parts = vec![Part { fit, relation: Relation::Main }];
            parts.extend(additives.iter().map(on_or_in));
            parts
        }
        Choice::Several { bases, additives } => {
            let mut parts: Vec<Part<'a>> = Vec::new();
            for base in bases {
                let relation = match parts.first() {
                    None => Relation::Main,
                    Some(first) => relation(first.fit, &base.fit, input),
                };
                parts.push(Part { fit: &base.fit, relation });
            }
            parts.extend(additives.iter().map(on_or_in));
            parts
        }
        Choice::Alone { fits } => fits
            .iter()
            .enumerate()
            .map(|(place, fit)| Part {
                fit,
                relation: if place == 0 { Relation::Main } else { Relation::NotToldApart },
            })
            .collect(),
        Choice::Class { .. } | Choice::None { .. } => Vec::new(),
    };
    if let (Choice::Base { .. }, Some(main)) = (choice, parts.first()) {
        let main = input.material(main.fit).map_or("", |material| material.id.as_str());
        let explains = joined(&parts, input);
        for fit in table_effects::beside(main, &explains, input, rule_log) {
            if parts.iter().all(|part| part.fit.entry != fit.entry) {
                parts.push(on_or_in(fit));
            }
        }
    }
    parts
}

fn joined(parts: &[Part<'_>], input: &JudgeInput<'_>) -> Vec<f64> {
    let nothing = vec![0.0; input.observed.peaks().list.len()];
    parts.iter().fold(nothing, |all, part| join(&all, &part.fit.explains))
}

/// How far each peak is one that some member of a class has, or a mineral that is shown beside it.
fn of_members(ids: &[String], input: &JudgeInput<'_>) -> Vec<f64> {
    let nothing = vec![0.0; input.observed.peaks().list.len()];
    let is_member = |fit: &&Fit| {
        input.material(fit).is_some_and(|m| ids.contains(&m.id))
            || input.entry(fit).is_some_and(|entry| is_shown(fit, entry))
    };
    input.fits.iter().filter(is_member).fold(nothing, |all, fit| join(&all, &fit.explains))
}

fn component(part: &Part<'_>, input: &JudgeInput<'_>) -> Option<Component> {
    let material = input.material(part.fit)?;
    Some(Component {
        id: material.id.clone(),
        role: material.kind.to_string(),
        relation: part.relation,
        evidence: evidence(part.fit, input),
    })
}

/// A band of one component is not missing where a band of another stands in its place, or is what was held
/// against it.
fn hide_under_others(components: &mut [Component], parts: &[Part<'_>], input: &JudgeInput<'_>) {
    let met: Vec<Vec<f64>> = components
        .iter()
        .map(|c| c.evidence.iter().filter_map(|band| band.found_cm1).collect())
        .collect();
    // What was found near a band, but off in place or height: the band's id and the position in cm⁻¹.
    let off: Vec<(&str, f64)> = parts.iter().flat_map(|part| found_off(part.fit, input)).collect();
    for (place, component) in components.iter_mut().enumerate() {
        for band in component.evidence.iter_mut().filter(|b| b.state == BandState::Missing) {
            let Some(row) = input.tables.band(&band.band) else { continue };
            let window = row.window(input.observed.mode());
            let is_held = |v: f64| off.iter().any(|(id, at)| *id == band.band && *at == v);
            let hidden = met.iter().enumerate().any(|(other, found)| {
                other != place && found.iter().any(|v| window.contains(*v) || is_held(*v))
            });
            if hidden {
                band.state = BandState::Untestable;
                band.note = phrases::HIDDEN_BY_ANOTHER.to_owned();
            }
        }
    }
}

fn found_off<'a>(fit: &Fit, input: &JudgeInput<'a>) -> Vec<(&'a str, f64)> {
    let expected = input.entry(fit).map(|entry| entry.expected.iter()).into_iter().flatten();
    expected
        .zip(&fit.answers)
        .filter_map(|(band, answer)| match answer {
            Answer::Met(at, worth) if *worth < MET_WORTH => {
                let peak = input.observed.peaks().list.get(*at)?;
                Some((input.tables.bands().get(band.band)?.id.as_str(), peak.position_cm1))
            }
            _ => None,
        })
        .collect()
}

/// The polymer or fibre that the whole curve is like, by itself.
fn by_curve<'a>(input: &JudgeInput<'a>) -> Option<&'a str> {
    let is_base = |id: &&str| input.tables.material(id).is_some_and(Material::is_base);
    input.likeness.alike_but_not(&[]).filter(is_base)
}

fn sentence(
    choice: &Choice,
    components: &[Component],
    plasticiser: Option<&Plasticiser>,
    input: &JudgeInput<'_>,
) -> String {
    let name =
        |id: &String| input.tables.material(id).map_or_else(|| id.clone(), |m| m.name.clone());
    let names = |ids: &[Component]| ids.iter().map(|c| name(&c.id)).collect::<Vec<_>>();
    let mut said = match choice {
        Choice::Base { members, .. } => match members.as_slice() {
            [one] => match untested(components) {
                none if none.is_empty() => phrases::characteristic_of(&name(one)),
                some => phrases::consistent_without(&name(one), &some),
            },
            several => phrases::consistent_with(&several.iter().map(name).collect::<Vec<_>>()),
        },
        Choice::Several { bases, .. } => {
            let of = |members: &Vec<String>| {
                let Some(first) = members.first() else { return String::new() };
                // Beside another material, what shows the same bands may be meant as well.
                let same = input.tables.material(first).map(|m| m.not_excluded.as_slice());
                let others: Vec<String> =
                    members.iter().skip(1).chain(same.unwrap_or_default()).map(name).collect();
                if others.is_empty() {
                    name(first)
                } else {
                    phrases::not_distinguished(&name(first), &others)
                }
            };
            phrases::bands_of(&bases.iter().map(|base| of(&base.members)).collect::<Vec<_>>())
        }
        Choice::Alone { .. } => match by_curve(input) {
            Some(id) => phrases::polymer_by_curve(&names(components), &name(&id.to_owned())),
            None => phrases::no_polymer(&names(components)),
        },
        Choice::Class { class } => phrases::of_a_class(&class.name),
        Choice::None { why } => match why {
            Unnamed::Short(id) => phrases::short_of(&name(id)),
            Unnamed::CurveIsNot(id) if input.is_cut_off() => phrases::cut_off_of(&name(id)),
            Unnamed::Unknown if input.is_cut_off() => phrases::not_enough_signal(phrases::CUT_OFF),
            Unnamed::Unknown => match by_curve(input) {
                Some(id) => phrases::like_by_curve(&name(&id.to_owned())),
                None => phrases::not_in_table(),
            },
            Unnamed::Exclusion(id) => phrases::resembles_exclusion(&name(id)),
            Unnamed::LinesDiffer { by_bands, by_shape } => {
                phrases::lines_differ(&name(by_bands), &name(by_shape))
            }
            Unnamed::CurveIsNot(id) => {
                let has_one = input.tables.shapes().iter().any(|s| s.materials.contains(id));
                let said = if has_one { phrases::curve_is_not } else { phrases::no_curve_of };
                said(&name(id))
            }
        },
    };
    let from = match choice {
        Choice::Base { .. } => 1,
        Choice::Several { bases, .. } => bases.len(),
        Choice::Alone { .. } | Choice::Class { .. } | Choice::None { .. } => components.len(),
    };
    let beside = names(components.get(from..).unwrap_or_default());
    if !beside.is_empty() {
        said.push(' ');
        said.push_str(&phrases::beside(&beside));
    }
    if plasticiser == Some(&Plasticiser::UnresolvedEster) {
        said.push_str(" An ester component is there whose class is not resolved.");
    }
    said
}

/// The required bands of what is named that could not be tested, each with its assignment.
fn untested(components: &[Component]) -> Vec<String> {
    let bands = components.first().into_iter().flat_map(Component::required_untested);
    bands.map(|band| format!("{:.0} cm⁻¹ ({})", band.expected_cm1, band.assignment)).collect()
}

fn unsettled(candidates: &[String], input: &JudgeInput<'_>) -> Option<Unsettled> {
    if candidates.is_empty() {
        return None;
    }
    let group = input.tables.group_of(candidates)?;
    Some(Unsettled { feature: group.feature.clone(), settled_by: group.settled_by.clone() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::made::{Made, fit_of, rows};
    use crate::judge::outcome::ClassAnswer;
    use crate::tables::{SHAPE_POINTS, Shape, Tables, shape_wavenumber_cm1};

    #[test]
    fn a_plasticiser_found_by_its_bands_is_the_finding_of_a_softened_material() {
        // No rule of the table looks for a citrate: its bands alone say which ester it is.
        let id = "plasticiser-citrate";
        let made = Made::of_bands(&[rows("PVC", 1.0), rows(id, 1.0)].concat());
        let input = made.input();
        let found = |additives: Vec<Fit>| {
            let (fit, members) = (fit_of("PVC", &input), vec!["PVC".to_owned()]);
            let choice = Choice::Base { members, fit, additives };
            compose(choice, &input, RuleLog::default(), &JudgeSettings::default()).plasticiser
        };
        let citrate = Plasticiser::Class { id: id.to_owned() };
        assert_eq!(found(vec![fit_of(id, &input)]), Some(citrate));
        assert_eq!(found(Vec::new()), Some(Plasticiser::UnresolvedEster));
    }

    #[test]
    fn a_name_whose_required_bands_were_not_measured_is_only_consistent() {
        let said = |low_cm1: f64, high_cm1: f64| {
            let whole = Made::of_bands(&rows("PC", 1.0));
            let axis = whole.spectrum.wavenumbers_cm1();
            let within = |v: &f64| (low_cm1..=high_cm1).contains(v);
            let points = axis.iter().zip(whole.spectrum.absorbances()).filter(|(v, _)| within(v));
            let (axis, values): (Vec<f64>, Vec<f64>) = points.unzip();
            let made = Made::of_values(values, axis);
            let input = made.input();
            let (members, fit) = (vec!["PC".to_owned()], fit_of("PC", &input));
            let choice = Choice::Base { members, fit, additives: Vec::new() };
            compose(choice, &input, RuleLog::default(), &JudgeSettings::default()).sentence
        };
        let whole = said(400.0, 4000.0);
        assert!(whole.starts_with("Bands characteristic of polycarbonate"), "{whole}");
        // The carbonyl of a carbonate at 1770 cm⁻¹ tells it from other esters and ethers of bisphenol A.
        let without_carbonyl = said(400.0, 1600.0);
        assert!(
            without_carbonyl.starts_with("Consistent with polycarbonate"),
            "{without_carbonyl}"
        );
        assert!(
            without_carbonyl.contains("not testable here: 1770 cm⁻¹ (C=O aryl carbonate).")
                && !without_carbonyl.contains("1504"),
            "{without_carbonyl}"
        );
        let neither = said(700.0, 1300.0);
        assert!(neither.contains("1770 cm⁻¹") && neither.contains("1504 cm⁻¹"), "{neither}");
    }

    #[test]
    fn carbon_chlorine_bands_that_nothing_named_has_are_said_with_the_name() {
        let said = |chlorine: f64| {
            let pattern = [(613.0, 1.0, 14.0), (636.0, 0.75, 12.0), (690.0, 0.45, 18.0)];
            let made = Made::of(&rows("PE-LD", 1.0), |x| {
                let band =
                    |(at, of, half): (f64, f64, f64)| of * (-((x - at) / half).powi(2)).exp();
                chlorine * pattern.map(band).iter().sum::<f64>()
            });
            let input = made.input();
            let (members, fit) = (vec!["PE-LD".to_owned()], fit_of("PE-LD", &input));
            let choice = Choice::Base { members, fit, additives: Vec::new() };
            compose(choice, &input, RuleLog::default(), &JudgeSettings::default())
        };
        let with = said(0.5);
        assert!(with.has_unnamed_chlorine(), "{:?}", with.chlorine);
        assert!(with.sentence.ends_with(phrases::UNNAMED_CHLORINE), "{}", with.sentence);
        let without = said(0.0);
        assert!(!without.has_unnamed_chlorine(), "{:?}", without.chlorine);
        assert!(!without.sentence.contains("C–Cl"), "{}", without.sentence);
    }

    #[test]
    fn a_strong_band_that_nothing_named_has_is_said_and_a_weak_one_is_not() {
        let said = |height: f64| {
            let made = Made::of_bands(&[rows("PC", 1.0), vec![(2237.0, height)]].concat());
            let input = made.input();
            let (members, fit) = (vec!["PC".to_owned()], fit_of("PC", &input));
            let choice = Choice::Base { members, fit, additives: Vec::new() };
            compose(choice, &input, RuleLog::default(), &JudgeSettings::default()).sentence
        };
        let strong = said(0.8);
        assert!(strong.ends_with("accounts for the strong band at 2237 cm⁻¹."), "{strong}");
        assert!(!said(0.3).contains("Something more"), "{}", said(0.3));
    }

    #[test]
    fn a_filler_beside_which_the_curve_is_a_polymers_is_not_said_to_be_alone() {
        let said = |made: &Made| {
            let input = made.input();
            // Its fit, whatever the curve shows of it: what is said of the rest is asked.
            let chalk = Made::of_bands(&rows("calcite", 1.0));
            let fit = fit_of("calcite", &chalk.input());
            let explains = vec![0.0; input.observed.peaks().list.len()];
            let answers = vec![Answer::Shared; fit.answers.len()];
            let choice = Choice::Alone { fits: vec![Fit { explains, answers, ..fit }] };
            compose(choice, &input, RuleLog::default(), &JudgeSettings::default()).sentence
        };
        let is_its = |shape: &&Shape| shape.materials.iter().any(|id| id == "PVC");
        let shape = Tables::built_in().shapes().iter().find(is_its).expect("a shape");
        let points = (0..SHAPE_POINTS).filter(|i| shape.absorbances[*i].is_finite());
        let (axis, values) =
            points.map(|i| (shape_wavenumber_cm1(i), 0.4 * shape.absorbances[i])).unzip();
        let beside = said(&Made::of_values(values, axis));
        assert!(beside.contains("like that of poly(vinyl chloride)"), "{beside}");
        let alone = said(&Made::of_bands(&rows("calcite", 1.0)));
        assert!(alone.contains("no polymer of the table shows beside them"), "{alone}");
    }

    #[test]
    fn of_a_class_what_no_member_has_is_unexplained() {
        let made = Made::of_bands(&[rows("PS", 1.0), vec![(1290.0, 0.8)]].concat());
        let input = made.input();
        let class = input.tables.classes().iter().find(|class| class.id == "styrenic");
        let class = class.expect("the class");
        let class = ClassAnswer {
            id: class.id.clone(),
            name: class.name.clone(),
            members: class.members.clone(),
        };
        let choice = Choice::Class { class };
        let found = compose(choice, &input, RuleLog::default(), &JudgeSettings::default());
        let at: Vec<f64> = found.unexplained.iter().map(|band| band.0.round()).collect();
        assert_eq!(at, [1290.0], "{:?}", found.unexplained);
        assert!(found.sentence.contains("Something more is there"), "{}", found.sentence);
    }

    #[test]
    fn a_curve_that_the_table_does_not_hold_is_no_other_curve() {
        let made = Made::of_bands(&rows("PC", 1.0));
        let input = made.input();
        let said = |id: &str| {
            let choice = Choice::None { why: Unnamed::CurveIsNot(id.to_owned()) };
            compose(choice, &input, RuleLog::default(), &JudgeSettings::default()).sentence
        };
        assert!(said("PC").contains("the whole curve is not like its own"), "{}", said("PC"));
        let has_none =
            |id: &str| input.tables.shapes().iter().all(|s| !s.materials.contains(&id.to_owned()));
        let without = input.tables.materials().iter().find(|m| m.nameable && has_none(&m.id));
        let without = &without.expect("a material without a shape").id;
        assert!(said(without).contains("the table holds no measured curve"), "{}", said(without));
    }

    #[test]
    fn a_material_that_is_not_named_is_listed_with_what_its_own_bands_show() {
        // A rule has polyoxymethylene hide C–Cl of poly(vinyl chloride): it is asked of what is named alone.
        let made = Made::of_bands(&rows("POM", 1.0));
        let input = made.input();
        let choice = Choice::Base {
            members: vec!["POM".to_owned()],
            fit: fit_of("POM", &input),
            additives: Vec::new(),
        };
        let settings = JudgeSettings::default().with_top(1000);
        let found = compose(choice, &input, RuleLog::default(), &settings);
        let pvc = found.ranking.iter().find(|ranked| ranked.material == "PVC").expect("listed");
        let shown = |id: &str| pvc.evidence.iter().find(|band| band.band == id).expect("a row");
        assert_eq!(shown("PVC-635").state, BandState::Met, "{:?}", pvc.evidence);
    }
}
