//! Turns fits into the evidence that is shown: each expected band with what became of it.

use super::input::JudgeInput;
use super::outcome::{BandEvidence, BandState, Component, Ranked};
use super::phrases;
use crate::matching::{Answer, CandidateScore, Expected, Fit, MET_WORTH, local_height};
use crate::optics::{Element, penetration_depth_um};
use crate::peaks::Peak;
use crate::spectrum::{MeasurementMode, window};
use crate::tables::{MaterialKind, Reading, Window};

/// A maximum is more than noise from this many standard deviations on.
const CLEAR_OF_NOISE: f64 = 5.0;

/// So near an owned peak another is on the flank of the same band: the C–O of an ester is about so wide, and neat
/// diethyl phthalate shows it split on a coarse grid.
pub(super) const FLANK_CM1: f64 = 30.0;

/// Index of a plastic in the mid infrared, for the depth: 1.45 to 1.65 in the measured constants.
const SAMPLE_INDEX: f64 = 1.5;

/// Returns what became of each expected band of a fit, in the table's order.
pub(super) fn evidence(fit: &Fit, input: &JudgeInput<'_>) -> Vec<BandEvidence> {
    let Some(entry) = input.entry(fit) else { return Vec::new() };
    entry
        .expected
        .iter()
        .zip(&fit.answers)
        .filter_map(|(expected, answer)| {
            let band = input.tables.bands().get(expected.band)?;
            let peak = match answer {
                Answer::Met(at, _) => input.observed.peaks().list.get(*at),
                _ => None,
            };
            let (state, mut note) = state_of(*answer, expected.optional);
            if *answer == (Answer::Missing { covered: false }) && is_somehow_there(expected, input) {
                note = "something stands there, too broad or too weak beside its neighbours to be told";
            }
            let lies_on = !matches!(entry.kind, MaterialKind::Polymer | MaterialKind::Fibre);
            if lies_on && *answer == Answer::Shared && is_under_vapour(expected, input) {
                note = "a line of water vapour stands there";
            }
            let met = (state == BandState::Met).then_some(peak).flatten();
            if met.is_some_and(|peak| peak.at_least) {
                note = "at the detector's ceiling: its height is a lower bound";
            }
            Some(BandEvidence {
                band: band.id.clone(),
                expected_cm1: band.position_cm1,
                assignment: band.assignment.clone(),
                required: expected.required,
                state,
                found_cm1: met.map(|f| f.position_cm1),
                share: met.map(|f| f.share),
                note: note.to_owned(),
                depth_um: depth(band.position_cm1, input),
                status: band.sourcing.status.as_str().to_owned(),
            })
        })
        .collect()
}

/// Whether the curve has a maximum above the noise at the place of a band, though no peak was picked there.
fn is_somehow_there(band: &Expected, input: &JudgeInput<'_>) -> bool {
    let (low_cm1, high_cm1) = band.window_cm1(input.observed.mode());
    let baseline = Window::new(low_cm1 - FLANK_CM1, high_cm1 + FLANK_CM1);
    let reading = Reading { window: Window::new(low_cm1, high_cm1), baseline };
    local_height(&reading, &input.observed).is_ok_and(|found| {
        found.is_maximum
            && found.height >= CLEAR_OF_NOISE * found.noise_sd
            && is_top(found.position_cm1, input)
    })
}

/// Whether nothing but lines of water vapour stands at the place of a band.
fn is_under_vapour(band: &Expected, input: &JudgeInput<'_>) -> bool {
    let (low, high) = band.window_cm1(input.observed.mode());
    let reach = 2.0 * band.slack_cm1;
    let mut there = input.observed.peaks().reaching(low - reach, high + reach).peekable();
    there.peek().is_some() && there.all(|(_, peak)| peak.is_vapour)
}

fn depth(wavenumber_cm1: f64, input: &JudgeInput<'_>) -> Option<f64> {
    match input.observed.mode() {
        MeasurementMode::Atr => {
            let Element { crystal_index, angle_deg } = input.element?;
            penetration_depth_um(crystal_index, angle_deg, SAMPLE_INDEX, wavenumber_cm1).ok()
        }
        MeasurementMode::Transmission | MeasurementMode::Reflection => None,
    }
}

fn state_of(answer: Answer, optional: bool) -> (BandState, &'static str) {
    match answer {
        Answer::Met(_, worth) if worth >= MET_WORTH => (BandState::Met, ""),
        Answer::Met(..) => (BandState::Missing, "a band is there, but its place or height is off"),
        Answer::Missing { covered: true } => {
            (BandState::Untestable, "a stronger neighbour covers its place")
        }
        Answer::Missing { covered: false } if optional => {
            (BandState::Missing, "not shown by every sample of this material")
        }
        Answer::Missing { covered: false } => (BandState::Missing, ""),
        Answer::NotMeasured => (BandState::Untestable, phrases::NOT_MEASURED),
        Answer::TooWeak => (BandState::Untestable, "would be too weak to be seen here"),
        Answer::Shared => (BandState::Untestable, phrases::HIDDEN_BY_ANOTHER),
    }
}

/// Returns the best candidates, best first; artefacts are never among them. The evidence of a component
/// that is told already is taken from there: it says the same wherever it is shown.
pub(super) fn ranking(
    input: &JudgeInput<'_>,
    first: &[String],
    top: usize,
    told: Option<&Component>,
) -> Vec<Ranked> {
    let ranked = |candidate: &CandidateScore| {
        let (fit, material) = input.base_fit(candidate)?;
        let evidence = match told.filter(|component| component.id == material.id) {
            Some(component) => component.evidence.clone(),
            None => evidence(fit, input),
        };
        Some(Ranked { material: material.id.clone(), score: candidate.score, evidence })
    };
    // What the rules chose leads, whatever its score.
    let leading = first.iter().filter_map(|id| input.score_of(id)).filter_map(ranked);
    let others = input
        .candidate_scores
        .iter()
        .filter(|candidate| {
            input
                .base_fit(candidate)
                .is_some_and(|(_, material)| material.nameable && !first.contains(&material.id))
        })
        .take(top)
        .filter_map(ranked);
    leading.chain(others).take(top.max(first.len())).collect()
}

/// Returns what is left of unexplained peaks when those go that the evidence of what is named, or of one of several that
/// it may be, shows as met, or that stand where it says that the band was not measured whole: one peak is not both.
pub(super) fn without_own<'a>(
    unexplained: Vec<(f64, f64)>,
    evidence: impl Iterator<Item = &'a BandEvidence> + Clone,
    input: &JudgeInput<'_>,
) -> Vec<(f64, f64)> {
    let mode = input.observed.mode();
    let is_own = |position: f64| {
        evidence.clone().any(|band| {
            let cut = band.note == phrases::NOT_MEASURED;
            let window = input.tables.band(&band.band).map(|row| row.window(mode));
            band.found_cm1 == Some(position)
                || (cut && window.is_some_and(|window| window.contains(position)))
        })
    };
    unexplained.into_iter().filter(|(position, _)| !is_own(*position)).collect()
}

/// A peak explained less than this is one that nothing accounts for.
const OWNED: f64 = 0.4;

/// Returns whether a peak explained so far belongs to what explains it.
pub(super) fn is_owned(explained: f64) -> bool {
    explained >= OWNED
}

/// So far from a point in cm⁻¹ the curve must fall on both sides for a maximum of its own.
const TOP_REACH_CM1: f64 = 5.0;

/// Whether the curve has a maximum of its own at a peak: a shoulder has the height of its neighbour's flank.
fn is_top(position_cm1: f64, input: &JudgeInput<'_>) -> bool {
    let (axis, values) = (input.observed.axis_cm1(), input.observed.absorbances());
    let reach = TOP_REACH_CM1.max(2.0 * input.observed.measured().spacing_cm1());
    let points = window(axis, position_cm1 - reach, position_cm1 + reach);
    let highest = points.clone().max_by(|a, b| values[*a].total_cmp(&values[*b]));
    highest.is_some_and(|at| at > points.start && at + 1 < points.end)
}

/// Leaves out shoulders on the flank of a higher peak that has an owner: what they would be alone cannot be read.
pub(super) fn without_shoulders(
    unexplained: Vec<(f64, f64)>,
    explains: &[f64],
    input: &JudgeInput<'_>,
) -> Vec<(f64, f64)> {
    let peaks = input.observed.peaks().list.iter().zip(explains);
    let owned: Vec<&Peak> = peaks.filter(|(_, e)| is_owned(**e)).map(|(peak, _)| peak).collect();
    let on_flank = |(position, share): (f64, f64)| {
        owned
            .iter()
            .any(|peak| peak.share > share && (peak.position_cm1 - position).abs() <= FLANK_CM1)
    };
    unexplained.into_iter().filter(|band| is_top(band.0, input) || !on_flank(*band)).collect()
}

/// Strong peaks that nothing named accounts for: position in cm⁻¹ and share of the strongest.
pub(super) fn unexplained(input: &JudgeInput<'_>, explains: &[f64]) -> Vec<(f64, f64)> {
    /// A peak counts as strong from this share of the strongest on.
    const STRONG: f64 = 0.1;
    input
        .observed
        .peaks()
        .list
        .iter()
        .zip(explains)
        .filter(|(peak, explained)| {
            peak.share >= STRONG && !peak.is_vapour && !is_owned(**explained)
        })
        .map(|(peak, _)| (peak.position_cm1, peak.share))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::made::{Made, fit_of, rows};

    #[test]
    fn only_a_band_that_some_samples_lack_is_excused_for_being_missing() {
        // PVC-1356 was absent from some of the spectra that its height comes from, PVC-1254 from none.
        assert_eq!(
            note_of_missing("PVC-1356", "PE-HD"),
            "not shown by every sample of this material"
        );
        assert_eq!(note_of_missing("PVC-1254", "PE-HD"), "");
    }

    /// What is said of a band of poly(vinyl chloride) for which no peak was found in the spectrum of another material.
    fn note_of_missing(id: &str, in_spectrum_of: &str) -> String {
        let made = Made::of_bands(&rows(in_spectrum_of, 1.0));
        let input = made.input();
        let mut fit = fit_of("PVC", &input);
        fit.answers.fill(Answer::Missing { covered: false });
        let shown = evidence(&fit, &input);
        let band = shown.into_iter().find(|band| band.band == id).expect("a row");
        assert_eq!(band.state, BandState::Missing);
        band.note
    }

    #[test]
    fn of_a_maximum_that_was_not_picked_it_is_not_said_that_nothing_is_there() {
        assert!(note_of_missing("PVC-1254", "PVC").starts_with("something stands there"));
    }

    #[test]
    fn a_shoulder_on_the_flank_of_an_owned_band_is_not_a_band_without_an_owner() {
        let listed = |at: f64| {
            let made = Made::of_bands(&[(1740.0, 1.0), (1450.0, 0.5), (at, 0.5)]);
            let input = made.input();
            let is_main = |at: f64| (at - 1740.0).abs() < 3.0 || (at - 1450.0).abs() < 3.0;
            let explains: Vec<f64> = input
                .observed
                .peaks()
                .list
                .iter()
                .map(|peak| f64::from(u8::from(is_main(peak.position_cm1))))
                .collect();
            let all = vec![(at, 0.4)];
            without_shoulders(all, &explains, &input).len()
        };
        // Eight wavenumbers away it has no maximum of its own, twenty-six away, on the flank still, it has.
        assert_eq!((listed(1748.0), listed(1766.0)), (0, 1));
    }
}
