//! `bandlore check FILE…`: whether spectra are fit to be judged.

use std::path::{Path, PathBuf};

use bandlore::{
    ReadOptions, Spectrum,
    io::write_whole,
    pipeline::{Corrections, check_film_spectrum, check_spectrum},
    read_path,
    report::{
        PageFrame, Style,
        check::{
            CheckCsvWriter, CheckEntry, CheckJsonLinesWriter, CheckJsonWriter, CheckMarkdownWriter,
            CheckTextWriter, CheckWriter, check_document,
        },
        identification::{Stamp, WriteOptions},
    },
    spectrum::PointFlag,
};

use crate::cli::Failure;
#[cfg(feature = "parquet")]
use crate::cli::args::of_identify_alone;
use crate::cli::args::{Format, OutputArgs, ReadingArgs};
use crate::cli::batch::{self, Item};
use crate::cli::inputs;
use crate::cli::kept::Kept;
use crate::cli::report::{self, ReportArgs, Settings};
use crate::cli::terminal::{Terminal, plain};

/// Says whether spectra are fit to be judged: signal, noise, range, and the faults of a measurement.
///
/// What is wrong comes first, each with its figure, limit, consequence and remedy; then the C-Cl
/// region band by band; then what is in order. docs/check.md defines every figure.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Files, folders or patterns; - is standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The files are spectra of a polystyrene film: check the wavenumber scale on them.
    #[arg(long)]
    film: bool,
    /// Compare the film with itself as measured before on this instrument: tells what changed since.
    #[arg(long, value_name = "FILE", requires = "film")]
    film_before: Option<PathBuf>,
    #[command(flatten)]
    corrections: CorrectionArgs,
    /// Write the one spectrum given to this file, as it is judged: fringes that stand out taken out,
    /// and vapour where --vapour gives it.
    #[arg(long, value_name = "FILE")]
    write_corrected: Option<PathBuf>,
    /// With --write-corrected: leave interference fringes in.
    #[arg(long, requires = "write_corrected")]
    keep_fringes: bool,
    #[command(flatten)]
    reading: ReadingArgs,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    report: ReportArgs,
}

/// What is to be taken out of spectra first, shared by the commands that offer it.
#[derive(Clone, Debug, clap::Args)]
#[command(next_help_heading = "Corrections, each stated where it was made")]
pub struct CorrectionArgs {
    /// Subtract this measured vapour spectrum, scaled by least squares.
    #[arg(long, value_name = "FILE")]
    vapour: Option<PathBuf>,
}

impl CorrectionArgs {
    /// Returns the file that is read.
    pub fn file(&self) -> Option<&PathBuf> {
        self.vapour.as_ref()
    }

    /// Returns the corrections asked for; the vapour spectrum is read here.
    pub fn corrections(&self) -> Result<Corrections, Failure> {
        let mut corrections = Corrections::default();
        if let Some(path) = &self.vapour {
            corrections = corrections.with_vapour(the_one_spectrum(path, "the vapour")?);
        }
        Ok(corrections)
    }
}

fn the_one_spectrum(path: &Path, what: &str) -> Result<Spectrum, Failure> {
    let mut spectra = read_path(path, &ReadOptions::default());
    let first = spectra
        .next()
        .ok_or_else(|| Failure::usage(format!("{}: holds no spectrum", path.display())))?
        .map_err(Failure::library)?;
    if spectra.next().is_some() {
        return Err(Failure::usage(format!(
            "{}: holds several spectra; give a file with {what} alone",
            path.display()
        )));
    }
    Ok(first)
}

/// Checks each spectrum and writes the answers in input order.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let reports = args.report.writers()?;
    let mut corrections = args.corrections.corrections()?;
    if args.write_corrected.is_some() && !args.keep_fringes {
        corrections = corrections.with_fringe_removal();
    }
    let mut before = None;
    if let Some(path) = &args.film_before {
        before = Some(the_one_spectrum(path, "the film")?);
    }
    let files = inputs::expand_batch(&args.files, terminal)?;
    Kept::default().with(&files).with(args.corrections.file()).with(&args.film_before).keep_from(
        args.output.output.iter().chain(&args.write_corrected).chain(&args.report.report),
    )?;
    args.output.open(terminal)?;
    let mut writer = writer(args.output.format()?, terminal)?;
    writer.begin(terminal.out())?;
    let progress = terminal.progress(files.len());
    let keep = args.write_corrected.is_some();
    let mut corrected: Vec<Spectrum> = Vec::new();
    let mut entries: Vec<CheckEntry> = Vec::new();
    let judge = |item: Item<'_>| checked(item, &corrections, args.film, before.as_ref(), keep);
    batch::run(&files, &args.reading.options(), &progress, judge, |(entry, spectrum)| {
        if let Some(error) = &entry.error {
            terminal.error(error);
        }
        // Two are enough to know that there is more than one.
        if corrected.len() < 2 {
            corrected.extend(spectrum);
        }
        writer.entry(&entry, terminal.out())?;
        if args.report.wanted() {
            entries.push(entry);
        }
        Ok(())
    })?;
    writer.end(terminal.out())?;
    if let Some(path) = &args.write_corrected {
        match corrected.as_slice() {
            [one] => write_whole(path, two_columns(one).as_bytes()).map_err(Failure::library)?,
            [] => {}
            _ => {
                return Err(Failure::usage(
                    "--write-corrected takes one spectrum; give one file, or --block N",
                ));
            }
        }
    }
    if args.report.wanted() {
        let (date, settings) = (args.report.date(), settings(args));
        let stamp = Stamp::new("", "");
        let frame = PageFrame::new(&stamp, None).with_date(&date).with_settings(&settings);
        let page = check_document(&entries, &frame);
        report::write_all(&reports, terminal, |writer, out| writer(&page, out))?;
    }
    terminal.finish()?;
    if let (Some(path), [_]) = (&args.write_corrected, corrected.as_slice()) {
        terminal.note(&format!("corrected spectrum written to {}", path.display()));
    }
    Ok(())
}

/// What the page says of how it was done.
fn settings(args: &Args) -> Vec<(String, String)> {
    let kept = args.write_corrected.is_some();
    Settings::default()
        .with("Spectra given as", args.film.then_some("a polystyrene film"))
        .file("The film before", args.film_before.as_ref())
        .file("Vapour subtracted", args.corrections.vapour.as_ref())
        .with("Interference fringes", (kept && args.keep_fringes).then_some("left in"))
        .file("Corrected spectrum", args.write_corrected.as_ref())
        .reading(&args.reading)
        .0
}

fn checked(
    item: Item<'_>,
    corrections: &Corrections,
    film: bool,
    before: Option<&Spectrum>,
    keep: bool,
) -> (CheckEntry, Option<Spectrum>) {
    let file = item.file.to_string_lossy();
    let spectrum = match item.result {
        Ok(spectrum) => spectrum,
        Err(error) => return (CheckEntry::failed(&file, item.block, error.to_string()), None),
    };
    let block = spectrum.provenance().block;
    let result = match before {
        Some(before) => check_film_spectrum(spectrum, corrections, before),
        None => check_spectrum(spectrum, corrections, film),
    };
    match result {
        Ok(checked) => (checked.entry, keep.then_some(checked.spectrum)),
        Err(error) => {
            let text = format!("{file}: spectrum {block}: {error}");
            (CheckEntry::failed(&file, block, text), None)
        }
    }
}

/// A spectrum as two columns under its history, in a form that every command reads.
fn two_columns(spectrum: &Spectrum) -> String {
    use std::fmt::Write as _;

    let provenance = spectrum.provenance();
    let mut text = format!(
        "# {} by bandlore {} from {}, spectrum {}\n# SHA-256 of that file: {}\n",
        if spectrum.history().is_empty() { "nothing was taken out" } else { "corrected" },
        env!("CARGO_PKG_VERSION"),
        plain(&provenance.file),
        provenance.block,
        provenance.sha256
    );
    for step in spectrum.history() {
        let _ = writeln!(text, "# {}", plain(&step.to_string()));
    }
    text.push_str("wavenumber (cm-1),absorbance\n");
    for ((wavenumber, absorbance), flag) in
        spectrum.wavenumbers_cm1().iter().zip(spectrum.absorbances()).zip(spectrum.flags())
    {
        if *flag != PointFlag::Padded {
            let _ = writeln!(text, "{wavenumber},{absorbance}");
        }
    }
    text
}

fn writer(format: Format, terminal: &Terminal) -> Result<Box<dyn CheckWriter>, Failure> {
    Ok(match format {
        Format::Text => Box::new(CheckTextWriter::new(
            &WriteOptions::default()
                .with_style(if terminal.colour() { Style::Ansi } else { Style::Plain })
                .with_width(terminal.width()),
        )),
        Format::Markdown => Box::new(CheckMarkdownWriter::default()),
        Format::Csv => Box::new(CheckCsvWriter),
        #[cfg(feature = "xlsx")]
        Format::Xlsx => Box::new(bandlore::report::check::CheckXlsxWriter::default()),
        #[cfg(feature = "parquet")]
        Format::Parquet => return of_identify_alone(),
        Format::Json => Box::new(CheckJsonWriter::default()),
        Format::Jsonl => Box::new(CheckJsonLinesWriter),
    })
}
