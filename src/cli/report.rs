//! Reports beside the results: which form a name asks for, what is printed on the page, and how it is written.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use bandlore::{
    Identification, Spectrum, Tables,
    io::WholeFile,
    report::{Document, Figure},
};
use clap::ValueEnum;

use super::Failure;
use super::args::{ElementArgs, ReadingArgs};
use super::terminal::Terminal;

/// Reports beside the results, shared by every command that composes a page.
#[derive(Clone, Debug, clap::Args)]
#[command(next_help_heading = "Output")]
pub struct ReportArgs {
    /// Also write a page to hand on: .html, .md or .docx says in which form. May be repeated.
    #[arg(long, value_name = "FILE")]
    pub report: Vec<PathBuf>,
    /// Replace a report in .docx that is there already, with all that was written into it since.
    #[arg(long, requires = "report")]
    pub overwrite: bool,
    /// The date printed on the page, so that the same input gives the same bytes.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date, requires = "report")]
    pub date: Option<String>,
}

/// What writes a report of some value to a file.
pub type Writer<T> = Box<dyn Fn(&T, &mut dyn Write) -> io::Result<()>>;

impl ReportArgs {
    /// Returns what writes each report; a form that is not known is told before the work, not after it.
    pub fn writers(&self) -> Result<Vec<(&Path, Writer<Document>)>, Failure> {
        writers(&self.report, self.overwrite, ".html, .md or .docx", page_writer)
    }

    /// Returns whether any report was asked for.
    pub fn wanted(&self) -> bool {
        !self.report.is_empty()
    }

    /// Returns the date to print: the one given, else today's.
    pub fn date(&self) -> String {
        self.date.clone().unwrap_or_else(today)
    }
}

fn page_writer(ending: &str) -> Option<Writer<Document>> {
    Some(match ending {
        "html" | "htm" => Box::new(|page, out| out.write_all(page.html().as_bytes())),
        "md" => Box::new(|page, out| out.write_all(page.markdown().as_bytes())),
        #[cfg(feature = "docx")]
        "docx" => Box::new(|page, out| out.write_all(&page.docx()?)),
        _ => return None,
    })
}

/// Returns what writes each file, by its ending; refuses one whose ending is not known, and a document of a word
/// processor that is there already, for someone may have written into it.
pub fn writers<'a, T>(
    paths: &'a [PathBuf],
    overwrite: bool,
    known: &str,
    by_ending: impl Fn(&str) -> Option<T>,
) -> Result<Vec<(&'a Path, T)>, Failure> {
    let writer = |path: &'a PathBuf| {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
        if ending == "docx" && path.exists() && !overwrite {
            return Err(Failure::usage(format!(
                "{}: is there already, and may have been written in; name another file, or say --overwrite to \
                 replace it",
                path.display()
            )));
        }
        by_ending(&ending)
            .ok_or_else(|| Failure::usage(format!("{}: a report ends in {known}", path.display())))
    };
    paths.iter().map(|path| writer(path).map(|writer| (path.as_path(), writer))).collect()
}

/// Writes every report beside its place, then puts all of them there, none or all; and says so.
pub fn write_all<T>(
    writers: &[(&Path, T)],
    terminal: &Terminal,
    write: impl Fn(&T, &mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    place_all(writers, write)?;
    for (path, _) in writers {
        terminal.note(&format!("report written to {}", path.display()));
    }
    Ok(())
}

/// Writes files beside their places, then puts all of them there, none or all.
pub fn place_all<P: AsRef<Path>, T>(
    files: &[(P, T)],
    write: impl Fn(&T, &mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    let mut whole = Vec::new();
    for (path, content) in files {
        let path = path.as_ref();
        let mut file = WholeFile::create(path).map_err(Failure::library)?;
        write(content, &mut file)
            .map_err(|error| Failure::usage(format!("{}: {error}", path.display())))?;
        whole.push(file);
    }
    WholeFile::commit_all(whole).map_err(Failure::library)
}

/// The settings that a page prints, each with its value.
#[derive(Debug, Default)]
pub struct Settings(pub Vec<(String, String)>);

impl Settings {
    /// Adds a setting, where one was chosen.
    pub fn with(mut self, heading: &str, value: Option<impl ToString>) -> Self {
        self.0.extend(value.map(|value| (heading.to_owned(), value.to_string())));
        self
    }

    /// Adds a file, where one was named.
    pub fn file(self, heading: &str, path: Option<&PathBuf>) -> Self {
        self.with(heading, path.map(|path| path.display()))
    }

    /// Adds how files were read, as far as the user said so.
    pub fn reading(self, reading: &ReadingArgs) -> Self {
        fn word<T: ValueEnum>(value: Option<T>) -> Option<String> {
            Some(value?.to_possible_value()?.get_name().to_owned())
        }
        self.with("Ordinate, as stated", word(reading.ordinate))
            .with("How it was measured, as stated", word(reading.mode))
            .with("Column read", reading.column.as_ref())
            .with("Block read", reading.block)
    }

    /// Adds the element that depths were worked out for.
    pub fn element(self, element: &ElementArgs) -> Self {
        self.with("ATR crystal", Some(&element.crystal))
            .with("Angle of incidence", Some(format!("{}°", element.angle)))
    }
}

/// Spectra that get a figure on a page; of more than these `bandlore plot` draws any one by itself.
#[cfg(feature = "plot")]
const MOST_FIGURES: usize = 60;

/// The figures of a page, one place a spectrum: its bands behind the answer.
#[derive(Debug, Default)]
pub struct Figures(pub Vec<Option<Figure>>);

impl Figures {
    /// Draws the next spectrum; one that was not judged, or has nothing to show, has none.
    #[cfg(feature = "plot")]
    pub fn push(
        &mut self,
        title: &str,
        judged: Option<(&Spectrum, &Identification)>,
        tables: &Tables,
    ) -> Result<(), Failure> {
        use bandlore::report::plot::{
            Error, SpectrumFigure, bands_behind, draw_spectrum, shape_behind,
        };

        let number = self.0.len() + 1;
        let Some((spectrum, found)) = judged.filter(|_| number <= MOST_FIGURES) else {
            self.0.push(None);
            return Ok(());
        };
        let materials = bands_behind(found);
        let id = format!("spectrum-{number}-figure");
        let figure = SpectrumFigure::new(&id, title, spectrum)
            .with_materials(&materials)
            .with_unexplained(&found.unexplained)
            .with_shape(shape_behind(found, &materials, tables))
            .with_tables(tables);
        self.0.push(match draw_spectrum(&figure) {
            Ok(figure) => Some(figure),
            Err(Error::Empty(_)) => None,
            Err(error) => return Err(Failure::library(error)),
        });
        Ok(())
    }

    /// Without the plotting feature there is nothing to draw with.
    #[cfg(not(feature = "plot"))]
    pub fn push(
        &mut self,
        _title: &str,
        _judged: Option<(&Spectrum, &Identification)>,
        _tables: &Tables,
    ) -> Result<(), Failure> {
        self.0.push(None);
        Ok(())
    }
}

/// A day that the calendar has, written as in 2026-03-12.
pub fn date(text: &str) -> Result<String, String> {
    // The library also takes other spellings of a day; reports and their readers are held to one.
    match text.parse::<jiff::civil::Date>() {
        Ok(day) if day.to_string() == text => Ok(text.to_owned()),
        _ => Err("expected a day of the calendar such as 2026-03-12".to_owned()),
    }
}

/// Today's date in UTC.
pub fn today() -> String {
    jiff::tz::TimeZone::UTC.to_datetime(jiff::Timestamp::now()).date().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_only_dates_that_can_be() {
        // Leap years by the rule of the Gregorian calendar: 2000 and 2028 are, 1900 and 2026 are not.
        for good in ["2026-03-12", "2028-02-29", "2000-02-29"] {
            assert_eq!(date(good), Ok(good.to_owned()));
        }
        let never = ["2026-02-31", "2026-02-29", "1900-02-29", "2026-04-31", "2026-00-10"];
        for bad in never {
            assert!(date(bad).is_err(), "{bad}");
        }
        for bad in [
            "20260312",
            "2026-03-12T10:00:00",
            "2026-3-12",
            "2026-13-01",
            "12.03.2026",
            "2026-03-122",
            "日本日本",
        ] {
            assert!(date(bad).is_err(), "{bad}");
        }
    }
}
