//! Markdown: a section a spectrum, for a note or a wiki.

use std::fmt::Write as _;
use std::io::{self, Write};

use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions, answer, shared};
use crate::judge::{BandEvidence, BandState, Identification};
use crate::report::text_tools::markdown as escape;
use crate::report::words;

/// Writes Markdown; all text from outside is taken literally.
#[derive(Clone, Debug)]
pub struct MarkdownWriter {
    options: WriteOptions,
}

impl MarkdownWriter {
    /// Creates the writer.
    #[must_use]
    pub fn new(options: &WriteOptions) -> Self {
        Self { options: options.clone() }
    }
}

impl IdentificationWriter for MarkdownWriter {
    fn begin(&mut self, stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        writeln!(
            out,
            "# Identification of surfaces by infrared spectra\n\nEach answer speaks of the \
             surface at the measured spot, not of the whole part. {}, table {} (SHA-256 `{}`).",
            escape(&stamp.tool),
            escape(&stamp.table_version),
            escape(&stamp.table_sha256),
        )
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        let mut page = String::new();
        self.page(stamp, entry, &mut page).map_err(io::Error::other)?;
        out.write_all(page.as_bytes())
    }

    fn end(&mut self, _stamp: &Stamp, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}

impl MarkdownWriter {
    fn page(
        &self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        page: &mut String,
    ) -> std::fmt::Result {
        let title = entry.title.as_deref().map(str::trim).filter(|t| !t.is_empty());
        let block =
            if entry.block > 1 { format!(", spectrum {}", entry.block) } else { String::new() };
        let title = title.map(|t| format!(": {}", escape(t))).unwrap_or_default();
        writeln!(page, "\n## {}{block}{title}\n", escape(&entry.file))?;
        if let Some(error) = &entry.error {
            writeln!(page, "**Could not be judged:** {}\n", escape(error))?;
        }
        if let Some(found) = &entry.identification {
            writeln!(page, "**{}**\n", escape(&found.sentence))?;
            self.answer(stamp, found, page)?;
        }
        if let Some(opinion) = &entry.second_opinion {
            writeln!(
                page,
                "- References (a second opinion, which changes nothing above): {}",
                escape(&opinion.words)
            )?;
            for near in &opinion.resembling {
                writeln!(page, "  - {}", escape(&words::resemblance(near)))?;
            }
            if let Some(ppm) = opinion.scale_ppm {
                writeln!(page, "  - {}", words::scale_difference(ppm))?;
            }
        }
        measured(entry, page)?;
        let others = if self.options.explain { self.options.top } else { 0 };
        let mut shown = entry.evidence(others);
        let alike = entry.look_alikes(&shown);
        if alike > 1 {
            look_alikes(&shown[..alike], page)?;
            shown.drain(..alike);
        }
        for (id, bands) in shown {
            evidence(stamp, id, bands, page)?;
        }
        if let Some(found) = &entry.identification {
            self.ranking(found, page)?;
            if self.options.explain && !found.rules.is_empty() {
                rules(found, page)?;
            }
        }
        self.lists(entry, page)
    }

    fn answer(&self, stamp: &Stamp, found: &Identification, page: &mut String) -> std::fmt::Result {
        let chlorine = &found.chlorine;
        writeln!(page, "- Chlorine: {}. {}", words::chlorine(chlorine), escape(&chlorine.why))?;
        if let Some(plasticiser) = &found.plasticiser {
            let words = words::plasticiser(plasticiser, |id| stamp.name(id).to_owned());
            writeln!(page, "- Plasticiser: {}", escape(&words))?;
        }
        if found.components.len() > 1 {
            for c in &found.components {
                let name = escape(stamp.name(&c.id));
                writeln!(page, "- Component: {name} ({})", words::relation(c.relation))?;
            }
        }
        if let Some(unsettled) = &found.unsettled {
            let (feature, by) = (escape(&unsettled.feature), escape(&unsettled.settled_by));
            writeln!(page, "- Unsettled: {feature}\n- Settled by: {by}")?;
        }
        if !found.unexplained.is_empty() {
            writeln!(page, "- Unexplained: {}", words::unexplained(&found.unexplained))?;
        }
        Ok(())
    }

    fn ranking(&self, found: &Identification, page: &mut String) -> std::fmt::Result {
        if let Some(curve) = answer::curve(found) {
            writeln!(page, "\nWhole curve: {}.", escape(&curve))?;
        }
        let next: Vec<String> = answer::rivals(found, self.options.top)
            .into_iter()
            .map(|ranked| escape(&answer::rival(ranked)))
            .collect();
        if next.is_empty() {
            return Ok(());
        }
        writeln!(page, "\nNext best: {}.", next.join("; "))
    }

    fn lists(&self, entry: &IdentificationEntry, page: &mut String) -> std::fmt::Result {
        let findings: Vec<_> = if self.options.verbose {
            entry.findings.iter().collect()
        } else {
            entry.limits().collect()
        };
        if !findings.is_empty() {
            writeln!(page, "\n### Checks of the spectrum\n")?;
            writeln!(page, "| check | figure | limit | reach | consequence | remedy |")?;
            writeln!(page, "|---|--:|--:|---|---|---|")?;
        }
        for f in findings {
            let figure = |value: Option<f64>| {
                value
                    .map(|v| format!("{} {}", words::number(v), escape(&f.unit)))
                    .unwrap_or_default()
            };
            writeln!(
                page,
                "| {} | {} | {} | {} | {} | {} |",
                escape(&words::finding_name(f)),
                figure(f.value).trim(),
                figure(f.limit).trim(),
                words::severity(f.severity),
                escape(&f.consequence),
                escape(&f.remedy)
            )?;
        }
        if !entry.warnings.is_empty() {
            writeln!(page, "\n### Warnings\n")?;
        }
        for warning in &entry.warnings {
            writeln!(page, "- {}", escape(&warning.text))?;
        }
        if self.options.verbose && !entry.steps.is_empty() {
            writeln!(page, "\n### Steps\n")?;
            for (i, step) in entry.steps.iter().enumerate() {
                writeln!(page, "{}. {}", i + 1, escape(&step.to_string()))?;
            }
        }
        Ok(())
    }
}

fn measured(entry: &IdentificationEntry, page: &mut String) -> std::fmt::Result {
    if let (Some((mode, mode_origin)), Some((ordinate, ordinate_origin)), Some((low, high))) =
        (entry.mode, entry.ordinate, entry.range_cm1)
    {
        writeln!(
            page,
            "- Measured: {} ({}), {} ({}), {high:.0}–{low:.0} cm⁻¹",
            words::mode(mode),
            words::origin(mode_origin),
            words::ordinate(ordinate),
            words::origin(ordinate_origin),
        )?;
    }
    if !entry.sha256.is_empty() {
        writeln!(page, "- SHA-256 of the file: `{}`", escape(&entry.sha256))?;
    }
    Ok(())
}

fn evidence(
    stamp: &Stamp,
    id: &str,
    bands: &[BandEvidence],
    page: &mut String,
) -> std::fmt::Result {
    let count = |state| bands.iter().filter(|band| band.state == state).count();
    writeln!(
        page,
        "\n### Evidence for {}\n\n{} bands met, {} missing, {} untestable.\n",
        escape(stamp.name(id)),
        count(BandState::Met),
        count(BandState::Missing),
        count(BandState::Untestable)
    )?;
    writeln!(
        page,
        "| state | band / cm⁻¹ | found / cm⁻¹ | share of strongest | depth / µm | assignment | note | table row |"
    )?;
    writeln!(page, "|---|--:|--:|--:|--:|---|---|---|")?;
    for band in bands {
        let cell = |value: Option<f64>, decimals: usize| {
            value.map_or_else(|| "–".to_owned(), |v| format!("{v:.decimals$}"))
        };
        writeln!(
            page,
            "| {} | {:.0} | {} | {} | {} | {} | {} | {} |",
            words::band_state(band.state),
            band.expected_cm1,
            cell(band.found_cm1, 1),
            cell(band.share, 2),
            cell(band.depth_um, 1),
            escape(&band.assignment),
            escape(&band.note),
            escape(&band.status),
        )?;
    }
    Ok(())
}

/// Look-alikes share one table, a column each.
fn look_alikes(shown: &[(&str, &[BandEvidence])], page: &mut String) -> std::fmt::Result {
    let ids: Vec<String> = shown.iter().map(|(id, _)| escape(id)).collect();
    writeln!(page, "\n### Evidence, the look-alikes side by side\n")?;
    writeln!(page, "| cm⁻¹ | share of strongest | {} | assignment |", ids.join(" | "))?;
    writeln!(page, "|--:|--:|{}---|", "---|".repeat(ids.len()))?;
    for row in shared::shared(shown) {
        let cells: Vec<&str> = row.states.iter().map(|state| shared::cell(*state)).collect();
        let share = row.share.map_or_else(|| "–".to_owned(), |share| format!("{share:.2}"));
        writeln!(
            page,
            "| {:.1} | {share} | {} | {} |",
            row.place_cm1,
            cells.join(" | "),
            escape(row.assignment)
        )?;
    }
    Ok(())
}

fn rules(found: &Identification, page: &mut String) -> std::fmt::Result {
    writeln!(page, "\n### Rules\n\n| rule | question | answer | values | note |")?;
    writeln!(page, "|---|---|---|---|---|")?;
    for rule in &found.rules {
        let values: Vec<String> = rule
            .values
            .iter()
            .map(|(name, value)| format!("{} {}", escape(name), words::number(*value)))
            .collect();
        writeln!(
            page,
            "| {} | {} | {} | {} | {} |",
            escape(&rule.rule),
            escape(&rule.question),
            words::verdict(rule.verdict),
            values.join(", "),
            escape(&rule.note)
        )?;
    }
    Ok(())
}
