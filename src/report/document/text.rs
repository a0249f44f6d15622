//! Text for a terminal: the same blocks in lines that fit a width.

use super::{Block, Cell, Document, Kind, Table, Tone};
use crate::report::style::{Style, Weight};
use crate::report::text_tools::{visible, wrap};

/// Below this width columns no longer fit.
const LEAST_WIDTH: usize = 48;

/// Blanks between columns, and before what belongs to a line above.
const GAP: usize = 2;

/// Lines that a row of columns may take in the mean, so that one with much to say leaves the others in their columns;
/// else a table is written cell under cell.
const MOST_LINES: usize = 3;

/// Stands for the blank before a unit while titles are broken, so that "/ cm⁻¹" stays together.
const UNBROKEN: &str = "\u{1}";

/// Room that a label takes at most.
const MOST_LABEL: usize = 20;

/// Writes title, notice and blocks. Figures are described in words; nothing is said by colour alone.
pub(super) fn text(document: &Document, width: usize, style: Style) -> String {
    let mut out = Lines { width: width.max(LEAST_WIDTH), style, text: String::new() };
    out.paragraph(0, Some(Weight::Strong), &document.title);
    out.paragraph(0, Some(Weight::Caution), &document.notice);
    out.pairs(&document.about, 0);
    let mut before = None;
    for block in &document.blocks {
        if !out.text.is_empty() && set_apart(before, block) {
            out.text.push('\n');
        }
        out.block(document, before, block);
        before = Some(block);
    }
    out.text
}

/// Whether a blank line stands before a block: not between a heading and what it heads, nor within prose.
fn set_apart(before: Option<&Block>, block: &Block) -> bool {
    match (before, block) {
        (Some(Block::Heading { .. }), _) => false,
        (_, Block::Heading { .. } | Block::Table(_) | Block::Signatures { .. }) => true,
        (Some(Block::Table(_) | Block::List { .. }), _) => true,
        _ => false,
    }
}

struct Lines {
    width: usize,
    style: Style,
    text: String,
}

impl Lines {
    fn block(&mut self, document: &Document, before: Option<&Block>, block: &Block) {
        match block {
            Block::Heading { text, .. } => self.paragraph(0, Some(Weight::Strong), text),
            Block::Text { text, tone } => {
                let weight = match tone {
                    Tone::Plain => None,
                    Tone::Lead => Some(Weight::Strong),
                    Tone::Note => Some(Weight::Faint),
                    Tone::Caution => Some(Weight::Caution),
                };
                self.paragraph(0, weight, text);
            }
            Block::List { items, ordered } => {
                for (i, item) in items.iter().enumerate() {
                    let sign = if *ordered { format!("{}. ", i + 1) } else { "- ".to_owned() };
                    self.beside(0, &sign, sign.chars().count(), item);
                }
            }
            Block::Pairs(pairs) => self.pairs(pairs, 0),
            Block::Table(table) => {
                // A caption that only repeats its heading is not said again.
                if !matches!(before, Some(Block::Heading { text, .. }) if *text == table.caption) {
                    self.paragraph(0, Some(Weight::Faint), &table.caption);
                }
                self.table(table);
            }
            Block::Figure(figure) => {
                let words = format!("Figure. {}: {}", figure.title(), figure.description());
                self.paragraph(0, Some(Weight::Faint), &words);
            }
            Block::See(places) => {
                let named = |anchor: &str| document.number_of(anchor).unwrap_or(0);
                let places: Vec<String> = places
                    .iter()
                    .map(|(words, anchor)| format!("{words}, section {}", named(anchor)))
                    .collect();
                if !places.is_empty() {
                    let more = format!("More: {}.", places.join("; "));
                    self.paragraph(0, Some(Weight::Faint), &more);
                }
            }
            Block::Signatures { tool, examiner } => {
                self.pairs(tool, 0);
                self.paragraph(0, Some(Weight::Strong), "Conclusion of the examiner");
                for (heading, _) in examiner {
                    self.paragraph(GAP, None, &format!("{heading}: ……………………"));
                }
            }
        }
    }

    fn line(&mut self, indent: usize, weight: Option<Weight>, line: &str) {
        let line = line.trim_end();
        self.text.push_str(&" ".repeat(indent));
        match weight {
            Some(weight) => self.text.push_str(&self.style.dress(weight, line)),
            None => self.text.push_str(line),
        }
        self.text.push('\n');
    }

    fn paragraph(&mut self, indent: usize, weight: Option<Weight>, text: &str) {
        if !text.trim().is_empty() {
            for line in wrap(&visible(text), self.width - indent) {
                self.line(indent, weight, &line);
            }
        }
    }

    /// A sign or label with text beside it, broken at `room` characters from the indent.
    fn beside(&mut self, indent: usize, label: &str, room: usize, text: &str) {
        for (i, line) in wrap(&visible(text), self.width - indent - room).iter().enumerate() {
            let label = if i == 0 { label } else { "" };
            self.line(indent, None, &format!("{label:<room$}{line}"));
        }
    }

    /// Labels with texts in a column beside them; a label too long for it stands above.
    fn pairs(&mut self, pairs: &[(String, String)], indent: usize) {
        let longest = pairs.iter().map(|(label, _)| label.chars().count()).max().unwrap_or(0);
        let room = longest.min(MOST_LABEL) + GAP;
        for (label, text) in pairs {
            let label = visible(label);
            if label.chars().count() + GAP > room {
                self.paragraph(indent, None, &label);
                self.beside(indent, "", room, text);
            } else {
                self.beside(indent, &label, room, text);
            }
        }
    }

    fn table(&mut self, table: &Table) {
        let kinds: Vec<Kind> = table.columns.iter().map(|column| column.kind).collect();
        let titles: Vec<String> = table.columns.iter().map(|c| visible(&c.title)).collect();
        let cells = |row: &Vec<Cell>| row.iter().map(|cell| visible(&cell.text)).collect();
        let rows: Vec<Vec<String>> = table.rows.iter().map(cells).collect();
        let weight =
            |row: &Vec<Cell>| row.iter().any(|cell| cell.caution).then_some(Weight::Caution);
        let weights: Vec<Option<Weight>> = table.rows.iter().map(weight).collect();
        match self.in_columns(&kinds, &titles, &rows, &weights) {
            Some(lines) => lines.iter().for_each(|(weight, line)| self.line(0, *weight, line)),
            None => rows.iter().zip(weights).for_each(|(row, weight)| {
                self.cell_under_cell(&kinds, &titles, row, weight.unwrap_or(Weight::Strong));
            }),
        }
    }

    /// The lines of a table in columns, head first; `None` where they do not fit or rows get too tall.
    fn in_columns(
        &self,
        kinds: &[Kind],
        titles: &[String],
        rows: &[Vec<String>],
        weights: &[Option<Weight>],
    ) -> Option<Vec<(Option<Weight>, String)>> {
        let whole_units = |title: &String| title.replace(" / ", &format!(" /{UNBROKEN}"));
        let titles: &[String] = &titles.iter().map(whole_units).collect::<Vec<_>>();
        let widths = widths(self.width, titles, rows)?;
        let mut lines = Vec::new();
        let rows = rows.iter().map(Vec::as_slice).zip(weights.iter().copied());
        let head = std::iter::once((titles, Some(Weight::Strong)));
        let count = rows.len();
        for (row, weight) in head.chain(rows) {
            let cells: Vec<Vec<String>> =
                row.iter().zip(&widths).map(|(cell, width)| wrap(cell, *width)).collect();
            let tall = cells.iter().map(Vec::len).max().unwrap_or(0);
            for n in 0..tall {
                let cells: Vec<String> = cells
                    .iter()
                    .zip(&widths)
                    .zip(kinds)
                    .map(|((cell, &width), kind)| {
                        let words = cell.get(n).map_or("", String::as_str);
                        match kind {
                            Kind::Number => format!("{words:>width$}"),
                            Kind::Words | Kind::Code => format!("{words:<width$}"),
                        }
                    })
                    .collect();
                lines.push((weight, cells.join("  ").replace(UNBROKEN, " ")));
            }
        }
        (lines.len() <= MOST_LINES * (count + 1)).then_some(lines)
    }

    /// A row as its first cell with the others under it, each behind its title; a number says what it is of.
    fn cell_under_cell(
        &mut self,
        kinds: &[Kind],
        titles: &[String],
        row: &[String],
        weight: Weight,
    ) {
        let first = row.first().map_or("", String::as_str);
        let first = match (kinds.first(), titles.first()) {
            (Some(Kind::Number), Some(title)) => format!("{title} {first}"),
            _ => first.to_owned(),
        };
        self.paragraph(0, Some(weight), &first);
        let others: Vec<(String, String)> = titles
            .iter()
            .zip(row)
            .skip(1)
            .filter(|(_, cell)| !cell.is_empty())
            .map(|(title, cell)| (title.clone(), cell.clone()))
            .collect();
        self.pairs(&others, GAP);
    }
}

/// The widths of columns: as wide as their cells. Titles wider than their cells give way first, then the widest; none
/// gets narrower than its longest word.
fn widths(width: usize, titles: &[String], rows: &[Vec<String>]) -> Option<Vec<usize>> {
    let room = width.checked_sub(GAP * titles.len().saturating_sub(1))?;
    let cells = |i: usize| rows.iter().filter_map(move |row| row.get(i));
    let length = |text: &str| text.chars().count();
    let filled: Vec<usize> =
        (0..titles.len()).map(|i| cells(i).map(|cell| length(cell)).max().unwrap_or(0)).collect();
    let (mut widths, least): (Vec<usize>, Vec<usize>) = (0..titles.len())
        .map(|i| {
            cells(i).chain([&titles[i]]).fold((0, 0), |(wide, least): (usize, usize), cell| {
                let longest = cell.split_whitespace().map(length).max().unwrap_or(0);
                (wide.max(length(cell)), least.max(longest))
            })
        })
        .unzip();
    while widths.iter().sum::<usize>() > room {
        let widest = (0..widths.len())
            .filter(|&i| widths[i] > least[i])
            .max_by_key(|&i| (widths[i] > filled[i], widths[i]));
        widths[widest?] -= 1;
    }
    Some(widths)
}

#[cfg(test)]
mod tests {
    use super::*;
    fn page(long: &str) -> Document {
        let mut page = Document::default();
        page.heading(2, "Parts", "parts");
        let columns =
            [("Part", Kind::Words, 20), ("cm⁻¹", Kind::Number, 10), ("Why", Kind::Words, 9)];
        let mut table = Table::new("Parts", &columns);
        table.rows.push(["V1 (vane)", "613", long].map(Cell::from).to_vec());
        page.table(table);
        page.list(vec!["done".to_owned()], false);
        page.pairs([("k", "1.0"), ("Offset", "0")]);
        page
    }

    #[test]
    fn a_number_that_heads_a_row_keeps_its_unit() {
        let columns = [("Wavenumber / cm⁻¹", Kind::Number, 10), ("Why", Kind::Words, 9)];
        let mut table = Table::new("Depths", &columns);
        let long = "shown by many a band ".repeat(20);
        table.rows.push(["613", &long].map(Cell::from).to_vec());
        let mut page = Document::default();
        page.table(table);
        let text = text(&page, 60, Style::Plain);
        assert!(text.contains("\nWavenumber / cm⁻¹ 613\n  Why  shown by"), "{text}");
    }

    #[test]
    fn a_table_stands_in_columns_where_they_fit() {
        let wanted = "Parts\nPart       cm⁻¹  Why\nV1 (vane)   613  shown by bands\n\n- Done.\n\n\
                      k       1.0\nOffset  0\n";
        assert_eq!(text(&page("shown by bands"), 80, Style::Plain), wanted);
    }

    #[test]
    fn a_long_title_gives_way_before_words_do() {
        let columns = [("Wavenumber / cm⁻¹", Kind::Number, 10), ("Why", Kind::Words, 9)];
        let mut table = Table::new("", &columns);
        let long = "twelve words of one reason that stand in the room of titles";
        table.rows.push(["613", long].map(Cell::from).to_vec());
        let mut page = Document::default();
        page.table(table);
        let wanted = "Wavenumber  Why\n    / cm⁻¹\n       613  twelve words of one reason that stand in the\n            \
                      room of titles\n";
        assert_eq!(text(&page, 60, Style::Plain), wanted);
        // However narrow its column, a unit is not parted from its stroke.
        let columns = [("Band / cm⁻¹", Kind::Number, 10), ("Why", Kind::Words, 9)];
        let mut table = Table::new("", &columns);
        table.rows.push(["6", &long.replace(' ', "-")].map(Cell::from).to_vec());
        let mut page = Document::default();
        page.table(table);
        assert!(text(&page, 67, Style::Plain).starts_with("  Band  Why\n/ cm⁻¹\n"));
    }

    #[test]
    fn a_table_with_much_to_say_stands_cell_under_cell_and_every_line_fits() {
        let long = "a reason of many words ".repeat(20);
        let said = text(&page(&long), 48, Style::Plain);
        assert!(said.starts_with("Parts\nV1 (vane)\n  cm⁻¹  613\n  Why   a reason of"), "{said}");
        assert!(said.lines().all(|line| line.chars().count() <= 48), "{said}");
        assert_eq!(said.matches("reason").count(), 20);
    }

    #[test]
    fn what_comes_from_outside_steers_no_terminal_and_colour_only_repeats() {
        let mut page = Document { title: "a\u{1b}[2Jb".to_owned(), ..Document::default() };
        page.text("Look at the surface", Tone::Caution);
        assert!(!text(&page, 80, Style::Plain).contains('\u{1b}'));
        let coloured = text(&page, 80, Style::Ansi);
        assert_eq!(
            coloured,
            "\u{1b}[1ma\\u{1b}[2Jb\u{1b}[0m\n\u{1b}[33mLook at the surface.\u{1b}[0m\n"
        );
    }
}
