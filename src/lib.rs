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
//! use bandlore::{Examiner, ReadOptions, Tables, read_path, judge::ChlorineBands};
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
//!     ReadOptions,
//!     Tables,
//!     read_bytes,
//!     fitness::examine,
//!     judge::{JudgeSettings, identify},
//!     matching::Matcher,
//!     peaks::pick,
//!     prepare::prepare,
//! };
//!
//! # let bytes = std::fs::read("sample-spectra/two-column/comma-with-headings.csv")?;
//! let tables = Tables::built_in();
//! let matcher = Matcher::new(tables);
//! for spectrum in read_bytes(&bytes, "film.csv", &ReadOptions::default()) {
//!     let spectrum = spectrum?;
//!     let fitness = examine(&spectrum);
//!     let prepared = prepare(&spectrum)?;
//!     let peaks = pick(&spectrum, &prepared);
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
//! with `default-features = false` none of their crates is built. `parallel`, which `cli` brings, works on the files of
//! an object, on references and on figures with all cores. Exactly one of `openblas-system` (default),
//! `openblas-static`, `intel-mkl-static`, `netlib-static` and `pure-rust` says what solves least squares; the
//! last needs no library of the system.

#![deny(missing_docs, unnameable_types)]
#![forbid(unsafe_code)]

pub mod ageing;
mod error;
pub mod fitness;
pub mod io;
pub mod judge;
mod linalg;
pub mod matching;
pub mod object;
pub mod optics;
mod parallel;
pub mod peaks;
pub mod pipeline;
pub mod prepare;
mod quote;
pub mod read;
pub mod report;
pub mod spectrum;
mod statistics;
pub mod tables;

pub use error::Error;
pub use judge::Identification;
pub use pipeline::{Examined, Examiner, References};
pub use read::{ReadOptions, Spectra, read_bytes, read_path};
pub use spectrum::Spectrum;
pub use tables::Tables;
