//! Where a row of the table comes from.

use serde::{Deserialize, Serialize};

use super::words::{SourceClass, Status};

/// The source of a row, its class, and how far the row was checked against it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Sourcing {
    /// Title, year, address.
    pub source: String,
    /// Kind of publication.
    pub class: SourceClass,
    /// How far the figure was checked.
    pub status: Status,
}

impl Sourcing {
    /// Returns whether advice may rest on it: a source printed by name, or a fact of the trade that says so.
    #[must_use]
    pub fn carries_advice(&self) -> bool {
        self.class.is_printable() || self.status == Status::CommonPractice
    }

    /// Returns the source as a report may print it.
    ///
    /// Only standards, peer-reviewed work, measured data and institutions are printed by name; all
    /// else reads "unverified secondary".
    #[must_use]
    pub fn printed(&self) -> &str {
        if self.class.is_printable() {
            &self.source
        } else if self.status == Status::CommonPractice {
            "common practice, no source"
        } else {
            "unverified secondary"
        }
    }
}
