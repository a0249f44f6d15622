//! Identifies the plastics of collection objects from infrared spectra.
//!
//! A two-column or JCAMP-DX export goes in; a ranked identification with its evidence, a chlorine
//! finding and ageing markers with their uncertainty come out. Every answer speaks of the surface at
//! the measured spot, and an undecided answer is an answer, never an error.
//!
//! # Start here
//!
//! [`read_path`] hands out the spectra of a file, and an [`Examiner`] takes each through every stage:
//!
//! ```
//! use std::path::Path;
//!
//! use bandlore::{ChlorineBands, Examiner, ReadOptions, Tables, read_path};
//!
//! // Making an examiner weighs the table: make one and share it between threads.
//! let examiner = Examiner::new(Tables::built_in());
//! let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! for spectrum in read_path(file, &ReadOptions::default()) {
//!     let found = examiner.examine(spectrum?)?.identification;
//!     assert_eq!(found.material.as_deref(), Some("PVC"));
//!     assert_eq!(found.chlorine.bands, ChlorineBands::Present);
//!     println!("{}", found.sentence);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Stage by stage
//!
//! The stages are plain functions of plain values, in this order: read, fitness, prepare, peaks,
//! matching, judge, ageing, object, report. None prints, and none but reading and the report's files
//! touches a disk. What an [`Examiner`] does, in steps:
//!
//! ```
//! use bandlore::{
//!     JudgeSettings, Matcher, PickSettings, ReadOptions, Recipe, Tables, examine, identify, pick,
//!     read_bytes,
//! };
//!
//! # let bytes = std::fs::read("sample-spectra/two-column/comma-with-headings.csv")?;
//! let tables = Tables::built_in();
//! let matcher = Matcher::new(tables);
//! for spectrum in read_bytes(&bytes, "film.csv", &ReadOptions::default()) {
//!     let spectrum = spectrum?;
//!     let fitness = examine(&spectrum);
//!     let prepared = Recipe::default().apply(&spectrum)?;
//!     let peaks = pick(
//!         prepared.spectrum(),
//!         prepared.second_derivative(),
//!         prepared.noise_sd(),
//!         &PickSettings::default(),
//!     );
//!     let found = identify(
//!         &spectrum, &prepared, &peaks, &fitness, tables, &matcher, &JudgeSettings::default(),
//!     );
//!     assert_eq!(found.ranking[0].material, "PVC");
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Conventions
//!
//! Names carry units: `_cm1` is cm⁻¹, `_um` micrometres. A spectrum ascends in wavenumber and holds
//! decadic absorbance, whatever the file held. A score orders; it is no probability. Values that are
//! results serialise with serde. Each stage has its own error, and [`Error`] wraps them all.
//!
//! # Features
//!
//! `cli` (the program), `plot` (figures) and `docx` (condition reports as DOCX) are on by default;
//! with `default-features = false` none of their crates is built. Exactly one of `openblas-system` (default),
//! `openblas-static`, `intel-mkl-static`, `netlib-static` and `pure-rust` says what solves least squares; the
//! last needs no library of the system.

#![deny(missing_docs)]
#![forbid(unsafe_code)]

mod ageing;
mod error;
mod fitness;
mod io;
mod judge;
mod linalg;
mod matching;
mod object;
mod optics;
mod peaks;
mod pipeline;
mod prepare;
mod read;
mod report;
mod spectrum;
mod tables;

// One block a stage, in alphabetical order.
pub use ageing::{
    AgeingResult, CONFIDENCE, COPIED_SPOTS, Calibration, CalibrationError, ChangeCall, ChangeScale,
    CompareInput, ComparedFace, Comparison, Contact, ContactFit, Content, Curve,
    DifferenceSpectrum, Dose, DoseSlope, DoseUnit, FaceColour, FaceCount, FoundConfounder,
    LEAST_STANDARDS, MakeUp, MarkerComparison, MarkerResult, MarkerState, MaterialFrom, Noise,
    POWER, RouteSuggestion, SameMaterial, Session, SheetError, Specimen, Spot, Standard,
    StandardRow, StandardsSheet, Welch, compare, degree_of_substitution_from_acetic_acid,
    degree_of_substitution_from_acetyl, degree_of_substitution_from_nitrogen, dose_slopes,
    fit_contact, holm, mean_and_variance, measure_ageing, outlier, read_colours, read_doses,
    read_measure, read_standards, sessions_agree, t_quantile, welch,
};
pub use error::Error;
pub use fitness::{
    BadPoint, FilmBand, FilmCheck, FilmError, FilmInterval, FilmPlaces, Finding, Fitness, Fringes,
    NoiseProfile, STATED_CM1, ScaleFault, Severity, VapourSubtracted, VapourSubtraction,
    bad_points, bridge_bad_points, check_film, check_film_against, examine, examine_fully,
    fourier_magnitudes, remove_fringes, subtract_vapour,
};
pub use io::{
    Discarded, Error as FileError, LARGEST_FILE_BYTES, WholeFile, discard_unfinished, is_same_file,
    open as open_file, sha256_hex, write_whole,
};
pub use judge::{
    BandEvidence, BandState, Chlorine, ChlorineBands, ChlorineByIdentity, ClassAnswer, Component,
    Identification, JudgeSettings, Outcome, Plasticiser, Ranked, Relation, RuleAnswer,
    ShapeEvidence, ShapeShare, Unsettled, identify,
};
pub use matching::{
    Account, Answer, Answered, Entry, Expected, Feature, Features, Fit, LEAST_AVERAGED,
    LabelledCurve, LocalHeight, MET_WORTH, Matcher, NamedResemblance, Observed, OnGrid, OwnBands,
    ReferenceCache, ReferenceLabel, ReferenceLibrary, ReferenceOpinion, ReferenceSheetError,
    Resemblance, Resembles, Scene, ShapeLibrary, Summand, accounts, evaluate, explained_share, fit,
    half_height_width_cm1, is_measured, join, local_height, make_shapes, on_shape_grid, own_bands,
    scale_difference_ppm,
};
pub use object::{
    AgeingState, Agreement, Bending, CandidateFindings, CandidateRecord, CareAdvice, ChlorineList,
    ChlorineLists, ChlorineSaid, Claim, ClaimOutcome, ColourReading, Error as ObjectError, Face,
    FaceFindings, FacesToCompare, Fault, FaultKind, Faults, ListedPart, Manifest, MarkerChange,
    Method, NOT_RECORDED, NeighbourRecord, NeighbourRisk, NextExamination, ObjectFindings,
    ObjectInput, ObjectRecord, OpenedManifest, Original, PartAgeing, PartChlorine, PartFindings,
    PartOutcome, PartRecord, RadiusMultiple, RecordedNeighbour, SPECTRUM_ENDINGS, Seen,
    SourceEntry, SpectrumRecord, SpectrumResult, SpotFindings, SummaryLine, Topic, UnsettledPart,
    UvVisible, XrfChlorine, examine_object, faces_to_compare, first_manifest, first_sheets,
    held_strain, open_manifest, recorded,
};
pub use optics::{
    CRYSTAL_MATERIALS, Correction, CrystalMaterial, Depths, Element, Error as OpticsError,
    Reflectance, attenuated_reflectance, correct_for_transmission, critical_angle_deg,
    critical_index, penetration_depth_um, reflectance_with_gap,
};
pub use peaks::{
    Error as PeakError, Hidden, Peak, PeakKind, PickSettings, Prominence, Width, hidden_bands,
    keep_distant, local_maxima, pick, prominences, top_between_points, widths,
};
pub use pipeline::{
    Checked, Corrected, Corrections, Examined, Examiner, LabelledCurves, ObjectExamined,
    References, check_film_spectrum, check_spectrum, examine_manifest, examine_manifest_beside,
    labelled_curves,
};
pub use prepare::{
    Baseline, Ends, Error as PrepareError, Mask, Normalise, Polynomial, Prepared, Recipe,
    RecipeStep, SavitzkyGolay, Stop, asymmetric_baseline, differentiate, hull_baseline,
    hull_corners, noise_per_point, resample, reweighted_baseline, smooth, whittaker,
};
pub use read::{
    Column, Error as ReadError, Fault as ReadFault, JcampBlock, JcampError, ReadOptions, Spectra,
    decode_jcamp_blocks, read_bytes, read_path,
};
#[cfg(feature = "docx")]
pub use report::DocxWriter;
#[cfg(feature = "parquet")]
pub use report::ParquetWriter;
pub use report::{
    AgeingEntry, CheckCsvWriter, CheckEntry, CheckJsonLinesWriter, CheckJsonWriter,
    CheckMarkdownWriter, CheckOptions, CheckTextWriter, CheckWriter, CsvWriter, Figure, FigureKind,
    FigurePlace, HtmlWriter, IdentificationEntry, IdentificationWriter, JsonLinesWriter,
    JsonWriter, LeaveOut, Length, MarkdownWriter, ObjectCsvWriter, ObjectJsonWriter,
    ObjectMarkdownWriter, ObjectReport, ObjectWriter, PlacedFigure, Stamp, Style, TextWriter,
    WriteOptions, ageing_csv, ageing_json, ageing_json_lines, ageing_markdown, ageing_text,
    comparison_csv, comparison_json, comparison_json_lines, comparison_markdown, comparison_text,
    depth_csv, depth_json, depth_markdown, depth_text, film_verdict, object_text,
    write_identifications,
};
#[cfg(feature = "plot")]
pub use report::{
    Arrangement, CurvesFigure, FaceCurve, FacesFigure, FigureError, IntervalRow, IntervalsFigure,
    LabelledSpectra, MapGroup, MapPart, ShownBands, SpectrumFigure, View, bands_behind,
    draw_chlorine_map, draw_curves, draw_faces, draw_intervals, draw_object_figures, draw_spectrum,
    shape_behind,
};
#[cfg(feature = "xlsx")]
pub use report::{CheckXlsxWriter, ObjectXlsxWriter, XlsxWriter, spreadsheet_of_csv};
pub use spectrum::{
    Error as SpectrumError, LEAST_POINTS, LEAST_TRANSMITTANCE, MeasurementMode, Ordinate, Origin,
    PointFlag, Provenance, Spectrum, SpectrumParts, Step, Warning, absorbance_from_transmittance,
    interpolate, median_spacing, nearest_index, transmittance_from_absorbance,
    wavenumber_from_micrometres, wavenumber_from_nanometres,
};
pub use tables::{
    Band, BandRole, BandWidth, BendingLimit, Blank, CareNote, CareTopic, Class, Confounder,
    ConfounderEffect, Direction, Effect, Error as TableError, Fault as TableFault,
    Faults as TableFaults, Group, Hazard, LimitsFrom, MOST_FAULTS_LISTED, Marker, MarkerRole,
    Material, MaterialKind, Measure, MeasureKind, MeasuredBy, NeighbourKind, NeighbourRelation,
    NeighbourRule, Part, Practice, Predicate, Question, Questions, Reading, RelativeHeight, Route,
    RouteKind, Rule, SHAPE_POINTS, Shape, ShapeOrigin, SourceClass, Sourcing, Status, Strength,
    Tables, TellingWindow, TransmissionBasis, Verdict, Window, bands_as_csv, bands_as_markdown,
    shape_wavenumber_cm1, shapes_as_csv,
};
