//! Words for a reader who is no chemist: lists, figures of two digits, and what a marker stands for.

use crate::tables::Tables;

/// Decimals that a small figure is given at most: below them nothing can be read off a spectrum.
const MOST_DECIMALS: i32 = 4;

/// Returns what a marker stands for, in the plain words of its row; its id is for tables.
pub(super) fn marker<'a>(id: &str, shows: &'a str, tables: &'a Tables) -> &'a str {
    let row = tables.markers().iter().find(|marker| marker.id == id);
    row.map(|marker| marker.plain.as_str()).filter(|plain| !plain.is_empty()).unwrap_or(shows)
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
    let is_zero = !text.bytes().any(|b| (b'1'..=b'9').contains(&b));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text.replace('-', "−") }
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

/// Returns the text with a small letter first, as after a colon.
pub(super) fn first_small(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Returns the text with a capital first, as at the head of a sentence.
pub(super) fn first_large(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
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
}
