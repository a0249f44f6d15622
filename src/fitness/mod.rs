//! Whether a spectrum is fit to be judged.

mod chlorine_region;
mod examine;
mod film;
mod finding;
mod fourier;
mod fringes;
mod noise;
mod ordinate;
mod sampling;
mod shape;
mod signal;
mod vapour;

pub use examine::{Fitness, examine, examine_fully};
pub use film::{
    FilmBand, FilmCheck, FilmError, Interval as FilmInterval, STATED_CM1, ScaleFault, check_film,
};
pub use finding::{Finding, Severity};
pub use fourier::fourier_magnitudes;
pub use fringes::{Fringes, remove_fringes};
pub use noise::NoiseProfile;
pub use vapour::{VapourSubtracted, VapourSubtraction, subtract_vapour};
