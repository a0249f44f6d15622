//! Whether a spectrum is fit to be judged.
//!
//! **In:** a [`Spectrum`](crate::Spectrum) as it was read.
//!
//! **Out:** a [`Fitness`]: noise, usable stretches, and a [`Finding`] for each thing that limits what may be said. A film of
//! polystyrene gives a [`FilmCheck`] of the wavenumber scale.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::fitness::examine;
//!
//! let fitness = examine(&spectrum);
//! assert!(fitness.unfit().is_none());
//! for finding in fitness.findings() {
//!     println!("{}: {}", finding.id, finding.consequence);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod bad_points;
mod carbon_dioxide;
mod chlorine_region;
mod examine;
mod film;
mod film_bands;
mod finding;
mod fourier;
mod fringes;
mod noise;
mod ordinate;
mod resolution;
mod sampling;
mod shape;
mod signal;
mod tops;
mod vapour;
mod vapour_lines;
mod vapour_subtraction;
mod water_lines;

pub use crate::linalg::Error as FitError;
pub use bad_points::BadPoint;
pub use bad_points::bad_points;
pub(crate) use bad_points::bridge_bad_points;
pub use examine::{Fitness, examine, examine_fully};
pub use film::Interval as FilmInterval;
pub use film::{FilmCheck, FilmError, FilmPlaces, ScaleFault, check_film, check_film_against};
pub use film_bands::FilmBand;
pub use finding::{Finding, Severity};
pub use fourier::fourier_magnitudes;
pub(crate) use fringes::{FRINGES_REMOVED, POLYMER_INDEX};
pub use fringes::{Fringes, remove_fringes};
pub use noise::NoiseProfile;
pub(crate) use resolution::{resolution_cm1, stated_resolution_cm1};
pub(crate) use vapour_lines::lines_among_carbonyls;
pub use vapour_subtraction::subtract_vapour;
pub use vapour_subtraction::{VapourSubtracted, VapourSubtraction};
pub(crate) use water_lines::WATER_LINES;
