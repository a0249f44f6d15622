//! Bytes to text: byte order marks, UTF-8, UTF-16, Latin-1; everything else is refused.

use std::borrow::Cow;

use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::Fault;
use crate::spectrum::Warning;

/// Bytes looked at to tell UTF-16 without a mark from other bytes.
const UTF16_SAMPLE: usize = 512;

/// Text, and a doubt about how it was read.
pub(super) struct Decoded<'a> {
    pub text: Cow<'a, str>,
    pub warning: Option<Warning>,
}

/// Turns a file's bytes into text.
pub(super) fn decode(bytes: Cow<'_, [u8]>) -> Result<Decoded<'_>, Fault> {
    if let Some(encoding) = utf16(&bytes) {
        let (text, _, damaged) = encoding.decode(&bytes);
        let text = text.into_owned();
        if let Some(offset) = find_foreign(text.as_bytes()) {
            let byte = text.as_bytes()[offset];
            return Err(Fault::NotText { byte, offset, hint: hint(&bytes) });
        }
        let warning = damaged.then(|| {
            Warning::new("text-damaged", "UTF-16 text with damaged letters; they were left out")
        });
        return Ok(Decoded { text: Cow::Owned(text), warning });
    }
    let length = trimmed_length(&bytes);
    if length == 0 && !bytes.is_empty() {
        return Err(Fault::NotText { byte: bytes[0], offset: 0, hint: hint(&bytes) });
    }
    let start = if bytes.starts_with(b"\xEF\xBB\xBF") { 3.min(length) } else { 0 };
    if let Some(foreign) = find_foreign(&bytes[..length]) {
        let invalid = std::str::from_utf8(&bytes[..length]).err().map(|error| error.valid_up_to());
        let offset = invalid.map_or(foreign, |invalid| invalid.min(foreign));
        return Err(Fault::NotText { byte: bytes[offset], offset, hint: hint(&bytes) });
    }
    match utf8(bytes, start, length) {
        Ok(text) => Ok(Decoded { text, warning: None }),
        Err(bytes) => {
            let (text, _) = WINDOWS_1252.decode_without_bom_handling(&bytes[start..length]);
            let warning = Warning::new(
                "text-latin-1",
                "text is not UTF-8; read as Latin-1, so that names and units may show wrong letters",
            );
            Ok(Decoded { text: Cow::Owned(text.into_owned()), warning: Some(warning) })
        }
    }
}

/// Takes bytes as text, without copying where they are owned; hands back what is not UTF-8.
fn utf8(bytes: Cow<'_, [u8]>, start: usize, length: usize) -> Result<Cow<'_, str>, Cow<'_, [u8]>> {
    match bytes {
        Cow::Borrowed(bytes) => std::str::from_utf8(&bytes[start..length])
            .map(Cow::Borrowed)
            .map_err(|_| Cow::Borrowed(bytes)),
        Cow::Owned(mut bytes) => {
            bytes.truncate(length);
            let mut text =
                String::from_utf8(bytes).map_err(|error| Cow::Owned(error.into_bytes()))?;
            text.drain(..start);
            Ok(Cow::Owned(text))
        }
    }
}

/// Instruments of the CP/M age fill the last block of a file with Ctrl-Z or NUL.
fn trimmed_length(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|&b| b != 0 && b != 0x1A).map_or(0, |last| last + 1)
}

/// Returns the place of the first byte that no text holds.
fn find_foreign(bytes: &[u8]) -> Option<usize> {
    /// A block without an early way out is looked through many bytes at a time.
    const BLOCK: usize = 256;
    let holds_one = |block: &[u8]| block.iter().fold(false, |found, &b| found | is_foreign(b));
    let start = bytes.chunks(BLOCK).position(holds_one)? * BLOCK;
    let within = bytes[start..].iter().position(|&b| is_foreign(b))?;
    Some(start + within)
}

/// Returns whether no text holds this byte: controls other than tab, line and page ends.
fn is_foreign(byte: u8) -> bool {
    (byte < 0x20 && !matches!(byte, b'\t' | b'\n' | b'\r' | 0x0B | 0x0C)) || byte == 0x7F
}

fn utf16(bytes: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    match bytes {
        [0xFF, 0xFE, ..] => return plausible_utf16(bytes, UTF_16LE),
        [0xFE, 0xFF, ..] => return plausible_utf16(bytes, UTF_16BE),
        _ => {}
    }
    let sample = &bytes[..bytes.len().min(UTF16_SAMPLE) & !1];
    if sample.len() < 4 {
        return None;
    }
    // ASCII letters as UTF-16 have every other byte zero.
    let zeros = |offset: usize| sample.iter().skip(offset).step_by(2).filter(|&&b| b == 0).count();
    let (even, odd) = (zeros(0), zeros(1));
    let most = sample.len() / 2 - sample.len() / 16;
    match (even, odd) {
        (0, odd) if odd >= most => Some(UTF_16LE),
        (even, 0) if even >= most => Some(UTF_16BE),
        _ => None,
    }
}

/// A mark alone may be a picture's first bytes; text has a zero half in most letters.
fn plausible_utf16(
    bytes: &[u8],
    encoding: &'static encoding_rs::Encoding,
) -> Option<&'static encoding_rs::Encoding> {
    let sample = &bytes[2..bytes.len().min(UTF16_SAMPLE)];
    let high = usize::from(encoding == UTF_16LE);
    let zeros = sample.iter().skip(high).step_by(2).filter(|&&b| b == 0).count();
    (zeros * 4 >= sample.len() || sample.is_empty()).then_some(encoding)
}

/// Says what well-known bytes are, where that helps.
fn hint(bytes: &[u8]) -> &'static str {
    match bytes {
        [b'P', b'K', 3 | 5, ..] => {
            ", a ZIP archive or a workbook: unpack it, or save the sheet as CSV"
        }
        [0xD0, 0xCF, 0x11, 0xE0, ..] => ", an old workbook or document: save the sheet as CSV",
        [b'P', b'A', b'R', b'1', ..] => {
            ", a Parquet table: give its path to a build with the feature parquet, or save it as CSV"
        }
        [0x1F, 0x8B, ..] => ", a gzip archive: unpack it",
        [b'%', b'P', b'D', b'F', ..] => ", a PDF: export the data, not the page",
        [0x89, b'P', b'N', b'G', ..] => ", a picture: export the data, not the image",
        [0xFF, 0xD8, 0xFF, ..] | [b'G', b'I', b'F', b'8', ..] | [b'B', b'M', ..]
            if is_binary(bytes) =>
        {
            ", a picture: export the data, not the image"
        }
        _ if is_binary(bytes) => {
            ", a binary file as instruments keep them: export as text or JCAMP-DX from the instrument"
        }
        _ => "",
    }
}

/// Returns whether bytes hold numbers as a machine stores them: zero bytes, or controls all over, where a
/// text that was damaged on its way holds one or two.
fn is_binary(bytes: &[u8]) -> bool {
    /// One byte in so many.
    const MOST_CONTROLS: usize = 50;
    let sample = &bytes[..bytes.len().min(4096)];
    let zeros = sample.iter().filter(|&&b| b == 0).count();
    let controls = sample.iter().filter(|&&b| is_foreign(b)).count();
    zeros > 1 || controls * MOST_CONTROLS > sample.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(bytes: &[u8]) -> (String, Option<String>) {
        let decoded = decode(Cow::Borrowed(bytes)).expect("text");
        (decoded.text.into_owned(), decoded.warning.map(|w| w.id))
    }

    #[test]
    fn drops_the_byte_order_mark() {
        assert_eq!(text(b"\xEF\xBB\xBF4000 1"), ("4000 1".into(), None));
        let owned = decode(Cow::Owned(b"\xEF\xBB\xBF4000 1".to_vec())).expect("text");
        assert_eq!(owned.text, "4000 1");
    }

    #[test]
    fn reads_utf_16_with_and_without_a_mark() {
        let little: Vec<u8> = "4000;0,1\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = "4000;0,1\r\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
        for bytes in [
            little.clone(),
            big.clone(),
            [b"\xFF\xFE", &little[..]].concat(),
            [b"\xFE\xFF", &big[..]].concat(),
        ] {
            assert_eq!(text(&bytes).0, "4000;0,1\r\n");
        }
    }

    #[test]
    fn says_so_when_it_reads_latin_1() {
        assert_eq!(text(b"L\xE4nge \xB5m"), ("Länge µm".into(), Some("text-latin-1".into())));
    }

    #[test]
    fn takes_filled_up_ends_for_text() {
        assert_eq!(text(b"4000 1\r\n\x1A\0\0"), ("4000 1\r\n".into(), None));
    }

    #[test]
    fn refuses_pictures_and_archives_with_the_byte() {
        let refuse = |bytes: &[u8]| match decode(Cow::Borrowed(bytes)) {
            Err(fault) => fault.to_string(),
            Ok(_) => panic!("read as text"),
        };
        assert_eq!(
            refuse(b"\xFF\xD8\xFF\xE0\x00\x10JFIF"),
            "not text (byte 0xFF at offset 0, a picture: export the data, not the image); readable: \
             two-column text, JCAMP-DX"
        );
        assert!(
            refuse(b"PK\x03\x04").starts_with("not text (byte 0x03 at offset 2, a ZIP archive")
        );
        assert!(refuse(b"4000 1\n\x00\x01x").contains("byte 0x00 at offset 7"));
    }
}
