//! The calls that read and judge. Each works on a thread of its own without the interpreter's lock, while the
//! caller's thread listens for an interruption.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::time::Duration;

use bandlore::{
    Examined, Examiner, References, Spectrum,
    ageing::comparison::{COPIED_SPOTS, ComparedFace, Session},
    pipeline::check_spectrum,
    read_path,
    report::{
        ageing::{AgeingEntry, ageing_json, comparison_json},
        check::{CheckEntry, CheckJsonWriter, CheckWriter},
        identification::{IdentificationEntry, JsonWriter, write_identifications},
    },
};
use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;

use crate::fault::Fault;
use crate::settings::{Settings, stamp};
use crate::source::{self, Item, Source};
use crate::{Stop, spectrum};

/// How long an interruption may stay unheard.
const LISTENING: Duration = Duration::from_millis(50);

/// Does `work` without the interpreter's lock; Ctrl-C ends the call at once, and the work soon after.
pub fn listening<T: Send + 'static>(
    py: Python<'_>,
    work: impl FnOnce(&Stop) -> Result<T, Fault> + Send + 'static,
) -> PyResult<T> {
    let stop: Stop = Arc::new(AtomicBool::new(false));
    let heard = Arc::clone(&stop);
    let (answer, mut answers) = mpsc::channel();
    std::thread::spawn(move || {
        // Nobody waits any more after an interruption.
        let _ = answer.send(work(&heard));
    });
    loop {
        let received;
        (received, answers) = py.detach(move || (answers.recv_timeout(LISTENING), answers));
        match received {
            Ok(answer) => return answer.map_err(|fault| fault.raise(py)),
            Err(RecvTimeoutError::Timeout) => {
                if let Err(interruption) = py.check_signals() {
                    stop.store(true, Ordering::Relaxed);
                    return Err(interruption);
                }
            }
            Err(RecvTimeoutError::Disconnected) => {
                return Err(PyRuntimeError::new_err("the work ended without an answer"));
            }
        }
    }
}

/// An entry of an answer, and why it holds none.
type Answer<T> = (T, Option<Fault>);

/// Takes the entries out of the answers; the first fault ends the call unless faults are kept.
fn entries<T>(answers: Vec<Answer<T>>, settings: &Settings) -> Result<Vec<T>, Fault> {
    answers
        .into_iter()
        .map(|(entry, fault)| match fault {
            Some(fault) if !settings.keep_errors => Err(fault),
            _ => Ok(entry),
        })
        .collect()
}

fn text(bytes: Vec<u8>) -> Result<String, Fault> {
    String::from_utf8(bytes).map_err(|error| Fault::library(&error))
}

/// Reads every spectrum of the sources.
#[pyfunction]
pub fn read(
    py: Python<'_>,
    sources: Vec<Source>,
    settings: Settings,
) -> PyResult<Vec<spectrum::Spectrum>> {
    listening(py, move |stop| {
        let options = settings.options()?;
        let read = |item: Item| item.result.map_err(|error| Fault::from(&error));
        let spectra = source::batch(sources, &options, stop, read)?;
        spectra.into_iter().map(|read| read.map(spectrum::Spectrum::new)).collect()
    })
}

/// Identifies every spectrum of the sources; returns the array of `bandlore identify --format json`.
#[pyfunction]
pub fn identify(py: Python<'_>, sources: Vec<Source>, settings: Settings) -> PyResult<String> {
    listening(py, move |stop| {
        let tables = settings.tables()?;
        let examiner = settings.examiner(&tables)?;
        let references = settings.references()?;
        let judge = |item: Item| identified(&examiner, references.as_ref(), item);
        let answers = source::batch(sources, &settings.options()?, stop, judge)?;
        let entries = entries(answers, &settings)?;
        let mut out = Vec::new();
        let mut writer = JsonWriter::new(&settings.write_options());
        write_identifications(&mut writer, &stamp(&tables), &entries, &mut out)
            .map_err(|error| Fault::library(&error))?;
        text(out)
    })
}

fn identified(
    examiner: &Examiner<'_>,
    references: Option<&References>,
    item: Item,
) -> Answer<IdentificationEntry> {
    let Item { file, block, result } = item;
    let spectrum = match result {
        Ok(spectrum) => spectrum,
        Err(error) => {
            let entry = IdentificationEntry::failed(&file, block, error.to_string());
            return (entry, Some(Fault::from(&error)));
        }
    };
    let block = spectrum.provenance().block;
    match examiner.examine(spectrum) {
        Ok(examined) => {
            let opinion = references.map(|folder| folder.opinion(&examined, examiner.tables()));
            let entry = examined.into_entry();
            let entry = match opinion {
                Some(opinion) => entry.with_second_opinion(opinion),
                None => entry,
            };
            (entry, None)
        }
        Err(error) => {
            let said = format!("{file}: spectrum {block}: {error}");
            (IdentificationEntry::failed(&file, block, said), Some(Fault::from(&error)))
        }
    }
}

/// Checks every spectrum of the sources; returns the array of `bandlore check --format json`.
#[pyfunction]
pub fn check(py: Python<'_>, sources: Vec<Source>, settings: Settings) -> PyResult<String> {
    listening(py, move |stop| {
        let corrections = settings.corrections()?;
        let judge = |item: Item| {
            let Item { file, block, result } = item;
            let spectrum = match result {
                Ok(spectrum) => spectrum,
                Err(error) => {
                    let entry = CheckEntry::failed(&file, block, error.to_string());
                    return (entry, Some(Fault::from(&error)));
                }
            };
            let block = spectrum.provenance().block;
            match check_spectrum(spectrum, &corrections, settings.film) {
                Ok(checked) => {
                    let fault = checked.entry.error.as_deref().map(Fault::usage);
                    (checked.entry, fault)
                }
                Err(error) => {
                    let said = format!("{file}: spectrum {block}: {error}");
                    (CheckEntry::failed(&file, block, said), Some(Fault::from(&error)))
                }
            }
        };
        let answers = source::batch(sources, &settings.options()?, stop, judge)?;
        let entries = entries(answers, &settings)?;
        let mut out = Vec::new();
        let mut writer = CheckJsonWriter::default();
        let mut write = || {
            writer.begin(&mut out)?;
            entries.iter().try_for_each(|entry| writer.entry(entry, &mut out))?;
            writer.end(&mut out)
        };
        write().map_err(|error: std::io::Error| Fault::library(&error))?;
        text(out)
    })
}

/// Reads the ageing markers of every spectrum; returns the array of `bandlore ageing --format json`.
#[pyfunction]
pub fn ageing(py: Python<'_>, sources: Vec<Source>, settings: Settings) -> PyResult<String> {
    listening(py, move |stop| {
        let tables = settings.tables()?;
        let material = settings.material(&tables)?;
        let examiner = settings.examiner(&tables)?;
        let judge = |item: Item| {
            let Item { file, mut block, result } = item;
            let examined = match result {
                Ok(spectrum) => {
                    block = spectrum.provenance().block;
                    examiner.examine(spectrum).map_err(|e| (e.to_string(), Fault::from(&e)))
                }
                Err(error) => Err((error.to_string(), Fault::from(&error))),
            };
            let mut entry = AgeingEntry::new(file, block);
            match examined {
                Ok(examined) => {
                    entry.result = Some(examiner.ageing(&examined, material, None));
                    (entry, None)
                }
                Err((said, fault)) => {
                    entry.error = Some(said);
                    (entry, Some(fault))
                }
            }
        };
        let answers = source::batch(sources, &settings.options()?, stop, judge)?;
        let stamp = bandlore::report::identification::Stamp::new(tables.version(), tables.sha256());
        ageing_json(&entries(answers, &settings)?, &stamp).map_err(|e| Fault::library(&e))
    })
}

/// How an examination was measured, so that another can be compared with it by numbers.
#[derive(Clone, Debug, FromPyObject)]
#[pyo3(from_item_all)]
pub struct Setup {
    crystal: Option<String>,
    angle: Option<f64>,
    resolution: Option<f64>,
    check: Option<Source>,
}

impl Setup {
    fn session(self, settings: &Settings) -> Result<Session, Fault> {
        let check: Option<Spectrum> = match self.check {
            None => None,
            Some(Source::Spectrum(spectrum)) => Some(*spectrum),
            Some(Source::File(path)) => read_path(&path, &settings.options()?)
                .next()
                .transpose()
                .map_err(|error| Fault::from(&error))?,
        };
        Ok(Session::default()
            .with_crystal(self.crystal)
            .with_angle_deg(self.angle)
            .with_resolution_cm1(self.resolution)
            .with_check(check))
    }
}

/// Compares faces; returns the array of one comparison of `bandlore compare --format json`.
#[pyfunction]
pub fn compare(
    py: Python<'_>,
    faces: Vec<(String, Vec<Source>)>,
    earlier: Setup,
    later: Setup,
    settings: Settings,
) -> PyResult<String> {
    listening(py, move |stop| {
        let tables = settings.tables()?;
        let material = settings.material(&tables)?;
        let examiner = settings.examiner(&tables)?;
        let options = settings.options()?;
        let stated = settings.element()?;
        let (earlier, later) = (earlier.session(&settings)?, later.session(&settings)?);
        let element_in = |session: &Session| {
            let angle = session.angle_deg.map_or_else(String::new, |angle| angle.to_string());
            let crystal = session.crystal.as_deref().unwrap_or_default();
            bandlore::optics::Element::recorded(crystal, &angle, stated)
                .map_err(|why| Fault::usage(format!("setup: {why}")))
        };
        let mut spots: Vec<(ComparedFace, Examined)> = Vec::new();
        for (name, sources) in faces {
            let (face, element) = match name.as_str() {
                "exposed" => (ComparedFace::Exposed, stated),
                "reverse" => (ComparedFace::Reverse, stated),
                "covered" => (ComparedFace::Covered, stated),
                "earlier" => (ComparedFace::Earlier, element_in(&earlier)?),
                "later" => (ComparedFace::Later, element_in(&later)?),
                other => return Err(Fault::usage(format!("no face \"{other}\""))),
            };
            let examine = |item: Item| match item.result {
                Ok(spectrum) => examiner
                    .examine_on(spectrum, Some(element))
                    .map_err(|error| Fault::from(&error)),
                Err(error) => Err(Fault::from(&error)),
            };
            for examined in source::batch(sources, &options, stop, examine)? {
                spots.push((face, examined?));
            }
        }
        let borrowed: Vec<(ComparedFace, &Examined)> =
            spots.iter().map(|(face, examined)| (*face, examined)).collect();
        let comparison = examiner.compare(&borrowed, material, &[], Some((&earlier, &later)));
        if let Some(copies) = comparison.warnings.iter().find(|w| w.id == COPIED_SPOTS) {
            return Err(Fault::usage(copies.text.clone()));
        }
        let stamp = bandlore::report::identification::Stamp::new(tables.version(), tables.sha256());
        comparison_json(&comparison, &stamp).map_err(|error| Fault::library(&error))
    })
}
