//! What a seller's words claim: which materials are there, which are not, and what is no matter of a spectrum.
//!
//! The materials are the table's; here stand the words of speech around them alone. Plain forms are read ("PMMA",
//! "clear PETG sheet, UV-stable", "PVC-free film"); of all others that hold the name of a material nothing is concluded,
//! for a claim misread accuses its seller.

use crate::tables::{Material, Tables};

/// Words before what is denied.
const NOT_BEFORE: &[&str] = &[
    "contains no ",
    "free from ",
    "free of ",
    "frei von ",
    "keine ",
    "kein ",
    "no ",
    "non-",
    "nicht ",
    "not ",
    "ohne ",
    "sans ",
    "without ",
    "w/o ",
];

/// Endings behind what is denied.
const NOT_AFTER: &[&str] = &["-free", " free", "-frei", "freies", "freier", "freie", "frei"];

/// Words between alternatives.
const OR: &[&str] = &[" or ", " oder ", " ou "];

/// What stands between the parts of a blend, "/" too: in the trade PC/ABS is both of them.
const BLENDED: &[&str] = &[" and ", " und ", " et ", "/", "+", "&", "-"];

/// Words behind the parts of a blend.
const BLEND: &[&str] = &[" blend", " alloy", "-blend", "-alloy"];

/// Words that ask for a plasticiser in PVC, alone or as part of a name of the table.
const SOFT: &[&str] = &[
    "flexible",
    "plasticised",
    "plasticized",
    "pvc-p",
    "pvc-weich",
    "soft",
    "souple",
    "weich",
    "weich-pvc",
    "weiches",
];

/// Words that ask for none.
const RIGID: &[&str] = &[
    "hard",
    "hart",
    "hart-pvc",
    "hartes",
    "pvc-hart",
    "pvc-u",
    "rigid",
    "rigide",
    "unplasticised",
    "unplasticized",
    "upvc",
];

/// Words for chlorine itself, which is no material: in every compound of theirs, as "chlorinated" and "Halogenen".
const CHLORINE: &[&str] = &["chlor", "halogen"];

/// Words about a sheet that change nothing in what it is made of.
const BESIDE: &[&str] = &[
    "a",
    "an",
    "the",
    "pure",
    "100%",
    "clear",
    "colourless",
    "colorless",
    "transparent",
    "klar",
    "klare",
    "farblos",
    "cast",
    "extruded",
    "recycled",
    "incolore",
    "feuille",
    "plaque",
    "sheet",
    "sheets",
    "film",
    "foil",
    "plate",
    "board",
    "panel",
    "folie",
    "platte",
    "thick",
    "mm",
    "uv",
    "uv-stable",
    "uv-stabilised",
    "uv-stabilized",
    "uv-resistant",
];

/// Words of the longest name looked for.
const LONGEST_NAME: usize = 6;

/// Names of so many letters are those of a material only in capitals: "UP", and not "up".
const SHORT: usize = 3;

/// What a claim says is not there.
#[derive(Clone, Debug, Default)]
pub(super) struct Denied<'t> {
    /// The word as it was written.
    pub word: String,
    /// The materials that it stands for; none where chlorine is denied by its own name.
    pub materials: Vec<&'t Material>,
    /// Whether it is chlorine that is denied, by its name or by that of a material that holds it.
    pub chlorine: bool,
}

/// What a claim says of a plasticiser without naming one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Softness {
    /// One must be there.
    Soft,
    /// None may be there.
    Rigid,
}

/// A claim as it was read.
#[derive(Clone, Debug, Default)]
pub(super) struct ClaimWords<'t> {
    /// The materials claimed, each once.
    pub named: Vec<&'t Material>,
    /// Whether they are alternatives, as in "PET or PETG".
    pub alternatives: bool,
    /// Whether all of them are claimed to be there together, as in "PC/ABS".
    pub blend: bool,
    /// A word that asks for a plasticiser, and whether it asks for one or for none: "soft", "rigid".
    pub softness: Option<(String, Softness)>,
    /// What is claimed not to be there.
    pub denied: Vec<Denied<'t>>,
    /// What is said of light, which infrared does not test: "UV-stable".
    pub of_light: Vec<String>,
    /// A plasticiser that is claimed not to be there, in the words of the claim.
    pub no_plasticiser: Option<String>,
    /// Words that are not read: a property, or the name of a material in words that the table does not know.
    pub unread: Vec<String>,
    /// Whether it holds the name of a material in a form that is not read.
    pub unclear: bool,
}

/// Reads a claim.
pub(super) fn read<'t>(claim: &str, tables: &'t Tables) -> ClaimWords<'t> {
    let mut read = ClaimWords::default();
    // Behind "not PVC, " it is open whether the denial goes on.
    let mut goes_on = false;
    let plain = claim.replace(['\u{2010}', '\u{2011}'], "-");
    for phrase in phrases(plain.trim(), tables) {
        if let Some((denied, carries_on)) = denial(phrase, tables) {
            // "PVC, PVDC free" denies one or both.
            read.unclear |= !carries_on && phrase.ends_with(" free") && !read.named.is_empty();
            goes_on |= carries_on;
            read.denied.extend(denied);
        } else if let Some(names) = names(phrase, tables) {
            read.unclear |= goes_on;
            match names.joined {
                Joined::Alone => {}
                Joined::Either => read.alternatives = true,
                Joined::Both => read.blend = true,
            }
            read.hear_softness(phrase);
            for material in names.materials {
                if !read.named.iter().any(|known| known.id == material.id) {
                    read.named.push(material);
                }
            }
            read.of_light.extend(names.of_light);
        } else if holds_a_name(phrase, tables) {
            read.unclear = true;
        } else if denies_a_plasticiser(phrase) {
            read.no_plasticiser = Some(phrase.to_owned());
        } else if is_of_light(phrase) {
            read.of_light.push(phrase.to_owned());
        } else if phrase.split_whitespace().all(is_beside) {
            read.hear_softness(phrase);
        } else {
            read.unread.push(phrase.to_owned());
        }
    }
    read
}

/// Cuts a claim at its commas and semicolons; one within a name, as in "nylon 6,6", has no blank behind it.
fn phrases<'c>(claim: &'c str, tables: &Tables) -> Vec<&'c str> {
    if material(claim, tables).is_some() {
        return vec![claim];
    }
    let cut = claim.split("; ").flat_map(|part| part.split(", "));
    cut.map(str::trim).filter(|phrase| !phrase.is_empty()).collect()
}

/// The material of a name; a short one must be in capitals.
fn material<'t>(name: &str, tables: &'t Tables) -> Option<&'t Material> {
    let name = name.trim();
    let in_capitals = !name.chars().any(char::is_lowercase) && !name.contains(['.', ' ']);
    (name.chars().count() > SHORT || in_capitals).then(|| tables.find_material(name)).flatten()
}

/// What a phrase denies, and whether the denial stands before it, so that it may go on behind the next comma.
fn denial<'t>(phrase: &str, tables: &'t Tables) -> Option<(Vec<Denied<'t>>, bool)> {
    let without_noun = phrase.rsplit_once(' ').filter(|(_, noun)| is_beside(noun));
    let phrase = without_noun.map_or(phrase, |(denied, _)| denied);
    let small = phrase.to_lowercase();
    if small.len() != phrase.len() {
        return None;
    }
    let before = NOT_BEFORE.iter().find(|words| small.starts_with(**words));
    let after = NOT_AFTER.iter().find(|words| small.ends_with(**words));
    let what = match (before, after) {
        (Some(words), None) => phrase.get(words.len()..)?,
        (None, Some(words)) => phrase.get(..phrase.len() - words.len())?,
        _ => return None,
    };
    let mut all = vec![what.trim()];
    for or in OR.iter().chain(&["/"]) {
        all = all.into_iter().flat_map(|part| part.split(*or)).map(str::trim).collect();
    }
    // "No PVC/PVDC" denies both; of "PVC or PVDC-free" nothing is certain.
    let each = |word: &&str| {
        let is_chlorine = || CHLORINE.iter().any(|start| word.to_lowercase().starts_with(start));
        let of = material(word, tables);
        let chlorine = of.map_or_else(is_chlorine, |material| material.chlorine);
        (of.is_some() || chlorine).then(|| Denied {
            word: (*word).to_owned(),
            materials: of.into_iter().collect(),
            chlorine,
        })
    };
    let single = all.len() == 1 || before.is_some();
    let denied: Vec<Denied<'t>> = all.iter().map_while(each).collect();
    (single && denied.len() == all.len()).then_some((denied, before.is_some()))
}

impl ClaimWords<'_> {
    /// Takes up what the words of a phrase ask of a plasticiser; both of them are no plain form.
    fn hear_softness(&mut self, phrase: &str) {
        for word in phrase.split_whitespace() {
            let Some(asked) = softness(word) else { continue };
            self.unclear |= self.softness.as_ref().is_some_and(|(_, known)| *known != asked);
            self.softness.get_or_insert_with(|| (word.to_owned(), asked));
        }
    }
}

/// What a word asks of a plasticiser.
fn softness(word: &str) -> Option<Softness> {
    let small = word.to_lowercase();
    if SOFT.contains(&small.as_str()) {
        Some(Softness::Soft)
    } else if RIGID.contains(&small.as_str()) {
        Some(Softness::Rigid)
    } else {
        None
    }
}

/// How the materials of a phrase stand to each other.
enum Joined {
    Alone,
    Either,
    Both,
}

/// The materials that a phrase names, with what it says beside them that infrared cannot test.
struct Names<'t> {
    materials: Vec<&'t Material>,
    joined: Joined,
    of_light: Vec<String>,
}

fn names<'t>(phrase: &str, tables: &'t Tables) -> Option<Names<'t>> {
    if let Some((name, of_light)) = one_name(phrase, tables) {
        return Some(Names { materials: vec![name], joined: Joined::Alone, of_light });
    }
    let each = |parts: Vec<&str>, joined: Joined| {
        let parts: Option<Vec<_>> = parts.iter().map(|part| one_name(part, tables)).collect();
        let (materials, of_light): (Vec<_>, Vec<_>) = parts?.into_iter().unzip();
        let several = materials.len() > 1;
        several.then(|| Names { materials, joined, of_light: of_light.concat() })
    };
    if let Some(either) = OR.iter().find_map(|or| each(phrase.split(*or).collect(), Joined::Either))
    {
        return Some(either);
    }
    // The noun stands behind the blend: "PC/ABS blend", "PC/ABS sheet".
    let without = |ending: &&&str| phrase.to_lowercase().ends_with(**ending);
    let noun = BLEND.iter().find(without).map_or(0, |ending| ending.len());
    let blend = phrase.get(..phrase.len().checked_sub(noun)?)?;
    // A part may hold one of these itself, as "PUR-ether" and "PE-HD" do.
    BLENDED.iter().find_map(|between| each(blend.split(*between).collect(), Joined::Both))
}

/// One name with nothing but words about a sheet around it.
fn one_name<'t>(phrase: &str, tables: &'t Tables) -> Option<(&'t Material, Vec<String>)> {
    let words: Vec<&str> = phrase.split_whitespace().collect();
    let longest = words.len().min(LONGEST_NAME);
    (1..=longest).rev().find_map(|many| {
        (0..=words.len() - many).find_map(|at| {
            let (before, from) = words.split_at(at);
            let (name, after) = from.split_at(many);
            let around = || before.iter().chain(after);
            let found = around().all(|word| is_beside(word)).then(|| name.join(" "))?;
            let material = material(&found, tables).filter(|material| material.is_base())?;
            let of_light = around().filter(|word| is_of_light(word));
            Some((material, of_light.map(|word| (*word).to_owned()).collect()))
        })
    })
}

/// Whether a phrase says, plainly and of nothing else, that there is no plasticiser.
fn denies_a_plasticiser(phrase: &str) -> bool {
    const PLASTICISER: [&str; 9] = [
        "phthalates",
        "phthalate",
        "phtalates",
        "plasticiser",
        "plasticisers",
        "plasticizer",
        "plasticizers",
        "weichmacher",
        "weichmachern",
    ];
    let small = phrase.to_lowercase();
    let before = NOT_BEFORE.iter().find_map(|words| small.strip_prefix(*words));
    let after = NOT_AFTER.iter().find_map(|words| small.strip_suffix(*words));
    before.or(after).is_some_and(|what| PLASTICISER.contains(&what.trim()))
}

fn is_of_light(words: &str) -> bool {
    words.to_lowercase().starts_with("uv")
}

fn is_beside(word: &str) -> bool {
    let is_size = word.starts_with(|c: char| c.is_ascii_digit()) && !word.contains('%');
    is_size || softness(word).is_some() || BESIDE.contains(&word.to_lowercase().as_str())
}

/// Whether a phrase holds the name of a material, or chlorine, in whatever form.
fn holds_a_name(phrase: &str, tables: &Tables) -> bool {
    let words: Vec<&str> =
        phrase.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let is_chlorine = |word: &&str| CHLORINE.iter().any(|c| word.to_lowercase().starts_with(c));
    words.iter().any(is_chlorine)
        || (1..=LONGEST_NAME.min(words.len()))
            .any(|many| words.windows(many).any(|name| material(&name.join(" "), tables).is_some()))
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
        let left = [read.of_light, read.unread].concat();
        format!("{} | {} | {}", named.join(" "), denied.join(" "), left.join(" "))
    }

    #[test]
    fn plain_forms_are_read_and_what_is_denied_is_never_named() {
        for (claim, wanted) in [
            ("PMMA", "PMMA |  | "),
            ("PMMA, UV-stable", "PMMA |  | UV-stable"),
            ("PMMA UV 3 mm", "PMMA |  | UV"),
            ("clear PETG sheet", "PETG |  | "),
            ("acrylic sheet", "PMMA |  | "),
            ("PC, up to 120 °C", "PC |  | up to 120 °C"),
            ("PC, ca. 3 mm", "PC |  | ca. 3 mm"),
            ("PC, BPA-free", "PC |  | BPA-free"),
            ("poly(vinyl chloride), soft", "PVC |  | "),
            ("PMMA, nicht PC", "PMMA | PC | "),
            ("hartes PVC", "PVC |  | "),
            ("verre organique, sans PVC", " | PVC | verre organique"),
            ("PET or PETG", "PET PETG |  | "),
            ("PET oder PETG", "PET PETG |  | "),
            ("PC/ABS", "PC ABS |  | "),
            ("PC/ABS blend", "PC ABS |  | "),
            ("PC + ABS", "PC ABS |  | "),
            ("PC-ABS", "PC ABS |  | "),
            ("PC and ABS", "PC ABS |  | "),
            ("PE-HD/PP sheet", "PE-HD PP |  | "),
            ("PUR-ether", "PUR-ether |  | "),
            ("PVC-free film", " | PVC | "),
            ("PVC free", " | PVC | "),
            ("not PVC", " | PVC | "),
            ("vinyl-free", " | vinyl | "),
            ("chlorine-free", " | chlorine | "),
            ("Chlorfreie Folie", " | Chlor | "),
            ("PVC-frei", " | PVC | "),
            ("frei von PVC", " | PVC | "),
            ("sans PVC", " | PVC | "),
            ("free of PVC or PVDC", " | PVC PVDC | "),
            ("w/o PVC", " | PVC | "),
            ("non-PVC", " | PVC | "),
            ("PETG, not PVC", "PETG | PVC | "),
            ("PMMA, PVC-free", "PMMA | PVC | "),
        ] {
            assert_eq!(said(claim), wanted, "{claim}");
        }
        for (claim, either, both) in [
            ("PET or PETG", true, false),
            ("PC/ABS", false, true),
            ("PC and ABS", false, true),
            ("PC-ABS", false, true),
            ("PE-HD", false, false),
        ] {
            let read = read(claim, Tables::built_in());
            assert_eq!((read.alternatives, read.blend), (either, both), "{claim}");
        }
        for chlorinated in ["vinyl-free", "halogen-free", "no PVC"] {
            assert!(read(chlorinated, Tables::built_in()).denied[0].chlorine, "{chlorinated}");
        }
    }

    #[test]
    fn a_word_for_soft_or_rigid_is_heard_though_it_is_part_of_a_name() {
        let heard = |claim: &str| {
            let read = read(claim, Tables::built_in());
            assert!(!read.unclear && read.unread.is_empty(), "{claim}: {read:?}");
            assert_eq!(read.named.iter().map(|m| m.id.as_str()).collect::<Vec<_>>(), ["PVC"]);
            read.softness.map(|(_, asked)| asked)
        };
        for claim in [
            "plasticised PVC",
            "PVC-P",
            "soft PVC",
            "flexible PVC",
            "flexible PVC sheet",
            "weich-PVC",
            "Weich-PVC",
            "weiches PVC",
            "vinyl, plasticised",
            "PVC, soft",
        ] {
            assert_eq!(heard(claim), Some(Softness::Soft), "{claim}");
        }
        for claim in ["rigid PVC", "PVC-U", "Hart-PVC", "hartes PVC", "PVC, unplasticised"] {
            assert_eq!(heard(claim), Some(Softness::Rigid), "{claim}");
        }
        for claim in ["PVC", "vinyl sheet", "clear PVC foil"] {
            assert_eq!(heard(claim), None, "{claim}");
        }
        for claim in ["soft PVC, rigid", "semi-rigid PVC"] {
            assert!(read(claim, Tables::built_in()).unclear, "{claim}");
        }
    }

    #[test]
    fn of_any_other_form_that_holds_a_name_nothing_is_concluded() {
        for claim in [
            "not PVC-free",
            "not PVC, PETG",
            "no PVC and PETG",
            "PMMA and PVC-free",
            "PVC or PVDC-free",
            "PVC, PVDC free",
            "PVC substitute",
            "isn't PVC",
            "weder PVC noch PVDC",
            "exempt de PVC",
            "other than PVC",
            "lacks PVC",
            "0% PVC",
            "PVC: no",
            "PVC? no",
            "better than PVC",
            "not only PVC",
            "non-PVC polycarbonate",
            "No. 5 PVC",
            "no PVC (PC only)",
            "Contains no PVC. PC sheet",
            "not PVC - PC",
            "non-toxic PVC sheet",
            "No lead PVC",
            "free-standing PVC",
            "acid-free PP",
        ] {
            assert_eq!(said(claim), "unclear", "{claim}");
        }
        // Short words of every day are no materials.
        for claim in ["up to 120 °C", "ca. 3 mm", "Nr. 12", "UV-stable"] {
            assert_eq!(said(claim), format!(" |  | {claim}"));
        }
    }
}
