//! The data tables: `(X++(Y..Y))` and `(XY..XY)`, before any factor.

use super::asdf::{self, Exponent, Packed, Place, affn, line_end, next_line, skip_blanks};
use super::error::{Error, Located, quote};

/// A block may hold this many times the points it claims before the claim counts as damaged; a
/// count that is merely wrong is off by a few.
const MOST_TIMES_CLAIMED: usize = 2;

/// Short blocks may hold this many points more than they claim.
const MOST_OVER_CLAIM: usize = 1024;

/// The form of a data table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// An abscissa a line, then ordinates at even steps.
    Packed,
    /// Pairs of abscissa and ordinate.
    Pairs,
}

/// Returns the form that follows a table's label, such as `(X++(Y..Y))`.
pub(super) fn form(words: &str) -> Option<Form> {
    let close: String =
        words.chars().filter(|c| !c.is_whitespace()).map(|c| c.to_ascii_uppercase()).collect();
    // One writer leaves out the last bracket.
    if close.starts_with("(X++(Y..Y)") {
        Some(Form::Packed)
    } else if close.starts_with("(XY..XY)") {
        Some(Form::Pairs)
    } else {
        None
    }
}

/// What a data table holds, before its factors.
#[derive(Debug)]
pub(super) enum Table {
    Packed(Packed),
    Pairs { abscissas: Vec<f64>, ordinates: Vec<f64> },
}

/// Returns how many points a block may hold that claims `claimed`, 0 for no claim.
pub(super) fn allowed(claimed: usize, limit: usize) -> usize {
    if claimed == 0 {
        return limit;
    }
    let times = claimed.saturating_mul(MOST_TIMES_CLAIMED);
    times.max(claimed.saturating_add(MOST_OVER_CLAIM)).min(limit)
}

/// Reads a table whose data lines begin at `start`, up to the next label or the end.
///
/// `range` bounds the abscissas of pairs, before the factor.
pub(super) fn read(
    bytes: &[u8],
    form: Form,
    start: Place,
    claimed: usize,
    limit: usize,
    range: Option<(f64, f64)>,
) -> Result<(Table, Place), Located> {
    // A claim alone reserves no memory: a point takes a byte of the file, but for repeats.
    let likely = claimed.min(bytes.len().saturating_sub(start.offset));
    let most = allowed(claimed, limit);
    match form {
        Form::Packed => {
            let (packed, end) = asdf::decode(bytes, start, likely, most)?;
            Ok((Table::Packed(packed), end))
        }
        Form::Pairs => pairs(bytes, start, most, range),
    }
}

/// Reads pairs, separated by blanks, commas, semicolons or line ends.
fn pairs(
    bytes: &[u8],
    mut place: Place,
    most: usize,
    range: Option<(f64, f64)>,
) -> Result<(Table, Place), Located> {
    let mut abscissas = Vec::new();
    let mut ordinates = Vec::new();
    loop {
        place.offset = skip_blanks(bytes, place.offset);
        let begin = place.offset;
        if begin >= bytes.len() || bytes.get(begin..begin + 2) == Some(b"##") {
            break;
        }
        let fail = |error| Err(Located::new(place.line, error));
        let mut at = begin;
        while let Some(&byte) = bytes.get(at) {
            match byte {
                b' ' | b'\t' | b',' | b';' => at += 1,
                b'\r' | b'\n' => break,
                b'$' if bytes.get(at + 1) == Some(&b'$') => at = line_end(bytes, at),
                b'?' if abscissas.len() == ordinates.len() + 1 => {
                    ordinates.push(f64::NAN);
                    at += 1;
                }
                _ => {
                    let Some(number) = affn(bytes, at, Exponent::Always) else {
                        return fail(Error::BadOrdinate { found: quote(&bytes[at..]) });
                    };
                    if abscissas.len() > ordinates.len() {
                        ordinates.push(number.value);
                    } else {
                        if let Some((low, high)) = range
                            && !(low..=high).contains(&number.value)
                        {
                            let found = quote(&bytes[at..number.end]);
                            return fail(Error::OutsideRange { found, low, high });
                        }
                        if abscissas.len() >= most {
                            return fail(Error::TooManyPoints { most });
                        }
                        abscissas.push(number.value);
                    }
                    at = number.end;
                }
            }
        }
        if abscissas.len() != ordinates.len() {
            return fail(Error::HalfPair { found: quote(&bytes[begin..at]) });
        }
        place.offset = at;
        if at < bytes.len() {
            place = next_line(bytes, place);
        }
    }
    Ok((Table::Pairs { abscissas, ordinates }, place))
}

#[cfg(test)]
mod tests {
    use super::*;

    const START: Place = Place { offset: 0, line: 1 };

    fn read_pairs(text: &str, range: Option<(f64, f64)>) -> Result<(Vec<f64>, Vec<f64>), Located> {
        match pairs(text.as_bytes(), START, 100, range)? {
            (Table::Pairs { abscissas, ordinates }, _) => Ok((abscissas, ordinates)),
            (Table::Packed(_), _) => panic!("not packed"),
        }
    }

    #[test]
    fn reads_pairs_however_they_are_separated() {
        let expected = (vec![50.0, 51.0, 52.5], vec![2.5, 9.0, -1.0]);
        for text in
            ["50, 2.5; 51, 9; 52.5,-1\n", "50,2.5 51,9 52.5,-1", "50 2.5\r\n51 9\r52.5 -1 $$ end\n"]
        {
            assert_eq!(read_pairs(text, None).expect("pairs"), expected, "{text}");
        }
        assert_eq!(read_pairs("1E3, 5e-1", None).expect("pairs"), (vec![1000.0], vec![0.5]));
        assert!(read_pairs("400, ?", None).expect("pairs").1[0].is_nan());
    }

    #[test]
    fn refuses_half_pairs_and_other_text() {
        let located = read_pairs("1 2\n3 4 5\n", None).expect_err("half");
        let found = "3 4 5".to_owned();
        assert_eq!(located, Located::new(2, Error::HalfPair { found }));
        let located = read_pairs("1 2\n3 abc\n", None).expect_err("text");
        assert_eq!(located.error, Error::BadOrdinate { found: "abc".to_owned() });
    }

    #[test]
    fn refuses_a_decimal_comma_by_the_range_of_the_header() {
        let located = read_pairs("400,5 0,12\n", Some((400.0, 402.0))).expect_err("outside");
        let found = "0".to_owned();
        assert_eq!(located.error, Error::OutsideRange { found, low: 400.0, high: 402.0 });
    }

    #[test]
    fn bounds_the_points_by_the_claim_and_the_limit() {
        assert_eq!(allowed(0, 4_000_000), 4_000_000);
        assert_eq!(allowed(100, 4_000_000), 1124);
        assert_eq!(allowed(10_000, 4_000_000), 20_000);
        assert_eq!(allowed(usize::MAX, 4_000_000), 4_000_000);
    }

    #[test]
    fn knows_the_forms() {
        assert_eq!(form(" (X++(Y..Y))"), Some(Form::Packed));
        assert_eq!(form("(x++(y..y)"), Some(Form::Packed));
        assert_eq!(form("( XY..XY )"), Some(Form::Pairs));
        assert_eq!(form("(XYA)"), None);
        assert_eq!(form("(X++(R..R))"), None);
    }
}
