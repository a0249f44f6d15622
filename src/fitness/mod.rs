//! Whether a spectrum is fit to be judged.

mod examine;
mod finding;
mod noise;
mod shape;
mod signal;

pub use examine::{Fitness, examine};
pub use finding::{Finding, Severity};
pub use noise::NoiseProfile;
