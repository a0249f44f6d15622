//! A table for programs and spreadsheets as a value, and the same value as CSV.

use std::io;

use super::text_tools::inert_cell;

/// A column: its heading, and the value that it has in a row made from `R`.
pub(crate) type Column<R> = (&'static str, fn(&R) -> Value);

/// What stands in a cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) enum Value {
    /// Nothing is known.
    #[default]
    Blank,
    /// Words; never run as a formula.
    Text(String),
    /// A figure, and how many decimals are written; blank where it is not finite.
    Number(f64, Decimals),
    /// A count.
    Whole(usize),
    /// "yes" or "no".
    YesNo(bool),
}

/// How many decimals of a figure are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Decimals {
    /// As many as tell it from every other.
    All,
    /// So many.
    Fixed(usize),
    /// So many at most, without zeros at the end.
    UpTo(usize),
}

impl Value {
    /// A figure with so many decimals; blank where there is none.
    pub(crate) fn number(figure: Option<f64>, decimals: Decimals) -> Self {
        figure.map_or(Self::Blank, |figure| Self::Number(figure, decimals))
    }

    /// The figure as plain digits with an ASCII sign, by which spreadsheets know a number.
    pub(super) fn digits(&self) -> Option<String> {
        match *self {
            Self::Number(figure, _) if !figure.is_finite() => None,
            Self::Number(figure, Decimals::All) => Some(figure.to_string()),
            Self::Number(figure, Decimals::Fixed(decimals)) => Some(format!("{figure:.decimals$}")),
            Self::Number(figure, Decimals::UpTo(decimals)) => {
                let text = format!("{figure:.decimals$}");
                let trimmed = text.trim_end_matches('0').trim_end_matches('.');
                // Zeros before the point belong to the figure.
                Some(if text.contains('.') { trimmed } else { &text }.to_owned())
            }
            Self::Whole(count) => Some(count.to_string()),
            Self::Blank | Self::Text(_) | Self::YesNo(_) => None,
        }
    }

    /// The words; empty where there are none.
    pub(super) fn words(&self) -> &str {
        match self {
            Self::Text(text) => text,
            Self::YesNo(true) => "yes",
            Self::YesNo(false) => "no",
            Self::Blank | Self::Number(..) | Self::Whole(_) => "",
        }
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<f64> for Value {
    fn from(figure: f64) -> Self {
        Self::Number(figure, Decimals::All)
    }
}

impl From<usize> for Value {
    fn from(count: usize) -> Self {
        Self::Whole(count)
    }
}

impl From<bool> for Value {
    fn from(yes: bool) -> Self {
        Self::YesNo(yes)
    }
}

impl<T: Into<Self>> From<Option<T>> for Value {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Blank, Into::into)
    }
}

/// A table with headings: made by one of the functions that end in `_sheet`, written by its methods.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// The name of the sheet in a workbook.
    pub(super) name: &'static str,
    pub(super) headings: Vec<&'static str>,
    pub(super) rows: Vec<Vec<Value>>,
}

impl Sheet {
    pub(crate) fn new<R>(
        name: &'static str,
        columns: &[Column<R>],
        rows: impl IntoIterator<Item = R>,
    ) -> Self {
        let headings = columns.iter().map(|(heading, _)| *heading).collect();
        let rows = rows.into_iter().map(|row| cells(columns, &row)).collect();
        Self { name, headings, rows }
    }

    /// Returns the table as CSV, heading first. No cell can be run as a formula.
    ///
    /// # Errors
    ///
    /// Of the writer alone; a table in memory gives none.
    pub fn csv(&self) -> io::Result<String> {
        let head: Vec<Value> = self.headings.iter().copied().map(Value::from).collect();
        csv_of(std::iter::once(&head).chain(&self.rows))
    }
}

/// The values of one row.
pub(crate) fn cells<R>(columns: &[Column<R>], row: &R) -> Vec<Value> {
    columns.iter().map(|(_, of)| of(row)).collect()
}

/// Rows as CSV, for tables that are written as they come.
pub(crate) fn csv_of<'a>(rows: impl IntoIterator<Item = &'a Vec<Value>>) -> io::Result<String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        let cells = row.iter().map(|v| v.digits().unwrap_or_else(|| inert_cell(v.words())));
        writer.write_record(cells).map_err(io::Error::other)?;
    }
    let bytes = writer.into_inner().map_err(|error| io::Error::other(error.to_string()))?;
    String::from_utf8(bytes).map_err(io::Error::other)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_with_the_decimals_asked_for_and_words_stay_inert() {
        let columns: [Column<f64>; 6] = [
            ("all", |figure| (*figure).into()),
            ("fixed", |figure| Value::Number(*figure, Decimals::Fixed(2))),
            ("up to", |figure| Value::Number(*figure, Decimals::UpTo(4))),
            ("whole", |figure| Value::Number(*figure, Decimals::UpTo(0))),
            ("positive", |figure| (*figure > 0.0).into()),
            ("words", |figure| format!("={figure}").into()),
        ];
        let sheet = Sheet::new("Figures", &columns, [-0.25, 1730.0, f64::NAN]);
        // A minus before digits begins a number, an equals sign a formula, which the apostrophe stops.
        let wanted = "all,fixed,up to,whole,positive,words\n-0.25,-0.25,-0.25,-0,no,'=-0.25\n\
                      1730,1730.00,1730,1730,yes,'=1730\n,,,,no,'=NaN\n";
        assert_eq!(sheet.csv().expect("a table"), wanted);
    }
}
