//! Text for a terminal: what is wrong first, then what is in order.

use std::io::{self, Write};

use super::film::{self, signed};
use super::{CheckEntry, CheckOptions, CheckWriter, figure, heading, taken_out};
use crate::fitness::{FilmCheck, Finding, Severity};
use crate::report::style::Weight;
use crate::report::text_tools::{visible, wrap};
use crate::report::words;

/// Below this width the columns no longer fit.
const LEAST_WIDTH: usize = 48;

/// Where the text beside a label starts.
const LABEL: usize = 20;

/// Writes text that fits the width.
#[derive(Clone, Debug)]
pub struct CheckTextWriter {
    options: CheckOptions,
    count: usize,
}

impl CheckTextWriter {
    /// Creates the writer.
    #[must_use]
    pub fn new(options: CheckOptions) -> Self {
        let width = options.width.max(LEAST_WIDTH);
        Self { options: CheckOptions { width, ..options }, count: 0 }
    }
}

impl CheckWriter for CheckTextWriter {
    fn begin(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }

    fn entry(&mut self, entry: &CheckEntry, out: &mut dyn Write) -> io::Result<()> {
        let mut page = Page { options: self.options, text: String::new() };
        if self.count > 0 {
            page.text.push('\n');
        }
        self.count += 1;
        page.whole(entry);
        out.write_all(page.text.as_bytes())
    }

    fn end(&mut self, _out: &mut dyn Write) -> io::Result<()> {
        Ok(())
    }
}

struct Page {
    options: CheckOptions,
    text: String,
}

impl Page {
    fn whole(&mut self, entry: &CheckEntry) {
        self.paragraph(0, Some(Weight::Faint), &heading(entry, visible));
        if let Some(error) = &entry.error {
            let own = format!("{}: ", entry.file);
            let error = visible(error.strip_prefix(&own).unwrap_or(error));
            self.paragraph(2, Some(Weight::Caution), &format!("{}: {error}", entry.failed_words()));
        }
        if entry.mode.is_none() {
            return;
        }
        if !entry.findings.is_empty() {
            self.paragraph(2, Some(Weight::Strong), &entry.sentence());
        }
        for line in taken_out(entry) {
            self.paragraph(2, Some(Weight::Caution), &visible(&line));
        }
        if let Some(check) = &entry.film {
            self.film(check);
        }
        let mut any = false;
        for finding in entry.others(false) {
            if !any {
                self.title("What is wrong");
            }
            any = true;
            self.wrong(finding);
        }
        self.chlorine(entry);
        self.title("In order");
        self.measured(entry);
        for finding in entry.others(true) {
            let text = match figure(finding) {
                figure if figure.is_empty() => finding.consequence.clone(),
                figure => format!("{figure}; {}", finding.consequence),
            };
            self.labelled(&finding.id.replace('-', " "), &text, None);
        }
        let warnings = entry.warnings.iter().filter(|w| !taken_out(entry).contains(&w.text));
        for (i, warning) in warnings.enumerate() {
            if i == 0 {
                self.title("Said while reading");
            }
            self.bullet(&visible(&warning.text));
        }
    }

    /// A finding that limits or forbids: figure and limit, consequence, remedy.
    fn wrong(&mut self, finding: &Finding) {
        let word = match finding.severity {
            Severity::Unfit => "not fit",
            Severity::Limits | Severity::Note => "limits",
        };
        let mut head = format!("{}, {word}", finding.id.replace('-', " "));
        let figure = figure(finding);
        if !figure.is_empty() {
            head.push_str(&format!(": {figure}"));
        }
        self.paragraph(4, Some(Weight::Caution), &head);
        self.paragraph(6, None, &capital(&finding.consequence));
        if !finding.remedy.is_empty() {
            self.paragraph(6, None, &format!("Remedy: {}", finding.remedy));
        }
    }

    /// What of the C–Cl region can be tested, band by band.
    fn chlorine(&mut self, entry: &CheckEntry) {
        let mut remedies: Vec<&str> = Vec::new();
        for (i, finding) in entry.chlorine_region().enumerate() {
            if i == 0 {
                self.title("C–Cl region, band by band");
            }
            let band = finding.id.trim_start_matches("c-cl-");
            let weight = (finding.severity != Severity::Note).then_some(Weight::Caution);
            let reaches = match (finding.value, finding.limit) {
                (Some(from), Some(limit)) => {
                    format!(" (measured from {from:.0}, needed from {limit:.0} cm⁻¹)")
                }
                _ => String::new(),
            };
            let label = format!("{band} cm⁻¹");
            // The finding names its band, which the label does already.
            let said = finding.consequence.replacen(&format!("{label} is "), "", 1);
            let said = said.replacen(&format!("{label} was "), "", 1);
            self.labelled(&label, &format!("{said}{reaches}"), weight);
            if !finding.remedy.is_empty() && !remedies.contains(&finding.remedy.as_str()) {
                remedies.push(&finding.remedy);
            }
        }
        if !remedies.is_empty() {
            self.labelled("Remedy", &remedies.join("; or "), None);
        }
    }

    fn measured(&mut self, entry: &CheckEntry) {
        if let (Some((mode, mode_from)), Some((ordinate, ordinate_from))) =
            (entry.mode, entry.ordinate)
        {
            let text = format!(
                "{} ({}), {} ({})",
                words::mode(mode),
                words::origin(mode_from),
                words::ordinate(ordinate),
                words::origin(ordinate_from)
            );
            self.labelled("measured", &text, None);
        }
        if let (Some((low, high)), Some(spacing)) = (entry.range_cm1, entry.spacing_cm1) {
            let text = format!(
                "{high:.0} to {low:.0} cm⁻¹, a point every {} cm⁻¹",
                words::number(spacing)
            );
            self.labelled("points", &text, None);
        }
    }

    fn film(&mut self, check: &FilmCheck) {
        self.title("Wavenumber scale, on a polystyrene film (cm⁻¹)");
        self.paragraph(
            4,
            Some(Weight::Faint),
            &format!(
                "{:>9}  centroid  deviation   minimum  deviation  in ±1.0  certif.†",
                film::places_head(check)
            ),
        );
        for band in &check.bands {
            let deviation = band.centroid - band.nominal;
            let inside = deviation.abs() <= film::TOLERANCE_CM1;
            let certificate = film::certificate_cm1(band.nominal)
                .map_or_else(|| "–".to_owned(), |value| format!("{value:.2}"));
            let row = format!(
                "{:>9.1}{:>10.2}{:>11}{:>10.2}{:>11}{:>9}{:>10}",
                band.nominal,
                band.centroid,
                signed(deviation, 2),
                band.minimum,
                signed(band.minimum - band.nominal, 2),
                if inside { "yes" } else { "no" },
                certificate,
            );
            self.line(4, (!inside).then_some(Weight::Caution), &row);
        }
        self.labelled("scale error", &film::interval(check.scale_ppm, 0, "ppm"), None);
        self.labelled("offset", &film::interval(check.shift, 2, "cm⁻¹"), None);
        self.labelled("k", &format!("{}; true = k × measured", film::factor(check)), None);
        self.labelled("deviation", &film::deviations(check), None);
        self.labelled("verdict", &capital(&film::film_verdict(check)), None);
        self.paragraph(4, Some(Weight::Faint), &film::source(check));
        self.paragraph(4, Some(Weight::Faint), &format!("† {}", film::CERTIFICATE_NOTE));
    }

    fn title(&mut self, text: &str) {
        self.text.push('\n');
        self.paragraph(2, Some(Weight::Strong), text);
    }

    /// A paragraph under one indent.
    fn paragraph(&mut self, indent: usize, weight: Option<Weight>, text: &str) {
        for line in wrap_kept(text, self.options.width - indent) {
            self.line(indent, weight, &line);
        }
    }

    fn bullet(&mut self, text: &str) {
        for (i, line) in wrap(text, self.options.width - 6).iter().enumerate() {
            self.line(4, None, &format!("{}{line}", if i == 0 { "- " } else { "  " }));
        }
    }

    /// A label with text beside it.
    fn labelled(&mut self, label: &str, text: &str, weight: Option<Weight>) {
        for (i, line) in wrap(text, self.options.width - 4 - LABEL).iter().enumerate() {
            let label = if i == 0 { label } else { "" };
            let pad = " ".repeat(LABEL.saturating_sub(label.chars().count()).max(1));
            self.line(4, weight, &format!("{label}{pad}{line}"));
        }
    }

    fn line(&mut self, indent: usize, weight: Option<Weight>, line: &str) {
        self.text.push_str(&" ".repeat(indent));
        match weight {
            Some(weight) => self.text.push_str(&self.options.style.dress(weight, line)),
            None => self.text.push_str(line),
        }
        self.text.push('\n');
    }
}

/// As [`wrap`], but text that fits keeps its blanks.
fn wrap_kept(text: &str, width: usize) -> Vec<String> {
    if text.chars().count() <= width { vec![text.to_owned()] } else { wrap(text, width) }
}

/// The text with a capital at its start.
fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(characters).collect())
}
