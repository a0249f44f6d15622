//! `bandlore read FILE…`: what was read, for checking the reader from outside.

use std::io::Write;
use std::path::PathBuf;

use bandlore::{
    Spectrum,
    optics::{Correction, Element, correct_for_transmission, penetration_depth_um},
    spectrum::{MeasurementMode, PointFlag},
};

use crate::cli::Failure;
use crate::cli::args::ReadingArgs;
use crate::cli::batch::{self, Item};
use crate::cli::inputs;
use crate::cli::kept::Kept;
use crate::cli::terminal::{Terminal, plain};

/// Spectra with more points than this are written while they are turned into lines.
const LONG_POINTS: usize = 100_000;

/// Arguments of `bandlore read`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Files, folders or patterns; - is standard input.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    #[command(flatten)]
    reading: ReadingArgs,
    #[command(flatten)]
    depth: DepthArgs,
    /// text: a summary of each spectrum; csv: every point.
    #[arg(long, short, value_enum, default_value_t)]
    format: ReadFormat,
    /// Write to this file, whole or not at all, instead of standard output.
    #[arg(long, short, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// How heights of ATR spectra are made comparable with transmission literature.
#[derive(Clone, Debug, clap::Args)]
#[command(next_help_heading = "Correction for depth")]
struct DepthArgs {
    /// Correct ATR heights for comparison with transmission spectra in print; csv only.
    ///
    /// Not for identify: the table has positions and heights of ATR spectra of their own.
    #[arg(long, value_name = "HOW", value_enum)]
    as_transmission: Option<CorrectionArg>,
    /// The element, by name or index, for index-aware.
    #[arg(
        long,
        value_name = "NAME|INDEX",
        default_value = "diamond",
        requires = "as_transmission"
    )]
    crystal: String,
    /// Angle of incidence in degrees, for index-aware.
    #[arg(long, value_name = "DEGREES", default_value_t = 45.0, requires = "as_transmission")]
    angle: f64,
    /// Refractive index of the sample between its bands, for index-aware.
    #[arg(long, value_name = "N", default_value_t = 1.5, requires = "as_transmission")]
    index: f64,
}

/// The corrections a user may ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum CorrectionArg {
    /// Heights times wavenumber over 1000 cm-1: depth grows with the wavelength.
    Simple,
    /// Also the change of the sample's index across its bands, which moves strong bands.
    IndexAware,
}

impl DepthArgs {
    /// Returns the library's correction, where one was asked for.
    fn correction(&self) -> Result<Option<Correction>, Failure> {
        let Some(how) = self.as_transmission else { return Ok(None) };
        Ok(Some(match how {
            CorrectionArg::Simple => Correction::Simple,
            CorrectionArg::IndexAware => {
                let element =
                    Element::of_crystal(&self.crystal, self.angle).map_err(Failure::usage)?;
                // Impossible settings fail here, before any file is read.
                penetration_depth_um(element.crystal_index, self.angle, self.index, 1000.0)
                    .map_err(|error| Failure::usage(format!("{}: {error}", self.crystal)))?;
                Correction::IndexAware { sample_index: self.index, element }
            }
        }))
    }
}

/// The ways of showing what was read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum ReadFormat {
    /// A few lines a spectrum.
    #[default]
    Text,
    /// One line a point: block, wavenumber in cm-1, absorbance, flag.
    Csv,
}

/// Reads each file and prints what was understood.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let correction = args.depth.correction()?;
    if correction.is_some() && args.format != ReadFormat::Csv {
        return Err(Failure::usage("--as-transmission writes points; add --format csv"));
    }
    let files = inputs::expand_batch(&args.files, terminal)?;
    Kept::default().with(&files).keep_from(&args.output)?;
    if let Some(path) = &args.output {
        terminal.send_to(path)?;
    }
    let with_file = args.format == ReadFormat::Csv && files.len() > 1;
    if args.format == ReadFormat::Csv {
        let first = if with_file { "file,block" } else { "block" };
        if let Some(correction) = &correction {
            writeln!(terminal.out(), "# {}", said(correction))?;
        }
        let height =
            if correction.is_some() { "absorbance_corrected_for_depth" } else { "absorbance" };
        writeln!(terminal.out(), "{first},wavenumber_cm1,{height},flag")?;
    }
    let progress = terminal.progress(files.len());
    let format = args.format;
    let shown = |item: Item<'_>| {
        let spectrum = item.result.map_err(|error| error.to_string())?;
        let spectrum = match correction {
            None => spectrum,
            Some(correction) => corrected(&spectrum, correction)?,
        };
        Ok(match format {
            ReadFormat::Text => Shown::Text(summary(&spectrum)),
            ReadFormat::Csv if spectrum.len() > LONG_POINTS => Shown::Long(spectrum.into()),
            ReadFormat::Csv => {
                let mut text = Vec::with_capacity(spectrum.len() * 40);
                // Writing to memory cannot fail.
                let _ = points(&spectrum, with_file, &mut text);
                Shown::Text(String::from_utf8_lossy(&text).into_owned())
            }
        })
    };
    batch::run(&files, &args.reading.options(), &progress, shown, |result: Result<_, String>| {
        match result {
            Ok(Shown::Text(text)) => terminal.out().write_all(text.as_bytes())?,
            Ok(Shown::Long(spectrum)) => points(&spectrum, with_file, terminal.out())?,
            Err(text) => terminal.error(&text),
        }
        Ok(())
    })?;
    Ok(())
}

/// A spectrum as it is shown.
enum Shown {
    Text(String),
    /// Its lines would take more memory than it does itself: they are written as they are made.
    Long(Box<Spectrum>),
}

/// Corrects an ATR spectrum; what was not measured in ATR has no depth to correct for.
fn corrected(spectrum: &Spectrum, correction: Correction) -> Result<Spectrum, String> {
    let provenance = spectrum.provenance();
    let refused = |why: &dyn std::fmt::Display| {
        format!("{}: spectrum {}: {why}", provenance.file, provenance.block)
    };
    if spectrum.mode() != MeasurementMode::Atr {
        let why = format!(
            "measured in {}, not in ATR, so there is no depth to correct for",
            word(&spectrum.mode())
        );
        return Err(refused(&why));
    }
    correct_for_transmission(spectrum, correction).map_err(|error| refused(&error))
}

/// The line before the points that says what was done to them.
fn said(correction: &Correction) -> String {
    let how = match correction {
        Correction::Simple => {
            "by wavenumber / 1000 cm-1 alone; bands stay where ATR shows them".to_owned()
        }
        Correction::IndexAware { sample_index, element } => format!(
            "for depth and for the change of the index across bands, sample index {sample_index}, \
             crystal index {}, angle {} degrees",
            element.crystal_index, element.angle_deg
        ),
    };
    format!("ATR heights corrected {how}; for comparison with transmission spectra only")
}

/// One line a point, with the shortest digits that read back as the same number.
fn points(spectrum: &Spectrum, with_file: bool, out: &mut impl Write) -> std::io::Result<()> {
    use std::fmt::Write as _;

    let provenance = spectrum.provenance();
    let mut start = String::new();
    if with_file {
        // Quoted as RFC 4180 asks; the name is the user's own.
        let _ = write!(start, "\"{}\",", provenance.file.replace('"', "\"\""));
    }
    let _ = write!(start, "{}", provenance.block);
    for ((wavenumber, absorbance), flag) in
        spectrum.wavenumbers_cm1().iter().zip(spectrum.absorbances()).zip(spectrum.flags())
    {
        writeln!(out, "{start},{wavenumber},{absorbance},{}", flag_word(*flag))?;
    }
    Ok(())
}

fn flag_word(flag: PointFlag) -> &'static str {
    match flag {
        PointFlag::Measured => "measured",
        PointFlag::Padded => "padded",
        PointFlag::Saturated => "saturated",
        PointFlag::Masked => "masked",
    }
}

fn summary(spectrum: &Spectrum) -> String {
    use std::fmt::Write as _;

    let provenance = spectrum.provenance();
    let (low, high) = spectrum.range_cm1();
    let mut text = format!("{}, spectrum {}", provenance.file, provenance.block);
    if let Some(title) = &provenance.title {
        let _ = write!(text, ": {}", plain(title));
    }
    let saturated = spectrum.flags().iter().filter(|f| **f == PointFlag::Saturated).count();
    let padded = spectrum.flags().iter().filter(|f| **f == PointFlag::Padded).count();
    let _ = writeln!(
        text,
        "\n  {} points, {low:.1} to {high:.1} cm\u{207b}\u{b9}, spacing {:.2} cm\u{207b}\u{b9}, {} measured {}",
        spectrum.len(),
        spectrum.spacing_cm1(),
        spectrum.segments().len(),
        if spectrum.segments().len() == 1 { "segment" } else { "segments" },
    );
    let _ = writeln!(
        text,
        "  ordinate {} ({}), mode {} ({})",
        word(&spectrum.ordinate()),
        word(&spectrum.ordinate_origin()),
        word(&spectrum.mode()),
        word(&spectrum.mode_origin()),
    );
    if saturated + padded > 0 {
        let _ = writeln!(text, "  {saturated} points saturated, {padded} padded");
    }
    for warning in spectrum.warnings() {
        let _ = writeln!(text, "  warning: {} [{}]", plain(&warning.text), warning.id);
    }
    text
}

/// Returns the word that JSON uses too: `percent-transmittance`, `inferred`.
fn word(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}
