//! Figures as values: SVG for a notebook, PNG and PDF for print.

use bandlore::report::plot::{
    Arrangement, CurvesFigure, LabelledSpectra, ShownBands, SpectrumFigure, View, bands_behind,
    draw_curves, draw_spectrum, shape_behind,
};
use pyo3::prelude::*;

use crate::fault::Fault;
use crate::settings::Settings;
use crate::source::{self, Source};
use crate::work::listening;

/// A drawn figure; a notebook shows it by itself.
#[pyclass(frozen, module = "bandlore")]
#[derive(Debug)]
pub struct Figure(bandlore::report::Figure);

impl Figure {
    pub fn new(figure: bandlore::report::Figure) -> Self {
        Self(figure)
    }
}

#[pymethods]
impl Figure {
    #[getter]
    fn svg(&self) -> &str {
        self.0.svg()
    }

    #[getter]
    fn title(&self) -> &str {
        self.0.title()
    }

    #[getter]
    fn description(&self) -> &str {
        self.0.description()
    }

    #[getter]
    fn size(&self) -> (u32, u32) {
        self.0.size()
    }

    #[pyo3(signature = (scale = 3.0))]
    fn png(&self, py: Python<'_>, scale: f32) -> PyResult<Vec<u8>> {
        let png = py.detach(|| self.0.png(scale));
        png.map_err(|error| Fault::library(&error).raise(py))
    }

    fn pdf(&self, py: Python<'_>) -> PyResult<Vec<u8>> {
        let pdf = py.detach(|| self.0.pdf());
        pdf.map_err(|error| Fault::library(&error).raise(py))
    }

    /// Writes the figure, whole or not at all; .svg, .png or .pdf says in which form.
    #[pyo3(signature = (path, *, scale = 3.0))]
    fn save(&self, py: Python<'_>, path: std::path::PathBuf, scale: f32) -> PyResult<()> {
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
        let written = py.detach(|| {
            let bytes = match ending.as_str() {
                "svg" => self.0.svg().as_bytes().to_vec(),
                "png" => self.0.png(scale).map_err(|error| Fault::library(&error))?,
                "pdf" => self.0.pdf().map_err(|error| Fault::library(&error))?,
                _ => {
                    return Err(Fault::usage(format!(
                        "{}: this ending is not known; a figure ends in .svg, .png or .pdf",
                        path.display()
                    )));
                }
            };
            bandlore::io::write_whole(&path, &bytes).map_err(|error| Fault::from(&error))
        });
        written.map_err(|fault| fault.raise(py))
    }

    fn __repr__(&self) -> String {
        let (width, height) = self.0.size();
        format!("Figure({:?}, {width} x {height} pixels)", self.0.title())
    }

    fn _repr_svg_(&self) -> &str {
        self.0.svg()
    }
}

/// What a figure shows and how.
#[derive(Clone, Debug, FromPyObject)]
#[pyo3(from_item_all)]
pub struct Look {
    title: Option<String>,
    range: Option<String>,
    size: Option<String>,
    transmittance: bool,
    stacked: bool,
    /// A name beside each curve; curves of one name are drawn as their mean with lowest and highest.
    labels: Option<Vec<String>>,
}

impl Look {
    fn view(&self) -> Result<View, Fault> {
        let range = self.range.as_deref().map(View::read_range).transpose();
        let size = self.size.as_deref().map(View::read_size).transpose();
        Ok(View::default()
            .with_range_cm1(range.map_err(|why| Fault::usage(format!("range: {why}")))?)
            .with_percent_transmittance(self.transmittance)
            .with_size_mm(size.map_err(|why| Fault::usage(format!("size: {why}")))?))
    }
}

/// The file's name without its ending.
fn name(spectrum: &bandlore::Spectrum) -> String {
    let file = std::path::Path::new(&spectrum.provenance().file);
    file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
}

/// Draws one spectrum as it is, without judging it.
pub fn curve(spectrum: &bandlore::Spectrum) -> Result<bandlore::report::Figure, Fault> {
    let label = name(spectrum);
    let curves = [LabelledSpectra::new(&label, vec![spectrum])];
    draw_curves(&CurvesFigure::new("spectrum", &label, &curves))
        .map_err(|error| Fault::library(&error))
}

/// Draws one spectrum with the bands behind its answer, or several over one another.
#[pyfunction]
pub fn draw(
    py: Python<'_>,
    sources: Vec<Source>,
    look: Look,
    settings: Settings,
) -> PyResult<Figure> {
    listening(py, move |stop| {
        let options = settings.options()?;
        let read = |item: source::Item| item.result.map_err(|error| Fault::from(&error));
        let spectra = source::batch(sources, &options, stop, read)?;
        let spectra = spectra.into_iter().collect::<Result<Vec<_>, Fault>>()?;
        let figure = match spectra.as_slice() {
            [] => return Err(Fault::usage("no spectrum to draw; give a file or a spectrum")),
            [spectrum] => one(spectrum, &look, &settings)?,
            spectra => several(spectra, &look)?,
        };
        Ok(Figure(figure))
    })
}

fn one(
    spectrum: &bandlore::Spectrum,
    look: &Look,
    settings: &Settings,
) -> Result<bandlore::report::Figure, Fault> {
    let tables = settings.tables()?;
    let examiner = settings.examiner(&tables)?;
    let examined = examiner.examine(spectrum.clone()).map_err(|error| Fault::from(&error))?;
    let found = &examined.identification;
    let materials = match settings.material(&tables)? {
        None => bands_behind(found),
        Some(id) => {
            let ranked = found.ranking.iter().find(|r| r.material == id);
            let component = found.components.iter().find(|c| c.id == id);
            let bands = ranked
                .map(|r| r.evidence.as_slice())
                .or(component.map(|c| c.evidence.as_slice()))
                .unwrap_or_default();
            vec![ShownBands::new(id, bands)]
        }
    };
    let title = look.title.clone().unwrap_or_else(|| name(spectrum));
    let figure = SpectrumFigure::new("spectrum", &title, &examined.spectrum)
        .with_materials(&materials)
        .with_unexplained(&found.unexplained)
        .with_shape(shape_behind(found, &materials, &tables))
        .with_tables(&*tables)
        .with_view(look.view()?);
    draw_spectrum(&figure).map_err(|error| Fault::library(&error))
}

fn several(spectra: &[bandlore::Spectrum], look: &Look) -> Result<bandlore::report::Figure, Fault> {
    let labels = match &look.labels {
        Some(labels) if labels.len() == spectra.len() => labels.clone(),
        Some(labels) => {
            return Err(Fault::usage(format!(
                "{} labels for {} spectra; give one for each",
                labels.len(),
                spectra.len()
            )));
        }
        None => spectra
            .iter()
            .map(|spectrum| match spectrum.provenance().block {
                1 => name(spectrum),
                block => format!("{}, spectrum {block}", name(spectrum)),
            })
            .collect(),
    };
    let mut curves: Vec<LabelledSpectra<'_>> = Vec::new();
    for (label, spectrum) in labels.iter().zip(spectra) {
        match curves.iter_mut().find(|curve| curve.label == label) {
            Some(curve) => curve.spectra.push(spectrum),
            None => curves.push(LabelledSpectra::new(label, vec![spectrum])),
        }
    }
    let shown: Vec<&str> = curves.iter().map(|curve| curve.label).collect();
    let title = look.title.clone().unwrap_or_else(|| match shown.as_slice() {
        [first, .., last] if shown.len() > 3 => format!("{first} to {last}"),
        few => few.join(", "),
    });
    let arrangement = if look.stacked { Arrangement::Stacked } else { Arrangement::Overlaid };
    let figure = CurvesFigure::new("spectra", &title, &curves)
        .with_arrangement(arrangement)
        .with_view(look.view()?);
    draw_curves(&figure).map_err(|error| Fault::library(&error))
}
