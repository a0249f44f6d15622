//! The whole evidence of one spectrum: every band, and where asked rules, steps and checks.

use super::page::{Page, heading};
use crate::fitness::Finding;
use crate::judge::{BandEvidence, BandState, Identification};
use crate::matching::ReferenceOpinion;
use crate::report::identification::{IdentificationEntry, Stamp, answer, shared};
use crate::report::style::Weight;
use crate::report::text_tools::{visible, wrap};
use crate::report::words;

/// Where a band's assignment starts: state, expected, found, share and depth stand before it.
const ASSIGNMENT: usize = 46;

/// Marks a band whose position is recalled and was not read in a published text.
const MEMORY: &str = "†";

/// Writes one entry in full; the caller leaves out what could not be judged.
pub(super) fn write(page: &mut Page<'_>, stamp: &Stamp, entry: &IdentificationEntry) {
    page.push(0, 0, Weight::Faint, &heading(entry));
    if let Some(found) = &entry.identification {
        page.push(2, 2, Weight::Strong, &visible(&found.sentence));
        page.blank();
        said(page, stamp, entry, found);
    }
    if let Some(opinion) = &entry.second_opinion {
        second_opinion(page, opinion);
    }
    let measured = answer::measured(entry);
    if !measured.is_empty() {
        page.labelled("Measured", &measured);
    }
    let others = if page.options.explain { page.options.top } else { 0 };
    let mut evidence = entry.evidence(others);
    let alike = entry.look_alikes(&evidence);
    if alike > 1 {
        look_alikes(page, &evidence[..alike]);
        evidence.drain(..alike);
    }
    for (id, bands) in evidence {
        of_one(page, stamp, id, bands);
    }
    if let Some(found) = &entry.identification {
        rest(page, found);
        if page.options.explain {
            rules(page, found);
        }
    }
    let all = page.options.verbose;
    let shown: Vec<&Finding> =
        if all { entry.findings.iter().collect() } else { entry.limits().collect() };
    page.listed("Checks", shown.into_iter().map(|finding| finding_words(finding, all)));
    page.listed("Warnings", entry.warnings.iter().map(|w| visible(&w.text)));
    if page.options.verbose {
        page.listed("Steps", entry.steps.iter().map(|step| visible(&step.to_string())));
    }
}

/// What holds for every entry: marks, tool and table.
pub(super) fn foot(page: &mut Page<'_>, stamp: &Stamp, memory: bool) {
    if memory {
        page.foot(&format!(
            "{MEMORY} The table holds this position from memory; it was not read in a published text."
        ));
    }
    page.foot(&format!(
        "Each answer speaks of the surface at the measured spot, not of the whole part. {}, table {} \
         ({}).",
        stamp.tool,
        stamp.table_version,
        stamp.table_sha256.get(..12).unwrap_or(&stamp.table_sha256),
    ));
}

fn said(page: &mut Page<'_>, stamp: &Stamp, entry: &IdentificationEntry, found: &Identification) {
    page.labelled("Chlorine", &visible(&answer::chlorine_line(entry, found)));
    if let Some(plasticiser) = &found.plasticiser {
        let words = words::plasticiser(plasticiser, |id| stamp.name(id).to_owned());
        page.labelled("Plasticiser", &visible(&words));
    }
    if found.components.len() > 1 {
        let list: Vec<String> = found
            .components
            .iter()
            .map(|c| format!("{} ({})", stamp.name(&c.id), words::relation(c.relation)))
            .collect();
        page.labelled("Components", &visible(&list.join("; ")));
    }
    if let Some(unsettled) = &found.unsettled {
        page.labelled("Unsettled", &visible(&unsettled.feature));
        page.labelled("Settled by", &visible(&unsettled.settled_by));
    }
}

/// The references' own opinion, beside the answer.
fn second_opinion(page: &mut Page<'_>, opinion: &ReferenceOpinion) {
    page.labelled("References", &visible(&opinion.words));
    if page.options.explain || page.options.verbose {
        for near in &opinion.resembling {
            page.labelled("", &visible(&words::resemblance(near)));
        }
    } else if let Some(best) = opinion.resembling.first().filter(|_| !opinion.materials.is_empty())
    {
        page.labelled("", &visible(&words::resemblance(best)));
    }
    if let Some(ppm) = opinion.scale_ppm {
        page.labelled("", &words::scale_difference(ppm));
    }
}

fn of_one(page: &mut Page<'_>, stamp: &Stamp, id: &str, bands: &[BandEvidence]) {
    let count = |state| answer::count(bands, state);
    let name = stamp.name(id);
    let title = if name == id { id.to_owned() } else { format!("{id}, {name}") };
    let counts = format!(
        "{} met, {} missing, {} not testable",
        count(BandState::Met),
        count(BandState::Missing),
        count(BandState::Untestable)
    );
    page.blank();
    page.push(2, 4, Weight::Strong, &format!("Evidence for {}: {counts}", visible(&title)));
    page.push(4, 4, Weight::Faint, "state        band  found   share  depth   assignment");
    for band in bands {
        row(page, band);
    }
}

/// Look-alikes share one table, a column each.
fn look_alikes(page: &mut Page<'_>, evidence: &[(&str, &[BandEvidence])]) {
    let width = evidence.iter().map(|(id, _)| id.chars().count()).max().unwrap_or(0).max(8);
    let line = |first: &str, share: &str, cells: &[&str], last: &str| {
        let mut text = format!("    {first:>6}  {share:>5}");
        for cell in cells {
            text.push_str(&format!("  {cell:<width$}"));
        }
        (text.chars().count() + 2, format!("{text}  {last}"))
    };
    page.blank();
    page.push(2, 4, Weight::Strong, "Evidence, the look-alikes side by side");
    let ids: Vec<&str> = evidence.iter().map(|(id, _)| *id).collect();
    page.line(Some(Weight::Faint), &visible(&line("cm⁻¹", "share", &ids, "assignment").1));
    for row in shared::shared(evidence) {
        let cells: Vec<&str> = row.states.iter().map(|state| shared::cell(*state)).collect();
        let share = row.share.map_or_else(|| "–".to_owned(), |share| format!("{share:.2}"));
        let place = format!("{:.1}", row.place_cm1);
        let (indent, _) = line(&place, &share, &cells, "");
        let assignment = visible(row.assignment);
        for (i, words) in
            wrap(&assignment, page.options.width.saturating_sub(indent).max(12)).iter().enumerate()
        {
            if i == 0 {
                page.line(None, &line(&place, &share, &cells, words).1);
            } else {
                page.line(None, &format!("{:indent$}{words}", ""));
            }
        }
    }
}

fn row(page: &mut Page<'_>, band: &BandEvidence) {
    let cell = |value: Option<f64>, decimals: usize, unit: &str| {
        value.map_or_else(|| "–".to_owned(), |v| format!("{v:.decimals$}{unit}"))
    };
    let row = format!(
        "    {:<12} {:>4.0}  {:>6}  {:>5}  {:>6}  ",
        words::band_state(band.state),
        band.expected_cm1,
        cell(band.found_cm1, 1, ""),
        cell(band.share, 2, ""),
        cell(band.depth_um, 1, " µm"),
    );
    let mut assignment = visible(&band.assignment);
    if band.status == "memory" {
        assignment.push_str(MEMORY);
        page.memory = true;
    }
    if !band.note.is_empty() && (band.state != BandState::Met || page.options.explain) {
        assignment.push_str(": ");
        assignment.push_str(&visible(&band.note));
    }
    let weight = if band.state == BandState::Met { None } else { Some(Weight::Caution) };
    let narrow = page.options.width < ASSIGNMENT + 16;
    let (indent, first) = if narrow { (6, String::new()) } else { (ASSIGNMENT, row.clone()) };
    if narrow {
        page.line(weight, &row);
    }
    for (i, line) in wrap(&assignment, page.options.width - indent).iter().enumerate() {
        let full = if i == 0 && !narrow {
            format!("{first}{line}")
        } else {
            format!("{:indent$}{line}", "")
        };
        page.line(weight, &full);
    }
}

fn rest(page: &mut Page<'_>, found: &Identification) {
    if let Some(curve) = answer::curve(found) {
        page.blank();
        page.labelled("Curve", &visible(&curve));
    }
    if !found.unexplained.is_empty() {
        page.blank();
        page.labelled("Unexplained", &words::unexplained(&found.unexplained));
    }
    let next: Vec<String> =
        answer::rivals(found, page.options.top).into_iter().map(answer::rival).collect();
    if !next.is_empty() {
        page.blank();
        page.labelled("Next best", &visible(&next.join("; ")));
    }
}

fn rules(page: &mut Page<'_>, found: &Identification) {
    page.listed(
        "Rules",
        found.rules.iter().map(|rule| {
            let values: Vec<String> = rule
                .values
                .iter()
                .map(|(name, value)| format!("{name} {}", words::number(*value)))
                .collect();
            let mut text =
                format!("{}: {} {}", rule.rule, rule.question, words::verdict(rule.verdict));
            if !values.is_empty() {
                text.push_str(&format!(" ({})", values.join(", ")));
            }
            if !rule.note.is_empty() {
                text.push_str(&format!("; {}", rule.note));
            }
            visible(&text)
        }),
    );
}

/// A finding in words: consequence and remedy, with figure and limit where everything is shown.
fn finding_words(finding: &Finding, figures: bool) -> String {
    let mut text = words::finding_words(finding);
    let unit = if finding.unit.is_empty() { String::new() } else { format!(" {}", finding.unit) };
    if let Some(value) = finding.value.filter(|_| figures) {
        text.push_str(&format!("; {}{unit}", words::number(value)));
        if let Some(limit) = finding.limit {
            text.push_str(&format!(" (limit {}{unit})", words::number(limit)));
        }
        text.push_str(&format!(", {}", words::severity(finding.severity)));
    }
    visible(&text)
}
