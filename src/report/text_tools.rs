//! Breaking lines, and keeping text from outside inert in each format.

/// Breaks text into lines of at most `width` characters at blanks; a longer word is cut.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut length = 0;
    for word in text.split_whitespace() {
        let mut word: Vec<char> = word.chars().collect();
        if length > 0 && length + 1 + word.len() > width {
            lines.push(std::mem::take(&mut line));
            length = 0;
        }
        if length > 0 {
            line.push(' ');
            length += 1;
        }
        while length == 0 && word.len() > width {
            let rest = word.split_off(width);
            lines.push(word.into_iter().collect());
            word = rest;
        }
        length += word.len();
        line.extend(word);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// Text cut behind, with an ellipsis, to a width.
pub(crate) fn cut(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_owned();
    }
    let kept: String = text.trim_end_matches('…').chars().take(width.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// A path's last part: enough where the whole path stands beside it.
pub(crate) fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).find(|part| !part.is_empty()).unwrap_or(path)
}

/// Whether XML forbids a character (XML 1.0, production 2), or a reader takes it for an order.
///
/// Of the control characters XML allows tab and line ends; as text of ours they are blanks or escapes.
pub(crate) fn xml_forbids(character: char) -> bool {
    character.is_control() || matches!(character, '\u{fffe}' | '\u{ffff}')
}

/// Whether a character could steer a terminal, turn the reading order round, or break a document.
fn steers(character: char) -> bool {
    xml_forbids(character) || crate::quote::turns_reading(character)
}

/// Shows control and reading-order characters as escapes, so that a file name or a title cannot
/// steer a terminal; everything else is kept.
pub(crate) fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if steers(character) {
            out.extend(character.escape_unicode());
        } else {
            out.push(character);
        }
    }
    out
}

/// Makes a text cell that no spreadsheet runs as a formula: a leading `=`, `+`, `-`, `@`, tab or
/// line break, also behind blanks, gets an apostrophe before it.
pub(crate) fn inert_cell(text: &str) -> String {
    let starts_formula = |c: char| matches!(c, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠');
    let risky = text.starts_with(['\t', '\r', '\n'])
        || text.trim_start().chars().next().is_some_and(starts_formula);
    let shown = visible(text);
    if risky { format!("'{shown}") } else { shown }
}

/// Escapes what Markdown, or HTML within it, would read as markup; line breaks become blanks.
pub(crate) fn markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '~' | '!' => {
                out.push('\\');
                out.push(character);
            }
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\n' | '\r' | '\t' => out.push(' '),
            other if steers(other) => out.extend(other.escape_unicode()),
            other => out.push(other),
        }
    }
    out
}

/// Joins a list in words: "a", "a and b", "a, b and c".
pub(crate) fn list_words(items: &[String], last: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., end] => format!("{} {last} {end}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn breaks_at_blanks_and_cuts_long_words() {
        assert_eq!(wrap("one two three", 7), ["one two", "three"]);
        assert_eq!(wrap("abcdefghij k", 4), ["abcd", "efgh", "ij k"]);
        assert_eq!(wrap("", 10), [""]);
        assert!(wrap(&"wavenumber ".repeat(40), 23).iter().all(|l| l.chars().count() <= 23));
    }

    #[test]
    fn formulas_become_text() {
        // Common practice, no source: the characters with which spreadsheets start a formula.
        for risky in ["=1+1", "+1", "-1", "@x", "\t=1", "  =1", "＝1"] {
            assert!(inert_cell(risky).starts_with('\''), "{risky:?}");
        }
        assert_eq!(inert_cell("V01 exposed"), "V01 exposed");
    }

    #[test]
    fn terminal_escapes_become_visible() {
        assert_eq!(visible("a\u{1b}[2Jb"), "a\\u{1b}[2Jb");
        assert_eq!(visible("cm⁻¹"), "cm⁻¹");
        assert_eq!(visible("x\u{202e}y"), "x\\u{202e}y");
        assert_eq!(visible("x\u{fffe}y\u{ffff}"), "x\\u{fffe}y\\u{ffff}");
    }

    #[test]
    fn markdown_is_taken_literally() {
        assert_eq!(markdown("<b>|*x*\n"), "&lt;b&gt;\\|\\*x\\* ");
    }

    #[test]
    fn lists_read_as_words() {
        let items = ["a", "b", "c"].map(str::to_owned);
        assert_eq!(list_words(&items, "or"), "a, b or c");
        assert_eq!(list_words(&items[..1], "or"), "a");
        assert_eq!(list_words(&[], "or"), "");
    }
}
