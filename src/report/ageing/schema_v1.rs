//! The serialised forms of markers and comparisons, version 1: what other programs may rely on.
//!
//! These types are apart from the library's own so that those may change. `schema/v1/ageing.json`
//! and `schema/v1/compare.json` are made from them; tests keep both current.

use super::AgeingEntry;
use crate::ageing::comparison::{ContactFit, DifferenceSpectrum, FaceCount, RouteSuggestion};
use crate::ageing::{
    Comparison, Content as FoundContent, DoseSlope, FoundConfounder, MarkerComparison,
    MarkerResult, SameMaterial,
};
use crate::report::codes;
use crate::report::forms::forms;
use crate::report::identification::Stamp;
use crate::report::shared_forms::{Table, Warning};

/// The value of `schema` in each object of `bandlore ageing`.
pub(super) const AGEING_SCHEMA: &str = "bandlore/ageing/v1";
/// The value of `schema` in the object of `bandlore compare`.
pub(super) const COMPARISON_SCHEMA: &str = "bandlore/comparison/v1";
/// What the interval of a single reading holds.
const READING_INTERVAL: &str = "95 %, noise only";
/// What the interval of a change holds.
const CHANGE_INTERVAL: &str = "95 %, of the spots and never narrower than their noise; the test also carries what the contact fit leaves open";

forms! {
    /// One spectrum.
    pub(super) struct Entry<'a>(entry: &'a AgeingEntry, stamp: &'a Stamp) {
        /// Always `bandlore/ageing/v1`.
        schema: &'static str = AGEING_SCHEMA,
        /// Name and version of the tool.
        tool: &'a str = &stamp.tool,
        /// The table whose markers were read.
        table: Table<'a> = Table::new(stamp),
        /// The path as given.
        file: &'a str = &entry.file,
        /// The spectrum's place in the file, from 1.
        block: usize = entry.block,
        /// Id of the material whose markers were read, or null.
        material: Option<&'a str> = entry.result.as_ref().and_then(|r| r.material.as_deref()),
        /// `identified`, `given` or `unknown`; null where the file could not be read.
        material_from: Option<&'static str> =
            entry.result.as_ref().map(|r| codes::material_from(r.material_from)),
        /// Every marker of the material.
        markers: Vec<Marker<'a>> =
            entry.result.iter().flat_map(|r| &r.markers).map(Marker::new).collect(),
        /// One standard deviation of the noise in absorbance.
        noise: Option<f64> = entry.result.as_ref().and_then(|r| r.noise),
        /// What the markers do over the doses this spectrum takes part in.
        series: Vec<Slope<'a>> = entry.series.iter().map(Slope::new).collect(),
        /// The result in plain words.
        sentence: &'a str = entry.result.as_ref().map_or("", |r| &r.sentence),
        /// Every doubt met on the way.
        warnings: Vec<Warning<'a>> =
            entry.result.iter().flat_map(|r| &r.warnings).map(Warning::new).collect(),
        /// Null, or why the file could not be read.
        error: Option<&'a str> = entry.error.as_deref(),
    }

    struct Marker<'a>(m: &'a MarkerResult) {
        /// Stable id.
        id: &'a str = &m.id,
        /// What it follows.
        shows: &'a str = &m.shows,
        /// The index; null below detection and where refused.
        value: Option<f64> = m.value,
        /// Lower end of the interval.
        low: Option<f64> = m.low,
        /// Upper end of the interval; the detection limit where below it.
        high: Option<f64> = m.high,
        /// What the interval holds.
        interval: &'static str = READING_INTERVAL,
        /// `measured`, `below-detection` or `refused`.
        state: &'static str = codes::marker_state(m.state),
        /// The index below which no number is given (3 s).
        detection_limit: Option<f64> = m.detection_limit,
        /// The index above which the number may be relied on (10 s).
        quantification_limit: Option<f64> = m.quantification_limit,
        /// Whether the value lies above the quantification limit.
        quantifiable: bool = m.quantifiable,
        /// Why it is refused.
        refusal: Option<&'a str> = m.refusal.as_deref(),
        /// What was found that disturbs it.
        confounders: Vec<Confounder<'a>> = m.confounders.iter().map(Confounder::new).collect(),
        /// Limits, baseline and reference band in cm⁻¹.
        definition: &'a str = &m.definition,
        /// Whether the limits are published or ours.
        limits_from: &'a str = &m.limits_from,
        /// Where the marker comes from.
        source: &'a str = &m.source,
        /// Class of the source.
        source_class: &'a str = &m.source_class,
        /// `verified`, `memory`, `computed` or `common-practice`.
        status: &'a str = &m.status,
        /// Whether it is a marker named beforehand for testing.
        primary: bool = m.primary,
        /// The content it stands for, where a calibration was given.
        content: Option<Content<'a>> = m.content.as_ref().map(Content::new),
    }

    struct Confounder<'a>(c: &'a FoundConfounder) {
        /// Its id in the table.
        id: &'a str = &c.id,
        /// What it does to the marker.
        does: &'a str = &c.does,
        /// Whether the marker is refused because of it.
        refuses: bool = c.refuses,
    }

    struct Content<'a>(c: &'a FoundContent) {
        /// The predicted content.
        value: f64 = c.value,
        /// Lower end of the 95 % prediction interval.
        low: f64 = c.low,
        /// Upper end of the 95 % prediction interval.
        high: f64 = c.high,
        /// Name and unit, as the standards give them.
        quantity: &'a str = &c.quantity,
        /// Why it must not be used, where the index lies outside the standards.
        doubt: Option<&'a str> = c.doubt.as_deref(),
    }

    struct Slope<'a>(s: &'a DoseSlope) {
        /// The marker's id.
        marker: &'a str = &s.marker,
        /// Unit of the dose: `lux h`, `W h/m²`, `h` or `d`.
        unit: &'static str = s.unit.symbol(),
        /// Band of wavelengths, or temperature and humidity.
        conditions: &'a str = &s.conditions,
        /// The lamp, the sun, the oven.
        source: &'a str = &s.source,
        /// The filter or glass in between.
        filter: &'a str = &s.filter,
        /// Number of spectra.
        n: usize = s.n,
        /// Lowest measured dose.
        lowest_dose: f64 = s.lowest_dose,
        /// Highest measured dose.
        highest_dose: f64 = s.highest_dose,
        /// Change of the index per unit of dose, inside the measured doses; null where not fitted.
        slope: Option<f64> = s.slope,
        /// Lower end of its 95 % interval.
        low: Option<f64> = s.low,
        /// Upper end of its 95 % interval.
        high: Option<f64> = s.high,
        /// Why there is no slope, or what it does not say.
        note: &'a str = &s.note,
    }

    /// One comparison.
    pub(super) struct Compared<'a>(comparison: &'a Comparison, stamp: &'a Stamp) {
        /// Always `bandlore/comparison/v1`.
        schema: &'static str = COMPARISON_SCHEMA,
        /// Name and version of the tool.
        tool: &'a str = &stamp.tool,
        /// The table whose markers were compared.
        table: Table<'a> = Table::new(stamp),
        /// Material id, or null.
        material: Option<&'a str> = comparison.material.as_deref(),
        /// Whether the faces are the same material.
        same_material: Same<'a> = Same::new(&comparison.same_material),
        /// Number of spots a face.
        faces: Vec<Face> = comparison.faces.iter().map(Face::new).collect(),
        /// Every marker compared, those named beforehand first.
        markers: Vec<Change<'a>> = comparison.markers.iter().map(Change::new).collect(),
        /// Contact of each spot; empty where it could not be fitted.
        contact: Vec<Contact<'a>> = comparison.contact.iter().map(Contact::new).collect(),
        /// Difference spectra after scale and contact, one a pair of faces.
        differences: Vec<Difference<'a>> =
            comparison.differences.iter().map(Difference::new).collect(),
        /// Routes whose published pattern is met.
        routes: Vec<Route<'a>> = comparison.routes.iter().map(Route::new).collect(),
        /// What colour readings add, in words.
        colour: Option<&'a str> = comparison.colour.as_deref(),
        /// The result in plain words.
        sentence: &'a str = &comparison.sentence,
        /// Every doubt met on the way.
        warnings: Vec<Warning<'a>> = comparison.warnings.iter().map(Warning::new).collect(),
    }

    struct Same<'a>(same: &'a SameMaterial) {
        /// `same`, `different` or `cannot-tell`.
        verdict: &'static str = same_words(same).0,
        /// What differs, or why it cannot be told.
        why: Option<&'a str> = same_words(same).1,
    }

    struct Face(f: &FaceCount) {
        /// `exposed`, `reverse`, `covered`, `earlier` or `later`.
        face: &'static str = f.face.word(),
        /// Number of spots.
        n: usize = f.n,
    }

    struct Change<'a>(m: &'a MarkerComparison) {
        /// Stable id of the marker.
        id: &'a str = &m.id,
        /// What it follows.
        shows: &'a str = &m.shows,
        /// The face under question.
        face: &'static str = m.face.word(),
        /// The face it is compared with.
        against: &'static str = m.against.word(),
        /// Whether it is a marker named beforehand.
        primary: bool = m.primary,
        /// `changed`, `no-change-shown`, `too-blind`, `exploratory`, `not-tested` or `refused`.
        call: &'static str = codes::change_call(m.call),
        /// `ratio` (1: no change) or `difference` (0: no change).
        scale: &'static str = codes::change_scale(m.scale),
        /// The change, corrected for contact where that could be fitted.
        change: Option<f64> = m.change,
        /// Lower end of its interval.
        low: Option<f64> = m.low,
        /// Upper end of its interval.
        high: Option<f64> = m.high,
        /// What the interval holds.
        interval: &'static str = CHANGE_INTERVAL,
        /// Two-sided p value of Welch's test.
        p: Option<f64> = m.p,
        /// The same, corrected among the markers named beforehand (Holm).
        p_corrected: Option<f64> = m.p_corrected,
        /// Smallest change these spots could have shown four times in five, on the same scale.
        smallest_detectable: Option<f64> = m.smallest_detectable,
        /// Mean index of the face under question.
        face_mean: Option<f64> = m.face_mean,
        /// Mean index of the other face.
        against_mean: Option<f64> = m.against_mean,
        /// Index of each spot as read; null where refused.
        face_values: &'a [Option<f64>] = &m.face_values,
        /// Index of each spot of the other face.
        against_values: &'a [Option<f64>] = &m.against_values,
        /// How many times deeper the deeper of its two bands reaches.
        depth_ratio: Option<f64> = m.depth_ratio,
        /// The change that the fitted contact alone makes.
        contact_change: Option<f64> = m.contact_change,
        /// Whether every spot of both faces reads below the detection limit of fresh references.
        below_detection: bool = m.below_detection,
        /// What disturbs it on either face.
        confounders: Vec<Confounder<'a>> = m.confounders.iter().map(Confounder::new).collect(),
        /// The reason where refused or not tested.
        why: Option<&'a str> = m.why.as_deref(),
        /// Limits, baseline and reference band in cm⁻¹.
        definition: &'a str = &m.definition,
        /// Where the marker comes from.
        source: &'a str = &m.source,
        /// `verified`, `memory`, `computed` or `common-practice`.
        status: &'a str = &m.status,
    }

    struct Contact<'a>(c: &'a ContactFit) {
        /// The face.
        face: &'static str = c.face.word(),
        /// The spot, from 1.
        spot: usize = c.spot,
        /// The common factor.
        scale: f64 = c.scale,
        /// Extra air gap in micrometres.
        gap_um: f64 = c.gap_um,
        /// One standard error of the gap in micrometres.
        gap_error_um: f64 = c.gap_error_um,
        /// The bands it was fitted on, in cm⁻¹.
        bands_cm1: &'a [f64] = &c.bands_cm1,
    }

    struct Difference<'a>(d: &'a DifferenceSpectrum) {
        /// The face under question.
        face: &'static str = d.face.word(),
        /// The face it is compared with.
        against: &'static str = d.against.word(),
        /// Wavenumbers in cm⁻¹, ascending.
        wavenumbers_cm1: &'a [f64] = &d.wavenumbers_cm1,
        /// Difference in absorbance.
        differences: &'a [f64] = &d.differences,
        /// One standard error of each difference; empty below two spots a side.
        standard_errors: &'a [f64] = &d.standard_errors,
    }

    struct Route<'a>(r: &'a RouteSuggestion) {
        /// Stable id.
        id: &'a str = &r.id,
        /// "suggests …", in words.
        sentence: &'a str = &r.sentence,
        /// The marker states that met the pattern.
        pattern: &'a [String] = &r.pattern,
        /// The light, heat or moisture under which the source saw it.
        conditions: &'a str = &r.conditions,
        /// Where the pattern comes from.
        source: &'a str = &r.source,
        /// `verified`, `memory`, `computed` or `common-practice`.
        status: &'a str = &r.status,
    }
}

/// The word for a verdict on the faces' composition, and its reason.
pub(super) fn same_words(same: &SameMaterial) -> (&'static str, Option<&str>) {
    match same {
        SameMaterial::Same => ("same", None),
        SameMaterial::Different { why } => ("different", Some(why)),
        SameMaterial::CannotTell { why } => ("cannot-tell", Some(why)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::schema::assert_committed;

    #[test]
    fn committed_schema_of_markers_is_current() {
        assert_committed::<Vec<Entry<'static>>>("ageing.json", "Ageing markers, version 1");
    }

    #[test]
    fn committed_schema_of_comparisons_is_current() {
        assert_committed::<Vec<Compared<'static>>>(
            "compare.json",
            "Comparisons of faces, version 1",
        );
    }
}
