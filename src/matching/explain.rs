//! A material together with what lies in or on it: additives explain what a polymer leaves over.

use std::borrow::Cow;

use super::fit::{Answer, Fit, MET_WORTH, UNOWNED};
use super::matcher::Matcher;
use super::minerals::is_shown;
use crate::peaks::Peaks;
use crate::tables::MaterialKind;

/// An additive must be met this well to explain anything.
const LEAST_ADDITIVE_MET: f64 = 0.65;

/// An additive must explain this share of the spectrum that nothing else explains.
const LEAST_ADDITIVE_GAIN: f64 = 0.06;

/// What an additive explains counts this much of what the base material explains.
const ADDITIVE_CREDIT: f64 = 0.75;

/// Bands of its own that a material of recalled rows alone must show: with two, chance is enough.
const LEAST_RECALLED: usize = 3;

/// Most additives beside a base material.
const MOST_ADDITIVES: usize = 2;

/// A base material with its additives.
#[derive(Clone, Debug)]
pub struct CandidateScore {
    /// Index of the base material among the fits.
    pub base: usize,
    /// Indices of additives among the fits, the most telling first.
    pub additives: Vec<usize>,
    /// Share of the peaks' weight that the base material explains.
    pub explained_by_base: f64,
    /// Share explained with the additives.
    pub explained: f64,
    /// Orders the candidates; not a probability.
    pub score: f64,
}

/// Returns the share of the peaks' weight that is explained.
#[must_use]
pub fn explained_share(peaks: &Peaks, explains: &[f64]) -> f64 {
    share_of(peaks, explains.iter().copied())
}

fn share_of(peaks: &Peaks, explains: impl Iterator<Item = f64>) -> f64 {
    if peaks.total_weight <= 0.0 {
        return 0.0;
    }
    let sum: f64 = peaks.list.iter().zip(explains).map(|(f, e)| f.weight * e).sum();
    sum / peaks.total_weight
}

/// Joins two explanations peak by peak.
#[must_use]
pub fn join(a: &[f64], b: &[f64]) -> Vec<f64> {
    joined(a, b).collect()
}

fn joined(a: &[f64], b: &[f64]) -> impl Iterator<Item = f64> {
    a.iter().zip(b).map(|(a, b)| a.max(*b))
}

/// Returns one score a fit, best first; ties go by the table's order.
#[must_use]
pub fn candidate_scores(fits: &[Fit], matcher: &Matcher, peaks: &Peaks) -> Vec<CandidateScore> {
    let kind = |fit: &Fit| matcher.entries().get(fit.entry).map(|entry| entry.kind);
    let additives: Vec<usize> = (0..fits.len())
        .filter(|i| {
            fits.get(*i).is_some_and(|fit| {
                let shown = || matcher.entries().get(fit.entry).is_some_and(|e| is_shown(fit, e));
                matches!(kind(fit), Some(MaterialKind::Additive | MaterialKind::Mineral))
                    && (fit.met >= LEAST_ADDITIVE_MET || shown())
            })
        })
        .collect();
    let mut all: Vec<CandidateScore> = fits
        .iter()
        .enumerate()
        .map(|(index, fit)| {
            let is_base = matches!(kind(fit), Some(MaterialKind::Polymer | MaterialKind::Fibre));
            let helpers: &[usize] = if is_base { &additives } else { &[] };
            candidate_score(index, fit, helpers, fits, matcher, peaks)
        })
        .collect();
    all.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.base.cmp(&b.base)));
    all
}

/// What a fit shows at peaks that nothing else explains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OwnBands {
    /// Peaks that answer a band of it.
    pub peaks: usize,
    /// Diagnostic bands among those met.
    pub diagnostic: usize,
}

/// Counts what a fit meets at peaks which nothing else explains.
#[must_use]
pub fn own_bands(fit: &Fit, explains: &[f64], matcher: &Matcher) -> OwnBands {
    let mut peaks: Vec<usize> = own(fit, explains, matcher).map(|(_, at)| at).collect();
    peaks.sort_unstable();
    peaks.dedup();
    let diagnostic = own(fit, explains, matcher).filter(|(diagnostic, _)| *diagnostic).count();
    OwnBands { peaks: peaks.len(), diagnostic }
}

/// Returns whether what lies in or on a polymer is shown by more than two rows that somebody recalled: where no height of
/// its bands was measured, three of them must stand free.
#[must_use]
pub fn is_more_than_recalled(fit: &Fit, explains: &[f64], matcher: &Matcher) -> bool {
    let entry = matcher.entries().get(fit.entry);
    entry.is_some_and(|entry| entry.expected.iter().any(|band| band.measured))
        || own_bands(fit, explains, matcher).peaks >= LEAST_RECALLED
}

/// Returns for each band met at a peak that nothing else explains whether it is diagnostic, and the
/// peak.
fn own<'a>(
    fit: &'a Fit,
    explains: &'a [f64],
    matcher: &'a Matcher,
) -> impl Iterator<Item = (bool, usize)> + 'a {
    let expected = matcher.entries().get(fit.entry).map_or(&[][..], |entry| &entry.expected);
    expected.iter().zip(&fit.answers).filter_map(|(band, answer)| match answer {
        Answer::Met(at, worth)
            if *worth >= MET_WORTH && explains.get(*at).is_some_and(|e| *e < UNOWNED) =>
        {
            Some((band.diagnostic, *at))
        }
        _ => None,
    })
}

fn candidate_score(
    base: usize,
    fit: &Fit,
    helpers: &[usize],
    fits: &[Fit],
    matcher: &Matcher,
    peaks: &Peaks,
) -> CandidateScore {
    let explained_by_base = explained_share(peaks, &fit.explains);
    let mut explains = Cow::Borrowed(&fit.explains[..]);
    let mut explained = explained_by_base;
    let mut additives: Vec<usize> = Vec::new();
    for _ in 0..MOST_ADDITIVES {
        let best = helpers
            .iter()
            .filter(|i| !additives.contains(*i))
            .filter_map(|i| {
                let helper = fits.get(*i)?;
                if !own(helper, &explains, matcher).any(|(diagnostic, _)| diagnostic) {
                    return None;
                }
                let with = share_of(peaks, joined(&explains, &helper.explains));
                Some((*i, (with - explained) * helper.met))
            })
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        let Some((index, gain)) = best else { break };
        if gain < LEAST_ADDITIVE_GAIN {
            break;
        }
        if let Some(helper) = fits.get(index) {
            explains = Cow::Owned(join(&explains, &helper.explains));
            explained = explained_share(peaks, &explains);
        }
        additives.push(index);
    }
    let credited = explained_by_base + ADDITIVE_CREDIT * (explained - explained_by_base);
    CandidateScore { base, additives, explained_by_base, explained, score: fit.met * credited }
}
