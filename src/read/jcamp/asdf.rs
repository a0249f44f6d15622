//! The digits of JCAMP-DX data lines: AFFN numbers and the packed forms PAC, SQZ, DIF and DUP.
//!
//! One pass over the bytes of a table, driven by a table of 256 entries. A letter opens an ordinate
//! and carries its first digit and sign (McDonald & Wilks 1988, Appl. Spectrosc. 42, 151, table of
//! pseudo-digits): `@A…I a…i` a value, `%J…R j…r` a difference, `S…Z s` a repeat count.

use super::error::{Error, Located, quote};

/// More digits than this do not fit a 64-bit integer; no instrument writes as many.
const MOST_DIGITS: usize = 18;

/// What a byte means at the place where an ordinate may begin.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Class {
    Bad,
    Blank,
    LineEnd,
    Number,
    Squeezed,
    Difference,
    Duplicate,
    Missing,
    Comment,
    Label,
}

/// The class of every byte.
const CLASSES: [Class; 256] = {
    let mut classes = [Class::Bad; 256];
    let mut i = 0;
    while i < 10 {
        classes[b'0' as usize + i] = Class::Number;
        i += 1;
    }
    i = 0;
    while i < 9 {
        classes[b'A' as usize + i] = Class::Squeezed;
        classes[b'a' as usize + i] = Class::Squeezed;
        classes[b'J' as usize + i] = Class::Difference;
        classes[b'j' as usize + i] = Class::Difference;
        i += 1;
    }
    i = 0;
    while i < 8 {
        classes[b'S' as usize + i] = Class::Duplicate;
        i += 1;
    }
    classes[b's' as usize] = Class::Duplicate;
    classes[b'@' as usize] = Class::Squeezed;
    classes[b'%' as usize] = Class::Difference;
    classes[b'+' as usize] = Class::Number;
    classes[b'-' as usize] = Class::Number;
    classes[b'.' as usize] = Class::Number;
    classes[b'?' as usize] = Class::Missing;
    classes[b'$' as usize] = Class::Comment;
    classes[b'#' as usize] = Class::Label;
    classes[b' ' as usize] = Class::Blank;
    classes[b'\t' as usize] = Class::Blank;
    classes[b'\r' as usize] = Class::LineEnd;
    classes[b'\n' as usize] = Class::LineEnd;
    classes
};

/// The digit that a pseudo-digit stands for, without its sign.
const LEADING: [u8; 256] = {
    let mut digits = [0; 256];
    let mut i = 0;
    while i < 9 {
        digits[b'A' as usize + i] = i as u8 + 1;
        digits[b'a' as usize + i] = i as u8 + 1;
        digits[b'J' as usize + i] = i as u8 + 1;
        digits[b'j' as usize + i] = i as u8 + 1;
        i += 1;
    }
    i = 0;
    while i < 8 {
        digits[b'S' as usize + i] = i as u8 + 1;
        i += 1;
    }
    digits[b's' as usize] = 9;
    digits
};

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Integers up to here are exact as a double, so that one division rounds once.
const LARGEST_EXACT: u64 = 1 << 53;

/// The abscissa a data line begins with, before its factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LineStart {
    /// The number on the line.
    pub(super) abscissa: f64,
    /// The line in the file, from 1.
    pub(super) line: u32,
    /// The index of the ordinate it belongs to.
    pub(super) index: u32,
    /// Whether that ordinate repeats the last one of the line before.
    pub(super) repeats: bool,
}

/// A line whose first ordinate is not the one the line before ended with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FailedCheck {
    /// The line in the file, from 1.
    pub(super) line: u32,
    /// The ordinate it begins with, before the factor.
    pub(super) found: f64,
    /// The ordinate the line before ended with.
    pub(super) expected: f64,
}

/// The ordinates of one `(X++(Y..Y))` table, before any factor.
#[derive(Debug, Default)]
pub(super) struct Packed {
    pub(super) ordinates: Vec<f64>,
    pub(super) lines: Vec<LineStart>,
    /// The most digits any line writes after the decimal point of its abscissa.
    pub(super) abscissa_decimals: u8,
    /// How many lines began with a checkable ordinate.
    pub(super) checks: usize,
    pub(super) failed: Vec<FailedCheck>,
}

impl Packed {
    /// Keeps the first and the last of a row of lines without ordinates: two bytes of a file must
    /// not cost a whole entry each.
    fn thin_empty_lines(&mut self) {
        if let [.., first, middle, last] = self.lines.as_mut_slice()
            && first.index == last.index
            && middle.index == last.index
        {
            *middle = *last;
            self.lines.pop();
        }
    }
}

/// What the last ordinate was, so that a repeat count knows what to repeat.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Last {
    Nothing,
    Value,
    Difference,
}

/// Where a scan stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Place {
    /// The offset into the bytes.
    pub(super) offset: usize,
    /// The line in the file, from 1.
    pub(super) line: usize,
}

/// Reads the data lines of an `(X++(Y..Y))` table up to the next label or the end of the bytes.
///
/// At most `most_points` ordinates are made, whatever a repeat count claims; `likely_points` only
/// sizes the first allocation.
pub(super) fn decode(
    bytes: &[u8],
    start: Place,
    likely_points: usize,
    most_points: usize,
) -> Result<(Packed, Place), Located> {
    let mut packed = Packed::default();
    packed.ordinates.reserve(likely_points.min(most_points));
    let mut place = start;
    // The differences go on from line to line; the flag asks the next line for its check ordinate.
    let mut last = 0.0;
    let mut check = false;
    loop {
        place.offset = skip_blanks(bytes, place.offset);
        let Some(&byte) = bytes.get(place.offset) else { break };
        match CLASSES[byte as usize] {
            Class::LineEnd => place = next_line(bytes, place),
            Class::Label if bytes.get(place.offset + 1) == Some(&b'#') => break,
            Class::Comment if bytes.get(place.offset + 1) == Some(&b'$') => {
                place.offset = line_end(bytes, place.offset);
            }
            _ => decode_line(bytes, &mut place, &mut packed, &mut last, &mut check, most_points)?,
        }
    }
    Ok((packed, place))
}

/// Reads one data line, its abscissa first.
fn decode_line(
    bytes: &[u8],
    place: &mut Place,
    packed: &mut Packed,
    last: &mut f64,
    check: &mut bool,
    most_points: usize,
) -> Result<(), Located> {
    let line = place.line;
    let fail = |error| Err(Located { line, error });
    let begin = place.offset;
    let Some(abscissa) = affn(bytes, begin, Exponent::Signed) else {
        return fail(Error::NoAbscissa { found: quote(&bytes[begin..]) });
    };
    let mut at = abscissa.end;
    packed.abscissa_decimals = packed.abscissa_decimals.max(abscissa.decimals);

    let index = packed.ordinates.len();
    let repeats = *check && index > 0;
    let first_index = if repeats { index - 1 } else { index };
    packed.lines.push(LineStart {
        abscissa: abscissa.value,
        line: u32::try_from(line).unwrap_or(u32::MAX),
        index: u32::try_from(first_index).unwrap_or(u32::MAX),
        repeats,
    });

    let ordinates = &mut packed.ordinates;
    let mut checking = repeats;
    let mut kind = Last::Nothing;
    let mut difference = 0.0;
    while let Some(&byte) = bytes.get(at) {
        let value = match CLASSES[byte as usize] {
            Class::Difference => {
                if kind == Last::Nothing {
                    return fail(Error::NothingBefore { found: quote(&bytes[at..]) });
                }
                let Some((magnitude, end)) = pseudo_digits(bytes, at) else {
                    return fail(Error::TooManyDigits { found: quote(&bytes[at..]) });
                };
                difference = if byte >= b'j' { -magnitude } else { magnitude };
                at = end;
                kind = Last::Difference;
                *last + difference
            }
            Class::Squeezed => {
                let Some((magnitude, end)) = pseudo_digits(bytes, at) else {
                    return fail(Error::TooManyDigits { found: quote(&bytes[at..]) });
                };
                at = end;
                kind = Last::Value;
                if byte >= b'a' { -magnitude } else { magnitude }
            }
            Class::Number => {
                // A digit with a decimal point cannot be a packed integer, so an E after it is an
                // exponent even where the writer left out the sign.
                let Some(number) = affn(bytes, at, Exponent::SignedUnlessDecimal) else {
                    return fail(Error::BadOrdinate { found: quote(&bytes[at..]) });
                };
                at = number.end;
                kind = Last::Value;
                number.value
            }
            Class::Duplicate => {
                let Some((count, end)) = pseudo_digits(bytes, at) else {
                    return fail(Error::TooManyDigits { found: quote(&bytes[at..]) });
                };
                if kind == Last::Nothing {
                    return fail(Error::NothingBefore { found: quote(&bytes[at..]) });
                }
                // The count takes in the ordinate it follows.
                let more = count - 1.0;
                if more > (most_points - ordinates.len()) as f64 {
                    return fail(Error::TooManyPoints { most: most_points });
                }
                at = end;
                let more = more as usize;
                if kind == Last::Difference {
                    for _ in 0..more {
                        *last += difference;
                        ordinates.push(*last);
                    }
                } else {
                    ordinates.resize(ordinates.len() + more, *last);
                }
                continue;
            }
            Class::Missing => {
                at += 1;
                kind = Last::Value;
                f64::NAN
            }
            Class::Blank => {
                at += 1;
                continue;
            }
            Class::LineEnd => break,
            Class::Comment if bytes.get(at + 1) == Some(&b'$') => {
                at = line_end(bytes, at);
                break;
            }
            Class::Bad if byte == b',' => return fail(Error::Comma { found: quote(&bytes[at..]) }),
            Class::Bad | Class::Comment | Class::Label => {
                return fail(Error::BadOrdinate { found: quote(&bytes[at..]) });
            }
        };
        if checking {
            // The first ordinate repeats the last of the line before. The repeat is dropped, and
            // the differences go on from it, since it was written in full.
            checking = false;
            packed.checks += 1;
            if value != *last && !value.is_nan() && !last.is_nan() {
                packed.failed.push(FailedCheck {
                    line: u32::try_from(line).unwrap_or(u32::MAX),
                    found: value,
                    expected: *last,
                });
            }
            *last = value;
            continue;
        }
        *last = value;
        if ordinates.len() >= most_points {
            return fail(Error::TooManyPoints { most: most_points });
        }
        ordinates.push(value);
    }
    // A line without an ordinate asks nothing new of the line after it.
    if kind == Last::Nothing {
        packed.thin_empty_lines();
    } else {
        *check = kind == Last::Difference;
    }
    place.offset = at;
    Ok(())
}

/// Reads a pseudo-digit and the plain digits after it, or nothing where they do not fit.
#[inline]
fn pseudo_digits(bytes: &[u8], at: usize) -> Option<(f64, usize)> {
    let first = u64::from(LEADING[*bytes.get(at)? as usize]);
    let (value, end) = digits(bytes, at + 1, first);
    if end - at > MOST_DIGITS {
        return None;
    }
    Some((value as f64, end))
}

/// Reads plain digits onto `value`; the caller judges an overflow by their number.
#[inline]
fn digits(bytes: &[u8], mut at: usize, mut value: u64) -> (u64, usize) {
    while let Some(&byte) = bytes.get(at) {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        value = value.wrapping_mul(10).wrapping_add(u64::from(digit));
        at += 1;
    }
    (value, at)
}

/// When an `E` after a number is its exponent, and not the pseudo-digit for 5.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Exponent {
    /// Only with a sign after it: the abscissa of a packed line.
    Signed,
    /// With a sign, or after digits with a decimal point.
    SignedUnlessDecimal,
    /// Always: tables of pairs are never packed.
    Always,
}

/// A number in free form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    pub(super) value: f64,
    /// The offset after its last byte.
    pub(super) end: usize,
    /// How many digits stand after its decimal point.
    pub(super) decimals: u8,
}

/// Reads an AFFN number (sign, digits, decimal point, exponent), or nothing where none stands.
pub(super) fn affn(bytes: &[u8], at: usize, exponent: Exponent) -> Option<Number> {
    let negative = bytes.get(at) == Some(&b'-');
    let signed = negative || bytes.get(at) == Some(&b'+');
    let first = at + usize::from(signed);
    let (mut value, mut end) = digits(bytes, first, 0);
    let mut count = end - first;
    let mut decimals = 0;
    let decimal = bytes.get(end) == Some(&b'.');
    if decimal {
        let after = end + 1;
        (value, end) = digits(bytes, after, value);
        decimals = end - after;
        count += decimals;
    }
    if count == 0 {
        return None;
    }
    let mut simple = count <= MOST_DIGITS && value <= LARGEST_EXACT && decimals < POWERS.len();
    if matches!(bytes.get(end), Some(b'E' | b'e')) {
        let sign = matches!(bytes.get(end + 1), Some(b'+' | b'-'));
        let from = end + 1 + usize::from(sign);
        let taken = sign
            || exponent == Exponent::Always
            || (exponent == Exponent::SignedUnlessDecimal && decimal);
        let (_, to) = digits(bytes, from, 0);
        if taken && to > from {
            simple = false;
            end = to;
        }
    }
    let value = if simple {
        let magnitude = value as f64 / POWERS[decimals];
        if negative { -magnitude } else { magnitude }
    } else {
        // The standard library takes every AFFN number, and rounds it right.
        std::str::from_utf8(&bytes[at..end]).ok()?.parse().ok()?
    };
    if !f64::is_finite(value) {
        return None;
    }
    Some(Number { value, end, decimals: u8::try_from(decimals).unwrap_or(u8::MAX) })
}

/// Skips blanks and tabs.
pub(super) fn skip_blanks(bytes: &[u8], mut at: usize) -> usize {
    while matches!(bytes.get(at), Some(b' ' | b'\t')) {
        at += 1;
    }
    at
}

/// Returns the offset of the next line end at or after `at`, or of the end of the bytes.
pub(super) fn line_end(bytes: &[u8], at: usize) -> usize {
    let rest = bytes.get(at..).unwrap_or_default();
    at + rest.iter().position(|b| matches!(b, b'\r' | b'\n')).unwrap_or(rest.len())
}

/// Steps over one line end: CR, LF, or CR and LF together.
pub(super) fn next_line(bytes: &[u8], place: Place) -> Place {
    let both = bytes.get(place.offset..place.offset + 2) == Some(b"\r\n");
    Place { offset: place.offset + 1 + usize::from(both), line: place.line + 1 }
}

#[cfg(test)]
#[path = "asdf_tests.rs"]
mod tests;
