//! The table written out: bands as CSV, and the whole as a page to read.

use std::fmt::{self, Write as _};

use super::bands::{self, Band};
use super::rule_table::{Questions, Rule};
use super::sheet::Record;
use super::sourcing::Sourcing;
use super::words::{Part, Status};
use super::{Material, Tables};

/// Writes bands in the columns of `bands.csv`, so that the text can be read back as such.
#[must_use]
pub fn bands_as_csv(bands: &[&Band]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory cannot fail.
    let _ = writer.write_record(Band::HEADER.split(','));
    for band in bands {
        let _ = writer.write_record(bands::to_row(band));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Writes bands as a Markdown table, strongest claims first in the columns and the status visible.
#[must_use]
pub fn bands_as_markdown(bands: &[&Band]) -> String {
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = write_bands(&mut text, bands);
    text
}

impl Tables {
    /// Writes the whole table as one Markdown page: materials, bands, look-alike groups, classes, rules,
    /// markers, stretches, care, neighbours and bending figures, each with source and status.
    #[must_use]
    pub fn page(&self) -> String {
        let mut text = String::new();
        // Writing to a String cannot fail.
        let _ = self.write_page(&mut text);
        text
    }

    fn write_page(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "# The table of bands, rules, markers and care notes\n")?;
        writeln!(
            out,
            "Written by `bandlore bands --format markdown` from the files in `reference-bands/`; do not edit \
             it by hand.\n\nTable version {}, SHA-256 `{}`.\n",
            self.version(),
            self.sha256()
        )?;
        self.write_statuses(out)?;
        self.write_materials(out)?;
        writeln!(out, "\n## Bands\n")?;
        writeln!(
            out,
            "Positions and windows in cm⁻¹. Strong bands stand lower in ATR than in transmission, so each \
             has its own window.\n"
        )?;
        for material in self.materials() {
            let bands: Vec<&Band> = self.bands_of(&material.id).iter().collect();
            if !bands.is_empty() {
                writeln!(out, "### {}: {}\n", material.id, material.name)?;
                write_bands(out, &bands)?;
                writeln!(out)?;
            }
        }
        self.write_groups(out)?;
        self.write_windows(out)?;
        self.write_classes(out)?;
        self.write_rules(out)?;
        self.write_markers(out)?;
        self.write_stretches(out)?;
        self.write_care(out)
    }

    fn write_statuses(&self, out: &mut String) -> fmt::Result {
        let bands = self.bands();
        let count = |status| bands.iter().filter(|band| band.sourcing.status == status).count();
        writeln!(
            out,
            "Of {} bands, {} are **verified** (read in the named source, or computed from named measured \
             data), {} stand from **memory** (recalled from the named source, which was not opened again; \
             good to about ±3 cm⁻¹, weak bands ±5), {} are **computed** here.",
            bands.len(),
            count(Status::Verified),
            count(Status::Memory),
            count(Status::Computed)
        )
    }

    fn write_materials(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Materials\n")?;
        writeln!(
            out,
            "\"Listed only\" means: known, so that nothing else is named in its place, but never an \
             answer.\n"
        )?;
        write_table(
            out,
            self.materials(),
            &[
                ("id", &|material| material.id.clone()),
                ("name", &|material| cell(&material.name)),
                ("kind", &|material| material.kind.to_string()),
                ("chlorine", &|material| if material.chlorine { "yes" } else { "no" }.into()),
                ("answer", &|m| if m.nameable { "yes" } else { "listed only" }.into()),
                ("look-alike group", &|material| material.group.clone().unwrap_or_default()),
                ("bands", &|material| self.bands_of(&material.id).len().to_string()),
                ("note", &|material| cell(&notes(material))),
            ],
        )
    }

    fn write_groups(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "## Look-alike groups\n")?;
        write_table(
            out,
            self.groups(),
            &[
                ("group", &|group| group.id.clone()),
                ("members", &|group| group.members.join(", ")),
                ("what tells them", &|group| cell(&group.feature)),
                ("what would settle it", &|group| cell(&group.settled_by)),
                ("source", &|group| source(&group.sourcing)),
                ("status", &|group| group.sourcing.status.to_string()),
            ],
        )
    }

    fn write_windows(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Windows that tell look-alikes\n")?;
        writeln!(
            out,
            "Where a reference that somebody vouches for may settle a claim. A group without windows cannot \
             be settled by a reference.\n"
        )?;
        write_table(
            out,
            self.windows(),
            &[
                ("group", &|row| row.group.clone()),
                ("cm⁻¹", &|row| ends((row.window.low_cm1, row.window.high_cm1))),
                ("what absorbs there", &|row| cell(&row.shows)),
                ("source", &|row| source(&row.sourcing)),
                ("status", &|row| row.sourcing.status.to_string()),
                ("note", &|row| cell(&row.note)),
            ],
        )
    }

    fn write_classes(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Classes\n")?;
        writeln!(
            out,
            "What may be said where the bands show a kind of material but not which one.\n"
        )?;
        for class in self.classes() {
            writeln!(out, "### {}: {}\n", class.id, class.name)?;
            writeln!(out, "Members: {}.\n", class.members.join(", "))?;
            write_questions(out, &class.questions)?;
            write_footing(out, &class.sourcing, &class.note)?;
        }
        Ok(())
    }

    fn write_rules(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Rules\n")?;
        for rule in self.rules() {
            writeln!(out, "### {}\n", rule.id)?;
            writeln!(out, "{}: {}.\n", heading(rule), rule.meaning)?;
            write_questions(out, &rule.questions)?;
            write_footing(out, &rule.sourcing, &rule.note)?;
        }
        Ok(())
    }

    fn write_markers(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "## Ageing markers\n")?;
        let read = |x: &super::Measure| format!("{} {}, baseline {}", x.kind, x.limits, x.baseline);
        write_table(
            out,
            self.markers(),
            &[
                ("id", &|marker| marker.id.clone()),
                ("materials", &|marker| any_or(&marker.materials)),
                ("what it follows", &|marker| cell(&marker.shows)),
                ("read as", &|marker| read(&marker.measure)),
                ("over", &|marker| marker.reference.as_ref().map(read).unwrap_or_default()),
                ("ageing", &|marker| marker.direction.to_string()),
                ("limits", &|marker| marker.limits_from.to_string()),
                ("source", &|marker| source(&marker.sourcing)),
                ("status", &|marker| marker.sourcing.status.to_string()),
            ],
        )?;
        writeln!(out, "\n### What makes a marker unsafe\n")?;
        for confounder in self.confounders() {
            writeln!(
                out,
                "- **{}** ({}; {}): {}. Found by: {}.",
                cell(&confounder.what),
                confounder.markers.join(", "),
                confounder.effect,
                confounder.does,
                found_by(&confounder.components, &confounder.questions)
            )?;
        }
        Ok(())
    }

    fn write_stretches(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Stretches that judgements ask for\n")?;
        writeln!(
            out,
            "What is asked of C–Cl and of what covers it, of esters, water, oxidation and grease. In cm⁻¹; \
             shares are heights beside the first band of the kind.\n"
        )?;
        let number = |x: f64| if x == 0.0 { String::new() } else { x.to_string() };
        let known = |of: (f64, f64)| if of.1 == 0.0 { String::new() } else { ends(of) };
        write_table(
            out,
            &self.rows.stretches,
            &[
                ("role", &|row| row.role.to_string()),
                ("cm⁻¹", &|row| known(row.stretch.cm1)),
                ("position", &|row| number(row.stretch.position_cm1)),
                ("in transmission", &|row| known(row.stretch.transmission_cm1)),
                ("share", &|row| share_words(row.stretch.least, row.stretch.most)),
                ("height", &|row| number(row.stretch.height)),
                ("what absorbs there", &|row| match row.set.as_str() {
                    "" => cell(&row.stretch.shows),
                    set => format!("{}: {}", cell(set), cell(&row.stretch.shows)),
                }),
                ("source", &|row| source(&row.sourcing)),
                ("status", &|row| row.sourcing.status.to_string()),
                ("note", &|row| cell(&row.note)),
            ],
        )?;
        writeln!(out, "\n### Places where C–Cl rises above what lies beside it\n")?;
        write_table(
            out,
            self.places(),
            &[
                ("id", &|row| row.id.clone()),
                ("asked", &|row| row.asked.to_string()),
                ("side below", &|row| ends(row.below_cm1)),
                ("place", &|row| ends(row.at_cm1)),
                ("side above", &|row| ends(row.above_cm1)),
                ("least rise of poly(vinyl chloride)", &|row| row.least_rise.to_string()),
                ("spread", &|row| row.spread.to_string()),
                ("what stands there", &|row| cell(&row.shows)),
                ("source", &|row| source(&row.sourcing)),
                ("status", &|row| row.sourcing.status.to_string()),
                ("note", &|row| cell(&row.note)),
            ],
        )
    }

    fn write_care(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Care notes\n")?;
        writeln!(
            out,
            "They defer to the conservator in charge, local rules, safety data sheets and licensed \
             practice.\n"
        )?;
        write_table(
            out,
            self.care(),
            &[
                ("materials", &|note| any_or(&note.materials)),
                ("about", &|note| note.topic.to_string()),
                ("note", &|note| cell(&note.advice)),
                ("source", &|note| source(&note.sourcing)),
                ("status", &|note| note.sourcing.status.to_string()),
            ],
        )?;
        writeln!(out, "\n## Neighbours at risk\n")?;
        write_table(
            out,
            self.neighbours(),
            &[
                ("from", &|rule| rule.from.join(", ")),
                ("to", &|rule| rule.neighbour.to_string()),
                ("what may happen", &|rule| cell(&rule.risk)),
                ("do first", &|rule| cell(&rule.advice)),
                ("source", &|rule| source(&rule.sourcing)),
                ("status", &|rule| rule.sourcing.status.to_string()),
            ],
        )?;
        writeln!(out, "\n## Smallest radius of a held sheet, as a multiple of its thickness\n")?;
        write_table(
            out,
            self.bending(),
            &[
                ("material", &|limit| limit.material.clone()),
                ("grade", &|limit| cell(&limit.grade)),
                ("radius over thickness", &|limit| limit.radius_multiple.to_string()),
                ("source", &|limit| source(&limit.sourcing)),
                ("status", &|limit| limit.sourcing.status.to_string()),
            ],
        )
    }
}

fn write_bands(out: &mut String, bands: &[&Band]) -> fmt::Result {
    let height = |band: &Band| {
        let height = band.height.as_ref();
        height.map(|x| format!("{:.2} ({:.2}–{:.2}, {})", x.median, x.low, x.high, x.n))
    };
    write_table(
        out,
        bands,
        &[
            ("band", &|band| band.position_cm1.to_string()),
            ("ATR window", &|band| ends((band.atr.low_cm1, band.atr.high_cm1))),
            ("transmission window", &|band| {
                ends((band.transmission.low_cm1, band.transmission.high_cm1))
            }),
            ("strength", &|band| band.strength.to_string()),
            ("width", &|band| band.width.to_string()),
            ("vibration", &|band| cell(&vibration(band))),
            ("role", &|band| band.role.to_string()),
            ("height (10–90 %, n)", &|band| height(band).unwrap_or_default()),
            ("status", &|band| band.sourcing.status.to_string()),
            ("source", &|band| cell(&band.sourcing.source)),
            ("note", &|band| cell(&band.note)),
        ],
    )
}

/// A column of a Markdown table: its heading, and its cell in a row.
type Column<'c, R> = (&'c str, &'c dyn Fn(&R) -> String);

fn write_table<R>(out: &mut String, rows: &[R], columns: &[Column<'_, R>]) -> fmt::Result {
    let headings: Vec<&str> = columns.iter().map(|(heading, _)| *heading).collect();
    writeln!(out, "| {} |\n|{}", headings.join(" | "), "---|".repeat(columns.len()))?;
    for row in rows {
        let cells: Vec<String> = columns.iter().map(|(_, cell)| cell(row)).collect();
        writeln!(out, "| {} |", cells.join(" | "))?;
    }
    Ok(())
}

fn ends((low, high): (f64, f64)) -> String {
    format!("{low}–{high}")
}

fn any_or(materials: &[String]) -> String {
    if materials.is_empty() { "any".to_owned() } else { materials.join(", ") }
}

/// Names what vibrates and how: "C–Cl, amorphous sequences (stretch)".
fn vibration(band: &Band) -> String {
    if band.mode.is_empty() {
        band.assignment.clone()
    } else {
        format!("{} ({})", band.assignment, band.mode)
    }
}

/// Names the limits of a share; a limit that is zero is none.
fn share_words(least: f64, most: f64) -> String {
    match (least > 0.0, most > 0.0) {
        (true, true) => format!("{least} to {most}"),
        (true, false) => format!("at least {least}"),
        (false, true) => format!("at most {most}"),
        (false, false) => String::new(),
    }
}

fn notes(material: &Material) -> String {
    let mut text = material.note.clone();
    if !material.not_excluded.is_empty() {
        if !text.is_empty() {
            text.push_str("; ");
        }
        text.push_str("does not exclude ");
        text.push_str(&material.not_excluded.join(", "));
    }
    if !material.roles.is_empty() {
        if !text.is_empty() {
            text.push_str("; ");
        }
        let roles: Vec<&str> = material.roles.iter().map(|role| role.as_str()).collect();
        text.push_str("role: ");
        text.push_str(&roles.join(", "));
    }
    text
}

fn heading(rule: &Rule) -> String {
    let subjects = rule.subjects.join(", ");
    let against = rule.against.join(", ");
    let targets = rule.targets.join(", ");
    match (against.is_empty(), targets.is_empty()) {
        (true, true) => format!("**{}** {subjects}", rule.effect),
        (false, true) => format!("**{}** {subjects} over {against}", rule.effect),
        _ => format!("**{}** {targets} for {subjects}", rule.effect),
    }
}

fn write_questions(out: &mut String, questions: &Questions) -> fmt::Result {
    for question in &questions.questions {
        let part = match question.part {
            Part::All => "must be met",
            Part::Some => "counts",
        };
        writeln!(out, "- {} ({part}): {}", question.what, question.predicate)?;
    }
    if questions.least_some > 0 {
        writeln!(out, "\nOf those that count, at least {} must be met.", questions.least_some)?;
    }
    Ok(())
}

/// Writes source, status and note below a list of questions.
fn write_footing(out: &mut String, sourcing: &Sourcing, note: &str) -> fmt::Result {
    write!(out, "\nSource: {}; {}.", sourcing.printed(), sourcing.status)?;
    if !note.is_empty() {
        write!(out, " Note: {note}.")?;
    }
    writeln!(out, "\n")
}

fn found_by(components: &[String], questions: &Questions) -> String {
    let asked = questions.questions.iter().map(|x| x.what.clone());
    components.iter().cloned().chain(asked).collect::<Vec<_>>().join("; ")
}

/// What may be printed of a source.
fn source(sourcing: &Sourcing) -> String {
    cell(sourcing.printed())
}

/// Keeps a text inside its cell of a Markdown table.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace(['\n', '\r'], " ").replace('<', "&lt;")
}
