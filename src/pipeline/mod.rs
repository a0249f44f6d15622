//! The stages in order: one spectrum in, everything that can be said of it out.
//!
//! **In:** a spectrum for an [`Examiner`], a folder for [`References`], a manifest for [`examine_manifest`].
//!
//! **Out:** [`Examined`], [`Checked`], [`ObjectExamined`]: what the stages found, together with what they were given.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::{Examiner, Tables};
//!
//! let examiner = Examiner::new(Tables::built_in());
//! let examined = examiner.examine(spectrum)?;
//! assert_eq!(examined.identification.material.as_deref(), Some("PVC"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod ageing;
mod check;
mod corrections;
mod object;
mod references;
mod second;
mod shapes;

use crate::error::Error;
use crate::fitness::{self, Fitness};
use crate::judge::{self, Identification, JudgeSettings};
use crate::matching::Matcher;
use crate::optics::Element;
use crate::peaks::{self, Peaks};
use crate::prepare::{Prepared, prepare_with};
use crate::report::identification::IdentificationEntry;
use crate::spectrum::Spectrum;
use crate::tables::Tables;

pub use check::{Checked, check_film_spectrum, check_spectrum};
pub use corrections::{Corrected, Corrections};
pub use object::{ObjectExamined, examine_manifest, examine_manifest_beside};
pub use references::References;
pub use shapes::{LabelledCurves, labelled_curves};

/// Everything that was found out about one spectrum.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Examined {
    /// The spectrum as read, after a scale correction if one was asked for.
    pub spectrum: Spectrum,
    /// Whether it is fit to be judged.
    pub fitness: Fitness,
    /// It smoothed and above its baseline, with noise and derivatives.
    pub prepared: Prepared,
    /// Its peaks, bands and shoulders, by ascending wavenumber.
    pub peaks: Peaks,
    /// The answer.
    pub identification: Identification,
    /// The ATR element that depths are worked out for; `None` where it is not known.
    pub element: Option<Element>,
}

impl Examined {
    /// Returns the report entry; the spectrum's history holds every step.
    #[must_use]
    pub fn into_entry(self) -> IdentificationEntry {
        let findings = self.fitness.findings().to_vec();
        IdentificationEntry::judged(self.prepared.spectrum(), findings, self.identification)
    }
}

/// Runs spectra through the stages with one table and one set of settings.
///
/// Making one weighs the table, which costs more than a spectrum does: make it once and share it
/// between threads.
///
/// ```
/// use bandlore::{Examiner, Spectrum, Tables, judge::Outcome, spectrum::SpectrumParts};
///
/// let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
/// let flat = Spectrum::new(SpectrumParts::new(axis, vec![0.0; 1800]))?;
/// let examined = Examiner::new(Tables::built_in()).examine(flat)?;
/// assert_eq!(examined.identification.outcome, Outcome::NotEnoughSignal);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Examiner<'t> {
    tables: &'t Tables,
    matcher: Matcher,
    settings: JudgeSettings,
    corrections: Corrections,
    keep_fringes: bool,
}

impl<'t> Examiner<'t> {
    /// Makes a table ready, with the default settings.
    #[must_use]
    pub fn new(tables: &'t Tables) -> Self {
        Self {
            tables,
            matcher: Matcher::new(tables),
            settings: JudgeSettings::default(),
            corrections: Corrections::default(),
            keep_fringes: false,
        }
    }

    /// Makes these corrections to each spectrum before it is looked at.
    #[must_use]
    pub fn with_corrections(mut self, corrections: Corrections) -> Self {
        self.corrections = corrections;
        self
    }

    /// Leaves interference fringes in. Else those that stand out are taken out before a spectrum is judged,
    /// and the answer says so.
    #[must_use]
    pub fn keeping_fringes(mut self) -> Self {
        self.keep_fringes = true;
        self
    }

    /// Returns the corrections made to each spectrum.
    #[must_use]
    pub fn corrections(&self) -> &Corrections {
        &self.corrections
    }

    /// Replaces the settings of the judgement: how many candidates a ranking lists.
    #[must_use]
    pub fn with_settings(mut self, settings: JudgeSettings) -> Self {
        self.settings = settings;
        self
    }

    /// States the ATR element that spectra were measured on, for depths and the fit of contact; diamond at
    /// 45° where nothing is stated.
    #[must_use]
    pub fn with_element(mut self, element: Element) -> Self {
        self.settings.element = Some(element);
        self
    }

    /// Returns the ATR element in use, where one is known.
    #[must_use]
    pub fn element(&self) -> Option<Element> {
        self.settings.element
    }

    /// Returns the table in use.
    #[must_use]
    pub fn tables(&self) -> &'t Tables {
        self.tables
    }

    /// Examines one spectrum.
    ///
    /// # Errors
    ///
    /// Only a correction or a preparation that cannot be carried out is an error. What cannot be judged is an
    /// answer: not enough signal, with the reason.
    pub fn examine(&self, spectrum: Spectrum) -> Result<Examined, Error> {
        self.examine_on(spectrum, self.settings.element)
    }

    /// Examines one spectrum that was measured on an ATR element of its own; `None` where that is not
    /// known, so that no depth is given.
    ///
    /// # Errors
    ///
    /// As [`Examiner::examine`].
    pub fn examine_on(
        &self,
        spectrum: Spectrum,
        element: Option<Element>,
    ) -> Result<Examined, Error> {
        let corrected = self.corrections.apply(spectrum)?;
        let mut spectrum = corrected.spectrum;
        let mut fitness = fitness::examine(&spectrum);
        if let Some(fringes) = corrected.fringes {
            fitness = fitness.with_fringes_removed(fringes, &spectrum);
        } else if !self.keep_fringes {
            (spectrum, fitness) = corrections::fringes_before_judging(spectrum, fitness)?;
        }
        if let Some(ceiling) = fitness.ceiling() {
            spectrum = spectrum.with_ceiling(ceiling);
        }
        let prepared = prepare_with(&spectrum, fitness.noise())?;
        let peaks = peaks::pick(&spectrum, &prepared).with_vapour(|at| fitness.vapour_at(at));
        let identification = judge::identify(
            &spectrum,
            &prepared,
            &peaks,
            &fitness,
            self.tables,
            &self.matcher,
            &JudgeSettings { element, ..self.settings },
        );
        Ok(Examined { spectrum, fitness, prepared, peaks, identification, element })
    }
}
