//! The zones that belong to the measurement have one home: their limits stand nowhere else in the library.

use std::collections::BTreeSet;

use syn::visit::{self, Visit};

use crate::source_tree::Tree;

/// The home.
const ZONES: &str = "spectrum/zones.rs";

/// From the upper foot of C=O to the lower foot of C–H, in cm⁻¹: a number in between is a zone of the measurement,
/// carbon dioxide, diamond or quiet, unless it is named below. The zones outside (667, water vapour) lie among bands
/// and cannot be told from them by their numbers.
const BETWEEN_CM1: std::ops::RangeInclusive<f64> = 1850.0..=2700.0;

/// Numbers between that are something else: file, number, what it is.
const SOMETHING_ELSE: &[(&str, f64, &str)] = &[
    ("ageing/disturbance/mod.rs", 2000.0, "the middle of the axis, for powers of it"),
    ("fitness/film_bands.rs", 1942.9, "a band of polystyrene film"),
    ("fitness/fringes.rs", 2000.0, "where the noise is asked, the middle of the axis"),
    ("peaks/peak.rs", 2600.0, "where the stretches of hydrogen begin"),
    ("report/plot/frame.rs", 2000.0, "where the scale of a figure changes"),
    ("report/plot/view.rs", 1850.0, "the end of a view of a figure"),
    ("report/plot/view.rs", 2700.0, "the end of a view of a figure"),
];

/// The floating-point numbers that are written in code, inside macros too.
#[derive(Default)]
pub(crate) struct Numbers(pub(crate) Vec<f64>);

impl<'ast> Visit<'ast> for Numbers {
    fn visit_lit_float(&mut self, number: &'ast syn::LitFloat) {
        self.0.extend(number.base10_parse::<f64>());
    }

    fn visit_lit_int(&mut self, number: &'ast syn::LitInt) {
        if number.suffix() == "f64" {
            self.0.extend(number.base10_parse::<f64>());
        }
    }

    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        let tokens = item.tokens.to_string();
        let words = tokens.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.'));
        let numbers = words.flat_map(|word| word.split("..")).filter(|word| word.contains('.'));
        self.0.extend(numbers.filter_map(|word| word.replace('_', "").parse::<f64>().ok()));
        visit::visit_macro(self, item);
    }
}

fn between(numbers: &[f64]) -> impl Iterator<Item = f64> {
    numbers.iter().copied().filter(|number| BETWEEN_CM1.contains(number))
}

#[test]
fn zones_of_the_measurement_stand_in_one_file() {
    let tree = Tree::read();
    let (mut at_home, mut used) = (0, BTreeSet::new());
    let mut faults = Vec::new();
    for module in tree.modules.values() {
        let mut numbers = Numbers::default();
        for item in &module.code {
            numbers.visit_item(item);
        }
        for number in between(&numbers.0) {
            let known = SOMETHING_ELSE.iter().position(|of| (of.0, of.1) == (&module.file, number));
            match known {
                _ if module.file == ZONES => at_home += 1,
                Some(place) => used.extend([place]),
                None => faults.push(format!(
                    "{}: {number} belongs into {ZONES}, or on this test's list with its reason",
                    module.file
                )),
            }
        }
    }
    for (place, (file, number, what)) in SOMETHING_ELSE.iter().enumerate() {
        if !used.contains(&place) {
            faults.push(format!("{file} holds no {number} ({what}): take it off the list"));
        }
    }
    assert!(at_home > 10, "{ZONES} holds {at_home} limits only");
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn a_limit_is_seen_however_it_is_written() {
    let written = "const A: (f64, f64) = (2_280.0, 500.0); fn f() { assert!((2_400.0..2410.5).contains(&x)); g(1.87e3, 2190_f64) }";
    let mut numbers = Numbers::default();
    numbers.visit_file(&syn::parse_file(written).expect("valid Rust"));
    assert_eq!(between(&numbers.0).collect::<Vec<_>>(), [2280.0, 2400.0, 2410.5, 1870.0, 2190.0]);
}
