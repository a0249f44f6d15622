//! Lines and cells of a text, whatever ends or parts them.

/// One line with its number, from 1, and its place in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Line<'a> {
    pub number: usize,
    pub start: usize,
    pub text: &'a str,
}

/// Walks over lines that end in LF, CR LF or CR, mixed as they come.
#[derive(Clone, Debug)]
pub(super) struct Lines<'a> {
    text: &'a str,
    at: usize,
    number: usize,
}

impl<'a> Lines<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self::from(text, 0, 1)
    }

    /// Starts at a byte offset that is a line's start.
    pub(super) fn from(text: &'a str, start: usize, number: usize) -> Self {
        Self { text, at: start, number }
    }

    /// Returns where the next line starts.
    pub(super) fn position(&self) -> (usize, usize) {
        (self.at, self.number)
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = Line<'a>;

    fn next(&mut self) -> Option<Self::Item> {
        let rest = self.text.get(self.at..)?;
        if rest.is_empty() {
            return None;
        }
        let (length, ending) = line_length(rest.as_bytes());
        let line = Line { number: self.number, start: self.at, text: rest.get(..length)? };
        self.at += length + ending;
        self.number += 1;
        Some(line)
    }
}

/// Returns text without blanks around it; nearly always there is none, and two looks tell.
pub(super) fn trimmed(text: &str) -> &str {
    match text.as_bytes() {
        [first, .., last] if first.is_ascii_graphic() && last.is_ascii_graphic() => text,
        [only] if only.is_ascii_graphic() => text,
        _ => text.trim(),
    }
}

/// Returns the length of the first line and of its ending.
pub(super) fn line_length(bytes: &[u8]) -> (usize, usize) {
    let length = bytes.iter().position(|&b| b == b'\n' || b == b'\r').unwrap_or(bytes.len());
    let ending = match (bytes.get(length), bytes.get(length + 1)) {
        (Some(b'\r'), Some(b'\n')) => 2,
        (Some(_), _) => 1,
        (None, _) => 0,
    };
    (length, ending)
}

/// What stands between cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Separator {
    Tab,
    Semicolon,
    Comma,
    /// One or more blanks or tabs.
    Blanks,
}

impl Separator {
    /// All of them; where two part a file equally well, the earlier one is meant.
    pub(super) const ALL: [Self; 4] = [Self::Tab, Self::Semicolon, Self::Comma, Self::Blanks];

    /// Returns the byte, or `None` for blanks.
    pub(super) fn byte(self) -> Option<u8> {
        match self {
            Self::Tab => Some(b'\t'),
            Self::Semicolon => Some(b';'),
            Self::Comma => Some(b','),
            Self::Blanks => None,
        }
    }
}

/// Walks over the cells of a line, trimmed and without the quotes around them.
#[derive(Clone, Debug)]
pub(super) struct Cells<'a> {
    rest: Option<&'a str>,
    separator: Separator,
}

impl<'a> Cells<'a> {
    pub(super) fn new(line: &'a str, separator: Separator) -> Self {
        let line = if separator == Separator::Blanks { trimmed(line) } else { line };
        Self { rest: Some(line), separator }
    }
}

impl<'a> Iterator for Cells<'a> {
    type Item = &'a str;

    fn next(&mut self) -> Option<Self::Item> {
        let rest = self.rest?;
        // Nearly every cell begins with a digit or a sign: neither a blank nor a quote is to be looked for.
        let begun = match rest.as_bytes().first() {
            Some(b' ') => rest.trim_start_matches(' '),
            _ => rest,
        };
        // Every separator is one byte that no longer letter holds, so that bytes can be searched.
        let find_end = |text: &str| {
            let found = match self.separator.byte() {
                Some(byte) => text.bytes().position(|b| b == byte),
                None => text.bytes().position(|b| b == b' ' || b == b'\t'),
            };
            found.unwrap_or(text.len())
        };
        // A quote that is never closed is an ordinary character.
        if let Some(inner) = begun.strip_prefix('"')
            && let Some(close) = inner.find('"')
        {
            let after = &inner[close + 1..];
            let end = find_end(after);
            self.rest = self.behind(after, end);
            return Some(trimmed(&inner[..close]));
        }
        let end = find_end(rest);
        self.rest = self.behind(rest, end);
        Some(trimmed(&rest[..end]))
    }
}

impl<'a> Cells<'a> {
    fn behind(&self, text: &'a str, end: usize) -> Option<&'a str> {
        let rest = text.get(end + 1..)?;
        Some(if self.separator == Separator::Blanks {
            rest.trim_start_matches([' ', '\t'])
        } else {
            rest
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(line: &str, separator: Separator) -> Vec<&str> {
        Cells::new(line, separator).collect()
    }

    #[test]
    fn ends_lines_at_lf_crlf_and_cr() {
        let lines: Vec<(usize, &str)> =
            Lines::new("a\nb\r\nc\rd\n\ne").map(|line| (line.number, line.text)).collect();
        assert_eq!(lines, [(1, "a"), (2, "b"), (3, "c"), (4, "d"), (5, ""), (6, "e")]);
        assert_eq!(Lines::new("").count(), 0);
    }

    #[test]
    fn parts_cells_at_each_separator() {
        assert_eq!(cells("a, b,,c", Separator::Comma), ["a", "b", "", "c"]);
        assert_eq!(cells("a;b;", Separator::Semicolon), ["a", "b", ""]);
        assert_eq!(cells("a\tb", Separator::Tab), ["a", "b"]);
        assert_eq!(cells("  a  b\t c ", Separator::Blanks), ["a", "b", "c"]);
    }

    #[test]
    fn takes_quoted_cells_whole() {
        assert_eq!(cells("\"1,735\", \"0,41\"", Separator::Comma), ["1,735", "0,41"]);
        assert_eq!(cells("\"open, b", Separator::Comma), ["\"open", "b"]);
        assert_eq!(cells("\"a b\" c", Separator::Blanks), ["a b", "c"]);
    }
}
