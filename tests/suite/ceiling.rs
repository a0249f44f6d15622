//! Tops at a detector's ceiling: the band is there, its height is a lower bound.

use std::path::Path;

use bandlore::{
    Examiner, ReadOptions, Spectrum, Tables,
    ageing::MarkerState,
    judge::{BandState, ChlorineBands},
    read_path,
    spectrum::Step,
};

/// Poly(vinyl chloride) of the demonstration object, invented.
fn vinyl() -> Spectrum {
    let file =
        concat!(env!("CARGO_MANIFEST_DIR"), "/sample-spectra/tide-clock/spectra/V02-exposed-a.csv");
    let read = read_path(Path::new(file), &ReadOptions::default()).next();
    read.expect("one spectrum").expect("readable")
}

fn cut_at(spectrum: &Spectrum, share: f64) -> (Spectrum, f64) {
    let values = spectrum.absorbances();
    let lowest = values.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let top = lowest + share * (highest - lowest);
    let cut = values.iter().map(|a| a.min(top)).collect();
    (spectrum.clone().with_absorbances(cut, Step::new("defect")).expect("finite"), top)
}

#[test]
fn cut_tops_count_as_bands_whose_height_is_a_lower_bound() {
    let examiner = Examiner::new(Tables::built_in());
    let (cut, top) = cut_at(&vinyl(), 0.6);
    let found = examiner.examine(cut).expect("examined");
    let ceiling = found.fitness.ceiling().expect("a ceiling");
    assert!((ceiling - top).abs() < 1e-12, "{ceiling} for {top}");
    assert_eq!(found.identification.material.as_deref(), Some("PVC"));
    let evidence = found.identification.ranking.first().map_or(&[][..], |r| &r.evidence);
    let bounded: Vec<_> = evidence.iter().filter(|e| e.note.contains("lower bound")).collect();
    assert!(!bounded.is_empty(), "{evidence:#?}");
    assert!(bounded.iter().all(|e| e.state == BandState::Met));
    assert!(found.spectrum.history().iter().any(|step| step.name == "call saturated"));
    // Where the C–Cl band itself is cut off its shape cannot be read, and nothing is denied.
    assert_ne!(found.identification.chlorine.bands, ChlorineBands::NotDetected);
}

#[test]
fn no_ageing_marker_is_read_on_a_band_that_was_cut_off() {
    let examiner = Examiner::new(Tables::built_in());
    let whole = examiner.examine(vinyl()).expect("examined");
    let (cut, _) = cut_at(&vinyl(), 0.3);
    let cut = examiner.examine(cut).expect("examined");
    let read = |examined| examiner.ageing(examined, Some("PVC"), None).markers;
    let refused = |state: MarkerState| state == MarkerState::Refused;
    let before = read(&whole).iter().filter(|m| refused(m.state)).count();
    let markers = read(&cut);
    let after: Vec<_> = markers.iter().filter(|m| refused(m.state)).collect();
    assert!(after.len() > before, "{} of {}", after.len(), markers.len());
    assert!(format!("{after:?}").contains("saturated between"), "{after:#?}");
}

#[test]
fn a_whole_spectrum_has_no_ceiling() {
    let found = Examiner::new(Tables::built_in()).examine(vinyl()).expect("examined");
    assert_eq!(found.fitness.ceiling(), None);
    assert!(found.spectrum.history().iter().all(|step| step.name != "call saturated"));
}
