//! Reading, from the path to the finished spectrum, on one core.

use std::path::Path;
use std::time::Duration;

use bandlore::{ReadOptions, read_path};

use super::clock::best;
use super::{Line, files};

#[allow(dead_code, reason = "the tests use more of its forms")]
#[path = "../../tests/common/jcamp_encoder.rs"]
mod encoder;

use encoder::{Form, Sheet};

const LEAST: Duration = Duration::from_secs(2);

/// Points of the large files.
const MANY: u32 = 400_000;

/// Points of the JCAMP-DX block.
const PACKED_POINTS: usize = 1_000_000;

fn read(path: &Path) -> usize {
    read_path(path, &ReadOptions::default()).map(|answer| answer.expect("read").len()).sum()
}

/// Returns the table's lines on reading.
pub fn lines(folder: &Path) -> Vec<Line> {
    std::fs::create_dir_all(folder).expect("a folder");
    let mut lines = Vec::new();
    for (name, points, form) in [
        ("1,800 points", 1_800, 0),
        ("1,800 points, decimal comma", 1_800, 1),
        ("400,000 points", MANY, 0),
        ("400,000 points, decimal comma", MANY, 1),
        ("400,000 points, percent transmittance", MANY, 2),
        ("400,000 points, falling, blanks", MANY, 3),
    ] {
        let (axis, values) = files::spectrum(7, points);
        let text = match form {
            1 => files::text(&axis, &values).replace(',', ";").replace('.', ","),
            2 => {
                let percent: Vec<f64> = values.iter().map(|a| 100.0 * 10f64.powf(-a)).collect();
                files::text(&axis, &percent).replace("absorbance", "%T")
            }
            3 => {
                let turned: Vec<&str> = {
                    let mut lines: Vec<&str> = Vec::new();
                    let all = files::text(&axis, &values);
                    let all: &'static str = Box::leak(all.into_boxed_str());
                    lines.extend(all.lines().skip(1));
                    lines.reverse();
                    lines
                };
                turned.join("\n").replace(',', "   ")
            }
            _ => files::text(&axis, &values),
        };
        let path = folder.join("one.csv");
        std::fs::write(&path, &text).expect("a file");
        let seconds = best(LEAST, || read(&path)).as_secs_f64();
        let rate = text.len() as f64 / seconds / 1e6;
        lines.push(Line::at_least(format!("read two-column, {name}"), rate, 150.0, "MB/s"));
    }
    for (name, form, asked) in
        [("DIFDUP", Form::DifDup, true), ("PAC", Form::Pac, false), ("AFFN", Form::Affn, false)]
    {
        let mut sheet = Sheet::new(ordinates(), form);
        (sheet.first_x, sheet.step) = (400.0, 0.003_6);
        sheet.points_per_line = 30;
        let path = folder.join("one.jdx");
        std::fs::write(&path, sheet.text()).expect("a file");
        let seconds = best(LEAST, || read(&path)).as_secs_f64();
        let rate = PACKED_POINTS as f64 / seconds / 1e6;
        let what = format!("read JCAMP-DX {name}, 1,000,000 points");
        lines.push(if asked {
            Line::at_least(what, rate, 40.0, "Mpoints/s")
        } else {
            Line::plain(what, format!("{} Mpoints/s", super::short(rate)))
        });
    }
    lines
}

/// Bands with noise of a few counts and flat stretches, as smoothed and clipped spectra have them.
fn ordinates() -> Vec<i64> {
    use rand::{RngExt, SeedableRng};
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(40);
    (0..PACKED_POINTS)
        .map(|i| {
            let wavenumber = (i % 4000) as f64;
            let band = |centre: f64, width: f64, height: f64| {
                height / (1.0 + ((wavenumber - centre) / width).powi(2))
            };
            let clean = 3_000.0
                + band(700.0, 12.0, 60_000.0)
                + band(1_700.0, 20.0, 90_000.0)
                + band(2_900.0, 40.0, 40_000.0);
            let noisy = (i / 500).is_multiple_of(2);
            clean as i64 + if noisy { random.random_range(-6..=6) } else { 0 }
        })
        .collect()
}
