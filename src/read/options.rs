//! What a user says of a file.

use crate::spectrum::{MeasurementMode, Ordinate};

/// What the user says about a file where the file does not, or against it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct ReadOptions {
    /// What the ordinate is. `None` takes the file's own words, or else infers it.
    pub ordinate: Option<Ordinate>,
    /// How it was measured. `None` takes the file's own words, or else ATR.
    pub mode: Option<MeasurementMode>,
    /// Which ordinate column to read. `None` takes the first.
    pub column: Option<Column>,
    /// Which block of a file of several spectra to read, from 1. `None` takes all.
    pub block: Option<usize>,
}

impl ReadOptions {
    /// Sets what the ordinate is.
    #[must_use]
    pub fn with_ordinate(self, ordinate: impl Into<Option<Ordinate>>) -> Self {
        Self { ordinate: ordinate.into(), ..self }
    }

    /// Sets how it was measured.
    #[must_use]
    pub fn with_mode(self, mode: impl Into<Option<MeasurementMode>>) -> Self {
        Self { mode: mode.into(), ..self }
    }

    /// Sets which ordinate column to read.
    #[must_use]
    pub fn with_column(self, column: impl Into<Option<Column>>) -> Self {
        Self { column: column.into(), ..self }
    }

    /// Sets which spectrum of a file to read, from 1.
    #[must_use]
    pub fn with_block(self, block: impl Into<Option<usize>>) -> Self {
        Self { block: block.into(), ..self }
    }

    /// Returns whether a spectrum of a table is asked for, by its place from 1 and by its label.
    pub(super) fn ask_for(&self, block: usize, label: Option<&str>) -> bool {
        self.block.is_none_or(|wanted| wanted == block)
            && match &self.column {
                Some(Column::Name(name)) => label.is_some_and(|label| same(label, name)),
                _ => true,
            }
    }
}

pub(super) fn same(label: &str, name: &str) -> bool {
    label.trim().to_lowercase() == name.trim().to_lowercase()
}

/// One column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Column {
    /// By its heading, letter case ignored.
    Name(String),
    /// By its place in the file, from 1, the abscissa counted.
    Number(usize),
}
