//! Figures: what they hold, that they are well formed, that the same input gives the same bytes.
//! The curves are invented.
#![cfg(all(feature = "plot", feature = "docx"))]

use bandlore::{
    Spectrum, Tables,
    ageing::comparison::{ComparedFace, DifferenceSpectrum},
    judge::{BandEvidence, BandState},
    object::findings::ChlorineList,
    report::{
        Figure,
        plot::{
            Arrangement, CurvesFigure, FaceCurve, FacesFigure, IntervalRow, IntervalsFigure,
            LabelledSpectra, MapGroup, MapPart, ShownBands, SpectrumFigure, View,
            draw_chlorine_map, draw_curves, draw_faces, draw_intervals, draw_spectrum,
        },
    },
    spectrum::{PointFlag, SpectrumParts},
    tables::Shape,
};
use serde_json::json;

use crate::stated::stated;

/// Bands of an invented curve: position, width and height.
const BANDS: [(f64, f64, f64); 12] = [
    (613.0, 30.0, 0.34),
    (637.0, 18.0, 0.2),
    (690.0, 22.0, 0.3),
    (834.0, 20.0, 0.08),
    (962.0, 28.0, 0.21),
    (1097.0, 26.0, 0.12),
    (1254.0, 34.0, 0.31),
    (1331.0, 16.0, 0.14),
    (1427.0, 14.0, 0.2),
    (1723.0, 16.0, 0.11),
    (2850.0, 25.0, 0.04),
    (2912.0, 40.0, 0.07),
];

fn axis(low: f64) -> Vec<f64> {
    (0..).map(|i| low + 1.93 * f64::from(i)).take_while(|w| *w <= 4000.0).collect()
}

fn curve(axis: &[f64], scale: f64, carbonyl: f64) -> Vec<f64> {
    let at = |w: f64| {
        BANDS
            .iter()
            .map(|&(position, width, height)| {
                let height = if position == 1723.0 { height * carbonyl } else { height };
                let x = 2.0 * (w - position) / width;
                scale * height / (1.0 + x * x)
            })
            .sum::<f64>()
            + 0.004
    };
    axis.iter().map(|&w| at(w)).collect()
}

fn spectrum(low: f64) -> Spectrum {
    let axis = axis(low);
    let heights = curve(&axis, 1.0, 1.0);
    let mut parts = SpectrumParts::new(axis.clone(), heights);
    parts.flags = axis
        .iter()
        .map(|w| if (2280.0..2400.0).contains(w) { PointFlag::Masked } else { PointFlag::Measured })
        .collect();
    Spectrum::new(parts).expect("valid")
}

fn band(expected: f64, assignment: &str, state: BandState) -> BandEvidence {
    stated(json!({
        "band": format!("PVC-{expected:.0}"),
        "expected_cm1": expected,
        "assignment": assignment,
        "state": state,
        "found_cm1": (state == BandState::Met).then_some(expected + 0.6),
        "note": "",
        "status": "verified",
    }))
}

fn evidence() -> Vec<BandEvidence> {
    vec![
        band(613.0, "C–Cl stretch (several conformers)", BandState::Met),
        band(637.0, "C–Cl stretch", BandState::Met),
        band(690.0, "C–Cl stretch", BandState::Met),
        band(834.0, "C–C stretch", BandState::Missing),
        band(962.0, "CH₂ rock", BandState::Met),
        band(1097.0, "C–C stretch", BandState::Met),
        band(1254.0, "C–H bend beside chlorine", BandState::Met),
        band(1331.0, "C–H bend of CHCl; CH₂ wag", BandState::Met),
        band(1427.0, "CH₂ bend", BandState::Met),
        band(2330.0, "invented band under carbon dioxide", BandState::Untestable),
        band(2912.0, "asymmetric stretch of CH₂ & of <CHCl>", BandState::Met),
    ]
}

fn spectrum_figure(low: f64) -> Figure {
    let title = "Vane V01, exposed face, spot 1 (invented demo data)";
    draw_spectrum(
        &SpectrumFigure::new("v01", title, &spectrum(low))
            .with_materials(&[ShownBands::new("PVC", &evidence())])
            .with_unexplained(&[(1723.0, 0.3)]),
    )
    .expect("drawn")
}

fn faces_figure() -> Figure {
    let axis = axis(400.0);
    let (exposed, covered) = (curve(&axis, 1.0, 2.2), curve(&axis, 0.97, 1.0));
    let reverse = curve(&axis, 0.9, 1.6);
    let differences: Vec<f64> = exposed.iter().zip(&covered).map(|(a, b)| a - b).collect();
    let errors: Vec<f64> = axis.iter().map(|w| 0.004 + 0.003 * (w / 300.0).sin().abs()).collect();
    let difference: DifferenceSpectrum = stated(json!({
        "face": ComparedFace::Exposed,
        "against": ComparedFace::Covered,
        "wavenumbers_cm1": axis,
        "differences": differences,
        "standard_errors": errors,
    }));
    let curves = [
        ("exposed, mean of 3 spots", &exposed),
        ("covered, mean of 3 spots", &covered),
        ("reverse, mean of 3 spots", &reverse),
    ]
    .map(|(label, absorbances)| FaceCurve::new(label, &axis, absorbances));
    let title = "Vane V01: exposed against covered (invented demo data)";
    let figure = FacesFigure::new("v01-faces", title, &curves, (4000.0, 400.0));
    draw_faces(&figure.with_difference(&difference)).expect("drawn")
}

fn intervals_figure() -> Figure {
    let row = |label: &str, value: Option<(f64, f64, f64)>, filled: bool, note: &str| {
        let mut row = IntervalRow::new(label, note);
        row.filled = filled;
        if let Some((low, value, high)) = value {
            (row.low, row.value, row.high) = (Some(low), Some(value), Some(high));
        }
        row
    };
    let rows = [
        row("carbonyl growth", Some((1.6, 2.2, 3.0)), true, "changed"),
        row("hydroxyl growth", Some((1.1, 1.5, 2.1)), true, "changed"),
        row("polyene sequences", Some((0.8, 1.02, 1.3)), false, "no change shown"),
        row("plasticiser against C–Cl", None, false, "refused: chalk"),
    ];
    let title = "Vane V01: markers, exposed over covered (invented demo data)";
    let axis = "Exposed over covered (1 = no change)";
    draw_intervals(&IntervalsFigure::new("v01-markers", title, axis, &rows).with_reference(1.0))
        .expect("drawn")
}

fn map_figure() -> Figure {
    let part = |id: &str, material: &str, list: Option<ChlorineList>, neighbours: &[&str]| {
        MapPart::new(id, material, list)
            .with_neighbours(neighbours.iter().map(|n| (*n).to_owned()).collect())
    };
    let (shown, implied, none) = (
        Some(ChlorineList::Shown),
        Some(ChlorineList::ImpliedOrNotExcluded),
        Some(ChlorineList::NoneDetected),
    );
    draw_chlorine_map(
        "map",
        "Parts of the object by chlorine (invented demo data)",
        &[
            MapGroup::new(
                "vanes",
                ["V01", "V02", "V03", "V04", "V05", "V06"]
                    .iter()
                    .map(|id| {
                        part(
                            id,
                            "PVC",
                            shown,
                            if *id == "V02" || *id == "V03" { &["brass"] } else { &[] },
                        )
                    })
                    .collect(),
            ),
            MapGroup::new(
                "front panels",
                vec![part("F1", "PC", none, &[]), part("F2", "PC", none, &["T1"])],
            ),
            MapGroup::new(
                "other",
                vec![
                    part("B1", "PVC", implied, &[]),
                    part("B2", "not judged", implied, &[]),
                    part("X1", "", None, &[]),
                ],
            ),
        ],
    )
    .expect("drawn")
}

fn curves_figure(count: usize, arrangement: Arrangement, view: View) -> Figure {
    let spectra: Vec<Spectrum> = (0..count).map(|_| spectrum(400.0)).collect();
    let labels: Vec<String> = (1..=count).map(|i| format!("spot {i}")).collect();
    let curves: Vec<LabelledSpectra<'_>> = labels
        .iter()
        .zip(&spectra)
        .map(|(label, spectrum)| LabelledSpectra::new(label, vec![spectrum]))
        .collect();
    let figure = CurvesFigure::new("c", "Spots (invented demo data)", &curves);
    draw_curves(&figure.with_arrangement(arrangement).with_view(view)).expect("drawn")
}

fn all() -> [Figure; 7] {
    [
        spectrum_figure(400.0),
        spectrum_figure(652.0),
        faces_figure(),
        intervals_figure(),
        map_figure(),
        curves_figure(6, Arrangement::Overlaid, View::default()),
        curves_figure(9, Arrangement::Stacked, View::default()),
    ]
}

/// The strokes of the curves of a figure: colour and dash.
fn strokes(figure: &Figure) -> std::collections::BTreeSet<(String, String)> {
    let curves = figure.svg().lines().filter(|l| l.contains("<polyline") && l.len() > 2000);
    curves
        .map(|line| {
            let colour = line.split("stroke=\"#").nth(1).map_or("", |s| &s[..6]).to_owned();
            let dash = line.split("stroke-dasharray=\"").nth(1).unwrap_or("solid");
            (colour, dash.split('"').next().unwrap_or_default().to_owned())
        })
        .collect()
}

#[test]
fn six_curves_differ_in_colour_and_in_dash_and_stand_out_from_paper() {
    let strokes = strokes(&curves_figure(6, Arrangement::Overlaid, View::default()));
    assert_eq!(strokes.len(), 6, "{strokes:?}");
    let dashes: std::collections::BTreeSet<&String> = strokes.iter().map(|(_, d)| d).collect();
    assert_eq!(dashes.len(), 6, "{strokes:?}");
    for (colour, _) in &strokes {
        // WCAG 2.2, 1.4.11: graphics need a contrast of 3 to 1 against their ground.
        assert!(1.05 / (luminance(colour) + 0.05) >= 3.0, "{colour}");
    }
}

#[test]
fn more_curves_than_can_be_told_apart_are_refused_with_a_way_out() {
    let spectrum = spectrum(400.0);
    let curves = vec![LabelledSpectra::new("x", vec![&spectrum]); 7];
    let figure = CurvesFigure::new("c", "t", &curves);
    let error = draw_curves(&figure).expect_err("too many").to_string();
    assert!(error.contains("stack them"), "{error}");
    assert!(draw_curves(&figure.with_arrangement(Arrangement::Stacked)).is_ok());
}

#[test]
fn spots_of_a_face_become_a_mean_with_its_spread() {
    let axis = axis(400.0);
    let of = |factor: f64| {
        let heights = spectrum(400.0).absorbances().iter().map(|a| a * factor).collect();
        Spectrum::new(SpectrumParts::new(axis.clone(), heights)).expect("a spectrum")
    };
    let (low, high) = (of(0.8), of(1.2));
    let curves = [LabelledSpectra::new("V01-exposed", vec![&low, &high])];
    let figure = draw_curves(&CurvesFigure::new("c", "t", &curves)).expect("drawn");
    assert!(figure.svg().contains("V01-exposed, mean of 2 spots"));
    assert!(figure.svg().contains("<polygon opacity=\"0.22\""), "the spread shines through");
    assert!(figure.description().contains("from the lowest to the highest of the spots"));
}

#[test]
fn the_scale_follows_what_is_shown() {
    let highest = |range_cm1| {
        let view = View::default().with_range_cm1(range_cm1);
        let figure = curves_figure(1, Arrangement::Overlaid, view);
        let numbers = figure.svg().lines().filter_map(|line| line.trim().parse::<f64>().ok());
        numbers.filter(|n| *n < 10.0).fold(0.0, f64::max)
    };
    // The highest band lies at 613; around 2900 nothing is higher than 0.1.
    assert!(highest(None) > 0.25);
    assert!((0.02..=0.12).contains(&highest(Some((3100.0, 2700.0)))));
}

#[test]
fn a_peak_has_one_label_and_an_absent_additive_is_no_fault() {
    let at = |mut band: BandEvidence, found: f64| {
        band.found_cm1 = Some(found);
        band
    };
    let bands = [
        at(band(1255.0, "not assigned", BandState::Met), 1254.2),
        at(band(1253.0, "C–H of CHCl", BandState::Met), 1254.2),
        band(1540.0, "carboxylate of a metal-stearate stabiliser", BandState::Missing),
        band(1100.0, "skeletal C–C", BandState::Missing),
    ];
    let figure = draw_spectrum(
        &SpectrumFigure::new("one", "t", &spectrum(400.0))
            .with_materials(&[ShownBands::new("PVC", &bands)]),
    )
    .expect("drawn");
    let lines = |words: &str| figure.svg().lines().filter(|line| line.trim() == words).count();
    assert_eq!((lines("1254  C–H of CHCl"), lines("1254")), (1, 0));
    assert_eq!(lines("1100  missing: skeletal C–C"), 1);
    assert!(!figure.svg().contains("1540  missing"));
    assert!(!figure.description().contains("1540"));
}

#[test]
fn a_pointer_is_told_band_assignment_and_source() {
    let row = Tables::built_in().band("PVC-613").expect("a row of the table");
    let mut shown = band(613.0, "C–Cl", BandState::Met);
    shown.band.clone_from(&row.id);
    let bands = [shown];
    let figure = draw_spectrum(
        &SpectrumFigure::new("told", "t", &spectrum(400.0))
            .with_materials(&[ShownBands::new("PVC", &bands)])
            .with_tables(Tables::built_in()),
    )
    .expect("drawn");
    let titles = figure.svg().split("<title>").skip(1);
    let titles: Vec<&str> = titles.filter(|title| title.contains("band of")).collect();
    let source: String = row.sourcing.source.replace('&', "&amp;").replace('"', "&quot;");
    assert!(titles.len() >= 2, "on the curve and on the strip");
    for title in titles {
        let title = title.split("</title>").next().unwrap_or_default();
        assert!(title.contains("cm⁻¹, band of PVC expected at 613; C–Cl"), "{title}");
        assert!(title.contains(&source), "{title}");
    }
    assert!(!figure.svg().contains("<script"));
}

#[test]
fn pdf_is_one_page_of_the_size_asked_for_and_the_same_twice() {
    let view = View::default().with_size_mm((160.0, 100.0));
    let draw = || curves_figure(2, Arrangement::Overlaid, view).pdf().expect("a PDF");
    let pdf = draw();
    assert_eq!(pdf, draw());
    assert!(pdf.starts_with(b"%PDF-"));
    let text = String::from_utf8_lossy(&pdf);
    let sides: Vec<f64> = text
        .split("/MediaBox")
        .nth(1)
        .and_then(|rest| rest.split(['[', ']']).nth(1))
        .map(|sides| sides.split_whitespace().filter_map(|side| side.parse().ok()).collect())
        .unwrap_or_default();
    // 72 points and 25.4 mm make an inch.
    let expected = [0.0, 0.0, 160.0 / 25.4 * 72.0, 100.0 / 25.4 * 72.0];
    assert_eq!(sides.len(), 4, "{sides:?}");
    assert!(sides.iter().zip(expected).all(|(a, b)| (a - b).abs() < 0.1), "{sides:?}");
}

#[test]
fn every_figure_is_well_formed_with_title_and_description() {
    for figure in all() {
        let mut reader = quick_xml::Reader::from_str(figure.svg());
        let mut names = Vec::new();
        loop {
            match reader.read_event().expect("well formed") {
                quick_xml::events::Event::Eof => break,
                quick_xml::events::Event::Start(tag) => {
                    names.push(tag.name().as_ref().to_owned());
                }
                _ => {}
            }
        }
        assert_eq!(names[..3], ["svg", "title", "desc"], "{}", figure.title());
        assert!(figure.description().len() > 40);
        assert!(figure.svg().contains("role=\"img\""));
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    for (first, second) in all().iter().zip(&all()) {
        assert_eq!(first.svg(), second.svg());
        assert_eq!(first.png(1.0).expect("rendered"), second.png(1.0).expect("rendered"));
    }
}

#[test]
fn found_bands_carry_wavenumber_and_assignment() {
    let svg = spectrum_figure(400.0);
    let svg = svg.svg();
    for words in ["614  C–Cl stretch", "1428  CH₂ bend", "Wavenumber / cm⁻¹", "Absorbance"] {
        assert!(svg.contains(words), "{words}");
    }
    assert!(svg.contains("missing: C–C stretch") && svg.contains("unexplained"));
}

#[test]
fn bands_of_every_component_are_marked_each_by_a_sign_of_its_own() {
    let second = [band(1258.4, "Si–CH3", BandState::Met), band(790.0, "Si–C", BandState::Missing)];
    let first = evidence();
    let of = |materials: &[ShownBands<'_>]| {
        let spectrum = spectrum(400.0);
        let figure = SpectrumFigure::new("two", "Two (invented demo data)", &spectrum);
        draw_spectrum(&figure.with_materials(materials)).expect("drawn").svg().to_owned()
    };
    let pvc = ShownBands::new("PVC", &first);
    let pdms = ShownBands::new("PDMS", &second);
    let (one, two) = (of(&[pvc]), of(&[pvc, pdms]));
    assert!(two.contains("1259  Si–CH3") && !one.contains("1259  Si–CH3"));
    for said in ["band of PVC found", "band of PDMS found", "Bands of PDMS missing: 790 cm⁻¹"] {
        assert!(two.contains(said), "{said}");
        assert_eq!(one.contains(said), said == "band of PVC found", "{said}");
    }
    // A strip for each: one word more beside the axis.
    let strips = |svg: &str| svg.lines().filter(|line| line.trim() == "expected").count();
    assert_eq!((strips(&one), strips(&two)), (1, 2));
}

#[test]
fn what_was_not_measured_is_hatched_and_named() {
    let short = spectrum_figure(652.0);
    assert!(short.svg().contains("not measured"));
    assert!(short.svg().contains("url(#v01-hatch)"));
    assert!(!spectrum_figure(400.0).svg().contains("not measured"));
}

#[test]
fn curves_differ_in_dash_and_not_in_colour_alone() {
    let faces = faces_figure();
    let strokes: std::collections::BTreeSet<&str> = faces
        .svg()
        .lines()
        .filter(|line| line.contains("<polyline") && line.len() > 2000)
        .map(|line| {
            line.split("stroke=").nth(1).and_then(|s| s.split("points").next()).unwrap_or("")
        })
        .collect();
    let dashes: std::collections::BTreeSet<&str> =
        strokes.iter().map(|s| s.split("stroke-dasharray=").nth(1).unwrap_or("solid")).collect();
    assert_eq!(dashes.len(), 3, "{strokes:?}");
}

/// WCAG 2.2, "relative luminance" of an sRGB colour.
fn luminance(hex: &str) -> f64 {
    let channel = |i: usize| {
        let v = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).expect("hex")) / 255.0;
        if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
}

#[test]
fn text_and_curves_stand_out_from_paper_and_from_each_other_in_grey() {
    let faces = faces_figure();
    let mut inks = Vec::new();
    for line in faces.svg().lines().filter(|l| l.contains("<polyline") && l.len() > 2000) {
        let hex = line.split("stroke=\"#").nth(1).map(|s| &s[..6]).expect("a colour");
        inks.push(luminance(hex));
    }
    inks.sort_by(f64::total_cmp);
    inks.dedup();
    assert_eq!(inks.len(), 3);
    for ink in &inks {
        // WCAG 2.2, 1.4.11: graphics need a contrast of 3 to 1 against their ground.
        assert!(1.05 / (ink + 0.05) >= 3.0, "{ink}");
    }
    for line in faces.svg().lines().filter(|l| l.starts_with("<text")) {
        let hex = line.split("fill=\"#").nth(1).map(|s| &s[..6]).expect("a colour");
        // WCAG 2.2, 1.4.3: text needs 4.5 to 1.
        assert!(1.05 / (luminance(hex) + 0.05) >= 4.5, "{line}");
    }
}

#[test]
fn names_inside_two_figures_on_one_page_do_not_meet() {
    let (first, second) = (spectrum_figure(400.0), faces_figure());
    let ids = |svg: &str| -> Vec<String> {
        svg.split(" id=\"").skip(1).map(|s| s.split('"').next().unwrap_or("").to_owned()).collect()
    };
    for id in ids(first.svg()) {
        assert!(!ids(second.svg()).contains(&id), "{id}");
    }
}

#[test]
fn hostile_titles_come_out_inert() {
    let mut row = IntervalRow::new("</text><script>", "");
    (row.value, row.low, row.filled) = (Some(f64::NAN), Some(f64::INFINITY), true);
    let title = "<script>alert(1)</script>\u{0}";
    let figure = draw_intervals(&IntervalsFigure::new("\"><script>", title, "a & b", &[row]))
        .expect("drawn");
    assert!(!figure.svg().contains("<script"));
    assert!(!figure.svg().contains('\u{0}'));
    figure.png(1.0).expect("rendered");
}

#[test]
fn png_is_rendered_with_letters_and_refuses_absurd_scales() {
    let figure = map_figure();
    let png = figure.png(2.0).expect("rendered");
    assert_eq!(&png[..8], b"\x89PNG\r\n\x1a\n");
    let width = u32::from_be_bytes([png[16], png[17], png[18], png[19]]);
    assert_eq!(width, figure.size().0 * 2);
    assert!(figure.png(0.0).is_err() && figure.png(-1.0).is_err() && figure.png(1e6).is_err());
    assert!(figure.png(f32::NAN).is_err());
    if let Some(folder) = std::env::var_os("BANDLORE_FIGURES_TO") {
        for (i, figure) in all().iter().enumerate() {
            let path = std::path::Path::new(&folder).join(format!("figure-{i}"));
            std::fs::write(path.with_extension("svg"), figure.svg()).expect("written");
            std::fs::write(path.with_extension("png"), figure.png(2.0).expect("rendered"))
                .expect("written");
        }
    }
}

#[test]
fn a_figure_of_nothing_is_refused() {
    assert!(draw_chlorine_map("m", "t", &[]).is_err());
    assert!(draw_intervals(&IntervalsFigure::new("i", "t", "a", &[])).is_err());
    assert!(draw_faces(&FacesFigure::new("f", "t", &[], (4000.0, 400.0))).is_err());
}

#[test]
fn the_measured_shape_of_the_named_material_stands_behind_the_curve() {
    let tables = Tables::built_in();
    let shape = tables.shapes().iter().find(|s| s.id == "PVC-5").expect("a shape of the table");
    let of = |shape: Option<&Shape>, percent_transmittance, range_cm1: Option<(f64, f64)>| {
        let view = View::default()
            .with_percent_transmittance(percent_transmittance)
            .with_range_cm1(range_cm1);
        draw_spectrum(
            &SpectrumFigure::new("behind", "t", &spectrum(400.0))
                .with_materials(&[ShownBands::new("PVC", &evidence())])
                .with_shape(shape)
                .with_view(view),
        )
        .expect("drawn")
    };
    let lines = |figure: &Figure| figure.svg().matches("<polyline").count();
    for transmittance in [false, true] {
        for range in [None, Some((1850.0, 1550.0))] {
            let (with, without) =
                (of(Some(shape), transmittance, range), of(None, transmittance, range));
            assert!(lines(&with) > lines(&without), "{transmittance} {range:?}");
            assert!(with.svg().contains("shape") && !without.svg().contains("shape"));
            assert!(with.description().contains("PVC-5"));
        }
    }
}

#[test]
fn the_shape_behind_is_the_one_that_the_curve_resembles() {
    let tables = Tables::built_in();
    let file =
        concat!(env!("CARGO_MANIFEST_DIR"), "/sample-spectra/tide-clock/spectra/V02-exposed-a.csv");
    let read = bandlore::read_path(std::path::Path::new(file), &bandlore::ReadOptions::default());
    let spectrum = read.into_iter().next().expect("one spectrum").expect("readable");
    let found = bandlore::Examiner::new(tables).examine(spectrum).expect("examined").identification;
    let shown = bandlore::report::plot::bands_behind(&found);
    let behind = bandlore::report::plot::shape_behind(&found, &shown, tables).expect("a shape");
    assert!(behind.materials.iter().any(|id| id == shown[0].material), "{}", behind.id);
    // Of another material its own, whatever the curve resembles; of one without a shape none.
    let other = [ShownBands::new("PC", &[])];
    let behind = bandlore::report::plot::shape_behind(&found, &other, tables).expect("a shape");
    assert!(behind.materials.iter().any(|id| id == "PC"));
    let none = [ShownBands::new("CN", &[])];
    assert!(bandlore::report::plot::shape_behind(&found, &none, tables).is_none());
}
