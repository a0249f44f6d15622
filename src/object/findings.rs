//! What is said of an object: part by part, of its neighbours, of its care.

pub use super::result::{
    AgeingState, Agreement, CareAdvice, ChlorineList, ChlorineLists, ChlorineSaid, FaceFindings,
    ListedPart, MarkerChange, Method, NeighbourRisk, ObjectFindings, PartAgeing, PartChlorine,
    PartFindings, PartOutcome, RecordedNeighbour, SourceEntry, SpectrumResult, SpotFindings,
    SummaryLine, Topic, UnsettledPart,
};
