//! Every effect that a rule of the table may have does what `reference-bands/README.md` says of it. `prefer`,
//! `require` and `exclude` are tested in judging.rs; here are the others, each beside the answer without it.

use std::fs;
use std::path::Path;

use crate::made::{Made, QUIET, Shape, examined, rows, spectrum};
use bandlore::{
    Examined, Examiner, ReadOptions, Spectrum, Tables,
    judge::{BandEvidence, BandState, ChlorineBands, Component, Outcome, Relation},
    read_path,
    report::identification::IdentificationEntry,
};

/// The ends of a row after `meaning`: source, class, status, note.
const SOURCED: &str = "made for a test,measured-data,computed,";

/// The built-in table with one rule more, which asks for a band near 1730 cm⁻¹.
fn with_rule(id: &str, subjects: &str, against: &str, effect: &str, targets: &str) -> Tables {
    let folder = tempfile::tempdir().expect("a folder");
    Tables::built_in().export(folder.path()).expect("exported");
    let add = |file: &str, row: String| {
        let path = folder.path().join(file);
        let text = fs::read_to_string(&path).expect("exported");
        fs::write(path, format!("{}\n{row}\n", text.trim_end())).expect("written");
    };
    let meaning = format!("said by {id}");
    add(
        "rules.csv",
        format!("{id},{subjects},{against},{effect},{targets},,any,{meaning},{SOURCED}"),
    );
    add("predicates.csv", format!("{id},1,all,present,C=O,1715,1775,1650,1800,,,,,,"));
    Tables::load(folder.path()).expect("a table without fault")
}

fn of(bands: &[Made]) -> Spectrum {
    spectrum(bands, Shape::Lorentz, QUIET, 400.0)
}

fn by(tables: &Tables, bands: &[Made]) -> Examined {
    Examiner::new(tables).examine(of(bands)).expect("prepared")
}

fn band<'a>(components: &'a [Component], id: &str) -> &'a BandEvidence {
    components.iter().flat_map(|c| &c.evidence).find(|b| b.band == id).expect("expected")
}

#[test]
fn narrow_leaves_two_look_alikes_not_told_apart() {
    let bands = rows("PUR-ether");
    let plain = examined(of(&bands)).identification;
    assert_eq!(
        (plain.outcome, plain.material.as_deref()),
        (Outcome::Identified, Some("PUR-ether"))
    );
    let tables = with_rule("PUR-test", "PUR-ether", "PUR-ester", "narrow", "");
    let narrowed = by(&tables, &bands).identification;
    assert_eq!(narrowed.outcome, Outcome::Narrowed, "{}", narrowed.sentence);
    assert_eq!(narrowed.candidates, ["PUR-ether", "PUR-ester"]);
    assert!(narrowed.unsettled.is_some());
    // What is said of a candidate's bands holds in the ranking too, the second candidate's included.
    let tables = with_rule("PUR-drop", "PUR-ester", "", "drop-band", "PUR-ester-1530");
    let ester = by(&tables, &rows("PUR-ester")).identification;
    let ranked = ester.ranking.iter().find(|ranked| ranked.material == "PUR-ester");
    let dropped = ranked.expect("ranked").evidence.iter().find(|b| b.band == "PUR-ester-1530");
    assert_eq!(dropped.expect("expected").state, BandState::Untestable);
    // Where the rule says no, nothing changes.
    let styrene = by(&tables, &rows("PS")).identification;
    assert_eq!(styrene, examined(of(&rows("PS"))).identification);
}

#[test]
fn drop_band_takes_a_hidden_band_out_of_the_evidence() {
    let pvc = rows("PVC");
    let alone = examined(of(&pvc)).identification;
    assert_eq!(band(&alone.components, "PVC-1427").state, BandState::Met);
    let chalky: Vec<Made> = pvc
        .iter()
        .copied()
        .chain(rows("calcite").into_iter().map(|(at, height, width)| (at, 0.5 * height, width)))
        .collect();
    let filled = examined(of(&chalky)).identification;
    let hidden = band(&filled.components, "PVC-1427");
    assert_eq!(hidden.state, BandState::Untestable, "{hidden:?}");
    assert_eq!((hidden.found_cm1, hidden.share), (None, None));
    assert!(hidden.note.contains("chalk"), "{hidden:?}");
    // The ranking says the same of it.
    let ranked = filled.ranking.iter().find(|ranked| ranked.material == "PVC").expect("ranked");
    assert!(ranked.evidence.contains(hidden));
}

#[test]
fn drop_band_leaves_c_cl_stretches_that_were_told_apart_by_their_own_shape() {
    let tables = with_rule("PVC-test", "PVC", "", "drop-band", "PVC-613 PVC-1427");
    let of_sample = |tables: &Tables, spectrum: Spectrum| {
        Examiner::new(tables).examine(spectrum).expect("prepared").identification
    };
    // A vane of the invented demo, oxidised, so that the rule's carbonyl is there.
    let path = "sample-spectra/tide-clock/spectra/V02-exposed-a.csv";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let vane = read_path(&path, &ReadOptions::default()).next().expect("one").expect("readable");
    let found = of_sample(&tables, vane.clone());
    assert_eq!(found.chlorine.bands, ChlorineBands::Present);
    assert_eq!(band(&found.components, "PVC-613").state, BandState::Met);
    assert_eq!(band(&found.components, "PVC-1427").state, BandState::Untestable);
    // Where C–Cl is not shown by itself, the rule takes it.
    let cut = of_sample(&tables, vane.with_mask(400.0, 600.0, "test"));
    assert_eq!(cut.chlorine.bands, ChlorineBands::CannotTell);
    assert_eq!(cut.material.as_deref(), Some("PVC"), "{}", cut.sentence);
    assert_eq!(band(&cut.components, "PVC-613").state, BandState::Untestable);
    assert_eq!(band(&cut.components, "PVC-613").note, "said by PVC-test");
}

#[test]
fn component_puts_what_a_rule_finds_beside_the_material() {
    let with = |share: f64| -> Vec<Made> {
        let film = rows("PDMS").into_iter().map(|(at, height, width)| (at, share * height, width));
        rows("PS").into_iter().chain(film).collect()
    };
    let found = examined(of(&with(0.15))).identification;
    assert!(matches!(found.outcome, Outcome::Identified | Outcome::Narrowed), "{}", found.sentence);
    let silicone = found.components.iter().find(|component| component.id == "PDMS");
    assert_eq!(silicone.expect("found").relation, Relation::DepositOn);
    assert!(found.sentence.contains("Also bands of silicone"), "{}", found.sentence);
    let none = examined(of(&rows("PS"))).identification;
    assert!(none.components.iter().all(|component| component.id != "PDMS"));
    // The windows of the rule alone are not enough: poly(ethylene terephthalate) has bands in all of them.
    let polyester = examined(of(&rows("PET"))).identification;
    assert!(polyester.components.iter().all(|component| component.id != "PDMS"));
}

#[test]
fn warn_is_said_beside_the_answer_and_changes_nothing_in_it() {
    let tables = with_rule("PC-test", "PC", "", "warn", "");
    let said = by(&tables, &rows("PC"));
    let plain = examined(of(&rows("PC"))).identification;
    assert_eq!(said.identification.remarks, ["said by PC-test"]);
    assert!(plain.remarks.is_empty());
    assert_eq!(said.identification.ranking, plain.ranking);
    assert_eq!(said.identification.sentence, plain.sentence);
    let entry =
        IdentificationEntry::judged(said.prepared.spectrum(), Vec::new(), said.identification);
    assert!(entry.warnings.iter().any(|warning| warning.text == "said by PC-test"));
}
