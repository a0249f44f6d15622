//! Workbooks, read back part by part: types of cells, the head row that stays, and nothing half-written.
#![cfg(all(feature = "cli", feature = "xlsx", feature = "docx"))]

use std::io::Read;
use std::path::{Path, PathBuf};

use crate::program::bandlore;
use quick_xml::Reader;
use quick_xml::events::Event;

/// A cell as it was read back.
#[derive(Clone, Debug, PartialEq)]
enum Cell {
    Number(f64),
    Text(String),
}

fn spectra() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-spectra/tide-clock/spectra")
}

fn part(package: &[u8], name: &str) -> String {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(package)).expect("a package");
    let mut text = String::new();
    archive.by_name(name).expect(name).read_to_string(&mut text).expect("UTF-8");
    text
}

/// An attribute of a tag.
fn attribute(tag: &quick_xml::events::BytesStart<'_>, name: &str) -> Option<String> {
    tag.attributes()
        .filter_map(Result::ok)
        .find(|a| a.key.as_ref() == name)
        .map(|a| a.value.to_string())
}

/// The texts that cells refer to by number.
fn shared(package: &[u8]) -> Vec<String> {
    let xml = part(package, "xl/sharedStrings.xml");
    let mut reader = Reader::from_str(&xml);
    let (mut texts, mut inside) = (Vec::new(), false);
    loop {
        match reader.read_event().expect("XML") {
            Event::Eof => return texts,
            Event::Start(tag) if tag.name().as_ref() == "si" => texts.push(String::new()),
            Event::Start(tag) if tag.name().as_ref() == "t" => inside = true,
            Event::End(tag) if tag.name().as_ref() == "t" => inside = false,
            Event::Text(text) if inside => {
                if let Some(last) = texts.last_mut() {
                    last.push_str(&text);
                }
            }
            Event::GeneralRef(name) if inside => {
                let sign = match name.as_ref() {
                    "amp" => "&",
                    "lt" => "<",
                    "gt" => ">",
                    "quot" => "\"",
                    other => panic!("{other}"),
                };
                if let Some(last) = texts.last_mut() {
                    last.push_str(sign);
                }
            }
            _ => {}
        }
    }
}

/// The cells of a sheet, each with its place ("B7").
fn cells(package: &[u8], sheet: usize) -> Vec<(String, Cell)> {
    let texts = shared(package);
    let xml = part(package, &format!("xl/worksheets/sheet{sheet}.xml"));
    let mut reader = Reader::from_str(&xml);
    let (mut cells, mut place, mut is_text, mut inside) = (Vec::new(), String::new(), false, false);
    loop {
        match reader.read_event().expect("XML") {
            Event::Eof => return cells,
            Event::Start(tag) if tag.name().as_ref() == "c" => {
                place = attribute(&tag, "r").expect("a place");
                is_text = attribute(&tag, "t").as_deref() == Some("s");
            }
            Event::Start(tag) if tag.name().as_ref() == "v" => inside = true,
            Event::Start(tag) if tag.name().as_ref() == "f" => panic!("a formula at {place}"),
            Event::End(tag) if tag.name().as_ref() == "v" => inside = false,
            Event::Text(text) if inside => {
                let number: f64 = text.parse().expect("a number");
                let cell = if is_text {
                    Cell::Text(texts[number as usize].clone())
                } else {
                    Cell::Number(number)
                };
                cells.push((place.clone(), cell));
            }
            _ => {}
        }
    }
}

fn at<'a>(cells: &'a [(String, Cell)], place: &str) -> Option<&'a Cell> {
    cells.iter().find(|(known, _)| known == place).map(|(_, cell)| cell)
}

#[test]
fn a_workbook_of_answers_holds_numbers_as_numbers_and_text_as_text() {
    let folder = tempfile::tempdir().expect("a folder");
    // A name that a spreadsheet would run, were it no text.
    // The second begins as a text does in CSV that is kept from being run: a workbook has it as it is.
    for name in ["=1+1.csv", "'70s.csv"] {
        std::fs::copy(spectra().join("B1-exposed.csv"), folder.path().join(name)).expect("copied");
    }
    let out = folder.path().join("answers.xlsx");
    bandlore()
        .current_dir(folder.path())
        .args(["identify", "--quiet", "--format", "xlsx", "--output"])
        .arg(&out)
        .args(["=1+1.csv", "'70s.csv"])
        .assert()
        .success();
    let package = std::fs::read(&out).expect("written");
    let read = cells(&package, 1);
    assert_eq!(at(&read, "A1"), Some(&Cell::Text("file".to_owned())));
    assert_eq!(at(&read, "A2"), Some(&Cell::Text("=1+1.csv".to_owned())));
    assert_eq!(at(&read, "A3"), Some(&Cell::Text("'70s.csv".to_owned())));
    // block, low_cm1 and high_cm1: the spectrum stops at 650 cm-1, as sample-spectra/README.md says.
    assert_eq!(at(&read, "B2"), Some(&Cell::Number(1.0)));
    assert_eq!(at(&read, "S2"), Some(&Cell::Number(650.2)));
    assert_eq!(at(&read, "T2"), Some(&Cell::Number(4000.0)));
    let Some(Cell::Text(why)) = at(&read, "K2") else { panic!("{read:?}") };
    assert!(why.contains("650 cm⁻¹"), "{why}");
    let sheet = part(&package, "xl/worksheets/sheet1.xml");
    assert!(
        sheet.contains("ySplit=\"1\"") && sheet.contains("state=\"frozen\""),
        "the head row stays"
    );
}

#[test]
fn every_command_that_offers_csv_offers_a_workbook_with_the_same_rows() {
    let folder = tempfile::tempdir().expect("a folder");
    let (exposed, covered) = ("V02-exposed-", "V02-covered-");
    let spot = |face: &str, spot: char| spectra().join(format!("{face}{spot}.csv"));
    let mut compare: Vec<PathBuf> = vec!["--exposed".into()];
    compare.extend("abc".chars().map(|s| spot(exposed, s)));
    compare.push("--covered".into());
    compare.extend("abc".chars().map(|s| spot(covered, s)));
    let commands: [(&str, Vec<PathBuf>); 5] = [
        ("identify", vec![spot(exposed, 'a'), spot(covered, 'a')]),
        ("check", vec![spot(exposed, 'a')]),
        ("ageing", vec![spot(exposed, 'a')]),
        ("compare", compare),
        ("depth", vec!["1000".into()]),
    ];
    for (command, arguments) in commands {
        let write = |format: &str| {
            let out = folder.path().join(format!("{command}.{format}"));
            bandlore()
                .arg(command)
                .args(&arguments)
                .args(["--format", format, "--output"])
                .arg(&out)
                .assert()
                .success();
            std::fs::read(&out).expect("written")
        };
        let csv = write("csv");
        let package = write("xlsx");
        assert!(package == write("xlsx"), "{command}: the same input gives the same bytes");
        let read = cells(&package, 1);
        let mut rows = csv::ReaderBuilder::new().has_headers(false).from_reader(csv.as_slice());
        let mut figures = 0;
        for (i, record) in rows.records().enumerate() {
            for (j, cell) in record.expect("a row").iter().enumerate() {
                let letter = |n: usize| char::from(b'A' + u8::try_from(n).expect("a column"));
                let before = if j < 26 { String::new() } else { letter(j / 26 - 1).to_string() };
                let place = format!("{before}{}{}", letter(j % 26), i + 1);
                match at(&read, &place) {
                    None => assert!(cell.is_empty(), "{command} {place}: lost {cell}"),
                    Some(Cell::Number(number)) => {
                        figures += 1;
                        assert_eq!(cell.parse::<f64>().ok(), Some(*number), "{command} {place}");
                    }
                    Some(Cell::Text(text)) => {
                        assert_eq!(cell.trim_start_matches('\''), text, "{command} {place}");
                    }
                }
            }
        }
        assert!(figures > 1, "{command}: no figure is a number");
    }
}

#[test]
fn the_workbook_of_an_object_has_one_sheet_a_table_and_is_whole_or_not_there() {
    let folder = tempfile::tempdir().expect("a folder");
    let demo = spectra();
    let demo = demo.parent().expect("the demo");
    let write = |reports: &[PathBuf]| {
        let mut command = bandlore();
        command.args(["--quiet", "object", "--date", "2026-03-15"]).arg(demo);
        for report in reports {
            command.arg("--report").arg(report);
        }
        command.assert()
    };
    let out = folder.path().join("clock.xlsx");
    write(std::slice::from_ref(&out)).success();
    let package = std::fs::read(&out).expect("written");
    let book = part(&package, "xl/workbook.xml");
    let names = [
        "Object",
        "Parts",
        "Markers",
        "Spots",
        "Neighbours",
        "Candidate sheets",
        "Open",
        "Care",
        "Limits and doubts",
        "Files",
    ];
    for name in names {
        assert!(book.contains(&format!("name=\"{name}\"")), "{name}");
    }
    let parts = cells(&package, 2);
    assert_eq!(at(&parts, "A2"), Some(&Cell::Text("V01".to_owned())));
    assert_eq!(at(&parts, "E2"), Some(&Cell::Text("PVC".to_owned())));
    // Spots of the first vane: five on each of three faces (tests/common/tide_clock_maker.rs).
    assert_eq!(at(&parts, "J2"), Some(&Cell::Number(15.0)));
    let markers = cells(&package, 3);
    let changes = markers
        .iter()
        .filter(|(place, cell)| place.starts_with('J') && matches!(cell, Cell::Number(_)));
    assert!(changes.count() > 10, "changes are numbers");
    // A second report that cannot be placed keeps the workbook out.
    let (late, blocked) = (folder.path().join("late.xlsx"), folder.path().join("r.json"));
    std::fs::create_dir(&blocked).expect("a folder");
    std::fs::write(blocked.join("kept.txt"), "kept").expect("written");
    write(&[late.clone(), blocked]).failure().code(2);
    assert!(!late.exists());
}
