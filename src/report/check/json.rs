//! The serialised form of a check, version 1: what other programs may rely on.

use std::io::{self, Write};

use serde::Serialize;

use super::CheckEntry;
use super::CheckWriter;
use crate::fitness::{self, FilmInterval, POLYMER_INDEX};
use crate::report::codes;
use crate::report::finding_json::Finding;
use crate::report::rounding::rounded;

/// The value of `schema` in each object.
const SCHEMA: &str = "bandlore/check/v1";

/// One spectrum.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Entry<'a> {
    /// Always `bandlore/check/v1`.
    schema: &'static str,
    /// Name and version of the tool.
    tool: &'static str,
    /// The path as given.
    file: &'a str,
    /// The spectrum's place in the file, from 1.
    block: usize,
    /// Its title in the file.
    title: Option<&'a str>,
    /// SHA-256 of the file, or null where it could not be read.
    sha256: Option<&'a str>,
    /// What the file's ordinate was.
    ordinate: Option<&'static str>,
    /// How it was measured: `atr`, `transmission` or `reflection`.
    mode: Option<&'static str>,
    /// Lowest and highest measured wavenumber in cm⁻¹.
    range: Option<[f64; 2]>,
    /// Median distance between points in cm⁻¹.
    spacing: Option<f64>,
    /// Every finding, the gravest first.
    findings: Vec<Finding<'a>>,
    /// With `--film`: the bands found, ascending; null where the film could not be measured.
    #[serde(skip_serializing_if = "not_film")]
    bands: Film<Vec<Band>>,
    /// With `--film`: proportional error in parts per million, measured minus nominal.
    #[serde(skip_serializing_if = "not_film")]
    scale_ppm: Film<Interval>,
    /// With `--film`: constant offset in cm⁻¹, measured minus nominal.
    #[serde(skip_serializing_if = "not_film")]
    shift: Film<Interval>,
    /// With `--film`: true = k × measured.
    #[serde(skip_serializing_if = "not_film")]
    k: Film<f64>,
    /// With `--film`: measured minus true at 600, 1700 and 3000 cm⁻¹.
    #[serde(skip_serializing_if = "not_film")]
    deviations: Film<Vec<Deviation>>,
    /// With `--film`: `none`, `scale`, `shift` or `both`.
    #[serde(skip_serializing_if = "not_film")]
    fault: Film<&'static str>,
    /// Measured vapour that was subtracted before the check.
    vapour_subtracted: Option<Vapour>,
    /// Fringes that were taken out before the check.
    fringes_removed: Option<Fringes>,
    /// Every step applied, in order.
    steps: Vec<String>,
    /// Every doubt met on the way.
    warnings: Vec<Warning<'a>>,
    /// Null, or why the file could not be read or checked.
    error: Option<&'a str>,
}

/// Absent without `--film`; null where the film could not be measured.
type Film<T> = Option<Option<T>>;

fn not_film<T>(value: &Film<T>) -> bool {
    value.is_none()
}

/// One band of the film, in cm⁻¹.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Band {
    /// Published place; with `--film-before` the centroid on the day before.
    nominal: f64,
    /// Centroid of its upper part.
    centroid: f64,
    /// Place of the least transmittance.
    minimum: f64,
}

/// A figure with the ends of its 95 % interval.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Interval {
    /// The figure.
    value: f64,
    /// Lower end.
    low: f64,
    /// Upper end.
    high: f64,
}

/// A deviation in cm⁻¹ at a wavenumber in cm⁻¹.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Deviation {
    /// The wavenumber.
    at: f64,
    /// Measured minus true.
    deviation: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Vapour {
    /// The vapour spectrum was subtracted so many times.
    factor: f64,
    /// Standard error of the factor.
    factor_error: f64,
    /// Fine structure left in the line regions, as a share of what was there before.
    residual: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Fringes {
    /// Distance between neighbouring maxima in cm⁻¹.
    period_cm1: f64,
    /// From the mean to the crest, as absorbance.
    amplitude: f64,
    /// Thickness in µm of a film of refractive index 1.5 that makes them.
    thickness_um: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct Warning<'a> {
    /// A stable id.
    id: &'a str,
    /// What was met, and what was done about it.
    text: &'a str,
}

impl<'a> Entry<'a> {
    fn new(entry: &'a CheckEntry) -> Self {
        let film = entry.film.as_ref();
        Self {
            schema: SCHEMA,
            tool: concat!("bandlore ", env!("CARGO_PKG_VERSION")),
            file: &entry.file,
            block: entry.block,
            title: entry.title.as_deref(),
            sha256: (!entry.sha256.is_empty()).then_some(entry.sha256.as_str()),
            ordinate: entry.ordinate.map(|(ordinate, _)| codes::ordinate(ordinate)),
            mode: entry.mode.map(|(mode, _)| codes::mode(mode)),
            range: entry.range_cm1.map(|(low, high)| [rounded(low, 2), rounded(high, 2)]),
            spacing: entry.spacing_cm1.map(|spacing| rounded(spacing, 4)),
            findings: entry.findings.iter().map(|f| Finding::new(f, 6)).collect(),
            bands: entry.is_film.then(|| film.map(|f| f.bands.iter().map(band).collect())),
            scale_ppm: entry.is_film.then(|| film.map(|f| interval(f.scale_ppm, 2))),
            shift: entry.is_film.then(|| film.map(|f| interval(f.shift, 4))),
            k: entry.is_film.then(|| film.map(|f| rounded(f.k, 8))),
            deviations: entry.is_film.then(|| {
                film.map(|f| {
                    f.deviations
                        .iter()
                        .map(|(at, d)| Deviation { at: *at, deviation: rounded(*d, 4) })
                        .collect()
                })
            }),
            fault: entry.is_film.then(|| film.map(|f| codes::scale_fault(f.fault))),
            vapour_subtracted: entry.vapour.map(|v| Vapour {
                factor: rounded(v.factor, 5),
                factor_error: rounded(v.factor_error, 5),
                residual: rounded(v.residual, 4),
            }),
            fringes_removed: entry.fringes_removed.map(|f| Fringes {
                period_cm1: rounded(f.period_cm1, 3),
                amplitude: rounded(f.amplitude, 6),
                thickness_um: rounded(f.thickness_um(POLYMER_INDEX), 2),
            }),
            steps: entry.steps.iter().map(ToString::to_string).collect(),
            warnings: entry.warnings.iter().map(|w| Warning { id: &w.id, text: &w.text }).collect(),
            error: entry.error.as_deref(),
        }
    }
}

fn band(band: &fitness::FilmBand) -> Band {
    Band {
        nominal: band.nominal,
        centroid: rounded(band.centroid, 3),
        minimum: rounded(band.minimum, 3),
    }
}

fn interval(found: FilmInterval, decimals: i32) -> Interval {
    Interval {
        value: rounded(found.value, decimals),
        low: rounded(found.low, decimals),
        high: rounded(found.high, decimals),
    }
}

/// Writes one JSON array, an object a spectrum.
#[derive(Clone, Debug)]
pub struct CheckJsonWriter {
    first: bool,
}

impl Default for CheckJsonWriter {
    fn default() -> Self {
        Self { first: true }
    }
}

impl CheckWriter for CheckJsonWriter {
    fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        self.first = true;
        out.write_all(b"[")
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(if self.first { b"\n" } else { b",\n" })?;
        self.first = false;
        serde_json::to_writer_pretty(out, &Entry::new(entry))?;
        Ok(())
    }

    fn end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(if self.first { b"]\n" } else { b"\n]\n" })
    }
}

/// Writes one JSON object a line, for programs that read as it comes.
#[derive(Clone, Debug, Default)]
pub struct CheckJsonLinesWriter;

impl CheckWriter for CheckJsonLinesWriter {
    fn begin(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        serde_json::to_writer(&mut *out, &Entry::new(entry))?;
        out.write_all(b"\n")
    }

    fn end(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::schema::assert_committed;

    #[test]
    fn committed_schema_is_current() {
        assert_committed::<Vec<Entry<'static>>>("check.json", "Checks of spectra, version 1");
    }
}
