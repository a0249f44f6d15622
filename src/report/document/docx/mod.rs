//! DOCX: the report for a word processor, with real headings, lists, captions and repeated table
//! headings.

mod fields;
mod mend;

use std::io;

use docx_rs::{
    AbstractNumbering, AlignmentType, BorderType, Docx, Footer, IndentLevel, Level, LevelJc,
    LevelText, LineSpacing, LineSpacingType, NumberFormat, Numbering, NumberingId, PageMargin,
    PageNum, Paragraph, Pic, Run, RunFonts, SpecialIndentType, Start, Style, StyleType, Tab,
    TabLeaderType, TabValueType, Table as WordTable, TableBorder, TableBorderPosition,
    TableBorders, TableCell, TableCellMargins, TableLayoutType, TableRow, WidthType,
};

use super::{Block, Document, Kind, Table, Tone};
use crate::report::figure::Figure;
use crate::report::text_tools::visible;
use fields::Bookmarks;
use mend::Mending;

/// Width of the text in twentieths of a point: A4 less both margins.
const TEXT_WIDTH: usize = 9_240;

/// Width of a figure in English metric units: the width of the text.
const FIGURE_WIDTH_EMU: u32 = 5_867_400;

/// Height that a figure may have on the page: 58 mm.
#[cfg(feature = "plot")]
const FIGURE_HEIGHT_EMU: u32 = 58 * 36_000;

/// Pixels of a picture for each pixel of its drawing: about 240 to the inch on the page.
#[cfg(feature = "plot")]
const PICTURE_SCALE: f32 = 2.0;

/// Id of the list style with bullets.
const BULLETS: usize = 2;

/// Id of the list style with numbers.
const NUMBERS: usize = 3;

const INK: &str = "1B262C";
const SOFT: &str = "4C595E";
const SEA: &str = "0F4C5C";
const RUST: &str = "8F2F10";
const LINE: &str = "CFD6D3";

/// The whole package.
pub(super) fn package(document: &Document) -> io::Result<Vec<u8>> {
    let mut builder = Builder {
        docx: page(document),
        #[cfg(feature = "plot")]
        pictures: pictures(document)?.into_iter(),
        mending: Mending::new(&document.title),
        marks: Bookmarks::new(document.headings().map(|(.., anchor)| anchor.to_owned()).collect()),
        section: 0,
        tables: 0,
        shown: 0,
    };
    builder.head(document);
    for block in &document.blocks {
        builder.block(block, document);
    }
    let mut packed = io::Cursor::new(Vec::new());
    builder.docx.build().pack(&mut packed).map_err(io::Error::other)?;
    builder.mending.apply(packed.into_inner())
}

/// The figures as PNG, in the order of the blocks.
#[cfg(feature = "plot")]
fn pictures(document: &Document) -> io::Result<Vec<Vec<u8>>> {
    let figures: Vec<&Figure> = document
        .blocks
        .iter()
        .filter_map(|block| match block {
            Block::Figure(figure) => Some(figure),
            _ => None,
        })
        .collect();
    crate::report::plot::all_as_png(&figures, PICTURE_SCALE).map_err(io::Error::other)
}

/// An empty A4 document with its styles.
fn page(document: &Document) -> Docx {
    let serif = || RunFonts::new().ascii("Georgia").hi_ansi("Georgia").cs("Georgia");
    let plain = || RunFonts::new().ascii("Arial").hi_ansi("Arial").cs("Arial");
    let heading = |id: &str, name: &str, size: usize, color: &str, level: usize| {
        Style::new(id, StyleType::Paragraph)
            .name(name)
            .based_on("Normal")
            .next("Normal")
            .q_format(true)
            .fonts(serif())
            .size(size)
            .bold()
            .color(color)
            .outline_lvl(level)
            .line_spacing(spacing().before(160).after(50))
    };
    let text = |id: &str, name: &str, size: usize, color: &str| {
        Style::new(id, StyleType::Paragraph)
            .name(name)
            .based_on("Normal")
            .q_format(true)
            .size(size)
            .color(color)
    };
    let foot = Paragraph::new()
        .style("Footer")
        .add_run(Run::new().add_text(format!("{} · page ", visible(&document.foot))))
        .add_page_num(PageNum::new());
    let list = |id: usize, format: &str, sign: &str| {
        AbstractNumbering::new(id).add_level(
            Level::new(
                0,
                Start::new(1),
                NumberFormat::new(format),
                LevelText::new(sign),
                LevelJc::new("left"),
            )
            .indent(Some(360), Some(SpecialIndentType::Hanging(280)), None, None),
        )
    };
    Docx::new()
        .page_size(11_906, 16_838)
        .page_margin(
            PageMargin::new().top(1_134).bottom(1_247).left(1_474).right(1_192).footer(560),
        )
        .default_fonts(serif())
        .default_size(18)
        .default_line_spacing(spacing().after(44).line(246))
        .add_style(
            heading("Title", "Title", 44, INK, 9).line_spacing(spacing().after(80).line(240)),
        )
        .add_style(heading("Heading1", "heading 1", 27, SEA, 0))
        .add_style(heading("Heading2", "heading 2", 21, INK, 1))
        .add_style(heading("Heading3", "heading 3", 19, INK, 2))
        .add_style(text("Lead", "Lead", 19, INK))
        .add_style(text("Note", "Note", 17, SOFT).italic())
        .add_style(text("Caution", "Caution", 18, RUST))
        .add_style(text("Kind", "Kind of report", 17, SOFT).fonts(plain()))
        .add_style(text("Caption", "caption", 16, SOFT).italic())
        .add_style(
            text("Cell", "Cell", 15, INK).fonts(plain()).line_spacing(spacing().after(0).line(240)),
        )
        .add_style(text("ContentsHead", "Contents head", 19, INK).bold())
        .add_style(text("Contents", "Contents", 17, INK).line_spacing(spacing().after(0).line(240)))
        .add_style(text("Gap", "Gap", 8, INK).line_spacing(spacing().after(0).line(240)))
        .add_style(text("Footer", "footer", 15, SOFT).fonts(plain()))
        .add_abstract_numbering(list(BULLETS, "bullet", "•"))
        .add_numbering(Numbering::new(BULLETS, BULLETS))
        .add_abstract_numbering(list(NUMBERS, "decimal", "%1."))
        .add_numbering(Numbering::new(NUMBERS, NUMBERS))
        .footer(Footer::new().add_paragraph(foot))
}

/// Line spacing as a multiple of the letters' height: with a fixed height pictures would be cut.
fn spacing() -> LineSpacing {
    LineSpacing::new().line_rule(LineSpacingType::Auto)
}

/// The document as it grows.
struct Builder {
    docx: Docx,
    /// The figures as PNG that are still to come.
    #[cfg(feature = "plot")]
    pictures: std::vec::IntoIter<Vec<u8>>,
    mending: Mending,
    marks: Bookmarks,
    section: usize,
    tables: usize,
    shown: usize,
}

impl Builder {
    fn add(&mut self, paragraph: Paragraph) {
        self.docx = std::mem::take(&mut self.docx).add_paragraph(paragraph);
    }

    fn styled(&mut self, style: &str, text: &str) {
        self.add(styled(style, text));
    }

    fn head(&mut self, document: &Document) {
        self.styled("Kind", document.kind);
        self.styled("Title", &document.title);
        if !document.notice.trim().is_empty() {
            self.styled("Caution", &document.notice);
        }
        self.pairs(&document.about);
    }

    fn block(&mut self, block: &Block, document: &Document) {
        match block {
            Block::Heading { level: 2, text, anchor } => {
                self.section += 1;
                // The first page comes first, then where everything else stands.
                if self.section == 2 {
                    self.contents(document);
                }
                let number = self.section.to_string();
                self.heading("Heading1", anchor, &number, &format!("  {text}"));
            }
            Block::Heading { level, text, anchor } => {
                let style = if *level == 3 { "Heading2" } else { "Heading3" };
                // Of a part the id is what other places refer to.
                let (id, rest) = match text.split_once(" · ") {
                    Some((id, name)) => (id, format!(" · {name}")),
                    None => (text.as_str(), String::new()),
                };
                self.heading(style, anchor, id, &rest);
            }
            Block::See(places) => self.see(places, document),
            Block::Text { text, tone } => {
                let style = match tone {
                    Tone::Plain => "Normal",
                    Tone::Lead => "Lead",
                    Tone::Note => "Note",
                    Tone::Caution => "Caution",
                };
                self.styled(style, text);
            }
            Block::List { items, ordered } => {
                let id = if *ordered { NUMBERS } else { BULLETS };
                for item in items {
                    let level = IndentLevel::new(0);
                    self.add(styled("Normal", item).numbering(NumberingId::new(id), level));
                }
            }
            Block::Pairs(pairs) => self.pairs(pairs),
            Block::Table(table) => self.table(table),
            Block::Figure(figure) => self.figure(figure),
            Block::Signatures { tool, examiner } => self.signatures(tool, examiner),
        }
    }

    /// A heading whose number or id is bookmarked, so that fields can refer to it.
    fn heading(&mut self, style: &str, anchor: &str, marked: &str, rest: &str) {
        let run = Run::new().add_text(visible(marked));
        let paragraph = Paragraph::new().style(style).keep_next(true);
        let paragraph = match self.marks.of(anchor) {
            Some((number, name)) => {
                paragraph.add_bookmark_start(number, name).add_run(run).add_bookmark_end(number)
            }
            None => paragraph.add_run(run),
        };
        self.add(if rest.is_empty() {
            paragraph
        } else {
            paragraph.add_run(Run::new().add_text(visible(rest)))
        });
    }

    /// The list of contents: a field whose entries carry the pages as fields.
    fn contents(&mut self, document: &Document) {
        let sections: Vec<(&str, &str)> = document.sections().collect();
        self.styled("ContentsHead", "Contents");
        for (i, (text, anchor)) in sections.iter().enumerate() {
            let dots =
                Tab::new().val(TabValueType::Right).leader(TabLeaderType::Dot).pos(TEXT_WIDTH);
            let mut paragraph = Paragraph::new().style("Contents").add_tab(dots);
            if i == 0 {
                paragraph = fields::begun(paragraph, "TOC \\o \"1-1\" \\h \\z", true);
            }
            let entry = Run::new().add_text(format!("{}  {}", i + 1, visible(text))).add_tab();
            paragraph = paragraph.add_run(entry);
            if let Some((_, name)) = self.marks.of(anchor) {
                let page = Run::new().add_text("–");
                paragraph = fields::field(paragraph, &format!("PAGEREF {name} \\h"), page);
            }
            if i + 1 == sections.len() {
                paragraph = fields::ended(paragraph);
            }
            self.add(paragraph);
        }
    }

    /// "More: care, section 8; …", each number a reference to its section.
    fn see(&mut self, places: &[(String, String)], document: &Document) {
        if places.is_empty() {
            return;
        }
        let mut paragraph = Paragraph::new().style("Note");
        for (i, (words, anchor)) in places.iter().enumerate() {
            let before = if i == 0 { "More: " } else { "; " };
            let text = format!("{before}{}, section ", visible(words));
            paragraph = paragraph.add_run(Run::new().add_text(text));
            let number = document.number_of(anchor).unwrap_or(0).to_string();
            let shown = Run::new().add_text(number);
            paragraph = match self.marks.of(anchor) {
                Some((_, name)) => fields::field(paragraph, &format!("REF {name} \\h"), shown),
                None => paragraph.add_run(shown),
            };
        }
        self.add(paragraph.add_run(Run::new().add_text(".")));
    }

    /// A caption whose number is a field: "Table 3. …".
    fn caption(&mut self, what: &str, number: usize, text: &str, with_next: bool) {
        let start =
            Paragraph::new().style("Caption").add_run(Run::new().add_text(format!("{what} ")));
        let shown = Run::new().add_text(number.to_string());
        let numbered = fields::field(start, &format!("SEQ {what} \\* ARABIC"), shown);
        let rest = Run::new().add_text(format!(". {}", visible(text)));
        self.add(numbered.add_run(rest).keep_next(with_next));
    }

    fn table(&mut self, table: &Table) {
        self.tables += 1;
        let caption = format!("Table {}. {}", self.tables, table.caption);
        self.caption("Table", self.tables, &table.caption, true);
        let total: u32 = table.columns.iter().map(|c| c.share).sum::<u32>().max(1);
        let widths: Vec<usize> =
            table.columns.iter().map(|c| TEXT_WIDTH * c.share as usize / total as usize).collect();
        let heading = table
            .columns
            .iter()
            .zip(&widths)
            .map(|(column, width)| cell(&column.title, *width, true, false))
            .collect();
        let mut rows = vec![TableRow::new(heading).cant_split()];
        for row in &table.rows {
            let cells = row
                .iter()
                .zip(&widths)
                .enumerate()
                .map(|(i, (shown, width))| {
                    let code = table.columns.get(i).is_some_and(|c| c.kind == Kind::Code);
                    let target = shown.link.as_ref().and_then(|anchor| self.marks.of(anchor));
                    linked_cell(&shown.text, *width, i == 0, code, target.map(|(_, name)| name))
                })
                .collect();
            rows.push(TableRow::new(cells).cant_split());
        }
        self.ruled(rows, widths, Some(&visible(&caption)));
    }

    fn ruled(&mut self, rows: Vec<TableRow>, widths: Vec<usize>, caption: Option<&str>) {
        self.docx = std::mem::take(&mut self.docx).add_table(ruled(rows, widths));
        self.mending.table(caption);
        self.styled("Gap", "");
    }

    fn pairs(&mut self, pairs: &[(String, String)]) {
        // A table without rows is no table to a word processor.
        if !pairs.is_empty() {
            self.beside(pairs, |_, row| row);
        }
    }

    /// Headings with texts beside them; each row may be given a form by its place.
    fn beside(&mut self, pairs: &[(String, String)], form: impl Fn(usize, TableRow) -> TableRow) {
        let [left, right] = [TEXT_WIDTH * 3 / 10, TEXT_WIDTH * 7 / 10];
        let row = |(heading, text): &(String, String)| {
            TableRow::new(vec![cell(heading, left, false, false), cell(text, right, false, false)])
        };
        let rows = pairs.iter().enumerate().map(|(i, pair)| form(i, row(pair)).cant_split());
        self.ruled(rows.collect(), vec![left, right], None);
    }

    #[cfg(feature = "plot")]
    fn figure(&mut self, figure: &Figure) {
        self.shown += 1;
        let (width, height) = figure.size();
        let png = self.pictures.next().unwrap_or_default();
        // As wide as the text, or as high as two figures and their words fit on a page.
        let (wide, tall) = fitted(u64::from(width.max(1)), u64::from(height.max(1)));
        let picture = Pic::new_with_dimensions(png, width, height)
            .id(format!("rIdImage{}", self.shown))
            .size(wide, tall);
        self.mending.picture(&visible(figure.title()), &visible(figure.description()));
        self.add(Paragraph::new().add_run(Run::new().add_image(picture)).keep_next(true));
        self.caption("Figure", self.shown, figure.title(), false);
    }

    /// Without the plotting feature there is nothing to render a picture with.
    #[cfg(not(feature = "plot"))]
    fn figure(&mut self, figure: &Figure) {
        self.shown += 1;
        self.caption("Figure", self.shown, figure.title(), false);
    }

    fn signatures(&mut self, tool: &[(String, String)], examiner: &[(String, String)]) {
        if !tool.is_empty() {
            self.add(styled("Heading2", "Output of the program").keep_next(true));
            self.pairs(tool);
        }
        self.add(styled("Heading2", "Conclusion of the examiner").keep_next(true));
        /// Height of a blank in twentieths of a point: room for a line of handwriting.
        const BLANK: f32 = 420.0;
        self.beside(examiner, |i, row| row.row_height(if i == 0 { 2.0 * BLANK } else { BLANK }));
    }
}

/// Width and height on the page, in English metric units.
#[cfg(feature = "plot")]
fn fitted(width: u64, height: u64) -> (u32, u32) {
    let (most_wide, most_tall) = (u64::from(FIGURE_WIDTH_EMU), u64::from(FIGURE_HEIGHT_EMU));
    let tall = (most_wide * height / width).min(most_tall);
    let wide = (tall * width / height).min(most_wide);
    (
        u32::try_from(wide).unwrap_or(FIGURE_WIDTH_EMU),
        u32::try_from(tall).unwrap_or(FIGURE_HEIGHT_EMU),
    )
}

fn styled(style: &str, text: &str) -> Paragraph {
    let paragraph = Paragraph::new().style(style);
    if text.is_empty() { paragraph } else { paragraph.add_run(Run::new().add_text(visible(text))) }
}

fn cell(text: &str, width: usize, strong: bool, code: bool) -> TableCell {
    linked_cell(text, width, strong, code, None)
}

/// A cell whose text refers to a bookmark, if there is one.
fn linked_cell(
    text: &str,
    width: usize,
    strong: bool,
    code: bool,
    bookmark: Option<String>,
) -> TableCell {
    let mut run = Run::new().add_text(breakable(&visible(text), code));
    if strong {
        run = run.bold();
    }
    let paragraph = Paragraph::new().style("Cell").align(AlignmentType::Left);
    let paragraph = match bookmark {
        Some(name) => fields::field(paragraph, &format!("REF {name} \\h"), run),
        None => paragraph.add_run(run),
    };
    TableCell::new().width(width, WidthType::Dxa).add_paragraph(paragraph)
}

/// Lets a word processor break long digests and paths: a place for a break every few letters.
fn breakable(text: &str, code: bool) -> String {
    /// Letters between two places for a break.
    const EVERY: usize = 16;
    if !code {
        return text.to_owned();
    }
    let mut out = String::new();
    for (i, character) in text.chars().enumerate() {
        if i > 0 && i % EVERY == 0 {
            out.push('\u{200b}');
        }
        out.push(character);
    }
    out
}

/// A table with hairlines between its rows and none between its columns.
fn ruled(rows: Vec<TableRow>, widths: Vec<usize>) -> WordTable {
    let line = |position: TableBorderPosition, color: &str| {
        TableBorder::new(position).border_type(BorderType::Single).size(4).color(color)
    };
    let borders = TableBorders::with_empty()
        .set(line(TableBorderPosition::Top, INK))
        .set(line(TableBorderPosition::Bottom, INK))
        .set(line(TableBorderPosition::InsideH, LINE));
    WordTable::new(rows)
        .set_grid(widths)
        .layout(TableLayoutType::Fixed)
        .width(TEXT_WIDTH, WidthType::Dxa)
        .set_borders(borders)
        .margins(TableCellMargins::new().margin(18, 110, 18, 0))
}
