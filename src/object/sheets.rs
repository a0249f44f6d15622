//! What is said of candidate sheets: the seller's claim, the original, light, bending.
//!
//! **In:** a candidate sheet's spectra, its seller's claim, its thickness, a UV-visible spectrum.
//!
//! **Out:** [`CandidateFindings`]: whether the claim holds, what it cannot exclude, what light it lets through, how far it may be bent.
//!
//! ```
//! use bandlore::object::sheets::held_strain;
//!
//! // A sheet 3 mm thick held to a radius of 900 mm is strained by t / (2R + t) at its surface.
//! assert!((held_strain(900.0, 3.0) - 3.0 / 1803.0).abs() < 1e-12);
//! ```

pub use super::bending::held_strain;
pub use super::result::{
    Bending, CandidateFindings, Claim, ClaimOutcome, Original, RadiusMultiple, UvVisible,
};
