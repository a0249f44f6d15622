//! A whole object: every file of a manifest through the stages, then what is said of the object.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use super::second::{lend, second_setting};
use super::{Examiner, References};
use crate::ageing::{
    CompareInput, ComparedFace, Comparison, Crystal, FaceColour, MakeUp, Specimen, Spot, compare,
};
use crate::error::Error;
use crate::fitness::{NoiseProfile, check_film};
use crate::io;
use crate::judge::{Identification, Relation};
use crate::matching::{Observed, evaluate};
use crate::object::{
    Face, FacesToCompare, Fault, FaultKind, Faults, Manifest, Method, ObjectFindings, ObjectInput,
    OpenedManifest, SpectrumRecord, SpectrumResult, UvVisible, examine_object, faces_to_compare,
};
use crate::read::{ReadOptions, read_bytes};
use crate::report::film_sentence;
use crate::spectrum::{Spectrum, Warning};
use crate::tables::{Predicate, Verdict};

/// What came of a whole object.
#[derive(Clone, Debug)]
pub struct ObjectExamined {
    /// Everything that is said.
    pub findings: ObjectFindings,
    /// The results it was drawn from, for figures.
    pub spectra: Vec<SpectrumResult>,
}

/// Examines the object of a manifest.
///
/// Every file is read before anything is judged. One that cannot be used does not stop the others: it is a
/// warning, `file-left-out`, and its part says so. `done` is called after each spectrum, for a progress
/// bar.
///
/// # Errors
///
/// None of the spectra can be used: then every file is listed with its line.
///
/// ```
/// use bandlore::{Examiner, ReadOptions, Tables, examine_manifest, open_manifest};
///
/// let folder = tempfile::tempdir()?;
/// let spectra = "sample-spectra/tide-clock/spectra"; // invented
/// std::fs::copy(format!("{spectra}/S1-exposed.csv"), folder.path().join("shim.csv"))?;
/// std::fs::write(
///     folder.path().join("object.toml"),
///     r#"
///     [object]
///     title = "An invented clock"
///     [[part]]
///     id = "S1"
///     [[spectrum]]
///     file = "shim.csv"
///     part = "S1"
///     face = "exposed"
///     "#,
/// )?;
/// let opened = open_manifest(folder.path())?;
/// let examiner = Examiner::new(Tables::built_in());
/// let found = examine_manifest(&opened, &examiner, &ReadOptions::default(), &|| {})?.findings;
/// assert_eq!(found.parts[0].material.as_deref(), Some("PET"));
/// assert_eq!(found.chlorine.none_detected[0].id, "S1");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn examine_manifest(
    opened: &OpenedManifest,
    examiner: &Examiner<'_>,
    options: &ReadOptions,
    done: &(dyn Fn() + Sync),
) -> Result<ObjectExamined, Error> {
    examine_manifest_beside(opened, examiner, options, None, done)
}

/// Examines the object of a manifest, and asks the user's own references for a second opinion.
///
/// They are asked on each spot, and one that somebody vouches for stands for a candidate sheet without a
/// reference of its own. No band finding is changed by them; disagreement is a warning.
///
/// # Errors
///
/// As for [`examine_manifest`].
pub fn examine_manifest_beside(
    opened: &OpenedManifest,
    examiner: &Examiner<'_>,
    options: &ReadOptions,
    second: Option<&References>,
    done: &(dyn Fn() + Sync),
) -> Result<ObjectExamined, Error> {
    let manifest = &opened.manifest;
    let mut faults: Vec<Fault> = Vec::new();
    let mut files: Vec<(String, String)> = Vec::new();
    let mut measured: Vec<(usize, Spectrum, String)> = Vec::new();
    let mut left_out: Vec<(usize, String)> = Vec::new();
    let read = in_order(&manifest.spectra, |row| read_one(opened, &row.file, row.block, options));
    for (record, (row, read)) in manifest.spectra.iter().zip(read).enumerate() {
        match read {
            Ok((spectrum, sha256)) => {
                files.push((row.file.clone(), sha256.clone()));
                measured.push((record, spectrum, sha256));
            }
            Err(why) => {
                left_out.push((record, why.clone()));
                faults.push(unusable(opened, "spectra.csv", &row.file, row.line, why));
            }
        }
    }
    let mut references = Vec::new();
    for candidate in manifest.candidates.iter().filter(|c| !c.reference.is_empty()) {
        match read_one(opened, &candidate.reference, None, options) {
            Ok((spectrum, sha256)) => {
                files.push((candidate.reference.clone(), sha256));
                references.push((candidate.id.clone(), spectrum));
            }
            Err(why) => {
                let (file, line) = (&candidate.reference, candidate.line);
                faults.push(unusable(opened, "candidates.csv", file, line, why));
            }
        }
    }
    let mut uv_visible = Vec::new();
    let of_parts =
        manifest.parts.iter().map(|p| ("parts.csv", &p.id, p.uv_visible.as_str(), p.line));
    let of_sheets = manifest
        .candidates
        .iter()
        .map(|c| ("candidates.csv", &c.id, c.uv_visible.as_str(), c.line));
    for (sheet, id, file, line) in of_parts.chain(of_sheets).filter(|(_, _, f, _)| !f.is_empty()) {
        match read_uv_visible(opened, file) {
            Ok((figures, sha256)) => {
                files.push((file.to_owned(), sha256));
                uv_visible.push((id.clone(), figures));
            }
            Err(why) => faults.push(unusable(opened, sheet, file, line, why)),
        }
    }
    let film = manifest.object.film.as_str();
    let scale_check = if film.is_empty() {
        "no polystyrene film of the day is named: the wavenumber scale was not checked".to_owned()
    } else {
        match read_one(opened, film, None, options) {
            Ok((spectrum, sha256)) => {
                files.push((film.to_owned(), sha256));
                scale_check(film, &spectrum)
            }
            Err(why) => {
                let text = format!(
                    "The day's film ({film}) could not be read, so the wavenumber scale was not \
                     checked: {why}"
                );
                faults.push(unusable(opened, "object.csv", film, 1, why));
                text
            }
        }
    };
    if measured.is_empty() && !left_out.is_empty() {
        return Err(crate::object::Error::Faults(Faults(faults)).into());
    }
    let judged = in_order(&measured, |(record, spectrum, sha256)| {
        let examined = match examiner.examine(spectrum.clone()) {
            Ok(examined) => examined,
            Err(error) => return Err((*record, error)),
        };
        let opinion = second.map(|second| (*record, second.opinion(&examined, examiner.tables())));
        done();
        let result = SpectrumResult {
            record: *record,
            sha256: sha256.clone(),
            fitness: examined.fitness.findings().to_vec(),
            identification: examined.identification,
            spectrum: examined.spectrum,
        };
        Ok((result, opinion))
    });
    drop(measured);
    let mut kept = Vec::with_capacity(judged.len());
    let mut last_error = None;
    for judged in judged {
        match judged {
            Ok(judged) => kept.push(judged),
            Err((record, error)) => {
                let (file, line) =
                    manifest.spectra.get(record).map_or(("", 1), |row| (&row.file, row.line));
                left_out.push((record, error.to_string()));
                faults.push(unusable(opened, "spectra.csv", file, line, error.to_string()));
                last_error = Some(error);
            }
        }
    }
    if let Some(error) = last_error.filter(|_| kept.is_empty()) {
        return Err(error);
    }
    let judged = kept;
    let (spectra, opinions): (Vec<SpectrumResult>, Vec<_>) = judged.into_iter().unzip();
    let opinions: Vec<_> = opinions.into_iter().flatten().collect();
    let faces = faces_to_compare(manifest, &spectra, examiner.tables());
    let compared = in_order(&faces, |faces| compare_faces(faces, manifest, &spectra, examiner));
    let (mut comparisons, mut comparison_failures) = (Vec::new(), Vec::new());
    for (faces, compared) in faces.iter().zip(compared) {
        match compared {
            Ok(comparison) => comparisons.push((faces.part.clone(), comparison)),
            Err(error) => comparison_failures.push((faces.part.clone(), error.to_string())),
        }
    }
    // A report names no folder of the machine that it was written on.
    let name = |file: &str| {
        let name = std::path::Path::new(file).file_name();
        name.map_or_else(|| file.to_owned(), |name| name.to_string_lossy().into_owned())
    };
    let in_words = |fault: Fault| Fault { file: name(&fault.file), ..fault }.to_string();
    let mut warnings: Vec<Warning> =
        faults.into_iter().map(|fault| Warning::new("file-left-out", in_words(fault))).collect();
    let mut manifest = manifest.clone();
    if let Some(second) = second {
        warnings.extend(second.warnings().iter().cloned());
        warnings.extend(lend(second, &opinions, &mut manifest, &mut references));
    }
    let scale_check = match examiner.corrections().scale() {
        None => scale_check,
        Some(k) => format!(
            "Every spectrum's wavenumbers were multiplied by k = {k} before it was judged, as asked. \
             {scale_check}"
        ),
    };
    let mut method = method(examiner, &spectra, files, scale_check);
    if let Some(second) = second {
        method.settings.push(second_setting(second, &opinions));
        for (record, opinion) in &opinions {
            let file = manifest.spectra.get(*record).map_or("", |row| row.file.as_str());
            if opinion.agrees == Some(false) {
                warnings.push(Warning::new(
                    "second-opinion-disagrees",
                    format!("{file}: your references and the bands disagree: {}", opinion.words),
                ));
            }
            method.settings.push((format!("Second opinion on {file}"), opinion.words.clone()));
        }
    }
    let input = ObjectInput {
        manifest,
        comparisons,
        comparison_failures,
        left_out,
        references,
        uv_visible,
        method,
        warnings,
        spectra,
    };
    let spectra = input.spectra.clone();
    Ok(ObjectExamined { findings: examine_object(input, examiner.tables()), spectra })
}

/// Does `work` on every item on all cores, and hands the results back in the order of the items.
fn in_order<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::with_capacity(items.len()));
    std::thread::scope(|scope| {
        for _ in 0..cores.min(items.len()) {
            scope.spawn(|| {
                // Files differ in length, so that each core takes the next one when it is free.
                while let Some((i, item)) = {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    items.get(i).map(|item| (i, item))
                } {
                    let result = work(item);
                    done.lock().unwrap_or_else(PoisonError::into_inner).push((i, result));
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, result)| result).collect()
}

/// A file that is there but holds nothing to use, at its row of the manifest; `sheet` is the sheet
/// of that row where the manifest is a folder of them.
fn unusable(opened: &OpenedManifest, sheet: &str, file: &str, line: usize, why: String) -> Fault {
    let named = opened.files.iter().find(|f| f.extension().is_some_and(|e| e == "toml"));
    let named = named.or_else(|| opened.files.iter().find(|f| f.ends_with(sheet)));
    Fault {
        file: named.or(opened.files.first()).map_or_else(String::new, |f| f.display().to_string()),
        line,
        kind: FaultKind::Unusable { found: file.to_owned(), why },
    }
}

/// Reads the one spectrum that a row names, with the digest of its file.
fn read_one(
    opened: &OpenedManifest,
    file: &str,
    block: Option<usize>,
    options: &ReadOptions,
) -> Result<(Spectrum, String), String> {
    let bytes = io::open(&opened.path(file)).map_err(|e| e.to_string())?;
    let sha256 = io::sha256_hex(&bytes);
    let options = ReadOptions { block: block.or(options.block), ..options.clone() };
    let mut spectra = read_bytes(&bytes, file, &options);
    let first = spectra.next().ok_or("it holds no spectrum")?.map_err(|e| e.to_string())?;
    if spectra.next().is_some() {
        return Err("it holds several spectra; say which with block = N".to_owned());
    }
    Ok((first, sha256))
}

/// Says what the day's film shows of the wavenumber scale, or why it shows nothing.
fn scale_check(film: &str, spectrum: &Spectrum) -> String {
    let noise = NoiseProfile::of(spectrum);
    match check_film(spectrum, |at| noise.at(at)) {
        Ok(check) => format!(
            "The day's polystyrene film ({film}): {} The film itself corrects no spectrum.",
            film_sentence(&check)
        ),
        Err(error) => format!(
            "The day's film ({film}) could not be used, so the wavenumber scale was not checked: {error}"
        ),
    }
}

fn read_uv_visible(opened: &OpenedManifest, file: &str) -> Result<(UvVisible, String), String> {
    let bytes = io::open(&opened.path(file)).map_err(|e| e.to_string())?;
    let sha256 = io::sha256_hex(&bytes);
    let text = String::from_utf8_lossy(&bytes);
    UvVisible::from_text(&text, file).map(|uv| (uv, sha256)).map_err(|fault| fault.to_string())
}

/// Compares the faces of one part; the spectra are prepared again, so that memory stays small.
fn compare_faces(
    faces: &FacesToCompare,
    manifest: &Manifest,
    spectra: &[SpectrumResult],
    examiner: &Examiner<'_>,
) -> Result<Comparison, Error> {
    let sides = [
        (ComparedFace::Exposed, &faces.exposed),
        (ComparedFace::Reverse, &faces.reverse),
        (ComparedFace::Covered, &faces.covered),
    ];
    let mut prepared = Vec::new();
    for (face, indices) in sides {
        for result in indices.iter().filter_map(|&i| spectra.get(i)) {
            let examined = examiner.prepare(&result.spectrum)?;
            let components: Vec<String> =
                result.identification.components.iter().map(|c| c.id.clone()).collect();
            prepared.push((face, result, examined, components));
        }
    }
    let crystal = faces
        .exposed
        .iter()
        .chain(&faces.covered)
        .filter_map(|&i| manifest.spectra.get(spectra.get(i)?.record))
        .map(crystal_of)
        .next()
        .unwrap_or_default();
    let observed: Vec<Observed<'_>> = prepared
        .iter()
        .map(|(_, result, (ready, peaks), _)| Observed::new(&result.spectrum, ready, peaks))
        .collect();
    let asks: Vec<_> = observed
        .iter()
        .map(|seen| move |question: &Predicate| -> Verdict { evaluate(question, seen).verdict })
        .collect();
    let spots: Vec<Spot<'_>> = prepared
        .iter()
        .zip(&asks)
        .map(|((face, result, _, components), ask)| Spot {
            face: *face,
            specimen: Specimen { spectrum: &result.spectrum, components, ask, crystal },
            make_up: make_up(&result.identification),
        })
        .collect();
    let colours: Vec<FaceColour> = manifest
        .colours
        .iter()
        .filter(|reading| reading.part == faces.part)
        .filter_map(|reading| {
            Some(FaceColour {
                face: match reading.face {
                    Face::Exposed => ComparedFace::Exposed,
                    Face::Reverse => ComparedFace::Reverse,
                    Face::Covered => ComparedFace::Covered,
                    Face::Edge | Face::Unknown => return None,
                },
                lab: match (reading.lightness, reading.a_star, reading.b_star) {
                    (Some(l), Some(a), Some(b)) => Some([l, a, b]),
                    _ => None,
                },
                yellowness_index: reading.yellowness_index,
                instrument: reading.instrument.clone(),
                backing: reading.backing.clone(),
            })
        })
        .collect();
    Ok(compare(&CompareInput {
        material: Some(&faces.material),
        spots: &spots,
        tables: examiner.tables(),
        crystal,
        colours: &colours,
        sessions: None,
    }))
}

/// What a spot is made of, as the comparison asks.
fn make_up(identification: &Identification) -> MakeUp {
    let surface = identification
        .components
        .iter()
        .filter(|c| {
            matches!(c.relation, Relation::CoatingOver | Relation::DepositOn) || c.role == "residue"
        })
        .map(|c| c.id.clone())
        .collect();
    MakeUp { material: identification.material.clone(), surface }
}

/// The crystal as written down; diamond at 45° where it was not.
fn crystal_of(record: &SpectrumRecord) -> Crystal {
    let words = record.crystal.to_lowercase();
    let mut crystal = Crystal::default();
    // Indices in the mid infrared as the table of practice has them: diamond and zinc selenide 2.4,
    // germanium 4.0.
    if words.contains("germanium") || words.split_whitespace().any(|word| word == "ge") {
        crystal.index = 4.0;
    }
    let number: String =
        record.angle.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    if let Ok(angle) = number.parse::<f64>()
        && (20.0..80.0).contains(&angle)
    {
        crystal.angle_deg = angle;
    }
    crystal
}

fn method(
    examiner: &Examiner<'_>,
    spectra: &[SpectrumResult],
    files: Vec<(String, String)>,
    scale_check: String,
) -> Method {
    let tables = examiner.tables();
    let mut settings = vec![
        ("tool".to_owned(), format!("bandlore {}", env!("CARGO_PKG_VERSION"))),
        ("table".to_owned(), format!("version {}, SHA-256 {}", tables.version(), tables.sha256())),
    ];
    let steps: Vec<String> = spectra
        .first()
        .and_then(|first| examiner.prepare(&first.spectrum).ok())
        .map(|(ready, _)| ready.spectrum().history().iter().map(ToString::to_string).collect())
        .unwrap_or_default();
    if !steps.is_empty() {
        settings.push(("preparation".to_owned(), steps.join("; ")));
    }
    Method { settings, files, scale_check }
}
