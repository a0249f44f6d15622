//! A whole object: every file of a manifest through the stages, then what is said of the object.

use super::ageing::{Measured, compare_measured};
use super::second::{lend, second_setting};
use super::{Examiner, References};
use crate::ageing::{ComparedFace, Comparison, FaceColour};
use crate::error::Error;
use crate::fitness::{NoiseProfile, check_film};
use crate::io;
use crate::object::{
    CandidateRecord, Face, FacesToCompare, Manifest, Method, ObjectFindings, ObjectInput,
    OpenedManifest, SpectrumRecord, SpectrumResult, UvVisible, examine_object, faces_to_compare,
};
use crate::optics::Element;
use crate::parallel::in_order;
use crate::peaks;
use crate::prepare::prepare;
use crate::quote::in_marks;
use crate::read::{ReadOptions, read_bytes};
use crate::report::check::film_sentence;
use crate::spectrum::{Spectrum, Warning};
use crate::tables::{Fault, Faults};

/// What came of a whole object.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct ObjectExamined {
    /// Everything that is said.
    pub findings: ObjectFindings,
    /// The results it was drawn from, for figures.
    pub spectra: Vec<SpectrumResult>,
    /// Parts whose faces could not be compared, and why; the findings say so too.
    pub comparison_failures: Vec<(String, String)>,
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
/// use bandlore::{Examiner, ReadOptions, Tables, object::open_manifest, pipeline::examine_manifest};
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

/// Doubts a reference that is another material by its bands than its label says: it vouches for nothing.
fn mislabel(
    candidate: &CandidateRecord,
    reference: &Spectrum,
    examiner: &Examiner<'_>,
) -> Option<Warning> {
    let tables = examiner.tables();
    let label = tables.find_material(&candidate.reference_material)?;
    let found = examiner.examine(reference.clone()).ok()?.identification;
    let possible: Vec<&String> = found.material.iter().chain(&found.candidates).collect();
    let may_be = |id: &&String| {
        **id == label.id
            || tables.material(id).is_some_and(|known| known.not_excluded.contains(&label.id))
    };
    (!possible.is_empty() && !possible.iter().any(may_be)).then(|| {
        let ids: Vec<&str> = possible.iter().map(|id| id.as_str()).collect();
        Warning::new(
            "reference-mislabelled",
            format!(
                "the reference {} of {}, labelled {}, is {} by its bands: it vouches for nothing and was not asked",
                candidate.reference,
                candidate.id,
                label.id,
                ids.join(" or ")
            ),
        )
    })
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
    let read =
        in_order(&manifest.spectra, |row| read_one(opened, &row.file, &stated(row, options)));
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
    let (mut references, mut mislabelled) = (Vec::new(), Vec::new());
    for candidate in manifest.candidates.iter().filter(|c| !c.reference.is_empty()) {
        match read_one(opened, &candidate.reference, options) {
            Ok((spectrum, sha256)) => {
                files.push((candidate.reference.clone(), sha256));
                match mislabel(candidate, &spectrum, examiner) {
                    Some(doubt) => mislabelled.push(doubt),
                    None => references.push((candidate.id.clone(), spectrum)),
                }
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
        match read_one(opened, film, options) {
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
        return Err(crate::object::Error::Faults(Faults::in_order(faults)).into());
    }
    let judged = in_order(&measured, |(record, spectrum, sha256)| {
        let row = manifest.spectra.get(*record);
        // What is not known gives no depth; that is said below.
        let element = row.and_then(|row| element_of(row, examiner).ok()).flatten();
        let examined = match examiner.examine_on(spectrum.clone(), element) {
            Ok(examined) => examined,
            Err(error) => return Err((*record, error)),
        };
        let opinion = second.map(|second| (*record, second.opinion(&examined, examiner.tables())));
        done();
        let ripple = examined.fitness.ripple();
        let result = SpectrumResult {
            record: *record,
            sha256: sha256.clone(),
            fitness: examined.fitness.findings().to_vec(),
            identification: examined.identification,
            spectrum: examined.spectrum,
        };
        Ok((result, (opinion, ripple)))
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
    let (spectra, beside): (Vec<SpectrumResult>, Vec<_>) = kept.into_iter().unzip();
    let (opinions, ripples): (Vec<_>, Vec<f64>) = beside.into_iter().unzip();
    let opinions: Vec<_> = opinions.into_iter().flatten().collect();
    let mut warnings = Vec::new();
    for row in &manifest.spectra {
        if let Err(why) = element_of(row, examiner) {
            let text = format!("{why}; no depths are given for it");
            warnings.push(Warning::new("element-not-known", text));
        }
    }
    let faces = faces_to_compare(manifest, &spectra, examiner.tables());
    let compared = in_order(&faces, |faces| {
        let done = compare_faces(faces, manifest, &spectra, &ripples, examiner);
        (faces.part.clone(), done)
    });
    let mut comparisons = Vec::new();
    let mut comparison_failures = Vec::new();
    for (part, compared) in compared {
        match compared {
            Ok(comparison) => comparisons.push((part, comparison)),
            Err(why) => {
                let text = format!("{part}: the faces could not be compared: {why}");
                warnings.push(Warning::new("comparison-failed", text));
                comparison_failures.push((part, why));
            }
        }
    }
    // A report names no folder of the machine that it was written on.
    let name = |file: &str| {
        let name = std::path::Path::new(file).file_name();
        name.map_or_else(|| file.to_owned(), |name| name.to_string_lossy().into_owned())
    };
    let in_words = |fault: Fault| Fault { file: name(&fault.file), ..fault }.to_string();
    let left = faults.into_iter().map(|fault| Warning::new("file-left-out", in_words(fault)));
    warnings.extend(left);
    warnings.extend(mislabelled);
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
        comparison_failures: comparison_failures.clone(),
        left_out,
        references,
        uv_visible,
        method,
        warnings,
        spectra,
    };
    let spectra = input.spectra.clone();
    let findings = examine_object(input, examiner.tables());
    Ok(ObjectExamined { findings, spectra, comparison_failures })
}

/// A file that is there but holds nothing to use, at its row of the manifest; `sheet` is the sheet
/// of that row where the manifest is a folder of them.
fn unusable(opened: &OpenedManifest, sheet: &str, file: &str, line: usize, why: String) -> Fault {
    let named = opened.files.iter().find(|f| f.extension().is_some_and(|e| e == "toml"));
    let named = named.or_else(|| opened.files.iter().find(|f| f.ends_with(sheet)));
    let named =
        named.or(opened.files.first()).map_or_else(String::new, |f| f.display().to_string());
    Fault::at(&named, line, format!("file {} cannot be used: {why}", in_marks(file)))
}

/// The options for the file of one row: what the row states goes before what is stated for all.
fn stated(row: &SpectrumRecord, options: &ReadOptions) -> ReadOptions {
    ReadOptions {
        block: row.block.or(options.block),
        ordinate: row.ordinate.or(options.ordinate),
        mode: row.mode.or(options.mode),
        ..options.clone()
    }
}

/// Reads the one spectrum that a row names, with the digest of its file.
fn read_one(
    opened: &OpenedManifest,
    file: &str,
    options: &ReadOptions,
) -> Result<(Spectrum, String), String> {
    let bytes = io::open(&opened.path(file)).map_err(|e| e.to_string())?;
    let sha256 = io::sha256_hex(&bytes);
    let mut spectra = read_bytes(&bytes, file, options);
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
///
/// # Errors
///
/// In words, why they cannot be compared.
fn compare_faces(
    faces: &FacesToCompare,
    manifest: &Manifest,
    spectra: &[SpectrumResult],
    ripples: &[f64],
    examiner: &Examiner<'_>,
) -> Result<Comparison, String> {
    let sides = [
        (ComparedFace::Exposed, &faces.exposed),
        (ComparedFace::Reverse, &faces.reverse),
        (ComparedFace::Covered, &faces.covered),
    ];
    let mut prepared = Vec::new();
    for (face, indices) in sides {
        for &index in indices {
            let Some(result) = spectra.get(index) else { continue };
            let ready = prepare(&result.spectrum).map_err(|e| e.to_string())?;
            let peaks = peaks::pick(&result.spectrum, &ready);
            prepared.push((face, index, result, (ready, peaks)));
        }
    }
    let mut measured = Vec::with_capacity(prepared.len());
    for (face, index, result, (ready, peaks)) in &prepared {
        let record = manifest.spectra.get(result.record);
        measured.push(Measured {
            face: *face,
            spectrum: &result.spectrum,
            prepared: ready,
            peaks,
            ripple: ripples.get(*index).copied().unwrap_or_default(),
            identification: &result.identification,
            element: record.map(|row| element_of(row, examiner)).transpose()?.flatten(),
        });
    }
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
    compare_measured(&measured, Some(&faces.material), &colours, None, examiner.tables())
}

/// The ATR element of a row, that of the examiner where the row is blank.
fn element_of(record: &SpectrumRecord, examiner: &Examiner<'_>) -> Result<Option<Element>, String> {
    let otherwise = examiner.element().unwrap_or(Element::DIAMOND_45);
    if record.crystal.trim().is_empty() && record.angle.trim().is_empty() {
        return Ok(examiner.element());
    }
    Element::recorded(&record.crystal, &record.angle, otherwise)
        .map(Some)
        .map_err(|why| format!("{}: {why}", record.file))
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
        .and_then(|first| prepare(&first.spectrum).ok())
        .map(|ready| ready.spectrum().history().iter().map(ToString::to_string).collect())
        .unwrap_or_default();
    if !steps.is_empty() {
        settings.push(("preparation".to_owned(), steps.join("; ")));
    }
    Method { settings, files, scale_check }
}
