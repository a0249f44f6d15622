//! `bandlore ageing FILE…`: the ageing markers of single spectra.

use std::path::{Path, PathBuf};

use bandlore::{
    Examiner, Spectrum, Tables,
    ageing::{
        content::{Calibration, Standard, StandardsSheet, read_standards},
        doses::{Dose, copied_in_series, dose_slopes, read_doses},
    },
    io::open as open_file,
    read_path,
    report::{
        Figure, PageFrame,
        ageing::{
            AgeingEntry, ageing_document, ageing_json, ageing_json_lines, ageing_sheet, ageing_text,
        },
    },
};

use crate::cli::Failure;
use crate::cli::args::{self, ElementArgs, Forms, OutputArgs, ReadingArgs, TableArgs};
use crate::cli::batch::{self, Item};
use crate::cli::inputs;
use crate::cli::kept::Kept;
use crate::cli::report::{self, Figures, ReportArgs, Settings};
use crate::cli::terminal::Terminal;

/// Arguments of `bandlore ageing`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Files, folders or patterns; - is standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Read the markers of this material (id or name of the table) instead of the identified one.
    #[arg(long, value_name = "ID")]
    material: Option<String>,
    /// Doses of the spectra, as CSV: file, dose, unit (lux h, W h/m2, h, d), source, filter, and
    /// band (W h/m2) or temperature_c and relative_humidity (h).
    #[arg(long, value_name = "CSV")]
    series: Option<PathBuf>,
    /// Standards of known content, as CSV: marker, sample, content, quantity, and index or file.
    #[arg(long, value_name = "CSV")]
    calibration: Option<PathBuf>,
    #[command(flatten)]
    reading: ReadingArgs,
    #[command(flatten)]
    element: ElementArgs,
    #[command(flatten)]
    table: TableArgs,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    report: ReportArgs,
}

/// Reads the markers of each spectrum and writes them in input order.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let reports = args.report.writers()?;
    let tables = args.table.load()?;
    let material = known_material(args.material.as_deref(), tables)?;
    let examiner = Examiner::new(tables).with_element(args.element.element()?);
    let files = inputs::expand_batch(&args.files, terminal)?;
    let outputs = || args.output.output.iter().chain(&args.report.report);
    let kept = Kept::default()
        .with(&files)
        .with(&args.series)
        .with(&args.calibration)
        .with_folder(args.table.folder());
    kept.keep_from(outputs())?;
    let doses = match &args.series {
        None => Vec::new(),
        Some(path) => {
            let bytes = open_file(path).map_err(Failure::library)?;
            read_doses(&path.to_string_lossy(), &bytes).map_err(Failure::library)?
        }
    };
    let calibration = match &args.calibration {
        None => None,
        Some(path) => {
            let sheet = standards(path)?;
            let files = sheet.rows.iter().filter_map(|row| row.file.as_ref());
            let files = files.map(|file| beside(path, file));
            Kept::default().with(files).keep_from(outputs())?;
            Some(calibrate(path, sheet, material, args, &examiner)?)
        }
    };
    let calibration = calibration.as_ref().map(|(marker, fit)| (marker.as_str(), fit));
    args.output.open(terminal)?;
    let progress = terminal.progress(files.len());
    let mut entries: Vec<AgeingEntry> = Vec::new();
    let read = |item: Item<'_>| {
        let file = item.file.to_string_lossy().into_owned();
        let mut entry = AgeingEntry::new(file, item.block);
        let (mut drawn, mut dosed) = (None, None);
        match item.result.map_err(|e| e.to_string()).and_then(|spectrum| {
            entry.block = spectrum.provenance().block;
            entry.sha256.clone_from(&spectrum.provenance().sha256);
            examiner.examine(spectrum).map_err(|e| e.to_string())
        }) {
            Ok(examined) => {
                entry.result = Some(examiner.ageing(&examined, material, calibration));
                dosed = dose_of(&entry.file, &doses).map(|_| examined.spectrum.clone());
                drawn = args.report.wanted().then_some(examined);
            }
            Err(error) => entry.error = Some(error),
        }
        (entry, drawn, dosed)
    };
    let mut series: Vec<Spectrum> = Vec::new();
    let mut figures = Figures::default();
    batch::run(&files, &args.reading.options(), &progress, read, |(entry, drawn, dosed)| {
        if let Some(error) = &entry.error {
            terminal.error(error);
        }
        if args.report.wanted() {
            let drawn = drawn.as_ref().map(|e| (&e.spectrum, &e.identification));
            figures.push(&entry.file, drawn, tables)?;
        }
        series.extend(dosed);
        entries.push(entry);
        Ok(())
    })?;
    match copied_in_series(&series.iter().collect::<Vec<_>>()) {
        // What was read of each spectrum holds without a line through them.
        Some(why) => terminal.error(&format!("--series: {why}; no line is fitted")),
        None => add_series(&mut entries, &doses),
    }
    let stamp = super::identify::stamp(tables);
    let settings = settings(args, material);
    let page = |date: &str, figures: &[Option<Figure>]| {
        let frame = PageFrame::new(&stamp, Some(tables)).with_date(date).with_settings(&settings);
        ageing_document(&entries, figures, &frame)
    };
    if args.report.wanted() {
        let page = page(&args.report.date(), &figures.0);
        report::write_all(&reports, terminal, |writer, out| writer(&page, out))?;
    }
    let forms = Forms {
        text: &|width| ageing_text(&entries, width),
        page: &|| page("", &[]),
        sheet: &|| ageing_sheet(&entries),
        json: &|| ageing_json(&entries, &stamp),
        json_lines: Some(&|| ageing_json_lines(&entries, &stamp)),
    };
    args.output.write(&forms, terminal)
}

/// What the page says of how it was done.
fn settings(args: &Args, material: Option<&str>) -> Vec<(String, String)> {
    Settings::default()
        .with("Material, as stated", material)
        .file("Doses", args.series.as_ref())
        .file("Standards", args.calibration.as_ref())
        .element(&args.element)
        .reading(&args.reading)
        .0
}

/// Returns the id that a word for a material stands for; refuses one that the table does not hold.
pub fn known_material<'t>(
    word: Option<&str>,
    tables: &'t Tables,
) -> Result<Option<&'t str>, Failure> {
    word.map(|word| args::material(word, tables).map(|found| found.id.as_str())).transpose()
}

/// Reads the sheet of standards.
fn standards(path: &Path) -> Result<StandardsSheet, Failure> {
    let bytes = open_file(path).map_err(Failure::library)?;
    read_standards(&path.to_string_lossy(), &bytes).map_err(Failure::library)
}

/// Returns where a file is found that a sheet names.
fn beside(sheet: &Path, file: &str) -> PathBuf {
    sheet.parent().unwrap_or_else(|| Path::new("")).join(file)
}

/// Reads the indices of the standards, of those that are given as spectra.
fn calibrate(
    path: &Path,
    sheet: StandardsSheet,
    material: Option<&str>,
    args: &Args,
    examiner: &Examiner<'_>,
) -> Result<(String, Calibration), Failure> {
    let known = |m: &&bandlore::tables::markers::Marker| m.id == sheet.marker;
    let Some(marker) = examiner.tables().markers().iter().find(known) else {
        return Err(Failure::usage(format!(
            "{}: no marker \"{}\" in the table",
            path.display(),
            sheet.marker
        )));
    };
    let material = material.map(str::to_owned).or_else(|| marker.materials.first().cloned());
    let mut standards = Vec::with_capacity(sheet.rows.len());
    for row in &sheet.rows {
        let index = match (row.index, &row.file) {
            (Some(index), _) => index,
            (None, Some(file)) => {
                standard_index(&beside(path, file), &sheet, material.as_deref(), args, examiner)?
            }
            (None, None) => continue,
        };
        standards.push(Standard::new(row.sample.clone(), row.content, index));
    }
    let fit = Calibration::fit(&sheet.quantity, &standards).map_err(Failure::library)?;
    Ok((sheet.marker, fit))
}

/// Reads the index of one standard's spectrum.
fn standard_index(
    file: &Path,
    sheet: &StandardsSheet,
    material: Option<&str>,
    args: &Args,
    examiner: &Examiner<'_>,
) -> Result<f64, Failure> {
    let name = file.display();
    let first = read_path(file, &args.reading.options()).next();
    let spectrum = match first {
        Some(spectrum) => spectrum.map_err(Failure::library)?,
        None => return Err(Failure::usage(format!("{name}: holds no spectrum"))),
    };
    let examined = examiner.examine(spectrum).map_err(Failure::library)?;
    let result = examiner.ageing(&examined, material, None);
    let found = result.markers.iter().find(|m| m.id == sheet.marker);
    found.and_then(|m| m.value).ok_or_else(|| {
        let why = found.and_then(|m| m.refusal.clone());
        Failure::usage(format!(
            "{name}: {} cannot be read on this standard: {}",
            sheet.marker,
            why.as_deref().unwrap_or("below detection")
        ))
    })
}

/// Returns the line of the sheet that a file stands in, by its path or its name.
fn dose_of<'a>(file: &str, doses: &'a [Dose]) -> Option<&'a Dose> {
    let name = Path::new(file).file_name().map(|n| n.to_string_lossy().into_owned());
    doses.iter().find(|d| d.file == file || Some(&d.file) == name.as_ref())
}

/// Fits the slopes of each dose series and hands them to the spectra that take part.
fn add_series(entries: &mut [AgeingEntry], doses: &[Dose]) {
    let dose_of = |entry: &AgeingEntry| dose_of(&entry.file, doses);
    let mut readings = Vec::new();
    for entry in entries.iter() {
        let (Some(dose), Some(result)) = (dose_of(entry), &entry.result) else { continue };
        for marker in &result.markers {
            if let Some(index) = marker.as_read {
                readings.push((dose, marker.id.clone(), index, marker.state));
            }
        }
    }
    let borrowed: Vec<_> =
        readings.iter().map(|(d, id, v, state)| (*d, id.as_str(), *v, *state)).collect();
    let slopes = dose_slopes(&borrowed);
    for entry in entries.iter_mut() {
        let Some(dose) = dose_of(entry) else { continue };
        entry.series = slopes
            .iter()
            .filter(|s| {
                s.unit == dose.unit
                    && s.conditions == dose.conditions
                    && s.source == dose.source
                    && s.filter == dose.filter
            })
            .cloned()
            .collect();
    }
}
