//! What a reader finds, before it is checked and made a spectrum.

use super::error::{Error, Fault};
use super::ordinate::Inferred;
use crate::spectrum::{
    MeasurementMode, Ordinate, Provenance, Warning, wavenumber_from_micrometres,
    wavenumber_from_nanometres,
};

/// Points per spectrum beyond which a file is refused; the finest instruments write a tenth of it.
pub(crate) const MOST_POINTS: usize = 4_000_000;

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
#[derive(Clone, Debug, Default)]
pub(crate) struct Found {
    /// One abscissa per point.
    pub abscissas: Vec<f64>,
    /// One ordinate per point; NaN where the cell holds no number.
    pub ordinates: Vec<f64>,
    /// The abscissa's unit, or `None` where the file is silent.
    pub abscissa_unit: Option<AbscissaUnit>,
    /// The ordinate as the file states it, or `None` where it is silent.
    pub ordinate: Option<Ordinate>,
    /// The mode as the file states it, or `None` where it is silent.
    pub mode: Option<MeasurementMode>,
    /// Where the spectrum comes from, `file`, `block` and `sha256` included.
    pub provenance: Provenance,
    /// Doubts met so far.
    pub warnings: Vec<Warning>,
    /// Where points stand in the file: (index of a point, its line), ascending; between two
    /// entries lines run on with the points. May be empty.
    pub lines: Vec<(usize, usize)>,
    /// The text of the first cell that held no number, for the message.
    pub first_missing: Option<String>,
    /// Whether the file itself says of every point without an ordinate that it was not measured.
    pub gaps_are_stated: bool,
    /// Whether one factor or one unit holds for all ordinates by the format itself.
    pub one_scale: bool,
    /// The reading agreed on for a whole table whose spectra were weighed together.
    pub agreed: Option<Inferred>,
}

impl Found {
    /// Returns the line of a point, where the reader noted lines.
    pub(crate) fn line(&self, index: usize) -> Option<usize> {
        let after = self.lines.partition_point(|&(point, _)| point <= index);
        let &(point, line) = self.lines.get(after.checked_sub(1)?)?;
        Some(line + (index - point))
    }

    pub(super) fn fail(&self, index: Option<usize>, fault: impl Into<Fault>) -> Error {
        Error::Content {
            file: self.provenance.file.clone(),
            line: index.and_then(|index| self.line(index)),
            fault: fault.into(),
        }
    }
}

impl AbscissaUnit {
    pub(super) fn wavenumber_cm1(self, abscissa: f64) -> f64 {
        match self {
            Self::Wavenumber => abscissa,
            Self::Micrometres => wavenumber_from_micrometres(abscissa),
            Self::Nanometres => wavenumber_from_nanometres(abscissa),
        }
    }

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Wavenumber => "cm⁻¹",
            Self::Micrometres => "micrometres",
            Self::Nanometres => "nanometres",
        }
    }
}
