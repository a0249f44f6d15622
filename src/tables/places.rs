//! Places where C–Cl stretches rise above what lies on either side of them.

use super::sheet::{Record, Row};
use super::sourcing::Sourcing;
use super::words::words;

words! {
    /// When a place of `places.csv` is asked for C–Cl.
    PlaceAsked {
        /// Before any other.
        First = "first",
        /// Where none of the first can be read.
        Otherwise = "otherwise",
    }
}

/// A place where the C–Cl stretches of poly(vinyl chloride) rise above what lies on either side of them, in cm⁻¹.
/// The level between the sides is what other broad bands add: titania, water, cellulose.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Place {
    /// Stable id.
    pub(crate) id: String,
    /// When it is asked.
    pub(crate) asked: PlaceAsked,
    /// The side below, in cm⁻¹.
    pub(crate) below_cm1: (f64, f64),
    /// The place itself, in cm⁻¹.
    pub(crate) at_cm1: (f64, f64),
    /// The side above, in cm⁻¹.
    pub(crate) above_cm1: (f64, f64),
    /// How far poly(vinyl chloride) itself rises there at least, as a share of its strongest band.
    pub(crate) least_rise: f64,
    /// So far spectra of one material may stray from its measured shapes here, as a share of the strongest band.
    pub(crate) spread: f64,
    /// What stands there, in words.
    pub(crate) shows: String,
    /// Where the row comes from.
    pub(crate) sourcing: Sourcing,
    /// What a reader should know.
    pub(crate) note: String,
}

impl Record for Place {
    const FILE: &'static str = "places.csv";

    const HEADER: &'static str = "id,asked,below_low_cm1,below_high_cm1,at_low_cm1,at_high_cm1,above_low_cm1,\
         above_high_cm1,least_rise,spread,shows,source,source_class,status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        let mut stretch = |low: &str, high: &str| {
            let window = row.window(low, high);
            (window.low_cm1, window.high_cm1)
        };
        let below_cm1 = stretch("below_low_cm1", "below_high_cm1");
        let at_cm1 = stretch("at_low_cm1", "at_high_cm1");
        let above_cm1 = stretch("above_low_cm1", "above_high_cm1");
        if below_cm1.1 > at_cm1.0 {
            row.fault(
                "below_high_cm1",
                format!("{} is above at_low_cm1 {}", below_cm1.1, at_cm1.0),
            );
        }
        if at_cm1.1 > above_cm1.0 {
            row.fault(
                "above_low_cm1",
                format!("{} is below at_high_cm1 {}", above_cm1.0, at_cm1.1),
            );
        }
        Self {
            id: row.required("id"),
            asked: row.word("asked"),
            below_cm1,
            at_cm1,
            above_cm1,
            least_rise: row.share("least_rise", 1.0),
            spread: row.share("spread", 1.0),
            shows: row.required("shows"),
            sourcing: row.sourcing(),
            note: row.text("note"),
        }
    }
}
