//! The invented two-column and broken samples: each is what its generator writes, each good one
//! reads, and each broken one says what is wrong, word for word.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use bandlore::{
    ReadOptions, Spectrum, read_path,
    spectrum::{Ordinate, absorbance_from_transmittance},
};

const SAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-spectra");

/// Set this to write the samples anew.
const RENEW: &str = "BANDLORE_RENEW_SAMPLES";

/// Band places, half widths in cm⁻¹ and heights of three invented films: rigid PVC, polycarbonate
/// and PMMA absorb at these places; widths and heights are made up.
const PVC: [(f64, f64, f64); 9] = [
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
const PC: [(f64, f64, f64); 8] = [
    (555.0, 8.0, 0.12),
    (830.0, 8.0, 0.22),
    (1014.0, 7.0, 0.18),
    (1080.0, 9.0, 0.12),
    (1160.0, 14.0, 0.40),
    (1219.0, 14.0, 0.46),
    (1504.0, 7.0, 0.26),
    (1770.0, 11.0, 0.30),
];
const PMMA: [(f64, f64, f64); 8] = [
    (751.0, 9.0, 0.08),
    (840.0, 9.0, 0.06),
    (986.0, 10.0, 0.10),
    (1143.0, 16.0, 0.44),
    (1190.0, 14.0, 0.26),
    (1240.0, 14.0, 0.16),
    (1435.0, 12.0, 0.12),
    (1724.0, 10.0, 0.40),
];

/// Points from 4000 down to 402 cm⁻¹, 4 apart.
fn film(bands: &[(f64, f64, f64)]) -> Vec<(f64, f64)> {
    (0..900)
        .map(|i| {
            let wavenumber = 4000.0 - 4.0 * f64::from(i);
            let sum: f64 = bands
                .iter()
                .map(|&(at, half, height)| height / (1.0 + ((wavenumber - at) / half).powi(2)))
                .sum();
            (wavenumber, 0.003 + sum)
        })
        .collect()
}

fn rows(points: &[(f64, f64)], separator: &str, ending: &str) -> String {
    points.iter().map(|(x, y)| format!("{x:.1}{separator}{y:.5}{ending}")).collect()
}

/// Folder and name, and the bytes.
fn good() -> Vec<(&'static str, Vec<u8>)> {
    let (pvc, pc, pmma) = (film(&PVC), film(&PC), film(&PMMA));
    let mut wide = String::from("cm-1");
    for (x, _) in &pvc {
        let _ = write!(wide, ",{x:.1}");
    }
    wide.push_str(",label\n");
    for (i, (name, points)) in
        [("invented PVC", &pvc), ("invented PC", &pc), ("invented PMMA", &pmma)].iter().enumerate()
    {
        let _ = write!(wide, "{}", i + 1);
        for (_, y) in *points {
            let _ = write!(wide, ",{y:.5}");
        }
        let _ = writeln!(wide, ",{name}");
    }
    let mut columns = String::from("wavenumber;invented PVC;invented PC;invented PMMA\n");
    for ((a, b), c) in pvc.iter().zip(&pc).zip(&pmma) {
        let _ = writeln!(columns, "{:.1};{:.5};{:.5};{:.5}", a.0, a.1, b.1, c.1);
    }
    let percent: String =
        pc.iter().map(|(x, y)| format!("{x:.1},{:.3}\n", 100.0 * 10f64.powf(-y))).collect();
    let micrometres: String =
        pmma.iter().map(|(x, y)| format!("{:.6}\t{y:.5}\n", 1.0e4 / x)).collect();
    let german = format!(
        "Probe: erfundene Folie\r\nAuflösung: 4 cm-1\r\nGerät: Diamant-ATR\r\n\
         Wellenzahl [1/cm];Extinktion\r\n{}",
        rows(&pvc, ";", "\r\n").replace('.', ",")
    );
    let latin: Vec<u8> =
        german.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect();
    let utf16 = format!("cm-1\tAbsorbance\n{}", rows(&pc, "\t", "\n"));
    let utf16: Vec<u8> =
        [0xFEFF].into_iter().chain(utf16.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let padded: String = pvc
        .iter()
        .map(|&(x, y)| {
            let t = if x < 650.0 { 0.0 } else { 100.0 * 10f64.powf(-y) };
            format!("{x:.1},{t:.3}\n")
        })
        .collect();
    let mut gaps = String::from("cm-1,A\n");
    for (i, (x, y)) in pmma.iter().enumerate() {
        let cell = match i {
            50 => "n.d.".to_owned(),
            51 => String::new(),
            400 => "NaN".to_owned(),
            _ => format!("{y:.5}"),
        };
        let _ = writeln!(gaps, "{x:.1},{cell}");
    }
    vec![
        (
            "two-column/comma-with-headings.csv",
            format!("Wavenumber,Absorbance\n{}", rows(&pvc, ",", "\n")).into(),
        ),
        ("two-column/semicolon-decimal-comma-latin-1.csv", latin),
        (
            "two-column/tab-micrometres.txt",
            format!("# invented film\nmicrometres\tA\n{micrometres}").into(),
        ),
        ("two-column/blanks-no-header.txt", rows(&pc, "   ", "\r\n").into()),
        ("two-column/percent-transmittance.csv", format!("cm-1,%T\n{percent}").into()),
        (
            "two-column/percent-transmittance-padded-below-650.csv",
            format!("cm-1,%T\n{padded}").into(),
        ),
        ("two-column/utf-16.txt", utf16),
        ("two-column/gaps.csv", gaps.into()),
        ("two-column/one-spectrum-a-column.csv", columns.into()),
        ("two-column/one-spectrum-a-row.csv", wide.into()),
    ]
}

/// Name, bytes and the exact message behind the path.
fn broken() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let pvc = film(&PVC);
    let text = rows(&pvc, ";", "\n");
    let mut missing = String::from("cm-1;A\n");
    for (i, (x, y)) in pvc.iter().enumerate() {
        let cell = if i % 15 == 7 { "n.d.".to_owned() } else { format!("{y:.5}") };
        let _ = writeln!(missing, "{x:.1};{cell}");
    }
    let two_commas: String =
        pvc.iter().map(|(x, y)| format!("{x:.1},{y:.5}\n").replace('.', ",")).collect();
    let mut thousands = String::from("cm-1 A\n");
    for (x, y) in &pvc {
        let (x, y) = (format!("{x:.0}"), format!("{y:.2}").replace('.', ","));
        let x = match x.split_at_checked(x.len().saturating_sub(3)) {
            Some((head, tail)) if !head.is_empty() => format!("{head},{tail}"),
            _ => x,
        };
        let _ = writeln!(thousands, "{x} {y}");
    }
    let slope: String = (0..500)
        .map(|i| format!("{};{:.4}\n", 4000 - 4 * i, 0.2 + 0.0018 * f64::from(i)))
        .collect();
    let percent: String =
        pvc.iter().map(|(x, y)| format!("{x:.1};{:.3}\n", 100.0 * 10f64.powf(-y))).collect();
    let single: String = pvc.iter().map(|(_, y)| format!("{y:.5}\n")).collect();
    vec![
        ("empty.csv", Vec::new(), ": empty; export the spectrum again"),
        (
            "picture.jpg",
            b"\xFF\xD8\xFF\xE0\x00\x10JFIF\x00invented".to_vec(),
            ": not text (byte 0xFF at offset 0, a picture: export the data, not the image); readable: \
             two-column text, JCAMP-DX",
        ),
        (
            "workbook.csv",
            b"PK\x03\x04\x14\x00invented".to_vec(),
            ": not text (byte 0x03 at offset 2, a ZIP archive or a workbook: unpack it, or save \
             the sheet as CSV); readable: two-column text, JCAMP-DX",
        ),
        (
            "letter.txt",
            b"Dear reader,\nthis is no spectrum.\n".to_vec(),
            ": no line holds two numbers (first line: \"Dear reader,\"); readable: two-column \
             text, JCAMP-DX",
        ),
        (
            "one-column.txt",
            single.into(),
            ":1: \"0.00310\": one number a line, but a spectrum needs wavenumber and ordinate; \
             export both columns",
        ),
        (
            "cut-short.csv",
            text[..60].into(),
            ":4: only 4 rows of numbers, at least 8 are needed; the file may be cut short",
        ),
        (
            "many-cells-without-numbers.csv",
            missing.into(),
            ":9: 60 of 900 ordinates are not numbers (first: \"n.d.\"), more than 5 %; fill or \
             delete the rows",
        ),
        (
            "decimal-comma-between-commas.csv",
            two_commas.into(),
            ":1: \"4000,0,0,00310\": comma read two ways, decimal or between columns; save with a \
             semicolon between columns",
        ),
        (
            "comma-between-thousands.txt",
            thousands.into(),
            ":2: \"4,000 0,00\": comma read two ways, decimal or thousands; save with a semicolon \
             between columns",
        ),
        (
            "two-spectra-below-each-other.csv",
            format!("{text}{text}").into(),
            ":901: abscissa starts over at 4000 cm⁻¹; a second spectrum may follow the first, \
             save one spectrum a file or one a column",
        ),
        (
            "ordinate-unclear.csv",
            slope.into(),
            ": ordinate unit not stated, and values 0.207 to 1.09 fit both absorbance and \
             transmittance; pass --ordinate",
        ),
        (
            "heading-contradicts-values.csv",
            format!("cm-1;Absorbance\n{percent}").into(),
            ": ordinate stated as absorbance, but values 35.8 to 99.3 fit percent \
             transmittance; pass --ordinate",
        ),
        (
            "single-beam.csv",
            format!("cm-1;Single beam\n{text}").into(),
            ":1: \"Single beam\": a single beam is not divided by its background; export \
             absorbance or transmittance",
        ),
        (
            "raman-shift.csv",
            format!("Raman shift (cm-1);Intensity\n{text}").into(),
            ":1: \"Raman shift (cm-1)\": a Raman shift is not an infrared wavenumber; readable: \
             cm⁻¹, micrometres, nanometres",
        ),
        (
            "nothing-measured.csv",
            pvc.iter().map(|(x, _)| format!("{x};0\n")).collect::<String>().into(),
            ": every ordinate is 0; nothing was measured, or the wrong column was exported",
        ),
    ]
}

fn check(name: &str, bytes: &[u8]) {
    let path = Path::new(SAMPLES).join(name);
    if std::env::var_os(RENEW).is_some() {
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(&path, bytes).expect("written");
    }
    let kept = fs::read(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
    assert!(kept == bytes, "{name} differs from what is generated; set {RENEW}=1 and look");
}

#[test]
fn every_sample_is_what_its_generator_writes_and_nothing_else_is_there() {
    let (good, broken) = (good(), broken());
    for (name, bytes) in &good {
        check(name, bytes);
    }
    for (name, bytes, _) in &broken {
        check(&format!("broken/{name}"), bytes);
    }
    // The JCAMP-DX files in `broken` have tests of their own, which ask for each by name.
    let count = |folder: &str| {
        fs::read_dir(Path::new(SAMPLES).join(folder))
            .expect("a folder")
            .filter(|entry| {
                let name = entry.as_ref().expect("an entry").file_name();
                !name.to_string_lossy().starts_with("jcamp-")
            })
            .count()
    };
    assert_eq!(count("two-column"), good.len());
    assert_eq!(count("broken"), broken.len());
}

fn read(name: &str) -> Vec<Spectrum> {
    read_path(&Path::new(SAMPLES).join("two-column").join(name), &ReadOptions::default())
        .map(|result| result.unwrap_or_else(|error| panic!("{error}")))
        .collect()
}

#[test]
fn every_good_sample_reads_as_it_was_made() {
    let near = |spectrum: &Spectrum, bands: &[(f64, f64, f64)]| {
        for (x, y) in film(bands) {
            // Rounded micrometres may end a hair inside the grid.
            if spectrum.covers(x, x)
                && let Some(found) = spectrum.absorbance_at(x)
            {
                assert!((found - y).abs() < 2e-4, "{}: {found} {y}", spectrum.provenance().file);
            }
        }
    };
    for (name, bands, ordinate) in [
        ("comma-with-headings.csv", &PVC[..], Ordinate::Absorbance),
        ("semicolon-decimal-comma-latin-1.csv", &PVC, Ordinate::Absorbance),
        ("tab-micrometres.txt", &PMMA, Ordinate::Absorbance),
        ("blanks-no-header.txt", &PC, Ordinate::Absorbance),
        ("percent-transmittance.csv", &PC, Ordinate::PercentTransmittance),
        ("percent-transmittance-padded-below-650.csv", &PVC, Ordinate::PercentTransmittance),
        ("utf-16.txt", &PC, Ordinate::Absorbance),
        ("gaps.csv", &PMMA, Ordinate::Absorbance),
    ] {
        let spectra = read(name);
        assert_eq!(spectra.len(), 1, "{name}");
        assert_eq!(spectra[0].ordinate(), ordinate, "{name}");
        near(&spectra[0], bands);
    }
    for name in ["one-spectrum-a-column.csv", "one-spectrum-a-row.csv"] {
        let spectra = read(name);
        let titles: Vec<_> =
            spectra.iter().filter_map(|s| s.provenance().title.as_deref()).collect();
        assert_eq!(titles, ["invented PVC", "invented PC", "invented PMMA"], "{name}");
        near(&spectra[0], &PVC);
        near(&spectra[1], &PC);
        near(&spectra[2], &PMMA);
    }
    let german = &read("semicolon-decimal-comma-latin-1.csv")[0];
    assert_eq!(german.provenance().title.as_deref(), Some("erfundene Folie"));
    assert_eq!(german.provenance().stated_resolution.as_deref(), Some("4"));
    let padded = &read("percent-transmittance-padded-below-650.csv")[0];
    assert_eq!(padded.range_cm1().0, 652.0);
    // The filler must not show up as the darkest transmittance.
    assert!(padded.absorbances().iter().all(|&a| a < absorbance_from_transmittance(0.01)));
}

#[test]
fn every_broken_sample_says_what_is_wrong() {
    let mut wrong = Vec::new();
    for (name, _, message) in broken() {
        let path = Path::new(SAMPLES).join("broken").join(name);
        let mut results: Vec<_> = read_path(&path, &ReadOptions::default()).collect();
        assert_eq!(results.len(), 1, "{name}");
        let error = results.remove(0).expect_err(name).to_string();
        let expected = format!("{}{message}", path.display());
        if error != expected {
            wrong.push(format!("found    {error}\nexpected {expected}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
