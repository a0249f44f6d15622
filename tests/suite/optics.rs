//! Fresnel reflectance and penetration depth against published and computed figures.

use std::path::{Path, PathBuf};

use approx::assert_abs_diff_eq;
use bandlore::{
    Spectrum,
    optics::{
        Correction, Element, Error as OpticsError, attenuated_reflectance,
        correct_for_transmission, critical_angle_deg, critical_index, penetration_depth_um,
        reflectance_with_gap,
    },
    spectrum::SpectrumParts,
};

fn shared(name: &str) -> Option<PathBuf> {
    let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared")).join(name);
    path.exists().then_some(path)
}

/// Depths: 2.005, 0.668, 5.013 and 0.501 µm for diamond and 0.664 µm for germanium are printed in
/// public application notes on ATR; the others follow from Harrick's formula by hand.
#[test]
fn depths_agree_with_application_notes_and_hand_sums() {
    for (crystal, sample, angle, wavenumber, depth_um) in [
        (2.4, 1.5, 45.0, 1000.0, 2.0052),
        (2.4, 1.5, 45.0, 3000.0, 0.6684),
        (2.4, 1.5, 45.0, 400.0, 5.0129),
        (2.4, 1.5, 45.0, 4000.0, 0.5013),
        (4.0, 1.5, 45.0, 1000.0, 0.6637),
        (2.4, 1.5, 45.0, 1725.0, 1.1624),
        (2.4, 1.5, 45.0, 613.0, 3.2711),
        (2.4, 1.58, 45.0, 1770.0, 1.4518),
        (2.4, 1.6, 45.0, 1000.0, 2.8135),
        (2.4, 1.5, 60.0, 1000.0, 1.1062),
        (3.42, 1.5, 45.0, 1000.0, 0.8390),
    ] {
        let found = penetration_depth_um(crystal, angle, sample, wavenumber).expect("total");
        assert_abs_diff_eq!(found, depth_um, epsilon = 1e-4);
    }
}

#[test]
fn past_the_critical_index_there_is_no_depth() {
    // 2.4 sin 45° = 1.6971, germanium 2.8284 (a public application note gives 1.7 and 2.8).
    assert_abs_diff_eq!(critical_index(2.4, 45.0).expect("valid"), 1.6971, epsilon = 1e-4);
    assert_abs_diff_eq!(critical_index(4.0, 45.0).expect("valid"), 2.8284, epsilon = 1e-4);
    let error = penetration_depth_um(2.4, 45.0, 1.7, 1000.0).expect_err("past the critical index");
    assert!(matches!(error, OpticsError::PastCritical { .. }));
    assert!(error.to_string().starts_with("no total reflection"), "{error}");
    for (crystal, sample, angle_deg) in
        [(2.4, 1.5, 38.6822), (2.4, 1.58, 41.1729), (2.4, 1.6, 41.8103), (4.0, 1.5, 22.0243)]
    {
        let found = critical_angle_deg(crystal, sample).expect("valid");
        assert_abs_diff_eq!(found, angle_deg, epsilon = 1e-4);
        assert!(penetration_depth_um(crystal, found - 0.001, sample, 1000.0).is_err());
        assert!(penetration_depth_um(crystal, found + 0.001, sample, 1000.0).is_ok());
    }
    assert!(critical_angle_deg(1.5, 1.6).is_err());
}

#[test]
fn settings_that_nothing_can_have_are_refused() {
    for (crystal, angle, sample, wavenumber) in [
        (0.5, 45.0, 1.5, 1000.0),
        (2.4, 0.0, 1.5, 1000.0),
        (2.4, 90.0, 1.5, 1000.0),
        (2.4, 45.0, f64::NAN, 1000.0),
        (2.4, 45.0, 1.5, 0.0),
    ] {
        let found = penetration_depth_um(crystal, angle, sample, wavenumber);
        assert!(matches!(found, Err(OpticsError::Setting { .. })), "{found:?}");
    }
    assert!(attenuated_reflectance(Element::DIAMOND_45, 1.5, -0.1).is_err());
    assert!(reflectance_with_gap(Element::DIAMOND_45, 1.5, 0.1, -0.1, 1000.0).is_err());
}

/// Computed from the complex Fresnel equations of any textbook, to six places.
#[test]
fn reflectances_agree_with_the_fresnel_equations() {
    for (n, k, s, p, absorbance) in [
        (1.5, 0.0, 1.0, 1.0, 0.0),
        (1.5, 0.01, 0.964128, 0.929543, 0.023725),
        (1.5, 0.1, 0.705076, 0.497132, 0.221051),
        (1.5, 0.3, 0.437370, 0.191292, 0.502613),
        (1.3, 0.3, 0.591790, 0.350215, 0.326977),
        (1.7, 0.3, 0.252230, 0.063620, 0.801550),
    ] {
        let found = attenuated_reflectance(Element::DIAMOND_45, n, k).expect("valid");
        assert_abs_diff_eq!(found.s, s, epsilon = 1e-6);
        assert_abs_diff_eq!(found.p, p, epsilon = 1e-6);
        assert_abs_diff_eq!(found.absorbance(), absorbance, epsilon = 1e-6);
        // At 45° the p reflectance is the square of the s reflectance, a textbook identity.
        assert_abs_diff_eq!(found.p, found.s * found.s, epsilon = 1e-12);
    }
}

/// Columns of the measured tables: wavenumber, n, k and the ATR absorbance computed from them.
fn optical_constants(path: &Path) -> Vec<[f64; 4]> {
    let text = std::fs::read_to_string(path).expect("a table");
    text.lines()
        .filter_map(|line| {
            let cells: Vec<f64> = line.split(',').filter_map(|c| c.trim().parse().ok()).collect();
            <[f64; 4]>::try_from(cells).ok()
        })
        .collect()
}

#[test]
fn atr_columns_of_measured_constants_are_reproduced() {
    // Measured n, k of the refractiveindex.info database (CC0); the ATR column was computed apart.
    let Some(folder) = shared("optical-constants") else {
        println!("skipped 1: ../shared/optical-constants is not here");
        return;
    };
    let mut compared = 0;
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|extension| extension != "csv") {
            continue;
        }
        for [wavenumber, n, k, absorbance] in optical_constants(&path) {
            let found = attenuated_reflectance(Element::DIAMOND_45, n, k).expect("valid");
            let difference = (found.absorbance() - absorbance).abs();
            assert!(difference < 2e-6, "{} at {wavenumber}: {difference}", path.display());
            compared += 1;
        }
    }
    assert!(compared > 5_000, "only {compared} rows were compared");
}

#[test]
fn a_wide_gap_hides_the_sample() {
    let at = |gap_um: f64, wavenumber: f64| {
        reflectance_with_gap(Element::DIAMOND_45, 1.5, 0.2, gap_um, wavenumber)
            .expect("valid")
            .absorbance()
    };
    assert!(at(20.0, 1000.0) < 1e-9);
    assert!(at(0.1, 1000.0) > at(0.3, 1000.0));
    // High wavenumbers lose more: their wave decays sooner.
    assert!(at(0.3, 3000.0) / at(0.0, 3000.0) < 0.5 * at(0.3, 600.0) / at(0.0, 600.0));
}

#[test]
fn a_gap_of_the_samples_own_index_would_only_be_air_when_it_is_air() {
    // A non-absorbing sample of any index reflects everything while the gap's wave is evanescent
    // and the sample's too: no energy is lost anywhere.
    for gap in [0.0, 0.05, 0.4] {
        let found =
            reflectance_with_gap(Element::DIAMOND_45, 1.4, 0.0, gap, 1500.0).expect("valid");
        assert_abs_diff_eq!(found.s, 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(found.p, 1.0, epsilon = 1e-12);
    }
}

fn spectrum(axis: Vec<f64>, values: Vec<f64>) -> Spectrum {
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}

#[test]
fn the_simple_correction_scales_by_the_wavenumber() {
    let axis: Vec<f64> = (0..100).map(|i| 500.0 + 10.0 * f64::from(i)).collect();
    let corrected = correct_for_transmission(&spectrum(axis, vec![0.2; 100]), Correction::Simple)
        .expect("valid");
    assert_abs_diff_eq!(corrected.absorbances()[0], 0.1, epsilon = 1e-12);
    assert_abs_diff_eq!(corrected.absorbances()[50], 0.2, epsilon = 1e-12);
    assert_eq!(corrected.history().len(), 1);
}

#[test]
fn the_index_aware_correction_moves_strong_bands_back_to_where_they_absorb() {
    // Measured PMMA: the absorption index peaks near 1731 and 1150 cm⁻¹, its ATR spectrum lower.
    let Some(folder) = shared("optical-constants") else {
        println!("skipped 1: ../shared/optical-constants is not here");
        return;
    };
    let rows = optical_constants(&folder.join("PMMA_ZM_nk_atr.csv"));
    let axis: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let k: Vec<f64> = rows.iter().map(|row| row[2] * row[0]).collect();
    let measured = spectrum(axis.clone(), rows.iter().map(|row| row[3]).collect());
    let correction = Correction::IndexAware { sample_index: 1.48, element: Element::DIAMOND_45 };
    let corrected = correct_for_transmission(&measured, correction).expect("valid");
    let top = |values: &[f64], low: f64, high: f64| {
        (0..axis.len())
            .filter(|i| (low..high).contains(&axis[*i]))
            .max_by(|a, b| values[*a].total_cmp(&values[*b]))
            .map(|i| axis[i])
            .expect("points")
    };
    for (low, high) in [(1650.0, 1800.0), (1100.0, 1210.0)] {
        let truth = top(&k, low, high);
        let before = (top(measured.absorbances(), low, high) - truth).abs();
        let after = (top(corrected.absorbances(), low, high) - truth).abs();
        assert!(after <= 8.0 && after <= before, "{truth}: {before} before, {after} after");
    }
}
