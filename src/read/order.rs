//! Puts points into ascending order of wavenumber: reversal, gaps, disorder and repeats.

use super::found::Found;
use super::{Error, Fault};
use crate::spectrum::Warning;

/// A stretch that runs one way for so many points is a run of the instrument, not a stray row.
const LEAST_RUN: usize = 8;

/// Two runs that overlap by more than this share of the shorter are two spectra, one below the
/// other; ranges that an instrument stitched together overlap by less.
const MOST_OVERLAP_SHARE: f64 = 0.5;

/// Orders the points of `found` by ascending wavenumber and drops those without an ordinate.
///
/// Returns the indices at which a gap left by dropped points starts a new segment. Points at the
/// same wavenumber become their mean, with a warning.
pub(super) fn ascend(found: &mut Found, missing: usize) -> Result<Vec<usize>, Error> {
    let abscissas = &found.abscissas;
    // Looked through to the end without a way out, many points are compared at a time; two points
    // spare a falling axis the first look.
    let rises = matches!(abscissas.as_slice(), [first, second, ..] if first < second);
    let ascending = rises && abscissas.windows(2).fold(true, |all, pair| all & (pair[0] < pair[1]));
    let descending =
        !rises && abscissas.windows(2).fold(true, |all, pair| all & (pair[0] > pair[1]));
    if !ascending && !descending {
        return sort(found);
    }
    if descending {
        found.abscissas.reverse();
        found.ordinates.reverse();
    }
    if missing == 0 {
        return Ok(Vec::new());
    }
    Ok(drop_missing(found))
}

fn drop_missing(found: &mut Found) -> Vec<usize> {
    let mut breaks = Vec::new();
    let mut kept = 0;
    for i in 0..found.ordinates.len() {
        if found.ordinates[i].is_finite() {
            found.abscissas[kept] = found.abscissas[i];
            found.ordinates[kept] = found.ordinates[i];
            kept += 1;
        } else if breaks.last() != Some(&kept) {
            breaks.push(kept);
        }
    }
    found.abscissas.truncate(kept);
    found.ordinates.truncate(kept);
    breaks
}

/// The slow path for an abscissa that repeats or turns back.
fn sort(found: &mut Found) -> Result<Vec<usize>, Error> {
    if let Some((index, abscissa)) = second_spectrum(&found.abscissas) {
        return Err(Error::Content {
            file: found.provenance.file.clone(),
            line: found.line(index),
            fault: Fault::StartsOver { wavenumber_cm1: abscissa },
        });
    }
    let falling = falls(&found.abscissas);
    let out_of_order = found
        .abscissas
        .windows(2)
        .filter(|pair| if falling { pair[0] < pair[1] } else { pair[0] > pair[1] })
        .count();
    let mut points: Vec<(f64, f64)> =
        found.abscissas.iter().copied().zip(found.ordinates.iter().copied()).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut axis, mut values) =
        (Vec::with_capacity(points.len()), Vec::with_capacity(points.len()));
    let mut repeats = 0;
    let mut rest = points.as_slice();
    while let Some(&(wavenumber, first)) = rest.first() {
        let same = rest.partition_point(|point| point.0 <= wavenumber);
        let mut numbers = rest[..same].iter().map(|point| point.1).filter(|v| v.is_finite());
        let mean = if same == 1 {
            first
        } else {
            repeats += same - 1;
            match numbers.next() {
                None => f64::NAN,
                Some(start) => {
                    let (sum, count) =
                        numbers.fold((start, 1.0), |(sum, count), v| (sum + v, count + 1.0));
                    sum / count
                }
            }
        };
        axis.push(wavenumber);
        values.push(mean);
        rest = &rest[same..];
    }
    if out_of_order > 0 {
        found.warnings.push(Warning::new(
            "abscissa-unsorted",
            format!("abscissa turns back {out_of_order} times; points sorted by wavenumber"),
        ));
    }
    if repeats > 0 {
        found.warnings.push(Warning::new(
            "abscissa-repeated",
            format!(
                "{repeats} points repeat a wavenumber; read as one point with the mean ordinate"
            ),
        ));
    }
    found.abscissas = axis;
    found.ordinates = values;
    Ok(drop_missing(found))
}

fn falls(abscissas: &[f64]) -> bool {
    let down = abscissas.windows(2).filter(|pair| pair[0] > pair[1]).count();
    let up = abscissas.windows(2).filter(|pair| pair[0] < pair[1]).count();
    down > up
}

/// Returns where a second long run starts that covers the ground of an earlier one again.
fn second_spectrum(abscissas: &[f64]) -> Option<(usize, f64)> {
    let mut earlier: Vec<(f64, f64)> = Vec::new();
    for (start, end) in runs(abscissas) {
        if end - start < LEAST_RUN {
            continue;
        }
        let run = &abscissas[start..end];
        let (first, last) = (run[0], run[run.len() - 1]);
        let (low, high) = (first.min(last), first.max(last));
        for &(other_low, other_high) in &earlier {
            let shared = high.min(other_high) - low.max(other_low);
            let shorter = (high - low).min(other_high - other_low);
            if shared > MOST_OVERLAP_SHARE * shorter {
                return Some((start, first));
            }
        }
        // Two runs suffice to compare with: the list stays short however often the axis turns.
        if earlier.len() < 64 {
            earlier.push((low, high));
        }
    }
    None
}

/// Splits an axis into stretches that run one way; equal neighbours go on with either.
fn runs(abscissas: &[f64]) -> Vec<(usize, usize)> {
    let mut runs = Vec::new();
    let mut start = 0;
    let mut rising: Option<bool> = None;
    for i in 1..abscissas.len() {
        let (before, here) = (abscissas[i - 1], abscissas[i]);
        if here == before {
            continue;
        }
        let up = here > before;
        match rising {
            None => rising = Some(up),
            Some(was) if was != up => {
                runs.push((start, i));
                start = i;
                rising = None;
            }
            Some(_) => {}
        }
    }
    if start < abscissas.len() {
        runs.push((start, abscissas.len()));
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(points: &[(f64, f64)]) -> Found {
        Found {
            abscissas: points.iter().map(|p| p.0).collect(),
            ordinates: points.iter().map(|p| p.1).collect(),
            lines: vec![(0, 1)],
            ..Found::default()
        }
    }

    #[test]
    fn reverses_a_falling_axis() {
        let mut found = found(&[(406.0, 3.0), (404.0, 2.0), (402.0, 1.0)]);
        assert!(ascend(&mut found, 0).expect("ordered").is_empty());
        assert_eq!(found.abscissas, [402.0, 404.0, 406.0]);
        assert_eq!(found.ordinates, [1.0, 2.0, 3.0]);
        assert!(found.warnings.is_empty());
    }

    #[test]
    fn starts_a_segment_after_dropped_points() {
        let nan = f64::NAN;
        let mut found =
            found(&[(410.0, 5.0), (408.0, nan), (406.0, nan), (404.0, 2.0), (402.0, 1.0)]);
        assert_eq!(ascend(&mut found, 2).expect("ordered"), vec![2]);
        assert_eq!(found.abscissas, [402.0, 404.0, 410.0]);
    }

    #[test]
    fn takes_the_mean_of_repeated_wavenumbers() {
        let mut found = found(&[(402.0, 1.0), (404.0, 2.0), (404.0, 4.0), (406.0, 3.0)]);
        ascend(&mut found, 0).expect("ordered");
        assert_eq!(found.abscissas, [402.0, 404.0, 406.0]);
        assert_eq!(found.ordinates, [1.0, 3.0, 3.0]);
        assert_eq!(found.warnings[0].id, "abscissa-repeated");
    }

    #[test]
    fn sorts_a_stray_row() {
        let mut points: Vec<(f64, f64)> =
            (0..20).map(|i| (400.0 + 2.0 * f64::from(i), f64::from(i))).collect();
        points.swap(7, 8);
        let mut found = found(&points);
        ascend(&mut found, 0).expect("ordered");
        assert!(found.ordinates.windows(2).all(|p| p[1] - p[0] == 1.0));
        assert_eq!(found.warnings[0].id, "abscissa-unsorted");
    }

    #[test]
    fn joins_two_halves_written_in_either_order() {
        let mut points: Vec<(f64, f64)> =
            (0..20).map(|i| (2800.0 + 2.0 * f64::from(i), 0.1)).collect();
        points.extend((0..20).map(|i| (700.0 + 2.0 * f64::from(i), 0.2)));
        let mut found = found(&points);
        ascend(&mut found, 0).expect("ordered");
        assert_eq!(found.abscissas[0], 700.0);
        assert_eq!(found.abscissas.len(), 40);
    }

    #[test]
    fn refuses_a_second_spectrum_below_the_first() {
        let once: Vec<(f64, f64)> = (0..20).map(|i| (400.0 + 2.0 * f64::from(i), 0.1)).collect();
        let twice = [once.clone(), once].concat();
        let error = ascend(&mut found(&twice), 0).expect_err("two spectra");
        assert!(matches!(
            error,
            Error::Content { line: Some(21), fault: Fault::StartsOver { .. }, .. }
        ));
    }
}
