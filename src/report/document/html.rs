//! HTML: one file that needs no script and no network, for the screen and for A4 paper.

use std::collections::BTreeSet;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{Block, Cell, Document, Kind, Mark, Table, Tone, fonts};
use crate::report::figure::Figure;
use crate::report::text_tools::visible;

/// The style sheet, for screen and print.
const STYLE: &str = include_str!("page.css");

/// The whole page.
pub(super) fn page(document: &Document) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content=(document.foot);
                title { (visible(&document.title)) ": " (document.short_kind) }
                style { (PreEscaped(fonts::faces())) (PreEscaped(STYLE)) (column_widths(document)) (PreEscaped(narrow_headings(document))) }
            }
            body {
                a class="skip" href="#found" { "Skip to the answer" }
                (header(document))
                (contents(document))
                main { (sections(document)) }
                footer { p { (rich(&document.foot)) } }
            }
        }
    };
    page.into_string()
}

fn tables(document: &Document) -> impl Iterator<Item = &Table> {
    document.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    })
}

/// A rule for each width that a column of the page takes.
fn column_widths(document: &Document) -> String {
    let columns = tables(document).flat_map(|table| &table.columns);
    let shares: BTreeSet<u32> = columns.map(|column| column.share).collect();
    shares.iter().map(|share| format!(".w{share} {{ width: {share}%; }}\n")).collect()
}

/// On a narrow screen a row is a block, and each cell of it says what its column is called.
fn narrow_headings(document: &Document) -> String {
    let mut rules = String::from("@media screen and (max-width: 34rem) {\n");
    for (table, number) in tables(document).zip(1..) {
        for (column, place) in table.columns.iter().zip(1..).skip(1) {
            let title = css_text(&column.title);
            rules.push_str(&format!(
                "#table-{number} ~ tbody td:nth-child({place})::before {{ content: \"{title}\"; }}\n"
            ));
        }
    }
    rules + "}\n"
}

/// Text within the quotes of a style sheet; a sign that could end them, or the sheet, by its number.
fn css_text(text: &str) -> String {
    let sign = |c: char| match c {
        ' ' => c.to_string(),
        c if c.is_alphanumeric() => c.to_string(),
        c => format!("\\{:x} ", u32::from(c)),
    };
    text.chars().map(sign).collect()
}

fn header(document: &Document) -> Markup {
    html! {
        header {
            (strip(&document.found_cm1))
            p class="kind" { (document.kind) }
            h1 { (rich(&document.title)) }
            @if !document.notice.trim().is_empty() {
                p class="notice" { (rich(&document.notice)) }
            }
            @if !document.about.is_empty() { (pairs(&document.about, "about")) }
        }
    }
}

/// The bands found anywhere on the object, as strokes from 4000 to 400 cm⁻¹.
fn strip(found_cm1: &[f64]) -> Markup {
    let strokes: String = found_cm1
        .iter()
        .filter(|position| (400.0..=4000.0).contains(*position))
        .map(|position| format!("M{:.1} 0V14", (4000.0 - position) / 3.6))
        .collect();
    html! {
        svg class="strip" viewBox="0 0 1000 14" preserveAspectRatio="none" aria-hidden="true" {
            path d=(format!("M0 13.5H1000{strokes}")) {}
        }
    }
}

fn contents(document: &Document) -> Markup {
    html! {
        nav aria-label="Contents" {
            ol {
                @for (text, anchor) in document.sections() {
                    li { a href=(format!("#{anchor}")) { (rich(text)) } }
                }
            }
        }
    }
}

/// Blocks grouped into sections at each heading of level 2.
fn sections(document: &Document) -> Markup {
    let mut starts: Vec<usize> = (0..document.blocks.len())
        .filter(|&i| matches!(document.blocks[i], Block::Heading { level: 2, .. }))
        .collect();
    starts.push(document.blocks.len());
    let mut numbers = Numbers::default();
    html! {
        @for range in starts.windows(2) {
            @let blocks = document.blocks.get(range[0]..range[1]).unwrap_or_default();
            section class=(section_class(blocks)) {
                @for block in blocks { (show(document, block, &mut numbers)) }
            }
        }
    }
}

fn section_class(blocks: &[Block]) -> String {
    match blocks.first() {
        Some(Block::Heading { anchor, .. }) => format!("section s-{anchor}"),
        _ => "section".to_owned(),
    }
}

/// Running numbers of tables and figures.
#[derive(Default)]
struct Numbers {
    tables: usize,
    figures: usize,
}

fn show(document: &Document, block: &Block, numbers: &mut Numbers) -> Markup {
    match block {
        Block::Heading { level, text, anchor } => heading(*level, text, anchor),
        Block::Text { text, tone } => {
            let class = match tone {
                Tone::Plain => None,
                Tone::Lead => Some("lead"),
                Tone::Note => Some("note"),
                Tone::Caution => Some("caution"),
            };
            html! { p class=[class] { (rich(text)) } }
        }
        Block::List { items, ordered } => {
            let items = html! { @for item in items { li { (rich(item)) } } };
            html! { @if *ordered { ol { (items) } } @else { ul { (items) } } }
        }
        Block::Pairs(list) => pairs(list, "pairs"),
        Block::Table(shown) => {
            numbers.tables += 1;
            table(shown, numbers.tables)
        }
        Block::Figure(shown) => {
            numbers.figures += 1;
            figure(shown, numbers.figures)
        }
        Block::See(places) => see(document, places),
        Block::Signatures { tool, examiner } => signatures(tool, examiner),
    }
}

/// "More: care, section 8; …", each number leading to its section.
fn see(document: &Document, places: &[(String, String)]) -> Markup {
    html! {
        @if !places.is_empty() {
            p class="note" {
                "More: "
                @for (i, (words, anchor)) in places.iter().enumerate() {
                    @if i > 0 { "; " }
                    (rich(words)) ", section "
                    a href=(format!("#{anchor}")) { (document.number_of(anchor).unwrap_or(0)) }
                }
                "."
            }
        }
    }
}

fn heading(level: u8, text: &str, anchor: &str) -> Markup {
    match level {
        2 => html! { h2 id=(anchor) { (rich(text)) } },
        3 => html! { h3 id=(anchor) { (rich(text)) } },
        _ => html! { h4 id=(anchor) { (rich(text)) } },
    }
}

fn pairs(list: &[(String, String)], class: &str) -> Markup {
    html! {
        dl class=(class) {
            @for (heading, text) in list {
                div { dt { (rich(heading)) } dd { (rich(text)) } }
            }
        }
    }
}

fn table(table: &Table, number: usize) -> Markup {
    let id = format!("table-{number}");
    let class = |kind: Kind| match kind {
        Kind::Words => None,
        Kind::Number => Some("number"),
        Kind::Code => Some("code"),
    };
    html! {
        section class="scroll" aria-labelledby=(id) tabindex="0" {
            table {
                caption id=(id) { b { "Table " (number) "." } " " (rich(&table.caption)) }
                colgroup {
                    @for column in &table.columns { col class=(format!("w{}", column.share)); }
                }
                thead {
                    tr {
                        @for column in &table.columns {
                            th scope="col" class=[class(column.kind)] { (rich(&column.title)) }
                        }
                    }
                }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (i, shown) in row.iter().enumerate() {
                                @let kind = table.columns.get(i).map_or(Kind::Words, |c| c.kind);
                                @if i == 0 {
                                    th scope="row" class=[class(kind)] { (cell(shown)) }
                                } @else {
                                    td class=[class(kind)] { (cell(shown)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn cell(cell: &Cell) -> Markup {
    let mark = cell.mark.map(|mark| match mark {
        Mark::Full => "mark shown",
        Mark::Half => "mark implied",
        Mark::Empty => "mark none",
    });
    html! {
        @if let Some(class) = mark { span class=(class) aria-hidden="true" {} }
        @match &cell.link {
            Some(anchor) => a href=(format!("#{anchor}")) { (rich(&cell.text)) },
            None => (rich(&cell.text)),
        }
    }
}

fn figure(figure: &Figure, number: usize) -> Markup {
    let id = format!("figure-{number}");
    html! {
        figure {
            section class="scroll" aria-labelledby=(id) tabindex="0" {
                (PreEscaped(figure.svg()))
            }
            figcaption id=(id) { b { "Figure " (number) "." } " " (rich(figure.title())) }
        }
    }
}

fn signatures(tool: &[(String, String)], examiner: &[(String, String)]) -> Markup {
    html! {
        div class="signatures" {
            @if !tool.is_empty() {
                div {
                    h3 id="signature-program" { "Output of the program" }
                    (pairs(tool, "pairs"))
                }
            }
            div class="examiner" {
                h3 id="signature-examiner" { "Conclusion of the examiner" }
                dl class="blanks" {
                    @for (heading, text) in examiner {
                        div { dt { (rich(heading)) } dd { (rich(text)) } }
                    }
                }
            }
        }
    }
}

/// Text with its exponents and indices raised and lowered, and nothing else as markup.
fn rich(text: &str) -> Markup {
    let text = visible(text);
    let mut out = Vec::new();
    let mut plain = String::new();
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        let raised = |c: char| match c {
            '⁻' => Some('−'),
            '⁰' => Some('0'),
            '¹' => Some('1'),
            '²' => Some('2'),
            '³' => Some('3'),
            '⁴'..='⁹' => char::from_digit(c as u32 - 0x2070, 10),
            _ => None,
        };
        let lowered = |c: char| match c {
            '₀'..='₉' => char::from_digit(c as u32 - 0x2080, 10),
            _ => None,
        };
        let (first, next): (char, &dyn Fn(char) -> Option<char>) =
            if let Some(first) = raised(character) {
                (first, &raised)
            } else if let Some(first) = lowered(character) {
                (first, &lowered)
            } else {
                plain.push(character);
                continue;
            };
        let mut run = String::from(first);
        while let Some(more) = characters.peek().and_then(|c| next(*c)) {
            run.push(more);
            characters.next();
        }
        let before = std::mem::take(&mut plain);
        let up = raised(character).is_some();
        out.push(html! { (before) @if up { sup { (run) } } @else { sub { (run) } } });
    }
    out.push(html! { (plain) });
    html! { @for part in out { (part) } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_has_the_width_that_it_asks_for() {
        let mut page_of = Document::default();
        page_of.heading(2, "Rules", "rules");
        let columns = [("Question", Kind::Words, 37), ("Answer", Kind::Words, 63)];
        let mut table = Table::new("Rules", &columns);
        table.rows.push(["one", "yes"].map(Cell::from).to_vec());
        page_of.table(table);
        let written = page(&page_of);
        for share in [37, 63] {
            assert!(written.contains(&format!("<col class=\"w{share}\">")), "{share}");
            assert!(written.contains(&format!(".w{share} {{ width: {share}%; }}")), "{share}");
        }
    }

    #[test]
    fn on_a_narrow_screen_each_cell_says_its_column() {
        let columns = [("Part", Kind::Words, 37), ("Chlorine </style>\"", Kind::Words, 63)];
        let mut page_of = Document::default();
        let mut table = Table::new("Parts", &columns);
        table.rows.push(["V02", "shown"].map(Cell::from).to_vec());
        page_of.table(table);
        let rules = narrow_headings(&page_of);
        let escaped = "Chlorine \\3c \\2f style\\3e \\22 ";
        let rule =
            format!("#table-1 ~ tbody td:nth-child(2)::before {{ content: \"{escaped}\"; }}");
        assert!(rules.contains(&rule), "{rules}");
        // The first cell names the row.
        assert!(!rules.contains("nth-child(1)"), "{rules}");
    }

    #[test]
    fn exponents_are_raised_and_markup_is_text() {
        assert_eq!(
            rich("613 cm⁻¹ & <b>CH₂</b>").into_string(),
            "613 cm<sup>−1</sup> &amp; &lt;b&gt;CH<sub>2</sub>&lt;/b&gt;"
        );
        assert_eq!(rich("10⁻⁴").into_string(), "10<sup>−4</sup>");
    }
}
