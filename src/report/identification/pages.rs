//! The answers as a document: a summary, then a section a spectrum. Markdown is written from the same
//! sections, one after another.

use std::io::{self, Write};

use super::shared::{self, SharedRow};
use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions, answer};
use crate::judge::{
    BandEvidence, BandState, ChlorineBands, ChlorineByIdentity, Component, Identification, Outcome,
};
use crate::report::Figure;
use crate::report::document::{
    Block, Cell, Document, Kind, Mark, Markdown, PageFrame, Table, Tone,
};
use crate::report::findings;
use crate::report::text_tools::file_name;
use crate::report::words;
use crate::tables::in_permission;

/// Said of every answer.
pub(super) const OF_THE_SURFACE: &str =
    "Each answer speaks of the surface at the measured spot, not of the whole part";

/// Composes the page of a list of spectra.
///
/// `figures` stand under the spectra in their order; leave out what was not drawn.
#[must_use]
pub fn identification_document(
    entries: &[IdentificationEntry],
    figures: &[Option<Figure>],
    options: &WriteOptions,
    frame: &PageFrame<'_>,
) -> Document {
    let mut page = begun(frame);
    page.ids = entries.iter().map(|entry| entry.file.clone()).collect();
    let met = entries
        .iter()
        .filter_map(|entry| entry.identification.as_ref()?.ranking.first())
        .flat_map(|ranked| &ranked.evidence)
        .filter(|band| band.state == BandState::Met);
    page.strip(met.filter_map(|band| band.found_cm1));
    summary(&mut page, entries);
    let found = entries.iter().filter_map(|entry| entry.identification.as_ref());
    page.cautions(frame, found.flat_map(possible));
    for (i, entry) in entries.iter().enumerate() {
        let figure = figures.get(i).and_then(Option::as_ref);
        section(&mut page, frame.stamp, entry, options, i + 1, figure);
    }
    page.how(frame);
    page
}

fn begun(frame: &PageFrame<'_>) -> Document {
    let title = "Identification of surfaces by infrared spectra";
    Document::of_run(title, OF_THE_SURFACE, "identification", frame)
}

/// Every material that a spectrum may show.
fn possible(found: &Identification) -> impl Iterator<Item = &str> {
    let components = found.components.iter().map(|c| &c.id);
    found.material.iter().chain(&found.candidates).chain(components).map(String::as_str)
}

fn summary(page: &mut Document, entries: &[IdentificationEntry]) {
    page.heading(2, "What was found", "found");
    let widths = [26, 20, 16, 14, 24];
    let columns: Vec<_> =
        answer::ROW.iter().zip(widths).map(|(title, width)| (*title, Kind::Words, width)).collect();
    let mut table = Table::new("All spectra at a glance", &columns);
    for (i, entry) in entries.iter().enumerate() {
        let mut row = answer::row(entry).map(Cell::from);
        row[0].link = Some(format!("spectrum-{}", i + 1));
        row[2].mark = entry.identification.as_ref().map(chlorine_mark);
        table.rows.push(row.to_vec());
    }
    page.table(table);
    page.text(
        "The sign before chlorine: full, shown by bands; half, implied by the material or not excluded; \
         empty, none found at this surface.",
        Tone::Note,
    );
}

fn chlorine_mark(found: &Identification) -> Mark {
    match (found.chlorine.bands, found.chlorine.by_identity) {
        (ChlorineBands::Present, _) => Mark::Full,
        (ChlorineBands::NotDetected, ChlorineByIdentity::No) => Mark::Empty,
        _ => Mark::Half,
    }
}

/// Composes the section of one spectrum alone.
pub(super) fn section_of(
    stamp: &Stamp,
    entry: &IdentificationEntry,
    options: &WriteOptions,
    number: usize,
) -> Document {
    let mut page = Document { ids: entry.ids(), ..Document::default() };
    section(&mut page, stamp, entry, options, number, None);
    page
}

/// One spectrum: answer, figure, evidence, rivals, checks.
fn section(
    page: &mut Document,
    stamp: &Stamp,
    entry: &IdentificationEntry,
    options: &WriteOptions,
    number: usize,
    figure: Option<&Figure>,
) {
    let anchor = |of: &str| format!("spectrum-{number}{of}");
    let name = file_name(&entry.file);
    page.heading(2, &title(entry, name), &anchor(""));
    if let Some(error) = &entry.error {
        page.text(format!("Could not be judged: {error}"), Tone::Caution);
    }
    let mut pairs = Vec::new();
    if let Some(found) = &entry.identification {
        page.text(found.sentence.clone(), Tone::Lead);
        pairs = facts(stamp, entry, found, usize::MAX);
    }
    if entry.file != name {
        pairs.push(("File", entry.file.clone()));
    }
    if !entry.sha256.is_empty() {
        pairs.push(("SHA-256", entry.sha256.clone()));
    }
    page.pairs(pairs);
    if let Some(opinion) = &entry.second_opinion {
        let near = opinion.resembling.iter().map(words::resemblance);
        page.list(near.chain(opinion.scale_ppm.map(words::scale_difference)).collect(), false);
    }
    page.blocks.extend(figure.cloned().map(Block::Figure));
    let mut shown = entry.evidence(if options.explain { options.top } else { 0 });
    let alike = entry.look_alikes(&shown);
    if alike > 1 {
        page.heading(3, "Evidence, the look-alikes side by side", &anchor("-look-alikes"));
        page.table(look_alikes(&shown[..alike], usize::MAX));
        shown.drain(..alike);
    }
    for (i, (id, bands)) in shown.into_iter().enumerate() {
        page.heading(
            3,
            &format!("Evidence for {}", stamp.full_name(id)),
            &anchor(&format!("-band-{i}")),
        );
        page.table(evidence(bands));
    }
    if let Some(found) = &entry.identification {
        page.pairs(comparisons(found, options.top, usize::MAX));
        if options.explain && !found.rules.is_empty() {
            page.heading(3, "Rules", &anchor("-rules"));
            page.table(rules(found));
        }
    }
    let checks = if options.verbose {
        findings::table("Every check", entry.findings.iter())
    } else {
        findings::table("Checks that limit what may be said", entry.limits())
    };
    if !checks.rows.is_empty() {
        page.heading(3, "Checks of the spectrum", &anchor("-checks"));
        page.table(checks);
    }
    let warnings: Vec<String> = entry.warnings_unsaid().map(|w| w.text.clone()).collect();
    if !warnings.is_empty() {
        page.heading(3, "Warnings", &anchor("-warnings"));
        page.list(warnings, false);
    }
    if options.verbose && !entry.steps.is_empty() {
        page.heading(3, "Steps", &anchor("-steps"));
        page.list(entry.steps.iter().map(ToString::to_string).collect(), true);
    }
}

/// A label with its text.
pub(super) type Pair = (&'static str, String);

/// The heading of a spectrum: its file, called so, and its title.
pub(super) fn title(entry: &IdentificationEntry, file: &str) -> String {
    let title = entry.title.as_deref().map(str::trim).filter(|title| !title.is_empty());
    let title = title.map(|title| format!(": {title}")).unwrap_or_default();
    format!("{}{title}", entry.place(file))
}

/// What is said of the material and how it was measured; of peaks that nothing accounts for at most so many.
pub(super) fn facts(
    stamp: &Stamp,
    entry: &IdentificationEntry,
    found: &Identification,
    most_peaks: usize,
) -> Vec<Pair> {
    let mut facts = vec![("Chlorine", answer::chlorine_line(entry, found))];
    if let Some(plasticiser) = &found.plasticiser {
        let words = words::plasticiser(plasticiser, |id| stamp.name(id).to_owned());
        facts.push(("Plasticiser", words));
    }
    let told = |c: &Component| {
        ("Component", format!("{} ({})", stamp.name(&c.id), words::relation(c.relation)))
    };
    match found.outcome {
        Outcome::Mixed => facts.extend(found.components.iter().map(told)),
        _ => facts.extend(answer::beside(found).map(told)),
    }
    if !found.unexplained.is_empty() {
        facts.push(("Unexplained", words::unexplained(&found.unexplained, most_peaks)));
    }
    if let Some(unsettled) = &found.unsettled {
        facts.push(("Unsettled", unsettled.feature.clone()));
        facts.push(("Settled by", in_permission(&unsettled.settled_by)));
    }
    if let Some(opinion) = &entry.second_opinion {
        facts.push(("Second opinion", opinion.words.clone()));
    }
    facts.extend(answer::measured(entry).map(|words| ("Measured", words)));
    facts
}

/// What the whole curve says, and the rivals among the first `top` of the ranking, at most so many.
pub(super) fn comparisons(found: &Identification, top: usize, most: usize) -> Vec<Pair> {
    let rivals = answer::rivals(found, top).into_iter().take(most);
    let rivals: Vec<String> = rivals.map(answer::rival).collect();
    let next = (!rivals.is_empty()).then(|| ("Next best", rivals.join("; ")));
    answer::curve(found).map(|curve| ("Whole curve", curve)).into_iter().chain(next).collect()
}

fn evidence(bands: &[BandEvidence]) -> Table {
    let figure = |value: Option<f64>, decimals: usize| -> Cell {
        value.map_or_else(|| "–".to_owned(), |v| format!("{v:.decimals$}")).into()
    };
    Table::of(
        &format!("{}; shares are of the strongest band", answer::bands_found(bands)),
        bands,
        &[
            ("State", Kind::Words, 12, &|band| Cell {
                text: words::band_state(band.state).to_owned(),
                caution: band.state != BandState::Met,
                ..Cell::default()
            }),
            ("Band / cm⁻¹", Kind::Number, 9, &|band| figure(Some(band.expected_cm1), 0)),
            ("Found / cm⁻¹", Kind::Number, 9, &|band| figure(band.found_cm1, 1)),
            ("Share", Kind::Number, 9, &|band| figure(band.share, 2)),
            ("Depth / µm", Kind::Number, 9, &|band| figure(band.depth_um, 1)),
            ("Assignment", Kind::Words, 40, &|band| {
                let required = if band.required { ", required" } else { "" };
                let colon = if band.note.is_empty() { "" } else { ": " };
                format!("{}{required}{colon}{}", band.assignment, band.note).into()
            }),
            ("Table row", Kind::Words, 12, &|band| band.status.as_str().into()),
        ],
    )
}

/// Look-alikes share one table, a column each; of more than `most` bands those that tell them apart, then the highest.
pub(super) fn look_alikes(shown: &[(&str, &[BandEvidence])], most: usize) -> Table {
    let mut columns = vec![("cm⁻¹", Kind::Number, 12), ("Share", Kind::Number, 12)];
    columns.extend(shown.iter().map(|(id, _)| (*id, Kind::Words, 12)));
    columns.push(("Assignment", Kind::Words, 30));
    let mut rows = shared::shared(shown);
    let hidden = rows.len().saturating_sub(most);
    if hidden > 0 {
        let differs = |row: &SharedRow<'_>| row.states.windows(2).any(|w| w[0] != w[1]);
        rows.sort_by(|a, b| {
            let by_share = || b.share.unwrap_or(0.0).total_cmp(&a.share.unwrap_or(0.0));
            differs(b).cmp(&differs(a)).then_with(by_share)
        });
        rows.truncate(most);
        rows.sort_by(|a, b| b.place_cm1.total_cmp(&a.place_cm1));
    }
    let more = match hidden {
        0 => String::new(),
        hidden => format!("; {hidden} more: --evidence"),
    };
    let caption = format!("The bands of each; shares are of the strongest{more}");
    let mut table = Table::new(&caption, &columns);
    for row in rows {
        let share = row.share.map_or_else(|| "–".to_owned(), |share| format!("{share:.2}"));
        let mut cells: Vec<Cell> = vec![format!("{:.1}", row.place_cm1).into(), share.into()];
        cells.extend(row.states.iter().map(|state| Cell::from(shared::cell(*state))));
        cells.push(row.assignment.into());
        table.rows.push(cells);
    }
    table
}

fn rules(found: &Identification) -> Table {
    Table::of(
        "The rules between look-alikes, with the values behind each answer",
        &found.rules,
        &[
            ("Rule", Kind::Words, 18, &|rule| rule.rule.as_str().into()),
            ("Question", Kind::Words, 37, &|rule| rule.question.as_str().into()),
            ("Answer", Kind::Words, 45, &|rule| {
                let values = rule.values.iter();
                let values = values.map(|(name, v)| format!("{name} {}", words::number(*v)));
                let values = values.collect::<Vec<_>>().join(", ");
                let mut said = vec![words::verdict(rule.verdict).to_owned(), values];
                said.push(words::effect(&rule.note));
                said.retain(|words| !words.is_empty());
                said.join("; ").into()
            }),
        ],
    )
}

/// Writes Markdown, a section a spectrum; all text from outside is taken literally.
#[derive(Clone, Debug)]
pub struct MarkdownWriter {
    options: WriteOptions,
    markdown: Markdown,
    written: usize,
}

impl MarkdownWriter {
    /// Creates the writer.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        Self { options: options.clone(), markdown: Markdown::default(), written: 0 }
    }
}

impl IdentificationWriter for MarkdownWriter {
    fn begin(&mut self, stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(self.markdown.head(&begun(&PageFrame::new(stamp, None))).as_bytes())
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        self.written += 1;
        let page = section_of(stamp, entry, &self.options, self.written);
        out.write_all(self.markdown.blocks(&page).as_bytes())
    }

    fn end(&mut self, stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        let mut page = Document::default();
        page.how(&PageFrame::new(stamp, None));
        out.write_all(self.markdown.blocks(&page).as_bytes())
    }
}
