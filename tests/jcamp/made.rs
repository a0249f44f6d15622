//! Our own sample files: one invented curve in every form, and with one fault each.

use std::path::{Path, PathBuf};

use bandlore::{
    ReadOptions, Spectrum,
    read::decode_jcamp_blocks,
    read_path,
    spectrum::{Ordinate, PointFlag},
};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/jcamp")
}

fn read(name: &str) -> Vec<Spectrum> {
    read_path(&folder().join(name), &ReadOptions::default())
        .collect::<Result<_, _>>()
        .unwrap_or_else(|e| panic!("{e}"))
}

fn raw(name: &str) -> (Vec<f64>, Vec<f64>) {
    let text = std::fs::read_to_string(folder().join(name)).expect("a sample");
    let block = decode_jcamp_blocks(&text, name).remove(0).unwrap_or_else(|e| panic!("{e}"));
    (block.abscissas, block.ordinates)
}

/// The curve: wavenumber and absorbance.
fn expected() -> Vec<(f64, f64)> {
    include_str!("../golden/jcamp/expected.csv")
        .lines()
        .skip(1)
        .map(|row| {
            let cells: Vec<f64> = row.split(',').map(|c| c.parse().expect("a number")).collect();
            (cells[0], cells[1] * 1e-5)
        })
        .collect()
}

fn warnings(spectrum: &Spectrum) -> Vec<(&str, &str)> {
    spectrum
        .warnings()
        .iter()
        .filter(|w| w.id.starts_with("jcamp"))
        .map(|w| (w.id.as_str(), w.text.as_str()))
        .collect()
}

fn assert_curve(found: &[(f64, f64)], expected: &[(f64, f64)], name: &str) {
    assert_eq!(found.len(), expected.len(), "{name}");
    for (f, e) in found.iter().zip(expected) {
        assert!((f.0 - e.0).abs() < 1e-9 && (f.1 - e.1).abs() < 1e-12, "{name}: {f:?} for {e:?}");
    }
}

#[test]
fn the_curve_comes_out_of_every_form() {
    let expected = expected();
    assert_eq!(expected.len(), 1701);
    for name in [
        "affn.jdx",
        "affn_desc_crlf.jdx",
        "pac.jdx",
        "sqz.jdx",
        "sqzdup.jdx",
        "dif.jdx",
        "difdup.jdx",
        "difdup_desc.jdx",
        "xypoints.jdx",
        "labels_comments.jdx",
        "compound.jdx",
    ] {
        let (x, y) = raw(name);
        let mut found: Vec<(f64, f64)> = x.into_iter().zip(y).collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        assert_curve(&found, &expected, name);

        for spectrum in read(name) {
            assert_eq!(warnings(&spectrum), [], "{name}");
            assert_eq!(spectrum.ordinate(), Ordinate::Absorbance);
            let found: Vec<(f64, f64)> = spectrum
                .wavenumbers_cm1()
                .iter()
                .copied()
                .zip(spectrum.absorbances().iter().copied())
                .collect();
            assert_curve(&found, &expected, name);
        }
    }
    assert_eq!(read("compound.jdx").len(), 2);
}

#[test]
fn percent_transmittance_becomes_absorbance() {
    let spectrum = read("transmittance_percent.jdx").remove(0);
    assert_eq!(spectrum.ordinate(), Ordinate::PercentTransmittance);
    for ((found, flag), (_, absorbance)) in
        spectrum.absorbances().iter().zip(spectrum.flags()).zip(expected())
    {
        // The file keeps two decimals of a percent, cut and not rounded.
        let percent = (10f64.powf(-absorbance.max(0.0)) * 1e6).round() as i64 / 100;
        let kept = -(percent as f64 * 1e-4).log10();
        if *flag != PointFlag::Padded {
            assert!((found - kept).abs() < 1e-9, "{found} for {kept}");
        }
    }
}

#[test]
fn a_wrong_number_of_points_is_a_doubt_and_loses_nothing() {
    let spectrum = read("bad_npoints.jdx").remove(0);
    assert_eq!(spectrum.len(), 1701);
    assert_eq!(
        warnings(&spectrum),
        [(
            "jcamp-npoints",
            "line 13: ##NPOINTS= says 1698, file holds 1701 up to ##LASTX=; all were read"
        )]
    );
}

#[test]
fn a_failed_check_ordinate_is_a_doubt_with_its_line() {
    let spectrum = read("bad_ycheck.jdx").remove(0);
    assert_eq!(spectrum.len(), 1701);
    let warnings = warnings(&spectrum);
    assert_eq!(warnings.len(), 1);
    assert_eq!(warnings[0].0, "jcamp-y-check");
    assert!(warnings[0].1.starts_with("line 38: starts with "), "{}", warnings[0].1);
    for ((found, expected), _) in spectrum.absorbances().iter().zip(expected()).zip(0..) {
        // One unit of the factor is all that the fault moves.
        assert!((found - expected.1).abs() < 1.5e-5);
    }
}

#[test]
fn a_missing_line_is_a_gap_with_its_line() {
    let spectrum = read("missing_line.jdx").remove(0);
    let warnings = warnings(&spectrum);
    assert_eq!(warnings.len(), 1, "{warnings:?}");
    assert_eq!(warnings[0].0, "jcamp-gap");
    assert!(warnings[0].1.starts_with("line 27: line starts at "), "{}", warnings[0].1);
    assert_eq!(spectrum.segments().len(), 2);
    let curve = expected();
    for (x, a) in spectrum.wavenumbers_cm1().iter().zip(spectrum.absorbances()) {
        let index = ((x - 600.0) / 2.0).round() as usize;
        assert!((x - curve[index].0).abs() < 1e-6, "{x}");
        assert!((a - curve[index].1).abs() < 1e-12, "{a}");
    }
    let edge = spectrum.wavenumbers_cm1()[spectrum.segments()[0].end - 1];
    assert!(!spectrum.covers(edge - 10.0, edge + 10.0));
}
