//! Rows from a TOML manifest, with the line of every value.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::rows::{MOST_ROWS, Row, Section, unlike};
use crate::quote::in_marks;
use crate::tables::Fault;

/// Reads the tables of a TOML manifest as rows; every fault carries its line.
pub(super) fn rows(text: &str, file: &str) -> Result<Vec<Row>, Vec<Fault>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = LineStarts::new(text);
    let fault = |at: usize, what: String| Fault::at(file, lines.line(at), what);
    let table = DeTable::parse(text).map_err(|error| {
        let at = error.span().map_or(0, |span| span.start);
        let message = error.message().replace('\n', "; ");
        vec![fault(at, format!("not TOML: {message}"))]
    })?;
    let mut rows = Vec::new();
    let mut faults = Vec::new();
    for (key, value) in table.get_ref() {
        let name = key.get_ref().as_ref();
        let at = key.span().start;
        let Some(section) = Section::ALL.into_iter().find(|s| s.name() == name) else {
            let known = Section::ALL.map(Section::name).join(", ");
            let what = format!("unknown table {}, expected one of {known}", in_marks(name));
            faults.push(fault(at, what));
            continue;
        };
        let tables: Vec<&Spanned<DeValue<'_>>> = match value.get_ref() {
            DeValue::Array(many) if !section.single() => many.iter().collect(),
            _ => vec![value],
        };
        for (i, table) in tables.into_iter().enumerate() {
            let line = lines.line(table.span().start);
            if i >= MOST_ROWS {
                faults.push(Fault::at(file, line, section.too_many()));
                break;
            }
            let DeValue::Table(cells) = table.get_ref() else {
                let expected = format!("a table, written [{name}] or [[{name}]]");
                let what = unlike(name, table.get_ref().type_str(), &expected);
                faults.push(Fault::at(file, line, what));
                continue;
            };
            let mut row = Row::new(section, file, line);
            add(&mut row, "", cells, &lines, &mut faults);
            rows.push(row);
        }
    }
    // TOML tables come sorted by name; the order written is the order of the lines.
    rows.sort_by_key(|row| row.line);
    if faults.is_empty() { Ok(rows) } else { Err(faults) }
}

/// Adds the cells of a table, inner tables with their name before the field.
fn add(
    row: &mut Row,
    prefix: &str,
    cells: &DeTable<'_>,
    lines: &LineStarts,
    faults: &mut Vec<Fault>,
) {
    for (key, value) in cells {
        let field = format!("{prefix}{}", key.get_ref());
        let line = lines.line(key.span().start);
        match value.get_ref() {
            DeValue::Table(inner) if prefix.is_empty() => {
                add(row, &format!("{field}_"), inner, lines, faults);
            }
            DeValue::Array(items) => match items.iter().map(|i| plain(i.get_ref())).collect() {
                Some(texts) => {
                    let texts: Vec<String> = texts;
                    row.insert(&field, &texts.join("; "), line, faults);
                }
                None => faults.push(row.fault(line, not_plain(&field, value.get_ref()))),
            },
            other => match plain(other) {
                Some(text) => row.insert(&field, &text, line, faults),
                None => faults.push(row.fault(line, not_plain(&field, other))),
            },
        }
    }
}

fn not_plain(field: &str, value: &DeValue<'_>) -> String {
    unlike(field, value.type_str(), "text, a number, a date or a list of them")
}

/// Returns a single value as text; numbers keep the digits that were written.
fn plain(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Integer(number) => Some(number.as_str().to_owned()),
        DeValue::Float(number) => Some(number.as_str().to_owned()),
        DeValue::Boolean(yes) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        DeValue::Datetime(date) => Some(date.to_string()),
        DeValue::Array(_) | DeValue::Table(_) => None,
    }
}

/// Where each line starts, to turn a byte offset into a line.
struct LineStarts(Vec<usize>);

impl LineStarts {
    fn new(text: &str) -> Self {
        Self(text.match_indices('\n').map(|(i, _)| i + 1).collect())
    }

    fn line(&self, at: usize) -> usize {
        self.0.partition_point(|&start| start <= at) + 1
    }
}
