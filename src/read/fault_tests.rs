//! Every fault is met by a file, and its message names what was found and what to do.

use std::collections::BTreeSet;

use super::finish::finish;
use super::found::{Found, MOST_POINTS};
use super::{Column, Error, Fault, JcampError, ReadOptions, read_bytes};
use crate::spectrum::Ordinate;

/// Returns a fault's name. No arm takes the rest, so that a new fault must be met here too.
fn name(fault: &Fault) -> &'static str {
    match fault {
        Fault::NotText { .. } => "NotText",
        Fault::Jcamp(_) => "Jcamp",
        Fault::Empty => "Empty",
        Fault::NoColumns { .. } => "NoColumns",
        Fault::OneColumn { .. } => "OneColumn",
        Fault::CommaTwoWays { .. } => "CommaTwoWays",
        Fault::TooFewRows { .. } => "TooFewRows",
        Fault::NotARow { .. } => "NotARow",
        Fault::NotNumbers { .. } => "NotNumbers",
        Fault::RowsUnread { .. } => "RowsUnread",
        Fault::AbscissaNotPositive { .. } => "AbscissaNotPositive",
        Fault::AbscissaImplausible { .. } => "AbscissaImplausible",
        Fault::AbscissaUnit { .. } => "AbscissaUnit",
        Fault::OrdinateUnit { .. } => "OrdinateUnit",
        Fault::StartsOver { .. } => "StartsOver",
        Fault::NothingMeasured { .. } => "NothingMeasured",
        Fault::OrdinateUnclear { .. } => "OrdinateUnclear",
        Fault::OrdinateContradicted { .. } => "OrdinateContradicted",
        Fault::OrdinateOption { .. } => "OrdinateOption",
        Fault::ScaleChanges { .. } => "ScaleChanges",
        Fault::NoSuchColumn { .. } => "NoSuchColumn",
        Fault::NoSuchBlock { .. } => "NoSuchBlock",
        Fault::TooManyPoints { .. } => "TooManyPoints",
        Fault::Spectrum(_) => "Spectrum",
        // Met from a path alone: tests/program/parquet.rs.
        #[cfg(feature = "parquet")]
        Fault::Parquet { .. } => "Parquet",
    }
}

/// How many there are.
const FAULTS: usize = 24;

/// The same for JCAMP-DX.
fn jcamp_name(error: &JcampError) -> &'static str {
    match error {
        JcampError::NoAbscissa { .. } => "NoAbscissa",
        JcampError::BadOrdinate { .. } => "BadOrdinate",
        JcampError::Comma { .. } => "Comma",
        JcampError::NothingBefore { .. } => "NothingBefore",
        JcampError::TooManyDigits { .. } => "TooManyDigits",
        JcampError::TooManyPoints { .. } => "TooManyPoints",
        JcampError::HalfPair { .. } => "HalfPair",
        JcampError::OutsideRange { .. } => "OutsideRange",
        JcampError::NoData => "NoData",
        JcampError::NoPoints { .. } => "NoPoints",
        JcampError::Form { .. } => "Form",
        JcampError::Technique { .. } => "Technique",
        JcampError::NoTechnique => "NoTechnique",
        JcampError::NoInfrared { .. } => "NoInfrared",
        JcampError::PeakTable { .. } => "PeakTable",
        JcampError::Ntuples => "Ntuples",
        JcampError::AbscissaUnit { .. } => "AbscissaUnit",
        JcampError::OrdinateUnit { .. } => "OrdinateUnit",
        JcampError::MissingLabel { .. } => "MissingLabel",
        JcampError::BadNumber { .. } => "BadNumber",
        JcampError::BadFactor { .. } => "BadFactor",
        JcampError::NoRange { .. } => "NoRange",
        JcampError::CutShort { .. } => "CutShort",
        JcampError::FirstDisagrees { .. } => "FirstDisagrees",
        JcampError::LastDisagrees { .. } => "LastDisagrees",
        JcampError::Backwards { .. } => "Backwards",
        JcampError::BeyondAxis { .. } => "BeyondAxis",
        JcampError::PointsMissing { .. } => "PointsMissing",
        JcampError::ChecksFailed { .. } => "ChecksFailed",
        JcampError::TooDeep { .. } => "TooDeep",
        JcampError::TooManyBlocks { .. } => "TooManyBlocks",
        JcampError::NoSuchBlock { .. } => "NoSuchBlock",
        JcampError::NoTitle => "NoTitle",
    }
}

/// How many there are.
const JCAMP_ERRORS: usize = 33;

fn fault(wanted: &str, bytes: &[u8], options: &ReadOptions) -> (Fault, String) {
    let answer = read_bytes(bytes, "film.csv", options).find_map(Result::err).expect(wanted);
    let text = answer.to_string();
    match answer {
        Error::Content { fault, .. } => (fault, text),
        Error::Open(error) => panic!("{error}"),
    }
}

/// Rows of one band under a heading, `change` turning each.
fn table(heading: &str, change: impl Fn(f64, f64) -> String) -> Vec<u8> {
    let mut text = format!("{heading}\n");
    for i in 0..400 {
        let wavenumber = 4000.0 - 8.0 * f64::from(i);
        let absorbance = 0.02 + 0.6 / (1.0 + ((wavenumber - 1730.0) / 20.0).powi(2));
        text.push_str(&change(wavenumber, absorbance));
        text.push('\n');
    }
    text.into_bytes()
}

fn plain(wavenumber: f64, absorbance: f64) -> String {
    format!("{wavenumber},{absorbance:.4}")
}

#[test]
fn every_fault_of_a_table_is_met_and_says_what_to_do() {
    let none = ReadOptions::default();
    let ordinate = ReadOptions { ordinate: Some(Ordinate::Transmittance), ..none.clone() };
    let column = ReadOptions { column: Some(Column::Number(9)), ..none.clone() };
    let block = ReadOptions { block: Some(3), ..none.clone() };
    let percent = |v: f64, a: f64| format!("{v},{:.3}", 100.0 * 10f64.powf(-a));
    let good = table("cm-1,absorbance", plain);
    let twice = [good.clone(), table("", plain)].concat();
    let slope = table("", |v, _| format!("{v},{:.4}", 0.2 + 0.9 * (v - 800.0) / 3200.0));
    let files: [(&str, Vec<u8>, &ReadOptions, &str); 23] = [
        ("NotText", b"\x00\x01\x02\x03".to_vec(), &none, "readable: two-column text"),
        ("Jcamp", b"##JCAMP-DX=4.24\n##END=\n".to_vec(), &none, "no ##XYDATA="),
        ("Empty", b" \n".to_vec(), &none, "export the spectrum again"),
        ("NoColumns", b"a letter\n".to_vec(), &none, "readable: two-column text"),
        ("OneColumn", b"1\n2\n3\n4\n".repeat(9), &none, "export both columns"),
        ("CommaTwoWays", b"4000.5 0,11\n3998.5 0,12\n".to_vec(), &none, "save with a semicolon"),
        ("TooFewRows", b"4000,0.1\n3998,0.2\n".to_vec(), &none, "cut short"),
        ("NotARow", b"4000,0.1\n3998,abc\n".to_vec(), &none, "write the number or delete the row"),
        (
            "NotNumbers",
            table("cm-1,A", |v, _| format!("{v},{}", if v % 3.0 == 0.0 { "-" } else { "1" })),
            &none,
            "fill or delete the rows",
        ),
        (
            "RowsUnread",
            table("cm-1,A", |v, a| if v % 3.0 == 0.0 { format!("?,{a}") } else { plain(v, a) }),
            &none,
            "write the file in one way",
        ),
        (
            "AbscissaNotPositive",
            table("cm-1,A", |v, a| plain(v - 2000.0, a)),
            &none,
            "a wavenumber",
        ),
        (
            "AbscissaImplausible",
            table("cm-1,A", |v, a| plain(v * 100.0, a)),
            &none,
            "check the column",
        ),
        ("AbscissaUnit", table("eV,A", plain), &none, "readable: cm"),
        ("OrdinateUnit", table("cm-1,single beam", plain), &none, "export absorbance"),
        ("StartsOver", twice, &none, "save one spectrum a file"),
        ("NothingMeasured", table("cm-1,A", |v, _| format!("{v},0")), &none, "wrong column"),
        ("OrdinateUnclear", slope, &none, "pass --ordinate"),
        ("OrdinateContradicted", table("cm-1,absorbance", percent), &none, "pass --ordinate"),
        (
            "OrdinateOption",
            table("cm-1,value", percent),
            &ordinate,
            "they look like percent transmittance",
        ),
        (
            "ScaleChanges",
            table("cm-1,A", |v, a| if v > 2400.0 { percent(v, a) } else { plain(v, a) }),
            &none,
            "export it in one",
        ),
        ("NoSuchColumn", good.clone(), &column, "columns with ordinates: 2"),
        ("NoSuchBlock", good, &block, "the file holds 1"),
        ("Spectrum", table("cm-1,A", |_, a| plain(1000.0, a)), &none, "at least 8 are needed"),
    ];
    let mut met = BTreeSet::new();
    for (wanted, bytes, options, words) in files {
        let (fault, text) = fault(wanted, &bytes, options);
        assert_eq!(name(&fault), wanted, "{text}");
        assert!(text.starts_with("film.csv") && text.contains(words), "{text}");
        met.insert(wanted);
    }
    // Four million rows would take long to write: the limit is met where all readers meet.
    let many = vec![1.0; MOST_POINTS + 1];
    let found = Found { ordinates: many.clone(), abscissas: many, ..Found::default() };
    match finish(found, &none).expect_err("too many") {
        Error::Content { fault, .. } => {
            assert!(fault.to_string().contains("thin it or split the file"));
            met.insert(name(&fault));
        }
        Error::Open(error) => panic!("{error}"),
    }
    assert_eq!(met.len(), FAULTS, "{met:?}");
}

/// A block with sound labels, `labels` in place of those of the same name, over `lines`.
fn block(labels: &[(&str, &str)], lines: &str) -> String {
    let sound = [
        ("TITLE", "x"),
        ("JCAMP-DX", "4.24"),
        ("DATA TYPE", "INFRARED SPECTRUM"),
        ("XUNITS", "1/CM"),
        ("YUNITS", "ABSORBANCE"),
        ("XFACTOR", "1"),
        ("YFACTOR", "0.001"),
        ("FIRSTX", "400"),
        ("LASTX", "418"),
        ("NPOINTS", "10"),
        ("XYDATA", "(X++(Y..Y))"),
    ];
    let mut text = String::new();
    for (label, value) in sound {
        let changed = labels.iter().find(|(other, _)| *other == label);
        let value = changed.map_or(value, |(_, value)| value);
        if !value.is_empty() {
            text.push_str(&format!("##{label}={value}\n"));
        }
    }
    format!("{text}{lines}\n##END=\n")
}

/// Ten ordinates at steps of 2 from 400.
const TEN: &str = "400 1 2 3 4 5\n410 6 7 8 9 9";

#[test]
fn every_fault_of_a_jcamp_file_is_met_and_says_what_to_do() {
    let none = ReadOptions::default();
    let third = ReadOptions { block: Some(3), ..none.clone() };
    let pairs = [("XYDATA", "(XY..XY)"), ("NPOINTS", "")];
    let two_ramans = {
        let one = block(&[("DATA TYPE", "RAMAN SPECTRUM")], TEN);
        format!("##TITLE=l\n##DATA TYPE=LINK\n{one}{one}##END=\n")
    };
    // Twenty lines of one step each, the check ordinates of two of them wrong by far.
    let failing: String = (0..20)
        .map(|i| match i {
            0 => "400A0000J".to_owned(),
            4 | 11 => format!("{}I9999J", 400 + 2 * i),
            _ => format!("{}A000{}J", 400 + 2 * i, i % 10),
        })
        .collect::<Vec<_>>()
        .join("\n");
    let no_end = block(&[("NPOINTS", "400")], TEN).replace("##END=\n", "");
    let files: [(&str, String, &ReadOptions, &str); 33] = [
        ("NoAbscissa", block(&[], "A1B2C3"), &none, "begins a data line"),
        ("BadOrdinate", block(&[], "400 1 2 !"), &none, "export the spectrum again"),
        ("Comma", block(&[], "400A1,5"), &none, "decimal points"),
        ("NothingBefore", block(&[], "400%5"), &none, "export the spectrum again"),
        ("TooManyDigits", block(&[], "400A12345678901234567890"), &none, "too many digits"),
        ("TooManyPoints", block(&[], "400A%s999999999"), &none, "export the spectrum again"),
        ("HalfPair", block(&pairs, "400,1\n402,2\n404\n"), &none, "expected pairs"),
        ("OutsideRange", block(&pairs, "400,5 0,12"), &none, "decimal point"),
        ("NoData", block(&[("XYDATA", "")], ""), &none, "holds no spectrum"),
        ("NoPoints", block(&[], ""), &none, "copy it again"),
        ("Form", block(&[("XYDATA", "(XYA)")], TEN), &none, "readable: (X++(Y..Y))"),
        ("Technique", block(&[("DATA TYPE", "RAMAN SPECTRUM")], TEN), &none, "only infrared"),
        ("NoTechnique", block(&[("DATA TYPE", ""), ("XUNITS", "")], TEN), &none, "only infrared"),
        ("NoInfrared", two_ramans, &none, "only infrared"),
        (
            "PeakTable",
            block(&[], TEN).replace("XYDATA=(X++(Y..Y))", "PEAK TABLE=(XY..XY)"),
            &none,
            "export the spectrum",
        ),
        (
            "Ntuples",
            block(&[], TEN).replace("XYDATA=(X++(Y..Y))", "NTUPLES=IR"),
            &none,
            "export the spectrum",
        ),
        ("AbscissaUnit", block(&[("XUNITS", "SECONDS")], TEN), &none, "readable: 1/CM"),
        ("OrdinateUnit", block(&[("YUNITS", "FURLONGS")], TEN), &none, "pass --ordinate"),
        ("MissingLabel", block(&[("LASTX", "")], "400 1 2 3"), &none, "export the spectrum again"),
        ("BadNumber", block(&[("FIRSTX", "4oo")], TEN), &none, "expected a number"),
        ("BadFactor", block(&[("YFACTOR", "0")], TEN), &none, "may be damaged"),
        ("NoRange", block(&[("LASTX", "400")], TEN), &none, "expected a range"),
        ("CutShort", no_end, &none, "copy or export it again"),
        ("FirstDisagrees", block(&[("FIRSTX", "300")], TEN), &none, "export the spectrum again"),
        ("LastDisagrees", block(&[("LASTX", "900")], TEN), &none, "export the spectrum again"),
        ("Backwards", block(&[], "400 1 2 3 4 5\n404 6 7 8 9 9\n414 1 2"), &none, "out of order"),
        (
            "BeyondAxis",
            block(
                &[("LASTX", "438")],
                "400 1 2 3 4 5\n410 6 7 8 9 9\n420 1 2 3 4 5\n43333333330 6 7 8 9 9",
            ),
            &none,
            "export the spectrum again",
        ),
        (
            "PointsMissing",
            block(
                &[("LASTX", "478")],
                "400 1 2 3 4 5\n410 6 7 8 9 9\n420 1 2 3 4 5\n470 6 7 8 9 9",
            ),
            &none,
            "more than 5 %",
        ),
        (
            "ChecksFailed",
            block(&[("LASTX", "440"), ("NPOINTS", "21")], &failing),
            &none,
            "more than 5 %",
        ),
        ("TooDeep", "##TITLE=l\n##DATA TYPE=LINK\n".repeat(50), &none, "made up"),
        ("TooManyBlocks", "##TITLE=\n".repeat(1_000_003), &none, "split the file"),
        ("NoSuchBlock", block(&[], TEN), &third, "pass --block 1 to 1"),
        ("NoTitle", "##END=\n".to_owned(), &none, "head of the file"),
    ];
    let mut met = BTreeSet::new();
    for (wanted, text, options, words) in files {
        let (fault, message) = fault(wanted, text.as_bytes(), options);
        let Fault::Jcamp(error) = &fault else { panic!("{wanted}: {message}") };
        assert_eq!(jcamp_name(error), wanted, "{message}");
        assert!(message.starts_with("film.csv:") && message.contains(words), "{message}");
        met.insert(wanted);
    }
    assert_eq!(met.len(), JCAMP_ERRORS, "{met:?}");
}
