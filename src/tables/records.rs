//! CSV cut into records, for the sheets of the table, those of a user and those of a manifest.

use super::fault::Fault;

/// A sheet under reading. One record is filled again and again: the table's thousands are felt at every start.
pub(crate) struct Records<'b> {
    file: &'b str,
    pub(super) separator: u8,
    reader: csv::Reader<&'b [u8]>,
}

impl<'b> Records<'b> {
    /// Begins with the first line of a text; a byte-order mark is passed over.
    pub(crate) fn of(text: &'b str, file: &'b str) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let separator = separator(text);
        let reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        Self { file, separator, reader }
    }

    /// Cuts the next record off and returns its line; nothing at the end.
    ///
    /// # Errors
    ///
    /// What cannot be cut; nothing behind it can be read.
    pub(crate) fn next(&mut self, record: &mut csv::StringRecord) -> Result<Option<u64>, Fault> {
        match self.reader.read_record(record) {
            Ok(more) => Ok(more.then(|| record.position().map_or(0, csv::Position::line))),
            Err(error) => {
                let line = error.position().map(csv::Position::line);
                let what = format!("cannot be cut into cells ({error})");
                Err(Fault::new(self.file, line, ("", ""), what))
            }
        }
    }
}

/// Finds the separator: the commonest of comma, semicolon and tab in the header line.
pub(super) fn separator(text: &str) -> u8 {
    let header = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |separator: char| header.matches(separator).count();
    let mut best = (b',', count(','));
    for (byte, character) in [(b';', ';'), (b'\t', '\t')] {
        if count(character) > best.1 {
            best = (byte, count(character));
        }
    }
    best.0
}
