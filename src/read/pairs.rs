//! Tables whose columns alternate: abscissa, ordinate, abscissa, ordinate.

use super::header::Header;
use super::layout::Layout;
use super::lines::Cells;
use super::number::whole;
use super::runs::{counts_rows, runs_one_way};

/// Each further abscissa reaches past the first by no more than this share of the first's range …
const MOST_PAST_SHARE: f64 = 0.25;

/// … and covers at least this share of it, in the lines looked at: it may end early.
const LEAST_COVERED_SHARE: f64 = 0.25;

/// One spectrum's columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pair {
    pub abscissa: usize,
    pub ordinate: usize,
}

/// Returns the pairs of a table `count` columns wide, none where its columns do not alternate.
///
/// `first` is the first column with numbers. Every second column from there on must be an abscissa,
/// by its heading or by its values, and none of those between may be one.
pub(super) fn find<'a>(
    first: usize,
    count: usize,
    looked_at: usize,
    column: impl Fn(usize) -> &'a [f64],
    header: &Header,
) -> Vec<Pair> {
    let columns = count.saturating_sub(first);
    if columns < 4 || !columns.is_multiple_of(2) {
        return Vec::new();
    }
    let axis = column(first);
    let is_axis =
        |c: usize| header.calls_abscissa(c) || column(c) == axis || is_beside(axis, column(c));
    let alternate = (first..count.min(looked_at)).all(|c| {
        let even = (c - first).is_multiple_of(2);
        // A column may end early, yet not before the lines looked at.
        !column(c).is_empty() && even == is_axis(c)
    });
    if !alternate {
        return Vec::new();
    }
    let pair = |c: usize| Pair { abscissa: c, ordinate: c + 1 };
    (first..count).step_by(2).map(pair).collect()
}

/// Returns whether `values` run one way over about the same range as `axis`.
fn is_beside(axis: &[f64], values: &[f64]) -> bool {
    let range = |values: &[f64]| {
        values
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(*v), high.max(*v)))
    };
    let (low, high) = range(axis);
    let (other_low, other_high) = range(values);
    let most = MOST_PAST_SHARE * (high - low);
    values.len() > 1
        && runs_one_way(values)
        && !counts_rows(values)
        && other_low >= low - most
        && other_high <= high + most
        && other_high - other_low >= LEAST_COVERED_SHARE * (high - low)
}

/// Returns the pair whose abscissa goes on longest: the one with a number in the last rows.
pub(super) fn longest(text: &str, layout: &Layout, pairs: &[Pair]) -> usize {
    let mut found = None;
    for line in text.rsplit(['\n', '\r']).filter(|line| !line.trim().is_empty()) {
        let mut cells = Cells::new(line, layout.separator).enumerate();
        found = pairs.iter().position(|pair| {
            cells
                .find(|(c, _)| *c == pair.abscissa)
                .is_some_and(|(_, cell)| whole(cell, layout.notation).is_some())
        });
        if found.is_some() {
            break;
        }
    }
    found.unwrap_or(0)
}
