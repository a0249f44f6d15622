//! `bandlore shapes SHEET`: makes measured shapes from a sheet of labelled spectra.

use std::io::Write;
use std::path::{Path, PathBuf};

use bandlore::{
    matching::make_shapes,
    pipeline::{LabelledCurves, labelled_curves},
    tables::{Shape, shapes_as_csv},
};

use crate::cli::Failure;
use crate::cli::args::TableArgs;
use crate::cli::kept::Kept;
use crate::cli::report;
use crate::cli::terminal::Terminal;

/// Make measured shapes, whole curves of materials, from a sheet of labelled spectra.
///
/// Spectra of one label that look alike are averaged; fewer than three make no shape. Writes shapes.csv and
/// shape-sources.csv, which belong into a table folder (see bands --export).
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The sheet: columns file, materials, laboratory, and optionally mode, `made_from`, column, licence,
    /// source. Files are looked for beside it.
    #[arg(value_name = "SHEET")]
    sheet: PathBuf,
    /// Write the two files into this folder, which must be there.
    #[arg(long, short, value_name = "DIR")]
    output: PathBuf,
    /// Leave this laboratory out; may be given several times.
    #[arg(long, value_name = "NAME")]
    without: Vec<String>,
    /// Keep the shapes of the table, and add these to them.
    #[arg(long)]
    keep: bool,
    /// Replace the two files where they are there already.
    #[arg(long)]
    replace: bool,
    #[command(flatten)]
    table: TableArgs,
}

/// Whether a folder is where the shapes go: a table may be given shapes of its own materials, for it is read whole
/// before they are written.
fn is_output(folder: &Path, args: &Args) -> bool {
    let same = |path: &Path| std::fs::canonicalize(path).ok();
    same(folder).is_some_and(|folder| Some(folder) == same(&args.output))
}

/// Makes the shapes and writes them.
pub fn run(args: &Args, terminal: &mut Terminal) -> Result<(), Failure> {
    let paths = ["shapes.csv", "shape-sources.csv"].map(|name| args.output.join(name));
    if let Some(path) = paths.iter().find(|path| path.exists() && !args.replace) {
        return Err(Failure::usage(format!(
            "{}: is there already; give --replace to write it anew",
            path.display()
        )));
    }
    let tables = args.table.load()?;
    let LabelledCurves { mut curves, left_out, files, .. } =
        labelled_curves(&args.sheet, tables).map_err(Failure::library)?;
    Kept::default()
        .with([&args.sheet])
        .with(files)
        .with_folder(
            args.table.folder().filter(|folder| !(args.replace && is_output(folder, args))),
        )
        .keep_from(&paths)?;
    curves.retain(|curve| !args.without.contains(&curve.laboratory));
    let unknown = curves.iter().find_map(|curve| {
        let id = curve.materials.iter().find(|id| tables.material(id).is_none())?;
        Some((&curve.file, id))
    });
    if let Some((file, id)) = unknown {
        return Err(Failure::usage(format!(
            "{}: {file} is of {id:?}, no material of the table; add it to materials.csv first",
            args.sheet.display()
        )));
    }
    let (made, spectra) = (make_shapes(&curves), curves.len());
    for file in &left_out {
        terminal.note(&format!("{file}; left out"));
    }
    let mut shapes: Vec<Shape> = if args.keep { tables.shapes().to_vec() } else { Vec::new() };
    for mut shape in made {
        while let Some(same) = shapes.iter().find(|other| other.id == shape.id) {
            shape.id = format!("{}-own", same.id);
        }
        shapes.push(shape);
    }
    let kept = if args.keep { tables.shapes().len() } else { 0 };
    if shapes.len() == kept {
        return Err(Failure::usage(format!(
            "{}: no shape was made of {spectra} spectra: a shape is the mean of at least three of one material that are alike",
            args.sheet.display()
        )));
    }
    let (curves, sources) = shapes_as_csv(&shapes);
    // Both or neither: the one is no use without the other.
    let files = [(&paths[0], curves), (&paths[1], sources)];
    report::place_all(&files, |text, out| out.write_all(text.as_bytes()))?;
    for shape in &shapes {
        let (low, high) = shape.range_cm1();
        writeln!(
            terminal.out(),
            "{:<28} {:<24} {:>3} spectra, {low:.0} to {high:.0} cm\u{207b}\u{b9}",
            shape.id,
            shape.materials.join(" "),
            shape.spectra
        )?;
    }
    writeln!(
        terminal.out(),
        "{} shapes from {spectra} spectra, {} left out, {kept} kept from before: {}",
        shapes.len() - kept,
        left_out.len(),
        paths[0].display()
    )?;
    Ok(())
}
