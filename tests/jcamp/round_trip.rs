//! What is written in any form reads back the same.

use bandlore::{ReadOptions, Spectrum, read::decode_jcamp_blocks, read_bytes};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::encoder::{FORMS, Form, Sheet, link};

/// The seed of every random sheet in this file.
const SEED: u64 = 0x1988_0042_0151;

/// Bands on a noisy floor, flat runs, zeros, negative values and large steps, so that every digit
/// and every form of it comes up.
fn ordinates(random: &mut ChaCha8Rng, count: usize) -> Vec<i64> {
    let mut values = Vec::with_capacity(count);
    let mut level = 2_000_i64;
    while values.len() < count {
        match random.random_range(0..6) {
            0 => {
                let run = random.random_range(1..40);
                values.extend(std::iter::repeat_n(level, run));
            }
            1 => values.extend(std::iter::repeat_n(0, random.random_range(1..5))),
            2 => {
                level = random.random_range(-90_000..120_000);
                values.push(level);
            }
            3 => {
                let slope = random.random_range(-300..300);
                for _ in 0..random.random_range(1..30) {
                    level += slope;
                    values.push(level);
                }
            }
            _ => {
                for _ in 0..random.random_range(1..30) {
                    level += random.random_range(-12..13);
                    values.push(level);
                }
            }
        }
        level = level.clamp(-90_000, 120_000);
    }
    values.truncate(count);
    values
}

fn one(text: &str) -> Spectrum {
    let mut all: Vec<_> =
        read_bytes(text.as_bytes(), "sheet.dx", &ReadOptions::default()).collect();
    assert_eq!(all.len(), 1);
    all.remove(0).expect("reads")
}

#[test]
fn every_form_reads_back_to_the_last_digit() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    for round in 0..60 {
        for form in FORMS {
            let count = random.random_range(10..600);
            let mut sheet = Sheet::new(ordinates(&mut random, count), form);
            sheet.points_per_line = random.random_range(1..40);
            sheet.line_end = ["\n", "\r\n", "\r"][round % 3];
            if round % 2 == 1 {
                sheet.step = -sheet.step;
                sheet.first_x = 4000.0;
            }
            if round % 5 == 4 {
                sheet.x_factor = 0.125;
            }
            let blocks = decode_jcamp_blocks(&sheet.text(), "sheet.dx");
            let block = blocks[0].as_ref().unwrap_or_else(|e| panic!("{form:?}: {e}"));
            let expected: Vec<f64> =
                sheet.ordinates.iter().map(|&v| v as f64 * sheet.y_factor).collect();
            assert_eq!(block.ordinates, expected, "{form:?} in round {round}");
            for (i, x) in block.abscissas.iter().enumerate() {
                assert!((x - sheet.x(i)).abs() < 1e-9, "{form:?} in round {round}: {x}");
            }
        }
    }
}

#[test]
fn every_form_gives_the_same_spectrum_without_a_doubt_about_the_data() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED + 1);
    for descending in [false, true] {
        let values = ordinates(&mut random, 900);
        let mut first: Option<Spectrum> = None;
        for form in FORMS {
            let mut sheet = Sheet::new(values.clone(), form);
            if descending {
                sheet.step = -sheet.step;
                sheet.first_x = 3000.0;
            }
            let spectrum = one(&sheet.text());
            let doubts: Vec<_> =
                spectrum.warnings().iter().filter(|w| w.id.starts_with("jcamp")).collect();
            assert!(doubts.is_empty(), "{form:?}: {doubts:?}");
            let first = first.get_or_insert_with(|| spectrum.clone());
            assert_eq!(spectrum.absorbances(), first.absorbances(), "{form:?}");
            assert_eq!(spectrum.wavenumbers_cm1(), first.wavenumbers_cm1(), "{form:?}");
        }
    }
}

#[test]
fn percent_transmittance_reads_back_as_the_absorbance_it_came_from() {
    let absorbances: Vec<f64> =
        (0..800).map(|i| 0.05 + 1.2 * (-((f64::from(i) - 300.0) / 40.0).powi(2)).exp()).collect();
    let percent: Vec<i64> =
        absorbances.iter().map(|a| (10f64.powf(2.0 - a) * 1e6).round() as i64).collect();
    for form in FORMS {
        let mut sheet = Sheet::new(percent.clone(), form);
        sheet.y_units = "PERCENT TRANSMITTANCE";
        sheet.y_factor = 1e-6;
        let spectrum = one(&sheet.text());
        for (found, expected) in spectrum.absorbances().iter().zip(&absorbances) {
            assert!((found - expected).abs() < 1e-6, "{form:?}: {found} for {expected}");
        }
    }
}

#[test]
fn a_link_gives_every_spectrum_and_the_one_asked_for() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED + 2);
    let sheets: Vec<Sheet> = FORMS
        .into_iter()
        .map(|form| {
            let mut sheet = Sheet::new(ordinates(&mut random, 200), form);
            sheet.title = format!("{form:?}");
            sheet
        })
        .collect();
    let inner = link(&sheets[3..].iter().map(Sheet::text).collect::<Vec<_>>());
    let mut blocks: Vec<String> = sheets[..3].iter().map(Sheet::text).collect();
    blocks.push(inner);
    let text = link(&blocks);

    let all: Vec<Spectrum> = read_bytes(text.as_bytes(), "link.dx", &ReadOptions::default())
        .collect::<Result<_, _>>()
        .expect("all read");
    assert_eq!(all.len(), FORMS.len());
    for (i, spectrum) in all.iter().enumerate() {
        assert_eq!(spectrum.provenance().block, i + 1);
        assert_eq!(spectrum.provenance().title.as_deref(), Some(sheets[i].title.as_str()));
        let options = ReadOptions::default().with_block(i + 1);
        let mut alone = read_bytes(text.as_bytes(), "link.dx", &options);
        assert_eq!(&alone.next().expect("a spectrum").expect("reads"), spectrum);
        assert!(alone.next().is_none());
    }
    let options = ReadOptions::default().with_block(8);
    let error = read_bytes(text.as_bytes(), "link.dx", &options)
        .next()
        .expect("an answer")
        .expect_err("no such block");
    assert_eq!(
        error.to_string(),
        "link.dx:1: block 8 asked for, the file holds 7; pass --block 1 to 7"
    );
}

#[test]
fn micrometres_and_nanometres_become_wavenumbers() {
    for (units, first_x, step) in [("MICROMETERS", 2.5, 0.01), ("NANOMETERS", 2500.0, 10.0)] {
        let mut sheet = Sheet::new((0..1000).map(|i| 1000 + i).collect(), Form::Affn);
        (sheet.x_units, sheet.first_x, sheet.step) = (units, first_x, step);
        let spectrum = one(&sheet.text());
        let (low, high) = spectrum.range_cm1();
        // 10 000 / 12.49 and 10 000 / 2.5.
        assert!((low - 800.640_512).abs() < 1e-5 && (high - 4000.0).abs() < 1e-9, "{low} {high}");
        assert_eq!(spectrum.len(), 1000);
    }
}
