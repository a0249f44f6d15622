//! Turns the files of a folder into a table, or into the list of what is wrong with them.

use super::check;
use super::embedded::{FILE_COUNT, FILES};
use super::fault::{Error, Fault, Faults};
use super::loaded::Loaded;
use super::sheet::{Located, Row, Sheet};
use super::{
    bands, care, classes, groups, header, markers, materials, places, predicates, rule_table,
    shapes, stretches, windows,
};

/// How many files are sheets of rows: all but the header first and the curves last.
const SHEET_COUNT: usize = FILE_COUNT - 2;

/// The place of the bands among the sheets.
const BANDS: usize = 1;

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
    stretches::COLUMNS,
    places::COLUMNS,
    shapes::SOURCE_COLUMNS,
];

/// Reads a table from the bytes of its files, given in the order of [`FILES`]: version and rows.
pub(super) fn load(bytes: &[&[u8]; FILE_COUNT]) -> Result<(String, Loaded), Error> {
    let (sources_file, curves_file) = (FILES[FILE_COUNT - 2], FILES[FILE_COUNT - 1]);
    let read_bands = || {
        let mut faults = Vec::new();
        (sheet(bytes, BANDS).read(&mut faults, bands::from_row), faults)
    };
    // The bands are half of the work, and every start waits for it. Where no thread is to be had, they are read
    // afterwards.
    let (others, bands) = std::thread::scope(|scope| {
        let bands = std::thread::Builder::new().spawn_scoped(scope, read_bands);
        (read_others(bytes), bands.ok().and_then(|reading| reading.join().ok()))
    });
    let (header, mut loaded, curves, mut faults) = others;
    let (bands, band_faults) = bands.unwrap_or_else(read_bands);
    loaded.bands = bands;
    faults.extend(band_faults);
    curves.hand_out(&mut loaded.shapes, (curves_file, sources_file), &mut faults);
    // A row that could not be read would be missed by others that name it: say what is wrong first.
    if faults.is_empty() {
        check::cross_check(&mut loaded, &mut faults);
    }
    if faults.is_empty() {
        Ok((header.version, loaded))
    } else {
        Err(Error::Faulty(Faults::sorted(faults, &FILES)))
    }
}

/// Refuses a folder of another format by its first file alone: that others are missing would tell nobody why.
pub(super) fn refuse_other_formats(header: &[u8]) -> Result<(), Error> {
    let mut faults = Vec::new();
    if header::parse(FILES[0], header, &mut faults).format == header::FORMAT {
        return Ok(());
    }
    Err(Error::Faulty(Faults::sorted(faults, &FILES)))
}

/// Reads all but the bands, and says what is wrong with it.
fn read_others(
    bytes: &[&[u8]; FILE_COUNT],
) -> (header::Header, Loaded, shapes::Curves, Vec<Fault>) {
    let mut faults = Vec::new();
    let header = header::parse(FILES[0], bytes[0], &mut faults);
    let mut sheets = Sheets { bytes, next: 0, faults: &mut faults };
    let loaded = Loaded {
        materials: sheets.read_next(materials::from_row),
        bands: sheets.leave_out(),
        groups: sheets.read_next(groups::from_row),
        windows: sheets.read_next(windows::from_row),
        classes: sheets.read_next(classes::from_row),
        rules: sheets.read_next(rule_table::from_row),
        predicates: sheets.read_next(predicates::from_row),
        markers: sheets.read_next(markers::from_row),
        confounders: sheets.read_next(markers::confounder_from_row),
        routes: sheets.read_next(markers::route_from_row),
        care: sheets.read_next(care::care_from_row),
        neighbours: sheets.read_next(care::neighbour_from_row),
        practice: sheets.read_next(care::practice_from_row),
        bending: sheets.read_next(care::bending_from_row),
        stretches: sheets.read_next(stretches::from_row),
        places: sheets.read_next(places::from_row),
        shapes: sheets.read_next(shapes::source_from_row),
    };
    let curves = shapes::Curves::read(FILES[FILE_COUNT - 1], bytes[FILE_COUNT - 1], &mut faults);
    (header, loaded, curves, faults)
}

/// The sheets under reading, one after the other.
struct Sheets<'a> {
    bytes: &'a [&'a [u8]; FILE_COUNT],
    /// Index into [`COLUMNS`].
    next: usize,
    faults: &'a mut Vec<Fault>,
}

impl Sheets<'_> {
    /// Passes over a sheet that is read elsewhere.
    fn leave_out<T>(&mut self) -> Vec<Located<T>> {
        self.next += 1;
        Vec::new()
    }

    fn read_next<T>(&mut self, from_row: fn(&mut Row<'_>) -> T) -> Vec<Located<T>> {
        let sheet = sheet(self.bytes, self.next);
        self.next += 1;
        sheet.read(self.faults, from_row)
    }
}

fn sheet<'b>(bytes: &[&'b [u8]; FILE_COUNT], index: usize) -> Sheet<'b> {
    Sheet { file: FILES[index + 1], columns: COLUMNS[index], bytes: bytes[index + 1] }
}

/// Returns the digest of a faultless table's contents: the same for any separator, decimal mark, line end
/// or order of rows, so that a round trip through a spreadsheet keeps it.
pub(super) fn digest(version: &str, bytes: &[&[u8]; FILE_COUNT]) -> String {
    let mut text = format!("{version}\n");
    for index in 0..SHEET_COUNT {
        let sheet = sheet(bytes, index);
        push_lines(&mut text, sheet.file, &sheet.canonical());
    }
    let curves_file = FILES[FILE_COUNT - 1];
    let curves = shapes::Curves::read(curves_file, bytes[FILE_COUNT - 1], &mut Vec::new());
    push_lines(&mut text, curves_file, &curves.canonical());
    crate::io::sha256_hex(text.as_bytes())
}

fn push_lines(text: &mut String, file: &str, lines: &[String]) {
    text.push_str(file);
    text.push('\n');
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
}
