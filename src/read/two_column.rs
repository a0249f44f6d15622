//! Tables of columns: an abscissa and one ordinate, or several.

use super::columns::Columns;
use super::finish::{finish, signs_of};
use super::found::Found;
use super::layout::Layout;
use super::lines::Lines;
use super::ordinate::infer_together;
use super::pairs::{self, Pair};
use super::rows::{self, Rows, Wanted};
use super::source::Source;
use super::{Error, Fault, ReadOptions, Spectra};
use crate::quote::quoted;
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
    mut source: Source,
    options: &ReadOptions,
) -> Spectra {
    source.warnings.extend(cut_short(text));
    match plan(&columns, options).and_then(|plan| {
        let rows = read_rows(text, &columns, layout, &plan.columns)?;
        Ok((plan, rows))
    }) {
        Err((line, fault)) => Spectra::one(Err(Error::Content { file: source.file, line, fault })),
        Ok((plan, rows)) => spectra(plan, columns, rows, source, options),
    }
}

/// Doubts a last row that no line end closes and that has far fewer digits than the row before it: what was cut from a
/// number leaves another number.
fn cut_short(text: &str) -> Option<Warning> {
    /// Zeros at the end, which some programs leave out, are seldom so many.
    const DIGITS_LOST: usize = 3;
    let text = text.trim_end_matches([' ', '\t']);
    if text.ends_with(['\n', '\r']) {
        return None;
    }
    let mut lines = text.lines().rev();
    let (last, before) = (lines.next()?, lines.next()?);
    let digits = |line: &str| line.chars().rev().take_while(char::is_ascii_digit).count();
    let is_row = last.trim_start().starts_with(|c: char| c.is_ascii_digit() || c == '-');
    (is_row && last.len() < before.len() && digits(last) + DIGITS_LOST <= digits(before)).then(|| {
        let last = quoted(last);
        let text = format!(
            "the file ends without a line end and in fewer digits than the row before: \"{last}\" may be cut off, \
             and its value wrong; export the spectrum again"
        );
        Warning::new("last-row-cut", text)
    })
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
    let names = columns.names().filter(|_| all.len() > 1);
    let pairs = || {
        (!columns.pairs.is_empty()).then(|| {
            let count = columns.pairs.len();
            let text = format!("columns read as {count} pairs of abscissa and ordinate");
            Warning::new("column-pairs", text)
        })
    };
    if let Some(wanted) = &options.column {
        let place = columns.pick(wanted).map_err(|fault| (None, fault))?;
        let column = all.get(place).copied().unwrap_or_default();
        let mut plan = single(column, pairs());
        if let Some(name) = names.and_then(|names| names.get(place).cloned()) {
            plan.names = vec![name];
            plan.first_block = place + 1;
        }
        return Ok(plan);
    }
    let block = options.block;
    if let Some(names) = names {
        let Some(block) = block else {
            return Ok(Plan { columns: all.clone(), names, first_block: 1, warning: pairs() });
        };
        let found = block
            .checked_sub(1)
            .and_then(|place| Some((all.get(place).copied()?, names.get(place).cloned()?)));
        return match found {
            Some((column, name)) => Ok(Plan {
                columns: vec![column],
                names: vec![name],
                first_block: block,
                warning: pairs(),
            }),
            None => Err((None, Fault::NoSuchBlock { wanted: block, present: all.len() })),
        };
    }
    if let Some(wanted) = block.filter(|&block| block != 1) {
        return Err((None, Fault::NoSuchBlock { wanted, present: 1 }));
    }
    let Some(&first) = all.first() else {
        return Err((None, Fault::OneColumn { found: String::new() }));
    };
    // The first, unless nothing is known of it and another is headed by what is looked for.
    let headed = |&column: &usize| columns.header.calls_ordinate(column);
    let first = match all.iter().copied().find(headed) {
        Some(other) if matches!(columns.header.ordinate_over(first), Ok(None)) => other,
        _ => first,
    };
    let others: Vec<usize> = all.iter().copied().filter(|&column| column != first).collect();
    let warning = (!others.is_empty()).then(|| {
        Warning::new(
            "columns-passed-over",
            format!(
                "column {} read as the ordinate; also there: {}; pass --column to read another",
                columns.listed(&[first]),
                columns.listed(&others)
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
    let mut rows = if columns.pairs.is_empty() {
        let wanted = Wanted { abscissa: columns.abscissa, ordinates };
        rows::read(text, columns.first_row, layout, wanted)?
    } else {
        read_pairs(text, columns, layout, ordinates)?
    };
    let head = text.get(..columns.first_row.0).unwrap_or_default();
    rows.count_unread_before(head, layout, Wanted { abscissa: columns.abscissa, ordinates });
    rows.unread.check(rows.abscissas.len())?;
    if rows.abscissas.len() < LEAST_ROWS {
        let count = rows.abscissas.len();
        let line_of = |row: usize| {
            let before = rows.lines.iter().take_while(|(index, _)| *index <= row).last();
            before.map(|(index, line)| line + row - index)
        };
        // A cell that is no number explains more than how few rows there are.
        let faulty = rows
            .ordinates
            .iter()
            .zip(&rows.first_missing)
            .filter(|(_, cell)| cell.as_ref().is_some_and(|cell| !cell.trim().is_empty()))
            .filter_map(|(list, _)| list.iter().position(|value| value.is_nan()));
        if let Some(line) = faulty.min().and_then(line_of) {
            let found = Lines::new(text).find(|found| found.number == line);
            let found = found.map(|found| found.text.chars().take(200).collect());
            let found = found.unwrap_or_default();
            return Err((Some(line), Fault::NotARow { found, rows: count, least: LEAST_ROWS }));
        }
        // Where they end is where the file was cut.
        let last = rows.lines.last().map(|(index, line)| line + count - 1 - index);
        return Err((last, Fault::TooFewRows { rows: count, least: LEAST_ROWS }));
    }
    Ok(rows)
}

/// Reads pairs in one pass: rows go by the abscissa that goes on longest, the others are read like
/// ordinates and put back to their own by [`found`].
fn read_pairs(
    text: &str,
    columns: &Columns,
    layout: &Layout,
    ordinates: &[usize],
) -> Result<Rows, Located> {
    // Both lists ascend.
    let wanted: Vec<Pair> = columns
        .pairs
        .iter()
        .copied()
        .filter(|pair| ordinates.binary_search(&pair.ordinate).is_ok())
        .collect();
    let longest = wanted.get(pairs::longest(text, layout, &wanted)).copied();
    let abscissa = longest.map_or(columns.abscissa, |pair| pair.abscissa);
    let both: Vec<usize> = wanted
        .iter()
        .flat_map(|pair| [pair.abscissa, pair.ordinate])
        .filter(|&column| column != abscissa)
        .collect();
    let mut rows =
        rows::read(text, columns.first_row, layout, Wanted { abscissa, ordinates: &both })?;
    let mut lists = std::mem::take(&mut rows.ordinates).into_iter();
    let mut missing = std::mem::take(&mut rows.first_missing).into_iter();
    for pair in &wanted {
        let own = if pair.abscissa == abscissa {
            rows.abscissas.clone()
        } else {
            missing.next();
            lists.next().unwrap_or_default()
        };
        rows.own_abscissas.push(own);
        rows.ordinates.extend(lists.next());
        rows.first_missing.extend(missing.next());
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
        let abscissas = match rows.own_abscissas.pop() {
            Some(own) => own,
            None => std::mem::take(&mut rows.abscissas),
        };
        let found = found(&plan, &columns, &mut rows, &source, 0, abscissas, &options);
        return Spectra::one(found.and_then(|found| finish(found, &options)));
    }
    let unit = columns.header.abscissa(columns.abscissa).ok().flatten();
    let signs: Vec<_> = rows
        .ordinates
        .iter()
        .enumerate()
        .take(WEIGHED_TOGETHER)
        .filter_map(|(place, values)| {
            signs_of(rows.own_abscissas.get(place).unwrap_or(&rows.abscissas), values, unit)
        })
        .collect();
    let agreed = infer_together(&signs);
    let mut next = 0;
    Spectra::lazy(std::iter::from_fn(move || -> Option<Result<Spectrum, Error>> {
        if next >= plan.columns.len() {
            return None;
        }
        let abscissas = match rows.own_abscissas.get_mut(next) {
            Some(own) => std::mem::take(own),
            None => rows.abscissas.clone(),
        };
        let found = found(&plan, &columns, &mut rows, &source, next, abscissas, &options);
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
    options: &ReadOptions,
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
    warnings.extend(rows.unread.warning());
    let mut abscissas = abscissas;
    let mut ordinates = rows.ordinates.get_mut(place).map(std::mem::take).unwrap_or_default();
    let mut lines = rows.lines.clone();
    if !columns.pairs.is_empty() {
        leave_out_ended(&mut abscissas, &mut ordinates, &mut lines);
    }
    Ok(Found {
        abscissas,
        ordinates,
        abscissa_unit: header.abscissa(columns.abscissa_of(column)).map_err(fail)?,
        ordinate: header.ordinate_unless_stated(column, options, &mut warnings).map_err(fail)?,
        mode: header.mode,
        provenance,
        warnings,
        lines,
        first_missing: rows.first_missing.get_mut(place).and_then(Option::take),
        gaps_are_stated: false,
        one_scale: false,
        agreed: None,
    })
}

/// Drops rows without an abscissa of their own: a pair of columns may be shorter than the others.
fn leave_out_ended(
    abscissas: &mut Vec<f64>,
    ordinates: &mut Vec<f64>,
    lines: &mut Vec<(usize, usize)>,
) {
    if abscissas.iter().all(|abscissa| abscissa.is_finite()) {
        return;
    }
    if let Some(last) = abscissas.iter().rposition(|abscissa| abscissa.is_finite()) {
        abscissas.truncate(last + 1);
        ordinates.truncate(last + 1);
    }
    if abscissas.iter().all(|abscissa| abscissa.is_finite()) {
        return;
    }
    // Rows lost in between shift the others, so that lines would be told wrong.
    lines.clear();
    let kept: Vec<bool> = abscissas.iter().map(|abscissa| abscissa.is_finite()).collect();
    let mut keep = kept.iter();
    abscissas.retain(|_| keep.next().copied().unwrap_or(false));
    let mut keep = kept.iter();
    ordinates.retain(|_| keep.next().copied().unwrap_or(false));
}
