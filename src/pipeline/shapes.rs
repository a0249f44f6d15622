//! Measured shapes from a sheet of labelled spectra.

use std::path::{Path, PathBuf};

use crate::error::Error;
use crate::fitness;
use crate::matching::{
    LabelledCurve, MatchInput, Matcher, ShapeLabel, fits, hide_minerals, on_shape_grid,
    read_shape_labels,
};
use crate::peaks::pick;
use crate::prepare::prepare;
use crate::read::{Column, ReadOptions, read_path};
use crate::tables::Tables;

/// Labelled curves from which shapes are made, and what took no part.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct LabelledCurves {
    /// The curves, in the order of the sheet.
    pub curves: Vec<LabelledCurve>,
    /// Files that took no part, each with the reason.
    pub left_out: Vec<String>,
    /// Every file that the sheet names.
    pub files: Vec<PathBuf>,
}

/// Reads the spectra that a sheet names, ready for [`make_shapes`](crate::matching::make_shapes).
///
/// Minerals that the table's bands show are taken out of the curves. A spectrum that cannot be read, or is
/// not fit to be judged, is left out and said so.
///
/// # Errors
///
/// The sheet cannot be read or is faulty.
pub fn labelled_curves(sheet: &Path, tables: &Tables) -> Result<LabelledCurves, Error> {
    let matcher = Matcher::new(tables);
    let bytes = crate::io::open(sheet)?;
    let labels = read_shape_labels(&bytes, &sheet.display().to_string())?;
    let folder = sheet.parent().unwrap_or(Path::new(""));
    let mut curves = Vec::new();
    let mut left_out = Vec::new();
    let files = labels.iter().map(|label| folder.join(&label.file)).collect();
    for label in labels {
        match curve(folder, &label, &matcher) {
            Ok(curve) => curves.push(LabelledCurve {
                file: label.file,
                materials: label.materials,
                laboratory: label.laboratory,
                mode: label.mode,
                made_from: label.made_from,
                licence: label.licence,
                sourcing: label.sourcing,
                curve,
            }),
            Err(why) => left_out.push(format!("{}: {why}", label.file)),
        }
    }
    Ok(LabelledCurves { curves, left_out, files })
}

fn curve(folder: &Path, label: &ShapeLabel, matcher: &Matcher) -> Result<Vec<f64>, String> {
    let column = label.column.as_ref().map(|text| match text.parse() {
        Ok(number) => Column::Number(number),
        Err(_) => Column::Name(text.clone()),
    });
    let options = ReadOptions { column, ..ReadOptions::default() };
    let spectrum = read_path(&folder.join(&label.file), &options)
        .next()
        .ok_or("holds no spectrum")?
        .map_err(|error| error.to_string())?;
    let fitness = fitness::examine(&spectrum);
    if let Some(finding) = fitness.unfit() {
        return Err(finding.consequence.clone());
    }
    let prepared = prepare(&spectrum).map_err(|error| error.to_string())?;
    let mut curve = on_shape_grid(&spectrum, &prepared);
    let peaks = pick(&spectrum, &prepared);
    let fits = fits(matcher.entries(), MatchInput::new(&spectrum, &prepared, &peaks));
    // A filler is no part of a polymer's shape.
    hide_minerals(&mut curve, &fits, matcher.entries());
    Ok(curve)
}
