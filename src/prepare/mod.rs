//! Smooths, subtracts the baseline, masks and measures the noise.

mod baseline;
mod error;
mod mask;
mod noise;
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
pub(crate) use noise::noise_per_point;
pub use normalise::Normalise;
pub use recipe::{Prepared, Recipe, RecipeStep};
pub(crate) use resample::resample;
pub use savgol::{Ends, SavitzkyGolay};
pub(crate) use smooth::differentiate;
pub use smooth::{Polynomial, smooth};
