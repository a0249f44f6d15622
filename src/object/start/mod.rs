//! Writes a first manifest from a folder of exports, with the warnings that come before measuring.

mod name;

use std::fmt::Write as _;
use std::path::Path;

use name::Named;

use super::error::Error;
use crate::read::{ReadOptions, read_path};

/// Name endings of files that a folder's spectra are looked for under.
pub const SPECTRUM_ENDINGS: [&str; 11] =
    ["asc", "csv", "dat", "dpt", "dx", "jcamp", "jcm", "jdx", "tsv", "txt", "xy"];

/// Files and rows listed at most; the same as the rows that a manifest may have.
const MOST_FILES: usize = 5_000;

/// The warnings at the head of a first manifest.
const HEAD: &str = r#"# A first manifest, to be filled in by hand. Blank fields are printed as "not recorded".
#
# Before anything is pressed against the object:
#   - ask for permission, and write it down below;
#   - never clamp a split, crazed, tacky or coated area: measure beside it, or a loose fragment;
#   - measure loose fragments first; least pressure that gives a signal, and note any mark left;
#   - no flame, solvent or scratch test on the object.
# The conservator in charge, local rules and safety data sheets come first.

[object]
title = ""
id = ""
date_made = ""
maker = ""
owner = ""
place = ""
dimensions = ""
description = ""
history = ""
permission = ""
examiner = ""
examined = ""
# For a replacement sheet: smallest radius in mm, to the concave face; does it curve in two directions?
# smallest_radius_mm = 900
# double_curvature = "no"
previous_report = ""
note = ""
# The polystyrene film of the day, for the wavenumber scale:
# film = "film.csv"

# How every spectrum was taken, where its own row does not say otherwise.
[measurement]
sampling = ""        # in situ, detached fragment, micro-sample
surface = ""         # as found, dusted, wiped
mark_left = ""
pressure = ""
instrument = ""
crystal = ""
angle = ""
detector = ""
resolution = ""
scans = ""
background_age = ""
temperature = ""
humidity = ""
operator = ""
date = ""
sample_kept = ""
"#;

const TAIL: &str = r#"
# What stands beside the parts. material: copper alloy, silver, lead, iron, cellulosic textile,
# silk or wool, leather, paper, calcareous, plastic. relation: touching, same enclosure, same room.
# [[neighbour]]
# name = "brass pinions"
# material = "copper alloy"
# beside = ["part id"]
# relation = "touching"

# Of a neighbour that is itself a part, write  part = "its id"  in the place of the material; what was
# seen on it goes into  seen = "tarnish".

# Colour readings, one a face: l, a, b or yellowness_index.
# [[colour]]
# part = "part id"
# face = "exposed"
# l = 91.2
# a = -0.9
# b = 7.4
# instrument = ""      # with illuminant and observer
# backing = ""
# date = ""

# A sheet that might replace a part. Its spectra name it as their part; faces: face a, face b, cut edge.
# [[candidate]]
# id = "N1"
# name = ""
# claimed = ""         # what the seller says: an id or a name of the table
# replaces = ["part id"]
# maker = ""
# grade = ""
# batch = ""
# process = ""         # cast, extruded, coextruded
# thickness_mm = 3.0
# thickness_tolerance_mm = 0.15
# uv_side = ""         # how the side with UV protection is marked
# masking_film = ""
# data_sheet_date = ""
# oddy_test = ""
# photographic_activity_test = ""
# off_cut = ""         # where one is kept
# fixing = ""
# adhesive_and_cleaner = ""
# reversibility = ""
# other_result = ""    # such as "DSC: no melting peak"
# xrf_chlorine = ""    # detected, not detected
# uv_visible = "sheet-uv.csv"          # nm and transmittance; a part may have one, too
# reference = "reference.csv"          # a spectrum that somebody vouches for
# reference_material = ""
# reference_vouched_by = ""

# Filled by the conservator, never computed.
[next_examination]
date = ""
who = ""
spots = ""
settings = ""
brought_forward_by = ""
"#;

/// Fields of a part that are offered, in the order of a sheet.
const PART_FIELDS: [&str; 14] = [
    "id",
    "name",
    "group",
    "said_to_be",
    "seen_discolouration",
    "seen_opacity",
    "seen_crazes",
    "seen_cracks",
    "seen_texture",
    "seen_distortion",
    "seen_bloom",
    "acid_indicator",
    "ph",
    "xrf_chlorine",
];

/// Fields of a neighbour, a candidate sheet and a colour reading, as sheets offer them.
const OTHER_SHEETS: [(&str, &str); 3] = [
    ("neighbours.csv", "name,material,part,beside,relation,seen"),
    (
        "candidates.csv",
        "id,name,claimed,replaces,maker,grade,batch,process,thickness_mm,thickness_tolerance_mm,\
         reference,reference_material,reference_vouched_by",
    ),
    ("colours.csv", "part,face,l,a,b,yellowness_index,instrument,backing,date"),
];

/// What the files of a folder are, as far as their names say it.
struct Found {
    parts: Vec<String>,
    spectra: Vec<Row>,
}

/// A row of the manifest: a file as the manifest names it, or one spectrum of it, with what its name says.
struct Row {
    file: String,
    block: Option<usize>,
    named: Named,
}

/// Looks through a folder for a manifest that will stand in `manifest_folder`, which holds it.
fn find(folder: &Path, manifest_folder: &Path) -> Result<Found, Error> {
    let before = below(folder, manifest_folder)?;
    let sheets =
        ["object.csv", "measurement.csv", "parts.csv", "spectra.csv", "next-examination.csv"];
    let sheets = || sheets.into_iter().chain(OTHER_SHEETS.map(|(name, _)| name));
    let mut files = crate::io::list_files(folder, &SPECTRUM_ENDINGS, MOST_FILES)?;
    files.retain(|file| !sheets().any(|sheet| sheet == file) && file != "references.csv");
    if files.is_empty() {
        let looked_for = SPECTRUM_ENDINGS.join(", ");
        return Err(Error::NothingToStartFrom { path: folder.to_owned(), looked_for });
    }
    let mut parts: Vec<String> = Vec::new();
    let mut spectra = Vec::new();
    for file in files {
        let mut named = name::read(&file);
        // "v01" beside "V01" is one part, spelt as it was met first.
        match parts.iter().find(|known| known.to_lowercase() == named.part.to_lowercase()) {
            Some(known) => named.part.clone_from(known),
            None => parts.push(named.part.clone()),
        }
        let blocks = blocks(&folder.join(&file));
        let file = format!("{before}{file}");
        if blocks.is_empty() {
            spectra.push(Row { file, block: None, named });
            continue;
        }
        for (at, title) in blocks.into_iter().enumerate() {
            let spot = title.unwrap_or_else(|| (at + 1).to_string());
            let spot = format!("{} {spot}", named.spot).trim().to_owned();
            let named = Named { spot, ..named.clone() };
            spectra.push(Row { file: file.clone(), block: Some(at + 1), named });
        }
    }
    spectra.truncate(MOST_FILES);
    Ok(Found { parts, spectra })
}

/// The titles of the spectra in a file that holds several, as far as they have any; of any other file none. A row of a
/// manifest is one spectrum: one that cannot be read has its row, too, so that the report says so.
fn blocks(path: &Path) -> Vec<Option<String>> {
    let title = |spectrum: crate::spectrum::Spectrum| {
        spectrum.provenance().title.as_deref().and_then(name::plain)
    };
    let spectra = read_path(path, &ReadOptions::default()).take(MOST_FILES);
    let titles: Vec<_> = spectra.map(|spectrum| spectrum.ok().and_then(title)).collect();
    if titles.len() > 1 { titles } else { Vec::new() }
}

/// The way from the manifest's folder down to the exports: "" or "clock/".
fn below(folder: &Path, manifest_folder: &Path) -> Result<String, Error> {
    let real = |path: &Path| crate::io::real_path(path).unwrap_or_else(|| path.to_owned());
    let (folder_real, manifest_real) = (real(folder), real(manifest_folder));
    let Ok(way) = folder_real.strip_prefix(&manifest_real) else {
        return Err(Error::ManifestElsewhere {
            folder: folder.to_owned(),
            manifest_folder: manifest_folder.to_owned(),
        });
    };
    let way: Vec<String> =
        way.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
    Ok(way.iter().fold(String::new(), |path, part| format!("{path}{part}/")))
}

/// Returns a first manifest, as TOML, for the spectra in a folder.
///
/// Paths start from `manifest_folder`, where the manifest will stand: the folder itself or one above it.
/// Part, face and spot are taken from the names as far as they say them ("Lens 1 outside b"); the rest is
/// left to be filled in.
///
/// # Errors
///
/// The folder cannot be read, holds no file that could be a spectrum, or does not lie in
/// `manifest_folder`.
pub fn first_manifest(folder: &Path, manifest_folder: &Path) -> Result<String, Error> {
    let found = find(folder, manifest_folder)?;
    let mut text = HEAD.to_owned();
    for id in &found.parts {
        let _ = write!(
            text,
            "\n[[part]]\nid = {}\nname = \"\"\ngroup = \"\"\nsaid_to_be = \"\"\nseen.discolouration = \"\"\n\
             seen.opacity = \"\"\nseen.crazes = \"\"\nseen.cracks = \"\"\nseen.texture = \"\"\n\
             seen.distortion = \"\"\nseen.bloom = \"\"\nacid_indicator = \"\"\nph = \"\"\n\
             xrf_chlorine = \"\"  # detected, not detected\n",
            toml_text(id)
        );
    }
    for Row { file, block, named } in &found.spectra {
        let _ = write!(
            text,
            "\n[[spectrum]]\nfile = {}\n{}part = {}\nface = \"{}\"\nspot = {}\n{}photo = \"\"\n\
             coordinates = \"\"\n",
            toml_text(file),
            block.map_or_else(String::new, |block| format!("block = {block}\n")),
            toml_text(&named.part),
            named.face,
            toml_text(&named.spot),
            if named.date.is_empty() {
                String::new()
            } else {
                format!("date = {}\n", toml_text(&named.date))
            },
        );
    }
    text.push_str(TAIL);
    Ok(text)
}

/// Returns a first manifest as CSV sheets, each with its file name, for the spectra in a folder.
///
/// # Errors
///
/// As [`first_manifest`].
pub fn first_sheets(
    folder: &Path,
    manifest_folder: &Path,
) -> Result<Vec<(&'static str, String)>, Error> {
    let found = find(folder, manifest_folder)?;
    let rows = |rows: Vec<Vec<String>>| -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        for row in rows {
            // Writing to memory cannot fail.
            let _ = writer.write_record(row);
        }
        String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
    };
    // The fields of the two tables that have one row stand in the TOML form already.
    let single = |table: &str| {
        let of = [HEAD, TAIL].into_iter().find(|text| text.contains(&format!("[{table}]\n")));
        let of = of.unwrap_or("").lines().skip_while(|line| *line != format!("[{table}]"));
        let fields = of
            .skip(1)
            .take_while(|line| !line.starts_with('['))
            .filter_map(|line| line.trim_start_matches("# ").split_once(" = "))
            .filter(|(field, _)| field.bytes().all(|b| b.is_ascii_lowercase() || b == b'_'))
            .map(|(field, _)| vec![field.to_owned(), String::new()]);
        rows([vec!["field".to_owned(), "value".to_owned()]].into_iter().chain(fields).collect())
    };
    let owned = |cells: &[&str]| cells.iter().map(|cell| (*cell).to_owned()).collect::<Vec<_>>();
    let parts = [owned(&PART_FIELDS)].into_iter().chain(found.parts.iter().map(|id| {
        let mut row = vec![String::new(); PART_FIELDS.len()];
        row[0].clone_from(id);
        row
    }));
    let fields = ["file", "block", "part", "face", "spot", "date", "photo", "coordinates"];
    let spectra = [owned(&fields)].into_iter().chain(found.spectra.iter().map(|row| {
        let Row { file, block, named } = row;
        let block = block.map_or_else(String::new, |block| block.to_string());
        owned(&[file, &block, &named.part, &named.face, &named.spot, &named.date, "", ""])
    }));
    let mut sheets = vec![
        ("object.csv", single("object")),
        ("measurement.csv", single("measurement")),
        ("parts.csv", rows(parts.collect())),
        ("spectra.csv", rows(spectra.collect())),
        ("next-examination.csv", single("next_examination")),
    ];
    sheets.extend(OTHER_SHEETS.map(|(name, heads)| (name, format!("{heads}\n"))));
    Ok(sheets)
}

/// Text as a TOML string, whatever the file name holds.
fn toml_text(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::object::Manifest;

    #[test]
    fn writes_a_manifest_that_reads_back() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["V01-exposed-a.csv", "V01-covered-a.dx", "b\"c.txt", "note.pdf", ".hidden.csv"]
        {
            std::fs::write(folder.path().join(name), "x").expect("written");
        }
        std::fs::create_dir(folder.path().join("day 2")).expect("a folder");
        std::fs::write(folder.path().join("day 2/F1.csv"), "x").expect("written");
        let text = first_manifest(folder.path(), folder.path()).expect("a manifest");
        assert!(text.contains("never clamp a split, crazed, tacky or coated area"));
        assert!(text.contains("loose fragments first"));
        let manifest = Manifest::from_toml(&text, "object.toml").expect("reads back");
        let files: Vec<&str> = manifest.spectra.iter().map(|s| s.file.as_str()).collect();
        assert_eq!(files, ["V01-covered-a.dx", "V01-exposed-a.csv", "b\"c.txt", "day 2/F1.csv"]);
        let parts: Vec<&str> = manifest.parts.iter().map(|p| p.id.as_str()).collect();
        assert_eq!(parts, ["V01", "bc", "F1"]);
        assert_eq!(manifest.spectra[1].face, crate::object::Face::Exposed);
        assert_eq!(manifest.spectra[1].spot, "a");
    }

    #[test]
    fn sheets_read_back_as_the_same_manifest() {
        let folder = tempfile::tempdir().expect("a folder");
        let exports = folder.path().join("clock");
        std::fs::create_dir(&exports).expect("a folder");
        for name in ["Lens 1 outside a.csv", "Lens 2 outside a.csv", "2026-03-10_part03.dx"] {
            std::fs::write(exports.join(name), "x").expect("written");
        }
        let toml = first_manifest(&exports, folder.path()).expect("a manifest");
        let toml = Manifest::from_toml(&toml, "object.toml").expect("reads back");
        let sheets = folder.path();
        for (name, text) in first_sheets(&exports, sheets).expect("sheets") {
            std::fs::write(sheets.join(name), text).expect("written");
        }
        // A table of one row has a line for each of its fields, those that are a remark in the TOML form too.
        let object = std::fs::read_to_string(sheets.join("object.csv")).expect("written");
        for field in ["title", "date_made", "smallest_radius_mm", "film"] {
            assert!(object.contains(&format!("\n{field},\n")), "{field}: {object}");
        }
        let read = crate::object::open_manifest(sheets).expect("opens").manifest;
        let spectra = |manifest: &Manifest| -> Vec<[String; 4]> {
            manifest
                .spectra
                .iter()
                .map(|s| [s.file.clone(), s.part.clone(), s.face.to_string(), s.spot.clone()])
                .collect()
        };
        assert_eq!(spectra(&read), spectra(&toml));
        assert_eq!(spectra(&read)[1], ["clock/Lens 1 outside a.csv", "Lens 1", "exposed", "a"]);
        assert_eq!(read.parts.len(), 3);
        // The sheets themselves are no spectra.
        assert_eq!(first_sheets(sheets, sheets).expect("again")[3].1.lines().count(), 4);
        assert!(first_manifest(sheets, &exports).is_err(), "paths would lead out of the folder");
    }

    #[test]
    fn a_file_of_several_spectra_has_a_row_for_each() {
        let folder = tempfile::tempdir().expect("a folder");
        let points = (0..80).map(|i| {
            let (at, t) = (4000 - 4 * i, 90 - i % 7);
            format!("{at},{t},{},{}\n", t + 1, t + 2)
        });
        let text = "cm-1,cover,pocket,%\n".to_owned() + &points.collect::<String>();
        std::fs::write(folder.path().join("binder b.csv"), text).expect("written");
        std::fs::write(folder.path().join("lamp.csv"), "x").expect("written");
        let rows = |manifest: &Manifest| -> Vec<(String, Option<usize>, String)> {
            let rows = manifest.spectra.iter();
            rows.map(|row| (row.file.clone(), row.block, row.spot.clone())).collect()
        };
        let text = first_manifest(folder.path(), folder.path()).expect("a manifest");
        let read = Manifest::from_toml(&text, "object.toml").expect("reads back");
        let binder = |block, spot: &str| ("binder b.csv".to_owned(), Some(block), spot.to_owned());
        let wanted = [
            binder(1, "b cover"),
            binder(2, "b pocket"),
            // A heading without a letter is no name of a spot.
            binder(3, "b 3"),
            ("lamp.csv".to_owned(), None, String::new()),
        ];
        assert_eq!(rows(&read), wanted);
        for (name, text) in first_sheets(folder.path(), folder.path()).expect("sheets") {
            std::fs::write(folder.path().join(name), text).expect("written");
        }
        let sheets = crate::object::open_manifest(folder.path()).expect("opens").manifest;
        assert_eq!(rows(&sheets), wanted);
    }

    #[test]
    fn everything_it_offers_in_comments_reads_back_too() {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("A-exposed.csv"), "x").expect("written");
        let text = first_manifest(folder.path(), folder.path()).expect("a manifest");
        // Lines of fields and tables are taken out of their comments, sentences stay.
        let offered: String = text
            .lines()
            .map(|line| match line.strip_prefix("# ") {
                Some(rest) if rest.starts_with("[[") => format!("{rest}\n"),
                Some(rest) if rest.split(" = ").next().is_some_and(is_field) => format!("{rest}\n"),
                _ => format!("{line}\n"),
            })
            .collect();
        let offered = offered.replace("part id", "A");
        let manifest = Manifest::from_toml(&offered, "object.toml").expect("reads back");
        assert_eq!(manifest.candidates[0].replaces, ["A"]);
        assert_eq!(manifest.candidates[0].reference, "reference.csv");
        assert_eq!(manifest.neighbours[0].beside, ["A"]);
        assert_eq!(manifest.colours[0].lightness, Some(91.2));
        assert_eq!(manifest.object.film, "film.csv");
        assert_eq!(manifest.object.smallest_radius_mm, Some(900.0));
    }

    fn is_field(text: &str) -> bool {
        !text.is_empty() && text.bytes().all(|b| b.is_ascii_lowercase() || b == b'_')
    }

    #[test]
    fn says_what_it_looked_for_in_an_empty_folder() {
        let folder = tempfile::tempdir().expect("a folder");
        let error = first_manifest(folder.path(), folder.path()).expect_err("empty");
        assert!(error.to_string().contains("looked for asc, csv"), "{error}");
    }
}
