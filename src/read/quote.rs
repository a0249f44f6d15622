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

/// Text found in a file is cut at this many characters in a message.
pub(crate) const LONGEST_QUOTE: usize = 40;

/// Returns text as it is quoted in a message: one line, cut short, control characters escaped.
pub(crate) fn quoted(text: &str) -> String {
    let mut quoted = String::new();
    for (i, letter) in text.trim().chars().enumerate() {
        if i == LONGEST_QUOTE {
            quoted.push('…');
            break;
        }
        if letter.is_control() {
            quoted.extend(letter.escape_default());
        } else {
            quoted.push(letter);
        }
    }
    quoted
}
