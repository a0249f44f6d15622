//! The abscissas of an `(X++(Y..Y))` table, from the header, checked against the data lines.
//!
//! The standard's rule is FIRSTX + i (LASTX − FIRSTX) / (NPOINTS − 1); the abscissa on each line is
//! a check. Where lines are missing, the lines' own abscissas place what is left.

use super::asdf::{LineStart, Packed};
use super::error::{Error, Located};
use super::header::Header;
use crate::read::found::MOST_POINTS;
use crate::spectrum::Warning;

/// Steps that the lines may drift from the header over a whole file. Writers that give LASTX one
/// step too far are common (28 of 118 public test files), and 1.25 allows for rounding on top.
const MOST_DRIFT_STEPS: f64 = 1.25;

/// Steps by which a line may be off before it is a doubt, or the next line before it is a gap.
const MOST_JITTER_STEPS: f64 = 0.75;

/// A shorter gap than this share of a usual line was lost inside a line, not between two.
const LEAST_LOST_LINE: f64 = 0.6;

/// Relative agreement of two steps that are taken for the same; DELTAX has three or four digits.
const SAME_STEP: f64 = 0.01;

/// Relative rounding of XFACTOR, which scales with the abscissa.
const FACTOR_ROUNDING: f64 = 1e-6;

/// More missing points than one in this many is an error, as with the cells of a table: 5 %.
pub(super) const ONE_IN_MISSING: usize = 20;

/// More points than a spectrum may hold are not missing from one: the abscissa itself is wrong.
const MOST_LOST: f64 = MOST_POINTS as f64;

/// The abscissas, and the lines before which points are missing.
#[derive(Debug, Default)]
pub(super) struct Axis {
    pub(super) abscissas: Vec<f64>,
    /// Indices into the lines.
    pub(super) gaps: Vec<usize>,
    /// Of these, the ones whose missing points were lost inside the line before.
    pub(super) blurred: Vec<usize>,
    pub(super) warnings: Vec<Warning>,
}

/// Applies the standard's rule to `count` points and checks nothing.
pub(super) fn unchecked(header: &Header, packed: &Packed) -> Result<Vec<f64>, Located> {
    let count = packed.ordinates.len();
    let ends = Ends::new(header, packed)?;
    let step = ends.step(count).unwrap_or_else(|| ends.stated_step(header));
    Ok(even(ends.first, step, count))
}

/// Places every point, by the header where the data lines bear it out.
pub(super) fn checked(header: &Header, packed: &Packed, head_line: usize) -> Result<Axis, Located> {
    let count = packed.ordinates.len();
    let ends = Ends::new(header, packed)?;
    let lines = Lines::new(header, packed);
    let mut axis = Axis::default();
    let claimed = header.claimed_points();
    let full = ends.step(count);

    if let (Some(step), Some(last)) = (full, ends.last)
        && step == 0.0
        && count > 1
    {
        return Err(Located::new(head_line, Error::NoRange { found: last }));
    }
    if let Some(step) = full {
        let (worst, line) = lines.worst(ends.first, step);
        if worst <= MOST_DRIFT_STEPS {
            if worst > MOST_JITTER_STEPS {
                axis.warnings.push(drift(&lines, line, ends.first, step, worst));
            }
            if let Some(stated) = header.points
                && claimed != count
            {
                let text = format!(
                    "line {}: ##NPOINTS= says {}, file holds {count} up to ##LASTX=; all were read",
                    stated.line, stated.value
                );
                axis.warnings.push(Warning::new("jcamp-npoints", text));
            }
            axis.abscissas = even(ends.first, step, count);
            axis.check_step(header, step, count);
            return Ok(axis);
        }
    }
    let Some(usual) = lines.usual_step_beside(full, header.delta_x.map(|stated| stated.value))
    else {
        let line = lines.starts.first().map_or(head_line, |l| l.line as usize);
        return Err(disagreement(&lines, &ends, line, full.unwrap_or(0.0)));
    };
    if let Some(start) = lines.starts.first() {
        let found = lines.abscissa(start);
        let off = (found - ends.first).abs() - lines.rounding(found);
        if off > MOST_DRIFT_STEPS * usual.abs() {
            let stated = ends.first;
            let error = Error::FirstDisagrees { found, stated };
            return Err(Located::new(start.line as usize, error));
        }
    }
    axis.place_by_lines(&lines, &ends, usual, count)?;
    axis.check_end(header, &ends, usual, claimed, count)?;
    axis.check_step(header, usual, count);
    Ok(axis)
}

impl Axis {
    /// Places the points by the abscissas of their lines, with a gap where one jumps ahead.
    fn place_by_lines(
        &mut self,
        lines: &Lines<'_>,
        ends: &Ends,
        usual: f64,
        count: usize,
    ) -> Result<(), Located> {
        let usual_points = lines.usual_points();
        let mut missing = 0;
        let mut begin = 0;
        for k in 1..=lines.starts.len() {
            if let Some(start) = lines.starts.get(k) {
                let before = &lines.starts[k - 1];
                let found = lines.abscissa(start);
                let run = f64::from(start.index) - f64::from(before.index);
                let expected = lines.abscissa(before) + run * usual;
                let jump = (found - expected) / usual;
                let line = start.line as usize;
                // Asked before rounding, which grows with the abscissa, and before anything is counted.
                if jump > MOST_LOST {
                    return Err(Located::new(line, Error::BeyondAxis { found, expected }));
                }
                let jitter = MOST_JITTER_STEPS + 2.0 * lines.rounding(found) / usual.abs();
                if jump.abs() <= jitter {
                    continue;
                }
                if jump < 0.0 {
                    return Err(Located::new(line, Error::Backwards { found, expected }));
                }
                let lost = jump.round().max(1.0) as usize;
                missing += lost;
                let all = count + missing;
                if missing * ONE_IN_MISSING > all {
                    let error = Error::PointsMissing { found, expected, missing, all };
                    return Err(Located::new(line, error));
                }
                self.gaps.push(k);
                let mut text = format!(
                    "line {line}: line starts at {found}, expected {expected}; {lost} points are \
                     missing before this line and were left as a gap"
                );
                if (lost as f64) < LEAST_LOST_LINE * usual_points {
                    self.blurred.push(k);
                    text.push_str(", with the line before, whose points have no sure place");
                }
                self.warnings.push(Warning::new("jcamp-gap", text));
            }
            let from = self.abscissas.len();
            let to = lines.starts.get(k).map_or(count, |start| start.first_own());
            self.place_run(&lines.starts[begin..k], lines, ends, usual, from..to);
            begin = k;
        }
        Ok(())
    }

    /// Places the points of lines that follow each other without a gap.
    fn place_run(
        &mut self,
        run: &[LineStart],
        lines: &Lines<'_>,
        ends: &Ends,
        usual: f64,
        points: std::ops::Range<usize>,
    ) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { return };
        let mut anchor = lines.abscissa(first);
        // The header gives the very first abscissa with more digits than the line.
        if points.start == 0 && (anchor - ends.first).abs() < usual.abs() {
            anchor = ends.first;
        }
        let between = f64::from(last.index) - f64::from(first.index);
        let step = if between > 0.0 { (lines.abscissa(last) - anchor) / between } else { usual };
        let index = f64::from(first.index);
        self.abscissas.extend(points.map(|i| anchor + (i as f64 - index) * step));
    }

    /// Judges the end of an axis that was placed by its lines.
    fn check_end(
        &mut self,
        header: &Header,
        ends: &Ends,
        usual: f64,
        claimed: usize,
        count: usize,
    ) -> Result<(), Located> {
        let (Some(last), Some(&found)) = (header.last_x, self.abscissas.last()) else {
            return Ok(());
        };
        if (last.value - found).abs() <= MOST_DRIFT_STEPS * usual.abs() {
            return Ok(());
        }
        // The lines are believed against LASTX only where a second label bears them out.
        let same = |step: f64| (step.abs() - usual.abs()).abs() <= SAME_STEP * usual.abs();
        let by_delta = header.delta_x.is_some_and(|stated| same(stated.value));
        let by_points = claimed > count && ends.step(claimed).is_some_and(same);
        let stated = last.value;
        if !(by_delta || by_points) || (stated - found) * usual < 0.0 {
            return Err(Located::new(last.line, Error::LastDisagrees { found, stated }));
        }
        let text = format!(
            "line {}: ##LASTX= says {stated}, the data lines run to {found}; the points past it \
             are missing from the file",
            last.line
        );
        self.warnings.push(Warning::new("jcamp-end-missing", text));
        Ok(())
    }

    /// Doubts a DELTAX that is not the step: by more than its digits allow, over the whole axis.
    fn check_step(&mut self, header: &Header, step: f64, count: usize) {
        let Some(stated) = header.delta_x else { return };
        let off = (stated.value.abs() - step.abs()).abs();
        let at_the_end = (off - last_digit(stated.value)) * count as f64;
        if off > SAME_STEP * step.abs() {
            let text = format!(
                "line {}: ##DELTAX= says {}, the points are {} apart; ##DELTAX= was not used",
                stated.line,
                stated.value,
                short(step)
            );
            self.warnings.push(Warning::new("jcamp-deltax", text));
        } else if at_the_end > MOST_DRIFT_STEPS * step.abs() {
            let text = format!(
                "line {}: by ##DELTAX= {} the axis would end {} from where ##LASTX= puts it; \
                 ##FIRSTX= and ##LASTX= were used, and one of them may stretch it",
                stated.line,
                stated.value,
                short(off * count as f64)
            );
            self.warnings.push(Warning::new("jcamp-axis-stretched", text));
        }
    }
}

/// Where the header says the axis begins and ends.
struct Ends {
    first: f64,
    last: Option<f64>,
}

impl Ends {
    fn new(header: &Header, packed: &Packed) -> Result<Self, Located> {
        let lines = Lines::new(header, packed);
        let first = match (header.first_x, lines.starts.first()) {
            (Some(stated), _) => stated.value,
            (None, Some(start)) => lines.abscissa(start),
            (None, None) => return Err(Located::new(1, Error::MissingLabel { label: "FIRSTX" })),
        };
        if let (None, None, None) = (header.last_x, header.delta_x, lines.usual_step()) {
            let line = lines.starts.first().map_or(1, |start| start.line as usize);
            return Err(Located::new(line, Error::MissingLabel { label: "LASTX" }));
        }
        Ok(Self { first, last: header.last_x.map(|stated| stated.value) })
    }

    /// Returns the step that reaches the last abscissa with `count` points.
    fn step(&self, count: usize) -> Option<f64> {
        let steps = count.checked_sub(1).filter(|&steps| steps > 0)?;
        Some((self.last? - self.first) / steps as f64)
    }

    fn stated_step(&self, header: &Header) -> f64 {
        header.delta_x.map_or(0.0, |stated| stated.value)
    }
}

/// The abscissas that the data lines carry.
struct Lines<'a> {
    starts: &'a [LineStart],
    count: usize,
    factor: f64,
    /// One unit of the last digit written, factor applied.
    last_digit: f64,
}

impl<'a> Lines<'a> {
    fn new(header: &Header, packed: &'a Packed) -> Self {
        let factor = header.x_factor.map_or(1.0, |stated| stated.value);
        let last_digit = factor.abs() * 10f64.powi(-i32::from(packed.abscissa_decimals));
        Self { starts: &packed.lines, count: packed.ordinates.len(), factor, last_digit }
    }

    fn abscissa(&self, start: &LineStart) -> f64 {
        start.abscissa * self.factor
    }

    /// Returns by how much an abscissa may be off through rounding alone.
    fn rounding(&self, abscissa: f64) -> f64 {
        self.last_digit + FACTOR_ROUNDING * abscissa.abs()
    }

    /// Returns the largest deviation from an even axis in steps, and the index of its line.
    fn worst(&self, first: f64, step: f64) -> (f64, usize) {
        let mut worst = (0.0, 0);
        for (k, start) in self.starts.iter().enumerate() {
            let found = self.abscissa(start);
            let expected = first + f64::from(start.index) * step;
            let off = ((found - expected).abs() - self.rounding(found)) / step.abs();
            if off > worst.0 {
                worst = (off, k);
            }
        }
        worst
    }

    /// Returns the median step between neighbouring lines.
    fn usual_step(&self) -> Option<f64> {
        let mut steps: Vec<f64> = self
            .starts
            .windows(2)
            .filter(|pair| pair[1].index > pair[0].index)
            .map(|pair| {
                let run = f64::from(pair[1].index - pair[0].index);
                (self.abscissa(&pair[1]) - self.abscissa(&pair[0])) / run
            })
            .collect();
        let middle = steps.len() / 2;
        if steps.is_empty() {
            return None;
        }
        let (_, step, _) = steps.select_nth_unstable_by(middle, f64::total_cmp);
        (*step != 0.0).then_some(*step)
    }

    /// As [`usual_step`](Self::usual_step), but of three lines: where their two steps differ, one line has a
    /// damaged abscissa, and the header says whose step is sound.
    fn usual_step_beside(&self, full: Option<f64>, delta_x: Option<f64>) -> Option<f64> {
        let usual = self.usual_step()?;
        let [first, second, third] = self.starts else { return Some(usual) };
        let same = |one: f64, other: f64| (one.abs() - other.abs()).abs() <= SAME_STEP * one.abs();
        let between = |from: &LineStart, to: &LineStart| {
            let run = f64::from(to.index) - f64::from(from.index);
            (self.abscissa(to) - self.abscissa(from)) / run
        };
        let steps = [between(first, second), between(second, third)];
        if same(steps[0], steps[1]) {
            return Some(usual);
        }
        let borne_out = |stated: f64| steps.into_iter().find(|step| same(stated, *step));
        let by_label = [delta_x, full].into_iter().flatten().find_map(borne_out);
        // Neither: the line in the middle is the damaged one, if the labels agree.
        let by_both = full.filter(|full| delta_x.is_some_and(|delta_x| same(*full, delta_x)));
        Some(by_label.or(by_both).unwrap_or(usual))
    }

    /// Returns the mean number of points on a line.
    fn usual_points(&self) -> f64 {
        self.count as f64 / self.starts.len().max(1) as f64
    }
}

impl LineStart {
    /// Returns the index of the first point that the line adds.
    pub(super) fn first_own(&self) -> usize {
        self.index as usize + usize::from(self.repeats)
    }
}

fn even(first: f64, step: f64, count: usize) -> Vec<f64> {
    (0..count).map(|i| first + i as f64 * step).collect()
}

/// Says that the header's axis drifts from the data lines.
fn drift(lines: &Lines<'_>, line: usize, first: f64, step: f64, worst: f64) -> Warning {
    let start = &lines.starts[line];
    let expected = first + f64::from(start.index) * step;
    let text = format!(
        "line {}: line starts at {}, expected {}; ##FIRSTX= and ##LASTX= drift from the data lines \
         by up to {worst:.2} points, and were used",
        start.line,
        lines.abscissa(start),
        short(expected)
    );
    Warning::new("jcamp-x-check", text)
}

/// Says that header and lines cannot both be right, where no step can be told from the lines.
fn disagreement(lines: &Lines<'_>, ends: &Ends, line: usize, step: f64) -> Located {
    match lines.starts.iter().find(|s| s.index > 0) {
        Some(start) => {
            let found = lines.abscissa(start);
            let expected = ends.first + f64::from(start.index) * step;
            Located::new(start.line as usize, Error::Backwards { found, expected })
        }
        None => {
            let found = lines.starts.first().map_or(0.0, |s| lines.abscissa(s));
            Located::new(line, Error::FirstDisagrees { found, stated: ends.first })
        }
    }
}

/// Returns one unit of the last digit that a number is written with; zeros at its end are not known of.
fn last_digit(value: f64) -> f64 {
    let written = value.to_string();
    let decimals = written.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    10f64.powi(-i32::try_from(decimals).unwrap_or(0))
}

/// Rounds for a message to what a reader can use.
fn short(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

#[cfg(test)]
#[path = "axis_tests.rs"]
mod tests;
