//! `bandlore plot FILE`: one spectrum as a figure, with the bands behind its answer.

use std::path::PathBuf;

use bandlore::{
    Examined, Examiner, ShownBands, SpectrumFigure, bands_behind, draw_spectrum, read_path,
    write_whole,
};

use super::ageing::known_material;
use crate::cli::args::{ReadingArgs, TableArgs};
use crate::cli::terminal::Terminal;
use crate::cli::{Exit, Failure};

/// Pixels of a PNG for each pixel of the drawing: fit for print.
const PRINT_SCALE: f32 = 3.0;

/// Arguments of `bandlore plot`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The file; of several spectra in it the first, or the one that --block names.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Where the figure goes; its ending, .svg or .png, says in which form.
    #[arg(long, short, value_name = "FILE")]
    output: PathBuf,
    /// Show the bands of this material instead of those of the answer.
    #[arg(long, value_name = "ID")]
    material: Option<String>,
    /// The heading, where the file's own title will not do.
    #[arg(long, value_name = "TEXT")]
    title: Option<String>,
    /// Pixels of a PNG for each pixel of the drawing.
    #[arg(long, value_name = "N", default_value_t = PRINT_SCALE)]
    scale: f32,
    #[command(flatten)]
    reading: ReadingArgs,
    #[command(flatten)]
    table: TableArgs,
}

/// Draws the spectrum and writes the figure, whole or not at all.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<Exit, Failure> {
    let ending =
        args.output.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
    if ending != "svg" && ending != "png" {
        let out = args.output.display();
        return Err(Failure::usage(format!("{out}: a figure ends in .svg or .png")));
    }
    let tables = args.table.load()?;
    let material = known_material(args.material.as_deref(), &tables)?;
    let mut spectra = read_path(&args.file, &args.reading.options());
    let file = args.file.display();
    let spectrum = match spectra.next() {
        Some(Ok(spectrum)) => spectrum,
        Some(Err(error)) => {
            terminal.error(&error.to_string());
            return Ok(Exit::SomeInputFailed);
        }
        None => return Err(Failure::usage(format!("{file}: holds no spectrum"))),
    };
    if spectra.next().is_some() {
        terminal.note(&format!("{file}: several spectra, the first is drawn; choose with --block"));
    }
    let title = args.title.clone().or_else(|| spectrum.provenance().title.clone());
    let title = title.unwrap_or_else(|| file.to_string());
    let examined = Examiner::new(&tables).examine(spectrum).map_err(Failure::library)?;
    let materials = shown(&examined, material);
    if materials.iter().all(|material| material.bands.is_empty()) {
        terminal.note("no material is named, so no bands are marked; --material ID marks some");
    }
    let figure = draw_spectrum(&SpectrumFigure {
        id: "spectrum",
        title: &title,
        spectrum: &examined.spectrum,
        materials: &materials,
        unexplained: &examined.identification.unexplained,
    })
    .map_err(Failure::library)?;
    let bytes = if ending == "svg" {
        figure.svg().as_bytes().to_vec()
    } else {
        figure.png(args.scale).map_err(Failure::library)?
    };
    write_whole(&args.output, &bytes).map_err(Failure::library)?;
    terminal.note(&format!("{}: {}", args.output.display(), examined.identification.sentence));
    Ok(Exit::Answered)
}

/// The bands to mark: of the material asked for, else of the answer.
fn shown<'a>(examined: &'a Examined, wanted: Option<&'a str>) -> Vec<ShownBands<'a>> {
    let found = &examined.identification;
    let Some(id) = wanted else { return bands_behind(found) };
    let ranked = found.ranking.iter().find(|r| r.material == id).map(|r| r.evidence.as_slice());
    let component = found.components.iter().find(|c| c.id == id).map(|c| c.evidence.as_slice());
    vec![ShownBands { material: id, bands: ranked.or(component).unwrap_or_default() }]
}
