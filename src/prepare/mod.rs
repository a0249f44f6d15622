//! Smooths, subtracts the baseline, masks and measures the noise.
//!
//! **In:** a spectrum as it was read.
//!
//! **Out:** [`Prepared`]: the spectrum with the steps in its history, its baseline, derivatives and noise.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::prepare::prepare;
//!
//! let prepared = prepare(&spectrum)?;
//! assert_eq!(prepared.baseline().len(), prepared.spectrum().len());
//! assert!(!prepared.spectrum().history().is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod asls;
mod baseline;
mod error;
mod hull;
mod prepared;
mod savgol;
mod smooth;
mod uneven;

pub use asls::{Stop, asymmetric_baseline};
pub use error::Error;
pub use hull::{hull_baseline, hull_corners};
pub use prepared::{Prepared, prepare};
pub(crate) use prepared::{prepare_with, settings};
pub use savgol::SavitzkyGolay;
pub(crate) use smooth::differentiate;
pub use smooth::{Polynomial, smooth};
