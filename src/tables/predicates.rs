//! The rows of `predicates.csv`: one typed question each.

use super::rule_table::Question;
use super::rules::{Predicate, Reading, Window};
use super::sheet::{Record, Row};
use super::words::words;

words! {
    /// The kinds of question, as the table spells them.
    Test {
        /// See [`Predicate::Present`].
        Present = "present",
        /// See [`Predicate::Absent`].
        Absent = "absent",
        /// See [`Predicate::Ratio`].
        Ratio = "ratio",
        /// See [`Predicate::Width`].
        Width = "width",
        /// See [`Predicate::Order`].
        Order = "order",
        /// See [`Predicate::Measured`].
        Measured = "measured",
    }
}

/// A question with the rule or confounder that asks it, and its place in the order.
#[derive(Debug)]
pub(super) struct OwnedQuestion {
    pub(super) owner: String,
    pub(super) step: usize,
    pub(super) question: Question,
}

const FIRST: [&str; 4] = ["low_cm1", "high_cm1", "baseline_low_cm1", "baseline_high_cm1"];
const SECOND: [&str; 4] =
    ["second_low_cm1", "second_high_cm1", "second_baseline_low_cm1", "second_baseline_high_cm1"];

impl Record for OwnedQuestion {
    const FILE: &'static str = "predicates.csv";

    /// A rule asks several.
    const SHARES_ID: bool = true;

    const HEADER: &'static str = "owner,step,part,test,what,low_cm1,high_cm1,baseline_low_cm1,baseline_high_cm1,\
         second_low_cm1,second_high_cm1,second_baseline_low_cm1,second_baseline_high_cm1,least,\
         most";

    fn from_row(row: &mut Row<'_>) -> Self {
        Self {
            owner: row.required("owner"),
            step: row.count("step"),
            question: Question {
                part: row.word("part"),
                predicate: predicate(row),
                what: row.required("what"),
            },
        }
    }
}

/// Reads the columns that a kind of question needs; a filled column that it does not is a fault.
fn predicate(row: &mut Row<'_>) -> Predicate {
    let Some(test) = row.known_word("test") else {
        return Predicate::Measured { window: Window::new(f64::NAN, f64::NAN) };
    };
    if matches!(test, Test::Measured) {
        empty(row, test, &FIRST[2..]);
    }
    if !matches!(test, Test::Ratio | Test::Order) {
        empty(row, test, &SECOND);
    }
    match test {
        Test::Present => {
            empty(row, test, &["most"]);
            let least_share = row.optional_number("least").unwrap_or(0.0);
            Predicate::Present { band: reading(row, FIRST), least_share }
        }
        Test::Absent => {
            empty(row, test, &["least"]);
            let most_share = row.optional_number("most").unwrap_or(0.0);
            Predicate::Absent { band: reading(row, FIRST), most_share }
        }
        Test::Ratio => {
            let (numerator, denominator) = (reading(row, FIRST), reading(row, SECOND));
            let (least, most) = limits(row);
            Predicate::Ratio { numerator, denominator, least, most }
        }
        Test::Width => {
            let band = reading(row, FIRST);
            let (least_cm1, most_cm1) = limits(row);
            Predicate::Width { band, least_cm1, most_cm1 }
        }
        Test::Order => {
            empty(row, test, &["least", "most"]);
            Predicate::Order { stronger: reading(row, FIRST), weaker: reading(row, SECOND) }
        }
        Test::Measured => {
            empty(row, test, &["least", "most"]);
            Predicate::Measured { window: row.window(FIRST[0], FIRST[1]) }
        }
    }
}

fn reading(row: &mut Row<'_>, columns: [&str; 4]) -> Reading {
    let window = row.window(columns[0], columns[1]);
    let baseline = row.window(columns[2], columns[3]);
    if falls_short(&baseline, &window) {
        row.fault(
            columns[2],
            format!(
                "the baseline {} to {} does not reach around {} to {}",
                baseline.low_cm1, baseline.high_cm1, window.low_cm1, window.high_cm1
            ),
        );
    }
    Reading { window, baseline }
}

/// Returns whether the outer window does not reach around the inner one; not so where one could not be read.
pub(super) fn falls_short(outer: &Window, inner: &Window) -> bool {
    outer.low_cm1 > inner.low_cm1 || inner.high_cm1 > outer.high_cm1
}

/// Reads `least` and `most`, of which one must be filled.
fn limits(row: &mut Row<'_>) -> (Option<f64>, Option<f64>) {
    let limits = (row.optional_number("least"), row.optional_number("most"));
    match limits {
        (None, None) => row.fault("least", "neither least nor most is filled".into()),
        (Some(low), Some(high)) if low >= high => {
            row.fault("least", format!("{low} is not below most {high}"));
        }
        _ => {}
    }
    limits
}

fn empty(row: &mut Row<'_>, test: Test, columns: &[&str]) {
    for column in columns {
        if !row.is_empty(column) {
            row.fault(column, format!("must be empty for the test {test}"));
        }
    }
}
