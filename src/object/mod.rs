//! The whole object: manifest, parts, neighbours, candidate sheets, care.

mod error;
mod manifest;
mod record;
mod result;

pub use error::{Error, Fault, FaultKind, Faults};
pub use manifest::{OpenedManifest, open_manifest};
pub use record::{
    CandidateRecord, ColourReading, Face, Manifest, NOT_RECORDED, Nearness, NeighbourMaterial,
    NeighbourRecord, NextExamination, ObjectRecord, PartRecord, Seen, SpectrumRecord, XrfChlorine,
    recorded,
};
pub use result::{
    AgeingState, Agreement, Bending, CandidateFindings, CareAdvice, ChlorineList, ChlorineLists,
    Claim, ClaimOutcome, FaceFindings, ListedPart, MarkerChange, Method, NeighbourRisk,
    ObjectFindings, PartAgeing, PartChlorine, PartFindings, PartOutcome, RadiusMultiple,
    SourceEntry, SpectrumResult, SpotFindings, SummaryLine, Topic, UnsettledPart, UvVisible,
};
