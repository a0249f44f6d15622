//! Words for a reader who is no chemist: lists, figures of two digits, and what a marker stands for.

/// Decimals that a small figure is given at most: below them nothing can be read off a spectrum.
const MOST_DECIMALS: i32 = 4;

/// What the markers that are tested stand for; the others go by what the table says they show.
const IN_PLAIN_WORDS: &[(&str, &str)] = &[
    ("CA_ACETYL", "acetyl groups, which leave as acetic acid"),
    ("CI_SAUB", "carbonyl groups from oxidation"),
    ("CN_NO2_COC", "nitrate groups"),
    ("PC_OH", "hydroxyl groups, as oxidation makes them"),
    ("PC_OX_ACID", "acids and ketones from oxidation"),
    ("PETG_OH", "hydroxyl groups"),
    ("PET_COOH_3290", "acid ends of broken chains"),
    ("PET_COOH_SH", "acid ends of broken chains"),
    ("PMMA_ESTER", "ester side groups"),
    ("PMMA_UNSAT", "double bonds of broken chains"),
    ("PURE_ETHER", "polyether chain"),
    ("PURS_ESTER", "polyester chain"),
    ("PVC_CO", "carbonyl groups from oxidation"),
    ("PVC_OH", "hydroxyl groups from oxidation"),
    ("PVC_PLAST_CO", "plasticiser at the surface"),
    ("STY_BUTADIENE", "rubber part"),
    ("STY_CO", "carbonyl groups from oxidation"),
];

/// Returns what a marker stands for; its id is for tables.
pub(super) fn marker<'a>(id: &str, shows: &'a str) -> &'a str {
    IN_PLAIN_WORDS.iter().find(|(known, _)| *known == id).map_or(shows, |(_, words)| words)
}

/// Returns the decimals that show two digits of a value.
pub(super) fn decimals(value: f64) -> usize {
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    let places = 1 - value.abs().log10().floor().clamp(-9.0, 9.0) as i32;
    usize::try_from(places.clamp(0, MOST_DECIMALS)).unwrap_or(0)
}

/// Returns a value with so many decimals and a true minus.
pub(super) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let nought = !text.bytes().any(|b| (b'1'..=b'9').contains(&b));
    if nought { text.trim_start_matches('-').to_owned() } else { text.replace('-', "−") }
}

/// Returns a value with its sign.
pub(super) fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if value > 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        format!("+{text}")
    } else {
        text
    }
}

/// Returns a share as percent with two digits.
pub(super) fn percent(share: f64) -> String {
    let value = 100.0 * share;
    format!("{} %", fixed(value, decimals(value)))
}

/// Returns items as words: "a, b and c".
pub(super) fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_two_digits_and_a_true_minus() {
        let two = |value: f64| signed(value, decimals(value));
        for (value, text) in [
            (27.039, "+27"),
            (1.275, "+1.3"),
            (-0.0205, "−0.021"),
            (0.494, "+0.49"),
            (153.2, "+153"),
            (0.0, "0"),
            (-0.000_001, "0.0000"),
        ] {
            assert_eq!(two(value), text);
        }
        assert_eq!(fixed(-0.001, 1), "0.0");
        assert_eq!(percent(3.0 / 1803.0), "0.17 %");
    }

    #[test]
    fn lists_read_as_words() {
        let items = |texts: &[&str]| texts.iter().map(|t| (*t).to_owned()).collect::<Vec<_>>();
        assert_eq!(list(&items(&["a"])), "a");
        assert_eq!(list(&items(&["a", "b", "c"])), "a, b and c");
        assert_eq!(list(&[]), "");
    }

    #[test]
    fn every_marker_in_plain_words_is_a_primary_one_of_the_table() {
        for (id, words) in IN_PLAIN_WORDS {
            let markers = crate::tables::Tables::built_in().markers();
            let known = markers.iter().find(|m| m.id == *id).unwrap_or_else(|| panic!("{id}"));
            assert_eq!(known.role, crate::tables::MarkerRole::Primary, "{id}");
            assert!(!words.contains('_'), "{words}");
        }
    }
}
