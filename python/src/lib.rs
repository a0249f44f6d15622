//! The library for Python, as thin as it can be: its own readers, examiner, JSON and figures, called with the
//! interpreter's lock released. Typed results are made from the JSON on the other side (`bandlore/results`).

#![deny(unsafe_code)]

mod fault;
mod figure;
mod object;
mod settings;
mod source;
mod spectrum;
mod work;

use pyo3::prelude::*;

#[pymodule]
mod _native {
    use pyo3::prelude::*;

    #[pymodule_export]
    use super::figure::{Figure, draw};
    #[pymodule_export]
    use super::object::{Examination, examine_object, first_manifest};
    #[pymodule_export]
    use super::spectrum::Spectrum;
    #[pymodule_export]
    use super::work::{ageing, check, compare, identify, read};

    #[pymodule_init]
    fn init(module: &Bound<'_, PyModule>) -> PyResult<()> {
        module.add("VERSION", env!("CARGO_PKG_VERSION"))?;
        module.add("SPECTRUM_ENDINGS", bandlore::object::SPECTRUM_ENDINGS.to_vec())
    }
}

/// Says that a long answer was not waited for.
pub(crate) type Stop = std::sync::Arc<std::sync::atomic::AtomicBool>;
