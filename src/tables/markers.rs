//! Markers: numbers that follow ageing or composition, and what makes them meaningless.
//!
//! **In:** `markers.csv`, `confounders.csv` and `routes.csv` of the table.
//!
//! **Out:** their rows: a [`Marker`] with its exact limits and baseline in cm⁻¹, what may feign it, and routes of ageing.
//!
//! ```
//! use bandlore::Tables;
//!
//! for marker in Tables::built_in().markers_of("PVC") {
//!     assert!(marker.measure.limits.low_cm1 < marker.measure.limits.high_cm1);
//! }
//! ```

use serde::{Deserialize, Serialize};

use super::rule_table::Questions;
use super::rules::Window;
use super::sheet::{Record, Row};
use super::sourcing::Sourcing;
use super::words::{
    ConfounderEffect, ConfounderRole, Direction, LimitsFrom, MarkerRole, MeasureKind, MeasuredBy,
    RouteKind,
};

/// How one number is read from a spectrum.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Measure {
    /// Area, mean height, maximum or second derivative.
    pub kind: MeasureKind,
    /// Exact limits.
    pub limits: Window,
    /// The two points on which the straight baseline stands.
    pub baseline: Window,
}

impl Measure {
    /// Creates a measure, to read with [`read_measure`](crate::ageing::read_measure).
    #[must_use]
    pub const fn new(kind: MeasureKind, limits: Window, baseline: Window) -> Self {
        Self { kind, limits, baseline }
    }
}

/// What a marker reads on fresh references.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Blank {
    /// Mean reading.
    pub value: f64,
    /// Standard deviation of one reading.
    pub standard_deviation: f64,
    /// Number of spectra.
    pub count: usize,
    /// The open data set or optical constants measured.
    pub source: String,
}

/// One marker: a measure, or its ratio to a reference.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Marker {
    /// Stable id.
    pub id: String,
    /// Ids of the materials it holds for; empty for any.
    pub materials: Vec<String>,
    /// What it follows, in words.
    pub shows: String,
    /// The same for a reader who is no chemist, as it ends "more …"; empty where `shows` does.
    pub plain: String,
    /// Primary, exploratory or composition.
    pub role: MarkerRole,
    /// The primary marker whose place this one takes where its own subject is there.
    pub instead_of: Option<String>,
    /// The band that moves.
    pub measure: Measure,
    /// The band held to be steady, if the marker is a ratio.
    pub reference: Option<Measure>,
    /// A second reference used where the first is refused by a filler, if any.
    pub fallback: Option<Measure>,
    /// Which way it moves with ageing.
    pub direction: Direction,
    /// Whether a fresh specimen should show none of it.
    pub zero_when_fresh: bool,
    /// What fresh specimens show, in words; empty where not known.
    pub fresh: String,
    /// What was read on fresh references, where an open set holds some.
    pub blank: Option<Blank>,
    /// Whether no open measured series could prove it: proven on synthetic mixtures alone.
    pub mixtures_only: bool,
    /// Which measurements it holds for.
    pub measured_by: MeasuredBy,
    /// Who set the limits.
    pub limits_from: LimitsFrom,
    /// Where the marker comes from.
    pub sourcing: Sourcing,
    /// What a reader should know.
    pub note: String,
}

/// Something in the spectrum that makes a marker unsafe.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Confounder {
    /// Stable id.
    pub id: String,
    /// Ids of the markers it touches.
    pub markers: Vec<String>,
    /// What it is: "chalk", "ester plasticiser".
    pub what: String,
    /// Refuse or caution.
    pub effect: ConfounderEffect,
    /// What it does to the number, in one plain sentence.
    pub does: String,
    /// Ids of components whose presence in the identification means the same.
    pub components: Vec<String>,
    /// What else follows from it.
    pub role: Option<ConfounderRole>,
    /// The questions; filled from `predicates.csv`. May be empty where `components` says it all.
    pub questions: Questions,
    /// Where the row comes from.
    pub sourcing: Sourcing,
}

/// The published pattern of one route of ageing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Route {
    /// Stable id.
    pub id: String,
    /// Ids of the materials it holds for.
    pub materials: Vec<String>,
    /// The route.
    pub route: RouteKind,
    /// Markers that must have grown.
    pub up: Vec<String>,
    /// Markers that must have fallen.
    pub down: Vec<String>,
    /// Markers that must not have changed.
    pub steady: Vec<String>,
    /// Range of light the source speaks of, in words; empty where no light is meant.
    pub light: String,
    /// The sentence said when the pattern is met; begins with "suggests".
    pub wording: String,
    /// Where the row comes from.
    pub sourcing: Sourcing,
}

impl Record for Marker {
    const FILE: &'static str = "markers.csv";

    const HEADER: &'static str = "id,materials,shows,plain,role,instead_of,kind,low_cm1,high_cm1,baseline_low_cm1,\
         baseline_high_cm1,reference_kind,reference_low_cm1,reference_high_cm1,\
         reference_baseline_low_cm1,reference_baseline_high_cm1,fallback_kind,fallback_low_cm1,\
         fallback_high_cm1,fallback_baseline_low_cm1,fallback_baseline_high_cm1,direction,\
         zero_when_fresh,fresh,blank_value,blank_sd,blank_n,blank_source,mixtures_only,\
         measured_by,limits_from,source,source_class,status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            materials: row.list("materials"),
            shows: row.required("shows"),
            plain: row.text("plain"),
            role: row.word("role"),
            instead_of: row.optional("instead_of"),
            measure: measure(row, MEASURE),
            reference: optional_measure(row, REFERENCE),
            fallback: optional_measure(row, FALLBACK),
            direction: row.word("direction"),
            zero_when_fresh: row.yes_or_no("zero_when_fresh"),
            fresh: row.text("fresh"),
            blank: blank(row),
            mixtures_only: row.yes_or_no("mixtures_only"),
            measured_by: row.word("measured_by"),
            limits_from: row.word("limits_from"),
            sourcing: row.sourcing(),
            note: row.text("note"),
        }
    }
}

/// The columns of a measure: its kind, its limits and its baseline.
type MeasureColumns = [&'static str; 5];

const MEASURE: MeasureColumns =
    ["kind", "low_cm1", "high_cm1", "baseline_low_cm1", "baseline_high_cm1"];
const REFERENCE: MeasureColumns = [
    "reference_kind",
    "reference_low_cm1",
    "reference_high_cm1",
    "reference_baseline_low_cm1",
    "reference_baseline_high_cm1",
];
const FALLBACK: MeasureColumns = [
    "fallback_kind",
    "fallback_low_cm1",
    "fallback_high_cm1",
    "fallback_baseline_low_cm1",
    "fallback_baseline_high_cm1",
];

fn measure(
    row: &mut Row<'_>,
    [kind, low, high, baseline_low, baseline_high]: MeasureColumns,
) -> Measure {
    Measure {
        kind: row.word(kind),
        limits: row.window(low, high),
        baseline: row.window(baseline_low, baseline_high),
    }
}

/// Reads a measure whose columns may all be empty.
fn optional_measure(row: &mut Row<'_>, columns: MeasureColumns) -> Option<Measure> {
    let filled = columns.iter().any(|name| !row.is_empty(name));
    filled.then(|| measure(row, columns))
}

/// Reads the four columns of a blank: all filled or all empty.
fn blank(row: &mut Row<'_>) -> Option<Blank> {
    const NAMES: [&str; 4] = ["blank_value", "blank_sd", "blank_n", "blank_source"];
    let filled =
        row.all_or_none(&NAMES, "a blank needs value, sd, n and source; fill all four or none");
    filled.then(|| Blank {
        value: row.number("blank_value"),
        standard_deviation: row.number("blank_sd"),
        count: row.count("blank_n"),
        source: row.text("blank_source"),
    })
}

impl Record for Confounder {
    const FILE: &'static str = "confounders.csv";

    const HEADER: &'static str =
        "id,markers,what,effect,does,components,role,least_some,source,source_class,status";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            markers: row.required_list("markers"),
            what: row.required("what"),
            effect: row.word("effect"),
            does: row.required("does"),
            components: row.list("components"),
            role: row.optional_word("role"),
            questions: Questions::from_row(row),
            sourcing: row.sourcing(),
        }
    }
}

impl Record for Route {
    const FILE: &'static str = "routes.csv";

    const HEADER: &'static str =
        "id,materials,route,up,down,steady,light,wording,source,source_class,status";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            id: row.required("id"),
            materials: row.required_list("materials"),
            route: row.word("route"),
            up: row.list("up"),
            down: row.list("down"),
            steady: row.list("steady"),
            light: row.text("light"),
            wording: row.required("wording"),
            sourcing: row.sourcing(),
        }
    }
}
