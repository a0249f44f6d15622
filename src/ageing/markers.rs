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
    let of_one = |reading: &Reading| {
        let marker = tables.markers().iter().find(|marker| marker.id == reading.result.id);
        marker.is_some_and(|marker| marker.role != MarkerRole::Composition)
    };
    // What a face is made up of shows beside another face alone: fresh polymers read anything.
    for reading in read_all(specimen, noise.as_ref(), material, tables).into_iter().filter(of_one) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ageing::calibration::Standard;
    use crate::optics::Element;
    use crate::spectrum::{Spectrum, SpectrumParts};
    use crate::tables::Verdict;

    #[test]
    fn a_content_is_told_of_the_marker_that_was_calibrated_and_of_no_other() {
        let axis: Vec<f64> = (0..1700).map(|i| 600.0 + 2.0 * f64::from(i)).collect();
        let band = |x: f64, at: f64, of: f64| of / (1.0 + ((x - at) / 12.0).powi(2));
        let bands = [(1463.0, 0.3), (1715.0, 0.2), (2850.0, 0.4), (2918.0, 0.5)];
        let values =
            axis.iter().map(|x| bands.iter().map(|(at, of)| band(*x, *at, *of)).sum()).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let specimen = Specimen::new(&spectrum, &[], Element::DIAMOND_45, &|_| Verdict::No);
        let standards: Vec<Standard> = (0..5)
            .map(|i| {
                let (sample, at) = (format!("s{i}"), f64::from(i));
                Standard { sample, content: 10.0 * at, index: at }
            })
            .collect();
        let calibration = Calibration::fit("carbonyl", &standards).expect("a line");
        let found = measure_ageing(
            &specimen,
            Some(("PE-LD", MaterialFrom::Given)),
            Tables::built_in(),
            Some(("CI_SAUB", &calibration)),
        );
        let of = |id: &str| found.markers.iter().find(|marker| marker.id == id).expect("read");
        let (calibrated, other) = (of("CI_SAUB"), of("CI_HEIGHT"));
        let content = calibrated.content.as_ref().expect("told");
        let index = calibrated.value.expect("measured");
        assert!((content.value - 10.0 * index).abs() < 1.0e-9, "{content:?} {index}");
        assert!(other.value.is_some() && other.content.is_none(), "{other:?}");
    }
}
