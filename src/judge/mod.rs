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
    if peaks.list.len() < LEAST_PEAKS || peaks.clearness < LEAST_CLEARNESS {
        return nothing("no band stands clearly above the noise");
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
