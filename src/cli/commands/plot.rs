//! `bandlore plot FILE…`: a figure of one spectrum with the bands behind its answer, or of several.

use std::path::{Path, PathBuf};

use bandlore::{
    Examined, Examiner, ReadOptions, Spectrum, Tables,
    io::write_whole,
    judge::JudgeSettings,
    read_path,
    report::{
        Figure,
        plot::{
            Arrangement, CurvesFigure, LabelledSpectra, ShownBands, SpectrumFigure, View,
            bands_behind, draw_curves, draw_spectrum, shape_behind,
        },
    },
};

use super::ageing::known_material;
use crate::cli::Failure;
use crate::cli::args::{ReadingArgs, TableArgs};
use crate::cli::inputs;
use crate::cli::kept::Kept;
use crate::cli::terminal::Terminal;

/// Pixels of a PNG for each pixel of the drawing: fit for print.
const PRINT_SCALE: f32 = 3.0;

/// The end of a file's name that names a spot is no longer than this: "a", "12", "s03".
const LONGEST_SPOT: usize = 3;

/// Arguments of `bandlore plot`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The files; of one file that holds several spectra the first, or the one that --block names.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// Where the figure goes; its ending, .svg, .png or .pdf, says in which form.
    #[arg(long, short, value_name = "FILE")]
    output: PathBuf,
    /// Several files: each curve above the one before, with its name beside it.
    #[arg(long, conflicts_with = "mean")]
    stacked: bool,
    /// Several files: spots of one face ("V02-exposed-a", "V02-exposed-b") as their mean, with lowest
    /// and highest shaded.
    #[arg(long)]
    mean: bool,
    /// Show this range in cm-1, such as 1850-1550, or by name: hydroxyl, C-H, carbonyl, fingerprint,
    /// C-O, C-Cl.
    #[arg(long, value_name = "RANGE", value_parser = View::read_range)]
    range: Option<(f64, f64)>,
    /// Draw transmittance in percent in place of absorbance.
    #[arg(long)]
    transmittance: bool,
    /// Width and height in millimetres, such as 160x100.
    #[arg(long, value_name = "MM", value_parser = View::read_size)]
    size: Option<(f64, f64)>,
    /// Show the bands of this material, by id or name, instead of those of the answer.
    #[arg(long, value_name = "ID")]
    material: Option<String>,
    /// The heading, where the file's name will not do.
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

/// The forms a figure may be written in.
#[derive(Clone, Copy)]
enum Form {
    Svg,
    Png,
    Pdf,
}

impl Form {
    fn of(path: &Path) -> Result<Self, Failure> {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
        match ending.as_str() {
            "svg" => Ok(Self::Svg),
            "png" => Ok(Self::Png),
            "pdf" => Ok(Self::Pdf),
            _ => {
                let out = path.display();
                Err(Failure::usage(format!("{out}: a figure ends in .svg, .png or .pdf")))
            }
        }
    }
}

/// Draws the spectra and writes the figure, whole or not at all.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let form = Form::of(&args.output)?;
    let tables = args.table.load()?;
    let material = known_material(args.material.as_deref(), tables)?;
    let files = inputs::expand(&args.files, terminal)?;
    let kept = Kept::default().with(&files).with_folder(args.table.folder());
    kept.keep_from([&args.output])?;
    let drawn = match files.as_slice() {
        [file] => one(file, args, material, tables, terminal)?,
        _ if material.is_some() => {
            return Err(Failure::usage(
                "--material marks the bands of one spectrum; give one file",
            ));
        }
        files => several(files, args, terminal)?,
    };
    let Some((figure, told)) = drawn else { return Ok(()) };
    let bytes = match form {
        Form::Svg => figure.svg().as_bytes().to_vec(),
        Form::Png => figure.png(args.scale).map_err(Failure::library)?,
        Form::Pdf => figure.pdf().map_err(Failure::library)?,
    };
    write_whole(&args.output, &bytes).map_err(Failure::library)?;
    terminal.note(&format!("{}: {told}", args.output.display()));
    Ok(())
}

impl Args {
    fn view(&self) -> View {
        View::default()
            .with_range_cm1(self.range)
            .with_percent_transmittance(self.transmittance)
            .with_size_mm(self.size)
    }
}

/// A figure, and what is said of it; nothing where a file could not be read, which is told.
type Drawn = Option<(Figure, String)>;

/// One spectrum with the bands behind its answer.
fn one(
    file: &Path,
    args: &Args,
    material: Option<&str>,
    tables: &Tables,
    terminal: &Terminal,
) -> Result<Drawn, Failure> {
    let mut spectra = read_path(file, &args.reading.options());
    let spectrum = match spectra.next() {
        Some(Ok(spectrum)) => spectrum,
        Some(Err(error)) => {
            terminal.error(&error.to_string());
            return Ok(None);
        }
        None => return Err(Failure::usage(format!("{}: holds no spectrum", file.display()))),
    };
    if spectra.next().is_some() {
        terminal.note(&format!(
            "{}: several spectra, the first is drawn; choose with --block",
            file.display()
        ));
    }
    let title = args.title.clone().unwrap_or_else(|| name(file));
    // Every material is ranked, so that the one asked for is there with its bands.
    let settings = JudgeSettings::default().with_top(tables.materials().len());
    let examiner = Examiner::new(tables).with_settings(settings);
    let examined = examiner.examine(spectrum).map_err(Failure::library)?;
    let found = &examined.identification;
    let materials = shown(&examined, material);
    if materials.iter().all(|shown| shown.bands.is_empty()) {
        terminal.note(&match material {
            Some(id) => format!(
                "no bands of {id} are marked: the spectrum has too little signal, or the table cannot name {id} by itself"
            ),
            None => "no material is named, so no bands are marked; --material ID marks some".into(),
        });
    }
    let by_itself = bands_behind(found);
    let is_answer = matches!(by_itself.as_slice(), [one] if Some(one.material) == material);
    let asked = material.filter(|_| !is_answer && materials.iter().any(|s| !s.bands.is_empty()));
    // What the answer leaves unexplained may be bands of the material asked for.
    let unexplained = if asked.is_some() { &[][..] } else { &found.unexplained };
    // First, for a long title loses its end; and what the spectrum is by itself, as far as it was named.
    let title = asked.map_or(title.clone(), |id| {
        let named: Vec<&str> = by_itself.iter().map(|shown| shown.material).collect();
        let named = if named.is_empty() { "not named".to_owned() } else { named.join(", ") };
        format!("Bands of {id} as asked for (by itself: {named}): {title}")
    });
    let figure = SpectrumFigure::new("spectrum", &title, &examined.spectrum)
        .with_materials(&materials)
        .with_unexplained(unexplained)
        .with_shape(shape_behind(&examined.identification, &materials, tables))
        .with_tables(tables)
        .with_view(args.view());
    let figure = draw_spectrum(&figure).map_err(Failure::library)?;
    let answer = &examined.identification.sentence;
    Ok(Some((
        figure,
        asked.map_or(answer.clone(), |_| format!("By itself it is judged so: {answer}")),
    )))
}

/// Several spectra: over one another, stacked, or the means of the spots of each face.
fn several(files: &[PathBuf], args: &Args, terminal: &Terminal) -> Result<Drawn, Failure> {
    let mut read: Vec<(String, Spectrum)> = Vec::new();
    let mut failed = false;
    for file in files {
        for (place, spectrum) in spectra(file, &args.reading.options()).enumerate() {
            match spectrum {
                Ok(spectrum) if args.mean => read.push((face(file), spectrum)),
                Ok(spectrum) if place == 0 => read.push((name(file), spectrum)),
                Ok(spectrum) => {
                    read.push((format!("{}, spectrum {}", name(file), place + 1), spectrum));
                }
                Err(error) => {
                    terminal.error(&error);
                    failed = true;
                }
            }
        }
    }
    // A figure that lacks a curve would be taken for whole.
    if failed {
        return Ok(None);
    }
    let mut curves: Vec<LabelledSpectra<'_>> = Vec::new();
    for (label, spectrum) in &read {
        match curves.iter_mut().find(|curve| args.mean && curve.label == label) {
            Some(curve) => curve.spectra.push(spectrum),
            None => curves.push(LabelledSpectra::new(label, vec![spectrum])),
        }
    }
    let labels: Vec<&str> = curves.iter().map(|curve| curve.label).collect();
    let title = args.title.clone().unwrap_or_else(|| match labels.as_slice() {
        [first, .., last] if labels.len() > 3 => format!("{first} to {last}"),
        few => few.join(", "),
    });
    let arrangement = if args.stacked { Arrangement::Stacked } else { Arrangement::Overlaid };
    let figure = CurvesFigure::new("spectra", &title, &curves)
        .with_arrangement(arrangement)
        .with_view(args.view());
    let figure = draw_curves(&figure).map_err(Failure::library)?;
    let told = figure.description().to_owned();
    Ok(Some((figure, told)))
}

/// The spectra of a file, each or the reason why there is none.
fn spectra(
    file: &Path,
    options: &ReadOptions,
) -> impl Iterator<Item = Result<Spectrum, String>> + use<> {
    read_path(file, options).map(|spectrum| spectrum.map_err(|error| error.to_string()))
}

/// The file's name without its ending.
fn name(file: &Path) -> String {
    let stem = file.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    stem.unwrap_or_else(|| file.display().to_string())
}

/// The file's name without its ending and without the spot: "V02-exposed" of "V02-exposed-a".
fn face(file: &Path) -> String {
    let name = name(file);
    match name.rsplit_once(['-', '_', ' ']) {
        Some((face, spot)) if !face.is_empty() && spot.chars().count() <= LONGEST_SPOT => {
            face.to_owned()
        }
        _ => name,
    }
}

/// The bands to mark: of the material asked for, else of the answer.
fn shown<'a>(examined: &'a Examined, wanted: Option<&'a str>) -> Vec<ShownBands<'a>> {
    let found = &examined.identification;
    let Some(id) = wanted else { return bands_behind(found) };
    let ranked = found.ranking.iter().find(|r| r.material == id).map(|r| r.evidence.as_slice());
    let component = found.components.iter().find(|c| c.id == id).map(|c| c.evidence.as_slice());
    vec![ShownBands::new(id, ranked.or(component).unwrap_or_default())]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spots_of_a_face_share_its_name() {
        let face = |name: &str| super::face(Path::new(name));
        assert_eq!(face("x/V02-exposed-a.csv"), "V02-exposed");
        assert_eq!(face("V02 exposed 12.dx"), "V02 exposed");
        assert_eq!(face("V02-exposed.csv"), "V02-exposed");
        assert_eq!(face("V02.csv"), "V02");
    }
}
