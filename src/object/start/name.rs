//! What a file's name says: part, face, spot, date.

use std::path::Path;

/// Words for a face as they stand in names and are read back from a manifest; longer ones first.
const FACES: [&str; 12] = [
    "cut edge", "face a", "face b", "exposed", "reverse", "covered", "outside", "inside", "front",
    "back", "bore", "edge",
];

/// Characters of an id.
const LONGEST_ID: usize = 40;

/// What one name says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Named {
    /// The part's id.
    pub(super) part: String,
    /// A word for the face, or "unknown".
    pub(super) face: String,
    /// The spot; empty where the name has none.
    pub(super) spot: String,
    /// A date at the head of the name; empty where there is none.
    pub(super) date: String,
}

/// One word of a name with where it begins.
struct Word<'a> {
    text: &'a str,
    from: usize,
}

/// Reads a name, with folders before it as the manifest writes them.
///
/// What stands before a word for a face is the part, what follows it the spot. Without such a word a last
/// single letter is the spot, and so is a last number where the part has a number already: "Lens 1" and
/// "Lens 2" are two parts, "V01-1" and "V01-2" two spots of one.
pub(super) fn read(file: &str) -> Named {
    let path = Path::new(file);
    let stem = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or(file);
    let words = words(stem);
    let dated = date_words(&words);
    let date = dated.map_or_else(String::new, |count| {
        words.iter().take(count).map(|word| word.text).collect::<Vec<_>>().join("-")
    });
    let words = &words[dated.unwrap_or(0)..];
    let begin = words.first().map_or(0, |word| word.from);
    let mut named = Named { face: "unknown".to_owned(), date, ..Named::default() };
    let until =
        |at: usize| stem.get(begin..at).unwrap_or("").trim_matches(['-', '_', ' ', '.']).to_owned();
    if let Some((place, count, face)) = face_in(words) {
        face.clone_into(&mut named.face);
        named.part = until(words[place].from);
        let spot: Vec<&str> = words[place + count..].iter().map(|word| word.text).collect();
        named.spot = spot.join(" ");
        let short = named.spot.strip_prefix("spot ").map(str::to_owned);
        named.spot = short.unwrap_or(named.spot);
    } else {
        match words {
            [before @ .., last] if !before.is_empty() && is_spot(before, last.text) => {
                named.part = until(last.from);
                last.text.clone_into(&mut named.spot);
            }
            _ => named.part = until(stem.len()),
        }
    }
    if named.part.is_empty() {
        // "V01/exposed-a.csv": the folder is the part.
        let folder = path.parent().and_then(Path::file_name).and_then(|name| name.to_str());
        folder.unwrap_or("part").clone_into(&mut named.part);
    }
    named.part = id(&named.part);
    named
}

fn words(stem: &str) -> Vec<Word<'_>> {
    let mut words = Vec::new();
    let mut from = 0;
    for text in stem.split(['-', '_', ' ']) {
        if !text.is_empty() {
            words.push(Word { text, from });
        }
        from += text.len() + 1;
    }
    words
}

/// How many words at the head of a name are a date, "2026-03-10" or "20260310", with more behind them.
fn date_words(words: &[Word<'_>]) -> Option<usize> {
    let digits = |word: &Word<'_>, count: usize| {
        word.text.len() == count && word.text.bytes().all(|b| b.is_ascii_digit())
    };
    match words {
        [year, month, day, _, ..] if digits(year, 4) && digits(month, 2) && digits(day, 2) => {
            Some(3)
        }
        [day, _, ..]
            if digits(day, 8) && (day.text.starts_with("20") || day.text.starts_with("19")) =>
        {
            Some(1)
        }
        _ => None,
    }
}

/// The first word for a face: its place, how many words it is, and the word of the manifest.
fn face_in(words: &[Word<'_>]) -> Option<(usize, usize, &'static str)> {
    (0..words.len()).find_map(|place| {
        FACES.into_iter().find_map(|face| {
            let count = face.split(' ').count();
            let here = words.get(place..place + count)?;
            let same = face.split(' ').zip(here).all(|(a, b)| b.text.eq_ignore_ascii_case(a));
            same.then_some((place, count, face))
        })
    })
}

fn is_spot(before: &[Word<'_>], last: &str) -> bool {
    let mut letters = last.chars();
    let one_letter = letters.next().is_some_and(char::is_alphabetic) && letters.next().is_none();
    let number = last.bytes().all(|b| b.is_ascii_digit());
    let numbered = before.iter().any(|word| word.text.bytes().any(|b| b.is_ascii_digit()));
    one_letter || (number && numbered)
}

/// The text as an id of a manifest.
fn id(text: &str) -> String {
    plain(text).unwrap_or_else(|| "part".to_owned())
}

/// What of a text a manifest takes as a name, whatever a file holds; nothing where no letter or figure is left.
pub(super) fn plain(text: &str) -> Option<String> {
    let kept: String = text
        .chars()
        .filter(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' '))
        .take(LONGEST_ID)
        .collect();
    let kept = kept.trim_matches(['-', '_', ' ', '.']);
    (!kept.is_empty()).then(|| kept.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(file: &str) -> [String; 4] {
        let Named { part, face, spot, date } = read(file);
        [part, face, spot, date]
    }

    #[test]
    fn names_say_part_face_spot_and_date() {
        for (file, expected) in [
            ("V01-exposed-a.csv", ["V01", "exposed", "a", ""]),
            ("Lens 1 outside spot 2.dx", ["Lens 1", "outside", "2", ""]),
            ("Lens 1.csv", ["Lens 1", "unknown", "", ""]),
            ("Lens 2.csv", ["Lens 2", "unknown", "", ""]),
            ("Lens 2 b.csv", ["Lens 2", "unknown", "b", ""]),
            ("2026-03-10_part03.csv", ["part03", "unknown", "", "2026-03-10"]),
            ("2026-03-10_part04.csv", ["part04", "unknown", "", "2026-03-10"]),
            ("V01-1.csv", ["V01", "unknown", "1", ""]),
            ("N1_Face_A_c.csv", ["N1", "face a", "c", ""]),
            ("N1-cut-edge.csv", ["N1", "cut edge", "", ""]),
            ("day 2/V01/front-a.csv", ["V01", "front", "a", ""]),
            ("b\"c.txt", ["bc", "unknown", "", ""]),
            ("---.csv", ["part", "unknown", "", ""]),
            ("20260310-V02-back.csv", ["V02", "back", "", "20260310"]),
        ] {
            assert_eq!(said(file), expected, "{file}");
        }
    }
}
