//! What the labels of a header do: units, mode, records, and what is missing.

use bandlore::{
    ReadOptions, Spectrum, read_bytes,
    spectrum::{MeasurementMode, Ordinate, Origin},
};

use super::encoder::{Form, Sheet};

fn sheet() -> Sheet {
    let band = |i: f64| 20_000.0 + 60_000.0 * (-((i - 300.0) / 30.0).powi(2)).exp();
    Sheet::new((0..700).map(|i| band(f64::from(i)) as i64).collect(), Form::DifDup)
}

fn read(text: &str, options: &ReadOptions) -> Result<Spectrum, String> {
    let mut all: Vec<_> = read_bytes(text.as_bytes(), "sheet.dx", options).collect();
    assert_eq!(all.len(), 1);
    all.remove(0).map_err(|e| e.to_string())
}

fn plain(text: &str) -> Result<Spectrum, String> {
    read(text, &ReadOptions::default())
}

fn ids(spectrum: &Spectrum) -> Vec<&str> {
    spectrum.warnings().iter().map(|w| w.id.as_str()).collect()
}

#[test]
fn every_record_is_kept_as_written() {
    let text = sheet().text().replace(
        "##OWNER= public domain",
        "##OWNER= public domain $$ free\n##$PRIVATE= x\n##COMMENTS=\nfirst\nsecond\n##RESOLUTION= 4",
    );
    let spectrum = plain(&text).expect("reads");
    let provenance = spectrum.provenance();
    let value = |name: &str| {
        let found = provenance.records.iter().find(|(n, _)| n == name);
        found.map(|(_, v)| v.as_str()).unwrap_or("(none)")
    };
    assert_eq!(value("OWNER"), "public domain $$ free");
    assert_eq!(value("$PRIVATE"), "x");
    assert_eq!(value("COMMENTS"), "first\nsecond");
    assert_eq!(value("XYDATA"), "(X++(Y..Y))");
    assert_eq!(provenance.title.as_deref(), Some("synthetic"));
    assert_eq!(provenance.stated_resolution.as_deref(), Some("4"));
    assert_eq!(provenance.records.len(), 20);
    assert_eq!(provenance.records[0].0, "TITLE");
}

#[test]
fn the_header_says_how_the_sample_was_measured() {
    let with = |label: &str| sheet().text().replace("##OWNER=", &format!("{label}\n##OWNER="));
    for (label, mode) in [
        ("##SAMPLING PROCEDURE= diamond ATR, single bounce", MeasurementMode::Atr),
        ("##SAMPLING PROCEDURE= TRANSMISSION", MeasurementMode::Transmission),
        ("##PATH LENGTH= 5 CM", MeasurementMode::Transmission),
        ("##SAMPLING PROCEDURE= specular reflection", MeasurementMode::Reflection),
    ] {
        let spectrum = plain(&with(label)).expect("reads");
        assert_eq!((spectrum.mode(), spectrum.mode_origin()), (mode, Origin::File), "{label}");
    }
    let spectrum = plain(&sheet().text()).expect("reads");
    assert_eq!(spectrum.mode_origin(), Origin::Assumed);
}

#[test]
fn an_absorptivity_is_relative_absorbance_and_says_so() {
    let mut sheet = sheet();
    sheet.y_units = "(micromol/mol)-1m-1 (base 10)";
    let spectrum = plain(&sheet.text()).expect("reads");
    assert_eq!(spectrum.ordinate(), Ordinate::RelativeAbsorbance);
    assert!(ids(&spectrum).contains(&"jcamp-absorptivity"));
}

#[test]
fn an_unknown_ordinate_is_refused_unless_the_user_knows_it() {
    let mut sheet = sheet();
    sheet.y_units = "ARBITRARY UNITS";
    assert_eq!(
        plain(&sheet.text()).expect_err("refused"),
        "sheet.dx:7: ##YUNITS= ARBITRARY UNITS cannot be turned into absorbance; if the unit is \
         known, pass --ordinate"
    );
    let options = ReadOptions::default().with_ordinate(Ordinate::Absorbance);
    let spectrum = read(&sheet.text(), &options).expect("reads");
    assert_eq!(spectrum.ordinate_origin(), Origin::User);
}

#[test]
fn other_techniques_and_peak_tables_are_refused_with_a_reason() {
    let text = sheet().text();
    let refused = |from: &str, to: &str| plain(&text.replace(from, to)).expect_err("refused");
    assert_eq!(
        refused("INFRARED SPECTRUM", "RAMAN SPECTRUM"),
        "sheet.dx:17: ##DATA TYPE= RAMAN SPECTRUM is not an infrared spectrum; only infrared is \
         read"
    );
    assert_eq!(
        refused("##XYDATA= (X++(Y..Y))", "##PEAK TABLE= (XY..XY)"),
        "sheet.dx:17: ##PEAK TABLE= lists peaks, not a spectrum; export the spectrum itself as \
         ##XYDATA="
    );
    assert_eq!(
        refused("##XYDATA= (X++(Y..Y))", "##NTUPLES= INFRARED SPECTRUM"),
        "sheet.dx:17: ##NTUPLES= holds several tables in one block, which is not read; export the \
         spectrum as ##XYDATA="
    );
    assert_eq!(
        refused("##XYDATA= (X++(Y..Y))", "##XYDATA= (X++(R..R))"),
        "sheet.dx:17: ##XYDATA= (X++(R..R)) is not read; readable: (X++(Y..Y)) and (XY..XY)"
    );
    assert_eq!(
        refused("##XUNITS= 1/CM", "##XUNITS= SECONDS"),
        "sheet.dx:17: ##XUNITS= SECONDS is not an infrared abscissa; readable: 1/CM, MICROMETERS, \
         NANOMETERS"
    );
}

#[test]
fn blocks_of_other_techniques_are_passed_over_and_named() {
    let other = sheet().text().replace("INFRARED SPECTRUM", "NMR SPECTRUM");
    let text = super::encoder::link(&[other.clone(), sheet().text()]);
    let spectrum = plain(&text).expect("reads");
    assert_eq!(spectrum.provenance().block, 2);
    let warning = spectrum.warnings().iter().find(|w| w.id == "jcamp-blocks-left-out");
    assert_eq!(
        warning.expect("said").text,
        "1 of 2 blocks are no infrared spectrum and were left out; the first is block 1 in line 5: \
         ##DATA TYPE= NMR SPECTRUM is not an infrared spectrum; only infrared is read"
    );
    let none = super::encoder::link(&[other.clone(), other]);
    assert_eq!(
        plain(&none).expect_err("refused"),
        "sheet.dx:5: none of the 2 blocks is an infrared spectrum (first: ##DATA TYPE= NMR \
         SPECTRUM); only infrared is read"
    );
}

#[test]
fn missing_labels_are_doubts_where_the_data_still_tell() {
    let text = sheet().text();
    let without = |label: &str| {
        let kept: Vec<&str> = text.lines().filter(|l| !l.starts_with(label)).collect();
        plain(&kept.join("\n")).unwrap_or_else(|e| panic!("{label}: {e}"))
    };
    let full = plain(&text).expect("reads");
    for (label, id) in [
        ("##DATA TYPE", Some("jcamp-data-type")),
        ("##XFACTOR", Some("jcamp-factor")),
        ("##END", Some("jcamp-end")),
        ("##NPOINTS", None),
        ("##DELTAX", None),
        ("##LASTX", None),
        ("##FIRSTX", None),
        ("##TITLE", None),
    ] {
        let spectrum = without(label);
        assert_eq!(spectrum.absorbances(), full.absorbances(), "{label}");
        for (found, expected) in spectrum.wavenumbers_cm1().iter().zip(full.wavenumbers_cm1()) {
            assert!((found - expected).abs() < 1e-6, "{label}: {found} for {expected}");
        }
        let doubts: Vec<_> =
            ids(&spectrum).into_iter().filter(|id| id.starts_with("jcamp")).collect();
        assert_eq!(doubts, id.into_iter().collect::<Vec<_>>(), "{label}");
    }
}
