//! The serialised form of a check, version 1: what other programs may rely on.

use std::io::{self, Write};

use super::CheckEntry;
use super::CheckWriter;
use crate::fitness::{self, FilmInterval, POLYMER_INDEX, VapourSubtraction};
use crate::report::codes;
use crate::report::forms::forms;
use crate::report::json_array::JsonArray;
use crate::report::rounding::rounded;
use crate::report::shared_forms::{Finding, Warning};

/// The value of `schema` in each object.
const SCHEMA: &str = "bandlore/check/v1";

/// Absent without `--film`; null where the film could not be measured.
type Film<T> = Option<Option<T>>;

fn not_film<T>(value: &Film<T>) -> bool {
    value.is_none()
}

forms! {
    /// One spectrum.
    struct Entry<'a>(entry: &'a CheckEntry) {
        /// Always `bandlore/check/v1`.
        schema: &'static str = SCHEMA,
        /// Name and version of the tool.
        tool: &'static str = concat!("bandlore ", env!("CARGO_PKG_VERSION")),
        /// The path as given.
        file: &'a str = &entry.file,
        /// The spectrum's place in the file, from 1.
        block: usize = entry.block,
        /// Its title in the file.
        title: Option<&'a str> = entry.title.as_deref(),
        /// SHA-256 of the file, or null where it could not be read.
        sha256: Option<&'a str> = (!entry.sha256.is_empty()).then_some(entry.sha256.as_str()),
        /// What the file's ordinate was.
        ordinate: Option<&'static str> = entry.ordinate.map(|(ordinate, _)| codes::ordinate(ordinate)),
        /// How it was measured: `atr`, `transmission` or `reflection`.
        mode: Option<&'static str> = entry.mode.map(|(mode, _)| codes::mode(mode)),
        /// Lowest and highest measured wavenumber in cm⁻¹.
        range: Option<[f64; 2]> = entry.range_cm1.map(|(low, high)| [rounded(low, 2), rounded(high, 2)]),
        /// Median distance between points in cm⁻¹.
        spacing: Option<f64> = entry.spacing_cm1.map(|spacing| rounded(spacing, 4)),
        /// Every finding, the gravest first.
        findings: Vec<Finding<'a>> = entry.findings.iter().map(|f| Finding::new(f, 6)).collect(),
        /// With `--film`: the bands found, ascending; null where the film could not be measured.
        #[serde(skip_serializing_if = "not_film")]
        bands: Film<Vec<Band>> =
            entry.is_film.then(|| entry.film.as_ref().map(|f| f.bands.iter().map(Band::new).collect())),
        /// With `--film`: proportional error in parts per million, measured minus nominal.
        #[serde(skip_serializing_if = "not_film")]
        scale_ppm: Film<Interval> =
            entry.is_film.then(|| entry.film.as_ref().map(|f| Interval::new(f.scale_ppm, 2))),
        /// With `--film`: constant offset in cm⁻¹, measured minus nominal.
        #[serde(skip_serializing_if = "not_film")]
        shift: Film<Interval> =
            entry.is_film.then(|| entry.film.as_ref().map(|f| Interval::new(f.shift, 4))),
        /// With `--film`: true = k × measured.
        #[serde(skip_serializing_if = "not_film")]
        k: Film<f64> = entry.is_film.then(|| entry.film.as_ref().map(|f| rounded(f.k, 8))),
        /// With `--film`: measured minus true at 600, 1700 and 3000 cm⁻¹.
        #[serde(skip_serializing_if = "not_film")]
        deviations: Film<Vec<Deviation>> =
            entry.is_film.then(|| entry.film.as_ref().map(|f| f.deviations.iter().map(Deviation::new).collect())),
        /// With `--film`: `none`, `scale`, `shift` or `both`.
        #[serde(skip_serializing_if = "not_film")]
        fault: Film<&'static str> =
            entry.is_film.then(|| entry.film.as_ref().map(|f| codes::scale_fault(f.fault))),
        /// Measured vapour that was subtracted before the check.
        vapour_subtracted: Option<Vapour> = entry.vapour.map(Vapour::new),
        /// Fringes that were taken out before the check.
        fringes_removed: Option<Fringes> = entry.fringes_removed.map(Fringes::new),
        /// Every step applied, in order.
        steps: Vec<String> = entry.steps.iter().map(ToString::to_string).collect(),
        /// Every doubt met on the way.
        warnings: Vec<Warning<'a>> = entry.warnings.iter().map(Warning::new).collect(),
        /// Null, or why the file could not be read or checked.
        error: Option<&'a str> = entry.error.as_deref(),
    }

    /// One band of the film, in cm⁻¹.
    struct Band(band: &fitness::FilmBand) {
        /// Published place; with `--film-before` the centroid on the day before.
        nominal: f64 = band.nominal,
        /// Centroid of its upper part.
        centroid: f64 = rounded(band.centroid, 3),
        /// Place of the least transmittance.
        minimum: f64 = rounded(band.minimum, 3),
    }

    /// A figure with the ends of its 95 % interval.
    struct Interval(found: FilmInterval, decimals: i32) {
        /// The figure.
        value: f64 = rounded(found.value, decimals),
        /// Lower end.
        low: f64 = rounded(found.low, decimals),
        /// Upper end.
        high: f64 = rounded(found.high, decimals),
    }

    /// A deviation in cm⁻¹ at a wavenumber in cm⁻¹.
    struct Deviation(at: &(f64, f64)) {
        /// The wavenumber.
        at: f64 = at.0,
        /// Measured minus true.
        deviation: f64 = rounded(at.1, 4),
    }

    struct Vapour(v: VapourSubtraction) {
        /// The vapour spectrum was subtracted so many times.
        factor: f64 = rounded(v.factor, 5),
        /// Standard error of the factor.
        factor_error: f64 = rounded(v.factor_error, 5),
        /// Fine structure left in the line regions, as a share of what was there before.
        residual: f64 = rounded(v.residual, 4),
    }

    struct Fringes(f: fitness::Fringes) {
        /// Distance between neighbouring maxima in cm⁻¹.
        period_cm1: f64 = rounded(f.period_cm1, 3),
        /// From the mean to the crest, as absorbance.
        amplitude: f64 = rounded(f.amplitude, 6),
        /// Thickness in µm of a film of refractive index 1.5 that makes them.
        thickness_um: f64 = rounded(f.thickness_um(POLYMER_INDEX), 2),
    }
}

/// Writes one JSON array, an object a spectrum.
#[derive(Clone, Debug, Default)]
pub struct CheckJsonWriter {
    array: JsonArray,
}

impl CheckWriter for CheckJsonWriter {
    fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        self.array.begin(out)
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        self.array.value(&Entry::new(entry), out)
    }

    fn end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        self.array.end(out)
    }
}

/// Writes one JSON object a line, for programs that read as it comes.
#[derive(Clone, Debug, Default)]
pub struct CheckJsonLinesWriter;

impl CheckWriter for CheckJsonLinesWriter {
    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        serde_json::to_writer(&mut *out, &Entry::new(entry))?;
        out.write_all(b"\n")
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
