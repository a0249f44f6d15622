//! Whether a spectrum is fit to be judged.

mod finding;

pub use finding::{Finding, Severity};
