//! One fault a file: what the file says, word for word.

use std::path::Path;

use bandlore::{ReadOptions, Spectrum, read_path};

fn answer(name: &str) -> Result<Spectrum, String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/broken");
    let path = folder.join(format!("jcamp-{name}.dx"));
    let mut all: Vec<_> = read_path(&path, &ReadOptions::default()).collect();
    assert_eq!(all.len(), 1, "{name}");
    // The folder is where the project happens to stand.
    all.remove(0).map_err(|e| e.to_string().replace(&format!("{}/", folder.display()), ""))
}

/// What is refused: the file, its message.
const REFUSED: &[(&str, &str)] = &[
    (
        "arbitrary-units",
        "jcamp-arbitrary-units.dx:7: ##YUNITS= ARBITRARY UNITS cannot be turned into absorbance; if the unit is known, pass --ordinate",
    ),
    (
        "cut-short",
        "jcamp-cut-short.dx:16: ##NPOINTS= says 400, file holds 253 and no ##END=; the file is cut short, copy or export it again",
    ),
    (
        "decimal-commas",
        "jcamp-decimal-commas.dx:17: found \",02000 0,02005 0,02009 0,02013 0,02015 0…\": a comma among the ordinates, which have a decimal point in JCAMP-DX; export the spectrum with decimal points",
    ),
    (
        "deep-links",
        "jcamp-deep-links.dx:28: more than 8 link blocks inside each other; the file is damaged or made up",
    ),
    (
        "doubled-line",
        "jcamp-doubled-line.dx:25: line starts at 1280, expected 1320; points are doubled or out of order before this line, export the spectrum again",
    ),
    (
        "empty-data",
        "jcamp-empty-data.dx:16: no points after ##XYDATA=; the file may be cut short, copy it again",
    ),
    (
        "factor-comma",
        "jcamp-factor-comma.dx:9: ##YFACTOR= found \"0,00001\", expected a number with a decimal point",
    ),
    (
        "factor-zero",
        "jcamp-factor-zero.dx:9: ##YFACTOR= is 0, which would wipe out the values; the label may be damaged",
    ),
    (
        "first-ordinate-lost",
        "jcamp-first-ordinate-lost.dx:26: found \"KMOQJ1J6K3L4N5Q4\", which needs an ordinate before it on the line; the start of the line may be lost, export the spectrum again",
    ),
    (
        "gigabyte-repeat",
        "jcamp-gigabyte-repeat.dx:21: more than 1424 points here, the most that fits ##NPOINTS= and the limit; a repeat count or ##NPOINTS= may be damaged, export the spectrum again",
    ),
    (
        "half-pair",
        "jcamp-half-pair.dx:67: found \"1200\", expected pairs of numbers; a number may be lost on this line, export the spectrum again",
    ),
    (
        "letter-in-data",
        "jcamp-letter-in-data.dx:23: found \"!2014 2015 2015 2013 2009 2005 2000 1995…\", expected the digits of an ordinate; the line may be damaged, export the spectrum again",
    ),
    (
        "lost-lines",
        "jcamp-lost-lines.dx:27: line starts at 1520, expected 1400; 30 of 400 points are missing before this line, more than 5 %, export the spectrum again",
    ),
    (
        "no-data",
        "jcamp-no-data.dx:1: no ##XYDATA= and no ##XYPOINTS= in this block; it holds no spectrum",
    ),
    (
        "no-unit",
        "jcamp-no-unit.dx:14: ##DATA TYPE= is missing, and ##XUNITS= names no infrared unit; only infrared is read",
    ),
    (
        "peak-table",
        "jcamp-peak-table.dx:16: ##PEAK TABLE= lists peaks, not a spectrum; export the spectrum itself as ##XYDATA=",
    ),
    (
        "raman",
        "jcamp-raman.dx:16: ##DATA TYPE= RAMAN SPECTRUM is not an infrared spectrum; only infrared is read",
    ),
    (
        "start-of-line-lost",
        "jcamp-start-of-line-lost.dx:26: found \"lost 1360 1986 1988 1992 1998 2006 2017 …\", expected the abscissa that begins a data line; the line may be damaged, export the spectrum again",
    ),
    (
        "wrong-lastx",
        "jcamp-wrong-lastx.dx:11: the data lines run to 2596, ##LASTX= says 9596; points are missing, or ##LASTX= is damaged, export the spectrum again",
    ),
    (
        "wrong-xfactor",
        "jcamp-wrong-xfactor.dx:17: first line starts at 2000, ##FIRSTX= says 1000; ##FIRSTX= or ##XFACTOR= may be damaged, export the spectrum again",
    ),
];

/// What is read with a doubt: the file, the doubt's id, its words.
const DOUBTED: &[(&str, &str, &str)] = &[
    (
        "flipped-difference",
        "jcamp-y-check",
        "line 42: starts with 33234, but the line before ends with 30258; the values of line 41 are wrong and were left out",
    ),
    (
        "huge-npoints",
        "jcamp-npoints",
        "line 13: ##NPOINTS= says 999999999999, file holds 400 up to ##LASTX=; all were read",
    ),
    (
        "lost-line",
        "jcamp-gap",
        "line 27: line starts at 1440, expected 1400; 10 points are missing before this line and were left as a gap",
    ),
    (
        "no-end",
        "jcamp-end",
        "##END= is missing after the block from line 1; all its 400 points are there",
    ),
    (
        "percent-as-fraction",
        "ordinate-scale",
        "ordinate stated as transmittance, but values reach 95.5; read as percent transmittance",
    ),
    (
        "wrong-yfactor",
        "jcamp-header-values",
        "line 14: ##MAXY= says 0.53986, the data 53.986, ##MINY= says 0.01985, the data 1.985; the data were read with ##YFACTOR= as it stands",
    ),
    (
        "wrong-yfactor",
        "ordinate-scale",
        "ordinate stated as absorbance, but values reach 52.9; read as absorbance scaled by an unknown factor",
    ),
];

#[test]
fn a_broken_file_says_what_is_wrong_and_where() {
    for (name, expected) in REFUSED {
        let found = answer(name).expect_err(name);
        assert_eq!(&found, expected, "{name}");
    }
}

#[test]
fn a_file_that_fuzzing_found_is_refused_for_the_line_that_no_axis_reaches() {
    let name = "find-jcamp-crash-9402e669ee51598ab10539b7a3c39ca05f058e46";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/regressions/jcamp").join(name);
    let mut all: Vec<_> = read_path(&path, &ReadOptions::default()).collect();
    assert_eq!(all.len(), 1);
    let message = all.remove(0).expect_err("refused").to_string();
    let expected = "26: line starts at 1.44e55, expected 1480; no spectrum goes on so far, so that the \
                    number is damaged: export the spectrum again";
    assert_eq!(message, format!("{}:{expected}", path.display()));
}

#[test]
fn a_doubtful_file_is_read_and_says_why() {
    for (name, id, expected) in DOUBTED {
        let spectrum = answer(name).unwrap_or_else(|e| panic!("{name}: {e}"));
        let said = spectrum.warnings().iter().find(|w| w.id == *id);
        assert_eq!(said.map(|w| w.text.as_str()), Some(*expected), "{name}");
    }
}

#[test]
fn mixed_line_ends_and_an_old_end_of_file_mark_change_nothing() {
    let whole = answer("no-end").expect("reads");
    for name in ["mixed-line-ends", "ctrl-z"] {
        let spectrum = answer(name).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(spectrum.wavenumbers_cm1(), whole.wavenumbers_cm1(), "{name}");
        assert_eq!(spectrum.absorbances(), whole.absorbances(), "{name}");
        assert!(spectrum.warnings().iter().all(|w| w.id == "mode-assumed"), "{name}");
    }
}

#[test]
fn every_broken_file_is_asserted() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/broken");
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        let Some(name) = name.strip_prefix("jcamp-").and_then(|n| n.strip_suffix(".dx")) else {
            continue;
        };
        let asserted = REFUSED.iter().any(|(n, _)| *n == name)
            || DOUBTED.iter().any(|(n, ..)| *n == name)
            || ["mixed-line-ends", "ctrl-z"].contains(&name);
        assert!(asserted, "jcamp-{name}.dx has no test");
    }
}
