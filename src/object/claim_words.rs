//! What a seller's words claim: which materials are there, which are not, and what is no matter of a spectrum.
//!
//! The materials are the table's; here stand the words of speech around them alone. Where a claim can be
//! read in two ways it is not read at all.

use crate::tables::{Material, Tables};

/// Words behind which stands what is denied: "not PVC", "without chlorine".
const NOT_BEFORE: &[&str] = &[
    "no",
    "not",
    "non",
    "without",
    "nor",
    "neither",
    "never",
    "excluding",
    "excludes",
    "instead",
    "rather",
    "sans",
    "pas",
    "aucun",
    "aucune",
    "ohne",
    "kein",
    "keine",
    "keinen",
    "nicht",
    "statt",
];

/// Words before which stands what is denied: "PVC free", "PVC-frei".
const NOT_AFTER: &[&str] = &["free", "frei", "freie", "freier", "freies", "freien"];

/// Words that turn [`NOT_AFTER`] round: "free of PVC", "frei von Chlor".
const OF: &[&str] = &["of", "from", "von"];

/// Words that carry a denial on to what follows: "no PVC or PVDC".
const OR: &[&str] = &["or", "oder", "ou"];

/// Words that join without carrying a denial on: of "not PVC and PMMA" nothing is certain.
const AND: &[&str] = &["and", "und", "et", "&"];

/// Words that end a denial: "not PVC but PETG".
const BUT: &[&str] = &["but", "sondern", "mais"];

/// Words with which a material may be named that is not claimed: "PVC substitute".
const EITHER_WAY: &[&str] =
    &["alternative", "substitute", "replacement", "replaces", "imitation", "like", "ersatz"];

/// Words for chlorine itself, which is no material: in every compound of theirs, as "chlorinated" and "Halogenen".
const CHLORINE: &[&str] = &["chlor", "halogen"];

/// Words that say nothing by themselves.
const FILLING: &[&str] = &[
    "a",
    "an",
    "the",
    "of",
    "from",
    "is",
    "made",
    "contains",
    "containing",
    "with",
    "than",
    "any",
    "film",
    "foil",
    "sheet",
    "sheets",
    "plate",
    "board",
    "foam",
    "folie",
    "platte",
    "100%",
    "100",
    "%",
    "pure",
    "von",
    "de",
    "aus",
    "in",
    "to",
    "it",
    "does",
];

/// Words of the longest name looked for.
const LONGEST_NAME: usize = 6;

/// What a claim says is not there.
#[derive(Clone, Debug, Default)]
pub(super) struct Denied<'t> {
    /// The word as it was written.
    pub word: String,
    /// The materials that it stands for; none where the table does not know it.
    pub materials: Vec<&'t Material>,
    /// Whether it is chlorine that is denied, by its name or by that of a material that holds it.
    pub chlorine: bool,
}

/// A claim as it was read.
#[derive(Clone, Debug, Default)]
pub(super) struct ClaimWords<'t> {
    /// The materials claimed, each once.
    pub named: Vec<&'t Material>,
    /// Whether they are alternatives, as in "PET or PETG".
    pub alternatives: bool,
    /// What is claimed not to be there.
    pub denied: Vec<Denied<'t>>,
    /// What is neither: "UV-stable".
    pub rest: Vec<String>,
    /// Whether it can be read in more than one way.
    pub unclear: bool,
}

/// A piece of a claim.
enum Piece<'t> {
    Known(String, Vec<&'t Material>, bool),
    Other(String),
    Comma,
    Slash,
}

/// Reads a claim.
pub(super) fn read<'t>(claim: &str, tables: &'t Tables) -> ClaimWords<'t> {
    if let Some(one) = tables.find_material(claim) {
        return ClaimWords { named: vec![one], ..ClaimWords::default() };
    }
    let pieces = pieces(claim, tables);
    let is = |at: usize, words: &[&str]| matches!(pieces.get(at), Some(Piece::Other(word)) if words.contains(&small(word).as_str()));
    let mut read = ClaimWords::default();
    // Whether what follows is denied, and whether a comma or an "and" makes that uncertain.
    let (mut denying, mut doubtful) = (false, false);
    for (at, piece) in pieces.iter().enumerate() {
        let denied_behind = is(at + 1, NOT_AFTER) && !is(at + 2, OF);
        match piece {
            Piece::Comma => doubtful |= denying,
            Piece::Slash => {}
            Piece::Other(_) if is(at, NOT_BEFORE) => (denying, doubtful) = (true, false),
            Piece::Other(_) if is(at, NOT_AFTER) => {
                if is(at + 1, OF) {
                    (denying, doubtful) = (true, false);
                } else {
                    // "free-standing": nothing stands before it that could be denied.
                    read.unclear |= !matches!(
                        at.checked_sub(1).and_then(|before| pieces.get(before)),
                        Some(Piece::Known(..) | Piece::Other(_))
                    );
                }
            }
            Piece::Other(_) if is(at, BUT) => (denying, doubtful) = (false, false),
            Piece::Other(_) if is(at, OR) => read.alternatives |= !denying,
            Piece::Other(_) if is(at, AND) => doubtful |= denying,
            Piece::Other(_) if is(at, EITHER_WAY) => read.unclear = true,
            Piece::Other(_) if is(at, FILLING) => {}
            Piece::Known(..) | Piece::Other(_) => {
                let (word, materials, chlorine) = match piece {
                    Piece::Known(word, materials, chlorine) => (word, materials.clone(), *chlorine),
                    Piece::Other(word) => (word, Vec::new(), false),
                    Piece::Comma | Piece::Slash => continue,
                };
                let known = !materials.is_empty() || chlorine;
                if denied_behind {
                    // "not PVC-free" is no claim that there is none, and of "PMMA and PVC-free" either may be denied.
                    let joined = at.checked_sub(1).is_some_and(|before| {
                        matches!(pieces.get(before), Some(Piece::Slash))
                            || is(before, OR)
                            || is(before, AND)
                    });
                    read.unclear |= denying || joined;
                    read.denied.push(denied(word, materials, chlorine));
                } else if denying && (known || !doubtful) {
                    read.unclear |= doubtful;
                    read.denied.push(denied(word, materials, chlorine));
                } else if chlorine {
                    // "chlorinated" alone names no material.
                    read.rest.push(word.clone());
                } else if let Some(base) = materials.iter().find(|m| m.is_base()) {
                    if !read.named.iter().any(|other| other.id == base.id) {
                        read.named.push(base);
                    }
                } else {
                    read.rest.push(word.clone());
                }
            }
        }
    }
    read
}

fn denied<'t>(word: &str, materials: Vec<&'t Material>, chlorine: bool) -> Denied<'t> {
    let chlorine = chlorine || (!materials.is_empty() && materials.iter().all(|m| m.chlorine));
    Denied { word: word.to_owned(), materials, chlorine }
}

fn small(word: &str) -> String {
    word.to_lowercase()
}

/// Cuts a claim into names that the table knows, other words, and the marks between them.
fn pieces<'t>(claim: &str, tables: &'t Tables) -> Vec<Piece<'t>> {
    let mut words: Vec<String> = Vec::new();
    for word in claim.replace(['\u{2010}', '\u{2011}', '\u{2013}'], "-").split_whitespace() {
        push(word, &mut words, tables);
    }
    let mut pieces = Vec::new();
    let mut at = 0;
    while let Some(word) = words.get(at) {
        let longest = words[at..].iter().take(LONGEST_NAME).take_while(|w| !is_mark(w)).count();
        let name = (1..=longest).rev().find_map(|many| {
            let name = words[at..at + many].join(" ");
            tables.find_material(&name).map(|material| (many, name, material))
        });
        if let Some((many, name, material)) = name {
            pieces.push(Piece::Known(name, vec![material], false));
            at += many;
            continue;
        }
        at += 1;
        let plain = small(word);
        pieces.push(match word.as_str() {
            "," => Piece::Comma,
            "/" => Piece::Slash,
            _ if CHLORINE.iter().any(|chlorine| plain.starts_with(chlorine)) => {
                Piece::Known(word.clone(), Vec::new(), true)
            }
            _ => Piece::Other(word.clone()),
        });
    }
    pieces
}

fn is_mark(word: &str) -> bool {
    matches!(word, "," | "/")
}

/// Adds a word, its marks apart, and a denial that is written with it as a word of its own.
fn push(word: &str, words: &mut Vec<String>, tables: &Tables) {
    let plain = small(word);
    if plain == "w/o" {
        words.push("without".to_owned());
        return;
    }
    let word = word.trim_matches(['(', ')', '"', '\'', '.', '!', '\u{201c}', '\u{201d}', '[', ']']);
    // A mark behind a name is none of it; one within may be: "nylon 6,6".
    if let Some(word) = word.strip_suffix([',', ';', ':']) {
        push(word, words, tables);
        words.push(",".to_owned());
        return;
    }
    if tables.find_material(word).is_some() {
        words.push(word.to_owned());
        return;
    }
    if let Some((mark, (before, after))) = [",", ";", ":", "/", "+", "(", ")"]
        .into_iter()
        .find_map(|mark| Some((mark, word.split_once(mark)?)))
    {
        // Brackets belong to names: "poly(vinyl chloride)".
        if !matches!(mark, "(" | ")") {
            push(before, words, tables);
            words.push(if matches!(mark, "/" | "+") { "/" } else { "," }.to_owned());
            push(after, words, tables);
            return;
        }
    }
    if word.is_empty() {
        return;
    }
    let plain = small(word);
    for ending in NOT_AFTER {
        let joined = plain.strip_suffix(ending).filter(|stem| {
            // English parts the two by a hyphen; German writes "chlorfrei".
            stem.ends_with('-') || (!ending.ends_with("free") && stem.len() > 2)
        });
        if let Some(stem) = joined
            && let Some(stem) = word.get(..stem.len())
        {
            push(stem.trim_end_matches('-'), words, tables);
            words.push((*ending).to_owned());
            return;
        }
    }
    for beginning in ["non-", "no-", "not-"] {
        if plain.starts_with(beginning)
            && let Some(rest) = word.get(beginning.len()..)
        {
            words.push("not".to_owned());
            push(rest, words, tables);
            return;
        }
    }
    words.push(word.to_owned());
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is named, what is denied and what is left, or that it is unclear.
    fn said(claim: &str) -> String {
        let read = read(claim, Tables::built_in());
        if read.unclear {
            return "unclear".to_owned();
        }
        let named: Vec<&str> = read.named.iter().map(|m| m.id.as_str()).collect();
        let denied: Vec<&str> = read.denied.iter().map(|d| d.word.as_str()).collect();
        format!("{} | {} | {}", named.join(" "), denied.join(" "), read.rest.join(" "))
    }

    #[test]
    fn what_is_denied_is_never_named() {
        for (claim, wanted) in [
            ("PMMA", "PMMA |  | "),
            ("PMMA, UV-stable", "PMMA |  | UV-stable"),
            ("PMMA UV", "PMMA |  | UV"),
            ("PVC-free film", " | PVC | "),
            ("PVC free", " | PVC | "),
            ("not PVC", " | PVC | "),
            ("vinyl-free", " | vinyl | "),
            ("chlorine-free", " | chlorine | "),
            ("Chlorfreie Folie", " | Chlor | "),
            ("PVC-frei", " | PVC | "),
            ("sans PVC", " | PVC | "),
            ("ohne PVC", " | PVC | "),
            ("free of PVC or PVDC", " | PVC PVDC | "),
            ("w/o PVC", " | PVC | "),
            ("non-PVC", " | PVC | "),
            ("PETG, not PVC", "PETG | PVC | "),
            ("not PVC but PETG", "PETG | PVC | "),
            ("acid-free PP", "PP | acid | "),
            ("poly(vinyl chloride), soft", "PVC |  | soft"),
            ("PET or PETG", "PET PETG |  | "),
            ("acrylic sheet", "PMMA |  | "),
            ("free-standing PVC", "PVC |  | free-standing"),
            // Of these nothing is certain.
            ("not PVC-free", "unclear"),
            ("not PVC, PETG", "unclear"),
            ("no PVC and PETG", "unclear"),
            ("PMMA and PVC-free", "unclear"),
            ("PVC substitute", "unclear"),
        ] {
            assert_eq!(said(claim), wanted, "{claim}");
        }
        assert!(read("PET or PETG", Tables::built_in()).alternatives);
        for chlorinated in ["vinyl-free", "halogen-free", "no PVC"] {
            assert!(read(chlorinated, Tables::built_in()).denied[0].chlorine, "{chlorinated}");
        }
        assert!(!read("acid-free", Tables::built_in()).denied[0].chlorine);
    }
}
