//! Turns the files of a folder into a table, or into the list of what is wrong with them.

use super::check;
use super::embedded::{FILE_COUNT, FILES};
use super::fault::{Error, Fault, Faults};
use super::sheet::{Located, Row, Sheet};
use super::{
    Tables, bands, care, classes, groups, header, markers, materials, predicates, rule_table,
    shapes, windows,
};

/// Everything read, each value with its line, before the files are held against each other.
pub(super) struct Loaded {
    pub(super) materials: Vec<Located<materials::Material>>,
    pub(super) bands: Vec<Located<bands::Band>>,
    pub(super) groups: Vec<Located<groups::Group>>,
    pub(super) windows: Vec<Located<windows::TellingWindow>>,
    pub(super) classes: Vec<Located<classes::Class>>,
    pub(super) rules: Vec<Located<rule_table::Rule>>,
    pub(super) predicates: Vec<Located<predicates::OwnedQuestion>>,
    pub(super) markers: Vec<Located<markers::Marker>>,
    pub(super) confounders: Vec<Located<markers::Confounder>>,
    pub(super) routes: Vec<Located<markers::Route>>,
    pub(super) care: Vec<Located<care::CareNote>>,
    pub(super) neighbours: Vec<Located<care::NeighbourRule>>,
    pub(super) practice: Vec<Located<care::Practice>>,
    pub(super) bending: Vec<Located<care::BendingLimit>>,
    pub(super) shapes: Vec<Located<shapes::Shape>>,
}

/// How many files are sheets of rows: all but the header first and the curves last.
const SHEET_COUNT: usize = FILE_COUNT - 2;

/// Columns of each sheet, in the order of [`FILES`] without the first and the last.
const COLUMNS: [&[&str]; SHEET_COUNT] = [
    materials::COLUMNS,
    bands::COLUMNS,
    groups::COLUMNS,
    windows::COLUMNS,
    classes::COLUMNS,
    rule_table::COLUMNS,
    predicates::COLUMNS,
    markers::COLUMNS,
    markers::CONFOUNDER_COLUMNS,
    markers::ROUTE_COLUMNS,
    care::CARE_COLUMNS,
    care::NEIGHBOUR_COLUMNS,
    care::PRACTICE_COLUMNS,
    care::BENDING_COLUMNS,
    shapes::SOURCE_COLUMNS,
];

/// Reads a table from the bytes of its files, given in the order of [`FILES`].
pub(super) fn load(bytes: &[&[u8]; FILE_COUNT]) -> Result<Tables, Error> {
    let mut faults = Vec::new();
    let header = header::parse(FILES[0], bytes[0], &mut faults);
    let sheets = cut_all(bytes, &mut faults);
    let [
        materials,
        bands,
        groups,
        windows,
        classes,
        rules,
        predicates,
        markers,
        confounders,
        routes,
        care,
        neighbours,
        practice,
        bending,
        shape_sources,
    ] = &sheets;
    let (sources_file, curves_file) = (FILES[FILE_COUNT - 2], FILES[FILE_COUNT - 1]);
    let curves = shapes::Curves::read(curves_file, bytes[FILE_COUNT - 1], &mut faults);
    let curves_canonical = curves.canonical();
    let mut loaded = Loaded {
        materials: read(materials, &mut faults, materials::from_row),
        bands: read(bands, &mut faults, bands::from_row),
        groups: read(groups, &mut faults, groups::from_row),
        windows: read(windows, &mut faults, windows::from_row),
        classes: read(classes, &mut faults, classes::from_row),
        rules: read(rules, &mut faults, rule_table::from_row),
        predicates: read(predicates, &mut faults, predicates::from_row),
        markers: read(markers, &mut faults, markers::from_row),
        confounders: read(confounders, &mut faults, markers::confounder_from_row),
        routes: read(routes, &mut faults, markers::route_from_row),
        care: read(care, &mut faults, care::care_from_row),
        neighbours: read(neighbours, &mut faults, care::neighbour_from_row),
        practice: read(practice, &mut faults, care::practice_from_row),
        bending: read(bending, &mut faults, care::bending_from_row),
        shapes: read(shape_sources, &mut faults, shapes::source_from_row),
    };
    curves.hand_out(&mut loaded.shapes, (curves_file, sources_file), &mut faults);
    // A row that could not be read would be missed by others that name it: say what is wrong first.
    if faults.is_empty() {
        check::cross_check(&mut loaded, &mut faults);
    }
    if faults.is_empty() {
        let sha256 = digest(&header.version, &sheets, &curves_canonical);
        Ok(Tables::from_loaded(header.version, sha256, loaded))
    } else {
        Err(Error::Faulty(Faults::sorted(faults, &FILES)))
    }
}

fn cut_all(bytes: &[&[u8]; FILE_COUNT], faults: &mut Vec<Fault>) -> [Sheet; SHEET_COUNT] {
    std::array::from_fn(|index| {
        Sheet::cut(FILES[index + 1], COLUMNS[index], bytes[index + 1], faults)
    })
}

fn read<T>(
    sheet: &Sheet,
    faults: &mut Vec<Fault>,
    from_row: fn(&mut Row<'_>) -> Option<T>,
) -> Vec<Located<T>> {
    sheet.read(faults, from_row)
}

/// Returns the digest of a table's contents: the same for any separator, decimal mark, line end or
/// order of rows, so that a round trip through a spreadsheet keeps it.
fn digest(version: &str, sheets: &[Sheet; SHEET_COUNT], curves: &[String]) -> String {
    let mut text = format!("{version}\n");
    for (sheet, file) in sheets.iter().zip(FILES.iter().skip(1)) {
        text.push_str(file);
        text.push('\n');
        for line in sheet.canonical() {
            text.push_str(&line);
            text.push('\n');
        }
    }
    text.push_str(FILES[FILE_COUNT - 1]);
    text.push('\n');
    for line in curves {
        text.push_str(line);
        text.push('\n');
    }
    crate::io::sha256_hex(text.as_bytes())
}
