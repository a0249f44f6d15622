//! One spectrum with all its fits and candidate scores: what every step of the judgement asks.

use super::likeness::Likeness;
use crate::fitness::Fitness;
use crate::matching::{
    Answer, CandidateScore, Entry, Fit, MatchInput, Matcher, Observed, candidate_scores, fits,
    hide_minerals, on_shape_grid,
};
use crate::optics::Element;
use crate::peaks::Peaks;
use crate::prepare::Prepared;
use crate::spectrum::{MeasurementMode, PointFlag, Spectrum, window};
use crate::tables::{Material, MaterialKind, Tables};

/// Everything that is known of one spectrum before an answer is chosen.
#[derive(Debug)]
pub(super) struct JudgeInput<'a> {
    pub(super) observed: Observed<'a>,
    pub(super) tables: &'a Tables,
    pub(super) matcher: &'a Matcher,
    /// The element that it was measured on, where that is known.
    pub(super) element: Option<Element>,
    pub(super) fits: Vec<Fit>,
    /// Best first.
    pub(super) candidate_scores: Vec<CandidateScore>,
    /// The shapes that the whole curve resembles.
    pub(super) likeness: Likeness<'a>,
    /// How far the curve rises, as absorbance, at each place of the table where poly(vinyl chloride) would; nothing
    /// where not measured.
    pub(super) rises: Vec<Option<f64>>,
    fitness: &'a Fitness,
}

impl<'a> JudgeInput<'a> {
    pub(super) fn new(
        spectrum: &'a Spectrum,
        prepared: &'a Prepared,
        peaks: &'a Peaks,
        fitness: &'a Fitness,
        tables: &'a Tables,
        matcher: &'a Matcher,
    ) -> Self {
        let observed = Observed::new(spectrum, prepared, peaks).with_ripple(fitness.ripple());
        let match_input = MatchInput::new(spectrum, prepared, observed.peaks());
        let fits = fits(matcher.entries(), match_input);
        let candidate_scores = candidate_scores(&fits, matcher, observed.peaks());
        let mut curve = on_shape_grid(spectrum, prepared);
        let rises = tables.places().iter().map(|place| place.rise(&curve)).collect();
        hide_minerals(&mut curve, &fits, matcher.entries());
        let likeness = Likeness::new(matcher.shapes().compare(&curve), tables.shapes());
        Self {
            observed,
            tables,
            matcher,
            element: None,
            fits,
            candidate_scores,
            likeness,
            rises,
            fitness,
        }
    }

    /// Returns the spectrum as a material is matched with it.
    pub(super) const fn match_input(&self) -> MatchInput<'_> {
        MatchInput::new(self.observed.measured(), self.observed.prepared(), self.observed.peaks())
    }

    /// Returns whether the curve cannot be like the table's shapes, which are of attenuated total reflection below the
    /// detector's ceiling.
    pub(super) fn is_another_curve(&self) -> bool {
        self.observed.mode() == MeasurementMode::Transmission || self.is_cut_off()
    }

    /// Returns whether bands are cut off where no light came through.
    pub(super) fn is_cut_off(&self) -> bool {
        let is_saturated = |flag: &PointFlag| *flag == PointFlag::Saturated;
        self.observed.peaks().has_ceiling
            || self.observed.measured().flags().iter().any(is_saturated)
    }

    /// Returns how far lines of water vapour reach within a stretch, up or down, as absorbance.
    pub(super) fn vapour_over(&self, low_cm1: f64, high_cm1: f64) -> f64 {
        let axis = self.observed.axis_cm1();
        let points = axis.get(window(axis, low_cm1, high_cm1)).unwrap_or_default();
        points.iter().map(|at| self.fitness.vapour_reach(*at)).fold(0.0, f64::max)
    }

    pub(super) fn entry(&self, fit: &Fit) -> Option<&'a Entry> {
        self.matcher.entries().get(fit.entry)
    }

    pub(super) fn material(&self, fit: &Fit) -> Option<&'a Material> {
        self.tables.materials().get(self.entry(fit)?.material)
    }

    /// Returns whether no band is missing without which the material cannot be named.
    pub(super) fn shows_required(&self, fit: &Fit) -> bool {
        let Some(entry) = self.entry(fit) else { return false };
        entry.expected.iter().zip(&fit.answers).all(|(band, answer)| {
            !band.required || !matches!(answer, Answer::Missing { covered: false })
        })
    }

    /// Returns the fit of a candidate's base material, and that material.
    pub(super) fn base_fit(&self, candidate: &CandidateScore) -> Option<(&Fit, &'a Material)> {
        let fit = self.fits.get(candidate.base)?;
        Some((fit, self.material(fit)?))
    }

    pub(super) fn score_of(&self, id: &str) -> Option<&CandidateScore> {
        self.candidate_scores.iter().find(|candidate| {
            self.base_fit(candidate).is_some_and(|(_, material)| material.id == id)
        })
    }

    /// Returns the candidate scores of polymers and fibres, best first.
    pub(super) fn bases(&self) -> impl Iterator<Item = (&CandidateScore, &Fit, &'a Material)> {
        self.candidate_scores.iter().filter_map(|candidate| {
            let (fit, material) = self.base_fit(candidate)?;
            material.is_base().then_some((candidate, fit, material))
        })
    }

    /// Returns the candidate scores of additives and minerals standing alone, best first.
    pub(super) fn others(&self) -> impl Iterator<Item = (&CandidateScore, &Fit, &'a Material)> {
        self.candidate_scores.iter().filter_map(|candidate| {
            let (fit, material) = self.base_fit(candidate)?;
            let alone = matches!(
                material.kind,
                MaterialKind::Additive | MaterialKind::Mineral | MaterialKind::Residue
            );
            alone.then_some((candidate, fit, material))
        })
    }
}
