//! Reads a manifest: TOML, or a folder of CSV sheets, as one set of records.

mod fields;
mod from_sheets;
mod from_toml;
mod open;
mod path;
mod rows;
mod schema_v1;

pub(super) use self::rows::unlike;
pub use open::{OpenedManifest, open_manifest};

use std::collections::{BTreeMap, BTreeSet};

use self::fields::{Fields, MODES, ORDINATES};
use self::rows::{Row, Section, twice};
use super::error::Error;
use super::record::{
    CandidateRecord, ColourReading, Manifest, NeighbourRecord, NextExamination, ObjectRecord,
    PartRecord, Seen, SpectrumRecord,
};
use crate::quote::in_marks;
use crate::tables::{Fault, Faults, NeighbourKind, NeighbourRelation};

impl Manifest {
    /// Reads a manifest written in TOML.
    ///
    /// `file` is the name that faults are reported under.
    ///
    /// # Errors
    ///
    /// [`Error::Faults`] lists every fault with its line: text that is not TOML, unknown tables and
    /// fields, values that a field cannot take, ids given twice or never, paths that lead out of the
    /// manifest's folder, more than 5,000 rows of one table.
    ///
    /// ```
    /// let manifest = bandlore::object::record::Manifest::from_toml(
    ///     r#"
    ///     [object]
    ///     title = "Lamp"
    ///     [[part]]
    ///     id = "shade"
    ///     [[spectrum]]
    ///     file = "shade-1.csv"
    ///     part = "shade"
    ///     face = "exposed"
    ///     "#,
    ///     "object.toml",
    /// )?;
    /// assert_eq!(manifest.spectra[0].face, bandlore::object::record::Face::Exposed);
    /// assert_eq!(bandlore::object::record::recorded(&manifest.object.maker), "not recorded");
    /// # Ok::<(), bandlore::object::Error>(())
    /// ```
    pub fn from_toml(text: &str, file: &str) -> Result<Self, Error> {
        from_toml::rows(text, file)
            .and_then(|rows| interpret(&rows, file))
            .map_err(|faults| Error::Faults(Faults::in_order(faults)))
    }
}

/// Reads a manifest from CSV sheets, each given with its table, file name and text.
fn from_sheets(sheets: &[(Section, String, String)], folder: &str) -> Result<Manifest, Error> {
    from_sheets::rows(sheets)
        .and_then(|rows| interpret(&rows, folder))
        .map_err(|faults| Error::Faults(Faults::in_order(faults)))
}

/// Turns rows into records, then checks what goes across rows.
fn interpret(rows: &[Row], file: &str) -> Result<Manifest, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut manifest = Manifest::default();
    let defaults = rows.iter().find(|row| row.section == Section::Measurement);
    for row in rows {
        let mut f = Fields::new(row, &mut faults);
        match row.section {
            Section::Object => manifest.object = object(&mut f),
            Section::Measurement => {
                let _ = spectrum_settings(&mut f, None);
            }
            Section::Part => manifest.parts.push(part(&mut f, row.line)),
            Section::Spectrum => manifest.spectra.push(spectrum(&mut f, defaults, row.line)),
            Section::Neighbour => manifest.neighbours.extend(neighbour(&mut f, row.line)),
            Section::Candidate => manifest.candidates.push(candidate(&mut f, row.line)),
            Section::Colour => manifest.colours.push(colour(&mut f, row.line)),
            Section::NextExamination => {
                manifest.next_examination = NextExamination {
                    date: f.text("date"),
                    who: f.text("who"),
                    spots: f.text("spots"),
                    settings: f.text("settings"),
                    brought_forward_by: f.text("brought_forward_by"),
                };
            }
        }
        f.finish();
    }
    across_rows(&manifest, rows, file, &mut faults);
    faults.sort_by(|a, b| (&a.file, a.line).cmp(&(&b.file, b.line)));
    if faults.is_empty() { Ok(manifest) } else { Err(faults) }
}

fn object(f: &mut Fields<'_>) -> ObjectRecord {
    ObjectRecord {
        title: f.text("title"),
        id: f.text("id"),
        date_made: f.text("date_made"),
        maker: f.text("maker"),
        owner: f.text("owner"),
        place: f.text("place"),
        dimensions: f.text("dimensions"),
        description: f.text("description"),
        history: f.text("history"),
        permission: f.text("permission"),
        examiner: f.text("examiner"),
        examined: f.text("examined"),
        smallest_radius_mm: f.length_mm("smallest_radius_mm", 0.0),
        double_curvature: f.yes_no("double_curvature"),
        previous_report: f.text("previous_report"),
        film: f.path("film"),
        note: f.text("note"),
    }
}

fn part(f: &mut Fields<'_>, line: usize) -> PartRecord {
    PartRecord {
        id: f.id("id"),
        name: f.text("name"),
        group: f.text("group"),
        said_to_be: f.text("said_to_be"),
        seen: Seen {
            discolouration: f.text("seen_discolouration"),
            opacity: f.text("seen_opacity"),
            crazes: f.text("seen_crazes"),
            cracks: f.text("seen_cracks"),
            texture: f.text("seen_texture"),
            distortion: f.text("seen_distortion"),
            bloom: f.text("seen_bloom"),
        },
        acid_indicator: f.text("acid_indicator"),
        ph: f.text("ph"),
        xrf_chlorine: f.xrf("xrf_chlorine"),
        uv_visible: f.path("uv_visible"),
        note: f.text("note"),
        line,
    }
}

/// How a spectrum was taken; blanks come from the table of defaults.
fn spectrum_settings(f: &mut Fields<'_>, defaults: Option<&Row>) -> SpectrumRecord {
    SpectrumRecord {
        sampling: f.text_or("sampling", defaults),
        surface: f.text_or("surface", defaults),
        mark_left: f.text_or("mark_left", defaults),
        pressure: f.text_or("pressure", defaults),
        instrument: f.text_or("instrument", defaults),
        crystal: f.text_or("crystal", defaults),
        angle: f.text_or("angle", defaults),
        detector: f.text_or("detector", defaults),
        resolution: f.text_or("resolution", defaults),
        scans: f.text_or("scans", defaults),
        background_age: f.text_or("background_age", defaults),
        temperature: f.text_or("temperature", defaults),
        humidity: f.text_or("humidity", defaults),
        operator: f.text_or("operator", defaults),
        date: f.text_or("date", defaults),
        sample_kept: f.text_or("sample_kept", defaults),
        ordinate: f.choice_or("ordinate", ORDINATES, defaults),
        mode: f.choice_or("mode", MODES, defaults),
        ..SpectrumRecord::default()
    }
}

fn spectrum(f: &mut Fields<'_>, defaults: Option<&Row>, line: usize) -> SpectrumRecord {
    let settings = spectrum_settings(f, defaults);
    let file = f.path("file");
    if file.is_empty() {
        f.fault(line, Section::Spectrum.without("file"));
    }
    let (face, face_words) = f.face("face");
    SpectrumRecord {
        file,
        block: f.count("block"),
        part: f.id("part"),
        spot: f.text("spot"),
        face,
        face_words,
        photo: f.text("photo"),
        coordinates: f.text("coordinates"),
        line,
        ..settings
    }
}

fn neighbour(f: &mut Fields<'_>, line: usize) -> Option<NeighbourRecord> {
    let name = f.text("name");
    let is_part = Some(f.text("part")).filter(|id| !id.is_empty());
    let material = f.choice("material", &spoken(NeighbourKind::ALL, NeighbourKind::as_str));
    let beside = f.ids("beside");
    let seen = f.text("seen");
    let nearness = f.choice("relation", &spoken(NeighbourRelation::ALL, NeighbourRelation::as_str));
    if is_part.is_none() && material.is_none() {
        f.fault(line, Section::Neighbour.without("material"));
    }
    let Some(nearness) = nearness else {
        f.fault(line, Section::Neighbour.without("relation"));
        return None;
    };
    let name = match (name.is_empty(), &is_part) {
        (false, _) => name,
        (true, Some(id)) => id.clone(),
        (true, None) => material.map_or_else(String::new, |kind| kind.as_str().replace('-', " ")),
    };
    Some(NeighbourRecord { name, is_part, material, beside, nearness, seen, line })
}

/// The words of a list of the table, as a person writes them: blanks for hyphens.
fn spoken<T: Copy>(all: &[T], word: fn(T) -> &'static str) -> Vec<(T, String)> {
    all.iter().map(|&value| (value, word(value).replace('-', " "))).collect()
}

fn candidate(f: &mut Fields<'_>, line: usize) -> CandidateRecord {
    CandidateRecord {
        id: f.id("id"),
        name: f.text("name"),
        claimed: f.text("claimed"),
        replaces: f.ids("replaces"),
        maker: f.text("maker"),
        grade: f.text("grade"),
        batch: f.text("batch"),
        process: f.text("process"),
        thickness_mm: f.length_mm("thickness_mm", 0.0),
        thickness_tolerance_mm: f.length_mm("thickness_tolerance_mm", -f64::MIN_POSITIVE),
        uv_side: f.text("uv_side"),
        masking_film: f.text("masking_film"),
        data_sheet_date: f.text("data_sheet_date"),
        oddy_test: f.text("oddy_test"),
        photographic_activity_test: f.text("photographic_activity_test"),
        off_cut: f.text("off_cut"),
        fixing: f.text("fixing"),
        adhesive_and_cleaner: f.text("adhesive_and_cleaner"),
        reversibility: f.text("reversibility"),
        other_result: f.text("other_result"),
        xrf_chlorine: f.xrf("xrf_chlorine"),
        uv_visible: f.path("uv_visible"),
        reference: f.path("reference"),
        reference_material: f.text("reference_material"),
        reference_vouched_by: f.text("reference_vouched_by"),
        line,
    }
}

fn colour(f: &mut Fields<'_>, line: usize) -> ColourReading {
    let (face, _) = f.face("face");
    ColourReading {
        part: f.id("part"),
        face,
        lightness: f.number("l"),
        a_star: f.number("a"),
        b_star: f.number("b"),
        yellowness_index: f.number("yellowness_index"),
        instrument: f.text("instrument"),
        backing: f.text("backing"),
        date: f.text("date"),
        line,
    }
}

/// Checks ids and files across rows: none twice, none missing.
fn across_rows(manifest: &Manifest, rows: &[Row], file: &str, faults: &mut Vec<Fault>) {
    let file_of = |section: Section| {
        rows.iter().find(|row| row.section == section).map_or(file, |row| row.file.as_str())
    };
    let mut push = |section: Section, line: usize, what: String| {
        faults.push(Fault::at(file_of(section), line, what));
    };
    let unknown = |field: &str, id: &str| {
        let id = in_marks(id);
        format!("{field}: no part or candidate is called {id}; add it, or mend the spelling")
    };
    let mut ids: BTreeMap<String, usize> = BTreeMap::new();
    let parts = manifest.parts.iter().map(|p| (Section::Part, &p.id, p.line));
    let candidates = manifest.candidates.iter().map(|c| (Section::Candidate, &c.id, c.line));
    for (section, id, line) in parts.chain(candidates) {
        // "v01" beside "V01" would be read as one part by people and as two by the tool.
        if let Some(first) = ids.insert(id.to_lowercase(), line) {
            push(section, line, twice("id", id, first));
        }
    }
    let known_ids: BTreeSet<&str> = manifest
        .parts
        .iter()
        .map(|p| p.id.as_str())
        .chain(manifest.candidates.iter().map(|c| c.id.as_str()))
        .collect();
    let mut files: BTreeMap<(&str, Option<usize>), usize> = BTreeMap::new();
    for s in &manifest.spectra {
        if !s.part.is_empty() && !known_ids.contains(s.part.as_str()) {
            push(Section::Spectrum, s.line, unknown("part", &s.part));
        }
        if !s.file.is_empty()
            && let Some(first) = files.insert((&s.file, s.block), s.line)
        {
            push(Section::Spectrum, s.line, twice("file", &s.file, first));
        }
    }
    for n in &manifest.neighbours {
        for (field, id) in
            n.beside.iter().map(|id| ("beside", id)).chain(n.is_part.iter().map(|id| ("part", id)))
        {
            if !known_ids.contains(id.as_str()) {
                push(Section::Neighbour, n.line, unknown(field, id));
            }
        }
    }
    for c in &manifest.candidates {
        for id in c.replaces.iter().filter(|id| !manifest.parts.iter().any(|p| p.id == **id)) {
            push(Section::Candidate, c.line, unknown("replaces", id));
        }
    }
    for c in &manifest.colours {
        if !c.part.is_empty() && !known_ids.contains(c.part.as_str()) {
            push(Section::Colour, c.line, unknown("part", &c.part));
        }
    }
    if manifest.parts.is_empty() && manifest.candidates.is_empty() {
        push(Section::Part, 1, Section::Object.without("parts"));
    }
}
