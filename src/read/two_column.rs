//! Tables of columns: an abscissa and one ordinate, or several.

use super::columns::Columns;
use super::finish::{Found, finish, signs_of};
use super::layout::Layout;
use super::ordinate::infer_together;
use super::rows::{self, Rows, Wanted};
use super::source::Source;
use super::{Error, Fault, ReadOptions, Spectra};
use crate::spectrum::{Spectrum, Warning};

/// Spectra of one table looked at to agree on its ordinate.
pub(super) const WEIGHED_TOGETHER: usize = 64;

/// Fewer rows than this are no spectrum.
const LEAST_ROWS: usize = crate::spectrum::LEAST_POINTS;

/// Reads the ordinate asked for, the first one, or each as a spectrum where headings name them.
pub(super) fn read(
    text: &str,
    columns: Columns,
    layout: &Layout,
    source: Source,
    options: &ReadOptions,
) -> Spectra {
    match plan(&columns, options).and_then(|plan| {
        let rows = read_rows(text, &columns, layout, &plan.columns)?;
        Ok((plan, rows))
    }) {
        Err((line, fault)) => Spectra::one(Err(Error::Content { file: source.file, line, fault })),
        Ok((plan, rows)) => spectra(plan, columns, rows, source, options),
    }
}

/// Which columns to read, and what to call and to say of them.
struct Plan {
    columns: Vec<usize>,
    /// One name per column where each is a spectrum of its own.
    names: Vec<String>,
    /// The block number of the first.
    first_block: usize,
    warning: Option<Warning>,
}

type Located = (Option<usize>, Fault);

fn plan(columns: &Columns, options: &ReadOptions) -> Result<Plan, Located> {
    let all = &columns.ordinates;
    let single = |column: usize, warning| Plan {
        columns: vec![column],
        names: Vec::new(),
        first_block: 1,
        warning,
    };
    let names = columns.header.names(all).filter(|_| all.len() > 1);
    if let Some(wanted) = &options.column {
        let place = columns.pick(wanted).map_err(|fault| (None, fault))?;
        let column = all.get(place).copied().unwrap_or_default();
        let mut plan = single(column, None);
        if let Some(name) = names.and_then(|names| names.get(place).cloned()) {
            plan.names = vec![name];
            plan.first_block = place + 1;
        }
        return Ok(plan);
    }
    let block = options.block;
    if let Some(names) = names {
        let Some(block) = block else {
            return Ok(Plan { columns: all.clone(), names, first_block: 1, warning: None });
        };
        let found = block
            .checked_sub(1)
            .and_then(|place| Some((all.get(place).copied()?, names.get(place).cloned()?)));
        return match found {
            Some((column, name)) => Ok(Plan {
                columns: vec![column],
                names: vec![name],
                first_block: block,
                warning: None,
            }),
            None => Err((None, Fault::NoSuchBlock { wanted: block, present: all.len() })),
        };
    }
    if let Some(wanted) = block.filter(|&block| block != 1) {
        return Err((None, Fault::NoSuchBlock { wanted, present: 1 }));
    }
    let Some((&first, others)) = all.split_first() else {
        return Err((None, Fault::OneColumn { found: String::new() }));
    };
    let warning = (!others.is_empty()).then(|| {
        Warning::new(
            "columns-passed-over",
            format!(
                "column {} read as the ordinate; also there: {}; pass --column to read another",
                columns.listed(&[first]),
                columns.listed(others)
            ),
        )
    });
    Ok(single(first, warning))
}

fn read_rows(
    text: &str,
    columns: &Columns,
    layout: &Layout,
    ordinates: &[usize],
) -> Result<Rows, Located> {
    let wanted = Wanted { abscissa: columns.abscissa, ordinates };
    let rows = rows::read(text, columns.first_row, layout, wanted)?;
    if rows.abscissas.len() < LEAST_ROWS {
        return Err((None, Fault::TooFewRows { rows: rows.abscissas.len(), least: LEAST_ROWS }));
    }
    Ok(rows)
}

fn spectra(
    plan: Plan,
    columns: Columns,
    mut rows: Rows,
    source: Source,
    options: &ReadOptions,
) -> Spectra {
    let options = options.clone();
    if plan.columns.len() == 1 {
        let abscissas = std::mem::take(&mut rows.abscissas);
        let found = found(&plan, &columns, &mut rows, &source, 0, abscissas);
        return Spectra::one(found.and_then(|found| finish(found, &options)));
    }
    let unit = columns.header.abscissa(columns.abscissa).ok().flatten();
    let signs: Vec<_> = rows
        .ordinates
        .iter()
        .take(WEIGHED_TOGETHER)
        .filter_map(|values| signs_of(&rows.abscissas, values, unit))
        .collect();
    let agreed = infer_together(&signs);
    let mut next = 0;
    Spectra::lazy(std::iter::from_fn(move || -> Option<Result<Spectrum, Error>> {
        if next >= plan.columns.len() {
            return None;
        }
        let abscissas = rows.abscissas.clone();
        let found = found(&plan, &columns, &mut rows, &source, next, abscissas);
        next += 1;
        Some(found.and_then(|mut found| {
            found.agreed = agreed;
            finish(found, &options)
        }))
    }))
}

/// Puts together what was found of the plan's column at `place`.
fn found(
    plan: &Plan,
    columns: &Columns,
    rows: &mut Rows,
    source: &Source,
    place: usize,
    abscissas: Vec<f64>,
) -> Result<Found, Error> {
    let header = &columns.header;
    let fail = |(line, fault)| Error::at(&source.file, line, fault);
    let column = plan.columns.get(place).copied().unwrap_or_default();
    let mut provenance = source.provenance(plan.first_block + place);
    provenance.title = plan.names.get(place).cloned().or_else(|| header.title.clone());
    provenance.stated_resolution = header.resolution.clone();
    provenance.records = header.records.iter().chain(&rows.records).cloned().collect();
    let mut warnings = source.warnings.clone();
    warnings.extend(plan.warning.clone());
    if let Some((line, text)) = &rows.first_stray {
        warnings.push(Warning::new(
            "rows-passed-over",
            format!(
                "{} rows without an abscissa passed over (first: \"{}\" in line {line})",
                rows.stray,
                super::error::quoted(text)
            ),
        ));
    }
    Ok(Found {
        abscissas,
        ordinates: rows.ordinates.get_mut(place).map(std::mem::take).unwrap_or_default(),
        abscissa_unit: header.abscissa(columns.abscissa).map_err(fail)?,
        ordinate: header.ordinate(column).map_err(fail)?,
        mode: header.mode,
        provenance,
        warnings,
        lines: rows.lines.clone(),
        first_missing: rows.first_missing.get_mut(place).and_then(Option::take),
        agreed: None,
    })
}
