//! The shipped table: the check that a contributor's table goes through, and what it must hold.
//!
//! Row counts and the digest are pinned in `tests/bands_table.lock`, so that an edit of the table is
//! seen in review: results can change with it. After an intended edit run
//! `BANDLORE_RENEW_TABLE=1 cargo test --test suite bands_table`, which also writes `docs/table.md` and
//! `src/tables/digest.kept`, and say so in CHANGELOG.md.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use bandlore::{
    Tables,
    tables::{Material, words::Status},
};

/// How the build tells the table's files.
#[path = "../../build.rs"]
#[allow(dead_code, reason = "a build script has a main of its own")]
mod build;

/// Set to renew the lock and the page by hand; never in CI.
const RENEW: &str = "BANDLORE_RENEW_TABLE";

/// The CSV files of a table folder.
const SHEETS: [&str; 17] = [
    "materials.csv",
    "bands.csv",
    "groups.csv",
    "windows.csv",
    "classes.csv",
    "rules.csv",
    "predicates.csv",
    "markers.csv",
    "confounders.csv",
    "routes.csv",
    "care.csv",
    "neighbours.csv",
    "practice.csv",
    "bending.csv",
    "stretches.csv",
    "places.csv",
    "shape-sources.csv",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The folder that ships.
fn shipped() -> PathBuf {
    root().join("reference-bands")
}

fn sheet(name: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_path(shipped().join(name)).expect("a shipped sheet");
    let header = reader.headers().expect("a header").iter().map(str::to_owned).collect();
    let rows = reader.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect());
    (header, rows.collect())
}

/// Holds a text against a committed file, or renews the file where the user asked for it.
fn hold(path: &Path, text: &str) {
    if std::env::var_os(RENEW).is_some() {
        fs::write(path, text).expect("renewed");
    }
    let committed = fs::read_to_string(path).unwrap_or_default();
    if committed != text {
        let shown: String = text.lines().take(16).collect::<Vec<_>>().join("\n");
        panic!(
            "{} is not current; set {RENEW}=1 to renew it. It begins now:\n{shown}",
            path.display()
        );
    }
}

#[test]
fn the_shipped_table_passes_its_own_check() {
    match Tables::load(&shipped()) {
        Ok(tables) => assert_eq!(tables.sha256(), Tables::built_in().sha256()),
        Err(error) => panic!("{error}"),
    }
}

#[test]
fn row_counts_and_digest_are_pinned() {
    let tables = Tables::built_in();
    let mut text = String::new();
    for name in SHEETS {
        writeln!(text, "{name} {}", sheet(name).1.len()).expect("text");
    }
    writeln!(text, "version {}\nsha256 {}", tables.version(), tables.sha256()).expect("text");
    hold(&root().join("tests/bands_table.lock"), &text);
}

#[test]
fn the_digest_that_is_kept_is_that_of_the_files() {
    let files = build::fingerprint(&shipped()).expect("the shipped files");
    // Worked out from the files, not the kept one that is built in.
    let tables = Tables::load(&shipped()).expect("a faultless table");
    hold(&root().join("src/tables/digest.kept"), &format!("{files} {}\n", tables.sha256()));
}

#[test]
fn another_table_never_gets_the_digest_that_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let write =
        |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("written");
    let of_it = || build::fingerprint(folder.path()).expect("files");
    write("a.csv", "bar");
    // FNV-1a of "a.csv", a zero byte and "bar", by a second implementation (Python's whole numbers).
    assert_eq!(of_it(), "5238f5611e6437b3");
    let kept = format!("{} 5ha256\n", of_it());
    assert_eq!(build::digest_of(&of_it(), &kept), "5ha256");
    // The same bytes in another file, and one byte more.
    for (name, text) in [("b.csv", ""), ("a.csv", "bar ")] {
        write(name, text);
        assert_eq!(build::digest_of(&of_it(), &kept), "", "{name}");
    }
}

#[test]
fn the_readable_page_is_current() {
    hold(&root().join("docs/table.md"), &Tables::built_in().page());
}

#[test]
fn the_shipped_rows_stand_in_order() {
    for name in SHEETS {
        let (header, rows) = sheet(name);
        let column = |wanted: &str| header.iter().position(|x| x == wanted).expect("a column");
        let key = |row: &[String]| match name {
            "bands.csv" => {
                let position: f64 = row[column("position_cm1")].parse().expect("a number");
                (row[column("material")].clone(), -position)
            }
            "predicates.csv" => {
                let step: f64 = row[column("step")].parse().expect("a number");
                (row[column("owner")].clone(), step)
            }
            _ => (row[0].clone(), 0.0),
        };
        for pair in rows.windows(2) {
            assert!(key(&pair[0]) < key(&pair[1]), "{name}: {} is out of order", pair[1][0]);
        }
    }
}

#[test]
fn every_nameable_polymer_has_bands_and_a_required_one() {
    // Without a required band a material could be named on shared bands alone.
    let tables = Tables::built_in();
    let loose: Vec<&str> = tables
        .materials()
        .iter()
        .filter(|x| x.nameable && x.is_base())
        .filter(|x| tables.bands_of(&x.id).iter().all(|b| b.role.as_str() != "required"))
        .map(|x| x.id.as_str())
        .collect();
    assert!(loose.is_empty(), "{loose:?}");
}

#[test]
fn the_other_chlorinated_polymers_are_known() {
    // Named beside PVC wherever chlorine in plastics is treated: common practice, no source.
    let tables = Tables::built_in();
    for id in ["CPVC", "chlorinated-rubber", "CSM", "PCTFE", "modacrylic", "PVDC", "CR", "VCVAC"] {
        assert!(tables.material(id).is_some_and(|x: &Material| x.chlorine), "{id}");
    }
}

#[test]
fn answers_what_absorbs_near_612() {
    let tables = Tables::built_in();
    let near = tables.bands_near(612.0);
    let first = near.first().expect("a band");
    assert_eq!(first.id, "PVC-613");
    assert!(near.iter().all(|x| x.atr.contains(612.0) || x.transmission.contains(612.0)));
    // Barium sulphate and acetate lie at the same place: the reason for the partner rules.
    assert!(near.iter().any(|x| x.material == "barite"));
    assert!(near.iter().any(|x| x.material == "PVAC" || x.material == "EVAC"));
    assert!(tables.bands_near(f64::NAN).is_empty());
}

#[test]
fn recalled_rows_keep_their_status() {
    let tables = Tables::built_in();
    let memory = tables.bands().iter().filter(|x| x.sourcing.status == Status::Memory).count();
    assert!(memory > 0, "no row claims to stand from memory");
    for band in tables.bands() {
        assert!(!band.sourcing.source.is_empty());
    }
}

/// Writes a sheet as a spreadsheet of a country with decimal commas would.
fn as_spreadsheet(name: &str) -> Vec<u8> {
    let (header, mut rows) = sheet(name);
    rows.reverse();
    // Columns, too, come back in another order when somebody has moved one.
    let mut order: Vec<usize> = (0..header.len()).collect();
    order.rotate_left(1);
    let numeric = |column: &str| {
        column.ends_with("_cm1")
            || column.starts_with("height_")
            || [
                "least",
                "most",
                "height",
                "least_rise",
                "spread",
                "radius_multiple",
                "blank_value",
                "blank_sd",
            ]
            .contains(&column)
    };
    let mut writer = csv::WriterBuilder::new()
        .delimiter(b';')
        .terminator(csv::Terminator::CRLF)
        .from_writer(b"\xEF\xBB\xBF".to_vec());
    writer.write_record(order.iter().map(|i| &header[*i])).expect("written");
    for row in &rows {
        let cells = order.iter().map(|i| {
            let number = numeric(&header[*i]) && row[*i].parse::<f64>().is_ok();
            if number { row[*i].replace('.', ",") } else { row[*i].clone() }
        });
        writer.write_record(cells).expect("written");
    }
    // Trailing rows of separators are what a cleared range leaves behind.
    writer.write_record(vec![""; header.len()]).expect("written");
    writer.into_inner().expect("bytes")
}

#[test]
fn survives_a_round_trip_through_a_spreadsheet() {
    let folder = tempfile::tempdir().expect("a folder");
    Tables::built_in().export(folder.path()).expect("exported");
    for name in SHEETS {
        fs::write(folder.path().join(name), as_spreadsheet(name)).expect("written");
    }
    let back = match Tables::load(folder.path()) {
        Ok(tables) => tables,
        Err(error) => panic!("{error}"),
    };
    let built_in = Tables::built_in();
    assert_eq!(back.sha256(), built_in.sha256());
    assert_eq!(back.bands(), built_in.bands());
    assert_eq!(back.classes(), built_in.classes());
    assert_eq!(back.rules(), built_in.rules());
    assert_eq!(back.markers(), built_in.markers());
    assert_eq!(back.care(), built_in.care());
}

/// Exports the table, edits one file, and returns what the check says, one fault a line.
fn faults(file: &str, edit: impl Fn(&str) -> String) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    Tables::built_in().export(folder.path()).expect("exported");
    let path = folder.path().join(file);
    let text = fs::read_to_string(&path).expect("exported");
    let edited = edit(&text);
    assert_ne!(text, edited, "the edit of {file} changed nothing");
    fs::write(&path, edited).expect("written");
    Tables::load(folder.path()).map(|_| ()).expect_err("a fault").to_string()
}

/// A small table of one material, whose lines are known.
fn small(file: &str, text: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    for name in SHEETS {
        let header = sheet(name).0.join(",");
        fs::write(folder.path().join(name), header + "\n").expect("written");
    }
    let mut materials = sheet("materials.csv").0.join(",");
    materials
        .push_str("\nX,a polymer,x glass,polymer,x,,no,no,,,made for a test,institution,memory,\n");
    fs::write(folder.path().join("materials.csv"), materials).expect("written");
    // What a judgement cannot do without, of the one material.
    fs::copy(shipped().join("places.csv"), folder.path().join("places.csv")).expect("copied");
    let (header, mut rows) = sheet("stretches.csv");
    let materials = header.iter().position(|x| x == "materials").expect("a column");
    let path = folder.path().join("stretches.csv");
    let mut writer = csv::Writer::from_path(path).expect("a file");
    writer.write_record(&header).expect("written");
    for row in &mut rows {
        row[materials] = "X".to_owned();
        writer.write_record(row).expect("written");
    }
    writer.flush().expect("written");
    drop(writer);
    // A grid without a shape.
    let grid = (0..901).map(|point| format!("{}\n", 400 + 4 * point));
    let curves = format!("wavenumber_cm1\n{}", grid.collect::<String>());
    fs::write(folder.path().join("shapes.csv"), curves).expect("written");
    fs::write(folder.path().join("table.toml"), "format = 2\nversion = \"test\"\n")
        .expect("written");
    fs::write(folder.path().join(file), text).expect("written");
    match Tables::load(folder.path()) {
        Ok(_) => String::new(),
        Err(error) => error.to_string(),
    }
}

fn bands(rows: &str) -> String {
    small("bands.csv", &format!("{}\n{rows}", sheet("bands.csv").0.join(",")))
}

const GOOD: &str = "X-1735,X,1735,1725,1745,1725,1760,shift-rule,strong,sharp,stretch,C=O,shared,,,,,,a book,peer-reviewed,memory,\n";

#[test]
fn names_file_line_row_column_and_fault() {
    assert_eq!(bands(GOOD), "");
    let cases = [
        (
            ",1725,1745,",
            ",1755,1735,",
            "bands.csv:2 (X-1735): column atr_low_cm1: 1755 is not below atr_high_cm1 1735",
        ),
        (
            ",1725,1745,",
            ",1740,1745,",
            "bands.csv:2 (X-1735): column position_cm1: 1735 lies outside its ATR window 1740 to 1745",
        ),
        (
            ",1725,1745,",
            ",325,1745,",
            "bands.csv:2 (X-1735): column atr_low_cm1: 325 lies outside 400 to 4000 cm⁻¹",
        ),
        (
            ",1725,1745,",
            ",\"1,725\",1745,",
            "bands.csv:2 (X-1735): column atr_low_cm1: \"1,725\" is not a number; decimal commas are \
             read where semicolons or tabs part the cells",
        ),
        (
            ",1725,1745,",
            ",NaN,1745,",
            "bands.csv:2 (X-1735): column atr_low_cm1: \"NaN\" is not a number",
        ),
        (
            ",strong,",
            ",mighty,",
            "bands.csv:2 (X-1735): column strength: unknown word \"mighty\"; known: very-strong, strong, medium, weak",
        ),
        (",sharp,", ",,", "bands.csv:2 (X-1735): column width: empty"),
        (",a book,", ",,", "bands.csv:2 (X-1735): column source: empty"),
        (
            ",peer-reviewed,",
            ",hearsay,",
            "bands.csv:2 (X-1735): column source_class: unknown word \"hearsay\"; known: standard, peer-reviewed, measured-data, institution, trade-note, secondary-copy",
        ),
        (
            "X-1735,X,",
            "Y-1735,Y,",
            "bands.csv:2 (Y-1735): column material: \"Y\" is not in materials.csv",
        ),
        (
            "X-1735,X,",
            "1735,X,",
            "bands.csv:2 (1735): column id: must begin with its material and a hyphen, \"X-\"",
        ),
        (
            ",shared,,,,,,a book,peer-reviewed,",
            ",required,,,,,,a book,secondary-copy,",
            "bands.csv:2 (X-1735): column role: a secondary copy alone cannot make a band required",
        ),
        (
            ",shared,,,,,,",
            ",shared,0.5,,,,,",
            "bands.csv:2 (X-1735): column height_median: a measured height needs median, low, high, n and source; fill all five or none",
        ),
        (
            ",shared,,,,,,",
            ",shared,0.5,0.6,0.9,4,a set,",
            "bands.csv:2 (X-1735): column height_median: 0.5 does not lie between 0.6 and 0.9",
        ),
        (
            ",memory,\n",
            ",memory,,surplus\n",
            "bands.csv:2 (X-1735): 23 cells under 22 columns; quote text that holds a separator",
        ),
    ];
    for (from, to, expected) in cases {
        let row = GOOD.replacen(from, to, 1);
        assert_ne!(row, GOOD, "{from}");
        assert_eq!(bands(&row), expected);
    }
    let twice = bands(&format!("{GOOD}{GOOD}"));
    assert_eq!(twice, "bands.csv:3 (X-1735): column id: stands already in line 2");
}

#[test]
fn lists_every_fault_of_a_row_and_none_that_only_follows_from_another() {
    let row = GOOD
        .replacen(",1735,1725,1745,", ",1935,low,1745,", 1)
        .replacen(",strong,", ",mighty,", 1)
        .replacen(",,,,,,", ",0.5,few,many,4,a set,", 1);
    assert_eq!(
        bands(&row),
        "bands.csv:2 (X-1735): column atr_low_cm1: \"low\" is not a number\n\
         bands.csv:2 (X-1735): column height_high: \"many\" is not a number\n\
         bands.csv:2 (X-1735): column height_low: \"few\" is not a number\n\
         bands.csv:2 (X-1735): column strength: unknown word \"mighty\"; known: very-strong, strong, medium, weak"
    );
    // Without a role nobody knows what the other columns may hold.
    let stretches = faults("stretches.csv", |text| text.replacen(",water-foot,", ",water-toe,", 1));
    assert!(stretches.contains("column role: unknown word \"water-toe\""), "{stretches}");
    assert_eq!(stretches.lines().count(), 1, "{stretches}");
}

#[test]
fn a_name_leads_to_one_material() {
    let header = sheet("materials.csv").0.join(",");
    let row = |id: &str, called: &str| {
        format!("{id},named {id},{called},polymer,x,,no,no,,,made for a test,institution,memory,\n")
    };
    let of = |called: &str| {
        small(
            "materials.csv",
            &format!("{header}\n{}{}", row("X", "x glass; glass"), row("Y", called)),
        )
    };
    assert_eq!(of("y glass"), "");
    assert_eq!(
        of("X-Glass"),
        "materials.csv:3 (Y): column also_called: \"xglass\" leads to \"X\" already"
    );
    assert_eq!(of("x"), "materials.csv:3 (Y): column also_called: \"x\" leads to \"X\" already");
}

#[test]
fn names_missing_unknown_and_repeated_columns() {
    let header = sheet("bands.csv").0.join(",");
    let missing = small("bands.csv", &header.replace(",role", ""));
    assert_eq!(missing, "bands.csv:1: column \"role\" is missing");
    let unknown = small("bands.csv", &format!("{header},colour"));
    assert!(
        unknown.starts_with("bands.csv:1: unknown column \"colour\"; known: id, material, "),
        "{unknown}"
    );
    let twice = small("bands.csv", &format!("{header},role"));
    assert_eq!(twice, "bands.csv:1: column \"role\" stands twice");
    let empty = small("bands.csv", "");
    assert_eq!(
        empty.lines().next().unwrap_or_default(),
        "bands.csv: empty; the first line must name the columns"
    );
}

#[test]
fn refuses_what_is_not_text_and_other_formats() {
    let header = faults("table.toml", |x| x.replace("format = 2", "format = 9"));
    assert_eq!(header, "table.toml: format 9 is of a later program, and this one reads 2");
    // An older folder lacks files too; what it is comes first.
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("table.toml"), "format = 1\nversion = \"2026.11.27\"\n")
        .expect("written");
    let older = Tables::load(folder.path()).map(|_| ()).expect_err("an older table").to_string();
    assert_eq!(
        older,
        "table.toml: format 1 is of an earlier program, and this one reads 2: write its table into an empty folder \
         (bandlore bands --export) and bring your rows over"
    );
    let folder = tempfile::tempdir().expect("a folder");
    Tables::built_in().export(folder.path()).expect("exported");
    fs::write(folder.path().join("bands.csv"), b"id,material\nPVC\x96").expect("written");
    let error = Tables::load(folder.path()).map(|_| ()).expect_err("not UTF-8").to_string();
    assert_eq!(error, "bands.csv:2: not UTF-8 (byte 0x96 at offset 15); save as CSV in UTF-8");
    fs::remove_file(folder.path().join("bands.csv")).expect("removed");
    let error = Tables::load(folder.path()).map(|_| ()).expect_err("missing").to_string();
    assert!(error.ends_with("bands.csv: cannot be read: no such file or folder"), "{error}");
}

#[test]
fn lists_twenty_faults_and_counts_the_rest() {
    let all = faults("bands.csv", |x| x.replace(",strong,", ",mighty,"));
    let lines: Vec<&str> = all.lines().collect();
    assert_eq!(lines.len(), 21);
    assert!(lines[0].starts_with("bands.csv:"));
    assert!(lines[20].starts_with("and ") && lines[20].ends_with(" more faults"), "{}", lines[20]);
}

#[test]
fn a_secondary_copy_carries_no_rule_alone() {
    let row = "R,X,,warn,,0,any,a rule,an excerpt,secondary-copy,memory,\n";
    let rules = small("rules.csv", &format!("{}\n{row}", sheet("rules.csv").0.join(",")));
    let lines: Vec<&str> = rules.lines().collect();
    assert_eq!(
        lines,
        [
            "rules.csv:2 (R): has no question in predicates.csv",
            "rules.csv:2 (R): column source_class: a secondary copy cannot carry a rule alone"
        ]
    );
}

#[test]
fn a_class_has_two_known_members_evidence_and_a_source() {
    let header = sheet("classes.csv").0.join(",");
    let cases = [
        (
            "K,a kind,X,,any,a book,peer-reviewed,memory,\n",
            "classes.csv:2 (K): column members: a class needs at least two members",
        ),
        (
            "K,a kind,X Y,,any,a book,peer-reviewed,memory,\n",
            "classes.csv:2 (K): has no question in predicates.csv\n\
             classes.csv:2 (K): column members: \"Y\" is not in materials.csv",
        ),
        (
            "K,a kind,X X,2,any,an excerpt,secondary-copy,memory,\n",
            "classes.csv:2 (K): has no question in predicates.csv\n\
             classes.csv:2 (K): column least_some: 2 does not fit 0 questions of part some\n\
             classes.csv:2 (K): column members: \"X\" stands twice\n\
             classes.csv:2 (K): column source_class: a secondary copy cannot carry a class alone",
        ),
    ];
    for (row, expected) in cases {
        assert_eq!(small("classes.csv", &format!("{header}\n{row}")), expected);
    }
    // A question belongs to one owner: the id of a rule cannot be that of a class.
    let taken = faults("classes.csv", |text| text.replace("styrenic,", "PVC-set,"));
    let first = taken.lines().find(|line| line.contains("column id")).unwrap_or_default();
    assert!(
        first.ends_with("(PVC-set): column id: \"PVC-set\" stands in rules.csv too"),
        "{taken}"
    );
}

#[test]
fn a_material_leads_to_its_classes() {
    let tables = Tables::built_in();
    let of = |id: &str| tables.classes_of(id).map(|x| x.id.as_str()).collect::<Vec<_>>();
    assert_eq!(of("PETG"), ["aromatic-polyester"]);
    assert_eq!(of("PC"), [""; 0]);
    for class in tables.classes() {
        assert_eq!(tables.class(&class.id), Some(class));
        assert!(class.members.iter().all(|id| class.holds(id)), "{}", class.id);
    }
    assert_eq!(tables.class("PET"), None);
}

#[test]
fn questions_are_typed_and_owned() {
    let header = sheet("predicates.csv").0.join(",");
    let cases = [
        (
            "Z,1,all,present,a band,600,620,580,650,,,,,,\n",
            "predicates.csv:2 (Z): column owner: \"Z\" is in none of rules.csv, confounders.csv, classes.csv",
        ),
        (
            "Z,1,all,present,a band,600,620,610,650,,,,,,\n",
            "predicates.csv:2 (Z): column baseline_low_cm1: the baseline 610 to 650 does not reach around 600 to 620",
        ),
        (
            "Z,1,all,width,a band,600,620,580,650,,,,,,\n",
            "predicates.csv:2 (Z): column least: neither least nor most is filled",
        ),
        (
            "Z,1,all,width,a band,600,620,580,650,,,,,20,10\n",
            "predicates.csv:2 (Z): column least: 20 is not below most 10",
        ),
        (
            "Z,1,all,present,a band,600,620,580,650,700,720,,,,\n",
            "predicates.csv:2 (Z): column second_high_cm1: must be empty for the test present\npredicates.csv:2 (Z): column second_low_cm1: must be empty for the test present",
        ),
        (
            "Z,1,all,A>B,a band,600,620,580,650,,,,,,\n",
            "predicates.csv:2 (Z): column test: unknown word \"A>B\"; known: present, absent, ratio, width, order, measured",
        ),
    ];
    for (row, expected) in cases {
        assert_eq!(small("predicates.csv", &format!("{header}\n{row}")), expected);
    }
}

#[test]
fn each_stretch_has_a_role_and_what_its_role_needs() {
    // Edits of the shipped sheet: what is taken away, what takes its place, what is said. Lines are those of the sheet.
    let line = |id: &str| {
        let place = sheet("stretches.csv").1.iter().position(|row| row[0] == id).expect("a row");
        format!("stretches.csv:{} ({id}): ", place + 2)
    };
    let cases = [
        (
            ",c-cl-read,,PVC,613,600,622,",
            ",c-cl-read,,PVC,613,622,600,",
            "c-cl-read",
            "column low_cm1: 622 is not below high_cm1 600",
        ),
        (",c-cl-read,,PVC,613,", ",c-cl-read,,PVC,,", "c-cl-read", "column position_cm1: empty"),
        (
            ",c-cl-read,,PVC,613,",
            ",c-cl-read,,PVC,640,",
            "c-cl-read",
            "column position_cm1: 640 lies outside 600 to 622",
        ),
        (
            ",c-cl-read,,PVC,",
            ",c-cl-read,,PVD,",
            "c-cl-read",
            "column materials: \"PVD\" is not in materials.csv",
        ),
        (
            ",c-cl-read,,PVC,",
            ",c-cl-read,,PVC VCVAC,",
            "c-cl-read",
            "column materials: 2 materials; one is needed, whose C–Cl stretches these are",
        ),
        (
            ",c-cl-valley,,PVC,,648,661,,,,0.5,",
            ",c-cl-valley,,PVC,,648,661,,,0.1,0.5,",
            "c-cl-valley",
            "column least: must be empty for the role c-cl-valley",
        ),
        (",0.45,1.05,", ",1.45,1.05,", "c-cl-long", "column least: 1.45 is not below most 1.05"),
        (",0.45,1.05,", ",-3,105,", "c-cl-long", "column least: -3 is no share between 0 and 2"),
        (",0.45,1.05,", ",-3,105,", "c-cl-long", "column most: 105 is no share between 0 and 2"),
        (
            ",587,593,,,,0.6,",
            ",587,593,,,,60,",
            "c-cl-fallen",
            "column most: 60 is no share between 0 and 2",
        ),
        (
            ",ester-measured,",
            ",ester-baseline,",
            "ester-measured",
            "column role: one row of the role ester-baseline is needed, found 2",
        ),
        (
            ",peer-reviewed,memory,clear of",
            ",secondary-copy,memory,clear of",
            "ester-partner-1110",
            "column source_class: a secondary copy cannot carry a judgement alone",
        ),
    ];
    for (from, to, id, what) in cases {
        let said = faults("stretches.csv", |text| text.replacen(from, to, 1));
        assert!(said.lines().any(|said| said == line(id) + what), "{to}: {said}");
    }
    let short = faults("stretches.csv", |text| text.replacen(",,1650,1800,", ",,1720,1800,", 1));
    assert_eq!(
        short,
        line("ester-baseline")
            + "column low_cm1: 1720 to 1800 does not reach around 1712 to 1748, the role ester-carbonyl"
    );
    let gone = faults("stretches.csv", |text| {
        text.lines()
            .filter(|line| !line.starts_with("ester-partner"))
            .collect::<Vec<_>>()
            .join("\n")
    });
    assert_eq!(
        gone,
        "stretches.csv: column role: at least one row of the role ester-partner is needed, found 0"
    );
    let unknown = faults("stretches.csv", |text| text.replacen(",c-cl-valley,", ",valley,", 1));
    assert!(unknown.contains("(c-cl-valley): column role: unknown word \"valley\"; known: c-cl, "));
}

#[test]
fn each_place_stands_between_its_sides() {
    let cases = [
        (
            "572,580,608,618",
            "572,610,608,618",
            "places.csv:2 (613-far): column below_high_cm1: 610 is above at_low_cm1 608",
        ),
        (
            "618,655,664",
            "618,615,664",
            "places.csv:2 (613-far): column above_low_cm1: 615 is below at_high_cm1 618",
        ),
        (
            ",0.27,",
            ",27,",
            "places.csv:2 (613-far): column least_rise: 27 is no share between 0 and 1",
        ),
        (
            ",first,",
            ",always,",
            "places.csv:2 (613-far): column asked: unknown word \"always\"; known: first, otherwise",
        ),
    ];
    for (from, to, expected) in cases {
        assert_eq!(faults("places.csv", |text| text.replacen(from, to, 1)), expected);
    }
    let none = faults("places.csv", |text| text.replace(",first,", ",otherwise,"));
    assert_eq!(none, "places.csv: column asked: at least one place must be asked first");
}

#[test]
fn roles_of_materials_and_confounders_are_words_of_the_table() {
    let material =
        faults("materials.csv", |text| text.replacen(",may-be-plasticised,", ",soft,", 1));
    assert!(
        material.ends_with("column roles: unknown word \"soft\"; known: may-be-plasticised, plasticiser, lies-on, smells-of-vinegar"),
        "{material}"
    );
    let confounder =
        faults("confounders.csv", |text| text.replacen(",sharp-hydroxyl,", ",filler,", 1));
    assert!(
        confounder.ends_with("(filler-oh): column role: unknown word \"filler\"; known: reference-band, adsorbed-water, sharp-hydroxyl, cap"),
        "{confounder}"
    );
}

#[test]
fn export_writes_what_load_reads() {
    let folder = tempfile::tempdir().expect("a folder");
    let written = Tables::built_in().export(folder.path()).expect("exported");
    assert_eq!(written.len(), SHEETS.len() + 3);
    // A second export must not undo somebody's edits.
    let again = Tables::built_in().export(folder.path()).expect_err("occupied").to_string();
    assert!(
        again.ends_with("already there; choose an empty folder, so that no edited table is lost")
    );
    let deeper = folder.path().join("new/folder");
    assert!(Tables::built_in().export(&deeper).is_ok());
    let back = Tables::load(folder.path()).expect("read back");
    assert_eq!(back.sha256(), Tables::built_in().sha256());
    let bands = Tables::built_in().bands_of("PVC");
    let text = bandlore::tables::bands_as_csv(&bands.iter().collect::<Vec<_>>());
    assert_eq!(text.lines().count(), bands.len() + 1);
    assert_eq!(text.lines().next().unwrap_or_default(), sheet("bands.csv").0.join(","));
}

#[test]
fn strong_bands_hold_the_measured_maxima_of_both_kinds_of_measurement() {
    // Outside source: measured n and k (CC0), with the absorbance of one diamond bounce computed
    // from them by the publisher of the shared series. The maximum of k belongs in the transmission
    // window, that of the ATR absorbance in the ATR window; half a grid step of 7.7 cm⁻¹ is allowed.
    const HALF_STEP_CM1: f64 = 4.0;
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/optical-constants"));
    if !folder.exists() {
        println!("skipped 1 test: {} is not there", folder.display());
        return;
    }
    let tables = Tables::built_in();
    let cases = [
        ("PC_nk_atr.csv", "PC-1770"),
        ("PC_nk_atr.csv", "PC-1219"),
        ("PC_nk_atr.csv", "PC-1504"),
        ("PVC_nk_atr.csv", "PVC-613"),
        ("PVC_nk_atr.csv", "PVC-1427"),
        ("PET_nk_atr.csv", "PET-1713"),
        ("PET_nk_atr.csv", "PET-1243"),
        ("PET_nk_atr.csv", "PET-723"),
        ("PMMA_TBB_nk_atr.csv", "PMMA-1723"),
        ("PMMA_TBB_nk_atr.csv", "PMMA-1144"),
        ("PDMS_nk_atr.csv", "PDMS-1259"),
        ("PS_M_nk_atr.csv", "PS-697"),
    ];
    for (file, id) in cases {
        let band = tables.band(id).expect("a band");
        let mut reader = csv::Reader::from_path(folder.join(file)).expect("a series");
        let rows: Vec<[f64; 3]> = reader
            .records()
            .map(|row| {
                let row = row.expect("a row");
                [0, 2, 3].map(|i| row[i].parse::<f64>().expect("a number"))
            })
            .collect();
        let (low, high) = (band.atr.low_cm1 - 12.0, band.transmission.high_cm1 + 12.0);
        let highest = |column: usize| {
            let inside = rows.iter().filter(|x| (low..=high).contains(&x[0]));
            inside.max_by(|a, b| a[column].total_cmp(&b[column])).expect("points")[0]
        };
        let (k, atr) = (highest(1), highest(2));
        let holds = |window: bandlore::tables::Window, x: f64| {
            (window.low_cm1 - HALF_STEP_CM1..=window.high_cm1 + HALF_STEP_CM1).contains(&x)
        };
        assert!(holds(band.transmission, k), "{id}: k has its maximum at {k}");
        assert!(holds(band.atr, atr), "{id}: ATR has its maximum at {atr}");
        assert!(k >= atr, "{id}: {k} below {atr}");
    }
}

#[test]
fn every_collected_band_and_material_is_in_the_table() {
    // Outside source: the shared sheets of bands and materials that the table was begun from.
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/facts"));
    if !folder.exists() {
        println!("skipped 1 test: {} is not there", folder.display());
        return;
    }
    let tables = Tables::built_in();
    let mut count = 0;
    for row in csv::Reader::from_path(folder.join("materials.csv")).expect("a sheet").records() {
        let row = row.expect("a row");
        let material = tables.material(&row[0]).unwrap_or_else(|| panic!("{} is missing", &row[0]));
        assert_eq!(material.chlorine, &row[4] == "yes", "{}", &row[0]);
        assert_eq!(material.kind.as_str(), &row[2], "{}", &row[0]);
    }
    for row in csv::Reader::from_path(folder.join("bands.csv")).expect("a sheet").records() {
        let row = row.expect("a row");
        let position: f64 = row[2].parse().expect("a number");
        let band = tables
            .bands_of(&row[0])
            .iter()
            .find(|x| x.id == format!("{}-{position}", &row[0]))
            .unwrap_or_else(|| panic!("{}-{position} is missing", &row[0]));
        assert!(band.atr.contains(position), "{}", band.id);
        // A recalled row may rise only where measured data stand behind it.
        if &row[10] == "memory" && band.sourcing.status == Status::Verified {
            assert_eq!(band.sourcing.class.as_str(), "measured-data", "{}", band.id);
        }
        count += 1;
    }
    assert_eq!(count, 618);
}
