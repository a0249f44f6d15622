//! What is said of candidate sheets: the seller's claim, the original, light, bending.

pub use super::bending::held_strain;
pub use super::result::{
    Bending, CandidateFindings, Claim, ClaimOutcome, Original, RadiusMultiple, UvVisible,
};
