//! How well the bands expected of one material answer to the peaks of a spectrum.

use super::matcher::{Entry, Expected, HYDROGEN_STRETCH_ABOVE_CM1};
use crate::peaks::{Peak, Peaks, share};
use crate::prepare::Prepared;
use crate::spectrum::{Spectrum, nearest_index};
use crate::tables::MaterialKind;

/// A band may differ from its expected height by this factor before it counts about 0.6: where
/// heights were measured on other samples.
const HEIGHT_FACTOR_MEASURED: f64 = 2.5;
/// And where only a word is known: the power that widens the factor.
const WORD_WIDENS: f64 = 1.3;
/// A band higher than expected is less strange than one too low: others may absorb there too.
const HIGH_WIDENS: f64 = 1.5;

/// Below this worth of position a peak does not answer a band.
const LEAST_POSITION_WORTH: f64 = 0.15;

/// The scale of a material is cut here: no band of it may stand this far above the highest peak.
const MOST_SCALE: f64 = 1.6;

/// A top at the detector's ceiling may stand this many times higher: 3 % of stray light make 1.5 of an
/// absorbance of 4.
pub const CEILING_HIDES: f64 = 3.0;

/// Heights at the ceiling take part in the scale where fewer whole ones than this are there.
const LEAST_EXACT: usize = 2;

/// A peak is explained up to this many times the expected height.
const EXPLAINED_FACTOR: f64 = 1.7;

/// A missing band is not testable when it should stand lower than this share of the highest peak …
const LEAST_TESTABLE_SHARE: f64 = 0.012;
/// … or lower than this many times the local noise.
const LEAST_TESTABLE_TO_NOISE: f64 = 6.0;

/// A missing band whose place is filled by a neighbour's flank counts this much less.
const COVERED_WEIGHT: f64 = 0.35;
/// How near that neighbour must stand in cm⁻¹.
const COVERED_WITHIN_CM1: f64 = 25.0;
/// How much of the expected height must be there, and how much higher the neighbour must stand.
const COVERED_HEIGHT: f64 = 0.8;
const COVERING_HEIGHT: f64 = 1.2;

/// Broad stretches of O–H and N–H are not missed where this much of their height is there.
const HYDROGEN_STRETCH_HEIGHT: f64 = 0.3;

/// From this worth on a band counts as met.
pub const MET_WORTH: f64 = 0.3;

/// A peak explained below this share still needs an owner.
pub const UNOWNED: f64 = 0.4;

/// What became of one expected band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Answer {
    /// A peak answers it: its index, and its worth between 0 and 1.
    Met(usize, f64),
    /// Measured, and nothing answers; covered where a neighbour fills its place.
    Missing {
        /// Whether a neighbour's flank may hide it.
        covered: bool,
    },
    /// Outside the measured range, masked or saturated.
    NotMeasured,
    /// It would be too weak to be seen here.
    TooWeak,
    /// Another material named before has a band there, or the air in the beam a line.
    Shared,
}

/// The fit of one material.
#[derive(Clone, Debug)]
pub struct Fit {
    /// Index among the matcher's entries.
    pub entry: usize,
    /// Share of the testable evidence that is met, between 0 and 1.
    pub met: f64,
    /// Height of the material's strongest band in this spectrum, as a share of the highest peak.
    pub scale: f64,
    /// How far each peak is explained, between 0 and 1.
    pub explains: Vec<f64>,
    /// What became of each expected band.
    pub answers: Vec<Answer>,
    /// Number of bands that were testable and counted.
    pub tested: usize,
}

/// The spectrum as the matcher needs it.
#[derive(Clone, Copy, Debug)]
pub struct MatchInput<'a> {
    /// As measured: what it covers is asked here.
    pub measured: &'a Spectrum,
    /// Prepared.
    pub prepared: &'a Prepared,
    /// Its peaks.
    pub peaks: &'a Peaks,
    /// How far materials named before explain each peak; empty where none was.
    pub explained: &'a [f64],
}

impl<'a> MatchInput<'a> {
    /// Brings a spectrum and its peaks together; nothing is explained yet.
    #[must_use]
    pub const fn new(measured: &'a Spectrum, prepared: &'a Prepared, peaks: &'a Peaks) -> Self {
        Self { measured, prepared, peaks, explained: &[] }
    }

    /// Returns the same spectrum with some peaks explained by materials named before.
    #[must_use]
    pub const fn beside(mut self, explained: &'a [f64]) -> Self {
        self.explained = explained;
        self
    }

    /// Returns the window of a band. Beside another material a band may come from a film thinner
    /// than the wave's depth, and then stands where transmission shows it: both windows count.
    fn window_cm1(&self, band: &Expected) -> (f64, f64) {
        let window = band.window_cm1(self.measured.mode());
        if self.explained.is_empty() {
            return window;
        }
        (window.0.min(band.transmission_cm1.0), window.1.max(band.transmission_cm1.1))
    }

    fn is_explained(&self, peak: usize) -> bool {
        self.explained.get(peak).is_some_and(|e| *e >= UNOWNED)
    }
}

/// Returns the fit of one entry, or `None` where none of its bands could be tested.
///
/// Peaks that are explained already answer no band, and a band with nothing else in its window
/// is neither met nor missing: only what stands free speaks for a further material.
#[must_use]
pub fn fit(index: usize, entry: &Entry, input: MatchInput<'_>) -> Option<Fit> {
    fit_with(index, entry, input, &mut Scratch::default())
}

/// Returns the fits of all entries whose bands could be tested, in their order.
#[must_use]
pub fn fits(entries: &[Entry], input: MatchInput<'_>) -> Vec<Fit> {
    let mut scratch = Scratch::default();
    let fit = |(index, entry)| fit_with(index, entry, input, &mut scratch);
    entries.iter().enumerate().filter_map(fit).collect()
}

/// What is found near the bands of one material; its room is used again for the next.
#[derive(Default)]
struct Scratch {
    near: Near,
    candidates: Vec<Candidate>,
    ratios: Vec<(f64, f64)>,
}

fn fit_with(
    index: usize,
    entry: &Entry,
    input: MatchInput<'_>,
    scratch: &mut Scratch,
) -> Option<Fit> {
    let Scratch { near, candidates, ratios } = scratch;
    near.list.clear();
    near.ends.clear();
    candidates.clear();
    // What lies in or on a polymer is weak, and shown by few bands: lines of the air in the beam are none of them.
    let in_air = !matches!(entry.kind, MaterialKind::Polymer | MaterialKind::Fibre);
    candidates.extend(entry.expected.iter().map(|band| candidate(band, in_air, input, near)));
    let scale = scale(&entry.expected, candidates, input.peaks, ratios)?;
    let mut explains = vec![0.0; input.peaks.list.len()];
    let mut answers = Vec::with_capacity(candidates.len());
    let (mut met, mut possible, mut tested) = (0.0, 0.0, 0);
    for ((band, candidate), near) in entry.expected.iter().zip(&*candidates).zip(near.of_each()) {
        if *candidate == Candidate::NotMeasured {
            answers.push(Answer::NotMeasured);
            continue;
        }
        explain(EXPLAINED_FACTOR * scale * band.share, near, input.peaks, &mut explains);
        let height = scale * band.share;
        match *candidate {
            Candidate::Peak(at, position_worth) => {
                let worth = position_worth * height_worth(band, height, input.peaks, at);
                answers.push(Answer::Met(at, worth));
                if !band.optional {
                    met += band.weight * worth;
                    possible += band.weight;
                    tested += 1;
                }
            }
            // The other's band hides one that is no higher; a higher one would stand out.
            Candidate::Shared(highest) if height <= EXPLAINED_FACTOR * highest => {
                answers.push(Answer::Shared);
            }
            Candidate::Shared(_) | Candidate::Nothing | Candidate::NotMeasured => {
                let answer = unanswered(band, height, input);
                answers.push(answer);
                if let (Answer::Missing { covered }, false) = (answer, band.optional) {
                    possible += band.weight * if covered { COVERED_WEIGHT } else { 1.0 };
                    tested += 1;
                }
            }
        }
    }
    (possible > 0.0).then(|| Fit {
        entry: index,
        met: met / possible,
        scale,
        explains,
        answers,
        tested,
    })
}

/// The peak that answers a band best, before heights are compared.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Candidate {
    Peak(usize, f64),
    /// Only lines of the air and peaks of a material named before, the highest with this share.
    Shared(f64),
    Nothing,
    NotMeasured,
}

/// The peaks near the bands of one material with the worths of their positions, band after band: they
/// are asked for twice, and a thousand bands make the search expensive.
#[derive(Default)]
struct Near {
    list: Vec<(usize, f64)>,
    ends: Vec<usize>,
}

impl Near {
    /// Returns the peaks near each band asked for, in the order they were asked.
    fn of_each(&self) -> impl Iterator<Item = &[(usize, f64)]> {
        let mut start = 0;
        self.ends.iter().map(move |&end| {
            let of_one = self.list.get(start..end).unwrap_or_default();
            start = end;
            of_one
        })
    }
}

fn candidate(band: &Expected, in_air: bool, input: MatchInput<'_>, near: &mut Near) -> Candidate {
    let candidate = best_of(band, in_air, input, &mut near.list);
    near.ends.push(near.list.len());
    candidate
}

fn best_of(
    band: &Expected,
    in_air: bool,
    input: MatchInput<'_>,
    near: &mut Vec<(usize, f64)>,
) -> Candidate {
    let (low, high) = input.window_cm1(band);
    if !input.measured.covers(low - band.margin_cm1, high + band.margin_cm1) {
        return Candidate::NotMeasured;
    }
    let reach = 2.0 * band.slack_cm1;
    let mut best: Option<(usize, f64, f64)> = None;
    let mut shared: Option<f64> = None;
    for (index, peak) in input.peaks.reaching(low - reach, high + reach) {
        let worth = position_worth(band, (low, high), peak);
        let is_air = in_air && peak.is_vapour;
        if !is_air {
            near.push((index, worth));
        }
        if is_air || input.is_explained(index) {
            if worth >= LEAST_POSITION_WORTH {
                shared = Some(shared.unwrap_or(0.0).max(peak.share));
            }
            continue;
        }
        let rank = worth * peak.share.sqrt();
        if worth >= LEAST_POSITION_WORTH && best.is_none_or(|(_, _, other)| rank > other) {
            best = Some((index, worth, rank));
        }
    }
    match (best, shared) {
        (Some((index, worth, _)), _) => Candidate::Peak(index, worth),
        (None, Some(highest)) => Candidate::Shared(highest),
        (None, None) => Candidate::Nothing,
    }
}

/// One inside the window, falling as a Gaussian outside it.
fn position_worth(band: &Expected, (low, high): (f64, f64), peak: &Peak) -> f64 {
    let (from, to) =
        (peak.position_cm1 - peak.half_width_cm1, peak.position_cm1 + peak.half_width_cm1);
    let outside = (low - to).max(from - high);
    if outside <= 0.0 {
        return 1.0;
    }
    (-(outside / band.slack_cm1).powi(2)).exp()
}

/// The scale at which the expected heights fit the found ones: the weighted median of their ratios,
/// so that a few bands swamped by another material do not move it.
fn scale(
    expected: &[Expected],
    candidates: &[Candidate],
    peaks: &Peaks,
    ratios: &mut Vec<(f64, f64)>,
) -> Option<f64> {
    let mut gather = |at_least_too: bool| {
        ratios.clear();
        ratios.extend(
            expected.iter().zip(candidates).filter(|(band, _)| !band.optional).filter_map(
                |(band, candidate)| match candidate {
                    Candidate::Peak(at, worth) => {
                        let Peak { share, at_least, .. } = peaks.list.get(*at)?;
                        let counts = at_least_too || !at_least;
                        counts.then(|| (share / band.share, band.scale_weight * worth))
                    }
                    _ => None,
                },
            ),
        );
        ratios.len()
    };
    if gather(false) < LEAST_EXACT && peaks.has_ceiling {
        gather(true);
    }
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = ratios.iter().map(|(_, weight)| weight).sum::<f64>() / 2.0;
    let mut passed = 0.0;
    let median = ratios.iter().find(|(_, weight)| {
        passed += weight;
        passed >= half
    })?;
    // Where the highest is cut off, bands of unknown height may stand above it.
    let most = if peaks.has_ceiling { CEILING_HIDES * MOST_SCALE } else { MOST_SCALE };
    Some(median.0.min(most))
}

/// One where the height is as expected, falling as a Gaussian of the logarithm of the ratio.
fn height_worth(band: &Expected, expected: f64, peaks: &Peaks, at: usize) -> f64 {
    let Some(peak) = peaks.list.get(at) else { return 0.0 };
    let ratio = (peak.share / expected).ln();
    if peak.at_least && (-CEILING_HIDES.ln()..=0.0).contains(&ratio) {
        return 1.0;
    }
    let mut width = HEIGHT_FACTOR_MEASURED.ln();
    if !band.measured {
        width *= WORD_WIDENS;
    }
    if ratio > 0.0 {
        width *= HIGH_WIDENS;
    }
    (-0.5 * (ratio / width).powi(2)).exp()
}

/// Notes how far a band of at most this height explains the peaks near it.
fn explain(most: f64, near: &[(usize, f64)], peaks: &Peaks, explains: &mut [f64]) {
    for &(index, worth) in near {
        if let (Some(explained), Some(peak)) = (explains.get_mut(index), peaks.list.get(index)) {
            let height = (most / peak.share.max(1e-3)).min(1.0);
            *explained = explained.max(worth * height);
        }
    }
}

/// Returns what is to be said of a band that nothing answers: too weak to be seen, covered, or missing.
fn unanswered(band: &Expected, height: f64, input: MatchInput<'_>) -> Answer {
    if height < LEAST_TESTABLE_SHARE {
        return Answer::TooWeak;
    }
    let spectrum = input.prepared.spectrum();
    let strongest = input.peaks.strongest;
    let point = nearest_index(spectrum.wavenumbers_cm1(), band.position_cm1);
    let at_point = |values: &[f64]| point.and_then(|i| values.get(i)).copied();
    let noise = at_point(input.prepared.noise_sd()).unwrap_or(f64::INFINITY);
    if height * strongest < LEAST_TESTABLE_TO_NOISE * noise {
        return Answer::TooWeak;
    }
    let here = at_point(spectrum.absorbances()).map_or(0.0, |a| share(a, strongest));
    let covered = if is_hydrogen_stretch(band) {
        here > HYDROGEN_STRETCH_HEIGHT * height
    } else {
        let near = COVERED_WITHIN_CM1;
        let mut neighbours = input.peaks.within(band.position_cm1 - near, band.position_cm1 + near);
        here > COVERED_HEIGHT * height
            && neighbours.any(|(_, peak)| peak.share > COVERING_HEIGHT * height)
    };
    Answer::Missing { covered }
}

/// The hydrogen-bonded O–H and N–H stretches are so wide that their second derivative drowns: height
/// at the place is all that can be asked of them.
fn is_hydrogen_stretch(band: &Expected) -> bool {
    band.broad && band.position_cm1 > HYDROGEN_STRETCH_ABOVE_CM1
}

#[cfg(test)]
#[path = "fit_tests.rs"]
mod tests;
