//! Text for a terminal: the sentence first, then chlorine, then the evidence.

use std::io::{self, Write};

use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions};
use crate::fitness::Finding;
use crate::judge::{BandEvidence, BandState, Identification};
use crate::matching::ReferenceOpinion;
use crate::report::style::Weight;
use crate::report::text_tools::{visible, wrap};
use crate::report::words;

/// Below this width the columns of the evidence no longer fit.
const LEAST_WIDTH: usize = 48;

/// Where the text beside a label starts.
const LABEL: usize = 14;

/// Where a band's assignment starts: state, expected, found, share and depth stand before it.
const ASSIGNMENT: usize = 44;

/// Marks a band whose position is recalled and was not read in a published text.
const MEMORY: &str = "†";

/// Writes text that fits the width.
#[derive(Clone, Debug)]
pub struct TextWriter {
    options: WriteOptions,
    count: usize,
    memory: bool,
}

impl TextWriter {
    /// Creates the writer.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        let options = WriteOptions { width: options.width.max(LEAST_WIDTH), ..options.clone() };
        Self { options, count: 0, memory: false }
    }
}

impl IdentificationWriter for TextWriter {
    fn begin(&mut self, _stamp: &Stamp, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        let mut page = Page { options: &self.options, text: String::new(), memory: false };
        if self.options.quiet {
            page.line(entry);
        } else {
            if self.count > 0 {
                page.text.push('\n');
            }
            page.whole(stamp, entry);
        }
        self.memory |= page.memory;
        self.count += 1;
        out.write_all(page.text.as_bytes())
    }

    fn end(&mut self, stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        if self.options.quiet || self.count == 0 {
            return Ok(());
        }
        let mut page = Page { options: &self.options, text: String::from("\n"), memory: false };
        if self.memory {
            page.foot(&format!(
                "{MEMORY} The table holds this position from memory; it was not read in a \
                 published text."
            ));
        }
        page.foot(&format!(
            "Each answer speaks of the surface at the measured spot, not of the whole part. {}, \
             table {} ({}).",
            stamp.tool,
            stamp.table_version,
            stamp.table_sha256.get(..12).unwrap_or(&stamp.table_sha256),
        ));
        out.write_all(page.text.as_bytes())
    }
}

/// The text of one entry as it grows.
struct Page<'a> {
    options: &'a WriteOptions,
    text: String,
    memory: bool,
}

impl Page<'_> {
    /// One line for `--quiet`.
    fn line(&mut self, entry: &IdentificationEntry) {
        let answer = match (&entry.identification, &entry.error) {
            (Some(found), _) => found.sentence.as_str(),
            (None, Some(error)) => error.as_str(),
            (None, None) => "not judged",
        };
        let answer = answer.strip_prefix(&format!("{}: ", entry.file)).unwrap_or(answer);
        self.text.push_str(&format!("{}: {}\n", heading(entry), visible(answer)));
    }

    fn whole(&mut self, stamp: &Stamp, entry: &IdentificationEntry) {
        self.push(0, 0, Weight::Faint, &heading(entry));
        if let Some(found) = &entry.identification {
            self.push(2, 2, Weight::Strong, &visible(&found.sentence));
            self.text.push('\n');
            self.answer(stamp, found);
        }
        if let Some(error) = &entry.error {
            self.push(
                2,
                2,
                Weight::Caution,
                &format!(
                    "Could not be judged: {}",
                    visible(error.strip_prefix(&format!("{}: ", entry.file)).unwrap_or(error))
                ),
            );
        }
        if let Some(opinion) = &entry.second_opinion {
            self.second_opinion(opinion);
        }
        self.measured(entry);
        let others = if self.options.explain { self.options.top } else { 0 };
        for (id, bands) in entry.evidence(others) {
            self.evidence(stamp, id, bands);
        }
        if let Some(found) = &entry.identification {
            self.rest(found);
            if self.options.explain {
                self.rules(found);
            }
        }
        self.findings(entry);
        self.listed("Warnings", entry.warnings.iter().map(|w| visible(&w.text)));
        if self.options.verbose {
            self.listed("Steps", entry.steps.iter().map(|step| visible(&step.to_string())));
        }
    }

    fn answer(&mut self, stamp: &Stamp, found: &Identification) {
        let chlorine = format!("{}. {}", words::chlorine(&found.chlorine), found.chlorine.why);
        self.labelled("Chlorine", &visible(&chlorine));
        if let Some(plasticiser) = &found.plasticiser {
            let words = words::plasticiser(plasticiser, |id| stamp.name(id).to_owned());
            self.labelled("Plasticiser", &visible(&words));
        }
        if found.components.len() > 1 {
            let list: Vec<String> = found
                .components
                .iter()
                .map(|c| format!("{} ({})", stamp.name(&c.id), words::relation(c.relation)))
                .collect();
            self.labelled("Components", &visible(&list.join("; ")));
        }
        if let Some(unsettled) = &found.unsettled {
            self.labelled("Unsettled", &visible(&unsettled.feature));
            self.labelled("Settled by", &visible(&unsettled.settled_by));
        }
    }

    /// The references' own opinion, beside the answer.
    fn second_opinion(&mut self, opinion: &ReferenceOpinion) {
        self.labelled("References", &visible(&opinion.words));
        if self.options.explain || self.options.verbose {
            for near in &opinion.resembling {
                self.labelled("", &visible(&words::resemblance(near)));
            }
        } else if let Some(best) =
            opinion.resembling.first().filter(|_| !opinion.materials.is_empty())
        {
            self.labelled("", &visible(&words::resemblance(best)));
        }
        if let Some(ppm) = opinion.scale_ppm {
            self.labelled("", &words::scale_difference(ppm));
        }
    }

    fn measured(&mut self, entry: &IdentificationEntry) {
        let mut parts = Vec::new();
        if let Some((mode, origin)) = entry.mode {
            parts.push(format!("{} ({})", words::mode(mode), words::origin(origin)));
        }
        if let Some((ordinate, origin)) = entry.ordinate {
            parts.push(format!("{} ({})", words::ordinate(ordinate), words::origin(origin)));
        }
        if let Some((low, high)) = entry.range_cm1 {
            parts.push(format!("{high:.0}–{low:.0} cm⁻¹"));
        }
        if !parts.is_empty() {
            self.labelled("Measured", &parts.join(", "));
        }
    }

    fn evidence(&mut self, stamp: &Stamp, id: &str, bands: &[BandEvidence]) {
        let count = |state| bands.iter().filter(|band| band.state == state).count();
        let name = stamp.name(id);
        let title = if name == id { id.to_owned() } else { format!("{id}, {name}") };
        let counts = format!(
            "{} met, {} missing, {} untestable",
            count(BandState::Met),
            count(BandState::Missing),
            count(BandState::Untestable)
        );
        self.text.push('\n');
        self.push(2, 4, Weight::Strong, &format!("Evidence for {}: {counts}", visible(&title)));
        self.push(4, 4, Weight::Faint, "state      band  found   share  depth   assignment");
        for band in bands {
            self.band(band);
        }
    }

    fn band(&mut self, band: &BandEvidence) {
        let cell = |value: Option<f64>, decimals: usize, unit: &str| {
            value.map_or_else(|| "–".to_owned(), |v| format!("{v:.decimals$}{unit}"))
        };
        let row = format!(
            "    {:<10} {:>4.0}  {:>6}  {:>5}  {:>6}  ",
            words::band_state(band.state),
            band.expected_cm1,
            cell(band.found_cm1, 1, ""),
            cell(band.share, 2, ""),
            cell(band.depth_um, 1, " µm"),
        );
        let mut assignment = visible(&band.assignment);
        if band.status == "memory" {
            assignment.push_str(MEMORY);
            self.memory = true;
        }
        if !band.note.is_empty() && (band.state != BandState::Met || self.options.explain) {
            assignment.push_str(": ");
            assignment.push_str(&visible(&band.note));
        }
        let weight = if band.state == BandState::Met { None } else { Some(Weight::Caution) };
        let narrow = self.options.width < ASSIGNMENT + 16;
        let (indent, first) = if narrow { (6, String::new()) } else { (ASSIGNMENT, row.clone()) };
        if narrow {
            self.dressed(weight, row.trim_end());
        }
        for (i, line) in wrap(&assignment, self.options.width - indent).iter().enumerate() {
            let full = if i == 0 && !narrow {
                format!("{first}{line}")
            } else {
                format!("{:indent$}{line}", "")
            };
            self.dressed(weight, &full);
        }
    }

    fn rest(&mut self, found: &Identification) {
        if !found.unexplained.is_empty() {
            self.text.push('\n');
            self.labelled("Unexplained", &words::unexplained(&found.unexplained));
        }
        let ranked: Vec<String> = found
            .ranking
            .iter()
            .take(self.options.top)
            .map(|r| format!("{} {:.2}", visible(&r.material), r.score))
            .collect();
        if !ranked.is_empty() {
            self.text.push('\n');
            let list = ranked.join(", ");
            self.labelled("Ranking", &format!("{list} (an order of fit, not a probability)"));
        }
    }

    fn rules(&mut self, found: &Identification) {
        self.listed(
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

    fn findings(&mut self, entry: &IdentificationEntry) {
        let all = self.options.verbose;
        let shown: Vec<&Finding> =
            if all { entry.findings.iter().collect() } else { entry.limits().collect() };
        self.listed("Checks", shown.into_iter().map(finding_words));
    }

    /// A heading with a list under it; nothing where the list is empty.
    fn listed(&mut self, title: &str, items: impl Iterator<Item = String>) {
        for (i, item) in items.enumerate() {
            if i == 0 {
                self.text.push('\n');
                self.push(2, 2, Weight::Strong, title);
            }
            for (n, line) in wrap(&item, self.options.width - 6).iter().enumerate() {
                self.text.push_str(if n == 0 { "    - " } else { "      " });
                self.text.push_str(line);
                self.text.push('\n');
            }
        }
    }

    /// A label with text beside it.
    fn labelled(&mut self, label: &str, text: &str) {
        let indent = LABEL + 2;
        for (i, line) in wrap(text, self.options.width - indent).iter().enumerate() {
            let shown = if i == 0 { label } else { "" };
            let dressed = self.options.style.dress(Weight::Strong, shown);
            let pad = " ".repeat(LABEL.saturating_sub(shown.chars().count()));
            self.text.push_str(&format!("  {dressed}{pad}{line}\n"));
        }
    }

    /// A paragraph with its first and its other lines indented.
    fn push(&mut self, first: usize, rest: usize, weight: Weight, text: &str) {
        let width = self.options.width.saturating_sub(first.max(rest));
        for (i, line) in wrap_kept(text, width).iter().enumerate() {
            let indent = if i == 0 { first } else { rest };
            self.text.push_str(&" ".repeat(indent));
            self.text.push_str(&self.options.style.dress(weight, line));
            self.text.push('\n');
        }
    }

    fn dressed(&mut self, weight: Option<Weight>, line: &str) {
        match weight {
            Some(weight) => self.text.push_str(&self.options.style.dress(weight, line)),
            None => self.text.push_str(line),
        }
        self.text.push('\n');
    }

    fn foot(&mut self, text: &str) {
        self.push(0, 0, Weight::Faint, text);
    }
}

/// As [`wrap`], but text that fits keeps its blanks.
fn wrap_kept(text: &str, width: usize) -> Vec<String> {
    if text.chars().count() <= width { vec![text.to_owned()] } else { wrap(text, width) }
}

/// The file, and its block and title where they tell more.
fn heading(entry: &IdentificationEntry) -> String {
    let mut text = visible(&entry.file);
    if entry.block > 1 {
        text.push_str(&format!(", spectrum {}", entry.block));
    }
    if let Some(title) = entry.title.as_deref().filter(|t| !t.trim().is_empty()) {
        text.push_str(&format!(" “{}”", visible(title.trim())));
    }
    text
}

/// A finding in words: figure, limit, consequence, remedy.
fn finding_words(finding: &Finding) -> String {
    let unit = if finding.unit.is_empty() { String::new() } else { format!(" {}", finding.unit) };
    let mut text = finding.id.replace('-', " ");
    if let Some(value) = finding.value {
        text.push_str(&format!(" {}{unit}", words::number(value)));
    }
    if let Some(limit) = finding.limit {
        text.push_str(&format!(" (limit {}{unit})", words::number(limit)));
    }
    text.push_str(&format!(", {}", words::severity(finding.severity)));
    for part in [&finding.consequence, &finding.remedy] {
        if !part.is_empty() {
            text.push_str(&format!("; {part}"));
        }
    }
    visible(&text)
}
