//! Turns fits into the evidence that is shown: each expected band with what became of it.

use super::input::JudgeInput;
use super::outcome::{BandEvidence, BandState, Component, Ranked};
use super::phrases;
use crate::matching::{Answer, CandidateScore, Expected, Fit, MET_WORTH};
use crate::optics::{Element, penetration_depth_um};
use crate::spectrum::MeasurementMode;
use crate::tables::MaterialKind;

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

/// Strong peaks that nothing named accounts for: position in cm⁻¹ and share of the strongest.
pub(super) fn unexplained(input: &JudgeInput<'_>, explains: &[f64]) -> Vec<(f64, f64)> {
    /// A peak counts as strong from this share of the strongest on.
    const STRONG: f64 = 0.1;
    /// A peak explained less than this is listed.
    const UNEXPLAINED: f64 = 0.4;
    input
        .observed
        .peaks()
        .list
        .iter()
        .zip(explains)
        .filter(|(peak, explained)| {
            peak.share >= STRONG && !peak.is_vapour && **explained < UNEXPLAINED
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
        let made = Made::of_bands(&rows("PVC", 1.0));
        let input = made.input();
        let mut fit = fit_of("PVC", &input);
        fit.answers.fill(Answer::Missing { covered: false });
        let shown = evidence(&fit, &input);
        let note = |id: &str| {
            let band = shown.iter().find(|band| band.band == id).expect("a row");
            assert_eq!(band.state, BandState::Missing);
            band.note.as_str()
        };
        // PVC-1356 was absent from some of the spectra that its height comes from, PVC-1254 from none.
        assert_eq!(note("PVC-1356"), "not shown by every sample of this material");
        assert_eq!(note("PVC-1254"), "");
    }
}
