//! Markers and changes as rows for a spreadsheet.

use super::AgeingEntry;
use super::schema_v1::same_words;
use crate::ageing::Comparison;
use crate::report::codes;
use crate::report::text_tools::inert_cell;

fn cell(value: Option<f64>) -> String {
    value.map(|v| v.to_string()).unwrap_or_default()
}

/// Keeps text inert, and numbers numbers: a minus sign before digits is no formula.
fn written(cell: &str) -> String {
    if cell.parse::<f64>().is_ok_and(f64::is_finite) { cell.to_owned() } else { inert_cell(cell) }
}

fn rows(heading: &[&str], body: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing into memory cannot fail but for rows of different length, which these are not.
    let _ = writer.write_record(heading);
    for row in body {
        let _ = writer.write_record(row.iter().map(|c| written(c)));
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// Writes one row a marker and spectrum.
#[must_use]
pub fn ageing_csv(entries: &[AgeingEntry]) -> String {
    let heading = [
        "file",
        "block",
        "material",
        "marker",
        "state",
        "value",
        "low",
        "high",
        "detection_limit",
        "quantification_limit",
        "confounders",
        "refusal",
        "content",
        "content_low",
        "content_high",
        "definition",
        "source",
        "status",
        "error",
    ];
    let body = entries.iter().flat_map(|entry| {
        let start = [entry.file.clone(), entry.block.to_string()];
        let Some(result) = &entry.result else {
            let mut row = start.to_vec();
            row.resize(heading.len() - 1, String::new());
            row.push(entry.error.clone().unwrap_or_default());
            return vec![row];
        };
        let material = result.material.clone().unwrap_or_default();
        result
            .markers
            .iter()
            .map(|m| {
                let ids: Vec<&str> = m.confounders.iter().map(|c| c.id.as_str()).collect();
                let content = m.content.as_ref();
                let mut row = start.to_vec();
                row.extend([
                    material.clone(),
                    m.id.clone(),
                    codes::marker_state(m.state).to_owned(),
                    cell(m.value),
                    cell(m.low),
                    cell(m.high),
                    cell(m.detection_limit),
                    cell(m.quantification_limit),
                    ids.join(" "),
                    m.refusal.clone().unwrap_or_default(),
                    cell(content.map(|c| c.value)),
                    cell(content.map(|c| c.low)),
                    cell(content.map(|c| c.high)),
                    m.definition.clone(),
                    m.source.clone(),
                    m.status.clone(),
                    String::new(),
                ]);
                row
            })
            .collect()
    });
    rows(&heading, body)
}

/// Writes one row a marker and pair of faces.
#[must_use]
pub fn comparison_csv(comparison: &Comparison) -> String {
    let heading = [
        "material",
        "same_material",
        "marker",
        "face",
        "against",
        "role",
        "call",
        "scale",
        "change",
        "low",
        "high",
        "p",
        "p_corrected",
        "smallest_detectable",
        "contact_change",
        "depth_ratio",
        "confounders",
        "why",
        "definition",
        "source",
        "status",
    ];
    let (verdict, why) = same_words(&comparison.same_material);
    let verdict = verdict.to_owned();
    if comparison.markers.is_empty() {
        // Nothing was compared: the reason is the answer.
        let mut row = vec![String::new(); heading.len()];
        row[0] = comparison.material.clone().unwrap_or_default();
        row[1] = verdict;
        row[17] = why.unwrap_or(&comparison.sentence).to_owned();
        return rows(&heading, std::iter::once(row));
    }
    let body = comparison.markers.iter().map(|m| {
        let ids: Vec<&str> = m.confounders.iter().map(|c| c.id.as_str()).collect();
        vec![
            comparison.material.clone().unwrap_or_default(),
            verdict.clone(),
            m.id.clone(),
            m.face.word().to_owned(),
            m.against.word().to_owned(),
            if m.primary { "primary" } else { "exploratory" }.to_owned(),
            codes::change_call(m.call).to_owned(),
            codes::change_scale(m.scale).to_owned(),
            cell(m.change),
            cell(m.low),
            cell(m.high),
            cell(m.p),
            cell(m.p_corrected),
            cell(m.smallest_detectable),
            cell(m.contact_change),
            cell(m.depth_ratio),
            ids.join(" "),
            m.why.clone().unwrap_or_default(),
            m.definition.clone(),
            m.source.clone(),
            m.status.clone(),
        ]
    });
    rows(&heading, body)
}
