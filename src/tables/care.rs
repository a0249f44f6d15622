//! Care notes, neighbours at risk, practice of measuring, and bending limits.
//!
//! **In:** `care.csv`, `neighbours.csv`, `practice.csv` and `bending.csv` of the table.
//!
//! **Out:** their rows; advice is printed only where its source may be.
//!
//! ```
//! use bandlore::Tables;
//!
//! for note in Tables::built_in().care_of("PVC") {
//!     println!("{}: {} ({})", note.id, note.advice, note.sourcing.printed());
//! }
//! ```

use serde::{Deserialize, Serialize};

use super::sheet::{Record, Row};
use super::sourcing::Sourcing;
use super::words::{CareTopic, Hazard, NeighbourKind, NeighbourRelation};

/// One care note.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct CareNote {
    /// Stable id.
    pub id: String,
    /// Ids of the materials it holds for; empty for any.
    pub materials: Vec<String>,
    /// What it is about.
    pub topic: CareTopic,
    /// The note in plain words.
    pub advice: String,
    /// Ids of notes that advise otherwise; both are shown, as a conflict.
    pub conflicts_with: Vec<String>,
    /// Where it comes from.
    pub sourcing: Sourcing,
}

/// A pair rule: what a part of one material does to what stands beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct NeighbourRule {
    /// Stable id.
    pub id: String,
    /// What passes over.
    pub hazard: Hazard,
    /// Ids of the materials that give it off.
    pub from: Vec<String>,
    /// Kind of neighbour at risk.
    pub neighbour: NeighbourKind,
    /// Ids of the plastics at risk where the neighbour is a plastic; empty for any.
    pub neighbour_materials: Vec<String>,
    /// Relations in which the rule applies.
    pub relations: Vec<NeighbourRelation>,
    /// What may happen, in plain words.
    pub risk: String,
    /// What to do first.
    pub advice: String,
    /// Where it comes from.
    pub sourcing: Sourcing,
}

/// One rule of good practice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Practice {
    /// Stable id.
    pub id: String,
    /// Subject: resolution, contact, baseline, …
    pub topic: String,
    /// The rule.
    pub rule: String,
    /// Usual figure, in words; empty where there is none.
    pub value: String,
    /// Where it comes from.
    pub sourcing: Sourcing,
}

/// A figure for the smallest radius to which a sheet may be held, as a multiple of its thickness.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct BendingLimit {
    /// Stable id.
    pub id: String,
    /// Id of the sheet's material.
    pub material: String,
    /// Construction or grade: solid, cast, impact-modified, …
    pub grade: String,
    /// Radius over thickness that this source allows.
    pub radius_multiple: f64,
    /// Where it comes from.
    pub sourcing: Sourcing,
    /// What a reader should know.
    pub note: String,
}

impl Record for CareNote {
    const FILE: &'static str = "care.csv";

    const HEADER: &'static str =
        "id,materials,topic,advice,conflicts_with,source,source_class,status";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            materials: row.list("materials"),
            topic: row.word("topic"),
            advice: row.required("advice"),
            conflicts_with: row.list("conflicts_with"),
            sourcing: row.sourcing(),
        }
    }
}

impl Record for NeighbourRule {
    const FILE: &'static str = "neighbours.csv";

    const HEADER: &'static str = "id,hazard,from,neighbour,neighbour_materials,relations,risk,advice,source,source_class,\
         status";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            hazard: row.word("hazard"),
            from: row.required_list("from"),
            neighbour: row.word("neighbour"),
            neighbour_materials: row.list("neighbour_materials"),
            relations: row.words("relations"),
            risk: row.required("risk"),
            advice: row.required("advice"),
            sourcing: row.sourcing(),
        }
    }
}

impl Record for Practice {
    const FILE: &'static str = "practice.csv";

    const HEADER: &'static str = "id,topic,rule,value,source,source_class,status";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            topic: row.required("topic"),
            rule: row.required("rule"),
            value: row.text("value"),
            sourcing: row.sourcing(),
        }
    }
}

impl Record for BendingLimit {
    const FILE: &'static str = "bending.csv";

    const HEADER: &'static str =
        "id,material,grade,radius_multiple,source,source_class,status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        let limit = Self {
            id: row.required("id"),
            material: row.required("material"),
            grade: row.required("grade"),
            radius_multiple: row.number("radius_multiple"),
            sourcing: row.sourcing(),
            note: row.text("note"),
        };
        if limit.radius_multiple <= 0.0 {
            row.fault("radius_multiple", format!("{} is not above 0", limit.radius_multiple));
        }
        limit
    }
}
