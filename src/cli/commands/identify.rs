//! `bandlore identify FILE…`: what is behind each spectrum.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use bandlore::{
    Examiner, References, Spectrum, Tables,
    judge::{JudgeSettings, Outcome},
    report::{
        PageFrame, Style,
        identification::{
            CsvWriter, IdentificationEntry, IdentificationWriter, JsonLinesWriter, JsonWriter,
            MarkdownWriter, Stamp, TextWriter, WriteOptions, identification_document,
        },
    },
};

use crate::cli::args::{ElementArgs, Format, OutputArgs, ReadingArgs, TableArgs};
use crate::cli::batch::{self, Item};
use crate::cli::commands::check::CorrectionArgs;
use crate::cli::inputs;
use crate::cli::kept::Kept;
use crate::cli::report::{self, Figures, ReportArgs, Settings};
use crate::cli::terminal::Terminal;
use crate::cli::{Exit, Failure};

/// Arguments of `bandlore identify`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Files, folders or patterns; - is standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Show every band of every spectrum, met, missing or not testable.
    #[arg(long)]
    evidence: bool,
    /// With --evidence and in JSON: this many of the ranked candidates.
    #[arg(long, value_name = "N", default_value_t = 3)]
    top: usize,
    /// As --evidence, and each rule with the values behind its answer.
    #[arg(long)]
    explain: bool,
    /// As --evidence, and each step with its settings and every finding on fitness.
    #[arg(long, short)]
    verbose: bool,
    /// Exit with 3 unless every spectrum is identified.
    #[arg(long)]
    require_identified: bool,
    /// Correct the wavenumber scale: true = K x measured, within 1 % of 1.
    #[arg(long, value_name = "K")]
    scale_correction: Option<f64>,
    /// Leave interference fringes in; else those that stand out are taken out, and the answer says so.
    #[arg(long)]
    keep_fringes: bool,
    #[command(flatten)]
    references: ReferenceArgs,
    #[command(flatten)]
    corrections: CorrectionArgs,
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

/// Identifies each spectrum and writes the answers in input order.
pub fn run(args: &Args, quiet: bool, terminal: &mut Terminal) -> Result<(), Failure> {
    let reports = args.report.writers()?;
    let tables = args.table.load()?;
    let mut corrections = args.corrections.corrections()?;
    if let Some(factor) = args.scale_correction {
        corrections = corrections.with_scale(factor).map_err(Failure::library)?;
    }
    let settings =
        JudgeSettings::default().with_top(args.top).with_element(args.element.element()?);
    let mut examiner = Examiner::new(tables).with_corrections(corrections).with_settings(settings);
    if args.keep_fringes {
        examiner = examiner.keeping_fringes();
    }
    let references = args.references.read(terminal)?;
    let files = inputs::expand_batch(&args.files, terminal)?;
    args.references
        .kept(references.as_ref())
        .with(&files)
        .with(args.corrections.file())
        .with_folder(args.table.folder())
        .keep_from(args.output.output.iter().chain(&args.report.report))?;
    args.output.open(terminal)?;
    let options = WriteOptions::default()
        .with_top(args.top)
        .with_evidence(args.evidence)
        .with_explain(args.explain)
        .with_verbose(args.verbose)
        .with_quiet(quiet)
        .with_style(if terminal.colour() { Style::Ansi } else { Style::Plain })
        .with_width(terminal.width());
    let format = args.output.format()?;
    let mut writer = writer(format, &options);
    let stamp = stamp(tables);
    writer.begin(&stamp, terminal.out())?;
    let progress = terminal.progress(files.len());
    let (mut failed, mut digests) = (0, BTreeMap::<String, Vec<String>>::new());
    let wanted = args.report.wanted();
    let (mut kept, mut figures) = (Vec::new(), Figures::default());
    let lines = (format == Format::Jsonl && !wanted).then(|| JsonLinesWriter::new(&options));
    let judge = |item: Item<'_>| -> Result<Answer, std::io::Error> {
        let (entry, spectrum) = entry(&examiner, references.as_ref(), item, wanted);
        let outcome = entry.identification.as_ref().map(|found| found.outcome);
        let (file, digest) = (entry.file.clone(), entry.sha256.clone());
        let first_of = (entry.block <= 1 && !digest.is_empty()).then_some((file, digest));
        let (error, content) = match &lines {
            // A line stands for itself, so that it is made where the answer was.
            Some(writer) => {
                let mut line = Vec::new();
                writer.clone().entry(&stamp, &entry, &mut line)?;
                (entry.error, Content::Line(line))
            }
            None => (entry.error.clone(), Content::Entry(Box::new((entry, spectrum)))),
        };
        Ok(Answer { error, outcome, first_of, content })
    };
    batch::run(&files, &args.reading.options(), &progress, judge, |answer| {
        let Answer { error, outcome, first_of, content } = answer?;
        if let Some((file, digest)) = first_of {
            digests.entry(digest).or_default().push(file);
        }
        if let Some(error) = &error {
            terminal.error(error);
            failed += 1;
        }
        match content {
            Content::Entry(answered) => {
                let (entry, spectrum) = *answered;
                writer.entry(&stamp, &entry, terminal.out())?;
                if wanted {
                    let found = entry.identification.as_ref();
                    figures.push(&entry.file, spectrum.as_ref().zip(found), tables)?;
                    kept.push(entry);
                }
            }
            Content::Line(line) => terminal.out().write_all(&line)?,
        }
        if args.require_identified && outcome != Some(Outcome::Identified) && error.is_none() {
            terminal.end_with(Exit::Undecided);
        }
        Ok(())
    })?;
    writer.end(&stamp, terminal.out())?;
    if wanted {
        let (date, settings) = (args.report.date(), shown_settings(args));
        let frame = PageFrame::new(&stamp, Some(tables)).with_date(&date).with_settings(&settings);
        let page = identification_document(&kept, &figures.0, &options, &frame);
        report::write_all(&reports, terminal, |writer, out| writer(&page, out))?;
    }
    terminal.finish()?;
    let copies: Vec<String> =
        digests.values().filter(|same| same.len() > 1).map(|same| same.join(" = ")).collect();
    if !copies.is_empty() {
        let copies = copies.join("; ");
        terminal.note(&format!(
            "files with the same bytes are one measurement, though each is listed: {copies}"
        ));
    }
    if failed > 0 && files.len() > 1 {
        terminal.note(&format!(
            "{} of {} could not be read; see the errors above",
            failed,
            inputs::counted(files.len(), "file")
        ));
    }
    Ok(())
}

/// The answer to one spectrum, as far as it is written by the core that found it.
struct Answer {
    error: Option<String>,
    outcome: Option<Outcome>,
    /// The file and its SHA-256, with its first spectrum.
    first_of: Option<(String, String)>,
    content: Content,
}

enum Content {
    /// The entry, with its spectrum where that is to be drawn.
    Entry(Box<(IdentificationEntry, Option<Spectrum>)>),
    Line(Vec<u8>),
}

/// Returns what every result carries: tool, table and the materials' names.
pub fn stamp(tables: &Tables) -> Stamp {
    let mut stamp = Stamp::new(tables.version(), tables.sha256());
    let names = tables.materials().iter().map(|m| (m.id.clone(), m.name.clone()));
    stamp.material_names = names.collect();
    stamp
}

/// A folder of the user's own references, shared by the commands that ask it.
#[derive(Clone, Debug, clap::Args)]
#[command(next_help_heading = "Second opinion")]
pub struct ReferenceArgs {
    /// Ask the reference spectra in this folder, which references.csv there names.
    ///
    /// Columns: file, material, maker, grade, batch, vouched_by. The opinion stands beside the band
    /// finding and never changes it; disagreement is a warning. Prepared references are kept in
    /// DIR/.bandlore-references.cache, found again by the SHA-256 of their files.
    #[arg(long, value_name = "DIR")]
    references: Option<PathBuf>,
    /// Keep prepared references in this folder instead.
    #[arg(long, value_name = "DIR", requires = "references")]
    cache: Option<PathBuf>,
}

/// References of a folder that are named when they cannot be used; a wrong unit is wrong in all of them.
const MOST_NOTES: usize = 20;

impl ReferenceArgs {
    /// Reads the folder, if one was named; what cannot be used is noted.
    pub fn read(&self, terminal: &Terminal) -> Result<Option<References>, Failure> {
        let Some(folder) = &self.references else { return Ok(None) };
        let references =
            References::read(folder, self.cache.as_deref()).map_err(Failure::library)?;
        let warnings = references.warnings();
        for warning in warnings.iter().take(MOST_NOTES) {
            terminal.note(&warning.text);
        }
        if let Some(more) = warnings.len().checked_sub(MOST_NOTES).filter(|more| *more > 0) {
            terminal.note(&format!(
                "{more} more of the references cannot be used as they are; `bandlore read` names each"
            ));
        }
        if references.prepared_now() > 0 {
            let prepared = inputs::counted(references.prepared_now(), "reference");
            let kept = match references.is_kept() {
                true => format!(", kept in {}", references.cache_file().display()),
                false => String::new(),
            };
            terminal.note(&format!("{prepared} prepared{kept}"));
        }
        Ok(Some(references))
    }

    /// Returns the files that were read of the folder.
    pub fn kept(&self, references: Option<&References>) -> Kept {
        Kept::default()
            .with(references.into_iter().flat_map(References::files))
            .with(references.map(References::cache_file))
            .with_folder(self.references.as_deref())
    }
}

/// What the page says of how it was done.
fn shown_settings(args: &Args) -> Vec<(String, String)> {
    let fringes = args.keep_fringes.then_some("left in");
    Settings::default()
        .with("Scale correction", args.scale_correction)
        .file("Vapour subtracted", args.corrections.file())
        .with("Interference fringes", fringes)
        .file("References", args.references.references.as_ref())
        .element(&args.element)
        .reading(&args.reading)
        .0
}

/// Judges one spectrum; with `keep` it is handed back too, to be drawn.
fn entry(
    examiner: &Examiner<'_>,
    references: Option<&References>,
    item: Item<'_>,
    keep: bool,
) -> (IdentificationEntry, Option<Spectrum>) {
    let file = item.file.to_string_lossy();
    let failed =
        |block: usize, error: String| (IdentificationEntry::failed(&file, block, error), None);
    let spectrum = match item.result {
        Ok(spectrum) => spectrum,
        Err(error) => return failed(item.block, error.to_string()),
    };
    let block = spectrum.provenance().block;
    match examiner.examine(spectrum) {
        Ok(examined) => {
            let opinion = references.map(|folder| folder.opinion(&examined, examiner.tables()));
            let spectrum = keep.then(|| examined.spectrum.clone());
            let entry = examined.into_entry();
            let entry = match opinion {
                Some(opinion) => entry.with_second_opinion(opinion),
                None => entry,
            };
            (entry, spectrum)
        }
        Err(error) => failed(block, format!("{file}: spectrum {block}: {error}")),
    }
}

fn writer(format: Format, options: &WriteOptions) -> Box<dyn IdentificationWriter> {
    match format {
        Format::Text => Box::new(TextWriter::new(options)),
        Format::Markdown => Box::new(MarkdownWriter::new(options)),
        Format::Csv => Box::new(CsvWriter::new(options)),
        #[cfg(feature = "xlsx")]
        Format::Xlsx => Box::new(bandlore::report::identification::XlsxWriter::new(options)),
        #[cfg(feature = "parquet")]
        Format::Parquet => Box::new(bandlore::report::identification::ParquetWriter::new(options)),
        Format::Json => Box::new(JsonWriter::new(options)),
        Format::Jsonl => Box::new(JsonLinesWriter::new(options)),
    }
}
