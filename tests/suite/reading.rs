//! Reading two-column text and wide tables: every way of writing one spectrum gives the same
//! spectrum, real exports read as their publishers describe them, and bad files say what is wrong.

use std::fs;
use std::path::{Path, PathBuf};

use bandlore::{
    ReadOptions, Spectrum,
    read::{Column, Error as ReadError},
    read_bytes, read_path,
    spectrum::{MeasurementMode, Ordinate, Origin, PointFlag},
};
use rand::{RngExt, SeedableRng};

/// Seed of every random input here.
const SEED: u64 = 20_261_125;

const SHARED: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../shared");

fn shared(folder: &str) -> Option<PathBuf> {
    let path = Path::new(SHARED).join(folder);
    if path.is_dir() {
        return Some(path);
    }
    println!("1 test skipped: {} is not there", path.display());
    None
}

fn all(bytes: &[u8], options: &ReadOptions) -> Vec<Result<Spectrum, ReadError>> {
    read_bytes(bytes, "film.csv", options).collect()
}

fn one(text: &str) -> Spectrum {
    one_with(text.as_bytes(), &ReadOptions::default())
}

fn one_with(bytes: &[u8], options: &ReadOptions) -> Spectrum {
    let mut spectra = all(bytes, options);
    assert_eq!(spectra.len(), 1);
    spectra.remove(0).unwrap_or_else(|error| panic!("{error}"))
}

fn fault(text: &str) -> String {
    all(text.as_bytes(), &ReadOptions::default()).remove(0).expect_err("a fault").to_string()
}

fn ids(spectrum: &Spectrum) -> Vec<&str> {
    spectrum.warnings().iter().map(|warning| warning.id.as_str()).collect()
}

#[test]
fn a_unit_that_cannot_become_absorbance_is_refused_wherever_it_stands_and_the_user_has_the_last_word()
 {
    let rows: String = film().iter().map(|(x, y)| format!("{x},{y:.5}\n")).collect();
    let wide = |values: fn(&(f64, f64)) -> f64| -> String {
        film().iter().map(|point| format!(",{}", values(point))).collect()
    };
    let table = format!(
        "Y units: Kubelka-Munk\nsample{}\nfilm{}\nplate{}\n",
        wide(|point| point.0),
        wide(|point| point.1),
        wide(|point| point.1)
    );
    for text in [
        format!("cm-1,Kubelka-Munk\n{rows}"),
        format!("Y units: Kubelka-Munk\n{rows}"),
        format!(
            "##TITLE=a\n##JCAMP-DX=4.24\n##DATA TYPE=INFRARED SPECTRUM\n##XUNITS=1/CM\n##YUNITS=KUBELKA-MUNK\n##XFACTOR=1\n##YFACTOR=1\n##NPOINTS=1800\n##XYPOINTS=(XY..XY)\n{rows}##END=\n"
        ),
        table,
    ] {
        let told = fault(&text).to_lowercase();
        assert!(told.contains("kubelka"), "{told}");
        let stated = ReadOptions::default().with_ordinate(Ordinate::Absorbance);
        let read = all(text.as_bytes(), &stated).remove(0).expect("read as stated");
        let said =
            read.warnings().iter().find(|w| w.id == "ordinate-overridden").expect("remarked");
        assert!(said.text.to_lowercase().contains("kubelka"), "{}", said.text);
    }
    let absorbance = format!("cm-1,absorbance\n{rows}");
    let stated = ReadOptions::default().with_ordinate(Ordinate::RelativeAbsorbance);
    let spectrum = one_with(absorbance.as_bytes(), &stated);
    let said =
        spectrum.warnings().iter().find(|w| w.id == "ordinate-overridden").expect("remarked");
    assert!(said.text.ends_with("though the file states absorbance"), "{}", said.text);
}

/// An invented film: Lorentz bands at places where PVC absorbs, as (wavenumber, absorbance),
/// descending.
fn film() -> Vec<(f64, f64)> {
    const BANDS: [(f64, f64, f64); 9] = [
        (615.0, 18.0, 0.42),
        (635.0, 14.0, 0.30),
        (690.0, 16.0, 0.38),
        (962.0, 14.0, 0.22),
        (1099.0, 14.0, 0.12),
        (1254.0, 16.0, 0.34),
        (1330.0, 10.0, 0.14),
        (1427.0, 8.0, 0.24),
        (2912.0, 24.0, 0.10),
    ];
    (0..1800)
        .map(|i| {
            let wavenumber = 4000.0 - 2.0 * f64::from(i);
            let sum: f64 = BANDS
                .iter()
                .map(|&(at, half, height)| height / (1.0 + ((wavenumber - at) / half).powi(2)))
                .sum();
            (wavenumber, 0.004 + sum)
        })
        .collect()
}

fn written(points: &[(f64, f64)], separator: &str, ending: &str) -> String {
    points.iter().map(|(x, y)| format!("{x:.4}{separator}{y:.6}{ending}")).collect()
}

fn assert_same(found: &Spectrum, expected: &Spectrum, what: &str) {
    assert_eq!(found.len(), expected.len(), "{what}");
    for (a, b) in found.wavenumbers_cm1().iter().zip(expected.wavenumbers_cm1()) {
        assert!((a - b).abs() < 1e-3, "{what}: {a} {b}");
    }
    for (a, b) in found.absorbances().iter().zip(expected.absorbances()) {
        assert!((a - b).abs() < 1e-5, "{what}: {a} {b}");
    }
}

#[test]
fn one_spectrum_comes_out_however_it_is_written() {
    let points = film();
    let expected = one(&written(&points, ",", "\n"));
    assert_eq!(expected.len(), 1800);
    assert_eq!(expected.ordinate(), Ordinate::Absorbance);
    assert_eq!(expected.range_cm1(), (402.0, 4000.0));
    for separator in [",", ";", "\t", " ", "   ", " , ", " ;"] {
        for ending in ["\n", "\r\n", "\r"] {
            let text = written(&points, separator, ending);
            assert_same(&one(&text), &expected, &format!("{separator:?} {ending:?}"));
        }
    }
    for separator in [";", "\t", " "] {
        let text = written(&points, separator, "\n").replace('.', ",");
        assert_same(&one(&text), &expected, &format!("decimal comma, {separator:?}"));
        let headed = format!("Wellenzahl [cm-1]{separator}Extinktion\n{text}");
        assert_same(&one(&headed), &expected, &format!("headed, {separator:?}"));
    }
    let quoted: String = points
        .iter()
        .map(|(x, y)| {
            format!("\"{x:.4}\",\"{y:.6}\"\n").replace('.', ",").replace("\",\"", "\";\"")
        })
        .collect();
    assert_same(&one(&quoted), &expected, "quoted");
    let mut ascending = points.clone();
    ascending.reverse();
    assert_same(&one(&written(&ascending, "\t", "\n")), &expected, "ascending");
    let scientific: String = points.iter().map(|(x, y)| format!("{x:.6E};{y:.7e}\n")).collect();
    assert_same(&one(&scientific), &expected, "scientific notation");
}

#[test]
fn one_spectrum_comes_out_in_every_unit() {
    let points = film();
    let expected = one(&written(&points, ",", "\n"));
    let map = |change: &dyn Fn(f64, f64) -> (f64, f64)| -> String {
        points
            .iter()
            .map(|&(x, y)| {
                let (x, y) = change(x, y);
                format!("{x:.12};{y:.12}\n")
            })
            .collect()
    };
    let fraction = one(&map(&|x, y| (x, 10f64.powf(-y))));
    assert_eq!(fraction.ordinate(), Ordinate::Transmittance);
    assert_eq!(fraction.ordinate_origin(), Origin::Inferred);
    assert_same(&fraction, &expected, "T");
    let percent = one(&map(&|x, y| (x, 100.0 * 10f64.powf(-y))));
    assert_eq!(percent.ordinate(), Ordinate::PercentTransmittance);
    assert_same(&percent, &expected, "%T");
    let micrometres = one(&map(&|x, y| (1.0e4 / x, y)));
    assert!(ids(&micrometres).contains(&"abscissa-inferred"));
    assert_same(&micrometres, &expected, "micrometres");
    let stated = one(&format!("wavelength (µm);A\n{}", map(&|x, y| (1.0e4 / x, y))));
    assert!(!ids(&stated).contains(&"abscissa-inferred"));
    assert_same(&stated, &expected, "stated micrometres");
    assert_same(&one(&map(&|x, y| (1.0e7 / x, y))), &expected, "nanometres");
    let scaled = one(&map(&|x, y| (x, 130.0 * y)));
    assert_eq!(scaled.ordinate(), Ordinate::RelativeAbsorbance);
}

#[test]
fn one_spectrum_comes_out_in_every_encoding() {
    let points = film();
    let text = format!("Probe;Folie 1\nWellenzahl;Länge\n{}", written(&points, ";", "\r\n"));
    let expected = one(&text);
    let utf8 = [b"\xEF\xBB\xBF", text.as_bytes()].concat();
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let latin: Vec<u8> =
        text.chars().map(|c| u8::try_from(u32::from(c)).expect("Latin-1")).collect();
    for (name, bytes) in [
        ("UTF-8 with mark", utf8),
        ("UTF-16LE", [b"\xFF\xFE", &little[..]].concat()),
        ("UTF-16BE", [b"\xFE\xFF", &big[..]].concat()),
        ("UTF-16LE without mark", little),
    ] {
        let found = one_with(&bytes, &ReadOptions::default());
        assert_same(&found, &expected, name);
        assert_eq!(found.warnings(), expected.warnings(), "{name}");
    }
    let found = one_with(&latin, &ReadOptions::default());
    assert_same(&found, &expected, "Latin-1");
    assert!(ids(&found).contains(&"text-latin-1"));
    assert_eq!(expected.provenance().title.as_deref(), Some("Folie 1"));
}

#[test]
fn a_table_of_named_columns_gives_a_spectrum_each() {
    let points = film();
    let mut text = String::from("cm-1,V01 front,V01 back,V02 front\n");
    for (x, y) in &points {
        text.push_str(&format!("{x},{y:.6},{:.6},{:.6}\n", 0.5 * y, 0.25 * y));
    }
    let spectra: Vec<Spectrum> = all(text.as_bytes(), &ReadOptions::default())
        .into_iter()
        .map(|result| result.expect("reads"))
        .collect();
    let titles: Vec<_> = spectra.iter().filter_map(|s| s.provenance().title.as_deref()).collect();
    assert_eq!(titles, ["V01 front", "V01 back", "V02 front"]);
    assert_eq!(spectra.iter().map(|s| s.provenance().block).collect::<Vec<_>>(), [1, 2, 3]);
    let half = spectra[1].absorbance_at(1427.0).expect("measured");
    let whole = spectra[0].absorbance_at(1427.0).expect("measured");
    assert!((half / whole - 0.5).abs() < 1e-4);
    let second = ReadOptions::default().with_block(2);
    assert_eq!(one_with(text.as_bytes(), &second), spectra[1]);
    let named = ReadOptions::default().with_column(Column::Name("v02 FRONT".into()));
    assert_eq!(one_with(text.as_bytes(), &named).provenance().block, 3);
    let absent = ReadOptions::default().with_block(4);
    let error = all(text.as_bytes(), &absent).remove(0).expect_err("no block 4");
    assert_eq!(error.to_string(), "film.csv: no spectrum 4; the file holds 3");
}

#[test]
fn a_table_of_rows_gives_a_spectrum_each() {
    let points = film();
    let axis: Vec<String> = points.iter().map(|(x, _)| format!("{x}")).collect();
    let row = |factor: f64| {
        points.iter().map(|(_, y)| format!("{:.6}", factor * y)).collect::<Vec<_>>().join(";")
    };
    let text = format!("id;{};sample\n1;{};V01\n2;{};V02\n", axis.join(";"), row(1.0), row(0.5));
    let spectra: Vec<Spectrum> = all(text.as_bytes(), &ReadOptions::default())
        .into_iter()
        .map(|result| result.expect("reads"))
        .collect();
    assert_eq!(spectra.len(), 2);
    assert_same(&spectra[0], &one(&written(&points, ",", "\n")), "row");
    let label = spectra[1].provenance().title.clone().expect("a label");
    let by_label = ReadOptions::default().with_column(Column::Name(label));
    assert_eq!(one_with(text.as_bytes(), &by_label), spectra[1]);
    let second = ReadOptions::default().with_block(2);
    assert_eq!(one_with(text.as_bytes(), &second), spectra[1]);
}

#[test]
fn a_column_is_picked_by_name_or_number_and_the_first_is_said() {
    let points = film();
    let mut text = String::from("cm-1;A;baseline\n");
    for (x, y) in &points {
        text.push_str(&format!("{x};{y:.6};{:.6}\n", 0.1 + 0.2 * y));
    }
    let first = one(&text);
    let warning =
        first.warnings().iter().find(|w| w.id == "columns-passed-over").expect("a warning");
    assert_eq!(
        warning.text,
        "column 2 (A) read as the ordinate; also there: 3 (baseline); \
         pass --column to read another"
    );
    let by_name = ReadOptions::default().with_column(Column::Name("Baseline".into()));
    let by_number = ReadOptions::default().with_column(Column::Number(3));
    assert_eq!(one_with(text.as_bytes(), &by_name), one_with(text.as_bytes(), &by_number));
    assert_ne!(one_with(text.as_bytes(), &by_name).absorbances(), first.absorbances());
    let absent = ReadOptions::default().with_column(Column::Number(9));
    let error = all(text.as_bytes(), &absent).remove(0).expect_err("no column 9");
    assert_eq!(
        error.to_string(),
        "film.csv: no column 9; columns with ordinates: 2 (A), 3 (baseline)"
    );
}

#[test]
fn cells_without_a_number_become_gaps() {
    let mut text = String::from("cm-1;A\n");
    for (i, (x, y)) in film().iter().enumerate() {
        match i {
            100..=102 => text.push_str(&format!("{x};\n")),
            200 => text.push_str(&format!("{x};NaN\n")),
            300 => text.push_str(&format!("{x};n.d.\n")),
            _ => text.push_str(&format!("{x};{y:.6}\n")),
        }
    }
    let spectrum = one(&text);
    assert_eq!(spectrum.len(), 1795);
    assert_eq!(spectrum.segments().len(), 4);
    assert!(!spectrum.covers(3780.0, 3810.0));
    assert!(spectrum.covers(1000.0, 3000.0));
    let warning = spectrum.warnings().iter().find(|w| w.id == "ordinates-missing").expect("said");
    assert_eq!(
        warning.text,
        "5 of 1800 ordinates are not numbers (first: \"\" in line 102, last in line 302); left out as gaps"
    );
}

#[test]
fn dark_and_saturated_points_are_flagged() {
    let text: String = film()
        .iter()
        .map(|(x, y)| format!("{x};{:.4}\n", (100.0 * 10f64.powf(-12.0 * y)) - 0.05))
        .collect();
    let spectrum = one(&format!("cm-1;%T\n{text}"));
    assert!(spectrum.saturated(610.0, 620.0));
    assert!(!spectrum.saturated(2000.0, 2200.0));
    assert!(ids(&spectrum).contains(&"saturated"));
    let spectrum =
        one(&film().iter().map(|(x, y)| format!("{x};{}\n", 8.0 * y)).collect::<String>());
    assert_eq!(spectrum.ordinate(), Ordinate::Absorbance);
    assert!(spectrum.saturated(610.0, 620.0));
}

#[test]
fn the_users_word_wins_and_the_files_word_comes_next() {
    let text = format!("# accessory: diamond ATR\ncm-1;A\n{}", written(&film(), ";", "\n"));
    let stated = one(&text);
    assert_eq!((stated.ordinate_origin(), stated.mode_origin()), (Origin::File, Origin::File));
    assert_eq!(stated.mode(), MeasurementMode::Atr);
    assert!(stated.warnings().is_empty(), "{:?}", stated.warnings());
    let said = ReadOptions::default()
        .with_ordinate(Ordinate::RelativeAbsorbance)
        .with_mode(MeasurementMode::Transmission);
    let spectrum = one_with(text.as_bytes(), &said);
    assert_eq!(spectrum.ordinate(), Ordinate::RelativeAbsorbance);
    assert_eq!((spectrum.ordinate_origin(), spectrum.mode_origin()), (Origin::User, Origin::User));
    let silent = one(&written(&film(), ";", "\n"));
    assert_eq!(silent.mode_origin(), Origin::Assumed);
    assert_eq!(ids(&silent), ["ordinate-inferred", "mode-assumed"]);
}

#[test]
fn an_abscissa_out_of_order_or_repeated_is_mended_and_said() {
    let mut points = film();
    points.swap(500, 501);
    let twice = points[900];
    points.insert(900, twice);
    let spectrum = one(&written(&points, ";", "\n"));
    assert_same(&spectrum, &one(&written(&film(), ";", "\n")), "mended");
    assert!(ids(&spectrum).contains(&"abscissa-unsorted"));
    assert!(ids(&spectrum).contains(&"abscissa-repeated"));
}

fn raw(name: &str) -> Option<Vec<Result<Spectrum, ReadError>>> {
    let path = shared("raw-formats")?.join(name);
    Some(read_path(&path, &ReadOptions::default()).collect())
}

/// The count of lines with text, as an outside count of the points.
fn lines_with_text(name: &str) -> usize {
    let text = fs::read(Path::new(SHARED).join("raw-formats").join(name)).expect("a file");
    text.split(|&b| b == b'\n').filter(|line| line.iter().any(u8::is_ascii_digit)).count()
}

// What must come out of each is in the table of ../shared/raw-formats/README.md.
#[test]
fn reads_real_exports_as_their_table_says() {
    if shared("raw-formats").is_none() {
        return;
    }
    let single = |name: &str| -> Spectrum {
        let mut spectra = raw(name).expect("there");
        assert_eq!(spectra.len(), 1, "{name}");
        spectra.remove(0).unwrap_or_else(|error| panic!("{error}"))
    };
    let name = "two-header-lines-percent-t.csv";
    let spectrum = single(name);
    assert_eq!(spectrum.ordinate(), Ordinate::PercentTransmittance);
    assert_eq!(spectrum.ordinate_origin(), Origin::File);
    // Title and headings hold digits too.
    assert_eq!(spectrum.len(), lines_with_text(name) - 2);
    assert_eq!(spectrum.len(), 3451);

    let name = "tab-no-header-transmittance.txt";
    let spectrum = single(name);
    assert_eq!(spectrum.ordinate(), Ordinate::Transmittance);
    assert_eq!(spectrum.len(), lines_with_text(name));

    let name = "comma-no-header-crlf.txt";
    let spectrum = single(name);
    assert_eq!(spectrum.ordinate(), Ordinate::Absorbance);
    assert_eq!(spectrum.len(), lines_with_text(name));

    let name = "empty-first-column.csv";
    let spectrum = single(name);
    assert_eq!(spectrum.ordinate(), Ordinate::Absorbance);
    assert_eq!(spectrum.len(), lines_with_text(name));
    assert_eq!(spectrum.absorbance_at(3996.35772), Some(0.107387));

    let name = "plain-header.csv";
    let spectrum = single(name);
    assert_eq!(
        (spectrum.ordinate(), spectrum.ordinate_origin()),
        (Ordinate::Absorbance, Origin::File)
    );
    assert_eq!(spectrum.len(), lines_with_text(name));

    let name = "bom-blank-separated-five-columns.txt";
    let spectrum = single(name);
    assert_eq!(spectrum.ordinate(), Ordinate::RelativeAbsorbance);
    assert_eq!(spectrum.len(), lines_with_text(name));
    assert!(ids(&spectrum).contains(&"columns-passed-over"));
    assert!(ids(&spectrum).contains(&"ordinate-inferred"));
    assert_eq!(spectrum.absorbance_at(555.881), Some(10.667_953_28));
    let path = Path::new(SHARED).join("raw-formats").join(name);
    let third = ReadOptions::default().with_column(Column::Number(3));
    let third = read_path(&path, &third).next().expect("one").expect("reads");
    assert_eq!(third.absorbance_at(555.881), Some(0.846_074_132));

    let name = "wide-one-spectrum-per-row.csv";
    let spectra = raw(name).expect("there");
    assert_eq!(spectra.len(), lines_with_text(name) - 1);
    for spectrum in spectra {
        let spectrum = spectrum.unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(spectrum.ordinate(), Ordinate::PercentTransmittance);
        let title = spectrum.provenance().title.clone().expect("a label");
        assert!(title.chars().any(char::is_alphabetic), "{title}");
        assert!(ids(&spectrum).contains(&"padded"));
        let (low, _) = spectrum.range_cm1();
        assert!((674.0..678.0).contains(&low), "{low}");
        assert_eq!(spectrum.flags()[0], PointFlag::Padded);
    }
}

/// The ordinate of each set, as its table in ../shared/measured-spectra/README.md gives it.
fn expected_ordinate(folder: &str, file: &str) -> Ordinate {
    match folder {
        "common-items-675" | "textile-fibres" | "rayon-and-pet" | "resin-codes-399"
        | "debris-450" => Ordinate::PercentTransmittance,
        "reference-c" | "cellulose-acetate-ds" => Ordinate::Transmittance,
        "vinyl-and-additives" | "plants" => Ordinate::RelativeAbsorbance,
        "foods-799" if file.starts_with("instant_coffee") => Ordinate::RelativeAbsorbance,
        // "various": the two kinds are told by the publishers' file names.
        "silicone-cure" if file.starts_with("laser") => Ordinate::PercentTransmittance,
        _ => Ordinate::Absorbance,
    }
}

#[test]
fn reads_every_measured_spectrum_with_the_right_ordinate_unasked() {
    let Some(root) = shared("measured-spectra/spectra") else { return };
    let (mut read, mut wrong) = (0, Vec::new());
    for folder in fs::read_dir(root).expect("folders") {
        let folder = folder.expect("a folder").path();
        let folder_name = folder.file_name().expect("a name").to_string_lossy().into_owned();
        for file in fs::read_dir(&folder).expect("files") {
            let file = file.expect("a file").path();
            let name = file.file_name().expect("a name").to_string_lossy().into_owned();
            let expected = expected_ordinate(&folder_name, &name);
            let lines = fs::read_to_string(&file).expect("text").lines().count() - 1;
            for result in read_path(&file, &ReadOptions::default()) {
                read += 1;
                match result {
                    Ok(s) if s.ordinate() == expected && s.len() == lines => {}
                    Ok(s) => wrong.push(format!(
                        "{folder_name}/{name}: {:?}, {} of {lines}",
                        s.ordinate(),
                        s.len()
                    )),
                    Err(error) => wrong.push(error.to_string()),
                }
            }
        }
    }
    println!("{read} spectra read");
    assert!(wrong.is_empty(), "{} of {read}:\n{}", wrong.len(), wrong.join("\n"));
    assert_eq!(read, 783);
}

#[test]
fn refuses_with_place_finding_cause_and_next_step() {
    let slope: String = (0..500)
        .map(|i| format!("{};{:.4}\n", 4000 - 4 * i, 0.2 + 0.0018 * f64::from(i)))
        .collect();
    assert_eq!(
        fault(&slope),
        "film.csv: ordinate unit not stated, and values 0.207 to 1.09 fit both absorbance and \
         transmittance; pass --ordinate"
    );
    assert_eq!(fault(" \n"), "film.csv: empty; export the spectrum again");
}

#[test]
fn no_bytes_make_it_panic() {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(SEED);
    let alphabet = b"0123456789.,;\t \n\r-+eE\"#:%naNTA\xB5\xE9\0";
    for round in 0..4000 {
        let length = random.random_range(0..600);
        let bytes: Vec<u8> = (0..length)
            .map(|_| {
                if round % 4 == 0 {
                    random.random()
                } else {
                    alphabet[random.random_range(0..alphabet.len())]
                }
            })
            .collect();
        for result in read_bytes(&bytes, "x", &ReadOptions::default()).take(50) {
            if let Err(error) = result {
                assert_eq!(error.to_string().lines().count(), 1);
            }
        }
    }
}

#[test]
fn damage_to_a_good_file_never_makes_it_panic() {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(SEED + 1);
    let good = written(&film()[..200], ";", "\r\n").into_bytes();
    let pieces: [&[u8]; 12] = [
        b"1e999",
        b"inf",
        b"nan",
        b"0x1F",
        b"-0",
        b"\n\n\n",
        b"\r",
        b";;;;",
        b"\"",
        b"9999999999999999999999",
        b"\xFF\xFE",
        b"1e-999",
    ];
    for _ in 0..2000 {
        let mut bytes = good.clone();
        for _ in 0..random.random_range(1..6) {
            let at = random.random_range(0..bytes.len());
            let piece = pieces[random.random_range(0..pieces.len())];
            bytes.splice(at..at, piece.iter().copied());
        }
        bytes.truncate(random.random_range(1..=bytes.len()));
        for spectrum in read_bytes(&bytes, "x", &ReadOptions::default()).flatten() {
            assert!(spectrum.absorbances().iter().all(|a| a.is_finite()));
        }
    }
}

#[test]
fn absurd_shapes_end_in_a_clear_error_or_a_spectrum() {
    let wide = "1,".repeat(300_000);
    let deep = "1\n".repeat(300_000);
    let long = "9".repeat(1_000_000);
    let quotes = "\"".repeat(200_000);
    let row = format!("{}\n{}\n", wide, wide);
    let axis: String = (1..200_000).map(|i| format!("{i},")).collect();
    for text in [wide.clone(), deep, long, quotes, row, format!("{axis}\n{axis}\n{wide}\n")] {
        for result in read_bytes(text.as_bytes(), "x", &ReadOptions::default()) {
            if let Err(error) = result {
                let message = error.to_string();
                assert_eq!(message.lines().count(), 1);
                assert!(message.chars().count() < 400, "{message}");
            }
        }
    }
}

/// Two films in columns of their own, the second shorter and on another grid.
fn pairs(heading: &str) -> String {
    let second = |i: usize| (3990.0 - 9.0 * i as f64, 0.4 * film()[i].1 + 0.01);
    let mut text = heading.to_owned();
    for (i, (wavenumber, absorbance)) in film().into_iter().enumerate() {
        text.push_str(&format!("{wavenumber},{absorbance:.5},"));
        if i < 300 {
            let (wavenumber, absorbance) = second(i);
            text.push_str(&format!("{wavenumber},{absorbance:.5}\n"));
        } else {
            text.push_str(",\n");
        }
    }
    text
}

#[test]
fn columns_that_alternate_give_a_spectrum_for_each_pair() {
    for (heading, titles) in [
        ("cm-1,A,cm-1,A\n", ["pair 1", "pair 2"]),
        ("cm-1,front,cm-1,back\n", ["front", "back"]),
        ("front,,back,\n", ["front", "back"]),
        ("", ["pair 1", "pair 2"]),
    ] {
        let text = pairs(heading);
        let spectra: Vec<Spectrum> = all(text.as_bytes(), &ReadOptions::default())
            .into_iter()
            .map(|answer| answer.expect("read"))
            .collect();
        assert_eq!(spectra.len(), 2, "{heading}");
        for (spectrum, title) in spectra.iter().zip(titles) {
            assert_eq!(spectrum.provenance().title.as_deref(), Some(title), "{heading}");
            assert!(ids(spectrum).contains(&"column-pairs"), "{heading}");
            assert!(!ids(spectrum).contains(&"ordinates-missing"), "{heading}");
        }
        assert_eq!((spectra[0].len(), spectra[1].len()), (film().len(), 300), "{heading}");
        assert_eq!(spectra[1].range_cm1(), (3990.0 - 9.0 * 299.0, 3990.0), "{heading}");
        let last = film().into_iter().map(|(wavenumber, _)| wavenumber).fold(0.0, f64::max);
        assert_eq!(spectra[0].range_cm1().1, last, "{heading}");
        // One of them alone, by block or by its column.
        for options in [
            ReadOptions::default().with_block(2),
            ReadOptions::default().with_column(Column::Number(4)),
        ] {
            let alone = one_with(text.as_bytes(), &options);
            assert_eq!(alone.absorbances(), spectra[1].absorbances(), "{heading}");
            assert_eq!(alone.provenance().block, 2, "{heading}");
        }
    }
}

#[test]
fn further_ordinates_over_one_abscissa_are_no_pairs() {
    let mut text = String::from("cm-1,A,count,noise\n");
    for (i, (wavenumber, absorbance)) in film().into_iter().enumerate() {
        text.push_str(&format!("{wavenumber},{absorbance:.5},{i},{:.5}\n", 0.001 * (i % 3) as f64));
    }
    let answers = all(text.as_bytes(), &ReadOptions::default());
    assert_eq!(answers.len(), 1);
    let spectrum = answers[0].as_ref().expect("read");
    assert!(ids(spectrum).contains(&"columns-passed-over"));
}

/// The thresholds of the inference were set on measured files; these spectra are computed from
/// measured optical constants (sources in `optical_constants.rs`), and none of them was among those.
#[test]
fn infers_the_ordinate_of_computed_spectra_however_they_are_written() {
    let Some(folder) = shared("optical-constants") else { return };
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    let (mut right, mut asked, mut tried) = (0, Vec::new(), 0);
    for path in files {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let text = std::fs::read_to_string(&path).expect("text");
        let points: Vec<(f64, f64)> = text
            .lines()
            .skip(1)
            .map(|line| {
                let cell = |at: Option<&str>| at.and_then(|c| c.parse().ok()).expect("a number");
                (cell(line.split(',').next()), cell(line.rsplit(',').next()))
            })
            .collect();
        let top = points.iter().map(|(_, a)| *a).fold(0.0, f64::max);
        type Written = fn(f64, f64) -> f64;
        let forms: [(Ordinate, Written); 4] = [
            (Ordinate::Absorbance, |a, _| a),
            (Ordinate::Transmittance, |a, _| 10f64.powf(-a)),
            (Ordinate::PercentTransmittance, |a, _| 100.0 * 10f64.powf(-a)),
            (Ordinate::RelativeAbsorbance, |a, top| 100.0 * a / top),
        ];
        for (ordinate, written) in forms {
            let rows: String = points
                .iter()
                .map(|(wavenumber, a)| format!("{wavenumber},{:.6}\n", written(*a, top)))
                .collect();
            tried += 1;
            match all(rows.as_bytes(), &ReadOptions::default()).remove(0) {
                // Read wrongly is worse than asked: it must not happen at all.
                Ok(spectrum) => {
                    assert_eq!(spectrum.ordinate(), ordinate, "{name}");
                    right += 1;
                }
                Err(error) => {
                    assert!(error.to_string().contains("pass --ordinate"), "{name}: {error}");
                    asked.push(format!("{name} as {ordinate:?}"));
                }
            }
        }
    }
    println!("{right} of {tried} inferred, asked for: {}", asked.join(", "));
    assert!(right * 10 >= tried * 9, "{}", asked.join(", "));
}

/// The film as percent transmittance, as text with this before it.
fn percent_under(head: &str, separator: &str) -> String {
    let rows: String = film()
        .iter()
        .map(|(x, y)| format!("{x:.2}{separator}{:.4}\n", 100.0 * 10f64.powf(-y)))
        .collect();
    format!("{head}{rows}")
}

#[test]
fn settings_right_above_the_numbers_are_no_headings() {
    let expected = one(&written(&film(), ",", "\n"));
    for (head, separator) in [
        ("Resolution,4 cm-1\n", ","),
        ("Sample,Film 3\nResolution,4 cm-1\n", ","),
        ("Start\t4000 cm-1\n", "\t"),
        ("Start\t4000 cm-1\nEnd\t400 cm-1\n", "\t"),
        ("Range;4000-400 cm-1\n", ";"),
        ("Laser;15798.3 cm-1\nZero filling;2\n", ";"),
        ("Smoothing (cm-1);(cm-1)\n", ";"),
    ] {
        let text = format!("{head}{}", written(&film(), separator, "\n"));
        assert_same(&one(&text), &expected, head);
    }
    let stated =
        one("Resolution,4 cm-1\n4000,1\n3998,1\n3996,2\n3994,1\n3992,1\n3990,1\n3988,3\n3986,1\n");
    assert_eq!(stated.provenance().stated_resolution.as_deref(), Some("4"));
    for head in ["X units\tcm-1\nY units\t%T\n", "Y units\t%T\nX units\tcm-1\n"] {
        let spectrum = one(&percent_under(head, "\t"));
        assert_eq!(spectrum.ordinate(), Ordinate::PercentTransmittance, "{head}");
        assert_eq!(spectrum.ordinate_origin(), Origin::File, "{head}");
    }
    // Real headings stay what they were.
    for head in ["cm-1\t%T\n", "X\tY\ncm-1\t%T\n", "Wavenumber (cm-1)\tT (%)\n"] {
        let spectrum = one(&percent_under(head, "\t"));
        assert_eq!(spectrum.ordinate_origin(), Origin::File, "{head}");
    }
}

#[test]
fn a_column_headed_absorbance_beats_one_of_unknown_heading() {
    let rows: String = film()
        .iter()
        .enumerate()
        .map(|(i, (x, y))| format!("{x};{};{y:.6}\n", 7 + i % 5))
        .collect();
    let found = one(&format!("cm-1;quality;absorbance\n{rows}"));
    assert_same(&found, &one(&written(&film(), ",", "\n")), "the third column");
    assert!(ids(&found).contains(&"columns-passed-over"));
    // The first is taken where the other is no spectrum: its numbers, 7 to 11, are in no known unit.
    let told = fault(&format!("cm-1;quality;absorbance (baseline)\n{rows}"));
    assert!(told.contains("values 7 to 11"), "{told}");
}

#[test]
fn a_file_cut_within_its_last_number_says_so() {
    let lines: Vec<String> = film().iter().map(|(x, y)| format!("{x:.2},{y:.6}")).collect();
    let whole = lines.join("\n");
    let doubted = |text: &str| ids(&one(text)).contains(&"last-row-cut");
    // Of 0.004321 are left 0.004 and 0.0: other numbers.
    for lost in [3, 5] {
        assert!(doubted(&whole[..whole.len() - lost]), "{lost}");
    }
    // Many programs end the last row without a line end, and some leave out a zero.
    for text in [whole.clone(), whole[..whole.len() - 1].to_owned(), format!("{whole}\n")] {
        assert!(!doubted(&text));
    }
    // A last row that is short and closed was meant so.
    assert!(!doubted(&format!("{}\n", &whole[..whole.len() - 5])));
}

#[test]
fn rows_that_cannot_be_read_are_counted_wherever_they_stand() {
    let points = film();
    let lines: Vec<String> = points.iter().map(|(x, y)| format!("{x:.2},{y:.6}")).collect();
    let warning = |text: &str| {
        let spectrum = one(text);
        let found = spectrum.warnings().iter().find(|w| w.id == "rows-passed-over").cloned();
        (spectrum.len(), found.map(|w| w.text))
    };
    let with = |places: &[(usize, &str)]| {
        let mut lines = lines.clone();
        for &(at, text) in places {
            lines[at] = text.to_owned();
        }
        format!("cm-1,A\n{}\nend of the data\n", lines.join("\n"))
    };
    assert_eq!(warning(&with(&[])), (1800, None));
    // Before: letters for digits, another separator, no ordinate.
    for before in ["4O00.00,0.004", "4000.00;0.004", "4000.00,n.d."] {
        let said = format!("line 2 cannot be read as a row and was passed over: \"{before}\"");
        assert_eq!(warning(&with(&[(0, before)])), (1799, Some(said)), "{before}");
    }
    // Among, and behind.
    let said = "3 rows cannot be read and were passed over: first line 102 \"x\", last line 1801 \
                \"4o2.00,0.1\"";
    let text = with(&[(100, "x"), (900, "2200,00;0,01"), (1799, "4o2.00,0.1")]);
    assert_eq!(warning(&text), (1797, Some(said.to_owned())));
    let said = "2 rows cannot be read and were passed over: first line 1800 \"404.00;0.1\", last \
                line 1801 \"402.00;0.1\"";
    let text = with(&[(1798, "404.00;0.1"), (1799, "402.00;0.1")]);
    assert_eq!(warning(&text), (1798, Some(said.to_owned())));
    // Settings, dates and notes are none.
    for note in ["2026-11-27 14:03", "27.11.2026", "32 scans", "1 of 3", "# 4000;1", "Scans,32"] {
        let text = format!("{note}\n{}\n{note}\n", lines.join("\n"));
        assert_eq!(warning(&text), (1800, None), "{note}");
    }
}

#[test]
fn a_file_whose_halves_differ_is_refused() {
    let points = film();
    let half = |from: usize, to: usize, change: &dyn Fn(String) -> String| -> String {
        points[from..to].iter().map(|(x, y)| change(format!("{x:.2},{y:.6}\n"))).collect()
    };
    let same = |row: String| row;
    let changes: [(&str, &dyn Fn(String) -> String); 4] = [
        ("semicolons", &|row| row.replace(',', ";")),
        ("blanks", &|row| row.replace(',', "   ")),
        ("decimal commas", &|row| row.replace(',', ";").replace('.', ",")),
        ("letters", &|row| format!("3{}", row.replacen('.', "o", 1))),
    ];
    // Of commas in both halves a third column comes out, which one half does not have.
    let is_told = |said: &str| {
        let told =
            ["rows cannot be read, more than 5 %", "two ways", "of 1800 ordinates are not numbers"];
        told.iter().any(|words| said.contains(words))
    };
    for (what, change) in changes {
        for cut in [900, 1600] {
            let text = format!("{}{}", half(0, cut, &same), half(cut, 1800, change));
            let said = fault(&text);
            assert!(is_told(&said), "{what} from {cut}: {said}");
            let text = format!("{}{}", half(0, 1800 - cut, change), half(1800 - cut, 1800, &same));
            let said = fault(&text);
            assert!(is_told(&said), "{what} up to {}: {said}", 1800 - cut);
        }
    }
}

#[test]
fn a_file_that_goes_on_in_another_unit_or_scale_is_refused() {
    let percent = |a: f64| 100.0 * 10f64.powf(-a);
    let changes: [(&str, &dyn Fn(f64) -> f64); 4] = [
        ("per cent", &percent),
        ("a thousand times as much", &|a| 1000.0 * a),
        ("a hundred times as much", &|a| 100.0 * a),
        ("a tenth", &|a| 0.1 * a),
    ];
    for (what, change) in changes {
        for heading in ["", "cm-1,A\n", "cm-1,%T\n", "cm-1,value\n"] {
            for (first, second) in [(true, false), (false, true)] {
                let turned = |a: f64, turn: bool| if turn { change(a) } else { a };
                let rows: String = film()
                    .iter()
                    .enumerate()
                    .map(|(i, (x, a))| {
                        let a = a + 0.02;
                        format!("{x},{:.6}\n", turned(a, if i < 900 { first } else { second }))
                    })
                    .collect();
                let said = fault(&format!("{heading}{rows}"));
                let line = 901 + usize::from(!heading.is_empty());
                assert!(
                    said.starts_with(&format!("film.csv:{line}: at 2200 cm⁻¹")),
                    "{what}: {said}"
                );
                assert!(said.contains("two units or scales in one file"), "{what}: {said}");
                // No word of the user's makes one of two.
                for ordinate in [Ordinate::PercentTransmittance, Ordinate::RelativeAbsorbance] {
                    let options = ReadOptions::default().with_ordinate(ordinate);
                    assert!(all(rows.as_bytes(), &options)[0].is_err(), "{what}");
                }
            }
        }
    }
}

#[test]
fn another_scale_at_one_end_of_the_range_is_doubted() {
    let rows: String = film()
        .iter()
        .enumerate()
        .map(|(i, (x, a))| {
            let a = a + 0.02;
            format!("{x},{:.6}\n", if i < 150 { 100.0 * a } else { a })
        })
        .collect();
    let found = one(&format!("cm-1,A\n{rows}"));
    let said = found.warnings().iter().find(|w| w.id == "scale-changes").expect("said");
    assert!(said.text.starts_with("at 3700 cm⁻¹ the ordinates jump from 2"), "{}", said.text);
    assert!(said.text.contains("the 150 points at this end"), "{}", said.text);
}

#[test]
fn marks_between_thousands_are_read_and_said() {
    let points = film();
    let expected = one(&written(&points, ";", "\n"));
    for mark in ["'", "\u{2019}", "\u{202f}", "\u{a0}", "\u{2009}", " "] {
        for separator in [";", "\t", ",", " "] {
            if mark == " " && matches!(separator, "," | " ") {
                continue;
            }
            let rows: String = points
                .iter()
                .map(|(x, y)| {
                    let x = match x / 1000.0 {
                        thousands if thousands >= 1.0 => {
                            format!("{}{mark}{:08.4}", thousands.floor(), x % 1000.0)
                        }
                        _ => format!("{x:.4}"),
                    };
                    format!("{x}{separator}{y:.6}\n")
                })
                .collect();
            let found = one(&format!("cm-1{separator}A\n{rows}"));
            assert_same(&found, &expected, &format!("{mark:?} {separator:?}"));
            assert!(ids(&found).contains(&"thousands-marks"));
        }
    }
}

#[test]
fn an_ordinate_that_the_values_contradict_is_refused_from_the_command_line_too() {
    let options = |ordinate| ReadOptions::default().with_ordinate(ordinate);
    let text = percent_under("cm-1;value\n", ";");
    let error =
        all(text.as_bytes(), &options(Ordinate::Absorbance)).remove(0).expect_err("percent");
    let error = error.to_string();
    assert!(error.contains("--ordinate absorbance does not fit values"), "{error}");
    assert!(error.contains("they look like percent transmittance"), "{error}");
    assert!(fault(&percent_under("cm-1;absorbance\n", ";")).contains("stated as absorbance"));
    let percent = one_with(text.as_bytes(), &options(Ordinate::PercentTransmittance));
    assert_same(&percent, &one(&written(&film(), ";", "\n")), "percent");
}

#[test]
fn instrument_files_are_told_from_damaged_text() {
    // Invented: a tag, a count and values as a machine stores them.
    let mut binary = b"SPEC\x02\0\0\0".to_vec();
    binary.extend(film().iter().flat_map(|(_, y)| y.to_le_bytes()));
    let what = |bytes: &[u8]| {
        all(bytes, &ReadOptions::default()).remove(0).expect_err("no text").to_string()
    };
    assert!(what(&binary).contains("export as text or JCAMP-DX from the instrument"));
    // One stray control character is damage on the way, not another kind of file.
    let mut text = written(&film(), ";", "\n").into_bytes();
    text[5000] = 0x01;
    assert!(what(&text).contains("not text (byte 0x01 at offset 5000); "), "{}", what(&text));
}

#[test]
fn a_row_of_a_wide_table_that_is_written_otherwise_does_not_vanish() {
    let points = film();
    let axis: Vec<String> = points.iter().map(|(x, _)| format!("{x}")).collect();
    let row = |separator: &str| {
        points.iter().map(|(_, y)| format!("{y:.6}")).collect::<Vec<_>>().join(separator)
    };
    let text = format!("id;{}\n1;{}\n2\t{}\nend of data\n", axis.join(";"), row(";"), row("\t"));
    let spectra = all(text.as_bytes(), &ReadOptions::default());
    assert_eq!(spectra.len(), 2);
    assert!(spectra[0].is_ok());
    let error = spectra[1].as_ref().expect_err("tabs among semicolons").to_string();
    assert!(error.starts_with("film.csv:3: 1800 of 1800 ordinates are not numbers"), "{error}");
}
