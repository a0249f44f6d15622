//! Tables of spectra in Parquet: read as the same spectra in a sheet are, answered in typed columns.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use parquet::basic::Compression;
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, FloatType};
use parquet::file::properties::{WriterProperties, WriterPropertiesBuilder, WriterVersion};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::SerializedFileWriter;
use parquet::record::{Field, Row, RowAccessor};
use parquet::schema::parser::parse_message_type;

use crate::program::{bandlore, complained, printed};

/// Some invented spectra with the bands of polystyrene and of poly(methyl methacrylate), and one of nothing.
/// Positions: Jung et al. 2018, Mar. Pollut. Bull. 127:704-716, from memory.
fn invented(count: usize) -> (Vec<f64>, Vec<(String, Vec<f64>)>) {
    const PS: [(f64, f64, f64); 7] = [
        (3026.0, 0.3, 9.0),
        (2922.0, 0.45, 14.0),
        (1601.0, 0.2, 6.0),
        (1492.0, 0.5, 6.0),
        (1452.0, 0.5, 8.0),
        (756.0, 0.7, 8.0),
        (697.0, 1.0, 7.0),
    ];
    const PMMA: [(f64, f64, f64); 8] = [
        (2950.0, 0.2, 16.0),
        (1723.0, 0.8, 10.0),
        (1434.0, 0.3, 10.0),
        (1240.0, 0.45, 14.0),
        (1190.0, 0.7, 12.0),
        (1145.0, 1.0, 12.0),
        (985.0, 0.25, 10.0),
        (750.0, 0.25, 8.0),
    ];
    let axis: Vec<f64> = (0..1675).map(|i| 650.5 + 2.0 * f64::from(i)).collect();
    let spectra = (0..count)
        .map(|number| {
            let bands: &[_] = match number % 3 {
                0 => &PS,
                1 => &PMMA,
                _ => &[],
            };
            let height = 0.2 + 0.01 * (number % 7) as f64;
            let mut seed = 17 + number as u32;
            let curve = axis.iter().map(|x| {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let noise = 2.0e-4 * (f64::from(seed) / f64::from(u32::MAX) - 0.5);
                let sum: f64 =
                    bands.iter().map(|(at, h, w)| h / (1.0 + ((x - at) / w).powi(2))).sum();
                // Single precision, as cameras keep it.
                f64::from((0.01 + height * sum + noise) as f32)
            });
            (format!("spot {}", number + 1), curve.collect())
        })
        .collect();
    (axis, spectra)
}

fn packed(by: Compression) -> WriterPropertiesBuilder {
    WriterProperties::builder().set_compression(by)
}

/// Writes spectra as one row each, some rows to a group; NaN is left blank.
fn table(
    path: &Path,
    (axis, spectra): &(Vec<f64>, Vec<(String, Vec<f64>)>),
    rows: usize,
    properties: WriterPropertiesBuilder,
) {
    let columns: Vec<String> = axis.iter().map(|x| format!("optional float {x}; ")).collect();
    let schema = format!("message m {{ optional binary sample (STRING); {} }}", columns.join(""));
    let schema = Arc::new(parse_message_type(&schema).expect("a schema"));
    let properties = Arc::new(properties.build());
    let file = File::create(path).expect("a file");
    let mut writer = SerializedFileWriter::new(file, schema, properties).expect("a writer");
    for some in spectra.chunks(rows) {
        let mut group = writer.next_row_group().expect("a group");
        let mut label = group.next_column().expect("a column").expect("the label's");
        let texts: Vec<ByteArray> =
            some.iter().map(|(label, _)| ByteArray::from(label.as_str())).collect();
        let all = vec![1; some.len()];
        label.typed::<ByteArrayType>().write_batch(&texts, Some(&all), None).expect("labels");
        label.close().expect("closed");
        for place in 0..axis.len() {
            let mut column = group.next_column().expect("a column").expect("an ordinate's");
            let column_of = || some.iter().map(|(_, curve)| curve[place] as f32);
            let values: Vec<f32> = column_of().filter(|value| value.is_finite()).collect();
            let there: Vec<i16> = column_of().map(|value| i16::from(value.is_finite())).collect();
            column.typed::<FloatType>().write_batch(&values, Some(&there), None).expect("values");
            column.close().expect("closed");
        }
        group.close().expect("closed");
    }
    writer.close().expect("closed");
}

fn sheet(path: &Path, (axis, spectra): &(Vec<f64>, Vec<(String, Vec<f64>)>)) {
    let cells = |values: &[f64]| {
        let cell = |v: &f64| if v.is_finite() { v.to_string() } else { String::new() };
        values.iter().map(cell).collect::<Vec<_>>().join(",")
    };
    let mut text = format!("sample,{}\n", cells(axis));
    for (label, curve) in spectra {
        text.push_str(&format!("{label},{}\n", cells(curve)));
    }
    std::fs::write(path, text).expect("written");
}

/// The answers as JSON, without what tells one file from another.
fn answers(path: &Path) -> Vec<serde_json::Value> {
    let output = bandlore().args(["identify", "--format", "json"]).arg(path).output().expect("ran");
    assert!(output.status.success(), "{}", complained(&output));
    let mut all: Vec<serde_json::Value> =
        serde_json::from_str(&printed(&output)).expect("a list of answers");
    for one in &mut all {
        let one = one.as_object_mut().expect("an object");
        for key in ["file", "sha256"] {
            assert!(one.remove(key).is_some(), "{key}");
        }
    }
    all
}

#[test]
fn a_table_is_read_as_the_same_spectra_in_a_sheet() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut spectra = invented(70);
    // Blank cells at the ends, as of an instrument with a shorter range.
    spectra.1[1].1[..40].fill(f64::NAN);
    let csv = folder.path().join("sheet.csv");
    sheet(&csv, &spectra);
    let expected = answers(&csv);
    assert_eq!(expected.len(), 70);
    for (rows, by) in [
        (7, Compression::SNAPPY),
        (1000, Compression::UNCOMPRESSED),
        (64, Compression::GZIP(Default::default())),
        (70, Compression::LZ4_RAW),
    ] {
        let path = folder.path().join(format!("by-{rows}.parquet"));
        table(&path, &spectra, rows, packed(by));
        assert_eq!(answers(&path), expected, "{rows} rows to a group, {by}");
    }
}

#[test]
fn single_rows_are_chosen_by_place_and_by_label() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("some.parquet");
    table(&path, &invented(9), 4, packed(Compression::SNAPPY));
    let title = |args: &[&str]| {
        let output =
            bandlore().args(["identify", "--format", "json"]).args(args).arg(&path).output();
        let output = output.expect("ran");
        let all: Vec<serde_json::Value> = serde_json::from_str(&printed(&output)).expect("JSON");
        all.iter().map(|one| one["title"].as_str().expect("a title").to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(title(&["--block", "6"]), ["spot 6"]);
    assert_eq!(title(&["--column", "Spot 3"]), ["spot 3"]);
    let output = bandlore().args(["identify", "--block", "10"]).arg(&path).output().expect("ran");
    assert_eq!(output.status.code(), Some(1));
    assert!(complained(&output).contains("some.parquet"), "{}", complained(&output));
}

fn rows_of(path: &Path) -> Vec<Row> {
    let reader = SerializedFileReader::new(File::open(path).expect("a file")).expect("Parquet");
    reader.get_row_iter(None).expect("rows").map(|row| row.expect("a row")).collect()
}

/// A list's texts.
fn texts(row: &Row, at: usize) -> Vec<String> {
    let list = row.get_list(at).expect("a list");
    list.elements()
        .iter()
        .map(|field| match field {
            Field::Str(text) => text.clone(),
            other => panic!("{other}"),
        })
        .collect()
}

#[test]
fn answers_are_written_in_typed_columns() {
    let folder = tempfile::tempdir().expect("a folder");
    let set = folder.path().join("set.parquet");
    table(&set, &invented(12), 5, packed(Compression::SNAPPY));
    let bad = folder.path().join("bad.csv");
    std::fs::write(&bad, "no numbers\n").expect("written");
    let out: PathBuf = folder.path().join("answers.parquet");
    let output = bandlore()
        .args(["identify", "--format", "parquet", "--output"])
        .arg(&out)
        .args([&set, &bad])
        .output()
        .expect("ran");
    assert_eq!(output.status.code(), Some(1), "{}", complained(&output));
    let rows = rows_of(&out);
    let expected = answers(&set);
    assert_eq!(rows.len(), expected.len() + 1);
    let place = |name: &str| {
        let column = rows[0].get_column_iter().position(|(column, _)| column == name);
        column.unwrap_or_else(|| panic!("no column {name}"))
    };
    for (number, (row, answer)) in rows.iter().zip(&expected).enumerate() {
        let text = |name: &str| row.get_string(place(name)).ok().map(String::as_str);
        assert_eq!(row.get_int(place("block")).expect("a number"), number as i32 + 1);
        for (name, value) in [
            ("title", &answer["title"]),
            ("outcome", &answer["outcome"]),
            ("material", &answer["material"]),
            ("sentence", &answer["sentence"]),
            ("chlorine_bands", &answer["chlorine"]["bands"]),
            ("chlorine_by_identity", &answer["chlorine"]["by_identity"]),
            ("chlorine_why", &answer["chlorine"]["why"]),
            ("class", &answer["class"]["id"]),
            ("shape", &answer["shape"]["shape"]),
            ("error", &answer["error"]),
        ] {
            assert_eq!(text(name), value.as_str(), "{name} of row {number}");
        }
        let list = |name: &str| -> Vec<String> {
            let many = answer[name].as_array().expect("a list");
            many.iter().map(|one| one.as_str().expect("a text").to_owned()).collect()
        };
        assert_eq!(texts(row, place("candidates")), list("candidates"));
        assert_eq!(text("mode").map(str::to_lowercase).as_deref(), answer["mode"].as_str());
        let unexplained = row.get_list(place("unexplained_cm1")).expect("a list").len();
        assert_eq!(
            Some(unexplained),
            answer["unexplained"].as_array().map(Vec::len),
            "row {number}"
        );
        let score = answer["ranking"][0]["score"].as_f64();
        assert_eq!(row.get_double(place("score")).ok(), score);
        assert_eq!(row.get_double(place("low_cm1")).ok(), Some(650.5));
        let met = row.get_list(place("bands_met_cm1")).expect("a list").len();
        let states = answer["evidence"][0]["bands"]
            .as_array()
            .map_or(0, |bands| bands.iter().filter(|band| band["state"] == "met").count());
        assert_eq!(met, states, "row {number}");
    }
    let last = rows.last().expect("a row");
    assert!(last.get_string(place("outcome")).is_err(), "a bad file has no outcome");
    let error = last.get_string(place("error")).expect("a message");
    assert!(error.contains("bad.csv"), "{error}");
    let sheet = out.with_extension("csv");
    let output =
        bandlore().args(["identify", "--format", "csv", "-o"]).arg(&sheet).arg(&set).output();
    assert!(output.expect("ran").status.success());
    let mut sheet = csv::Reader::from_path(&sheet).expect("a sheet");
    let names: Vec<String> = rows[0].get_column_iter().map(|(name, _)| name.clone()).collect();
    for heading in sheet.headers().expect("headings").iter().filter(|h| *h != "tool_and_table") {
        let is_there = names.iter().any(|n| n == heading || *n == format!("{heading}_cm1"));
        assert!(is_there, "{heading} is not among {names:?}");
    }
    let cautions_at = sheet.headers().expect("headings").iter().position(|h| h == "cautions");
    let cautions_at = cautions_at.expect("a column of cautions");
    let mut some = 0;
    for (row, of_sheet) in rows.iter().zip(sheet.records()) {
        let cautions = texts(row, place("cautions"));
        assert_eq!(cautions.join("; "), of_sheet.expect("a row")[cautions_at]);
        some += usize::from(!cautions.is_empty());
    }
    assert!(some > 0, "no row has a caution");
    assert_eq!(sheet.into_records().count(), 0);
}

#[test]
fn many_groups_of_answers_are_one_table() {
    let folder = tempfile::tempdir().expect("a folder");
    let set = folder.path().join("set.parquet");
    // More than one group of rows holds; short spectra, so that it is soon done.
    let axis: Vec<f64> = (0..40).map(|i| 700.0 + 8.0 * f64::from(i)).collect();
    let curve: Vec<f64> = axis.iter().map(|x| 0.1 + 1.0e-5 * x).collect();
    let spectra = (0..8_200).map(|n| (format!("{n}"), curve.clone())).collect();
    table(&set, &(axis, spectra), 4_000, packed(Compression::SNAPPY));
    let out = folder.path().join("answers.parquet");
    let output = bandlore()
        .args(["identify", "--ordinate", "absorbance", "--format", "parquet", "-o"])
        .arg(&out)
        .arg(&set)
        .output()
        .expect("ran");
    assert!(output.status.success(), "{}", complained(&output));
    let reader = SerializedFileReader::new(File::open(&out).expect("a file")).expect("Parquet");
    assert_eq!(reader.num_row_groups(), 2);
    let titles: Vec<String> =
        rows_of(&out).iter().map(|row| row.get_string(2).expect("a title").clone()).collect();
    assert_eq!(titles, (0..8_200).map(|n| n.to_string()).collect::<Vec<_>>());
}

#[test]
fn what_is_no_table_of_spectra_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let said = |path: &Path| {
        let output = bandlore().arg("identify").arg(path).output().expect("ran");
        assert_eq!(output.status.code(), Some(1), "{}", complained(&output));
        complained(&output)
    };
    let other = folder.path().join("other.parquet");
    let schema = parse_message_type("message m { required double height; }").expect("a schema");
    let mut writer = SerializedFileWriter::new(
        File::create(&other).expect("a file"),
        Arc::new(schema),
        Arc::default(),
    )
    .expect("a writer");
    let mut group = writer.next_row_group().expect("a group");
    let mut column = group.next_column().expect("a column").expect("the only one");
    column.typed::<DoubleType>().write_batch(&[1.0], None, None).expect("written");
    column.close().expect("closed");
    group.close().expect("closed");
    writer.close().expect("closed");
    let words = said(&other);
    assert!(words.contains("other.parquet: a Parquet table, 0 of its 1 columns"), "{words}");

    let mut gaps = invented(1);
    gaps.1[0].1[300..500].fill(f64::NAN);
    let path = folder.path().join("gaps.parquet");
    table(&path, &gaps, 1, packed(Compression::SNAPPY));
    let words = said(&path);
    assert!(words.contains("gaps.parquet:1: 200 of 1675 ordinates are not numbers"), "{words}");

    let output =
        bandlore().args(["check", "--format", "parquet"]).arg(&path).output().expect("ran");
    assert_eq!(output.status.code(), Some(2));
    assert!(complained(&output).contains("only `identify` writes Parquet"));
}

#[test]
fn damaged_tables_are_refused_and_never_end_the_program() {
    const FILES: usize = 1000;
    let folder = tempfile::tempdir().expect("a folder");
    let whole = folder.path().join("whole.parquet");
    let (axis, spectra) = invented(6);
    let short = axis[..60].to_vec();
    let spectra: Vec<(String, Vec<f64>)> =
        spectra.into_iter().map(|(label, curve)| (label, curve[..60].to_vec())).collect();
    let spectra = (short, spectra);
    let version_2 = |by| packed(by).set_writer_version(WriterVersion::PARQUET_2_0);
    let kinds: Vec<Vec<u8>> = [
        packed(Compression::SNAPPY),
        version_2(Compression::GZIP(Default::default())),
        packed(Compression::UNCOMPRESSED).set_dictionary_enabled(false),
        version_2(Compression::UNCOMPRESSED),
    ]
    .into_iter()
    .map(|properties| {
        table(&whole, &spectra, 3, properties);
        std::fs::read(&whole).expect("read")
    })
    .collect();
    let mut seed = 5_u64;
    let mut random = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((seed >> 33) as usize) % below
    };
    let mut paths = Vec::new();
    for number in 0..FILES {
        let mut damaged = kinds[number / 4 % kinds.len()].clone();
        match number % 4 {
            0 => damaged.truncate(4 + random(damaged.len() - 4)),
            1 => {
                let at = 4 + random(damaged.len() - 4);
                damaged[at] ^= 1 << random(8);
            }
            2 => {
                // Among what says where everything stands: the last tenth.
                let from = damaged.len() * 9 / 10;
                for _ in 0..3 {
                    let at = from + random(damaged.len() - from);
                    damaged[at] = random(256) as u8;
                }
            }
            _ => {
                let (from, to) = (random(damaged.len()), random(damaged.len()));
                let piece = damaged[from.min(to)..from.max(to)].to_vec();
                let at = 4 + random(damaged.len() - 4);
                damaged.splice(at..at, piece);
            }
        }
        let path = folder.path().join(format!("{number}.parquet"));
        std::fs::write(&path, damaged).expect("written");
        paths.push(path);
    }
    let output =
        bandlore().args(["identify", "--format", "jsonl"]).args(&paths).output().expect("ran");
    let words = complained(&output);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{:?}: {words}", output.status);
    assert!(!words.contains("panicked"), "{words}");
    let printed = printed(&output);
    for number in 0..FILES {
        assert!(printed.contains(&format!("/{number}.parquet")), "nothing is said of {number}");
    }
}
