//! Figures drawn with a plotting library: SVG, and PNG and PDF made from it.
//!
//! Wavenumber falls to the right, as spectroscopists draw it. Nothing is said by colour alone:
//! lines differ in dash, states in shape, zones in hatching. The same input gives the same bytes.

mod canvas;
mod chlorine_map;
mod curves;
mod faces;
mod frame;
mod labels;
mod markers;
mod pdf;
mod png;
mod spectrum;
mod view;

pub use canvas::Error;
pub use chlorine_map::{MapGroup, MapPart, draw_chlorine_map};
pub use curves::{Arrangement, CurvesFigure, LabelledSpectra, draw_curves};
pub use faces::{FaceCurve, FacesFigure, draw_faces};
pub use markers::{IntervalRow, IntervalsFigure, draw_intervals};
#[cfg(feature = "docx")]
pub(crate) use png::all_as_png;
pub use spectrum::{ShownBands, SpectrumFigure, bands_behind, draw_spectrum, shape_behind};
pub use view::View;
