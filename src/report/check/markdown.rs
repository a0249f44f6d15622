//! Markdown: a section a spectrum, for a note or a wiki.

use std::fmt::Write as _;
use std::io::{self, Write};

use super::film::{self, signed};
use super::{CheckEntry, CheckWriter, figure, heading, taken_out};
use crate::fitness::{FilmCheck, Finding};
use crate::report::text_tools::markdown as escape;
use crate::report::words;

/// Writes Markdown; all text from outside is taken literally.
#[derive(Clone, Debug, Default)]
pub struct CheckMarkdownWriter;

impl CheckWriter for CheckMarkdownWriter {
    fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        writeln!(out, "# Checks of spectra\n\nbandlore {}.", env!("CARGO_PKG_VERSION"))
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        let mut page = String::new();
        section(entry, &mut page).map_err(io::Error::other)?;
        out.write_all(page.as_bytes())
    }

    fn end(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}

fn section(entry: &CheckEntry, page: &mut String) -> std::fmt::Result {
    writeln!(page, "\n## {}\n", heading(entry, escape))?;
    if let Some(error) = &entry.error {
        writeln!(page, "**{}:** {}\n", entry.failed_words(), escape(error))?;
    }
    if entry.mode.is_none() {
        return Ok(());
    }
    if !entry.findings.is_empty() {
        writeln!(page, "**{}**\n", entry.sentence())?;
    }
    for line in taken_out(entry) {
        writeln!(page, "- Before the check: {}", escape(&line))?;
    }
    if let (Some((mode, mode_from)), Some((ordinate, ordinate_from)), Some((low, high))) =
        (entry.mode, entry.ordinate, entry.range_cm1)
    {
        writeln!(
            page,
            "- Measured: {} ({}), {} ({}), {high:.0}–{low:.0} cm⁻¹, points {} cm⁻¹ apart",
            words::mode(mode),
            words::origin(mode_from),
            words::ordinate(ordinate),
            words::origin(ordinate_from),
            words::number(entry.spacing_cm1.unwrap_or(f64::NAN)),
        )?;
    }
    if let Some(check) = &entry.film {
        film(check, page)?;
    }
    table("What is wrong", entry.others(false), page)?;
    table("C–Cl region", entry.chlorine_region(), page)?;
    table("In order", entry.others(true), page)?;
    if !entry.warnings.is_empty() {
        writeln!(page, "\n### Warnings\n")?;
    }
    for warning in &entry.warnings {
        writeln!(page, "- {}", escape(&warning.text))?;
    }
    Ok(())
}

fn table<'a>(
    title: &str,
    findings: impl Iterator<Item = &'a Finding>,
    page: &mut String,
) -> std::fmt::Result {
    for (i, f) in findings.enumerate() {
        if i == 0 {
            writeln!(page, "\n### {title}\n\n| check | figure | reach | what it means | remedy |")?;
            writeln!(page, "|---|--:|---|---|---|")?;
        }
        writeln!(
            page,
            "| {} | {} | {} | {} | {} |",
            escape(&f.id),
            escape(&figure(f)),
            words::severity(f.severity),
            escape(&f.consequence),
            escape(&f.remedy)
        )?;
    }
    Ok(())
}

fn film(check: &FilmCheck, page: &mut String) -> std::fmt::Result {
    writeln!(
        page,
        "\n### Wavenumber scale, on a polystyrene film\n\n| {} / cm⁻¹ | centroid | deviation | \
         minimum | deviation | within ±1.0 | certificate (memory) |",
        film::places_head(check)
    )?;
    writeln!(page, "|--:|--:|--:|--:|--:|---|--:|")?;
    for band in &check.bands {
        let deviation = band.centroid - band.nominal;
        writeln!(
            page,
            "| {:.1} | {:.2} | {} | {:.2} | {} | {} | {} |",
            band.nominal,
            band.centroid,
            signed(deviation, 2),
            band.minimum,
            signed(band.minimum - band.nominal, 2),
            if deviation.abs() <= film::TOLERANCE_CM1 { "yes" } else { "no" },
            film::certificate_cm1(band.nominal)
                .map_or_else(|| "–".to_owned(), |value| format!("{value:.2}")),
        )?;
    }
    writeln!(page, "\n- Scale error: {}", film::interval(check.scale_ppm, 0, "ppm"))?;
    writeln!(page, "- Offset: {}", film::interval(check.shift, 2, "cm⁻¹"))?;
    writeln!(page, "- Factor k, true = k × measured: {}", film::factor(check))?;
    writeln!(page, "- Deviation, measured minus true: {}", film::deviations(check))?;
    writeln!(page, "- Verdict: {}", film::film_verdict(check))?;
    writeln!(page, "- {}", film::source(check))?;
    writeln!(page, "- {}", film::CERTIFICATE_NOTE)
}
