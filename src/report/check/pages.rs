//! Checks as a document: a summary, then a section a spectrum. Markdown is written from the same sections,
//! one after another.

use std::io::{self, Write};

use super::film::{self, signed};
use super::{CheckEntry, CheckWriter, heading, taken_out};
use crate::fitness::{FilmBand, FilmCheck};
use crate::report::document::{Cell, Document, Kind, Markdown, PageFrame, Table, Tone};
use crate::report::findings;
use crate::report::identification::Stamp;
use crate::report::text_tools::file_name;
use crate::report::words;
use crate::spectrum::Warning;

/// Composes the page of a list of spectra.
#[must_use]
pub fn check_document(entries: &[CheckEntry], frame: &PageFrame<'_>) -> Document {
    let mut page = begun(frame);
    page.ids = entries.iter().map(|entry| entry.file.clone()).collect();
    page.heading(2, "What was found", "found");
    page.table(Table::of(
        "All spectra at a glance",
        (1..).zip(entries),
        &[
            ("Spectrum", Kind::Words, 36, &|(i, entry)| Cell {
                text: heading(entry, &entry.file),
                link: Some(format!("spectrum-{i}")),
                ..Cell::default()
            }),
            ("Finding", Kind::Words, 64, &|(_, entry)| match (&entry.error, &entry.film) {
                (Some(error), _) => format!("{}: {error}", entry.failed_words()).into(),
                (None, Some(check)) => film::film_verdict(check).into(),
                (None, None) => entry.sentence().into(),
            }),
        ],
    ));
    for (i, entry) in entries.iter().enumerate() {
        section(&mut page, entry, i + 1);
    }
    let read = entries.iter().filter(|entry| !entry.sha256.is_empty());
    page.files(
        read.map(|e| (format!("spectrum {}", e.block), e.file.clone(), e.sha256.clone())).collect(),
    );
    page.how(frame);
    page
}

fn begun(frame: &PageFrame<'_>) -> Document {
    let kind = "Whether spectra are fit to be judged";
    Document::of_run("Checks of spectra", kind, "checks", frame)
}

/// Composes the section of one spectrum alone.
pub(super) fn section_of(entry: &CheckEntry, number: usize) -> Document {
    let mut page = Document { ids: vec![entry.file.clone()], ..Document::default() };
    section(&mut page, entry, number);
    page
}

fn section(page: &mut Document, entry: &CheckEntry, number: usize) {
    let anchor = |of: &str| format!("spectrum-{number}{of}");
    let name = file_name(&entry.file);
    page.heading(2, &heading(entry, name), &anchor(""));
    if let Some(error) = &entry.error {
        page.text(format!("{}: {error}", entry.failed_words()), Tone::Caution);
    }
    let (Some(mode), Some(ordinate), Some(range)) = (entry.mode, entry.ordinate, entry.range_cm1)
    else {
        return;
    };
    if !entry.findings.is_empty() {
        page.text(entry.sentence(), Tone::Lead);
    }
    let (taken, doubts): (Vec<&Warning>, Vec<&Warning>) =
        entry.warnings.iter().partition(|warning| taken_out(warning));
    let mut facts: Vec<(&str, String)> = Vec::new();
    if entry.file != name {
        facts.push(("File", entry.file.clone()));
    }
    facts.extend(taken.iter().map(|w| ("Before the check", w.text.clone())));
    let spacing = words::number(entry.spacing_cm1.unwrap_or(f64::NAN));
    let measured = words::measured(mode, ordinate, range);
    facts.push(("Measured", format!("{measured}, points {spacing} cm⁻¹ apart")));
    page.pairs(facts);
    if let Some(check) = &entry.film {
        page.heading(3, "Wavenumber scale, on a polystyrene film", &anchor("-film"));
        film(page, check);
    }
    for (title, of, shown) in [
        ("What is wrong", "-wrong", entry.others(false).collect::<Vec<_>>()),
        ("C–Cl region, band by band", "-chlorine", entry.chlorine_region().collect()),
        ("In order", "-in-order", entry.others(true).collect()),
    ] {
        if !shown.is_empty() {
            page.heading(3, title, &anchor(of));
            page.table(findings::table(title, shown.into_iter()));
        }
    }
    if !doubts.is_empty() {
        page.heading(3, "Warnings", &anchor("-warnings"));
        page.list(doubts.iter().map(|warning| warning.text.clone()).collect(), false);
    }
}

fn film(page: &mut Document, check: &FilmCheck) {
    let places = format!("{} / cm⁻¹", film::places_head(check));
    let deviation = |measured: f64, band: &FilmBand| signed(measured - band.nominal, 2);
    page.table(Table::of(
        "Bands of the film in cm⁻¹",
        &check.bands,
        &[
            (&places, Kind::Number, 16, &|band| format!("{:.1}", band.nominal).into()),
            ("centroid", Kind::Number, 14, &|band| format!("{:.2}", band.centroid).into()),
            ("deviation", Kind::Number, 14, &|band| deviation(band.centroid, band).into()),
            ("minimum", Kind::Number, 14, &|band| format!("{:.2}", band.minimum).into()),
            ("deviation", Kind::Number, 14, &|band| deviation(band.minimum, band).into()),
            ("within ±1.0", Kind::Words, 12, &|band| {
                let within = (band.centroid - band.nominal).abs() <= film::TOLERANCE_CM1;
                if within { "yes" } else { "no" }.into()
            }),
            ("certificate (memory)", Kind::Number, 16, &|band| {
                let value = film::certificate_cm1(band.nominal);
                value.map_or_else(|| "–".to_owned(), |value| format!("{value:.2}")).into()
            }),
        ],
    ));
    let facts = [
        ("Scale error", film::interval(check.scale_ppm, 0, "ppm")),
        ("Offset", film::interval(check.shift, 2, "cm⁻¹")),
        ("Factor k, true = k × measured", film::factor(check)),
        ("Deviation, measured minus true", film::deviations(check)),
        ("Verdict", film::film_verdict(check)),
    ];
    page.pairs(facts);
    page.text(film::source(check), Tone::Note);
    page.text(film::CERTIFICATE_NOTE, Tone::Note);
}

/// Writes Markdown, a section a spectrum; all text from outside is taken literally.
#[derive(Clone, Debug, Default)]
pub struct CheckMarkdownWriter {
    markdown: Markdown,
    written: usize,
}

impl CheckWriter for CheckMarkdownWriter {
    fn begin(&mut self, out: &mut dyn Write) -> io::Result<()> {
        let page = begun(&PageFrame::new(&Stamp::default(), None));
        out.write_all(self.markdown.head(&page).as_bytes())
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        self.written += 1;
        out.write_all(self.markdown.blocks(&section_of(entry, self.written)).as_bytes())
    }

    fn end(&mut self, out: &mut dyn Write) -> io::Result<()> {
        let page = begun(&PageFrame::new(&Stamp::new("", ""), None));
        out.write_all(self.markdown.foot(&page).as_bytes())
    }
}
