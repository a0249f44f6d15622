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
        writeln!(
            out,
            "| id | name | kind | chlorine | answer | look-alike group | bands | note |"
        )?;
        writeln!(out, "|---|---|---|---|---|---|---|---|")?;
        for material in self.materials() {
            writeln!(
                out,
                "| {} | {} | {} | {} | {} | {} | {} | {} |",
                material.id,
                cell(&material.name),
                material.kind,
                if material.chlorine { "yes" } else { "no" },
                if material.nameable { "yes" } else { "listed only" },
                material.group.as_deref().unwrap_or(""),
                self.bands_of(&material.id).len(),
                cell(&notes(material)),
            )?;
        }
        Ok(())
    }

    fn write_groups(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "## Look-alike groups\n")?;
        writeln!(
            out,
            "| group | members | what tells them | what would settle it | source | status |"
        )?;
        writeln!(out, "|---|---|---|---|---|---|")?;
        for group in self.groups() {
            writeln!(
                out,
                "| {} | {} | {} | {} | {} |",
                group.id,
                group.members.join(", "),
                cell(&group.feature),
                cell(&group.settled_by),
                source(&group.sourcing)
            )?;
        }
        Ok(())
    }

    fn write_windows(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Windows that tell look-alikes\n")?;
        writeln!(
            out,
            "Where a reference that somebody vouches for may settle a claim. A group without windows cannot \
             be settled by a reference.\n"
        )?;
        writeln!(out, "| group | cm⁻¹ | what absorbs there | source | status | note |")?;
        writeln!(out, "|---|---|---|---|---|---|")?;
        for row in self.windows() {
            writeln!(
                out,
                "| {} | {}–{} | {} | {} | {} |",
                row.group,
                row.window.low_cm1,
                row.window.high_cm1,
                cell(&row.shows),
                source(&row.sourcing),
                cell(&row.note)
            )?;
        }
        Ok(())
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
        writeln!(
            out,
            "| id | materials | what it follows | read as | over | ageing | limits | source | status |"
        )?;
        writeln!(out, "|---|---|---|---|---|---|---|---|---|")?;
        for marker in self.markers() {
            let read =
                |x: &super::Measure| format!("{} {}, baseline {}", x.kind, x.limits, x.baseline);
            writeln!(
                out,
                "| {} | {} | {} | {} | {} | {} | {} | {} |",
                marker.id,
                if marker.materials.is_empty() {
                    "any".to_owned()
                } else {
                    marker.materials.join(", ")
                },
                cell(&marker.shows),
                read(&marker.measure),
                marker.reference.as_ref().map(read).unwrap_or_default(),
                marker.direction,
                marker.limits_from,
                source(&marker.sourcing)
            )?;
        }
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
        writeln!(
            out,
            "| role | cm⁻¹ | position | in transmission | share | height | what absorbs there | source | status | note |"
        )?;
        writeln!(out, "|---|---|---|---|---|---|---|---|---|---|")?;
        for row in &self.rows.stretches {
            let of = &row.stretch;
            let number = |x: f64| if x == 0.0 { String::new() } else { x.to_string() };
            let ends = |(low, high): (f64, f64)| {
                if high == 0.0 { String::new() } else { format!("{low}–{high}") }
            };
            let shows = if row.set.is_empty() {
                cell(&of.shows)
            } else {
                format!("{}: {}", cell(&row.set), cell(&of.shows))
            };
            writeln!(
                out,
                "| {} | {} | {} | {} | {} | {} | {shows} | {} | {} |",
                row.role,
                ends(of.cm1),
                number(of.position_cm1),
                ends(of.transmission_cm1),
                share_words(of.least, of.most),
                number(of.height),
                source(&row.sourcing),
                cell(&row.note)
            )?;
        }
        writeln!(out, "\n### Places where C–Cl rises above what lies beside it\n")?;
        writeln!(
            out,
            "| id | asked | side below | place | side above | least rise of poly(vinyl chloride) | spread | what stands there | source | status | note |"
        )?;
        writeln!(out, "|---|---|---|---|---|---|---|---|---|---|---|")?;
        for row in self.places() {
            let ends = |(low, high): (f64, f64)| format!("{low}–{high}");
            writeln!(
                out,
                "| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} |",
                row.id,
                row.asked,
                ends(row.below_cm1),
                ends(row.at_cm1),
                ends(row.above_cm1),
                row.least_rise,
                row.spread,
                cell(&row.shows),
                source(&row.sourcing),
                cell(&row.note)
            )?;
        }
        Ok(())
    }

    fn write_care(&self, out: &mut String) -> fmt::Result {
        writeln!(out, "\n## Care notes\n")?;
        writeln!(
            out,
            "They defer to the conservator in charge, local rules, safety data sheets and licensed \
             practice.\n"
        )?;
        writeln!(out, "| materials | about | note | source | status |")?;
        writeln!(out, "|---|---|---|---|---|")?;
        for note in self.care() {
            let materials = if note.materials.is_empty() {
                "any".to_owned()
            } else {
                note.materials.join(", ")
            };
            let sourced = source(&note.sourcing);
            writeln!(out, "| {materials} | {} | {} | {sourced} |", note.topic, cell(&note.advice))?;
        }
        writeln!(out, "\n## Neighbours at risk\n")?;
        writeln!(out, "| from | to | what may happen | do first | source | status |")?;
        writeln!(out, "|---|---|---|---|---|---|")?;
        for rule in self.neighbours() {
            let sourced = source(&rule.sourcing);
            let (risk, advice) = (cell(&rule.risk), cell(&rule.advice));
            let from = rule.from.join(", ");
            writeln!(out, "| {from} | {} | {risk} | {advice} | {sourced} |", rule.neighbour)?;
        }
        writeln!(out, "\n## Smallest radius of a held sheet, as a multiple of its thickness\n")?;
        writeln!(out, "| material | grade | radius over thickness | source | status |")?;
        writeln!(out, "|---|---|---|---|---|")?;
        for limit in self.bending() {
            let sourced = source(&limit.sourcing);
            let (grade, multiple) = (cell(&limit.grade), limit.radius_multiple);
            writeln!(out, "| {} | {grade} | {multiple} | {sourced} |", limit.material)?;
        }
        Ok(())
    }
}

fn write_bands(out: &mut String, bands: &[&Band]) -> fmt::Result {
    writeln!(
        out,
        "| band | ATR window | transmission window | strength | width | vibration | role | height (10–90 %, n) | status | source | note |"
    )?;
    writeln!(out, "|---|---|---|---|---|---|---|---|---|---|---|")?;
    for band in bands {
        let ends = |x: &super::Window| format!("{}–{}", x.low_cm1, x.high_cm1);
        let height = band
            .height
            .as_ref()
            .map(|x| format!("{:.2} ({:.2}–{:.2}, {})", x.median, x.low, x.high, x.n));
        writeln!(
            out,
            "| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} |",
            band.position_cm1,
            ends(&band.atr),
            ends(&band.transmission),
            band.strength,
            band.width,
            cell(&vibration(band)),
            band.role,
            height.unwrap_or_default(),
            band.sourcing.status,
            cell(&band.sourcing.source),
            cell(&band.note)
        )?;
    }
    Ok(())
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

/// Writes the two cells of a source: what may be printed of it, and the status.
fn source(sourcing: &Sourcing) -> String {
    format!("{} | {}", cell(sourcing.printed()), sourcing.status)
}

/// Keeps a text inside its cell of a Markdown table.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace(['\n', '\r'], " ").replace('<', "&lt;")
}
