//! Markers over a series of doses: hours of light, days of heat.

pub use super::series::{Dose, DoseSlope, DoseUnit, dose_slopes, read_doses};
