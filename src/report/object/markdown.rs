//! Markdown: the same report for a note, a repository or a mail.

use std::fmt::Write as _;
use std::io::{self, Write};

use super::compose::compose;
use super::document::{Block, Document, Kind, Table, Tone};
use super::{ObjectReport, ObjectWriter, PlacedFigure};
use crate::report::text_tools::markdown as escape;

/// Writes the report as Markdown; figures are described in words.
#[derive(Clone, Copy, Debug, Default)]
pub struct ObjectMarkdownWriter;

impl ObjectWriter for ObjectMarkdownWriter {
    fn write(&self, report: &ObjectReport<'_>, out: &mut dyn Write) -> io::Result<()> {
        let mut text = String::new();
        page(&compose(report), report.figures, &mut text).map_err(io::Error::other)?;
        out.write_all(text.as_bytes())
    }
}

fn page(document: &Document, figures: &[PlacedFigure], out: &mut String) -> std::fmt::Result {
    writeln!(out, "# {}\n\n{}", escape(&document.title), document.kind)?;
    if !document.notice.trim().is_empty() {
        writeln!(out, "\n**{}**", escape(&document.notice))?;
    }
    pairs(&document.about, out)?;
    let (mut section, mut tables, mut shown) = (0, 0, 0);
    for block in &document.blocks {
        match block {
            Block::Heading { level, text, .. } => {
                let number = if *level == 2 {
                    section += 1;
                    format!("{section}. ")
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
                tables += 1;
                table(found, tables, out)?;
            }
            Block::Figure(index) => {
                if let Some(placed) = figures.get(*index) {
                    shown += 1;
                    let (title, words) = (placed.figure.title(), placed.figure.description());
                    writeln!(out, "\n**Figure {shown}.** {}: {}", escape(title), escape(words))?;
                }
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
    writeln!(out, "\n---\n\n{}", escape(&document.foot))
}

fn pairs(list: &[(String, String)], out: &mut String) -> std::fmt::Result {
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
