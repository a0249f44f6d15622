//! The table as it ships: the very files that a chemist edits.

/// Every file of a table folder, in the order in which faults are listed.
pub(super) const FILES: [&str; FILE_COUNT] = [
    "table.toml",
    "materials.csv",
    "bands.csv",
    "groups.csv",
    "windows.csv",
    "classes.csv",
    "rules.csv",
    "predicates.csv",
    "markers.csv",
    "confounders.csv",
    "routes.csv",
    "care.csv",
    "neighbours.csv",
    "practice.csv",
    "bending.csv",
    "stretches.csv",
    "places.csv",
    "shape-sources.csv",
    "shapes.csv",
];

/// Number of files in a table folder.
pub(super) const FILE_COUNT: usize = 19;

/// The contents of [`FILES`], in the same order.
pub(super) const TEXTS: [&str; FILE_COUNT] = [
    include_str!("../../reference-bands/table.toml"),
    include_str!("../../reference-bands/materials.csv"),
    include_str!("../../reference-bands/bands.csv"),
    include_str!("../../reference-bands/groups.csv"),
    include_str!("../../reference-bands/windows.csv"),
    include_str!("../../reference-bands/classes.csv"),
    include_str!("../../reference-bands/rules.csv"),
    include_str!("../../reference-bands/predicates.csv"),
    include_str!("../../reference-bands/markers.csv"),
    include_str!("../../reference-bands/confounders.csv"),
    include_str!("../../reference-bands/routes.csv"),
    include_str!("../../reference-bands/care.csv"),
    include_str!("../../reference-bands/neighbours.csv"),
    include_str!("../../reference-bands/practice.csv"),
    include_str!("../../reference-bands/bending.csv"),
    include_str!("../../reference-bands/stretches.csv"),
    include_str!("../../reference-bands/places.csv"),
    include_str!("../../reference-bands/shape-sources.csv"),
    include_str!("../../reference-bands/shapes.csv"),
];

/// What a contributor reads beside the files.
pub(super) const README: &str = include_str!("../../reference-bands/README.md");
