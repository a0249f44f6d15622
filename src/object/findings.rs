//! What is said of an object: part by part, of its neighbours, of its care.
//!
//! **In:** what [`examine_object`](super::examine_object) was given.
//!
//! **Out:** [`ObjectFindings`]: for each part its material, chlorine and ageing, then neighbours, care, and what would settle what is open.
//!
//! ```
//! use bandlore::Tables;
//! use bandlore::object::findings::PartOutcome;
//! use bandlore::object::record::Manifest;
//! use bandlore::object::{ObjectInput, examine_object};
//!
//! let text = "[object]\ntitle = \"An invented clock\"\n[[part]]\nid = \"S1\"\nname = \"shim\"\n";
//! let manifest = Manifest::from_toml(text, "object.toml")?;
//! let input = ObjectInput::new(manifest, Vec::new());
//! let findings = examine_object(input, Tables::built_in());
//! assert_eq!(findings.parts[0].outcome, PartOutcome::NotMeasured);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub use super::result::{
    AgeingState, Agreement, CareAdvice, ChlorineList, ChlorineLists, ChlorineSaid, FaceFindings,
    ListedPart, MarkerChange, Method, NeighbourRisk, ObjectFindings, PartAgeing, PartChlorine,
    PartFindings, PartOutcome, RecordedNeighbour, SourceEntry, SpectrumResult, SpotFindings,
    SummaryLine, Topic, UnsettledPart,
};
