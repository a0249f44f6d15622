//! `table.toml`: the format of the folder and the version of its contents.

use serde::Deserialize;

use super::fault::Fault;
use crate::quote::in_marks;

/// The only format this program reads. 2: what is known of stretches, places and roles stands in the table too.
pub(super) const FORMAT: u32 = 2;

/// What `table.toml` says.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Header {
    /// Format of the folder: which files and columns it holds.
    pub(super) format: u32,
    /// Version of the contents; goes into every report.
    pub(super) version: String,
}

pub(super) fn parse(file: &str, bytes: &[u8], faults: &mut Vec<Fault>) -> Header {
    let mut fault = |what: String| {
        faults.push(Fault::new(file, None, ("", ""), what));
    };
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let header = std::str::from_utf8(bytes)
        .map_err(|_| "not UTF-8".to_owned())
        .and_then(|text| {
            toml::from_str::<Header>(text).map_err(|error| error.message().replace('\n', " "))
        })
        .unwrap_or_else(|what| {
            fault(format!("{what}; expected format = {FORMAT} and version = \"…\""));
            Header { format: FORMAT, version: "unreadable".into() }
        });
    if header.format != FORMAT {
        fault(if header.format < FORMAT {
            format!(
                "format {} is of an earlier program, and this one reads {FORMAT}: write its table into an empty folder \
                 (bandlore bands --export) and bring your rows over",
                header.format
            )
        } else {
            format!("format {} is of a later program, and this one reads {FORMAT}", header.format)
        });
    }
    let plain = |c: char| c.is_ascii_alphanumeric() || ".-+_".contains(c);
    if header.version.is_empty() || !header.version.chars().all(plain) {
        let found = in_marks(&header.version);
        fault(format!("version {found} may hold letters, digits and . - + _ only"));
    }
    header
}
