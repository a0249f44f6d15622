//! The stages between reading and reporting, one at a time, and how their cost grows.

use std::path::Path;
use std::time::Duration;

use bandlore::{
    Examiner, Spectrum, Tables,
    fitness::examine,
    judge::{JudgeSettings, identify},
    matching::Matcher,
    peaks::pick,
    prepare::prepare,
    spectrum::SpectrumParts,
};

use super::clock::best;
use super::{Line, files, short};

const LEAST: Duration = Duration::from_secs(1);

/// Points of one spectrum, as common instruments write it.
const POINTS: u32 = 1_800;

/// Distinct spectra that a figure is the mean of.
const SPECTRA: u64 = 40;

/// Cost per point may grow by this factor from the shortest to the longest spectrum and still be
/// called linear: caches and the fixed cost of a spectrum bend the line.
const LINEAR: f64 = 1.5;

fn spectra(points: u32) -> Vec<Spectrum> {
    (0..SPECTRA)
        .map(|number| {
            let (axis, values) = files::spectrum(number, points);
            Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum")
        })
        .collect()
}

fn micros(duration: Duration) -> f64 {
    duration.as_secs_f64() * 1e6
}

/// Returns the table's lines on the stages of one spectrum.
pub fn lines() -> Vec<Line> {
    let mut lines = Vec::new();
    let folder = tempfile::tempdir().expect("a folder");
    Tables::built_in().export(folder.path()).expect("exported");
    let parse = best(LEAST, || Tables::load(folder.path()).expect("a table"));
    lines.push(Line::at_most("table: read, check, index", micros(parse) / 1e3, 3.0, "ms"));
    let tables = Tables::built_in();
    let weigh = best(LEAST, || Matcher::new(tables));
    lines.push(Line::plain(
        "table: make ready for matching",
        format!("{} ms", short(micros(weigh) / 1e3)),
    ));

    let spectra = spectra(POINTS);
    let matcher = Matcher::new(tables);
    let judging = JudgeSettings::default();
    let mut add = |what: &str, time: Duration| {
        let each = micros(time) / SPECTRA as f64;
        lines.push(Line::plain(format!("{what}, {POINTS} points"), format!("{} us", short(each))));
    };
    let over = |work: &dyn Fn(&Spectrum)| best(LEAST, || spectra.iter().for_each(work));
    add("fitness", over(&|s| drop(std::hint::black_box(examine(s)))));
    add("prepare", over(&|s| drop(std::hint::black_box(prepare(s)))));
    let prepared: Vec<_> = spectra.iter().map(|s| prepare(s).expect("prepared")).collect();
    let all = || spectra.iter().zip(&prepared);
    add("peaks", best(LEAST, || all().map(|(s, p)| pick(s, p).list.len()).sum::<usize>()));
    let known: Vec<_> = all().map(|(s, p)| (s, p, pick(s, p), examine(s))).collect();
    let judge = best(LEAST, || {
        known
            .iter()
            .map(|(s, p, k, f)| identify(s, p, k, f, tables, &matcher, &judging).ranking.len())
            .sum::<usize>()
    });
    add("match and judge", judge);
    let examiner = Examiner::new(tables);
    let whole =
        best(LEAST, || spectra.iter().filter(|s| examiner.examine((*s).clone()).is_ok()).count());
    add("all stages after reading", whole);
    lines
}

/// Returns the table's lines on how cost grows with points and with the table.
pub fn growth(folder: &Path) -> Vec<Line> {
    let mut lines = Vec::new();
    let examiner = Examiner::new(Tables::built_in());
    let each = |points: u32, examiner: &Examiner<'_>| {
        let spectra = spectra(points);
        let time = best(LEAST, || {
            spectra.iter().filter(|s| examiner.examine((*s).clone()).is_ok()).count()
        });
        micros(time) / SPECTRA as f64
    };
    let mut per_point = Vec::new();
    for points in [1_800, 3_600, 7_200, 14_400, 28_800] {
        let time = each(points, &examiner);
        per_point.push(time / f64::from(points));
        let found = format!("{} ns a point", short(1e3 * time / f64::from(points)));
        lines.push(Line::plain(format!("all stages after reading, {points} points"), found));
    }
    let (first, last) = (per_point[0], per_point[per_point.len() - 1]);
    lines.push(Line::at_most(
        "cost of a point, 28,800 against 1,800 points",
        last / first,
        LINEAR,
        "x",
    ));

    let whole = each(POINTS, &examiner);
    for copies in [2, 4] {
        let path = folder.join(format!("table-{copies}"));
        copied_table(&path, copies);
        let tables = Tables::load(&path).expect("a table");
        let time = each(POINTS, &Examiner::new(&tables));
        let what = format!("cost against a table {copies} times as large");
        lines.push(Line::at_most(what, time / whole, copies as f64, "x"));
    }
    lines
}

/// Writes the built-in table with its materials and bands `copies` times, each copy under names of
/// its own.
fn copied_table(folder: &Path, copies: usize) {
    // An earlier run may have left one, and no table is written over another.
    let _ = std::fs::remove_dir_all(folder);
    std::fs::create_dir_all(folder).expect("a folder");
    Tables::built_in().export(folder).expect("exported");
    let materials = sheet(&folder.join("materials.csv"));
    let bands = sheet(&folder.join("bands.csv"));
    let copy = |rows: &[Vec<String>], columns: &[&str], clear: &[&str]| -> Vec<Vec<String>> {
        let head = &rows[0];
        let of_bands = head.iter().any(|name| name == "position_cm1");
        let mut all = rows.to_vec();
        for n in 1..copies {
            for row in &rows[1..] {
                let mut row = row.clone();
                for (cell, name) in row.iter_mut().zip(head) {
                    if columns.contains(&name.as_str()) && !cell.is_empty() {
                        // The id of a band begins with its material and ends with its position.
                        let at =
                            if name == "id" { cell.rfind('-').filter(|_| of_bands) } else { None };
                        cell.insert_str(at.unwrap_or(cell.len()), &format!("x{n}"));
                    }
                    if clear.contains(&name.as_str()) {
                        cell.clear();
                    }
                }
                all.push(row);
            }
        }
        all
    };
    let clear = ["group", "not_excluded"];
    write(&folder.join("materials.csv"), &copy(&materials, &["id", "name", "family"], &clear));
    write(&folder.join("bands.csv"), &copy(&bands, &["id", "material"], &[]));
}

fn sheet(path: &Path) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_path(path).expect("a sheet");
    reader
        .records()
        .map(|record| record.expect("a row").iter().map(str::to_owned).collect())
        .collect()
}

fn write(path: &Path, rows: &[Vec<String>]) {
    let mut writer = csv::Writer::from_path(path).expect("a sheet");
    rows.iter().for_each(|row| writer.write_record(row).expect("a row"));
    writer.flush().expect("written");
}
