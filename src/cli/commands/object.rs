//! `bandlore object MANIFEST`: a whole object, and its condition report.

use std::io::Write;
use std::path::{Path, PathBuf};

use bandlore::{
    Examiner, Tables,
    object::{first_manifest, first_sheets, open_manifest},
    pipeline::{Corrections, ObjectExamined, examine_manifest_beside},
    report::object::{
        HtmlWriter, LeaveOut, Length, ObjectCsvWriter, ObjectJsonWriter, ObjectMarkdownWriter,
        ObjectReport, ObjectWriter, PlacedFigure, object_text,
    },
};

use crate::cli::Failure;
use crate::cli::args::{ReadingArgs, TableArgs, choices};
use crate::cli::commands::identify::ReferenceArgs;
use crate::cli::kept::Kept;
use crate::cli::report;
use crate::cli::terminal::{Terminal, plain};

/// The warning of a file that could not be used: the report is written, and the status says that it is not
/// complete.
const LEFT_OUT: &str = "file-left-out";

/// Arguments of `bandlore object`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The manifest: a TOML file, or a folder of CSV sheets.
    #[arg(required_unless_present = "start", value_name = "MANIFEST")]
    manifest: Option<PathBuf>,
    /// Write the report here; .html, .md, .docx, .xlsx, .csv or .json says in which form. May be repeated.
    #[arg(long, value_name = "FILE")]
    report: Vec<PathBuf>,
    /// Replace a report in .docx that is there already, with all that was written into it since.
    #[arg(long, requires = "report")]
    overwrite: bool,
    /// How much the report prints: what it takes to sign it, or everything with settings and files.
    #[arg(long, value_enum, default_value_t)]
    length: LengthArg,
    /// Leave these sections or figures out of the report; its foot says so. May be repeated.
    ///
    /// The first page, limits and warnings stay. JSON and CSV hold everything in any case.
    #[arg(long, value_enum, value_name = "NAME", value_delimiter = ',')]
    without: Vec<WithoutArg>,
    /// The date printed on the report, so that the same input gives the same bytes.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = report::date)]
    date: Option<String>,
    /// Make a first manifest for the spectra in this folder, to be filled in by hand; part, face and spot
    /// are taken from the files' names as far as they say them.
    ///
    /// Before measuring: ask for permission; never clamp a split, crazed, tacky or coated area;
    /// measure loose fragments first.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["manifest", "report", "date"])]
    start: Option<PathBuf>,
    /// With --start: write it here, into the folder of the exports or one above it. A name in .toml is one
    /// file, any other a folder for CSV sheets. Nothing is overwritten.
    #[arg(long, short, value_name = "FILE|DIR", requires = "start")]
    output: Option<PathBuf>,
    /// Correct the wavenumber scale of every spectrum: true = K x measured, within 1 % of 1.
    #[arg(long, value_name = "K")]
    scale_correction: Option<f64>,
    /// Leave interference fringes in; else those that stand out are taken out, and the report says so.
    #[arg(long)]
    keep_fringes: bool,
    #[command(flatten)]
    references: ReferenceArgs,
    #[command(flatten)]
    reading: ReadingArgs,
    #[command(flatten)]
    table: TableArgs,
}

choices! {
    /// The lengths of a report.
    #[derive(Default)]
    LengthArg of Length {
        /// The first page, what it rests on, and what changed.
        #[default]
        Short,
        /// Also every face and marker, settings, files and sources.
        Full,
    }
    /// What a report may leave out.
    WithoutArg of LeaveOut {
        /// The answers in plain words.
        PlainWords,
        /// The chlorine lists.
        Chlorine,
        /// The neighbours.
        Neighbours,
        /// The parts one by one.
        Parts,
        /// The candidate sheets.
        Sheets,
        /// What is left open, with every remedy.
        Open,
        /// The care notes.
        Care,
        /// The next examination.
        Next,
        /// The method.
        Method,
        /// The annexes, except limits and warnings.
        Annexes,
        /// Every figure.
        Figures,
        /// The parts by chlorine, as a figure.
        ChlorineMap,
        /// Figures of one spectrum a part.
        Spectra,
        /// Figures of the faces of a part.
        Faces,
        /// Figures of the markers of a part.
        Markers,
    }
}

/// Examines the object, prints the first page and writes the reports.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    if let Some(folder) = &args.start {
        return begin(folder, args.output.as_deref(), terminal);
    }
    let Some(manifest) = &args.manifest else {
        return Err(Failure::usage("name a manifest, or a folder with --start"));
    };
    // A report that cannot be written is told before the work, not after it.
    let writers = report::writers(&args.report, args.overwrite, ENDINGS, writer)?;
    let tables = args.table.load()?;
    let opened = open_manifest(manifest).map_err(Failure::library)?;
    let references = args.references.read(terminal)?;
    args.references
        .kept(references.as_ref())
        .with(opened.paths())
        .with_folder(args.table.folder())
        .keep_from(&args.report)?;
    let progress = terminal.progress(opened.manifest.spectra.len());
    let mut corrections = Corrections::default();
    if let Some(factor) = args.scale_correction {
        corrections = corrections.with_scale(factor).map_err(Failure::library)?;
    }
    let mut examiner = Examiner::new(tables).with_corrections(corrections);
    if args.keep_fringes {
        examiner = examiner.keeping_fringes();
    }
    let examined = examine_manifest_beside(
        &opened,
        &examiner,
        &args.reading.options(),
        references.as_ref(),
        &|| {
            progress.inc(1);
        },
    )
    .map_err(Failure::library)?;
    progress.finish_and_clear();
    let date = args.date.clone().unwrap_or_else(report::today);
    let stamp = super::identify::stamp(tables);
    let length = args.length.into();
    let without: Vec<LeaveOut> = args.without.iter().map(|chosen| (*chosen).into()).collect();
    let figures =
        if args.report.is_empty() { Vec::new() } else { figures(&examined, tables, length)? };
    let printed = ObjectReport::new(&examined.findings, &stamp)
        .with_date(&date)
        .with_figures(&figures)
        .with_length(length)
        .leaving_out(&without);
    report::write_all(&writers, terminal, |writer, out| writer.write(&printed, out))?;
    let page = object_text(&examined.findings, terminal.width());
    terminal.out().write_all(page.as_bytes())?;
    for warning in examined.findings.warnings.iter().filter(|w| w.id == LEFT_OUT) {
        terminal.error(&plain(&warning.text));
    }
    for (part, why) in &examined.comparison_failures {
        terminal.error(&format!("{part}: the faces could not be compared: {why}"));
    }
    Ok(())
}

/// Writes a first manifest, or prints it.
fn begin(folder: &Path, output: Option<&Path>, terminal: &mut Terminal) -> Result<(), Failure> {
    let Some(output) = output else {
        let text = first_manifest(folder, folder).map_err(Failure::library)?;
        terminal.out().write_all(text.as_bytes())?;
        return Ok(());
    };
    let toml = output.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"));
    let files: Vec<(PathBuf, String)> = if toml {
        let beside = output.parent().filter(|parent| *parent != Path::new(""));
        let text =
            first_manifest(folder, beside.unwrap_or(Path::new("."))).map_err(Failure::library)?;
        vec![(output.to_owned(), text)]
    } else {
        let sheets = first_sheets(folder, output).map_err(Failure::library)?;
        sheets.into_iter().map(|(name, text)| (output.join(name), text)).collect()
    };
    Kept::default().with_folder(Some(folder)).keep_from(files.iter().map(|(path, _)| path))?;
    // What is there already may be filled in.
    if let Some((there, _)) = files.iter().find(|(path, _)| path.exists()) {
        return Err(Failure::usage(format!(
            "{}: is there already and would be overwritten; name another place, or move it away",
            there.display()
        )));
    }
    report::place_all(&files, |text, out| out.write_all(text.as_bytes()))?;
    for (path, _) in &files {
        terminal.note(&format!("{} written; fill it in", path.display()));
    }
    Ok(())
}

/// The endings of a report, as they are told.
const ENDINGS: &str = ".html, .md, .docx, .xlsx, .csv or .json";

fn writer(ending: &str) -> Option<Box<dyn ObjectWriter>> {
    Some(match ending {
        "html" | "htm" => Box::new(HtmlWriter),
        "md" => Box::new(ObjectMarkdownWriter),
        "csv" => Box::new(ObjectCsvWriter),
        "json" => Box::new(ObjectJsonWriter),
        #[cfg(feature = "xlsx")]
        "xlsx" => Box::new(bandlore::report::object::ObjectXlsxWriter),
        #[cfg(feature = "docx")]
        "docx" => Box::new(bandlore::report::object::DocxWriter),
        _ => return None,
    })
}

#[cfg(feature = "plot")]
fn figures(
    examined: &ObjectExamined,
    tables: &Tables,
    length: Length,
) -> Result<Vec<PlacedFigure>, Failure> {
    bandlore::report::object::draw_object_figures(
        &examined.findings,
        &examined.spectra,
        tables,
        length,
    )
    .map_err(Failure::library)
}

#[cfg(not(feature = "plot"))]
fn figures(
    _examined: &ObjectExamined,
    _tables: &Tables,
    _length: Length,
) -> Result<Vec<PlacedFigure>, Failure> {
    Ok(Vec::new())
}
