//! Spectra that are one measurement filed twice: a copy is no second spot, and shows nothing of a second part.

use super::record::{Manifest, SpectrumRecord};
use super::result::SpectrumResult;
use crate::spectrum::Warning;

/// Two rows of the manifest under which one measurement stands.
pub(super) struct Copied<'a> {
    /// The row that comes first.
    pub first: &'a SpectrumRecord,
    /// The row that repeats it.
    pub again: &'a SpectrumRecord,
    /// What else the two may be.
    or_else: &'static str,
}

impl Copied<'_> {
    /// Whether the rows say that different parts were measured.
    pub fn of_two_parts(&self) -> bool {
        self.first.part != self.again.part
    }

    /// What is wrong, and what to do.
    pub fn words(&self) -> String {
        let (first, again) = (self.first, self.again);
        let name = |row: &SpectrumRecord| match row.block {
            Some(block) => format!("{}, spectrum {block}", row.file),
            None => row.file.clone(),
        };
        let both = format!("one measurement is given as {} and as {}", name(first), name(again));
        let words = if self.of_two_parts() {
            format!(
                "{both}, for {} and for {}: of one of them it says nothing; correct the row that is wrong, or measure \
                 that part",
                first.part, again.part
            )
        } else if first.face != again.face {
            format!(
                "{both}, for the {} and for the {} face of {}: counted as one spot; correct the row that is wrong, or \
                 measure that face",
                first.face, again.face, first.part
            )
        } else {
            format!("{both}, both of {}: counted as one spot; a copy confirms nothing", first.part)
        };
        words + self.or_else
    }
}

/// Returns, for each result, the earliest one before it that is the same measurement, one of its own part first. Within
/// a part it is known in any form that it was written in, for the spots of a part are what is counted.
pub(super) fn earlier(manifest: &Manifest, results: &[SpectrumResult]) -> Vec<Option<usize>> {
    let part = |result: &SpectrumResult| manifest.spectra.get(result.record).map(|row| &row.part);
    let of = |again: usize, result: &SpectrumResult| {
        let before = || results.iter().take(again);
        let is_own = |one: &SpectrumResult| part(one) == part(result);
        before()
            .position(|one| is_own(one) && result.spectrum.is_measurement_of(&one.spectrum))
            .or_else(|| before().position(|one| result.spectrum.is_copy_of(&one.spectrum)))
    };
    results.iter().enumerate().map(|(again, result)| of(again, result)).collect()
}

/// Returns the rows of each copy, in the manifest's order.
pub(super) fn rows<'a>(
    manifest: &'a Manifest,
    results: &[SpectrumResult],
    earlier: &[Option<usize>],
) -> Vec<Copied<'a>> {
    let row = |index: usize| manifest.spectra.get(results.get(index)?.record);
    let copies = earlier.iter().enumerate();
    copies
        .filter_map(|(again, first)| {
            let first = (*first)?;
            let or_else = results.get(again)?.spectrum.or_else_than(&results.get(first)?.spectrum);
            Some(Copied { first: row(first)?, again: row(again)?, or_else })
        })
        .collect()
}

/// Says each copy as a doubt.
pub(super) fn doubts(copies: &[Copied<'_>]) -> Vec<Warning> {
    copies.iter().map(|copy| Warning::new("copied-spectrum", copy.words())).collect()
}
