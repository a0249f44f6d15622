//! Writes a first manifest from a folder of exports, with the warnings that come before measuring.

use std::fmt::Write as _;
use std::path::Path;

use super::error::Error;

/// Endings of files that may hold spectra.
const ENDINGS: &[&str] = &["csv", "txt", "tsv", "dat", "dpt", "asp", "dx", "jdx", "jcm"];

/// Files listed at most; the same as the rows that a manifest may have.
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
# claimed = "PETG"     # an id of the table
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
# uv_visible = "sheet-uv.csv"          # nm and transmittance; a part may have one, too
# reference = "reference.csv"          # a spectrum that somebody vouches for
# reference_material = "PETG"
# reference_vouched_by = ""

# Filled by the conservator, never computed.
[next_examination]
date = ""
who = ""
spots = ""
settings = ""
brought_forward_by = ""
"#;

/// Returns a first manifest for the spectra in a folder.
///
/// Files whose names begin alike up to the first separator are put down as one part; faces and
/// spots are left to be filled in, except where the name says them (exposed, reverse, covered).
///
/// # Errors
///
/// The folder cannot be read, or holds no file that could be a spectrum.
pub fn first_manifest(folder: &Path) -> Result<String, Error> {
    let files = crate::io::list_files(folder, ENDINGS, MOST_FILES)?;
    if files.is_empty() {
        let looked_for = ENDINGS.join(", ");
        return Err(Error::NothingToStartFrom { path: folder.to_owned(), looked_for });
    }
    let mut parts: Vec<String> = Vec::new();
    let mut spectra = String::new();
    for file in &files {
        let id = part_of(file);
        if !parts.contains(&id) {
            parts.push(id.clone());
        }
        let lower = file.to_lowercase();
        let face = ["exposed", "reverse", "covered", "outside", "bore"]
            .into_iter()
            .find(|face| lower.contains(face))
            .unwrap_or("unknown");
        let _ = write!(
            spectra,
            "\n[[spectrum]]\nfile = {}\npart = {}\nface = \"{face}\"\nspot = \"\"\n\
             photo = \"\"\ncoordinates = \"\"\n",
            toml_text(file),
            toml_text(&id)
        );
    }
    let mut text = HEAD.to_owned();
    for id in &parts {
        let _ = write!(
            text,
            "\n[[part]]\nid = {}\nname = \"\"\ngroup = \"\"\nsaid_to_be = \"\"\nseen.discolouration = \"\"\n\
             seen.opacity = \"\"\nseen.crazes = \"\"\nseen.cracks = \"\"\nseen.texture = \"\"\n\
             seen.distortion = \"\"\nseen.bloom = \"\"\nacid_indicator = \"\"\nph = \"\"\n\
             xrf_chlorine = \"\"  # detected, not detected\n",
            toml_text(id)
        );
    }
    text.push_str(&spectra);
    text.push_str(TAIL);
    Ok(text)
}

/// The part that a file name seems to speak of: its stem up to the first separator.
fn part_of(file: &str) -> String {
    let stem = Path::new(file).file_stem().and_then(|s| s.to_str()).unwrap_or(file);
    let id: String = stem
        .split(['-', '_', ' '])
        .next()
        .unwrap_or(stem)
        .chars()
        .filter(|c| c.is_alphanumeric() || *c == '.')
        .take(40)
        .collect();
    let id = id.trim_start_matches('.');
    if id.is_empty() { "part".to_owned() } else { id.to_owned() }
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
        let text = first_manifest(folder.path()).expect("a manifest");
        assert!(text.contains("never clamp a split, crazed, tacky or coated area"));
        assert!(text.contains("loose fragments first"));
        let manifest = Manifest::from_toml(&text, "object.toml").expect("reads back");
        let files: Vec<&str> = manifest.spectra.iter().map(|s| s.file.as_str()).collect();
        assert_eq!(files, ["V01-covered-a.dx", "V01-exposed-a.csv", "b\"c.txt", "day 2/F1.csv"]);
        let parts: Vec<&str> = manifest.parts.iter().map(|p| p.id.as_str()).collect();
        assert_eq!(parts, ["V01", "bc", "F1"]);
    }

    #[test]
    fn everything_it_offers_in_comments_reads_back_too() {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("A-exposed.csv"), "x").expect("written");
        let text = first_manifest(folder.path()).expect("a manifest");
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
        let error = first_manifest(folder.path()).expect_err("empty");
        assert!(error.to_string().contains("looked for csv, txt"), "{error}");
    }
}
