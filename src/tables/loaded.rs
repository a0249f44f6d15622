//! A table as it was read, before its files are compared.

use super::sheet::Located;
use super::{
    bands, care, classes, groups, markers, materials, places, predicates, rule_table, shapes,
    stretches, windows,
};

/// Everything read, each value with its line, before the files are compared.
pub(super) struct Loaded {
    pub(super) materials: Vec<Located<materials::Material>>,
    pub(super) bands: Vec<Located<bands::Band>>,
    pub(super) groups: Vec<Located<groups::Group>>,
    pub(super) windows: Vec<Located<windows::TellingWindow>>,
    pub(super) classes: Vec<Located<classes::Class>>,
    pub(super) rules: Vec<Located<rule_table::Rule>>,
    pub(super) predicates: Vec<Located<predicates::OwnedQuestion>>,
    pub(super) markers: Vec<Located<markers::Marker>>,
    pub(super) confounders: Vec<Located<markers::Confounder>>,
    pub(super) routes: Vec<Located<markers::Route>>,
    pub(super) care: Vec<Located<care::CareNote>>,
    pub(super) neighbours: Vec<Located<care::NeighbourRule>>,
    pub(super) practice: Vec<Located<care::Practice>>,
    pub(super) bending: Vec<Located<care::BendingLimit>>,
    pub(super) stretches: Vec<Located<stretches::StretchRow>>,
    pub(super) places: Vec<Located<places::Place>>,
    pub(super) shapes: Vec<Located<shapes::Shape>>,
}
