//! Takes out marks between thousands that are no decimal marks anywhere: apostrophes and blanks.
//!
//! Points and commas between thousands are told by the layout: see `layout.rs`.

use super::layout::Sampled;
use super::lines::Lines;
use crate::spectrum::Warning;

/// The marks, and what they are called. The blank alone also parts columns.
const MARKS: [(char, &str); 6] = [
    ('\'', "apostrophes"),
    ('\u{2019}', "apostrophes"),
    ('\u{202f}', "narrow blanks"),
    ('\u{a0}', "blanks"),
    ('\u{2009}', "narrow blanks"),
    (' ', "blanks"),
];

/// So many lines looked at must hold a number with the mark: one alone may be a note.
const LEAST_LINES: usize = 3;

/// Returns the text without marks between thousands, with what is to be said; `None` where it has none.
pub(super) fn without(text: &str, sample: &[Sampled<'_>]) -> Option<(String, Warning)> {
    let bytes = || sample.iter().flat_map(|(_, line)| line.bytes());
    let holds_any = |wanted: fn(u8) -> bool| bytes().fold(false, |any, byte| any | wanted(byte));
    // Nearly no file holds more than blanks and what parts its columns.
    let (apostrophe, beyond_ascii) = (holds_any(|b| b == b'\''), holds_any(|b| b >= 0x80));
    let parted = holds_any(|b| b == b'\t' || b == b';') && holds_any(|b| b == b' ');
    let may = |mark: char| match mark {
        '\'' => apostrophe,
        ' ' => parted,
        _ => beyond_ascii,
    };
    let (mark, called) = MARKS.into_iter().filter(|&(mark, _)| may(mark)).find(|&(mark, _)| {
        let holds =
            |line: &str| may_hold(line, mark) && cells(line, mark).any(|c| is_grouped(c, mark));
        sample.iter().filter(|(_, line)| holds(line)).take(LEAST_LINES).count() == LEAST_LINES
    })?;
    let mut out = String::with_capacity(text.len());
    let mut end = 0;
    for line in Lines::new(text) {
        out.push_str(text.get(end..line.start).unwrap_or_default());
        end = line.start + line.text.len();
        if !may_hold(line.text, mark) {
            out.push_str(line.text);
            continue;
        }
        for cell in cells(line.text, mark) {
            if is_grouped(cell, mark) {
                out.extend(cell.chars().filter(|c| *c != mark));
            } else {
                out.push_str(cell);
            }
        }
    }
    out.push_str(text.get(end..).unwrap_or_default());
    let said = format!("{called} read as marks between thousands");
    Some((out, Warning::new("thousands-marks", said)))
}

/// Returns whether a mark stands behind a digit; most lines hold none.
fn may_hold(line: &str, mark: char) -> bool {
    let mut buffer = [0; 4];
    let mark = mark.encode_utf8(&mut buffer).as_bytes();
    line.as_bytes().windows(mark.len() + 2).any(|w| {
        w[0].is_ascii_digit() && w[w.len() - 1].is_ascii_digit() && &w[1..=mark.len()] == mark
    })
}

/// Cuts a line into cells, each with what parts it from the one before.
fn cells(line: &str, mark: char) -> impl Iterator<Item = &str> {
    // Where blanks part thousands they part no columns, and a comma may be the decimal one.
    let parts = move |c: char| matches!(c, '\t' | ';') || (mark != ' ' && matches!(c, ' ' | ','));
    line.split_inclusive(parts)
}

/// Returns whether a cell is a number in groups of three digits.
fn is_grouped(cell: &str, mark: char) -> bool {
    let number =
        cell.trim_matches(|c: char| c.is_whitespace() && c != mark || matches!(c, ';' | ',' | '"'));
    let number = number.trim().trim_start_matches(['+', '-']);
    let number = number.split(['.', ',']).next().unwrap_or_default();
    let mut groups = number.split(mark);
    let digits = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let first = groups.next().unwrap_or_default();
    let mut more = 0;
    let all_three = groups.all(|group| {
        more += 1;
        group.len() == 3 && digits(group)
    });
    more > 0 && all_three && (1..=3).contains(&first.len()) && digits(first)
}

#[cfg(test)]
mod tests {
    use std::borrow::Cow;

    use super::super::layout::sample;
    use super::*;

    fn stripped(text: &str) -> Cow<'_, str> {
        without(text, &sample(text)).map_or(Cow::Borrowed(text), |(text, _)| Cow::Owned(text))
    }

    #[test]
    fn takes_out_every_mark_whatever_parts_the_columns() {
        let plain = "4000.5;0.1\n3998;0.2\r\n1250.25;0.3\n999;-0.4\n";
        for (mark, _) in MARKS {
            let text = plain
                .replace("4000", &format!("4{mark}000"))
                .replace("3998", &format!("3{mark}998"));
            let text = text.replace("1250", &format!("1{mark}250"));
            assert_eq!(stripped(&text), plain, "{mark:?}");
            let comma = |text: &str| text.replace('.', ",");
            assert_eq!(stripped(&comma(&text)), comma(plain), "{mark:?}");
            if mark != ' ' {
                let blanks = |text: &str| text.replace(';', " ");
                assert_eq!(stripped(&blanks(&text)), blanks(plain), "{mark:?}");
            }
        }
    }

    #[test]
    fn leaves_alone_what_parts_columns_and_names() {
        for text in [
            "400 123,5\n402 124,0\n404 125,5\n406 126,1\n",
            "4000 100\n3998 200\n3996 300\n3994 400\n",
            "4000\t100 200\t1\n3998\t5 6\t1\n",
            "sample 1'000;x\n4000;1\n3998;2\n",
        ] {
            assert_eq!(stripped(text), text);
        }
    }
}
