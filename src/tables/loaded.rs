//! The sheets of a table: as they were read, and as they are asked when the files were held against each other.

use super::bands::Band;
use super::care::{BendingLimit, CareNote, NeighbourRule, Practice};
use super::classes::Class;
use super::fault::Fault;
use super::groups::Group;
use super::markers::{Confounder, Marker, Route};
use super::materials::Material;
use super::places::Place;
use super::predicates::OwnedQuestion;
use super::rule_table::Rule;
use super::shapes::Shape;
use super::sheet::{Located, Record, canonical, read, repeated_ids, values};
use super::stretches::StretchRow;
use super::windows::TellingWindow;

/// Lists the sheets once, and what is done with each of them.
macro_rules! sheets {
    ($($(#[$attribute:meta])* $sheet:ident: $record:ty),+ $(,)?) => {
        /// Everything read, each row with its line, before the files are compared.
        pub(super) struct Loaded {
            $(pub(super) $sheet: Vec<Located<$record>>,)+
        }

        /// Everything read, each sheet in its order.
        #[derive(Debug, Default)]
        pub(super) struct Rows {
            $($(#[$attribute])* pub(super) $sheet: Vec<$record>,)+
        }

        impl Loaded {
            /// Reads every sheet whose bytes are handed out for its file's name.
            pub(super) fn read<'b>(
                bytes_of: impl Fn(&str) -> Option<&'b [u8]>,
                faults: &mut Vec<Fault>,
            ) -> Self {
                let mut rows = Self { $($sheet: Vec::new(),)+ };
                $(if let Some(bytes) = bytes_of(<$record>::FILE) {
                    rows.$sheet = read(bytes, faults);
                })+
                rows
            }

            /// Adds a fault for every id that stands twice in its sheet.
            pub(super) fn repeated_ids(&self, faults: &mut Vec<Fault>) {
                $(repeated_ids(&self.$sheet, faults);)+
            }

            /// Takes the rows without their lines.
            pub(super) fn into_rows(self) -> Rows {
                Rows { $($sheet: values(self.$sheet),)+ }
            }
        }

        /// Returns each sheet's file and its rows in one spelling, see [`canonical`].
        pub(super) fn canonical_sheets<'b>(
            bytes_of: impl Fn(&str) -> &'b [u8],
        ) -> Vec<(&'static str, Vec<String>)> {
            vec![$((<$record>::FILE, canonical::<$record>(bytes_of(<$record>::FILE)))),+]
        }
    };
}

// In the order of the files, from which the digest is made.
sheets! {
    materials: Material,
    bands: Band,
    groups: Group,
    windows: TellingWindow,
    classes: Class,
    rules: Rule,
    #[allow(dead_code, reason = "each rule, confounder and class has its own by then")]
    predicates: OwnedQuestion,
    markers: Marker,
    confounders: Confounder,
    routes: Route,
    care: CareNote,
    neighbours: NeighbourRule,
    practice: Practice,
    bending: BendingLimit,
    stretches: StretchRow,
    places: Place,
    shapes: Shape,
}
