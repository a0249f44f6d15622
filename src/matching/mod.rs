//! Pairs the table's bands with what a spectrum shows, and answers the rules' questions.

mod explain;
mod features;
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

pub use explain::{Account, OwnBands, accounts, explained_share, join, own_bands};
pub use features::{Feature, Features};
pub use fit::{Answer, Fit, MET_WORTH, Scene, fit, fits};
pub use matcher::{Entry, Expected, Matcher};
pub use minerals::{hide_minerals, is_shown};
pub use observed::Observed;
pub use predicate::{
    Answered, LocalHeight, evaluate, half_height_width_cm1, is_measured, local_height,
};
pub use reference_cache::ReferenceCache;
pub use reference_sheet::{REFERENCE_SHEET, ReferenceSheetError, read_reference_sheet};
pub use references::{
    LEAST_SIMILARITY, NamedResemblance, OnGrid, ReferenceLabel, ReferenceLibrary, ReferenceOpinion,
    Resemblance,
};
pub use scale_shift::scale_difference_ppm;
pub use shape_grid::on_shape_grid;
pub use shape_labels::{ShapeLabel, read_shape_labels};
pub use shape_making::{LEAST_AVERAGED, LabelledCurve, make_shapes};
pub use shapes::{Resembles, ShapeLibrary, Summand};
