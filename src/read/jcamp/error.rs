//! What can be wrong with a JCAMP-DX file.

use crate::quote::{LONGEST_QUOTE, quoted};

/// What is wrong with a block of a JCAMP-DX file; the caller knows the line.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A data line does not begin with a number.
    #[error(
        "found \"{found}\", expected the abscissa that begins a data line; the line may be damaged, export the spectrum again"
    )]
    NoAbscissa {
        /// The text found.
        found: String,
    },
    /// A piece of a data line is no ordinate.
    #[error(
        "found \"{found}\", expected the digits of an ordinate; the line may be damaged, export the spectrum again"
    )]
    BadOrdinate {
        /// The text found.
        found: String,
    },
    /// A comma stands inside packed data.
    #[error(
        "found \"{found}\": a comma among the ordinates, which have a decimal point in JCAMP-DX; export the spectrum with decimal points"
    )]
    Comma {
        /// The text found.
        found: String,
    },
    /// A difference or a repeat count stands where no ordinate went before.
    #[error(
        "found \"{found}\", which needs an ordinate before it on the line; the start of the line may be lost, export the spectrum again"
    )]
    NothingBefore {
        /// The text found.
        found: String,
    },
    /// An ordinate is longer than any instrument writes.
    #[error(
        "found \"{found}\", too many digits for an ordinate; the line may be damaged, export the spectrum again"
    )]
    TooManyDigits {
        /// The text found.
        found: String,
    },
    /// More ordinates than the header or the limit allows.
    #[error(
        "more than {most} points here, the most that fits ##NPOINTS= and the limit; a repeat count or ##NPOINTS= may be damaged, export the spectrum again"
    )]
    TooManyPoints {
        /// The most points allowed.
        most: usize,
    },
    /// A pair lacks its second half.
    #[error(
        "found \"{found}\", expected pairs of numbers; a number may be lost on this line, export the spectrum again"
    )]
    HalfPair {
        /// The text found.
        found: String,
    },
    /// A pair lies outside the range in the header.
    #[error(
        "found \"{found}\", expected an abscissa from ##FIRSTX= to ##LASTX= ({low} to {high}); a comma may stand for a decimal point, export the spectrum again"
    )]
    OutsideRange {
        /// The text found.
        found: String,
        /// The lower end, before the factor.
        low: f64,
        /// The upper end, before the factor.
        high: f64,
    },
    /// The block holds no data table.
    #[error("no ##XYDATA= and no ##XYPOINTS= in this block; it holds no spectrum")]
    NoData,
    /// The data table is empty.
    #[error("no points after ##{label}=; the file may be cut short, copy it again")]
    NoPoints {
        /// The label of the table.
        label: String,
    },
    /// The form of the data table is none that is read.
    #[error("##{label}= {form} is not read; readable: (X++(Y..Y)) and (XY..XY)")]
    Form {
        /// The label of the table.
        label: String,
        /// Its form.
        form: String,
    },
    /// The block is not an infrared spectrum.
    #[error("##DATA TYPE= {data_type} is not an infrared spectrum; only infrared is read")]
    Technique {
        /// The data type as written.
        data_type: String,
    },
    /// Neither the data type nor the abscissa says infrared.
    #[error("##DATA TYPE= is missing, and ##XUNITS= names no infrared unit; only infrared is read")]
    NoTechnique,
    /// No block of the file is an infrared spectrum.
    #[error(
        "none of the {blocks} blocks is an infrared spectrum (first: ##DATA TYPE= {data_type}); only infrared is read"
    )]
    NoInfrared {
        /// How many blocks there are.
        blocks: usize,
        /// The data type of the first.
        data_type: String,
    },
    /// A list of peaks instead of a spectrum.
    #[error("##{label}= lists peaks, not a spectrum; export the spectrum itself as ##XYDATA=")]
    PeakTable {
        /// The label of the table.
        label: String,
    },
    /// Several dependent variables in one block.
    #[error(
        "##NTUPLES= holds several tables in one block, which is not read; export the spectrum as ##XYDATA="
    )]
    Ntuples,
    /// Neither technique nor abscissa says infrared.
    #[error(
        "##XUNITS= {found} is not an infrared abscissa; readable: 1/CM, MICROMETERS, NANOMETERS"
    )]
    AbscissaUnit {
        /// The unit as written.
        found: String,
    },
    /// The ordinate cannot become absorbance.
    #[error(
        "##YUNITS= {found} cannot be turned into absorbance; if the unit is known, pass --ordinate"
    )]
    OrdinateUnit {
        /// The unit as written.
        found: String,
    },
    /// A label that the data cannot be read without is missing.
    #[error("##{label}= is missing, and the data lines do not tell it; export the spectrum again")]
    MissingLabel {
        /// The label.
        label: &'static str,
    },
    /// The value of a label is no number.
    #[error("##{label}= found \"{found}\", expected a number with a decimal point")]
    BadNumber {
        /// The label.
        label: &'static str,
        /// Its value.
        found: String,
    },
    /// A factor that would turn all values into one.
    #[error("##{label}= is {found}, which would wipe out the values; the label may be damaged")]
    BadFactor {
        /// The label.
        label: &'static str,
        /// Its value.
        found: String,
    },
    /// The first and last abscissa are the same.
    #[error("##FIRSTX= and ##LASTX= are both {found}, expected a range; a label may be damaged")]
    NoRange {
        /// The abscissa.
        found: f64,
    },
    /// The data end before their number is reached and before the block is closed.
    #[error(
        "##NPOINTS= says {stated}, file holds {found} and no ##END=; the file is cut short, copy or export it again"
    )]
    CutShort {
        /// The number in the header.
        stated: usize,
        /// The number found.
        found: usize,
    },
    /// The data lines do not begin where the header says.
    #[error(
        "first line starts at {found}, ##FIRSTX= says {stated}; ##FIRSTX= or ##XFACTOR= may be damaged, export the spectrum again"
    )]
    FirstDisagrees {
        /// The abscissa on the line, factor applied.
        found: f64,
        /// The abscissa in the header.
        stated: f64,
    },
    /// The data lines do not end where the header says, and nothing tells which is right.
    #[error(
        "the data lines run to {found}, ##LASTX= says {stated}; points are missing, or ##LASTX= is damaged, export the spectrum again"
    )]
    LastDisagrees {
        /// The last abscissa by the data lines.
        found: f64,
        /// The abscissa in the header.
        stated: f64,
    },
    /// A data line lies before the place its abscissa was expected at.
    #[error(
        "line starts at {found}, expected {expected}; points are doubled or out of order before this line, export the spectrum again"
    )]
    Backwards {
        /// The abscissa on the line, factor applied.
        found: f64,
        /// The abscissa expected there.
        expected: f64,
    },
    /// A data line lies farther ahead than any spectrum has points.
    #[error(
        "line starts at {}, expected {}; no spectrum goes on so far, so that the number is damaged: export the spectrum again",
        readable(*found), readable(*expected)
    )]
    BeyondAxis {
        /// The abscissa on the line, factor applied.
        found: f64,
        /// The abscissa expected there.
        expected: f64,
    },
    /// Too many points are missing.
    #[error(
        "line starts at {found}, expected {expected}; {missing} of {all} points are missing before this line, more than 5 %, export the spectrum again"
    )]
    PointsMissing {
        /// The abscissa on the line, factor applied.
        found: f64,
        /// The abscissa expected there.
        expected: f64,
        /// How many points are missing up to here.
        missing: usize,
        /// How many there should be up to here.
        all: usize,
    },
    /// Too many lines do not begin with the ordinate the line before ended with.
    #[error(
        "{failed} of {checks} lines do not begin with the ordinate the line before ended with, more than 5 %; the data are damaged, export the spectrum again"
    )]
    ChecksFailed {
        /// How many lines failed.
        failed: usize,
        /// How many lines could be checked.
        checks: usize,
    },
    /// Link blocks inside link blocks inside link blocks.
    #[error("more than {most} link blocks inside each other; the file is damaged or made up")]
    TooDeep {
        /// The most that are followed.
        most: usize,
    },
    /// Far more blocks than any instrument writes.
    #[error("more than {most} blocks; split the file, or it is damaged or made up")]
    TooManyBlocks {
        /// The most that are read.
        most: usize,
    },
    /// The block asked for is not there.
    #[error("block {asked} asked for, the file holds {blocks}; pass --block 1 to {blocks}")]
    NoSuchBlock {
        /// The block asked for, from 1.
        asked: usize,
        /// How many there are.
        blocks: usize,
    },
    /// The file has labels, but none that begins a block.
    #[error(
        "no ##TITLE= in this file, expected one at the head of each block; the head of the file may be lost"
    )]
    NoTitle,
}

/// An error and the line it is on, from 1.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Located {
    pub(super) line: usize,
    pub(super) error: Error,
}

impl Located {
    pub(super) fn new(line: usize, error: Error) -> Self {
        Self { line, error }
    }
}

/// Quotes the start of a piece of a file: one line, cut, with control characters escaped.
pub(super) fn quote(bytes: &[u8]) -> String {
    // Four bytes hold any character, so that a long line is not decoded whole.
    let bytes = &bytes[..bytes.len().min(4 * LONGEST_QUOTE + 4)];
    let end = bytes.iter().position(|b| matches!(b, b'\r' | b'\n')).unwrap_or(bytes.len());
    quoted(&String::from_utf8_lossy(&bytes[..end]))
}
/// Returns an abscissa with the digits that a reader can use, whatever its size.
fn readable(abscissa: f64) -> String {
    /// From here on digits are counted, not read.
    const LONGEST_WRITTEN_OUT: f64 = 1e7;
    if abscissa.abs() >= LONGEST_WRITTEN_OUT {
        return format!("{abscissa:.2e}");
    }
    ((abscissa * 1e4).round() / 1e4).to_string()
}
