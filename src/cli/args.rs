//! The command line as typed.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use bandlore::{
    ReadOptions, Tables,
    optics::Element,
    read::Column,
    report::{Document, Sheet},
    spectrum::{MeasurementMode, Ordinate},
    tables::Material,
};
use clap::{Parser, Subcommand, ValueEnum};

use super::terminal::Terminal;
use super::{Failure, commands};

/// Finds out what clear plastics are made of from infrared spectra.
///
/// An ATR-FTIR or transmission export goes in (two-column text or JCAMP-DX); a ranked
/// identification with its evidence, a chlorine finding and ageing markers come out.
///
/// Exit status: 0 every input was answered, undecided answers included; 1 some input failed;
/// 2 wrong usage, a faulty table or an output that could not be written; 3 an answer is undecided
/// and --require-identified was given.
#[derive(Debug, Parser)]
#[command(name = "bandlore", version, max_term_width = 100, subcommand_required = true)]
pub struct Arguments {
    /// Print no notes and no progress, only results and errors.
    #[arg(long, short, global = true)]
    pub quiet: bool,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// One command each.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Read the ageing markers of single spectra.
    ///
    /// Every marker of the identified, or named, polymer comes with its value, an interval from noise
    /// only, detection (3 s) and quantification (10 s) limits, and what disturbs it. One spectrum
    /// shows no change: compare it with a covered face or an earlier measurement. No grade is given,
    /// for no published cut-off exists. No open measured series of light-aged PVC, PC or PMMA was
    /// found: the markers of these three are proven on synthetic mixtures only.
    Ageing(commands::ageing::Args),
    /// List the materials and their bands, say what absorbs where, export or check the table.
    Bands(commands::bands::Args),
    /// Say whether spectra are fit to be judged, and check the wavenumber scale on a film.
    Check(commands::check::Args),
    /// Compare the faces of one part, or two examinations of one spot.
    ///
    /// First it is asked whether the faces are the same material; then contact is fitted on bands
    /// that ageing leaves alone; then the one or two markers named beforehand are tested. Only a
    /// covered face is a less-aged reference: the reverse of a transparent part saw light too. Later
    /// against earlier is compared by numbers only where crystal, angle, resolution and a stable
    /// check sample agree. Below three spots a side nothing is tested. No open measured series of
    /// light-aged PVC, PC or PMMA was found: the markers of these three are proven on synthetic
    /// mixtures only.
    Compare(commands::compare::Args),
    /// Print a completion script for a shell.
    Completions(commands::completions::Args),
    /// Say how deep an ATR element looks into a sample.
    Depth(commands::depth::Args),
    /// Say what each spectrum shows: the material, chlorine, plasticiser, and the bands behind them.
    ///
    /// One spectrum fills a screen; --evidence shows all its bands. Several are a list of one line
    /// each, in the order given, with a summary; --quiet leaves the list alone.
    Identify(commands::identify::Args),
    /// Print the manual page in roff.
    Man(commands::man::Args),
    /// Draw a spectrum with the bands behind its answer, or several spectra, as SVG, PNG or PDF.
    #[cfg(feature = "plot")]
    Plot(commands::plot::Args),
    /// Examine a whole object from its manifest, and write the condition report.
    Object(commands::object::Args),
    /// Show what was read from files, without judging it.
    Read(commands::read::Args),
    /// Make measured shapes from a sheet of labelled spectra.
    Shapes(commands::shapes::Args),
}

/// How spectra are to be read, shared by every command that reads them.
#[derive(Clone, Debug, clap::Args)]
#[command(next_help_heading = "Reading")]
pub struct ReadingArgs {
    /// What the ordinate is, whatever the file says; a remark says where that differs.
    #[arg(long, value_enum, ignore_case = true)]
    pub ordinate: Option<OrdinateArg>,
    /// How the spectra were measured; ATR where nothing says otherwise.
    #[arg(long, value_enum, ignore_case = true)]
    pub mode: Option<ModeArg>,
    /// The ordinate column to read, by heading or by number from 1 (the abscissa is column 1).
    #[arg(long, value_name = "NAME|N")]
    pub column: Option<String>,
    /// Read only this block of a file that holds several, from 1.
    #[arg(long, value_name = "N")]
    pub block: Option<usize>,
}

/// The ATR element that spectra were measured on, shared by every command that works out depths.
#[derive(Clone, Debug, clap::Args)]
#[command(next_help_heading = "Reading")]
pub struct ElementArgs {
    /// The ATR crystal: diamond, zinc-selenide, germanium, silicon, or its refractive index.
    #[arg(long, value_name = "NAME|INDEX", default_value = "diamond")]
    pub crystal: String,
    /// Angle of incidence of the ATR element from the normal, in degrees.
    #[arg(long, value_name = "DEGREES", default_value = "45")]
    pub angle: String,
}

impl ElementArgs {
    /// Returns the element.
    pub fn element(&self) -> Result<Element, Failure> {
        Element::recorded(&self.crystal, &self.angle, Element::DIAMOND_45).map_err(Failure::usage)
    }
}

/// Which table to judge by, shared by every command that judges.
#[derive(Clone, Debug, clap::Args)]
pub struct TableArgs {
    /// Use the tables in this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    pub bands: Option<PathBuf>,
}

/// Declares what a user may choose among the values of a type of the library, with the help that is shown of each.
macro_rules! choices {
    ($($(#[$about:meta])* $name:ident of $of:ident { $($(#[$help:meta])* $value:ident,)+ })+) => {$(
        $(#[$about])*
        #[derive(Clone, Copy, Debug, clap::ValueEnum)]
        pub enum $name {
            $($(#[$help])* $value,)+
        }

        impl From<$name> for $of {
            fn from(chosen: $name) -> Self {
                match chosen {
                    $($name::$value => Self::$value,)+
                }
            }
        }
    )+};
}
pub(super) use choices;

choices! {
    /// The ordinates a user may state.
    OrdinateArg of Ordinate {
        /// Decadic absorbance.
        Absorbance,
        /// Transmittance from 0 to 1.
        Transmittance,
        /// Transmittance from 0 to 100.
        PercentTransmittance,
        /// Reflectance from 0 to 1, read as -log R.
        Reflectance,
        /// Reflectance from 0 to 100, read as -log R.
        PercentReflectance,
        /// Proportional to absorbance by an unknown factor.
        RelativeAbsorbance,
    }
    /// The ways of measuring a user may state.
    ModeArg of MeasurementMode {
        /// Attenuated total reflection.
        Atr,
        /// Transmission through a film, a pellet or a cell.
        Transmission,
        /// Specular or diffuse reflection.
        Reflection,
    }
}

/// Where results go and in which format, shared by every command that prints results.
#[derive(Clone, Debug, clap::Args)]
#[command(next_help_heading = "Output")]
pub struct OutputArgs {
    /// The format of the results [default: by the ending of --output, else text].
    #[arg(long, short, value_enum)]
    format: Option<Format>,
    /// Write to this file, whole or not at all, instead of standard output.
    #[arg(long, short, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// The text formats of a result.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Plain text for a terminal.
    #[default]
    Text,
    /// Markdown to paste into a report.
    Markdown,
    /// Comma-separated values for a spreadsheet.
    Csv,
    /// A workbook for a spreadsheet: typed cells, a head row that stays; name a file with --output.
    #[cfg(feature = "xlsx")]
    Xlsx,
    /// Typed columns for large sets, of `identify` alone; name a file with --output.
    #[cfg(feature = "parquet")]
    Parquet,
    /// One JSON array.
    Json,
    /// One JSON object a line, written as soon as it is known.
    Jsonl,
}

impl OutputArgs {
    /// Returns the format asked for, else that of the file's ending: text in a file called .xlsx opens in no spreadsheet.
    pub fn format(&self) -> Result<Format, Failure> {
        if let Some(format) = self.format {
            return Ok(format);
        }
        let ending = self.output.as_deref().and_then(Path::extension).unwrap_or_default();
        let ending = ending.to_string_lossy().to_lowercase();
        Ok(match ending.as_str() {
            "md" | "markdown" => Format::Markdown,
            "xlsx" | "parquet" | "csv" | "json" | "jsonl" => Format::from_str(&ending, true)
                .map_err(|_| {
                    Failure::usage(format!(
                        "this build writes no .{ending}; take --format csv or json"
                    ))
                })?,
            "html" | "htm" | "docx" | "pdf" => {
                return Err(Failure::usage(format!(
                    "--output writes no .{ending}; a page is for --report FILE.{ending}, or say --format"
                )));
            }
            _ => Format::Text,
        })
    }

    /// Sends the results where they were asked for; a workbook is for a file or a pipe.
    pub fn open(&self, terminal: &mut Terminal) -> Result<(), Failure> {
        // What a screen would only garble.
        let for_a_file: Option<&str> = match self.format()? {
            #[cfg(feature = "xlsx")]
            Format::Xlsx => Some("a workbook is for a file: add --output FILE.xlsx"),
            #[cfg(feature = "parquet")]
            Format::Parquet => Some("a Parquet table is for a file: add --output FILE.parquet"),
            _ => None,
        };
        if let Some(path) = &self.output {
            terminal.send_to(path)?;
        }
        if let Some(why) = for_a_file.filter(|_| terminal.is_screen()) {
            return Err(Failure::usage(why));
        }
        Ok(())
    }
}

/// The forms of a result that is whole before it is written; each is made only where it is asked for.
pub struct Forms<'a> {
    pub text: &'a dyn Fn(usize) -> String,
    pub page: &'a dyn Fn() -> Document,
    pub sheet: &'a dyn Fn() -> Sheet,
    pub json: &'a dyn Fn() -> io::Result<String>,
    /// Refused where there is none.
    pub json_lines: Option<&'a dyn Fn() -> io::Result<String>>,
}

impl OutputArgs {
    /// Writes a result in the format asked for.
    pub fn write(&self, forms: &Forms<'_>, terminal: &mut Terminal) -> Result<(), Failure> {
        let text = match self.format()? {
            Format::Text => (forms.text)(terminal.width()),
            Format::Markdown => (forms.page)().markdown(),
            Format::Csv => (forms.sheet)().csv().map_err(Failure::library)?,
            #[cfg(feature = "xlsx")]
            Format::Xlsx => return Ok(terminal.out().write_all(&(forms.sheet)().xlsx()?)?),
            #[cfg(feature = "parquet")]
            Format::Parquet => return of_identify_alone(),
            Format::Json => (forms.json)().map_err(Failure::library)?,
            Format::Jsonl => match forms.json_lines {
                Some(lines) => lines().map_err(Failure::library)?,
                None => {
                    return Err(Failure::usage(
                        "--format jsonl is for results of files; use text, markdown, csv or json here",
                    ));
                }
            },
        };
        Ok(terminal.out().write_all(text.as_bytes())?)
    }
}

/// Refuses a format that only `identify` writes.
#[cfg(feature = "parquet")]
pub fn of_identify_alone<T>() -> Result<T, Failure> {
    Err(Failure::usage("only `identify` writes Parquet; take --format csv or json"))
}

impl TableArgs {
    /// Returns the folder that is read, if one was named.
    pub fn folder(&self) -> Option<&Path> {
        self.bands.as_deref()
    }

    /// Returns the table to judge by.
    pub fn load(&self) -> Result<&'static Tables, Failure> {
        let Some(folder) = &self.bands else { return Ok(Tables::built_in()) };
        // One table a run, needed to its end.
        Tables::load(folder).map(|own| &*Box::leak(Box::new(own))).map_err(Failure::library)
    }
}

/// Returns the material that a word stands for: an id in any letter case, or a name of the trade.
pub fn material<'t>(word: &str, tables: &'t Tables) -> Result<&'t Material, Failure> {
    tables.find_material(word).ok_or_else(|| {
        let near: Vec<String> = tables
            .nearest_materials(word)
            .into_iter()
            .map(|found| format!("{} ({})", found.id, found.name))
            .collect();
        let meant = match near.as_slice() {
            [] => ";".to_owned(),
            near => format!("; did you mean {}?", near.join(", or ")),
        };
        Failure::usage(format!(
            "no material \"{word}\" in the table{meant} `bandlore bands` lists all"
        ))
    })
}

impl ReadingArgs {
    /// Returns the library's options; a column given as a number counts from 1.
    pub fn options(&self) -> ReadOptions {
        ReadOptions::default()
            .with_ordinate(self.ordinate.map(Into::into))
            .with_mode(self.mode.map(Into::into))
            .with_column(self.column.as_ref().map(|text| match text.parse() {
                Ok(number) => Column::Number(number),
                Err(_) => Column::Name(text.clone()),
            }))
            .with_block(self.block)
    }
}
