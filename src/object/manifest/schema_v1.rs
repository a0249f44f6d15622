//! The schema of a manifest in TOML, for editors; its keys are compared with those that are read.
#![cfg(test)]

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use serde_json::Value;

use super::fields::{FACES, MODES, ORDINATES, XRF};
use super::rows::Section;
use super::{NeighbourKind, NeighbourRelation, Row, interpret, spoken};

/// Set to anything to write the schema anew instead of comparing it.
const RENEW: &str = "BANDLORE_RENEW_SCHEMA";

/// Text, or what TOML writes without quotes.
#[derive(JsonSchema, Serialize)]
#[serde(untagged)]
#[allow(dead_code, reason = "only its schema is used")]
enum Plain {
    Text(String),
    Number(f64),
    YesNo(bool),
}

/// Ids, in a list or between semicolons.
#[derive(JsonSchema, Serialize)]
#[serde(untagged)]
#[allow(dead_code, reason = "only its schema is used")]
enum Ids {
    List(Vec<String>),
    Text(String),
}

/// A number, also as text with a decimal comma.
#[derive(JsonSchema, Serialize)]
#[serde(untagged)]
#[allow(dead_code, reason = "only its schema is used")]
enum Number {
    Number(f64),
    Text(String),
}

/// One table of keys; `$required` must be there.
macro_rules! table {
    ($(#[$doc:meta])* $name:ident { $($required:ident: $of:ty),* ; $($optional:ident: $may:ty),* $(,)? }) => {
        $(#[$doc])*
        #[derive(JsonSchema, Serialize)]
        #[schemars(deny_unknown_fields)]
        #[allow(dead_code, reason = "only its schema is used")]
        struct $name {
            $($required: $of,)*
            $(#[serde(skip_serializing_if = "Option::is_none")] $optional: Option<$may>,)*
        }
    };
}

table! {
    /// The manifest of an object: its parts and what was measured on them.
    ManifestFile { ; object: Object, measurement: Measurement, part: Vec<Part>, spectrum: Vec<SpectrumRow>,
        neighbour: Vec<Neighbour>, candidate: Vec<Candidate>, colour: Vec<Colour>,
        next_examination: NextExamination }
}
table! {
    /// The object as a whole.
    Object { ; title: Plain, id: Plain, date_made: Plain, maker: Plain, owner: Plain, place: Plain,
        dimensions: Plain, description: Plain, history: Plain, permission: Plain, examiner: Plain,
        examined: Plain, smallest_radius_mm: Number, double_curvature: Plain, previous_report: Plain,
        film: String, note: Plain }
}
table! {
    /// How every spectrum was taken, where its own row does not say otherwise.
    Measurement { ; sampling: Plain, surface: Plain, mark_left: Plain, pressure: Plain, instrument: Plain,
        crystal: Plain, angle: Plain, detector: Plain, resolution: Plain, scans: Plain,
        background_age: Plain, temperature: Plain, humidity: Plain, operator: Plain, date: Plain,
        sample_kept: Plain, ordinate: String, mode: String }
}
table! {
    /// What the eye sees on a part.
    Seen { ; discolouration: Plain, opacity: Plain, crazes: Plain, cracks: Plain, texture: Plain,
        distortion: Plain, bloom: Plain }
}
table! {
    /// One part of the object.
    Part { id: Plain ; name: Plain, group: Plain, said_to_be: Plain, seen: Seen, seen_discolouration: Plain,
        seen_opacity: Plain, seen_crazes: Plain, seen_cracks: Plain, seen_texture: Plain,
        seen_distortion: Plain, seen_bloom: Plain, acid_indicator: Plain, ph: Plain, xrf_chlorine: String,
        uv_visible: String, note: Plain }
}
table! {
    /// One spectrum: where and how it was taken.
    SpectrumRow { file: String, part: Plain ; block: u32, face: String, spot: Plain, photo: Plain,
        coordinates: Plain, sampling: Plain, surface: Plain, mark_left: Plain, pressure: Plain,
        instrument: Plain, crystal: Plain, angle: Plain, detector: Plain, resolution: Plain, scans: Plain,
        background_age: Plain, temperature: Plain, humidity: Plain, operator: Plain, date: Plain,
        sample_kept: Plain, ordinate: String, mode: String }
}
table! {
    /// What stands beside one or more parts.
    Neighbour { relation: String ; name: Plain, part: Plain, material: String, beside: Ids, seen: Plain }
}
table! {
    /// A sheet that might replace a part.
    Candidate { id: Plain ; name: Plain, claimed: Plain, replaces: Ids, maker: Plain, grade: Plain,
        batch: Plain, process: Plain, thickness_mm: Number, thickness_tolerance_mm: Number, uv_side: Plain,
        masking_film: Plain, data_sheet_date: Plain, oddy_test: Plain, photographic_activity_test: Plain,
        off_cut: Plain, fixing: Plain, adhesive_and_cleaner: Plain, reversibility: Plain,
        other_result: Plain, xrf_chlorine: String, uv_visible: String, reference: String,
        reference_material: Plain, reference_vouched_by: Plain }
}
table! {
    /// One colour reading.
    Colour { part: Plain ; face: String, l: Number, a: Number, b: Number, yellowness_index: Number,
        instrument: Plain, backing: Plain, date: Plain }
}
table! {
    /// The next examination: filled by the conservator, never computed.
    NextExamination { ; date: Plain, who: Plain, spots: Plain, settings: Plain, brought_forward_by: Plain }
}

/// The words of each closed field, as they are read.
fn words() -> Vec<(&'static str, &'static str, Vec<String>)> {
    fn of<T>(list: &[(T, &str)]) -> Vec<String> {
        list.iter().map(|(_, word)| (*word).to_owned()).collect()
    }
    let kinds = spoken(NeighbourKind::ALL, NeighbourKind::as_str);
    let relations = spoken(NeighbourRelation::ALL, NeighbourRelation::as_str);
    vec![
        ("SpectrumRow", "face", of(FACES)),
        ("Colour", "face", of(FACES)),
        ("SpectrumRow", "ordinate", of(ORDINATES)),
        ("Measurement", "ordinate", of(ORDINATES)),
        ("SpectrumRow", "mode", of(MODES)),
        ("Measurement", "mode", of(MODES)),
        ("Part", "xrf_chlorine", of(XRF)),
        ("Candidate", "xrf_chlorine", of(XRF)),
        ("Neighbour", "material", kinds.into_iter().map(|(_, word)| word).collect()),
        ("Neighbour", "relation", relations.into_iter().map(|(_, word)| word).collect()),
    ]
}

fn schema() -> Value {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let mut schema = generator.into_root_schema_for::<ManifestFile>().to_value();
    schema["title"] = "bandlore manifest v1".into();
    for (table, field, words) in words() {
        // A blank is "not recorded"; a capital or a hyphen is read as well, but not offered.
        let words: Vec<String> = std::iter::once(String::new()).chain(words).collect();
        let cell = &mut schema["$defs"][table]["properties"][field];
        assert!(cell.is_object(), "{table}.{field}");
        *cell = serde_json::json!({ "type": "string", "enum": words });
    }
    schema
}

#[test]
fn the_committed_schema_of_the_manifest_is_current() {
    let mut text = serde_json::to_string_pretty(&schema()).expect("JSON");
    text.push('\n');
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/v1/manifest.json");
    if std::env::var_os(RENEW).is_some() {
        std::fs::write(&path, &text).expect("writable");
    }
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(committed, text, "schema/v1/manifest.json is not current; set {RENEW} to renew it");
}

#[test]
fn the_schema_holds_every_key_that_is_read_and_no_other() {
    let schema = schema();
    let tables = &schema["properties"];
    let mut seen = BTreeMap::new();
    for section in Section::ALL {
        let mut row = Row::new(section, "object.toml", 1);
        row.insert("no_such_key", "x", 1, &mut Vec::new());
        let faults = interpret(&[row], "object.toml").expect_err("an unknown field");
        let known = faults.iter().find_map(|fault| fault.what.split_once("; known: "));
        let (_, known) = known.expect("the keys that are read");
        let read: BTreeSet<String> = known.split(", ").map(str::to_owned).collect();
        let text = tables[section.name()].to_string();
        let name = text.split("#/$defs/").nth(1).and_then(|rest| rest.split('"').next());
        let table = &schema["$defs"][name.expect("a table of the schema")];
        let mut keys: BTreeSet<String> =
            table["properties"].as_object().expect("keys").keys().cloned().collect();
        // [part.seen] is one way to write seen_cracks and the others.
        if section == Section::Part && keys.remove("seen") {
            let inner = schema["$defs"]["Seen"]["properties"].as_object().expect("keys");
            for key in inner.keys() {
                assert!(keys.contains(&format!("seen_{key}")), "seen.{key}");
            }
        }
        assert_eq!(keys, read, "{}", section.name());
        seen.insert(section.name(), ());
    }
    assert_eq!(tables.as_object().map(serde_json::Map::len), Some(seen.len()));
}
