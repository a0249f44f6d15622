//! The labels of one block as typed values, every record kept beside them.

use super::error::{Error, Located};
use super::labels::{kept, plain};
use crate::spectrum::Warning;

/// Labelled data records kept of one block; the standard's own labels are fewer than two hundred.
const MOST_RECORDS: usize = 10_000;

/// Check values that are no numbers, of which a warning speaks.
const MOST_DOUBTS: usize = 20;

/// A number that a label states, and the line it is on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stated {
    pub(super) value: f64,
    pub(super) line: usize,
}

/// What the labels of a block say.
#[derive(Debug, Default)]
pub(super) struct Header {
    pub(super) title: Option<String>,
    pub(super) data_type: Option<String>,
    pub(super) x_units: Option<String>,
    pub(super) y_units: Option<String>,
    pub(super) y_units_line: usize,
    pub(super) resolution: Option<String>,
    /// The records that may say how the sample was measured, in one text.
    pub(super) sampling: String,
    /// Whether the sample was a gas or had a path through a cell.
    pub(super) path_length: bool,
    pub(super) first_x: Option<Stated>,
    pub(super) last_x: Option<Stated>,
    pub(super) delta_x: Option<Stated>,
    pub(super) x_factor: Option<Stated>,
    pub(super) y_factor: Option<Stated>,
    pub(super) first_y: Option<Stated>,
    pub(super) max_y: Option<Stated>,
    pub(super) min_y: Option<Stated>,
    pub(super) points: Option<Stated>,
    pub(super) records: Vec<(String, String)>,
    /// Whether records were left out because there are too many.
    records_cut: bool,
    pub(super) warnings: Vec<Warning>,
}

impl Header {
    /// Takes in one record that is no data table.
    pub(super) fn take(
        &mut self,
        written: &str,
        key: &str,
        value: &str,
        line: usize,
    ) -> Result<(), Located> {
        self.keep(written, value, line);
        let needed = |label| stated(label, value, line);
        match key {
            "TITLE" => self.title = text(value),
            "DATATYPE" => self.data_type = text(value),
            "XUNITS" => self.x_units = text(value),
            "YUNITS" => {
                self.y_units = text(value);
                self.y_units_line = line;
            }
            "RESOLUTION" => self.resolution = text(value),
            "SAMPLINGPROCEDURE"
            | "INSTRUMENTPARAMETERS"
            | "INSTRUMENTALPARAMETERS"
            | "SPECTROMETERSETTINGS"
            | "ACCESSORY"
            | ".ACCESSORY"
            | "SAMPLEDESCRIPTION" => {
                self.sampling.push_str(&plain(value));
                self.sampling.push('\n');
            }
            "PATHLENGTH" => self.path_length |= text(value).is_some(),
            "STATE" => {
                self.path_length |= text(value).is_some_and(|s| s.eq_ignore_ascii_case("gas"));
            }
            "FIRSTX" => self.first_x = needed("FIRSTX")?,
            "LASTX" => self.last_x = needed("LASTX")?,
            "XFACTOR" => self.x_factor = factor("XFACTOR", needed("XFACTOR")?)?,
            "YFACTOR" => self.y_factor = factor("YFACTOR", needed("YFACTOR")?)?,
            // These only check what the data say, so that a bad one is no more than a doubt.
            "NPOINTS" => self.points = self.doubted("NPOINTS", value, line),
            "DELTAX" => self.delta_x = self.doubted("DELTAX", value, line),
            "FIRSTY" => self.first_y = self.doubted("FIRSTY", value, line),
            "MAXY" => self.max_y = self.doubted("MAXY", value, line),
            "MINY" => self.min_y = self.doubted("MINY", value, line),
            _ => {}
        }
        Ok(())
    }

    /// Keeps a record as it stands.
    fn keep(&mut self, written: &str, value: &str, line: usize) {
        if self.records.len() < MOST_RECORDS {
            self.records.push((written.to_owned(), kept(value)));
        } else if !self.records_cut {
            self.records_cut = true;
            let text = format!(
                "line {line}: more than {MOST_RECORDS} labelled data records in one block; those \
                 from here on were not kept"
            );
            self.warnings.push(Warning::new("jcamp-records", text));
        }
    }

    fn doubted(&mut self, label: &'static str, value: &str, line: usize) -> Option<Stated> {
        stated(label, value, line).unwrap_or_else(|located| {
            let text = format!("line {line}: {}; not used", located.error);
            if self.warnings.len() < MOST_DOUBTS {
                self.warnings.push(Warning::new("jcamp-header", text));
            }
            None
        })
    }

    /// Returns the number of points the header claims, 0 where it claims none that makes sense.
    pub(super) fn claimed_points(&self) -> usize {
        match self.points {
            // A float cast saturates, so that an absurd claim stays absurd.
            Some(stated) if stated.value >= 1.0 => stated.value as usize,
            _ => 0,
        }
    }
}

/// Returns a value on one line, or nothing where it is empty.
fn text(value: &str) -> Option<String> {
    let text = plain(value);
    (!text.is_empty()).then_some(text)
}

/// Returns the number a label states, or nothing where its value is empty.
fn stated(label: &'static str, value: &str, line: usize) -> Result<Option<Stated>, Located> {
    let Some(text) = text(value) else { return Ok(None) };
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(Some(Stated { value, line })),
        _ => {
            let found = super::error::quote(text.as_bytes());
            Err(Located::new(line, Error::BadNumber { label, found }))
        }
    }
}

/// Refuses a factor that leaves nothing of the values.
fn factor(label: &'static str, stated: Option<Stated>) -> Result<Option<Stated>, Located> {
    if let Some(Stated { value, line }) = stated
        && (value == 0.0 || !value.is_normal())
    {
        return Err(Located::new(line, Error::BadFactor { label, found: value.to_string() }));
    }
    Ok(stated)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header(label: &str, value: &str) -> Result<Header, Located> {
        let mut header = Header::default();
        header.take(label, label, value, 7)?;
        Ok(header)
    }

    #[test]
    fn reads_numbers_around_comments() {
        let read = header("YFACTOR", " 2.38e-09    $$ a note\r\n").expect("taken");
        assert_eq!(read.y_factor, Some(Stated { value: 2.38e-9, line: 7 }));
        assert_eq!(read.records[0].1, "2.38e-09    $$ a note");
        assert_eq!(header("LASTX", " \n").expect("taken").last_x, None);
        assert_eq!(
            header("FIRSTX", "4400.").expect("taken").first_x.map(|s| s.value),
            Some(4400.0)
        );
    }

    #[test]
    fn refuses_a_factor_that_cannot_be_used() {
        let located = header("YFACTOR", "0,01").expect_err("a comma");
        assert_eq!(located.line, 7);
        assert!(matches!(located.error, Error::BadNumber { label: "YFACTOR", .. }));
        let located = header("XFACTOR", "0.0").expect_err("zero");
        assert!(matches!(located.error, Error::BadFactor { label: "XFACTOR", .. }));
        assert!(header("YFACTOR", "inf").is_err());
    }

    #[test]
    fn doubts_a_check_value_that_is_no_number() {
        let read = header("FIRSTY", "0. 4491087E+01").expect("taken");
        assert_eq!(read.first_y, None);
        assert_eq!(
            read.warnings[0].text,
            "line 7: ##FIRSTY= found \"0. 4491087E+01\", expected a number with a decimal point; \
             not used"
        );
        assert_eq!(header("NPOINTS", "-3").expect("taken").claimed_points(), 0);
        assert_eq!(header("NPOINTS", "1e30").expect("taken").claimed_points(), usize::MAX);
    }
}
