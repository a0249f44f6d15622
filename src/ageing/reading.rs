//! One marker on one spectrum: the number, its interval, its limits, and what disturbs it.

use super::integrate::{self, Weights, why_unreadable};
use super::noise::Noise;
use super::statistics::{CONFIDENCE, ratio_interval, t_quantile};
use super::values::{FoundConfounder, MarkerResult, MarkerState};
use super::water::{Libration, libration};
use crate::fitness::{examine, stated_resolution_cm1};
use crate::optics::Element;
use crate::spectrum::{MeasurementMode, Spectrum};
use crate::tables::{
    Confounder, ConfounderEffect, ConfounderRole, LimitsFrom, Marker, MarkerRole, Measure,
    MeasureKind, MeasuredBy, Predicate, Tables, Verdict,
};

/// Standard deviations above the blank at which something is there; common practice (IUPAC 1975,
/// recalled).
const DETECTION: f64 = 3.0;
/// Standard deviations above the blank at which a number may be relied on; as above.
pub const QUANTIFICATION: f64 = 10.0;
/// A reference band must stand this far above its noise to be divided by; as above.
const LEAST_REFERENCE_TO_NOISE: f64 = 10.0;
/// Two bands whose depths differ by more than this factor see different layers; ours.
pub const WORST_DEPTH_RATIO: f64 = 1.5;
/// A second derivative over ±10 cm⁻¹ resolves no bands of an instrument coarser than this; ours: the
/// narrowest bands it is asked of are some 15 cm⁻¹ wide.
const COARSEST_RESOLUTION_CM1: f64 = 8.5;

/// A spectrum with what is already known of it.
#[derive(Clone, Copy)]
#[non_exhaustive]
pub struct Specimen<'a> {
    /// The spectrum as measured.
    pub spectrum: &'a Spectrum,
    /// Ids of the components the identification found, main one included.
    pub components: &'a [String],
    /// Answers the table's questions about this spectrum.
    pub ask: &'a dyn Fn(&Predicate) -> Verdict,
    /// The crystal it was measured on.
    pub crystal: Element,
}

impl<'a> Specimen<'a> {
    /// Creates a specimen; `ask` answers the table's questions about it. A confounder that is known by a component
    /// refuses nothing where that is left out.
    #[must_use]
    pub fn new(
        spectrum: &'a Spectrum,
        components: &'a [String],
        crystal: Element,
        ask: &'a dyn Fn(&Predicate) -> Verdict,
    ) -> Self {
        Self { spectrum, components, ask, crystal }
    }
}

/// A marker's number before it is decided what may be said of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The index as read, below detection included; `None` where refused.
    pub index: Option<f64>,
    /// One standard error of the index from noise.
    pub standard_error: f64,
    /// What may be said.
    pub result: MarkerResult,
    /// Wavenumbers in cm⁻¹ at which the band and its reference are read.
    pub positions_cm1: (f64, Option<f64>),
    /// Whether it is refused for one reason alone: its subject is not there on this spectrum.
    pub nothing_to_follow: bool,
}

/// Returns a measure's place on the axis: the middle of its limits.
#[must_use]
pub fn middle(measure: &Measure) -> f64 {
    f64::midpoint(measure.limits.low_cm1, measure.limits.high_cm1)
}

/// Reads a measure as weights on the measured points.
///
/// # Errors
///
/// The reason why it cannot be read: range, mask, saturation, or too few points to resolve it.
pub fn weights(spectrum: &Spectrum, measure: &Measure) -> Result<Weights, String> {
    let low = measure.limits.low_cm1.min(measure.baseline.low_cm1);
    let high = measure.limits.high_cm1.max(measure.baseline.high_cm1);
    if let Some(why) = why_unreadable(spectrum, low, high) {
        return Err(why);
    }
    let axis = spectrum.wavenumbers_cm1();
    if measure.kind == MeasureKind::SecondDerivative
        && let Some(resolution) = stated_resolution_cm1(spectrum)
        && resolution > COARSEST_RESOLUTION_CM1
    {
        return Err(format!(
            "measured at {resolution:.0} cm⁻¹ resolution, too coarse to resolve the band near {:.0} cm⁻¹",
            middle(measure)
        ));
    }
    let found = match measure.kind {
        MeasureKind::Area => integrate::area(axis, measure.limits, measure.baseline),
        MeasureKind::MeanHeight => integrate::mean_height(axis, measure.limits, measure.baseline),
        MeasureKind::Maximum => integrate::greatest_height(
            axis,
            spectrum.absorbances(),
            measure.limits,
            measure.baseline,
        ),
        MeasureKind::SecondDerivative => integrate::curvature(axis, measure.limits),
    };
    found.ok_or_else(|| {
        format!("too few points between {low:.0} and {high:.0} cm⁻¹ to resolve the band")
    })
}

/// Reads a measure of a spectrum: an area in cm⁻¹, a height in absorbance, or a depth per cm⁻².
///
/// # Errors
///
/// The reason why it cannot be read: range, mask, saturation, or too few points to resolve it.
pub fn read_measure(spectrum: &Spectrum, measure: &Measure) -> Result<f64, String> {
    weights(spectrum, measure).map(|sum| sum.value(spectrum.absorbances()))
}

/// Says how a measure is read, in words.
#[must_use]
pub fn describe(measure: &Measure) -> String {
    let (limits, line) = (measure.limits, measure.baseline);
    let over = format!("above a line from {:.0} to {:.0}", line.low_cm1, line.high_cm1);
    match measure.kind {
        MeasureKind::Area => format!("area {:.0}–{:.0} {over}", limits.low_cm1, limits.high_cm1),
        MeasureKind::MeanHeight => {
            format!("mean height {:.0}–{:.0} {over}", limits.low_cm1, limits.high_cm1)
        }
        MeasureKind::Maximum => {
            format!("greatest height {:.0}–{:.0} {over}", limits.low_cm1, limits.high_cm1)
        }
        MeasureKind::SecondDerivative => {
            format!("second-derivative depth at {:.0} (quartic over ±10)", middle(measure))
        }
    }
}

/// Reads one marker.
#[must_use]
pub fn read_marker(
    specimen: &Specimen<'_>,
    noise: Option<&Noise>,
    marker: &Marker,
    tables: &Tables,
) -> Reading {
    let mut confounders = Vec::new();
    let mut reference = marker.reference;
    let mut refusal = wrong_mode(specimen.spectrum.mode(), marker.measured_by);
    let mut nothing_to_follow = None;
    for confounder in tables.confounders_of(&marker.id) {
        if !is_found(specimen, confounder, tables) {
            continue;
        }
        let mut refuses = confounder.effect == ConfounderEffect::Refuse;
        let mut does = format!("{}: {}", confounder.what, confounder.does);
        if confounder.role == Some(ConfounderRole::SharpHydroxyl)
            && !confounder.components.iter().any(|id| specimen.components.contains(id))
            && examine(specimen.spectrum).shows_vapour()
        {
            does = "water vapour: its lines stand among the hydroxyls, so that a filler's cannot be told from them; \
                    measure a new background and repeat"
                .to_owned();
        }
        if refuses
            && confounder.role == Some(ConfounderRole::ReferenceBand)
            && let Some(fallback) = marker.fallback
        {
            reference = Some(fallback);
            refuses = false;
            does.push_str("; the second reference band is used instead");
        }
        if refuses && refusal.is_none() {
            refusal = Some(does.clone());
        }
        if confounder.effect == ConfounderEffect::NothingToFollow {
            refuses = true;
            nothing_to_follow.get_or_insert(does.clone());
        }
        confounders.push(FoundConfounder { id: confounder.id.clone(), does, refuses });
    }
    let positions_cm1 = (middle(&marker.measure), reference.as_ref().map(middle));
    if specimen.spectrum.mode() == MeasurementMode::Atr
        && let Some(depth) = depth_ratio(positions_cm1)
        && depth > WORST_DEPTH_RATIO
    {
        confounders.push(FoundConfounder {
            id: "depth".to_owned(),
            does: format!(
                "depth: its two bands reach {depth:.1} times differently deep; contact and layering move it"
            ),
            refuses: false,
        });
    }
    let definition = definition(&marker.measure, reference.as_ref());
    let mut reading = Reading {
        index: None,
        standard_error: 0.0,
        result: MarkerResult {
            id: marker.id.clone(),
            shows: marker.shows.clone(),
            value: None,
            as_read: None,
            low: None,
            high: None,
            state: MarkerState::Refused,
            detection_limit: None,
            quantification_limit: None,
            quantifiable: false,
            refusal: None,
            confounders,
            definition,
            source: marker.sourcing.printed().to_owned(),
            source_class: marker.sourcing.class.to_string(),
            status: marker.sourcing.status.to_string(),
            limits_from: limits_word(marker.limits_from).to_owned(),
            primary: marker.role == MarkerRole::Primary,
            content: None,
        },
        positions_cm1,
        nothing_to_follow: false,
    };
    let number = match refusal {
        Some(why) => Err(why),
        None => measure(specimen.spectrum, noise, marker, reference.as_ref()),
    };
    match (number, nothing_to_follow) {
        (Err(why), _) => reading.result.refusal = Some(why),
        (Ok(number), None) => decide(&mut reading, marker, &number),
        (Ok(number), Some(why)) => {
            // Kept for a comparison with a face that has it; on its own it says nothing.
            reading.index = Some(number.index);
            reading.standard_error = number.error;
            reading.nothing_to_follow = true;
            reading.result.refusal = Some(why);
        }
    }
    reading
}

/// Says how a marker is computed, and the unit of its index where it is no pure number.
fn definition(measure: &Measure, reference: Option<&Measure>) -> String {
    /// An area counts one power of cm⁻¹, a height none, a second derivative minus two.
    const fn power(kind: MeasureKind) -> i32 {
        match kind {
            MeasureKind::Area => 1,
            MeasureKind::MeanHeight | MeasureKind::Maximum => 0,
            MeasureKind::SecondDerivative => -2,
        }
    }
    let Some(reference) = reference else { return format!("{} (cm⁻¹)", describe(measure)) };
    let unit = match power(measure.kind) - power(reference.kind) {
        0 => "",
        1 => "; index in cm⁻¹",
        -1 => "; index in cm",
        _ => "; index not a pure number",
    };
    format!("{}, over {} (cm⁻¹){unit}", describe(measure), describe(reference))
}

const fn limits_word(limits: LimitsFrom) -> &'static str {
    match limits {
        LimitsFrom::Published => "published",
        LimitsFrom::PairPublished => "band pair published, limits ours",
        LimitsFrom::Ours => "ours",
    }
}

fn wrong_mode(mode: MeasurementMode, asked: MeasuredBy) -> Option<String> {
    let fits = match asked {
        MeasuredBy::Any => mode != MeasurementMode::Reflection,
        MeasuredBy::Atr => mode == MeasurementMode::Atr,
        MeasuredBy::Transmission => mode == MeasurementMode::Transmission,
    };
    (!fits).then(|| "not defined for this way of measuring".to_owned())
}

/// Returns whether a confounder is there: by a component found, or by its questions.
fn is_found(specimen: &Specimen<'_>, confounder: &Confounder, tables: &Tables) -> bool {
    if confounder.components.iter().any(|id| specimen.components.contains(id)) {
        return true;
    }
    let questions = &confounder.questions;
    if questions.questions.is_empty() {
        return false;
    }
    let answers: Vec<Verdict> =
        questions.questions.iter().map(|q| (specimen.ask)(&q.predicate)).collect();
    if questions.decide(&answers) != Verdict::Yes {
        return false;
    }
    // Stretch and bend alone may be hydroxyl beside C=C. Where the libration was measured and does
    // not rise, it is not water; where it was not measured, water cannot be ruled out.
    confounder.role != Some(ConfounderRole::AdsorbedWater)
        || libration(specimen.spectrum, &tables.stretches().water) != Libration::Flat
}

/// Returns whether the table says that this marker suffers from adsorbed water, and refuses it then.
#[must_use]
pub fn water_confounder<'a>(marker: &str, tables: &'a Tables) -> Option<&'a Confounder> {
    let touches = |c: &&Confounder| c.markers.iter().any(|id| id == marker);
    let is_water = |c: &&Confounder| c.role == Some(ConfounderRole::AdsorbedWater);
    tables.confounders().iter().filter(touches).find(is_water)
}

/// Returns whether anything that refuses a row of the table is found on a spectrum.
#[must_use]
pub fn is_disturbed(specimen: &Specimen<'_>, row: &str, tables: &Tables) -> bool {
    tables
        .confounders_of(row)
        .any(|c| c.effect != ConfounderEffect::Caution && is_found(specimen, c, tables))
}

/// Returns how many times deeper the deeper of the two bands reaches.
#[must_use]
pub fn depth_ratio(positions_cm1: (f64, Option<f64>)) -> Option<f64> {
    let (band, reference) = (positions_cm1.0, positions_cm1.1?);
    Some((band / reference).max(reference / band))
}

/// A number with its noise.
struct Number {
    index: f64,
    /// One standard error of the index from noise.
    error: f64,
    /// What the numerator's noise alone makes of the index: the spread of nothing.
    floor: f64,
    low: f64,
    high: f64,
}

fn measure(
    spectrum: &Spectrum,
    noise: Option<&Noise>,
    marker: &Marker,
    reference: Option<&Measure>,
) -> Result<Number, String> {
    let band = weights(spectrum, &marker.measure)?;
    let noise = noise.ok_or("no stretch without bands was measured, so the noise is not known")?;
    let t = t_quantile(f64::midpoint(1.0, CONFIDENCE), noise.degrees_of_freedom())
        .ok_or("the noise is not known well enough for an interval")?;
    let values = spectrum.absorbances();
    let (height, variance) = (band.value(values), band.variance(noise));
    let Some(reference) = reference else {
        let error = variance.sqrt();
        let (low, high) = (height - t * error, height + t * error);
        return Ok(Number { index: height, error, floor: error, low, high });
    };
    let below = weights(spectrum, reference).map_err(|why| format!("reference band: {why}"))?;
    let (divisor, divisor_variance) = (below.value(values), below.variance(noise));
    if divisor <= LEAST_REFERENCE_TO_NOISE * divisor_variance.sqrt() {
        return Err("the reference band is too weak to divide by".to_owned());
    }
    let covariance = band.covariance(&below, noise);
    let (low, high) =
        ratio_interval((height, variance), (divisor, divisor_variance), covariance, t)
            .ok_or("the reference band is too weak to divide by")?;
    let index = height / divisor;
    let squared = variance - 2.0 * index * covariance + index * index * divisor_variance;
    Ok(Number {
        index,
        error: squared.max(0.0).sqrt() / divisor,
        floor: variance.sqrt() / divisor,
        low,
        high,
    })
}

/// Sets state, limits and value.
fn decide(reading: &mut Reading, marker: &Marker, number: &Number) {
    let (blank, blank_sd) =
        marker.blank.as_ref().map_or((0.0, 0.0), |b| (b.value, b.standard_deviation));
    let spread = number.floor.hypot(blank_sd);
    // Some blanks lie below zero, on the foot of a neighbour: that lets no reading of nothing through.
    let detection = (blank + DETECTION * spread).max(DETECTION * number.floor);
    let quantification = (blank + QUANTIFICATION * spread).max(QUANTIFICATION * number.floor);
    reading.index = Some(number.index);
    reading.standard_error = number.error;
    let result = &mut reading.result;
    result.as_read = Some(number.index);
    result.detection_limit = Some(detection);
    result.quantification_limit = Some(quantification);
    if number.index > detection {
        result.state = MarkerState::Measured;
        result.value = Some(number.index);
        result.low = Some(number.low);
        result.high = Some(number.high);
        result.quantifiable = number.index > quantification;
    } else {
        result.state = MarkerState::BelowDetection;
        result.high = Some(detection);
    }
}

/// Returns whether a reading shows the marker.
pub(super) fn is_present(reading: &Reading) -> bool {
    reading.result.state == MarkerState::Measured
}
