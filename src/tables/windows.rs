//! Where the members of a look-alike group differ: the windows in which a reference may settle a claim.

use serde::{Deserialize, Serialize};

use super::rules::Window;
use super::sheet::{Record, Row};
use super::sourcing::Sourcing;

/// A stretch in which a sheet is compared with a reference that somebody vouches for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct TellingWindow {
    /// Stable id: the group's, a hyphen, the lower limit.
    pub id: String,
    /// Id of the look-alike group.
    pub group: String,
    /// The stretch, in cm⁻¹.
    pub window: Window,
    /// What absorbs there, in words.
    pub shows: String,
    /// Where the row comes from.
    pub sourcing: Sourcing,
    /// What a reader should know.
    pub note: String,
}

impl Record for TellingWindow {
    const FILE: &'static str = "windows.csv";

    const HEADER: &'static str = "id,group,low_cm1,high_cm1,shows,source,source_class,status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            group: row.required("group"),
            window: row.window("low_cm1", "high_cm1"),
            shows: row.required("shows"),
            sourcing: row.sourcing(),
            note: row.text("note"),
        }
    }
}
