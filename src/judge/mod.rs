//! From scores to an answer: outcome, chlorine, look-alikes, components.

mod outcome;

pub use outcome::{
    BandEvidence, BandState, Chlorine, ChlorineBands, ChlorineByIdentity, Component,
    Identification, Outcome, Plasticiser, Ranked, Relation, RuleAnswer, Unsettled,
};
