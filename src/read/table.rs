//! Text tables: finds out how one is laid out and hands it to its reader.

use std::borrow::Cow;

use super::layout::{self, Layout, Sampled};
use super::source::Source;
use super::{Error, Fault, ReadOptions, Spectra, columns, thousands, two_column, wide};

/// Reads a text table of either kind.
pub(super) fn read(text: Cow<'_, str>, source: Source, options: &ReadOptions) -> Spectra {
    read_sampled(text, source, options, true)
}

fn read_sampled(
    text: Cow<'_, str>,
    mut source: Source,
    options: &ReadOptions,
    may_have_marks: bool,
) -> Spectra {
    let sample = layout::sample(&text);
    if may_have_marks && let Some((stripped, warning)) = thousands::without(&text, &sample) {
        source.warnings.push(warning);
        return read_sampled(Cow::Owned(stripped), source, options, false);
    }
    let fail = |file: &str, (line, fault)| {
        Spectra::one(Err(Error::Content { file: file.to_owned(), line, fault }))
    };
    let layout = match layout::find(&sample) {
        Ok(layout) => layout,
        Err(fault) => return fail(&source.file, fault),
    };
    source.warnings.extend(layout.warning.clone());
    if let Some(axis) = wide::find(&sample, &layout) {
        return wide::read(text.into_owned(), axis, layout, source, options.clone());
    }
    let columns = match columns::find(&text, &sample, &layout) {
        Ok(columns) => columns,
        Err(fault) => return fail(&source.file, fault),
    };
    if let Err(fault) = check_thousands(&sample, &layout, &columns) {
        return fail(&source.file, fault);
    }
    two_column::read(&text, columns, &layout, source, options)
}

/// Refuses an abscissa whose commas are decimal by the ordinate's, yet part thousands by the axis.
fn check_thousands(
    sample: &[Sampled<'_>],
    layout: &Layout,
    columns: &columns::Columns,
) -> Result<(), (Option<usize>, Fault)> {
    if layout.notation.decimal != b',' || layout.notation.thousands.is_some() {
        return Ok(());
    }
    let (mut grouped, mut plain) = (None, false);
    for &(number, line) in sample {
        let mut cells = super::lines::Cells::new(line, layout.separator);
        let Some(cell) = cells.nth(columns.abscissa) else { continue };
        match cell.split_once(',') {
            Some((whole, group)) => {
                let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
                if !digits(whole) || !digits(group) {
                    continue;
                }
                if group.len() != 3 || !(1..=2).contains(&whole.len()) {
                    return Ok(());
                }
                grouped = grouped.or(Some((number, line)));
            }
            // Hundreds without a comma beside units with one: no axis holds both.
            None => plain |= cell.len() == 3 && cell.bytes().all(|b| b.is_ascii_digit()),
        }
    }
    match grouped {
        Some((number, line)) if plain => {
            Err((number, Fault::CommaTwoWays { found: line.to_owned(), other: "thousands" }))
        }
        _ => Ok(()),
    }
}
