//! What every page of a command holds beside its findings: head, cautions, settings, foot.

use super::{Document, Kind, Table, Tone};
use crate::report::identification::Stamp;
use crate::tables::{CareTopic, Tables};

/// What is printed of a run on its page: program, table, date and settings.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct PageFrame<'a> {
    /// The tool, and the table that judged where one did.
    pub stamp: &'a Stamp,
    /// The table, from which cautions are taken; `None` where nothing was judged by it.
    pub tables: Option<&'a Tables>,
    /// The date printed, as text; empty prints none, and the same input gives the same bytes.
    pub date: &'a str,
    /// Settings that were chosen, each with its value.
    pub settings: &'a [(String, String)],
}

impl<'a> PageFrame<'a> {
    /// Creates the frame of a page without date and settings. Cautions are taken from the table: without one the page
    /// has none.
    #[must_use]
    pub fn new(stamp: &'a Stamp, tables: Option<&'a Tables>) -> Self {
        Self { stamp, tables, date: "", settings: &[] }
    }

    /// Sets the date printed.
    #[must_use]
    pub fn with_date(self, date: &'a str) -> Self {
        Self { date, ..self }
    }

    /// Sets the settings printed, each with its value.
    #[must_use]
    pub fn with_settings(self, settings: &'a [(String, String)]) -> Self {
        Self { settings, ..self }
    }
}

/// Two found bands nearer than this are one line of the strip at the head, in cm⁻¹.
const STRIP_STEP_CM1: f64 = 2.0;

impl Document {
    /// Sets the strip at the head from the bands found, in any order.
    pub(crate) fn strip(&mut self, found_cm1: impl Iterator<Item = f64>) {
        self.found_cm1 = found_cm1.filter(|position| position.is_finite()).collect();
        self.found_cm1.sort_by(f64::total_cmp);
        self.found_cm1.dedup_by(|next, kept| *next - *kept < STRIP_STEP_CM1);
    }

    /// Begins a page: its title, what kind it is (in a line, and in two words), and its foot.
    pub(crate) fn of_run(
        title: &str,
        kind: &'static str,
        short_kind: &'static str,
        frame: &PageFrame<'_>,
    ) -> Self {
        let stamp = frame.stamp;
        let mut foot = stamp.tool.clone();
        if !stamp.table_version.is_empty() {
            foot.push_str(&format!("; table {}", stamp.table()));
        }
        if !frame.date.is_empty() {
            foot.push_str(&format!("; {}", frame.date));
        }
        Self { kind, short_kind, title: title.to_owned(), foot, ..Self::default() }
    }

    /// Adds what the materials named may give off, where the table has a note that carries advice.
    pub(crate) fn cautions<'a>(
        &mut self,
        frame: &PageFrame<'_>,
        materials: impl IntoIterator<Item = &'a str>,
    ) {
        let Some(tables) = frame.tables else { return };
        let mut told: Vec<&str> = Vec::new();
        let mut table = Table::new(
            "What the materials named may give off",
            &[
                ("Material", Kind::Words, 18),
                ("Caution", Kind::Words, 54),
                ("Source", Kind::Words, 27),
            ],
        );
        for id in materials {
            if told.contains(&id) {
                continue;
            }
            told.push(id);
            let notes = tables.care_of(id).filter(|note| {
                note.topic == CareTopic::GivesOff
                    && !note.materials.is_empty()
                    && note.sourcing.carries_advice()
            });
            for note in notes {
                let source = sourced(note.sourcing.printed(), note.sourcing.status.as_str());
                table.rows.push(vec![id.into(), note.advice.as_str().into(), source.into()]);
            }
        }
        if table.rows.is_empty() {
            return;
        }
        self.heading(2, "Cautions", "cautions");
        self.text(CARE_IS_WEIGHED, Tone::Caution);
        self.table(table);
    }

    /// Adds the files behind the page, each with the face or spectrum it stands for and its digest.
    pub(crate) fn files(&mut self, files: Vec<(String, String, String)>) {
        self.heading(2, "Files", "files");
        self.table(Table::of(
            "Files read, with their digests",
            files,
            &[
                ("Spectrum", Kind::Words, 16, &|file| file.0.as_str().into()),
                ("File", Kind::Code, 36, &|file| file.1.as_str().into()),
                ("SHA-256", Kind::Code, 48, &|file| file.2.as_str().into()),
            ],
        ));
    }

    /// Ends a page with program, table and settings.
    pub(crate) fn how(&mut self, frame: &PageFrame<'_>) {
        self.heading(2, "How it was done", "method");
        let stamp = frame.stamp;
        let made = [
            ("Program", stamp.tool.as_str()),
            ("Table", &stamp.table_version),
            ("SHA-256 of the table", &stamp.table_sha256),
        ];
        let settings = frame.settings.iter().map(|(heading, text)| (heading.as_str(), &**text));
        let known = |(_, text): &(&str, &str)| !text.is_empty();
        let printed = [("Printed", frame.date)].into_iter().filter(known);
        self.pairs(made.into_iter().filter(known).chain(settings).chain(printed));
    }
}

/// Said before every list of care notes.
pub(crate) const CARE_IS_WEIGHED: &str = "Notes to weigh, not orders: the conservator in charge, local rules, safety data sheets and licensed \
     practice come first.";

/// A source with its status, where that limits it.
pub(crate) fn sourced(source: &str, status: &str) -> String {
    match status {
        "" | "verified" => source.to_owned(),
        other => format!("{source} [{other}]"),
    }
}
