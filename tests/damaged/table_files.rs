//! Damaged two-column and wide tables, made from one invented spectrum in the ways people write it.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::SEED;

/// What must come of a file beside being quick and harmless.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Must {
    /// Refused, the message holding these words.
    Fail(&'static str),
    /// Read, with a warning whose id is this.
    Warn(&'static str),
    /// The damage cannot be told from a file that was written so.
    Any,
}

/// A damaged file.
pub struct Damaged {
    pub name: String,
    pub bytes: Vec<u8>,
    pub must: Must,
}

const POINTS: u32 = 400;

/// Rows of the invented spectrum: three bands over a flat line, falling from 4000 cm-1.
fn rows() -> Vec<(f64, f64)> {
    (0..POINTS)
        .map(|i| {
            let wavenumber = 4000.0 - 8.5 * f64::from(i);
            let band = |at: f64, height: f64| height / (1.0 + ((wavenumber - at) / 14.0).powi(2));
            (wavenumber, 0.012 + band(1730.0, 0.5) + band(1150.0, 0.6) + band(2950.0, 0.3))
        })
        .collect()
}

fn table(heading: &str, rows: &[(f64, f64)], separator: &str, decimal: char) -> String {
    let mut text = format!("{heading}\n");
    for (wavenumber, absorbance) in rows {
        let row = format!("{wavenumber:.2}{separator}{absorbance:.5}");
        let row = if decimal == '.' { row } else { row.replace('.', &decimal.to_string()) };
        text.push_str(&row);
        text.push('\n');
    }
    text
}

fn wide(rows: &[(f64, f64)]) -> String {
    let mut text = String::from("label");
    for (wavenumber, _) in rows {
        text.push_str(&format!(",{wavenumber:.2}"));
    }
    for sample in 1..=5 {
        text.push_str(&format!("\nsheet {sample}"));
        for (_, absorbance) in rows {
            text.push_str(&format!(",{:.5}", absorbance * f64::from(sample) * 0.3));
        }
    }
    text.push('\n');
    text
}

/// The sound files that are damaged.
fn sound() -> Vec<(&'static str, String)> {
    let rows = rows();
    let rising: Vec<_> = rows.iter().rev().copied().collect();
    let in_um: Vec<_> = rows.iter().map(|&(v, a)| (1.0e4 / v, a)).collect();
    vec![
        ("comma.csv", table("cm-1,absorbance", &rows, ",", '.')),
        ("semicolon.csv", table("cm-1;absorbance", &rows, ";", ',')),
        ("tab.txt", table("wavenumber (cm-1)\tabsorbance", &rising, "\t", '.')),
        ("blanks.dpt", table("# cm-1 absorbance", &rows, "   ", '.')),
        ("micrometres.csv", table("um,absorbance", &in_um, ",", '.')),
        ("wide.csv", wide(&rows)),
    ]
}

/// Every damaged file.
pub fn all() -> Vec<Damaged> {
    let mut random = ChaCha8Rng::seed_from_u64(SEED ^ 1);
    let mut files = Vec::new();
    let mut add = |name: String, bytes: Vec<u8>, must| files.push(Damaged { name, bytes, must });
    for (name, text) in sound() {
        any_layout(name, text.as_bytes(), &mut random, &mut add);
    }
    of_columns(&mut add);
    by_hand(&mut add);
    renamed(&mut random, &mut add);
    files
}

type Add<'a> = dyn FnMut(String, Vec<u8>, Must) + 'a;

fn any_layout(name: &str, bytes: &[u8], random: &mut ChaCha8Rng, add: &mut Add<'_>) {
    for n in 0..4 {
        let end = random.random_range(1..bytes.len());
        add(format!("cut{n}-{name}"), bytes[..end].to_vec(), Must::Any);
        let mut flipped = bytes.to_vec();
        for _ in 0..=n * 8 {
            let at = random.random_range(0..flipped.len());
            flipped[at] ^= 1 << random.random_range(0..7);
        }
        add(format!("flipped{n}-{name}"), flipped, Must::Any);
    }
    let lines: Vec<&[u8]> = bytes.split(|b| *b == b'\n').collect();
    let ended = |ends: &[&[u8]]| -> Vec<u8> {
        lines
            .iter()
            .enumerate()
            .flat_map(|(i, line)| [line, ends[i % ends.len()]].concat())
            .collect()
    };
    add(format!("mixed-ends-{name}"), ended(&[b"\n", b"\r\n", b"\r"]), Must::Any);
    add(format!("blank-lines-{name}"), ended(&[b"\n\n\r\n"]), Must::Any);
    add(format!("one-line-{name}"), ended(&[b" "]), Must::Any);
    let mut nul = bytes.to_vec();
    let middle = nul.len() / 2;
    nul[middle] = 0;
    add(format!("nul-{name}"), nul, Must::Fail("not text (byte 0x00"));
    let mut run_of_nul = bytes[..middle].to_vec();
    run_of_nul.resize(bytes.len(), 0);
    add(format!("nul-to-the-end-{name}"), run_of_nul, Must::Any);
    let utf16: Vec<u8> =
        String::from_utf8_lossy(bytes).encode_utf16().flat_map(u16::to_le_bytes).collect();
    add(format!("utf16-odd-{name}"), utf16[..utf16.len() - 1].to_vec(), Must::Any);
    add(format!("bom-twice-{name}"), [b"\xEF\xBB\xBF\xEF\xBB\xBF", bytes].concat(), Must::Any);
    add(format!("latin-1-{name}"), [b"# B\xFCste\n", bytes].concat(), Must::Warn("text-latin-1"));
}

/// Faults that only a table of columns can have.
fn of_columns(add: &mut Add<'_>) {
    let rows = rows();
    let plain = |rows: &[(f64, f64)]| table("cm-1,absorbance", rows, ",", '.').into_bytes();
    let changed = |change: &dyn Fn(usize, f64, f64) -> (f64, f64)| -> Vec<(f64, f64)> {
        rows.iter().enumerate().map(|(i, &(v, a))| change(i, v, a)).collect()
    };
    for (name, heading, words) in [
        ("raman", "Raman shift (cm-1),absorbance", "Raman"),
        ("electronvolts", "eV,absorbance", "this unit is not read"),
        ("single-beam", "cm-1,single beam", "single beam"),
        ("absorptance", "cm-1,% absorption", "not absorbance"),
    ] {
        let text = table(heading, &rows, ",", '.');
        add(format!("{name}.csv"), text.into_bytes(), Must::Fail(words));
    }
    let twice = [rows.clone(), rows.clone()].concat();
    add("twice.csv".into(), plain(&twice), Must::Fail("starts over"));
    let negative = changed(&|_, v, a| (-v, a));
    add("negative-axis.csv".into(), plain(&negative), Must::Fail("not above zero"));
    let thousand = changed(&|_, v, a| (v * 1000.0, a));
    add("axis-times-thousand.csv".into(), plain(&thousand), Must::Fail("no infrared range"));
    let still = changed(&|_, _, a| (1000.0, a));
    add("axis-stands-still.csv".into(), plain(&still), Must::Fail(""));
    let flat = changed(&|_, v, _| (v, 0.25));
    add("one-value.csv".into(), plain(&flat), Must::Fail("nothing was measured"));
    let percent = changed(&|_, v, a| (v, 100.0 * 10f64.powf(-a)));
    let text = table("cm-1,transmittance", &percent, ",", '.');
    add("percent-as-fraction.csv".into(), text.into_bytes(), Must::Warn("ordinate-scale"));
    let text = table("cm-1,absorbance", &percent, ",", '.');
    add("percent-as-absorbance.csv".into(), text.into_bytes(), Must::Fail("stated as absorbance"));
    let doubled = changed(&|i, v, a| if i % 7 == 3 { (v + 8.5, a) } else { (v, a) });
    add("some-repeat.csv".into(), plain(&doubled), Must::Warn("abscissa-repeated"));
    let strayed = changed(&|i, v, a| if i == 200 { (v + 60.0, a) } else { (v, a) });
    add("one-strays.csv".into(), plain(&strayed), Must::Warn("abscissa-unsorted"));
    for (name, cell, every, must) in [
        ("few-missing.csv", "n.d.", 40, Must::Warn("ordinates-missing")),
        ("many-missing.csv", "n.d.", 10, Must::Fail("more than 5 %")),
        ("not-a-number.csv", "NaN", 40, Must::Warn("ordinates-missing")),
        ("infinite.csv", "1e999", 40, Must::Warn("ordinates-missing")),
        ("digits-without-end.csv", &"7".repeat(2000), 40, Must::Warn("ordinates-missing")),
    ] {
        let mut text = String::from("cm-1,absorbance\n");
        for (i, (v, a)) in rows.iter().enumerate() {
            let ordinate = if i % every == 5 { cell.to_owned() } else { format!("{a:.5}") };
            text.push_str(&format!("{v:.2},{ordinate}\n"));
        }
        add(name.into(), text.into_bytes(), must);
    }
    let mut text = String::from("cm-1,absorbance\n");
    for (i, (v, a)) in rows.iter().enumerate() {
        let v = if i % 9 == 4 { "lost".to_owned() } else { format!("{v:.2}") };
        text.push_str(&format!("{v},{a:.5}\n"));
    }
    add("many-axis-cells-lost.csv".into(), text.into_bytes(), Must::Fail("rows cannot be read"));
    let huge = changed(&|_, v, a| (v, a * 1e300));
    let mut text = String::from("cm-1,absorbance\n");
    for (v, a) in huge {
        text.push_str(&format!("{v:.2},{a:e}\n"));
    }
    add("times-1e300.csv".into(), text.into_bytes(), Must::Any);
}

fn by_hand(add: &mut Add<'_>) {
    let fails: [(&str, Vec<u8>, &str); 10] = [
        ("empty.csv", Vec::new(), "empty"),
        ("blank.csv", b" \n\t\n\r\n".to_vec(), "empty"),
        ("letter.txt", b"Dear all,\nthe sheets are in the store.\n".repeat(40), "no line holds"),
        ("one-column.csv", b"4000\n3998\n3996\n3994\n".repeat(20), "one number a line"),
        ("three-rows.csv", b"cm-1,A\n4000,0.1\n3998,0.2\n3996,0.1\n".to_vec(), "only 3 rows"),
        ("quotes-never-closed.csv", b"\"4000,\"0.1\n".repeat(50), ""),
        ("separators-only.csv", b",;\t,;\t\n".repeat(500), "no line holds"),
        ("one-giant-word.csv", vec![b'x'; 1 << 20], "no line holds"),
        ("one-giant-number.csv", vec![b'7'; 1 << 20], ""),
        ("signs.csv", b"-,+\n+,-\n".repeat(300), "no line holds"),
    ];
    for (name, bytes, words) in fails {
        add(name.into(), bytes, Must::Fail(words));
    }
    let mut header = b"# a note that says nothing\n".repeat(20_000);
    header.extend(table("cm-1,absorbance", &rows(), ",", '.').into_bytes());
    add("header-of-20000-lines.csv".into(), header, Must::Any);
    // Many columns over few rows, and one row of very many.
    let mut many = String::from("cm-1");
    for column in 0..20_000 {
        many.push_str(&format!(";s{column}"));
    }
    for row in 0..10 {
        many.push_str(&format!("\n{}", 4000 - row));
        many.push_str(&";1".repeat(20_000));
    }
    add("20000-columns.csv".into(), many.into_bytes(), Must::Any);
    let million = format!("{}\n", "1;".repeat(1_000_000));
    add("one-row-of-a-million.csv".into(), million.into_bytes(), Must::Fail(""));
    // A wide table, and between the lines looked at rows that end after two cells.
    let wide_row = |row: usize| format!("{};{}\n", 9000 - row, ";".repeat(4000));
    let mut short = String::new();
    for row in 0..160 {
        short.push_str(&wide_row(row).replace(";;", ";1;"));
    }
    for row in 0..60_000 {
        short.push_str(&format!("{};1\n", 8000.0 - f64::from(row) * 0.1));
    }
    for row in 0..200 {
        short.push_str(&wide_row(7000 + row).replace(";;", ";1;"));
    }
    add("rows-cut-after-two-cells.csv".into(), short.into_bytes(), Must::Any);
}

/// Archives, pictures and noise under a spectrum's name.
fn renamed(random: &mut ChaCha8Rng, add: &mut Add<'_>) {
    for (name, head, words) in [
        ("workbook.csv", &b"PK\x03\x04\x14\x00\x06\x00"[..], "ZIP archive"),
        ("old-workbook.csv", b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", "workbook"),
        ("packed.csv", b"\x1F\x8B\x08\x00", "gzip"),
        ("page.txt", b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n\x00", "PDF"),
        ("picture.csv", b"\x89PNG\r\n\x1a\n", "picture"),
        ("photo.txt", b"\xFF\xD8\xFF\xE0\x00\x10JFIF", "not text"),
        ("program.dat", b"\x7FELF\x02\x01\x01\x00", "not text"),
        ("noise.xy", b"\x00\x01\x02", "not text"),
    ] {
        let mut bytes = head.to_vec();
        bytes.extend((0..4096).map(|_| random.random::<u8>()));
        add(name.to_owned(), bytes, Must::Fail(words));
    }
    const LETTERS: &[u8] = b"0123456789.,;eE+-\t \n#\"";
    for n in 0..12 {
        let bytes = (0..8192).map(|_| LETTERS[random.random_range(0..LETTERS.len())]).collect();
        add(format!("noise-of-digits-{n}.csv"), bytes, Must::Any);
    }
}
