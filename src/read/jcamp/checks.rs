//! What the ordinates must agree with: the check ordinates of their own lines, and the header.

use std::ops::Range;

use super::asdf::{FailedCheck, Packed};
use super::axis::{Axis, ONE_IN_MISSING};
use super::error::{Error, Located};
use super::header::{Header, Stated};
use crate::spectrum::Warning;

/// A failed check by more than this share of the ordinates' range cannot be rounding: one per cent.
const GROSS_SHARE: f64 = 0.01;

/// Share of the ordinates' range by which a value in the header may miss the data.
const HEADER_SHARE: f64 = 0.01;

/// The most lines that one warning names.
const MOST_NAMED: usize = 5;

/// What the check ordinates of a table show.
#[derive(Debug, Default)]
pub(super) struct LineChecks {
    pub(super) warnings: Vec<Warning>,
    /// Points that are proved wrong or have no sure place, ascending by their start.
    pub(super) left_out: Vec<Range<usize>>,
}

/// Judges the failed Y-checks, and names the points that one of them proves wrong.
///
/// A small miss is a doubt. A gross one means that a line was changed: its points become a gap.
pub(super) fn check_lines(packed: &Packed, axis: &Axis) -> Result<LineChecks, Located> {
    let lines = &packed.lines;
    let count = packed.ordinates.len();
    let begin = |k: usize| lines.get(k).map_or(count, |start| start.first_own());
    let line_index =
        |line: u32| lines.binary_search_by_key(&line, |start| start.line).unwrap_or(lines.len());
    let mut checks = LineChecks {
        warnings: Vec::new(),
        // Points were lost inside the line before the gap, so that its points have no sure place.
        left_out: axis.blurred.iter().map(|&k| begin(k - 1)..begin(k)).collect(),
    };
    // A check before which lines are missing had nothing to repeat.
    let failed = || {
        packed
            .failed
            .iter()
            .map(|check| (line_index(check.line), *check))
            .filter(|(k, _)| axis.gaps.binary_search(k).is_err())
    };
    let Some((_, first)) = failed().next() else { return Ok(checks) };

    let (low, high) = range(&packed.ordinates);
    let gross = |check: &FailedCheck| {
        (check.found - check.expected).abs() > GROSS_SHARE * (high - low).max(0.0)
    };
    let mut damaged = Vec::new();
    let mut skip_next = false;
    let mut rest = failed().peekable();
    while let Some((k, check)) = rest.next() {
        if std::mem::take(&mut skip_next) || !gross(&check) {
            continue;
        }
        let next = rest.peek().filter(|(next, _)| *next == k + 1);
        let returns = next.is_some_and(|(_, next)| {
            let sum = (check.found - check.expected) + (next.found - next.expected);
            sum.abs() < 0.5
        });
        let ends_table = lines.get(k).is_none_or(|start| start.first_own() >= count);
        if returns {
            // The values come back one line later: the first ordinate of this line was changed.
            damaged.push(k);
            skip_next = true;
        } else if !ends_table {
            damaged.push(k - 1);
        }
        // A closing check line adds no ordinate; where it alone fails, it may be the wrong one.
    }
    if damaged.len() > 1 && damaged.len().saturating_mul(ONE_IN_MISSING) > packed.checks {
        let error = Error::ChecksFailed { failed: damaged.len(), checks: packed.checks };
        return Err(Located::new(first.line as usize, error));
    }
    checks.left_out.extend(damaged.iter().map(|&k| begin(k)..begin(k + 1)));
    checks.left_out.sort_unstable_by_key(|points| points.start);
    let mut text = format!(
        "line {}: starts with {}, but the line before ends with {}",
        first.line, first.found, first.expected
    );
    let count_failed = failed().count();
    if count_failed > 1 {
        let named: Vec<String> =
            failed().take(MOST_NAMED).map(|(_, check)| check.line.to_string()).collect();
        let more = if count_failed > MOST_NAMED { " and others" } else { "" };
        text.push_str(&format!(
            "; {count_failed} of {} such checks fail, on lines {}{more}",
            packed.checks,
            named.join(", ")
        ));
    }
    if damaged.is_empty() {
        text.push_str("; all values were read as they stand");
    } else {
        let named: Vec<String> = damaged
            .iter()
            .take(MOST_NAMED)
            .filter_map(|&k| lines.get(k).map(|start| start.line.to_string()))
            .collect();
        let plural = if damaged.len() == 1 { "" } else { "s" };
        text.push_str(&format!(
            "; the values of line{plural} {} are wrong and were left out",
            named.join(", ")
        ));
    }
    checks.warnings.push(Warning::new("jcamp-y-check", text));
    Ok(checks)
}

/// Doubts the first, largest and smallest ordinate of a header that the data do not bear out.
///
/// `ordinates` have their factor applied.
pub(super) fn check_header(header: &Header, ordinates: &[f64]) -> Vec<Warning> {
    let (low, high) = range(ordinates);
    let Some(&first) = ordinates.first() else { return Vec::new() };
    let allowed = HEADER_SHARE * (high - low).max(0.0);
    let factor = header.y_factor.map_or(1.0, |stated| stated.value.abs());
    let mut misses = Vec::new();
    let mut line = 0;
    let mut compare = |label: &str, stated: Option<Stated>, found: f64| {
        let Some(stated) = stated else { return };
        // Headers round to a few digits, and clip at zero.
        let rounding = factor + HEADER_SHARE * stated.value.abs().min(found.abs());
        if (stated.value - found).abs() > allowed + rounding {
            if misses.is_empty() {
                line = stated.line;
            }
            misses.push(format!("##{label}= says {}, the data {}", stated.value, short(found)));
        }
    };
    compare("FIRSTY", header.first_y, first);
    compare("MAXY", header.max_y, high);
    compare("MINY", header.min_y, low);
    if misses.is_empty() {
        return Vec::new();
    }
    let text = format!(
        "line {line}: {}; the data were read with ##YFACTOR= as it stands",
        misses.join(", ")
    );
    vec![Warning::new("jcamp-header-values", text)]
}

/// Rounds for a message to six significant digits.
fn short(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}

/// Returns the smallest and largest number, missing ones left out.
fn range(ordinates: &[f64]) -> (f64, f64) {
    crate::spectrum::bounds(ordinates)
}

#[cfg(test)]
#[path = "checks_tests.rs"]
mod tests;
