//! Pairs the table's bands with what a spectrum shows, and answers the rules' questions.
//!
//! **In:** the table ([`Matcher`]), and a prepared spectrum with its peaks ([`Observed`]).
//!
//! **Out:** the answers to the rules' questions ([`evaluate`]), resemblance to the table's shapes, and the opinion of a user's own references.
//!
//! ```
//! use bandlore::Tables;
//! use bandlore::matching::Matcher;
//!
//! let tables = Tables::built_in();
//! let matcher = Matcher::new(tables);
//! assert!(!matcher.entries().is_empty() && matcher.entries().len() <= tables.materials().len());
//! ```

mod explain;
mod fit;
mod matcher;
mod minerals;
mod observed;
mod predicate;
mod reference_cache;
mod reference_sheet;
mod references;
mod scale_shift;
mod shape_grid;
mod shape_labels;
mod shape_making;
mod shapes;

pub(crate) use explain::{
    CandidateScore, OwnBands, candidate_scores, explained_share, is_more_than_recalled, join,
    own_bands,
};
pub(crate) use fit::{Answer, Fit, MET_WORTH, MatchInput, fit, fits};
pub use matcher::Matcher;
pub use matcher::{Entry, Expected};
pub(crate) use minerals::{hide_minerals, is_shown, is_whole};
pub use observed::Observed;
pub use predicate::{Answered, evaluate};
pub(crate) use predicate::{LocalHeight, half_height_width_cm1, local_height};
pub(crate) use reference_cache::ReferenceCache;
pub(crate) use reference_sheet::{REFERENCE_SHEET, read_reference_sheet};
pub(crate) use references::LEAST_SIMILARITY;
pub use references::{NamedResemblance, ReferenceOpinion, Resemblance};
pub use references::{OnGrid, ReferenceLabel, ReferenceLibrary};
pub(crate) use scale_shift::scale_difference_ppm;
pub(crate) use shape_grid::on_shape_grid;
pub(crate) use shape_labels::{ShapeLabel, read_shape_labels};
pub use shape_making::{LabelledCurve, make_shapes};
pub use shapes::{Resembles, ShapeLibrary, Summand};
