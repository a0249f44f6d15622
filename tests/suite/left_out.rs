//! How often the program is right on spectra of laboratories and materials that its table never saw.
//!
//! The built-in table's heights, its rows without an assignment and its measured shapes come from the open
//! spectra that it is scored on. Here each data set is left out in turn, whole: heights and shapes are drawn
//! anew from the others, rows without an assignment that the others do not show in most of their spectra are
//! dropped, and the set is scored with what is left. In a second table each material is left out in turn,
//! with its rows and shapes, and its spectra are asked: nothing may be named then, least of all a sibling.
//! What still leaks: positions of rows, the limits of rules and of the judgement, which were set while all
//! spectra were looked at. The labels do not say which polyurethanes are polyethers and which polyesters:
//! where the heights of either are drawn, the rule of the table between the two sorts them.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use bandlore::{
    Examiner, Identification, ReadOptions, Spectrum, Tables,
    judge::{ChlorineBands, Outcome},
    matching::{LabelledCurve, make_shapes},
    peaks::Peaks,
    pipeline::labelled_curves,
    read_path,
    spectrum::{SpectrumParts, interpolate},
    tables::shapes_as_csv,
};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

/// How far outside its window a band may still be found, in cm⁻¹, as in the matcher.
const SLACK_CM1: f64 = 3.0;

/// What such rows say in place of an assignment.
const NOT_ASSIGNED: &str = "not assigned";

struct Labelled {
    spectrum: Spectrum,
    dataset: String,
    class: String,
    accepted: Vec<String>,
    chlorine_free: bool,
    /// What the built-in table's peaks are, and what it names: heights are drawn from these.
    peaks: Peaks,
    named: Option<String>,
}

/// Everything that is read once: the labelled spectra, and the curves that shapes are made from.
struct Data {
    all: Vec<Labelled>,
    curves: Vec<LabelledCurve>,
}

fn data() -> Option<&'static Data> {
    static DATA: OnceLock<Option<Data>> = OnceLock::new();
    DATA.get_or_init(read).as_ref()
}

fn read() -> Option<Data> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let shared = root.join("../shared");
    if !shared.is_dir() {
        println!("skipped 1: {} is not there", shared.display());
        return None;
    }
    let folder = shared.join("measured-spectra");
    let mut labels = csv::Reader::from_path(folder.join("labels.csv")).expect("labels");
    let rows: Vec<(PathBuf, csv::StringRecord)> = labels
        .records()
        .map(|row| {
            let row = row.expect("a row");
            (folder.join("spectra").join(&row[0]).join(&row[1]), row)
        })
        .collect();
    let examiner = Examiner::new(Tables::built_in());
    let all = rows
        .into_par_iter()
        .map(|(path, row)| {
            let read = read_path(&path, &ReadOptions::default()).next();
            let spectrum = read.expect("one spectrum").expect("readable");
            let seen = examiner.examine(spectrum.clone()).expect("examined");
            Labelled {
                spectrum,
                dataset: row[0].to_owned(),
                class: row[4].to_owned(),
                accepted: row[3].split('|').map(str::to_owned).collect(),
                chlorine_free: &row[5] == "no",
                peaks: seen.peaks,
                named: seen.identification.material,
            }
        })
        .collect();
    let sheet = root.join("scripts/shape-labels.csv");
    let made = labelled_curves(&sheet, Tables::built_in()).expect("the sheet of labels");
    assert!(made.left_out.len() < 10, "{:?}", made.left_out);
    Some(Data { all, curves: made.curves })
}

impl Labelled {
    /// Whether heights of this material are drawn from it.
    fn is_of(&self, material: &str) -> bool {
        let sorted_by_rule = material.starts_with("PUR-");
        self.class == "in-table"
            && self.accepted.iter().any(|id| id == material)
            && (!sorted_by_rule || self.named.as_deref() == Some(material))
    }
}

/// Writes the built-in table with heights and shapes drawn from all data sets but one.
fn without_a_laboratory(data: &Data, dataset: &str, folder: &Path) -> Tables {
    Tables::built_in().export(folder).expect("written");
    let training: Vec<&Labelled> = data.all.iter().filter(|l| l.dataset != dataset).collect();
    let curves: Vec<LabelledCurve> =
        data.curves.iter().filter(|curve| curve.laboratory != dataset).cloned().collect();
    write_shapes(&curves, folder);
    let path = folder.join("bands.csv");
    let mut reader = csv::Reader::from_path(&path).expect("bands");
    let headings = reader.headers().expect("headings").clone();
    let at = |name: &str| headings.iter().position(|h| h == name).expect("a column");
    let heights =
        ["height_median", "height_low", "height_high", "height_n", "height_source"].map(at);
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
    let mut writer = csv::Writer::from_path(&path).expect("bands");
    writer.write_record(&headings).expect("written");
    for row in rows {
        let mut cells: Vec<String> = row.iter().map(str::to_owned).collect();
        let drawn = cells[heights[4]].starts_with("measured spectra");
        if drawn {
            let number = |name: &str| cells[at(name)].parse::<f64>().expect("a number");
            let (low, high) = (number("atr_low_cm1"), number("atr_high_cm1"));
            let mut seen: Vec<f64> = training
                .iter()
                .filter(|labelled| labelled.is_of(&cells[at("material")]))
                .filter(|labelled| labelled.spectrum.covers(low - 8.0, high + 8.0))
                .map(|labelled| {
                    let within = labelled.peaks.within(low - SLACK_CM1, high + SLACK_CM1);
                    within.map(|(_, feature)| feature.share).fold(0.0, f64::max)
                })
                .collect();
            seen.sort_by(f64::total_cmp);
            let shown = seen.iter().filter(|share| **share > 0.0).count();
            if cells[at("assignment")] == NOT_ASSIGNED && 2 * shown <= seen.len() {
                continue;
            }
            let quantile = |part: f64| seen[((seen.len() - 1) as f64 * part).round() as usize];
            let values = if shown == 0 {
                [const { String::new() }; 5]
            } else {
                let source = cells[heights[4]].clone();
                [
                    format!("{:.3}", quantile(0.5)),
                    format!("{:.3}", quantile(0.1)),
                    format!("{:.3}", quantile(0.9)),
                    seen.len().to_string(),
                    source,
                ]
            };
            for (column, value) in heights.iter().zip(values) {
                cells[*column] = value;
            }
        }
        writer.write_record(&cells).expect("written");
    }
    writer.flush().expect("written");
    drop(writer);
    Tables::load(folder).expect("a table")
}

fn write_shapes(curves: &[LabelledCurve], folder: &Path) {
    let (shapes, sources) = shapes_as_csv(&make_shapes(curves));
    std::fs::write(folder.join("shapes.csv"), shapes).expect("written");
    std::fs::write(folder.join("shape-sources.csv"), sources).expect("written");
}

/// Writes the built-in table without the rows and shapes of these materials. The ids stay, for rules and
/// groups name them: each keeps one band where no spectrum is looked at.
fn without_materials(data: &Data, ids: &[String], folder: &Path) -> Tables {
    Tables::built_in().export(folder).expect("written");
    let left_out = |id: &str| ids.iter().any(|other| other == id);
    let curves: Vec<LabelledCurve> = data
        .curves
        .iter()
        .filter(|curve| !curve.materials.iter().any(|id| left_out(id)))
        .cloned()
        .collect();
    write_shapes(&curves, folder);
    let dropped = keep_rows(&folder.join("bands.csv"), |row, first| {
        if !left_out(&row["material"]) {
            return Keep::AsItIs;
        }
        if !first {
            return Keep::Not;
        }
        Keep::Changed(vec![
            ("position_cm1", "2000"),
            ("atr_low_cm1", "1995"),
            ("atr_high_cm1", "2005"),
            ("transmission_low_cm1", "1995"),
            ("transmission_high_cm1", "2005"),
            ("transmission_basis", "unshifted"),
        ])
    });
    // Rules that hide bands which are no longer there go with them.
    let rules = keep_rows(&folder.join("rules.csv"), |row, _| {
        let gone = row["effect"] == *"drop-band"
            && row["targets"].split_whitespace().any(|band| dropped.contains(band));
        if gone { Keep::Not } else { Keep::AsItIs }
    });
    keep_rows(&folder.join("predicates.csv"), |row, _| {
        if rules.contains(&row["owner"]) { Keep::Not } else { Keep::AsItIs }
    });
    Tables::load(folder).expect("a table")
}

enum Keep {
    AsItIs,
    Not,
    Changed(Vec<(&'static str, &'static str)>),
}

/// Rewrites a sheet row by row; a row is given with whether it is the first of its second cell. Returns what
/// stood in the first cell of the rows that were dropped.
fn keep_rows(
    path: &Path,
    keep: impl Fn(&BTreeMap<String, String>, bool) -> Keep,
) -> BTreeSet<String> {
    let mut reader = csv::Reader::from_path(path).expect("a sheet");
    let headings = reader.headers().expect("headings").clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    let mut writer = csv::Writer::from_path(path).expect("a sheet");
    writer.write_record(&headings).expect("written");
    let mut dropped = BTreeSet::new();
    let mut seen = BTreeSet::new();
    for row in &rows {
        let cells: BTreeMap<String, String> =
            headings.iter().zip(row).map(|(h, cell)| (h.to_owned(), cell.to_owned())).collect();
        let changes = match keep(&cells, seen.insert(row[1].to_owned())) {
            Keep::AsItIs => Vec::new(),
            Keep::Changed(changes) => changes,
            Keep::Not => {
                dropped.insert(row[0].to_owned());
                continue;
            }
        };
        let written = headings.iter().zip(row).map(|(heading, cell)| {
            let change = changes.iter().find(|(column, _)| *column == heading);
            change.map_or(cell, |(_, to)| *to)
        });
        writer.write_record(written).expect("written");
    }
    writer.flush().expect("written");
    dropped
}

/// What became of one spectrum.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Said {
    Outright,
    Right,
    Classed,
    Undecided,
    Wrong,
}

fn said(answer: &Identification, accepted: &[String]) -> Said {
    let right = |id: &String| accepted.contains(id);
    let class = answer.class.as_ref();
    match answer.outcome {
        Outcome::Identified if answer.material.iter().any(right) => Said::Outright,
        Outcome::Narrowed if answer.candidates.iter().any(right) => Said::Right,
        Outcome::Mixed if answer.components.iter().any(|c| right(&c.id)) => Said::Right,
        Outcome::Classed if class.is_some_and(|c| c.members.iter().any(right)) => Said::Classed,
        Outcome::NotInTable | Outcome::NotEnoughSignal => Said::Undecided,
        _ => Said::Wrong,
    }
}

#[derive(Clone, Copy, Debug, Default)]
struct Counts {
    n: usize,
    right: usize,
    classed: usize,
    outright: usize,
    wrong: usize,
}

impl Counts {
    fn add(&mut self, said: Said) {
        self.n += 1;
        self.right += usize::from(matches!(said, Said::Outright | Said::Right));
        self.classed += usize::from(said == Said::Classed);
        self.outright += usize::from(said == Said::Outright);
        self.wrong += usize::from(said == Said::Wrong);
    }
}

fn per_cent(part: usize, whole: usize) -> String {
    format!("{part} of {whole}, {:.1} %", 100.0 * part as f64 / whole.max(1) as f64)
}

const RENEW: &str = "BANDLORE_RENEW_DOCS";
const BEGIN: &str = "<!-- laboratories left out, written by tests/suite/left_out.rs: begin -->\n";
const END: &str = "<!-- laboratories left out: end -->\n";

/// Holds what the README says to what was found, or writes it anew where that is asked for.
fn keep_in_readme(section: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(&path).expect("README.md");
    let (before, rest) = readme.split_once(BEGIN).expect("the section's begin");
    let (kept, after) = rest.split_once(END).expect("the section's end");
    if std::env::var_os(RENEW).is_some() {
        std::fs::write(path, format!("{before}{BEGIN}{section}{END}{after}")).expect("renewed");
    } else {
        assert_eq!(kept, section, "set {RENEW} to renew it");
    }
}

/// The same for the sheet that `bandlore bands` reads.
fn keep_in_sheet(sheet: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/other-laboratories.csv");
    if std::env::var_os(RENEW).is_some() {
        std::fs::write(path, sheet).expect("renewed");
    } else {
        let kept = std::fs::read_to_string(&path).expect("other-laboratories.csv");
        assert_eq!(kept, sheet, "set {RENEW} to renew docs/other-laboratories.csv");
    }
}

#[test]
fn laboratories_and_materials_that_the_table_never_saw() {
    let Some(data) = data() else { return };
    let datasets: BTreeSet<&str> = data.all.iter().map(|l| l.dataset.as_str()).collect();
    let mut by_material: BTreeMap<String, Counts> = BTreeMap::new();
    let (mut known, mut chlorinated) = (Counts::default(), Counts::default());
    let (mut strangers, mut strangers_named, mut grave) = (0, 0, 0);
    for dataset in datasets {
        let folder = tempfile::tempdir().expect("a folder");
        let tables = without_a_laboratory(data, dataset, folder.path());
        let examiner = Examiner::new(&tables);
        let answers: Vec<(&Labelled, Identification)> = data
            .all
            .par_iter()
            .filter(|labelled| labelled.dataset == dataset)
            .map(|labelled| {
                let found = examiner.examine(labelled.spectrum.clone()).expect("examined");
                (labelled, found.identification)
            })
            .collect();
        for (labelled, answer) in answers {
            let said = said(&answer, &labelled.accepted);
            match labelled.class.as_str() {
                "in-table" => {
                    known.add(said);
                    by_material.entry(labelled.accepted.join(" or ")).or_default().add(said);
                    if labelled.accepted.iter().any(|id| id == "PVC") {
                        chlorinated.add(said);
                    }
                    if said == Said::Wrong {
                        println!("wrong: {:?}: {}", labelled.accepted, answer.sentence);
                        let first = ["PVC", "PC", "PMMA", "PET", "PETG"];
                        let named = answer.material.iter().chain(&answer.candidates);
                        let mut ids = labelled.accepted.iter().chain(named);
                        grave += usize::from(ids.any(|id| first.contains(&id.as_str())));
                    }
                }
                "out-of-table" | "unfit" => {
                    strangers += 1;
                    let named = [Outcome::Identified, Outcome::Narrowed, Outcome::Mixed];
                    if named.contains(&answer.outcome) {
                        println!("named: {}", answer.sentence);
                        strangers_named += 1;
                    }
                }
                _ => {}
            }
        }
    }
    let mut siblings = Counts::default();
    let labels: BTreeSet<&Vec<String>> =
        data.all.iter().filter(|l| l.class == "in-table").map(|l| &l.accepted).collect();
    for ids in labels {
        let folder = tempfile::tempdir().expect("a folder");
        let tables = without_materials(data, ids, folder.path());
        let examiner = Examiner::new(&tables);
        let answers: Vec<Said> = data
            .all
            .par_iter()
            .filter(|labelled| labelled.class == "in-table" && labelled.accepted == *ids)
            .map(|labelled| {
                let found = examiner.examine(labelled.spectrum.clone()).expect("examined");
                let said = said(&found.identification, ids);
                if said == Said::Wrong {
                    println!("sibling: {ids:?}: {}", found.identification.sentence);
                }
                said
            })
            .collect();
        answers.into_iter().for_each(|said| siblings.add(said));
    }
    println!("{known:?} {chlorinated:?} {strangers_named}/{strangers} {siblings:?}");

    let mut section = String::new();
    let mut line = |what: &str, found: String| {
        writeln!(section, "| {what} | {found} |").expect("text");
    };
    line("right, or the right class", per_cent(known.right + known.classed, known.n));
    line("identified outright and right", per_cent(known.outright, known.n));
    line("**wrong**", format!("**{}**", per_cent(known.wrong, known.n)));
    line("not in the table or unfit, named all the same", per_cent(strangers_named, strangers));
    line("a material left out: a sibling's name given", per_cent(siblings.wrong, siblings.n));
    line("poly(vinyl chloride) named", per_cent(chlorinated.right, chlorinated.n));
    section.insert_str(0, "| each laboratory left out in turn | |\n|---|---|\n");
    section.push_str(
        "\n| material | n | right | class | outright | wrong |\n|---|--:|--:|--:|--:|--:|\n",
    );
    for (ids, c) in &by_material {
        let Counts { n, right, classed, outright, wrong } = c;
        writeln!(section, "| {ids} | {n} | {right} | {classed} | {outright} | {wrong} |")
            .expect("text");
    }
    keep_in_readme(&section);
    let rows = by_material.iter().map(|(ids, c)| {
        let Counts { n, right, classed, wrong, .. } = c;
        format!("{},{n},{right},{classed},{wrong}\n", ids.replace(" or ", " "))
    });
    keep_in_sheet(&format!("materials,n,right,classed,wrong\n{}", rows.collect::<String>()));

    assert!(known.n > 450, "{known:?}");
    let share = |part: usize, whole: usize| part as f64 / whole as f64;
    assert!(share(known.right + known.classed, known.n) >= 0.97, "{known:?}");
    assert!(share(known.outright, known.n) >= 0.82, "{known:?}");
    assert!(share(known.wrong, known.n) <= 0.005, "{known:?}");
    assert!(share(chlorinated.right, chlorinated.n) >= 0.97, "{chlorinated:?}");
    assert_eq!(grave, 0, "wrong among PVC, PC, PMMA, PET and PETG");
    assert!(share(strangers_named, strangers) <= 0.01, "{strangers_named} of {strangers}");
    assert!(share(siblings.wrong, siblings.n) <= 0.03, "{siblings:?}");
}

/// White noise of seeded draws on every fifth spectrum, at strongest band over one standard deviation of
/// about 10 to 45: answers may soften, they may not turn wrong.
#[test]
fn noise_softens_answers_and_turns_none_wrong() {
    const LEVELS: [f64; 5] = [10.0, 15.0, 22.0, 32.0, 45.0];
    const LEAST_SIGNAL_TO_NOISE: f64 = 10.0;
    let Some(data) = data() else { return };
    let examiner = Examiner::new(Tables::built_in());
    let known: Vec<&Labelled> = data.all.iter().filter(|l| l.class == "in-table").collect();
    let answers: Vec<(Said, String)> = known
        .par_iter()
        .enumerate()
        .filter(|(place, _)| place % 5 == 0)
        .flat_map_iter(|(place, labelled)| LEVELS.map(|level| (place, *labelled, level)))
        .filter_map(|(place, labelled, level)| {
            let spectrum = &labelled.spectrum;
            let mut rng = ChaCha8Rng::seed_from_u64(place as u64 * 100 + level as u64);
            let mut sorted = spectrum.absorbances().to_vec();
            sorted.sort_by(f64::total_cmp);
            let quantile = |part: f64| sorted[((sorted.len() - 1) as f64 * part) as usize];
            let sd = (quantile(0.998) - quantile(0.05)) / level;
            let noisy = spectrum.absorbances().iter().map(|a| a + sd * gaussian(&mut rng));
            let axis = spectrum.wavenumbers_cm1().to_vec();
            let noisy = Spectrum::new(SpectrumParts::new(axis, noisy.collect())).ok()?;
            let found = examiner.examine(noisy).ok()?;
            let rated =
                found.fitness.finding("signal-to-noise").map_or(0.0, |f| f.value.unwrap_or(0.0));
            let said = said(&found.identification, &labelled.accepted);
            let text = format!("{:?}: {}", labelled.accepted, found.identification.sentence);
            (rated >= LEAST_SIGNAL_TO_NOISE).then_some((said, text))
        })
        .collect();
    let wrong: Vec<&(Said, String)> = answers.iter().filter(|a| a.0 == Said::Wrong).collect();
    println!("noise: {} wrong of {}: {wrong:?}", wrong.len(), answers.len());
    assert!(answers.len() > 200, "{}", answers.len());
    assert!(100 * wrong.len() <= answers.len(), "{wrong:?}");
}

/// Below 1250 cm⁻¹ most polymers are told apart. Where that was not measured fewer answers come, and no more of
/// them are wrong; nor is one that stands in no table named for it.
#[test]
fn a_range_that_ends_at_1250_costs_answers_and_turns_none_wrong() {
    const ENDS_CM1: f64 = 1250.0;
    let Some(data) = data() else { return };
    let examiner = Examiner::new(Tables::built_in());
    let cut = |spectrum: &Spectrum| {
        let points = spectrum.wavenumbers_cm1().iter().zip(spectrum.absorbances());
        let kept = points.filter(|(wavenumber, _)| **wavenumber >= ENDS_CM1);
        let (axis, values): (Vec<f64>, Vec<f64>) = kept.map(|(v, a)| (*v, *a)).unzip();
        Spectrum::new(SpectrumParts::new(axis, values)).ok()
    };
    let answers: Vec<(bool, Said, String)> = data
        .all
        .par_iter()
        .filter(|l| l.class == "in-table" || l.class == "out-of-table")
        .filter_map(|labelled| {
            let found = examiner.examine(cut(&labelled.spectrum)?).ok()?.identification;
            let said = said(&found, &labelled.accepted);
            let text = format!("{:?}: {}", labelled.accepted, found.sentence);
            Some((labelled.class == "in-table", said, text))
        })
        .collect();
    let of = |known: bool| answers.iter().filter(move |answer| answer.0 == known);
    let wrong = |known: bool| of(known).filter(|a| a.1 == Said::Wrong).collect::<Vec<_>>();
    let right = of(true).filter(|a| a.1 <= Said::Classed).count();
    println!("cut at {ENDS_CM1}: {right} right of {}", of(true).count());
    println!("wrong: {:?}, named strangers: {:?}", wrong(true), wrong(false));
    // 389 of 494 when this was written; the rest say that nothing can be told.
    assert!(of(true).count() > 450 && 10 * right >= 7 * of(true).count(), "{right}");
    assert!(200 * wrong(true).len() <= of(true).count(), "{:#?}", wrong(true));
    assert!(wrong(false).is_empty(), "{:#?}", wrong(false));
}

/// A tenth and more of poly(vinyl chloride) in another polymer hides under its bands: where nothing shows, the
/// answer is "cannot tell", not "not detected". The blends are sums of measured spectra scaled to their strongest
/// bands; the laboratory that measured the PVC lent the table nothing.
#[test]
fn chlorine_is_not_denied_in_blends() {
    const SHARES: [f64; 2] = [0.30, 0.15];
    const LENDER: &str = "resin-codes-399";
    let Some(data) = data() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let tables = without_a_laboratory(data, LENDER, folder.path());
    let examiner = Examiner::new(&tables);
    let is_pvc = |l: &Labelled| l.accepted.iter().any(|id| id == "PVC");
    let whole: Vec<&Labelled> = data
        .all
        .iter()
        .filter(|l| l.class == "in-table" && l.spectrum.covers(570.0, 1800.0))
        .collect();
    let pvc: Vec<&Labelled> =
        whole.iter().copied().filter(|l| is_pvc(l) && l.dataset == LENDER).step_by(3).collect();
    let hosts: Vec<&Labelled> = whole.iter().copied().filter(|l| !is_pvc(l)).step_by(2).collect();
    assert!(pvc.len() >= 9 && hosts.len() >= 100, "{} {}", pvc.len(), hosts.len());
    // What carries none must still be cleared where it is named and the stretch was measured, or "cannot tell"
    // would be no finding at all. As a user has it: with the built-in table.
    let built_in = Examiner::new(Tables::built_in());
    let clean: Vec<bool> = data
        .all
        .par_iter()
        .filter(|l| l.class == "in-table" && l.chlorine_free && l.spectrum.covers(572.0, 664.0))
        .filter_map(|l| {
            let answer = built_in.examine(l.spectrum.clone()).ok()?.identification;
            let named = answer.outcome == Outcome::Identified;
            named.then_some(answer.chlorine.bands == ChlorineBands::NotDetected)
        })
        .collect();
    let cleared = clean.iter().filter(|cleared| **cleared).count();
    println!("without chlorine: cleared {cleared} of {}", clean.len());
    assert!(clean.len() > 200 && cleared as f64 >= LEAST_CLEARED * clean.len() as f64, "{cleared}");
    for share in SHARES {
        let denied: Vec<(bool, String)> = hosts
            .par_iter()
            .flat_map_iter(|host| pvc.iter().map(move |guest| (*host, *guest)))
            .filter_map(|(host, guest)| {
                let answer = examiner.examine(blend(host, guest, share)).ok()?.identification;
                let why = answer.chlorine.why;
                let untrue = would_show(&why).is_none_or(|from| from < share);
                let denied = answer.chlorine.bands == ChlorineBands::NotDetected;
                denied.then(|| (untrue, format!("{:?}: {why}", host.accepted)))
            })
            .collect();
        let asked = hosts.len() * pvc.len();
        let untrue = denied.iter().filter(|(untrue, _)| *untrue).count();
        println!(
            "{share} PVC: denied in {} of {asked}, {untrue} with less that would show: {denied:?}",
            denied.len()
        );
        let most = if share > 0.2 { MOST_DENIED_OF_30 } else { MOST_DENIED_OF_15 };
        assert!(denied.len() as f64 <= most * asked as f64, "{share}: {denied:#?}");
        assert!(
            share > 0.2 || untrue as f64 <= MOST_UNTRUE_OF_15 * asked as f64,
            "{share}: {denied:#?}"
        );
    }
}

/// "Not detected" says from which share of poly(vinyl chloride) on it would show: so much of a measured one, of a
/// laboratory that lent the table nothing, must turn the answer.
#[test]
fn the_share_that_would_show_shows() {
    const LENDER: &str = "resin-codes-399";
    let Some(data) = data() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let tables = without_a_laboratory(data, LENDER, folder.path());
    let examiner = Examiner::new(&tables);
    let is_pvc = |l: &Labelled| l.accepted.iter().any(|id| id == "PVC");
    let whole: Vec<&Labelled> = data
        .all
        .iter()
        .filter(|l| l.class == "in-table" && l.spectrum.covers(570.0, 1800.0))
        .collect();
    let pvc: Vec<&Labelled> =
        whole.iter().copied().filter(|l| is_pvc(l) && l.dataset == LENDER).step_by(9).collect();
    let asked: Vec<(bool, String)> = whole
        .par_iter()
        .filter(|l| l.chlorine_free)
        .filter_map(|host| {
            let why = examiner.examine(host.spectrum.clone()).ok()?.identification.chlorine.why;
            Some((*host, would_show(&why)?))
        })
        .flat_map_iter(|(host, share)| pvc.iter().map(move |guest| (host, *guest, share)))
        .filter_map(|(host, guest, share)| {
            let answer = examiner.examine(blend(host, guest, share)).ok()?.identification;
            let denied = answer.chlorine.bands == ChlorineBands::NotDetected;
            Some((denied, format!("{share} in {:?}", host.accepted)))
        })
        .collect();
    let denied: Vec<&String> = asked.iter().filter(|a| a.0).map(|a| &a.1).collect();
    println!("at the share that would show: denied in {} of {}", denied.len(), asked.len());
    assert!(asked.len() > 100, "{}", asked.len());
    // 7 of 657 when this was written.
    assert!(80 * denied.len() <= asked.len(), "{} of {}: {denied:#?}", denied.len(), asked.len());
}

/// Returns from which share of poly(vinyl chloride) on an answer says that it would show.
fn would_show(why: &str) -> Option<f64> {
    let percent = why.strip_suffix(" % PVC, by band height, would show")?.rsplit(' ').next()?;
    Some(percent.parse::<f64>().ok()? / 100.0)
}

fn blend(host: &Labelled, guest: &Labelled, share: f64) -> Spectrum {
    let scaled = |spectrum: &Spectrum| {
        let mut sorted = spectrum.absorbances().to_vec();
        sorted.sort_by(f64::total_cmp);
        let at = |part: f64| sorted[((sorted.len() - 1) as f64 * part) as usize];
        let (low, high) = (at(0.02), at(0.998));
        spectrum.absorbances().iter().map(|a| (a - low) / (high - low)).collect::<Vec<f64>>()
    };
    let (axis, of_host) = (host.spectrum.wavenumbers_cm1(), scaled(&host.spectrum));
    let (guests, of_guest) = (guest.spectrum.wavenumbers_cm1(), scaled(&guest.spectrum));
    let mixed = axis.iter().zip(of_host).map(|(wavenumber, host)| {
        let guest = interpolate(guests, &of_guest, *wavenumber).unwrap_or(0.0);
        (1.0 - share) * host + share * guest
    });
    Spectrum::new(SpectrumParts::new(axis.to_vec(), mixed.collect())).expect("a spectrum")
}

/// Bounds at what was found with the lender left out, in nine times the blends of which earlier bounds spoke: they
/// only tighten.
const MOST_DENIED_OF_30: f64 = 0.001;
const MOST_DENIED_OF_15: f64 = 0.0163;
/// And of those that say that less would show. With a limit that asked only what had to be added, it was 16 of the
/// 19 at 15 %.
const MOST_UNTRUE_OF_15: f64 = 0.006;
const LEAST_CLEARED: f64 = 0.86;

/// Draws from a Gaussian of standard deviation 1 (Box and Muller 1958).
fn gaussian(rng: &mut impl Rng) -> f64 {
    let uniform = |rng: &mut dyn FnMut() -> u64| (rng() >> 11) as f64 / (1_u64 << 53) as f64;
    let mut next = || rng.next_u64();
    let (a, b) = (uniform(&mut next).max(f64::MIN_POSITIVE), uniform(&mut next));
    (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}
