//! Markers over a series of doses: hours of light, days of heat.
//!
//! **In:** a sheet of doses, one line a file ([`read_doses`]), and the markers' values in those files.
//!
//! **Out:** a [`DoseSlope`] a marker and source of light or heat, with its interval; no slope where there are too few doses.
//!
//! ```
//! use bandlore::ageing::doses::{dose_slopes, read_doses};
//!
//! // A sheet that holds no doses is refused with what was expected, and no value gives no slope.
//! assert!(read_doses("doses.csv", b"file,hours\n").is_err());
//! assert!(dose_slopes(&[]).is_empty());
//! ```

pub use super::copies::copied_in_series;
pub use super::series::{Dose, DoseSlope, DoseUnit, dose_slopes, read_doses};
