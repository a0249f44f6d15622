//! Markdown: the same report for a note, a repository or a mail.

use std::fmt::Write as _;

use super::{Block, Document, Kind, Table, Tone};
use crate::report::text_tools::markdown as escape;

/// Writes documents as Markdown, whole or block by block; it keeps the running numbers.
#[derive(Clone, Debug, Default)]
pub(crate) struct Markdown {
    section: usize,
    tables: usize,
    figures: usize,
}

impl Markdown {
    /// Writes title, kind, notice and what is known beforehand.
    pub(crate) fn head(&self, document: &Document) -> String {
        let mut out = String::new();
        let _ = head(document, &mut out);
        out
    }

    /// Writes the blocks, numbered on from those before.
    pub(crate) fn blocks(&mut self, document: &Document) -> String {
        let mut out = String::new();
        let _ = blocks(self, document, &mut out);
        out
    }

    /// Writes the foot.
    pub(crate) fn foot(&self, document: &Document) -> String {
        format!("\n---\n\n{}\n", escape(&document.foot))
    }
}

// Writing into a string cannot fail.

fn head(document: &Document, out: &mut String) -> std::fmt::Result {
    writeln!(out, "# {}\n\n{}", escape(&document.title), document.kind)?;
    if !document.notice.trim().is_empty() {
        writeln!(out, "\n**{}**", escape(&document.notice))?;
    }
    pairs(&document.about, out)
}

fn blocks(numbers: &mut Markdown, document: &Document, out: &mut String) -> std::fmt::Result {
    for block in &document.blocks {
        match block {
            Block::Heading { level, text, .. } => {
                let number = if *level == 2 {
                    numbers.section += 1;
                    format!("{}. ", numbers.section)
                } else {
                    String::new()
                };
                let hashes = "#".repeat(usize::from(*level));
                writeln!(out, "\n{hashes} {number}{}", escape(text))?;
            }
            Block::Text { text, tone } => match tone {
                Tone::Note => writeln!(out, "\n*{}*", escape(text))?,
                Tone::Lead | Tone::Caution => writeln!(out, "\n**{}**", escape(text))?,
                Tone::Plain => writeln!(out, "\n{}", escape(text))?,
            },
            Block::List { items, ordered } => {
                writeln!(out)?;
                for (i, item) in items.iter().enumerate() {
                    let sign = if *ordered { format!("{}.", i + 1) } else { "-".to_owned() };
                    writeln!(out, "{sign} {}", escape(item))?;
                }
            }
            Block::Pairs(list) => pairs(list, out)?,
            Block::Table(found) => {
                numbers.tables += 1;
                table(found, numbers.tables, out)?;
            }
            Block::Figure(figure) => {
                numbers.figures += 1;
                let (title, words) = (escape(figure.title()), escape(figure.description()));
                writeln!(out, "\n**Figure {}.** {title}: {words}", numbers.figures)?;
            }
            Block::See(places) => {
                let places: Vec<String> = places
                    .iter()
                    .map(|(words, anchor)| {
                        let number = document.number_of(anchor).unwrap_or(0);
                        format!("{}, section {number}", escape(words))
                    })
                    .collect();
                if !places.is_empty() {
                    writeln!(out, "\n*More: {}.*", places.join("; "))?;
                }
            }
            Block::Signatures { tool, examiner } => {
                if !tool.is_empty() {
                    writeln!(out, "\n### Output of the program")?;
                    pairs(tool, out)?;
                }
                writeln!(out, "\n### Conclusion of the examiner\n")?;
                for (heading, _) in examiner {
                    writeln!(out, "- {heading}: ………………………………………………")?;
                }
            }
        }
    }
    Ok(())
}

fn pairs(list: &[(String, String)], out: &mut String) -> std::fmt::Result {
    if list.is_empty() {
        return Ok(());
    }
    writeln!(out)?;
    for (heading, text) in list {
        writeln!(out, "- {}: {}", escape(heading), escape(text))?;
    }
    Ok(())
}

fn table(table: &Table, number: usize, out: &mut String) -> std::fmt::Result {
    writeln!(out, "\nTable {number}. {}\n", escape(&table.caption))?;
    let titles: Vec<String> = table.columns.iter().map(|c| escape(&c.title)).collect();
    let rules: Vec<&str> =
        table.columns.iter().map(|c| if c.kind == Kind::Number { "--:" } else { "---" }).collect();
    writeln!(out, "| {} |\n|{}|", titles.join(" | "), rules.join("|"))?;
    for row in &table.rows {
        let cells: Vec<String> = row.iter().map(|cell| escape(&cell.text)).collect();
        writeln!(out, "| {} |", cells.join(" | "))?;
    }
    Ok(())
}
