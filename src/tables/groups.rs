//! Look-alike groups: materials that infrared may leave not told apart.

use serde::{Deserialize, Serialize};

use super::sheet::{Record, Row};
use super::sourcing::Sourcing;

/// A group within which an answer may stay narrowed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Group {
    /// Id.
    pub id: String,
    /// Ids of its members.
    pub members: Vec<String>,
    /// The feature of the spectrum that tells the members apart.
    pub feature: String,
    /// The measurement that would settle it.
    pub settled_by: String,
    /// Where the row comes from.
    pub sourcing: Sourcing,
}

impl Group {
    /// Returns whether all ids are members.
    #[must_use]
    pub fn covers<S: AsRef<str>>(&self, ids: &[S]) -> bool {
        ids.iter().all(|id| self.members.iter().any(|member| member == id.as_ref()))
    }
}

/// Words of ways for which a sample is taken.
const TAKES_A_SAMPLE: &[&str] =
    &["sample", "calorimetry", "pyrolysis", "density", "magnetic resonance", "solubility"];

/// Returns a way to settle what is open; where it takes a sample, with whose leave that is done.
pub(crate) fn in_permission(way: &str) -> String {
    if !TAKES_A_SAMPLE.iter().any(|word| way.contains(word)) {
        return way.to_owned();
    }
    let sample = if way.contains("sample") { "the sample" } else { "of a sample" };
    format!("{way}, {sample} taken with permission only and by local practice")
}

impl Record for Group {
    const FILE: &'static str = "groups.csv";

    const HEADER: &'static str = "id,members,feature,settled_by,source,source_class,status";

    fn from_row(row: &mut Row<'_>) -> Self {
        let group = Self {
            id: row.required("id"),
            members: row.list("members"),
            feature: row.required("feature"),
            settled_by: row.required("settled_by"),
            sourcing: row.sourcing(),
        };
        if group.members.len() < 2 {
            row.fault("members", "a group needs at least two members".into());
        }
        group
    }
}
