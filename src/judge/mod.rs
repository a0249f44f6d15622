//! What can be said of a spectrum, in which words.
//!
//! **In:** everything that the stages before found: spectrum, preparation, peaks, fitness, and the table with its matcher.
//!
//! **Out:** an [`Identification`]: the [`Outcome`], the ranking with its evidence, look-alikes, components, and the chlorine finding.
//!
//! [`Examiner::examine`](crate::Examiner::examine) carries out the stages in their order; the front page shows them one by one.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::judge::{ChlorineBands, Outcome};
//! use bandlore::{Examiner, Tables};
//!
//! let found = Examiner::new(Tables::built_in()).examine(spectrum)?.identification;
//! assert_eq!(found.outcome, Outcome::Identified);
//! assert_eq!(found.chlorine.bands, ChlorineBands::Present);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod carbon_chlorine;
mod chlorine;
mod chlorine_places;
mod choose;
mod components;
mod compose;
mod evidence;
mod input;
mod likeness;
#[cfg(test)]
mod made;
mod members;
mod outcome;
mod phrases;
mod plasticiser;
mod pvc_room;
mod relation;
mod rule_log;
mod settings;
mod table_effects;

pub use outcome::{
    BandEvidence, BandState, Chlorine, ChlorineBands, ChlorineByIdentity, ClassAnswer, Component,
    Identification, Outcome, Plasticiser, Ranked, Relation, RuleAnswer, ShapeEvidence, ShapeShare,
    Unsettled,
};
pub use settings::JudgeSettings;

pub(crate) use likeness::ALIKE;

use input::JudgeInput;
use rule_log::RuleLog;

use crate::fitness::Fitness;
use crate::matching::Matcher;
use crate::peaks::Peaks;
use crate::prepare::Prepared;
use crate::spectrum::Spectrum;
use crate::tables::Tables;

/// The strongest band must stand this many times above the scatter of the second derivative: pure
/// noise reaches 5 to 9 among a thousand points.
const LEAST_CLEARNESS: f64 = 12.0;

/// Fewer peaks than this are no spectrum of a plastic.
const LEAST_PEAKS: usize = 2;

/// Says what a spectrum shows, of the surface at this spot.
///
/// Every outcome is an answer, never an error: what cannot be judged comes out as
/// [`Outcome::NotEnoughSignal`] with the reason.
#[must_use]
pub fn identify(
    spectrum: &Spectrum,
    prepared: &Prepared,
    peaks: &Peaks,
    fitness: &Fitness,
    tables: &Tables,
    matcher: &Matcher,
    settings: &JudgeSettings,
) -> Identification {
    if let Some(finding) = fitness.unfit() {
        return nothing(&finding.consequence);
    }
    let mut input = JudgeInput::new(spectrum, prepared, peaks, fitness, tables, matcher);
    input.element = settings.element;
    if peaks.list.len() == 1 && peaks.clearness >= LEAST_CLEARNESS {
        return nothing("only one band stands clear, and one is shared by many materials");
    }
    if peaks.list.len() < LEAST_PEAKS || peaks.clearness < LEAST_CLEARNESS {
        return nothing(
            "no band is strong and narrow enough to stand clear of the curve and its noise",
        );
    }
    let mut rule_log = RuleLog::default();
    let choice = choose::choose(&input, &mut rule_log);
    compose::compose(choice, &input, rule_log, settings)
}

/// The answer where nothing can be said.
fn nothing(why: &str) -> Identification {
    Identification {
        outcome: Outcome::NotEnoughSignal,
        material: None,
        candidates: Vec::new(),
        class: None,
        shape: None,
        components: Vec::new(),
        ranking: Vec::new(),
        chlorine: Chlorine {
            bands: ChlorineBands::CannotTell,
            by_identity: ChlorineByIdentity::Open,
            why: format!("not testable because {why}"),
        },
        plasticiser: None,
        sentence: phrases::not_enough_signal(why),
        unsettled: None,
        unexplained: Vec::new(),
        remarks: Vec::new(),
        rules: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    use super::made::{self, Made};
    use super::*;
    use crate::optics::Element;

    #[test]
    fn two_clear_bands_are_judged_and_one_is_not_enough() {
        let outcome = |bands: &[(f64, f64)]| {
            Made::of_bands(bands).identified(&JudgeSettings::default()).outcome
        };
        assert_eq!(outcome(&[(1000.0, 1.0), (1500.0, 0.6)]), Outcome::NotInTable);
        assert_eq!(outcome(&[(1000.0, 1.0)]), Outcome::NotEnoughSignal);
    }

    #[test]
    fn the_depth_of_a_band_is_told_where_the_element_is_known() {
        let made = Made::of_bands(&made::rows("PMMA", 1.0));
        let depths = |settings: JudgeSettings| -> Vec<Option<f64>> {
            let found = made.identified(&settings);
            assert_eq!(found.material.as_deref(), Some("PMMA"), "{}", found.sentence);
            found.components[0].evidence.iter().map(|band| band.depth_um).collect()
        };
        let with =
            |element: Option<Element>| depths(JudgeSettings::default().with_element(element));
        assert!(with(None).iter().all(Option::is_none));
        let known = with(Some(Element::DIAMOND_45));
        let known: Vec<f64> = known.into_iter().map(|depth| depth.expect("known")).collect();
        // Rows descend, and the wave reaches deeper the lower the wavenumber.
        assert!(known.len() > 5 && known.windows(2).all(|pair| pair[0] < pair[1]), "{known:?}");
    }

    #[test]
    fn chlorine_is_not_denied_where_noise_would_hide_its_band() {
        let noisy = |height: f64| {
            let mut random = ChaCha8Rng::seed_from_u64(613);
            let bands = made::rows("PMMA", 1.0);
            let made = Made::of(&bands, |x| {
                let noise: f64 = random.random_range(-1.0..1.0);
                if (560.0..700.0).contains(&x) { height * noise } else { 0.0 }
            });
            let found = made.identified(&JudgeSettings::default());
            assert_eq!(found.material.as_deref(), Some("PMMA"), "{}", found.sentence);
            found.chlorine
        };
        assert_eq!(noisy(0.0).bands, ChlorineBands::NotDetected);
        let hidden = noisy(0.1);
        assert_eq!(hidden.bands, ChlorineBands::CannotTell);
        assert!(hidden.why.contains("the noise near 613 cm⁻¹ would hide"), "{}", hidden.why);
    }

    #[test]
    fn the_ranking_lists_each_material_once_and_none_that_may_not_be_named() {
        let made = Made::of_bands(&made::rows("PMMA", 1.0));
        let ranking = made.identified(&JudgeSettings::default().with_top(1000)).ranking;
        let mut ids: Vec<&str> = ranking.iter().map(|ranked| ranked.material.as_str()).collect();
        assert_eq!(ids[0], "PMMA");
        let is_nameable = |id: &str| Tables::built_in().material(id).is_some_and(|m| m.nameable);
        assert!(ids.iter().all(|id| is_nameable(id)), "{ids:?}");
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all);
        // Some that were matched may not be named.
        let input = made.input();
        let is_barred = |fit| input.material(fit).is_some_and(|material| !material.nameable);
        assert!(input.fits.iter().any(is_barred));
    }

    #[test]
    fn one_band_names_nothing_and_is_not_called_hidden_by_noise() {
        let made = Made::of(&[(1730.0, 1.0)], |_| 0.0);
        let found = made.identified(&JudgeSettings::default());
        assert_eq!(found.outcome, Outcome::NotEnoughSignal);
        assert!(found.sentence.contains("only one band stands clear"), "{}", found.sentence);
    }

    #[test]
    fn bands_that_point_down_are_not_judged_and_the_answer_says_why() {
        let upright = Made::of_bands(&made::rows("PMMA", 1.0)).spectrum;
        let down = upright.absorbances().iter().map(|value| -value).collect();
        let made = Made::of_values(down, upright.wavenumbers_cm1().to_vec());
        let found = made.identified(&JudgeSettings::default());
        assert_eq!(found.outcome, Outcome::NotEnoughSignal);
        assert!(found.sentence.contains("bands point down"), "{}", found.sentence);
        assert!(found.chlorine.why.contains("bands point down"), "{}", found.chlorine.why);
    }
}
