//! Why a file could not be read: where, what was found, and what to do.

use crate::io;
use crate::quote::{quoted, short};

/// Why a spectrum could not be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The file could not be opened.
    #[error(transparent)]
    Open(#[from] io::Error),
    /// What the file holds cannot be read.
    #[error("{file}{}: {fault}", line.map(|n| format!(":{n}")).unwrap_or_default())]
    Content {
        /// The file as the user named it, or `-` for standard input.
        file: String,
        /// The line, from 1, where one line is at fault.
        line: Option<usize>,
        /// What is wrong.
        fault: Fault,
    },
}

impl Error {
    /// Creates the error of one line.
    pub(crate) fn at(file: &str, line: usize, fault: impl Into<Fault>) -> Self {
        Self::Content { file: file.to_owned(), line: Some(line), fault: fault.into() }
    }

    /// Creates the error of a whole file.
    pub(crate) fn whole(file: &str, fault: impl Into<Fault>) -> Self {
        Self::Content { file: file.to_owned(), line: None, fault: fault.into() }
    }
}

/// What is wrong with a file's content. Values in messages are in the file's own unit.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// The bytes are no text.
    #[error(
        "not text (byte 0x{byte:02X} at offset {offset}{hint}); readable: two-column text, JCAMP-DX"
    )]
    NotText {
        /// The first offending byte.
        byte: u8,
        /// Its place in the file, from 0.
        offset: usize,
        /// What the file seems to be, and what to do.
        hint: &'static str,
    },
    /// A Parquet table cannot be read as spectra.
    #[cfg(feature = "parquet")]
    #[error(
        "a Parquet table, {what}; read are tables with one spectrum a row and one column of numbers a wavenumber, \
         named by it in cm⁻¹"
    )]
    Parquet {
        /// What is wrong.
        what: String,
    },
    /// A JCAMP-DX block cannot be read.
    #[error(transparent)]
    Jcamp(#[from] super::jcamp::Error),
    /// The file holds nothing.
    #[error("empty; export the spectrum again")]
    Empty,
    /// No line holds two numbers.
    #[error(
        "no line holds two numbers (first line: \"{}\"); readable: two-column text, JCAMP-DX",
        quoted(first)
    )]
    NoColumns {
        /// The first line with text.
        first: String,
    },
    /// One number a line.
    #[error(
        "\"{}\": one number a line, but a spectrum needs wavenumber and ordinate; export both columns",
        quoted(found)
    )]
    OneColumn {
        /// The line.
        found: String,
    },
    /// Commas both within numbers and elsewhere.
    #[error(
        "\"{}\": comma read two ways, decimal or {other}; save with a semicolon between columns",
        quoted(found)
    )]
    CommaTwoWays {
        /// The line.
        found: String,
        /// The other reading.
        other: &'static str,
    },
    /// Too few rows of numbers.
    #[error(
        "only {rows} row{} of numbers, at least {least} are needed; the file may be cut short",
        if *rows == 1 { "" } else { "s" }
    )]
    TooFewRows {
        /// Rows found.
        rows: usize,
        /// Rows needed.
        least: usize,
    },
    /// A row whose ordinate is no number, in a file of too few rows.
    #[error(
        "\"{}\" is no row of numbers, one of only {rows} where at least {least} are needed; write the number or delete the row, and see whether the file was cut short",
        quoted(found)
    )]
    NotARow {
        /// The line.
        found: String,
        /// Rows found, this one too.
        rows: usize,
        /// Rows needed.
        least: usize,
    },
    /// Too many ordinates without a number.
    #[error(
        "{missing} of {total} ordinates are not numbers (first: \"{}\"), more than 5 %; fill or delete the rows",
        quoted(first)
    )]
    NotNumbers {
        /// Ordinates without a number.
        missing: usize,
        /// All ordinates.
        total: usize,
        /// The first such cell's text.
        first: String,
    },
    /// Too many rows that are not written as the others are.
    #[error(
        "{count} of {total} rows cannot be read, more than 5 %: this one, \"{}\", to line {last_line}, \"{}\"; write the file in one way from top to bottom, or delete them",
        quoted(first),
        quoted(last)
    )]
    RowsUnread {
        /// Rows that cannot be read.
        count: usize,
        /// All rows.
        total: usize,
        /// The first such row's text.
        first: String,
        /// The line of the last.
        last_line: usize,
        /// The last such row's text.
        last: String,
    },
    /// An abscissa at or below zero.
    #[error(
        "abscissa {value} is not above zero; a wavenumber, micrometres or nanometres is expected"
    )]
    AbscissaNotPositive {
        /// The abscissa.
        value: f64,
    },
    /// An axis that no infrared spectrum has.
    #[error("abscissa {low} to {high} {unit} is no infrared range; check the column and its unit")]
    AbscissaImplausible {
        /// The lowest abscissa.
        low: f64,
        /// The highest.
        high: f64,
        /// The unit it was read in.
        unit: &'static str,
    },
    /// An abscissa in a unit that is not read, or not infrared absorption at all.
    #[error("\"{}\": {reason}; readable: cm⁻¹, micrometres, nanometres", quoted(found))]
    AbscissaUnit {
        /// The heading.
        found: String,
        /// Why not.
        reason: &'static str,
    },
    /// An ordinate that cannot become absorbance.
    #[error("\"{}\": {reason}; export absorbance or transmittance", quoted(found))]
    OrdinateUnit {
        /// The heading.
        found: String,
        /// Why not.
        reason: &'static str,
    },
    /// A second spectrum below the first.
    #[error(
        "abscissa starts over at {wavenumber_cm1} cm⁻¹; a second spectrum may follow the first, save one spectrum a file or one a column"
    )]
    StartsOver {
        /// Where.
        wavenumber_cm1: f64,
    },
    /// One value everywhere.
    #[error("every ordinate is {value}; nothing was measured, or the wrong column was exported")]
    NothingMeasured {
        /// The value.
        value: f64,
    },
    /// Two readings fit.
    #[error("ordinate unit not stated, and values {} to {} fit both {one} and {other}; pass --ordinate",
        short(*low), short(*high))]
    OrdinateUnclear {
        /// About the lowest value.
        low: f64,
        /// About the highest value.
        high: f64,
        /// One reading.
        one: &'static str,
        /// The other.
        other: &'static str,
    },
    /// The file's word and its values contradict each other.
    #[error("ordinate stated as {stated}, but values {} to {} fit {fits}; pass --ordinate",
        short(*low), short(*high))]
    OrdinateContradicted {
        /// The file's word.
        stated: &'static str,
        /// About the lowest value.
        low: f64,
        /// About the highest value.
        high: f64,
        /// What the values fit.
        fits: &'static str,
    },
    /// The user's word and the values contradict each other.
    #[error("--ordinate {said} does not fit values {} to {}; they look like {fits}",
        short(*low), short(*high))]
    OrdinateOption {
        /// The user's word.
        said: &'static str,
        /// What the values fit.
        fits: &'static str,
        /// About the lowest value.
        low: f64,
        /// About the highest value.
        high: f64,
    },
    /// The ordinates go on in another unit or on another scale.
    #[error(
        "at {at_cm1:.0} cm⁻¹ the ordinates jump from {} to {} and go on so: two units or scales in one file; export it in one",
        short(*before), short(*after)
    )]
    ScaleChanges {
        /// The ordinate before the place.
        before: f64,
        /// The ordinate behind it.
        after: f64,
        /// Where it is.
        at_cm1: f64,
    },
    /// No such column.
    #[error("no column {wanted}; columns with ordinates: {present}")]
    NoSuchColumn {
        /// The column asked for.
        wanted: String,
        /// The columns there are.
        present: String,
    },
    /// No such block.
    #[error("no spectrum {wanted}; the file holds {present}")]
    NoSuchBlock {
        /// The block asked for.
        wanted: usize,
        /// The number of blocks.
        present: usize,
    },
    /// More points than one spectrum may hold.
    #[error("more than {limit} points in one spectrum; thin it or split the file")]
    TooManyPoints {
        /// The limit.
        limit: usize,
    },
    /// The values do not make a spectrum.
    #[error(transparent)]
    Spectrum(#[from] crate::spectrum::Error),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_file_and_line() {
        let error = Error::at("film.csv", 9, Fault::Empty);
        assert_eq!(error.to_string(), "film.csv:9: empty; export the spectrum again");
        let error = Error::whole("film.csv", Fault::Empty);
        assert_eq!(error.to_string(), "film.csv: empty; export the spectrum again");
    }
}
