//! A doubt that must reach the reader of a report.

use serde::{Deserialize, Serialize};

/// Something that could be read or judged, but with a doubt that is passed on.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Warning {
    /// A stable id in kebab case, such as `ordinate-inferred`.
    pub id: String,
    /// One line of text: what was met, and what was done about it.
    pub text: String,
}

/// The id of the warning that a file's values do not look like the ordinate it states.
pub(crate) const ORDINATE_DOUBTFUL: &str = "ordinate-doubtful";

impl Warning {
    /// Creates a warning.
    #[must_use]
    pub fn new(id: &str, text: impl Into<String>) -> Self {
        Self { id: id.to_owned(), text: text.into() }
    }
}
