//! The object stage: manifests, also hostile ones, and what spots say together.
//!
//! Identifications are made by hand here, so that each rule is tried by itself; the demo object goes
//! through the whole program in `tests/suite/tide_clock.rs`.

use bandlore::{
    Identification, Spectrum, Tables,
    fitness::Severity,
    judge::{
        Chlorine, ChlorineBands, ChlorineByIdentity, Component, Outcome, Plasticiser, Relation,
    },
    object::{
        Error as ObjectError, ObjectInput, examine_object, faces_to_compare,
        findings::{
            AgeingState, ChlorineList, ChlorineSaid, ObjectFindings, PartOutcome, SpectrumResult,
            Topic,
        },
        open_manifest,
        record::{Face, Manifest},
        sheets::{Bending, ClaimOutcome, UvVisible, held_strain},
    },
    spectrum::SpectrumParts,
};
use serde_json::json;

use crate::stated::stated;

const HEAD: &str = "[object]\ntitle = \"Lamp\"\n[[part]]\nid = \"A\"\n";

fn faults(text: &str) -> String {
    match Manifest::from_toml(text, "object.toml") {
        Err(error @ ObjectError::Faults(_)) => error.to_string(),
        other => panic!("expected faults, got {other:?}"),
    }
}

#[test]
fn every_fault_of_a_manifest_carries_its_line() {
    for (text, wanted) in [
        ("[object\n", "object.toml:1: not TOML"),
        ("[objekt]\n", "object.toml:1: unknown table \"objekt\""),
        ("[object]\ntitel = \"x\"\n", "object.toml:2: unknown field \"titel\" of object"),
        ("[[part]]\nname = \"x\"\n", "object.toml:1: part without id"),
        (
            "[[part]]\nid = \"A\"\n\n[[part]]\nid = \"a\"\n",
            "object.toml:4: id \"a\" was already given on line 1",
        ),
        ("[[part]]\nid = \"=1+1\"\n", "object.toml:2: id: found \"=1+1\", expected letters"),
        ("[[part]]\nid = \"<b>\"\n", "object.toml:2: id: found \"<b>\""),
        (
            "[[part]]\nid = \"A\"\nxrf_chlorine = \"maybe\"\n",
            "object.toml:3: xrf_chlorine: found \"maybe\"",
        ),
        ("[object]\nsmallest_radius_mm = -3\n", "object.toml:2: smallest_radius_mm: found \"-3\""),
        ("[object]\ntitle = { a = { b = 1 } }\n", "object.toml:2: title_a: found table"),
        ("part = 3\n", "object.toml:1: part: found integer, expected a table"),
    ] {
        let found = faults(text);
        assert!(found.contains(wanted), "{text:?} gave {found:?}");
    }
    let spectrum = |row: &str| format!("{HEAD}[[spectrum]]\n{row}\n");
    for (row, wanted) in [
        ("part = \"A\"", "object.toml:5: spectrum without file"),
        (
            "file = \"a.csv\"\npart = \"B\"",
            "object.toml:5: part: no part or candidate is called \"B\"",
        ),
        (
            "file = \"/etc/passwd\"\npart = \"A\"",
            "object.toml:6: file \"/etc/passwd\" is an absolute path",
        ),
        (
            "file = \"../a.csv\"\npart = \"A\"",
            "object.toml:6: file \"../a.csv\" leads out of the manifest's folder",
        ),
        ("file = 'C:\\a.csv'\npart = \"A\"", "object.toml:6: file \"C:\\a.csv\" holds a backslash"),
        (
            "file = \"a.csv\"\npart = \"A\"\nface = \"upside\"",
            "object.toml:8: face: found \"upside\"",
        ),
        ("file = \"a.csv\"\npart = \"A\"\nblock = 0", "object.toml:8: block: found \"0\""),
        (
            "file = \"a.csv\"\npart = \"A\"\nsurface = \"\\u001b[2J\"",
            "object.toml:8: surface: found \"\\u{1b}[2J\"",
        ),
        (
            "file = \"a.csv\"\npart = \"A\"\nsurface = \"\\u202egnp.exe\"",
            "object.toml:8: surface: found",
        ),
        (
            "file = \"a.csv\"\npart = \"A\"\n[[spectrum]]\nfile = \"a.csv\"\npart = \"A\"",
            "object.toml:8: file \"a.csv\" was already given on line 5",
        ),
    ] {
        let found = faults(&spectrum(row));
        assert!(found.contains(wanted), "{row:?} gave {found:?}");
    }
}

#[test]
fn all_faults_are_listed_and_the_rest_counted() {
    let mut text = HEAD.to_owned();
    for i in 0..30 {
        text.push_str(&format!("[[spectrum]]\nfile = \"../{i}.csv\"\npart = \"A\"\n"));
    }
    let found = faults(&text);
    assert_eq!(found.lines().count(), 21, "{found}");
    assert!(found.ends_with("and 10 more faults"));
}

#[test]
fn markup_and_formulas_in_free_text_stay_text() {
    let text = format!(
        "{HEAD}name = \"<script>alert(1)</script>\"\nnote = \"=HYPERLINK(\\\"x\\\")\"\n\
         seen.cracks = \"+1+cmd|' /C calc'!A0\"\n"
    );
    let manifest = Manifest::from_toml(&text, "object.toml").expect("free text may hold anything");
    let part = &manifest.parts[0];
    assert_eq!(part.name, "<script>alert(1)</script>");
    assert_eq!(part.note, "=HYPERLINK(\"x\")");
    assert_eq!(part.seen.cracks, "+1+cmd|' /C calc'!A0");
}

#[test]
fn ten_thousand_rows_are_refused_at_the_first_row_too_many() {
    let mut text = HEAD.to_owned();
    for i in 0..10_000 {
        text.push_str(&format!("[[spectrum]]\nfile = \"{i}.csv\"\npart = \"A\"\n"));
    }
    let started = std::time::Instant::now();
    let found = faults(&text);
    assert!(found.contains("object.toml:15005: more than 5000 rows of spectrum"), "{found}");
    assert!(started.elapsed().as_secs() < 5, "{:?}", started.elapsed());
    let long = format!("{HEAD}note = \"{}\"\n", "x".repeat(5000));
    assert!(faults(&long).contains("object.toml:5: note: 5000 characters, at most 4000"));
}

#[test]
fn missing_files_and_links_out_of_the_folder_are_told_before_any_work() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("object.toml");
    let rows = "[[spectrum]]\nfile = \"none.csv\"\npart = \"A\"\n[[spectrum]]\nfile = \"link.csv\"\npart = \"A\"\n";
    std::fs::write(&path, format!("{HEAD}{rows}")).expect("written");
    let outside = tempfile::tempdir().expect("a folder");
    std::fs::write(outside.path().join("secret.csv"), "1,2\n").expect("written");
    #[cfg(unix)]
    std::os::unix::fs::symlink(outside.path().join("secret.csv"), folder.path().join("link.csv"))
        .expect("linked");
    let error = open_manifest(&path).expect_err("refused").to_string();
    assert!(error.contains("object.toml:5: file \"none.csv\" is not there"), "{error}");
    #[cfg(unix)]
    assert!(error.contains("object.toml:8: file \"link.csv\" is a link that leads out"), "{error}");
    std::fs::write(&path, [0xff, 0xfe, 0x00]).expect("written");
    assert!(open_manifest(&path).expect_err("refused").to_string().contains("not UTF-8"));
    assert!(open_manifest(folder.path()).is_err());
    assert!(open_manifest(&folder.path().join("nothing.toml")).is_err());
}

#[test]
fn csv_sheets_say_the_same_as_toml() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| {
        std::fs::write(folder.path().join(name), text).expect("written");
    };
    write("a.csv", "x");
    write("object.csv", "\u{feff}field;value\ntitle;Lamp\nsmallest_radius_mm;900,5\n");
    write("measurement.csv", "field,value\ncrystal,diamond\nscans,64\n");
    write("parts.csv", "id,name,seen discolouration\nA,shade,yellow\n,,\n");
    write("spectra.csv", "file,part,face,spot,scans\na.csv,A,exposed,1,128\n");
    write("neighbours.csv", "name,material,beside,relation\nrim,copper alloy,A,touching\n");
    write("next-examination.csv", "field,value\nwho,N. N.\n");
    let sheets = open_manifest(folder.path()).expect("sheets").manifest;
    write(
        "object.toml",
        "[object]\ntitle = \"Lamp\"\nsmallest_radius_mm = 900.5\n[measurement]\ncrystal = \"diamond\"\n\
         scans = 64\n[[part]]\nid = \"A\"\nname = \"shade\"\nseen.discolouration = \"yellow\"\n\
         [[spectrum]]\nfile = \"a.csv\"\npart = \"A\"\nface = \"exposed\"\nspot = 1\nscans = \"128\"\n\
         [[neighbour]]\nname = \"rim\"\nmaterial = \"copper-alloy\"\nbeside = [\"A\"]\nrelation = \"touching\"\n\
         [next_examination]\nwho = \"N. N.\"\n",
    );
    let mut toml = open_manifest(folder.path()).expect("toml").manifest;
    // Only the lines differ.
    toml.parts[0].line = sheets.parts[0].line;
    toml.spectra[0].line = sheets.spectra[0].line;
    toml.neighbours[0].line = sheets.neighbours[0].line;
    assert_eq!(toml, sheets);
    assert_eq!(sheets.spectra[0].scans, "128");
    assert_eq!(sheets.spectra[0].crystal, "diamond");
    assert!(sheets.spectra[0].entries().contains(&("operator", "not recorded")));
    write("spectra.csv", "file,part,face\na.csv,A,exposed\n../b.csv,A,exposed\n");
    std::fs::remove_file(folder.path().join("object.toml")).expect("removed");
    let error = open_manifest(&folder.path().join("spectra.csv")).expect_err("a fault").to_string();
    assert!(error.contains("spectra.csv:3: file \"../b.csv\""), "{error}");
}

// ---- what spots say together ------------------------------------------------------------------

pub(crate) fn chlorine(bands: ChlorineBands, by_identity: ChlorineByIdentity) -> Chlorine {
    stated(json!({ "bands": bands, "by_identity": by_identity, "why": "made by hand" }))
}

pub(crate) fn identification(outcome: Outcome) -> Identification {
    stated(json!({
        "outcome": outcome,
        "candidates": [],
        "components": [],
        "ranking": [],
        "chlorine": chlorine(ChlorineBands::CannotTell, ChlorineByIdentity::Open),
        "sentence": "Made by hand.",
        "unexplained": [],
        "remarks": [],
        "rules": [],
    }))
}

fn component(id: &str, role: &str, relation: Relation) -> Component {
    stated(json!({ "id": id, "role": role, "relation": relation, "evidence": [] }))
}

pub(crate) fn is(id: &str) -> Identification {
    let mut made = identification(Outcome::Identified);
    made.material = Some(id.to_owned());
    made.components = vec![component(id, "polymer", Relation::Main)];
    if id == "PVC" {
        made.chlorine = chlorine(ChlorineBands::Present, ChlorineByIdentity::Yes);
        made.plasticiser = Some(Plasticiser::NoneSeen);
    } else {
        made.chlorine = chlorine(ChlorineBands::NotDetected, ChlorineByIdentity::No);
    }
    made
}

fn soft_pvc() -> Identification {
    let mut made = is("PVC");
    made.plasticiser = Some(Plasticiser::Class { id: "plasticiser-ortho-phthalate".to_owned() });
    made
}

pub(crate) fn either(ids: &[&str]) -> Identification {
    let mut made = identification(Outcome::Narrowed);
    made.candidates = ids.iter().map(|id| (*id).to_owned()).collect();
    made.chlorine = chlorine(ChlorineBands::NotDetected, ChlorineByIdentity::No);
    made
}

fn classed(members: &[&str]) -> Identification {
    let mut made = identification(Outcome::Classed);
    made.class = Some(stated(
        json!({ "id": "aromatic-polyester", "name": "aromatic polyester", "members": members }),
    ));
    made.chlorine = chlorine(ChlorineBands::NotDetected, ChlorineByIdentity::No);
    made
}

pub(crate) fn coated(coat: &str, base: &str) -> Identification {
    let mut made = identification(Outcome::Mixed);
    made.components = vec![
        component(base, "polymer", Relation::Main),
        component(coat, "polymer", Relation::CoatingOver),
    ];
    made.chlorine = chlorine(ChlorineBands::CannotTell, ChlorineByIdentity::No);
    made
}

fn spectrum(of: usize) -> Spectrum {
    let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
    // No two measurements are the same.
    Spectrum::new(SpectrumParts::new(axis, vec![1e-9 * of as f64; 1800])).expect("valid")
}

/// Builds an object: each spot is part, face and what it is.
pub(crate) fn examine(manifest: &str, spots: &[(&str, &str, Identification)]) -> ObjectFindings {
    examine_with(manifest, spots, |_| {})
}

pub(crate) fn examine_with(
    manifest: &str,
    spots: &[(&str, &str, Identification)],
    change: impl Fn(&mut ObjectInput),
) -> ObjectFindings {
    let mut text = manifest.to_owned();
    for (i, (part, face, _)) in spots.iter().enumerate() {
        text.push_str(&format!(
            "[[spectrum]]\nfile = \"{i}.csv\"\npart = \"{part}\"\nface = \"{face}\"\nspot = \"{i}\"\n"
        ));
    }
    let manifest = Manifest::from_toml(&text, "object.toml").expect("valid");
    let spectra = spots
        .iter()
        .enumerate()
        .map(|(record, (_, _, found))| {
            SpectrumResult::new(record, spectrum(record), Vec::new(), found.clone())
        })
        .collect();
    let mut input = ObjectInput::new(manifest, spectra);
    change(&mut input);
    examine_object(input, Tables::built_in())
}

const TWO: &str = "[[part]]\nid = \"A\"\n[[part]]\nid = \"B\"\n";

#[test]
fn a_part_gets_one_material_only_where_its_spots_agree() {
    let all = examine(
        TWO,
        &[("A", "exposed", is("PVC")), ("A", "exposed", is("PVC")), ("A", "covered", is("PVC"))],
    );
    assert_eq!(all.parts[0].outcome, PartOutcome::Identified);
    assert_eq!(all.parts[0].material.as_deref(), Some("PVC"));
    assert_eq!(all.parts[0].agreement.words, "3 of 3 spots agree");
    assert_eq!(all.parts[1].outcome, PartOutcome::NotMeasured);

    let odd = examine(
        TWO,
        &[("A", "exposed", is("PVC")), ("A", "exposed", is("PVC")), ("A", "exposed", is("PC"))],
    );
    assert_eq!(odd.parts[0].outcome, PartOutcome::SpotsDisagree);
    assert_eq!(odd.parts[0].material, None);
    assert_eq!(odd.parts[0].agreement.outliers, ["exposed 2: PC"]);
    assert!(
        odd.parts[0].agreement.words.starts_with("2 of 3 spots say PVC; different: exposed 2: PC")
    );
    // Chlorine is not averaged away either.
    assert_eq!(odd.parts[0].chlorine.list, ChlorineList::Shown);

    let weak = examine(
        TWO,
        &[("A", "exposed", is("PC")), ("A", "exposed", identification(Outcome::NotEnoughSignal))],
    );
    assert_eq!(weak.parts[0].material.as_deref(), Some("PC"));
    assert_eq!(weak.parts[0].agreement.judged, 1);
}

#[test]
fn a_copy_is_no_second_spot_and_shows_nothing_of_a_second_part() {
    let copy = |of: usize, again: usize| {
        move |input: &mut ObjectInput| {
            input.spectra[again].spectrum = input.spectra[of].spectrum.clone();
        }
    };
    let spots = [("A", "exposed", is("PVC")), ("A", "exposed", is("PVC")), ("B", "edge", is("PC"))];
    let within = examine_with(TWO, &spots, copy(0, 1));
    let words = &within.parts[0].agreement.words;
    assert_eq!(words, "one spot only: no agreement can be stated; one copy is not counted");
    assert_eq!(within.parts[0].agreement.measured, 1);
    assert_eq!(within.parts[0].chlorine.spots_judged, 1);
    let doubt = "one measurement is given as 0.csv and as 1.csv, both of A: counted as one spot";
    assert!(within.parts[0].notes.iter().any(|note| note.starts_with(doubt)), "{within:?}");
    assert!(within.warnings.iter().any(|doubted| doubted.text.starts_with(doubt)));
    assert!(within.parts[1].notes.is_empty());
    assert!(within.summary.iter().all(|line| !line.text.contains("ne measurement is given")));

    let across = examine_with(TWO, &spots, copy(0, 2));
    let doubt = "one measurement is given as 0.csv and as 2.csv, for A and for B: of one of them it says nothing";
    assert!(across.parts.iter().all(|part| part.notes.iter().any(|note| note.starts_with(doubt))));
    assert!(across.warnings.iter().any(|doubted| doubted.text.starts_with(doubt)));
    let first_page = across.summary.iter().filter(|line| line.topic == Topic::Records);
    assert_eq!(first_page.filter(|line| line.text.contains("as 0.csv and as 2.csv")).count(), 1);
    // Whose it is cannot be told, so that both keep what it shows.
    assert_eq!(across.parts[0].agreement.words, "2 of 2 spots agree");
    assert_eq!(across.parts[1].material.as_deref(), Some("PC"));

    let none = examine(TWO, &spots);
    assert!(none.warnings.is_empty() && none.parts.iter().all(|part| part.notes.is_empty()));
}

#[test]
fn agreement_is_counted_on_the_answer_that_is_printed() {
    let spot = |face: &'static str, found: Identification| ("A", face, found);
    let found = examine(
        TWO,
        &[
            spot("exposed", coated("PDMS", "PC")),
            spot("exposed", coated("PDMS", "PC")),
            spot("reverse", is("PC")),
        ],
    );
    let agreement = &found.parts[0].agreement;
    assert_eq!(agreement.words, "PC at 3 of 3 spots; PDMS over it at 2 of 3 (exposed)");
    assert_eq!((agreement.agreeing, agreement.judged), (2, 3));
    assert!(
        found.parts[0].sentence.ends_with(" PC at 3 of 3 spots; PDMS over it at 2 of 3 (exposed).")
    );
    let all = examine(
        TWO,
        &[spot("exposed", coated("PDMS", "PC")), spot("exposed", coated("PDMS", "PC"))],
    );
    assert_eq!(all.parts[0].agreement.words, "2 of 2 spots agree");
    // A spot that leaves two open does not say the one that is printed.
    let open = examine(
        TWO,
        &[
            spot("exposed", is("PET")),
            spot("exposed", is("PET")),
            spot("exposed", either(&["PET", "PETG"])),
        ],
    );
    let agreement = &open.parts[0].agreement;
    assert_eq!(open.parts[0].material.as_deref(), Some("PET"));
    assert_eq!(agreement.words, "PET at 2 of 3 spots; PET or PETG at 1 of 3");
    assert_eq!((agreement.agreeing, agreement.judged), (2, 3));
}

#[test]
fn a_part_with_chlorine_shown_or_not_excluded_is_advised_on_whatever_its_material() {
    let beside = "[[neighbour]]\nname = \"cloth\"\nmaterial = \"silk or wool\"\nrelation = \"same enclosure\"\n";
    let of = |entry: &str, spot: Identification| {
        let text = format!("[[part]]\nid = \"A\"\n{entry}{beside}");
        examine(&text, &[("A", "exposed", spot)])
    };
    let risk = |found: &ObjectFindings| {
        let silk = found.neighbours.iter().find(|risk| risk.rule == "HCl-silk-or-wool");
        silk.map(|risk| (risk.words.clone(), risk.advice.clone()))
    };
    let (words, advice) = risk(&of("xrf_chlorine = \"detected\"\n", is("PC"))).expect("shown");
    assert!(words.starts_with("A: contains chlorine. Hydrogen chloride, if given off"), "{words}");
    assert!(advice.starts_with("Place an acid indicator"), "{advice}");
    let open = of("", identification(Outcome::NotEnoughSignal));
    let (words, advice) = risk(&open).expect("not excluded");
    assert!(words.starts_with("A: chlorine not excluded. Hydrogen chloride"), "{words}");
    assert!(advice.starts_with("Chlorine not excluded; place an acid indicator"), "{advice}");
    let line = "A beside cloth: chlorine not excluded; place an acid indicator";
    assert!(open.summary.iter().any(|s| s.text.starts_with(line)), "{:?}", open.summary);
    assert!(open.recorded_neighbours.is_empty());
    // What was looked for and not found, and acids that are not of chlorine, ask for nothing.
    assert_eq!(risk(&of("", is("PC"))), None);
    assert!(
        open.neighbours.iter().all(|risk| risk.rule.starts_with("HCl")),
        "{:?}",
        open.neighbours
    );
}

#[test]
fn a_face_of_no_known_material_beside_a_named_one_stays_open() {
    let unknown = identification(Outcome::NotInTable);
    let spots = [
        ("A", "exposed", unknown.clone()),
        ("A", "exposed", unknown),
        ("A", "cut edge", is("PC")),
        ("A", "cut edge", is("PC")),
    ];
    let found = examine("[[part]]\nid = \"A\"\n", &spots);
    let open = found.unsettled.iter().find(|part| part.id == "A").expect("open");
    assert!(open.open.contains("no material of the table fits the spots of exposed"), "{open:?}");
    // Both faces named, and different: nothing is unknown.
    let named = [
        ("A", "exposed", is("PMMA")),
        ("A", "exposed", is("PMMA")),
        ("A", "cut edge", is("PC")),
        ("A", "cut edge", is("PC")),
    ];
    let found = examine("[[part]]\nid = \"A\"\n", &named);
    assert!(found.unsettled.iter().all(|part| !part.open.contains("no material of the table")));
}

#[test]
fn a_plasticiser_carries_the_count_of_its_own_spots() {
    let sentence = |spots: &[(&str, &str, Identification)]| {
        examine("[[part]]\nid = \"A\"\n", spots).parts[0].sentence.clone()
    };
    let some =
        [("A", "exposed", soft_pvc()), ("A", "exposed", is("PVC")), ("A", "exposed", is("PVC"))];
    let said = sentence(&some);
    assert!(said.contains("at 1 of 3 spots; 3 of 3 spots agree"), "{said}");
    let all = [("A", "exposed", soft_pvc()), ("A", "exposed", soft_pvc())];
    assert!(!sentence(&all).contains("at 2 of 2"), "{}", sentence(&all));
}

#[test]
fn one_pair_is_named_once_for_one_advice() {
    // Cellulose acetate gives off acetic acid; that its chlorine is open asks for the same indicator.
    let text = "[[part]]\nid = \"A\"\n[[neighbour]]\nname = \"hinge\"\nmaterial = \"copper alloy\"\n\
                relation = \"touching\"\n";
    let mut open = is("CA");
    open.chlorine = chlorine(ChlorineBands::CannotTell, ChlorineByIdentity::No);
    let found = examine(text, &[("A", "exposed", open)]);
    let lines: Vec<&str> = found
        .summary
        .iter()
        .filter(|s| s.topic == Topic::Action && s.text.contains("hinge"))
        .map(|s| s.text.as_str())
        .collect();
    let [line] = lines.as_slice() else { panic!("{lines:?}") };
    assert!(line.starts_with("A beside hinge: place an acid indicator"), "{line}");
    // The table of pairs keeps both reasons.
    assert_eq!(found.neighbours.len(), 2, "{:?}", found.neighbours);
}

#[test]
fn advice_never_says_keep_apart_and_nothing_to_part_in_one_line() {
    let text = "[[part]]\nid = \"A\"\nacid_indicator = \"no change\"\n\
                [[neighbour]]\nname = \"brass\"\nmaterial = \"copper alloy\"\nrelation = \"touching\"\n";
    let found = examine(text, &[("A", "exposed", is("PVC"))]);
    let lines: Vec<&str> = found
        .summary
        .iter()
        .filter(|s| s.topic == Topic::Action)
        .map(|s| s.text.as_str())
        .collect();
    assert!(lines[0].starts_with("A beside brass: nothing to part for acid today"), "{lines:?}");
    assert!(lines.iter().all(|line| !line.contains("Keep apart")), "{lines:?}");
}

#[test]
fn a_record_differs_only_where_a_word_that_the_table_knows_was_not_found() {
    let lines = |recorded: &str, found: Identification| -> Vec<String> {
        let text = format!("[[part]]\nid = \"A\"\nsaid_to_be = \"{recorded}\"\n");
        let found = examine(&text, &[("A", "exposed", found)]);
        let records = found.summary.into_iter().filter(|line| line.topic == Topic::Records);
        records.map(|line| line.text).collect()
    };
    let none: [String; 0] = [];
    assert_eq!(lines("PET or PETG", is("PET")), none);
    assert_eq!(lines("polycarbonate with hard coat", coated("PDMS", "PC")), none);
    assert_eq!(lines("polyester film", is("PET")), none);
    assert_eq!(
        lines("Unheard-of Sheet", is("PET")),
        ["A: recorded as Unheard-of Sheet; not compared: the table does not know the word."]
    );
    let differs = lines("PET or PETG", is("PC"));
    assert!(
        differs[0].starts_with("A: recorded as PET or PETG, found polycarbonate"),
        "{differs:?}"
    );
    // A blend, of which one was not found.
    let blend = lines("PC/ABS", is("PC"));
    assert!(blend[0].starts_with("A: recorded as PC/ABS (PC and ABS), found"), "{blend:?}");
    let differs = lines("acrylic or vinyl", is("PC"));
    assert!(
        differs[0].starts_with("A: recorded as acrylic or vinyl (PMMA or PVC), found"),
        "{differs:?}"
    );
    let lacking = lines("silicone over polycarbonate", is("PC"));
    assert!(
        lacking[0].contains("recorded as silicone over polycarbonate (PDMS and PC), found"),
        "{lacking:?}"
    );
}

#[test]
fn a_name_given_by_few_spots_does_not_outvote_those_that_narrow() {
    let most = examine(
        TWO,
        &[
            ("A", "exposed", is("PET")),
            ("A", "exposed", is("PET")),
            ("A", "exposed", either(&["PET", "PETG"])),
        ],
    );
    assert_eq!(most.parts[0].material.as_deref(), Some("PET"));
    let few = examine(
        TWO,
        &[
            ("A", "exposed", is("PET")),
            ("A", "exposed", either(&["PET", "PETG"])),
            ("A", "exposed", either(&["PET", "PETG"])),
        ],
    );
    assert_eq!(few.parts[0].outcome, PartOutcome::Narrowed);
    assert_eq!(few.parts[0].candidates, ["PET", "PETG"]);
    let contradicting = examine(TWO, &[("A", "exposed", is("PETG")), ("A", "exposed", is("PET"))]);
    assert_eq!(contradicting.parts[0].outcome, PartOutcome::SpotsDisagree);
}

#[test]
fn a_name_given_by_half_of_the_spots_stands_beside_a_class_that_holds_it_and_by_fewer_does_not() {
    let class = || ("A", "exposed", classed(&["PET", "PETG", "PBT"]));
    let half = examine(TWO, &[("A", "exposed", is("PET")), class()]);
    assert_eq!(half.parts[0].outcome, PartOutcome::Identified);
    assert_eq!(half.parts[0].material.as_deref(), Some("PET"));
    let fewer = examine(TWO, &[("A", "exposed", is("PET")), class(), class()]);
    assert_eq!(fewer.parts[0].outcome, PartOutcome::Classed);
    assert_eq!(fewer.parts[0].class.as_ref().map(|c| c.id.as_str()), Some("aromatic-polyester"));
    let apart = examine(TWO, &[("A", "exposed", is("PVC")), class()]);
    assert_eq!(apart.parts[0].outcome, PartOutcome::SpotsDisagree);
}

#[test]
fn a_coat_on_one_face_makes_the_part_mixed_and_its_ageing_not_compared() {
    let found = examine(TWO, &[("A", "exposed", coated("PDMS", "PC")), ("A", "reverse", is("PC"))]);
    let part = &found.parts[0];
    assert_eq!(part.outcome, PartOutcome::Mixed);
    assert!(part.components.iter().any(|c| c.id == "PDMS" && c.relation == Relation::CoatingOver));
    assert_eq!(part.ageing.state, AgeingState::NotCompared);
    assert!(part.ageing.sentence.starts_with("faces differ in composition, ageing not compared"));
    // A coat hides what lies under it: not excluded, though the base material carries none.
    assert_eq!(part.chlorine.list, ChlorineList::ImpliedOrNotExcluded);
}

#[test]
fn only_faces_of_one_composition_are_handed_on_to_be_compared() {
    let text = format!(
        "{TWO}{}",
        ["A exposed", "A covered", "B exposed", "B reverse"]
            .iter()
            .enumerate()
            .map(|(i, row)| {
                let (part, face) = row.split_once(' ').expect("two words");
                format!("[[spectrum]]\nfile = \"{i}.csv\"\npart = \"{part}\"\nface = \"{face}\"\n")
            })
            .collect::<String>()
    );
    let manifest = Manifest::from_toml(&text, "object.toml").expect("valid");
    let spectra: Vec<SpectrumResult> = [is("PVC"), is("PVC"), coated("PDMS", "PC"), is("PC")]
        .into_iter()
        .enumerate()
        .map(|(record, found)| SpectrumResult::new(record, spectrum(record), Vec::new(), found))
        .collect();
    let faces = faces_to_compare(&manifest, &spectra, Tables::built_in());
    assert_eq!(faces.len(), 1);
    assert_eq!((faces[0].part.as_str(), faces[0].material.as_str()), ("A", "PVC"));
    assert_eq!((&faces[0].exposed, &faces[0].covered), (&vec![0], &vec![1]));
}

#[test]
fn chlorine_lists_hold_shown_implied_and_none() {
    let mut blind = is("PVC");
    blind.chlorine = chlorine(ChlorineBands::CannotTell, ChlorineByIdentity::Yes);
    let four = "[[part]]\nid = \"A\"\n[[part]]\nid = \"B\"\n[[part]]\nid = \"C\"\n[[part]]\nid = \"D\"\n\
                [[part]]\nid = \"E\"\nxrf_chlorine = \"detected\"\n[[part]]\nid = \"F\"\nxrf_chlorine = \"not detected\"\n";
    let found = examine(
        four,
        &[
            ("A", "exposed", is("PVC")),
            ("B", "exposed", blind),
            ("C", "exposed", is("PC")),
            ("D", "exposed", identification(Outcome::NotEnoughSignal)),
            ("E", "exposed", is("PC")),
            ("F", "exposed", identification(Outcome::NotEnoughSignal)),
        ],
    );
    let ids = |list: &[bandlore::object::findings::ListedPart]| {
        list.iter().map(|e| e.id.clone()).collect::<Vec<_>>()
    };
    assert_eq!(ids(&found.chlorine.shown), ["A", "E"]);
    assert_eq!(ids(&found.chlorine.implied_or_not_excluded), ["B", "D"]);
    assert_eq!(ids(&found.chlorine.none_detected), ["C", "F"]);
    assert!(
        found.chlorine.implied_or_not_excluded[0].why.contains("treat as chlorinated until tested")
    );
    // By name is by name, not "not excluded"; a polycarbonate that was not tested is neither.
    let said: Vec<ChlorineSaid> = found.parts.iter().map(|part| part.chlorine.said()).collect();
    let wanted = [
        ChlorineSaid::ByBands,
        ChlorineSaid::ByName,
        ChlorineSaid::NoneDetected,
        ChlorineSaid::NotExcluded,
        ChlorineSaid::ByFluorescence,
        ChlorineSaid::NoneDetected,
    ];
    assert_eq!(said, wanted);
    let everything = format!("{found:?}");
    for never in ["emits acid", "caused the tarnish"] {
        assert!(!everything.contains(never), "{never}");
    }
}

#[test]
fn a_polycarbonate_that_was_not_tested_for_chlorine_is_not_implied_and_not_tested() {
    let mut short = is("PC");
    short.chlorine = chlorine(ChlorineBands::CannotTell, ChlorineByIdentity::No);
    short.chlorine.why = "the spectrum stops at 650 cm⁻¹, needs 580".to_owned();
    let found = examine("[[part]]\nid = \"A\"\n", &[("A", "exposed", short)]);
    assert_eq!(found.parts[0].chlorine.said(), ChlorineSaid::NotTested);
    let words = &found.parts[0].chlorine.words;
    assert!(
        words.contains(
            "not implied by the material, but its bands cannot tell (the spectrum stops at 650"
        ),
        "{words}"
    );
    let lines: Vec<&str> = found.summary.iter().map(|line| line.text.as_str()).collect();
    assert!(
        lines.contains(&"Of these, not implied by the material, but the bands cannot tell: A."),
        "{lines:?}"
    );
}

#[test]
fn no_part_touches_itself_and_pairs_without_a_rule_are_listed_as_recorded() {
    let text = format!(
        "{TWO}[[part]]\nid = \"C\"\n\
         [[neighbour]]\npart = \"A\"\nbeside = [\"A\", \"B\"]\nrelation = \"touching\"\n\
         [[neighbour]]\nname = \"label\"\nmaterial = \"paper\"\nbeside = [\"C\"]\nrelation = \"touching\"\nseen = \"foxed\"\n"
    );
    let spots =
        [("A", "exposed", is("PVC")), ("B", "exposed", is("PVC")), ("C", "exposed", is("PC"))];
    let found = examine(&text, &spots);
    let lines: Vec<&str> = found
        .summary
        .iter()
        .map(|line| line.text.as_str())
        .filter(|text| text.starts_with("Containing chlorine and touching"))
        .collect();
    assert_eq!(
        lines,
        ["Containing chlorine and touching B: A.", "Containing chlorine and touching A: B."]
    );
    assert!(found.neighbours.iter().all(|risk| risk.part != risk.neighbour));
    let recorded: Vec<(&str, &[String], &str)> = found
        .recorded_neighbours
        .iter()
        .map(|pair| (pair.neighbour.as_str(), pair.parts.as_slice(), pair.seen.as_str()))
        .collect();
    let (b, c) = (["B".to_owned()], ["C".to_owned()]);
    assert_eq!(recorded, [("A", &b[..], ""), ("label", &c[..], "foxed")]);
}

#[test]
fn an_acetate_that_smells_of_vinegar_is_advised_on_and_an_indicator_changes_the_advice() {
    let advice = |more: &str, neighbour: &str| -> Vec<String> {
        let text = format!("[[part]]\nid = \"A\"\nnote = \"smells of vinegar\"\n{more}{neighbour}");
        let found = examine(&text, &[("A", "exposed", is("CA"))]);
        let lines = found.summary.iter().filter(|line| line.topic == Topic::Action);
        lines.map(|line| line.text.clone()).collect()
    };
    let alone = advice("", "");
    assert_eq!(alone.len(), 1, "{alone:?}");
    assert!(alone[0].contains("place an acid indicator beside it"), "{alone:?}");
    let turned = advice("acid_indicator = \"turned within a day\"\n", "");
    assert!(turned[0].contains("Treat A as giving off acid"), "{turned:?}");
    assert!(turned[0].contains("turned within a day"), "{turned:?}");
    let beside = "[[neighbour]]\nname = \"pin\"\nmaterial = \"lead\"\nrelation = \"touching\"\n";
    let usual = advice("", beside).join(" ");
    assert!(usual.contains("place an acid indicator"), "{usual}");
    let now = advice("acid_indicator = \"turned\"\n", beside).join(" ");
    assert!(now.contains("part the two now"), "{now}");
    let none = advice("acid_indicator = \"no change after a week\"\n", beside).join(" ");
    assert!(none.contains("nothing to part for acid today"), "{none}");
    assert!(!none.contains("place an acid indicator beside it"), "{none}");
}

#[test]
fn bands_that_point_down_ask_for_a_new_background_and_not_for_another_spot() {
    let spots = [("A", "exposed", identification(Outcome::NotEnoughSignal))];
    let found = examine_with("[[part]]\nid = \"A\"\n", &spots, |input| {
        input.spectra[0].fitness = vec![stated(json!({
            "id": "inverted",
            "unit": "",
            "severity": Severity::Unfit,
            "consequence": "bands point down: the background held what the sample does not",
            "remedy": "clean the element, measure a new background, then the sample",
        }))];
    });
    let open = &found.unsettled[0];
    assert!(open.open.contains("bands point down"), "{}", open.open);
    assert!(open.remedies[0].starts_with("clean the element, measure a new background"));
    assert!(open.remedies.iter().all(|way| way != "another spot"), "{:?}", open.remedies);
}

#[test]
fn neighbours_are_named_by_the_pair_rules_of_the_table() {
    let text = format!(
        "{TWO}[[part]]\nid = \"C\"\n\
         [[neighbour]]\nname = \"pinions\"\nmaterial = \"copper alloy\"\nbeside = [\"A\"]\nrelation = \"touching\"\nseen = \"tarnish\"\n\
         [[neighbour]]\nname = \"cloth\"\nmaterial = \"silk or wool\"\nrelation = \"same enclosure\"\n\
         [[neighbour]]\npart = \"B\"\nbeside = [\"C\"]\nrelation = \"touching\"\n"
    );
    let spots = |b: Identification| {
        vec![("A", "exposed", is("PVC")), ("B", "exposed", b), ("C", "exposed", is("PC"))]
    };
    let found = examine(&text, &spots(soft_pvc()));
    let pairs: Vec<(String, String)> =
        found.neighbours.iter().map(|n| (n.part.clone(), n.rule.clone())).collect();
    let has = |part: &str, rule: &str| pairs.contains(&(part.to_owned(), rule.to_owned()));
    assert!(has("A", "HCl-copper-alloy"), "{pairs:?}");
    assert!(has("A", "HCl-silk-or-wool") && has("B", "HCl-silk-or-wool"), "{pairs:?}");
    assert!(has("B", "plasticiser-into-plastic"), "{pairs:?}");
    assert!(!has("B", "HCl-copper-alloy"), "not beside it: {pairs:?}");
    let tarnish = found.neighbours.iter().find(|n| n.rule == "HCl-copper-alloy").expect("there");
    assert!(tarnish.words.contains("No acid-indicator result is recorded"), "{}", tarnish.words);
    assert!(tarnish.words.contains("(tarnish) is not explained here"), "{}", tarnish.words);
    // Rigid PVC has no plasticiser to lose.
    let rigid = examine(&text, &spots(is("PVC")));
    assert!(rigid.neighbours.iter().all(|n| n.rule != "plasticiser-into-plastic"));
}

#[test]
fn a_phthalate_beside_soft_pvc_may_have_migrated_or_be_its_own() {
    let mut carries = is("PC");
    carries.components.push(component(
        "plasticiser-ortho-phthalate",
        "additive",
        Relation::NotToldApart,
    ));
    let text =
        format!("{TWO}[[neighbour]]\npart = \"A\"\nbeside = [\"B\"]\nrelation = \"touching\"\n");
    let found = examine(&text, &[("A", "exposed", soft_pvc()), ("B", "exposed", carries)]);
    assert!(found.parts[0].notes.is_empty());
    assert!(found.parts[1].notes[0].contains("may have migrated from A beside it, or be its own"));
}

#[test]
fn care_notes_show_a_conflict_of_advice_as_one() {
    let found = examine(TWO, &[("A", "exposed", soft_pvc())]);
    let enclose = found.care.iter().find(|n| !n.conflicts_with.is_empty()).expect("a conflict");
    assert_eq!(enclose.material, "PVC");
    assert_eq!(enclose.parts, ["A"]);
    assert!(found.care.iter().any(|n| enclose.conflicts_with.contains(&n.advice)));
    // Trade notes and secondary copies are not printed as sources.
    assert!(found.care.iter().all(|n| !n.source.contains("studylib")));
}

// ---- candidate sheets -------------------------------------------------------------------------

pub(crate) fn sheet(claimed: &str, extra: &str) -> String {
    format!(
        "[object]\nsmallest_radius_mm = 900\ndouble_curvature = \"no\"\n[[candidate]]\nid = \"N\"\n\
         claimed = \"{claimed}\"\nthickness_mm = 3.0\nthickness_tolerance_mm = 0.3\n{extra}"
    )
}

pub(crate) fn three(made: &Identification) -> Vec<(&'static str, &'static str, Identification)> {
    ["face a", "face b", "cut edge"].map(|face| ("N", face, made.clone())).to_vec()
}

#[test]
fn a_claim_is_as_claimed_only_with_both_faces_and_a_cut_edge() {
    let claim = |claimed: &str, spots: &[(&'static str, &'static str, Identification)]| {
        examine(&sheet(claimed, ""), spots).candidates[0].claim.clone()
    };
    assert_eq!(claim("PC", &three(&is("PC"))).outcome, ClaimOutcome::AsClaimed);
    let part = claim("PC", &three(&is("PC"))[..2]);
    assert_eq!(part.outcome, ClaimOutcome::ThisFaceAgrees);
    assert!(part.settled_by[0].contains("a freshly cut edge"));
    assert_eq!(claim("PETG", &three(&is("PET"))).outcome, ClaimOutcome::NotAsClaimed);
    let open = claim("PETG", &three(&either(&["PET", "PETG"])));
    assert_eq!(open.outcome, ClaimOutcome::ConsistentNotExcluded);
    assert_eq!(open.words, "consistent with claim, PET not excluded");
    assert!(open.settled_by.iter().any(|way| way.contains("differential scanning calorimetry")));
    assert!(open.settled_by.iter().any(|way| way.contains("PETG does not (common practice")));
    assert_eq!(
        claim("PMMA", &three(&either(&["PET", "PETG"]))).outcome,
        ClaimOutcome::NotAsClaimed
    );
    for cannot in [
        claim("", &three(&is("PC"))),
        claim("PLEXI", &three(&is("PC"))),
        claim("PC", &[]),
        claim("PC", &three(&coated("PDMS", "PC"))),
        claim("PC", &[("N", "face a", is("PC")), ("N", "face b", is("PET"))]),
        claim("PC", &three(&identification(Outcome::NotInTable))),
    ] {
        assert_eq!(cannot.outcome, ClaimOutcome::CannotTell, "{cannot:?}");
    }
}

#[test]
fn a_reference_that_nobody_vouches_for_settles_nothing() {
    let text = sheet("PETG", "reference = \"r.csv\"\nreference_material = \"PETG\"\n");
    let found = examine_with(&text, &three(&either(&["PET", "PETG"])), |input| {
        input.references = vec![("N".to_owned(), spectrum(1000))];
    });
    let claim = &found.candidates[0].claim;
    assert_eq!(claim.outcome, ClaimOutcome::ConsistentNotExcluded);
    assert!(claim.why.contains("not vouched for"), "{}", claim.why);
}

#[test]
fn a_reference_that_is_the_sheet_s_own_spectrum_settles_nothing() {
    let text = sheet(
        "PETG",
        "reference = \"r.csv\"\nreference_material = \"PETG\"\nreference_vouched_by = \"A. Invented\"\n",
    );
    let why = |reference: usize| {
        let found = examine_with(&text, &three(&either(&["PET", "PETG"])), |input| {
            input.references = vec![("N".to_owned(), spectrum(reference))];
        });
        assert_eq!(found.candidates[0].claim.outcome, ClaimOutcome::ConsistentNotExcluded);
        found.candidates[0].claim.why.clone()
    };
    let own = "the reference r.csv is the sheet's own spectrum, which agrees with itself and settles nothing";
    assert!(why(1).contains(own), "{}", why(1));
    assert!(!why(1000).contains("own spectrum"), "{}", why(1000));
}

#[test]
fn held_strain_is_thickness_over_twice_the_radius_and_once_the_thickness() {
    // Plate bending, exact arithmetic; the rounded figures for 100 and 330 thicknesses are those of
    // the sheet makers' public notes (0.50 % and 0.15 %).
    assert!((held_strain(900.0, 3.0) - 3.0 / 1803.0).abs() < 1e-15);
    assert!((100.0 * held_strain(300.0, 3.0) - 0.50).abs() < 0.005);
    assert!((100.0 * held_strain(990.0, 3.0) - 0.15).abs() < 0.005);
}

#[test]
fn bending_prints_the_spread_of_sources_and_refuses_double_curvature() {
    let bending = |text: &str, made: &Identification| {
        examine(text, &three(made)).candidates[0].bending.clone()
    };
    let Bending::Strain { strain, strain_thickest, published, words, .. } =
        bending(&sheet("PMMA", ""), &is("PMMA"))
    else {
        panic!("a strain")
    };
    assert!((strain - 3.0 / 1803.0).abs() < 1e-12);
    assert!((strain_thickest - 3.3 / 1803.3).abs() < 1e-12);
    let multiples: Vec<f64> = published.iter().map(|p| p.multiple).collect();
    assert!(multiples.contains(&180.0) && multiples.contains(&330.0), "{multiples:?}");
    assert!(words.contains("within the spread of published minima (180 to 330)"), "{words}");
    for (claimed, made) in [("PETG", either(&["PET", "PETG"])), ("PVC", is("PVC"))] {
        let Bending::Strain { published, words, .. } = bending(&sheet(claimed, ""), &made) else {
            panic!("a strain")
        };
        assert!(published.is_empty(), "{published:?}");
        assert!(words.contains("ask the maker"), "{words}");
    }
    let twice = sheet("PC", "").replace("\"no\"", "\"yes\"");
    assert!(
        matches!(bending(&twice, &is("PC")), Bending::Refused { why } if why.contains("two directions"))
    );
    let unknown = sheet("PC", "").replace("smallest_radius_mm = 900\n", "");
    assert!(
        matches!(bending(&unknown, &is("PC")), Bending::Refused { why } if why.contains("not recorded"))
    );
}

#[test]
fn a_candidate_stands_beside_others_with_facts_and_tests_to_do_first() {
    let found = examine_with(&sheet("PC", "batch = \"7\"\n"), &three(&is("PC")), |input| {
        let uv = UvVisible::from_text("nm,T %\n300,0\n380,10\n400,50\n800,90\n", "n.csv");
        input.uv_visible = uv.ok().map(|uv| ("N".to_owned(), uv)).into_iter().collect();
    });
    let sheet = &found.candidates[0];
    assert_eq!(sheet.record.thickness_mm, Some(3.0));
    let text = |heading: &str| {
        sheet
            .side_by_side
            .iter()
            .find(|(h, _)| h == heading)
            .map(|(_, t)| t.as_str())
            .expect("a row")
    };
    assert_eq!(text("finding"), "as claimed");
    assert_eq!(text("chlorine"), "none detected at this surface");
    assert_eq!(text("Oddy test"), "not recorded");
    // Points 20 nm apart and more are not bridged.
    assert!(text("UV-visible transmittance").contains("at 380 nm 10.0 %, at 400 nm 50.0 %"));
    assert!(text("UV-visible transmittance").contains("mean 315–400 nm not covered"));
    assert!(sheet.test_first.iter().any(|t| t.contains("corrosion test (Oddy)")));
    assert!(sheet.alternatives.iter().any(|t| t.contains("segments")));
}

#[test]
fn what_is_open_comes_with_remedies_in_order() {
    let found = examine(
        TWO,
        &[("A", "exposed", identification(Outcome::NotEnoughSignal)), ("B", "exposed", is("PC"))],
    );
    assert_eq!(found.unsettled.len(), 1);
    let remedies = &found.unsettled[0].remedies;
    let place = |text: &str| remedies.iter().position(|r| r.contains(text)).expect(text);
    // No finding says why: only here is another spot a way.
    let order = ["another spot", "better contact", "X-ray fluorescence", "Raman", "a laboratory"];
    assert!(order.windows(2).all(|p| place(p[0]) < place(p[1])), "{remedies:?}");
    assert!(remedies.last().expect("one").contains("no flame test on the object"));
}

#[test]
fn the_summary_answers_every_question_in_order() {
    let found = examine(TWO, &[("A", "exposed", is("PVC")), ("B", "exposed", is("PC"))]);
    let topics: Vec<Topic> = found.summary.iter().map(|line| line.topic).collect();
    let mut sorted = topics.clone();
    sorted.sort();
    assert_eq!(topics, sorted);
    for topic in [Topic::Chlorine, Topic::Ageing, Topic::Replacement, Topic::Limits] {
        assert!(topics.contains(&topic), "{topic:?}");
    }
    assert!(found.summary[0].text.contains("contain chlorine: A"));
    assert_eq!(found.manifest.spectra[0].face, Face::Exposed);
}

#[test]
fn the_guide_to_the_manifest_names_every_key_that_is_read() {
    let guide = include_str!("../../docs/manifest.md");
    // Every key stands where the reader asks for it: `f.text("key")`, `f.id("key")`, …
    let reader = include_str!("../../src/object/manifest/mod.rs");
    let keys = reader.split("f.").skip(1).filter_map(|call| {
        let (name, rest) = call.split_once("(\"")?;
        name.bytes().all(|b| b.is_ascii_lowercase() || b == b'_').then_some(())?;
        rest.split('"').next()
    });
    let mut count = 0;
    for key in keys {
        let key = key.strip_prefix("seen_").map_or(key.to_owned(), |seen| format!("seen.{seen}"));
        assert!(guide.contains(&format!("`{key}`")), "docs/manifest.md does not name {key}");
        count += 1;
    }
    assert!(count > 80, "{count} keys found");
}
