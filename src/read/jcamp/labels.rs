//! Labelled data records: `##LABEL= value`, with `$$` comments.

use super::asdf::{Place, line_end, next_line, skip_blanks};

/// The head of a labelled data record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Label<'a> {
    /// The label as written, without `##` and `=`.
    pub(super) written: &'a str,
    /// The line it is on, from 1.
    pub(super) line: usize,
    /// Where its value begins.
    pub(super) value: Place,
}

impl Label<'_> {
    /// Returns the label in the spelling that the standard compares: capitals, without blanks,
    /// dashes, slashes and underscores.
    pub(super) fn key(&self) -> String {
        normalise(self.written)
    }
}

/// Spells a label the one way in which all spellings of it agree.
pub(super) fn normalise(label: &str) -> String {
    label
        .chars()
        .filter(|c| !matches!(c, ' ' | '\t' | '-' | '/' | '_'))
        .map(|c| c.to_ascii_uppercase())
        .collect()
}

/// Reads the label that stands at `place`, the start of a line, or nothing where none does.
pub(super) fn label_at(text: &str, place: Place) -> Option<Label<'_>> {
    let bytes = text.as_bytes();
    let at = skip_blanks(bytes, place.offset);
    if bytes.get(at..at + 2) != Some(b"##") {
        return None;
    }
    let end = line_end(bytes, at);
    let head = text.get(at + 2..end)?;
    let (written, value) = match head.find('=') {
        Some(equals) => (&head[..equals], at + 2 + equals + 1),
        // Some writers leave out the sign after END.
        None => (head, end),
    };
    Some(Label {
        written: written.trim(),
        line: place.line,
        value: Place { offset: value, line: place.line },
    })
}

/// Returns the start of the first line at or after `place` that holds a label, or the end.
///
/// `place` must be the start of a line.
pub(super) fn next_label(text: &str, mut place: Place) -> Place {
    let bytes = text.as_bytes();
    while place.offset < bytes.len() {
        let at = skip_blanks(bytes, place.offset);
        if bytes.get(at..at + 2) == Some(b"##") {
            break;
        }
        place.offset = line_end(bytes, at);
        if place.offset < bytes.len() {
            place = next_line(bytes, place);
        }
    }
    place
}

/// Returns the start of the line after the one that `place` is on, or the end.
pub(super) fn line_after(text: &str, place: Place) -> Place {
    let bytes = text.as_bytes();
    let at = Place { offset: line_end(bytes, place.offset), line: place.line };
    if at.offset < bytes.len() { next_line(bytes, at) } else { at }
}

/// Returns a value on one line, without its comments.
pub(super) fn plain(value: &str) -> String {
    let mut text = String::new();
    for line in value.split(['\r', '\n']) {
        let line = line.split("$$").next().unwrap_or_default().trim();
        if !line.is_empty() {
            if !text.is_empty() {
                text.push(' ');
            }
            text.push_str(line);
        }
    }
    text
}

/// Returns a value as it is kept: comments and line breaks included, ends trimmed.
pub(super) fn kept(value: &str) -> String {
    value.trim().replace("\r\n", "\n").replace('\r', "\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    const START: Place = Place { offset: 0, line: 1 };

    #[test]
    fn takes_every_spelling_of_a_label() {
        for written in ["DATA TYPE", "DATATYPE", "data_type", "Data-Type", "DATA/TYPE"] {
            assert_eq!(normalise(written), "DATATYPE");
        }
        assert_eq!(normalise(".OBSERVE FREQUENCY"), ".OBSERVEFREQUENCY");
        assert_eq!(normalise("$MY LABEL"), "$MYLABEL");
    }

    #[test]
    fn reads_a_label_after_blanks_and_without_its_sign() {
        let label = label_at(" ##TITLE= film", START).expect("a label");
        assert_eq!((label.written, label.value.offset), ("TITLE", 9));
        assert_eq!(label_at("##END", START).expect("a label").key(), "END");
        assert_eq!(label_at("400 ##", START), None);
        assert_eq!(label_at("", START), None);
    }

    #[test]
    fn finds_the_next_label_over_mixed_line_ends() {
        let text = "a\r\nb\rc\n  ##END=";
        assert_eq!(next_label(text, START), Place { offset: 7, line: 4 });
        assert_eq!(next_label("a\nb", START), Place { offset: 3, line: 2 });
    }

    #[test]
    fn leaves_comments_out_of_a_value_but_keeps_them_in_the_record() {
        let value = " 2.38e-09    $$ this expands data\r\nmore\r";
        assert_eq!(plain(value), "2.38e-09 more");
        assert_eq!(kept(value), "2.38e-09    $$ this expands data\nmore");
    }
}
