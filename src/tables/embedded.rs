//! The table as it ships: the very files that a chemist edits.

/// Lists the files once: their names and, compiled in, what stands in them.
macro_rules! files {
    ($($file:literal),+ $(,)?) => {
        /// Every file of a table folder, in the order in which faults are listed.
        pub(super) const FILES: [&str; FILE_COUNT] = [$($file),+];

        /// The contents of [`FILES`], in the same order.
        pub(super) const TEXTS: [&str; FILE_COUNT] =
            [$(include_str!(concat!("../../reference-bands/", $file))),+];
    };
}

files! {
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
}

/// Number of files in a table folder.
pub(super) const FILE_COUNT: usize = 19;

/// What a contributor reads beside the files.
pub(super) const README: &str = include_str!("../../reference-bands/README.md");
