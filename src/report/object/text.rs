//! The first page for a terminal: the same lines as in the report.

use super::compose::{change_in_short, chlorine_in_short, first, material_in_short, method, spots};
use crate::object::{ObjectFindings, recorded};
use crate::report::document::{Block, Document, Kind, Table, Tone};
use crate::report::style::Style;

/// Below this width the columns no longer fit.
const LEAST_WIDTH: usize = 60;

/// Returns the first page of a condition report as plain text: object, parts, what to do first, what
/// stays open, limits.
#[must_use]
pub fn object_text(findings: &ObjectFindings, width: usize) -> String {
    let object = &findings.manifest.object;
    let mut page = Document { title: recorded(&object.title).to_owned(), ..Document::default() };
    page.ids = findings.parts.iter().map(|part| part.id.clone()).collect();
    let examined = format!(
        "{}; examined {} by {}",
        recorded(&object.id),
        recorded(&object.examined),
        recorded(&object.examiner)
    );
    // Records stand as they were written, without a stop of ours.
    for text in [examined, object.note.clone()] {
        page.blocks.push(Block::Text { text, tone: Tone::Plain });
    }
    page.table(parts(findings));
    first::lists(&mut page, 2, findings);
    method::doubts(&mut page, 2, findings);
    page.text(
        "Chlorine beside its neighbours, changes with their figures, sheets and care stand in the report: \
         --report FILE, --length full for all of it.",
        Tone::Plain,
    );
    page.text_in(width.max(LEAST_WIDTH), Style::Plain)
}

/// A row a part: id and name, material, chlorine, change, spots.
fn parts(findings: &ObjectFindings) -> Table {
    Table::of(
        "",
        findings.parts.iter().filter(|part| part.claim.is_none()),
        &[
            ("Part", Kind::Words, 20, &|part| part.title().into()),
            ("Made of", Kind::Words, 20, &|part| material_in_short(part).into()),
            ("Chlorine", Kind::Words, 20, &|part| chlorine_in_short(part).into()),
            ("Change", Kind::Words, 20, &|part| change_in_short(part).into()),
            ("Spots", Kind::Words, 20, &|part| spots(part).into()),
        ],
    )
}
