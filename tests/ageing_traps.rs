//! What makes a marker meaningless must be found and must refuse or qualify it.
//!
//! The spectra are invented sums of Gaussian bands at handbook positions (Socrates 2001, from
//! memory) with seeded noise; that these substances disturb these windows is common practice.

#[path = "common/synthetic_faces.rs"]
#[allow(dead_code, reason = "only the seeded noise is used here")]
mod synthetic_faces;

use bandlore::{
    AgeingResult, ChangeCall, ComparedFace, Examined, Examiner, FaceColour, MarkerResult,
    MarkerState, PointFlag, SameMaterial, Session, Spectrum, SpectrumParts, Tables,
};
use synthetic_faces::Random;

type Bands = &'static [(f64, f64, f64)];

const PVC: Bands = &[
    (2970.0, 30.0, 0.03),
    (2912.0, 40.0, 0.06),
    (1427.0, 16.0, 0.12),
    (1331.0, 18.0, 0.09),
    (1254.0, 24.0, 0.14),
    (1097.0, 30.0, 0.06),
    (962.0, 25.0, 0.10),
    (690.0, 30.0, 0.20),
    (613.0, 30.0, 0.25),
];
const PC: Bands = &[
    (2968.0, 30.0, 0.06),
    (1770.0, 24.0, 0.50),
    (1600.0, 8.0, 0.03),
    (1504.0, 12.0, 0.33),
    (1409.0, 8.0, 0.04),
    (1219.0, 22.0, 0.70),
    (1187.0, 18.0, 0.80),
    (1159.0, 18.0, 0.90),
    (1080.0, 12.0, 0.30),
    (1014.0, 12.0, 0.40),
    (828.0, 16.0, 0.35),
];
const PE: Bands =
    &[(2915.0, 18.0, 0.50), (2848.0, 14.0, 0.35), (1464.0, 12.0, 0.12), (719.0, 10.0, 0.10)];
const PMMA: Bands = &[
    (2994.0, 20.0, 0.06),
    (2950.0, 24.0, 0.10),
    (1723.0, 24.0, 0.60),
    (1480.0, 16.0, 0.08),
    (1440.0, 18.0, 0.18),
    (1387.0, 14.0, 0.08),
    (1240.0, 20.0, 0.25),
    (1190.0, 20.0, 0.35),
    (1144.0, 22.0, 0.70),
    (986.0, 16.0, 0.17),
    (750.0, 14.0, 0.12),
];
const PET: Bands = &[
    (2965.0, 40.0, 0.03),
    (1715.0, 26.0, 0.80),
    (1505.0, 8.0, 0.03),
    (1409.0, 10.0, 0.14),
    (1243.0, 30.0, 0.90),
    (1095.0, 30.0, 0.80),
    (1017.0, 10.0, 0.40),
    (873.0, 12.0, 0.25),
    (725.0, 14.0, 0.90),
];
const PHTHALATE: Bands = &[
    (2960.0, 30.0, 0.08),
    (1723.0, 22.0, 0.35),
    (1600.0, 7.0, 0.03),
    (1580.0, 7.0, 0.03),
    (1273.0, 24.0, 0.30),
    (1122.0, 14.0, 0.15),
    (1072.0, 12.0, 0.12),
    (743.0, 9.0, 0.10),
];
const CHALK: Bands =
    &[(1795.0, 14.0, 0.02), (1420.0, 90.0, 0.30), (873.0, 10.0, 0.15), (712.0, 8.0, 0.06)];
const VAPOUR: [f64; 13] = [
    1507.1, 1540.3, 1558.5, 1576.2, 1616.7, 1635.7, 1653.3, 1684.8, 1699.9, 1717.4, 1844.2, 1869.4,
    3854.0,
];
const WATER: Bands = &[(3350.0, 420.0, 0.09), (1640.0, 75.0, 0.030), (560.0, 300.0, 0.05)];
const STEARIC: Bands = &[(2917.0, 14.0, 0.35), (2849.0, 12.0, 0.25), (1701.0, 14.0, 0.10)];

fn spectrum_on(start: f64, parts: &[Bands], seed: u64) -> Spectrum {
    let mut random = Random::new(seed);
    let count = ((4000.0 - start) / 2.0) as usize;
    let axis: Vec<f64> = (0..=count).map(|i| start + 2.0 * i as f64).collect();
    let values = axis
        .iter()
        .map(|v| {
            let bands = parts.iter().flat_map(|p| p.iter());
            let sum: f64 = bands
                .map(|(position, fwhm, height)| {
                    height * (-4.0 * std::f64::consts::LN_2 * ((v - position) / fwhm).powi(2)).exp()
                })
                .sum();
            sum + 0.01 + 5e-5 * random.normal()
        })
        .collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}

fn ageing_of(spectrum: Spectrum, material: &str) -> AgeingResult {
    let examiner = Examiner::new(Tables::built_in());
    let examined = examiner.examine(spectrum).expect("prepared");
    examiner.ageing(&examined, Some(material), None)
}

fn ageing(parts: &[Bands], material: &str) -> AgeingResult {
    ageing_of(spectrum_on(450.0, parts, 1), material)
}

fn marker<'a>(result: &'a AgeingResult, id: &str) -> &'a MarkerResult {
    result.markers.iter().find(|m| m.id == id).expect("in the table")
}

fn assert_refused(result: &AgeingResult, id: &str, confounder: &str) {
    let found = marker(result, id);
    assert!(
        found.confounders.iter().any(|c| c.id == confounder && c.refuses),
        "{id}: {:?} {:?}",
        found.confounders,
        found.value
    );
    assert_eq!((found.state, found.value), (MarkerState::Refused, None), "{id}");
    assert!(found.refusal.is_some());
}

#[test]
fn phthalate_over_the_carbonyl_of_pvc() {
    let fresh = ageing(&[PVC], "PVC");
    assert_eq!(marker(&fresh, "PVC_POLYENE").state, MarkerState::BelowDetection);
    assert_eq!(marker(&fresh, "PVC_POLYENE").value, None);
    assert_ne!(marker(&fresh, "PVC_CO").state, MarkerState::Refused);
    assert_refused(&fresh, "PVC_PLAST_CO", "pvc-no-ester");
    let soft = ageing(&[PVC, PHTHALATE], "PVC");
    assert_refused(&soft, "PVC_CO", "pvc-ester");
    assert_refused(&soft, "PVC_POLYENE", "phthalate-ring");
    assert_eq!(marker(&soft, "PVC_PLAST_CO").state, MarkerState::Measured);
    assert_eq!(marker(&soft, "PVC_PLAST_PHTH").state, MarkerState::Measured);
}

#[test]
fn chalk_in_both_windows_of_the_carbonyl_index() {
    let filled = ageing(&[PE, CHALK], "PE-HD");
    assert_refused(&filled, "CI_SAUB", "chalk-both-windows");
    assert_refused(&filled, "CI_HEIGHT", "chalk-both-windows");
    let plain = ageing(&[PE], "PE-HD");
    assert_eq!(marker(&plain, "CI_SAUB").state, MarkerState::BelowDetection);
    // In PVC the chalk lies under the reference band: the second reference takes over.
    let pvc = ageing(&[PVC, CHALK, &[(1722.0, 26.0, 0.03)]], "PVC");
    let found = marker(&pvc, "PVC_CO");
    assert!(found.confounders.iter().any(|c| c.id == "reference-chalk" && !c.refuses));
    assert!(found.definition.contains("1320"), "{}", found.definition);
    assert_ne!(found.state, MarkerState::Refused, "{:?}", found.refusal);
}

#[test]
fn vapour_lines_among_the_carbonyls() {
    let lines: Vec<(f64, f64, f64)> = VAPOUR.iter().map(|v| (*v, 5.0, 0.012)).collect();
    let lines: Bands = lines.leak();
    let foggy = ageing(&[PC, lines], "PC");
    for id in ["PC_FRIES_SAL", "PC_FRIES_DHB", "PC_OX_ANH", "PC_OX_ACID"] {
        assert_refused(&foggy, id, "vapour-lines");
    }
    let dry = ageing(&[PC], "PC");
    assert!(marker(&dry, "PC_OX_ANH").confounders.is_empty());
    assert_eq!(marker(&dry, "PC_FRIES_DHB").state, MarkerState::BelowDetection);
}

#[test]
fn wet_sample_is_no_hydroxyl_growth() {
    let wet = ageing(&[PMMA, WATER], "PMMA");
    assert_refused(&wet, "PMMA_UNSAT", "wet-unsaturation");
    assert_refused(&wet, "PMMA_OH", "wet-hydroxyl");
    // Hydroxyl without water's bend stays a hydroxyl.
    let oxidised = ageing(&[PMMA, &[(3400.0, 350.0, 0.08)]], "PMMA");
    assert!(marker(&oxidised, "PMMA_OH").confounders.iter().all(|c| c.id != "wet-hydroxyl"));
    assert_eq!(marker(&oxidised, "PMMA_OH").state, MarkerState::Measured);
}

#[test]
fn overtone_of_pet_at_3430_is_no_hydroxyl() {
    for (material, id) in [("PET", "PET_COOH_3290"), ("PETG", "PETG_OH")] {
        let found = ageing(&[PET, &[(3430.0, 24.0, 0.02)]], material);
        let confounders = &marker(&found, id).confounders;
        assert!(confounders.iter().any(|c| c.id == "pet-overtone"), "{id}: {confounders:?}");
    }
    // The carboxyl's limits end below the overtone: it alone must not show as acid.
    let with = ageing(&[PET, &[(3430.0, 24.0, 0.02)]], "PET");
    assert_ne!(marker(&with, "PET_COOH_3290").state, MarkerState::Measured);
}

#[test]
fn uv_absorber_near_1630_is_no_photo_fries() {
    let absorber = ageing(&[PC, &[(1630.0, 20.0, 0.04)]], "PC");
    assert_refused(&absorber, "PC_FRIES_DHB", "uv-absorber");
    let fries = ageing(&[PC, &[(1630.0, 20.0, 0.04), (1689.0, 16.0, 0.06)]], "PC");
    assert_eq!(marker(&fries, "PC_FRIES_DHB").state, MarkerState::Measured);
    assert_eq!(marker(&fries, "PC_FRIES_SAL").state, MarkerState::Measured);
}

#[test]
fn stearic_bloom_is_no_oxidation() {
    let bloomed = ageing(&[PVC, STEARIC], "PVC");
    assert_refused(&bloomed, "PVC_CO", "stearic-bloom");
    assert_refused(&bloomed, "PVC_BLOOM_PHTHACID", "stearic-bloom");
}

#[test]
fn range_end_and_mask_inside_the_limits_refuse() {
    let cut = ageing_of(spectrum_on(650.0, &[PVC], 1), "PVC");
    let found = marker(&cut, "PVC_CCL_LOSS");
    assert_eq!(found.state, MarkerState::Refused);
    assert!(found.refusal.as_deref().is_some_and(|w| w.contains("spans 650")), "{found:?}");

    let whole = spectrum_on(450.0, &[PVC], 1);
    let mut parts =
        SpectrumParts::new(whole.wavenumbers_cm1().to_vec(), whole.absorbances().to_vec());
    parts.flags = whole
        .wavenumbers_cm1()
        .iter()
        .map(|v| if (1720.0..1724.0).contains(v) { PointFlag::Masked } else { PointFlag::Measured })
        .collect();
    let masked = ageing_of(Spectrum::new(parts).expect("valid"), "PVC");
    let found = marker(&masked, "PVC_CO");
    assert_eq!(found.state, MarkerState::Refused);
    assert!(found.refusal.as_deref().is_some_and(|w| w.contains("masked")), "{found:?}");
}

#[test]
fn bands_of_different_depth_carry_a_confounder() {
    let fresh = ageing(&[PVC], "PVC");
    assert!(marker(&fresh, "PVC_CCL_LOSS").confounders.iter().any(|c| c.id == "depth"));
    assert!(marker(&fresh, "PVC_CO").confounders.iter().all(|c| c.id != "depth"));
}

/// Three spots of one make; each with its own noise and a little more or less product.
fn examined(examiner: &Examiner<'_>, parts: &[Bands], product: f64, seed: u64) -> Vec<Examined> {
    (0..3)
        .map(|i| {
            let share = product * (1.0 + 0.05 * f64::from(i));
            let extra: Bands = vec![(1722.0, 26.0, share)].leak();
            let mut all = parts.to_vec();
            all.push(extra);
            let spectrum = spectrum_on(450.0, &all, seed + i as u64);
            examiner.examine(spectrum).expect("prepared")
        })
        .collect()
}

#[test]
fn sessions_that_do_not_agree_give_presence_alone() {
    let examiner = Examiner::new(Tables::built_in());
    let (before, after) =
        (examined(&examiner, &[PVC], 0.02, 10), examined(&examiner, &[PVC], 0.06, 20));
    let spots: Vec<(ComparedFace, &Examined)> = before
        .iter()
        .map(|e| (ComparedFace::Earlier, e))
        .chain(after.iter().map(|e| (ComparedFace::Later, e)))
        .collect();
    let unknown = Session::default();
    let found = examiner.compare(&spots, Some("PVC"), &[], Some((&unknown, &unknown)));
    for change in &found.markers {
        assert_eq!((change.call, change.change, change.p), (ChangeCall::Refused, None, None));
        assert!(change.why.as_deref().is_some_and(|w| w.starts_with("identity and presence only")));
    }
    assert!(found.differences.is_empty());
    let known = Session {
        crystal: Some("diamond".to_owned()),
        angle_deg: Some(45.0),
        resolution_cm1: Some(4.0),
        check: Some(spectrum_on(450.0, &[PET], 5)),
    };
    let found = examiner.compare(&spots, Some("PVC"), &[], Some((&known, &known)));
    let carbonyl = found.markers.iter().find(|m| m.id == "PVC_CO").expect("in the table");
    assert_eq!(carbonyl.call, ChangeCall::Changed, "{carbonyl:?}");
    assert!(!found.differences.is_empty());
}

#[test]
fn route_is_suggested_with_its_wavelengths_and_colour_stands_beside() {
    let examiner = Examiner::new(Tables::built_in());
    let (covered, exposed) =
        (examined(&examiner, &[PVC], 0.02, 30), examined(&examiner, &[PVC], 0.06, 40));
    let spots: Vec<(ComparedFace, &Examined)> = exposed
        .iter()
        .map(|e| (ComparedFace::Exposed, e))
        .chain(covered.iter().map(|e| (ComparedFace::Covered, e)))
        .collect();
    let colour = |face, b| FaceColour {
        face,
        lab: Some([90.0, 0.0, b]),
        yellowness_index: None,
        instrument: "sphere".to_owned(),
        backing: "white".to_owned(),
    };
    let colours = [colour(ComparedFace::Exposed, 12.0), colour(ComparedFace::Covered, 3.0)];
    let found = examiner.compare(&spots, Some("PVC"), &colours, None);
    for route in &found.routes {
        assert!(route.sentence.starts_with("suggests"));
        assert!(!route.conditions.contains("254"), "{}", route.conditions);
    }
    assert!(found.colour.as_deref().is_some_and(|c| !c.contains("not explained")));

    let same = examined(&examiner, &[PVC], 0.02, 50);
    let spots: Vec<(ComparedFace, &Examined)> = same
        .iter()
        .map(|e| (ComparedFace::Exposed, e))
        .chain(covered.iter().map(|e| (ComparedFace::Covered, e)))
        .collect();
    let found = examiner.compare(&spots, Some("PVC"), &colours, None);
    assert!(found.routes.is_empty());
    assert!(
        found
            .colour
            .as_deref()
            .is_some_and(|c| c.contains("visible change not explained by this method")),
        "{:?}",
        found.colour
    );
}

#[test]
fn siloxane_coat_on_one_face_stops_the_comparison() {
    const COAT: Bands =
        &[(1262.0, 14.0, 0.35), (1090.0, 60.0, 0.40), (1030.0, 60.0, 0.40), (800.0, 18.0, 0.45)];
    let examiner = Examiner::new(Tables::built_in());
    let spots = |parts: &[Bands], seed: u64| -> Vec<Examined> {
        (0..3)
            .map(|i| examiner.examine(spectrum_on(450.0, parts, seed + i)).expect("prepared"))
            .collect()
    };
    let (coated, bare) = (spots(&[PC, COAT], 60), spots(&[PC], 70));
    let list: Vec<(ComparedFace, &Examined)> = coated
        .iter()
        .map(|e| (ComparedFace::Exposed, e))
        .chain(bare.iter().map(|e| (ComparedFace::Reverse, e)))
        .collect();
    let found = examiner.compare(&list, Some("PC"), &[], None);
    assert!(matches!(found.same_material, SameMaterial::Different { .. }), "{found:?}");
    assert!(found.sentence.starts_with("Faces differ in make-up, ageing not compared"));
    assert!(found.markers.is_empty());
    assert!(found.warnings.iter().any(|w| w.text.contains("both faces saw light")));
}
