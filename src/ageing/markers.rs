//! Every marker of one spectrum's polymer.

use super::calibration::Calibration;
use super::noise::Noise;
use super::reading::{Reading, Specimen, read_marker};
use super::values::{AgeingResult, MarkerState, MaterialFrom};
use crate::spectrum::Warning;
use crate::tables::{MarkerRole, Tables};

/// Reads all markers of a material that are not there for contact alone, in table order.
#[must_use]
pub fn read_all(
    specimen: &Specimen<'_>,
    noise: Option<&Noise>,
    material: &str,
    tables: &Tables,
) -> Vec<Reading> {
    tables
        .markers_of(material)
        .filter(|marker| marker.role != MarkerRole::Contact)
        .map(|marker| read_marker(specimen, noise, marker, tables))
        .collect()
}

/// Reads the markers of one spectrum.
///
/// `material` is the identified material's id or the one the user named; without one nothing is
/// read. `calibration` turns the index of the marker it was made for into a content.
#[must_use]
pub fn measure_ageing(
    specimen: &Specimen<'_>,
    material: Option<(&str, MaterialFrom)>,
    tables: &Tables,
    calibration: Option<(&str, &Calibration)>,
) -> AgeingResult {
    let provenance = specimen.spectrum.provenance();
    let mut result = AgeingResult {
        file: provenance.file.clone(),
        block: provenance.block,
        material: None,
        material_from: MaterialFrom::Unknown,
        markers: Vec::new(),
        noise: None,
        noise_from: String::new(),
        sentence: "The material was not identified, so no ageing marker is read; name it with --material where it is known from elsewhere.".to_owned(),
        warnings: Vec::new(),
    };
    let Some((material, from)) = material else { return result };
    result.material = Some(material.to_owned());
    result.material_from = from;
    let noise = Noise::of(specimen.spectrum);
    if let Some(noise) = &noise {
        result.noise = Some(noise.standard_deviation());
        noise.from().clone_into(&mut result.noise_from);
    }
    for reading in read_all(specimen, noise.as_ref(), material, tables) {
        let mut marker = reading.result;
        if let (Some((id, calibration)), Some(index)) = (calibration, marker.value)
            && id == marker.id
        {
            marker.content = calibration.content(index);
        }
        result.markers.push(marker);
    }
    if tables.markers_of(material).any(|marker| marker.mixtures_only) {
        result.warnings.push(Warning::new(
            "proven-on-mixtures-only",
            format!("no open measured series of light-aged {material} was found; these markers are proven on synthetic mixtures only"),
        ));
    }
    result.sentence = sentence(&result);
    result
}

fn sentence(result: &AgeingResult) -> String {
    let material = result.material.as_deref().unwrap_or("this material");
    if result.markers.is_empty() {
        return format!("The table holds no ageing marker for {material}.");
    }
    let count = |state| result.markers.iter().filter(|m| m.state == state).count();
    let (measured, below, refused) = (
        count(MarkerState::Measured),
        count(MarkerState::BelowDetection),
        count(MarkerState::Refused),
    );
    format!(
        "{material}: {measured} {} measured, {below} below detection, {refused} refused. One spectrum shows no change; \
         compare it with a covered face or an earlier measurement (bandlore compare).",
        if measured == 1 { "marker" } else { "markers" },
    )
}
