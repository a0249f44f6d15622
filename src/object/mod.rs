//! The whole object: manifest, parts, neighbours, candidate sheets, care.
//!
//! **In:** a manifest ([`open_manifest`]) with its spectra, each examined ([`ObjectInput`]).
//!
//! **Out:** [`findings`], part by part, for the condition report; an [`Error`] lists every fault of a manifest with its line.
//!
//! [`examine_manifest`](crate::pipeline::examine_manifest) reads and examines the spectra too.
//!
//! ```
//! use bandlore::object::{Error, open_manifest};
//!
//! let error = open_manifest(std::path::Path::new("no-such-object.toml")).expect_err("is not there");
//! assert!(matches!(error, Error::Open(_)), "{error}");
//! ```

mod acid;
mod bending;
mod candidates;
mod care;
mod chlorine;
mod claim_words;
mod claims;
mod copies;
mod error;
mod examine;
pub mod findings;
mod limits;
mod manifest;
mod neighbours;
mod part_ageing;
mod plain;
pub mod record;
mod records;
mod references;
mod replicates;
mod result;
pub mod sheets;
mod start;
mod summary;
mod unsettled;
mod uv_visible;

pub use error::Error;
pub use examine::FacesToCompare;
pub use examine::{ObjectInput, examine_object, faces_to_compare};
pub use manifest::OpenedManifest;
pub use manifest::open_manifest;
pub(crate) use record::{
    CandidateRecord, Face, Manifest, NOT_RECORDED, SpectrumRecord, XrfChlorine, recorded,
};
pub(crate) use result::{
    AgeingState, Agreement, Bending, CandidateFindings, CareAdvice, ChlorineList, ChlorineSaid,
    ClaimOutcome, FaceFindings, MarkerChange, Method, NeighbourRisk, ObjectFindings, Original,
    PartFindings, PartOutcome, SpectrumResult, Topic, UvVisible,
};
// Drawn, and nowhere else asked for.
#[cfg(feature = "plot")]
pub(crate) use result::SpotFindings;
pub use start::{SPECTRUM_ENDINGS, first_manifest, first_sheets};
