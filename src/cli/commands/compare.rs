//! `bandlore compare`: the faces of one part, or two examinations of one spot.

use std::path::{Path, PathBuf};

use bandlore::{
    Examined, Examiner, Spectrum,
    ageing::comparison::{COPIED_SPOTS, ComparedFace, Comparison, Session, read_colours},
    io::open as open_file,
    optics::Element,
    read_path,
    report::{
        Figure, PageFrame,
        ageing::{
            comparison_document, comparison_json, comparison_json_lines, comparison_sheet,
            comparison_text,
        },
    },
    spectrum::Warning,
};

use super::ageing::known_material;
use crate::cli::Failure;
use crate::cli::args::{ElementArgs, Forms, OutputArgs, ReadingArgs, TableArgs};
use crate::cli::inputs;
use crate::cli::kept::Kept;
use crate::cli::report::{self, ReportArgs, Settings};
use crate::cli::terminal::Terminal;

/// Arguments of `bandlore compare`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Spots of the face towards the light.
    #[arg(long, num_args = 1.., value_name = "FILE")]
    exposed: Vec<PathBuf>,
    /// Spots of the far face of a transparent part.
    #[arg(long, num_args = 1.., value_name = "FILE")]
    reverse: Vec<PathBuf>,
    /// Spots under a bracket, clamp, label or overlap.
    #[arg(long, num_args = 1.., value_name = "FILE")]
    covered: Vec<PathBuf>,
    /// Spots of an earlier examination.
    #[arg(long, num_args = 1.., value_name = "FILE")]
    earlier: Vec<PathBuf>,
    /// The same spots, examined later.
    #[arg(long, num_args = 1.., value_name = "FILE")]
    later: Vec<PathBuf>,
    /// How the earlier examination was measured: crystal=diamond,angle=45,resolution=4.
    #[arg(long, value_name = "SETUP")]
    earlier_setup: Option<String>,
    /// How the later examination was measured.
    #[arg(long, value_name = "SETUP")]
    later_setup: Option<String>,
    /// The stable check sample as measured in the earlier examination.
    #[arg(long, value_name = "FILE")]
    earlier_check: Option<PathBuf>,
    /// The same check sample as measured in the later examination.
    #[arg(long, value_name = "FILE")]
    later_check: Option<PathBuf>,
    /// Compare the markers of this material (id or name of the table) instead of the identified one.
    #[arg(long, value_name = "ID")]
    material: Option<String>,
    /// Colour readings, as CSV: face, instrument, backing, and l, a, b or yi.
    #[arg(long, value_name = "CSV")]
    colours: Option<PathBuf>,
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

/// Compares the faces and writes what changed.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let reports = args.report.writers()?;
    let tables = args.table.load()?;
    let material = known_material(args.material.as_deref(), tables)?;
    let examiner = Examiner::new(tables).with_element(args.element.element()?);
    let groups = [
        (ComparedFace::Exposed, inputs::expand(&args.exposed, terminal)?),
        (ComparedFace::Reverse, inputs::expand(&args.reverse, terminal)?),
        (ComparedFace::Covered, inputs::expand(&args.covered, terminal)?),
        (ComparedFace::Earlier, inputs::expand(&args.earlier, terminal)?),
        (ComparedFace::Later, inputs::expand(&args.later, terminal)?),
    ];
    if groups.iter().filter(|(_, files)| !files.is_empty()).count() < 2 {
        return Err(Failure::usage(
            "two faces are needed: --exposed and --covered (or --reverse), or --earlier and --later",
        ));
    }
    Kept::default()
        .with(groups.iter().flat_map(|(_, files)| files))
        .with(args.colours.iter().chain(&args.earlier_check).chain(&args.later_check))
        .with_folder(args.table.folder())
        .keep_from(args.output.output.iter().chain(&args.report.report))?;
    let earlier = session(args.earlier_setup.as_deref(), args.earlier_check.as_deref(), args)?;
    let later = session(args.later_setup.as_deref(), args.later_check.as_deref(), args)?;
    let stated = args.element.element()?;
    let element_of = |face: ComparedFace| match face {
        ComparedFace::Earlier => element_in(&earlier, stated),
        ComparedFace::Later => element_in(&later, stated),
        ComparedFace::Exposed | ComparedFace::Reverse | ComparedFace::Covered => Ok(stated),
    };
    let mut spots: Vec<(ComparedFace, Examined)> = Vec::new();
    let mut left_out = Vec::new();
    for (face, files) in &groups {
        let element = element_of(*face)?;
        for file in files {
            for spectrum in read_path(file, &args.reading.options()) {
                match spectrum
                    .map_err(|e| e.to_string())
                    .and_then(|s| examiner.examine_on(s, Some(element)).map_err(|e| e.to_string()))
                    .and_then(fit_to_compare)
                {
                    Ok(examined) => spots.push((*face, examined)),
                    Err(error) => {
                        terminal.error(&error);
                        left_out.push(Warning::new("spot-left-out", error));
                    }
                }
            }
        }
    }
    let lost = |(face, files): &&(ComparedFace, Vec<PathBuf>)| {
        !files.is_empty() && spots.iter().all(|(of, _)| of != face)
    };
    let given = groups.iter().filter(|(_, files)| !files.is_empty()).count();
    if given - groups.iter().filter(lost).count() < 2
        && let Some((face, _)) = groups.iter().find(lost)
    {
        let face = face.word();
        return Err(Failure::usage(format!("no spot of the {face} face could be read and judged")));
    }
    let colours = match &args.colours {
        None => Vec::new(),
        Some(path) => {
            let bytes = open_file(path).map_err(Failure::library)?;
            read_colours(&path.to_string_lossy(), &bytes).map_err(Failure::library)?
        }
    };
    let borrowed: Vec<(ComparedFace, &Examined)> = spots.iter().map(|(f, e)| (*f, e)).collect();
    let mut comparison = examiner.compare(&borrowed, material, &colours, Some((&earlier, &later)));
    comparison.warnings.extend(left_out);
    comparison.warnings.extend(material.and_then(|stated| other_name(stated, &spots)));
    if let Some(copies) = comparison.warnings.iter().find(|w| w.id == COPIED_SPOTS) {
        return Err(Failure::usage(copies.text.clone()));
    }
    args.output.open(terminal)?;
    let stamp = super::identify::stamp(tables);
    let settings = settings(args, material);
    let compared: Vec<(ComparedFace, &Spectrum)> =
        spots.iter().map(|(face, examined)| (*face, &examined.spectrum)).collect();
    let page = |date: &str, figures: &[Figure]| {
        let frame = PageFrame::new(&stamp, Some(tables)).with_date(date).with_settings(&settings);
        comparison_document(&comparison, &compared, figures, &frame)
    };
    if args.report.wanted() {
        let page = page(&args.report.date(), &figures(&comparison, &compared)?);
        report::write_all(&reports, terminal, |writer, out| writer(&page, out))?;
    }
    let forms = Forms {
        text: &|width| comparison_text(&comparison, width),
        page: &|| page("", &[]),
        sheet: &|| comparison_sheet(&comparison),
        json: &|| comparison_json(&comparison, &stamp),
        json_lines: Some(&|| comparison_json_lines(&comparison, &stamp)),
    };
    args.output.write(&forms, terminal)
}

/// Keeps a spectrum that may be judged; of another one, says why it may not.
fn fit_to_compare(examined: Examined) -> Result<Examined, String> {
    let Some(finding) = examined.fitness.unfit() else { return Ok(examined) };
    let from = examined.spectrum.provenance();
    let block = if from.block > 1 { format!(", spectrum {}", from.block) } else { String::new() };
    let (why, to_do) = (&finding.consequence, &finding.remedy);
    let to_do = if to_do.is_empty() { String::new() } else { format!("; {to_do}") };
    Err(format!("{}{block}: left out, for it must not be judged: {why}{to_do}", from.file))
}

/// Says so where a spot by itself is judged to be something else than the material stated.
fn other_name(stated: &str, spots: &[(ComparedFace, Examined)]) -> Option<Warning> {
    let judged = spots.iter().find_map(|(face, examined)| {
        let found = &examined.identification;
        let class = found.class.iter().flat_map(|class| &class.members);
        let named = found.material.iter().chain(&found.candidates).chain(class);
        let named: Vec<&str> = named.map(String::as_str).collect();
        let is_other = !named.is_empty() && !named.contains(&stated);
        is_other.then(|| format!("{} on the {} face", named.join(" or "), face.word()))
    })?;
    let text = format!(
        "the markers are those of {stated}, as stated; by itself a spot was judged {judged}"
    );
    Some(Warning::new("material-stated", text))
}

#[cfg(feature = "plot")]
fn figures(
    comparison: &Comparison,
    spots: &[(ComparedFace, &Spectrum)],
) -> Result<Vec<Figure>, Failure> {
    bandlore::report::ageing::draw_comparison(comparison, spots).map_err(Failure::library)
}

#[cfg(not(feature = "plot"))]
fn figures(
    _comparison: &Comparison,
    _spots: &[(ComparedFace, &Spectrum)],
) -> Result<Vec<Figure>, Failure> {
    Ok(Vec::new())
}

/// What the page says of how it was done.
fn settings(args: &Args, material: Option<&str>) -> Vec<(String, String)> {
    Settings::default()
        .with("Material, as stated", material)
        .with("Earlier examination", args.earlier_setup.as_ref())
        .with("Later examination", args.later_setup.as_ref())
        .file("Check sample, earlier", args.earlier_check.as_ref())
        .file("Check sample, later", args.later_check.as_ref())
        .file("Colour readings", args.colours.as_ref())
        .element(&args.element)
        .reading(&args.reading)
        .0
}

/// The element of an examination, that of the options where its setup is silent.
fn element_in(session: &Session, otherwise: Element) -> Result<Element, Failure> {
    let angle = session.angle_deg.map_or_else(String::new, |angle| angle.to_string());
    let crystal = session.crystal.as_deref().unwrap_or_default();
    Element::recorded(crystal, &angle, otherwise)
        .map_err(|why| Failure::usage(format!("setup: {why}")))
}

/// Reads "crystal=diamond,angle=45,resolution=4" and the check sample.
fn session(setup: Option<&str>, check: Option<&Path>, args: &Args) -> Result<Session, Failure> {
    let mut session = Session::default();
    for pair in setup.unwrap_or_default().split(',').filter(|p| !p.trim().is_empty()) {
        let (key, value) = pair.split_once('=').unwrap_or((pair, ""));
        let (key, value) = (key.trim(), value.trim());
        let number = || {
            value.parse::<f64>().map_err(|_| {
                Failure::usage(format!("setup: \"{value}\" after {key} is not a number"))
            })
        };
        match key {
            "crystal" if !value.is_empty() => session.crystal = Some(value.to_owned()),
            "angle" => session.angle_deg = Some(number()?),
            "resolution" => session.resolution_cm1 = Some(number()?),
            _ => {
                return Err(Failure::usage(format!(
                    "setup: \"{pair}\" is not crystal=…, angle=… or resolution=…"
                )));
            }
        }
    }
    if let Some(path) = check {
        let first: Option<Result<Spectrum, _>> = read_path(path, &args.reading.options()).next();
        session.check = first.transpose().map_err(Failure::library)?;
    }
    Ok(session)
}
