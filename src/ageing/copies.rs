//! Spots that are one measurement under two names: copies are no replicates.

use super::spot::Spot;

/// Says which spots are one measurement; `None` where every spot was measured for itself.
pub fn copied(spots: &[Spot<'_>]) -> Option<String> {
    let mut pairs = spots
        .iter()
        .enumerate()
        .flat_map(|(i, first)| spots.iter().skip(i + 1).map(move |second| (first, second)));
    let (first, second) = pairs
        .find(|(first, second)| first.specimen.spectrum.is_copy_of(second.specimen.spectrum))?;
    let (one, other) = (name(first), name(second));
    Some(match (first.face == second.face, one == other) {
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
    })
}

/// The file as the user gave it, with the spectrum's place where it is not the first.
fn name(spot: &Spot<'_>) -> String {
    let from = spot.specimen.spectrum.provenance();
    match (from.file.as_str(), from.block) {
        ("", _) => "a spectrum without a file's name".to_owned(),
        (file, 0 | 1) => file.to_owned(),
        (file, block) => format!("{file}, spectrum {block}"),
    }
}
