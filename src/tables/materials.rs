//! Materials: what the table can name, and what it knows only so as not to name something else.

use serde::{Deserialize, Serialize};

use super::sheet::{Record, Row};
use super::sourcing::Sourcing;
use super::words::{MaterialKind, MaterialRole};

/// One material.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Material {
    /// Id; the ISO 1043-1 symbol where one exists.
    pub id: String,
    /// Name in words.
    pub name: String,
    /// What else the trade calls it.
    pub also_called: Vec<String>,
    /// Polymer, fibre, additive, …
    pub kind: MaterialKind,
    /// Chemical family.
    pub family: String,
    /// Id of its look-alike group, if it has one.
    pub group: Option<String>,
    /// Whether it carries chlorine.
    pub chlorine: bool,
    /// Whether it may be an answer. A `false` row is listed so that no other material is named in
    /// its place: too few sourced bands stand behind it.
    pub nameable: bool,
    /// Ids of materials that a finding of this one does not exclude, though they differ.
    pub not_excluded: Vec<String>,
    /// What it does beside absorbing.
    pub roles: Vec<MaterialRole>,
    /// What a reader should know.
    pub note: String,
    /// Where the row comes from.
    pub sourcing: Sourcing,
}

impl Material {
    /// Returns whether the material competes as the base material of what was measured.
    #[must_use]
    pub const fn is_base(&self) -> bool {
        matches!(self.kind, MaterialKind::Polymer | MaterialKind::Fibre)
    }

    /// Returns whether the table gives it a role.
    #[must_use]
    pub fn has_role(&self, role: MaterialRole) -> bool {
        self.roles.contains(&role)
    }
}

impl Record for Material {
    const FILE: &'static str = "materials.csv";

    const HEADER: &'static str = "id,name,also_called,kind,family,group,chlorine,nameable,not_excluded,roles,source,\
         source_class,status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            name: row.required("name"),
            also_called: row.phrases("also_called"),
            kind: row.word("kind"),
            family: row.required("family"),
            group: row.optional("group"),
            chlorine: row.yes_or_no("chlorine"),
            nameable: row.yes_or_no("nameable"),
            not_excluded: row.list("not_excluded"),
            roles: row.words_or_none("roles"),
            sourcing: row.sourcing(),
            note: row.text("note"),
        }
    }
}
