//! Turns the files of a folder into a table, or into the list of what is wrong with them.

use super::bands::Band;
use super::check;
use super::embedded::{FILE_COUNT, FILES};
use super::fault::{Error, Fault, Faults};
use super::header;
use super::loaded::{Loaded, canonical_sheets};
use super::shapes::Curves;
use super::sheet::{Record, read};

/// The file of the curves.
const CURVES: &str = FILES[FILE_COUNT - 1];

/// Reads a table from the bytes of its files, given in the order of [`FILES`]: version and rows.
pub(super) fn load(bytes: &[&[u8]; FILE_COUNT]) -> Result<(String, Loaded), Error> {
    let read_bands = || {
        let mut faults = Vec::new();
        (read::<Band>(bytes_of(bytes, Band::FILE), &mut faults), faults)
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
    curves.hand_out(&mut loaded.shapes, CURVES, &mut faults);
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
fn read_others(bytes: &[&[u8]; FILE_COUNT]) -> (header::Header, Loaded, Curves, Vec<Fault>) {
    let mut faults = Vec::new();
    let header = header::parse(FILES[0], bytes[0], &mut faults);
    let others = |file: &str| (file != Band::FILE).then(|| bytes_of(bytes, file));
    let loaded = Loaded::read(others, &mut faults);
    let curves = Curves::read(CURVES, bytes_of(bytes, CURVES), &mut faults);
    (header, loaded, curves, faults)
}

fn bytes_of<'b>(bytes: &[&'b [u8]; FILE_COUNT], file: &str) -> &'b [u8] {
    FILES.iter().zip(bytes).find(|(name, _)| **name == file).map_or(&[], |(_, bytes)| bytes)
}

/// Returns the digest of a faultless table's contents: the same for any separator, decimal mark, line end
/// or order of rows, so that a round trip through a spreadsheet keeps it.
pub(super) fn digest(version: &str, bytes: &[&[u8]; FILE_COUNT]) -> String {
    let mut text = format!("{version}\n");
    for (file, lines) in canonical_sheets(|file| bytes_of(bytes, file)) {
        push_lines(&mut text, file, &lines);
    }
    let curves = Curves::read(CURVES, bytes_of(bytes, CURVES), &mut Vec::new());
    push_lines(&mut text, CURVES, &curves.canonical());
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
