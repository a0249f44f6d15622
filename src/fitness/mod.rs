//! Whether a spectrum is fit to be judged.

mod finding;
mod noise;

pub use finding::{Finding, Severity};
pub use noise::NoiseProfile;
