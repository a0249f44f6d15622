//! JCAMP-DX 4.24 and 5.x infrared spectra.
//!
//! The format is that of R. S. McDonald and P. A. Wilks, Appl. Spectrosc. 42 (1988) 151.

mod asdf;
mod axis;
mod block;
mod blocks;
mod checks;
mod error;
mod header;
mod labels;
mod raw;
mod words;
mod xydata;

pub use error::Error;
pub use raw::{JcampBlock, decode_jcamp_blocks};

use std::ops::Range;

use block::Head;
use blocks::{Block, outline};
use error::Located;
use words::OrdinateWords;
use xydata::Table;

use super::finish::{finish, overridden};
use super::found::Found;
use super::source::Source;
use super::{Error as ReadError, ReadOptions};
use crate::spectrum::{MeasurementMode, Ordinate, Spectrum, Warning};

/// Reads the infrared spectra of a JCAMP-DX file, one block at a time.
///
/// Blocks of other techniques are passed over where an infrared one is there, which then says so;
/// a file without an infrared block, or a block asked for that is not infrared, is an error.
pub(super) fn read(
    text: String,
    source: Source,
    options: ReadOptions,
) -> impl Iterator<Item = Result<Spectrum, ReadError>> + Send + 'static {
    let mut chosen = choose(&text, &options).map_err(|l| at(&source.file, l));
    let mut next = 0;
    std::iter::from_fn(move || match &mut chosen {
        // The one error is handed out once.
        Err(_) => {
            let done = std::mem::replace(&mut chosen, Ok((Vec::new(), Vec::new())));
            done.err().map(Err)
        }
        Ok((blocks, notes)) => {
            let (number, block) = *blocks.get(next)?;
            next += 1;
            Some(spectrum(&text, &block, number, &source, &options, std::mem::take(notes)))
        }
    })
}

fn at(file: &str, located: Located) -> ReadError {
    ReadError::at(file, located.line, located.error)
}

/// The blocks to read, with their numbers from 1, and what to say of the others.
type Chosen = (Vec<(usize, Block)>, Vec<Warning>);

fn choose(text: &str, options: &ReadOptions) -> Result<Chosen, Located> {
    let blocks = outline(text)?;
    let count = blocks.len();
    let numbered = blocks.into_iter().enumerate().map(|(i, block)| (i + 1, block));
    if let Some(asked) = options.block {
        let block = numbered.into_iter().find(|(number, _)| *number == asked);
        let Some(block) = block else {
            return Err(Located::new(1, Error::NoSuchBlock { asked, blocks: count }));
        };
        return Ok((vec![block], Vec::new()));
    }
    if count == 1 {
        return Ok((numbered.collect(), Vec::new()));
    }
    let mut read = Vec::new();
    let mut refused = 0;
    let mut first_refused = None;
    for (number, block) in numbered {
        // A header that cannot be read is no reason to pass the block over in silence.
        match block::head(text, &block).ok().and_then(|head| head.refusal(block.start)) {
            None => read.push((number, block)),
            Some(located) => {
                refused += 1;
                first_refused.get_or_insert((number, block, located));
            }
        }
    }
    let Some((number, block, located)) = first_refused else { return Ok((read, Vec::new())) };
    if read.is_empty() {
        let data_type = match &located.error {
            Error::Technique { data_type } => data_type.clone(),
            _ => "(missing)".to_owned(),
        };
        let error = match &located.error {
            Error::PeakTable { .. } | Error::Ntuples => located.error.clone(),
            _ => Error::NoInfrared { blocks: count, data_type },
        };
        return Err(Located::new(block.start.line, error));
    }
    let text = format!(
        "{refused} of {count} blocks are no infrared spectrum and were left out; the first is \
         block {number} in line {}: {}",
        block.start.line, located.error
    );
    Ok((read, vec![Warning::new("jcamp-blocks-left-out", text)]))
}

/// Reads one block to its end.
fn spectrum(
    text: &str,
    block: &Block,
    number: usize,
    source: &Source,
    options: &ReadOptions,
    notes: Vec<Warning>,
) -> Result<Spectrum, ReadError> {
    let mut found = values(text, block, options).map_err(|l| at(&source.file, l))?;
    let mut provenance = source.provenance(number);
    provenance.title = found.provenance.title.take();
    provenance.stated_resolution = found.provenance.stated_resolution.take();
    provenance.records = std::mem::take(&mut found.provenance.records);
    found.provenance = provenance;
    let own = std::mem::take(&mut found.warnings);
    found.warnings = source.warnings.iter().cloned().chain(notes).chain(own).collect();
    finish(found, options)
}

/// Reads the values of one block, factors applied and checked against the header.
fn values(text: &str, block: &Block, options: &ReadOptions) -> Result<Found, Located> {
    let mut head = block::head(text, block)?;
    if let Some(refusal) = head.refusal(block.start) {
        return Err(refusal);
    }
    let table_line = head.table.as_ref().map_or(block.start.line, |table| table.line);
    let table = head.table(text, block, true)?;
    let mut warnings = std::mem::take(&mut head.header.warnings);
    let ordinate = ordinate(&head, options, &mut warnings)?;
    check_size(&head, block, &table, table_line, &mut warnings)?;
    let header = &head.header;
    for (label, factor) in [("XFACTOR", header.x_factor), ("YFACTOR", header.y_factor)] {
        if factor.is_none() {
            let text = format!(
                "##{label}= is missing in the block from line {}, taken as 1",
                block.start.line
            );
            warnings.push(Warning::new("jcamp-factor", text));
        }
    }
    if header.data_type.is_none() {
        let text = format!(
            "##DATA TYPE= is missing in the block from line {}; read as infrared for its ##XUNITS=",
            block.start.line
        );
        warnings.push(Warning::new("jcamp-data-type", text));
    }
    let (abscissas, mut ordinates) = match table {
        Table::Packed(mut packed) => {
            let mut axis = axis::checked(header, &packed, table_line)?;
            warnings.append(&mut axis.warnings);
            let mut lines = checks::check_lines(&packed, &axis)?;
            warnings.append(&mut lines.warnings);
            leave_out(&mut axis.abscissas, &lines.left_out);
            leave_out(&mut packed.ordinates, &lines.left_out);
            (axis.abscissas, packed.ordinates)
        }
        Table::Pairs { mut abscissas, ordinates } => {
            scale(&mut abscissas, header.x_factor.map_or(1.0, |stated| stated.value));
            (abscissas, ordinates)
        }
    };
    scale(&mut ordinates, header.y_factor.map_or(1.0, |stated| stated.value));
    warnings.append(&mut checks::check_header(header, &ordinates));
    let Head { header, .. } = head;
    let mode = words::mode(&header.sampling).or(if header.path_length {
        Some(MeasurementMode::Transmission)
    } else {
        None
    });
    let mut found = Found {
        abscissas,
        ordinates,
        abscissa_unit: header.x_units.as_deref().and_then(words::abscissa_unit),
        ordinate,
        mode,
        warnings,
        first_missing: Some("?".to_owned()),
        one_scale: true,
        ..Found::default()
    };
    found.provenance.title = header.title;
    found.provenance.stated_resolution = header.resolution;
    found.provenance.records = header.records;
    Ok(found)
}

/// Returns the ordinate that a header states, nothing where it is silent or the user knows better.
fn ordinate(
    head: &Head,
    options: &ReadOptions,
    warnings: &mut Vec<Warning>,
) -> Result<Option<Ordinate>, Located> {
    let header = &head.header;
    let stated = header.y_units.as_deref().unwrap_or_default();
    match words::ordinate(stated) {
        OrdinateWords::Plain(ordinate) => Ok(Some(ordinate)),
        OrdinateWords::Silent => Ok(None),
        OrdinateWords::PerConcentration => {
            if options.ordinate.is_none() {
                let text = format!(
                    "line {}: ##YUNITS= {stated} is absorbance per concentration; read as \
                     absorbance scaled by an unknown factor",
                    header.y_units_line
                );
                warnings.push(Warning::new("jcamp-absorptivity", text));
            }
            Ok(Some(Ordinate::RelativeAbsorbance))
        }
        OrdinateWords::Unknown => match options.ordinate {
            Some(said) => {
                let line = header.y_units_line;
                let stated = format!("line {line} states ##YUNITS= {stated}");
                warnings.push(overridden(said, &stated));
                Ok(None)
            }
            None => {
                let found = stated.to_owned();
                Err(Located::new(header.y_units_line, Error::OrdinateUnit { found }))
            }
        },
    }
}

/// Compares the number of points with the claim, and doubts a block that nothing closes.
fn check_size(
    head: &Head,
    block: &Block,
    table: &Table,
    table_line: usize,
    warnings: &mut Vec<Warning>,
) -> Result<(), Located> {
    let (found, packed) = match table {
        Table::Packed(packed) => (packed.ordinates.len(), true),
        Table::Pairs { ordinates, .. } => (ordinates.len(), false),
    };
    let stated = head.header.claimed_points();
    if !block.closed {
        if stated > found {
            return Err(Located::new(table_line, Error::CutShort { stated, found }));
        }
        let text = if stated == found {
            format!(
                "##END= is missing after the block from line {}; all its {found} points are there",
                block.start.line
            )
        } else {
            format!(
                "##END= is missing after the block from line {}; its last points may be lost",
                block.start.line
            )
        };
        warnings.push(Warning::new("jcamp-end", text));
    }
    // A packed table compares its points with the abscissas of its lines as well.
    if !packed
        && let Some(claim) = head.header.points
        && stated != found
    {
        let text = format!(
            "line {}: ##NPOINTS= says {}, file holds {found}; all were read",
            claim.line, claim.value
        );
        warnings.push(Warning::new("jcamp-npoints", text));
    }
    Ok(())
}

/// Removes points by their places; the places ascend by their start.
fn leave_out(values: &mut Vec<f64>, places: &[Range<usize>]) {
    if places.is_empty() {
        return;
    }
    let mut index = 0;
    let mut rest = places;
    values.retain(|_| {
        while let [first, later @ ..] = rest
            && first.end <= index
        {
            rest = later;
        }
        let kept = rest.first().is_none_or(|place| index < place.start);
        index += 1;
        kept
    });
}

fn scale(values: &mut [f64], factor: f64) {
    if factor != 1.0 {
        values.iter_mut().for_each(|value| *value *= factor);
    }
}
