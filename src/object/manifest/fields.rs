//! Takes the cells of a row one by one, and notes what is wrong with them.

use std::collections::BTreeSet;

use super::path::{refused, unusable_path};
use super::rows::{Cell, Row, unlike};
use crate::object::record::{Face, XrfChlorine};
use crate::quote::in_marks;
use crate::spectrum::{MeasurementMode, Ordinate};
use crate::tables::Fault;

/// Characters of an id: enough for "north gallery vane 12 left", short enough for a table.
const LONGEST_ID: usize = 40;

/// One row being read; what was not asked for by the end is an unknown field.
pub(super) struct Fields<'a> {
    row: &'a Row,
    asked: BTreeSet<&'static str>,
    faults: &'a mut Vec<Fault>,
}

impl<'a> Fields<'a> {
    pub(super) fn new(row: &'a Row, faults: &'a mut Vec<Fault>) -> Self {
        Self { row, asked: BTreeSet::new(), faults }
    }

    fn cell(&mut self, field: &'static str) -> Option<&'a Cell> {
        self.asked.insert(field);
        self.row.cells.get(field).filter(|cell| !cell.text.is_empty())
    }

    fn refuse(&mut self, field: &str, cell: &Cell, expected: &str) {
        self.fault(cell.line, unlike(field, &in_marks(&cell.text), expected));
    }

    pub(super) fn fault(&mut self, line: usize, what: String) {
        self.faults.push(self.row.fault(line, what));
    }

    /// Free text; blank where nothing was written.
    pub(super) fn text(&mut self, field: &'static str) -> String {
        self.cell(field).map_or_else(String::new, |cell| cell.text.clone())
    }

    /// Free text, taken from a row of defaults where this row is blank.
    pub(super) fn text_or(&mut self, field: &'static str, defaults: Option<&Row>) -> String {
        let own = self.text(field);
        if !own.is_empty() {
            return own;
        }
        defaults
            .and_then(|row| row.cells.get(field))
            .map_or_else(String::new, |cell| cell.text.clone())
    }

    /// An id that must be there.
    pub(super) fn id(&mut self, field: &'static str) -> String {
        let Some(cell) = self.cell(field) else {
            self.fault(self.row.line, self.row.section.without(field));
            return String::new();
        };
        if !is_id(&cell.text) {
            self.refuse(field, cell, "letters, digits, blanks, - _ . only, at most 40");
        }
        cell.text.clone()
    }

    /// A list of ids between semicolons or commas.
    pub(super) fn ids(&mut self, field: &'static str) -> Vec<String> {
        let Some(cell) = self.cell(field) else { return Vec::new() };
        let ids: Vec<String> = cell
            .text
            .split([';', ','])
            .map(|id| id.trim().to_owned())
            .filter(|id| !id.is_empty())
            .collect();
        if !ids.iter().all(|id| is_id(id)) {
            self.refuse(field, cell, "ids between semicolons");
        }
        ids
    }

    /// A path below the manifest's folder; blank where nothing was written.
    pub(super) fn path(&mut self, field: &'static str) -> String {
        let Some(cell) = self.cell(field) else { return String::new() };
        if let Some(why) = refused(&cell.text) {
            self.fault(cell.line, unusable_path(&cell.text, why));
        }
        cell.text.clone()
    }

    /// A number above a limit; a decimal comma is read too.
    pub(super) fn number_above(&mut self, field: &'static str, limit: f64) -> Option<f64> {
        let cell = self.cell(field)?;
        match number(&cell.text).filter(|value| *value > limit) {
            Some(value) => Some(value),
            None => {
                self.refuse(field, cell, &format!("a number above {limit}"));
                None
            }
        }
    }

    /// A length in mm above a limit, and no longer than any object: sums and shares of it stay numbers.
    pub(super) fn length_mm(&mut self, field: &'static str, limit: f64) -> Option<f64> {
        const LONGEST_MM: f64 = 1e6;
        let length = self.number_above(field, limit)?;
        if length <= LONGEST_MM {
            return Some(length);
        }
        let cell = self.cell(field)?;
        self.refuse(field, cell, "a length in mm, a million at most");
        None
    }

    /// Any finite number.
    pub(super) fn number(&mut self, field: &'static str) -> Option<f64> {
        let cell = self.cell(field)?;
        let value = number(&cell.text);
        if value.is_none() {
            self.refuse(field, cell, "a number");
        }
        value
    }

    /// A count from 1.
    pub(super) fn count(&mut self, field: &'static str) -> Option<usize> {
        let cell = self.cell(field)?;
        let value = cell.text.parse().ok().filter(|n| *n > 0);
        if value.is_none() {
            self.refuse(field, cell, "a whole number from 1");
        }
        value
    }

    /// yes or no.
    pub(super) fn yes_no(&mut self, field: &'static str) -> Option<bool> {
        let cell = self.cell(field)?;
        match cell.text.to_lowercase().as_str() {
            "yes" | "y" | "true" => Some(true),
            "no" | "n" | "false" => Some(false),
            _ => {
                self.refuse(field, cell, "yes or no");
                None
            }
        }
    }

    /// One of the words given.
    pub(super) fn choice<T: Copy, W: AsRef<str>>(
        &mut self,
        field: &'static str,
        words: &[(T, W)],
    ) -> Option<T> {
        let cell = self.cell(field)?;
        let written = cell.text.to_lowercase().replace(['-', '_'], " ");
        let found =
            words.iter().find(|(_, word)| word.as_ref() == written).map(|(value, _)| *value);
        if found.is_none() {
            let known: Vec<&str> = words.iter().map(|(_, word)| word.as_ref()).collect();
            self.refuse(field, cell, &format!("one of: {}", known.join(", ")));
        }
        found
    }

    /// One of the words given, taken from a row of defaults where this row is blank.
    pub(super) fn choice_or<T: Copy, W: AsRef<str>>(
        &mut self,
        field: &'static str,
        words: &[(T, W)],
        defaults: Option<&Row>,
    ) -> Option<T> {
        if self.cell(field).is_some() {
            return self.choice(field, words);
        }
        // A word of the defaults that nothing can take is refused at their own row.
        let written = defaults?.cells.get(field)?.text.to_lowercase().replace(['-', '_'], " ");
        words.iter().find(|(_, word)| word.as_ref() == written).map(|(value, _)| *value)
    }

    /// The face, with the word that was written.
    pub(super) fn face(&mut self, field: &'static str) -> (Face, String) {
        let Some(cell) = self.cell(field) else { return (Face::Unknown, String::new()) };
        let face = self.choice(field, FACES).unwrap_or_default();
        (face, cell.text.clone())
    }

    /// What X-ray fluorescence found.
    pub(super) fn xrf(&mut self, field: &'static str) -> XrfChlorine {
        self.choice(field, XRF).unwrap_or_default()
    }

    /// Ends the row: whatever was not asked for is an unknown field.
    pub(super) fn finish(self) {
        for (name, cell) in &self.row.cells {
            if !self.asked.contains(name.as_str()) {
                let known: Vec<&str> = self.asked.iter().copied().collect();
                let (found, section) = (in_marks(name), self.row.section.name());
                let known = known.join(", ");
                let what = format!("unknown field {found} of {section}; known: {known}");
                self.faults.push(self.row.fault(cell.line, what));
            }
        }
    }
}

/// The words for a face; a tube has an outside and a bore, a sheet has face a and face b.
pub(super) const FACES: &[(Face, &str)] = &[
    (Face::Exposed, "exposed"),
    (Face::Reverse, "reverse"),
    (Face::Covered, "covered"),
    (Face::Unknown, "unknown"),
    (Face::Edge, "cut edge"),
    (Face::Edge, "edge"),
    (Face::Exposed, "outside"),
    (Face::Reverse, "bore"),
    (Face::Reverse, "inside"),
    (Face::Exposed, "front"),
    (Face::Reverse, "back"),
    (Face::Exposed, "face a"),
    (Face::Reverse, "face b"),
];

/// The words for an ordinate, as `--ordinate` has them.
pub(super) const ORDINATES: &[(Ordinate, &str)] = &[
    (Ordinate::Absorbance, "absorbance"),
    (Ordinate::Transmittance, "transmittance"),
    (Ordinate::PercentTransmittance, "percent transmittance"),
    (Ordinate::Reflectance, "reflectance"),
    (Ordinate::PercentReflectance, "percent reflectance"),
    (Ordinate::RelativeAbsorbance, "relative absorbance"),
];

/// The words for a way of measuring, as `--mode` has them.
pub(super) const MODES: &[(MeasurementMode, &str)] = &[
    (MeasurementMode::Atr, "atr"),
    (MeasurementMode::Transmission, "transmission"),
    (MeasurementMode::Reflection, "reflection"),
];

pub(super) const XRF: &[(XrfChlorine, &str)] = &[
    (XrfChlorine::Detected, "detected"),
    (XrfChlorine::NotDetected, "not detected"),
    (XrfChlorine::NotRecorded, "not recorded"),
];

fn is_id(text: &str) -> bool {
    text.chars().next().is_some_and(char::is_alphanumeric)
        && text.chars().count() <= LONGEST_ID
        && text.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' '))
}

fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let text = if text.contains('.') { text.to_owned() } else { text.replacen(',', ".", 1) };
    text.parse().ok().filter(|value: &f64| value.is_finite())
}
