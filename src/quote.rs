//! Values and text of a file, as messages quote them.

/// Returns a number with three significant digits, for running text.
pub(crate) fn short(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return value.abs().to_string();
    }
    let magnitude = value.abs().log10().floor();
    if !(-6.0..9.0).contains(&magnitude) {
        return format!("{value:.2e}");
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..12")]
    let decimals = (2.0 - magnitude).clamp(0.0, 12.0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Text found in a file is cut at this many characters in a message. Longer text tells a reader no more.
pub(crate) const LONGEST_QUOTE: usize = 40;

/// Returns whether a character turns the direction in which a line is read.
pub(crate) fn turns_reading(character: char) -> bool {
    matches!(character, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Returns whether a character could steer a terminal or turn the direction of a line.
pub(crate) fn steers(character: char) -> bool {
    character.is_control() || turns_reading(character)
}

/// Returns the text with what could steer a terminal or turn a line as escapes.
pub(crate) fn printable(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for character in text.chars() {
        if steers(character) {
            shown.extend(character.escape_default());
        } else {
            shown.push(character);
        }
    }
    shown
}

/// Returns text as it is quoted in a message: one line, cut short, printable; the caller puts the marks.
pub(crate) fn quoted(text: &str) -> String {
    let text = text.trim();
    match text.char_indices().nth(LONGEST_QUOTE) {
        Some((end, _)) => printable(&text[..end]) + "…",
        None => printable(text),
    }
}

/// Returns text as [`quoted`] has it, in quotation marks.
pub(crate) fn in_marks(text: &str) -> String {
    format!("\"{}\"", quoted(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quote_is_one_short_line_that_steers_nothing() {
        assert_eq!(quoted(" a\tb\u{1b}[0m\u{202e} "), "a\\tb\\u{1b}[0m\\u{202e}");
        assert_eq!(quoted(&"µ".repeat(LONGEST_QUOTE)), "µ".repeat(LONGEST_QUOTE));
        assert_eq!(quoted(&"µ".repeat(50)), "µ".repeat(LONGEST_QUOTE) + "…");
        assert_eq!(in_marks("x"), "\"x\"");
    }
}
