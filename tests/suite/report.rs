//! The identification writers on one hand-made report. The report's numbers are invented.
//!
//! What they make is kept in `tests/golden/writers` and renewed by hand only (`BANDLORE_RENEW_WRITTEN=1 cargo test --test
//! suite report`).

use std::path::Path;

use bandlore::{
    Identification, Spectrum,
    fitness::{Finding, Severity},
    judge::{
        BandEvidence, BandState, Chlorine, ChlorineBands, ChlorineByIdentity, Component, Outcome,
        Plasticiser, Ranked, Relation, RuleAnswer, Unsettled,
    },
    report::{
        Style,
        identification::{
            CsvWriter, IdentificationEntry, IdentificationWriter, JsonLinesWriter, JsonWriter,
            MarkdownWriter, Stamp, TextWriter, WriteOptions, write_identifications,
        },
    },
    spectrum::{Ordinate, Origin, SpectrumParts, Step, Warning},
    tables::look_alikes::Verdict,
};
use serde_json::json;

use crate::stated::stated;
use crate::to_validate::left_to_be_validated;

/// With this set, what the writers make is kept anew.
const RENEW: &str = "BANDLORE_RENEW_WRITTEN";

/// Compares what a writer made with what is kept of it in `tests/golden/writers`.
fn holds_what_is_kept(name: &str, made: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/writers").join(name);
    if std::env::var_os(RENEW).is_some() {
        std::fs::write(&path, made).expect("written");
    }
    let kept = std::fs::read_to_string(&path).expect("kept");
    let lines = kept.lines().zip(made.lines());
    if let Some((i, (kept, made))) = lines.enumerate().find(|(_, (kept, made))| kept != made) {
        panic!("{name}:{}: kept\n  {kept}\nbut now\n  {made}\nset {RENEW} to renew it", i + 1);
    }
    assert!(kept == made, "{name} ends elsewhere: {made}\nset {RENEW} to renew it");
}

fn band(expected: f64, assignment: &str, state: BandState, note: &str) -> BandEvidence {
    let met = state == BandState::Met;
    stated(json!({
        "band": format!("PVC-{expected:.0}"),
        "expected_cm1": expected,
        "assignment": assignment,
        "state": state,
        "found_cm1": met.then_some(expected + 0.4),
        "share": met.then_some(0.612),
        "note": note,
        "depth_um": met.then_some(2005.0 / expected),
        "status": if expected > 1000.0 { "memory" } else { "verified" },
    }))
}

fn ranked(material: &str, score: f64, bands: &[BandEvidence]) -> Ranked {
    stated(json!({ "material": material, "score": score, "evidence": bands }))
}

fn unsettled(feature: &str, settled_by: &str) -> Unsettled {
    stated(json!({ "feature": feature, "settled_by": settled_by }))
}

fn stamp() -> Stamp {
    let mut stamp = Stamp::new("2026.1", &"ab".repeat(32));
    stamp.tool = "bandlore 0.0.0".to_owned();
    stamp.material_names.insert("PVC".into(), "poly(vinyl chloride)".into());
    stamp.material_names.insert("plasticiser-ortho-phthalate".into(), "ortho-phthalate".into());
    stamp
}

fn pvc() -> Identification {
    let bands = vec![
        band(613.0, "C–Cl stretch", BandState::Met, ""),
        band(635.0, "C–Cl stretch", BandState::Untestable, "not measured below 640 cm⁻¹"),
        band(
            962.0,
            "CH₂ rock, with a long tail of words to force a second line",
            BandState::Met,
            "",
        ),
        band(1254.0, "CH bend beside Cl", BandState::Missing, "under 3 times the noise"),
    ];
    let component = |id: &str, role: &str, relation: Relation, bands: &[BandEvidence]| {
        stated::<Component>(
            json!({ "id": id, "role": role, "relation": relation, "evidence": bands }),
        )
    };
    let chlorine: Chlorine = stated(json!({
        "bands": ChlorineBands::Present,
        "by_identity": ChlorineByIdentity::Yes,
        "why": "613 cm⁻¹ stands 41 times above the noise.",
    }));
    let rule: RuleAnswer = stated(json!({
        "rule": "pvc-c-cl",
        "question": "is 613 cm⁻¹ wider than 12 cm⁻¹?",
        "verdict": Verdict::Yes,
        "values": [("width", 28.4)],
        "note": "broad as in the polymer",
    }));
    stated(json!({
        "outcome": Outcome::Identified,
        "material": "PVC",
        "candidates": [],
        "components": [
            component("PVC", "polymer", Relation::Main, &bands),
            component("plasticiser-ortho-phthalate", "additive", Relation::Within, &[]),
        ],
        "ranking": [ranked("PVC", 0.912_345, &bands), ranked("VCVAC", 0.61, &[])],
        "chlorine": chlorine,
        "plasticiser": Plasticiser::Class { id: "plasticiser-ortho-phthalate".into() },
        "sentence": "The surface is characteristic of poly(vinyl chloride) with an \
                     ortho-phthalate plasticiser.",
        "unsettled": unsettled("copolymer share", "another spot with better contact"),
        "unexplained": [(1540.2, 0.08)],
        "remarks": [],
        "rules": [rule],
    }))
}

fn entries() -> Vec<IdentificationEntry> {
    let axis: Vec<f64> = (0..1762).map(|i| 600.0 + 1.93 * f64::from(i)).chain([4000.0]).collect();
    let mut parts = SpectrumParts::new(axis, vec![0.0; 1763]);
    parts.provenance.file = "V01-exposed.csv".into();
    parts.provenance.title = Some("V01 exposed, spot 1".into());
    parts.provenance.sha256 = "cd".repeat(32);
    parts.ordinate = (Ordinate::Absorbance, Origin::File);
    parts.warnings =
        vec![Warning::new("mode-assumed", "nothing says how it was measured; read as ATR")];
    let spectrum = Spectrum::new(parts).expect("valid");
    let finding: Finding = stated(json!({
        "id": "water-vapour",
        "value": 4.2,
        "limit": 3.0,
        "unit": "× noise",
        "severity": Severity::Limits,
        "consequence": "carbonyl markers unsafe",
        "remedy": "purge and repeat the background",
    }));
    let mut judged = IdentificationEntry::judged(&spectrum, vec![finding], pvc());
    judged.steps = vec![Step::new("smooth").with("window", 9).with("order", 3)];
    vec![
        judged,
        IdentificationEntry::failed("photo.jpg", 1, "photo.jpg: not text (byte 0xFF at offset 0)"),
    ]
}

fn written(writer: &mut dyn IdentificationWriter, entries: &[IdentificationEntry]) -> String {
    let mut out = Vec::new();
    write_identifications(writer, &stamp(), entries, &mut out).expect("memory is writable");
    String::from_utf8(out).expect("utf-8")
}

fn everything() -> WriteOptions {
    WriteOptions::default().with_explain(true).with_verbose(true)
}

fn evidence() -> WriteOptions {
    WriteOptions::default().with_evidence(true)
}

/// Two look-alikes that share one peak.
fn look_alikes() -> Identification {
    let mut found = pvc();
    found.outcome = Outcome::Narrowed;
    found.material = None;
    found.candidates = vec!["PE-HD".into(), "PE-LD".into()];
    found.components.clear();
    found.plasticiser = None;
    found.ranking = vec![
        ranked("PE-HD", 0.8, &[band(2916.0, "CH₂", BandState::Met, "")]),
        ranked(
            "PE-LD",
            0.7,
            &[
                band(2916.0, "CH₂", BandState::Met, ""),
                band(1377.0, "CH₃ umbrella", BandState::Missing, ""),
            ],
        ),
        ranked("PP", 0.2, &[band(1167.0, "CH₃ rock", BandState::Missing, "")]),
    ];
    found
}

/// An entry with more to say than any screen holds.
fn overloaded() -> IdentificationEntry {
    let mut entry = entries().remove(0);
    let mut found = pvc();
    let long = "a reason that goes on and on, clause after clause, ".repeat(12);
    found.chlorine.why = long.clone();
    found.unsettled = Some(unsettled(&long, &long));
    found.unexplained = (0..30).map(|i| (500.0 + 10.0 * f64::from(i), 0.2)).collect();
    let many: Vec<BandEvidence> = (0..40)
        .map(|i| {
            let state = [BandState::Met, BandState::Missing, BandState::Untestable][i % 3];
            band(3000.0 - 50.0 * i as f64, &long, state, &long)
        })
        .collect();
    for component in &mut found.components {
        component.evidence.clone_from(&many);
    }
    found.ranking[0].evidence.clone_from(&many);
    found.plasticiser = Some(Plasticiser::NotTestable { why: long.clone() });
    entry.title = Some(long.clone());
    entry.identification = Some(found);
    entry.findings = (0..9)
        .map(|i| {
            let mut finding = entry.findings[0].clone();
            finding.id = format!("finding-{i}");
            finding.consequence.clone_from(&long);
            finding.remedy.clone_from(&long);
            finding
        })
        .collect();
    entry.warnings = (0..9).map(|i| Warning::new(&format!("w{i}"), long.clone())).collect();
    entry
}

#[test]
fn one_spectrum_is_one_screen() {
    holds_what_is_kept(
        "one-screen.txt",
        &written(&mut TextWriter::new(&WriteOptions::default()), &entries()[..1]),
    );
}

#[test]
fn look_alikes_share_one_table() {
    let mut entry = entries().remove(0);
    entry.identification = Some(look_alikes());
    let entries = [entry];
    holds_what_is_kept(
        "look-alikes.txt",
        &written(&mut TextWriter::new(&WriteOptions::default()), &entries),
    );
    holds_what_is_kept(
        "look-alikes-evidence.txt",
        &written(&mut TextWriter::new(&evidence()), &entries),
    );
    let markdown = written(&mut MarkdownWriter::new(&WriteOptions::default()), &entries);
    assert!(markdown.contains("| 1377.0 | – | – | not found | CH₃ umbrella |"), "{markdown}");
}

#[test]
fn no_screen_is_longer_than_a_plain_terminal() {
    let text = written(&mut TextWriter::new(&WriteOptions::default()), &[overloaded()]);
    assert!(text.lines().count() <= 24, "{} lines:\n{text}", text.lines().count());
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    // What was cut is told, and where the rest stands.
    assert!(text.contains("more: --evidence"), "{text}");
    assert!(text.contains('…'), "{text}");
}

#[test]
fn several_spectra_are_a_list_with_a_summary() {
    let mut entries = entries();
    let mut another = entries[0].clone();
    another.file = "V02.csv".into();
    entries.push(another);
    holds_what_is_kept(
        "list.txt",
        &written(&mut TextWriter::new(&WriteOptions::default()), &entries),
    );
}

#[test]
fn a_doubt_of_the_unit_leads_the_cautions_of_the_first_screen() {
    let mut entry = entries().remove(0);
    entry.warnings.push(Warning::new("other", "another thing"));
    let doubt = "ordinate stated as percent transmittance, but values look like absorbance";
    entry.warnings.push(Warning::new("ordinate-doubtful", doubt));
    let text = written(&mut TextWriter::new(&WriteOptions::default()), &[entry]);
    let first = text.lines().find(|line| line.starts_with("Caution")).expect("a caution");
    assert!(first.contains("ordinate stated as percent"), "{text}");
}

#[test]
fn quiet_text_is_the_list_alone_even_of_one_spectrum() {
    let options = WriteOptions::default().with_quiet(true);
    holds_what_is_kept("quiet-list.txt", &written(&mut TextWriter::new(&options), &entries()));
    assert_eq!(written(&mut TextWriter::new(&options), &entries()[..1]).lines().count(), 1);
}

#[test]
fn a_long_list_keeps_its_columns_and_its_order() {
    let entries: Vec<IdentificationEntry> = (0..250)
        .map(|i| {
            let mut entry = entries().remove(0);
            entry.file = format!("day {}/{i:03}.csv", i / 200);
            entry
        })
        .collect();
    let options = WriteOptions::default().with_quiet(true);
    let text = written(&mut TextWriter::new(&options), &entries);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 250);
    for (i, line) in lines.iter().enumerate() {
        assert!(line.contains(&format!("{i:03}.csv")), "{i}: {line}");
        assert!(line.chars().count() <= 80, "{line}");
    }
    let column = |line: &str| line.find("  PVC");
    assert_eq!(column(lines[0]), column(lines[150]));
}

#[test]
fn the_whole_evidence_shows_every_band() {
    holds_what_is_kept("evidence.txt", &written(&mut TextWriter::new(&evidence()), &entries()));
}

#[test]
fn text_explains_rules_and_steps_where_asked() {
    holds_what_is_kept(
        "explained.txt",
        &written(&mut TextWriter::new(&everything()), &entries()[..1]),
    );
}

#[test]
fn markdown_holds_the_same_facts() {
    holds_what_is_kept("page.md", &written(&mut MarkdownWriter::new(&everything()), &entries()));
}

#[test]
fn csv_has_one_row_a_spectrum() {
    holds_what_is_kept(
        "rows.csv",
        &written(&mut CsvWriter::new(&WriteOptions::default()), &entries()),
    );
}

#[test]
fn text_never_exceeds_its_width_with_or_without_colour() {
    for width in [48, 60, 80, 132] {
        for style in [Style::Plain, Style::Ansi] {
            let options = everything().with_width(width).with_style(style);
            let text = written(&mut TextWriter::new(&options), &entries());
            for line in text.lines() {
                let plain = without_escapes(line);
                assert!(plain.chars().count() <= width, "{width}: {plain:?}");
            }
        }
    }
}

#[test]
fn colour_adds_no_word() {
    let plain = written(&mut TextWriter::new(&everything()), &entries());
    let options = everything().with_style(Style::Ansi);
    let colour = written(&mut TextWriter::new(&options), &entries());
    assert_ne!(plain, colour);
    assert_eq!(without_escapes(&plain), without_escapes(&colour));
}

fn without_escapes(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text.chars();
    while let Some(character) = rest.next() {
        if character == '\u{1b}' {
            for next in rest.by_ref() {
                if next == 'm' {
                    break;
                }
            }
        } else {
            out.push(character);
        }
    }
    out
}

#[test]
fn scores_stand_in_json_alone() {
    for options in [WriteOptions::default(), everything()] {
        for writer in [
            &mut TextWriter::new(&options) as &mut dyn IdentificationWriter,
            &mut MarkdownWriter::new(&options),
            &mut CsvWriter::new(&options),
        ] {
            let text = written(writer, &entries()[..1]);
            assert!(!text.contains("0.91"), "{text}");
        }
        assert!(written(&mut JsonWriter::new(&options), &entries()).contains("0.91"));
    }
}

/// The keys that other programs rely on; see `schema/v1/identify.json`.
const KEYS: [&str; 17] = [
    "schema",
    "tool",
    "table",
    "file",
    "block",
    "outcome",
    "material",
    "candidates",
    "components",
    "ranking",
    "chlorine",
    "ordinate",
    "mode",
    "range",
    "warnings",
    "error",
    "steps",
];

#[test]
fn json_has_the_promised_keys() {
    let json =
        left_to_be_validated("identify", &written(&mut JsonWriter::new(&everything()), &entries()));
    for entry in json.as_array().expect("an array") {
        for key in KEYS {
            assert!(entry.get(key).is_some(), "{key} is missing");
        }
    }
}

#[test]
fn json_keeps_input_order_and_the_failed_file() {
    let text = written(&mut JsonWriter::new(&WriteOptions::default()), &entries());
    let json: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(json[0]["material"], "PVC");
    assert_eq!(json[0]["range"], serde_json::json!([600.0, 4000.0]));
    assert_eq!(json[0]["ranking"][0], serde_json::json!({"material": "PVC", "score": 0.9123}));
    assert_eq!(
        json[0]["steps"][0]["settings"][0],
        serde_json::json!({"name": "window", "value": "9"})
    );
    assert_eq!(json[1]["outcome"], serde_json::Value::Null);
    assert_eq!(json[1]["error"], "photo.jpg: not text (byte 0xFF at offset 0)");
    assert_eq!(written(&mut JsonWriter::new(&WriteOptions::default()), &[]), "[]\n");
}

#[test]
fn json_lines_hold_the_objects_of_the_array() {
    let array = written(&mut JsonWriter::new(&WriteOptions::default()), &entries());
    let array: Vec<serde_json::Value> = serde_json::from_str(&array).expect("JSON");
    let lines = written(&mut JsonLinesWriter::new(&WriteOptions::default()), &entries());
    let lines: Vec<serde_json::Value> =
        lines.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert_eq!(array, lines);
}

#[test]
fn top_limits_the_ranking_everywhere() {
    let options = WriteOptions::default().with_top(1);
    for writer in [
        &mut TextWriter::new(&options) as &mut dyn IdentificationWriter,
        &mut MarkdownWriter::new(&options),
        &mut JsonWriter::new(&options),
    ] {
        assert!(!written(writer, &entries()).contains("VCVAC"));
    }
}

#[test]
fn hostile_text_comes_out_inert_in_every_format() {
    let mut entry = entries().remove(0);
    entry.file = "=HYPERLINK(\"x\")\u{1b}[2J.csv".into();
    entry.title = Some("<script>alert(1)</script> | `x` \u{202e}".into());
    entry.warnings = vec![Warning::new("w", "@SUM(A1)\u{7}")];
    let entries = [entry];
    let options = everything();
    for writer in [
        &mut TextWriter::new(&options) as &mut dyn IdentificationWriter,
        &mut MarkdownWriter::new(&options),
        &mut CsvWriter::new(&options),
        &mut JsonWriter::new(&options),
    ] {
        let text = written(writer, &entries);
        assert!(!text.contains(['\u{1b}', '\u{7}']), "{text}");
    }
    assert!(!written(&mut MarkdownWriter::new(&options), &entries).contains("<script"));
    let csv = written(&mut CsvWriter::new(&options), &entries);
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    for record in reader.records() {
        for cell in &record.expect("a row") {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
        }
    }
}
