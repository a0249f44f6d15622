//! Smooths, subtracts the baseline, masks and measures the noise.
//!
//! **In:** a spectrum and a [`Recipe`], the list of steps in their order.
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
//! use bandlore::prepare::Recipe;
//!
//! let prepared = Recipe::default().apply(&spectrum)?;
//! assert_eq!(prepared.baseline().len(), prepared.spectrum().len());
//! assert!(!prepared.spectrum().history().is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod baseline;
mod error;
mod mask;
mod normalise;
mod recipe;
mod resample;
mod savgol;
mod smooth;
mod uneven;

pub use baseline::{
    Baseline, Stop, asymmetric_baseline, hull_baseline, hull_corners, reweighted_baseline,
    whittaker,
};
pub use error::Error;
pub use mask::Mask;
pub use normalise::Normalise;
pub use recipe::{Prepared, Recipe, RecipeStep};
pub(crate) use resample::resample;
pub use savgol::{Ends, SavitzkyGolay};
pub(crate) use smooth::differentiate;
pub use smooth::{Polynomial, smooth};
