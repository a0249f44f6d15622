//! Faces compared with each other through the whole program, on invented spectra: composition first, then
//! water, sessions, routes and colour.

use crate::disturbances::LINES;
use crate::invented::{Bands, PC, PE, PET, PHTHALATE, PMMA, PVC, spectrum_on};
use bandlore::{
    Examined, Examiner, Tables,
    ageing::comparison::{ChangeCall, ComparedFace, Comparison, FaceColour, SameMaterial, Session},
    fitness::{Severity, examine},
};

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
    let known = |seed| {
        Session::default()
            .with_crystal("diamond".to_owned())
            .with_angle_deg(45.0)
            .with_resolution_cm1(4.0)
            .with_check(spectrum_on(450.0, &[PET], seed))
    };
    let found = examiner.compare(&spots, Some("PVC"), &[], Some((&known(5), &known(6))));
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
    let colour = |face, b| FaceColour::new(face, "sphere", "white").with_lab([90.0, 0.0, b]);
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
    assert!(found.sentence.starts_with("Faces differ in composition, ageing not compared"));
    assert!(found.markers.is_empty());
    assert!(found.warnings.iter().any(|w| w.text.contains("both faces saw light")));
}

#[test]
fn growth_of_water_alone_is_no_growth_of_hydroxyl() {
    let examiner = Examiner::new(Tables::built_in());
    let spots = |parts: &[Bands], seed: u64| -> Vec<Examined> {
        (0..4)
            .map(|i| {
                let wet = 1.0 + 0.05 * i as f64;
                let share: Bands =
                    parts[1].iter().map(|b| (b.0, b.1, b.2 * wet)).collect::<Vec<_>>().leak();
                let spectrum = spectrum_on(450.0, &[parts[0], share], seed + i);
                examiner.examine(spectrum).expect("prepared")
            })
            .collect()
    };
    let compare = |ours: &[Examined], theirs: &[Examined]| {
        let list: Vec<(ComparedFace, &Examined)> = ours
            .iter()
            .map(|e| (ComparedFace::Exposed, e))
            .chain(theirs.iter().map(|e| (ComparedFace::Covered, e)))
            .collect();
        let found = examiner.compare(&list, Some("PVC"), &[], None);
        found.markers.into_iter().find(|m| m.id == "PVC_OH").expect("in the table")
    };
    let covered = spots(&[PVC, &[(3350.0, 420.0, 0.0003)]], 80);
    // Too little for any single spectrum to be called wet.
    let damp: Bands = &[(3350.0, 420.0, 0.0022), (1640.0, 75.0, 0.00075), (630.0, 300.0, 0.0036)];
    let found = compare(&spots(&[PVC, damp], 90), &covered);
    assert_eq!(found.call, ChangeCall::Refused, "{found:?}");
    assert!(found.why.as_deref().is_some_and(|w| w.starts_with("adsorbed water")), "{found:?}");
    let oxidised: Bands = &[(3350.0, 300.0, 0.006), (1640.0, 40.0, 0.0012)];
    let found = compare(&spots(&[PVC, oxidised], 95), &covered);
    assert_eq!(found.call, ChangeCall::Changed, "{found:?}");
}

/// Spots of two faces, each face made of its own parts.
fn two_faces(material: &str, exposed: &[Bands], covered: &[Bands], n: u64) -> Comparison {
    let examiner = Examiner::new(Tables::built_in());
    let spots = |parts: &[Bands], seed: u64| -> Vec<Examined> {
        (0..n)
            .map(|i| examiner.examine(spectrum_on(450.0, parts, seed + i)).expect("prepared"))
            .collect()
    };
    let (ours, theirs) = (spots(exposed, 200), spots(covered, 300));
    let list: Vec<(ComparedFace, &Examined)> = ours
        .iter()
        .map(|e| (ComparedFace::Exposed, e))
        .chain(theirs.iter().map(|e| (ComparedFace::Covered, e)))
        .collect();
    examiner.compare(&list, Some(material), &[], None)
}

/// The bands of a material, weakened by a share.
fn share(bands: Bands, of: f64) -> Bands {
    bands.iter().map(|b| (b.0, b.1, b.2 * of)).collect::<Vec<_>>().leak()
}

#[test]
fn a_cap_or_a_wax_on_one_face_stops_the_comparison() {
    for (what, material, bare, over) in [
        ("acrylic cap", "PC", share(PC, 0.5), share(PMMA, 0.5)),
        ("wax", "PC", share(PC, 0.8), share(PE, 0.3)),
        ("acrylic cap", "PVC", share(PVC, 0.6), share(PMMA, 0.3)),
        ("wax", "PMMA", share(PMMA, 0.8), share(PE, 0.3)),
    ] {
        let whole = match material {
            "PC" => PC,
            "PVC" => PVC,
            _ => PMMA,
        };
        let found = two_faces(material, &[bare, over], &[whole], 3);
        assert!(
            matches!(found.same_material, SameMaterial::Different { .. }),
            "{what} on {material}: {:?}",
            found.same_material
        );
        assert!(found.sentence.starts_with("Faces differ in composition, ageing not compared"));
        assert!(found.markers.is_empty());
    }
}

#[test]
fn a_uv_absorber_on_one_face_alone_is_said_and_the_same_on_both_is_not() {
    const ABSORBER: Bands = &[(1630.0, 20.0, 0.04)];
    let found = two_faces("PC", &[PC, ABSORBER], &[PC], 3);
    let SameMaterial::CannotTell { why } = &found.same_material else {
        panic!("{:?}", found.same_material)
    };
    assert!(why.contains("UV absorber") && why.contains("exposed face alone"), "{why}");
    let found = two_faces("PC", &[PC, ABSORBER], &[PC, ABSORBER], 3);
    let said = format!("{:?}", found.same_material);
    assert!(!said.contains("absorber") && !said.contains("Different"), "{said}");
}

#[test]
fn loss_of_plasticiser_is_found_though_it_disturbs_the_bands_of_contact() {
    for (left, call) in [(0.5, ChangeCall::Changed), (1.0, ChangeCall::NoChangeShown)] {
        let examiner = Examiner::new(Tables::built_in());
        let spots = |level: f64, seed: u64| -> Vec<Examined> {
            (0..5)
                .map(|i| {
                    let here = level * (1.0 + 0.04 * (i as f64 - 2.0));
                    let parts = [PVC, share(PHTHALATE, here)];
                    examiner.examine(spectrum_on(450.0, &parts, seed + i)).expect("prepared")
                })
                .collect()
        };
        let (outside, bore) = (spots(left, 400), spots(1.0, 500));
        let list: Vec<(ComparedFace, &Examined)> = outside
            .iter()
            .map(|e| (ComparedFace::Exposed, e))
            .chain(bore.iter().map(|e| (ComparedFace::Reverse, e)))
            .collect();
        let found = examiner.compare(&list, Some("PVC"), &[], None);
        let marker = |id: &str| found.markers.iter().find(|m| m.id == id).expect("in the table");
        assert_eq!(marker("PVC_PLAST_CO").call, call, "{:?}", marker("PVC_PLAST_CO"));
        // Its carbonyl covers that of oxidation, and its C–H the reference of hydroxyl.
        for id in ["PVC_CO", "PVC_OH"] {
            assert_eq!(marker(id).call, ChangeCall::Refused, "{id}");
        }
        assert!(
            found.warnings.iter().any(|w| w.id == "contact-not-fitted"),
            "{:?}",
            found.warnings
        );
        assert_eq!(found.routes.iter().any(|r| r.id == "pvc-plasticiser-loss"), left < 1.0);
    }
    // All of it gone on one face: nothing to follow there, and that is the finding.
    let found = two_faces("PVC", &[PVC], &[PVC, PHTHALATE], 5);
    let gone = found.markers.iter().find(|m| m.id == "PVC_PLAST_CO");
    match (&found.same_material, gone) {
        (SameMaterial::Different { .. }, None) => {}
        (_, Some(m)) => assert_eq!(m.call, ChangeCall::Changed, "{m:?}"),
        (same, None) => panic!("{same:?}"),
    }
}

/// Lines of water vapour as an instrument at 4 cm⁻¹ shows them (HITRAN2020), the strongest so high.
fn vapour(height: f64) -> Bands {
    LINES.iter().map(|line| (line.0, 4.0, height * line.1)).collect::<Vec<_>>().leak()
}

/// Sharp hydroxyls of kaolin and its strongest other bands; handbook positions (Farmer 1974, The Infrared
/// Spectra of Minerals, from memory), heights ours.
const KAOLIN: Bands = &[
    (3695.0, 12.0, 0.010),
    (3669.0, 12.0, 0.004),
    (3652.0, 12.0, 0.004),
    (3620.0, 10.0, 0.009),
    (1115.0, 20.0, 0.008),
    (1030.0, 24.0, 0.030),
    (1007.0, 20.0, 0.030),
    (912.0, 14.0, 0.016),
    (537.0, 20.0, 0.020),
    (470.0, 20.0, 0.020),
];

#[test]
fn vapour_is_named_where_it_is_and_no_talc_or_kaolin_in_its_place() {
    for (material, bands) in [("PVC", PVC), ("PC", PC)] {
        let found = two_faces(material, &[bands, vapour(0.004)], &[bands], 3);
        assert!(
            found.warnings.iter().any(|w| w.id == "vapour-on-one-face"),
            "{material}: {:?}",
            found.warnings
        );
        for change in &found.markers {
            assert_ne!(change.call, ChangeCall::Changed, "{material}: {change:?}");
            let why = format!("{:?} {:?}", change.why, change.confounders);
            for mineral in ["talc", "kaolin", "filler-oh"] {
                assert!(!why.contains(mineral), "{material} {}: {why}", change.id);
            }
        }
        let wet = examine(&spectrum_on(450.0, &[bands, vapour(0.03)], 7));
        let lines = wet.finding("water-vapour").expect("looked for");
        assert_eq!(lines.severity, Severity::Limits, "{material}: {lines:?}");
    }
}

#[test]
fn lines_of_vapour_in_one_spectrum_are_no_talc_or_kaolin_either() {
    let examiner = Examiner::new(Tables::built_in());
    let of_hydroxyl = |parts: &[Bands]| {
        let examined = examiner.examine(spectrum_on(450.0, parts, 9)).expect("prepared");
        let result = examiner.ageing(&examined, Some("PVC"), None);
        let marker = result.markers.iter().find(|marker| marker.id == "PVC_OH").expect("a marker");
        marker.refusal.clone().unwrap_or_default()
    };
    let wet = of_hydroxyl(&[PVC, vapour(0.03)]);
    assert!(wet.contains("water vapour") && !wet.contains("kaolin"), "{wet}");
    // A filler without vapour is called one.
    let filled = of_hydroxyl(&[PVC, KAOLIN]);
    assert!(filled.starts_with("talc or kaolin"), "{filled}");
}

#[test]
fn hydroxyls_of_kaolin_are_no_vapour() {
    let filled = examine(&spectrum_on(450.0, &[PVC, KAOLIN], 8));
    let lines = filled.finding("water-vapour").expect("looked for");
    assert_eq!(lines.severity, Severity::Note, "{lines:?}");
    let found = two_faces("PVC", &[PVC, share(KAOLIN, 0.3)], &[PVC], 3);
    assert!(found.warnings.iter().all(|w| w.id != "vapour-on-one-face"), "{:?}", found.warnings);
}

#[test]
fn lines_that_do_not_show_among_the_carbonyls_are_no_vapour() {
    // All lines but those among the carbonyls: a comb fits, and is none.
    let others: Vec<(f64, f64, f64)> =
        vapour(0.004).iter().copied().filter(|line| !(1645.0..1780.0).contains(&line.0)).collect();
    let found = two_faces("PVC", &[PVC, others.leak()], &[PVC], 3);
    assert!(found.warnings.iter().all(|w| w.id != "vapour-on-one-face"), "{:?}", found.warnings);
}
