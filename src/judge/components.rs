//! Looks for what else a surface shows beside a first material: further polymers, minerals,
//! additives and residues, each by bands of its own that nothing named before accounts for.

use super::input::JudgeInput;
use super::likeness::Support;
use super::members::{is_affirmed, standing};
use super::rule_log::RuleLog;
use crate::matching::{
    Answer, Entry, Fit, OwnBands, explained_share, fit, is_more_than_recalled, join, own_bands,
};
use crate::tables::{Material, MaterialKind};

// Shares and counts below are our own choices, made on the development spectra. No source fixes them one
// by one; what they lead to together is bounded in tests/suite/measured.rs.

/// Most components of one answer: a mixed answer is defined as two or three.
const MOST_COMPONENTS: usize = 3;

/// A further base material must meet this share of what stands free to be tested.
const BASE_MET: f64 = 0.72;
/// A further base material must explain this much more of the spectrum.
const BASE_GAIN: f64 = 0.1;
/// A further base material must show this many bands of its own.
const BASE_OWN_BANDS: usize = 3;
/// Of a further base material's own bands this many must be diagnostic.
const BASE_OWN_DIAGNOSTIC: usize = 2;
/// A further base material stands this high beside the spectrum's strongest band.
const BASE_SCALE: f64 = 0.12;
/// The same where the table says that something else shows its bands.
const UNSURE_SCALE: f64 = 0.5;
/// This share of a base material must stand free, else it only resembles the first.
const LEAST_FREE: f64 = 0.6;
/// A base material with this many bands of its own may meet less.
const MANY_OWN_BANDS: usize = 6;
/// So many of those many must be diagnostic.
const MANY_OWN_DIAGNOSTIC: usize = 4;
/// What such a base material must meet, for mixing disturbs heights, not positions.
const MANY_MET: f64 = 0.6;

/// Where its shape is part of the sum that accounts for the spectrum, a further base material must meet this
/// share …
const SUMMED_MET: f64 = 0.5;
/// … and show so many bands of its own, …
const SUMMED_OWN_BANDS: usize = 2;
/// … of which so many are diagnostic.
const SUMMED_OWN_DIAGNOSTIC: usize = 1;

/// Where the table holds no shape of it, so many of its bands must have been tested: every invention seen had
/// at most nine recalled rows, none of them missing.
const LEAST_TESTED_ALONE: usize = 10;

/// Minerals, additives and residues must meet this share.
const OTHER_MET: f64 = 0.65;
/// They must explain this much more of the spectrum, times what they meet.
const OTHER_GAIN: f64 = 0.06;
/// They must show this many bands of their own, having few.
const OTHER_OWN_BANDS: usize = 2;
/// Of which this many must be diagnostic.
const OTHER_OWN_DIAGNOSTIC: usize = 1;

/// Which kinds may be added to an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wanted {
    /// Anything with bands of its own.
    Anything,
    /// Minerals, additives and residues alone.
    NoBases,
}

/// One material detected beside others.
#[derive(Clone, Debug)]
pub(super) struct DetectedComponent {
    /// How its bands answer what the others leave over.
    pub(super) fit: Fit,
    /// Its id and those it is not told from, best first.
    pub(super) members: Vec<String>,
    /// Whether it is a polymer or fibre.
    pub(super) is_base: bool,
}

/// Returns the materials that the first leaves over, the most telling first, and how far each peak
/// is explained by all together.
pub(super) fn beside(
    first: &Fit,
    wanted: Wanted,
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> (Vec<DetectedComponent>, Vec<f64>) {
    let mut explains = first.explains.clone();
    let mut families: Vec<&str> =
        input.material(first).map(|m| m.family.as_str()).into_iter().collect();
    let mut ids: Vec<&str> = input.material(first).map(|m| m.id.as_str()).into_iter().collect();
    let mut detected = Vec::new();
    while detected.len() + 1 < MOST_COMPONENTS {
        let Some((fit, material)) = next(&explains, &families, &ids, wanted, input, rule_log)
        else {
            break;
        };
        explains = join(&explains, &fit.explains);
        // Two minerals may lie together; two polymers of one family are look-alikes.
        if material.is_base() {
            families.push(&material.family);
        }
        ids.push(&material.id);
        let members = if material.is_base() {
            let mut members = standing(&material.id, input, rule_log);
            members.retain(|id| *id != material.id);
            members.insert(0, material.id.clone());
            members
        } else {
            vec![material.id.clone()]
        };
        detected.push(DetectedComponent { fit, members, is_base: material.is_base() });
    }
    (detected, explains)
}

/// Returns the material that accounts for most of what is left over, if any shows enough of its own.
fn next<'a>(
    explains: &[f64],
    families: &[&str],
    ids: &[&str],
    wanted: Wanted,
    input: &JudgeInput<'a>,
    rule_log: &mut RuleLog,
) -> Option<(Fit, &'a Material)> {
    let peaks = input.observed.peaks();
    let before = explained_share(peaks, explains);
    let mut best: Option<(f64, Fit, &Material)> = None;
    for (index, entry) in input.matcher.entries().iter().enumerate() {
        let Some(material) = input.tables.materials().get(entry.material) else { continue };
        let is_base = material.is_base();
        let out = if is_base {
            wanted == Wanted::NoBases || families.contains(&material.family.as_str())
        } else {
            !is_other(material) || ids.contains(&material.id.as_str())
        };
        if out || !material.nameable {
            continue;
        }
        let Some(fit) = fit(index, entry, input.match_input().beside(explains)) else { continue };
        // Nearly all end here, before what costs more is asked.
        if fit.met < if is_base { SUMMED_MET } else { OTHER_MET } {
            continue;
        }
        let own = own_bands(&fit, explains, input.matcher);
        let gain = explained_share(peaks, &join(explains, &fit.explains)) - before;
        let enough = if is_base {
            match input.likeness.of_a_part(&material.id) {
                Support::Affirmed => {
                    own.peaks >= SUMMED_OWN_BANDS && own.diagnostic >= SUMMED_OWN_DIAGNOSTIC
                }
                Support::Nearest => {
                    is_enough_of_a_base(&fit, entry, material, own) && gain >= BASE_GAIN
                }
                Support::Unknown | Support::Vouched => {
                    is_enough_of_a_base(&fit, entry, material, own)
                        && gain >= BASE_GAIN
                        && fit.tested >= LEAST_TESTED_ALONE
                }
                Support::Against => false,
            }
        } else {
            gain * fit.met >= OTHER_GAIN
                && own.peaks >= OTHER_OWN_BANDS
                && own.diagnostic >= OTHER_OWN_DIAGNOSTIC
                && is_more_than_recalled(&fit, explains, input.matcher)
        };
        if !enough || !input.shows_required(&fit) {
            continue;
        }
        let worth = gain * fit.met;
        if best.as_ref().is_none_or(|(other, ..)| worth > *other)
            && (!is_base || is_affirmed(&material.id, input, rule_log))
        {
            best = Some((worth, fit, material));
        }
    }
    best.map(|(_, fit, material)| (fit, material))
}

/// Returns the polymer whose C–Cl stretches are known by their shape beside these base materials, where its own rule
/// says yes: C–Cl with at least two further bands of it. What tells its copolymers from it is under the bands of the others.
pub(super) fn vinyl_chloride_beside(
    bases: &[DetectedComponent],
    input: &JudgeInput<'_>,
    rule_log: &mut RuleLog,
) -> Option<DetectedComponent> {
    let id = input.tables.stretches().carbon_chlorine.material.as_str();
    if bases.len() >= MOST_COMPONENTS || !is_affirmed(id, input, rule_log) {
        return None;
    }
    let nothing = vec![0.0; input.observed.peaks().list.len()];
    let explains = bases.iter().fold(nothing, |all, component| join(&all, &component.fit.explains));
    let is_it = |entry: &Entry| {
        let material = input.tables.materials().get(entry.material);
        material.is_some_and(|material| material.id == id && material.nameable)
    };
    let entries = input.matcher.entries();
    let (index, entry) = entries.iter().enumerate().find(|(_, entry)| is_it(entry))?;
    let fit = fit(index, entry, input.match_input().beside(&explains))?;
    let mut members = standing(id, input, rule_log);
    members.retain(|other| other != id);
    members.insert(0, id.to_owned());
    Some(DetectedComponent { fit, members, is_base: true })
}

/// Returns whether a mineral, additive or residue still shows enough of its own beside what is explained.
pub(super) fn still_shows(of: &Fit, explains: &[f64], input: &JudgeInput<'_>) -> bool {
    let Some(entry) = input.entry(of) else { return false };
    fit(of.entry, entry, input.match_input().beside(explains)).is_some_and(|again| {
        let own = own_bands(&again, explains, input.matcher);
        again.met >= OTHER_MET
            && own.peaks >= OTHER_OWN_BANDS
            && own.diagnostic >= OTHER_OWN_DIAGNOSTIC
            && is_more_than_recalled(&again, explains, input.matcher)
    })
}

/// Returns whether a base material shows enough where nothing else stands.
fn is_enough_of_a_base(fit: &Fit, entry: &Entry, material: &Material, own: OwnBands) -> bool {
    let many = own.peaks >= MANY_OWN_BANDS && own.diagnostic >= MANY_OWN_DIAGNOSTIC;
    let least_met = if many { MANY_MET } else { BASE_MET };
    // Waxes, greases and soaps show the same bands as these and lie on anything.
    let least_scale = if material.not_excluded.is_empty() { BASE_SCALE } else { UNSURE_SCALE };
    fit.met >= least_met
        && fit.scale >= least_scale
        && own.peaks >= BASE_OWN_BANDS
        && own.diagnostic >= BASE_OWN_DIAGNOSTIC
        && free_share(fit, entry) >= LEAST_FREE
}

/// Returns whether a material still shows enough of its own beside what was found after it: the first
/// of several may have been named for bands that the others account for better.
pub(super) fn holds_beside(
    first: &Fit,
    others: &[DetectedComponent],
    input: &JudgeInput<'_>,
) -> bool {
    let nothing = vec![0.0; input.observed.peaks().list.len()];
    let explains =
        others.iter().fold(nothing, |all, component| join(&all, &component.fit.explains));
    let (Some(entry), Some(material)) = (input.entry(first), input.material(first)) else {
        return false;
    };
    fit(first.entry, entry, input.match_input().beside(&explains)).is_some_and(|again| {
        let own = own_bands(&again, &explains, input.matcher);
        is_enough_of_a_base(&again, entry, material, own)
    })
}

/// Returns how much of what could be tested of a material stands free of the others.
fn free_share(fit: &Fit, entry: &Entry) -> f64 {
    let (mut free, mut all) = (0.0, 0.0);
    for (band, answer) in entry.expected.iter().zip(&fit.answers).filter(|(b, _)| !b.optional) {
        match answer {
            Answer::Met(..) | Answer::Missing { .. } => {
                free += band.weight;
                all += band.weight;
            }
            Answer::Shared => all += band.weight,
            Answer::NotMeasured | Answer::TooWeak => {}
        }
    }
    if all > 0.0 { free / all } else { 0.0 }
}

fn is_other(material: &Material) -> bool {
    matches!(material.kind, MaterialKind::Additive | MaterialKind::Mineral | MaterialKind::Residue)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fitness::WATER_LINES;
    use crate::judge::JudgeSettings;
    use crate::judge::made::{Made, fit_of, rows};

    /// Asks of a fit that meets all of its bands, changed in one way.
    fn is_enough(id: &str, change: impl Fn(&mut Fit, &mut OwnBands)) -> bool {
        let made = Made::of_bands(&rows(id, 1.0));
        let input = made.input();
        let mut fit = fit_of(id, &input);
        let mut own = OwnBands { peaks: 5, diagnostic: 3 };
        let (entry, material) =
            (input.entry(&fit).expect("its"), input.material(&fit).expect("its"));
        change(&mut fit, &mut own);
        is_enough_of_a_base(&fit, entry, material, own)
    }

    #[test]
    fn a_further_polymer_lacks_nothing_of_what_shows_it() {
        assert!(is_enough("PMMA", |_, _| ()));
        assert!(!is_enough("PMMA", |fit, _| fit.met = 0.71));
        assert!(!is_enough("PMMA", |fit, _| fit.scale = 0.11));
        assert!(!is_enough("PMMA", |_, own| own.peaks = 2));
        assert!(!is_enough("PMMA", |_, own| own.diagnostic = 1));
        // Most of its bands lie under those of the first: it only resembles it.
        assert!(!is_enough("PMMA", |fit, _| {
            let shared = fit.answers.len() * 3 / 4;
            fit.answers[..shared].fill(Answer::Shared);
        }));
    }

    #[test]
    fn many_bands_of_its_own_make_up_for_heights_that_mixing_disturbs() {
        let met = |met: f64, peaks: usize, diagnostic: usize| {
            is_enough("PMMA", |fit, own| {
                fit.met = met;
                (own.peaks, own.diagnostic) = (peaks, diagnostic);
            })
        };
        assert!(met(0.65, 6, 4) && !met(0.59, 6, 4));
        assert!(!met(0.65, 5, 4) && !met(0.65, 6, 3));
    }

    #[test]
    fn polyethylene_beside_another_is_loud_for_waxes_and_soaps_show_its_bands() {
        assert!(is_enough("PE-HD", |fit, _| fit.scale = 0.51));
        assert!(!is_enough("PE-HD", |fit, _| fit.scale = 0.49));
    }

    fn components(made: &Made) -> Vec<String> {
        made.identified(&JudgeSettings::default())
            .components
            .iter()
            .map(|component| component.id.clone())
            .collect()
    }

    #[test]
    fn lines_of_water_vapour_are_no_soap_on_a_polymer() {
        let with_vapour = |height: f64| {
            let line = |x: f64, at: f64| 1.0 / (1.0 + ((x - at) / 2.5).powi(2));
            let vapour = move |x: f64| -> f64 {
                WATER_LINES.iter().map(|(at, strength)| height * strength * line(x, *at)).sum()
            };
            Made::of(&rows("PE-LD", 1.0), vapour)
        };
        assert_eq!(components(&with_vapour(0.0)), components(&with_vapour(0.05)));
        let shown = with_vapour(0.05);
        assert!(shown.peaks.list.iter().filter(|peak| peak.is_vapour).count() >= 6);
        // None of them is a band that nothing accounts for, however high.
        assert_eq!(with_vapour(0.15).identified(&JudgeSettings::default()).unexplained, []);
    }

    #[test]
    fn two_recalled_bands_are_no_soap_and_three_are() {
        let soap = |bands: &[(f64, f64)]| {
            let all: Vec<(f64, f64)> =
                rows("PE-LD", 1.0).into_iter().chain(bands.to_vec()).collect();
            components(&Made::of_bands(&all)).contains(&"lead-soap".to_owned())
        };
        assert!(!soap(&[(1513.0, 0.5), (1540.0, 0.25)]));
        assert!(soap(&[(1513.0, 0.5), (1540.0, 0.25), (1420.0, 0.1)]));
    }

    #[test]
    fn what_stands_free_is_counted_by_what_could_be_tested() {
        let made = Made::of_bands(&rows("PMMA", 1.0));
        let input = made.input();
        let mut fit = fit_of("PMMA", &input);
        let entry = input.entry(&fit).expect("its");
        let counted: Vec<usize> =
            (0..fit.answers.len()).filter(|at| !entry.expected[*at].optional).collect();
        let weight = |at: &[usize]| at.iter().map(|at| entry.expected[*at].weight).sum::<f64>();
        fit.answers.fill(Answer::Met(0, 1.0));
        assert_eq!(free_share(&fit, entry), 1.0);
        // Hidden ones are not free; what is missing in plain sight is; what was not measured is neither.
        fit.answers[counted[0]] = Answer::Shared;
        fit.answers[counted[1]] = Answer::Missing { covered: false };
        fit.answers[counted[2]] = Answer::NotMeasured;
        let expected = weight(&[&counted[1..2], &counted[3..]].concat())
            / weight(&[&counted[..2], &counted[3..]].concat());
        assert!((free_share(&fit, entry) - expected).abs() < 1.0e-12);
        fit.answers.fill(Answer::NotMeasured);
        assert_eq!(free_share(&fit, entry), 0.0);
    }
}
