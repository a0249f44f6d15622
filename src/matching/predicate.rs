//! Answers the closed set of questions with yes, no or not testable, and the values behind each.

use super::fit::CEILING_HIDES;
use super::observed::Observed;
use crate::spectrum::window;
use crate::tables::{Predicate, Reading, Verdict, Window};

/// A height counts as there from this many standard deviations of the noise on.
const DETECTED_TO_NOISE: f64 = 3.0;

/// A band must stand this many times above the noise before its height is compared with another.
const COMPARED_TO_NOISE: f64 = 5.0;

/// Where a question states no least share of the strongest band, its "no" says so much: a band of this share would have
/// been seen. Our choice, that of the table's own denials of weak bands.
const ANY_BAND: f64 = 0.02;

/// Each end of a straight baseline is the mean over this many cm⁻¹ to either side.
const ANCHOR_HALF_WIDTH_CM1: f64 = 2.0;

/// A maximum this near to the end of its window, in points, belongs to a neighbour's flank.
const EDGE_POINTS: usize = 1;

/// A baseline wider than this holds a band at the coarsest resolution that is measured at.
const COARSEST_CM1: f64 = 32.0;

/// Said where a share of the strongest band is asked for and that band is cut off.
const UNKNOWN_STRONGEST: &str =
    "the strongest band stands at the detector's ceiling, so that shares of it are too high";

/// The answer to one question.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Answered {
    /// Yes, no or not testable.
    pub verdict: Verdict,
    /// Each value read, with its name.
    pub values: Vec<(String, f64)>,
    /// Why it could not be tested, or what decided it.
    pub note: String,
}

impl Answered {
    fn new(verdict: Verdict, values: Vec<(String, f64)>, note: impl Into<String>) -> Self {
        Self { verdict, values, note: note.into() }
    }

    fn not_testable(note: impl Into<String>) -> Self {
        Self::new(Verdict::NotTestable, Vec::new(), note)
    }
}

/// A height above a straight local baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LocalHeight {
    /// Where the highest point stands, in cm⁻¹.
    pub position_cm1: f64,
    /// Its height above the line, as absorbance; may be negative.
    pub height: f64,
    /// One standard deviation of the noise there.
    pub noise_sd: f64,
    /// Whether it is a maximum of its own rather than a point on a flank.
    pub is_maximum: bool,
}

/// Answers a question about a spectrum.
///
/// Heights are read on the smoothed spectrum above a straight line between the two anchors of the
/// reading. What was not measured, is masked or saturated, or drowns in the noise, is not testable.
#[must_use]
pub fn evaluate(predicate: &Predicate, observed: &Observed<'_>) -> Answered {
    match predicate {
        Predicate::Present { band, least_share } => present(band, *least_share, observed),
        Predicate::Absent { band, most_share } => absent(band, *most_share, observed),
        Predicate::Ratio { numerator, denominator, least, most } => {
            ratio(numerator, denominator, (*least, *most), observed)
        }
        Predicate::Width { band, least_cm1, most_cm1 } => {
            width(band, (*least_cm1, *most_cm1), observed)
        }
        Predicate::Order { stronger, weaker } => order(stronger, weaker, observed),
        Predicate::Measured { window } => {
            let covered = observed.covers(*window);
            let verdict = if covered { Verdict::Yes } else { Verdict::No };
            Answered::new(verdict, Vec::new(), "")
        }
    }
}

/// Reads a height above a straight local baseline.
///
/// # Errors
///
/// The reason why the reading cannot be taken.
pub fn local_height(reading: &Reading, observed: &Observed<'_>) -> Result<LocalHeight, String> {
    for (name, stretch) in [("band", reading.window), ("baseline", reading.baseline)] {
        if !observed.covers(stretch) {
            return Err(format!(
                "{name} {} to {} cm⁻¹ was not measured",
                stretch.low_cm1, stretch.high_cm1
            ));
        }
    }
    if observed.measured().saturated(reading.window.low_cm1, reading.window.high_cm1) {
        return Err("the band is saturated".to_owned());
    }
    let Window { low_cm1, high_cm1 } = reading.baseline;
    let coarse = |limit: f64| observed.resolution_cm1().filter(|found| *found > limit);
    let narrow = Some(high_cm1 - low_cm1).filter(|width| *width < COARSEST_CM1);
    if let Some(resolution_cm1) = narrow.and_then(coarse) {
        return Err(format!(
            "a resolution of {resolution_cm1:.1} cm⁻¹ shows no band within {low_cm1} to {high_cm1} cm⁻¹"
        ));
    }
    let axis = observed.axis_cm1();
    let values = observed.absorbances();
    let line = line(reading.baseline, observed).ok_or("the baseline has no points")?;
    let range = window(axis, reading.window.low_cm1, reading.window.high_cm1);
    let above = |i: usize| Some(values.get(i)? - line(*axis.get(i)?));
    let highest = range
        .clone()
        .filter_map(|i| Some((i, above(i)?)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .ok_or("the window holds no points")?;
    let (at, height) = highest;
    let inner = at >= range.start + EDGE_POINTS && at + EDGE_POINTS < range.end;
    let position_cm1 = axis.get(at).copied().unwrap_or(reading.window.low_cm1);
    let is_local_top = |i: usize| {
        let value = |j: Option<usize>| j.and_then(above).unwrap_or(f64::NEG_INFINITY);
        above(i).is_some_and(|v| v >= value(i.checked_sub(1)) && v >= value(i.checked_add(1)))
    };
    let has_peak =
        observed.peaks().within(reading.window.low_cm1, reading.window.high_cm1).next().is_some();
    Ok(LocalHeight {
        position_cm1,
        height,
        noise_sd: observed.noise_sd_at(position_cm1),
        is_maximum: (inner && is_local_top(at)) || has_peak,
    })
}

/// A straight line through the means about the two ends of a stretch.
fn line(stretch: Window, observed: &Observed<'_>) -> Option<impl Fn(f64) -> f64> {
    let mean = |at: f64| {
        let axis = observed.axis_cm1();
        let range = window(axis, at - ANCHOR_HALF_WIDTH_CM1, at + ANCHOR_HALF_WIDTH_CM1);
        let points = observed.absorbances().get(range)?;
        if points.is_empty() {
            return crate::spectrum::interpolate(axis, observed.absorbances(), at);
        }
        Some(points.iter().sum::<f64>() / points.len() as f64)
    };
    let (low, high) = (mean(stretch.low_cm1)?, mean(stretch.high_cm1)?);
    let slope = (high - low) / (stretch.high_cm1 - stretch.low_cm1).max(f64::MIN_POSITIVE);
    let start = stretch.low_cm1;
    Some(move |x: f64| low + slope * (x - start))
}

fn read(reading: &Reading, observed: &Observed<'_>) -> Result<(LocalHeight, f64), Answered> {
    let height = local_height(reading, observed).map_err(Answered::not_testable)?;
    let strongest = observed.strongest();
    if strongest <= 0.0 {
        return Err(Answered::not_testable("the spectrum has no band"));
    }
    Ok((height, height.height / strongest))
}

fn present(band: &Reading, least_share: f64, observed: &Observed<'_>) -> Answered {
    let window = band.window;
    if observed.covers(window) && observed.measured().saturated(window.low_cm1, window.high_cm1) {
        let mut tops = observed.peaks().within(window.low_cm1, window.high_cm1);
        return match tops.find(|(_, peak)| peak.at_least) {
            Some((_, top)) => Answered::new(
                Verdict::Yes,
                vec![
                    ("position_cm1".to_owned(), top.position_cm1),
                    ("share_at_least".to_owned(), top.share),
                ],
                "at the detector's ceiling: it is there, its height is a lower bound",
            ),
            None => Answered::not_testable("the band is saturated"),
        };
    }
    let (found, share) = match read(band, observed) {
        Ok(read) => read,
        Err(answer) => return answer,
    };
    let values = vec![
        ("position_cm1".to_owned(), found.position_cm1),
        ("share".to_owned(), share),
        ("signal_to_noise".to_owned(), found.height / found.noise_sd),
    ];
    let detected = found.height >= DETECTED_TO_NOISE * found.noise_sd;
    let ceiling = observed.peaks().has_ceiling;
    if ceiling && share >= least_share && share < CEILING_HIDES * least_share {
        return Answered::new(Verdict::NotTestable, values, UNKNOWN_STRONGEST);
    }
    if detected && share >= least_share && found.is_maximum {
        return Answered::new(Verdict::Yes, values, "");
    }
    let sought = if least_share > 0.0 { least_share } else { ANY_BAND };
    if sought * observed.strongest() < DETECTED_TO_NOISE * found.noise_sd {
        return Answered::new(Verdict::NotTestable, values, "the band would drown in the noise");
    }
    let note = if detected { "no maximum of its own, or too low" } else { "not above the noise" };
    Answered::new(Verdict::No, values, note)
}

fn absent(band: &Reading, most_share: f64, observed: &Observed<'_>) -> Answered {
    let (found, share) = match read(band, observed) {
        Ok(read) => read,
        Err(answer) => return answer,
    };
    let values = vec![
        ("share".to_owned(), share),
        ("noise_share".to_owned(), found.noise_sd / observed.strongest()),
    ];
    if DETECTED_TO_NOISE * found.noise_sd > most_share.max(0.0) * observed.strongest()
        && most_share > 0.0
    {
        return Answered::new(Verdict::NotTestable, values, "a band could hide in the noise");
    }
    let detected = found.height >= DETECTED_TO_NOISE * found.noise_sd;
    let ceiling = observed.peaks().has_ceiling;
    if ceiling && share > most_share && share < CEILING_HIDES * most_share {
        return Answered::new(Verdict::NotTestable, values, UNKNOWN_STRONGEST);
    }
    let verdict =
        if detected && share > most_share && found.is_maximum { Verdict::No } else { Verdict::Yes };
    Answered::new(verdict, values, "")
}

fn ratio(
    numerator: &Reading,
    denominator: &Reading,
    (least, most): (Option<f64>, Option<f64>),
    observed: &Observed<'_>,
) -> Answered {
    let (over, under) = match (read(numerator, observed), read(denominator, observed)) {
        (Ok(over), Ok(under)) => (over.0, under.0),
        (Err(answer), _) | (_, Err(answer)) => return answer,
    };
    let mut values =
        vec![("numerator".to_owned(), over.height), ("denominator".to_owned(), under.height)];
    if under.height < COMPARED_TO_NOISE * under.noise_sd {
        return Answered::new(
            Verdict::NotTestable,
            values,
            "the band below the line is not above the noise",
        );
    }
    let ratio = over.height.max(0.0) / under.height;
    // The answer must hold at both ends. The noise of the two heights is taken as independent, so that its squares add
    // (JCGM 100:2008, 5.1.2).
    let noise = over.noise_sd.hypot(ratio * under.noise_sd);
    let spread = DETECTED_TO_NOISE * noise / under.height;
    values.push(("ratio".to_owned(), ratio));
    values.push(("spread".to_owned(), spread));
    let holds =
        |r: f64| least.is_none_or(|limit| r >= limit) && most.is_none_or(|limit| r <= limit);
    let (low, high) = ((ratio - spread).max(0.0), ratio + spread);
    if holds(low) && holds(high) {
        return Answered::new(Verdict::Yes, values, "");
    }
    let outside = least.is_some_and(|limit| high < limit) || most.is_some_and(|limit| low > limit);
    if outside {
        return Answered::new(Verdict::No, values, "");
    }
    Answered::new(Verdict::NotTestable, values, "the ratio is within the noise of a limit")
}

fn width(
    band: &Reading,
    (least_cm1, most_cm1): (Option<f64>, Option<f64>),
    observed: &Observed<'_>,
) -> Answered {
    let (found, _) = match read(band, observed) {
        Ok(read) => read,
        Err(answer) => return answer,
    };
    if found.height < COMPARED_TO_NOISE * found.noise_sd {
        return Answered::not_testable("the band is not above the noise");
    }
    let Some(width_cm1) = half_height_width_cm1(band, found, observed) else {
        return Answered::not_testable(
            "the band does not fall to half its height within its baseline",
        );
    };
    let holds = least_cm1.is_none_or(|limit| width_cm1 >= limit)
        && most_cm1.is_none_or(|limit| width_cm1 <= limit);
    let verdict = if holds { Verdict::Yes } else { Verdict::No };
    Answered::new(verdict, vec![("width_cm1".to_owned(), width_cm1)], "")
}

/// Returns the full width at half height above the local line.
#[must_use]
pub fn half_height_width_cm1(
    band: &Reading,
    found: LocalHeight,
    observed: &Observed<'_>,
) -> Option<f64> {
    let axis = observed.axis_cm1();
    let values = observed.absorbances();
    let line = line(band.baseline, observed)?;
    let top = crate::spectrum::nearest_index(axis, found.position_cm1)?;
    let half = found.height / 2.0;
    let above = |i: usize| Some(values.get(i)? - line(*axis.get(i)?) - half);
    let limits = window(axis, band.baseline.low_cm1, band.baseline.high_cm1);
    let crossing = |outer: usize, inner: usize| {
        let (a, b) = (above(outer)?, above(inner)?);
        let (x, y) = (*axis.get(outer)?, *axis.get(inner)?);
        Some(x + (y - x) * (-a) / (b - a))
    };
    let left = (limits.start..top).rev().find(|i| above(*i).is_some_and(|v| v < 0.0))?;
    let right = (top + 1..limits.end).find(|i| above(*i).is_some_and(|v| v < 0.0))?;
    Some(crossing(right, right - 1)? - crossing(left, left + 1)?)
}

fn order(stronger: &Reading, weaker: &Reading, observed: &Observed<'_>) -> Answered {
    let (high, low) = match (read(stronger, observed), read(weaker, observed)) {
        (Ok(high), Ok(low)) => (high.0, low.0),
        (Err(answer), _) | (_, Err(answer)) => return answer,
    };
    let values = vec![("stronger".to_owned(), high.height), ("weaker".to_owned(), low.height)];
    let noise = DETECTED_TO_NOISE * high.noise_sd.hypot(low.noise_sd);
    if high.height.max(low.height) < COMPARED_TO_NOISE * high.noise_sd.max(low.noise_sd) {
        return Answered::new(Verdict::NotTestable, values, "neither band is above the noise");
    }
    let difference = high.height - low.height;
    if difference.abs() < noise {
        return Answered::new(
            Verdict::NotTestable,
            values,
            "the heights differ by less than noise",
        );
    }
    let verdict = if difference > 0.0 { Verdict::Yes } else { Verdict::No };
    Answered::new(verdict, values, "")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::peaks::pick;
    use crate::prepare::prepare;
    use crate::spectrum::{Spectrum, SpectrumParts};

    #[test]
    fn data_coarser_than_the_stretch_of_a_question_do_not_answer_it() {
        let axis: Vec<f64> = (0..1200).map(|i| 800.0 + f64::from(i)).collect();
        let band = |x: f64, at: f64, height: f64| height / (1.0 + ((x - at) / 4.0).powi(2));
        let noise = |i: usize| 1e-4 * ((i * i % 97) as f64 / 97.0 - 0.5);
        let sharp = |i: usize| {
            let x = 800.0 + i as f64;
            band(x, 1463.0, 1.0) + band(x, 1377.0, 0.1) + noise(i)
        };
        let methyl = |span: usize| {
            let mean = |i: usize| (0..span).map(|k| sharp(i + k)).sum::<f64>() / span as f64;
            let values = (0..axis.len()).map(|i| mean(i + 100)).collect();
            let shifted = axis.iter().map(|x| x + 100.0 + (span - 1) as f64 / 2.0).collect();
            let mut parts = SpectrumParts::new(shifted, values);
            parts.provenance.stated_resolution = Some(span.to_string());
            let measured = Spectrum::new(parts).expect("a spectrum");
            let prepared = prepare(&measured).expect("prepared");
            let peaks = pick(&measured, &prepared);
            let observed = Observed::new(&measured, &prepared, &peaks);
            let within = |low, high, from, to| Reading {
                window: Window::new(low, high),
                baseline: Window::new(from, to),
            };
            let answer = |baseline: (f64, f64)| {
                let numerator = within(1375.0, 1380.0, baseline.0, baseline.1);
                let denominator = within(1459.0, 1467.0, 1420.0, 1490.0);
                let most = Some(0.01);
                evaluate(&Predicate::Ratio { numerator, denominator, least: None, most }, &observed)
            };
            (answer((1372.0, 1382.0)), answer((1340.0, 1420.0)).verdict)
        };
        // A tenth of the neighbour: more than a hundredth, whether or not a narrow line shows it.
        assert_eq!(methyl(1).0.verdict, Verdict::No);
        assert_eq!(methyl(1).1, Verdict::No);
        let (narrow, wide) = methyl(20);
        assert_eq!(narrow.verdict, Verdict::NotTestable);
        assert!(narrow.note.contains("shows no band within 1372 to 1382 cm⁻¹"), "{}", narrow.note);
        assert_eq!(wide, Verdict::No);
    }

    #[test]
    fn beside_a_band_of_unknown_height_a_share_near_the_limit_proves_no_band() {
        let axis: Vec<f64> = (0..800).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let band = |x: f64, at: f64, height: f64| height / (1.0 + ((x - at) / 8.0).powi(2));
        let values = axis.iter().map(|x| band(*x, 1000.0, 1.0) + band(*x, 1500.0, 0.2)).collect();
        let measured = Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum");
        let prepared = prepare(&measured).expect("prepared");
        let mut peaks = pick(&measured, &prepared);
        let reading =
            Reading { window: Window::new(1490.0, 1510.0), baseline: Window::new(1420.0, 1580.0) };
        let mut absent = |most_share: f64, has_ceiling: bool| {
            peaks.has_ceiling = has_ceiling;
            let observed = Observed::new(&measured, &prepared, &peaks);
            evaluate(&Predicate::Absent { band: reading, most_share }, &observed).verdict
        };
        // A fifth of the strongest, which may stand three times higher where it was cut off.
        assert_eq!(absent(0.1, false), Verdict::No);
        assert_eq!(absent(0.1, true), Verdict::NotTestable);
        assert_eq!(absent(0.05, true), Verdict::No);
        assert_eq!(absent(0.3, true), Verdict::Yes);
    }
}
