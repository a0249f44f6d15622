//! `bandlore bands`: lists the materials and their bands, writes the table out, and judges another.

mod text;

use std::io::Write;
use std::path::{Path, PathBuf};

use bandlore::{
    Tables,
    spectrum::MeasurementMode,
    tables::{
        Band, Error as TableError, MOST_FAULTS_LISTED, Window, bands_as_csv, bands_as_markdown,
    },
};
use serde::Serialize;

use crate::cli::args::{ModeArg, TableArgs, material};
use crate::cli::kept::Kept;
use crate::cli::terminal::Terminal;
use crate::cli::{Exit, Failure};

/// Arguments of `bandlore bands`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Only bands of these materials, by id or by a name of the trade.
    #[arg(value_name = "MATERIAL")]
    materials: Vec<String>,
    /// Only bands of this material; may be given several times.
    #[arg(long, short, value_name = "ID")]
    material: Vec<String>,
    /// Every band, where without a filter the materials would be listed.
    #[arg(long)]
    all: bool,
    /// Only bands that may stand at this wavenumber in cm-1, nearest first.
    #[arg(long, value_name = "CM-1", conflicts_with = "range")]
    near: Option<f64>,
    /// Widen each window by this much in cm-1 for --near.
    #[arg(long, value_name = "CM-1", default_value_t = 0.0, requires = "near")]
    within: f64,
    /// Only bands whose position lies in this range in cm-1, such as 600-700.
    #[arg(long, value_name = "LOW-HIGH", value_parser = range)]
    range: Option<Window>,
    /// The kind of measurement whose windows are meant; ATR where left out.
    #[arg(long, value_enum)]
    mode: Option<ModeArg>,
    /// How to write the list.
    #[arg(long, short, value_enum, default_value_t)]
    format: ListFormat,
    /// Write to this file, whole or not at all, instead of standard output.
    #[arg(long, short, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    table: TableArgs,
    /// Write the table's files and its guide into this folder, and list nothing.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["check", "materials", "material", "near", "range", "output"])]
    export: Option<PathBuf>,
    /// Judge the table in this folder, and list nothing.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["materials", "material", "near", "range", "output", "bands"])]
    check: Option<PathBuf>,
}

/// The ways of writing the list.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
enum ListFormat {
    /// Two lines a band, 80 columns wide.
    #[default]
    Text,
    /// The columns of bands.csv.
    Csv,
    /// One object with the table's version and the bands.
    Json,
    /// A table; the whole page, rules and care notes included, where no filter is given.
    Markdown,
}

/// What `--format json` writes.
#[derive(Serialize)]
struct List<'a> {
    schema: &'static str,
    table: TableName<'a>,
    bands: &'a [&'a Band],
}

/// Which table was listed.
#[derive(Serialize)]
struct TableName<'a> {
    version: &'a str,
    sha256: &'a str,
}

/// Lists, exports or checks the table.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    if let Some(folder) = &args.check {
        return check(folder, terminal);
    }
    let tables = args.table.load()?;
    let kept = Kept::default().with_folder(args.table.folder());
    kept.keep_from(&args.output)?;
    if let Some(folder) = &args.export {
        if let Some(read) = args.table.folder() {
            // Only the files of the table are written; any of them may be a link to one that was read.
            let names = std::fs::read_dir(read).into_iter().flatten().filter_map(Result::ok);
            let outputs: Vec<PathBuf> = names.map(|entry| folder.join(entry.file_name())).collect();
            kept.keep_from(&outputs)?;
        }
        let written = tables.export(folder).map_err(Failure::library)?;
        for path in written {
            writeln!(terminal.out(), "{}", path.display())?;
        }
        return Ok(());
    }
    let wanted = args
        .materials
        .iter()
        .chain(&args.material)
        .map(|word| material(word, tables).map(|found| found.id.clone()))
        .collect::<Result<Vec<_>, _>>()?;
    let bands = select(args, &wanted, tables);
    if let Some(path) = &args.output {
        terminal.send_to(path)?;
    }
    let whole = wanted.is_empty() && args.near.is_none() && args.range.is_none();
    let written = match args.format {
        ListFormat::Text if whole && !args.all => text::materials(tables),
        ListFormat::Text => {
            text::list(tables, &bands, &title(args, &wanted, bands.len()), mode(args))
        }
        ListFormat::Csv => bands_as_csv(&bands),
        ListFormat::Json => json(tables, &bands)?,
        ListFormat::Markdown if whole => tables.page(),
        ListFormat::Markdown => bands_as_markdown(&bands),
    };
    terminal.out().write_all(written.as_bytes())?;
    Ok(())
}

/// Judges a folder: what is in it, or every fault of it.
fn check(folder: &Path, terminal: &mut Terminal) -> Result<(), Failure> {
    match Tables::load(folder) {
        Ok(tables) => {
            writeln!(
                terminal.out(),
                "{}: no fault found\n  version {}, SHA-256 {}\n  {} materials, {} bands, {} groups, \
                 {} telling windows, {} classes, {} rules, {} markers, {} care notes, {} measured shapes",
                folder.display(),
                tables.version(),
                tables.sha256(),
                tables.materials().len(),
                tables.bands().len(),
                tables.groups().len(),
                tables.windows().len(),
                tables.classes().len(),
                tables.rules().len(),
                tables.markers().len(),
                tables.care().len(),
                tables.shapes().len()
            )?;
            Ok(())
        }
        Err(TableError::Faulty(faults)) => {
            for fault in faults.all().iter().take(MOST_FAULTS_LISTED) {
                terminal.error(&fault.to_string());
            }
            let more = faults.all().len().saturating_sub(MOST_FAULTS_LISTED);
            if more > 0 {
                terminal.error(&format!("and {more} more"));
            }
            terminal.end_with(Exit::CouldNotWork);
            Ok(())
        }
        Err(error) => Err(Failure::library(error)),
    }
}

/// Picks the bands that the filters leave, in the order in which they are shown.
fn select<'a>(args: &Args, wanted: &[String], tables: &'a Tables) -> Vec<&'a Band> {
    let mut bands: Vec<&Band> = tables
        .bands()
        .iter()
        .filter(|band| wanted.is_empty() || wanted.contains(&band.material))
        .filter(|band| args.range.is_none_or(|range| range.contains(band.position_cm1)))
        .filter(|band| {
            args.near.is_none_or(|cm1| {
                let window = band.window(mode(args));
                Window::new(window.low_cm1 - args.within, window.high_cm1 + args.within)
                    .contains(cm1)
            })
        })
        .collect();
    if let Some(cm1) = args.near {
        let away = |band: &Band| (band.position_cm1 - cm1).abs();
        bands.sort_by(|a, b| away(a).total_cmp(&away(b)));
    } else if args.range.is_some() {
        bands.sort_by(|a, b| b.position_cm1.total_cmp(&a.position_cm1));
    }
    bands
}

fn mode(args: &Args) -> MeasurementMode {
    args.mode.map_or(MeasurementMode::Atr, Into::into)
}

/// Says what the list answers.
fn title(args: &Args, wanted: &[String], count: usize) -> String {
    let of = if wanted.is_empty() { String::new() } else { format!(" of {}", wanted.join(", ")) };
    let bands = if count == 1 { "band" } else { "bands" };
    let measured = match mode(args) {
        MeasurementMode::Atr => "ATR",
        MeasurementMode::Transmission => "transmission",
        MeasurementMode::Reflection => "reflection (by the transmission windows)",
    };
    match (args.near, args.range) {
        (Some(cm1), _) => format!("{count} {bands}{of} may stand at {cm1} cm⁻¹ in {measured}"),
        (None, Some(range)) => format!("{count} {bands}{of} in {range}"),
        (None, None) => format!("{count} {bands}{of}"),
    }
}

fn json(tables: &Tables, bands: &[&Band]) -> Result<String, Failure> {
    let list = List {
        schema: "bandlore-bands-1",
        table: TableName { version: tables.version(), sha256: tables.sha256() },
        bands,
    };
    let mut text = serde_json::to_string_pretty(&list).map_err(Failure::library)?;
    text.push('\n');
    Ok(text)
}

/// Reads a range as typed, either end first.
fn range(text: &str) -> Result<Window, String> {
    let ends =
        text.split_once('-').or_else(|| text.split_once("..")).or_else(|| text.split_once(':'));
    let parse = |end: &str| end.trim().parse::<f64>().ok().filter(|x| x.is_finite());
    let parsed = ends.and_then(|(a, b)| Some((parse(a)?, parse(b)?)));
    let (a, b) = parsed.ok_or("expected two wavenumbers in cm-1, such as 600-700")?;
    Ok(Window::new(a.min(b), a.max(b)))
}

#[cfg(test)]
mod tests {
    use super::range;

    #[test]
    fn takes_a_range_from_either_end() {
        let low_first = range("600-700").expect("a range");
        assert_eq!(low_first, range("700..600").expect("a range"));
        assert_eq!((low_first.low_cm1, low_first.high_cm1), (600.0, 700.0));
        assert!(range("600").is_err());
        assert!(range("600-inf").is_err());
        assert!(range("a-b").is_err());
    }
}
