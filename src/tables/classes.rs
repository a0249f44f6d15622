//! Classes: what may be said where the bands show a kind of material but not which one.

use serde::{Deserialize, Serialize};

use super::rule_table::Questions;
use super::sheet::{Record, Row};
use super::sourcing::Sourcing;
use super::words::MeasuredBy;

/// A class of materials with the evidence that it needs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Class {
    /// Id.
    pub id: String,
    /// Name in words, singular and without an article: "aromatic polyester".
    pub name: String,
    /// Ids of its members. A material may belong to several classes.
    pub members: Vec<String>,
    /// Which measurements its evidence holds for.
    pub measured_by: MeasuredBy,
    /// The evidence; filled from `predicates.csv`.
    pub questions: Questions,
    /// Where the row comes from.
    pub sourcing: Sourcing,
    /// What a reader should know.
    pub note: String,
}

impl Class {
    /// Returns whether a material is a member.
    #[must_use]
    pub fn holds(&self, material: &str) -> bool {
        self.members.iter().any(|member| member == material)
    }
}

impl Record for Class {
    const FILE: &'static str = "classes.csv";

    const HEADER: &'static str =
        "id,name,members,least_some,measured_by,source,source_class,status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        let class = Self {
            id: row.required("id"),
            name: row.required("name"),
            members: row.list("members"),
            questions: Questions::from_row(row),
            measured_by: row.word("measured_by"),
            sourcing: row.sourcing(),
            note: row.text("note"),
        };
        if class.members.len() < 2 {
            row.fault("members", "a class needs at least two members".into());
        }
        class
    }
}
