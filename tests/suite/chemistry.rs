//! What is known of substances stands in the open table: no id of it and no place of a substance's band is written
//! into the library, so that a chemist can mend all of it without a compiler.

use std::collections::BTreeSet;

use syn::parse::ParseStream;
use syn::visit::{self, Visit};

use crate::source_tree::{Tree, is_for_tests};
use crate::zones::Numbers;

/// Sheets whose ids may not be written into code.
const SHEETS: [&str; 6] =
    ["materials.csv", "markers.csv", "groups.csv", "classes.csv", "rules.csv", "confounders.csv"];

/// Words of code that only happen to be an id: file, word, what it is.
const NO_IDS: &[(&str, &str, &str)] = &[
    ("cli/args.rs", "diamond", "the element that is meant where none is given"),
    ("cli/commands/bands/text.rs", "PMMA", "an example of an id in a hint"),
    ("cli/commands/depth.rs", "diamond", "the element that is meant where none is given"),
    ("cli/commands/read.rs", "diamond", "the element that is meant where none is given"),
    ("fitness/vapour.rs", "carbon-dioxide", "a finding on the air in the instrument"),
    ("fitness/vapour.rs", "water-vapour", "a finding on the air in the instrument"),
    ("object/limits.rs", "PMMA", "a sentence on what was proven with which spectra"),
    ("object/limits.rs", "PVC", "a sentence on what was proven with which spectra"),
    ("optics/crystals.rs", "diamond", "the element's crystal"),
    ("read/jcamp/words.rs", "ABS", "the word for absorbance in a file"),
];

/// Folders whose numbers are asked: all that judge a spectrum.
const FOLDERS: [&str; 8] =
    ["ageing", "fitness", "judge", "matching", "object", "peaks", "pipeline", "prepare"];

/// Where bands of substances stand, in cm⁻¹.
const BANDS_CM1: std::ops::RangeInclusive<f64> = 500.0..=4000.0;

/// Files whose numbers are all of the measurement.
const OF_THE_MEASUREMENT: &[(&str, &str)] = &[
    ("fitness/film_bands.rs", "the film of polystyrene that a wavenumber scale is checked on"),
    ("fitness/vapour_lines.rs", "lines of water vapour"),
    ("fitness/water_lines.rs", "lines of water vapour"),
];

/// Numbers that are no place of a substance's band: file, number, what it is.
const NO_BANDS: &[(&str, f64, &str)] = &[
    ("ageing/disturbance/mod.rs", 650.0, "the shortest half wave of a drift"),
    ("ageing/disturbance/mod.rs", 2000.0, "the middle of the axis, for powers of it"),
    ("ageing/session.rs", 800.0, "the length that two check spectra must share"),
    ("fitness/chlorine_region.rs", 580.0, "how far down the instrument reaches"),
    ("fitness/chlorine_region.rs", 595.0, "how far down the instrument reaches"),
    ("fitness/chlorine_region.rs", 610.0, "how far down the instrument reaches"),
    ("fitness/chlorine_region.rs", 613.0, "a C–Cl band that `check` asks for without a table"),
    ("fitness/chlorine_region.rs", 635.0, "a C–Cl band that `check` asks for without a table"),
    ("fitness/chlorine_region.rs", 640.0, "how far down the instrument reaches"),
    ("fitness/chlorine_region.rs", 655.0, "how far down the instrument reaches"),
    ("fitness/chlorine_region.rs", 670.0, "how far down the instrument reaches"),
    ("fitness/chlorine_region.rs", 690.0, "a C–Cl band that `check` asks for without a table"),
    ("fitness/chlorine_region.rs", 720.0, "how far down the instrument reaches"),
    ("fitness/examine.rs", 613.0, "the low end, where fringes are read"),
    ("fitness/film.rs", 600.0, "where the error of a scale is stated, and most of it in ppm"),
    ("fitness/film.rs", 1700.0, "where the error of a scale is stated"),
    ("fitness/film.rs", 3000.0, "where the error of a scale is stated"),
    ("fitness/fringes.rs", 1000.0, "thousands"),
    ("fitness/fringes.rs", 2000.0, "the middle of the axis"),
    ("fitness/sampling.rs", 700.0, "the range that every measurement should have"),
    ("fitness/sampling.rs", 3100.0, "the range that every measurement should have"),
    ("fitness/shape.rs", 700.0, "where organic matter has its bands"),
    ("fitness/shape.rs", 1800.0, "where organic matter has its bands"),
    ("fitness/shape.rs", 2800.0, "where organic matter has its bands"),
    ("fitness/shape.rs", 3600.0, "where organic matter has its bands"),
    ("matching/matcher.rs", 3100.0, "where broad stretches of O–H and N–H begin, of any substance"),
    ("matching/references.rs", 4000.0, "the end of a grid"),
    ("matching/scale_shift.rs", 700.0, "the range in which scales are compared"),
    ("matching/scale_shift.rs", 1800.0, "the range in which scales are compared"),
    ("matching/shape_grid.rs", 650.0, "the range in which curves are compared"),
    ("matching/shape_grid.rs", 3600.0, "the range in which curves are compared"),
    ("matching/shape_making.rs", 500.0, "the range in which curves are scaled"),
    ("matching/shape_making.rs", 3700.0, "the range in which curves are scaled"),
    ("object/limits.rs", 613.0, "where depths are told: low"),
    ("object/limits.rs", 1725.0, "where depths are told: in the middle"),
    ("object/limits.rs", 3400.0, "where depths are told: high"),
    ("object/summary.rs", 1000.0, "millimetres in a metre"),
    ("object/uv_visible.rs", 780.0, "nanometres"),
    ("peaks/peak.rs", 2600.0, "where the stretches of hydrogen begin, of any substance"),
    ("peaks/peak.rs", 3750.0, "the range in which peaks are looked for"),
    ("peaks/pick.rs", 720.0, "a factor of least squares"),
    ("prepare/baseline.rs", 1200.0, "a length of baseline"),
];

/// The texts that are written in code, inside macros and attributes too, without documentation.
#[derive(Default)]
struct Texts(Vec<String>);

impl<'ast> Visit<'ast> for Texts {
    fn visit_lit_str(&mut self, text: &'ast syn::LitStr) {
        self.0.push(text.value());
    }

    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        self.0.extend(item.parse_body_with(texts_of).expect("tokens"));
    }

    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        self.0.extend(texts_of_attribute(attribute));
    }

    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if !is_for_tests(&item.attrs) {
            visit::visit_item_mod(self, item);
        }
    }
}

/// Takes the texts out of tokens, of whatever depth; documentation is none.
fn texts_of(tokens: ParseStream<'_>) -> syn::Result<Vec<String>> {
    let mut texts = Vec::new();
    while !tokens.is_empty() {
        let attributes = tokens.fork().call(syn::Attribute::parse_outer).unwrap_or_default();
        if !attributes.is_empty() {
            tokens.call(syn::Attribute::parse_outer)?;
            texts.extend(attributes.iter().flat_map(texts_of_attribute));
        } else if tokens.peek(syn::LitStr) {
            texts.push(tokens.parse::<syn::LitStr>()?.value());
        } else if tokens.peek(syn::token::Paren) {
            let within;
            syn::parenthesized!(within in tokens);
            texts.extend(texts_of(&within)?);
        } else if tokens.peek(syn::token::Bracket) {
            let within;
            syn::bracketed!(within in tokens);
            texts.extend(texts_of(&within)?);
        } else if tokens.peek(syn::token::Brace) {
            let within;
            syn::braced!(within in tokens);
            texts.extend(texts_of(&within)?);
        } else {
            tokens.step(|cursor| {
                let next = cursor.token_tree().map(|(_, rest)| ((), rest));
                next.ok_or_else(|| cursor.error("a token"))
            })?;
        }
    }
    Ok(texts)
}

fn texts_of_attribute(attribute: &syn::Attribute) -> Vec<String> {
    match &attribute.meta {
        syn::Meta::List(list) => list.parse_args_with(texts_of).expect("tokens"),
        syn::Meta::NameValue(pair) if !attribute.path().is_ident("doc") => {
            let mut texts = Texts::default();
            texts.visit_expr(&pair.value);
            texts.0
        }
        _ => Vec::new(),
    }
}

/// The ids of the table that may not be written into code.
fn ids() -> BTreeSet<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/reference-bands/");
    let ids_of = |sheet: &str| -> Vec<String> {
        let mut reader = csv::Reader::from_path(format!("{folder}{sheet}")).expect("a sheet");
        assert_eq!(&reader.headers().expect("headings")[0], "id", "{sheet}");
        reader.records().map(|row| row.expect("a row")[0].to_owned()).collect()
    };
    let ids: BTreeSet<String> = SHEETS.iter().flat_map(|sheet| ids_of(sheet)).collect();
    assert!(ids.len() > 200, "{} ids only", ids.len());
    ids
}

/// Returns the ids that a text is, or holds as a word of its own; words without a capital are English, and are ids
/// only where they are the whole text.
fn ids_in<'a>(text: &'a str, ids: &BTreeSet<String>) -> Vec<&'a str> {
    if ids.contains(text) {
        return vec![text];
    }
    let is_part = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    let words = text.split(|c: char| !is_part(c)).map(|word| word.trim_matches('-'));
    words.filter(|word| word.contains(|c: char| c.is_uppercase()) && ids.contains(*word)).collect()
}

/// Says what of `found` is not on a list, and what of the list was not found.
fn faults<T: PartialEq + std::fmt::Display>(
    found: &[(String, T)],
    list: &[(&str, T, &str)],
    belongs: &str,
) -> Vec<String> {
    let is = |(file, what): &(String, T), of: &(&str, T, &str)| *file == of.0 && *what == of.1;
    let unknown =
        found.iter().filter(|one| !list.iter().any(|of| is(one, of))).map(|(file, what)| {
            format!("{file}: {what} belongs into {belongs}, or on this test's list with its reason")
        });
    let gone = list
        .iter()
        .filter(|of| !found.iter().any(|one| is(one, of)))
        .map(|(file, what, why)| format!("{file} holds no {what} ({why}): take it off the list"));
    unknown.chain(gone).collect()
}

#[test]
fn no_id_of_the_table_is_written_into_code() {
    let ids = ids();
    let mut found = Vec::new();
    for tree in ["lib.rs", "main.rs"].map(Tree::from_root) {
        for module in tree.modules.values() {
            let mut texts = Texts::default();
            for item in &module.code {
                texts.visit_item(item);
            }
            for text in &texts.0 {
                let of_text = ids_in(text, &ids).into_iter();
                found.extend(of_text.map(|id| (module.file.clone(), id.to_owned())));
            }
        }
    }
    let list: Vec<_> =
        NO_IDS.iter().map(|(file, id, why)| (*file, (*id).to_owned(), *why)).collect();
    let faults = faults(&found, &list, "reference-bands");
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn no_band_of_a_substance_is_written_into_code() {
    let tree = Tree::read();
    let mut found = Vec::new();
    for module in tree.modules.values() {
        let folder = module.file.split('/').next().unwrap_or_default();
        let is_known = OF_THE_MEASUREMENT.iter().any(|(file, _)| *file == module.file);
        if !FOLDERS.contains(&folder) || is_known {
            continue;
        }
        let mut numbers = Numbers::default();
        for item in &module.code {
            numbers.visit_item(item);
        }
        let near = numbers.0.iter().filter(|number| BANDS_CM1.contains(*number));
        found.extend(near.map(|number| (module.file.clone(), *number)));
    }
    for (file, what) in OF_THE_MEASUREMENT {
        assert!(tree.modules.values().any(|m| m.file == *file), "{file} ({what}) is gone");
    }
    let faults = faults(&found, NO_BANDS, "reference-bands/stretches.csv");
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn an_id_is_seen_however_it_is_written() {
    let written = r##"
        /// PVC in documentation is no code.
        #[arg(default_value = "PVC")]
        const A: &[&str] = &["PET", "nothing"];
        fn f() { say!("{:.0} % PVC could hide", { #[doc = "PMMA"] x }); g(r#"id = "PETG""#, "the water", "water") }
        #[cfg(test)]
        mod tests { const B: &str = "PC"; }
    "##;
    let mut texts = Texts::default();
    texts.visit_file(&syn::parse_file(written).expect("valid Rust"));
    let ids = ids();
    let found: Vec<&str> = texts.0.iter().flat_map(|text| ids_in(text, &ids)).collect();
    assert_eq!(found, ["PVC", "PET", "PVC", "PETG", "water"]);
}

#[test]
fn what_is_not_listed_and_what_is_listed_in_vain_are_faults() {
    let mut numbers = Numbers::default();
    let written = "const STRETCH_CM1: (f64, f64) = (600.0, 622.0); const WIDTH_CM1: f64 = 45.0;";
    numbers.visit_file(&syn::parse_file(written).expect("valid Rust"));
    let near = numbers.0.iter().filter(|number| BANDS_CM1.contains(*number));
    let found: Vec<(String, f64)> = near.map(|number| ("a.rs".to_owned(), *number)).collect();
    let list = [("a.rs", 622.0, "a length"), ("a.rs", 700.0, "an exponent")];
    assert_eq!(
        faults(&found, &list, "the table"),
        [
            "a.rs: 600 belongs into the table, or on this test's list with its reason",
            "a.rs holds no 700 (an exponent): take it off the list",
        ]
    );
}
