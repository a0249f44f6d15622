//! The fonts of the HTML report, carried inside it so that it looks the same for decades.

/// Family, weight, style and bytes (see `../fonts/README.md` for origin and licence).
const FONTS: [(&str, u16, &str, &[u8]); 5] = [
    ("Spectral", 400, "normal", include_bytes!("../fonts/spectral-latin-400-normal.woff2")),
    ("Spectral", 400, "italic", include_bytes!("../fonts/spectral-latin-400-italic.woff2")),
    ("Spectral", 600, "normal", include_bytes!("../fonts/spectral-latin-600-normal.woff2")),
    ("Inter", 400, "normal", include_bytes!("../fonts/inter-latin-400-normal.woff2")),
    ("Inter", 600, "normal", include_bytes!("../fonts/inter-latin-600-normal.woff2")),
];

/// Returns the `@font-face` rules with the fonts inside.
pub(super) fn faces() -> String {
    FONTS
        .iter()
        .map(|(family, weight, style, bytes)| {
            format!(
                "@font-face{{font-family:\"{family}\";font-weight:{weight};font-style:{style};\
                 font-display:block;src:url(data:font/woff2;base64,{}) format(\"woff2\")}}\n",
                base64(bytes)
            )
        })
        .collect()
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let letter = |n: u32| char::from(LETTERS[(n & 63) as usize]);
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let byte = |i: usize| u32::from(chunk.get(i).copied().unwrap_or(0));
        let word = byte(0) << 16 | byte(1) << 8 | byte(2);
        out.push(letter(word >> 18));
        out.push(letter(word >> 12));
        out.push(if chunk.len() > 1 { letter(word >> 6) } else { '=' });
        out.push(if chunk.len() > 2 { letter(word) } else { '=' });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn encodes_as_the_standard_says() {
        // RFC 4648, section 10, test vectors.
        for (bytes, text) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(bytes.as_bytes()), text);
        }
    }
}
