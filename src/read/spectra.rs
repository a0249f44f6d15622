//! The one public way in: a path or bytes to an iterator of spectra.

use std::borrow::Cow;
use std::path::Path;

use super::decode::decode;
use super::lines::Lines;
use super::source::Source;
use super::stream::Spectra;
use super::{Error, Fault, ReadOptions, jcamp, own, table};
use crate::io;

/// A JCAMP-DX file shows a label within this many lines; notes may stand before it.
const JCAMP_LINES: usize = 50;

/// Longer names are no labels.
const LONGEST_LABEL: usize = 60;

/// Reads the spectra of a file; `-` is standard input.
///
/// A file that cannot be read gives one error.
#[must_use]
pub fn read_path(path: &Path, options: &ReadOptions) -> Spectra {
    #[cfg(feature = "parquet")]
    match io::open_beginning_with(path, super::parquet::MAGIC) {
        Ok(Some((file, sha256))) => {
            let file_name = path.to_string_lossy().into_owned();
            let source = Source { file: file_name, sha256, warnings: Vec::new() };
            return super::parquet::read(file, source, options.clone());
        }
        Ok(None) => {}
        Err(error) => return Spectra::one(Err(error.into())),
    }
    let bytes = if path.as_os_str() == "-" { io::read_stdin() } else { io::open(path) };
    match bytes {
        Ok(bytes) => read_any(Cow::Owned(bytes), &path.to_string_lossy(), options),
        Err(error) => Spectra::one(Err(error.into())),
    }
}

/// Reads the spectra in `bytes`; `file` names them in messages and provenance.
///
/// ```
/// use bandlore::{ReadOptions, read_bytes, spectrum::Ordinate};
///
/// let text = "cm-1;A\n4000;0,01\n3998;0,02\n3996;0,02\n3994;0,03\n\
///             3992;0,04\n3990;0,03\n3988;0,02\n3986;0,02\n";
/// let spectrum = read_bytes(text.as_bytes(), "film.csv", &ReadOptions::default())
///     .next()
///     .expect("one spectrum")?;
/// assert_eq!(spectrum.range_cm1(), (3986.0, 4000.0));
/// assert_eq!(spectrum.ordinate(), Ordinate::Absorbance);
/// # Ok::<(), bandlore::read::Error>(())
/// ```
#[must_use]
pub fn read_bytes(bytes: &[u8], file: &str, options: &ReadOptions) -> Spectra {
    read_any(Cow::Borrowed(bytes), file, options)
}

fn read_any(bytes: Cow<'_, [u8]>, file: &str, options: &ReadOptions) -> Spectra {
    let sha256 = io::sha256_hex(&bytes);
    let decoded = match decode(bytes) {
        Ok(decoded) => decoded,
        Err(fault) => return Spectra::one(Err(Error::whole(file, fault))),
    };
    let source =
        Source { file: file.to_owned(), sha256, warnings: decoded.warning.into_iter().collect() };
    let text = decoded.text;
    if text.trim().is_empty() {
        return Spectra::one(Err(Error::whole(file, Fault::Empty)));
    }
    if is_jcamp(&text) {
        return Spectra::lazy(jcamp::read(text.into_owned(), source, options.clone()));
    }
    if let Some(heading) = own::find(&text) {
        return Spectra::lazy(own::read(text.into_owned(), heading, source, options.clone()));
    }
    table::read(text, source, options)
}

/// Returns whether one of the first lines is a labelled data record: `##LABEL=`.
fn is_jcamp(text: &str) -> bool {
    Lines::new(text).take(JCAMP_LINES).any(|line| {
        line.text.trim_start().strip_prefix("##").is_some_and(|label| {
            label.split_once('=').is_some_and(|(name, _)| {
                name.len() <= LONGEST_LABEL
                    && !name.is_empty()
                    && name.chars().all(|c| c.is_ascii_alphanumeric() || " $./-_".contains(c))
            })
        })
    })
}
