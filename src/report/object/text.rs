//! The first page for a terminal: the same lines as in the report.

use super::compose::{first, material_in_short};
use crate::object::{ObjectFindings, Topic, recorded};
use crate::report::text_tools::{visible, wrap};

/// Below this width the columns no longer fit.
const LEAST_WIDTH: usize = 60;

/// Characters of a material before it runs on to the next line.
const MOST_MATERIAL: usize = 22;

/// Characters that a name has at least.
const LEAST_NAME: usize = 12;

/// Returns the first page of a condition report as plain text: object, parts, what to do first, what
/// stays open, limits.
#[must_use]
pub fn object_text(findings: &ObjectFindings, width: usize) -> String {
    let width = width.max(LEAST_WIDTH);
    let object = &findings.manifest.object;
    let mut text = String::new();
    let mut line = |words: &str| {
        text.push_str(words.trim_end());
        text.push('\n');
    };
    line(&visible(recorded(&object.title)));
    for words in wrap(
        &visible(&format!(
            "{}; examined {} by {}",
            recorded(&object.id),
            recorded(&object.examined),
            recorded(&object.examiner)
        )),
        width,
    ) {
        line(&words);
    }
    if !object.note.is_empty() {
        wrap(&visible(&object.note), width).iter().for_each(|words| line(words));
    }
    line("");
    parts(findings, width).iter().for_each(|row| line(row));
    for (heading, lines) in [
        (Topic::Records.heading(), first::of_topic(findings, Topic::Records)),
        (Topic::Action.heading(), first::of_topic(findings, Topic::Action)),
        ("What stays open, and what would settle it", first::open(findings)),
        (Topic::Limits.heading(), first::limits(findings)),
        ("Doubts met on the way", findings.warnings.iter().map(|w| w.text.clone()).collect()),
    ] {
        if lines.is_empty() {
            continue;
        }
        line("");
        line(heading);
        for said in lines {
            for (i, words) in wrap(&visible(&said), width - 2).iter().enumerate() {
                line(&format!("{}{words}", if i == 0 { "- " } else { "  " }));
            }
        }
    }
    line("");
    let more = "Chlorine beside its neighbours, changes with their figures, sheets and care stand in the report: \
                --report FILE, --length full for all of it.";
    wrap(more, width).iter().for_each(|words| line(words));
    text
}

/// Aligned lines a part: id and name, material, chlorine, change, spots; a long name or material runs on.
fn parts(findings: &ObjectFindings, width: usize) -> Vec<String> {
    let mut rows: Vec<[String; 5]> =
        vec![["Part", "Made of", "Chlorine", "Change", "Spots"].map(str::to_owned)];
    for part in findings.parts.iter().filter(|part| part.claim.is_none()) {
        rows.push([
            visible(&part.title()),
            visible(&material_in_short(part)),
            super::compose::chlorine_in_short(part).to_owned(),
            super::compose::change_in_short(part.ageing.state).to_owned(),
            format!("{} of {}", part.agreement.agreeing, part.agreement.measured),
        ]);
    }
    let mut widths: Vec<usize> = (0..5)
        .map(|column| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0))
        .collect();
    widths[1] = widths[1].min(MOST_MATERIAL);
    let others: usize = widths[1..].iter().sum::<usize>() + 2 * (widths.len() - 1);
    widths[0] = widths[0].min(width.saturating_sub(others).max(LEAST_NAME));
    let mut lines = Vec::new();
    for row in &rows {
        let cells: Vec<Vec<String>> =
            row.iter().zip(&widths).map(|(cell, width)| wrap(cell, *width)).collect();
        let tall = cells.iter().map(Vec::len).max().unwrap_or(0);
        for i in 0..tall {
            let line: Vec<String> = cells
                .iter()
                .zip(&widths)
                .map(|(cell, &width)| format!("{:<width$}", cell.get(i).map_or("", String::as_str)))
                .collect();
            lines.push(line.join("  "));
        }
    }
    lines
}
