//! Spots that are one measurement under two names: copies are no replicates.

use super::spot::Spot;
use crate::spectrum::Spectrum;

/// Says which spectra of a series of doses are one measurement; `None` where each was measured for itself.
///
/// One measurement under several doses has no change to fit, and its own noise makes it look sure.
#[must_use]
pub fn copied_in_series(spectra: &[&Spectrum]) -> Option<String> {
    let (first, second) = first_copy(spectra, |spectrum| spectrum)?;
    Some(format!(
        "{} and {} are one measurement: a series needs one measurement a line; give one of them{}",
        file(first),
        file(second),
        first.or_else_than(second)
    ))
}

/// The first two of a list that are one measurement.
fn first_copy<T>(list: &[T], of: impl Fn(&T) -> &Spectrum) -> Option<(&T, &T)> {
    let mut pairs = list
        .iter()
        .enumerate()
        .flat_map(|(i, first)| list.iter().skip(i + 1).map(move |second| (first, second)));
    pairs.find(|(first, second)| of(first).is_measurement_of(of(second)))
}

/// Says which spots are one measurement; `None` where every spot was measured for itself.
pub fn copied(spots: &[Spot<'_>]) -> Option<String> {
    let (first, second) = first_copy(spots, |spot| spot.specimen.spectrum)?;
    let (one, other) = (name(first), name(second));
    let or_else = first.specimen.spectrum.or_else_than(second.specimen.spectrum);
    let words = match (first.face == second.face, one == other) {
        (true, true) => {
            format!("{one} is given twice for the {} face: one file is one spot", first.face.word())
        }
        (true, false) => format!(
            "{one} and {other}, both of the {} face, are one measurement: copies are no replicates; give one of them",
            first.face.word()
        ),
        (false, true) => format!(
            "{one} is given for the {} and for the {} face: one measurement shows no change; give it one face",
            first.face.word(),
            second.face.word()
        ),
        (false, false) => format!(
            "{one} ({} face) and {other} ({} face) are one measurement, which shows no change; give it one face",
            first.face.word(),
            second.face.word()
        ),
    };
    Some(words + or_else)
}

/// The file as the user gave it, with the spectrum's place where it is not the first.
fn name(spot: &Spot<'_>) -> String {
    file(spot.specimen.spectrum)
}

fn file(spectrum: &Spectrum) -> String {
    let from = spectrum.provenance();
    match (from.file.as_str(), from.block) {
        ("", _) => "a spectrum without a file's name".to_owned(),
        (file, 0 | 1) => file.to_owned(),
        (file, block) => format!("{file}, spectrum {block}"),
    }
}
