//! The last steps that every format shares: file values in, a checked [`Spectrum`] out.

use super::found::{AbscissaUnit, Found, MOST_POINTS};
use super::ordinate::{Inferred, Signs};
use super::{Error, Fault, ReadOptions, jump, order, padding};
use crate::quote::short;
use crate::spectrum::{
    MeasurementMode, ORDINATE_DOUBTFUL, Ordinate, Origin, PointFlag, Spectrum, SpectrumParts,
    Warning, absorbance_from_transmittance, bounds,
};

/// More missing ordinates than this share and the rest does not make a spectrum.
const MOST_MISSING_SHARE: f64 = 0.05;

/// No more points than this share, at one end of the range, may be on another scale: the rest is a spectrum
/// without them. A published series of optical constants is so, with one point in thirteen.
const MOST_AT_AN_END: f64 = 0.1;

/// Absorbance above which a detector sees no light to speak of (one part in a thousand).
const SATURATED_ABSORBANCE: f64 = 3.0;

/// Infrared spectra lie between these wavenumbers; an axis outside them is in another unit.
const PLAUSIBLE_CM1: (f64, f64) = (10.0, 15_000.0);

/// An axis that ends below this, read as cm⁻¹, would be far infrared alone: it is in micrometres.
const HIGHEST_MICROMETRES: f64 = 60.0;

/// Wavelengths below this are visible light, so that such an axis is not in micrometres.
const LEAST_MICROMETRES: f64 = 0.7;

/// An axis that starts above the fingerprint region and ends past the highest wavenumber of
/// common exports is in nanometres.
const NANOMETRES: (f64, f64) = (1_500.0, 12_600.0);

/// Converts, orders, flags and checks what a reader found.
///
/// The user's options win over the file. A stated fraction with percent values is read as percent
/// with a warning. Padding, saturation, repeats and disorder are handled here for all formats.
pub(crate) fn finish(mut found: Found, options: &ReadOptions) -> Result<Spectrum, Error> {
    if found.abscissas.len() > MOST_POINTS {
        return Err(found.fail(None, Fault::TooManyPoints { limit: MOST_POINTS }));
    }
    let missing = check_missing(&mut found)?;
    abscissas_to_wavenumbers(&mut found)?;
    check_scale(&mut found)?;
    let mut breaks = order::ascend(&mut found, missing)?;
    let wavenumbers_cm1 = std::mem::take(&mut found.abscissas);
    let mut absorbances = std::mem::take(&mut found.ordinates);

    let fillers = padding::find(&absorbances);
    if fillers.iter().any(|row| row.len() == absorbances.len()) {
        return Err(found.fail(None, Fault::NothingMeasured { value: absorbances[0] }));
    }
    let ordinate = settle_ordinate(&mut found, options, &wavenumbers_cm1, &absorbances, &fillers)?;
    let mode = settle_mode(&mut found, options, ordinate.0);
    let mut flags = convert(&mut absorbances, ordinate.0);
    flag_fillers(&mut found, &wavenumbers_cm1, &mut absorbances, &mut flags, &fillers);
    warn_of_saturation(&mut found, &wavenumbers_cm1, &flags);
    breaks.sort_unstable();
    let parts = SpectrumParts {
        wavenumbers_cm1,
        absorbances,
        flags,
        breaks,
        ordinate,
        mode,
        provenance: std::mem::take(&mut found.provenance),
        warnings: std::mem::take(&mut found.warnings),
    };
    let file = parts.provenance.file.clone();
    Spectrum::new(parts).map_err(|error| Error::whole(&file, error))
}

/// Returns the number of ordinates without a number; refuses too many.
fn check_missing(found: &mut Found) -> Result<usize, Error> {
    let missing = found.ordinates.iter().filter(|v| !v.is_finite()).count();
    if missing == 0 || found.gaps_are_stated {
        return Ok(missing);
    }
    let total = found.ordinates.len();
    let first = found.ordinates.iter().position(|v| !v.is_finite());
    let text = found.first_missing.clone().unwrap_or_default();
    #[allow(clippy::cast_precision_loss, reason = "counts are below 2^53")]
    let share = missing as f64 / total as f64;
    if share > MOST_MISSING_SHARE {
        return Err(found.fail(first, Fault::NotNumbers { missing, total, first: text }));
    }
    let line = |index: Option<usize>| index.and_then(|index| found.line(index));
    let last = found.ordinates.iter().rposition(|v| !v.is_finite());
    let place = match (line(first), line(last)) {
        (Some(first), Some(last)) if first != last => {
            format!(" in line {first}, last in line {last}")
        }
        (Some(first), _) => format!(" in line {first}"),
        _ => String::new(),
    };
    found.warnings.push(Warning::new(
        "ordinates-missing",
        format!(
            "{missing} of {total} ordinates are not numbers (first: \"{}\"{place}); left out as gaps",
            crate::quote::quoted(&text)
        ),
    ));
    Ok(missing)
}

/// Refuses ordinates that go on in another unit or on another scale, for no one reading fits both; doubts
/// those at an end of the range.
fn check_scale(found: &mut Found) -> Result<(), Error> {
    if found.one_scale {
        return Ok(());
    }
    let Some(place) = jump::find(&found.abscissas, &found.ordinates) else { return Ok(()) };
    let (before, after) = (found.ordinates[place], found.ordinates[place + 1]);
    let at_cm1 = found.abscissas[place + 1];
    let (all, first) = (found.ordinates.len(), place + 1);
    let fewer = first.min(all - first);
    #[allow(clippy::cast_precision_loss, reason = "counts are below 2^53")]
    if fewer as f64 > MOST_AT_AN_END * all as f64 {
        return Err(found.fail(Some(first), Fault::ScaleChanges { before, after, at_cm1 }));
    }
    let text = format!(
        "at {at_cm1:.0} cm⁻¹ the ordinates jump from {} to {} and go on so: the {fewer} points at this \
         end of the range may be on another scale",
        short(before),
        short(after)
    );
    found.warnings.push(Warning::new("scale-changes", text));
    Ok(())
}

fn abscissas_to_wavenumbers(found: &mut Found) -> Result<(), Error> {
    let (low, high) = bounds(&found.abscissas);
    // Not a number passes the range unseen.
    let any_nan = found.abscissas.iter().fold(false, |any, v| any | v.is_nan());
    let sound = low > 0.0 && high < f64::INFINITY && !any_nan;
    if !sound && let Some(bad) = found.abscissas.iter().position(|v| !(v.is_finite() && *v > 0.0)) {
        let value = found.abscissas[bad];
        return Err(found.fail(Some(bad), Fault::AbscissaNotPositive { value }));
    }
    let unit = match found.abscissa_unit {
        Some(unit) => unit,
        None => {
            let unit = infer_abscissa(low, high);
            if unit != AbscissaUnit::Wavenumber {
                let name = unit.name();
                found.warnings.push(Warning::new(
                    "abscissa-inferred",
                    format!(
                        "abscissa unit not stated; {low} to {high} read as {name}, since as cm⁻¹ \
                         they would hold no mid-infrared band"
                    ),
                ));
            }
            unit
        }
    };
    if unit != AbscissaUnit::Wavenumber {
        found.abscissas.iter_mut().for_each(|v| *v = unit.wavenumber_cm1(*v));
    }
    let (one, other) = (unit.wavenumber_cm1(low), unit.wavenumber_cm1(high));
    let (first, last) = (one.min(other), one.max(other));
    if first < PLAUSIBLE_CM1.0 || last > PLAUSIBLE_CM1.1 {
        let unit = unit.name();
        return Err(found.fail(None, Fault::AbscissaImplausible { low, high, unit }));
    }
    Ok(())
}

/// Returns the signs of unordered file values, or `None` where they are too few.
pub(super) fn signs_of(
    abscissas: &[f64],
    ordinates: &[f64],
    unit: Option<AbscissaUnit>,
) -> Option<Signs> {
    let mut points: Vec<(f64, f64)> = abscissas
        .iter()
        .copied()
        .zip(ordinates.iter().copied())
        .filter(|(abscissa, ordinate)| *abscissa > 0.0 && ordinate.is_finite())
        .collect();
    if points.len() < crate::spectrum::LEAST_POINTS {
        return None;
    }
    let low = points.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(|p| p.0).fold(0.0, f64::max);
    let unit = unit.unwrap_or_else(|| infer_abscissa(low, high));
    for point in &mut points {
        point.0 = unit.wavenumber_cm1(point.0);
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (axis, values): (Vec<f64>, Vec<f64>) = points.into_iter().unzip();
    let fillers = padding::find(&values);
    Some(signs_without_fillers(&axis, &values, &fillers))
}

fn infer_abscissa(low: f64, high: f64) -> AbscissaUnit {
    if low >= LEAST_MICROMETRES && high <= HIGHEST_MICROMETRES {
        AbscissaUnit::Micrometres
    } else if low >= NANOMETRES.0 && high > NANOMETRES.1 {
        AbscissaUnit::Nanometres
    } else {
        AbscissaUnit::Wavenumber
    }
}

fn settle_ordinate(
    found: &mut Found,
    options: &ReadOptions,
    wavenumbers_cm1: &[f64],
    values: &[f64],
    fillers: &[std::ops::Range<usize>],
) -> Result<(Ordinate, Origin), Error> {
    let signs = signs_without_fillers(wavenumbers_cm1, values, fillers);
    if let Some(said) = options.ordinate {
        let fits = match said {
            _ if !signs.is_percent() => None,
            Ordinate::Transmittance => Some(Ordinate::PercentTransmittance),
            Ordinate::Reflectance => Some(Ordinate::PercentReflectance),
            // No sample absorbs so much: as from the file, percent or a factor is taken for it by nobody.
            Ordinate::Absorbance => match signs.infer() {
                Inferred::One(fits, _) | Inferred::Two(fits, _) => Some(fits),
            },
            _ => None,
        };
        if let Some(fits) = fits {
            let Signs { low, high, .. } = signs;
            let (said, fits) = (word(said), word(fits));
            return Err(found.fail(None, Fault::OrdinateOption { said, fits, low, high }));
        }
        if let Some(stated) = found.ordinate.filter(|stated| *stated != said) {
            found.warnings.push(overridden(said, &format!("the file states {}", word(stated))));
        }
        // Reflection bands point either way, so that the signs say nothing.
        let reflection = matches!(said, Ordinate::Reflectance | Ordinate::PercentReflectance);
        if let Some(fits) = signs.against(said).filter(|_| !reflection) {
            found.warnings.push(Warning::new(
                "ordinate-overridden",
                format!(
                    "--ordinate {} was taken, but values {} to {} look like {}",
                    word(said),
                    short(signs.low),
                    short(signs.high),
                    word(fits)
                ),
            ));
        }
        return Ok((said, Origin::User));
    }
    if let Some(stated) = found.ordinate {
        return settle_stated(found, stated, signs).map(|ordinate| (ordinate, Origin::File));
    }
    match found.agreed.unwrap_or_else(|| signs.infer()) {
        Inferred::One(ordinate, why) => {
            found.warnings.push(Warning::new(
                "ordinate-inferred",
                format!(
                    "ordinate unit not stated; values {} to {} read as {}, since {why}",
                    short(signs.low),
                    short(signs.high),
                    word(ordinate)
                ),
            ));
            Ok((ordinate, Origin::Inferred))
        }
        Inferred::Two(one, other) => {
            let Signs { low, high, .. } = signs;
            let (one, other) = (word(one), word(other));
            Err(found.fail(None, Fault::OrdinateUnclear { low, high, one, other }))
        }
    }
}

/// Takes the file's word, corrected where the scale alone is off, refused where the values clearly
/// contradict it.
fn settle_stated(found: &mut Found, stated: Ordinate, signs: Signs) -> Result<Ordinate, Error> {
    let percent = match stated {
        Ordinate::Transmittance => Some(Ordinate::PercentTransmittance),
        Ordinate::Reflectance => Some(Ordinate::PercentReflectance),
        _ => None,
    };
    if let Some(percent) = percent.filter(|_| signs.is_percent()) {
        found.warnings.push(Warning::new(
            "ordinate-scale",
            format!(
                "ordinate stated as {}, but values reach {}; read as {}",
                word(stated),
                short(signs.high),
                word(percent)
            ),
        ));
        return Ok(percent);
    }
    if matches!(stated, Ordinate::Reflectance | Ordinate::PercentReflectance) {
        // Reflection bands point either way, so that the signs say nothing.
        return Ok(stated);
    }
    if stated == Ordinate::Absorbance && signs.is_percent() {
        return match signs.infer() {
            Inferred::One(Ordinate::RelativeAbsorbance, _) => {
                found.warnings.push(Warning::new(
                    "ordinate-scale",
                    format!(
                        "ordinate stated as absorbance, but values reach {}; read as absorbance \
                         scaled by an unknown factor",
                        short(signs.high)
                    ),
                ));
                Ok(Ordinate::RelativeAbsorbance)
            }
            Inferred::One(fits, _) | Inferred::Two(fits, _) => {
                let Signs { low, high, .. } = signs;
                let (stated, fits) = (word(stated), word(fits));
                Err(found.fail(None, Fault::OrdinateContradicted { stated, low, high, fits }))
            }
        };
    }
    if let Some(fits) = signs.against(stated) {
        found.warnings.push(Warning::new(
            ORDINATE_DOUBTFUL,
            format!(
                "ordinate stated as {}, but values {} to {} look like {}; the file's word was \
                 taken, pass --ordinate if it is wrong",
                word(stated),
                short(signs.low),
                short(signs.high),
                word(fits)
            ),
        ));
    }
    Ok(stated)
}

fn signs_without_fillers(
    wavenumbers_cm1: &[f64],
    values: &[f64],
    fillers: &[std::ops::Range<usize>],
) -> Signs {
    if fillers.is_empty() {
        return Signs::of(wavenumbers_cm1, values);
    }
    let kept = |index: &usize| !fillers.iter().any(|row| row.contains(index));
    let indices: Vec<usize> = (0..values.len()).filter(kept).collect();
    let axis: Vec<f64> = indices.iter().map(|&i| wavenumbers_cm1[i]).collect();
    let values: Vec<f64> = indices.iter().map(|&i| values[i]).collect();
    Signs::of(&axis, &values)
}

fn settle_mode(
    found: &mut Found,
    options: &ReadOptions,
    ordinate: Ordinate,
) -> (MeasurementMode, Origin) {
    if let Some(mode) = options.mode {
        return (mode, Origin::User);
    }
    if let Some(mode) = found.mode {
        return (mode, Origin::File);
    }
    if matches!(ordinate, Ordinate::Reflectance | Ordinate::PercentReflectance) {
        return (MeasurementMode::Reflection, Origin::Inferred);
    }
    found.warnings.push(Warning::new(
        "mode-assumed",
        "measurement mode not stated; read as ATR, pass --mode if it is not",
    ));
    (MeasurementMode::Atr, Origin::Assumed)
}

/// Remarks that the user's word was taken over the file's.
pub(super) fn overridden(said: Ordinate, stated: &str) -> Warning {
    let text = format!("--ordinate {} was taken, though {stated}", word(said));
    Warning::new("ordinate-overridden", text)
}

/// Turns file values into absorbances in place and returns a flag per point.
fn convert(values: &mut [f64], ordinate: Ordinate) -> Vec<PointFlag> {
    let mut flags = vec![PointFlag::Measured; values.len()];
    let unit = match ordinate {
        // A scaled value says nothing of the light that reached the detector.
        Ordinate::RelativeAbsorbance => return flags,
        Ordinate::Absorbance => None,
        Ordinate::Transmittance | Ordinate::Reflectance => Some(1.0),
        Ordinate::PercentTransmittance | Ordinate::PercentReflectance => Some(100.0),
    };
    if let Some(unit) = unit {
        for value in values.iter_mut() {
            *value = absorbance_from_transmittance(*value / unit);
        }
    }
    if bounds(values).1 > SATURATED_ABSORBANCE {
        for (value, flag) in values.iter().zip(&mut flags) {
            if *value > SATURATED_ABSORBANCE {
                *flag = PointFlag::Saturated;
            }
        }
    }
    flags
}

fn flag_fillers(
    found: &mut Found,
    wavenumbers_cm1: &[f64],
    absorbances: &mut [f64],
    flags: &mut [PointFlag],
    fillers: &[std::ops::Range<usize>],
) {
    let warnings = &mut found.warnings;
    for row in fillers {
        let absorbance = absorbances[row.start];
        let zero_light = absorbance == absorbance_from_transmittance(0.0);
        if absorbance > SATURATED_ABSORBANCE && !zero_light {
            // An instrument's ceiling, reached: measured, though no height can be read there.
            continue;
        }
        flags[row.clone()].fill(PointFlag::Padded);
        // A filler has no absorbance; zero draws no band where a later step forgets to look.
        absorbances[row.clone()].fill(0.0);
        warnings.push(Warning::new(
            "padded",
            format!(
                "{} points from {:.0} to {:.0} cm⁻¹ hold one repeated filler value; \
                 read as not measured",
                row.len(),
                wavenumbers_cm1[row.start],
                wavenumbers_cm1[row.end - 1]
            ),
        ));
    }
}

fn warn_of_saturation(found: &mut Found, wavenumbers_cm1: &[f64], flags: &[PointFlag]) {
    if !flags.contains(&PointFlag::Saturated) {
        return;
    }
    let mut saturated =
        flags.iter().zip(wavenumbers_cm1).filter(|(flag, _)| **flag == PointFlag::Saturated);
    let Some((_, first)) = saturated.next() else { return };
    let (count, last) = saturated.fold((1, first), |(count, _), (_, last)| (count + 1, last));
    found.warnings.push(Warning::new(
        "saturated",
        format!(
            "{count} points between {first:.0} and {last:.0} cm⁻¹ let no light through or absorb \
             above {SATURATED_ABSORBANCE}; no height is read there"
        ),
    ));
}

/// Returns the ordinate's name in running text.
pub(crate) fn word(ordinate: Ordinate) -> &'static str {
    match ordinate {
        Ordinate::Absorbance => "absorbance",
        Ordinate::Transmittance => "transmittance",
        Ordinate::PercentTransmittance => "percent transmittance",
        Ordinate::Reflectance => "reflectance",
        Ordinate::PercentReflectance => "percent reflectance",
        Ordinate::RelativeAbsorbance => "absorbance scaled by an unknown factor",
    }
}
