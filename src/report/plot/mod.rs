//! Figures drawn with a plotting library: SVG, and PNG and PDF made from it.
//!
//! Wavenumber falls to the right, as spectroscopists draw it. Nothing is said by colour alone:
//! lines differ in dash, states in shape, zones in hatching. The same input gives the same bytes.
//!
//! **In:** a spectrum with what was found in it, or a set of curves, faces, intervals, parts.
//!
//! **Out:** a [`Figure`](super::Figure) as SVG, which gives PNG and PDF.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::report::plot::{CurvesFigure, LabelledSpectra, View, draw_curves};
//!
//! let curves = [LabelledSpectra::new("exposed face", vec![&spectrum])];
//! let view = View::default().with_range_cm1((1850.0, 600.0));
//! let figure = draw_curves(&CurvesFigure::new("film", "A film", &curves).with_view(view))?;
//! assert!(figure.svg().starts_with("<svg"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod canvas;
mod chlorine_map;
mod curves;
mod faces;
mod frame;
mod key;
mod labels;
mod markers;
mod pdf;
mod png;
mod spectrum;
mod view;

pub use canvas::Error;
pub(crate) use canvas::unless_empty;
pub use chlorine_map::{MapGroup, MapPart, draw_chlorine_map};
pub use curves::{Arrangement, CurvesFigure, LabelledSpectra, draw_curves};
pub use faces::{FaceCurve, FacesFigure, draw_faces};
pub use markers::{IntervalRow, IntervalsFigure, draw_intervals};
#[cfg(feature = "docx")]
pub(crate) use png::all_as_png;
pub use spectrum::{ShownBands, SpectrumFigure, bands_behind, draw_spectrum, shape_behind};
pub use view::View;
