//! Lines of a page as they grow: labels, paragraphs, lists.

use crate::report::identification::{IdentificationEntry, WriteOptions};
use crate::report::style::Weight;
use crate::report::text_tools::{visible, wrap};

/// Where the text beside a label starts.
const LABEL: usize = 14;

/// A page of text.
pub(super) struct Page<'a> {
    pub(super) options: &'a WriteOptions,
    lines: Vec<String>,
}

impl<'a> Page<'a> {
    pub(super) fn new(options: &'a WriteOptions) -> Self {
        Self { options, lines: Vec::new() }
    }

    /// Returns the lines, each ended.
    pub(super) fn text(&self) -> String {
        self.lines.iter().flat_map(|line| [line.as_str(), "\n"]).collect()
    }

    pub(super) fn blank(&mut self) {
        self.lines.push(String::new());
    }

    /// A label with text beside it, cut with an ellipsis where it takes more lines than `most`.
    pub(super) fn labelled_within(&mut self, label: &str, text: &str, most: usize) {
        let width = self.options.width - LABEL - 2;
        for (i, line) in capped(text, width, most).iter().enumerate() {
            let shown = if i == 0 { label } else { "" };
            let dressed = self.options.style.dress(Weight::Strong, shown);
            let pad = " ".repeat(LABEL.saturating_sub(shown.chars().count()));
            self.lines.push(format!("  {dressed}{pad}{line}"));
        }
    }

    /// A label with one row beside it, whose blanks stay and which is cut where it is too long.
    pub(super) fn row(&mut self, label: &str, text: &str) {
        let dressed = self.options.style.dress(Weight::Strong, label);
        let pad = " ".repeat(LABEL.saturating_sub(label.chars().count()));
        let text = cut(text.trim_end(), self.options.width - LABEL - 2);
        self.lines.push(format!("  {dressed}{pad}{text}"));
    }

    /// The file: a line or two.
    pub(super) fn heading(&mut self, text: &str) {
        for line in capped(text, self.options.width, 2) {
            self.line(Some(Weight::Faint), &line);
        }
    }

    /// A paragraph with its first and its other lines indented.
    pub(super) fn push(&mut self, first: usize, rest: usize, weight: Weight, text: &str) {
        let width = self.options.width.saturating_sub(first.max(rest));
        for (i, line) in wrap_kept(text, width).iter().enumerate() {
            let indent = " ".repeat(if i == 0 { first } else { rest });
            self.lines.push(format!("{indent}{}", self.options.style.dress(weight, line)));
        }
    }

    /// One line as it stands.
    pub(super) fn line(&mut self, weight: Option<Weight>, line: &str) {
        let line = line.trim_end();
        self.lines.push(match weight {
            Some(weight) => self.options.style.dress(weight, line),
            None => line.to_owned(),
        });
    }

    pub(super) fn foot(&mut self, text: &str) {
        self.push(0, 0, Weight::Faint, text);
    }
}

/// As [`wrap`], but text that fits keeps its blanks.
fn wrap_kept(text: &str, width: usize) -> Vec<String> {
    if text.chars().count() <= width { vec![text.to_owned()] } else { wrap(text, width) }
}

/// Text in lines, at most so many; the last ends with an ellipsis where more was to say.
pub(super) fn capped(text: &str, width: usize, most: usize) -> Vec<String> {
    let mut lines = wrap(text, width);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = cut(&format!("{last} …"), width);
        }
    }
    lines
}

/// Text cut behind, with an ellipsis, to a width.
pub(super) fn cut(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_owned();
    }
    let kept: String = text.trim_end_matches('…').chars().take(width.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// The file, and its block and title where they tell more.
pub(super) fn heading(entry: &IdentificationEntry) -> String {
    let mut text = visible(&entry.place(&entry.file));
    if let Some(title) = entry.title.as_deref().filter(|t| !t.trim().is_empty()) {
        text.push_str(&format!(" “{}”", visible(title.trim())));
    }
    text
}
