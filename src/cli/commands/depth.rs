//! `bandlore depth WAVENUMBER…`: how deep an ATR element looks.

use bandlore::{
    optics::{Depths, Element},
    report::{
        PageFrame,
        depth::{depth_document, depth_json, depth_sheet, depth_text},
        identification::Stamp,
    },
};

use crate::cli::Failure;
use crate::cli::args::{Forms, OutputArgs};
use crate::cli::kept::Kept;
use crate::cli::report::{self, ReportArgs};
use crate::cli::terminal::Terminal;

/// Says how deep an ATR element looks into a sample.
///
/// By Harrick's formula, for a sample that absorbs weakly. Past the critical index there is no total
/// reflection, and no such depth: that is refused.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Wavenumbers in cm-1.
    #[arg(required = true, value_name = "WAVENUMBER")]
    wavenumbers: Vec<f64>,
    /// The element: diamond, zinc-selenide, germanium, silicon, or any index; several with commas.
    #[arg(long, value_name = "NAME|INDEX", value_delimiter = ',', default_value = "diamond")]
    crystal: Vec<String>,
    /// Angle of incidence from the normal, in degrees.
    #[arg(long, value_name = "DEGREES", default_value_t = 45.0)]
    angle: f64,
    /// Refractive index of the sample between its bands.
    #[arg(long, value_name = "N", default_value_t = 1.5)]
    index: f64,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    report: ReportArgs,
}

/// Works the depths out and writes them.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let reports = args.report.writers()?;
    Kept::default().keep_from(args.output.output.iter().chain(&args.report.report))?;
    let mut all = Vec::with_capacity(args.crystal.len());
    for crystal in &args.crystal {
        let element = Element::of_crystal(crystal, args.angle).map_err(Failure::usage)?;
        let depths = Depths::new(crystal, element, args.index, &args.wavenumbers)
            .map_err(|error| Failure::usage(format!("{crystal}: {error}")))?;
        all.push(depths);
    }
    args.output.open(terminal)?;
    let stamp = Stamp::new("", "");
    let page = |date: &str| {
        let frame = PageFrame::new(&stamp, None).with_date(date);
        depth_document(&all, &frame)
    };
    if args.report.wanted() {
        let page = page(&args.report.date());
        report::write_all(&reports, terminal, |writer, out| writer(&page, out))?;
    }
    let forms = Forms {
        text: &|width| depth_text(&all, width),
        page: &|| page(""),
        sheet: &|| depth_sheet(&all),
        json: &|| depth_json(&all),
        json_lines: None,
    };
    args.output.write(&forms, terminal)
}
