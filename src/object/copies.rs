//! Spectra that are one measurement filed twice: a copy is no second spot, and shows nothing of a second part.

use super::plain;
use super::record::{Manifest, SpectrumRecord};
use super::replicates;
use super::result::SpectrumResult;
use crate::spectrum::Warning;

/// Rows of the manifest under which measurements stand that other rows hold already.
pub(super) struct Copied<'a> {
    /// Each row that comes first with the row that repeats it: all of one part and face, and of one other.
    rows: Vec<(&'a SpectrumRecord, &'a SpectrumRecord)>,
    /// What else they may be.
    or_else: &'static str,
}

impl Copied<'_> {
    /// The part of the rows that come first, and that of the rows that repeat them.
    pub fn parts(&self) -> Option<(&str, &str)> {
        self.rows.first().map(|(first, again)| (first.part.as_str(), again.part.as_str()))
    }

    /// Whether the rows say that different parts were measured.
    pub fn of_two_parts(&self) -> bool {
        self.parts().is_some_and(|(first, again)| first != again)
    }

    /// What is wrong, and what to do.
    pub fn words(&self) -> String {
        let Some((first, again)) = self.rows.first() else { return String::new() };
        let name = |row: &SpectrumRecord| match row.block {
            Some(block) => format!("{}, spectrum {block}", row.file),
            None => row.file.clone(),
        };
        let (both, says) = match self.rows.len() {
            1 => {
                let both = "one measurement is given as";
                (format!("{both} {} and as {}", name(first), name(again)), "it says")
            }
            many => {
                let both = format!("{many} measurements are given twice, the first as");
                (format!("{both} {} and as {}", name(first), name(again)), "they say")
            }
        };
        let words = if self.of_two_parts() {
            format!(
                "{both}, for {} and for {}: of one of them {says} nothing; correct the row that is wrong, or measure \
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

/// Returns, for each result, the earliest one before it that is the same measurement in whatever form it was written,
/// one of its own part first. Of other parts only what was judged alike is asked: a copy is.
pub(super) fn earlier(manifest: &Manifest, results: &[SpectrumResult]) -> Vec<Option<usize>> {
    let part = |result: &SpectrumResult| manifest.spectra.get(result.record).map(|row| &row.part);
    let said: Vec<_> = results.iter().map(|one| replicates::said(&one.identification)).collect();
    let of = |again: usize, result: &SpectrumResult| {
        let before = || results.iter().take(again);
        let is_own = |one: &SpectrumResult| part(one) == part(result);
        let alike = |one: usize| match (said.get(one), said.get(again)) {
            (Some(Some(one)), Some(Some(again))) => one.agrees_with(again),
            (one, again) => one == again,
        };
        before()
            .position(|one| is_own(one) && result.spectrum.is_measurement_of(&one.spectrum))
            .or_else(|| {
                before().enumerate().position(|(at, one)| {
                    if alike(at) {
                        result.spectrum.is_measurement_of(&one.spectrum)
                    } else {
                        result.spectrum.is_copy_of(&one.spectrum)
                    }
                })
            })
    };
    results.iter().enumerate().map(|(again, result)| of(again, result)).collect()
}

/// Returns the rows of the copies, in the manifest's order: those of the same two parts and faces, and of two parts
/// whatever the face, are told together.
pub(super) fn rows<'a>(
    manifest: &'a Manifest,
    results: &[SpectrumResult],
    earlier: &[Option<usize>],
) -> Vec<Copied<'a>> {
    let row = |index: usize| manifest.spectra.get(results.get(index)?.record);
    let mut copies: Vec<Copied<'a>> = Vec::new();
    for (again, first) in earlier.iter().enumerate() {
        let Some((first, original)) =
            first.and_then(|first| Some((row(first)?, results.get(first)?)))
        else {
            continue;
        };
        let (Some(again), Some(copy)) = (row(again), results.get(again)) else { continue };
        let or_else = copy.spectrum.or_else_than(&original.spectrum);
        let told_with = |(one, other): &(&SpectrumRecord, &SpectrumRecord)| {
            let faces = (one.face, other.face) == (first.face, again.face);
            (&one.part, &other.part) == (&first.part, &again.part)
                && (faces || first.part != again.part)
        };
        match copies.iter_mut().find(|c| c.or_else == or_else && c.rows.iter().all(told_with)) {
            Some(copied) => copied.rows.push((first, again)),
            None => copies.push(Copied { rows: vec![(first, again)], or_else }),
        }
    }
    copies
}

/// Says of a sheet which of its spectra are another's, or another's its own: which of the two was measured stands in no
/// file. `None` where none are; `judged` is how many it has.
pub(super) fn of_another(sheet: &str, judged: usize, copies: &[Copied<'_>]) -> Option<String> {
    let (mut count, mut others) = (0, Vec::new());
    for copied in copies.iter().filter(|copied| copied.of_two_parts()) {
        let Some((first, again)) = copied.parts() else { continue };
        let other = match sheet {
            id if id == again => first,
            id if id == first => again,
            _ => continue,
        };
        count += copied.rows.len();
        if !others.iter().any(|known| known == other) {
            others.push(other.to_owned());
        }
    }
    let others = plain::list(&others);
    match count {
        0 => None,
        // Of one spectrum there may be several copies.
        all if all >= judged => Some(format!("its spectra are those of {others}")),
        some => Some(format!("{some} of its {judged} spectra are those of {others}")),
    }
}

/// Says each copy as a doubt.
pub(super) fn doubts(copies: &[Copied<'_>]) -> Vec<Warning> {
    copies.iter().map(|copy| Warning::new("copied-spectrum", copy.words())).collect()
}
