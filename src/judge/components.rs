//! Looks for what else a surface shows beside a first material: further polymers, minerals,
//! additives and residues, each by bands of its own that nothing named before accounts for.

use super::asked::Asked;
use super::case::Case;
use super::likeness::Support;
use super::members::{is_affirmed, standing};
use crate::matching::{Answer, Entry, Fit, OwnBands, explained_share, fit, join, own_bands};
use crate::tables::{Material, MaterialKind};

// Shares and counts below are our own choices, made on the development spectra. No source fixes them one
// by one; what they lead to together is bounded in tests/suite/measured.rs.

/// Most components of one answer: a mixed answer is defined as two or three.
const MOST_COMPONENTS: usize = 3;

/// A further body must meet this share of what stands free to be tested.
const BODY_MET: f64 = 0.72;
/// A further body must explain this much more of the spectrum.
const BODY_GAIN: f64 = 0.1;
/// A further body must show this many bands of its own.
const BODY_OWN_BANDS: usize = 3;
/// Of a further body's own bands this many must be diagnostic.
const BODY_OWN_DIAGNOSTIC: usize = 2;
/// A further body stands this high beside the spectrum's strongest band.
const BODY_SCALE: f64 = 0.12;
/// The same where the table says that something else shows its bands.
const UNSURE_SCALE: f64 = 0.5;
/// This share of a body must stand free, else it only resembles the first.
const LEAST_FREE: f64 = 0.6;
/// A body with this many bands of its own may meet less.
const MANY_OWN_BANDS: usize = 6;
/// So many of those many must be diagnostic.
const MANY_OWN_DIAGNOSTIC: usize = 4;
/// What such a body must meet, for mixing disturbs heights, not positions.
const MANY_MET: f64 = 0.6;

/// Where its shape is part of the sum that accounts for the spectrum, a further body must meet this share …
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

/// The polymer whose C–Cl stretches are known by their own shape.
const VINYL_CHLORIDE: &str = "PVC";

/// Which kinds may be added to an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wanted {
    /// Anything with bands of its own.
    Anything,
    /// Minerals, additives and residues alone.
    NoBodies,
}

/// One material seen beside others.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    /// How its bands answer what the others leave over.
    pub(super) fit: Fit,
    /// Its id and those it is not told from, best first.
    pub(super) members: Vec<String>,
    /// Whether it is a polymer or fibre.
    pub(super) is_body: bool,
}

/// Returns whether no band is missing without which the material cannot be named.
pub(super) fn has_required(fit: &Fit, case: &Case<'_>) -> bool {
    let Some(entry) = case.entry(fit) else { return false };
    entry.expected.iter().zip(&fit.answers).all(|(band, answer)| {
        !band.required || !matches!(answer, Answer::Missing { covered: false })
    })
}

/// Returns the materials that the first leaves over, the most telling first, and how far each peak
/// is explained by all together.
pub(super) fn beside(
    first: &Fit,
    wanted: Wanted,
    case: &Case<'_>,
    asked: &mut Asked,
) -> (Vec<Seen>, Vec<f64>) {
    let mut explains = first.explains.clone();
    let mut families: Vec<&str> =
        case.material(first).map(|m| m.family.as_str()).into_iter().collect();
    let mut ids: Vec<&str> = case.material(first).map(|m| m.id.as_str()).into_iter().collect();
    let mut seen = Vec::new();
    while seen.len() + 1 < MOST_COMPONENTS {
        let Some((fit, material)) = next(&explains, &families, &ids, wanted, case, asked) else {
            break;
        };
        explains = join(&explains, &fit.explains);
        // Two minerals may lie together; two polymers of one family are look-alikes.
        if material.is_body() {
            families.push(&material.family);
        }
        ids.push(&material.id);
        let members = if material.is_body() {
            let mut members = standing(&material.id, case, asked);
            members.retain(|id| *id != material.id);
            members.insert(0, material.id.clone());
            members
        } else {
            vec![material.id.clone()]
        };
        seen.push(Seen { fit, members, is_body: material.is_body() });
    }
    (seen, explains)
}

/// Returns the material that accounts for most of what is left over, if any shows enough of its own.
fn next<'a>(
    explains: &[f64],
    families: &[&str],
    ids: &[&str],
    wanted: Wanted,
    case: &Case<'a>,
    asked: &mut Asked,
) -> Option<(Fit, &'a Material)> {
    let peaks = case.observed.peaks();
    let before = explained_share(peaks, explains);
    let mut best: Option<(f64, Fit, &Material)> = None;
    for (index, entry) in case.matcher.entries().iter().enumerate() {
        let Some(material) = case.tables.materials().get(entry.material) else { continue };
        let body = material.is_body();
        let out = if body {
            wanted == Wanted::NoBodies || families.contains(&material.family.as_str())
        } else {
            !is_other(material) || ids.contains(&material.id.as_str())
        };
        if out || !material.nameable {
            continue;
        }
        let Some(fit) = fit(index, entry, case.scene().beside(explains)) else { continue };
        // Nearly all end here, before what costs more is asked.
        if fit.met < if body { SUMMED_MET } else { OTHER_MET } {
            continue;
        }
        let own = own_bands(&fit, explains, case.matcher);
        let gain = explained_share(peaks, &join(explains, &fit.explains)) - before;
        let enough = if body {
            match case.likeness.of_a_part(&material.id) {
                Support::Affirmed => {
                    fit.met >= SUMMED_MET
                        && own.peaks >= SUMMED_OWN_BANDS
                        && own.diagnostic >= SUMMED_OWN_DIAGNOSTIC
                }
                Support::Nearest => {
                    is_enough_of_a_body(&fit, entry, material, own) && gain >= BODY_GAIN
                }
                Support::Unknown | Support::Vouched => {
                    is_enough_of_a_body(&fit, entry, material, own)
                        && gain >= BODY_GAIN
                        && fit.tested >= LEAST_TESTED_ALONE
                }
                Support::Against => false,
            }
        } else {
            fit.met >= OTHER_MET
                && gain * fit.met >= OTHER_GAIN
                && own.peaks >= OTHER_OWN_BANDS
                && own.diagnostic >= OTHER_OWN_DIAGNOSTIC
        };
        if !enough || !has_required(&fit, case) {
            continue;
        }
        let worth = gain * fit.met;
        if best.as_ref().is_none_or(|(other, ..)| worth > *other)
            && (!body || is_affirmed(&material.id, case, asked))
        {
            best = Some((worth, fit, material));
        }
    }
    best.map(|(_, fit, material)| (fit, material))
}

/// Returns PVC beside these bodies, where its own rule says yes: C–Cl near 613 cm⁻¹ with at least two
/// further bands of it. What tells its copolymers from it is under the bands of the others.
pub(super) fn vinyl_chloride_beside(
    bodies: &[Seen],
    case: &Case<'_>,
    asked: &mut Asked,
) -> Option<Seen> {
    if bodies.len() >= MOST_COMPONENTS || !is_affirmed(VINYL_CHLORIDE, case, asked) {
        return None;
    }
    let nothing = vec![0.0; case.observed.peaks().list.len()];
    let explains = bodies.iter().fold(nothing, |all, seen| join(&all, &seen.fit.explains));
    let is_it = |entry: &Entry| {
        let material = case.tables.materials().get(entry.material);
        material.is_some_and(|material| material.id == VINYL_CHLORIDE && material.nameable)
    };
    let entries = case.matcher.entries();
    let (index, entry) = entries.iter().enumerate().find(|(_, entry)| is_it(entry))?;
    let fit = fit(index, entry, case.scene().beside(&explains))?;
    let mut members = standing(VINYL_CHLORIDE, case, asked);
    members.retain(|id| id != VINYL_CHLORIDE);
    members.insert(0, VINYL_CHLORIDE.to_owned());
    Some(Seen { fit, members, is_body: true })
}

/// Returns whether a mineral, additive or residue still shows enough of its own beside what is explained.
pub(super) fn still_shows(of: &Fit, explains: &[f64], case: &Case<'_>) -> bool {
    let Some(entry) = case.entry(of) else { return false };
    fit(of.entry, entry, case.scene().beside(explains)).is_some_and(|again| {
        let own = own_bands(&again, explains, case.matcher);
        again.met >= OTHER_MET
            && own.peaks >= OTHER_OWN_BANDS
            && own.diagnostic >= OTHER_OWN_DIAGNOSTIC
    })
}

/// Returns whether a body shows enough where nothing else stands.
fn is_enough_of_a_body(fit: &Fit, entry: &Entry, material: &Material, own: OwnBands) -> bool {
    let many = own.peaks >= MANY_OWN_BANDS && own.diagnostic >= MANY_OWN_DIAGNOSTIC;
    let least_met = if many { MANY_MET } else { BODY_MET };
    // Waxes, greases and soaps show the same bands as these and lie on anything.
    let least_scale = if material.not_excluded.is_empty() { BODY_SCALE } else { UNSURE_SCALE };
    fit.met >= least_met
        && fit.scale >= least_scale
        && own.peaks >= BODY_OWN_BANDS
        && own.diagnostic >= BODY_OWN_DIAGNOSTIC
        && free_share(fit, entry) >= LEAST_FREE
}

/// Returns whether a material still shows enough of its own beside what was found after it: the first
/// of several may have been named for bands that the others account for better.
pub(super) fn holds_beside(first: &Fit, others: &[Seen], case: &Case<'_>) -> bool {
    let nothing = vec![0.0; case.observed.peaks().list.len()];
    let explains = others.iter().fold(nothing, |all, seen| join(&all, &seen.fit.explains));
    let (Some(entry), Some(material)) = (case.entry(first), case.material(first)) else {
        return false;
    };
    fit(first.entry, entry, case.scene().beside(&explains)).is_some_and(|again| {
        let own = own_bands(&again, &explains, case.matcher);
        is_enough_of_a_body(&again, entry, material, own)
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
