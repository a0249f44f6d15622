//! What a report holds, and how it is put together.

use crate::report::figure::Figure;

/// A whole report: made by one of the functions that end in `_document`, written by its methods.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// What kind of report it is.
    pub(crate) kind: &'static str,
    /// The same in two words, behind the title of a window.
    pub(crate) short_kind: &'static str,
    /// The title.
    pub(crate) title: String,
    /// What is known of what was looked at: heading and text.
    pub(crate) about: Vec<(String, String)>,
    /// What must be read before anything else, such as "invented demo data".
    pub(crate) notice: String,
    /// Wavenumbers in cm⁻¹ at which bands were found anywhere; the strip at the head shows them.
    pub(crate) found_cm1: Vec<f64>,
    /// The sections.
    pub(crate) blocks: Vec<Block>,
    /// Tool, table and date in one line, for the foot of the pages.
    pub(crate) foot: String,
    /// Ids of parts, or names of files: a sentence that begins with one keeps its letters.
    pub(crate) ids: Vec<String>,
}

/// One block.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Block {
    /// A heading; level 2 starts a section, which is numbered.
    Heading { level: u8, text: String, anchor: String },
    /// A paragraph.
    Text { text: String, tone: Tone },
    /// A list.
    List { items: Vec<String>, ordered: bool },
    /// Headings with texts.
    Pairs(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// A figure.
    Figure(Figure),
    /// Where more stands: words, and the anchor of a section, which is named by its number.
    See(Vec<(String, String)>),
    /// The place for signatures: output of the tool, conclusion of the examiner.
    Signatures { tool: Vec<(String, String)>, examiner: Vec<(String, String)> },
}

/// How a paragraph is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tone {
    /// Running text.
    Plain,
    /// The answer: the first thing to read.
    Lead,
    /// Side information.
    Note,
    /// A limit or a danger.
    Caution,
}

/// A table; the first cell of a row is its heading.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Table {
    pub(crate) caption: String,
    pub(crate) columns: Vec<Column>,
    pub(crate) rows: Vec<Vec<Cell>>,
}

/// A column with the share of the width that it takes.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Column {
    pub(crate) title: String,
    pub(crate) kind: Kind,
    pub(crate) share: u32,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Words,
    Number,
    Code,
}

/// A cell: text, and the sign that stands before it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Cell {
    pub(crate) text: String,
    pub(crate) mark: Option<Mark>,
    /// The anchor of a section that tells more.
    pub(crate) link: Option<String>,
    /// Whether its row limits what may be said; a terminal gives the row a colour, the words say it too.
    pub(crate) caution: bool,
}

/// A sign before a cell's text, which says the same in words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mark {
    Full,
    Half,
    Empty,
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self { text: text.to_owned(), ..Self::default() }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self { text, ..Self::default() }
    }
}

/// How a table is made of rows: a column's title, what it holds, the share of the width that it takes, and its cell in
/// a row.
pub(crate) type CellsOf<'c, R> = (&'c str, Kind, u32, &'c dyn Fn(&R) -> Cell);

impl Table {
    /// Makes a table of rows, a column each.
    pub(crate) fn of<R>(
        caption: &str,
        rows: impl IntoIterator<Item = R>,
        columns: &[CellsOf<'_, R>],
    ) -> Self {
        let titles: Vec<_> =
            columns.iter().map(|&(title, kind, share, _)| (title, kind, share)).collect();
        let cells = |row: R| columns.iter().map(|(.., cell)| cell(&row)).collect();
        Self { rows: rows.into_iter().map(cells).collect(), ..Self::new(caption, &titles) }
    }

    pub(crate) fn new(caption: &str, columns: &[(&str, Kind, u32)]) -> Self {
        let columns = columns
            .iter()
            .map(|&(title, kind, share)| Column { title: title.to_owned(), kind, share })
            .collect();
        Self { caption: caption.to_owned(), columns, rows: Vec::new() }
    }
}

impl Document {
    /// Every heading: level, text, anchor.
    pub(crate) fn headings(&self) -> impl Iterator<Item = (u8, &str, &str)> {
        self.blocks.iter().filter_map(|block| match block {
            Block::Heading { level, text, anchor } => {
                Some((*level, text.as_str(), anchor.as_str()))
            }
            _ => None,
        })
    }

    /// The sections, in the order of their numbers: text and anchor.
    pub(crate) fn sections(&self) -> impl Iterator<Item = (&str, &str)> {
        let sections = self.headings().filter(|(level, ..)| *level == 2);
        sections.map(|(_, text, anchor)| (text, anchor))
    }

    /// Returns the number of the section with an anchor.
    pub(crate) fn number_of(&self, anchor: &str) -> Option<usize> {
        self.sections().position(|(_, known)| known == anchor).map(|at| at + 1)
    }

    pub(crate) fn heading(&mut self, level: u8, text: &str, anchor: &str) {
        let (text, anchor) = (text.to_owned(), anchor.to_owned());
        self.blocks.push(Block::Heading { level, text, anchor });
    }

    pub(crate) fn text(&mut self, text: impl Into<String>, tone: Tone) {
        let text = sentence(&text.into(), &self.ids);
        if !text.is_empty() {
            self.blocks.push(Block::Text { text, tone });
        }
    }

    pub(crate) fn list(&mut self, items: Vec<String>, ordered: bool) {
        if !items.is_empty() {
            let items = items.iter().map(|item| sentence(item, &self.ids)).collect();
            self.blocks.push(Block::List { items, ordered });
        }
    }

    /// Adds a table; a column in which nothing stands is left out.
    pub(crate) fn table(&mut self, mut table: Table) {
        let filled = |cell: &Cell| !cell.text.is_empty() || cell.mark.is_some();
        for i in (0..table.columns.len()).rev() {
            if !table.rows.iter().any(|row| row.get(i).is_some_and(filled)) {
                table.columns.remove(i);
                table.rows.iter_mut().for_each(|row| drop(row.drain(i..(i + 1).min(row.len()))));
            }
        }
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table(table));
        }
    }

    pub(crate) fn pairs<H: Into<String>, T: Into<String>>(
        &mut self,
        pairs: impl IntoIterator<Item = (H, T)>,
    ) {
        let pairs: Vec<_> = pairs.into_iter().map(|(h, t)| (h.into(), t.into())).collect();
        if !pairs.is_empty() {
            self.blocks.push(Block::Pairs(pairs));
        }
    }
}

/// A finding as a sentence: a capital first, a stop last; a symbol such as "pH" and the id of a part
/// stay as they are.
fn sentence(text: &str, ids: &[String]) -> String {
    let text = text.trim();
    let begins_with_id = ids.iter().any(|id| {
        text.strip_prefix(id.as_str())
            .is_some_and(|rest| !rest.starts_with(|c: char| c.is_alphanumeric()))
    });
    let mut letters = text.chars();
    let mut out = match (letters.next(), letters.clone().next()) {
        (Some(first), second)
            if !begins_with_id
                && first.is_ascii_lowercase()
                && !second.is_some_and(char::is_uppercase) =>
        {
            format!("{}{}", first.to_ascii_uppercase(), letters.as_str())
        }
        _ => text.to_owned(),
    };
    if out.chars().last().is_some_and(|c| c.is_alphanumeric() || matches!(c, ')' | '%' | '”')) {
        out.push('.');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn findings_become_sentences() {
        let ids = ["lamp a".to_owned(), "v3".to_owned(), "a".to_owned()];
        for (text, wanted) in [
            ("contains chlorine (5 spots)", "Contains chlorine (5 spots)."),
            ("pH 4", "pH 4."),
            ("Done.", "Done."),
            (" ", ""),
            // A part's id is never re-capitalised; a word that only begins like one is no id.
            ("v3 (vane) has changed", "v3 (vane) has changed."),
            ("lamp a: no answer", "lamp a: no answer."),
            ("v30 is no part", "V30 is no part."),
        ] {
            assert_eq!(sentence(text, &ids), wanted);
        }
    }
}
