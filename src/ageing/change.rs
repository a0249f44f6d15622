//! The change of one marker between two faces, and what may be said of it.

use super::disturbance::{Disturbances, Effect};
use super::pair_contact::{PairContact, gain_per_um};
use super::reading::{QUANTIFICATION, Reading, WORST_DEPTH_RATIO, depth_ratio, is_present, middle};
use super::sentence::power_in_words;
use super::statistics::{CONFIDENCE, Welch, holm, outlier, t_quantile, t_two_sided, welch};
use super::values::{
    CHANGED_BELOW, ChangeCall, ChangeScale, ComparedFace, ContactFit, DifferenceSpectrum,
    FoundConfounder, MarkerComparison,
};
use crate::optics::Element;
use crate::tables::{Marker, MarkerRole};

/// Fewer spots than this a side are shown, not tested: two give no spread worth the name.
const LEAST_SPOTS: usize = 3;
/// One standard deviation of a gap that could not be fitted, in micrometres: a spot pressed with any
/// care lies within 0.5 µm of another; ours.
pub(super) const UNKNOWN_GAP_UM: f64 = 0.3;
/// A gap explains a change when it makes at least this share of it; ours.
const EXPLAINED_SHARE: f64 = 0.5;

/// One standard deviation of the contact correction, as a share of it: exact three-layer optics of
/// the measured n and k of PVC, PC, PET and PMMA leaves up to half of it standing; ours.
const CONTACT_MODEL_SHARE: f64 = 0.3;
/// What pressing the same spot again changes at least (natural logarithm); ours.
const PRESSING_FLOOR: f64 = 0.01;
/// Share of the spread of fresh references that may differ between two faces of one sheet: most of
/// it lies between makers and is the same on both; ours.
const BLANK_SHARE: f64 = 0.3;
/// What the dispersion of a strong neighbour makes, through a gap, of a reading that should be zero, as
/// a share of the reference band: three-layer optics of measured n and k moves the place of C=C in
/// PMMA by 0.16 % at 0.3 µm; ours.
const DISPERSION_FLOOR: f64 = 0.002;
/// Spots that could not have shown a doubling or a halving are too blind to say "no change"; ours.
const WORST_DETECTABLE_RATIO: f64 = 2.0;
/// A disturbance or a gap that makes this share of a change or less is not worth a word; ours.
const LEAST_SHARE_TOLD: f64 = 0.1;
/// Degrees of freedom of a fit whose residuals are linked: some 3,400 cm⁻¹ in stretches of 40, less
/// its columns and the bands; ours, low.
const FIT_FREEDOM: f64 = 20.0;
/// Why nothing is compared where no difference of the faces could be made.
const NOTHING_SHARED: &str =
    "the faces share too little of the range to say what one carries beside its age";
/// Said where no spot shows a marker, and its change neither.
const BELOW: &str = "below detection on every spot";
/// Degrees of freedom of a variance that is held to be known.
const KNOWN: f64 = 1.0e6;

/// One face's readings of a marker.
pub struct Side<'a> {
    /// The face.
    pub face: ComparedFace,
    /// One reading a spot, in the order given.
    pub readings: Vec<&'a Reading>,
}

/// What a comparison rests on.
pub struct Grounds<'a> {
    /// Contact of all spots, where it could be fitted.
    pub contact: Option<&'a PairContact>,
    /// The crystal all spots were measured on.
    pub crystal: Element,
    /// Whether the spectra are ATR, so that contact matters.
    pub atr: bool,
    /// What one face shares beside its age, where it could be fitted.
    pub disturbances: Option<&'a Disturbances<'a>>,
    /// Number of tests that share the error rate.
    pub tests: usize,
}

/// Compares one marker; [`correct_and_call`] says afterwards what is changed.
pub fn compare_marker(
    marker: &Marker,
    ours: &Side<'_>,
    theirs: &Side<'_>,
    grounds: &Grounds<'_>,
) -> MarkerComparison {
    let mut change = blank_change(marker, ours, theirs);
    let first = ours.readings.iter().chain(&theirs.readings).next();
    let Some(positions) = first.map(|r| r.positions_cm1) else {
        change.why = Some("not read on any spot".to_owned());
        return change;
    };
    change.depth_ratio = depth_ratio(positions);
    if let Some(why) = refused_spots(ours, theirs) {
        change.why = Some(why);
        return change;
    }
    if grounds.atr
        && grounds.contact.is_none()
        && change.depth_ratio.is_none_or(|d| d > WORST_DEPTH_RATIO)
    {
        change.why =
            Some("contact could not be fitted, and contact alone may move this marker".to_owned());
        return change;
    }
    change.below_detection = !ours.readings.iter().chain(&theirs.readings).any(|r| is_present(r));
    // The detection limit holds the spread between makers, which two faces of one sheet share. So a
    // marker named beforehand is tested below it too; the others are not there.
    if marker.zero_when_fresh && change.below_detection && marker.role != MarkerRole::Primary {
        change.call = ChangeCall::NoChangeShown;
        change.scale = ChangeScale::Difference;
        change.why = Some(BELOW.to_owned());
        return change;
    }
    let (raw, corrected) = (values(ours, theirs, None), values(ours, theirs, grounds.contact));
    change.scale = raw.scale;
    change.contact_change = contact_change(&raw, grounds.contact, positions);
    let noise = noise_of_mean(ours, raw.scale) + noise_of_mean(theirs, raw.scale);
    let quantifiable = quantifiable(marker, ours, theirs, grounds);
    let reference = [marker.reference.as_ref(), marker.fallback.as_ref()]
        .into_iter()
        .flatten()
        .find(|r| Some(middle(r)) == positions.1);
    let effect = match grounds.disturbances {
        Some(disturbances) => disturbances.on_marker(&marker.measure, reference, raw.scale),
        None => Err(NOTHING_SHARED.to_owned()),
    };
    let effect = match effect {
        Ok(effect) => effect,
        Err(why) => {
            change.why = Some(why);
            return change;
        }
    };
    let judged = Judged { marker, positions, noise, quantifiable, effect };
    test(&mut change, &judged, &raw, &corrected, grounds);
    if change.below_detection && change.call == ChangeCall::NoChangeShown {
        change.why = Some(BELOW.to_owned());
    }
    name_outliers(&mut change, ours, theirs, &corrected);
    change
}

/// Returns the least growth from the fresh value that one reading would be relied on for: ten standard
/// deviations of nothing, by noise, by makers, or by dispersion through a gap.
fn quantifiable(marker: &Marker, ours: &Side<'_>, theirs: &Side<'_>, grounds: &Grounds<'_>) -> f64 {
    let limits = ours.readings.iter().chain(&theirs.readings);
    let largest = limits.filter_map(|r| r.result.quantification_limit).fold(0.0, f64::max);
    let dispersion = if grounds.atr { QUANTIFICATION * DISPERSION_FLOOR } else { 0.0 };
    (largest - marker.blank.as_ref().map_or(0.0, |b| b.value)).max(dispersion)
}

/// A marker with what its test needs beside the values.
struct Judged<'a> {
    marker: &'a Marker,
    positions: (f64, Option<f64>),
    /// Variance of the difference of the means that the noise of the readings alone makes.
    noise: f64,
    /// The least growth from the fresh value that a single reading would be relied on for.
    quantifiable: f64,
    /// What disturbs one face.
    effect: Effect,
}

/// Indices of both sides on one scale: logarithms, or plain values.
struct Values {
    ours: Vec<f64>,
    theirs: Vec<f64>,
    scale: ChangeScale,
}

fn blank_change(marker: &Marker, ours: &Side<'_>, theirs: &Side<'_>) -> MarkerComparison {
    let mut confounders = Vec::new();
    for confounder in
        ours.readings.iter().chain(&theirs.readings).flat_map(|r| &r.result.confounders)
    {
        if !confounders.contains(confounder) {
            confounders.push(confounder.clone());
        }
    }
    let any = ours.readings.iter().chain(&theirs.readings).next();
    let indices = |side: &Side<'_>| side.readings.iter().map(|r| r.index).collect();
    MarkerComparison {
        id: marker.id.clone(),
        shows: marker.shows.clone(),
        face: ours.face,
        against: theirs.face,
        primary: marker.role == MarkerRole::Primary,
        face_mean: None,
        against_mean: None,
        face_values: indices(ours),
        against_values: indices(theirs),
        scale: ChangeScale::Ratio,
        change: None,
        low: None,
        high: None,
        p: None,
        p_corrected: None,
        call: ChangeCall::Refused,
        smallest_detectable: None,
        depth_ratio: None,
        contact_change: None,
        below_detection: false,
        confounders,
        why: None,
        definition: any.map(|r| r.result.definition.clone()).unwrap_or_default(),
        source: marker.sourcing.printed().to_owned(),
        status: marker.sourcing.status.to_string(),
    }
}

/// A marker refused on any spot is not compared: the spots left over would be a choice.
///
/// A spot with nothing left to follow is no such spot where one of the faces has it throughout: there
/// the loss is what is asked for.
fn refused_spots(ours: &Side<'_>, theirs: &Side<'_>) -> Option<String> {
    let followed = |side: &Side<'_>| side.readings.iter().all(|r| !r.nothing_to_follow);
    let counts = followed(ours) || followed(theirs);
    for side in [ours, theirs] {
        for (spot, reading) in side.readings.iter().enumerate() {
            if reading.index.is_none() || (reading.nothing_to_follow && !counts) {
                let why = reading.result.refusal.as_deref().unwrap_or("refused");
                return Some(format!("{} spot {}: {why}", side.face.word(), spot + 1));
            }
        }
    }
    None
}

fn values(ours: &Side<'_>, theirs: &Side<'_>, contact: Option<&PairContact>) -> Values {
    let corrected = |side: &Side<'_>, first: bool| -> Vec<f64> {
        side.readings
            .iter()
            .enumerate()
            .filter_map(|(spot, reading)| {
                let index = reading.index?;
                let Some(pair) = contact else { return Some(index) };
                let fit = if first { pair.of_face(spot) } else { pair.of_reference(spot) };
                // A band without a reference also carries the common factor.
                let scale = match (fit, reading.positions_cm1.1) {
                    (Some(fit), None) => fit.scale,
                    _ => 1.0,
                };
                let gain = pair.gain_per_um(reading.positions_cm1)?;
                let gap = fit.map_or(0.0, |f| f.gap_um);
                Some(index / scale * (-gain * gap).exp())
            })
            .collect()
    };
    let (a, b) = (corrected(ours, true), corrected(theirs, false));
    let all_present = ours.readings.iter().chain(&theirs.readings).all(|r| is_present(r));
    if all_present && a.iter().chain(&b).all(|v| *v > 0.0) {
        let logs = |v: Vec<f64>| v.into_iter().map(f64::ln).collect();
        Values { ours: logs(a), theirs: logs(b), scale: ChangeScale::Ratio }
    } else {
        Values { ours: a, theirs: b, scale: ChangeScale::Difference }
    }
}

/// Variance of a face's mean that the noise of its readings alone makes.
fn noise_of_mean(side: &Side<'_>, scale: ChangeScale) -> f64 {
    let n = side.readings.len().max(1) as f64;
    let one = |reading: &&Reading| match (scale, reading.index) {
        (ChangeScale::Ratio, Some(index)) if index > 0.0 => {
            (reading.standard_error / index).powi(2)
        }
        _ => reading.standard_error.powi(2),
    };
    side.readings.iter().map(one).sum::<f64>() / (n * n)
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

fn on_scale(scale: ChangeScale, value: f64) -> f64 {
    match scale {
        ChangeScale::Ratio => value.exp(),
        ChangeScale::Difference => value,
    }
}

fn contact_change(
    raw: &Values,
    contact: Option<&PairContact>,
    positions: (f64, Option<f64>),
) -> Option<f64> {
    let pair = contact?;
    let log = pair.gain_per_um(positions)? * pair.mean_gap_um();
    Some(match raw.scale {
        ChangeScale::Ratio => log.exp(),
        ChangeScale::Difference => mean(&raw.theirs) * (log.exp() - 1.0),
    })
}

fn test(
    change: &mut MarkerComparison,
    judged: &Judged<'_>,
    raw: &Values,
    corrected: &Values,
    grounds: &Grounds<'_>,
) {
    let scale = corrected.scale;
    let (effect, ours) = (&judged.effect, mean(&corrected.ours) - judged.effect.shift);
    change.face_mean = Some(on_scale(scale, ours));
    change.against_mean = Some(on_scale(scale, mean(&corrected.theirs)));
    change.change = Some(on_scale(scale, ours - mean(&corrected.theirs)));
    let (n, m) = (corrected.ours.len(), corrected.theirs.len());
    if n < LEAST_SPOTS || m < LEAST_SPOTS {
        change.call = ChangeCall::NotTested;
        change.why = Some(format!(
            "{n} and {m} spots: fewer than {LEAST_SPOTS} a side are shown, not tested"
        ));
        return;
    }
    let (Some(plain), Some(spots)) =
        (welch(&raw.ours, &raw.theirs), welch(&corrected.ours, &corrected.theirs))
    else {
        change.call = ChangeCall::NotTested;
        change.why = Some("the spots show no spread at all; copies are no replicates".to_owned());
        return;
    };
    let shift = plain.difference - spots.difference;
    // The spots scatter by their noise too, but few of them may by chance hide it.
    let spots = never_below(spots, judged.noise);
    let systematic = systematic(judged, corrected, shift, grounds);
    let undisturbed = widened(spots, &systematic);
    // All spots of a face share a disturbance, so that their scatter does not know of it.
    let disturbed = [(effect.fit_variance, FIT_FREEDOM), (effect.model_variance, KNOWN)];
    let spots = Welch { difference: spots.difference - effect.shift, ..spots };
    let spots = widened(spots, &disturbed);
    let widened = widened(spots, &systematic);
    // The interval is of the spots; the test also carries what the contact fit cannot know.
    change.low = Some(on_scale(scale, spots.low));
    change.high = Some(on_scale(scale, spots.high));
    change.smallest_detectable =
        widened.smallest_detectable(grounds.tests).map(|d| on_scale(scale, d));
    change.p = Some(widened.p);
    change.call = if is_blind(change, judged) {
        let power = power_in_words(change)
            .unwrap_or_else(|| "no change of any size could be shown".to_owned());
        change.why = Some(power);
        ChangeCall::TooBlind
    } else {
        ChangeCall::NoChangeShown
    };
    let explained = shift.abs() >= EXPLAINED_SHARE * plain.difference.abs();
    if plain.p < 1.0 - CONFIDENCE && widened.p >= 1.0 - CONFIDENCE && explained {
        change.call = ChangeCall::Refused;
        change.why = Some("the fitted gap explains the change; press again and repeat".to_owned());
    }
    tell_disturbance(change, effect, &undisturbed, &widened);
}

/// Says by how much a disturbance moves a marker.
fn shift_in_words(scale: ChangeScale, shift: f64) -> String {
    match scale {
        ChangeScale::Ratio => format!("{:.2} times", shift.exp()),
        // What is smaller than three decimals show is no zero.
        ChangeScale::Difference if shift.abs() < 0.0005 => format!("{shift:+.1e}"),
        ChangeScale::Difference => format!("{shift:+.3}"),
    }
}

/// Says what was taken out, and refuses a change that it explains.
fn tell_disturbance(
    change: &mut MarkerComparison,
    effect: &Effect,
    undisturbed: &Welch,
    widened: &Welch,
) {
    let Some(kind) = effect.main else { return };
    if effect.shift.abs() < LEAST_SHARE_TOLD * undisturbed.difference.abs() {
        return;
    }
    let explained = effect.shift.abs() >= EXPLAINED_SHARE * undisturbed.difference.abs();
    let refuses = explained && undisturbed.p < 1.0 - CONFIDENCE && widened.p >= 1.0 - CONFIDENCE;
    let did = shift_in_words(change.scale, effect.shift);
    if refuses {
        change.call = ChangeCall::Refused;
        change.why = Some(format!("{} explains the change ({did})", kind.word()));
    }
    change.confounders.push(FoundConfounder {
        id: kind.id().to_owned(),
        does: format!("{} makes {did} of this marker; taken out", kind.word()),
        refuses,
    });
}

/// Whether the smallest detectable change is so large that showing none says nothing: a doubling of
/// what is there, and where there may be nothing, a reading that would be relied on.
fn is_blind(change: &MarkerComparison, judged: &Judged<'_>) -> bool {
    let limit = match change.scale {
        ChangeScale::Ratio => WORST_DETECTABLE_RATIO,
        ChangeScale::Difference => judged
            .quantifiable
            .max((WORST_DETECTABLE_RATIO - 1.0) * change.against_mean.unwrap_or(0.0)),
    };
    change.smallest_detectable.is_none_or(|least| least.is_nan() || least > limit)
}

/// A variance with its degrees of freedom.
type Variance = (f64, f64);

/// Variances that no number of spots takes away: the contact model's own, its misfit on the
/// unchanged bands, and for markers that should be zero when fresh the spread of fresh references.
fn systematic(
    judged: &Judged<'_>,
    values: &Values,
    shift: f64,
    grounds: &Grounds<'_>,
) -> [Variance; 2] {
    let size = match values.scale {
        ChangeScale::Ratio => 1.0,
        ChangeScale::Difference => mean(&values.ours).abs().max(mean(&values.theirs).abs()),
    };
    let blank = match (values.scale, &judged.marker.blank) {
        (ChangeScale::Difference, Some(blank)) => BLANK_SHARE * blank.standard_deviation,
        _ => 0.0,
    };
    let (misfit, freedom, gap) = match grounds.contact {
        Some(contact) => {
            let (misfit, freedom) = contact.misfit();
            (misfit, freedom, CONTACT_MODEL_SHARE * shift)
        }
        None if grounds.atr => {
            let gain = gain_per_um(&grounds.crystal, judged.positions).unwrap_or(f64::INFINITY);
            (0.0, 1.0, gain * UNKNOWN_GAP_UM * size)
        }
        None => (0.0, 1.0, 0.0),
    };
    let pressing = if grounds.atr { PRESSING_FLOOR * size } else { 0.0 };
    let dispersion =
        if grounds.atr && judged.marker.zero_when_fresh { DISPERSION_FLOOR } else { 0.0 };
    let model = gap.powi(2) + pressing.powi(2) + blank.powi(2) + dispersion.powi(2);
    [(misfit * size * size, freedom), (model, KNOWN)]
}

/// Widens a test whose spots scatter less than the noise of their readings allows.
fn never_below(test: Welch, noise: f64) -> Welch {
    if test.standard_error.powi(2) >= noise || !noise.is_finite() {
        return test;
    }
    from_error(test.difference, noise.sqrt(), KNOWN)
}

/// Adds systematic variances to a test, degrees of freedom after Welch and Satterthwaite.
fn widened(test: Welch, variances: &[Variance]) -> Welch {
    let spots = test.standard_error.powi(2);
    let squared = spots + variances.iter().map(|v| v.0).sum::<f64>();
    let parts = spots.powi(2) / test.degrees_of_freedom
        + variances.iter().map(|(v, freedom)| v.powi(2) / freedom).sum::<f64>();
    from_error(test.difference, squared.sqrt(), squared.powi(2) / parts)
}

fn from_error(difference: f64, standard_error: f64, degrees_of_freedom: f64) -> Welch {
    let reach = t_quantile(f64::midpoint(1.0, CONFIDENCE), degrees_of_freedom)
        .map_or(f64::INFINITY, |t| t * standard_error);
    Welch {
        difference,
        standard_error,
        degrees_of_freedom,
        p: t_two_sided(difference / standard_error, degrees_of_freedom).unwrap_or(1.0),
        low: difference - reach,
        high: difference + reach,
    }
}

fn name_outliers(
    change: &mut MarkerComparison,
    ours: &Side<'_>,
    theirs: &Side<'_>,
    values: &Values,
) {
    for (side, list) in [(ours, &values.ours), (theirs, &values.theirs)] {
        if let Some(spot) = outlier(list) {
            let text =
                format!("{} spot {} stands apart; named, not left out", side.face.word(), spot + 1);
            change.why = Some(match change.why.take() {
                Some(why) => format!("{why}; {text}"),
                None => text,
            });
        }
    }
}

/// Whether a marker was tested and, so far, nothing shown.
fn unchanged(change: &MarkerComparison) -> bool {
    matches!(change.call, ChangeCall::NoChangeShown | ChangeCall::TooBlind)
}

/// Corrects the primary markers among themselves and says which are changed.
pub fn correct_and_call(changes: &mut [MarkerComparison]) {
    let family: Vec<usize> = changes
        .iter()
        .enumerate()
        .filter(|(_, c)| c.primary && (c.p.is_some() || unchanged(c)))
        .map(|(i, _)| i)
        .collect();
    let p_values: Vec<f64> = family.iter().map(|&i| changes[i].p.unwrap_or(1.0)).collect();
    for (&index, corrected) in family.iter().zip(holm(&p_values)) {
        let change = &mut changes[index];
        if change.p.is_none() {
            continue;
        }
        change.p_corrected = Some(corrected);
        if unchanged(change) && corrected < 1.0 - CONFIDENCE {
            // What was shown needs no word on what could not have been.
            if change.call == ChangeCall::TooBlind {
                change.why = None;
            }
            change.call = ChangeCall::Changed;
            if change.below_detection {
                let why = change.why.take().unwrap_or_default();
                let rest = why.strip_prefix(BELOW).unwrap_or(&why).trim_start_matches("; ");
                let parts = [CHANGED_BELOW, rest].into_iter().filter(|part| !part.is_empty());
                change.why = Some(parts.collect::<Vec<_>>().join("; "));
            }
        }
    }
    for change in changes.iter_mut().filter(|c| !c.primary) {
        if unchanged(change) {
            change.call = ChangeCall::Exploratory;
        }
    }
    changes.iter_mut().for_each(settle);
}

/// Keeps ten significant digits of what was computed: the rest depends on the processor that the fits before it
/// ran on.
fn settle(change: &mut MarkerComparison) {
    let computed = [
        &mut change.face_mean,
        &mut change.against_mean,
        &mut change.change,
        &mut change.low,
        &mut change.high,
        &mut change.p,
        &mut change.p_corrected,
        &mut change.smallest_detectable,
        &mut change.contact_change,
        &mut change.depth_ratio,
    ];
    computed.into_iter().flatten().for_each(ten_digits);
}

/// Keeps ten significant digits.
fn ten_digits(value: &mut f64) {
    *value = format!("{value:.9e}").parse().unwrap_or(*value);
}

/// The same for what was fitted of the contact, and for differences of spectra to the tenth decimal: they are read
/// in absorbance.
pub fn settle_fits(contact: &mut [ContactFit], differences: &mut [DifferenceSpectrum]) {
    /// A ten thousand millionth of an absorbance.
    const UNIT: f64 = 1.0e-10;
    for fit in contact {
        [&mut fit.scale, &mut fit.gap_um, &mut fit.gap_error_um].into_iter().for_each(ten_digits);
    }
    for difference in differences {
        let values = difference.differences.iter_mut().chain(&mut difference.standard_errors);
        values.for_each(|value| *value = (*value / UNIT).round() * UNIT);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ageing::disturbance::Kind;

    #[test]
    fn a_small_shift_is_never_said_to_be_nothing() {
        assert_eq!(shift_in_words(ChangeScale::Difference, -0.0123), "-0.012");
        assert_eq!(shift_in_words(ChangeScale::Difference, -0.00012), "-1.2e-4");
        assert_eq!(shift_in_words(ChangeScale::Ratio, 0.0), "1.00 times");
    }

    #[test]
    fn a_change_of_what_no_spot_shows_is_explained_and_not_called_below_detection() {
        let of = |call, p, why: &str| {
            let change = MarkerComparison {
                primary: true,
                below_detection: true,
                p: Some(p),
                why: Some(why.to_owned()),
                ..MarkerComparison::unmeasured("PVC_OH", call)
            };
            let mut changes = [change];
            correct_and_call(&mut changes);
            let [change] = changes;
            (change.call, change.why.expect("a reason"))
        };
        let apart = format!("{BELOW}; exposed spot 4 stands apart");
        let (call, why) = of(ChangeCall::NoChangeShown, 0.001, &apart);
        assert_eq!(call, ChangeCall::Changed);
        assert_eq!(why, format!("{CHANGED_BELOW}; exposed spot 4 stands apart"));
        assert_eq!(
            of(ChangeCall::TooBlind, 0.001, "no power"),
            (ChangeCall::Changed, CHANGED_BELOW.to_owned())
        );
        assert_eq!(
            of(ChangeCall::NoChangeShown, 0.4, BELOW),
            (ChangeCall::NoChangeShown, BELOW.to_owned())
        );
    }

    #[test]
    fn a_disturbance_refuses_a_change_that_it_explains_and_only_lists_itself_beside_none() {
        let test = |difference: f64, p: f64| Welch {
            difference,
            standard_error: 0.01,
            degrees_of_freedom: 4.0,
            p,
            low: difference - 0.03,
            high: difference + 0.03,
        };
        let told = |shift: f64, before: f64, after: f64| {
            let effect = Effect { shift, main: Some(Kind::Grease), ..Effect::default() };
            let mut change = MarkerComparison::unmeasured("CI_SAUB", ChangeCall::NoChangeShown);
            tell_disturbance(&mut change, &effect, &test(0.1, before), &test(0.1 - shift, after));
            let listed = change.confounders.iter().map(|found| found.refuses).collect::<Vec<_>>();
            (change.call, listed)
        };
        // Most of a change that would have been shown, and is not without it.
        assert_eq!(told(0.08, 0.01, 0.4), (ChangeCall::Refused, vec![true]));
        // Shown all the same; never shown; too little of it to be the reason; too little to be told.
        assert_eq!(told(0.08, 0.01, 0.02), (ChangeCall::NoChangeShown, vec![false]));
        assert_eq!(told(0.08, 0.2, 0.4), (ChangeCall::NoChangeShown, vec![false]));
        assert_eq!(told(0.03, 0.01, 0.4), (ChangeCall::NoChangeShown, vec![false]));
        assert_eq!(told(0.005, 0.01, 0.4), (ChangeCall::NoChangeShown, Vec::new()));
    }
}
