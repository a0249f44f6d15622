//! The whole object: manifest, parts, neighbours, candidate sheets, care.

mod acid;
mod bending;
mod candidates;
mod care;
mod chlorine;
mod claims;
mod error;
mod examine;
mod limits;
mod manifest;
mod neighbours;
mod part_ageing;
mod plain;
mod record;
mod records;
mod references;
mod replicates;
mod result;
mod start;
mod summary;
mod unsettled;
mod uv_visible;

pub use bending::held_strain;
pub use error::{Error, Fault, FaultKind, Faults};
pub use examine::{FacesToCompare, ObjectInput, examine_object, faces_to_compare};
pub use manifest::{OpenedManifest, open_manifest};
pub use record::{
    CandidateRecord, ColourReading, Face, Manifest, NOT_RECORDED, NeighbourRecord, NextExamination,
    ObjectRecord, PartRecord, Seen, SpectrumRecord, XrfChlorine, recorded,
};
pub use result::{
    AgeingState, Agreement, Bending, CandidateFindings, CareAdvice, ChlorineList, ChlorineLists,
    ChlorineSaid, Claim, ClaimOutcome, FaceFindings, ListedPart, MarkerChange, Method,
    NeighbourRisk, ObjectFindings, Original, PartAgeing, PartChlorine, PartFindings, PartOutcome,
    RadiusMultiple, RecordedNeighbour, SourceEntry, SpectrumResult, SpotFindings, SummaryLine,
    Topic, UnsettledPart, UvVisible,
};
pub use start::{SPECTRUM_ENDINGS, first_manifest, first_sheets};
