//! Numbers as instruments and spreadsheets write them.

use super::lines::trimmed;

/// Powers of ten that a double holds exactly.
const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Integers up to this are doubles without rounding.
const EXACT_INTEGER: u64 = 1 << 53;

/// Significant digits that always fit into 64 bits.
const MOST_DIGITS: usize = 19;

/// Longer cells hold no number: 400 characters write out the smallest double in full.
const LONGEST_NUMBER: usize = 400;

/// Cells up to this length are padded to be read quickly.
const LONGEST_PADDED: usize = 24;

/// How numbers are written in one file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Notation {
    /// The decimal mark: point or comma.
    pub decimal: u8,
    /// The mark between groups of three digits, where one is used.
    pub thousands: Option<u8>,
}

/// Reads the longest number that `bytes` starts with; returns it with its length.
///
/// The result is the double nearest to the decimal number. Infinity is never returned.
#[inline]
pub(super) fn leading(bytes: &[u8], decimal: u8) -> Option<(f64, usize)> {
    match plain(bytes, decimal) {
        Some(found) => Some(found),
        None => any(bytes, decimal),
    }
}

/// As [`leading`], for bytes that end where the cell does: with zeros behind them the fast path is open.
fn leading_padded(bytes: &[u8], decimal: u8) -> Option<(f64, usize)> {
    let mut padded = [0; LONGEST_PADDED + 16];
    match padded.get_mut(..bytes.len()) {
        Some(start) if bytes.len() <= LONGEST_PADDED => {
            start.copy_from_slice(bytes);
            leading(&padded, decimal)
        }
        _ => leading(bytes, decimal),
    }
}

/// The fast path for what nearly every cell is: up to seven digits, the mark, and up to eight more.
#[inline(always)]
#[allow(clippy::inline_always, reason = "a third faster within the loop over the rows")]
pub(super) fn plain(bytes: &[u8], decimal: u8) -> Option<(f64, usize)> {
    let negative = bytes.first() == Some(&b'-');
    let start = usize::from(negative);
    let (whole, before) = up_to_eight_digits(*bytes.get(start..)?.first_chunk()?);
    let mark = start + before;
    if !(1..8).contains(&before) || bytes.get(mark) != Some(&decimal) {
        return None;
    }
    let (fraction, after) = up_to_eight_digits(*bytes.get(mark + 1..)?.first_chunk()?);
    let end = mark + 1 + after;
    if after == 0 || matches!(bytes.get(end), Some(b'0'..=b'9' | b'e' | b'E')) {
        return None;
    }
    // Fifteen digits at most, so that both factors are exact and the one rounding gives the nearest double.
    // The signed cast is one instruction, the unsigned one eight.
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_wrap, reason = "below 10^15")]
    let mantissa = (whole * POWERS.get(after)? + fraction) as i64 as f64;
    let value = mantissa / EXACT_POWERS.get(after)?;
    Some((if negative { -value } else { value }, end))
}

/// The path for every number.
#[inline(never)]
fn any(bytes: &[u8], decimal: u8) -> Option<(f64, usize)> {
    let mut at = 0;
    let negative = match bytes.first() {
        Some(b'-') => {
            at = 1;
            true
        }
        Some(b'+') => {
            at = 1;
            false
        }
        _ => false,
    };
    let (mut mantissa, whole) = digits(bytes.get(at..)?, 0);
    at += whole;
    let mut digits_read = whole;
    let mut exponent: i32 = 0;
    if bytes.get(at) == Some(&decimal) {
        at += 1;
        let fraction;
        (mantissa, fraction) = digits(bytes.get(at..)?, mantissa);
        at += fraction;
        digits_read += fraction;
        exponent = -i32::try_from(fraction).ok()?;
    }
    if digits_read == 0 {
        return None;
    }
    if let Some((written, length)) = exponent_part(bytes.get(at..).unwrap_or_default()) {
        at += length;
        exponent = exponent.saturating_add(written);
    }
    let power = EXACT_POWERS.get(exponent.unsigned_abs() as usize);
    let value = match power {
        // Both factors are exact, so that the one rounding gives the nearest double.
        Some(power) if digits_read <= MOST_DIGITS && mantissa <= EXACT_INTEGER => {
            #[allow(clippy::cast_precision_loss, reason = "at most 2^53")]
            let mantissa = mantissa as f64;
            let value = if exponent < 0 { mantissa / power } else { mantissa * power };
            if negative { -value } else { value }
        }
        _ => by_the_book(bytes.get(..at)?, decimal)?,
    };
    value.is_finite().then_some((value, at))
}

/// Reads digits onto `value`, and returns how many there are; the caller judges an overflow by that.
#[inline]
fn digits(bytes: &[u8], mut value: u64) -> (u64, usize) {
    let mut count = 0;
    while let Some(eight) = bytes.get(count..).and_then(|rest| rest.first_chunk::<8>()) {
        let (read, found) = up_to_eight_digits(*eight);
        let power = POWERS.get(found).copied().unwrap_or(1);
        value = value.wrapping_mul(power).wrapping_add(read);
        count += found;
        if found < 8 {
            return (value, count);
        }
    }
    for byte in bytes.get(count..).unwrap_or_default() {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        value = value.wrapping_mul(10).wrapping_add(u64::from(digit));
        count += 1;
    }
    (value, count)
}

/// Powers of ten by the number of digits that eight bytes may hold.
const POWERS: [u64; 9] = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000];

/// Returns the number that eight bytes begin with, and its digits, all looked at together: a number in
/// a file takes eight steps otherwise, each waiting for the one before it.
#[inline]
fn up_to_eight_digits(bytes: [u8; 8]) -> (u64, usize) {
    const ZEROS: u64 = 0x3030_3030_3030_3030;
    const HIGH_BITS: u64 = 0x8080_8080_8080_8080;
    // A digit becomes its value, 0 to 9; adding 0x76 then leaves the high bit clear for these alone.
    let values = u64::from_le_bytes(bytes) ^ ZEROS;
    let low_bits = values & !HIGH_BITS;
    let others = (low_bits.wrapping_add(0x7676_7676_7676_7676) | values) & HIGH_BITS;
    let found = (others.trailing_zeros() / 8) as usize;
    if found == 0 {
        return (0, 0);
    }
    // The digits move to the far end, so that zeros lead; then neighbours join, two by two.
    let digits = values << (8 * (8 - found));
    let pairs = digits.wrapping_mul(10).wrapping_add(digits >> 8) & 0x00FF_00FF_00FF_00FF;
    let fours = pairs.wrapping_mul(100).wrapping_add(pairs >> 16) & 0x0000_FFFF_0000_FFFF;
    let all = fours.wrapping_mul(10_000).wrapping_add(fours >> 32) & 0xFFFF_FFFF;
    (all, found)
}

fn digit(bytes: &[u8], at: usize) -> Option<u64> {
    let value = bytes.get(at)?.wrapping_sub(b'0');
    (value < 10).then_some(u64::from(value))
}

fn exponent_part(bytes: &[u8]) -> Option<(i32, usize)> {
    if !matches!(bytes.first(), Some(b'e' | b'E')) {
        return None;
    }
    let (negative, mut at) = match bytes.get(1) {
        Some(b'-') => (true, 2),
        Some(b'+') => (false, 2),
        _ => (false, 1),
    };
    let start = at;
    let mut value: i32 = 0;
    while let Some(digit) = digit(bytes, at) {
        value = value.saturating_mul(10).saturating_add(i32::try_from(digit).unwrap_or(0));
        at += 1;
    }
    (at > start).then_some((if negative { -value } else { value }, at))
}

fn by_the_book(bytes: &[u8], decimal: u8) -> Option<f64> {
    let text = std::str::from_utf8(bytes).ok()?;
    if decimal == b'.' {
        return text.parse().ok();
    }
    text.replacen(char::from(decimal), ".", 1).parse().ok()
}

/// Reads a whole cell as a number: blanks around it, a typographic minus and marks between
/// thousands are taken; anything else, NaN and infinity included, is no number.
pub(super) fn whole(cell: &str, notation: Notation) -> Option<f64> {
    let cell = trimmed(cell);
    if cell.is_empty() || cell.len() > LONGEST_NUMBER {
        return None;
    }
    if let Some((value, length)) = leading_padded(cell.as_bytes(), notation.decimal)
        && length == cell.len()
    {
        return Some(value);
    }
    let mut plain = cell.replace(['\u{2212}', '\u{2013}'], "-");
    if let Some(thousands) = notation.thousands {
        if !grouped(&plain, notation.decimal, thousands) {
            return None;
        }
        plain.retain(|letter| letter != char::from(thousands));
    }
    let (value, length) = leading(plain.as_bytes(), notation.decimal)?;
    (length == plain.len()).then_some(value)
}

/// Returns whether marks between thousands, if any, part groups of three digits.
fn grouped(text: &str, decimal: u8, thousands: u8) -> bool {
    let whole_part = text.split(char::from(decimal)).next().unwrap_or_default();
    let rest = &text[whole_part.len()..];
    if rest.contains(char::from(thousands)) {
        return false;
    }
    let mut groups = whole_part.trim_start_matches(['+', '-']).split(char::from(thousands));
    let first = groups.next().unwrap_or_default();
    let mut more = false;
    let all_three = groups.all(|group| {
        more = true;
        group.len() == 3 && group.bytes().all(|b| b.is_ascii_digit())
    });
    !more || (all_three && (1..=3).contains(&first.len()))
}

#[cfg(test)]
mod tests {
    use rand::{RngExt, SeedableRng};

    use super::*;

    const POINT: Notation = Notation { decimal: b'.', thousands: None };
    const COMMA: Notation = Notation { decimal: b',', thousands: None };

    #[test]
    fn reads_what_instruments_write() {
        for (text, value) in [
            ("4000", 4000.0),
            ("+0.5", 0.5),
            ("-.25", -0.25),
            ("3.", 3.0),
            ("1.5E+03", 1500.0),
            ("2e-3", 0.002),
            (" 7 ", 7.0),
            ("\u{2212}0.01", -0.01),
            ("0.000000000000000000000000012345", 1.2345e-26),
            ("12345678901234567890123", 12_345_678_901_234_567_890_123.0),
        ] {
            assert_eq!(whole(text, POINT), Some(value), "{text}");
        }
        assert_eq!(whole("3996,35", COMMA), Some(3996.35));
        assert_eq!(whole("-1,5e-2", COMMA), Some(-0.015));
        let thousands = Notation { decimal: b'.', thousands: Some(b',') };
        assert_eq!(whole("1,735.5", thousands), Some(1735.5));
        assert_eq!(whole("998", thousands), Some(998.0));
        assert_eq!(whole("17,35.5", thousands), None);
    }

    #[test]
    fn refuses_what_is_no_number() {
        for text in [
            "",
            "-",
            ".",
            "e5",
            "NaN",
            "inf",
            "-Infinity",
            "0x1F",
            "1e999",
            "1.2.3",
            "12 4",
            "n.d.",
        ] {
            assert_eq!(whole(text, POINT), None, "{text}");
        }
        assert_eq!(whole(&"9".repeat(500), POINT), None);
        // An exponent without digits ends the number before it.
        assert_eq!(leading(b"5e", b'.'), Some((5.0, 1)));
    }

    #[test]
    fn agrees_with_the_standard_parser_to_the_last_bit() {
        // The reference implementation is the standard library's parser, which is correctly rounded.
        const SEED: u64 = 20_261_125;
        let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(SEED);
        for _ in 0..20_000 {
            let length = random.random_range(1..=19);
            let mantissa: u64 = random.random_range(0..10u64.pow(length));
            let exponent: i32 = random.random_range(-40..40);
            let text = format!("{}.{mantissa:05}e{exponent}", random.random_range(0..5000));
            let expected: f64 = text.parse().expect("a number");
            assert_eq!(whole(&text, POINT).map(f64::to_bits), Some(expected.to_bits()), "{text}");
            let plain = format!("{}.{mantissa}", random.random_range(0..5000));
            let expected: f64 = plain.parse().expect("a number");
            // Before the end of a file there are not always eight bytes to look at together.
            for text in [plain.clone(), format!("-{plain}"), format!("{plain}\n400.0,0.1\n")] {
                let value = if text.starts_with('-') { -expected } else { expected };
                let length = text.find('\n').unwrap_or(text.len());
                let found = leading(text.as_bytes(), b'.').map(|(v, end)| (v.to_bits(), end));
                assert_eq!(found, Some((value.to_bits(), length)), "{text}");
            }
        }
    }
}
