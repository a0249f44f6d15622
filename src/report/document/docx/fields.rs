//! Fields: numbers of tables and figures, references to sections and parts, the list of contents.
//!
//! Each carries the text that it had when it was written, so that a reader that updates no fields shows
//! the same; the list of contents is marked to be updated on opening.

use docx_rs::{FieldCharType, InstrText, Paragraph, Run};

/// The names of bookmarks, one a heading: letters and digits only, as word processors ask.
#[derive(Clone, Debug, Default)]
pub(super) struct Bookmarks(Vec<String>);

impl Bookmarks {
    pub(super) fn new(anchors: Vec<String>) -> Self {
        Self(anchors)
    }

    /// Number and name of the bookmark of a heading.
    pub(super) fn of(&self, anchor: &str) -> Option<(usize, String)> {
        let at = self.0.iter().position(|known| known == anchor)?;
        Some((at + 1, format!("_Ref{:05}", at + 1)))
    }
}

/// A paragraph with a field behind what it holds: the instruction, and the text shown until it is updated.
pub(super) fn field(paragraph: Paragraph, instruction: &str, shown: Run) -> Paragraph {
    begun(paragraph, instruction, false)
        .add_run(shown)
        .add_run(Run::new().add_field_char(FieldCharType::End, false))
}

/// A field that is begun and not ended: its result may run over paragraphs.
pub(super) fn begun(paragraph: Paragraph, instruction: &str, update: bool) -> Paragraph {
    paragraph
        .add_run(Run::new().add_field_char(FieldCharType::Begin, update))
        .add_run(Run::new().add_instr_text(InstrText::Unsupported(format!(" {instruction} "))))
        .add_run(Run::new().add_field_char(FieldCharType::Separate, false))
}

/// The end of a field that was begun.
pub(super) fn ended(paragraph: Paragraph) -> Paragraph {
    paragraph.add_run(Run::new().add_field_char(FieldCharType::End, false))
}
