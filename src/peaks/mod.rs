//! Peaks picked from a prepared spectrum: bands and shoulders alike.
//!
//! **In:** a spectrum as measured, and the same prepared, with its second derivative and noise.
//!
//! **Out:** [`Peaks`]: every minimum of the second derivative that stands clear of the noise, ascending in cm⁻¹, with its
//! height. A shoulder has such a minimum where the absorbance has no maximum of its own.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::peaks::pick;
//! use bandlore::prepare::prepare;
//!
//! let prepared = prepare(&spectrum)?;
//! let peaks = pick(&spectrum, &prepared);
//! assert!(peaks.list.windows(2).all(|pair| pair[0].position_cm1 < pair[1].position_cm1));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod peak;
mod pick;
mod plateau;

pub use peak::{Peak, Peaks};
pub(crate) use peak::{STRETCHES_ABOVE_CM1, share};
pub use pick::pick;
