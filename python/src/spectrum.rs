//! A spectrum as Python sees it: two arrays that stay where the library holds them.

use std::fmt::Write as _;

use bandlore::{
    ReadOptions, read_bytes,
    spectrum::{MeasurementMode, PointFlag},
};
use numpy::ndarray::ArrayView1;
use numpy::{PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;

use crate::fault::Fault;
use crate::settings;

/// Absorbance over ascending wavenumber, with where it came from. It cannot be changed.
#[pyclass(frozen, module = "bandlore")]
#[derive(Debug)]
pub struct Spectrum(bandlore::Spectrum);

impl Spectrum {
    pub fn new(spectrum: bandlore::Spectrum) -> Self {
        Self(spectrum)
    }

    pub fn inner(&self) -> &bandlore::Spectrum {
        &self.0
    }
}

/// Shows values of a spectrum as an array without copying them.
#[allow(unsafe_code, reason = "an array of numpy over memory of ours cannot be made otherwise")]
fn shown<'py>(owner: &Bound<'py, Spectrum>, values: &[f64]) -> PyResult<Bound<'py, PyArray1<f64>>> {
    // SAFETY: the values belong to `owner`, which the array keeps alive as its base. The class is frozen
    // and nothing takes its lists out or changes them, so that they stay where they are for as long.
    let array =
        unsafe { PyArray1::borrow_from_array(&ArrayView1::from(values), owner.clone().into_any()) };
    array.getattr("flags")?.setattr("writeable", false)?;
    Ok(array)
}

/// Writes points as two columns under a heading; every digit comes back.
fn two_columns<'a>(points: impl Iterator<Item = (&'a f64, &'a f64)>) -> String {
    let mut text = String::from("wavenumber (cm-1),ordinate\n");
    for (wavenumber, value) in points {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{wavenumber},{value}");
    }
    text
}

/// A word of the library for a value that it serialises as one.
macro_rules! word {
    ($value:expr, $($known:path => $word:literal),+ $(,)?) => {
        match $value { $($known => $word),+ }
    };
}

#[pymethods]
impl Spectrum {
    /// Makes a spectrum of two arrays, in cm⁻¹ and of what `ordinate` says, as if read from a file of two
    /// columns: filler, saturation and doubts are found as they are there.
    #[new]
    #[pyo3(signature = (wavenumber, values, *, name = "array", ordinate = "absorbance", mode = None))]
    fn from_arrays(
        py: Python<'_>,
        wavenumber: PyReadonlyArray1<'_, f64>,
        values: PyReadonlyArray1<'_, f64>,
        name: &str,
        ordinate: &str,
        mode: Option<&str>,
    ) -> PyResult<Self> {
        let (wavenumbers, values) = (wavenumber.as_array(), values.as_array());
        let made = if wavenumbers.len() == values.len() {
            let ordinate = settings::ordinate(ordinate);
            let mode = mode.map(settings::mode).transpose();
            let text = two_columns(wavenumbers.iter().zip(values.iter()));
            py.detach(|| {
                let (ordinate, mode) = (Some(ordinate?), mode?);
                let options = ReadOptions::default().with_ordinate(ordinate).with_mode(mode);
                match read_bytes(text.as_bytes(), name, &options).next() {
                    Some(read) => read.map_err(|error| Fault::from(&error)),
                    None => Err(Fault::usage(format!("{name}: holds no spectrum"))),
                }
            })
        } else {
            Err(Fault::usage(format!(
                "{name}: {} wavenumbers but {} values; give one value for each",
                wavenumbers.len(),
                values.len()
            )))
        };
        made.map(Self).map_err(|fault| fault.raise(py))
    }

    #[getter]
    fn wavenumber<'py>(slf: &Bound<'py, Self>) -> PyResult<Bound<'py, PyArray1<f64>>> {
        shown(slf, slf.get().0.wavenumbers_cm1())
    }

    #[getter]
    fn absorbance<'py>(slf: &Bound<'py, Self>) -> PyResult<Bound<'py, PyArray1<f64>>> {
        shown(slf, slf.get().0.absorbances())
    }

    /// Which points were measured and are neither filler nor left out; a copy.
    #[getter]
    fn measured<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<bool>> {
        let measured = |flag: &PointFlag| !matches!(flag, PointFlag::Padded | PointFlag::Masked);
        PyArray1::from_iter(py, self.0.flags().iter().map(measured))
    }

    #[getter]
    fn file(&self) -> &str {
        &self.0.provenance().file
    }

    #[getter]
    fn block(&self) -> usize {
        self.0.provenance().block
    }

    #[getter]
    fn title(&self) -> Option<&str> {
        self.0.provenance().title.as_deref()
    }

    #[getter]
    fn sha256(&self) -> &str {
        &self.0.provenance().sha256
    }

    #[getter]
    fn records(&self) -> Vec<(String, String)> {
        self.0.provenance().records.clone()
    }

    #[getter]
    fn ordinate(&self) -> &'static str {
        use bandlore::spectrum::Ordinate as O;
        word!(self.0.ordinate(),
            O::Absorbance => "absorbance",
            O::Transmittance => "transmittance",
            O::PercentTransmittance => "percent-transmittance",
            O::Reflectance => "reflectance",
            O::PercentReflectance => "percent-reflectance",
            O::RelativeAbsorbance => "relative-absorbance",
        )
    }

    #[getter]
    fn mode(&self) -> &'static str {
        use MeasurementMode as M;
        word!(self.0.mode(),
            M::Atr => "atr",
            M::Transmission => "transmission",
            M::Reflection => "reflection",
        )
    }

    #[getter]
    fn range_cm1(&self) -> (f64, f64) {
        self.0.range_cm1()
    }

    #[getter]
    fn spacing_cm1(&self) -> f64 {
        self.0.spacing_cm1()
    }

    #[getter]
    fn history(&self) -> Vec<String> {
        self.0.history().iter().map(ToString::to_string).collect()
    }

    #[getter]
    fn warnings(&self) -> Vec<(String, String)> {
        self.0.warnings().iter().map(|w| (w.id.clone(), w.text.clone())).collect()
    }

    /// Says whether everything between two wavenumbers was measured.
    fn covers(&self, low_cm1: f64, high_cm1: f64) -> bool {
        self.0.covers(low_cm1, high_cm1)
    }

    fn __len__(&self) -> usize {
        self.0.len()
    }

    fn __repr__(&self) -> String {
        let (low, high) = self.0.range_cm1();
        let about = self.0.provenance();
        format!(
            "Spectrum({:?}, block {}, {} points, {low:.0} to {high:.0} cm⁻¹, {}, {})",
            about.file,
            about.block,
            self.0.len(),
            self.ordinate(),
            self.mode()
        )
    }

    fn _repr_svg_(slf: &Bound<'_, Self>) -> PyResult<String> {
        let py = slf.py();
        let figure = crate::figure::curve(slf.get().inner());
        figure.map(|figure| figure.svg().to_owned()).map_err(|fault| fault.raise(py))
    }
}
