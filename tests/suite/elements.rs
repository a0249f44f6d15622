//! The ATR crystal and angle reach every depth and every comparison, by one path.

use bandlore::{
    Examined, Examiner, ReadOptions, Spectrum, Tables,
    ageing::comparison::ComparedFace,
    object::open_manifest,
    optics::{Element, penetration_depth_um},
    pipeline::examine_manifest,
    read_path,
};

fn demo(name: &str) -> Spectrum {
    let file = format!("{}/sample-spectra/tide-clock/spectra/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut all = read_path(file.as_ref(), &ReadOptions::default());
    all.next().expect("a spectrum").expect("readable")
}

/// Harrick 1967 for a plastic of index 1.5.
fn depth_um(element: Element, wavenumber_cm1: f64) -> f64 {
    penetration_depth_um(element.crystal_index, element.angle_deg, 1.5, wavenumber_cm1)
        .expect("total reflection")
}

#[test]
fn the_depths_of_the_evidence_are_those_of_the_element_stated() {
    let examiner = Examiner::new(Tables::built_in());
    let silicon = Element { crystal_index: 3.42, angle_deg: 60.0 };
    for (examined, element) in [
        (examiner.examine(demo("S1-exposed.csv")), Element::DIAMOND_45),
        (examiner.examine_on(demo("S1-exposed.csv"), Some(silicon)), silicon),
    ] {
        let examined = examined.expect("examined");
        let evidence = &examined.identification.components[0].evidence;
        assert!(evidence.len() > 5);
        for band in evidence {
            let depth = band.depth_um.expect("measured in ATR");
            assert!((depth - depth_um(element, band.expected_cm1)).abs() < 1e-12, "{band:?}");
        }
    }
    let unknown = examiner.examine_on(demo("S1-exposed.csv"), None).expect("examined");
    assert!(unknown.identification.components[0].evidence.iter().all(|b| b.depth_um.is_none()));
}

/// A manifest of F2's faces in a folder of its own; `more` is added to the spectra of the covered face.
fn faces(more: &str) -> (tempfile::TempDir, Vec<(ComparedFace, Spectrum)>) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut text = "[object]\ntitle = \"invented\"\n[[part]]\nid = \"F2\"\n".to_owned();
    let mut spots = Vec::new();
    for (face, word) in [(ComparedFace::Exposed, "exposed"), (ComparedFace::Covered, "covered")] {
        for spot in ["a", "b", "c"] {
            // Fringes, as of a thin gap, so that a path that forgets what is left of them shows.
            let clear = demo(&format!("F2-{word}-{spot}.csv"));
            let rows: Vec<String> = clear
                .wavenumbers_cm1()
                .iter()
                .zip(clear.absorbances())
                .map(|(v, a)| {
                    let wave = 0.03 * (std::f64::consts::TAU * v / 130.0).sin();
                    format!("{v},{}", a + 0.05 + wave)
                })
                .collect();
            let name = format!("F2-{word}-{spot}.csv");
            let file = folder.path().join(&name);
            std::fs::write(&file, format!("cm-1,absorbance\n{}\n", rows.join("\n")))
                .expect("written");
            let more = if face == ComparedFace::Covered { more } else { "" };
            text.push_str(&format!(
                "[[spectrum]]\nfile = \"{name}\"\npart = \"F2\"\nface = \"{word}\"\n{more}"
            ));
            let read =
                read_path(&file, &ReadOptions::default()).next().expect("one").expect("read");
            spots.push((face, read));
        }
    }
    std::fs::write(folder.path().join("object.toml"), text).expect("written");
    (folder, spots)
}

#[test]
fn an_object_and_the_library_compare_faces_alike() {
    let (folder, spots) = faces("");
    let examiner = Examiner::new(Tables::built_in());
    let opened = open_manifest(folder.path()).expect("opened");
    let found =
        examine_manifest(&opened, &examiner, &ReadOptions::default(), &|| {}).expect("done");
    assert!(found.comparison_failures.is_empty());
    let by_object = found.findings.parts[0].ageing.comparison.as_ref().expect("compared");
    let examined: Vec<(ComparedFace, Examined)> =
        spots.into_iter().map(|(f, s)| (f, examiner.examine(s).expect("examined"))).collect();
    assert!(examined.iter().any(|(_, e)| e.fitness.ripple() > 0.0), "no fringes were made");
    let borrowed: Vec<(ComparedFace, &Examined)> = examined.iter().map(|(f, e)| (*f, e)).collect();
    let by_library = examiner.compare(&borrowed, by_object.material.as_deref(), &[], None);
    assert_eq!(by_object.same_material, by_library.same_material);
    assert_eq!(by_object.markers, by_library.markers);
    assert_eq!(by_object.contact, by_library.contact);
}

#[test]
fn faces_on_different_or_unknown_crystals_are_not_compared_and_the_report_says_so() {
    let examiner = Examiner::new(Tables::built_in());
    for (row, why) in [
        ("crystal = \"silicon, one reflection\"\n", "index 2.4 at 45° and index 3.42 at 45°"),
        ("angle = \"60\"\n", "index 2.4 at 45° and index 2.4 at 60°"),
        ("crystal = \"KRS-5\"\n", "the crystal \"KRS-5\" is not known"),
    ] {
        let (folder, _) = faces(row);
        let opened = open_manifest(folder.path()).expect("opened");
        let found =
            examine_manifest(&opened, &examiner, &ReadOptions::default(), &|| {}).expect("done");
        assert_eq!(found.comparison_failures.len(), 1, "{row}");
        let part = &found.findings.parts[0];
        assert!(part.ageing.comparison.is_none());
        assert!(part.ageing.sentence.starts_with("the faces could not be compared: "));
        assert!(part.ageing.sentence.contains(why), "{}", part.ageing.sentence);
        let summary: String =
            found.findings.summary.iter().map(|line| line.text.as_str()).collect();
        assert!(summary.contains("the faces could not be compared"), "{summary}");
        let warned = |id: &str| found.findings.warnings.iter().any(|w| w.id == id);
        assert!(warned("comparison-failed"));
        assert_eq!(warned("element-not-known"), row.contains("KRS-5"));
        let depths = |record: usize| {
            let spot = found.spectra.iter().find(|s| s.record == record).expect("a spot");
            let band = spot.identification.components[0].evidence[0].clone();
            (band.expected_cm1, band.depth_um)
        };
        let (at, exposed) = depths(0);
        assert_eq!(exposed, Some(depth_um(Element::DIAMOND_45, at)));
        assert_ne!(depths(5).1, exposed, "{row}: the depth of the covered face is its own");
        let limits = found.findings.limits.join(" ");
        assert_eq!(limits.contains("crystal of index 3.42"), row.contains("silicon"), "{limits}");
    }
    // Spots handed over by the library say the same.
    let (_, spots) = faces("");
    let silicon = Element { crystal_index: 3.42, angle_deg: 45.0 };
    let examined: Vec<(ComparedFace, Examined)> = spots
        .into_iter()
        .map(|(face, spot)| {
            let on = if face == ComparedFace::Covered { silicon } else { Element::DIAMOND_45 };
            (face, examiner.examine_on(spot, Some(on)).expect("examined"))
        })
        .collect();
    let borrowed: Vec<(ComparedFace, &Examined)> = examined.iter().map(|(f, e)| (*f, e)).collect();
    let found = examiner.compare(&borrowed, None, &[], None);
    assert!(found.markers.is_empty() && found.sentence.contains("different elements"));
}

#[test]
fn the_contact_of_faces_is_fitted_on_the_element_stated() {
    // The gap that explains one loss of height is as much thinner on silicon as its field in air is
    // shallower (Harrick 1967).
    let of = |face: ComparedFace, word: &str| {
        ["a", "b", "c"].map(|spot| (face, demo(&format!("F2-{word}-{spot}.csv"))))
    };
    let spots =
        [of(ComparedFace::Exposed, "exposed"), of(ComparedFace::Covered, "covered")].concat();
    let gap = |element: Element| {
        let examiner = Examiner::new(Tables::built_in()).with_element(element);
        let examined: Vec<(ComparedFace, Examined)> = spots
            .iter()
            .map(|(face, spot)| (*face, examiner.examine(spot.clone()).expect("examined")))
            .collect();
        let borrowed: Vec<(ComparedFace, &Examined)> =
            examined.iter().map(|(f, e)| (*f, e)).collect();
        let contact = examiner.compare(&borrowed, None, &[], None).contact;
        contact.first().expect("contact was fitted").gap_um
    };
    let silicon = Element { crystal_index: 3.42, angle_deg: 45.0 };
    let (on_diamond, on_silicon) = (gap(Element::DIAMOND_45), gap(silicon));
    let air = |e: Element| e.depth_in_air_um(1000.0).expect("total reflection");
    let expected = air(silicon) / air(Element::DIAMOND_45);
    assert!(on_diamond != 0.0);
    assert!((on_silicon / on_diamond - expected).abs() < 1e-6, "{on_silicon} {on_diamond}");
}
